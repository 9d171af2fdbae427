"""From the arrays of a judged batch to the plain values of its digest, for all corners at once."""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from thermlog.fitting.fit import RISING, Fits
from thermlog.fitting.pairs import Pairs
from thermlog.fitting.stack import UNTIMED, VOTES
from thermlog.inference.doubt import Doubt, at_common_k, heard
from thermlog.inference.explanations import column_of
from thermlog.inference.gaps import Gaps
from thermlog.inference.left_right import MOST_RISE_K, SideComparison
from thermlog.inference.likelihood import Usual
from thermlog.inference.skingap import SkinGap
from thermlog.inference.support import Patterns
from thermlog.inference.thrownout import farthest_strays
from thermlog.inference.vehicle_drives import braked_cases, coast_cases, same_vehicle
from thermlog.judging.digest import Digest, Estimates, Numbers
from thermlog.words.estimates import Estimate, Interval
from thermlog.words.few import Few
from thermlog.words.kinds import NONE
from thermlog.words.policy import Policy
from thermlog.words.tables import Bools, Floats, Readings
from thermlog.words.units import to_degc
from thermlog.words.vehicle import SIDES, SPOTS, corner_name

_CLIMBS = 3  # readings that climb one after another are no slip of one shot; engineering judgement
# Engineering judgement: a fall that even a coarse gun would have shown.
_FEWEST_EQUAL, _LEAST_FALL_K = 3, 2.0
_SAME_BRAKE_K = 4.0  # healthy sides are so much alike; engineering judgement


class Steps(Struct, frozen=True, kw_only=True, eq=False):
    """Results of the columnar steps of one batch."""

    readings: Readings
    pairs: Pairs
    fits: Fits
    comparison: SideComparison
    gap: SkinGap
    gaps: Gaps
    doubt: Doubt
    patterns: Patterns
    policies: Few[Policy]
    usual: Usual | None = None
    across_logs: bool = True


def digest(steps: Steps) -> Digest:
    """Turn the arrays of a batch into plain values.

    Parameters
    ----------
    steps : Steps

    Returns
    -------
    Digest
    """
    pairs, fits, comparison, state = steps.pairs, steps.fits, steps.comparison, steps.comparison.state
    gap, patterns = steps.gap, steps.patterns
    fitted, counted = comparison.told, heard(fits, steps.doubt)
    reference_degc = (fits.ambient_degc + fits.ambient_shift_k)[pairs.case]
    # above the stated air, so that the numbers shown add up; the fitted air is rarely a kelvin off it
    rise_k = state.temperature_degc - fits.ambient_degc[pairs.case]
    shot_rise_k = at_common_k(steps.readings, pairs, fits, comparison)
    least_k, most_k = _extremes(pairs, shot_rise_k)
    coldest_degc, hottest_degc = _extremes(pairs, steps.readings.indicated_degc)
    coast = coast_cases(steps.readings.cases, across_logs=steps.across_logs)
    axle = pairs.axle.tolist()
    names = {(number, side): corner_name(number, side) for number in set(axle) for side in SIDES}
    return Digest(
        first=pairs.first.tolist(),
        axle=axle,
        spot=[SPOTS[code] for code in pairs.spot.tolist()],
        chosen=comparison.chosen.tolist(),
        corner=[[names[number, side] for number in axle] for side in SIDES],
        readings=pairs.readings.tolist(),
        used=fits.used.tolist(),
        first_s=[*map(_plain, fits.first_s)],
        state=fits.state.tolist(),
        unchanged=_unchanged(steps, coldest_degc == hottest_degc).tolist(),
        start_degc=_sides(reference_degc + fits.amplitude_k, fitted & (fits.amplitude_k < MOST_RISE_K)),
        tau_s=_tau_s(steps, fitted),
        at_common_degc=_at_common_degc(steps, fitted),
        rise_k=_sides(rise_k, fitted),
        p_hot=_sides(patterns.p_hot, counted),
        p_cold=_sides(patterns.p_cold, counted),
        difference_k=_difference_k(steps),
        difference_sigma_k=_plain(steps.gaps.sigma_k),
        surface_k=_surface_k(steps),
        surface_known=gap.known.tolist(),
        ratio=_estimates(*map(_plain, (comparison.ratio, comparison.ratio_low, comparison.ratio_high))),
        log_tau_sigmas=_log_tau_sigmas(comparison),
        common_time_s=_plain(comparison.common_time_s),
        ambient_shift_k=_plain(fits.ambient_shift_k),
        usual=np.exp(np.zeros(state.rise_k.shape) if steps.usual is None else steps.usual.offset_ln).tolist(),
        skin_fraction=gap.side_fraction.max(0).tolist(),
        least_k=_sides(least_k, fitted),
        most_k=_sides(most_k, fitted),
        in_doubt=(steps.doubt.place >= 0).tolist(),
        p_none=_plain(patterns.p_kind[:, column_of(NONE)]),
        p_drag=_plain(patterns.p_drag),
        p_idle=_plain(patterns.p_idle),
        p_heat=_plain(patterns.p_heat),
        hottest_degc=[*map(_plain, hottest_degc)],
        coldest_degc=[*map(_plain, coldest_degc)],
        climbing=_climbing(steps),
        left_out=_left_out(steps.readings, fits),
        strays=farthest_strays(steps.readings, pairs, fits, shot_rise_k),
        cold_strays=farthest_strays(steps.readings, pairs, fits, shot_rise_k, below=True),
        coast_case=coast,
        braked_case=braked_cases(coast),
        same_vehicle=same_vehicle(steps.readings.cases),
        marks_k=_marks_k(steps, np.where(fitted, rise_k, np.nan)),
        as_fahrenheit=_as_fahrenheit(steps, np.where(fitted, state.temperature_degc, np.nan)),
    )


