"""The check, reading or drive that helps most now. Chosen by code: no sentence is ever searched."""

from __future__ import annotations

from msgspec.structs import replace

from thermlog.advice.apart import suspect_words, suspects_apart
from thermlog.advice.doing import doing, step_as_check
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.handswait import once_cool, with_the_cool_axle
from thermlog.advice.heat import is_too_hot, is_too_hot_to_touch
from thermlog.advice.information import as_check, is_warm, parking_check, telling_check
from thermlog.advice.logevidence import LogEvidence
from thermlog.advice.partlook import PART_LOOKS, look_at_part, watched_hubs
from thermlog.advice.situations import parking_first, situation_of
from thermlog.advice.urgency import HUB_CODES, LOOKED_INTO, LOST, SEEN_CODES, has_fluid, needs_distance
from thermlog.advice.watched import answers_by_weight, parked_axle, watched
from thermlog.words.findings import Answer, Answers, NextCheck, Suspect
from thermlog.words.reasons import DRIVES, Reason, ReasonCode
from thermlog.words.reasontexts import reason_sentence
from thermlog.words.sentences import capital, named, sentence
from thermlog.words.urgentwords import seen_words
from thermlog.words.vehicle import is_diagonal, mate_of

_DEAD: frozenset[ReasonCode] = frozenset({"stands_out_cold", "both_sides_cold", "below_air"})
# A smell alone may be looked for, once it has cooled.
_NOBODY_NEAR = frozenset(SEEN_CODES) - LOOKED_INTO - {"smell"}
_SUPPLIES = "The log cannot tell; this supplies what is missing."
_WHY: dict[ReasonCode, str] = {
    "clear_and_wait": "Above an urgent line no check is worth the danger: first it cools.",
    "coast_drive": "Without braking a working brake cools, a dragging one stays hot.",
    "cool_and_turn": (
        "A wheel that drags is felt by hand; no drive is asked for with a brake this hot, a gap this wide, "
        "or after a drive without braking."
    ),
    "static_check": (
        "Whether a brake without heat gets its force is seen standing, and until then nobody relies on it on "
        "the road."
    ),
    "drive_loaded": "Brakes that had no work to do stay cool: no fault, and no proof of health either.",
    "read_again": "A reading that missed the brake looks just like this; another one costs little.",
    "weigh_remark": "What the gun showed is even; no rule understands what was noted beside it.",
    "keep_record": "Nothing stands out in this log; what changes from here to the next one tells most.",
}
_HUB_SAFETY = "The bearing of {} is checked before the vehicle moves again, however cool its hub has become."
_REPAIRED = "Two drives, before and after work, have one order between them: that of the later one."
_LOST = "A soft pedal, lost air or a lit brake lamp says that the brakes may fail, whatever their heat says."
_LOOSE = "A wheel that is not held can come off, whatever its brake does."
_GRINDS = "Metal on metal is linings at their end, something caught, or a bearing: a turn by hand tells."
_SAYS_IT_COOLS = frozenset({"clear_and_wait", "cool_and_turn", "static_check"})
_COOLS = "nothing yet: let it cool, nobody nearer to a wheel than the gun needs."
_LET_COOL = f"Do not drive it, and touch {_COOLS}"
_SOUND_BUT_HOT = f"Touch {_COOLS}"
_ASK_OF_LEVER = "Meanwhile ask the driver whether the parking brake was on while it was driven."
_HOW_DRIVEN = (
    "Let it cool meanwhile, and ask how it was driven: a descent leaves sound brakes hot, and a resting foot "
    "or the parking brake heats them without a fault."
)
_ONE_CIRCUIT = (
    "{} One dead circuit of a diagonal split would leave just {} without heat: look at the fluid level and "
    "feel the pedal first."
)
_OTHERS = "{} After it, as another job: {}."
_HUBS_SAFETY = (
    "The bearings of {} are checked before the vehicle moves again, however cool their hubs have become."
)
_NOT_DRIVEN = "Not driven before it is known what holds it."
_LEVER_WHY = (
    "A parking brake that is left on, or set too tight, drags both brakes of its axle: whether it is off "
    "costs a look."
)
_PART_WHY = (
    "A part that stands out beside even brakes is heated by something: a brake that the gun missed, the "
    "bearing, a tyre low on air."
)
_BEARING_WHY = (
    "A hub that is hot by itself points to its bearing; a failing bearing can seize or lose the wheel."
)


