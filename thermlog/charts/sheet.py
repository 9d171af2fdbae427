"""The sheet of a chart: words around, one panel per axle on shared axes, all placed by hand."""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from msgspec import Struct
from msgspec.structs import replace

from thermlog.charts.borders import Border, draw_frame
from thermlog.charts.lettering import (
    ALL_LINES,
    DPI,
    FONT,
    FOOT_PT,
    HEAD_PT,
    INK,
    LABEL_PT,
    LINE,
    SMALL_PT,
    SOFT_INK,
    TITLE_PT,
    letters,
    line_height_in,
    text_width_in,
    wrapped,
    write,
)

MARGIN_IN = 0.15
_LEFT_IN = 0.8  # room for the numbers and the name of the temperature axis
_USUAL_TITLE_LINES = 3
_STAMP_IN = 0.22  # room for the moment of comparison, right above the axes


class Words(Struct, frozen=True, kw_only=True):
    """What is written round the panels.

    Attributes
    ----------
    title, foot : str
        The finding, the line at the foot.
    warning : str
        What to beware of, right below the title; empty where nothing is urgent.
    below : tuple of str
        Smaller lines below it.
    alt : str
        The whole chart in sentences.
    heads, reasons : tuple of str, tuple of tuple of str (panels,)
        Head of each panel, and the smaller lines below it.
    borders : tuple of Border (panels,)
        Frame of each panel: it tells the state, as sign and word do.
    """

    title: str
    below: tuple[str, ...]
    foot: str
    alt: str
    heads: tuple[str, ...]
    reasons: tuple[tuple[str, ...], ...]
    borders: tuple[Border, ...]
    warning: str = ""


class Form(Struct, frozen=True, kw_only=True):
    """Sizes of a kind of chart [in].

    Attributes
    ----------
    widths : tuple of float (3,)
        Width of a panel where one, two or three stand beside each other.
    height, strip : float
        Height of the main axes, and of the strip below them (0: none).
    gutter : float
        Room for labels right of every panel.
    left : float
        Room for the numbers and the name of the axis on the left.
    columns : int
        Most panels beside each other, 1 to 3.
    apart : int
        Panels at the end with axes of their own, as high as another with its strip.
    apart_height : float
        Where that is too low for one of them below all others.
    """

    widths: tuple[float, float, float]
    height: float
    strip: float
    gutter: float
    left: float = _LEFT_IN
    columns: int = 3
    apart: int = 0
    apart_height: float = 0.0


