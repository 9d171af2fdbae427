"""Distribution-free tolerance limits: how many vehicles a limit for a wanted rate of false alarms needs.

References
----------
Wilks, Determination of sample sizes for setting tolerance limits, Ann. Math. Stat. 12 (1941) 91.
"""

from __future__ import annotations

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
    count = 1
    while _sureness(count, count, share) < confidence:
        count += 1
    return count


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
    ordered = sorted(values)
    for place, value in enumerate(ordered, start=1):
        if _sureness(len(ordered), place, share) >= confidence:
            return value
    return None


def _sureness(count: int, inside: int, share: float) -> float:
    """Probability that `inside` spacings between ordered values hold at least `share` of the population."""
    from scipy.stats import beta

    # what so many spacings hold is distributed as a beta variable, for every continuous distribution
    return float(beta.sf(share, inside, count - inside + 1))
