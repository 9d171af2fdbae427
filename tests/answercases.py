"""Facts of made-up walks and what keeps them from being cleared, for the tests of answers; all invented."""

from __future__ import annotations

from typing import Any

from judgecases import VAN_K, Walk, described, walked
from msgspec.structs import replace

from thermlog.judging.diagnose import judge
from thermlog.judging.facts import CaseFacts, case_facts
from thermlog.judging.settings import Settings
from thermlog.judging.uncleared import ShownTogether, uncleared_of
from thermlog.words.findings import Answer, Answers, Diagnosis
from thermlog.words.policy import load_policy
from thermlog.words.reasons import Reason
from thermlog.words.tables import Blind

USUAL = Settings()
POLICY = load_policy("light")
CAR = described("steer", "drive")
WALK = Walk(rounds=4, noise_k=0.0, description=CAR)
NO = Answer(answer="no", p=0.01)
PLAIN = ShownTogether(hottest_degc=120.0, all_alike=False)


def facts_of(corners: Any, walk: Walk = WALK) -> CaseFacts:
    return case_facts(judge(walked(corners, walk), USUAL), 0)


EVEN = facts_of(VAN_K)


def blind(code: str, corner: str | None, value_degc: float | None = None) -> Blind:
    return Blind(code=code, line=7, corner=corner, quoted="x", value_degc=value_degc)  # type: ignore[arg-type]


def kept(
    *blinds: Blind, shown: ShownTogether = PLAIN, facts: CaseFacts = EVEN, drop: tuple[int, ...] = ()
) -> Any:
    case = replace(facts.case, blind=blinds)
    axles = {number: axle for number, axle in facts.axles.items() if number not in drop}
    return uncleared_of(case, facts.vehicle, axles, facts.policy, shown)


def open_drag(*reasons: Reason, word: str = "cannot_tell", corners: tuple[str, ...] = ("1L",)) -> Answers:
    drag = Answer(answer=word, corners=corners, reasons=reasons)  # type: ignore[arg-type]
    return Answers(drag=drag, idle=NO, heat=NO)


def answers(word: str, *corners: str) -> Answers:
    drag = Answer(answer=word, corners=corners, reasons=(Reason(code="rising", corners=corners),))  # type: ignore[arg-type]
    return Answers(drag=drag, idle=NO, heat=NO)


def decides(one: Diagnosis) -> set[str]:
    """Codes of all steps that would decide an answer."""
    return {step.code for answer in one.answers.each for step in answer.decides}
