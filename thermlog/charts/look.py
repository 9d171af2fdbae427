"""How a chart is drawn: width, unit, how much of the finding it tells, with words round it or bare."""

from __future__ import annotations

from typing import Literal, TypeAlias

from msgspec import Struct

from thermlog.reports.wording import Show

Width: TypeAlias = Literal["wide", "narrow"]
Stage: TypeAlias = Literal["points", "curve", "band", "verdict"]
_STAGES: tuple[Stage, ...] = ("points", "curve", "band", "verdict")


class AxisLimits(Struct, frozen=True, kw_only=True):
    """Ends of the axes of a panel.

    Attributes
    ----------
    minutes : tuple of float, optional
        Of the time axis [min]; None where the clocks of several drives begin at moments of their own.
    level : tuple of float
        Of the temperature axis, in the unit shown.
    """

    minutes: tuple[float, float] | None
    level: tuple[float, float]


class Look(Struct, frozen=True, kw_only=True):
    """Choices of whoever wants a drawing.

    Attributes
    ----------
    show : {"C", "F"}
        Unit of the temperatures; axes get round numbers of their own in each.
    width : {"wide", "narrow"}
        For a screen or a sheet, or for a phone: one panel below the other, letters that can be read at 360
        points across.
    stage : {"points", "curve", "band", "verdict"}
        How much is told: readings; with their curves; with what would be normal; with the finding. The first
        two are neutral: nothing on them says what was found.
    framed : bool
        With title, answers and foot, as a file that stands alone; else only the panels, for a page that says
        these itself.
    axles : tuple of int
        Only the panels of these axles; all where empty.
    limits : AxisLimits, optional
        Those of the axes; without them as far as what is drawn reaches.
    """

    show: Show = "C"
    width: Width = "wide"
    stage: Stage = "verdict"
    framed: bool = True
    axles: tuple[int, ...] = ()
    limits: AxisLimits | None = None

    def tells(self, stage: Stage) -> bool:
        """True if the drawing goes as far as `stage`."""
        return _STAGES.index(self.stage) >= _STAGES.index(stage)

    @property
    def narrow(self) -> bool:
        """True if it is drawn for a phone."""
        return self.width == "narrow"
