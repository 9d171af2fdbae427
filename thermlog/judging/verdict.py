"""From numbers to words: even, watch, hot, cold or cannot tell, for every axle and corner of one vehicle."""

from __future__ import annotations

import math

from msgspec import Struct

from thermlog.judging.axlenumbers import AxleNumbers, SideNumbers, between, ordered
from thermlog.words.findings import AxleFinding, Verdict
from thermlog.words.policy import Policy
from thermlog.words.sentences import kelvin, named, sentence

CLEARLY_UNLIKE_SIGMAS = 3.0
_FEWEST_FOR_TAU = 3  # readings a side before its time constant means anything
OPEN_DOUBT = 0.15  # probability of an odd side above which a wide interval is not called even


class AxleVerdict(Struct, frozen=True, kw_only=True):
    """Verdict of an axle with those of its two corners."""

    finding: AxleFinding
    left: Verdict
    right: Verdict


class _Call(Struct, frozen=True, kw_only=True):
    """Verdicts of axle, left and right with the reason."""

    axle: Verdict
    left: Verdict
    right: Verdict
    why: str
    suspect: str | None = None


def judge_axle(numbers: AxleNumbers, policy: Policy) -> AxleVerdict:
    """Give the verdict of one axle.

    Parameters
    ----------
    numbers : AxleNumbers
    policy : Policy

    Returns
    -------
    AxleVerdict
        "Cannot tell" names what is missing and when to read again.
    """
    call = (
        _lifted(numbers, policy)
        or _drags_without_braking(numbers, policy)
        or _nothing_to_compare(numbers)
        or _both_sides(numbers, policy)
        or _one_side(numbers, policy)
        or _not_enough_heat(numbers, policy)
        or _watch(numbers, policy)
        or _too_wide(numbers, policy)
        or _even(numbers)
    )
    why = [call.why]
    axle: Verdict = call.axle
    if unlike := _unlike_cooling(numbers, policy):
        why.append(unlike)
        axle = "watch" if axle == "even" else axle
    finding = AxleFinding(
        axle=numbers.axle,
        difference_k=numbers.difference_k,
        difference_interval_k=numbers.difference_interval_k,
        rise_ratio=numbers.ratio if numbers.ambient_known else None,
        rise_ratio_interval=numbers.ratio_interval if numbers.ambient_known else None,
        verdict=axle,
        suspect=call.suspect,
        why=tuple(why),
    )
    return AxleVerdict(finding=finding, left=call.left, right=call.right)


def _cannot_tell(why: str) -> _Call:
    return _Call(axle="cannot_tell", left="cannot_tell", right="cannot_tell", why=why)


def _nothing_to_compare(numbers: AxleNumbers) -> _Call | None:
    sides = (numbers.left, numbers.right)
    if missing := [side.corner for side in sides if side.readings == 0]:
        return _cannot_tell(
            sentence(
                "{} not read at the spot of the other side: read both sides at one spot", named(*missing)
            )
        )
    if any(side.used == 0 and not side.rising for side in sides):
        return _cannot_tell(
            "no times: readings of different moments cannot be compared; write the seconds since parking "
            "beside each reading"
        )
    if held := [side.corner for side in sides if side.unchanged]:
        return _cannot_tell(
            sentence(
                "{}: all readings alike, yet a brake that warm cools: is the gun on hold? read again",
                named(*held),
            )
        )
    if rising := [side.corner for side in sides if side.rising]:
        return _cannot_tell(
            sentence(
                "{} still rising, cooling has not begun: walk round again in about 5 minutes",
                named(*rising),
            )
        )
    if not numbers.ambient_known:
        return _cannot_tell(
            "ambient temperature not stated: add a line '# ambient: 18 C' or give --ambient 18"
        )
    return None


def _lifted(numbers: AxleNumbers, policy: Policy) -> _Call | None:
    if not (numbers.lifted and numbers.ambient_known) or max(_rises(numbers)) >= policy.minimum_rise_k:
        return None
    return _Call(axle="even", left="even", right="even", why="cold, as a lifted or unloaded axle is")


def _rises(numbers: AxleNumbers) -> tuple[float, float]:
    return numbers.left.rise_k or 0.0, numbers.right.rise_k or 0.0


def _drags_without_braking(numbers: AxleNumbers, policy: Policy) -> _Call | None:
    """A drive without braking is judged by the rise alone, mate or none: healthy brakes sink to ambient."""
    if not (numbers.coast and numbers.ambient_known):
        return None
    left, right = (
        "cannot_tell" if side.unchanged else _coast_verdict(side.rise_k, policy)
        for side in (numbers.left, numbers.right)
    )
    worst: Verdict = "hot" if "hot" in (left, right) else "watch" if "watch" in (left, right) else "even"
    if worst == "even":
        return None
    hotter = numbers.left if _rises(numbers)[0] >= _rises(numbers)[1] else numbers.right
    line = policy.coast_drag_k if worst == "hot" else policy.coast_watch_k
    pattern = "{} above ambient after a drive without braking (line {})"
    why = sentence(pattern, kelvin(hotter.rise_k or 0.0), kelvin(line))
    odd = [
        side.corner for side, verdict in ((numbers.left, left), (numbers.right, right)) if verdict == worst
    ]
    suspect = odd[0] if len(odd) == 1 and worst == "hot" else None
    return _Call(axle=worst, left=left, right=right, why=why, suspect=suspect)


