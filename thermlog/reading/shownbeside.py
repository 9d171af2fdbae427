"""Figures beside the readings: the most that a gun showed, means, the brake once more, a hub."""

from __future__ import annotations

import math
from statistics import median
from typing import TYPE_CHECKING

import numpy as np

from thermlog.reading.cells import measured, shown
from thermlog.reading.cellwords import cell_words
from thermlog.reading.figures import largest_figure
from thermlog.reading.positions.words import tokens_of
from thermlog.reading.spoken import SWEPT_K, in_degc
from thermlog.words.tables import Blind
from thermlog.words.units import to_degc

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from thermlog.reading.observations import FigureBeside
    from thermlog.reading.sifted import Sifted


def hides_hotter(work: Sifted, row: int) -> bool:
    """True for a highest value, or a mean, above all readings: something was hotter at some wheel."""
    value, words = value_degc(work, row), cell_words()
    said = words.highest | words.average
    return (
        value is not None
        and not said.isdisjoint(tokens_of(work.seen.position[row]))
        and value > _hottest_degc(work, work.live()) + SWEPT_K
    )


def hotter_shown(work: Sifted) -> Iterator[tuple[int | None, Blind]]:
    """What stands beside the readings where it is plainly hotter than what was read, with its row."""
    by_column: dict[int, list[FigureBeside]] = {}
    for one in work.seen.beside:
        by_column.setdefault(one.column.index, []).append(one)
    for found in by_column.values():
        figures = found[0].column.figures
        of = _highest if figures == "most" else _means if figures == "mean" else _apart
        yield from of(work, found)


def _highest(work: Sifted, shown_there: Sequence[FigureBeside]) -> Iterator[tuple[int | None, Blind]]:
    """The most that a gun showed, beside all readings of the log.

    A gun keeps its highest value while the trigger is held: it counts where it came first.
    """
    hottest_degc = _hottest_degc(work, work.live())
    for one in shown_there:
        figure = measured(one.text, work.decimal)
        if figure.problem and figure.code == "over_range":
            yield (
                one.row,
                Blind(
                    code="over_range",
                    line=work.seen.line[one.row],
                    corner=work.codes.corner(work.code[one.row]),
                    quoted=shown(one.text.strip(), 60),
                ),
            )
        degc = _degc(work, one)
        if degc is not None and degc > hottest_degc + SWEPT_K:
            hottest_degc = degc
            yield one.row, _hotter(work, one, degc)


def _means(work: Sifted, means: Sequence[FigureBeside]) -> Iterator[tuple[int | None, Blind]]:
    """Means of several shots, beside all readings of their own wheel: one of the shots was as hot.

    A mean that stands beside several wheels may be one of them all: it is set against all that was read.
    """
    told = [(one, work.code[one.row], degc) for one in means if (degc := _degc(work, one)) is not None]
    wheels: dict[float, set[str | None]] = {}
    for _, code, degc in told:
        wheels.setdefault(degc, set()).add(work.codes.corner(code))
    for one, code, degc in told:
        corner = work.codes.corner(code)
        alone = corner is not None and len(wheels[degc]) == 1
        own = [row for row in work.live() if work.codes.corner(work.code[row]) == corner] if alone else []
        if degc > _hottest_degc(work, own or work.live()) + SWEPT_K:
            yield one.row, _hotter(work, one, degc)


def _apart(work: Sifted, found: Sequence[FigureBeside]) -> Iterator[tuple[int | None, Blind]]:
    """Figures of one column that are plainly above the reading of their row.

    Those of the same brake differ from what was read by much the same in every row, where a unit or a
    correction parts them: what counts is by how much one row differs more. Those of another part of the wheel
    end are held against the brake itself.
    """
    told = [(one, degc) for one in found if (degc := _degc(work, one)) is not None]
    excess_k = [degc - float(work.temps.degc[one.row]) for one, degc in told]
    wheels = {work.code[one.row] for one, _ in told}
    alike = found[0].column.figures == "again" and len(wheels) > 1
    usual_k = median(filter(math.isfinite, excess_k)) if alike and any(map(math.isfinite, excess_k)) else 0.0
    for (one, degc), above_k in zip(told, excess_k, strict=True):
        if above_k - usual_k > SWEPT_K:
            yield one.row, _hotter(work, one, degc)


def _degc(work: Sifted, one: FigureBeside) -> float | None:
    """The figure of such a cell [°C]; None where there is none, or its unit is not known."""
    figure = measured(one.text, work.decimal)
    unit = figure.unit or one.column.unit or work.temps.base
    if figure.problem or unit is None:
        return None
    return float(to_degc(figure.value * one.column.factor, unit))


def _hotter(work: Sifted, one: FigureBeside, degc: float) -> Blind:
    line, corner = work.seen.line[one.row], work.codes.corner(work.code[one.row])
    return Blind(code="set_aside", line=line, corner=corner, quoted=one.text.strip(), value_degc=degc)


def _hottest_degc(work: Sifted, rows: Sequence[int]) -> float:
    read = work.temps.degc[np.array(rows, dtype=np.int64)]
    return float(np.nanmax(read, initial=-np.inf))


def value_degc(work: Sifted, row: int) -> float | None:
    """Temperature of a reading that was not used [°C]; None where it tells none."""
    value = float(work.temps.degc[row])
    if math.isfinite(value):
        return value
    figure = largest_figure(work.seen.temp[row], work.decimal)
    return None if figure is None else in_degc(work, row, figure, None)
