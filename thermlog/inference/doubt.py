"""Corners whose readings contradict each other: every reading may have missed the brake, low or high.

Where a fit had to leave readings out, or keeps one that lies far off its curve, one estimate with one
variance says too much. The likelihood of such a corner is a product over its readings, each good, or a low
miss (something colder beside the brake), or a high one (something hotter): which of them missed is summed
over, not decided beforehand. A series that climbs or stands is never fitted as cooling, but its readings
speak in the same way, as they were read: a brake that reads far above its mate every time is hot, however
little its readings agree among themselves.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from msgspec import Struct

from thermlog.fitting.fit import FITTED, RISING, STANDING, Fits
from thermlog.fitting.pairs import Pairs
from thermlog.fitting.stack import STRAY, UNTIMED
from thermlog.inference.left_right import SideComparison
from thermlog.inference.states import LEVELS_K
from thermlog.physics.cooling import law_shape
from thermlog.words.tables import Bools, Floats, Ints, Readings

_FAR_SIGMAS = 3.0  # a voting reading further off its curve than this puts its corner in doubt
_MISSED = 1e-5  # density of a miss where none can be, so that no single reading is beyond doubt
_LEAST = 1e-25  # contradicting readings of one corner never weigh more than this
_SAME_FRACTION = 0.005  # healthy spreads closer than this share a kernel
FINE_K: Floats = np.exp(np.arange(np.log(0.5), np.log(700.0), 0.025))
_WIDTH_K = np.gradient(FINE_K)


class Doubt(Struct, frozen=True, kw_only=True, eq=False):
    """Likelihood of the brake's own rise of every corner in doubt.

    Attributes
    ----------
    place : int array (2, pairs)
        Row of `likelihood` for every side of every pair; -1 where the readings agree.
    likelihood : float array (corners in doubt, fine levels)
        Over `FINE_K`, largest 1.
    """

    place: Ints
    likelihood: Floats


class Misses(Struct, frozen=True, kw_only=True, eq=False):
    """What is assumed of single shots, an array (cases,) each.

    Attributes
    ----------
    reading_sigma_k, aim_fraction : float array
        Scatter of one shot [K], and its part in proportion to the rise.
    miss_share, high_miss_part : float array
        Share of shots that miss the brake; part of these that catch something hotter.
    """

    reading_sigma_k: Floats
    aim_fraction: Floats
    miss_share: Floats
    high_miss_part: Floats


def doubted(
    readings: Readings,
    pairs: Pairs,
    fits: Fits,
    comparison: SideComparison,
    *,
    misses: Misses,
    leveled: SideComparison,
) -> Doubt:
    """Find corners whose readings contradict each other, and work out their likelihoods.

    Parameters
    ----------
    readings : Readings
    pairs : Pairs
    fits : Fits
    comparison : SideComparison
    misses : Misses
    leveled : SideComparison
        The same with the rises that the axles are compared by.

    Returns
    -------
    Doubt
    """
    side, pair = pairs.row_side, pairs.row_pair
    timed = fits.left_out != UNTIMED
    case = pairs.case[pair]
    sigma = np.hypot(
        misses.reading_sigma_k[case], misses.aim_fraction[case] * comparison.state.rise_k[side, pair]
    )
    far = (fits.left_out == STRAY) | (np.abs(fits.residual_k) > _FAR_SIGMAS * sigma)
    count = np.zeros((2, pairs.count), dtype=np.int64)
    np.add.at(count, (side[timed], pair[timed]), 1)
    odd = np.zeros((2, pairs.count), dtype=bool)
    odd[side[far & timed], pair[far & timed]] = True
    odd &= fits.state == FITTED
    odd |= without_curve(fits) & _unlike(readings, pairs)
    odd &= (count > 1) & comparison.chosen
    place = np.full(odd.shape, -1)
    place[odd] = np.arange(int(odd.sum()))
    rows = np.flatnonzero((place[side, pair] >= 0) & timed)
    log_likelihood = np.zeros((int(odd.sum()), FINE_K.size))
    common_k = at_common_k(readings, pairs, fits, comparison) * _level(comparison, leveled)[side, pair]
    common_k = np.where(fits.state[side, pair] == FITTED, common_k, _as_read_k(readings, pairs, fits))
    np.add.at(
        log_likelihood,
        place[side[rows], pair[rows]],
        np.log(_of_readings(common_k[rows], pairs, misses, rows)),
    )
    log_likelihood -= log_likelihood.max(1, keepdims=True, initial=-np.inf) if log_likelihood.size else 0.0
    return Doubt(place=place, likelihood=np.maximum(np.exp(log_likelihood), _LEAST))


def without_curve(fits: Fits) -> Bools:
    """Sides that were read and have no curve, for they climb or stand: (2, pairs)."""
    unsteady: Bools = (fits.state == RISING) | (fits.state == STANDING)
    return unsteady


def heard(fits: Fits, doubt: Doubt) -> Bools:
    """Sides whose readings count, with a curve or without: (2, pairs)."""
    counted: Bools = (fits.state == FITTED) | (doubt.place >= 0)
    return counted


def _unlike(readings: Readings, pairs: Pairs) -> Bools:
    """Sides whose readings are not all the same, as those of a gun on hold are: (2, pairs)."""
    low, high = (np.full((2, pairs.count), limit) for limit in (np.inf, -np.inf))
    np.minimum.at(low, (pairs.row_side, pairs.row_pair), readings.indicated_degc)
    np.maximum.at(high, (pairs.row_side, pairs.row_pair), readings.indicated_degc)
    unlike: Bools = low < high
    return unlike


def _as_read_k(readings: Readings, pairs: Pairs, fits: Fits) -> Floats:
    """Rise of every single reading as it was read: (rows,)."""
    case = pairs.case[pairs.row_pair]
    rise: Floats = readings.indicated_degc - fits.ambient_degc[case] - fits.ambient_shift_k[case]
    return rise


def _level(comparison: SideComparison, leveled: SideComparison) -> Floats:
    """Rise that the axles are compared by over that of the curve: (2, pairs)."""
    own, level = comparison.state.rise_k, leveled.state.rise_k
    some = np.isfinite(own) & (np.abs(own) > 0.0)
    return np.where(some, level / np.where(some, own, 1.0), 1.0)


def at_common_k(readings: Readings, pairs: Pairs, fits: Fits, comparison: SideComparison) -> Floats:
    """Rise of every single reading, brought to the common time along its corner's own curve.

    Parameters
    ----------
    readings : Readings
    pairs : Pairs
    fits : Fits
    comparison : SideComparison

    Returns
    -------
    float array (rows,)
        [K]; NaN where the corner has no curve, or the reading no time.
    """
    side, pair = pairs.row_side, pairs.row_pair
    case = pairs.case[pair]
    ambient = fits.ambient_degc[case] + fits.ambient_shift_k[case]
    slowness = np.exp(-fits.log_tau[side, pair])
    then, _ = law_shape((readings.elapsed_s - fits.reference_s[case]) * slowness, fits.law)
    common, _ = law_shape((comparison.common_time_s[case] - fits.reference_s[case]) * slowness, fits.law)
    rise: Floats = (readings.indicated_degc - ambient) * common / np.maximum(then, 1e-9)
    return rise


def _of_readings(rise_k: Floats, pairs: Pairs, misses: Misses, rows: Ints) -> Floats:
    """Likelihood of every reading over the fine levels: good, a low miss or a high one."""
    case = pairs.case[pairs.row_pair[rows]]
    rise, share = rise_k[:, None], misses.miss_share[case][:, None]
    sigma = np.hypot(misses.reading_sigma_k[case][:, None], misses.aim_fraction[case][:, None] * FINE_K)
    good = np.exp(-0.5 * ((rise - FINE_K) / sigma) ** 2) / sigma / np.sqrt(2.0 * np.pi)
    high_part = misses.high_miss_part[case][:, None]
    anywhere = 1.0 / (FINE_K + 10.0)  # a miss shows anything over about the span of the rise
    low = np.where(rise < FINE_K, anywhere, _MISSED)
    high = np.where((rise > FINE_K) & (rise < 2.0 * FINE_K + 10.0), anywhere, _MISSED)
    found: Floats = (1.0 - share) * good + share * ((1.0 - high_part) * low + high_part * high)
    return found


def spread_over_sides(likelihood: Floats, fraction: Floats, side_k: float, *, shift_k: Floats) -> Floats:
    """The likelihood of the axle's healthy level, the healthy spread of one side summed over.

    Parameters
    ----------
    likelihood : float array (corners, fine levels)
    fraction : float array (corners,)
        Healthy spread of a side in parts of the level.
    side_k : float
        The same in kelvin.
    shift_k : float array (corners,)
        Extra heat planted at the corner [K]; 0 for the readings as they are.

    Returns
    -------
    float array (corners, levels)
    """
    spread = np.empty((fraction.size, LEVELS_K.size))
    for row, (part, shift) in enumerate(zip(fraction.tolist(), shift_k.tolist(), strict=True)):
        own = (
            likelihood[row]
            if shift == 0.0
            else np.interp(FINE_K - shift, FINE_K, likelihood[row], left=_LEAST)
        )
        spread[row] = _side_kernel(round(part / _SAME_FRACTION), side_k) @ own
    return spread


@lru_cache(maxsize=256)
def _side_kernel(steps: int, side_k: float) -> Floats:
    """Weight of every own rise (column) for every healthy level (row)."""
    sigma = np.sqrt((steps * _SAME_FRACTION * LEVELS_K) ** 2 + side_k**2)[:, None]
    weight = np.exp(-0.5 * ((FINE_K - LEVELS_K[:, None]) / sigma) ** 2) / sigma * _WIDTH_K
    kernel: Floats = weight / np.sqrt(2.0 * np.pi)
    return kernel
