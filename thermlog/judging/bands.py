"""Where a healthy brake would read, in degrees: at the common time, and along the curves of its axle."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from msgspec.structs import replace

from thermlog.fitting.fit import FITTED
from thermlog.fitting.predict import curve_shape
from thermlog.judging.expected import HealthyRises, Silenced, expected_of
from thermlog.judging.judged import Judged
from thermlog.physics.distributions import normal_quantile
from thermlog.words.estimates import Interval
from thermlog.words.findings import CornerFinding, Diagnosis
from thermlog.words.fitted import HealthyBand
from thermlog.words.tables import Floats
from thermlog.words.vehicle import Spot

_WIDE = normal_quantile(0.975)


def healthy_rises(judged: Judged, found: Mapping[int, Diagnosis]) -> HealthyRises:
    """What healthy brakes would show in some cases.

    Parameters
    ----------
    judged : Judged
    found : mapping of int to Diagnosis
        By case. What is called, or watched with its mate, says nothing of healthy brakes; where all brakes
        are in question, only what is usual after such a drive does.
    """
    chosen, all_hot = np.zeros((2, len(judged.readings.cases)), dtype=bool)
    called, watched = np.zeros((2, 2, judged.pairs.count), dtype=bool)
    for k, one in found.items():
        chosen[k], all_hot[k] = True, one.answers.heat.suspects
        places = _places(judged, k)
        for corner in one.corners:
            pair, side = places[corner.corner, corner.spot]
            called[side, pair] = corner.verdict in {"hot", "cold"}
            watched[side, pair] = corner.verdict == "watch"
    silent = Silenced(called=called, together=watched[0] & watched[1], all_hot=all_hot)
    return expected_of(judged.evidence, chosen, silent)


def beside_healthy(
    judged: Judged, k: int, found: Diagnosis, rises: HealthyRises
) -> tuple[CornerFinding, ...]:
    """Corners of a case with what a healthy brake in their place would read."""
    places = _places(judged, k)
    return tuple(
        replace(one, expected_degc=band_at_common(judged, rises, *places[one.corner, one.spot]))
        for one in found.corners
    )


def _places(judged: Judged, k: int) -> Mapping[tuple[str, Spot], tuple[int, int]]:
    """Pair and side of every corner and spot of a case."""
    told = judged.digest
    return {
        (told.corner[side][pair], told.spot[pair]): (pair, side)
        for pair in range(told.first[k], told.first[k + 1])
        for side in (0, 1)
    }


def band_at_common(judged: Judged, expected: HealthyRises, pair: int, side: int) -> Interval | None:
    """Where 95 % of healthy brakes at one side of a pair would read at the common time [°C].

    None where the air is not known, nothing else was read, or the pair does not speak for its axle.
    """
    case = int(judged.pairs.case[pair])
    low, high = float(expected.low_k[side, pair]), float(expected.high_k[side, pair])
    if judged.readings.cases[case].ambient_degc is None or not np.isfinite(low + high):
        return None
    part = _of_the_reading(judged, pair, side)
    air = float(judged.fits.ambient_degc[case] + judged.fits.ambient_shift_k[case])
    return air + part * low, air + part * high


def _of_the_reading(judged: Judged, pair: int, side: int) -> float:
    """Rise as shown over that by which axles are weighed, which allows for surfaces stated elsewhere."""
    shown = float(judged.comparison.state.rise_k[side, pair])
    weighed = float(judged.evidence.comparison.state.rise_k[side, pair])
    return shown / weighed if np.isfinite(shown) and weighed > 0.0 else 1.0  # False for NaN


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
