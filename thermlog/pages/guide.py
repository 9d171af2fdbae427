"""The road test and the walk round as one printed card."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.pages.rendering import PageSetup, render
from thermlog.pages.shown import Dual, in_both
from thermlog.words.sentences import Page, on_page

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.advice.guide import GuidePart
    from thermlog.reports.wording import Show


class CardPart(Struct, frozen=True, kw_only=True):
    """One step of the card: its title, and its points with their sources."""

    title: str
    stop: bool
    points: tuple[tuple[Dual, str], ...]


class GuideCard(Struct, frozen=True, kw_only=True):
    """The card; sources by number below it."""

    weight: str
    parts: tuple[CardPart, ...]
    sources: tuple[str, ...]


def guide_page(parts: Sequence[GuidePart], *, weight: str, show: Show) -> str:
    """The card as HTML.

    Parameters
    ----------
    parts : sequence of GuidePart
        As `guide.guide_of` gives them.
    weight : str
        Class of vehicle, in words.
    show : {"C", "F"}
    """
    sources = tuple(dict.fromkeys(point.source for part in parts for point in part.point))
    card = GuideCard(
        weight=weight,
        parts=tuple(
            CardPart(
                title=part.title,
                stop=part.stop,
                points=tuple(
                    (_both(point.text), str(sources.index(point.source) + 1)) for point in part.point
                ),
            )
            for part in parts
        ),
        sources=sources,
    )
    return render(
        "guide.html", PageSetup(title="Road test and walk round", styles=("guide.css",), show=show), card
    )


def _both(text: str) -> Dual:
    return in_both(lambda show: str(on_page(text, Page(unit=show))))
