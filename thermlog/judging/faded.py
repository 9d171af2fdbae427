"""Gaps that have faded: small in kelvin now, and past the marks when the wheels stopped.

Both sides of an axle cool alike, so the ratio of their rises lasts while the difference melts away. All marks
in kelvin hold soon after the stop: what is read later is brought back to that moment, by the time constant
of the axle. Where nobody stated the moment, the log's own clock is all there is to go by.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from thermlog.inference.gaps import WatchMarks
from thermlog.judging.axlenumbers import AxleNumbers
from thermlog.words.policy import Policy
from thermlog.words.reasons import Reason
from thermlog.words.tables import Bools, Case, Floats

_LATE_S = 300.0  # a tenth or two of the heat: less is within what the marks leave open; judgement
_MOST_TAUS = 100.0  # what is later is none the less far past every mark, and a number
_LEAST_K = 4.0  # less is what an air and a gun leave open; engineering judgement


def faded_gaps(
    case: Case, axles: Mapping[int, AxleNumbers], policy: Policy, common_time_s: float | None
) -> dict[str, Reason]:
    """The reason why neither side of an axle is cleared, by corner.

    Parameters
    ----------
    case : Case
    axles : mapping of int to AxleNumbers
    policy : Policy
    common_time_s : float or None
        At which left and right stand beside each other; None where nothing can be compared.
    """
    found: dict[str, Reason] = {}
    late_s = late_by_s(policy, common_time_s)
    for numbers in axles.values() if late_s > 0.0 else ():
        least_k, (hot, cold) = numbers.least_gap_k, numbers.hot_cold
        if least_k is None or hot.tau_s is None or cold.tau_s is None or numbers.is_plain(policy):
            continue
        times = times_larger(late_s, np.array(max(hot.tau_s, cold.tau_s)))
        if not is_faded(np.array(least_k), np.array(cold.rise_k or 0.0), times, policy):
            continue
        clock = "minutes" if case.parked_known else "clock_minutes"
        once = {clock: (common_time_s or 0.0) / 60.0, "once_k": numbers.size_k * float(times)}
        told = numbers.gap_numbers | once
        reason = Reason(code="gap_faded", corners=(hot.corner, cold.corner), numbers=told)
        found |= {hot.corner: reason, cold.corner: reason}
    return found


def late_by_s(policy: Policy, common_time_s: float | None) -> float:
    """How long after the moment for which the marks hold both sides are compared [s]; 0 if hardly later."""
    late_s = 0.0 if common_time_s is None else common_time_s - policy.common_time_s
    return late_s if late_s >= _LATE_S else 0.0


def times_larger(late_s: Floats | float, tau_s: Floats) -> Floats:
    """How many times as large a gap was so long before [s], by the time constant of its axle [s]."""
    return np.asarray(np.exp(np.minimum(late_s / tau_s, _MOST_TAUS)))


def is_faded(least_k: Floats, cooler_k: Floats, grown: Floats, marks: WatchMarks) -> Bools:
    """True where a gap passes the watch ratio with its interval, the watch difference only when it is grown.

    Parameters
    ----------
    least_k : float array
        Near end of the 95 % interval of the gap [K].
    cooler_k : float array
        Rise of the cooler side [K].
    grown : float array
        How many times as large it was when the marks hold.
    marks : WatchMarks
    """
    apart = least_k >= np.maximum((marks.watch_ratio - 1.0) * np.maximum(cooler_k, 0.0), _LEAST_K)
    small = least_k < marks.watch_difference_k
    faded: Bools = apart & small & (least_k * grown >= marks.watch_difference_k)
    return faded
