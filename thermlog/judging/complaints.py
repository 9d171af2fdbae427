"""What a driver complains of beside the readings: a pull to one side, the lamp of the ABS.

Neither calls a brake, and no answer is a plain "no" beside it.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec.structs import replace

from thermlog.judging.facts import CaseFacts
from thermlog.words.findings import Answer
from thermlog.words.reasons import Reason, unique_reasons
from thermlog.words.seenwords import PULLS, SEEN_WORDS, SeenCode


def beside_complaints(noticed: Iterable[CaseFacts], answer: Answer, *, hot: bool) -> Answer:
    """An answer beside what the driver complains of.

    Parameters
    ----------
    noticed : iterable of CaseFacts
        The drives that the answer rests on.
    answer : Answer
        Whether a brake drags, or does not work.
    hot : bool
        True for the first.
    """
    codes = dict.fromkeys(one.code for facts in noticed for one in facts.case.seen)
    found = [_of_pull(code, answer, hot=hot) for code in codes if code in PULLS]
    found += [Reason(code="abs_lamp_lit")] if "abs_lamp" in codes else []
    if not found:
        return answer
    if answer.answer == "no":
        return replace(answer, answer="cannot_tell", reasons=unique_reasons(found))
    return replace(answer, reasons=unique_reasons((*answer.reasons, *found)))


def _of_pull(code: SeenCode, answer: Answer, *, hot: bool) -> Reason:
    """Whether it pulls as it would if the answer were right.

    A brake that drags pulls to its own side, rolling or braking; one that does too little leaves the braking,
    and the pull, to the other side.
    """
    sides = {corner[-1] for corner in answer.corners} if answer.suspects else set()
    pulls = PULLS[code]
    fits = len(sides) == 1 and pulls is not None and (pulls in sides) == hot
    return Reason(code="pulls_as_found" if fits else "pulls_unexplained", quoted=SEEN_WORDS[code])
