"""What would turn an open answer into "yes" or "no": chosen by the codes of its reasons, the best first."""

from __future__ import annotations

import math
from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from thermlog.advice.doing import doing
from thermlog.advice.driving import is_open_gap
from thermlog.judging.alternatives import all_hit
from thermlog.judging.facts import CaseFacts
from thermlog.words.findings import Answer, Answers
from thermlog.words.kinds import reasons_of
from thermlog.words.reasons import DRIVES, DoCode, Reason, ReasonCode
from thermlog.words.seenwords import SeenCode
from thermlog.words.vehicle import mate_of, split_corner

_SUPPLIED: dict[ReasonCode, DoCode] = {
    "not_read": "read_unread", "one_side_read": "read_unread", "no_value": "read_unread",
    "under_range": "read_unread", "over_range": "clear_and_wait", "set_aside": "look_at_log",
    "aside_hotter": "look_at_log", "aside_colder": "look_at_log", "unread_cell": "look_at_log",
    "felt_hot": "read_felt", "doubted": "look_at_log",
    "stray_hotter": "read_again", "stray_colder": "read_again", "other_unit": "read_again",
    "impossible_pace": "look_at_log", "unknown_wheel": "name_wheel", "unread_sight": "name_sight",
    "spots_differ": "name_spots", "no_times": "write_times", "held": "release_hold",
    "rising": "wait_and_read", "standing": "wait_and_read", "contradicting_readings": "read_again",
    "no_ambient": "state_ambient", "no_brake_read": "read_unread", "single_reading": "read_again",
    "below_air": "check_ambient", "below_air_rolled": "check_ambient", "nothing_warm": "drive_with_braking",
    "not_enough_heat": "drive_with_braking", "axles_unlike": "coast_drive",
    "cools_unlike": "another_round", "all_hot": "coast_drive", "nothing_braked": "drive_with_braking",
    "cools_too_fast": "read_dry", "before_parked": "correct_parked",
    "clock_moved": "correct_clock", "heats_standing": "clear_and_wait",
    "drives_contradict": "tell_sides", "barely_rolled": "coast_drive",
    "slowed_otherwise": "drive_with_braking", "hot_after_braking": "repeat_drive",
    "read_too_late": "drive_with_braking", "gap_faded": "drive_with_braking",
    "stopped_before": "ask_stopped", "pulls_unexplained": "compare_forces", "abs_lamp_lit": "read_memory",
    "seen_beside": "check_supply",
}  # fmt: skip
_SEEN: dict[SeenCode, DoCode] = {"loose": "secure_wheel"}  # before what "seen_beside" asks for
_BY_HAND: dict[ReasonCode, DoCode] = {
    "sunk_without_braking": "static_check", "said_idle": "static_check",
    "idle_before": "static_check", "said_stuck": "cool_and_turn",
}  # fmt: skip
_COMPLAINTS: frozenset[ReasonCode] = frozenset({"pulls_unexplained", "abs_lamp_lit"})
_LEAST_ASKED_K = 0.5  # less is printed as 0, and nobody is asked for 0
_RATHER = 0.5  # more likely than not
_NEARLY_DEAD = 3.0  # times below its share of heat an axle is, or more: nobody drives to find out; judgement
_NEAR_AIR_PART = 1.0 / 3.0  # of the rise that is needed: nobody can tell it from no braking; judgement
_WAIT_MINUTES = 5.0
_WITHIN_MINUTES = 5.0  # of stopping: a brake cools by a tenth or so; common practice, no source
_SEVERAL = 2
_FEW = 2  # readings a side below which another round says more than paint


class Danger(Struct, frozen=True, kw_only=True):
    """What forbids a step that would otherwise decide.

    Attributes
    ----------
    urgent : bool
        Then nobody works at a wheel and nobody drives.
    no_drive : bool
        A brake so hot, a gap so wide, or a pedal so soft, that the vehicle is not driven to find out.
    """

    urgent: bool
    no_drive: bool


