"""A long pause in which no brake cooled as it does: the clock was moved, or a time was typed wrongly.

All numbers are engineering judgement, no source.
"""

from __future__ import annotations

import math

import numpy as np

from thermlog.words.policy import Policy
from thermlog.words.reasons import Reason
from thermlog.words.tables import Case, Pause

_WARM_K = 15.0  # above the air before a loss of heat can be told
_SLOWEST_S = 6 * 3600.0  # time constant that no parked brake exceeds: half as much again as the slowest known
_SLOW_SPREADS = (
    3.0  # of what is believed of time constants: slower than any brake of which nothing else tells
)
_IN_HOURS = 3.0  # hours, from which nobody counts minutes
_SLOWED = 4.0  # times: heat that soaks in and falling rises make a later time constant longer by less


def clock_moved(case: Case, policy: Policy) -> tuple[Reason, ...]:
    """Why the times of a log are not believed: brakes kept their heat over a long pause; else nothing.

    Parameters
    ----------
    case : Case
    policy : Policy
    """
    pause, air_degc = case.pause, case.ambient_degc
    if pause is None or air_degc is None or not _kept_too_much(pause, air_degc, policy):
        return ()
    hours = pause.seconds / 3600.0
    length = {"hours": hours} if hours >= _IN_HOURS else {"minutes": pause.seconds / 60.0}
    before = {} if pause.before is None else {"before": float(pause.before)}
    numbers = {"line": float(pause.line), **before, **length}
    return (Reason(code="clock_moved", numbers=numbers),)


def _kept_too_much(pause: Pause, air_degc: float, policy: Policy) -> bool:
    """True if half of the warm brakes kept more of their heat than the pause leaves a brake."""
    kept = [(now - air_degc) / (then - air_degc) for then, now in pause.across if then - air_degc >= _WARM_K]
    return bool(kept) and bool(
        np.median(kept) > math.exp(-pause.seconds / _slowest_s(pause, air_degc, policy))
    )


def _slowest_s(pause: Pause, air_degc: float, policy: Policy) -> float:
    """Time constant of the slowest brake that the readings on one side of the pause allow [s]."""
    told = [
        seconds / math.log((then - air_degc) / (now - air_degc)) if air_degc < now < then else math.inf
        for then, now, seconds in pause.within
        if then - air_degc >= _WARM_K and seconds > 0.0
    ]
    if told:
        return min(_SLOWEST_S, _SLOWED * float(np.median(told)))
    kinds = (policy.tau_disc_s, policy.tau_disc_spread), (policy.tau_drum_s, policy.tau_drum_spread)
    return min(_SLOWEST_S, max(tau_s * math.exp(_SLOW_SPREADS * spread) for tau_s, spread in kinds))
