"""Comment lines beside the rows of a text."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from thermlog.words.regular import regular

_COMMENT = ("#", '"#', "'#", "%", "//")
_MARKS = ("#", "%", "//")
_TRAILING = "\",;|\t '"
_MOST_NOTES = 8
_ROW_NUMBERS = regular(r"\s*\"?#\"? ?([,;\t|])")


class Comment(Struct, frozen=True, kw_only=True):
    """One comment line without its mark."""

    line: int
    text: str


def take_comments(lines: list[str], text: str, *, first_line: int = 1) -> list[Comment]:
    """Comment lines, blanked in `lines` so that every other line keeps its number.

    A comment starts with ``#``, ``%`` or ``//``, also inside the quotes and before the empty cells that a
    spreadsheet adds when it saves a log again. `text` is the whole file, to know when the last mark is seen.
    """
    found = []
    marks = sum(map(text.count, _MARKS))
    for index, line in enumerate(lines):
        if not marks:
            break
        if line.lstrip().startswith(_COMMENT) and not _heads_row_numbers(lines, index):
            found.append(Comment(line=first_line + index, text=_remark(line)))
            lines[index] = ""
            marks -= sum(map(line.count, _MARKS))
    return found


def _heads_row_numbers(lines: Sequence[str], index: int) -> bool:
    """True for a heading whose first column, of row numbers, is called #: below it stands a number."""
    head = _ROW_NUMBERS.match(lines[index])
    if head is None:
        return False
    below = next((line for line in lines[index + 1 :] if line.strip()), "")
    cells = below.split(head[1])
    words = lines[index].split(head[1])[1:]
    numbered = cells[0].strip('" ').isdigit() and len(cells) == len(words) + 1
    return numbered and any(map(str.strip, words))


def _remark(line: str) -> str:
    return line.strip().strip(_TRAILING).lstrip('#%/" ').strip().replace('""', '"')


def first_unused(notes: tuple[str, ...], what: str) -> tuple[str, ...]:
    """Notes of lines that say nothing, the first one by one; of the rest how many `what` there are."""
    if len(notes) <= _MOST_NOTES:
        return notes
    return (*notes[:_MOST_NOTES], f"{len(notes) - _MOST_NOTES} more {what} say nothing thermlog uses")
