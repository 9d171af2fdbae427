"""Lines ``key: value`` without a comment mark, above, between and below the rows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reading.files.comments import Comment
from thermlog.reading.severalsaid import own_key
from thermlog.reading.statements import is_statement
from thermlog.words.regular import regular

if TYPE_CHECKING:
    from collections.abc import Sequence

_MARKS = regular(r"[,;\t|]")
_BEFORE_WORDS = ('"', "'", " ", "\t")
_ENDS = "\"' \t,;|"
_MOST_CELLS = 2  # filled: the key and its value; a row of readings has more


def take_statements(lines: list[str]) -> list[Comment]:
    """Lines ``key: value`` without a comment mark, blanked in `lines`: every other line keeps its number.

    Parameters
    ----------
    lines : list of str
        Of the file, comments blanked.
    """
    found = []
    for index, line in enumerate(lines):
        if line[:1] < "A" and line[:1] not in _BEFORE_WORDS:  # figures, or nothing
            continue
        pair = ":" in line or "=" in line or _MARKS.search(line.strip(_ENDS)) is None
        statement = as_statement(_MARKS.split(line)) if pair else None
        if statement is not None:
            found.append(Comment(line=index + 1, text=statement))
            lines[index] = ""
    return found


def as_statement(cells: Sequence[str]) -> str | None:
    """The text of a row that says ``key: value`` over one cell or two, or in each; None of any other."""
    filled = [cell.strip(_ENDS) for cell in cells if cell.strip(_ENDS)]
    if len(filled) > 1 and all(map(own_key, filled)):
        return "; ".join(filled)
    if not 1 <= len(filled) <= _MOST_CELLS:
        return None
    if len(filled) == 1:
        return filled[0] if is_statement(filled[0], remarks=":" in filled[0]) else None
    key, value = filled
    if key[-1] in ":=":
        whole = f"{key} {value}"
    elif ":" in key and value[:1].isdigit():  # 18,5 cut at its comma
        whole = f"{key},{value}"
    else:
        return None
    return whole if is_statement(whole, remarks=True) else None
