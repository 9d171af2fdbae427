"""Readings and fitted curves of one case, ready to draw."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TypeAlias

import numpy as np

from thermlog.fitting.fit import FITTED
from thermlog.fitting.predict import curve_shape
from thermlog.fitting.stack import FLAT, STRAY, WARMING
from thermlog.judging.bands import healthy_band
from thermlog.judging.judged import Judged
from thermlog.words.estimates import Interval
from thermlog.words.findings import CornerFinding
from thermlog.words.fitted import Curve
from thermlog.words.tables import Floats, Ints
from thermlog.words.vehicle import SIDES, SPOTS, Spot, corner_name

REASONS = {
    WARMING: "this corner still climbs: not fitted as cooling",
    FLAT: "this corner does not cool: not fitted",
    STRAY: "off the curve",
}
_POINTS, _BAND_POINTS = 61, 25
_Bands: TypeAlias = Mapping[tuple[str, Spot], Interval | None]


def curves_of(judged: Judged, k: int, corners: Sequence[CornerFinding] = ()) -> tuple[Curve, ...]:
    """Curves of all corners and spots of case `k`, with 95 % bands over the window of its readings.

    Parameters
    ----------
    judged : Judged
    k : int
    corners : sequence of CornerFinding
        As told: their expected temperatures are drawn out along the curves.
    """
    expected = {(one.corner, one.spot): one.expected_degc for one in corners}
    pairs = judged.pairs
    rows = np.flatnonzero((judged.readings.case == k) & np.isfinite(judged.readings.elapsed_s))
    rows = rows[np.lexsort((pairs.row_slot[rows], pairs.row_side[rows], pairs.row_pair[rows]))]
    found = []
    for pair in range(int(pairs.first[k]), int(pairs.first[k + 1])):
        for side in (0, 1):
            own = rows[(pairs.row_pair[rows] == pair) & (pairs.row_side[rows] == side)]
            if own.size:
                found.append(_curve(judged, expected, (pair, side), own))
    return tuple(found)


def _curve(judged: Judged, expected: _Bands, place: tuple[int, int], rows: Ints) -> Curve:
    readings, fits, (pair, side) = judged.readings, judged.fits, place
    elapsed = readings.elapsed_s[rows]
    fitted = fits.state[side, pair] == FITTED
    window = readings.elapsed_s[readings.case == judged.pairs.case[pair]]
    grid, wide = (np.linspace(window.min(), window.max(), points) for points in (_POINTS, _BAND_POINTS))
    if not fitted:
        grid = np.zeros(0)
    mean, half = _band(judged, pair, side, grid)
    corner, spot = corner_name(int(judged.pairs.axle[pair]), SIDES[side]), SPOTS[judged.pairs.spot[pair]]
    return Curve(
        corner=corner,
        spot=spot,
        elapsed_s=elapsed,
        indicated_degc=readings.indicated_degc[rows],
        line=readings.line[rows],
        left_out=tuple(REASONS.get(int(code), "") for code in fits.left_out[rows]),
        residual_k=fits.residual_k[rows] if fitted else np.full(rows.size, np.nan),
        grid_s=grid,
        mean_degc=mean,
        low_degc=mean - half,
        high_degc=mean + half,
        healthy=healthy_band(judged, expected.get((corner, spot)), place, wide),
    )


def _band(judged: Judged, pair: int, side: int, grid_s: Floats) -> tuple[Floats, Floats]:
    """Fitted temperature and half width of its 95 % interval along a time grid."""
    fits, case = judged.fits, int(judged.pairs.case[pair])
    shape, slope = curve_shape(fits, case, fits.log_tau[side, pair], grid_s)
    amplitude = fits.amplitude_k[side, pair]
    gradient = np.zeros((5, grid_s.size))
    gradient[2 * side], gradient[2 * side + 1], gradient[4] = shape, amplitude * slope, 1.0
    variance = np.einsum("ig,ij,jg->g", gradient, fits.covariance[:, :, pair], gradient)
    mean = fits.ambient_degc[case] + fits.ambient_shift_k[case] + amplitude * shape
    return mean, judged.comparison.quantile[case] * np.sqrt(np.maximum(variance, 0.0))
