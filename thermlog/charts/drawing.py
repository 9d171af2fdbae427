"""How thermlog draws readings and curves: styles that survive grey print, labels beside their lines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, TypeAlias

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from msgspec import Struct

from thermlog.charts.lettering import (
    INK,
    LABEL_PT,
    NOTE_PT,
    line_height_in,
    spread,
    text_width_in,
    wrapped,
    write,
)
from thermlog.charts.sheet import Panel
from thermlog.reports.wording import Show
from thermlog.words.findings import Verdict
from thermlog.words.tables import Bools, Floats
from thermlog.words.units import difference_from_k, from_degc
from thermlog.words.vehicle import BRAKE_SPOTS, SPOTS

# A state has a colour beside its word, sign and border, never instead: in grey the three are alike.
# Contrast on white 8.5 to 8.9 to one (WCAG 2.2 asks 4.5 of letters, 3 of graphics).
STATE_COLOURS: dict[Verdict, str] = {"hot": "#8f2600", "cold": "#004f86", "watch": "#5f4600"}
_BAND_GREY = "#d3d7da"
_MOST_LABEL_LINES = 4
_MANY_READINGS = 12  # of one corner; from here on markers shrink
STRAIGHT_LINES = ("ambient", "common time")
Dash: TypeAlias = str | tuple[float, tuple[float, ...]]
DOTS = (0.0, (1.0, 2.0))


class LineStyle(Struct, frozen=True, kw_only=True):
    """Look of one line: dash, marker and fill tell the side in every chart; colour repeats the state."""

    colour: str
    dash: Dash
    marker: str
    filled: bool
    width: float = 1.7
    size: float = 5.5


def side_style(side: str, *, thin: bool = False, strong: bool = False, colour: str = INK) -> LineStyle:
    """Style of a side of the vehicle: left a dot and a solid line, right a triangle and a dashed one.

    Parameters
    ----------
    side : {"L", "R"}
    thin : bool
        True for a second spot of the corner, such as its hub.
    strong : bool
        True for a corner that stands out.
    colour : str
        Of its state.
    """
    width = (1.0 if thin else 1.7) + (1.1 if strong else 0.0)
    size = 4.0 if thin else 6.0
    if side == "L":
        return LineStyle(colour=colour, dash="-", marker="o", filled=True, width=width, size=size)
    return LineStyle(colour=colour, dash=(0.0, (4.0, 1.8)), marker="^", filled=False, width=width, size=size)


class Trace(Struct, frozen=True, kw_only=True):
    """One line with its readings, in minutes and in the unit shown.

    With a `key` its markers can be found in an SVG: those of readings that vote in the group ``read-KEY``,
    those under a cross in ``cross-KEY``, in the order of `minutes`. Its `drive` is named beside what does not
    vote, where several drives stand in one panel.
    """

    name: str
    label: str
    style: LineStyle
    strong: bool
    minutes: Floats
    level: Floats
    left_out: tuple[str, ...]
    residual: Floats
    grid_min: Floats
    mean: Floats
    low: Floats
    high: Floats
    key: str = ""
    drive: str = ""

    @property
    def votes(self) -> Bools:
        """True for a reading that votes."""
        return np.array([not reason for reason in self.left_out], dtype=np.bool_)

    @property
    def crossed(self) -> Bools:
        """True for a reading drawn crossed out: it does not vote, though others of its corner do.

        Where a corner has no curve because of all its readings together, none of them is the odd one.
        """
        if not self.grid_min.size and not self.votes.any():
            return np.zeros(len(self.left_out), dtype=np.bool_)
        return ~self.votes

    @property
    def end(self) -> tuple[float, float]:
        """Where the label belongs: the end of the curve, else the last reading [min], [unit shown]."""
        x, y = (self.grid_min, self.mean) if self.grid_min.size else (self.minutes, self.level)
        return float(x[-1]), float(y[-1])


def on_scale(values_degc: Floats, show: Show) -> Floats:
    """Temperatures [°C] in the unit shown."""
    return from_degc(0.0, show) + values_degc * difference_from_k(1.0, show)


def main_spot(spots: Sequence[str]) -> str:
    """The spot drawn as the corner's own line: on the brake if there is one."""
    order = [spot for spot in (*BRAKE_SPOTS, *SPOTS) if spot in spots]
    return order[0] if order else ""


def draw_trace(axes: Axes, trace: Trace, *, band: bool = True) -> None:
    """Readings, crossed-out readings, curve and band of one trace.

    Parameters
    ----------
    band : bool
        Draw the 95 % band.
    """
    if trace.grid_min.size:
        _draw_curve(axes, trace, band=band)
    draw_points(axes, trace, ~trace.crossed, trace.level, f"{trace.name} readings", found_as="read")
    draw_crosses(axes, trace, trace.level, found_as="cross")


