"""How right a commitment was: against what was planted, and against what the log could show at all.

Right is what was planted, at its place. "Cannot tell" is right where the tool's own limits say that this log
cannot show it: it answers the question with "cannot tell", or the fault planted is smaller than the least
that it says it would have seen, or it says that the same gap can be read in two ways. A commitment counts by
the Brier score, the square of stated probability minus outcome (Brier 1950, Monthly Weather Review 78, 1-3):
0 is best, 0.25 is a coin, and a wrong "sure" costs most. It is proper: nothing is gained by stating another
probability than one's own.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, TypeAlias

from msgspec import Struct

from thermlog.practice.cases import PracticeCase
from thermlog.practice.commitment import PLACED, SURE, Commitment, SeenFault, Step
from thermlog.simulation.builds import Fault
from thermlog.words.bounds import CornerName, Share
from thermlog.words.findings import Answer, Answers, AnswerWord, Diagnosis
from thermlog.words.kinds import CANNOT_TELL, fault_kind
from thermlog.words.reasons import DoCode, ReasonCode

MarkWord: TypeAlias = Literal[
    "right", "rightly_open", "part", "wrong_place", "wrong_kind", "missed", "false_alarm", "could_be_told"
]
OpenWord: TypeAlias = Literal["not_answered", "below_limit", "two_readings"]
RIGHT: frozenset[MarkWord] = frozenset({"right", "rightly_open"})
# What the tool's words count as, on the scale of the three grades. Its own probabilities hold for a workshop,
# where most vehicles are sound; practice plants more faults, so that they would score too low here.
WORD_GRADES: Mapping[AnswerWord, str] = {
    "yes": "sure", "no": "sure", "watch": "fairly", "cannot_tell": "fairly",
}  # fmt: skip
_TWO_SIDED: frozenset[ReasonCode] = frozenset({"gap_open", "axles_unlike", "gap_either_way"})
# Kinds of next step: what mends a log counts as reading again, a check of the evidence file is at the wheel.
STEP_OF: Mapping[DoCode, Step] = {
    "read_again": "again", "read_pair": "again", "read_unread": "again", "another_round": "again",
    "wait_and_read": "again", "release_hold": "again", "write_times": "again", "name_wheel": "again",
    "state_ambient": "again", "state_class": "again", "check_ambient": "again", "look_at_log": "again",
    "name_sight": "again", "name_spots": "again", "tell_sides": "again", "ask_raised": "again",
    "ask_stopped": "again",
    "correct_parked": "again", "correct_clock": "again", "swap_logs": "again",
    "state_repair": "again",
    "coast_drive": "coast",
    "drive_with_braking": "braking", "drive_loaded": "braking", "brake_alone": "braking",
    "repeat_drive": "braking", "prove_again": "braking", "read_dry": "braking",
    "try_and_drive": "wheel",
    "mark_and_read": "mark",
    "cool_and_turn": "wheel", "static_check": "wheel", "find_cause": "wheel", "check_bearing": "wheel",
    "look_at_hub": "wheel", "look_at_rim": "wheel", "look_at_tyre": "wheel", "look_at_caliper": "wheel",
    "look_at_face": "wheel", "inspect_hot": "wheel", "check_supply": "wheel", "secure_wheel": "wheel",
    "read_memory": "wheel", "compare_forces": "wheel",
    "read_part": "again", "read_felt": "again", "read_said": "again",
    "clear_and_wait": "clear",
    "weigh_remark": "keep", "keep_record": "keep", "go_by_verification": "keep",
}  # fmt: skip


class PlantedFault(Struct, frozen=True, kw_only=True):
    """The truth of a case.

    Attributes
    ----------
    kind : str
        Name in `kinds.FAULT_KINDS`.
    finding : SeenFault
        What somebody who sees it commits to.
    corners : tuple of str
        Where it sits; of a fault of the whole vehicle all corners.
    drag_nm, lost_share : float or None
        Torque, or part of the work lost; None where it is told in the other, or nothing is planted.
    """

    kind: str
    finding: SeenFault
    corners: tuple[CornerName, ...]
    drag_nm: float | None = None
    lost_share: Share | None = None


class Mark(Struct, frozen=True, kw_only=True):
    """What a commitment was worth.

    Attributes
    ----------
    word : MarkWord
        "right": what was planted, at its place. "rightly_open": it could not be told. "part": only some of
        the corners, or more than those. "wrong_place"; "wrong_kind"; "missed": nothing said of a fault.
        "false_alarm": a fault of a healthy vehicle. "could_be_told": "cannot tell" where the log can.
    brier : float
        Square of the stated probability minus 1 if right, minus 0 if not: 0 is best, 1 worst.
    """

    word: MarkWord
    brier: Share

    @property
    def right(self) -> bool:
        """True if what was committed to holds."""
        return self.word in RIGHT


class Marked(Struct, frozen=True, kw_only=True):
    """A case with the truth told.

    Attributes
    ----------
    truth : PlantedFault
    committed, tool : Commitment
        Of the person, and what the tool's findings come to.
    mark, tool_mark : Mark
        Of the two.
    open_because : OpenWord or None
        Why "cannot tell" is right; None where the log can tell.
    tool_steps : tuple of Step
        What the tool asks for next, and what else would decide.
    """

    truth: PlantedFault
    committed: Commitment
    tool: Commitment
    mark: Mark
    tool_mark: Mark
    open_because: OpenWord | None
    tool_steps: tuple[Step, ...]

    @property
    def step_agrees(self) -> bool | None:
        """True if the tool would do the same next, or names it as deciding; None if nothing was said."""
        step = self.committed.next_step
        return None if step is None else step in self.tool_steps


def marked(case: PracticeCase, committed: Commitment) -> Marked:
    """Tell the truth of a case to somebody who has committed.

    Parameters
    ----------
    case : PracticeCase
    committed : Commitment

    Returns
    -------
    Marked
    """
    told, truth = case.told, planted_truth(case.made.fault, case.corners)
    tool, why_open = tool_commitment(told), open_because(told, truth)
    return Marked(
        truth=truth,
        committed=committed,
        tool=tool,
        mark=mark_of(committed, truth, can_tell=why_open is None),
        tool_mark=mark_of(tool, truth, can_tell=why_open is None),
        open_because=why_open,
        tool_steps=_tool_steps(told),
    )


def planted_truth(fault: Fault, corners: tuple[str, ...]) -> PlantedFault:
    """What was planted, in the words of a commitment.

    Examples
    --------
    >>> planted_truth(Fault(kind="all_hot", drag_nm=30.0), ("1L", "1R", "2L", "2R")).corners
    ('1L', '1R', '2L', '2R')
    """
    kind = fault_kind(fault.kind)
    at = tuple(corner for corner in corners if corner in fault.corners)
    return PlantedFault(
        kind=fault.kind,
        finding=_finding(fault.kind),
        corners=corners if kind.scope == "vehicle" else at,
        drag_nm=fault.drag_nm if kind.size in {"drag", "bearing"} else None,
        lost_share=fault.lost_fraction if kind.size == "loss" else None,
    )


def _finding(kind: str) -> SeenFault:
    fault = fault_kind(kind)
    if fault.scope == "hub":
        return "hub"
    if fault.sign == "cold":
        return "idle"
    return "drag" if fault.is_fault else "nothing"


def tool_commitment(told: Diagnosis) -> Commitment:
    """What the tool's findings come to: its pattern, and its word for it as one of the three grades."""
    pattern, answers = told.pattern, told.answers
    finding = _finding(pattern.kind)
    unanswered = finding == "nothing" and answers.idle.answer == "cannot_tell" and told.drive != "coast"
    if pattern.kind == CANNOT_TELL.name or unanswered:
        return Commitment(finding="cannot_tell", p=SURE[WORD_GRADES["cannot_tell"]])
    corners = pattern.corners if finding in PLACED else ()
    if fault_kind(pattern.kind).scope == "vehicle":
        corners = tuple(dict.fromkeys(one.corner for one in told.corners))
    asked = _asked(pattern.kind, answers)
    # a hub that is called, and a "no" to everything, are said without reserve
    word: AnswerWord = asked.answer if finding in {"drag", "idle"} else "yes"
    return Commitment(finding=finding, corners=tuple(sorted(corners)), p=SURE[WORD_GRADES[word]])


