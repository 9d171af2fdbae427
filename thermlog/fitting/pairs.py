"""Left and right side by side: which readings belong to which spot of which axle of which case.

A *pair* is one spot on the two sides of one axle of one case. Cases of like shape are stacked into blocks, so
that one array computation serves thousands of vehicles and none of them notices the others.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from msgspec import Struct

from thermlog.words.tables import Bools, Floats, Ints, Readings
from thermlog.words.vehicle import SPOTS

_SLOT_STEPS = np.array([1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 32, 48, 64, 96, 128], dtype=np.int64)
_MOST_CELLS = 120_000  # array cells of one block: a few arrays stay in the processor's cache


class Pairs(Struct, frozen=True, kw_only=True, eq=False):
    """Pairs of all cases, in order of case, axle and spot.

    Attributes
    ----------
    case, axle, spot : int array (pairs,)
        Index of the case, axle number, index into `vehicle.SPOTS`.
    first : int array (cases + 1,)
        Pairs of case c are ``first[c]`` up to ``first[c + 1]``.
    readings : int array (2, pairs)
        Number of readings left and right.
    row_pair, row_side, row_slot : int array (rows,)
        Pair, side and place in time order of every row of the readings table.
    """

    case: Ints
    axle: Ints
    spot: Ints
    first: Ints
    readings: Ints
    row_pair: Ints
    row_side: Ints
    row_slot: Ints

    @property
    def count(self) -> int:
        """Number of pairs."""
        return int(self.case.size)

    @property
    def row_series(self) -> Ints:
        """Side of a pair of every row, as one number: twice the pair, one more on the right."""
        return np.asarray(self.row_pair * 2 + self.row_side)


class Block(Struct, frozen=True, kw_only=True, eq=False):
    """Cases with the same number of pairs, stacked.

    Attributes
    ----------
    cases : int array (vehicles,)
        Which cases.
    pairs : int array (pairs, vehicles)
        Which pairs.
    rows : int array (readings in the block,)
        Rows of the readings table.
    place : tuple of int arrays
        Where each of `rows` goes in an array of `shape`.
    shape : tuple of int
        (readings, 2, pairs, vehicles).
    """

    cases: Ints
    pairs: Ints
    rows: Ints
    place: tuple[Ints, Ints, Ints, Ints]
    shape: tuple[int, int, int, int]

    def spread(self, column: Floats) -> Floats:
        """A column of the readings table as an array of `shape`, 0 where no reading stands."""
        array = np.zeros(self.shape)
        array[self.place] = column[self.rows]
        return array

    def present(self) -> Bools:
        """True where a reading stands."""
        array = np.zeros(self.shape, dtype=bool)
        array[self.place] = True
        return array


def pair_readings(readings: Readings) -> Pairs:
    """Find the pairs of a readings table.

    Parameters
    ----------
    readings : Readings
        Any number of cases, rows in any order.

    Returns
    -------
    Pairs
    """
    spots, axles = len(SPOTS), int(readings.axle.max(initial=0)) + 1
    key = (readings.case * axles + readings.axle) * spots + readings.spot
    order = _time_order(readings, key * 2 + readings.side)
    sorted_key = key[order]
    starts_pair = np.ones(readings.rows, dtype=bool)
    starts_pair[1:] = sorted_key[1:] != sorted_key[:-1]
    unique = sorted_key[starts_pair]
    row_pair = np.empty(readings.rows, dtype=np.int64)
    row_pair[order] = np.cumsum(starts_pair) - 1
    series = row_pair * 2 + readings.side
    counts = np.bincount(series, minlength=2 * unique.size)
    starts = np.cumsum(counts) - counts
    row_slot = np.empty(readings.rows, dtype=np.int64)
    row_slot[order] = np.arange(readings.rows) - starts[series[order]]
    case = unique // (axles * spots)
    return Pairs(
        case=case,
        axle=unique // spots % axles,
        spot=unique % spots,
        first=np.searchsorted(case, np.arange(len(readings.cases) + 1)),
        readings=counts.reshape(-1, 2).T.copy(),
        row_pair=row_pair,
        row_side=readings.side,
        row_slot=row_slot,
    )


def _time_order(readings: Readings, series: Ints) -> Ints:
    """Rows by series and time; equal times by value: the order in the file does not matter."""
    order = np.argsort(series, kind="stable")
    step = np.diff(readings.elapsed_s[order])
    same = np.diff(series[order]) == 0
    if (same & (step <= 0)).any():  # not in order of time already, as most logs are
        order = np.lexsort((readings.indicated_degc, readings.elapsed_s, series))
    return order


def mean_of_series(pairs: Pairs, column: Floats) -> Floats:
    """Mean of a column of the readings over every side of every pair.

    Parameters
    ----------
    pairs : Pairs
    column : float array (rows,)

    Returns
    -------
    float array (2, pairs)
        NaN where nothing was read.
    """
    series = pairs.row_series
    total = np.bincount(series, weights=column, minlength=2 * pairs.count)
    with np.errstate(invalid="ignore"):
        mean: Floats = total.reshape(-1, 2).T / pairs.readings
    return mean


def blocks_of(pairs: Pairs) -> Iterator[Block]:
    """Stacks of cases of like shape that together hold every case with at least one reading once.

    Parameters
    ----------
    pairs : Pairs

    Yields
    ------
    Block
    """
    per_case = np.diff(pairs.first)
    busiest = (
        np.maximum.reduceat(pairs.readings.max(0), pairs.first[:-1][per_case > 0])
        if pairs.count
        else np.zeros(0)
    )
    slots = np.zeros(per_case.size, dtype=np.int64)
    slots[per_case > 0] = _rounded_up(busiest.astype(np.int64))
    row_case = pairs.case[pairs.row_pair]
    row_order = np.argsort(row_case, kind="stable")
    row_first = np.searchsorted(row_case[row_order], np.arange(per_case.size + 1))
    for width, depth in sorted(set(zip(per_case.tolist(), slots.tolist(), strict=True)) - {(0, 0)}):
        members = np.flatnonzero((per_case == width) & (slots == depth))
        step = max(1, _MOST_CELLS // int(depth * 2 * width))
        for begin in range(0, members.size, step):
            chosen = members[begin : begin + step]
            rows = row_order[_ranges(row_first[chosen], row_first[chosen + 1])]
            yield _block(pairs, chosen, rows, (int(depth), 2, int(width), chosen.size))


def _rounded_up(readings: Ints) -> Ints:
    """Reading slots of a block: a few sizes only, so that few kinds of blocks are needed."""
    step = np.searchsorted(_SLOT_STEPS, readings)
    beyond = -(-readings // 128) * 128
    return np.where(step < _SLOT_STEPS.size, _SLOT_STEPS[np.minimum(step, _SLOT_STEPS.size - 1)], beyond)


def _ranges(begin: Ints, end: Ints) -> Ints:
    """All whole numbers of several ranges, one after the other."""
    length = end - begin
    offset = np.repeat(begin - (np.cumsum(length) - length), length)
    return offset + np.arange(int(length.sum()))


def _block(pairs: Pairs, cases: Ints, rows: Ints, shape: tuple[int, int, int, int]) -> Block:
    members = pairs.first[cases] + np.arange(shape[2])[:, None]
    pair = pairs.row_pair[rows]
    place_of = np.empty(pairs.first.size, dtype=np.int64)
    place_of[cases] = np.arange(cases.size)
    vehicle = place_of[pairs.case[pair]]
    place = (pairs.row_slot[rows], pairs.row_side[rows], pair - pairs.first[cases[vehicle]], vehicle)
    return Block(cases=cases, pairs=members, rows=rows, place=place, shape=shape)
