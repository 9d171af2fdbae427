"""Tables as CSV for spreadsheets: text cells cannot start a formula, numbers stay numbers."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Generic, Literal, NamedTuple, ParamSpec, TypeAlias

from thermlog.reports.wording import printable, reason_texts, six_digits, unweighed_words
from thermlog.words.columns import CellKind
from thermlog.words.vehicle import BRAKE_SPOTS

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from thermlog.words.estimates import Estimate
    from thermlog.words.findings import AxleFinding, CornerFinding, Diagnosis

Row = ParamSpec("Row")
Cell: TypeAlias = str | int | float | None
CsvStyle: TypeAlias = Literal["point", "comma"]
# A spreadsheet takes a cell that begins so for a formula (OWASP ASVS 5.0, 1.2.10).
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


class Told(NamedTuple, Generic[Row]):
    """One column of a result: its name, the kind of its cells, and how a row fills it."""

    name: str
    kind: CellKind
    cell: Callable[Row, Cell]


def estimated(names: Sequence[str], estimate: Callable[Row, Estimate | None]) -> Iterator[Told[Row]]:
    """Columns of a value and, as far as they have names, of both ends of its interval."""

    def part(place: int) -> Callable[Row, Cell]:
        return lambda *row, **words: cells_of(estimate(*row, **words))[place]

    return (Told(name, "figure", part(place)) for place, name in enumerate(names))


def _axle(one: Diagnosis, corner: CornerFinding) -> AxleFinding | None:
    """The axle of a brake; None for a hub, a rim or a tyre."""
    return one.axle(corner.axle) if corner.spot in BRAKE_SPOTS else None


def _gap(one: Diagnosis, corner: CornerFinding) -> Estimate | None:
    """Left minus right of the axle of a brake."""
    axle = _axle(one, corner)
    return None if axle is None else axle.difference_k


CORNERS: tuple[Told[[Diagnosis, CornerFinding]], ...] = (
    Told("file", "text", lambda one, _: one.log.file),
    Told("vehicle", "text", lambda one, _: one.vehicle),
    Told("drive", "text", lambda one, _: one.drive),
    Told("corner", "text", lambda _, corner: corner.corner),
    Told("spot", "text", lambda _, corner: corner.spot),
    Told("readings", "whole", lambda _, corner: corner.readings),
    Told("readings_used", "whole", lambda _, corner: corner.readings_used),
    Told("start_degc", "figure", lambda _, corner: corner.start_degc),
    *estimated(("tau_s", "tau_low_s", "tau_high_s"), lambda _, corner: corner.tau_s),
    Told("common_time_s", "figure", lambda one, _: one.common_time_s),
    *estimated(("at_common_degc", "low_degc", "high_degc"), lambda _, corner: corner.at_common_degc),
    *estimated(("rise_k",), lambda _, corner: corner.rise_k),
    Told("p_hot", "figure", lambda _, corner: corner.p_hot),
    Told("p_cold", "figure", lambda _, corner: corner.p_cold),
    Told("verdict", "text", lambda _, corner: corner.verdict),
    Told("why", "text", lambda _, corner: "; ".join(reason_texts(corner.reasons))),
    Told("policy", "text", lambda one, _: one.policy.name),
    Told("drag", "text", lambda one, _: one.answers.drag.answer),
    Told("idle", "text", lambda one, _: one.answers.idle.answer),
    Told("heat", "text", lambda one, _: one.answers.heat.answer),
    Told("p_drag", "figure", lambda one, _: one.answers.drag.p),
    Told("p_idle", "figure", lambda one, _: one.answers.idle.p),
    Told("urgent", "text", lambda one, _: "; ".join(dict.fromkeys(urgent.code for urgent in one.urgent))),
    Told("pattern", "text", lambda one, _: one.pattern.kind),
    Told("p_fault", "figure", lambda one, _: one.p_fault),
    Told("axle", "whole", lambda _, corner: corner.axle),
    *estimated(("difference_k", "low_k", "high_k"), _gap),
    Told("axle_verdict", "text", lambda one, corner: axle.verdict if (axle := _axle(one, corner)) else None),
    Told("next_check", "text", lambda one, _: one.next_check.id if one.next_check else None),
    Told("do_next", "text", lambda one, _: one.next_check.question if one.next_check else None),
    Told("minutes", "figure", lambda one, _: one.next_check.minutes if one.next_check else None),
    Told("unweighed", "text", lambda one, _: "; ".join(unweighed_words(one))),
)


def guarded(cell: Cell) -> Cell:
    """Text that a spreadsheet will show and not carry out; numbers stay numbers, None and NaN empty.

    Examples
    --------
    >>> guarded("=1+1"), guarded(-4.5), guarded("1L"), guarded("@x")
    ("'=1+1", -4.5, '1L', "'@x")
    """
    if isinstance(cell, str):
        plain = printable(cell)
        return f"'{plain}" if cell.startswith(_FORMULA_STARTS) else plain
    if isinstance(cell, float):
        return six_digits(cell)
    return cell


def corners_csv(diagnoses: Sequence[Diagnosis]) -> str:
    """One row a corner and spot, columns `CORNERS`."""
    return told_csv(CORNERS, ((one, corner) for one in diagnoses for corner in one.corners))


def told_csv(
    columns: Sequence[Told[Any]], rows: Iterable[tuple[object, ...]], *, style: CsvStyle = "point"
) -> str:
    """Rows as CSV text, as `csv_table` has it; every row is what its cells are made from."""
    cells = ([column.cell(*row) for column in columns] for row in rows)
    return csv_table([column.name for column in columns], cells, style=style)


def csv_table(head: Sequence[str], rows: Iterable[Sequence[Cell]], *, style: CsvStyle = "point") -> str:
    """Head and rows as CSV text, every cell `guarded`, lines ended by a line feed.

    Parameters
    ----------
    head : sequence of str
    rows : iterable of sequence of Cell
    style : {"point", "comma"}
        Commas between cells and a decimal point; or semicolons and a decimal comma, with the mark by which
        spreadsheets know UTF-8.
    """
    text = io.StringIO()
    comma = style == "comma"
    writer = csv.writer(text, lineterminator="\n", delimiter=";" if comma else ",")
    writer.writerow(head)
    for row in rows:
        cells = [guarded(cell) for cell in row]
        writer.writerow([_with_comma(cell) for cell in cells] if comma else cells)
    return ("\ufeff" if comma else "") + text.getvalue()


def _with_comma(cell: Cell) -> Cell:
    return str(cell).replace(".", ",") if isinstance(cell, float) else cell


def cells_of(estimate: Estimate | None) -> tuple[Cell, Cell, Cell]:
    """Value and both ends; empty where they are not known."""
    return (None, None, None) if estimate is None else (estimate.value, estimate.low, estimate.high)
