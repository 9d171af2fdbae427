"""Series that do not cool: a brake still soaking, a gun on hold, a sheltered spot. They are never fitted.

A straight line through the readings of a corner tells whether they climb, or stand where a cooling brake
falls. What counts, each rule for itself, in the order of `trend_of`:

=======  ===============  ====================  ========================================================
rule     of               readings              what they show
=======  ===============  ====================  ========================================================
climb    a corner         three and more        a slope above 0, whichever single reading is left out
climb    a vehicle        two and more a brake  slopes above 0 taken together, of three brakes in four
climb    a brake          three and more        each hotter than all before it, while the others cool
climb    a brake          two                   a second far hotter, beside a mate that is live
stand    a corner         three and more        less of a fall than the slowest brake, as the first rule
stand    a vehicle        two and more a brake  less of a fall than a slow brake, as the second rule
=======  ===============  ====================  ========================================================

What stands on a slope above 0 climbs; what has lost a part of its heat does not stand. Hubs take heat from
their brakes after the stop: that they climb tells nothing of the brakes.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from thermlog.words.tables import Bools, Floats

# Engineering judgement, common practice, no source; in standard uncertainties of a slope.
_CLIMB_SIGMAS = 2.5  # of one corner
_CLIMB_TOGETHER_SIGMAS = 3.0  # of all corners of a vehicle
_STEPWISE_SIGMAS = 2.5  # of one corner whose every reading is hotter, against how the others cool
_JUMP_SIGMAS = 5.5  # of two readings, in scatters of their difference; less is more often a miss
_COLD_PART = 0.5  # of its mate's rise: a colder one may do nothing, and is judged so whatever its steps
_COOLS_MOST = 3.0  # as fast as expected: no other brake speaks for more
_FLAT_SIGMAS = 4.0
_FLAT_TOGETHER_SIGMAS = 3.7
_MOST_OF_ONE = 3.0  # what one corner adds to all together: a single miss is no trend
_TOGETHER = 0.75  # part of the corners that must agree
_FEWEST_ALONE, _FEWEST_TOGETHER, _OF_TWO = 3, 2, 2  # readings
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
    brakes = np.broadcast_to(True if hub is None else ~hub, present.shape[1:])
    climbing = _agreed(line, np.zeros_like(level), _CLIMB_SIGMAS)
    climbing |= _together(line, brakes, np.zeros_like(level), _CLIMB_TOGETHER_SIGMAS)
    hotter = brakes & _each_hotter(rise_k, present) & (level >= _COLD_PART * level[::-1])
    climbing |= hotter & _climbs_alone(line, brakes, level / np.exp(mean))
    climbing |= hotter & _jumped(rise_k, present, sigma_k)
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


def _each_hotter(rise_k: Floats, present: Bools) -> Bools:
    """Series of which every reading is hotter than all before it (2, pairs, vehicles)."""
    before = np.maximum.accumulate(np.where(present, rise_k, -np.inf), axis=0)[:-1]
    hotter: Bools = (~present[1:] | (rise_k[1:] > before)).all(0) & (present.sum(0) > 1)
    return hotter


def _climbs_alone(line: SeriesLines, brakes: Bools, pace_k_per_s: Floats) -> Bools:
    """Three readings and more that climb clearly from where the vehicle's other brakes cool.

    `pace_k_per_s` is how fast each is expected to cool; the others tell how much of it they do.
    """
    told = brakes & (line.count >= _FEWEST_TOGETHER) & np.isfinite(line.sigma_k_per_s) & (pace_k_per_s > 0)
    pace = np.where(told, pace_k_per_s, 1.0)
    weight = np.where(told, (pace / np.where(told, line.sigma_k_per_s, 1.0)) ** 2, 0.0)
    part = weight * np.clip(line.slope_k_per_s / pace, -_COOLS_MOST, 0.0)
    others = weight.sum((0, 1)) - weight
    some = told & (others > 0) & (line.count >= _FEWEST_ALONE)
    cools = pace * (part.sum((0, 1)) - part) / np.where(some, others, 1.0)
    sigma = np.hypot(line.sigma_k_per_s, pace / np.sqrt(np.where(some, others, 1.0)))
    climbs: Bools = some & ((line.slope_k_per_s - cools) / np.where(some, sigma, 1.0) > _STEPWISE_SIGMAS)
    return climbs


def _jumped(rise_k: Floats, present: Bools, sigma_k: Floats) -> Bools:
    """Two readings apart by more than two shots scatter, the first the nearer one to its mate's.

    Where the first lies further from the mate's than the second, it missed the spot: that is no climb. A mate
    without its share of heat tells nothing of it.
    """
    slots = np.arange(present.shape[0])[:, None, None, None]
    end = present.shape[0] - 1 - present[::-1].argmax(0)
    first = np.where(present & (slots == present.argmax(0)), rise_k, 0.0).sum(0)
    last = np.where(present & (slots == end), rise_k, 0.0).sum(0)
    mate_last = last[::-1]
    nearer = first * last > first[::-1] * mate_last
    live = mate_last > np.maximum(_COLD_PART * last, 0.0)
    apart = last - first > _JUMP_SIGMAS * np.sqrt(2.0) * sigma_k
    jumped: Bools = (present.sum(0) == _OF_TWO) & apart & nearer & live
    return jumped


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
