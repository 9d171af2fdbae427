"""How many vehicles of a batch have brakes that look alike: learned from the readings of the batch itself.

How unlike the surfaces of one vehicle's brakes are cannot be seen on that vehicle, only how often it happens
among many. Each gives the odds of its readings if its surfaces are alike over those if they are not; the
share that makes all of them most likely is found by expectation and maximisation (Dempster, Laird & Rubin,
J. R. Stat. Soc. B 39 (1977) 1; from memory, not checked), held towards the policy's share as by
some vehicles seen before.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from thermlog.words.tables import Floats

MOST_LOGS = 120  # sampled of a batch: more would sharpen the share by little and cost time
FEWEST_LOGS = 60  # in a batch: of fewer nothing is learned
_FEWEST_VEHICLES = 30  # of the sample that could be weighed
_SEEN_BEFORE = 20.0  # vehicles that the policy's share counts as; engineering judgement
_LOWEST, _HIGHEST = 0.05, 0.95  # no batch proves that one kind never comes; engineering judgement
_STEPS, _SETTLED = 1000, 1e-7


def sampled(paths: Sequence[str]) -> list[str]:
    """Some files of a batch, evenly spaced, the same whatever order they are given in.

    Parameters
    ----------
    paths : sequence of str

    Returns
    -------
    list of str
        At most `MOST_LOGS`, in sorted order.
    """
    ordered = sorted(set(paths))
    count = min(MOST_LOGS, len(ordered))
    return [ordered[k * len(ordered) // count] for k in range(count)]


def learned_share(odds: Floats, usual_share: float) -> float | None:
    """Share of vehicles whose brakes look alike.

    Parameters
    ----------
    odds : float array (vehicles,)
        Of the readings of each if its surfaces are alike, over those if they are not; NaN where nothing could
        be weighed.
    usual_share : float
        What is believed without this batch, 0 to 1.

    Returns
    -------
    float or None
        0.05 to 0.95; None where too few vehicles could be weighed.
    """
    told = odds[~np.isnan(odds)]
    if told.size < _FEWEST_VEHICLES:
        return None
    with np.errstate(divide="ignore"):
        against = 1.0 / told
    share = usual_share
    for _ in range(_STEPS):
        alike = float(np.sum(share / (share + (1.0 - share) * against)))
        before, share = share, (_SEEN_BEFORE * usual_share + alike) / (_SEEN_BEFORE + told.size)
        if abs(share - before) < _SETTLED:
            break
    return min(max(share, _LOWEST), _HIGHEST)
