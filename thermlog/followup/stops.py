"""What stopped the vehicle on an earlier drive, and what has become of it: an even log explains no smoke."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct

from thermlog.advice.urgency import HUB_CODES
from thermlog.followup.outcomes import Outcome
from thermlog.followup.troubles import troubles_of
from thermlog.words.findings import Diagnosis, Urgent
from thermlog.words.reasons import DoCode, Reason, ReasonCode
from thermlog.words.urgentwords import PART_WORDS, seen_words
from thermlog.words.vehicle import split_corner

# What a brake that dragged does to itself: where the drag is shown to be gone, this is explained.
_BY_DRAG = frozenset({"brake_hot", "caliper_hot"})


class Stop(Struct, frozen=True, kw_only=True):
    """One thing that stopped the vehicle before.

    Attributes
    ----------
    urgent : Urgent
        As the earlier drive says it.
    reason : Reason
        The same, with what the last drive says there.
    settled : bool
        True where what caused it is shown to be gone; False where nothing shows why it was.
    """

    urgent: Urgent
    reason: Reason
    settled: bool

    @property
    def of_hub(self) -> bool:
        """True where a bearing is in question."""
        return self.urgent.code in HUB_CODES


def stops_of(
    before: Sequence[Diagnosis], now: Sequence[Diagnosis], outcomes: Mapping[int, Outcome]
) -> tuple[Stop, ...]:
    """What stopped the vehicle on earlier drives and does not by the drives that count now.

    Parameters
    ----------
    before, now : sequence of Diagnosis
        Of one vehicle.
    outcomes : dict of int to Outcome
        What became of each axle.

    Returns
    -------
    tuple of Stop
        Each thing at each place once, in the order of the drives, a hub once; what is still urgent is told
        by the last drive itself.
    """
    still = {_place(one) for log in now for one in log.urgent}
    found: dict[object, Stop] = {}
    for log in before:
        for one in log.urgent:
            if _place(one) not in still:
                found.setdefault(_place(one), _stop(one, log, now, outcomes))
    return tuple(found.values())


def _place(one: Urgent) -> tuple[str, str | None]:
    return "hub" if one.code in HUB_CODES else one.code, one.corner


def _stop(one: Urgent, log: Diagnosis, now: Sequence[Diagnosis], outcomes: Mapping[int, Outcome]) -> Stop:
    mended = _fault_is_gone(one, log, outcomes)
    if one.code in PART_WORDS or one.code == "over_range" or one.code in HUB_CODES:
        reads = _read_now(one, now)
        stated = reads is not None and _repair(now) is not None
        return Stop(urgent=one, reason=_of_reading(one, reads, (stated, mended)), settled=stated or mended)
    settled = _nothing_seen(now) and (mended or _repair(now) is not None)
    return Stop(urgent=one, reason=_of_sight(one, now, settled=settled), settled=settled)


def _fault_is_gone(one: Urgent, log: Diagnosis, outcomes: Mapping[int, Outcome]) -> bool:
    """True for a brake or hub that was called there, on an axle that is shown to be even again.

    Where nobody said at which wheel something was seen, all that was called must be gone.
    """
    if one.corner is None:
        called = {number for number in outcomes if any(each.called for each in troubles_of(log, number))}
        return bool(called) and all(outcomes[number] == "repaired" for number in called)
    number = split_corner(one.corner)[0]
    kinds = _explained_by(one)
    held = any(found.corner == one.corner and found.kind in kinds for found in troubles_of(log, number))
    return held and outcomes.get(number) == "repaired"


def _explained_by(one: Urgent) -> frozenset[str]:
    """Kinds of fault that can have done it: what is seen comes of a drag as well as of a bearing."""
    if one.code in HUB_CODES:
        return frozenset({"hub"})
    if one.code in _BY_DRAG:
        return frozenset({"drag"})
    return frozenset() if one.code in PART_WORDS or one.code == "over_range" else frozenset({"drag", "hub"})


def _nothing_seen(now: Sequence[Diagnosis]) -> bool:
    """True if all drives that count say that somebody looked, and saw nothing."""
    return bool(now) and all(log.taken is not None and log.taken.nothing_seen for log in now)


def _repair(now: Sequence[Diagnosis]) -> str | None:
    """What the drives that count say was found and mended."""
    return next((log.taken.repair for log in now if log.taken is not None and log.taken.repair), None)


def _of_sight(one: Urgent, now: Sequence[Diagnosis], *, settled: bool) -> Reason:
    corners = () if one.corner is None else (one.corner,)
    looked: ReasonCode = "was_seen_looked" if _nothing_seen(now) else "was_seen"
    code = "was_seen_settled" if settled else looked
    return Reason(code=code, corners=corners, quoted=seen_words(one.code))


def _of_reading(one: Urgent, reads: float | None, explained: tuple[bool, bool]) -> Reason:
    """What was read before and now; `explained`: by what the log states, by a fault that is gone."""
    corners = () if one.corner is None else (one.corner,)
    stated, mended = explained
    code: ReasonCode
    if one.code in HUB_CODES:
        code, quoted = "hub_stopped_settled" if stated else "hub_stopped", ""
    elif one.code == "over_range":
        code, quoted = "was_above_range_settled" if stated else "was_above_range", ""
    else:
        code, quoted = "was_past_line_settled" if stated or mended else "was_past_line", PART_WORDS[one.code]
    numbers = {} if one.value_degc is None else {"before_degc": one.value_degc}
    return Reason(
        code=code,
        corners=corners,
        numbers=numbers if reads is None else numbers | {"now_degc": reads},
        quoted=quoted,
    )


def _read_now(one: Urgent, now: Sequence[Diagnosis]) -> float | None:
    """Hottest that was read at this place on the drives that count [°C]; None where nobody read it."""
    heights = [
        found.start_degc
        for log in now
        for found in log.corners
        if found.corner == one.corner and found.spot == (one.spot or "brake") and found.start_degc is not None
    ]
    return max(heights, default=None)


def settling(stops: Iterable[Stop]) -> Reason | None:
    """What to do about what stopped the vehicle and is not explained; None where there is nothing."""
    left = [one for one in stops if not one.settled]
    if not left:
        return None
    burned = [one for one in left if not one.of_hub]
    code: DoCode = "find_cause" if burned else "check_bearing"
    corners = dict.fromkeys(one.urgent.corner for one in burned or left if one.urgent.corner is not None)
    return Reason(code=code, corners=tuple(corners))