def next_check(evidence: LogEvidence, suspects: tuple[Suspect, ...]) -> NextCheck:
    """What to do next; there always is something.

    Parameters
    ----------
    evidence : LogEvidence
    suspects : tuple of Suspect
        From `suspects.rank_suspects` for the same evidence.

    Returns
    -------
    NextCheck
        ``id`` is a `DoCode` or the name of a question in ``checks.toml``. Above any urgent line always
        ``clear_and_wait``, or, where only a pedal, air, a lamp or a noise stops it, a look at that. A brake
        called, or watched, below the stated air is read again first.
        Of several suspects that are called it is asked at the severest, and names the others.
        From ``no_drive_degc`` on nobody drives, touches or goes near a wheel: ``cool_and_turn`` or
        ``static_check``, or what the gun, the driver or the log tells meanwhile; all say that it cools first.
        With a strong gap no drive: ``cool_and_turn``.
        A brake that is called, or watched, as one that does not work is checked standing before any drive; so
        is a vehicle of which every brake is hotter than usual, whatever its temperature.
        What is established asks for the physical check with the highest expected information per minute;
        what is open for the best that decides it, drag before idle before heat.
    """
    if evidence.urgent:
        away = needs_distance(evidence.urgent)
        return clear_and_wait(evidence) if away else _looked_into(evidence)
    first, *others = suspects_apart(evidence)
    check = _chosen(first, suspects)
    check = _cooled_for(check, first)
    check = _clear_of_hubs(check, watched_hubs(evidence.parts_above))
    return _before_others(check, others) if others else check


def _before_others(check: NextCheck, others: list[LogEvidence]) -> NextCheck:
    """The check at the severest suspect, with the others named: each is a job of its own."""
    each = sentence(" and ".join(["{}"] * len(others)), *map(suspect_words, others))
    return replace(check, question=sentence(_OTHERS, check.question, each))


def _chosen(evidence: LogEvidence, suspects: tuple[Suspect, ...]) -> NextCheck:
    """The next check of a vehicle above no urgent line."""
    if (below := _below_air(evidence)) is not None:
        return _do(below, evidence)
    if evidence.open_side:
        return _settle_side(evidence)
    return _called(evidence, suspects) if suspects else _unsettled(evidence)


def clear_and_wait(evidence: LogEvidence, *, wait_min: float | None = None) -> NextCheck:
    """Nobody works and nobody drives before it has cooled, whatever else is open.

    Parameters
    ----------
    evidence : LogEvidence
    wait_min : float, optional
        How long, where it is known [min]; else as long as is usual before it is read again.
    """
    near = next((one.code for one in evidence.urgent if one.code in _NOBODY_NEAR), None)
    seen = "" if near is None else seen_words(near)
    hubs = dict.fromkeys(one.corner for one in evidence.urgent if one.code in HUB_CODES and one.corner)
    stated = {} if wait_min is None else {"minutes": wait_min}
    check = _do(Reason(code="clear_and_wait", quoted=seen, numbers=stated), evidence)
    return _clear_of_hubs(replace(check, minutes=stated.get("minutes", check.minutes)), tuple(hubs))


def go_by_verification(evidence: LogEvidence) -> NextCheck:
    """What a drive before the repair asks for where a drive after it is told beside it."""
    return _do(Reason(code="go_by_verification"), evidence, why=_REPAIRED)


def _looked_into(evidence: LogEvidence) -> NextCheck:
    """What stops the vehicle is looked into where it stands: nothing of it burns or bursts."""
    lost = next((one.code for one in evidence.urgent if one.code in LOST), None)
    corners = tuple(dict.fromkeys(one.corner for one in evidence.urgent if one.corner is not None))
    if lost is not None:
        check = _do(Reason(code="check_supply", quoted=seen_words(lost)), evidence, why=_LOST)
    elif any(one.code == "loose" for one in evidence.urgent):
        check = _do(Reason(code="secure_wheel", corners=corners), evidence, why=_LOOSE)
    else:
        check = _do(Reason(code="cool_and_turn", corners=corners), evidence, why=_GRINDS)
    return _cooled_for(check, evidence)


