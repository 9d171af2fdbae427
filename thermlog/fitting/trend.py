"""Series that do not cool: a brake still soaking, a gun on hold, a sheltered spot. They are never fitted.

A straight line through the readings of a corner tells whether they climb, or stand where a cooling brake
falls. A climb counts when the whole series agrees on it, however small each step is; where every brake of a
vehicle climbs or stands a little, all together count. Hubs take heat from their brakes after the stop: that
they climb tells nothing of the brakes.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from thermlog.words.tables import Bools, Floats

# Engineering judgement, common practice, no source; in standard uncertainties of a slope.
_CLIMB_SIGMAS = 2.5  # of one corner
_CLIMB_TOGETHER_SIGMAS = 3.0  # of all corners of a vehicle
_FLAT_SIGMAS = 4.0
_FLAT_TOGETHER_SIGMAS = 3.7
_MOST_OF_ONE = 3.0  # what one corner adds to all together: a single miss is no trend
_TOGETHER = 0.75  # part of the corners that must agree
_FEWEST_ALONE, _FEWEST_TOGETHER = 3, 2  # readings
_FELL = 0.75  # of its first rise: a series that ends with less did cool, however slowly
_SLOWEST, _SLOW = 2.5, 1.0  # time constants, in standard deviations of the prior above its mean


class Trend(Struct, frozen=True, kw_only=True, eq=False):
    """Which series do not cool, an array (2, pairs, vehicles) each."""

    climbing: Bools
    flat: Bools


class SeriesLines(Struct, frozen=True, kw_only=True, eq=False):
    """Straight lines through series; an array (2, pairs, vehicles) each but `without_one`.

    Attributes
    ----------
    count : int array
    level_k, slope_k_per_s : float array
        Mean rise [K] and slope [K/s].
    sigma_k_per_s : float array
        Standard uncertainty of the slope [K/s]; inf where none can be told.
    without_one : float array (readings, 2, pairs, vehicles)
        Slope without each single reading [K/s]; NaN where no such reading stands.
    """

    count: Floats
    level_k: Floats
    slope_k_per_s: Floats
    sigma_k_per_s: Floats
    without_one: Floats


def trend_of(
    time_s: Floats,
    rise_k: Floats,
    present: Bools,
    sigma_k: Floats,
    log_tau: tuple[Floats, Floats],
    *,
    hub: Bools | None = None,
) -> Trend:
    """Find the series that do not cool.

    Parameters
    ----------
    time_s, rise_k : float array (readings, 2, pairs, vehicles)
        On any clock [s]; above the air [K].
    present : bool array, same shape
        True where a reading stands.
    sigma_k : float array (2, pairs, vehicles)
        Scatter of one reading [K].
    log_tau : (mean, spread), float arrays (pairs, vehicles)
        Prior of ln(tau / 1 s).
    hub : bool array (pairs, vehicles), optional
        Pairs that do not speak for the others.

    Returns
    -------
    Trend
    """
    line = line_through(time_s, rise_k, present, sigma_k)
    mean, spread = log_tau[0], np.where(np.isfinite(log_tau[1]), log_tau[1], 1.0)
    level = np.maximum(line.level_k, 0.0)
    climbing = _agreed(line, np.zeros_like(level), _CLIMB_SIGMAS)
    brakes = np.broadcast_to(True if hub is None else ~hub, present.shape[1:])
    climbing |= _together(line, brakes, np.zeros_like(level), _CLIMB_TOGETHER_SIGMAS)
    flat = _agreed(line, -level / np.exp(mean + _SLOWEST * spread), _FLAT_SIGMAS)
    flat |= _together(line, brakes, -level / np.exp(mean + _SLOW * spread), _FLAT_TOGETHER_SIGMAS)
    flat &= ~_fell(line, time_s, present)
    climbing |= flat & (line.slope_k_per_s > 0)
    return Trend(climbing=climbing, flat=flat & ~climbing)


def line_through(time_s: Floats, rise_k: Floats, present: Bools, sigma_k: Floats) -> SeriesLines:
    """Straight lines through series, and what is left of each slope without any one reading."""
    count = present.sum(0).astype(np.float64)
    some = np.maximum(count, 1.0)
    time_mean = np.where(present, time_s, 0.0).sum(0) / some
    level = np.where(present, rise_k, 0.0).sum(0) / some
    off_s = np.where(present, time_s - time_mean, 0.0)
    off_k = np.where(present, rise_k - level, 0.0)
    spread, product = (off_s * off_s).sum(0), (off_s * off_k).sum(0)
    with np.errstate(divide="ignore", invalid="ignore"):
        less = some / np.maximum(some - 1.0, 1.0)
        without = (product - less * off_s * off_k) / (spread - less * off_s * off_s)
        return SeriesLines(
            count=count,
            level_k=level,
            slope_k_per_s=np.where(spread > 0, product / spread, 0.0),
            sigma_k_per_s=np.where(spread > 0, sigma_k / np.sqrt(spread), np.inf),
            without_one=np.where(present & (count > 2), without, np.nan),
        )


def _fell(line: SeriesLines, time_s: Floats, present: Bools) -> Bools:
    """Series whose lines lose a part of their heat that nobody calls standing (2, pairs, vehicles)."""
    some = np.maximum(line.count, 1.0)
    middle_s = np.where(present, time_s, 0.0).sum(0) / some
    first_s = np.where(present, time_s, np.inf).min(0)
    last_s = np.where(present, time_s, -np.inf).max(0)
    with np.errstate(invalid="ignore"):
        first_k = line.level_k - line.slope_k_per_s * (middle_s - first_s)
        last_k = line.level_k + line.slope_k_per_s * (last_s - middle_s)
    fell: Bools = (line.count > 0) & (last_k < _FELL * first_k)
    return fell


def _agreed(line: SeriesLines, least: Floats, sigmas: float) -> Bools:
    """Slope above `least` by so many uncertainties, and still above it without any one reading."""
    sure = line.slope_k_per_s - least > sigmas * line.sigma_k_per_s
    with np.errstate(invalid="ignore"):
        contradicted = (line.without_one <= least).any(0)
    agreed: Bools = sure & ~contradicted & (line.count >= _FEWEST_ALONE)
    return agreed


def _together(line: SeriesLines, brakes: Bools, least: Floats, sigmas: float) -> Bools:
    """The same of all brakes of a vehicle together; says so of those that are above `least`."""
    counted = brakes & (line.count >= _FEWEST_TOGETHER) & np.isfinite(line.sigma_k_per_s)
    above = counted & (line.slope_k_per_s > least)
    off = np.where(counted, (line.slope_k_per_s - least) / line.sigma_k_per_s, 0.0)
    series = counted.sum((0, 1))
    score = np.clip(off, -_MOST_OF_ONE, _MOST_OF_ONE).sum((0, 1)) / np.sqrt(np.maximum(series, 1))
    sure = (score > sigmas) & (above.sum((0, 1)) >= _TOGETHER * series) & (series > 1)
    together: Bools = above & sure
    return together
