"""Lines to rows of cells: delimiters, quotes; what is broken is named, never mended."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Sequence

from msgspec import Struct, field

from thermlog.words.regular import regular

DELIMITERS = (",", ";", "\t", "|", "  ", " ")
BLOCK_ROWS = 20_000
LONGEST_RECORD = 20  # lines that one quoted cell may span
_DIGIT = regular(r"\d")
_MANY_SPACES = regular(r" {2,}|\t+")
_NAMES = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar", "  ": "spaces", " ": "space"}


class Dialect(Struct, frozen=True, kw_only=True):
    """How cells are told apart.

    Attributes
    ----------
    delimiter : str
        One of `DELIMITERS` or any single character; two spaces stand for "two or more".
    quote : str
        Quote character.
    escape : str or None
        Escape character; None: a quote inside quotes is doubled.
    quoted : bool
        False if the quote character occurs nowhere in the file.
    """

    delimiter: str = ","
    quote: str = '"'
    escape: str | None = None
    quoted: bool = True


class Records(Struct, kw_only=True):
    """Rows of a file or of a part of it, with their line numbers.

    Attributes
    ----------
    rows : list of list of str
        Blank lines are empty lists.
    lines : sequence of int
        Line on which each row starts, first line 1.
    damaged : dict
        Index of a row -> what is wrong with it.
    """

    rows: list[list[str]]
    lines: Sequence[int]
    damaged: dict[int, str] = field(default_factory=dict)


def delimiter_words(delimiter: str) -> str:
    """Name of a delimiter for people.

    Examples
    --------
    >>> delimiter_words(";"), delimiter_words("~")
    ('semicolon', '~')
    """
    return _NAMES.get(delimiter, delimiter)


def quoting_of(sample: str) -> Dialect:
    """Quote and escape characters that a text uses; its delimiter stays the default."""
    if '"' in sample:
        return Dialect(escape="\\" if '\\"' in sample and '""' not in sample else None)
    wrapped = len(re.findall(r"(?:^|[,;\t|]) *'[^'\n]*' *(?=$|[,;\t|])", sample, re.MULTILINE))
    return Dialect(quote="'") if wrapped >= 2 else Dialect()


def split_block(lines: Sequence[str], dialect: Dialect, *, first_line: int = 1) -> Records:
    """Cells of every line.

    Parameters
    ----------
    lines : sequence of str
        Without line ends.
    dialect : Dialect
    first_line : int
        Number of the first of `lines` in the file.

    Returns
    -------
    Records
        A quoted cell may span lines. A quote that never closes damages its own line only.

    Raises
    ------
    csv.Error
        A cell is longer than the csv module takes.
    """
    if dialect.delimiter == "  ":
        lines = [_MANY_SPACES.sub("\t", line.strip()) for line in lines]
    elif dialect.delimiter == " ":
        lines = [line.strip() for line in lines]
    if dialect.quoted and any(dialect.quote in line for line in lines):
        return _quoted(lines, dialect, first_line)
    rows = list(csv.reader(lines, delimiter=_character(dialect), quoting=csv.QUOTE_NONE))
    if dialect.delimiter == " ":
        rows = [[cell for cell in row if cell] for row in rows]
    return Records(rows=rows, lines=range(first_line, first_line + len(rows)))


def _character(dialect: Dialect) -> str:
    return "\t" if dialect.delimiter == "  " else dialect.delimiter


def _quoted(lines: Sequence[str], dialect: Dialect, first_line: int) -> Records:
    rows: list[list[str]] = []
    numbers: list[int] = []
    damaged: dict[int, str] = {}
    index = 0
    while index < len(lines):
        record = _one_record(lines, index, dialect)
        if record.problem:
            damaged[len(rows)] = record.problem
        rows.append(record.cells)
        numbers.append(first_line + index)
        index += record.span
    return Records(rows=rows, lines=numbers, damaged=damaged)


class _Record(Struct, frozen=True, kw_only=True):
    cells: list[str]
    span: int = 1
    problem: str | None = None


def _one_record(lines: Sequence[str], index: int, dialect: Dialect) -> _Record:
    """The record starting at a line, over as many lines as its quotes ask for."""
    line = lines[index]
    if dialect.quote not in line:
        return _Record(cells=_cells(line, dialect, strict=False))
    for span in range(1, min(LONGEST_RECORD, len(lines) - index) + 1):
        record = "\n".join(lines[index : index + span])
        try:
            cells = _cells(record, dialect, strict=True)
        except csv.Error:
            if _stays_open(record, dialect):
                continue
            return _Record(cells=_cells(line, dialect, strict=False), problem=_BROKEN_QUOTE)
        if _swallowed(lines[index + 1 : index + span], len(cells), dialect):
            break
        return _Record(cells=cells, span=span)
    return _Record(cells=_cells(line, dialect, strict=False), problem=_OPEN_QUOTE)


def _stays_open(record: str, dialect: Dialect) -> bool:
    """True if nothing is wrong with a record but that its last quote, or escape, waits for more."""
    for more in (f"\n{dialect.quote}", " "):
        try:
            _cells(record + more, dialect, strict=True)
        except csv.Error:
            continue
        return True
    return False


_OPEN_QUOTE = "a quote is opened and not closed in this row; remove it or close it"
_BROKEN_QUOTE = "a quote stands inside a quoted cell; double it or remove it"


def _swallowed(inner: Sequence[str], width: int, dialect: Dialect) -> bool:
    """True if lines inside a quoted cell look like rows of their own, the one that closes it among them."""
    if width < 2:
        return False
    delimiter, last = _character(dialect), len(inner) - 1
    for number, line in enumerate(inner):
        within = line.rpartition(dialect.quote)[0] if number == last else line
        row_like = within.count(delimiter) >= width - 1
        if row_like and (dialect.quote not in line or _DIGIT.search(within)):
            return True
    return False


def _cells(record: str, dialect: Dialect, *, strict: bool) -> list[str]:
    reader = csv.reader(
        [record],
        delimiter=_character(dialect),
        quotechar=dialect.quote,
        escapechar=dialect.escape,
        doublequote=dialect.escape is None,
        skipinitialspace=True,
        strict=strict,
    )
    return next(reader, [])


def split_blocks(lines: Sequence[str], dialect: Dialect, *, start: int) -> Iterator[Records]:
    """`split_block` over a long file in parts, so that cells of the whole file never stand in memory at once.

    Parameters
    ----------
    lines : sequence of str
        All lines of the file.
    dialect : Dialect
    start : int
        Index of the first line wanted.
    """
    if len(lines) - start <= BLOCK_ROWS:
        yield split_block(lines[start:] if start else lines, dialect, first_line=start + 1)
        return
    while start < len(lines):
        stop = _block_end(lines, min(start + BLOCK_ROWS, len(lines)), dialect)
        yield split_block(lines[start:stop], dialect, first_line=start + 1)
        start = stop


def _block_end(lines: Sequence[str], stop: int, dialect: Dialect) -> int:
    """Move the cut past a cell that spans lines: cut only before a line without quotes, if one is near."""
    for shift in range(min(LONGEST_RECORD, len(lines) - stop)):
        if dialect.quote not in lines[stop + shift]:
            return stop + shift
    return stop