def _draw_curve(axes: Axes, trace: Trace, *, band: bool) -> None:
    style, x = trace.style, trace.grid_min
    axes.plot(
        x,
        trace.mean,
        color=style.colour,
        linestyle=style.dash,
        linewidth=style.width,
        label=f"{trace.name} curve",
    )
    if band:
        fill = axes.fill_between(x, trace.low, trace.high, color=_BAND_GREY, alpha=0.75, linewidth=0)
        fill.set_label(f"{trace.name} band")


def draw_points(
    axes: Axes, trace: Trace, pick: Bools, level: Floats, label: str, *, found_as: str = ""
) -> None:
    """Readings as markers: filled on the left side, open on the right, smaller where they are many."""
    style = trace.style
    shrink = min(1.0, (_MANY_READINGS / max(trace.minutes.size, 1)) ** 0.5)
    axes.plot(
        trace.minutes[pick],
        level[pick],
        linestyle="none",
        marker=style.marker,
        markersize=max(style.size * shrink, 3.0),
        color=style.colour,
        markerfacecolor=style.colour if style.filled else "white",
        markeredgewidth=max(1.3 * shrink, 0.8),
        label=label,
        zorder=3,
        gid=f"say-{found_as}-{trace.key}" if found_as and trace.key else None,
    )


def draw_crosses(axes: Axes, trace: Trace, level: Floats, *, found_as: str = "") -> None:
    """Readings that do not vote, crossed out; one beyond the axes stands at their edge."""
    pick = trace.crossed
    if not pick.any():
        return
    low, high = axes.get_ylim()
    seen = np.clip(level, low, high)
    draw_points(axes, trace, pick, seen, f"{trace.name} under a cross", found_as=found_as)
    axes.plot(
        trace.minutes[pick],
        seen[pick],
        linestyle="none",
        marker="x",
        markersize=9,
        markeredgewidth=1.8,
        color=INK,
        label=f"{trace.name} left out",
        clip_on=False,
        zorder=4,
    )


class EndLabel(Struct, frozen=True, kw_only=True):
    """One direct label: where its line ends [min], [unit shown], and what it says."""

    x: float
    y: float
    text: str
    colour: str
    weight: str = "normal"


def write_end_labels(figure: Figure, panel: Panel, labels: list[EndLabel], room_in: float) -> None:
    """Labels right of a panel, each level with the end of its line or led to it by a hairline."""
    if not labels:
        return
    size = _size_that_fits(labels, room_in - 0.22, panel.top - panel.floor)
    texts = [_label_text(item, room_in - 0.22, size) for item in labels]
    heights = np.array([(text.count("\n") + 1) * line_height_in(size) for text in texts])
    ends = np.array([in_inches(figure, panel.main, item.x, item.y) for item in labels])
    ends[:, 1] = np.clip(ends[:, 1], panel.bottom, panel.top)
    centres = spread(ends[:, 1], heights, panel.floor, panel.top)
    for item, text, end, centre in zip(labels, texts, ends, centres, strict=True):
        write(
            figure,
            (panel.right + 0.16, centre),
            text,
            size,
            colour=item.colour,
            weight=item.weight,
            va="center",
        )
        _lead(figure, panel, (float(end[0]), float(end[1])), float(centre), item.colour)


def _lead(figure: Figure, panel: Panel, end: tuple[float, float], centre: float, colour: str) -> None:
    """Hairline from the end of a line to its label; dotted inside the axes, where it is no curve."""
    edge = panel.right
    pieces: list[tuple[list[float], list[float], Literal["-", ":"]]]
    pieces = [([edge, edge + 0.13], [end[1], centre], "-")]
    if end[0] + 0.06 < edge:
        pieces.append(([end[0] + 0.06, edge], [end[1], end[1]], ":"))
    for x, y, dash in pieces:
        line = Line2D(x, y, color=colour, linewidth=0.7, linestyle=dash, transform=figure.dpi_scale_trans)
        figure.add_artist(line)


def _label_text(label: EndLabel, width_in: float, size: float) -> str:
    return wrapped(label.text, width_in, size, weight=label.weight, most=_MOST_LABEL_LINES)


def _size_that_fits(labels: list[EndLabel], width_in: float, height_in: float) -> float:
    for size in (LABEL_PT, 8.0, 7.0, 6.0):
        lines = sum(_label_text(item, width_in, size).count("\n") + 1 for item in labels)
        if lines * line_height_in(size) <= height_in:
            return size
    return 6.0


def in_inches(figure: Figure, axes: Axes, x: float, y: float) -> tuple[float, float]:
    """Place of a point of the axes on the sheet [in]."""
    right, up = axes.transData.transform((x, y)) / figure.dpi
    return float(right), float(up)


class Note(Struct, frozen=True, kw_only=True):
    """Short text that belongs to a point of the axes."""

    x: float
    y: float
    text: str


