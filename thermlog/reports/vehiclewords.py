"""The words of the whole vehicle at the common time: a row a corner, and its head."""

from __future__ import annotations

import math

from msgspec import Struct

from thermlog.reports.wording import (
    SIGNS,
    VERDICT_WORDS,
    Show,
    degrees,
    expected_words,
    moment,
    temperature_with_range,
)
from thermlog.words.estimates import Estimate
from thermlog.words.findings import CornerFinding, Diagnosis, Verdict
from thermlog.words.units import from_degc
from thermlog.words.vehicle import BRAKE_SPOTS, SIDES, corner_name, corner_words


class CornerRow(Struct, frozen=True, kw_only=True):
    """One corner of the vehicle, in the unit shown.

    Attributes
    ----------
    corner, name : str
        Its code, and what people call it.
    value, low, high : float or None
        Temperature at the common time with its 95 % interval; None where it is not known.
    air : float or None
        Air temperature.
    band_low, band_high : float or None
        Where a healthy brake would lie, given the others.
    verdict : Verdict
    text, expected : str
        What is written above the bar; the healthy band in words, empty without one.
    strong : bool
        True if it must be looked at.
    stops : bool
        True if something at this wheel stops the vehicle, whatever its brake reads.
    """

    corner: str
    name: str
    value: float | None
    low: float | None
    high: float | None
    air: float | None
    band_low: float | None
    band_high: float | None
    verdict: Verdict
    text: str
    expected: str
    strong: bool
    stops: bool

    def said(self, *, with_band: bool) -> str:
        """The row as a sentence."""
        band = f"; healthy {self.expected}" if with_band and self.expected else ""
        return f"{self.name}: {self.text}{band}"


def corner_rows(diagnosis: Diagnosis, show: Show, *, told: bool) -> tuple[CornerRow, ...]:
    """A row for every corner of the vehicle, from the front, left before right.

    Parameters
    ----------
    diagnosis : Diagnosis
    show : {"C", "F"}
    told : bool
        With the finding.
    """
    count = max(diagnosis.axle_count, 1)
    corners = [corner_name(axle, side) for axle in range(1, count + 1) for side in SIDES]
    return tuple(_row(diagnosis, corner, show, told=told) for corner in corners)


def brake_of(diagnosis: Diagnosis, corner: str) -> CornerFinding | None:
    """What was read at the brake of a corner; None if nothing was."""
    found = [one for one in diagnosis.corners if one.corner == corner and one.spot in BRAKE_SPOTS]
    return min(found, key=lambda one: BRAKE_SPOTS.index(one.spot), default=None)


def _row(diagnosis: Diagnosis, corner: str, show: Show, *, told: bool) -> CornerRow:
    found = brake_of(diagnosis, corner)
    level = None if found is None else found.at_common_degc
    band = None if found is None else found.expected_degc
    shown = Estimate(math.nan) if level is None else level.each(lambda value: from_degc(value, show))
    low, high = (None, None) if band is None else (from_degc(end, show) for end in band)
    verdict: Verdict = found.verdict if found else "cannot_tell"
    air = diagnosis.ambient_degc
    stops = told and any(one.corner == corner for one in diagnosis.urgent)
    return CornerRow(
        corner=corner,
        name=corner_words(corner, diagnosis.axle_count, diagnosis.called),
        value=None if level is None else shown.value,
        low=shown.low,
        high=shown.high,
        air=None if air is None else from_degc(air, show),
        band_low=low,
        band_high=high,
        verdict=verdict,
        text=_text(found, show, told=told, stops=stops),
        expected=expected_words(band, show),
        strong=stops or (told and verdict in ("hot", "cold")),
        stops=stops,
    )


def _text(found: CornerFinding | None, show: Show, *, told: bool, stops: bool) -> str:
    """Temperature and finding; beside what stops the vehicle an even brake is not said to be even."""
    stop = f"{SIGNS['urgent']} STOP" if stops else ""
    if found is None:
        return f"not read {stop}".rstrip()
    level = found.at_common_degc
    degc = "no temperature" if level is None else f"{temperature_with_range(level, show)} {degrees(show)}"
    verdict = VERDICT_WORDS[found.verdict] if told and not (stops and found.verdict == "even") else ""
    said = ", ".join(filter(None, (stop, verdict)))
    return f"{degc} {said}".rstrip()


def any_band(diagnosis: Diagnosis) -> bool:
    """True if some corner has a healthy band."""
    return any(one.expected_degc is not None for one in diagnosis.corners)


def vehicle_head(diagnosis: Diagnosis) -> str:
    """Head of the picture of the whole vehicle."""
    if diagnosis.common_time_s is None:
        return "Whole vehicle: not brought to one moment"
    return f"Whole vehicle, {moment(diagnosis)}"
