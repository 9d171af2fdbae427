"""One axle as the answers see it: its two sides, and what lies between them."""

from __future__ import annotations

import math

from msgspec import Struct

from thermlog.fitting.fit import RISING, STANDING
from thermlog.inference.thrownout import Stray
from thermlog.judging.digest import Digest
from thermlog.words.estimates import Estimate
from thermlog.words.policy import Policy
from thermlog.words.vehicle import mate_of

_FEW = 2  # readings up to which a single odd one can make a corner look odd
_MOST_OF_A_GAP = 0.75  # what must be left of it at worst, where it lies within the watch marks
FEWEST_FOR_TAU = 3  # readings a side before its time constant means anything
CLEARLY_UNLIKE_SIGMAS = 3.0


class SideNumbers(Struct, frozen=True, kw_only=True):
    """One side of an axle; None where there is nothing.

    Attributes
    ----------
    corner : str
    rise_k : float or None
        At the common time [K].
    least_k, most_k : float or None
        Lowest and highest single reading, brought to the common time [K].
    p_hot, p_cold : float
    readings, used : int
    first_s : float or None
        When the first reading that votes was taken [s], on the log's clock.
    rising, standing, unchanged : bool
        True if the readings climb; if they stand where a brake cools; if they are all the same.
    in_doubt : bool
        True if the readings contradict each other.
    tau_s : float or None
    usual : float
        What the rise usually is, as earlier visits tell, in parts of what would be expected without them.
    hottest_degc, coldest_degc : float or None
        Hottest and coldest reading [°C].
    climbing : bool
        True if they climb, three or more, each hotter than the one before.
    stray, cold_stray : Stray or None
        The hottest reading that was thrown out, and the coldest.
    """

    corner: str
    rise_k: float | None
    least_k: float | None
    most_k: float | None
    p_hot: float
    p_cold: float
    readings: int
    used: int
    rising: bool
    standing: bool
    unchanged: bool
    in_doubt: bool
    tau_s: float | None
    usual: float = 1.0
    first_s: float | None = None
    hottest_degc: float | None = None
    coldest_degc: float | None = None
    climbing: bool = False
    stray: Stray | None = None
    cold_stray: Stray | None = None

    @property
    def single(self) -> bool:
        """True if one reading stands behind this side."""
        return self.used == 1

    @property
    def heard(self) -> bool:
        """True if its readings count: with a curve, or beside the curve of its mate."""
        return self.used > 0 or self.in_doubt

    @property
    def is_doubtful(self) -> bool:
        """True if one reading stands behind this side, or its readings contradict each other."""
        return self.single or self.in_doubt