def with_decides(answers: Answers, facts: CaseFacts, danger: Danger) -> Answers:
    """The answers, each open one with what would decide it and may be done.

    Parameters
    ----------
    answers : Answers
    facts : CaseFacts
    danger : Danger

    Returns
    -------
    Answers
    """
    cold = answers.idle.suspects or not answers.may_all_drag  # else there is no cold brake to be checked
    by_hand: tuple[tuple[Answer, DoCode], ...] = (
        (answers.drag, "cool_and_turn"),
        (answers.idle, "static_check" if cold else "cool_and_turn"),
        (answers.heat, "cool_and_turn"),
    )
    if answers.drag.answer == "yes" or answers.may_all_drag:  # nobody drives that to find out something else
        danger = replace(danger, no_drive=True)
    stand = _at_the_stand(answers, facts)

    def decides(one: Answer, instead: DoCode) -> tuple[Reason, ...]:
        raised = any(reason.code == "may_be_raised" for reason in one.reasons)
        steps = _raised_or_idle(one) if raised else _steps(one, facts)
        return _unique(_stand_first(_allowed(steps, (one, instead), danger), stand))

    drag, idle, heat = (
        replace(one, decides=decides(one, instead)) if one.open else one for one, instead in by_hand
    )
    return Answers(drag=drag, idle=idle, heat=heat)


def _allowed(steps: Iterator[Reason], by_hand: tuple[Answer, DoCode], danger: Danger) -> Iterator[Reason]:
    """Steps that may be done now; a drive that may not be made becomes work by hand, once cooled."""
    answer, instead = by_hand
    if danger.urgent:
        yield Reason(code="clear_and_wait")
        return
    needless = danger.no_drive and any(map(all_hit, answer.reasons))  # another round: hands tell, not the gun
    for step in steps:
        if danger.no_drive and step.code in DRIVES:
            yield _by_hand(instead, answer.corners)
        elif not (needless and step.code == "another_round"):
            yield step


def _at_the_stand(answers: Answers, facts: CaseFacts) -> tuple[Reason, ...]:
    """What comes before any drive where a brake may not work, or a whole axle may be held."""
    drag, idle = answers.drag, answers.idle
    complained = tuple(_complained(answers, facts))
    if not idle.suspects:
        if _may_be_held(drag, facts):
            return _by_hand("cool_and_turn", drag.corners), *complained
        return (
            (_by_hand("static_check", _every_corner(facts)), *complained)
            if _cold_trailer(facts)
            else complained
        )
    if drag.answer == "watch" and _drags_rather(facts):
        return (_by_hand("cool_and_turn", drag.corners), *complained)
    return (_by_hand("static_check", idle.corners), *complained)


def _cold_trailer(facts: CaseFacts) -> bool:
    """True where a trailer was read alone after a drive with braking, and every brake of it is near the air.

    Plug, drawtube or line are then likelier than a gentle drive, which is the commonest reason of a car.
    Where it has one axle nothing else brakes: without enough heat to tell, it is tried standing.
    """
    towed = facts.axles.keys() <= facts.vehicle.trailing
    part = 1.0 if len(facts.vehicle.axles) == 1 else _NEAR_AIR_PART
    near_k = part * facts.policy.minimum_rise_k
    return bool(facts.axles) and towed and not facts.coast and facts.warmest_k < near_k


def _complained(answers: Answers, facts: CaseFacts) -> Iterator[Reason]:
    """What is said of a brake, a pull or a lamp is looked into standing, however little the gun tells."""
    for reason in (*answers.idle.reasons, *answers.drag.reasons):
        if reason.code == "said_idle":
            yield _by_hand("static_check", reason.corners or _every_corner(facts))
        elif reason.code in _COMPLAINTS:
            yield _step(_SUPPLIED[reason.code], reason, facts)


