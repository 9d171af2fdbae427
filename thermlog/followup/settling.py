"""What to do next after drives were laid beside each other: one thing, the most pressing first."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from thermlog.advice.doing import doing, step_as_check
from thermlog.followup.outcomes import Outcome
from thermlog.followup.stops import HEATED, Stop, after_work, stops_to_settle
from thermlog.words.findings import Diagnosis, NextCheck
from thermlog.words.reasons import DRIVES, Reason, ReasonCode

# Outcomes after which something is left to do.
UNSETTLED: frozenset[Outcome] = frozenset({"new_fault", "new_watch", "not_repaired", "cannot_tell", "better"})
_SAME_DRIVE: frozenset[ReasonCode] = frozenset(
    {"drives_unlike", "less_heat", "both_sides_before", "idle_not_told"}
)
# Nothing that both sides of an axle have in common was compared.
_UNLIKE = _SAME_DRIVE - {"less_heat"}
_WHY_NEXT = "The last log by itself asks for nothing; this settles what became of the fault."
_WHY_STOPPED = "An even log does not explain what stood out before, and clears nothing that it did not read."
_WHY_TRIED = (
    "It did too little before, and nothing shows yet that it works: nobody finds that out on the road."
)
_WHY_TURNED = "It dragged before and is still watched: a hand tells that sooner than the road."
_WHY_LIKE = "What became of a fault shows after a drive like the one that showed it."
_WHY_STATED = "Two drives show that it is even again, and not why."
_WHY_SWAPPED = "What became of a fault is told by the later drive beside the earlier one."


class HeldBefore(Struct, frozen=True, kw_only=True):
    """Corners of brakes that nobody drives with to find out what became of them.

    Attributes
    ----------
    dead : tuple of str
        It did too little before and is not shown to work now: it is tried standing first.
    dragged : tuple of str
        It was called as one that drags, and is still watched: it is turned by hand.
    """

    dead: tuple[str, ...] = ()
    dragged: tuple[str, ...] = ()


def next_of(
    counting: Sequence[Diagnosis],
    became: Sequence[tuple[Outcome, tuple[Reason, ...]]],
    stops: Sequence[Stop],
    lacking: Reason | None,
    *,
    before: Diagnosis,
    held: HeldBefore,
    proving: bool,
) -> NextCheck | None:
    """As for the drive that counts alone; where that asks for nothing, what settles an open outcome.

    Parameters
    ----------
    counting : sequence of Diagnosis
        The drives that count now: of several the one which is urgent, or asks for a look.
    became : sequence of (Outcome, tuple of Reason)
        What became of each axle.
    stops : sequence of Stop
        What stopped the vehicle before. Where it is not explained it comes before any drive or reading that
        the drive asks for; what was not read again before it asks for any but a look at a brake or part.
    lacking : Reason or None
        What the log does not state of the repair: last of all, before the log is kept.
    before : Diagnosis
        The first drive.
    held : HeldBefore
    proving : bool
        False where nothing is before or after another: drives of several vehicles, or given the wrong way
        round.

    Returns
    -------
    NextCheck or None
    """
    last, left = _gravest(counting), stops_to_settle(stops)
    opened = [reason for outcome, reasons in became for reason in reasons if outcome in UNSETTLED]
    if any(reason.code == "drives_backwards" for reason in opened) and not last.flagged:
        return _as_check(Reason(code="swap_logs"), last, _WHY_SWAPPED)
    if not proving:
        return last.next_check
    if left is not None and not last.urgent and not (after_work(left) and _looks_now(last)):
        return _as_check(left, last, _WHY_STOPPED)
    if opened and not last.flagged:
        step = _tried_first(_settles(opened, before), held.dead)
        return _as_check(_cool_enough(step, last), last, _WHY_NEXT)
    asked = last.next_check
    if opened and not last.urgent and asked is not None and asked.id in DRIVES:
        return _like_first(asked, opened, held, before, last)
    return _kept(last, stops, lacking)


def _like_first(
    asked: NextCheck, opened: Sequence[Reason], held: HeldBefore, before: Diagnosis, last: Diagnosis
) -> NextCheck:
    """The drive that the last log asks for, as it tells what became of the fault, too."""
    codes, dead, dragged = {reason.code for reason in opened}, held.dead, held.dragged
    if dead:
        return _as_check(Reason(code="try_and_drive", corners=dead), last, _WHY_TRIED)
    if dragged:
        return _as_check(Reason(code="cool_and_turn", corners=dragged), last, _WHY_TURNED)
    if asked.id == "drive_with_braking" and codes & _SAME_DRIVE:
        return _as_check(_repeated(before), last, _WHY_LIKE)
    return asked


def _tried_first(step: Reason, dead: tuple[str, ...]) -> Reason:
    """A brake that did no work and is not shown to work is tried before anybody drives."""
    return Reason(code="try_and_drive", corners=dead) if dead and step.code in DRIVES else step


def _repeated(before: Diagnosis) -> Reason:
    """The drive before, told by its kind."""
    return Reason(code="repeat_drive", quoted=f"first ({before.drive} drive)" if before.drive else "first")


def _cool_enough(step: Reason, last: Diagnosis) -> Reason:
    hot = step.code in DRIVES and _hottest_degc(last) >= doing().rule["no_drive_degc"]
    return Reason(code="wait_and_read") if hot else step


def _kept(last: Diagnosis, stops: Sequence[Stop], lacking: Reason | None) -> NextCheck | None:
    """What the last log asks for; before it is kept, what it does not state, and what was inspected."""
    if last.next_check is None or last.next_check.id != "keep_record":
        return last.next_check
    if lacking is not None:
        return _as_check(Reason(code="state_repair", corners=lacking.corners), last, _WHY_STATED)
    heated = tuple(one.reason.corners[0] for one in stops if one.reason.code in HEATED and one.reason.corners)
    if not heated:
        return last.next_check
    return _as_check(Reason(code="keep_record", corners=tuple(dict.fromkeys(heated))), last, _WHY_STOPPED)


def _gravest(diagnoses: Sequence[Diagnosis]) -> Diagnosis:
    """What is urgent before what asks for a look; of some alike the last."""
    return max(reversed(diagnoses), key=lambda one: (bool(one.urgent), one.flagged))


def _settles(said: Sequence[Reason], before: Diagnosis) -> Reason:
    """What tells what became of axles that are open: what the log lacks before any drive."""
    codes = {reason.code for reason in said}
    if "any_air" in codes:
        return Reason(code="state_ambient")
    if unread := [corner for reason in said if reason.code == "not_read" for corner in reason.corners]:
        return Reason(code="read_unread", corners=tuple(unread))
    apart = None if codes & _UNLIKE else _both_sides(said)
    same = _repeated(before) if codes & _SAME_DRIVE else Reason(code="another_round")
    return apart or same


def _looks_now(last: Diagnosis) -> bool:
    """True where a brake is called or watched now, or a part beside it."""
    return bool(last.parts_above) or any(one.suspects for one in last.answers.each)


def _both_sides(said: Sequence[Reason]) -> Reason | None:
    """Both brakes of an axle with nothing beside them: another round would say the same again."""
    for reason in said:
        if reason.code == "both_sides_less":
            return Reason(code="coast_drive", corners=reason.corners)
        if reason.code == "both_sides_more":
            return Reason(code="static_check", corners=reason.corners)
    return None


def _as_check(reason: Reason, last: Diagnosis, why: str) -> NextCheck:
    # hands wait for the gun, as they do after a check of one log
    line = "cool_degc" if reason.code == "cool_and_turn" else "no_drive_degc"
    too_hot = _hottest_degc(last) >= doing().rule[line]
    return step_as_check(reason, last.description.weight_class, why, too_hot=too_hot)


def _hottest_degc(found: Diagnosis) -> float:
    return max((c.start_degc or 0.0 for c in found.corners), default=0.0)