def _asked(kind: str, answers: Answers) -> Answer:
    """The answer to the question that a kind of fault is about; of several faults, that about drags."""
    question = fault_kind(kind).asked_of
    return answers.drag if question is None else getattr(answers, question)


def open_because(told: Diagnosis, truth: PlantedFault) -> OpenWord | None:
    """Why this log cannot show this truth, by the tool's own limits; None where it can."""
    if truth.finding == "hub":  # of hubs the tool states no limit: what was read, it judges
        return None
    answers = told.answers
    asked: tuple[Answer, ...] = (_asked(truth.kind, answers),)
    if truth.finding == "nothing":  # a drive without braking is asked about drags only
        asked = (answers.drag,) if told.drive == "coast" else (answers.drag, answers.idle)
    if any(one.answer == "cannot_tell" for one in asked):
        return "not_answered"
    if truth.finding != "nothing" and _below_limit(asked[0], truth):
        return "below_limit"
    two_sided = (one for one in asked if one.answer == "watch")
    if any(reason.code in _TWO_SIDED for one in two_sided for reason in one.reasons):
        return "two_readings"
    return None


def _below_limit(asked: Answer, truth: PlantedFault) -> bool:
    """True if the least fault that would have shown at every corner is larger than the one planted."""
    drags = truth.finding == "drag"
    planted = (truth.drag_nm if drags else truth.lost_share) or 0.0
    limits = [one for one in asked.detectable if one.corner in truth.corners]
    least = [one.torque_nm if drags else one.lost_share for one in limits]
    return bool(least) and all(one is None or planted < one for one in least)


