"""What is seen or complained of beside the readings: smoke, a locked wheel, a soft pedal, a pull, a lamp.

None calls a brake, and no answer that it concerns is a plain "no" beside it.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec.structs import replace

from thermlog.judging.facts import CaseFacts
from thermlog.words.findings import Answer
from thermlog.words.reasons import Reason, ReasonCode, unique_reasons
from thermlog.words.seenwords import OF_SUPPLY, PULLS, SEEN_WORDS, SeenCode
from thermlog.words.tables import Seen

# What a wheel that drags shows, and what leaves a brake without its force; a loose wheel may do either.
_OF_DRAG: frozenset[SeenCode] = frozenset(
    {"smoke", "glow", "flame", "smell", "sparks", "steam", "melted", "locked", "loose"}
)
_OF_IDLE: frozenset[SeenCode] = OF_SUPPLY | {"loose"}
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
    seen = tuple(dict.fromkeys(one for facts in noticed for one in facts.case.seen))
    drag, idle = _not_beside(drag, seen, _OF_DRAG), _not_beside(idle, seen, _OF_IDLE)
    codes = dict.fromkeys(one.code for one in seen)
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


def _not_beside(answer: Answer, seen: tuple[Seen, ...], codes: frozenset[SeenCode]) -> Answer:
    """No "no" beside what speaks for the contrary, however cool the gun found the wheel."""
    if answer.answer != "no":
        return answer
    reasons = tuple(
        Reason(
            code="seen_beside",
            corners=() if one.corner is None else (one.corner,),
            quoted=SEEN_WORDS[one.code],
        )
        for one in seen
        if one.code in codes
    )
    corners = tuple(dict.fromkeys(corner for reason in reasons for corner in reason.corners))
    return replace(answer, answer="cannot_tell", corners=corners, reasons=reasons) if reasons else answer


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
