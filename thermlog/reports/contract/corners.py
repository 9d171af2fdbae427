"""Corners and axles as JSON tells them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

from thermlog.reports.contract.jsonnumbers import (
    ends_columns,
    in_turn,
    intervals_of,
    parts_of,
    records,
    six_digits_of,
)
from thermlog.reports.wording import reason_texts
from thermlog.words.bounds import AxleNumber, CornerName, Count, Share
from thermlog.words.estimates import Interval
from thermlog.words.findings import AxleFinding, Diagnosis, Verdict
from thermlog.words.vehicle import Side, Spot, own_words


class CornerObject(Struct, frozen=True):
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
        What is said of this corner; "cannot_tell" is a result, too. A part that stops the vehicle is "hot", a
        brake of which nothing else is said that does is "watch".
    why : tuple of str
        Reasons of the verdict in words; may change.
    expected_degc : interval or None
        Where 95 % of healthy brakes here would read at common_time_s, given the other brakes [°C]; null
        without an air temperature, without another brake, and for what is no brake.
    in_log : str or None
        What the log calls this corner, where results call it otherwise.
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
    in_log: str | None = None


def corner_objects(diagnoses: Sequence[Diagnosis]) -> Iterator[tuple[CornerObject, ...]]:
    """Corners of many checks, column by column."""
    checks = [one.corners for one in diagnoses]
    every = [corner for corners in checks for corner in corners]
    start_degc, rise_k, p_hot, p_cold, tau_s, tau_low, tau_high, at_degc, at_low, at_high, low, high = (
        six_digits_of(
            [
                [one.start_degc for one in every],
                [None if one.rise_k is None else one.rise_k.value for one in every],
                [one.p_hot for one in every],
                [one.p_cold for one in every],
                *parts_of([one.tau_s for one in every]),
                *parts_of([one.at_common_degc for one in every]),
                *ends_columns([one.expected_degc for one in every]),
            ]
        )
    )
    columns: dict[str, Iterable[object]] = {
        "corner": [one.corner for one in every],
        "axle": [one.axle for one in every],
        "side": [one.side for one in every],
        "spot": [one.spot for one in every],
        "readings": [one.readings for one in every],
        "readings_used": [one.readings_used for one in every],
        "start_degc": start_degc,
        "tau_s": tau_s,
        "tau_interval_s": intervals_of(tau_low, tau_high),
        "at_common_degc": at_degc,
        "interval_degc": intervals_of(at_low, at_high),
        "rise_k": rise_k,
        "p_hot": p_hot,
        "p_cold": p_cold,
        "verdict": [one.verdict for one in every],
        "why": [reason_texts(one.reasons) for one in every],
        "expected_degc": intervals_of(low, high),
        "in_log": [words for one in diagnoses for words in _in_log(one)],
    }
    return in_turn(records(CornerObject, columns), checks)


def _in_log(told: Diagnosis) -> list[str | None]:
    if not told.called:  # as most logs
        return [None] * len(told.corners)
    return [own_words(one.corner, told.axle_count, told.called) or None for one in told.corners]


class AxleObject(Struct, frozen=True):
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
    """Axles of many checks, column by column."""
    every = [axle for axles in checks for axle in axles]
    gap_k, gap_low, gap_high, ratio, low, high, surface_k, surface_low, surface_high, watch_k, suspect_k = (
        six_digits_of(
            [
                *parts_of([one.difference_k for one in every]),
                *parts_of([one.rise_ratio for one in every]),
                *parts_of([one.surface_difference_k for one in every]),
                *ends_columns([one.marks_k for one in every]),
            ]
        )
    )
    columns: dict[str, Iterable[object]] = {
        "axle": [one.axle for one in every],
        "difference_k": gap_k,
        "difference_interval_k": intervals_of(gap_low, gap_high),
        "rise_ratio": ratio,
        "rise_ratio_interval": intervals_of(low, high),
        "surface_difference_k": surface_k,
        "surface_difference_interval_k": intervals_of(surface_low, surface_high),
        "surface_known": [one.surface_known for one in every],
        "verdict": [one.verdict for one in every],
        "suspect": [one.suspect for one in every],
        "why": [reason_texts(one.reasons) for one in every],
        "watch_gap_k": watch_k,
        "suspect_gap_k": suspect_k,
    }
    return in_turn(records(AxleObject, columns), checks)