def _clear_of_hubs(check: NextCheck, hubs: tuple[str, ...]) -> NextCheck:
    """The check with what a hot hub asks for, if one is hot."""
    return replace(check, safety=sentence("{} {}", hubs_held(hubs), check.safety)) if hubs else check


def hubs_held(hubs: tuple[str, ...]) -> str:
    """What hubs that stopped the vehicle ask for before it moves.

    Parameters
    ----------
    hubs : tuple of str
        Their corners, one at least.
    """
    return sentence(_HUB_SAFETY if len(hubs) == 1 else _HUBS_SAFETY, named(*hubs))


def _below_air(evidence: LogEvidence) -> Reason | None:
    """To read a brake again, and the air, before anything is lifted: it is below the air that was stated."""
    idle = evidence.answers.idle
    for reason in idle.reasons if idle.suspects else ():
        if reason.code == "below_air" and reason.corners and reason.corners[0] in idle.corners:
            pair = (reason.corners[0], mate_of(reason.corners[0]))
            return Reason(code="read_again", corners=pair, numbers=reason.numbers)
    return None


def _settle_side(evidence: LogEvidence) -> NextCheck:
    """One of two sides is odd: what settles which, gated."""
    first, second, _ = answers_by_weight(evidence.answers)
    wanted = first.decides or second.decides or (Reason(code="coast_drive", corners=_pair(evidence)),)
    return _with_circuit(_gated(wanted, evidence, first), evidence, first)


def _called(evidence: LogEvidence, suspects: tuple[Suspect, ...]) -> NextCheck:
    """A physical check for what is established."""
    first, cold = suspects[0].cause, evidence.fault.sign == "cold"
    table = evidence_table()
    known = table.role_cause
    if (evidence.single_reading and cold) or first == known["no_fault"]:
        return _do(Reason(code="read_again", corners=_pair(evidence)), evidence)
    if first == known["bearing"] or evidence.hub_odd:
        return as_check(evidence, table.named("bearing"), _BEARING_WHY)
    axle = cold and evidence.fault.scope == "axle"
    beside = axle and table.causes[first].requires != "whole_trailer_here"
    if beside or first == known["idle"]:
        return _gated((Reason(code="drive_loaded", corners=evidence.corners),), evidence, Answer())
    return telling_check(evidence)


def _cooled_for(check: NextCheck, evidence: LogEvidence) -> NextCheck:
    """The check with what heat asks for first: nobody near, or nothing touched before it has cooled."""
    if is_too_hot(evidence) or not is_too_hot_to_touch(evidence):
        return _while_hot(check, evidence) if is_too_hot(evidence) else check
    about = watched(evidence) or evidence
    asked = evidence_table().observations.get(check.id)
    if asked is not None and asked.near and "hot" in asked.needs:
        return _once_cooled(about)  # what needs heat and hands is not done: it waits, and the heat is gone
    return once_cool(check, about)


def _while_hot(check: NextCheck, evidence: LogEvidence) -> NextCheck:
    """The check while a brake is too hot for anybody near a wheel: first it cools, and that is said first.

    What is made nearer than the gun becomes work once cooled, with a reading while that still tells; what the
    gun, the driver or the log answers stands beside the cooling.
    """
    asked = evidence_table().observations.get(check.id)
    if asked is not None and (asked.near or "parking" in asked.needs):  # what holds it stays on
        return replace(_once_cooled(watched(evidence) or evidence), cools_first=True)
    if check.id in _SAYS_IT_COOLS:
        return replace(check, cools_first=True)
    if check.id in {"keep_record", "weigh_remark"}:  # nothing read speaks against driving it
        return replace(check, question=sentence("{} {}", _SOUND_BUT_HOT, check.question))
    meanwhile = sentence("{} Meanwhile: {}", _LET_COOL, check.question)
    return replace(check, question=meanwhile, cools_first=True)


