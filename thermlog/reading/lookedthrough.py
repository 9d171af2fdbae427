"""A log that is refused is looked through all the same: for words, and figures, that stop a vehicle."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec.structs import replace

from thermlog.reading.beheld import warns_of_danger
from thermlog.reading.cells import shown, tidy, unit_word
from thermlog.reading.cellwords import bare_letters, cell_words
from thermlog.reading.files.comments import Comment, take_comments
from thermlog.reading.files.dialect import Records
from thermlog.reading.files.rawtext import decode, is_workbook, split_lines, unpack
from thermlog.reading.hotfigures import UnreadLine, hot_figures
from thermlog.reading.keyvalue import pair_in
from thermlog.reading.positions.resolve import looks_like_position
from thermlog.reading.remarks.answered import answers_told
from thermlog.reading.remarks.sights import read_sights
from thermlog.reading.severalsaid import LONGEST_LINE, each_said
from thermlog.words.errors import LogRefusedError
from thermlog.words.regular import regular
from thermlog.words.unread import UnreadDanger, UnreadLog

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from thermlog.reading.readoptions import ReadOptions

_DELIMITERS = ";\t|,"  # the first by which headings show: a comma may be the decimal mark
_ENDS = "\"' \t,;|"
_QUOTED = 60
_DIGIT = regular(r"\d")
_MOST_SEEN = 3  # at one vehicle, without a word of where or how: judgement


def looked_through(content: bytes, *, file: str, options: ReadOptions) -> UnreadLog:
    """What a log that cannot be read says that stops a vehicle.

    Parameters
    ----------
    content : bytes
    file : str
    options : ReadOptions
        What was seen may be stated there, and counts as if the log said it.
    """
    return _said_in(_lines(content, file, options), options)


def looked_through_sheet(records: Records, *, options: ReadOptions) -> UnreadLog:
    """The same of a sheet that is passed over beside one that holds a log; what was seen is told there."""
    said = _said_in(_of_records(records), replace(options, seen=()))
    return replace(said, dangers=()) if _lists_choices(said.dangers) else said


def _lists_choices(dangers: Sequence[UnreadDanger]) -> bool:
    """True for a list to choose from: things that may be seen, each alone, and more than are ever seen."""
    seen = [cell_words().seen.get(bare_letters(part)) for one in dangers for part in one.said.split(",")]
    return None not in seen and len(set(seen)) > _MOST_SEEN


def _said_in(found_lines: Iterable[UnreadLine], options: ReadOptions) -> UnreadLog:
    lines = [one for one in found_lines if len(one.text) <= LONGEST_LINE]
    comments = _comments(lines)
    taken = {one.line for one in comments}
    rows = [one for one in lines if one.number not in taken and one.text.strip()]
    said = [
        *(UnreadDanger(said=text) for text in options.seen if read_sights(text).found),
        *(UnreadDanger(line=one.line, said=one.text) for one in comments if _endangers(one.text)),
        *(UnreadDanger(line=row.number, said=row.text) for row in rows if _row_endangers(row)),
        *_asked(rows),
    ]
    pairs = [pair for one in comments if (pair := pair_in(one.text)) is not None]
    unit = next((unit_word(pair.text) for pair in pairs if pair.key == "unit"), options.unit)
    remarks = [(one.line, one.text) for one in comments]
    found = {one.line: one for one in (*hot_figures(rows, remarks, unit, options.limits), *reversed(said))}
    vehicle = next((pair.text for pair in pairs if pair.key == "vehicle"), options.vehicle)
    return UnreadLog(
        vehicle=None if vehicle is None else shown(vehicle),
        dangers=tuple(replace(found[k], said=_quoted(found[k].said)) for k in sorted(found, key=_place)),
        no_readings=not any(map(_holds_reading, rows)),
    )


def _place(line: int | None) -> int:
    return 0 if line is None else line


def _lines(content: bytes, file: str, options: ReadOptions) -> Iterator[UnreadLine]:
    """Lines of a text, also of one in an encoding that nobody can tell; rows of a workbook."""
    try:
        content = unpack(content, file=file)
        if is_workbook(content):
            yield from _of_workbook(content, file)
            return
        text = decode(content, file=file, encoding=options.encoding).text
    except LogRefusedError as refusal:
        if refusal.code != "encoding":  # a picture or the like, or nothing at all
            return
        text = content.decode("cp1252", errors="replace")
    ways = (_cut(text, delimiter) for delimiter in _DELIMITERS)
    yield from next((way for way in ways if any(one.heads for one in way)), _cut(text, ","))


def _cut(text: str, delimiter: str) -> list[UnreadLine]:
    """Lines with their cells; marks of comments stay."""
    return [
        UnreadLine(number=number, text=line, cells=tuple(cell.strip(_ENDS) for cell in line.split(delimiter)))
        for number, line in enumerate(split_lines(text), start=1)
    ]


def _of_workbook(content: bytes, file: str) -> Iterator[UnreadLine]:
    from thermlog.reading.files.workbook import workbook_sheets  # few logs are workbooks

    for sheet in workbook_sheets(content, file=file):
        if sheet.records is not None:
            yield from _of_records(sheet.records)


def _of_records(records: Records) -> Iterator[UnreadLine]:
    for number, row in zip(records.lines, records.rows, strict=True):
        yield UnreadLine(number=number, text=", ".join(filter(None, row)), cells=tuple(row))


def _comments(lines: Sequence[UnreadLine]) -> list[Comment]:
    """Comment lines, and lines ``key: value``, each thing by itself."""
    told: list[Comment] = []
    for one in lines:
        found = take_comments([one.text], one.text, first_line=one.number)
        bare = one.text.strip(_ENDS)
        pair = None if found else pair_in(bare)
        told += [Comment(line=one.number, text=bare)] if pair is not None and pair.key is not None else found
    return each_said(told)


def _endangers(text: str) -> bool:
    pair = pair_in(text)
    if pair is not None and pair.key == "seen":
        sights = read_sights(pair.text)
        return bool(sights.found or sights.strange)
    return warns_of_danger(text)


def _row_endangers(row: UnreadLine) -> bool:
    if row.heads:
        return False
    at_wheel = any(map(looks_like_position, row.cells))
    whole = ", ".join(filter(None, row.cells))
    return warns_of_danger(whole) or any(warns_of_danger(cell, at_wheel=at_wheel) for cell in row.cells)


def _asked(rows: Sequence[UnreadLine]) -> Iterator[UnreadDanger]:
    """Answers in columns that ask for what stops a vehicle: "smoke" over "yes"."""
    heads = [k for k, row in enumerate(rows) if row.heads]
    for start, stop in pairwise([*heads, len(rows)]):
        below = rows[start + 1 : stop]
        for k, heading in enumerate(rows[start].cells):
            cells = [row.cells[k] if k < len(row.cells) else "" for row in below]
            told = answers_told(heading, cells)
            for row, cell in zip(below, cells, strict=True):
                wheel = next(filter(looks_like_position, row.cells), "")
                said = told.get(cell, "")
                if said and warns_of_danger(said, at_wheel=bool(wheel)):
                    yield UnreadDanger(line=row.number, said=f"{wheel} {said}".strip())


def _quoted(text: str) -> str:
    """What a line says, without its mark, and without the key of a remark."""
    pair = pair_in(text)
    said = pair.text if pair is not None and pair.key in {"seen", "remark"} else text
    return shown(" ".join(said.strip(_ENDS).split()), _QUOTED)


def _holds_reading(row: UnreadLine) -> bool:
    """True for a row with a figure beside something else."""
    cells = [cell for cell in map(tidy, row.cells) if cell]
    return len(cells) > 1 and any(_DIGIT.search(one) and not looks_like_position(one) for one in cells)