class SheetSizes(Struct, frozen=True, kw_only=True):
    """Sizes of a sheet [in].

    Attributes
    ----------
    count, columns, apart : int
        Panels, how many stand beside each other, and how many at the end have axes of their own.
    width, height : float
        One panel's main axes.
    strip : float
        Height of the residual strip below it; 0 for none.
    gutter : float
        Room for direct labels right of every panel.
    head : float
        Room above every panel.
    title, foot : float
        Room above the first and below the last row.
    more : float
        By how much the last panel is higher than the others.
    """

    count: int
    width: float
    height: float
    strip: float
    gutter: float
    head: float
    title: float
    foot: float
    left: float
    columns: int
    apart: int
    more: float
    between: float = 0.08
    below: float = 0.52

    @property
    def rows(self) -> int:
        """Rows of panels."""
        return -(-self.count // self.columns)

    @property
    def row_height(self) -> float:
        """Height of one row with everything that belongs to it."""
        strip = self.strip + self.between if self.strip else 0.0
        return self.head + self.height + strip + self.below

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the sheet."""
        wide = self.left + self.columns * (self.width + self.gutter)
        return wide, self.title + self.rows * self.row_height + self.more + self.foot

    def is_lowest(self, k: int) -> bool:
        """True if no panel with the axes of panel `k` stands below it, or panels are read one by one."""
        return k + self.columns >= self.count - self.apart or self.columns == 1

    def corner(self, k: int) -> tuple[float, float]:
        """Upper left corner of the main axes of panel `k`."""
        row, column = divmod(k, self.columns)
        top = self.size[1] - self.title - row * self.row_height - self.head
        return self.left + column * (self.width + self.gutter), top


def columns_of(count: int, most: int) -> int:
    """Panels beside each other on a sheet of `count` panels: all up to three, then as square as it gets."""
    return min(count if count <= 3 else 2 if count == 4 else 3, most)


class Panel(Struct, frozen=True, kw_only=True):
    """Axes of one panel and where they stand [in]."""

    main: Axes
    strip: Axes | None
    left: float
    bottom: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Right edge of the axes."""
        return self.left + self.width

    @property
    def top(self) -> float:
        """Upper edge of the main axes."""
        return self.bottom + self.height

    @property
    def floor(self) -> float:
        """Lowest place for a label beside the panel."""
        return self.bottom - (0.7 if self.strip is not None else 0.3)


class ChartSheet(Struct, frozen=True, kw_only=True):
    """Figure with its panels, ready to be drawn on."""

    figure: Figure
    plan: SheetSizes
    panels: tuple[Panel, ...]


def lay_out(words: Words, form: Form) -> ChartSheet:
    """Sheet with all words written and all panels empty.

    Parameters
    ----------
    words : Words
        As many heads as panels, at least one.
    form : Form

    Returns
    -------
    ChartSheet
    """
    count = len(words.heads)
    columns = columns_of(count, form.columns)
    width = form.widths[columns - 1]
    blocks = [_head_block(words, k, width + form.gutter - 0.25) for k in range(count)]
    wide = form.left + columns * (width + form.gutter) - 2.0 * MARGIN_IN
    title = _title_block(words, wide)
    below = "\n".join(wrapped(line, wide, SMALL_PT, most=ALL_LINES) for line in words.below)
    foot = wrapped(words.foot, wide, FOOT_PT, most=ALL_LINES)
    plan = SheetSizes(
        count=count,
        columns=columns,
        apart=form.apart,
        more=max(form.apart_height - form.height, 0.0) if columns == 1 else 0.0,
        left=form.left,
        width=width,
        height=form.height,
        strip=form.strip,
        gutter=form.gutter,
        head=max(block.height for block in blocks) + _STAMP_IN,
        title=_framed(title.height + _height(below, SMALL_PT), 2.0 * MARGIN_IN),
        foot=_framed(_height(foot, FOOT_PT), MARGIN_IN),
    )
    figure = Figure(figsize=plan.size, dpi=DPI, facecolor="white")
    FigureCanvasAgg(figure)
    figure.set_label(words.alt)
    _write_frame(figure, plan, title, below, foot)
    panels: list[Panel] = []
    for k, block in enumerate(blocks):
        alone = k >= count - form.apart
        panel = _panel_apart(figure, plan, k) if alone else _new_panel(figure, plan, k, panels)
        panels.append(panel)
        _write_head(figure, panel, block)
    return ChartSheet(figure=figure, plan=plan, panels=tuple(panels))


def bare(words: Words) -> Words:
    """The same without title, answers and foot, for a page that says them itself."""
    return replace(words, title="", warning="", below=(), foot="")


def _height(text: str, size_pt: float) -> float:
    return (text.count("\n") + 1) * line_height_in(size_pt) if text else 0.0


def _framed(height_in: float, margins_in: float) -> float:
    """Height of words with their margins; a bare drawing has neither."""
    return height_in + margins_in if height_in else 0.04


class _TitleBlock(Struct, frozen=True, kw_only=True):
    text: str
    size_pt: float
    warning: str

    @property
    def height(self) -> float:
        return _height(self.text, self.size_pt) + _height(self.warning, HEAD_PT)


def _title_block(words: Words, width_in: float) -> _TitleBlock:
    """The title in the largest letters that need three lines at most; it is never cut for looks."""
    warning = wrapped(words.warning, width_in, HEAD_PT, weight="bold", most=ALL_LINES)
    blocks = [
        _TitleBlock(
            text=wrapped(words.title, width_in, size_pt, weight="bold", most=ALL_LINES),
            size_pt=size_pt,
            warning=warning,
        )
        for size_pt in (TITLE_PT, 13.0, 11.5)
    ]
    return next((one for one in blocks if one.text.count("\n") < _USUAL_TITLE_LINES), blocks[-1])


def _write_frame(figure: Figure, plan: SheetSizes, title: _TitleBlock, below: str, foot: str) -> None:
    top = plan.size[1] - MARGIN_IN
    write(figure, (MARGIN_IN, top), title.text, title.size_pt, weight="bold")
    write(figure, (MARGIN_IN, top - title.height - 0.04), below, SMALL_PT, colour=SOFT_INK)
    write(figure, (MARGIN_IN, MARGIN_IN / 2.0), foot, FOOT_PT, colour=SOFT_INK, va="bottom")
    if title.warning:
        height = top - _height(title.text, title.size_pt) - 0.02
        write(figure, (MARGIN_IN, height), title.warning, HEAD_PT, weight="bold")


class _HeadBlock(Struct, frozen=True, kw_only=True):
    head: str
    reasons: str
    border: Border

    @property
    def weight(self) -> str:
        return "bold" if self.border in {"thick", "double"} else "normal"

    @property
    def height(self) -> float:
        return _height(self.head, HEAD_PT) + _height(self.reasons, LABEL_PT)


def _head_block(words: Words, k: int, width_in: float) -> _HeadBlock:
    return _HeadBlock(
        head=wrapped(words.heads[k], width_in, HEAD_PT, weight="bold", most=ALL_LINES),
        reasons="\n".join(wrapped(line, width_in, LABEL_PT, most=ALL_LINES) for line in words.reasons[k]),
        border=words.borders[k],
    )


def _write_head(figure: Figure, panel: Panel, block: _HeadBlock) -> None:
    top = panel.top + _STAMP_IN + block.height
    write(figure, (panel.left, top), block.head, HEAD_PT, weight=block.weight)
    write(figure, (panel.left, top - _height(block.head, HEAD_PT)), block.reasons, LABEL_PT, colour=SOFT_INK)
    place = panel.left, panel.bottom, panel.width, panel.height
    draw_frame(figure, panel.main, place, block.border)


def _panel_apart(figure: Figure, plan: SheetSizes, k: int) -> Panel:
    """A panel with axes of its own, as high as another with its strip."""
    left, top = plan.corner(k)
    height = plan.height + plan.more + (plan.strip + plan.between if plan.strip else 0.0)
    width = plan.width + max(plan.gutter - 0.3, 0.0)  # it needs no labels beside it
    main = _axes(figure, (left, top - height, width, height), None, None)
    _quiet_ticks(main, numbers_left=False, numbers_below=True)
    return Panel(main=main, strip=None, left=left, bottom=top - height, width=width, height=height)


def _new_panel(figure: Figure, plan: SheetSizes, k: int, panels: list[Panel]) -> Panel:
    first = panels[0] if panels else None
    left, top = plan.corner(k)
    bottom = top - plan.height
    share_x, share_y = (first.main, first.main) if first else (None, None)
    main = _axes(figure, (left, bottom, plan.width, plan.height), share_x, share_y)
    strip = None
    if plan.strip:
        place = (left, bottom - plan.between - plan.strip, plan.width, plan.strip)
        strip = _axes(figure, place, main, first.strip if first else None)
    leftmost, lowest = k % plan.columns == 0, plan.is_lowest(k)
    _quiet_ticks(main, numbers_left=leftmost, numbers_below=lowest and strip is None)
    if strip is not None:
        _quiet_ticks(strip, numbers_left=leftmost, numbers_below=lowest)
    return Panel(main=main, strip=strip, left=left, bottom=bottom, width=plan.width, height=plan.height)


def _axes(
    figure: Figure, place_in: tuple[float, float, float, float], share_x: Axes | None, share_y: Axes | None
) -> Axes:
    wide, high = figure.get_size_inches()
    left, bottom, width, height = place_in
    axes = figure.add_axes(
        (left / wide, bottom / high, width / wide, height / high), sharex=share_x, sharey=share_y
    )
    for spine in axes.spines.values():
        spine.set(linewidth=0.8, edgecolor=LINE)
    axes.grid(visible=True, color="#e3e3e3", linewidth=0.6)
    axes.set_axisbelow(True)
    return axes


def _quiet_ticks(axes: Axes, *, numbers_left: bool, numbers_below: bool) -> None:
    axes.tick_params(
        labelleft=numbers_left, labelbottom=numbers_below, labelsize=LABEL_PT, labelfontfamily=FONT, length=3
    )


def name_below(axes: Axes, text: str) -> None:
    """Name of the time axis, with its unit."""
    axes.set_xlabel(text, fontproperties=letters(LABEL_PT), parse_math=False)


def name_left(panel: Panel, axes: Axes, text: str) -> None:
    """Name of the axis on the left, with its unit, in line with the axes above and below."""
    axes.set_ylabel(text, fontproperties=letters(LABEL_PT), parse_math=False)
    axes.yaxis.set_label_coords(-0.43 / panel.width, 0.5)


def name_moment(sheet: ChartSheet, panel: Panel, x: float, text: str) -> None:
    """Vertical line through a panel at one moment [min], named right above the axes."""
    for axes in (panel.main, panel.strip):
        if axes is not None:
            axes.axvline(
                x, color=INK, linewidth=1.0, linestyle=(0.0, (7.0, 2.0, 1.5, 2.0)), label="common time"
            )
    low, high = panel.main.get_xlim()
    place = panel.left + (x - low) / (high - low) * panel.width
    half = text_width_in(text, FOOT_PT) / 2.0
    place = min(max(place, panel.left + half), panel.right - half)
    write(sheet.figure, (place, panel.top + 0.04), text, FOOT_PT, ha="center", va="bottom")
