"""Frames of panels: they tell states apart in grey, too."""

from __future__ import annotations

from typing import Literal, TypeAlias

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from thermlog.charts.lettering import INK, LINE

Border: TypeAlias = Literal["thin", "thick", "double", "dashed", "dotted"]
_FRAMES: dict[Border, tuple[float, str | tuple[float, tuple[float, ...]]]] = {
    "thin": (0.8, "-"),
    "thick": (2.6, "-"),
    "double": (1.2, "-"),
    "dashed": (1.8, (0.0, (5.0, 2.5))),
    "dotted": (1.6, (0.0, (1.0, 2.0))),
}
_INNER_IN = 0.045  # from the outer line of a double frame to the inner one


def draw_frame(
    figure: Figure, axes: Axes, place_in: tuple[float, float, float, float], border: Border
) -> None:
    """Frame of a panel that stands at left, bottom with a width and height [in]."""
    width, dash = _FRAMES[border]
    for spine in axes.spines.values():
        spine.set(linewidth=width, linestyle=dash, edgecolor=LINE if border == "thin" else INK)
    if border == "double":
        left, bottom, wide, high = place_in
        inner = Rectangle(
            (left + _INNER_IN, bottom + _INNER_IN),
            wide - 2.0 * _INNER_IN,
            high - 2.0 * _INNER_IN,
            fill=False,
            edgecolor=INK,
            linewidth=width,
            transform=figure.dpi_scale_trans,
            label="inner frame",
        )
        figure.add_artist(inner)
