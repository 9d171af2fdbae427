"""The most that a gun showed, and means, beside the readings: one that is hotter was read somewhere."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from thermlog.reading.cells import measured, shown
from thermlog.reading.cellwords import cell_words
from thermlog.reading.figures import largest_figure
from thermlog.reading.headings import names_average
from thermlog.reading.positions.words import tokens_of
from thermlog.reading.spoken import SWEPT_K, in_degc
from thermlog.words.tables import Blind
from thermlog.words.units import to_degc

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from thermlog.reading.observations import HighestShown
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
    """What the gun showed while it was aimed, and means of shots, where plainly hotter than what was read."""
    means = [one for one in work.seen.highest if names_average(one.column.name)]
    if means:
        yield from _means(work, means)
    yield from _highest(
        work, [one for one in work.seen.highest if one not in means] if means else work.seen.highest
    )


def _highest(work: Sifted, shown_there: Sequence[HighestShown]) -> Iterator[tuple[int | None, Blind]]:
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


def _means(work: Sifted, means: Sequence[HighestShown]) -> Iterator[tuple[int | None, Blind]]:
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


def _degc(work: Sifted, one: HighestShown) -> float | None:
    """The figure of such a cell [°C]; None where there is none, or its unit is not known."""
    figure = measured(one.text, work.decimal)
    unit = figure.unit or one.column.unit or work.temps.base
    if figure.problem or unit is None:
        return None
    return float(to_degc(figure.value * one.column.factor, unit))


def _hotter(work: Sifted, one: HighestShown, degc: float) -> Blind:
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
