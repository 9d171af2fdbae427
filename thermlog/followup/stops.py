"""What stopped the vehicle on an earlier drive, and what has become of it: an even log explains no smoke.

What was only watched beside the brakes is told in `partsbefore`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TypeAlias

from msgspec import Struct

from thermlog.advice.urgency import HUB_CODES
from thermlog.followup.explained import explained, repairs_after
from thermlog.followup.outcomes import Outcome
from thermlog.followup.troubles import troubles_of
from thermlog.words.findings import Diagnosis, Urgent, UrgentCode
from thermlog.words.reasons import DoCode, Reason, ReasonCode
from thermlog.words.seenwords import OF_SUPPLY
from thermlog.words.urgentwords import PART_WORDS, seen_words
from thermlog.words.vehicle import FACE_SPOTS, mate_of, split_corner

# What a brake that dragged does to itself: where the drag is shown to be gone, this is explained.
_BY_DRAG = frozenset({"brake_hot", "caliper_hot"})
# No drag that is gone explains these.
_BY_NONE: frozenset[UrgentCode] = OF_SUPPLY | {"over_range"}
# A brake may be aimed at elsewhere the next time; its caliper is another part.
# What is left to do, the most dangerous first.
_DEEDS: tuple[DoCode, ...] = ("find_cause", "check_bearing", "inspect_hot", "read_part", "prove_again")
# Settled, with harm that heat may have left in what no gun sees.
HEATED: frozenset[ReasonCode] = frozenset({"was_past_line_settled", "was_above_range_settled"})
_AFTER_WORK = frozenset({"inspect_hot", "read_part", "prove_again"})

_After: TypeAlias = tuple[Sequence[Diagnosis], Sequence[Diagnosis]]  # all later drives, those that count now


class Stop(Struct, frozen=True, kw_only=True):
    """One thing that stopped the vehicle before, or was watched beside its brakes.

    Attributes
    ----------
    reason : Reason
        What the earlier drive says, with what the last one says there.
    settled : bool
        True where it is shown to be gone and what caused it is known.
    do : DoCode
        What is left to do where it is not settled.
    part : str
        Name of the part that was not read now; empty where it was, or where it is no part.
    """

    reason: Reason
    settled: bool
    do: DoCode
    part: str = ""


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
    found = {
        _place(one): _stop(one, log, (later, now), outcomes) for one, log, later in _stopped(before, now)
    }
    return tuple(found.values())  # of what came again the last time counts


def unclear_repair(before: Sequence[Diagnosis], now: Sequence[Diagnosis]) -> tuple[Stop, ...]:
    """What is said of a repair and explains nothing of what stopped the vehicle: quoted once.

    Parameters
    ----------
    before, now : sequence of Diagnosis
        As of `stops_of`.
    """
    for one, log, later in _stopped(before, now):
        if explained(log, later, _corners(one)) == "no":
            said = "; ".join(repairs_after(log, later))
            reason = Reason(code="repair_unclear", corners=_corners(one), quoted=said)
            return (Stop(reason=reason, settled=False, do="find_cause"),)
    return ()


def _stopped(
    before: Sequence[Diagnosis], now: Sequence[Diagnosis]
) -> Iterator[tuple[Urgent, Diagnosis, tuple[Diagnosis, ...]]]:
    """What stopped the vehicle before and does not now, its log, and all later ones."""
    still = {_place(one) for log in now for one in log.urgent}
    for k, log in enumerate(before):
        for one in log.urgent:
            if _place(one) not in still:
                yield one, log, (*before[k + 1 :], *now)


def _corners(one: Urgent) -> tuple[str, ...]:
    return () if one.corner is None else (one.corner,)


def _place(one: Urgent) -> tuple[str, str | None]:
    return "hub" if one.code in HUB_CODES else one.code, one.corner


def _stop(one: Urgent, log: Diagnosis, after: _After, outcomes: Mapping[int, Outcome]) -> Stop:
    later, now = after
    said = explained(log, later, _corners(one))
    gone, stated = _fault_is_gone(one, log, outcomes), said == "yes"
    mended = said != "no" and gone
    if one.code in PART_WORDS or one.code == "over_range":
        even = gone or one.code not in HUB_CODES or not _held(one, log)
        return _stop_of_reading(one, now, even=even, mended=mended, stated=stated)
    settled = _nothing_seen(later) and (mended or stated)
    return Stop(reason=_of_sight(one, later, settled=settled), settled=settled, do="find_cause")


def _stop_of_reading(
    one: Urgent, now: Sequence[Diagnosis], *, even: bool, mended: bool, stated: bool
) -> Stop:
    """Something that was too hot: settled where it is read again and the log says what was found and mended.

    A hub that stopped the vehicle holds it, however cool it reads, until the log says what was done about its
    bearing and it is no more odd. What a drag that is gone made hot has done harm that no gun sees, and is
    inspected; what was not read stays open whatever was mended.
    """
    reads = _read_now(one, now)
    hub = one.code in HUB_CODES
    settled = reads is not None and stated and even
    do: DoCode = "check_bearing" if hub else "find_cause"
    if (stated or mended) and not hub:
        do = "inspect_hot" if reads is not None else "read_part"
    part = PART_WORDS[one.code] if reads is None and one.code in PART_WORDS and not hub else ""
    reason = _of_reading(one, reads, settled=settled, known=stated or mended)
    return Stop(reason=reason, settled=settled, do=do, part=part)


def _fault_is_gone(one: Urgent, log: Diagnosis, outcomes: Mapping[int, Outcome]) -> bool:
    """True for a brake or hub that was called there, on an axle that is shown to be even again.

    Where nobody said at which wheel something was seen, all that was called must be gone.
    """
    if one.corner is None:
        called = {number for number in outcomes if any(each.called for each in troubles_of(log, number))}
        return bool(called) and all(outcomes[number] == "repaired" for number in called)
    return _held(one, log) and outcomes.get(split_corner(one.corner)[0]) == "repaired"


def _held(one: Urgent, log: Diagnosis) -> bool:
    """True where something that explains it was called or watched at its wheel."""
    if one.corner is None:
        return False
    kinds, found = _explained_by(one), troubles_of(log, split_corner(one.corner)[0])
    return any(each.corner == one.corner and each.kind in kinds for each in found)


def _explained_by(one: Urgent) -> frozenset[str]:
    """Kinds of fault that can have done it: what is seen comes of a drag as well as of a bearing."""
    if one.code in HUB_CODES:
        return frozenset({"hub"})
    if one.code in _BY_DRAG:
        return frozenset({"drag"})
    apart = one.code in PART_WORDS or one.code in _BY_NONE
    return frozenset() if apart else frozenset({"drag", "hub"})


def _nothing_seen(later: Sequence[Diagnosis]) -> bool:
    """True if a later log says that somebody looked, and saw nothing."""
    return any(log.taken is not None and log.taken.nothing_seen for log in later)


def _of_sight(one: Urgent, later: Sequence[Diagnosis], *, settled: bool) -> Reason:
    corners = _corners(one)
    looked: ReasonCode = "was_seen_looked" if _nothing_seen(later) else "was_seen"
    code = "was_seen_settled" if settled else looked
    return Reason(code=code, corners=corners, quoted=seen_words(one.code))


def _of_reading(one: Urgent, reads: float | None, *, settled: bool, known: bool) -> Reason:
    """What was read before and now; `known`: its cause is, by what the log states or a fault that is gone."""
    corners = _corners(one)
    code: ReasonCode
    if one.code in HUB_CODES:
        code, quoted = "hub_stopped_settled" if settled else "hub_stopped", ""
    elif one.code == "over_range":
        code, quoted = "was_above_range_settled" if settled else "was_above_range", ""
    else:
        quoted = PART_WORDS[one.code]
        code = "was_past_line_settled" if known and reads is not None else "was_past_line"
        code = "was_past_line_unread" if known and reads is None else code
    numbers = {} if one.value_degc is None else {"before_degc": one.value_degc}
    return Reason(
        code=code,
        corners=corners,
        numbers=numbers if reads is None else numbers | {"now_degc": reads},
        quoted=quoted,
    )


def _read_now(one: Urgent, now: Sequence[Diagnosis]) -> float | None:
    """Hottest that was read at this place on the drives that count [°C]; None where nobody read it."""
    spots = FACE_SPOTS if one.spot is None or one.spot in FACE_SPOTS else {one.spot}
    heights = [
        found.start_degc
        for log in now
        for found in log.corners
        if found.corner == one.corner and found.spot in spots and found.start_degc is not None
    ]
    return max(heights, default=None)


def stops_to_settle(stops: Iterable[Stop]) -> Reason | None:
    """What to do about what was held against the vehicle and is not settled; None where there is nothing."""
    left = [one for one in stops if not one.settled]
    if not left:
        return None
    code = min((one.do for one in left), key=_DEEDS.index)
    mine = [one for one in left if one.do == code]
    if code == "read_part":  # one part and its mate; the next one is asked for when this one was read
        corner = next((corner for one in mine for corner in one.reason.corners), None)
        pair = () if corner is None else (corner, mate_of(corner))
        return Reason(code=code, corners=pair, quoted=mine[0].part)
    unread = " and ".join(dict.fromkeys(one.part for one in left if one.part))
    corners = tuple(dict.fromkeys(corner for one in mine for corner in one.reason.corners[:1]))
    return Reason(code=code, corners=corners, quoted=unread if code == "find_cause" else "")


def after_work(reason: Reason) -> bool:
    """True for what gives way to a brake that is called or watched now: its fault itself is known or mild."""
    return reason.code in _AFTER_WORK
