"""Commitments, truths and marks of practice in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.practice.commitment import PLACED, SURE, grade_of
from thermlog.reports.wording import corners_in_words
from thermlog.words.vehicle import axle_words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from thermlog.practice.asking import AskedStage, Asking
    from thermlog.practice.commitment import Commitment, SeenFault, Step
    from thermlog.practice.marking import Marked, MarkWord, OpenWord, PlantedFault

FINDING_WORDS: Mapping[SeenFault, str] = {
    "drag": "a brake drags: it stays hot",
    "idle": "a brake does not work: it stays cold",
    "hub": "a hub is hot by itself: its bearing",
    "nothing": "nothing is wrong",
    "cannot_tell": "it cannot be told from these readings",
}
STEP_WORDS: Mapping[Step, str] = {
    "again": "read again now: the same wheels, or one more round",
    "coast": "drive without braking, then read again",
    "braking": "the same drive again, or one with more braking, then read",
    "mark": "the same matt black on both sides, then drive and read there",
    "wheel": "no drive: let it cool, support it, check at the wheel",
    "clear": "keep everybody away until it has cooled",
    "keep": "keep the log as the record, nothing more now",
}
STAGE_WORDS: Mapping[AskedStage, str] = {
    "finding": "What do you see?",
    "axle": "Where?",
    "side": "Which side?",
    "diagonal": "Which diagonal?",
    "sure": 'How sure? A wrong "sure" costs most.',
    "step": "What next? This key commits you; b goes back.",
}
MARK_WORDS: Mapping[MarkWord, str] = {
    "right": "RIGHT",
    "rightly_open": "RIGHT: this log cannot tell",
    "part": "NOT RIGHT: some of the wheels, or too many",
    "wrong_place": "NOT RIGHT: the kind of fault, but at another wheel",
    "wrong_kind": "NOT RIGHT: another kind of fault",
    "missed": "MISSED: there was a fault",
    "false_alarm": "FALSE ALARM: the vehicle is sound",
    "could_be_told": "IT COULD BE TOLD",
}
OPEN_WORDS: Mapping[OpenWord, str] = {
    "not_answered": "the tool answers this question with cannot tell",
    "below_limit": "what was planted is less than the least that this log would have shown",
    "two_readings": "the gap can be a hot brake, a cold mate or unlike metal, and this log cannot say which",
}
_SURE_WORDS = {"guess": "a guess", "fairly": "fairly sure", "sure": "sure"}
_CHOICES: Mapping[AskedStage, Mapping[str, str]] = {
    "finding": {str(code): words for code, words in FINDING_WORDS.items()},
    "axle": {"all": "all brakes", "diagonal": "one front and the rear brake across from it"},
    "side": {"L": "left", "R": "right", "both": "both sides"},
    "sure": {
        name: f"{words}: right in {100 * SURE[name]:.0f} of 100 such cases"
        for name, words in _SURE_WORDS.items()
    },
    "step": {str(code): words for code, words in STEP_WORDS.items()},
}


def choice_words(stage: AskedStage, choice: str, axle_count: int) -> str:
    """One choice of a question in words."""
    known = _CHOICES.get(stage, {}).get(choice)
    if known is not None:
        return known
    if stage == "axle":
        named = axle_words(int(choice), axle_count)
        return f"{named} axle" if axle_count == 2 else named
    return corners_in_words(tuple(choice.split("+")), axle_count)


def stated(committed: Commitment, axle_count: int) -> str:
    """A commitment in a few words, with how sure.

    Examples
    --------
    >>> from thermlog.practice.commitment import Commitment
    >>> stated(Commitment(finding="drag", corners=("1L",), p=0.95), 2)
    'front left drags (sure, 95 %)'
    """
    grade = grade_of(committed.p)
    sure = f"{_SURE_WORDS[grade]}, " if grade else ""
    what = _what(committed.finding, committed.corners, axle_count)
    return f"{what} ({sure}{100 * committed.p:.0f} %)"


def so_far(asking: Asking, axle_count: int) -> str:
    """What has been answered of a case; empty before the first answer."""
    finding = asking.finding
    if finding is None:
        return ""
    short = {"drag": "a brake drags", "idle": "a brake does not work", "hub": "a hub is hot"}
    place = asking.place()
    what = _what(finding, place, axle_count) if place or finding not in PLACED else short[finding]
    return what if asking.p is None else f"{what}, {100 * asking.p:.0f} %"


def planted_words(truth: PlantedFault, axle_count: int) -> str:
    """The truth in a few words, with its size."""
    if truth.finding == "nothing":
        return "nothing planted: a sound vehicle"
    what = _what(truth.finding, truth.corners, axle_count)
    if truth.lost_share is not None:
        return f"{what}: {100 * truth.lost_share:.0f} % of its braking lost"
    return what if truth.drag_nm is None else f"{what}: {truth.drag_nm:g} N·m"


def _what(finding: SeenFault, corners: tuple[str, ...], axle_count: int) -> str:
    every = len(corners) > 2 and len(corners) == 2 * axle_count
    where = "every brake" if every else corners_in_words(corners, axle_count)
    many = len(corners) > 1 and not every
    if finding == "drag":
        return f"{where} drag{'' if many else 's'}"
    if finding == "idle":
        return f"{where} {'do' if many else 'does'} not work"
    if finding == "hub":
        return f"the hub{'s' if many else ''} of {where} {'are' if many else 'is'} hot"
    return "nothing is wrong" if finding == "nothing" else "it cannot be told"


def agreement(told: Marked) -> str:
    """Whether person and tool say the same, and who was right."""
    same = (told.committed.finding, told.committed.corners) == (told.tool.finding, told.tool.corners)
    if same:
        return "you and the tool say the same" + ("" if told.mark.right else ", and both are wrong")
    who = {
        (True, True): "you say something else than the tool, and both hold",
        (True, False): "you were right, the tool was not",
        (False, True): "the tool was right, you were not",
        (False, False): "neither was right",
    }
    return who[told.mark.right, told.tool_mark.right]
