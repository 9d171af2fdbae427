"""From the answers to the words beside every corner and axle, and the name of the fault they speak of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal

from thermlog.judging.facts import CaseFacts
from thermlog.words.findings import Answer, Answers, AnswerWord, PatternFinding, Verdict
from thermlog.words.kinds import ALL_HOT, CANNOT_TELL, HUB_HOT, NONE, SEVERAL, FaultKind, fault_kind, kind_of
from thermlog.words.reasons import TWO_SIDED, Reason, unique_reasons

_BY_WEIGHT: tuple[Verdict, ...] = ("hot", "cold", "watch", "cannot_tell")


def corner_verdict(corner: str, answers: Answers, facts: CaseFacts) -> tuple[Verdict, tuple[Reason, ...]]:
    """Word beside one corner's brake, with the reasons that speak of it.

    Parameters
    ----------
    corner : str
    answers : Answers
    facts : CaseFacts

    Returns
    -------
    verdict, reasons
    """
    for answer, odd in ((answers.drag, "hot"), (answers.idle, "cold"), (answers.heat, "hot")):
        word = _odd_at(corner, answer, odd)
        if word is not None:
            return word, _about((corner,), answer)
    if corner in facts.uncleared.corners:
        return "cannot_tell", (facts.uncleared.corners[corner],)
    for answer in (answers.drag, answers.idle):
        if answer.answer == "cannot_tell" and (_specific(corner, answer) or _other_reading(corner, answer)):
            return "cannot_tell", _about((corner,), answer)
    return ("cannot_tell", facts.uncleared.whole) if facts.uncleared.blocks_all else ("even", ())


def _odd_at(corner: str, answer: Answer, odd: str) -> Verdict | None:
    if corner in answer.beside:
        return "watch"
    if corner not in answer.corners:
        return None
    if answer.answer == "yes":
        return "hot" if odd == "hot" else "cold"
    return "watch" if answer.answer == "watch" else None


# Reasons of "cannot tell" that are about single brakes; too little heat is about the whole vehicle.
_OF_CORNERS = frozenset(
    {"limit_above_line", "single_reading", "below_air", "no_ambient", "other_unit", "stray_colder",
     "aside_colder", "said_idle", "seen_beside"}
)  # fmt: skip


def _specific(corner: str, answer: Answer) -> bool:
    return any(reason.code in _OF_CORNERS and corner in reason.corners for reason in answer.reasons)


def _other_reading(corner: str, answer: Answer) -> bool:
    """True for the brake of a gap nearly found, or of the less likely reading of what stands out."""
    of_one = TWO_SIDED | {"gap_near"}
    return corner in answer.corners and any(one.code in of_one for one in answer.reasons[:1])


def _about(corners: Sequence[str], answer: Answer) -> tuple[Reason, ...]:
    """Reasons of an answer that speak of some corners; of no corner in particular, if none does."""
    named = tuple(one for one in answer.reasons if set(one.corners) & set(corners))
    return named or tuple(one for one in answer.reasons if not one.corners)


def axle_verdict(
    number: int, corners: Mapping[str, Verdict], answers: Answers, facts: CaseFacts
) -> tuple[Verdict, str | None, tuple[Reason, ...]]:
    """Word beside one axle, its odd corner, and why.

    Parameters
    ----------
    number : int
    corners : dict of str to Verdict
        Of its two brakes.
    answers : Answers
    facts : CaseFacts

    Returns
    -------
    verdict, suspect, reasons
        The suspect is None where none is called, both are, or only the whole vehicle is hot.
    """
    for word in _BY_WEIGHT:
        named = [corner for corner, verdict in corners.items() if verdict == word]
        if named:
            called = word in {"hot", "cold"} and len(named) == 1 and _is_called(named[0], answers)
            return word, named[0] if called else None, _reasons(corners, answers) or facts.uncleared.whole
    return "even", None, _even(number, facts)


def _is_called(corner: str, answers: Answers) -> bool:
    """True if a brake is said to drag, or not to work."""
    return any(one.answer == "yes" and corner in one.corners for one in (answers.drag, answers.idle))


def _reasons(corners: Mapping[str, Verdict], answers: Answers) -> tuple[Reason, ...]:
    found = (
        reason
        for answer in answers.each
        if answer.answer != "no"
        for reason in answer.reasons
        if set(reason.corners) & set(corners)
    )
    return unique_reasons(found)


def _even(number: int, facts: CaseFacts) -> tuple[Reason, ...]:
    numbers = facts.axles.get(number)
    if numbers is None:
        return ()
    warmest_k = max(side.rise_k or 0.0 for side in numbers.sides)
    if facts.vehicle.is_lifted(number) and warmest_k < facts.policy.minimum_rise_k:
        return (Reason(code="cold_by_design", corners=tuple(side.corner for side in numbers.sides)),)
    hot_cold = tuple(side.corner for side in numbers.hot_cold)
    return (Reason(code="even", corners=hot_cold, numbers=numbers.gap_numbers),)


def pattern_of(answers: Answers, facts: CaseFacts, hot_hubs: tuple[str, ...]) -> PatternFinding:
    """The fault that the answers speak of.

    Parameters
    ----------
    answers : Answers
    facts : CaseFacts
    hot_hubs : tuple of str
        Corners of hubs that stand out.

    Returns
    -------
    PatternFinding
        "none" only where no brake drags, and none is said not to work; "cannot_tell" where it cannot be told
        whether one drags.
    """
    drag, idle = answers.drag, answers.idle
    if drag.answer == idle.answer == "yes" and not set(drag.corners) & set(idle.corners):
        both = tuple(sorted({*drag.corners, *idle.corners}))
        return _pattern(SEVERAL, both, (*drag.reasons, *idle.reasons), facts)
    called = _of_word("yes", answers, facts)
    if called is None and hot_hubs:
        called = PatternFinding(kind=HUB_HOT.name, corners=hot_hubs)
    found = called or _of_word("watch", answers, facts)
    if found is not None:
        return found
    if drag.answer == "cannot_tell":
        return PatternFinding(kind=CANNOT_TELL.name, reasons=drag.reasons)
    return PatternFinding(kind=NONE.name, p=facts.p_kind.get(NONE.name))


def _of_word(wanted: AnswerWord, answers: Answers, facts: CaseFacts) -> PatternFinding | None:
    """The fault of the first question answered so."""
    drag, idle, heat = answers.each
    if drag.answer == wanted and drag.corners:
        return _pattern(_drag_kind(drag, heat, facts), drag.corners, drag.reasons, facts)
    if idle.answer == wanted and idle.corners:
        return _pattern(_idle_kind(idle, facts), idle.corners, idle.reasons, facts)
    if heat.answer == wanted:
        return _pattern(ALL_HOT, heat.corners, heat.reasons, facts)
    return None


def _pattern(
    kind: FaultKind, corners: tuple[str, ...], reasons: tuple[Reason, ...], facts: CaseFacts
) -> PatternFinding:
    return PatternFinding(kind=kind.name, corners=corners, p=facts.p_kind.get(kind.name), reasons=reasons)


def _drag_kind(drag: Answer, heat: Answer, facts: CaseFacts) -> FaultKind:
    """Kind of the best explanation where it names these corners, else what their number says."""
    if drag.corners == facts.drag.corners and not facts.coast:
        return fault_kind(facts.drag.kind)
    if set(drag.corners) == set(heat.corners):
        return ALL_HOT
    return _by_number(drag.corners, "hot")


def _idle_kind(idle: Answer, facts: CaseFacts) -> FaultKind:
    if idle.corners == facts.idle.corners:
        return fault_kind(facts.idle.kind)
    return _by_number(idle.corners, "cold")


def _by_number(corners: tuple[str, ...], sign: Literal["hot", "cold"]) -> FaultKind:
    if len(corners) == 1:
        return kind_of("corner", sign)
    return kind_of("axle", sign) if len({corner[:-1] for corner in corners}) == 1 else SEVERAL