def _coast_verdict(rise_k: float | None, policy: Policy) -> Verdict:
    if rise_k is None:
        return "cannot_tell"
    if rise_k >= policy.coast_drag_k:
        return "hot"
    return "watch" if rise_k >= policy.coast_watch_k else "even"


def _both_sides(numbers: AxleNumbers, policy: Policy) -> _Call | None:
    """Both sides of the axle alike, yet odd beside the rest of the vehicle."""
    sides = (numbers.left, numbers.right)
    if min(side.p_hot for side in sides) >= policy.flag_probability:
        why = "both sides hot against the other axles: left against right alone would pass this axle"
        return _Call(axle="hot", left="hot", right="hot", why=why)
    if numbers.others_warm and min(side.p_cold for side in sides) >= policy.flag_probability:
        why = "both sides cold against the other axles: lifted, unloaded, regeneration, or no pressure here"
        return _Call(axle="cold", left="cold", right="cold", why=why)
    return None


def _marks_reached(numbers: AxleNumbers, ratio: float, difference_k: float) -> bool:
    """Ratio and difference both at or beyond a mark; a ratio without end counts as beyond."""
    if numbers.difference_k is None or abs(numbers.difference_k) < difference_k:
        return False
    return numbers.ratio is None or numbers.ratio >= ratio


def _one_side(numbers: AxleNumbers, policy: Policy) -> _Call | None:
    """One side stands out from its mate and the probability says so."""
    hot, cold, _ = ordered(numbers)
    marked = _marks_reached(numbers, policy.suspect_ratio, policy.suspect_difference_k)
    if not marked or hot.p_hot + cold.p_cold < policy.flag_probability:
        return None
    return (
        _side_named(numbers, policy)
        or _settled_by_coast(numbers, policy)
        or _Call(
            axle="hot" if hot.p_hot >= cold.p_cold else "cold",
            left="watch",
            right="watch",
            why=sentence(
                "the sides are unlike: {}; open whether {} drags or {} does nothing: a drive without braking "
                "decides (a dragging brake stays hot, a working one sinks)",
                between(numbers),
                named(hot.corner),
                named(cold.corner),
            ),
        )
    )


def _side_named(numbers: AxleNumbers, policy: Policy) -> _Call | None:
    """The odd side, where the other axles tell which it is."""
    hot, cold, hot_is_left = ordered(numbers)
    needed = policy.side_probability * (hot.p_hot + cold.p_cold)
    if hot.p_hot >= needed:
        pattern = "{} stands out hot: {}; the other brakes side with {}"
        why = sentence(pattern, named(hot.corner), between(numbers), named(cold.corner))
        return _sided("hot", hot_is_left, why, hot.corner)
    enough = (hot.rise_k or 0.0) >= policy.minimum_rise_k
    low = (cold.rise_k or 0.0) <= policy.cold_fraction * (hot.rise_k or 0.0)
    if cold.p_cold < needed or not enough or not low:
        return None
    if _rests_on_one_reading(hot, cold):
        return _read_again(cold)
    pattern = "{} stands out cold: {}; the other brakes side with {}"
    why = sentence(pattern, named(cold.corner), between(numbers), named(hot.corner))
    return _sided("cold", not hot_is_left, why, cold.corner)


def _settled_by_coast(numbers: AxleNumbers, policy: Policy) -> _Call | None:
    """A dragging brake stays hot without braking, a working one sinks: that tells the odd side."""
    if numbers.coast_rises_k is None:
        return None
    hot, cold, hot_is_left = ordered(numbers)
    hot_coast, cold_coast = numbers.coast_rises_k if hot_is_left else numbers.coast_rises_k[::-1]
    pattern = "{}; after the drive without braking {} is {} above ambient"
    after = sentence(pattern, between(numbers), named(hot.corner), kelvin(hot_coast))
    if hot_coast >= policy.coast_watch_k and hot_coast >= policy.suspect_ratio * cold_coast:
        return _sided("hot", hot_is_left, sentence("{}: it drags", after), hot.corner)
    if max(hot_coast, cold_coast) < policy.coast_watch_k and hot.used > 1 and cold.used > 1:
        why = sentence("{} and nothing stays hot: {} does too little", after, named(cold.corner))
        return _sided("cold", not hot_is_left, why, cold.corner)
    return None