def _may_be_held(drag: Answer, facts: CaseFacts) -> bool:
    """True for two axles so unlike that either reading of them forbids a drive before a look at the stand.

    So it is for a heavy vehicle, where a parking brake is stated on the hot axle, and with a strong
    difference if that rather is a drag than nothing.
    """
    unlike = next((reason for reason in drag.reasons if reason.code == "axles_unlike"), None)
    if drag.answer != "watch" or unlike is None:
        return False
    axle, times = split_corner(drag.corners[0])[0], unlike.numbers.get("times", 1.0)
    rises = facts.axles[axle].rises_k
    above_usual_k = sum(rises) / len(rises) * (1.0 - 1.0 / times)
    policy = facts.policy
    strong = (
        (drag.p or 0.0) >= _RATHER
        and times >= policy.strong_ratio
        and above_usual_k >= policy.strong_difference_k
    )
    return strong or facts.vehicle.weight_class == "heavy" or facts.vehicle.axle(axle).parking_brake


def _stand_first(steps: Iterator[Reason], stand: tuple[Reason, ...]) -> Iterator[Reason]:
    """What is done at the stand before the first drive."""
    for step in steps:
        if step.code in DRIVES:
            yield from stand
        yield step


def _unique(steps: Iterator[Reason]) -> tuple[Reason, ...]:
    found: dict[DoCode | ReasonCode, Reason] = {}
    for step in steps:
        found.setdefault(step.code, step)
    return tuple(found.values())


def _steps(answer: Answer, facts: CaseFacts) -> Iterator[Reason]:
    if answer.answer == "yes":
        return
    yield from _perhaps_mistyped(answer, facts)
    for reason in answer.reasons:
        if hand := _BY_HAND.get(reason.code):
            sank = reason.code == "sunk_without_braking"
            yield _by_hand(hand, answer.corners if sank else reason.corners or _every_corner(facts))
        elif reason.code == "axles_unlike" and (_sank(answer) or _nearly_dead(reason)):
            yield from _axle_by_axle(reason, answer, facts)
        else:
            yield from _supplied(reason, facts)
    for reason in answer.reasons:
        yield from _beside_the_gun(reason, answer, facts)
    if _class_open(facts, answer):
        yield Reason(code="state_class")


def _supplied(reason: Reason, facts: CaseFacts) -> Iterator[Reason]:
    """What supplies what a reason lacks: of a reading in doubt another one, and the log without it."""
    code = _SUPPLIED.get(reason.code)
    if reason.code == "below_air" and reason.corners and not facts.mostly_below_air:
        pair = (reason.corners[0], mate_of(reason.corners[0]))  # one reading rather is wrong than the air
        yield Reason(code="read_again", corners=pair, numbers=reason.numbers)
    if reason.code == "doubted":
        yield _step("read_again", reason, facts) if reason.corners else Reason(code="another_round")
    if reason.code == "seen_beside":
        code = _after_seen(reason, facts) or code
    if code is not None:
        yield _step(code, reason, facts)


def _after_seen(reason: Reason, facts: CaseFacts) -> DoCode | None:
    """What is done first about something seen there."""
    corner = reason.corners[0] if reason.corners else None
    return next(
        (_SEEN[one.code] for one in facts.case.seen if one.corner == corner and one.code in _SEEN), None
    )


def _every_corner(facts: CaseFacts) -> tuple[str, ...]:
    return tuple(side.corner for numbers in facts.axles.values() for side in numbers.sides)


def _raised_or_idle(answer: Answer) -> Iterator[Reason]:
    """First whether the axle was up; if not, its brakes are checked standing, then driven loaded."""
    axle = float(split_corner(answer.corners[0])[0])
    yield Reason(code="ask_raised", corners=answer.corners, numbers={"axle": axle})
    yield _by_hand("static_check", answer.corners)
    yield Reason(code="drive_loaded", corners=answer.corners)


def _axle_by_axle(reason: Reason, answer: Answer, facts: CaseFacts) -> Iterator[Reason]:
    """Where the warm axle rather drags it is turned first; then the cool one is checked standing."""
    warm, cool = reason.corners[:2], reason.corners[2:]
    if answer.answer == "watch" and answer.corners == warm and _drags_rather(facts) and not _sank(answer):
        yield _by_hand("cool_and_turn", warm)
    yield _by_hand("static_check", cool)


