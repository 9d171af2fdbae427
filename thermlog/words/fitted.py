"""A fitted curve with its readings, as a chart needs it."""

from __future__ import annotations

from msgspec import Struct

from thermlog.words.bounds import CornerName
from thermlog.words.tables import Floats, Ints
from thermlog.words.vehicle import Spot


class HealthyBand(Struct, frozen=True, kw_only=True, eq=False):
    """Where 95 % of healthy brakes in place of one would read, given the other brakes.

    Attributes
    ----------
    grid_s : float array (points,)
        On the log's own clock [s].
    low_degc, high_degc : float array (points,)
        [°C].
    """

    grid_s: Floats
    low_degc: Floats
    high_degc: Floats


class Curve(Struct, frozen=True, kw_only=True, eq=False):
    """Readings and fitted curve of one corner and spot, ready to draw.

    Attributes
    ----------
    elapsed_s, indicated_degc : float array (readings,)
        Raw readings on the log's own clock [s], [°C].
    line : int array (readings,)
        Line in the file.
    left_out : tuple of str (readings,)
        Empty for a reading that votes, else the reason why it does not.
    residual_k : float array (readings,)
        Reading minus curve [K]; NaN where there is no curve.
    grid_s, mean_degc, low_degc, high_degc : float array (points,)
        Fitted curve with its 95 % band over the window of all readings; empty if there is no fit.
    healthy : HealthyBand or None
        Where a healthy brake here would read; None where that is not known, and for what is no brake.
    """

    corner: CornerName
    spot: Spot
    elapsed_s: Floats
    indicated_degc: Floats
    line: Ints
    left_out: tuple[str, ...]
    residual_k: Floats
    grid_s: Floats
    mean_degc: Floats
    low_degc: Floats
    high_degc: Floats
    healthy: HealthyBand | None = None
