"""Gaps that are plain under every air that a log without one may have been taken in: they are told at least.

What is said of a whole vehicle may hang on the air. That one side is far hotter than its mate does not.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from msgspec.structs import replace

from thermlog.judging.airs import MIDDLE
from thermlog.judging.alternatives import gap_open
from thermlog.judging.axlenumbers import AxleNumbers
from thermlog.judging.drag_answer import hot_gap
from thermlog.judging.facts import CaseFacts
from thermlog.judging.reckoning import hotter_may_drag, plain_gaps, single_sides
from thermlog.words.findings import Answer, Answers
from thermlog.words.reasons import Reason, unique_reasons
from thermlog.words.vehicle import split_corner


def with_clear_gaps(holds: Answers, under: Sequence[CaseFacts]) -> Answers:
    """The answers, with a watch of every gap that is plain under all airs and that none of them speaks of.

    Parameters
    ----------
    holds : Answers
        What is the same under every air.
    under : sequence of CaseFacts
        From the lowest to the highest air.

    Returns
    -------
    Answers
        The hotter side is watched if under some air it may drag, else the cooler one, which may not work.
        Never more than a watch, and what is said of another axle stands.
    """
    if any(facts.uncleared.blocks_all for facts in under):
        return holds
    clear = _clear_everywhere(under, _spoken_of(holds))
    hot = [one for one in map(_where_hot, clear) if one is not None]
    cold = [axle for axle in clear if _where_hot(axle) is None and not axle[MIDDLE][0].coast]
    drag, idle = holds.drag, holds.idle
    if hot:
        reasons = (*(hot_gap(facts, one) for facts, one in hot), *single_sides(one for _, one in hot[:1]))
        corners = tuple(one.hot_cold[0].corner for _, one in hot)
        drag = _watched(drag, corners, reasons, [facts.drag.p for facts in under])
    if cold:
        gaps = [axle[MIDDLE] for axle in cold]
        reasons = tuple(gap_open(one, facts.policy) for facts, one in gaps)
        corners = tuple(one.hot_cold[1].corner for _, one in gaps)
        idle = _watched(idle, corners, reasons, [facts.idle.p for facts in under])
    return replace(holds, drag=drag, idle=idle)


def _spoken_of(holds: Answers) -> set[int]:
    """Axles of which a question says something already."""
    both = (holds.drag, holds.idle)
    return {split_corner(corner)[0] for one in both for corner in (*one.corners, *one.beside)}


_UnderAirs = list[tuple[CaseFacts, AxleNumbers]]


def _clear_everywhere(under: Sequence[CaseFacts], spoken_of: Collection[int]) -> list[_UnderAirs]:
    """Axles with a gap that is plain under every air, the widest first, as each air shows them."""
    by_air = [{one.axle: one for one in plain_gaps(facts)} for facts in under]
    return [
        [(facts, plain[axle]) for facts, plain in zip(under, by_air, strict=True)]
        for axle in by_air[MIDDLE]
        if axle not in spoken_of and all(axle in plain for plain in by_air)
    ]


def _where_hot(axle: _UnderAirs) -> tuple[CaseFacts, AxleNumbers] | None:
    """The axle as the air shows it under which its hotter side may drag: the middle one, if it does."""
    middle_first = (axle[MIDDLE], *axle)
    return next((one for one in middle_first if hotter_may_drag(one[1], one[0])), None)


def _watched(
    answer: Answer, corners: tuple[str, ...], reasons: tuple[Reason, ...], chances: Sequence[float | None]
) -> Answer:
    """An answer that watches some corners, too; as probable as the air makes it that speaks least for it."""
    reasons = unique_reasons((*reasons, *answer.reasons))
    if answer.answer == "yes":
        return replace(answer, beside=(*answer.beside, *corners), reasons=reasons)
    if answer.answer == "watch":
        return replace(answer, corners=(*answer.corners, *corners), reasons=reasons)
    p = min((one for one in chances if one is not None), default=None)
    return replace(answer, answer="watch", p=p, corners=corners, reasons=reasons)