class AxleNumbers(Struct, frozen=True, kw_only=True):
    """Both sides of an axle and what lies between them.

    Attributes
    ----------
    axle : int
    pair : int
        Its place in the columns.
    left, right : SideNumbers
    difference_k : Estimate or None
        Left minus right [K].
    ratio : Estimate or None
        Hotter over cooler rise.
    skin_fraction : float
        What is believed of unlike surfaces, in parts of a rise.
    surface_known : bool
        True where the emissivities of both sides were stated: rises are of the metal.
    log_tau_sigmas : float
        How clearly the time constants differ.
    """

    axle: int
    pair: int
    left: SideNumbers
    right: SideNumbers
    difference_k: Estimate | None
    ratio: Estimate | None
    skin_fraction: float
    surface_known: bool
    log_tau_sigmas: float

    @property
    def sides(self) -> tuple[SideNumbers, SideNumbers]:
        """Left and right."""
        return self.left, self.right

    @property
    def hot_cold(self) -> tuple[SideNumbers, SideNumbers]:
        """The hotter side, then the cooler one."""
        left_hotter = self.difference_k is None or self.difference_k.value >= 0.0
        return self.sides if left_hotter else (self.right, self.left)

    @property
    def rises_k(self) -> list[float]:
        """Rises of the sides that have one [K]."""
        return [side.rise_k for side in self.sides if side.rise_k is not None]

    @property
    def size_k(self) -> float:
        """Size of the difference [K]; 0 where there is none."""
        return 0.0 if self.difference_k is None else abs(self.difference_k.value)

    def side(self, corner: str) -> SideNumbers:
        """The side of that name."""
        return self.left if self.left.corner == corner else self.right

    @property
    def least_gap_k(self) -> float | None:
        """Near end of the interval of that size [K]; None where an end is not known."""
        gap = self.difference_k
        if gap is None or gap.low is None or gap.high is None:
            return None
        return gap.low if gap.value >= 0.0 else -gap.high

    @property
    def gap_numbers(self) -> dict[str, float]:
        """From `gap_numbers`."""
        return gap_numbers(self.difference_k, self.ratio)

    def is_plain(self, policy: Policy) -> bool:
        """True if the gap is too clear to be called even: its interval and its ratio past the watch marks.

        What earlier visits show to be usual of the vehicle is no gap: it must be plain beside that, too,
        unless it lies past the suspect marks: so much is never explained by its having been there before.
        """
        least_k, hot, cold = self.least_gap_k, *self.hot_cold
        if least_k is None or hot.rise_k is None or cold.rise_k is None:
            return False
        plain = _past_marks(least_k, hot.rise_k, cold.rise_k, policy)
        if not plain or hot.usual == cold.usual == 1.0:
            return plain
        least, ratio = policy.suspect_difference_k, policy.suspect_ratio
        if least_k >= least and hot.rise_k >= ratio * max(cold.rise_k, 0.0):
            return True
        half_k = self.size_k - least_k
        hotter_k, cooler_k = hot.rise_k / hot.usual, cold.rise_k / cold.usual
        return _past_marks(hotter_k - cooler_k - half_k, hotter_k, cooler_k, policy)

    def is_nearly_plain(self, policy: Policy) -> bool:
        """True if the gap is past the watch marks, and only its interval keeps it from being plain."""
        hot, cold = self.hot_cold
        if hot.rise_k is None or cold.rise_k is None or self.is_plain(policy):
            return False
        return _past_marks(self.size_k, hot.rise_k, cold.rise_k, policy)

    def is_strong(self, policy: Policy) -> bool:
        """True if the gap lies past both strong marks."""
        hot, cold = self.hot_cold
        if hot.rise_k is None or cold.rise_k is None or self.size_k < policy.strong_difference_k:
            return False
        return hot.rise_k >= policy.strong_ratio * max(cold.rise_k, 0.0)

    def far_stray(self, corner: str, policy: Policy) -> Stray | None:
        """A reading thrown out of a side that would make a hot brake of it, past the watch marks, if true."""
        side, mate = self.side(corner), self.side(mate_of(corner))
        stray = side.stray
        if stray is None or side.rise_k is None:
            return None
        beside_k = max(side.rise_k, mate.rise_k or 0.0)
        return stray if _past_marks(stray.rise_k - beside_k, stray.rise_k, beside_k, policy) else None

    def stays_without_one_reading(self, policy: Policy) -> bool:
        """True if no single odd reading makes this gap.

        Of a side with one or two votes the worst of its readings for the gap is taken instead of its curve,
        those set aside as well: of two that contradict each other either may be the odd one. A side read
        once can always be that reading.
        """
        hot, cold = self.hot_cold
        if min(hot.readings, cold.readings) == 1 or hot.rise_k is None or cold.rise_k is None:
            return False
        low = hot.least_k if hot.used <= _FEW else hot.rise_k
        high = cold.most_k if cold.used <= _FEW else cold.rise_k
        if low is None or high is None:
            return False
        return _past_marks(low - high, low, high, policy) or low - high >= _MOST_OF_A_GAP * self.size_k

    def to_repeat(self, corner: str) -> str:
        """The side whose reading would settle `corner`: itself, unless only its mate is in doubt."""
        mate = self.side(mate_of(corner))
        return mate.corner if mate.is_doubtful and not self.side(corner).is_doubtful else corner

    def cools_unlike(self, policy: Policy) -> float | None:
        """How many times as fast one side cools as the other, where that is clear; else None."""
        left, right = self.sides
        if left.tau_s is None or right.tau_s is None or min(left.used, right.used) < FEWEST_FOR_TAU:
            return None
        times = math.exp(abs(math.log(left.tau_s / right.tau_s)))
        unlike = times > policy.tau_unlike_ratio and self.log_tau_sigmas >= CLEARLY_UNLIKE_SIGMAS
        return times if unlike else None


def gap_numbers(difference_k: Estimate | None, ratio: Estimate | None) -> dict[str, float]:
    """Size of the difference with its ends, and the ratio, as a reason carries them."""
    if difference_k is None:
        return {}
    size = difference_k.size
    numbers = {"difference_k": size.value}
    if size.low is not None and size.high is not None:
        numbers["low_k"], numbers["high_k"] = size.low, size.high
    if ratio is not None:
        numbers["ratio"] = ratio.value
    return numbers


def _past_marks(gap_k: float, hotter_k: float, cooler_k: float, policy: Policy) -> bool:
    return gap_k >= policy.watch_difference_k and hotter_k >= policy.watch_ratio * max(cooler_k, 0.0)


def axle_numbers(told: Digest, pair: int) -> AxleNumbers:
    """Numbers of the axle that a pair speaks for.

    Parameters
    ----------
    told : Digest
    pair : int
    """
    return AxleNumbers(
        axle=told.axle[pair],
        pair=pair,
        left=_side(told, pair, 0),
        right=_side(told, pair, 1),
        difference_k=told.difference_k[pair],
        ratio=told.ratio[pair],
        skin_fraction=told.skin_fraction[pair],
        surface_known=told.surface_known[pair],
        log_tau_sigmas=told.log_tau_sigmas[pair] or 0.0,
    )


def _side(told: Digest, pair: int, side: int) -> SideNumbers:
    tau_s = told.tau_s[side][pair]
    return SideNumbers(
        corner=told.corner[side][pair],
        rise_k=told.rise_k[side][pair],
        least_k=told.least_k[side][pair],
        most_k=told.most_k[side][pair],
        p_hot=told.p_hot[side][pair] or 0.0,
        p_cold=told.p_cold[side][pair] or 0.0,
        readings=told.readings[side][pair],
        used=told.used[side][pair],
        rising=told.state[side][pair] == RISING,
        standing=told.state[side][pair] == STANDING,
        unchanged=told.unchanged[side][pair],
        in_doubt=told.in_doubt[side][pair],
        tau_s=None if tau_s is None else tau_s.value,
        usual=told.usual[side][pair],
        first_s=told.first_s[side][pair],
        hottest_degc=told.hottest_degc[side][pair],
        coldest_degc=told.coldest_degc[side][pair],
        climbing=(side, pair) in told.climbing,
        stray=told.strays.get((side, pair)),
        cold_stray=told.cold_strays.get((side, pair)),
    )
