"""Tables as CSV for spreadsheets: text cells cannot start a formula, numbers stay numbers."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING, TypeAlias

from thermlog.reports.wording import printable, reason_texts, six_digits

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from thermlog.fleet.fleetlist import FleetRow
    from thermlog.reading.read import Unreadable
    from thermlog.words.estimates import Estimate
    from thermlog.words.findings import CornerFinding, Diagnosis

Cell: TypeAlias = str | int | float | None
# A spreadsheet takes a cell that begins so for a formula (OWASP ASVS 5.0, 1.2.10).
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")

CORNER_COLUMNS = (
    "file", "vehicle", "drive", "corner", "spot", "readings", "readings_used", "start_degc", "tau_s",
    "tau_low_s", "tau_high_s", "common_time_s", "at_common_degc", "low_degc", "high_degc", "rise_k", "p_hot",
    "p_cold", "verdict", "why", "policy", "drag", "idle", "heat", "p_drag", "p_idle", "urgent",
)  # fmt: skip
FLEET_COLUMNS = (
    "rank", "unit", "file", "drive", "axle", "corner", "difference_k", "low_k", "high_k", "rise_ratio",
    "verdict", "pattern", "p_fault", "why", "cannot_tell", "policy", "drag", "idle", "heat", "p_drag",
    "p_idle", "urgent", "decides",
)  # fmt: skip


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
    """One row a corner and spot, columns `CORNER_COLUMNS`."""
    return csv_table(
        CORNER_COLUMNS, (corner_cells(one, corner) for one in diagnoses for corner in one.corners)
    )


def fleet_csv(rows: Sequence[FleetRow], unreadable: Sequence[Unreadable]) -> str:
    """One row a line of the ranked list, columns `FLEET_COLUMNS`; files that were refused come last."""
    ranked = (_fleet_cells(rank, row) for rank, row in enumerate(rows, start=1))
    return csv_table(FLEET_COLUMNS, [*ranked, *map(_refused_cells, unreadable)])


def csv_table(head: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """Head and rows as CSV text, every cell `guarded`, lines ended by a line feed."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(head)
    writer.writerows([guarded(cell) for cell in row] for row in rows)
    return text.getvalue()


def corner_cells(one: Diagnosis, corner: CornerFinding) -> tuple[Cell, ...]:
    """Values of one corner and spot, in the order of `CORNER_COLUMNS`."""
    return (
        one.log.file,
        one.vehicle,
        one.drive,
        corner.corner,
        corner.spot,
        corner.readings,
        corner.readings_used,
        corner.start_degc,
        *cells_of(corner.tau_s),
        one.common_time_s,
        *cells_of(corner.at_common_degc),
        cells_of(corner.rise_k)[0],
        corner.p_hot,
        corner.p_cold,
        corner.verdict,
        "; ".join(reason_texts(corner.reasons)),
        one.policy.name,
        one.answers.drag.answer,
        one.answers.idle.answer,
        one.answers.heat.answer,
        one.answers.drag.p,
        one.answers.idle.p,
        "; ".join(dict.fromkeys(urgent.code for urgent in one.urgent)),
    )


def _fleet_cells(rank: int, row: FleetRow) -> tuple[Cell, ...]:
    return (
        rank,
        row.unit,
        row.file,
        row.drive,
        row.finding.axle or None,
        row.finding.suspect,
        *cells_of(row.finding.difference_k),
        cells_of(row.finding.rise_ratio)[0],
        row.finding.verdict,
        row.pattern,
        row.p_fault,
        "; ".join(reason_texts(row.finding.reasons)),
        "; ".join(reason_texts(row.cannot_tell)),
        row.policy,
        row.drag,
        row.idle,
        row.heat,
        row.p_drag,
        row.p_idle,
        "; ".join(row.urgent),
        "; ".join(reason_texts([row.decides] if row.decides else [])),
    )


def _refused_cells(item: Unreadable) -> tuple[Cell, ...]:
    known: dict[str, Cell] = {"file": item.file, "verdict": "unreadable", "why": item.reason}
    return tuple(known.get(column) for column in FLEET_COLUMNS)


def cells_of(estimate: Estimate | None) -> tuple[Cell, Cell, Cell]:
    """Value and both ends; empty where they are not known."""
    return (None, None, None) if estimate is None else (estimate.value, estimate.low, estimate.high)
