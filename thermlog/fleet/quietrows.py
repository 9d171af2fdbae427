"""Lines of vehicles on which nothing was found, packed into columns: a third of the memory of records.

A fleet is mostly healthy. Such a line differs from the next one in its names and figures; all else of it is
kept once for all lines that share it. A record is made of a line when one is asked for.
"""

from __future__ import annotations

import math
from sys import intern
from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from msgspec.structs import astuple, replace

from thermlog.fleet.ranking import Place, doubt_grade, group_place, step_of, tail_of
from thermlog.words.estimates import Estimate
from thermlog.words.tables import Floats, Ints

if TYPE_CHECKING:
    from collections.abc import Container, Iterable, Iterator

    from thermlog.fleet.workrow import FleetRow

_FIGURES = 17
_HOTTEST = 14  # of them


class QuietRows(Struct, frozen=True, kw_only=True, eq=False):
    """Lines that name no reason and no errand, at most one of a file.

    Attributes
    ----------
    unit, file, sha256 : list of str
    taken : list of str or None
        The same moment is kept once.
    figures : float array (rows, figures)
        All numbers of each line, and what ranks it; NaN where there is none.
    kind : int array (rows,)
        Index into `kinds`.
    kinds : list of FleetRow
        What lines have in common: the same without names and figures.
    """

    unit: list[str]
    file: list[str]
    sha256: list[str]
    taken: list[str | None]
    figures: Floats
    kind: Ints
    kinds: list[FleetRow]

    def __len__(self) -> int:
        return len(self.file)

    def __iter__(self) -> Iterator[FleetRow]:
        return map(self.row, range(len(self)))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, QuietRows) and [*self] == [*other]

    __hash__ = None  # type: ignore[assignment]  # as of every record that holds lists

    def row(self, k: int) -> FleetRow:
        """Line `k` as a record."""
        common = self.kinds[self.kind[k]]
        numbers = [None if math.isnan(one) else one for one in self.figures[k].tolist()]
        difference, ratio, surface = (_estimate(*numbers[place : place + 3]) for place in (0, 3, 6))
        low_k, high_k, p_fault, p_drag, p_idle, degc = numbers[9:15]
        line: FleetRow = replace(
            common,
            unit=self.unit[k],
            file=self.file[k],
            sha256=self.sha256[k],
            taken=self.taken[k],
            finding=replace(
                common.finding,
                difference_k=difference,
                rise_ratio=ratio,
                surface_difference_k=surface,
                marks_k=None if low_k is None or high_k is None else (low_k, high_k),
            ),
            p_fault=p_fault,
            p_drag=p_drag,
            p_idle=p_idle,
            hottest=None if common.hottest is None else replace(common.hottest, degc=degc),
        )
        return line

    @property
    def difference_k(self) -> Floats:
        """Left minus right with both ends of its interval (3, rows) [K]; NaN where there is none."""
        return self.figures.T[:3]

    @property
    def hottest_degc(self) -> Floats:
        """Hottest reading (rows,) [°C]; NaN where there is none."""
        return self.figures[:, _HOTTEST]

    def places(self) -> list[Place]:
        """Place of every line in the list of work, as `ranking.line_place` has it."""
        steps, doubts = self.figures[:, 15].tolist(), self.figures[:, 16].tolist()
        ends = [(group_place(common), tail_of(common)) for common in self.kinds]
        each = zip(steps, doubts, self.unit, self.file, self.kind.tolist(), strict=True)
        return [
            (ends[kind][0], step, doubt, unit, file, ends[kind][1]) for step, doubt, unit, file, kind in each
        ]

    def without(self, files: Container[str]) -> QuietRows:
        """The same without the lines of some files."""
        kept = [k for k, file in enumerate(self.file) if file not in files]
        if len(kept) == len(self):
            return self
        unit, file, sha256 = ([names[k] for k in kept] for names in (self.unit, self.file, self.sha256))
        return replace(
            self,
            unit=unit,
            file=file,
            sha256=sha256,
            taken=[self.taken[k] for k in kept],
            figures=self.figures[kept],
            kind=self.kind[kept],
        )


def _estimate(value: float | None, low: float | None, high: float | None) -> Estimate | None:
    return None if value is None else Estimate(value, low, high)


def packed(rows: Iterable[FleetRow]) -> QuietRows:
    """Lines in columns; whatever of a line has no column is part of its kind.

    Parameters
    ----------
    rows : iterable of FleetRow
    """
    table = list(rows)
    kinds: dict[FleetRow, int] = {}
    kind = [kinds.setdefault(_common(row), len(kinds)) for row in table]
    figures = [_figures(row) for row in table]
    return QuietRows(
        unit=[row.unit for row in table],
        file=[row.file for row in table],
        sha256=[row.sha256 for row in table],
        taken=[None if row.taken is None else intern(row.taken) for row in table],
        figures=np.array(figures, dtype=np.float64).reshape(-1, _FIGURES),  # None becomes NaN
        kind=np.array(kind, dtype=np.int64),
        kinds=list(kinds),
    )


def _figures(row: FleetRow) -> tuple[float | None, ...]:
    found, hottest = row.finding, row.hottest
    estimates = (found.difference_k, found.rise_ratio, found.surface_difference_k)
    gap_k, ratio, surface_k = ((None,) * 3 if one is None else astuple(one) for one in estimates)
    marks_k = (None, None) if found.marks_k is None else found.marks_k
    p = (row.p_fault, row.p_drag, row.p_idle)
    degc = None if hottest is None else hottest.degc
    return (*gap_k, *ratio, *surface_k, *marks_k, *p, degc, step_of(row), doubt_grade(row))


def _common(row: FleetRow) -> FleetRow:
    bare = replace(row.finding, difference_k=None, rise_ratio=None, surface_difference_k=None, marks_k=None)
    hottest = None if row.hottest is None else replace(row.hottest, degc=None)
    return replace(
        row,
        unit="",
        file="",
        sha256="",
        taken=None,
        finding=bare,
        p_fault=None,
        p_drag=None,
        p_idle=None,
        hottest=hottest,
    )
