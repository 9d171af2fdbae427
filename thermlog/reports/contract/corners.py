"""Corners and axles as JSON tells them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from thermlog.reports.contract.figures import Figures, both, parts_of, six_digits_of
from thermlog.reports.wording import reason_texts
from thermlog.words.bounds import AxleNumber, CornerName, Count, Share
from thermlog.words.estimates import Interval
from thermlog.words.findings import AxleFinding, CornerFinding, Verdict
from thermlog.words.vehicle import Side, Spot


class CornerObject(Struct, frozen=True, kw_only=True):
    """One corner at one spot, brought to the common time.

    Attributes
    ----------
    corner : str
        Axle number from the front and the vehicle's own side.
    axle : int
        The same axle, from the front.
    side : {"L", "R"}
        The same side.
    spot : str
        What was aimed at; "brake" where the log does not say where on the brake.
    readings : int
        Readings of this corner and spot.
    readings_used : int
        Those of them that vote in the fit.
    start_degc : float or None
        Fitted, at the first reading of the walk [°C].
    tau_s : float or None
        Time constant [s].
    tau_interval_s : interval or None
        Its 95 % interval [low, high]; null if not known.
    at_common_degc : float or None
        Fitted, at common_time_s [°C].
    interval_degc : interval or None
        Its 95 % interval [low, high]; null if not known.
    rise_k : float or None
        at_common_degc above ambient [K]; null where the ambient is not known.
    p_hot, p_cold : float or None
        Probability that this corner is the odd one, hot or cold.
    verdict : Verdict
        What is said of this corner; "cannot_tell" is a result, too.
    why : tuple of str
        Reasons of the verdict in words; may change.
    expected_degc : interval or None
        Where 95 % of healthy brakes here would read at common_time_s, given the other brakes [°C]; null
        without an air temperature, without another brake, and for what is no brake.
    """

    corner: CornerName
    axle: AxleNumber
    side: Side
    spot: Spot
    readings: Count
    readings_used: Count
    start_degc: float | None
    tau_s: float | None
    tau_interval_s: Interval | None
    at_common_degc: float | None
    interval_degc: Interval | None
    rise_k: float | None
    p_hot: Share | None
    p_cold: Share | None
    verdict: Verdict
    why: tuple[str, ...]
    expected_degc: Interval | None = None


def corner_objects(checks: Sequence[Sequence[CornerFinding]]) -> Iterator[tuple[CornerObject, ...]]:
    """Corners of many checks; the numbers of all are rounded at once."""
    shown = iter(six_digits_of(_of_corner(corner) for corners in checks for corner in corners))
    return (tuple(map(_corner_object, corners, shown)) for corners in checks)


def _of_corner(corner: CornerFinding) -> tuple[float | None, ...]:
    tau_s, at_degc, expected = corner.tau_s, corner.at_common_degc, corner.expected_degc
    rise_k = None if corner.rise_k is None else corner.rise_k.value
    single = (corner.start_degc, rise_k, corner.p_hot, corner.p_cold)
    return (*single, *parts_of(tau_s), *parts_of(at_degc), *(expected or (None, None)))


def _corner_object(corner: CornerFinding, shown: Figures) -> CornerObject:
    """One corner with its numbers as shown, in the order of `_of_corner`."""
    start_degc, rise_k, p_hot, p_cold, tau_s, tau_low, tau_high, at_degc, at_low, at_high, low, high = shown
    return CornerObject(
        corner=corner.corner,
        axle=corner.axle,
        side=corner.side,
        spot=corner.spot,
        readings=corner.readings,
        readings_used=corner.readings_used,
        start_degc=start_degc,
        tau_s=tau_s,
        tau_interval_s=both(tau_low, tau_high),
        at_common_degc=at_degc,
        interval_degc=both(at_low, at_high),
        rise_k=rise_k,
        p_hot=p_hot,
        p_cold=p_cold,
        verdict=corner.verdict,
        why=reason_texts(corner.reasons),
        expected_degc=both(low, high),
    )


class AxleObject(Struct, frozen=True, kw_only=True):
    """Left against right on one axle at the common time.

    Attributes
    ----------
    axle : int
        From the front.
    difference_k : float or None
        Left minus right, indicated [K].
    difference_interval_k : interval or None
        Its 95 % interval [low, high]; null if not known.
    rise_ratio : float or None
        Hotter over cooler rise; null where the cooler rise is not clearly above zero.
    rise_ratio_interval : interval or None
        Its 95 % interval [low, high]; null if not known.
    surface_difference_k : float or None
        Left minus right of the metal [K]; as indicated where an emissivity was stated and the readings
        corrected.
    surface_difference_interval_k : interval or None
        Its 95 % interval [low, high]; much wider than the indicated one where emissivities are not known.
    surface_known : bool
        True if both sides were corrected with a stated emissivity.
    verdict : Verdict
        What is said of this axle; "cannot_tell" is a result, too.
    suspect : str or None
        The odd corner; null if there is none or if it is open which side is the odd one.
    why : tuple of str
        Reasons of the verdict in words; may change.
    watch_gap_k, suspect_gap_k : float or None
        Hotter minus cooler from which both watch marks, or both suspect marks, are passed [K].
    """

    axle: AxleNumber
    difference_k: float | None
    difference_interval_k: Interval | None
    rise_ratio: float | None
    rise_ratio_interval: Interval | None
    surface_difference_k: float | None
    surface_difference_interval_k: Interval | None
    surface_known: bool
    verdict: Verdict
    suspect: CornerName | None
    why: tuple[str, ...]
    watch_gap_k: float | None = None
    suspect_gap_k: float | None = None


def axle_objects(checks: Sequence[Sequence[AxleFinding]]) -> Iterator[tuple[AxleObject, ...]]:
    """Axles of many checks; the numbers of all are rounded at once."""
    shown = iter(six_digits_of(_of_axle(axle) for axles in checks for axle in axles))
    return (tuple(map(_axle_object, axles, shown)) for axles in checks)


def _of_axle(axle: AxleFinding) -> tuple[float | None, ...]:
    gap_k, ratio, surface_k = axle.difference_k, axle.rise_ratio, axle.surface_difference_k
    return (*parts_of(gap_k), *parts_of(ratio), *parts_of(surface_k), *(axle.marks_k or (None, None)))


def _axle_object(axle: AxleFinding, shown: Figures) -> AxleObject:
    """One axle with its numbers as shown, in the order of `_of_axle`."""
    gap_k, gap_low, gap_high, ratio, low, high, surface_k, *surface, watch_k, suspect_k = shown
    return AxleObject(
        axle=axle.axle,
        difference_k=gap_k,
        difference_interval_k=both(gap_low, gap_high),
        rise_ratio=ratio,
        rise_ratio_interval=both(low, high),
        surface_difference_k=surface_k,
        surface_difference_interval_k=both(*surface),
        surface_known=axle.surface_known,
        verdict=axle.verdict,
        suspect=axle.suspect,
        why=reason_texts(axle.reasons),
        watch_gap_k=watch_k,
        suspect_gap_k=suspect_k,
    )
