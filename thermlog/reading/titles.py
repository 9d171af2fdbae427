"""Lines of a few words over a table, or between two, that name a vehicle, or what was aimed at."""

from __future__ import annotations

from bisect import bisect
from typing import TYPE_CHECKING

from msgspec.structs import replace

from thermlog.reading.cells import shown
from thermlog.reading.cellwords import cell_words
from thermlog.reading.files.comments import Comment, first_unused
from thermlog.reading.headings import plain_words
from thermlog.reading.positions.words import tokens_of
from thermlog.reading.spottitles import titled_spot
from thermlog.reading.statements import names_key
from thermlog.reading.vocabulary import KEY_WORDS, ROLES
from thermlog.words.regular import regular
from thermlog.words.vehicle import BRAKE_SPOTS

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from thermlog.reading.locate import Table
    from thermlog.reading.observations import Observations

_WORDS = f"{KEY_WORDS['vehicle']}|lorry|coach|minibus|unit|lkw|pkw|kfz|camion|vrachtwagen"
_NUMBERED = regular(rf"(?:{_WORDS}) (?:(?:no|nr|number|nummer) )?(?=[^ ]*\d)[^ ]{{1,12}}")
_MOST_WORDS = 5


def with_titles(table: Table, seen: Observations) -> tuple[list[Comment], Observations]:
    """All comments of a log, and among them what titles say; such a title is no row that was set aside.

    A vehicle word and a number name a vehicle wherever they stand ("Van 2"). Other words do between two
    tables, right over a header that is repeated, where other words stand over the first one, too: "AB-123-CD"
    and "XY-987-ZZ". Not words that tell a round, a page or a time from another.

    Parameters
    ----------
    table : Table
    seen : Observations

    Returns
    -------
    list of Comment
    Observations
        Without the rows that are titles.
    """
    comments = [*_numbered(table, seen)]
    comments += [one for one in table.above if titled_spot(one.text) is not None]
    titles = _among_rows(table, seen)
    named = (
        _named(line, text) if spot is None else Comment(line=line, text=text) for line, text, spot in titles
    )
    return _with_spots([*comments, *named]), _without_rows(seen, titles)


def _with_spots(comments: Sequence[Comment]) -> list[Comment]:
    """The comments; those that say what is read below as statements, where it is not the brakes alone."""
    spots = {one.line: spot for one in comments if (spot := titled_spot(one.text)) is not None}
    if frozenset(BRAKE_SPOTS).issuperset(spots.values()):
        return list(comments)
    return [
        Comment(line=one.line, text=f"spot: {spots[one.line]}") if one.line in spots else one
        for one in comments
    ]


def _among_rows(table: Table, seen: Observations) -> list[tuple[int, str, str | None]]:
    """Line and text of the rows set aside that are titles, and what they say is read below."""
    titles = {
        entry.line: text
        for entry, cells in zip(seen.set_aside, seen.strays, strict=True)
        if (text := _only_text(cells))
        and (_is_numbered(text) or titled_spot(text) or _parts_tables(entry.line, text, table, seen))
    }
    return [(line, text, titled_spot(text)) for line, text in titles.items()]


def _without_rows(seen: Observations, titles: Sequence[tuple[int, str, str | None]]) -> Observations:
    if not titles:
        return seen
    lines = {line for line, *_ in titles}
    kept = [pair for pair in zip(seen.set_aside, seen.strays, strict=True) if pair[0].line not in lines]
    notes = (
        f'line {line}: "{shown(text, 40)}" taken as '
        f"{'the name of the vehicle' if spot is None else 'what the readings are of'} that follows"
        for line, text, spot in titles
    )
    fewer = replace(seen, set_aside=[one for one, _ in kept], strays=[cells for _, cells in kept])
    return fewer.noting(*notes)


def unused_above(table: Table, comments: Sequence[Comment]) -> tuple[str, ...]:
    """Notes that name lines before the table which say nothing; `comments` as `with_titles` gives them."""
    used = {one.line for one in comments}
    left = (one for one in table.above if one not in comments)
    others = (one for one in left if one.line not in used or not _is_title(one.text))
    notes = (f'line {one.line}: "{shown(one.text, 60)}" says nothing thermlog uses' for one in others)
    return first_unused(tuple(notes), "lines before the table")


def _numbered(table: Table, seen: Observations) -> Iterator[Comment]:
    """The comments; those that are a vehicle word and a number, and such a line above, as statements."""
    stated = any(names_key(one.text, "vehicle") for one in table.comments)
    for one in table.comments:
        inside = bool(seen.line) and seen.line[0] < one.line < seen.line[-1]
        yield _named(one.line, one.text) if _is_numbered(one.text) and (inside or not stated) else one
    above = [one for one in table.above if _is_numbered(one.text)]
    if above and not stated:
        yield _named(above[-1].line, above[-1].text)


def _named(line: int, text: str) -> Comment:
    return Comment(line=line, text=f"vehicle: {text.strip()}")


def _is_numbered(text: str) -> bool:
    return _NUMBERED.fullmatch(plain_words(text)) is not None


def _is_title(text: str) -> bool:
    """True for words above a table that may be taken for its vehicle, or for what was aimed at."""
    return _is_numbered(text) or titled_spot(text) is not None


def _only_text(cells: Sequence[str]) -> str:
    """The one cell of a row that is filled; empty where there are more."""
    filled = [cell.strip() for cell in cells if cell.strip()]
    return filled[0] if len(filled) == 1 else ""


def _parts_tables(line: int, text: str, table: Table, seen: Observations) -> bool:
    """Whether words over a repeated header tell its table from the first one."""
    rows = bisect(seen.line, line)
    over = any(line < header and bisect(seen.line, header) == rows for header in seen.headers)
    if not over or not table.above or rows in {0, len(seen.line)}:
        return False
    words, others = tokens_of(text), [tokens_of(one.text) for one in table.above]
    return words not in others and len(words) <= _MOST_WORDS and not any(map(_tells_no_other, words))


def _tells_no_other(word: str) -> bool:
    """True for words that tell a round, a page or a time from another."""
    return word in cell_words().same_vehicle or ROLES.get(word.lower()) in {"round", "time", "date"}
