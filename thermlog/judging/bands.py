"""Where a healthy brake would read, in degrees: at the common time, and along the curves of its axle."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.fitting.fit import FITTED
from thermlog.fitting.predict import curve_shape
from thermlog.inference.expected import Silenced, expected_of
from thermlog.inference.pattern import speaking
from thermlog.inference.tails import HealthyRises
from thermlog.judging.judged import Judged
from thermlog.physics.distributions import normal_quantile
from thermlog.words.estimates import Interval
from thermlog.words.findings import CornerFinding, Diagnosis
from thermlog.words.fitted import HealthyBand
from thermlog.words.tables import Bools, Floats
from thermlog.words.vehicle import Spot

_WIDE = normal_quantile(0.975)


class Bands(Struct, frozen=True, kw_only=True, eq=False):
    """Where 95 % of healthy brakes in place of one would read at the common time.

    Attributes
    ----------
    low_degc, high_degc : list of list of float
        By side and pair [°C]; NaN where the air is not known, nothing else was read, or the pair does not
        speak for its axle.
    """

    low_degc: list[list[float]]
    high_degc: list[list[float]]

    def of(self, pair: int, side: int) -> Interval | None:
        """The band at one side of a pair."""
        return known_band(self.low_degc[side][pair], self.high_degc[side][pair])


def known_band(low: float, high: float) -> Interval | None:
    """Both ends; None where they are not known."""
    return (low, high) if math.isfinite(low + high) else None


def healthy_bands(judged: Judged, cases: Sequence[int], found: Mapping[int, Diagnosis]) -> Bands:
    """What healthy brakes would read in some cases.

    Parameters
    ----------
    judged : Judged
    cases : sequence of int
    found : mapping of int to Diagnosis
        By case, those that are plainly even left out. What is called, or watched with its mate, says nothing
        of healthy brakes; where all brakes are in question, only what is usual after such a drive does.
    """
    chosen, all_hot = np.zeros((2, len(judged.readings.cases)), dtype=bool)
    called, watched = np.zeros((2, 2, judged.pairs.count), dtype=bool)
    chosen[list(cases)] = True
    for k, one in found.items():
        all_hot[k] = one.answers.heat.suspects
        places = _places(judged, k)
        for corner in one.corners:
            pair, side = places[corner.corner, corner.spot]
            called[side, pair] = corner.verdict in {"hot", "cold"}
            watched[side, pair] = corner.verdict == "watch"
    silent = Silenced(called=called, together=watched[0] & watched[1], all_hot=all_hot)
    rises = _rises(judged, chosen, found, silent)
    case, fits = judged.pairs.case, judged.fits
    known = np.array([one.ambient_degc is not None for one in judged.readings.cases])
    air = np.where(known, fits.ambient_degc + fits.ambient_shift_k, np.nan)[case]
    part = _of_the_readings(judged)
    return Bands(low_degc=(air + part * rises.low_k).tolist(), high_degc=(air + part * rises.high_k).tolist())


def _rises(judged: Judged, chosen: Bools, found: Collection[int], silent: Silenced) -> HealthyRises:
    """Of the chosen cases; where nothing is suspected those that were worked out while judging."""
    ahead = judged.hidden.healthy
    if ahead is None:
        return expected_of(judged.evidence, chosen, silent)
    again, open_ = np.zeros_like(chosen), speaking(judged.evidence) & ~np.isfinite(ahead.low_k).all(0)
    again[list(found)] = again[judged.pairs.case[open_]] = True
    chosen = chosen & again
    rises, apart = expected_of(judged.evidence, chosen, silent), chosen[judged.pairs.case]
    return HealthyRises(
        low_k=np.where(apart, rises.low_k, ahead.low_k), high_k=np.where(apart, rises.high_k, ahead.high_k)
    )


def _of_the_readings(judged: Judged) -> Floats:
    """Rises as shown over those by which axles are weighed, which allow for surfaces stated elsewhere."""
    shown = judged.comparison.state.rise_k
    weighed = judged.evidence.comparison.state.rise_k
    told = np.isfinite(shown) & (weighed > 0.0)  # False for NaN
    return np.divide(shown, weighed, out=np.ones_like(shown), where=told)


def beside_healthy(judged: Judged, k: int, found: Diagnosis, bands: Bands) -> tuple[CornerFinding, ...]:
    """Corners of a case with what a healthy brake in their place would read."""
    places = _places(judged, k)
    return tuple(replace(one, expected_degc=bands.of(*places[one.corner, one.spot])) for one in found.corners)


def _places(judged: Judged, k: int) -> Mapping[tuple[str, Spot], tuple[int, int]]:
    """Pair and side of every corner and spot of a case."""
    told = judged.digest
    return {
        (told.corner[side][pair], told.spot[pair]): (pair, side)
        for pair in range(told.first[k], told.first[k + 1])
        for side in (0, 1)
    }


def healthy_band(
    judged: Judged, ends_degc: Interval | None, place: tuple[int, int], grid_s: Floats
) -> HealthyBand | None:
    """The same along a time grid; it falls as the mate cools, and widens as healthy sides cool unlike.

    Parameters
    ----------
    judged : Judged
    ends_degc : interval or None
        At the common time [°C]; without them there is no band.
    place : tuple of int
        Pair and side.
    grid_s : float array (points,)
        On the log's own clock [s].
    """
    pair, side = place
    fitted = judged.fits.state[:, pair] == FITTED
    if ends_degc is None or not fitted.any():
        return None
    case = int(judged.pairs.case[pair])
    like = 1 - side if fitted[1 - side] else side
    times = np.append(grid_s, judged.comparison.common_time_s[case])
    shape, slope = curve_shape(judged.fits, case, judged.fits.log_tau[like, pair], times)
    # a day after its readings nothing is left of a curve
    with np.errstate(divide="ignore", invalid="ignore"):
        left, answer = shape / shape[-1], slope / shape
    unlike = _WIDE * judged.policies[case].tau_side_spread * np.abs(answer - answer[-1])
    air = float(judged.fits.ambient_degc[case] + judged.fits.ambient_shift_k[case])
    low, high = (end - air for end in ends_degc)
    middle = 0.5 * (low + high)
    reach = np.hypot(0.5 * (high - low), unlike * middle)
    return HealthyBand(
        grid_s=grid_s,
        low_degc=(air + left * (middle - reach))[:-1],
        high_degc=(air + left * (middle + reach))[:-1],
    )