def mark_of(committed: Commitment, truth: PlantedFault, *, can_tell: bool) -> Mark:
    """What a commitment is worth.

    Examples
    --------
    >>> healthy = PlantedFault(kind="none", finding="nothing", corners=())
    >>> mark_of(Commitment(finding="drag", corners=("1L",), p=0.95), healthy, can_tell=True)
    Mark(word='false_alarm', brier=0.9025)
    """
    word = _word(committed, truth, can_tell=can_tell)
    return Mark(word=word, brier=round((committed.p - (word in RIGHT)) ** 2, 6))


def _word(committed: Commitment, truth: PlantedFault, *, can_tell: bool) -> MarkWord:
    if committed.finding == "cannot_tell":
        return "could_be_told" if can_tell else "rightly_open"
    if truth.finding == "nothing":
        return "right" if committed.finding == "nothing" else "false_alarm"
    if committed.finding == "nothing":
        return "missed"
    if committed.finding != truth.finding:
        return "wrong_kind"
    if set(committed.corners) == set(truth.corners):
        return "right"
    return "part" if set(committed.corners) & set(truth.corners) else "wrong_place"


def _tool_steps(told: Diagnosis) -> tuple[Step, ...]:
    """What the tool would do next, first; then what else decides an open answer. A check is at the wheel."""
    asked = [told.next_check.id] if told.next_check is not None else []
    if not told.urgent:
        asked += [one.code for answer in told.answers.each for one in answer.decides]
    known = {str(code): step for code, step in STEP_OF.items()}
    return tuple(dict.fromkeys(known.get(code, "wheel") for code in asked))
