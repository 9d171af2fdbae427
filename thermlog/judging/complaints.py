"""What a driver complains of beside the readings: a pull to one side, the lamp of the ABS.

Neither calls a brake, and no answer is a plain "no" beside it.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec.structs import replace

from thermlog.judging.facts import CaseFacts
from thermlog.words.findings import Answer
from thermlog.words.reasons import Reason, ReasonCode, unique_reasons
from thermlog.words.seenwords import PULLS, SEEN_WORDS, SeenCode

_TOO_COOL: frozenset[ReasonCode] = frozenset({"nothing_warm", "not_enough_heat", "nothing_braked"})


def beside_complaints(noticed: Iterable[CaseFacts], drag: Answer, idle: Answer) -> tuple[Answer, Answer]:
    """Both answers beside what the driver complains of.

    Parameters
    ----------
    noticed : iterable of CaseFacts
        The drives that the answers rest on.
    drag, idle : Answer
        Whether a brake drags, and whether one does not work.

    Returns
    -------
    tuple of Answer
        What one answer explains leaves the other one as it is.
    """
    codes = dict.fromkeys(one.code for facts in noticed for one in facts.case.seen)
    lamp = (Reason(code="abs_lamp_lit"),) if "abs_lamp" in codes else ()
    told = [
        (code, _fits(code, drag, hot=True), _fits(code, idle, hot=False)) for code in codes if code in PULLS
    ]
    of_drag, of_idle = (
        tuple(
            Reason(code="pulls_as_found" if own else "pulls_unexplained", quoted=SEEN_WORDS[code])
            for code, own, other in each
            if own or not other
        )
        for each in (told, [(code, idles, drags) for code, drags, idles in told])
    )
    return _beside(drag, (*of_drag, *lamp)), _beside(idle, (*of_idle, *lamp))


def _beside(answer: Answer, found: tuple[Reason, ...]) -> Answer:
    """No plain "no" beside a complaint; what is open or called stands. Too little heat is told after it."""
    if not found:
        return answer
    if answer.answer == "no":
        return replace(answer, answer="cannot_tell", reasons=unique_reasons(found))
    cool = answer.answer == "cannot_tell" and all(one.code in _TOO_COOL for one in answer.reasons)
    reasons = (*found, *answer.reasons) if cool else (*answer.reasons, *found)
    return replace(answer, reasons=unique_reasons(reasons))


def _fits(code: SeenCode, answer: Answer, *, hot: bool) -> bool:
    """Whether it pulls as it would if the answer were right.

    A brake that drags pulls to its own side, rolling or braking; one that does too little leaves the braking,
    and the pull, to the other side.
    """
    sides = {corner[-1] for corner in answer.suspected}
    pulls = PULLS[code]
    return len(sides) == 1 and pulls is not None and (pulls in sides) == hot
