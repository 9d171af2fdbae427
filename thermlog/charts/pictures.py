"""Drawings for a page: one call, one ``<svg>`` element as text.

How to use it::

    from thermlog.charts.pictures import svg_of

    (found,) = tell_all(judged, [0], curves=True)  # a Diagnosis with its curves
    front = svg_of(found, "cooling", axles=(1,))  # one panel; without `axles` one a panel an axle
    phone = svg_of(found, "vehicle", width="narrow", show="F")
    quiz = svg_of(found, "cooling", stage="curve")  # readings and curves, nothing of the finding

- Put the text into the page as it is (in Jinja2: ``{{ svg | safe }}``); all names from a log are escaped
  already.
- Ids are made of the drawing itself, so any number of drawings can stand in one page; ``key="front"``
  gives them a name of your own (letters, digits, ``-``), ``front-title`` and so on.
- There is no ``style`` attribute, style sheet, link or script in it: the strictest content policy lets it
  pass.
- It has a ``viewBox`` and no size: give it one, such as ``svg {width: 100%; height: auto}``. Wide
  drawings are meant for 450 points and more a panel, narrow ones for a phone (letters of 12 points at 330
  across). A page shows one of the two by its width.
- It says by ``direction="ltr"`` that left stays left in a page that runs from right to left.
- ``role="img"`` with title and description, so that a screen reader tells the drawing in sentences.
- White paper is drawn behind it. In forced colours a page should keep it: ``svg {forced-color-adjust:
  none}``.
- Where nothing can be drawn (no reading with a time, no air), the drawing says why in its place.
- The same case gives the same text, byte for byte.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, TypeAlias

from msgspec.structs import replace

from thermlog.charts.chart import figure_of, limits_beside
from thermlog.charts.look import Look, Stage, Width
from thermlog.charts.saving import svg_text
from thermlog.charts.vehiclebars import vehicle_figure
from thermlog.reports.chartwords import axles_shown
from thermlog.reports.wording import Show
from thermlog.words.findings import Diagnosis

DrawingKind: TypeAlias = Literal["cooling", "vehicle"]


def svg_of(
    diagnosis: Diagnosis,
    kind: DrawingKind,
    *,
    width: Width = "wide",
    show: Show = "C",
    stage: Stage = "verdict",
    axles: tuple[int, ...] = (),
    beside: Sequence[Diagnosis] = (),
    key: str = "",
) -> str:
    """One drawing of a case as an ``<svg>`` element.

    Parameters
    ----------
    diagnosis : Diagnosis
        With its curves, as ``tell_all(judged, [k], curves=True)`` makes it.
    kind : {"cooling", "vehicle"}
        Cooling curves, one panel an axle; or all corners at the common time, one bar a corner.
    width : {"wide", "narrow"}
        For a screen and paper, or for a phone.
    show : {"C", "F"}
        Unit of the temperatures.
    stage : {"points", "curve", "band", "verdict"}
        How much is told: readings; with their curves; with what would be normal; with the finding.
        "points" and "curve" are neutral: no verdict, no band, no name of a file.
    axles : tuple of int
        Cooling curves of these axles only; all where empty.
    beside : sequence of Diagnosis
        Drives whose drawings stand beside this one, itself among them: the axes of cooling curves reach as
        far as all of them need, so that equal heights are equal temperatures.
    key : str
        Start of every id; without it one made of the drawing.

    Returns
    -------
    str
        The element, without XML declaration.
    """
    look = Look(show=show, width=width, stage=stage, framed=False, axles=axles)
    look = replace(look, limits=limits_beside(beside, look))
    figure = figure_of(diagnosis, look) if kind == "cooling" else vehicle_figure(diagnosis, look)
    return svg_text(figure, key=key)


def svg_of_each_axle(diagnosis: Diagnosis, *, show: Show) -> tuple[str, ...]:
    """The cooling curves of a case for a phone, an ``<svg>`` element an axle, all on the same axes.

    Parameters
    ----------
    diagnosis : Diagnosis
        With its curves.
    show : {"C", "F"}

    Returns
    -------
    tuple of str (axles,)
        From the front.
    """
    look = Look(show=show, width="narrow", framed=False)
    look = replace(look, limits=limits_beside([diagnosis], look))
    return tuple(
        svg_text(figure_of(diagnosis, replace(look, axles=(axle,)))) for axle in axles_shown(diagnosis)
    )
