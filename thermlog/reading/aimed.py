"""Where the gun pointed, as a column or a remark beside a reading says: at a tyre, a rim, a hub, past it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reading.cells import count_words, shown
from thermlog.reading.cellwords import cell_words
from thermlog.reading.positions.resolve import spot_of
from thermlog.reading.positions.words import tokens_of, word_table
from thermlog.reading.sifted import StepResult
from thermlog.words.vehicle import FACE_SPOTS, SPOTS, Spot

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from thermlog.reading.sifted import LogRows
    from thermlog.words.tables import SetAside


def noted_spot(text: str) -> Spot | None:
    """Spot that a whole remark, or a cell for the spot, names; None if it says anything else.

    Examples
    --------
    >>> noted_spot("on tyre"), noted_spot("rim only"), noted_spot("hub area"), noted_spot("hub hot")
    ('tyre_outer', 'rim', 'hub', None)
    """
    words = cell_words()
    tokens = tokens_of(text)
    left = [token for token in tokens if token not in words.between | words.only | words.about]
    return spot_of(" ".join(tokens)) or (spot_of(" ".join(left)) if left else None)


def spots_in_column(rows: LogRows) -> StepResult[Sequence[int] | None]:
    """A column of spots says where the gun was aimed; -1 where it is empty, and the position may say.

    Readings of a spot that nobody knows are set aside.
    """
    cells = rows.seen.extra.get("spot")
    if cells is None:
        return StepResult(found=None)
    known = {text: noted_spot(text) for text in set(cells)}
    faces = _faces_of_discs(rows, cells) if None in known.values() else {}
    codes = {text: SPOTS.index(spot) if spot is not None else -1 for text, spot in (known | faces).items()}
    problem = f"not a known spot; write one of: {', '.join(SPOTS)}"
    aside = {
        row: rows.aside(row, (rows.column("spot"), text), "spot", problem)
        for row, text in enumerate(cells)
        if codes[text] < 0 and text.strip()
    }
    words = ", ".join(f'"{shown(text.strip(), 40)}"' for text in sorted(faces))
    note = f"{words} in the column of spots: taken as faces of the disc, for a front axle has them"
    return StepResult(found=[codes[text] for text in cells], aside=aside, notes=[note] if faces else ())


def _faces_of_discs(rows: LogRows, cells: Sequence[str]) -> dict[str, Spot]:
    """What "inner" and "outer" alone in a column of spots are: faces of the disc, where wheels are not dual.

    A front axle that steers has one wheel a side; where such a one is so read, all of the log are faces.
    Elsewhere they may be the tyres of a dual pair, and nothing is guessed.
    """
    duals, filler = word_table().duals, word_table().filler
    told: dict[str, Spot] = {}
    for text in set(cells):
        tokens = [token for token in tokens_of(text) if token not in filler]
        if len(tokens) == 1 and tokens[0] in duals:
            told[text] = "rotor_inner" if duals[tokens[0]] == "inner" else "rotor_outer"
    return told if any(text in told and _at_front(rows, row) for row, text in enumerate(cells)) else {}


def _at_front(rows: LogRows, row: int) -> bool:
    """True at the first axle of a vehicle, where its words say that others are behind it."""
    code = rows.code[row]
    return code >= 0 and int(rows.codes.axle[code]) == 1 < int(rows.codes.axles_least[code])


def noted_miss(text: str) -> bool:
    """True for a remark that the shot missed, whatever it hit instead.

    Examples
    --------
    >>> noted_miss("missed, rim"), noted_miss("missed its service")
    (True, False)
    """
    words = cell_words()
    left = [token for token in tokens_of(text) if token not in words.between | words.only]
    rest = [token for token in left if token not in words.missed]
    return len(rest) < len(left) and (not rest or spot_of(" ".join(rest)) is not None)


def spots_in_remarks(
    rows: LogRows, spots: Sequence[int] | None, live: Sequence[int]
) -> StepResult[Sequence[int] | None]:
    """The same spots with those of readings whose remark says where the gun pointed.

    Readings whose remark says that they missed are set aside.
    """
    if not rows.seen.remarks:
        return StepResult(found=spots)
    found: dict[int, Spot] = {}
    aside: dict[int, SetAside] = {}
    names, columns = rows.asked.plan.names, rows.asked.plan.remarks
    column = names[columns[0]] if columns else "remark"
    for row, text in _remarks(rows):
        if noted_miss(text):
            problem = "the remark says that the reading missed; read the wheel again"
            aside.setdefault(row, rows.aside(row, (column, text), "by_hand", problem))
        elif (spot := noted_spot(text)) is not None and not _stated(rows, spots, row):
            found[row] = spot
    if len(found) < sum(
        row not in aside for row in live
    ):  # some readings of a brake have no more than its name
        found = {row: spot for row, spot in found.items() if spot not in FACE_SPOTS}
    if not found:
        return StepResult(found=spots, aside=aside)
    told = [-1] * len(rows.code) if spots is None else [*spots]
    for row, spot in found.items():
        told[row] = SPOTS.index(spot)
    return StepResult(found=told, aside=aside, notes=[*_notes(rows, found)])


def _remarks(rows: LogRows) -> Iterator[tuple[int, str]]:
    """Readings with a remark of their own; of several in a line of the table, all."""
    own = [one for one in rows.seen.remarks if one.of_wheel and not one.strict and one.row is not None]
    if not own:
        return
    of_line: dict[int, list[int]] = {}
    for row, line in enumerate(rows.seen.line):
        of_line.setdefault(line, []).append(row)
    for one in own:
        for row in of_line[one.line]:
            yield row, one.text


def _stated(rows: LogRows, spots: Sequence[int] | None, row: int) -> bool:
    """True where a column of spots, or the words for the wheel, name a spot."""
    in_column = spots is not None and spots[row] >= 0
    code = rows.code[row]
    return in_column or (code >= 0 and SPOTS[int(rows.codes.spot[code])] != "brake")


def _notes(rows: LogRows, found: Mapping[int, Spot]) -> Iterator[str]:
    for spot in dict.fromkeys(found.values()):
        lines = [rows.seen.line[row] for row in found if found[row] == spot]
        first = next(text for row, text in _remarks(rows) if found.get(row) == spot)
        many = count_words(len(lines), "reading")
        yield (
            f"{many}, first in line {lines[0]}, taken as of the {spot.replace('_', ' ')}, as the remark says "
            f'("{shown(first.strip(), 40)}")'
        )
