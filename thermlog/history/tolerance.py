"""Distribution-free tolerance limits: how many vehicles a limit for a wanted rate of false alarms needs.

References
----------
Wilks, Determination of sample sizes for setting tolerance limits, Ann. Math. Stat. 12 (1941) 91.
"""

from __future__ import annotations

import math
from collections.abc import Sequence


def fewest(share: float, confidence: float) -> int:
    """Smallest sample whose largest value is a tolerance limit.

    Parameters
    ----------
    share : float
        Share of the population that is to lie within, between 0 and 1.
    confidence : float
        That it does, between 0 and 1.

    Returns
    -------
    int

    Examples
    --------
    >>> fewest(0.95, 0.95)
    59
    """
    # the first of which 1 - share^n is no less than the confidence
    return math.ceil(math.log1p(-confidence) / math.log(share))


def upper_limit(values: Sequence[float], share: float, confidence: float) -> float | None:
    """Value that at least `share` of the population lies below, with `confidence`, whatever its distribution.

    Parameters
    ----------
    values : sequence of float
        An independent sample.
    share, confidence : float

    Returns
    -------
    float or None
        The lowest value of the sample that is such a limit; None where the sample is too small.
    """
    from scipy.stats import quantile_test

    below = quantile_test(values, p=share, alternative="less").confidence_interval(confidence)
    limit = float(below.high)  # type: ignore[attr-defined] # scipy-stubs takes the interval for a number
    return None if math.isnan(limit) else limit
