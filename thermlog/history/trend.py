"""How a number of one vehicle goes from visit to visit: a robust slope, and a control chart."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.words.estimates import Estimate
from thermlog.words.moments import DAY_S

if TYPE_CHECKING:
    from collections.abc import Sequence

FEWEST_FOR_SLOPE = 4  # visits: of three the interval is as good as none
WEEK_S = 7.0 * DAY_S
# Weight of the newest visit, and width of the limits in standard deviations, as in the handbook's example.
LAMBDA, WIDTH = 0.3, 3.0


def slope_of(times: Sequence[float], values: Sequence[float]) -> Estimate | None:
    """Theil-Sen slope: the median of the slopes between all pairs of visits.

    Parameters
    ----------
    times : sequence of float
        In any unit; visits at one moment have no slope between them.
    values : sequence of float

    Returns
    -------
    Estimate or None
        With the 95 % interval after Sen, J. Am. Stat. Assoc. 63 (1968) 1379, by scipy; None for fewer than
        four visits at moments of their own.
    """
    if len(times) < FEWEST_FOR_SLOPE or len(set(times)) < FEWEST_FOR_SLOPE:
        return None
    from scipy.stats import theilslopes

    found = theilslopes(values, times, alpha=0.95)
    slope, low, high = (float(number) for number in (found.slope, found.low_slope, found.high_slope))
    return Estimate(slope, low, high) if math.isfinite(low) and math.isfinite(high) else Estimate(slope)


class ControlChart(Struct, frozen=True, kw_only=True):
    """An exponentially weighted moving average with its limits.

    Attributes
    ----------
    low, high : float
        The limits it stays within while nothing changes.
    points : tuple of float
        After every visit.
    """

    low: float
    high: float
    points: tuple[float, ...]

    @property
    def first_outside(self) -> int | None:
        """The first visit after which it lies beyond a limit; None if there is none."""
        outside = (k for k, point in enumerate(self.points) if not self.low <= point <= self.high)
        return next(outside, None)


def control_chart(values: Sequence[float], *, centre: float, sigma: float) -> ControlChart:
    """Average in which every visit counts less the older it is.

    Parameters
    ----------
    values : sequence of float
        In the order of the visits.
    centre : float
        What is usual.
    sigma : float
        Standard deviation of one value where nothing changes.

    Returns
    -------
    ControlChart

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, section 6.3.2.4.
    """
    points = []
    average = centre
    for value in values:
        average = LAMBDA * value + (1.0 - LAMBDA) * average
        points.append(average)
    reach = WIDTH * sigma * math.sqrt(LAMBDA / (2.0 - LAMBDA))
    return ControlChart(low=centre - reach, high=centre + reach, points=tuple(points))