def _drags_rather(facts: CaseFacts) -> bool:
    """True where a drag is at least as probable as a brake that does not work."""
    return (facts.drag.p or 0.0) >= (facts.idle.p or 0.0)


def _by_hand(code: DoCode, corners: tuple[str, ...]) -> Reason:
    """Work at the wheel, with the temperature below which it is touched."""
    return Reason(code=code, corners=corners, numbers={"cool_degc": doing().rule["cool_degc"]})


def _perhaps_mistyped(answer: Answer, facts: CaseFacts) -> Iterator[Reason]:
    """A reading that may be a slip of the pen is taken again before any work, drive or doubt of the air."""
    spoken = {corner for reason in answer.reasons for corner in reason.corners}
    for one in facts.case.odd:
        numbers = facts.axle_of(one.corner)
        alike = (
            numbers is not None
            and numbers.difference_k is not None
            and numbers.size_k < facts.policy.watch_difference_k
        )
        if one.corner in spoken and not alike:  # as warm as its mate it is no slip
            yield Reason(code="read_again", corners=(one.corner, mate_of(one.corner)))
    for reason in answer.reasons:
        if reason.code == "other_unit":
            yield _step("read_again", reason, facts)


def _sank(answer: Answer) -> bool:
    """True where a drive without braking has told already that the warm side does not drag."""
    return any(reason.code == "sunk_without_braking" for reason in answer.reasons)


def _nearly_dead(unlike: Reason) -> bool:
    return unlike.numbers.get("times", 0.0) >= _NEARLY_DEAD


def _step(code: DoCode, reason: Reason, facts: CaseFacts) -> Reason:
    """One step with the corners and numbers its sentence speaks of."""
    if reason.code == "unread_cell" and "value_degc" in reason.numbers:
        code = "read_said"
    if code in {"read_again", "read_felt", "read_said"}:
        pair = (reason.corners[0], mate_of(reason.corners[0]))
        numbers, quoted = (_line(reason), reason.quoted) if code == "read_said" else ({}, "")
        return Reason(code=code, corners=pair, numbers=numbers, quoted=quoted)
    if code == "wait_and_read":
        return Reason(code=code, corners=reason.corners, numbers={"minutes": _WAIT_MINUTES})
    if reason.code in {"read_too_late", "gap_faded"} or (facts.coast and reason.code == "barely_rolled"):
        return _soon_enough(code, facts)
    if code == "drive_with_braking":
        slowed = bool(facts.vehicle.spared)
        return Reason(code="brake_alone" if slowed else code, numbers=_warming_drive(facts))
    if code == "check_ambient" and facts.case.ambient_degc is not None:
        return Reason(code=code, numbers={"ambient_degc": facts.case.ambient_degc})
    quoted = "" if code == "clear_and_wait" else reason.quoted  # there: what was seen
    line = _before_parked(facts) if code == "correct_parked" else {}
    return Reason(code=code, corners=reason.corners, numbers=_line(reason) | line, quoted=quoted)


def _soon_enough(code: DoCode, facts: CaseFacts) -> Reason:
    """The drive once more, and the readings right after it."""
    within = {"within": _WITHIN_MINUTES}
    if not facts.coast:
        return Reason(code=code, numbers=within)
    longest = doing().rule[f"coast_high_{facts.vehicle.weight_class}"]
    return Reason(code="repeat_drive", numbers=within | {"minutes_high": longest})


def _before_parked(facts: CaseFacts) -> dict[str, float]:
    """Of several readings before the parked moment how many, from which line on: it rather is wrong."""
    lines = [one.line for one in facts.case.blind if one.code == "before_parked"]
    return {"readings": float(len(lines)), "line": float(min(lines))} if len(lines) >= _SEVERAL else {}


