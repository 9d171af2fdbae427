"""Rows of a table that are no readings: blank, repeated headers, of another shape, of another table."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct, field

from thermlog.reading.cells import count_words, shown
from thermlog.reading.columns import plan_columns
from thermlog.reading.files.dialect import Records
from thermlog.reading.headless import are_times
from thermlog.reading.locate import Table
from thermlog.reading.plan import Plan, cells_beside_wheel
from thermlog.reading.positions.resolve import looks_like_position
from thermlog.reading.positions.words import tokens_of
from thermlog.words.regular import regular
from thermlog.words.tables import SetAside

_SENTENCE = 2  # words
_RULE = regular(r"\s*[-=+:_*|—–]{2,}\s*")


class Weeded(Struct, frozen=True, kw_only=True, eq=False):
    """Rows that have the table's shape, and the others: entries of what is set aside, with their cells."""

    records: Records
    set_aside: Sequence[SetAside]
    strays: Sequence[Sequence[str]]


class Weeder(Struct, kw_only=True):
    """Takes out blank rows, repeated headers, rows of another width, and whatever follows a second header."""

    table: Table
    repeats: list[int] = field(default_factory=list)
    next_table: tuple[int, Plan] | None = None

    def plain_columns(self, records: Records) -> list[tuple[str, ...]]:
        """Columns of a block in which every row has the table's width and nothing else is odd; else none."""
        if self.next_table is not None or records.damaged:
            return []
        try:
            columns = list(zip(*records.rows, strict=True))
        except ValueError:
            return []
        return columns if len(columns) == self.table.plan.width else []

    def rows(self, records: Records) -> Weeded:
        """Rows of a block by whether they have the table's shape."""
        width = self.table.plan.width
        kept, lines = [], []
        set_aside, strays = [], []
        for index, row in enumerate(records.rows):
            if _is_rule(row):
                continue
            line = records.lines[index]
            problem = records.damaged.get(index) or self._problem(row, line)
            if problem is None:
                kept.append(row if len(row) == width else self._fitted(row))
                lines.append(line)
            elif problem:
                text = shown(" | ".join(row))
                entry = SetAside(line=line, column=None, value=text, reason=problem, code="row_shape")
                set_aside.append(entry)
                strays.append(row)
        return Weeded(records=Records(rows=kept, lines=lines), set_aside=set_aside, strays=strays)

    def _fitted(self, row: list[str]) -> list[str]:
        width = self.table.plan.width
        if self._is_long_remark(row):
            return [*row[: width - 1], ", ".join(cell.strip() for cell in row[width - 1 :] if cell.strip())]
        return row[:width] + [""] * (width - len(row))

    def _is_long_remark(self, row: Sequence[str]) -> bool:
        """True where the last column is for remarks, and words with a delimiter between them stand there.

        A figure among them may be the rest of a decimal comma.
        """
        plan = self.table.plan
        words = row[plan.width - 1 :]
        last_is_words = bool(words) and not any(c.isdigit() for cell in words for c in cell)
        return last_is_words and plan.width - 1 in plan.remarks

    def _problem(self, row: list[str], line: int) -> str | None:
        """Why a row is no row of the table; empty if it is one not worth a word; None if it is one."""
        plan = self.table.plan
        if self.next_table is not None:
            return ""
        header = self._as_header(row, line)
        if header is not None:
            return header
        if len(row) > plan.width and any(row[plan.width :]) and not self._is_long_remark(row):
            return f"{_cells(row, plan)}; look for a delimiter too many"
        if len(row) <= plan.last_needed:
            return f"{_cells(row, plan)}{_lacking(row, plan)}; look for a delimiter missing"
        noted = not self.table.header and not any(any(map(str.isdigit, cell)) for cell in row)
        if noted or _is_line_of_words(row, plan):
            return "words, and no figure: no reading"
        return None

    def _as_header(self, row: list[str], line: int) -> str | None:
        """The same header again is passed over; another one ends the table."""
        cells = [cell.strip() for cell in row]
        if self.table.header and _same_heads(cells, self.table.header):
            self.repeats.append(line)
            return ""
        if any(c.isdigit() for k in self._figures(row) for c in row[k]):
            if not self._heads_rounds(cells):
                return None
            cells[self.table.plan.index["position"]] = "wheel"  # whatever stands there, or nothing
        plan = plan_columns(tuple(cells))
        if plan.layout is None or plan.score < 2:
            return None
        self.next_table = line, plan
        return ""

    def _heads_rounds(self, cells: Sequence[str]) -> bool:
        """True for the header of another walk of a table with a column a round: other times, same words."""
        plan, header = self.table.plan, self.table.header
        places = {temp.index for temp in plan.temps}
        if plan.layout != "rounds" or "position" not in plan.index or len(cells) != len(header or ()):
            return False
        words = [k for k in range(len(cells)) if k not in places]
        times = [cells[k] for k in places if cells[k]]
        return are_times(times) and all(_same_heads([cells[k]], [header[k]]) for k in words)

    def _figures(self, row: Sequence[str]) -> list[int]:
        """Columns that hold figures in a row of readings and words in a header."""
        plan = self.table.plan
        columns = [temp.index for temp in plan.temps] + [plan.index.get("time", -1)]
        return [k for k in columns if 0 <= k < len(row)]

    def notes(self) -> list[str]:
        """What was passed over without being a reading."""
        found = [f"{count_words(len(self.repeats), 'repeated header')} passed over"] if self.repeats else []
        if self.next_table is not None:
            found.append(f"a second table begins in line {self.next_table[0]}, with columns of its own")
        return found


def _is_line_of_words(row: Sequence[str], plan: Plan) -> bool:
    """True for a title or a footer of a sheet: words in one cell of a row a reading, and nothing else.

    In the column of wheels it takes several words that are no wheel: one may be a wheel with a slip.
    """
    filled = [k for k, cell in enumerate(row) if cell.strip()]
    if plan.layout != "long" or len(filled) != 1 or plan.temps[0].index in filled:
        return False
    text = row[filled[0]]
    words = [token for token in tokens_of(text) if not token.isdigit()]
    of_wheels = {plan.index.get(role) for role in ("position", "axle", "side")}
    least = _SENTENCE if filled[0] in of_wheels else 1
    return len(words) >= least and not looks_like_position(text)


def _is_rule(row: Sequence[str]) -> bool:
    """True for a blank row, and for a line drawn under a header or between rounds: no cell says anything."""
    return all(not cell.strip() or _RULE.fullmatch(cell) for cell in row)


def _cells(row: Sequence[str], plan: Plan) -> str:
    return f"{count_words(len(row), 'cell')} where the header has {plan.width}"


def _lacking(row: Sequence[str], plan: Plan) -> str:
    """Columns that a short row has surely no cell for, told by the place of its wheel."""
    wheel = next((k for k, cell in enumerate(row) if looks_like_position(cell)), None)
    if wheel is None or "position" not in plan.index:
        return ""
    found = cells_beside_wheel(row, wheel, plan)
    lacking = [f'"{plan.names[k]}"' for k in plan.needed if k not in found]
    return f", none for {' and '.join(lacking)}" if len(found) == len(row) else ""


def _same_heads(cells: Sequence[str], header: Sequence[str]) -> bool:
    return len(cells) == len(header) and all(
        cell == head or (not cell and head.startswith("column "))
        for cell, head in zip(cells, header, strict=True)
    )