def _once_cooled(evidence: LogEvidence) -> NextCheck:
    """How it cools, is read again, and is then felt by hand or checked standing."""
    code: ReasonCode = "static_check" if evidence.fault.sign == "cold" else "cool_and_turn"
    done = _do(Reason(code=code, corners=evidence.corners), evidence)
    if parking_first(situation_of(evidence)):
        done = replace(done, question=sentence("{} {}", done.question, _ASK_OF_LEVER))
    return _clear_of_hubs(done, evidence.corners if evidence.hub_odd else ())


def _unsettled(evidence: LogEvidence) -> NextCheck:
    """The best that decides the most pressing open answer; with nothing open the log is kept."""
    answers = evidence.answers
    held = parked_axle(evidence)
    if held is not None:
        return _lever_first(held)
    if answers.may_all_drag and not (answers.drag.suspects or answers.idle.suspects or is_too_hot(evidence)):
        return _all_hot(evidence)
    if (asked := _raised_asked(answers)) is not None:
        return _do(asked, evidence, why=_because(asked, answers.idle))
    if evidence.parts_above and not any(one.suspects for one in answers.each):
        return _at_the_part(evidence)
    for answer in answers_by_weight(answers):
        if answer.open:
            check = _gated(answer.decides or (_supply(evidence),), evidence, answer)
            return _with_circuit(check, evidence, answer)
    return _do(evidence.kept, evidence)


def _raised_asked(answers: Answers) -> Reason | None:
    """Whether a cold axle was up: it costs a question, and what is done about its brakes hangs on it."""
    first = answers.idle.decides[:1] if answers.idle.suspects and not answers.drag.suspects else ()
    return next((one for one in first if one.code == "ask_raised"), None)


def _at_the_part(evidence: LogEvidence) -> NextCheck:
    """What may heat the part that is watched."""
    return _do(look_at_part(evidence.parts_above), evidence, why=_PART_WHY)


def _with_circuit(check: NextCheck, evidence: LogEvidence, answer: Answer) -> NextCheck:
    """The check with the circuit that brakes across the vehicle can share, where they may not work."""
    across = is_diagonal(answer.corners) and len(evidence.vehicle.axles) == 2
    split = evidence.vehicle.split in {"diagonal", "unknown"} and has_fluid(evidence.vehicle)
    if check.id != "static_check" or not (across and split):
        return check
    return replace(check, question=sentence(_ONE_CIRCUIT, check.question, named(*answer.corners)))


def _lever_first(held: LogEvidence) -> NextCheck:
    """Whether the parking brake is off, where it can hold both brakes that are watched, once they cooled."""
    if is_too_hot(held):
        return with_the_cool_axle(_once_cooled(held), held.answers.drag)
    check = as_check(held, parking_check(held), _beside_reason(held.answers.drag, _LEVER_WHY))
    check = with_the_cool_axle(check, held.answers.drag)
    return replace(check, safety=f"{_NOT_DRIVEN} {check.safety}")


def _all_hot(evidence: LogEvidence) -> NextCheck:
    """Where every brake is hotter than usual: by gun what only heat tells, then what holds all brakes on."""
    drag, heat = evidence.answers.drag, evidence.answers.heat
    read = tuple(one for one in drag.decides if doing().do[one.code].safety == "gun")
    if read:
        return _gated(read, evidence, drag)
    check = telling_check(watched(evidence) or evidence)
    return replace(
        check,
        question=sentence("{} {}", check.question, _HOW_DRIVEN),
        safety=f"{_NOT_DRIVEN} {check.safety}",
        why=_beside_reason(heat, check.why),
    )


def _supply(evidence: LogEvidence) -> Reason:
    """What an open answer needs where nothing says so: heat, if there is none, else readings."""
    warm = evidence.brake_degc is not None and is_warm(evidence)
    return Reason(code="read_again" if warm else "drive_with_braking")