def _warming_drive(facts: CaseFacts) -> dict[str, float]:
    """The drive that brings the heat that is missing: what this one lacked is asked for on top.

    A vehicle whose motor brakes too warms its brakes so little that no number of stops is worth naming.
    """
    missing_k = max(facts.policy.minimum_rise_k - facts.warmest_k, 0.0)
    missing = {"missing_k": missing_k} if missing_k > _LEAST_ASKED_K else {}
    if facts.vehicle.regenerative:
        return missing
    rule, wanted_k = doing().rule, facts.policy.minimum_rise_k + missing_k
    stops = math.ceil(wanted_k / rule[f"stop_rise_{facts.vehicle.weight_class}"])
    stops = min(max(stops, int(rule["fewest_stops"])), int(rule["most_stops"]))
    return {"stops": float(stops), "from_kmh": rule["stop_from_kmh"]} | missing


def _line(reason: Reason) -> dict[str, float]:
    return {"line": reason.numbers["line"]} if "line" in reason.numbers else {}


_ODD: frozenset[ReasonCode] = frozenset(
    {"stands_out_hot", "stands_out_cold", "gap_open", "gap_either_way", "hot_without_braking",
     "hot_though_lifted", "unsteady_and_hotter", *reasons_of("axle"), *reasons_of("circuit", "hot")}
)  # fmt: skip
_COLD_TOGETHER: frozenset[ReasonCode] = reasons_of("circuit", "cold")


def _beside_the_gun(reason: Reason, answer: Answer, facts: CaseFacts) -> Iterator[Reason]:
    """Readings first where they are few, then the drive that separates, then paint."""
    if reason.code in {"limit_above_line", "gap_near"}:
        yield from _sharper(reason, facts)
    asks = answer.answer == "watch" or is_open_gap(answer)
    if reason.code not in _ODD | _COLD_TOGETHER or not asks:
        return
    if reason.code in _COLD_TOGETHER:  # what they have in common is seen standing, by no further reading
        yield _by_hand("static_check", answer.corners)
        return
    if _fewest(reason.corners, facts) <= _FEW:
        yield Reason(code="another_round")
    if _slowed_otherwise(reason, answer, facts):  # without braking it is cool whether it works or not
        yield Reason(code="brake_alone", numbers=_warming_drive(facts))
    elif not facts.coast and not _sank(answer):
        yield Reason(code="coast_drive", corners=reason.corners[:2])
    if len(reason.corners) == 2 and reason.corners[1] == mate_of(reason.corners[0]):
        yield Reason(code="mark_and_read", corners=reason.corners)
    yield Reason(code="repeat_drive")


def _slowed_otherwise(reason: Reason, answer: Answer, facts: CaseFacts) -> bool:
    """True where a brake that may not work is one of an axle that a motor or a retarder slows, too."""
    cooler = reason.corners[:1] if reason.code == "stands_out_cold" else reason.corners[1:2]
    here = {split_corner(corner)[0] for corner in cooler}
    return bool(here) and set(answer.corners) == set(cooler) and here <= facts.vehicle.spared


def _sharper(reason: Reason, facts: CaseFacts) -> Iterator[Reason]:
    if _fewest(reason.corners, facts) <= _FEW:
        yield Reason(code="another_round")
    if "share_line" in reason.numbers:  # a brake that does nothing shows by braking alone
        yield Reason(code="drive_with_braking", numbers=_warming_drive(facts))
    elif not facts.coast:
        yield Reason(code="coast_drive", corners=reason.corners)
    yield Reason(code="mark_and_read", corners=(reason.corners[0], mate_of(reason.corners[0])))


def _fewest(corners: tuple[str, ...], facts: CaseFacts) -> int:
    """Fewest readings that vote at some corners and their mates."""
    axles = (facts.axle_of(corner) for corner in corners)
    return min((side.used for axle in axles if axle is not None for side in axle.sides), default=0)


def _class_open(facts: CaseFacts, answer: Answer) -> bool:
    """Two axles of which nothing is said may be a car, a lorry or a trailer."""
    return not facts.vehicle.stated and len(facts.axles) == 2 and answer.answer in {"watch", "cannot_tell"}
