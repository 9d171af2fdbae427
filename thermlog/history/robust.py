"""Middle and spread of a sample in which some values may be wild, each with its 95 % interval."""

from __future__ import annotations

import math
from statistics import median
from typing import TYPE_CHECKING

from thermlog.words.estimates import Estimate

if TYPE_CHECKING:
    from collections.abc import Sequence

_RESAMPLES, _SEED = 1000, 1


def median_of(values: Sequence[float]) -> Estimate:
    """Median, with the interval between two ordered values that holds for every distribution.

    Parameters
    ----------
    values : sequence of float
        An independent sample; of fewer than six the interval is not bounded.

    References
    ----------
    Conover, Practical nonparametric statistics, 3rd ed. (1999), 3.2 (from memory, not checked).
    """
    from scipy.stats import quantile_test

    within = quantile_test(values, p=0.5).confidence_interval(0.95)
    low, high = map(float, within)  # type: ignore[call-overload] # scipy-stubs takes the interval for a number
    return Estimate(median(values)) if math.isnan(low) else Estimate(median(values), low, high)


def spread_of(values: Sequence[float]) -> Estimate:
    """Standard deviation of the bulk: up to half of the values may be wild and hardly move it.

    Parameters
    ----------
    values : sequence of float
        An independent sample.

    Returns
    -------
    Estimate
        Median absolute deviation by scipy, scaled to a normal distribution, with the percentile interval of
        a bootstrap with a fixed seed.
    """
    import numpy as np
    from scipy.stats import median_abs_deviation

    sample = np.asarray(values)
    drawn = np.random.default_rng(_SEED).choice(sample, (_RESAMPLES, sample.size))
    low, high = np.quantile(median_abs_deviation(drawn, axis=1, scale="normal"), (0.025, 0.975)).tolist()
    return Estimate(float(median_abs_deviation(sample, scale="normal")), low, high)
