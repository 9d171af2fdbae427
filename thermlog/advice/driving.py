"""Whether a vehicle may be moved by what was said of it: one rule for the technician and for the owner."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

from thermlog.words.reasons import DRIVES, TWO_SIDED

if TYPE_CHECKING:
    from thermlog.words.findings import Answer, Diagnosis
    from thermlog.words.reasons import Reason

# What the person at the wheel is told about moving the vehicle: nothing moves, it stands, no road, may drive.
Moving: TypeAlias = Literal["stopped", "stands", "off_road", "free"]
# Whether the parking brake is off: by lever and cable, or by the air that holds its springs off.
PARKING_CHECKS = frozenset({"pb_state", "pb_state_air"})
# Next steps for which it is not driven.
_STANDS = PARKING_CHECKS | frozenset(
    {"cool_and_turn", "clear_and_wait", "tell_sides", "look_at_hub", "look_at_rim",
     "look_at_tyre", "look_at_caliper", "look_at_face"}
)  # fmt: skip
STATIC_CHECK = "static_check"


def moving(diagnosis: Diagnosis) -> Moving:
    """Whether the vehicle may be driven by what the technician is told: urgent lines, answers, next step.

    A large gap, or a brake that may not work, keeps it off the road while it is open, but for the drive that
    would settle it. A vehicle of which every brake may drag stands.

    Parameters
    ----------
    diagnosis : Diagnosis
    """
    drag, idle, _ = diagnosis.answers.each
    check = diagnosis.next_check
    step, hot = ("", False) if check is None else (check.id, check.cools_first and check.id != STATIC_CHECK)
    if diagnosis.urgent:
        return "stopped"
    held = step in _STANDS or drag.answer == "yes" or diagnosis.answers.may_all_drag
    if diagnosis.flagged and (held or hot):
        return "stands"
    may_fail = idle.suspects and shared_reason(drag, idle) is None
    stays = (large_gap(diagnosis) or may_fail) and step not in DRIVES
    return "off_road" if idle.answer == "yes" or step == STATIC_CHECK or stays else "free"


def large_gap(diagnosis: Diagnosis) -> bool:
    """True for an axle that is watched with a gap past the marks of a call, whichever side is the odd one."""
    return any(
        axle.difference_k is not None
        and axle.marks_k is not None
        and axle.difference_k.size.value >= axle.marks_k[1]
        for axle in diagnosis.axles
        if axle.verdict == "watch"
    )


def is_open_gap(answer: Answer) -> bool:
    """True where it cannot be told, for either side of a gap may be the odd one: it asks as a watch does."""
    codes = {one.code for one in answer.reasons}
    sure = "single_reading" not in codes  # that one may have missed is settled by the gun first
    return answer.answer == "cannot_tell" and "gap_either_way" in codes and sure


def shared_reason(drag: Answer, idle: Answer) -> Reason | None:
    """A reason that both questions hang on: one gap, or two axles, that can be read in two ways."""
    if drag.answer == idle.answer == "cannot_tell":
        return drag.reasons[0] if drag.reasons and drag.reasons[:1] == idle.reasons[:1] else None
    if not (drag.answer == "watch" or is_open_gap(drag)) or idle.answer == "yes":
        return None
    first = next((one for one in drag.reasons if one.code in TWO_SIDED), None)  # what else drags is told, too
    return first if first in idle.reasons else None
