"""What a line of a list says of its place: which brakes, by which answer, and how likely."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from msgspec import Struct

from thermlog.advice.driving import shared_reason
from thermlog.words.chances import chance_of
from thermlog.words.vehicle import split_corner

if TYPE_CHECKING:
    from collections.abc import Iterable

    from thermlog.words.findings import Answer, Answers, AxleFinding

_Corners: TypeAlias = tuple[str, ...]


class SaidThere(Struct, frozen=True, kw_only=True):
    """Brakes of the place of a line, as the answers name them.

    Attributes
    ----------
    called : tuple of str
        Those that a "yes" names.
    drags, idles : tuple of str
        Those watched for a drag, and for lost braking.
    heats : tuple of str
        All of them, where only the heat of the whole vehicle calls or watches one.
    p : float or None
        Probability of the answer that the line is made from, as it gives it to these brakes.
    """

    called: _Corners = ()
    drags: _Corners = ()
    idles: _Corners = ()
    heats: _Corners = ()
    p: float | None = None

    @property
    def corners(self) -> _Corners:
        """All of them, each once."""
        return tuple(dict.fromkeys((*self.called, *self.heats, *self.drags, *self.idles)))


def said_there(answers: Answers, finding: AxleFinding, *, of_axle: bool) -> SaidThere:
    """What the answers say of the axle of a line, or of the whole vehicle.

    Parameters
    ----------
    answers : Answers
    finding : AxleFinding
        That the line is about, with its verdict.
    of_axle : bool
        It is about its axle alone.
    """

    def here(corners: Iterable[str]) -> _Corners:
        mine = (one for one in corners if not of_axle or split_corner(one)[0] == finding.axle)
        return tuple(dict.fromkeys(mine))

    drag, idle, heat = answers.each
    drags, idles = here(_watched(drag)), here(_watched(idle))
    if finding.verdict == "cold":
        called = here(idle.corners) if idle.answer == "yes" else ()
        return SaidThere(called=called, drags=drags, idles=idles, p=chance_of(idle, called))
    if finding.verdict == "hot" and drag.answer == "yes" and here(drag.corners):
        called = here(drag.corners)
        return SaidThere(called=called, drags=drags, idles=idles, p=chance_of(drag, called))
    if finding.verdict == "hot":
        hot = here(heat.corners) if heat.answer == "yes" else ()
        return SaidThere(heats=hot, drags=drags, idles=idles, p=heat.p) if hot else SaidThere()
    if finding.verdict != "watch":
        return SaidThere()
    shared = shared_reason(drag, idle)
    if shared is not None and set(here(shared.corners)) & {*drags, *idles}:  # one thing, read in two ways
        drags, idles = (
            tuple(dict.fromkeys((*mine, *(one for one in _watched(answer) if one in shared.corners))))
            for mine, answer in ((drags, drag), (idles, idle))
        )
    if drags or idles:
        answer, named = (drag, drags) if drags else (idle, idles)
        return SaidThere(drags=drags, idles=idles, p=chance_of(answer, named))
    return SaidThere(heats=here(heat.corners), p=heat.p) if heat.suspects else SaidThere()


def _watched(answer: Answer) -> _Corners:
    """Corners that an answer watches, those beside a call as well."""
    return answer.beside if answer.answer == "yes" else answer.suspected
