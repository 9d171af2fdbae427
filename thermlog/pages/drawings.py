"""Drawings on a page, each in both units, and what the pointer reads off them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.pages.shown import Dual, in_both
from thermlog.reports.chartwords import SPOT_WORDS, degrees_text
from thermlog.reports.wording import clock
from thermlog.words.vehicle import corner_words

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from thermlog.charts.look import Stage
    from thermlog.charts.pictures import DrawingKind
    from thermlog.reports.wording import Show
    from thermlog.words.findings import Diagnosis


class Drawing(Struct, frozen=True, kw_only=True):
    """One thing drawn in both units; the page shows the one that is chosen.

    Attributes
    ----------
    c, f : str
        SVG elements, by `thermlog.charts.pictures`.
    reads : bool
        True if the pointer reads markers off it.
    """

    c: str
    f: str
    reads: bool = False

    def __html__(self) -> str:
        """Both, each where a style can hide it. Templates write ``{{ drawing }}``."""
        kind = "pic reads" if self.reads else "pic"
        return f'<div class="{kind}"><div class="c">{self.c}</div><div class="f">{self.f}</div></div>'


def drawn(
    told: Diagnosis,
    kind: DrawingKind,
    *,
    stage: Stage = "verdict",
    axles: tuple[int, ...] = (),
    beside: Sequence[Diagnosis] = (),
    key: str = "",
) -> Drawing:
    """Cooling curves, or the whole vehicle, of one drive: as narrow as a phone or a third of a sheet.

    Parameters
    ----------
    told : Diagnosis
        With its curves.
    kind : {"cooling", "vehicle"}
    stage : {"points", "curve", "band", "verdict"}
    axles : tuple of int
        These axles only; all where empty.
    beside : sequence of Diagnosis
        Drives that are drawn beside it, itself among them: they share the axes.
    key : str
        What tells it from the same drawing of another log on the page.
    """
    from thermlog.charts.pictures import svg_of

    def draw(show: Show) -> str:
        name = "-".join(filter(None, (key, kind, stage, *map(str, axles), show)))
        return svg_of(
            told, kind, width="narrow", show=show, stage=stage, axles=axles, beside=beside, key=name
        )

    return Drawing(c=draw("C"), f=draw("F"), reads=kind == "cooling" and stage == "verdict")


class Point(Struct, frozen=True, kw_only=True):
    """One marker in the drawings: where a script finds it, and what it is.

    Attributes
    ----------
    group : str
        End of the id of its group, as in ``read-1L-brake``.
    text : Dual
    """

    group: str
    text: Dual


def points_of(told: Diagnosis) -> tuple[Point, ...]:
    """Every reading, group by group, in the order of the markers.

    Parameters
    ----------
    told : Diagnosis
        With its curves.
    """
    found = []
    for curve in told.curves:
        spot = SPOT_WORDS.get(curve.spot, curve.spot)
        place = f"{corner_words(curve.corner, told.axle_count)} {spot}".strip()
        for line, at, degc, why in zip(
            curve.line, curve.elapsed_s, curve.indicated_degc, curve.left_out, strict=True
        ):
            what = f"line {line}, {clock(float(at))}" + (f", no vote: {why}" if why else "")
            crossed = why and (curve.grid_s.size or not all(curve.left_out))
            found.append(
                Point(
                    group=f"{'cross' if crossed else 'read'}-{curve.corner}-{curve.spot}",
                    text=in_both(_reading(place, float(degc), what)),
                )
            )
    return tuple(found)


def _reading(place: str, degc: float, what: str) -> Callable[[Show], str]:
    return lambda show: f"{place}: {degrees_text(degc, show)} ({what})"
