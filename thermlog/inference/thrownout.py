"""Readings that were thrown out for lying off the curve of the others: the hottest and coldest of each brake.

What lies far above the others may be a shot at something else, and may be true. Nothing is cleared beside it
before the wheel was read again; where it was, and the curve held, that is said. What lies far below them is
a shot beside the brake far more often: a brake does not lose its heat in a minute, and one that does nothing
has none to show. Only where no more readings say that it is warm it may be the others that missed.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from thermlog.fitting.fit import Fits
from thermlog.fitting.pairs import Pairs
from thermlog.fitting.stack import STRAY, VOTES
from thermlog.words.tables import Floats, Readings

# Readings on the curve after it, or one after it of so many: judgement, common practice, no source.
_READ_AGAIN, _AGREEING = 2, 3


class Stray(Struct, frozen=True, kw_only=True):
    """Hottest, or coldest, reading of a series that does not vote for it lies off the curve of the others.

    Attributes
    ----------
    line : int
    value_degc : float
        Indicated [°C].
    rise_k : float
        Brought to the common time along the curve of the others [K].
    since, votes : int
        Readings that vote and were taken after it; all that vote.
    thrown : int
        Readings of the series that were thrown out, this one among them.
    """

    line: int
    value_degc: float
    rise_k: float
    since: int
    votes: int
    thrown: int = 1

    @property
    def contradicted(self) -> bool:
        """True if the wheel was read again after it and the curve held: no brake comes down to it so soon."""
        return self.since >= _READ_AGAIN or (self.since > 0 and self.votes >= _AGREEING)


def farthest_strays(
    readings: Readings, pairs: Pairs, fits: Fits, rise_k: Floats, *, below: bool = False
) -> dict[tuple[int, int], Stray]:
    """The thrown-out reading farthest above the others, of every side of every pair that has one.

    Parameters
    ----------
    readings : Readings
    pairs : Pairs
    fits : Fits
    rise_k : float array (rows,)
        Of every reading at the common time; NaN where it has no curve.
    below : bool
        The one farthest below them instead.

    Returns
    -------
    dict of (side, pair) to Stray
    """
    series = pairs.row_series
    every = np.flatnonzero((fits.left_out == STRAY) & np.isfinite(rise_k))
    if every.size == 0:
        return {}
    height = -rise_k[every] if below else rise_k[every]
    rows = every[np.lexsort((-height, series[every]))]  # stable: of equal ones the first in the log
    rows = rows[np.unique(series[rows], return_index=True)[1]]
    taken_s = np.full(2 * pairs.count, np.inf)
    taken_s[series[rows]] = readings.elapsed_s[rows]
    voting = np.flatnonzero(fits.left_out == VOTES)
    later = voting[readings.elapsed_s[voting] > taken_s[series[voting]]]
    votes, since, thrown = (
        np.bincount(series[some], minlength=2 * pairs.count) for some in (voting, later, every)
    )
    return {
        (int(pairs.row_side[row]), int(pairs.row_pair[row])): Stray(
            line=int(readings.line[row]),
            value_degc=float(readings.indicated_degc[row]),
            rise_k=float(rise_k[row]),
            since=int(since[series[row]]),
            votes=int(votes[series[row]]),
            thrown=int(thrown[series[row]]),
        )
        for row in rows.tolist()
    }