def _rests_on_one_reading(hot: SideNumbers, cold: SideNumbers) -> bool:
    """The cooler side was read once only, and the hotter one does not stand out by itself."""
    return cold.used == 1 and cold.p_cold > hot.p_hot


def _read_again(cold: SideNumbers) -> _Call:
    pattern = (
        "{} reads far below the others on a single reading: a shot beside the brake, or a brake that does "
        "nothing: read {} again now, close and square on"
    )
    return _cannot_tell(sentence(pattern, named(cold.corner), named(cold.corner)))


def _sided(verdict: Verdict, is_left: bool, why: str, corner: str | None) -> _Call:  # noqa: FBT001 - one bit
    return _Call(
        axle=verdict,
        left=verdict if is_left else "even",
        right="even" if is_left else verdict,
        why=why,
        suspect=corner,
    )


def _not_enough_heat(numbers: AxleNumbers, policy: Policy) -> _Call | None:
    if numbers.coast:
        return None
    hottest = max(numbers.left.rise_high_k or 0.0, numbers.right.rise_high_k or 0.0)
    if hottest >= policy.minimum_rise_k:
        return None
    return _cannot_tell(
        sentence(
            "not enough heat: the warmer side is at most {} above ambient, and {} above it are needed: drive "
            "15 to 20 minutes with 15 to 25 moderate stops and read within a minute of parking",
            kelvin(hottest),
            kelvin(policy.minimum_rise_k),
        )
    )


def _watch(numbers: AxleNumbers, policy: Policy) -> _Call | None:
    """More than usual, yet not enough to call."""
    hot, cold, hot_is_left = ordered(numbers)
    marked = _marks_reached(numbers, policy.watch_ratio, policy.watch_difference_k)
    if not marked or hot.p_hot + cold.p_cold < policy.watch_probability:
        return _watch_both(numbers, policy)
    if _rests_on_one_reading(hot, cold):
        return _read_again(cold)
    pattern = "{}: more than usual, not enough to call; walk round again or repeat the drive"
    why = sentence(pattern, between(numbers))
    odd_is_left = hot_is_left if hot.p_hot >= cold.p_cold else not hot_is_left
    return _sided("watch", odd_is_left, why, None)


def _watch_both(numbers: AxleNumbers, policy: Policy) -> _Call | None:
    sides = (numbers.left, numbers.right)
    if min(side.p_hot for side in sides) >= policy.watch_probability:
        why = "both sides warmer than the other axles let expect: a drive without braking shows if they drag"
    elif numbers.others_warm and min(side.p_cold for side in sides) >= policy.watch_probability:
        why = "both sides cooler than the other axles let expect: light load, regeneration or weak brakes"
    else:
        return None
    return _Call(axle="watch", left="watch", right="watch", why=why)


def _too_wide(numbers: AxleNumbers, policy: Policy) -> _Call | None:
    """An interval that reaches a strong fault while the probability does not rule one out."""
    reach = max(abs(value) for value in numbers.difference_interval_k or (0.0, 0.0))
    hot, cold, _ = ordered(numbers)
    doubt = hot.p_hot + cold.p_cold
    if reach < policy.strong_difference_k or doubt < OPEN_DOUBT:
        return None
    if numbers.ratio_interval is not None and numbers.ratio_interval[1] < policy.strong_ratio:
        return None
    fewer = numbers.left if numbers.left.used <= numbers.right.used else numbers.right
    return _cannot_tell(
        sentence(
            "too few readings: the difference can be up to {}; read {} and {} again while they are warm "
            "({} has {})",
            kelvin(reach),
            named(numbers.left.corner),
            named(numbers.right.corner),
            named(fewer.corner),
            fewer.used,
        )
    )


def _even(numbers: AxleNumbers) -> _Call:
    low, high = numbers.difference_interval_k or (math.nan, math.nan)
    size = numbers.difference_k or 0.0
    ends = (kelvin(end, signed=True, bare=True) for end in (low, high))
    pattern = "no difference found: left minus right {} ({} to {})"
    why = sentence(pattern, kelvin(size, signed=True), *ends)
    return _Call(axle="even", left="even", right="even", why=why)


def _unlike_cooling(numbers: AxleNumbers, policy: Policy) -> str | None:
    """Sides that cool at clearly different rates: first a sign of a bad log or of a hub feeding heat."""
    left, right = numbers.left, numbers.right
    if left.tau_s is None or right.tau_s is None or min(left.used, right.used) < _FEWEST_FOR_TAU:
        return None
    unlike = abs(math.log(left.tau_s / right.tau_s)) > math.log(policy.tau_unlike_ratio)
    if not unlike or numbers.log_tau_sigmas < CLEARLY_UNLIKE_SIGMAS:
        return None
    return (
        f"the sides cool at clearly unlike rates (time constants {left.tau_s / 60:.0f} and "
        f"{right.tau_s / 60:.0f} min): first suspect aim, wind or unlike surfaces, then a hub feeding heat"
    )