def _tau_s(steps: Steps, fitted: Bools) -> list[Estimates]:
    """Time constants of both sides of every pair [s]."""
    fits = steps.fits
    half = steps.comparison.quantile[steps.pairs.case] * np.sqrt(fits.covariance[[1, 3], [1, 3]])
    with np.errstate(over="ignore"):
        each = [_sides(np.exp(fits.log_tau + k * half), fitted) for k in (0.0, -1.0, 1.0)]
    return _by_side(*each)


def _at_common_degc(steps: Steps, fitted: Bools) -> list[Estimates]:
    """Temperatures of both sides of every pair at the common time [°C]."""
    state, level_sigma_k = steps.comparison.state, steps.gap.level_sigma_k
    variance = np.maximum(state.temperature_variance, 0.0) + level_sigma_k**2
    half = steps.comparison.quantile[steps.pairs.case] * np.sqrt(variance)
    ends = (state.temperature_degc, state.temperature_degc - half, state.temperature_degc + half)
    return _by_side(*(_sides(values, fitted) for values in ends))


def _difference_k(steps: Steps) -> Estimates:
    """Left minus right of every pair, as the gun shows it [K]."""
    gaps = steps.gaps
    ends = (steps.comparison.difference_k, gaps.gap_k - gaps.half_k, gaps.gap_k + gaps.half_k)
    return _estimates(*map(_plain, ends))


def _surface_k(steps: Steps) -> Estimates:
    """The same of the metal."""
    gap = steps.gap
    half = steps.comparison.quantile[steps.pairs.case] * gap.surface_sigma_k
    middle = gap.surface_difference_k
    return _estimates(*map(_plain, (middle, middle - half, middle + half)))