def write_reasons(figure: Figure, panel: Panel, traces: list[Trace], taken: Sequence[Floats] = ()) -> None:
    """Say beside every crossed-out reading why it does not vote, where the text covers least.

    Parameters
    ----------
    figure : Figure
    panel : Panel
    traces : list of Trace
    taken : sequence of float arrays (4,)
        Left, bottom, right and top [in] of what stands there already.
    """
    crowd = crowd_of(figure, panel.main, traces)
    taken = list(taken)
    for note in _notes(traces, panel.main):
        text = wrapped(note.text, 2.0, NOTE_PT, most=_MOST_LABEL_LINES)
        point = in_inches(figure, panel.main, note.x, note.y)
        box = min(_boxes_round(point, text), key=lambda b: _cost(b, panel, crowd, taken) + _away(b, point))
        taken.append(box)
        _tie(figure, point, box)
        write(figure, (float(box[0]) + 0.03, float(box[3]) - 0.02), text, NOTE_PT)


def _notes(traces: list[Trace], axes: Axes) -> list[Note]:
    """One text for each reason of a panel; readings left out for the same reason share it."""
    low, high = axes.get_ylim()
    found: dict[str, list[tuple[float, float]]] = {}
    for trace in traces:
        drive = f"{trace.drive}: " if trace.drive else ""
        for x, y, reason, crossed in zip(
            trace.minutes, trace.level, trace.left_out, trace.crossed, strict=True
        ):
            if crossed:
                beyond = "" if low <= y <= high else f"{y:.0f}, off the scale: "
                found.setdefault(f"{drive}{beyond}{reason}", []).append(
                    (float(x), min(max(float(y), low), high))
                )
    return [
        Note(x=places[0][0], y=places[0][1], text=_counted(text, len(places)))
        for text, places in found.items()
    ]


def _counted(text: str, count: int) -> str:
    return text if count == 1 else f"{text} ({count} readings)"


def _tie(figure: Figure, point: tuple[float, float], box: Floats) -> None:
    """Hairline from a text to its point where the two are apart."""
    near = np.clip(np.array(point), box[:2], box[2:])
    if np.hypot(*(near - point)) > 0.2:
        x, y = [point[0], float(near[0])], [point[1], float(near[1])]
        figure.add_artist(Line2D(x, y, color=INK, linewidth=0.6, transform=figure.dpi_scale_trans))


def _boxes_round(point: tuple[float, float], text: str) -> list[Floats]:
    """Places to try for a text: left, bottom, right and top [in], nearest first."""
    lines = text.split("\n")
    width = max(text_width_in(line, NOTE_PT) for line in lines) + 0.06
    height = len(lines) * line_height_in(NOTE_PT) + 0.04
    boxes = []
    for away in (0.1, 0.25, 0.45, 0.7):
        for right, up in ((1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (1, -1), (-1, 1), (-1, -1)):
            x = point[0] + right * (away + width / 2.0)
            y = point[1] + up * (away + height / 2.0)
            boxes.append(np.array([x - width / 2.0, y - height / 2.0, x + width / 2.0, y + height / 2.0]))
    return boxes


def _cost(box: Floats, panel: Panel, crowd: Floats, taken: list[Floats]) -> float:
    inside = panel.left <= box[0] and box[2] <= panel.right and panel.bottom <= box[1] and box[3] <= panel.top
    covered = np.all((crowd >= box[:2] - 0.04) & (crowd <= box[2:] + 0.04), axis=1).sum()
    clashes = sum(bool(np.all(box[:2] < other[2:]) and np.all(other[:2] < box[2:])) for other in taken)
    return float(covered) + 100.0 * clashes + (0.0 if inside else 1000.0)


def _away(box: Floats, point: tuple[float, float]) -> float:
    """A text far from its point is worth covering a few dots of a line for."""
    return 20.0 * float(np.hypot(*(np.clip(np.array(point), box[:2], box[2:]) - point)))


def nice_limits(values: Floats) -> tuple[float, float]:
    """Axis limits round finite values with some air."""
    finite = values[np.isfinite(values)]
    low, high = (float(finite.min()), float(finite.max())) if finite.size else (0.0, 1.0)
    span = max(high - low, 1.0)
    return low - 0.06 * span, high + 0.08 * span


def crowd_of(figure: Figure, axes: Axes, traces: list[Trace]) -> Floats:
    """Points of readings, curves and straight lines of a panel on the sheet [in], shape (points, 2)."""
    # a reading hidden costs as much as a long piece of a line
    pairs = [(trace.minutes, trace.level) for trace in traces] * 15
    pairs += [(trace.grid_min, trace.mean) for trace in traces]
    pairs += [_straight(axes, line) for line in axes.get_lines() if line.get_label() in STRAIGHT_LINES]
    points = np.concatenate([*(np.column_stack(pair) for pair in pairs), np.zeros((0, 2))])
    return np.asarray(axes.transData.transform(points) / figure.dpi, dtype=np.float64)


def _straight(axes: Axes, line: Line2D) -> tuple[Floats, Floats]:
    """Points along a line through the whole panel."""
    (x0, x1), (y0, y1) = axes.get_xlim(), axes.get_ylim()
    share = np.linspace(0.0, 1.0, 60)
    if line.get_label() == "ambient":
        return x0 + share * (x1 - x0), np.full(60, float(np.asarray(line.get_ydata())[0]))
    return np.full(60, float(np.asarray(line.get_xdata())[0])), y0 + share * (y1 - y0)