def _gated(wanted: tuple[Reason, ...], evidence: LogEvidence, answer: Answer) -> NextCheck:
    """The first of what decides that may be asked for now, else what takes its place at the wheel."""
    stands = evidence.answers.idle.suspects and bool(wanted) and wanted[0].code in DRIVES
    reason = None if stands else next((one for one in wanted if _allowed(one, evidence)), None)
    if reason is not None and evidence.parts_above and reason.code in PART_LOOKS | DRIVES:
        return _at_the_part(evidence)
    if reason is not None:
        return _do(reason, evidence, why=_because(reason, answer))
    return _do(_at_the_stand(wanted, evidence, answer), evidence)


def _at_the_stand(wanted: tuple[Reason, ...], evidence: LogEvidence, answer: Answer) -> Reason:
    """What is done by hand in place of a drive: the check of a brake that may not work, or a turn by hand."""
    idle, drag = evidence.answers.idle, evidence.answers.drag
    if idle.suspects and not drag.suspects and idle.corners:
        return Reason(code="static_check", corners=idle.corners)
    cold = (evidence.fault.sign == "cold" or _unexplained(evidence)) and not evidence.open_side
    code: ReasonCode = "static_check" if cold else "cool_and_turn"
    corners = next((one.corners for one in wanted if one.corners), ()) or _pair(evidence) or answer.corners
    return Reason(code=code, corners=corners)


def _unless_all(reason: Reason, evidence: LogEvidence) -> Reason:
    """Of every wheel is said that, instead of a list of all their names."""
    several = len(reason.corners) > 2 and len(reason.corners) >= 2 * len(evidence.vehicle.axles)
    return replace(reason, corners=()) if several and reason.code == "cool_and_turn" else reason


def _allowed(reason: Reason, evidence: LogEvidence) -> bool:
    """True unless it is a drive that the heat, the gap or a dead brake forbids, or that was just made."""
    if reason.code not in DRIVES:
        return True
    hot = is_too_hot(evidence)
    drags = evidence.answers.drag.answer == "yes" and not evidence.open_side
    if hot or drags or evidence.strong_gap or evidence.answers.idle.suspects:
        return False
    if reason.code == "drive_loaded":
        return evidence.spared
    if reason.code == "coast_drive" and evidence.drive == "coast":
        return False
    settles = evidence.open_side and reason.code in {"coast_drive", "mark_and_read"}
    return settles or not _unexplained(evidence)


def _unexplained(evidence: LogEvidence) -> bool:
    """True if a brake is, or may well be, dead and the description does not make it cold."""
    idle = evidence.answers.idle
    suspected = idle.open and any(reason.code in _DEAD for reason in idle.reasons)
    dead = evidence.fault.sign == "cold" or idle.answer == "yes" or suspected
    return dead and not evidence.spared


def _pair(evidence: LogEvidence) -> tuple[str, ...]:
    """The corners concerned with their mates; none where most of the vehicle is."""
    both = dict.fromkeys(side for corner in evidence.corners for side in (corner, mate_of(corner)))
    return tuple(both) if len(both) <= 2 else evidence.corners


def _because(reason: Reason, answer: Answer) -> str:
    """Why this decides: the strongest reason of the answer that is open."""
    known = _WHY.get(reason.code, _SUPPLIES)
    return _beside_reason(answer, known) if answer.open else known


def _beside_reason(answer: Answer, why: str) -> str:
    """Why, behind the strongest reason of an answer, if it has one."""
    return sentence("{}. {}", capital(reason_sentence(answer.reasons[0])), why) if answer.reasons else why


def _do(reason: Reason, evidence: LogEvidence, *, why: str | None = None) -> NextCheck:
    """A reason of what to do as a check, with the usual minutes where it states none."""
    reason = _unless_all(reason, evidence)
    because = _WHY.get(reason.code, _SUPPLIES) if why is None else why
    burns = reason.code == "cool_and_turn" and is_too_hot_to_touch(evidence)  # the gun first
    too_hot = burns or is_too_hot(evidence)
    return step_as_check(reason, evidence.vehicle.weight_class, because, too_hot=too_hot)