def _log_tau_sigmas(comparison: SideComparison) -> Numbers:
    """How far apart the time constants of both sides are, in standard uncertainties of their logarithms."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return _plain(np.abs(comparison.log_tau_difference) / comparison.log_tau_difference_sigma)


def _sides(values: Floats, known: Bools) -> list[Numbers]:
    """Both sides of every pair, None where nothing is known."""
    return [*map(_plain, np.where(known, values, np.nan))]


def _plain(values: Floats) -> Numbers:
    finite = np.isfinite(values)
    if finite.all():
        numbers: Numbers = values.tolist()
        return numbers
    return [value if good else None for value, good in zip(values.tolist(), finite.tolist(), strict=True)]


def _estimates(values: Numbers, low: Numbers, high: Numbers) -> Estimates:
    """Numbers with their intervals; None where there is no number, no interval where an end is missing."""
    each = zip(values, low, high, strict=True)
    return [
        None
        if value is None
        else Estimate(value)
        if down is None or up is None
        else Estimate(value, down, up)
        for value, down, up in each
    ]


def _by_side(values: list[Numbers], low: list[Numbers], high: list[Numbers]) -> list[Estimates]:
    return [_estimates(*side) for side in zip(values, low, high, strict=True)]


def _marks_k(steps: Steps, rise_k: Floats) -> list[Interval | None]:
    """Gaps of watch and suspect of every pair [K]; None where left is not beside right."""
    case = steps.pairs.case
    policy = steps.policies.table(
        lambda one: (
            one.watch_difference_k, one.watch_ratio, one.suspect_difference_k, one.suspect_ratio
        )
    )  # fmt: skip
    least_k, ratio, most_k, most_ratio = policy.reshape(-1, 4)[case].T
    cooler_k = np.maximum(rise_k.min(0), 0.0)
    beside = np.isfinite(cooler_k) & np.isfinite(steps.comparison.difference_k)
    marks = (np.maximum(least_k, (ratio - 1.0) * cooler_k), np.maximum(most_k, (most_ratio - 1.0) * cooler_k))
    each = zip(*(mark.tolist() for mark in marks), strict=True)
    return [both if known else None for both, known in zip(each, beside.tolist(), strict=True)]


def _as_fahrenheit(steps: Steps, degc: Floats) -> list[int | None]:
    """The hotter side of every pair that would be as warm as the other one if it were in Fahrenheit."""
    watch_k = steps.policies.table(lambda policy: policy.watch_difference_k)[steps.pairs.case]
    high, low = degc.max(0), degc.min(0)
    fits = np.abs(to_degc(high, "F") - low) <= _SAME_BRAKE_K
    fits &= steps.comparison.chosen & (high - low >= watch_k)
    found: list[int | None] = [None] * fits.size
    for pair in np.flatnonzero(fits).tolist():
        found[pair] = int(degc[1, pair] > degc[0, pair])
    return found


def _extremes(pairs: Pairs, values: Floats) -> tuple[Floats, Floats]:
    """Lowest and highest value of every series, (2, pairs) each; infinite where it has none."""
    low, high = (np.full(2 * pairs.count, limit) for limit in (np.inf, -np.inf))
    np.fmin.at(low, pairs.row_series, values)
    np.fmax.at(high, pairs.row_series, values)
    return low.reshape(-1, 2).T, high.reshape(-1, 2).T


def _climbing(steps: Steps) -> frozenset[tuple[int, int]]:
    """Side and pair of every series of three readings or more, each hotter than the one before."""
    rising = np.argwhere(steps.fits.state == RISING).tolist()
    if not rising:
        return frozenset()
    series = steps.pairs.row_series
    order = np.lexsort((steps.pairs.row_slot, series))
    first = np.searchsorted(series[order], np.arange(2 * steps.pairs.count + 1))
    found = set()
    for side, pair in rising:
        k = 2 * pair + side
        value = steps.readings.indicated_degc[order[first[k] : first[k + 1]]]
        if value.size >= _CLIMBS and bool((np.diff(value) > 0).all()):
            found.add((side, pair))
    return frozenset(found)


def _unchanged(steps: Steps, equal: Bools) -> Bools:
    """Several equal readings of a brake so warm that it must have cooled meanwhile, (2, pairs)."""
    fits = steps.fits
    with np.errstate(invalid="ignore"):
        expected = steps.comparison.state.rise_k * (fits.last_s - fits.first_s) / np.exp(fits.log_tau)
        held: Bools = equal & (fits.used >= _FEWEST_EQUAL) & (expected > _LEAST_FALL_K)
    return held


def _left_out(readings: Readings, fits: Fits) -> dict[int, list[int]]:
    """Rows that do not vote, by case."""
    found: dict[int, list[int]] = {}
    for row in np.flatnonzero((fits.left_out != VOTES) & (fits.left_out != UNTIMED)).tolist():
        found.setdefault(int(readings.case[row]), []).append(row)
    return found
