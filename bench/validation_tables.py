"""Tables of detection for docs/validation.md, and the figures that aims and tables share."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from validation_cells import Cell, Row

FAULTY, FITTED = 240, 100  # vehicles a row


def table(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """A table in Markdown."""
    lines = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    lines += ["| " + " | ".join(str(value) for value in row) + " |" for row in rows]
    return "\n".join(lines)


def percent(share: float, digits: int = 0) -> str:
    """Share in per cent; a dash where there is none."""
    return "-" if np.isnan(share) else f"{100.0 * share:.{digits}f}"


def drags(cell: Cell) -> list[Row]:
    """Rows with one dragging corner."""
    return [row for row in cell.rows if row.kind == "corner_hot"]


def rivals(row: Row) -> list[tuple[str, str]]:
    """Each baseline with the thermlog figure that stands for the same vehicles."""
    pairs = [("last difference", "thermlog"), ("difference of means", "thermlog")]
    return [*pairs, ("curve_fit", "thermlog, same vehicles")] if "curve_fit" in row.found.alarmed else pairs


def comparisons(cells: Sequence[Cell], kind: str) -> list[tuple[Cell, Row, str, float, float]]:
    """Every row with every baseline: (cell, row, baseline, ours, theirs)."""
    return [
        (cell, row, rival, row.found.alarmed[ours], row.found.alarmed[rival])
        for cell in cells
        for row in cell.rows
        if row.kind == kind
        for rival, ours in rivals(row)
    ]


def detection(cells: Sequence[Cell]) -> str:
    """Detection at the stated false alarms, dragging and dead corners."""
    parts = [_lost_rows(cells)]
    for weight in ("light", "heavy"):
        some = [cell for cell in cells if cell.weight_class == weight]
        parts += [
            f"Dragging corner, {weight} vehicles; out of 100: thermlog / last difference / means / curve_fit",
            _detection_table(some, "corner_hot", "N·m"),
        ]
    parts += [
        "Dead corner, all classes, part of its braking lost: the same",
        _detection_table(cells, "corner_cold", "lost"),
        "Area under the curve of detection over false alarms, all drags of a row together",
        _auc_table(cells),
    ]
    return "\n\n".join(parts)


def _detection_table(cells: Sequence[Cell], kind: str, unit: str) -> str:
    severities = [row.severity for row in cells[0].rows if row.kind == kind]
    head = ["class", "rounds", *(f"{severity:g} {unit}" for severity in severities)]
    return table(
        head,
        (
            [cell.name, cell.rounds, *(_versus(row) for row in cell.rows if row.kind == kind)]
            for cell in cells
        ),
    )


def _versus(row: Row) -> str:
    found = row.found.alarmed
    fewer = any(found[ours] < found[rival] for rival, ours in rivals(row))
    numbers = [
        found.get(name, np.nan)
        for name in ("thermlog", "last difference", "difference of means", "curve_fit")
    ]
    text = " / ".join(percent(share) for share in numbers)
    return f"{text} †" if fewer else text


def _auc_table(cells: Sequence[Cell]) -> str:
    methods = ("thermlog", "last difference", "difference of means", "thermlog, same vehicles", "curve_fit")
    return table(
        ["class", "rounds", *methods],
        (
            [cell.name, cell.rounds, *(f"{mean_auc(cell, method):.3f}" for method in methods)]
            for cell in cells
        ),
    )


def mean_auc(cell: Cell, method: str) -> float:
    """Mean over the drags of a cell; NaN where the method cannot be had."""
    return float(np.mean([row.found.auc.get(method, np.nan) for row in drags(cell)]))


def beyond_chance(lost: Sequence[tuple[Cell, Row, str, float, float]]) -> int:
    """How many lost comparisons lie beyond two standard errors of the difference of two shares."""
    count = 0
    for _, _, rival, ours, theirs in lost:
        size = FITTED if rival == "curve_fit" else FAULTY
        error = np.sqrt((ours * (1.0 - ours) + theirs * (1.0 - theirs)) / size)
        count += bool(theirs - ours > 2.0 * error)
    return count


def _lost_rows(cells: Sequence[Cell]) -> str:
    every = comparisons(cells, "corner_hot")
    fewer = [one for one in every if one[3] < one[4]]
    equal = [one for one in every if one[3] == one[4]]
    text = (
        f"Of {len(every)} comparisons of one row with one baseline, thermlog finds more dragging corners in "
        f"{len(every) - len(fewer) - len(equal)}, as many in {len(equal)} (mostly all of them), "
        f"fewer in {len(fewer)}, {beyond_chance(fewer)} of these by more than two standard errors."
    )
    if fewer:
        text += " Fewer, also marked † in the tables:\n\n" + table(
            ["class", "rounds", "N·m", "baseline", "thermlog", "baseline finds"],
            (
                [cell.name, cell.rounds, f"{row.severity:g}", rival, percent(ours), percent(theirs)]
                for cell, row, rival, ours, theirs in fewer
            ),
        )
    return text


def named_right(rows: Sequence[Row]) -> float:
    """Of all named corners of some rows, the share that is exactly the planted one."""
    named = sum(row.calls.named for row in rows)
    if named == 0.0:
        return float("nan")
    return sum(row.calls.named * row.calls.named_right for row in rows if row.calls.named > 0.0) / named
