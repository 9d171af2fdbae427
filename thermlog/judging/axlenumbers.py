"""One axle as the verdict sees it: its two sides, and what lies between them."""

from __future__ import annotations

from msgspec import Struct

from thermlog.words.findings import Interval
from thermlog.words.sentences import kelvin, named, sentence


class SideNumbers(Struct, frozen=True, kw_only=True):
    """One side of an axle as the verdict sees it; None where there is nothing.

    Attributes
    ----------
    corner : str
    rise_k, rise_high_k : float or None
        At the common time, and the upper end of its 95 % interval [K].
    p_hot, p_cold : float
    readings, used : int
    rising : bool
        True if the readings only climb.
    unchanged : bool
        True if several readings of a warm brake are all the same.
    tau_s : float or None
    """

    corner: str
    rise_k: float | None
    rise_high_k: float | None
    p_hot: float
    p_cold: float
    readings: int
    used: int
    rising: bool
    unchanged: bool
    tau_s: float | None


class AxleNumbers(Struct, frozen=True, kw_only=True):
    """Both sides of an axle and what lies between them.

    `others_warm` is True if another axle got warm: without that no axle can be called too cold.
    """

    axle: int
    left: SideNumbers
    right: SideNumbers
    difference_k: float | None
    difference_interval_k: Interval | None
    ratio: float | None
    ratio_interval: Interval | None
    log_tau_sigmas: float
    ambient_known: bool
    coast: bool
    others_warm: bool
    lifted: bool
    coast_rises_k: tuple[float, float] | None = None


def ordered(numbers: AxleNumbers) -> tuple[SideNumbers, SideNumbers, bool]:
    """The hotter side, the cooler one, and whether the hotter is the left."""
    left_hotter = (numbers.difference_k or 0.0) >= 0
    if left_hotter:
        return numbers.left, numbers.right, True
    return numbers.right, numbers.left, False


def between(numbers: AxleNumbers) -> str:
    """Difference with interval, and ratio, in words."""
    hot, cold, _ = ordered(numbers)
    low, high = sorted(abs(value) for value in numbers.difference_interval_k or (0.0, 0.0))
    size = abs(numbers.difference_k or 0.0)
    ends = (kelvin(end, bare=True) for end in (low, high))
    text = sentence(
        "{} is {} above {} ({} to {})", named(hot.corner), kelvin(size), named(cold.corner), *ends
    )
    return text if numbers.ratio is None else sentence("{}, rises {} to 1", text, f"{numbers.ratio:.1f}")
