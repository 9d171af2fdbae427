"""Numbers of a judged batch as plain Python values.

Telling a case looks at dozens of single numbers; taking them one by one out of arrays would cost more than
the whole fit.
"""

from __future__ import annotations

from typing import TypeAlias

from msgspec import Struct

from thermlog.inference.thrownout import Stray
from thermlog.words.estimates import Estimate, Interval
from thermlog.words.findings import AxleFinding, CornerFinding
from thermlog.words.vehicle import SIDES, Spot

Numbers: TypeAlias = list[float | None]
Estimates: TypeAlias = list[Estimate | None]


class Digest(Struct, frozen=True, kw_only=True, eq=False):
    """Plain values of one batch; None stands where there is no number.

    Lists have one entry a pair, lists of two lists are left and right with one entry a pair each, and what is
    of a case has one entry a case.

    Attributes
    ----------
    first : list of int
        Of a case: its first pair; one more entry ends the last case.
    axle, spot : list
        Axle number, and what was aimed at.
    chosen : list of bool
        True where the pair speaks for its axle.
    corner : two lists of str
    readings, used : two lists of int
        Readings, and those that vote.
    first_s : two lists of float or None
        When the first reading that votes was taken [s], on the log's clock.
    state : two lists of int
        As of `fit.Fits`.
    unchanged : two lists of bool
        True where the readings are all the same though the brake must have cooled.
    start_degc : two lists of float or None
        At the case's first reading [°C].
    tau_s, at_common_degc : two lists of Estimate or None
        Time constant [s]; temperature at the common time [°C].
    rise_k : two lists of float or None
        Above the stated air at the common time [K].
    p_hot, p_cold : two lists of float or None
        Probability that the brake is hot, that it is cold.
    difference_k, surface_k : list of Estimate or None
        Left minus right, as the gun shows it and of the metal [K].
    difference_sigma_k : list of float or None
        Standard uncertainty of the first of them [K].
    surface_known : list of bool
        True where the emissivities of both sides were stated.
    ratio : list of Estimate or None
        Hotter over cooler rise.
    log_tau_sigmas : list of float or None
        How far apart the time constants of both sides are, in standard uncertainties of their logarithms.
    common_time_s, ambient_shift_k : list of float or None
        Of a case: the common time on the log's clock [s]; fitted minus stated air [K].
    usual : two lists of float
        What the rise usually is, as earlier visits tell, in parts of what would be expected without them.
    skin_fraction : list of float
        What is believed of unlike surfaces, in parts of a rise.
    least_k, most_k : two lists of float or None
        Lowest and highest single reading, brought to the common time [K].
    in_doubt : two lists of bool
        True where the readings contradict each other.
    p_none, p_drag, p_idle, p_heat : list of float or None
        Of a case: probability that nothing is odd; that a brake drags; that one does not work; that the
        whole vehicle is hot.
    hottest_degc, coldest_degc : two lists of float or None
        Hottest and coldest reading [°C].
    climbing : frozenset of (side, pair)
        Series of three readings or more, each hotter than the one before.
    left_out : dict of int to list of int
        Case -> rows that do not vote, but for those without a time.
    strays, cold_strays : dict of (side, pair) to Stray
        The hottest reading that was thrown out, and the coldest.
    coast_case, braked_case : list of int or None
        Of a case: the drive without braking that goes with it, and the one with braking.
    same_vehicle : dict of int to list of int
        Case -> all cases of its vehicle, where there are several.
    marks_k : list of (float, float) or None
        Gaps from which left against right is watched, and suspect, by difference and ratio both [K].
    as_fahrenheit : list of int or None
        The hotter side that would be as warm as the other one if its readings were in Fahrenheit.
    """

    first: list[int]
    axle: list[int]
    spot: list[Spot]
    chosen: list[bool]
    corner: list[list[str]]
    readings: list[list[int]]
    used: list[list[int]]
    first_s: list[Numbers]
    state: list[list[int]]
    unchanged: list[list[bool]]
    start_degc: list[Numbers]
    tau_s: list[Estimates]
    at_common_degc: list[Estimates]
    rise_k: list[Numbers]
    p_hot: list[Numbers]
    p_cold: list[Numbers]
    difference_k: Estimates
    difference_sigma_k: Numbers
    surface_k: Estimates
    surface_known: list[bool]
    ratio: Estimates
    log_tau_sigmas: Numbers
    common_time_s: Numbers
    ambient_shift_k: Numbers
    usual: list[list[float]]
    skin_fraction: list[float]
    least_k: list[Numbers]
    most_k: list[Numbers]
    in_doubt: list[list[bool]]
    p_none: Numbers
    p_drag: Numbers
    p_idle: Numbers
    p_heat: Numbers
    hottest_degc: list[Numbers]
    coldest_degc: list[Numbers]
    climbing: frozenset[tuple[int, int]]
    left_out: dict[int, list[int]]
    strays: dict[tuple[int, int], Stray]
    cold_strays: dict[tuple[int, int], Stray]
    coast_case: list[int | None]
    braked_case: list[int | None]
    same_vehicle: dict[int, list[int]]
    marks_k: list[Interval | None]
    as_fahrenheit: list[int | None]

    def axle_finding(self, pair: int, *, known: bool) -> AxleFinding:
        """Numbers of the axle that a pair speaks for, with nothing said of it yet.

        Parameters
        ----------
        pair : int
        known : bool
            True where the air is known: there is no rise, and no ratio, without one.
        """
        return AxleFinding(
            axle=self.axle[pair],
            difference_k=self.difference_k[pair],
            rise_ratio=self.ratio[pair] if known else None,
            surface_difference_k=self.surface_k[pair],
            surface_known=self.surface_known[pair],
        )

    def corner_finding(self, pair: int, side: int, *, known: bool) -> CornerFinding:
        """Numbers of one side of a pair, with nothing said of it yet.

        Parameters
        ----------
        pair, side : int
        known : bool
            True where the air is known: there are no rise and no probabilities without one.
        """
        at_common, rise_k = self.at_common_degc[side][pair], self.rise_k[side][pair]
        rise = None
        if known and at_common is not None and rise_k is not None:
            rise = at_common.moved(rise_k)
        return CornerFinding(
            corner=self.corner[side][pair],
            axle=self.axle[pair],
            side=SIDES[side],
            spot=self.spot[pair],
            readings=self.readings[side][pair],
            readings_used=self.used[side][pair],
            start_degc=self.start_degc[side][pair],
            tau_s=self.tau_s[side][pair],
            at_common_degc=at_common,
            rise_k=rise,
            p_hot=self.p_hot[side][pair] if known else None,
            p_cold=self.p_cold[side][pair] if known else None,
        )
