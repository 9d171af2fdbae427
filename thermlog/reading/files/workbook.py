"""Sheets of an .xlsx workbook (ECMA-376), as rows of text cells like those of any other log.

Read here and not by a library: a cell then shows the time as it was typed, every reference is looked at
before anything is held for it, and no file, whatever it is made of, takes more than a bounded memory.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NoReturn

from msgspec import Struct

from thermlog.reading.cells import number
from thermlog.reading.files.container import Container, Handlers, relations_of
from thermlog.reading.files.dialect import Records
from thermlog.reading.files.sheetcells import NUMBER, Shown, built_in_format, cell_text, format_shows
from thermlog.words.errors import LogRefusedError, TroubleCode
from thermlog.words.regular import regular

MOST_CELLS = 500_000  # of one sheet, empty ones within its corners counted
_MOST_SHEETS = 500
_MOST_LETTERS = 16 * 1024**2  # of all cells of a sheet; one text may stand in many of them
_MOST_MERGED = 10_000
_LAST_ROW, _LAST_COLUMN = 1_048_576, 16_384
_REFERENCE = regular(r"([A-Z]{1,3})([1-9][0-9]{0,6})")
_ROW = regular(r"[1-9][0-9]{0,6}")
_MERGED = regular(r"([A-Z]{1,3})([1-9][0-9]{0,6}):([A-Z]{1,3})([1-9][0-9]{0,6})")


class Sheet(Struct, frozen=True, kw_only=True):
    """One sheet of a workbook.

    Attributes
    ----------
    name : str
    hidden : bool
    records : Records or None
        None if it could not be read.
    notes : tuple of str
    refusal : LogRefusedError or None
        Why it could not be read.
    """

    name: str
    hidden: bool
    records: Records | None
    notes: tuple[str, ...] = ()
    refusal: LogRefusedError | None = None


class _Listed(Struct, frozen=True, kw_only=True):
    name: str
    state: str
    relation: str


class _Overview(Handlers):
    """The list of sheets, and from when days are counted."""

    def __init__(self) -> None:
        self.sheets: list[_Listed] = []
        self.since_1904 = False

    def start(self, name: str, attributes: Mapping[str, str]) -> None:
        if name == "workbookPr":
            self.since_1904 = attributes.get("date1904", "0") in {"1", "true"}
        elif name == "sheet" and len(self.sheets) < _MOST_SHEETS:
            relation = next((value for key, value in attributes.items() if key.endswith(" id")), "")
            state = attributes.get("state", "visible")
            self.sheets.append(_Listed(name=attributes.get("name", ""), state=state, relation=relation))


class _Styles(Handlers):
    """What the number format of every cell style shows."""

    def __init__(self) -> None:
        self.shown: list[Shown] = []
        self._own: dict[str, str] = {}
        self._known: dict[str, Shown] = {"": NUMBER}
        self._within = False

    def start(self, name: str, attributes: Mapping[str, str]) -> None:
        if name == "numFmt":
            self._own[attributes.get("numFmtId", "")] = attributes.get("formatCode", "")
        elif name == "cellXfs":
            self._within = True
        elif name == "xf" and self._within:
            number = attributes.get("numFmtId", "0")
            code = self._own.get(number) or built_in_format(int(number) if number.isdecimal() else 0)
            if code not in self._known:
                self._known[code] = format_shows(code)
            self.shown.append(self._known[code])

    def end(self, name: str) -> None:
        if name == "cellXfs":
            self._within = False


class _Spelled(Handlers):
    """Takes up what stands within some elements; how letters are pronounced is left out."""

    taken: frozenset[str]

    def __init__(self) -> None:
        self._parts: list[str] = []
        self._taken = False
        self._aside = 0

    def start(self, name: str, attributes: Mapping[str, str]) -> None:  # noqa: ARG002 (as handlers have it)
        self._aside += name == "rPh"
        self._taken = name in self.taken and not self._aside

    def text(self, text: str) -> None:
        if self._taken:
            self._parts.append(text)

    def end(self, name: str) -> None:
        self._taken = False
        self._aside -= name == "rPh"


class _Texts(_Spelled):
    """Texts that cells refer to by number."""

    taken = frozenset({"t"})

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def end(self, name: str) -> None:
        super().end(name)
        if name == "si":
            self.found.append("".join(self._parts))
            self._parts.clear()


class _Book(Struct, kw_only=True):
    """What all sheets share."""

    texts: list[str]
    shown: list[Shown]
    since_1904: bool


class _Cells(_Spelled):
    """Cells of one sheet, row by row; every reference is looked at before anything is held for it."""

    taken = frozenset({"v", "t"})

    def __init__(self, book: _Book, file: str) -> None:
        super().__init__()
        self.rows: list[list[str]] = []
        self.width = 0
        self.unreckoned = 0
        self._book, self._file = book, file
        self._letters = 0
        self._merged: list[tuple[int, int, int]] = []  # column, first and last row
        self._row = self._column = 0
        self._kind, self._style = "n", 0
        self._formula = False

    def start(self, name: str, attributes: Mapping[str, str]) -> None:
        super().start(name, attributes)
        if name == "row":
            self._begin_row(attributes.get("r"))
        elif name == "c":
            self._begin_cell(attributes)
        elif name == "f":
            self._formula = True
        elif name == "mergeCell":
            self._note_merged(attributes.get("ref", ""))

    def end(self, name: str) -> None:
        super().end(name)
        if name == "c":
            self._end_cell()

    def _note_merged(self, reference: str) -> None:
        """Note cells of one column that are merged: their text stands in the first alone."""
        found = _MERGED.fullmatch(reference)
        if found is not None and found[1] == found[3] and len(self._merged) < _MOST_MERGED:
            self._merged.append((_number_of(found[1]), int(found[2]), int(found[4])))

    def filled(self) -> list[list[str]]:
        """Rows of equal width; a word in merged cells stands in each row, a figure was read but once."""
        rows = [row + [""] * (self.width - len(row)) if row else row for row in self.rows]
        left = MOST_CELLS  # merged cells may overlap; the work is bounded all the same
        for column, first, last in self._merged:
            below = range(first, min(last, len(rows)))
            left -= len(below)
            word = (
                rows[first - 1][column - 1] if first <= len(rows) and column <= len(rows[first - 1]) else ""
            )
            if left < 0 or not word or number(word) is not None:
                continue
            for row in below:
                if rows[row] and not rows[row][column - 1]:
                    rows[row][column - 1] = word
        return rows

    def _refuse(self, problem: str, value: str | None = None, *, code: TroubleCode = "damaged") -> NoReturn:
        raise LogRefusedError(problem, code=code, file=self._file, line=max(1, self._row), value=value)

    def _begin_row(self, number: str | None) -> None:
        before = self._row
        if number is not None and _ROW.fullmatch(number) is None:
            problem = "a row number that no sheet has; save the workbook again, or the sheet as CSV"
            self._refuse(problem, number[:20])
        self._row, self._column = before + 1 if number is None else int(number), 0
        if not before < self._row <= _LAST_ROW:
            problem = "rows out of order, or beyond the last row of a sheet; save the workbook again"
            self._refuse(problem)

    def _begin_cell(self, attributes: Mapping[str, str]) -> None:
        before, reference = self._column, attributes.get("r")
        self._column = before + 1 if reference is None else self._column_of(reference)
        if not before < self._column <= _LAST_COLUMN or not self._row:
            problem = "cells out of order, or beyond the last column of a sheet; save the workbook again"
            self._refuse(problem, reference)
        self._kind = attributes.get("t", "n")
        style = attributes.get("s", "0")
        self._style = int(style) if style.isdecimal() and len(style) < 9 else 0
        self._formula = False
        self._parts.clear()

    def _column_of(self, reference: str) -> int:
        found = _REFERENCE.fullmatch(reference)
        if found is None or int(found[2]) != self._row:
            problem = (
                "a cell reference that is none in this row; save the workbook again, or the sheet as CSV"
            )
            self._refuse(problem, reference[:20])
        return _number_of(found[1])

    def _end_cell(self) -> None:
        raw = "".join(self._parts)
        self.unreckoned += self._formula and not raw
        text = self._text_of(raw)
        if not text:
            return
        width = max(self.width, self._column)
        self._letters += len(text)
        if self._row * width > MOST_CELLS or self._letters > _MOST_LETTERS:
            self._refuse_vast(width)
        self.width = width
        while len(self.rows) < self._row:
            self.rows.append([])
        row = self.rows[-1]
        row += [""] * (self._column - 1 - len(row))
        row.append(text)

    def _refuse_vast(self, width: int) -> NoReturn:
        problem = (
            f"the sheet reaches to column {_letters_of(width)} and row {self._row}, "
            f"over {MOST_CELLS // 1000} thousand cells or {_MOST_LETTERS // 1024**2} million letters; "
            "delete what stands far from the readings, or save the sheet as CSV"
        )
        self._refuse(problem, code="too_large")

    def _text_of(self, raw: str) -> str:
        if self._kind == "s":
            texts = self._book.texts
            if raw.strip() and not (raw.strip().isdecimal() and int(raw[:9]) < len(texts)):
                problem = "a cell refers to a text that the workbook does not hold; save the workbook again"
                self._refuse(problem, raw[:20])
            return texts[int(raw)] if raw.strip() else ""
        if self._kind == "b":
            return {"1": "TRUE", "0": "FALSE"}.get(raw.strip(), raw)
        if self._kind != "n" or not raw:
            return raw
        shown = self._book.shown[self._style] if self._style < len(self._book.shown) else NUMBER
        return cell_text(raw, shown, since_1904=self._book.since_1904)


def _number_of(letters: str) -> int:
    column = 0
    for letter in letters:
        column = 26 * column + ord(letter) - ord("A") + 1
    return column


def _letters_of(column: int) -> str:
    letters = ""
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def workbook_sheets(content: bytes, *, file: str) -> Iterator[Sheet]:
    """Sheets of a workbook, hidden ones too, each read when its turn comes.

    Parameters
    ----------
    content : bytes
        An .xlsx file.
    file : str
        For messages.

    Raises
    ------
    LogRefusedError
        The file is no workbook, a damaged or a vast one.
    """
    container = Container(content, file=file)
    main = next((part for kind, part in relations_of(container, "").values() if kind == "officeDocument"), "")
    if other := container.other():
        container.refuse(f"this is {other}, not an .xlsx workbook", "other_kind")
    if not main:
        container.refuse(
            f"this is a zip archive of {container.parts()} files, not an .xlsx workbook", "other_kind"
        )
    overview = _Overview()
    container.parse(main, overview)
    relations = relations_of(container, main)
    book = _shared(container, relations, since_1904=overview.since_1904)
    for listed in overview.sheets:
        kind, part = relations.get(listed.relation, ("none", ""))
        yield _read_sheet(container, listed, kind, part, book)


def _shared(container: Container, relations: Mapping[str, tuple[str, str]], *, since_1904: bool) -> _Book:
    texts, styles = _Texts(), _Styles()
    for kind, part in relations.values():
        if kind == "sharedStrings":
            container.parse(part, texts)
        elif kind == "styles":
            container.parse(part, styles)
    return _Book(texts=texts.found, shown=styles.shown, since_1904=since_1904)


def _read_sheet(container: Container, listed: _Listed, kind: str, part: str, book: _Book) -> Sheet:
    hidden = listed.state in {"hidden", "veryHidden"}
    if kind != "worksheet":
        refusal = LogRefusedError(f"no sheet of cells ({kind})", code="other_kind", file=container.file)
        return Sheet(name=listed.name, hidden=hidden, records=None, refusal=refusal)
    cells = _Cells(book, container.file)
    try:
        container.parse(part, cells)
    except LogRefusedError as refusal:
        if refusal.line is None:  # of the container, not of a cell: the sheets after it would fare no better
            raise
        return Sheet(name=listed.name, hidden=hidden, records=None, refusal=refusal)
    notes: tuple[str, ...] = ()
    if cells.unreckoned:
        count = "one formula has" if cells.unreckoned == 1 else f"{cells.unreckoned} formulas have"
        notes = (f"{count} no result; open the workbook in a spreadsheet program and save it",)
    rows = cells.filled()
    records = Records(rows=rows, lines=range(1, len(rows) + 1))
    return Sheet(name=listed.name, hidden=hidden, records=records, notes=notes)
