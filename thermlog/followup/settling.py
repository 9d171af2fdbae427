"""What to do next after drives were laid beside each other: one thing, the most pressing first."""

from __future__ import annotations

from collections.abc import Sequence

from thermlog.advice.doing import doing, step_as_check
from thermlog.followup.outcomes import Outcome
from thermlog.followup.stops import HEATED, Stop, after_work, stops_to_settle
from thermlog.words.findings import Diagnosis, NextCheck
from thermlog.words.reasons import DRIVES, DoCode, Reason, ReasonCode

# Outcomes after which something is left to do.
UNSETTLED: frozenset[Outcome] = frozenset({"new_fault", "new_watch", "not_repaired", "cannot_tell", "better"})
_SAME_DRIVE: frozenset[ReasonCode] = frozenset(
    {"drives_unlike", "less_heat", "both_sides_before", "idle_not_told"}
)
_WHY_NEXT = "The last log by itself asks for nothing; this settles what became of the fault."
_WHY_STOPPED = "An even log does not explain what stood out before, and clears nothing that it did not read."
_WHY_STATED = "Two drives show that it is even again, and not why."
_WHY_SWAPPED = "What became of a fault is told by the later drive beside the earlier one."


def next_of(
    counting: Sequence[Diagnosis],
    became: Sequence[tuple[Outcome, tuple[Reason, ...]]],
    stops: Sequence[Stop],
    lacking: Reason | None,
    *,
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
        return _as_check(_settles(opened, last), last, _WHY_NEXT)
    return _kept(last, stops, lacking)


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


def _settles(said: Sequence[Reason], last: Diagnosis) -> Reason:
    """What tells what became of axles that are open: what the log lacks before any drive."""
    codes = {reason.code for reason in said}
    if "any_air" in codes:
        return Reason(code="state_ambient")
    if unread := [corner for reason in said if reason.code == "not_read" for corner in reason.corners]:
        return Reason(code="read_unread", corners=tuple(unread))
    same = bool(codes & _SAME_DRIVE)
    code: DoCode = "repeat_drive" if same else "another_round"
    step = (None if same else _both_sides(said)) or Reason(code=code)
    hot = step.code in DRIVES and _hottest_degc(last) >= doing().rule["no_drive_degc"]
    return Reason(code="wait_and_read") if hot else step


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
    too_hot = _hottest_degc(last) >= doing().rule["no_drive_degc"]
    return step_as_check(reason, last.description.weight_class, why, too_hot=too_hot)


def _hottest_degc(found: Diagnosis) -> float:
    return max((c.start_degc or 0.0 for c in found.corners), default=0.0)
