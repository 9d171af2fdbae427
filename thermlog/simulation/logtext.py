"""Readings back to the text of a log, as a technician would have written it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Literal

import numpy as np
from msgspec import Struct

from thermlog.words.moments import DAY_S
from thermlog.words.tables import Case, Ints, Readings
from thermlog.words.units import Unit, from_degc
from thermlog.words.vehicle import SPOTS, Vehicle


class LogStyle(Struct, frozen=True, kw_only=True):
    """How a log is written.

    Attributes
    ----------
    unit : {"C", "F", "K"}
        Of all temperatures.
    layout : {"long", "wide"}
        A row a reading, or a column a corner and a row a round, timed at the middle of the round.
    delimiter, decimal : str
        Between cells; inside numbers.
    stopped : str or None
        Clock time ``"HH:MM:SS"`` at which the wheels stopped: readings then carry clock times. None: seconds.
    words : mapping
        Corner -> position word; canonical corners where none is given.
    spots : bool
        True for a column that tells the spot, in a long layout.
    emissivities : bool
        True for a column that tells the emissivity of the surface, in a long layout.
    exact : bool
        True for all significant digits: seconds and temperatures as they were read, not as a gun shows them.
    """

    unit: Unit = "C"
    layout: Literal["long", "wide"] = "long"
    delimiter: str = ","
    decimal: str = "."
    stopped: str | None = None
    words: Mapping[str, str] | None = None
    spots: bool = False
    emissivities: bool = False
    exact: bool = False

    def number(self, value: float, digits: int = 1) -> str:
        """Write a number with this style's decimal mark."""
        return f"{value:.{digits}f}".replace(".", self.decimal)

    def temperature(self, value_degc: float) -> str:
        """Write a temperature in this style's unit, one decimal."""
        value = from_degc(value_degc, self.unit)
        return f"{value:.12g}".replace(".", self.decimal) if self.exact else self.number(value)

    def position(self, corner: str) -> str:
        """Write a corner in this style's words."""
        return (self.words or {}).get(corner, corner)

    def moment(self, elapsed_s: float) -> str:
        """Write a time in seconds, or by the clock."""
        if self.stopped is None:
            return f"{elapsed_s:.12g}" if self.exact else f"{elapsed_s:.0f}"
        hours, minutes, seconds = (int(part) for part in self.stopped.split(":"))
        clock_s = (3600 * hours + 60 * minutes + seconds + round(elapsed_s)) % int(DAY_S)
        return f"{clock_s // 3600:02d}:{clock_s // 60 % 60:02d}:{clock_s % 60:02d}"


def log_text(
    readings: Readings,
    cases: Sequence[int] = (0,),
    *,
    style: LogStyle | None = None,
    remarks: Sequence[str] = (),
) -> str:
    """Write cases of one vehicle as the text of one log.

    Parameters
    ----------
    readings : Readings
        Simulated or read. Clock times need ``parked_known``.
    cases : sequence of int
        Which of its cases, in order; several are the drives of one vehicle and need a long layout.
    style : LogStyle, optional
        Default: long, commas, °C, seconds.
    remarks : sequence of str
        Comment lines above all others, without their mark.

    Returns
    -------
    str
        Lines end in a line feed.

    Raises
    ------
    ValueError
        Several cases in a wide layout, or with clock times.
    """
    style = style or LogStyle()
    if len(cases) > 1 and (style.layout == "wide" or style.stopped is not None):
        msg = "several drives in one log need a long layout and elapsed seconds"
        raise ValueError(msg)
    picked = [readings.cases[k] for k in cases]
    comments = [*remarks, *_statements(picked, style)]
    rows = (
        _wide_rows(readings, cases[0], style)
        if style.layout == "wide"
        else _long_rows(readings, cases, style)
    )
    lines = [f"# {comment}" for comment in comments] + [style.delimiter.join(row) for row in rows]
    return "\n".join(lines) + "\n"


def _statements(cases: Sequence[Case], style: LogStyle) -> Iterator[str]:
    """Statements that hold for the whole log."""
    first = cases[0]
    if first.vehicle is not None:
        yield f"vehicle: {first.vehicle}"
    if first.description is not None:
        yield from description_lines(first.description, style)
    if first.drive is not None and len(cases) == 1:
        yield f"drive: {first.drive}"
    if first.ambient_degc is not None and _one_ambient(cases):
        yield f"ambient: {style.temperature(first.ambient_degc)} {style.unit}"
    if style.stopped is not None:
        yield f"parked: {style.stopped}"


def description_lines(vehicle: Vehicle, style: LogStyle) -> Iterator[str]:
    """Header statements that describe a vehicle, without their mark."""
    yield f"weight: {vehicle.weight_class}"
    yield f"axles: {' '.join(axle.role for axle in vehicle.axles)}"
    if all(axle.brake for axle in vehicle.axles):
        yield f"brakes: {' '.join(str(axle.fitted or axle.brake) for axle in vehicle.axles)}"
    if vehicle.split != "unknown":
        yield f"split: {vehicle.split.replace('_', ' ')}"
    parking = [str(k) for k, axle in enumerate(vehicle.axles, start=1) if axle.parking_brake]
    if parking:
        yield f"parking brake: {' '.join(parking)}"
    if vehicle.regenerative:
        yield "regenerative: yes"
    yield f"tyre radius: {style.number(vehicle.tyre_radius_m, 2)} m"


def _one_ambient(cases: Sequence[Case]) -> bool:
    return len({case.ambient_degc for case in cases}) == 1


def _time_name(case: Case, style: LogStyle) -> str:
    if style.stopped is not None:
        return "time"
    return "since_parked_s" if case.parked_known else "elapsed_s"


def _rows_of(readings: Readings, case: int) -> Ints:
    return np.flatnonzero(readings.case == case)


def _long_rows(readings: Readings, cases: Sequence[int], style: LogStyle) -> Iterator[list[str]]:
    several = len(cases) > 1
    ambients = not _one_ambient([readings.cases[k] for k in cases])
    unit = style.unit.lower()
    wanted = [
        (several, "drive"),
        (True, _time_name(readings.cases[cases[0]], style)),
        (True, "position"),
        (style.spots, "spot"),
        (style.emissivities, "emissivity"),
        (True, f"temp_{unit}"),
        (ambients, f"ambient_{unit}"),
    ]
    yield [name for keep, name in wanted if keep]
    for case in cases:
        ambient_degc = readings.cases[case].ambient_degc
        for row in _rows_of(readings, case):
            cells = (
                readings.cases[case].drive or "",
                style.moment(float(readings.elapsed_s[row])),
                style.position(readings.corner(row)),
                SPOTS[readings.spot[row]],
                style.number(float(readings.emissivity[row]), 2),
                style.temperature(float(readings.indicated_degc[row])),
                "" if ambient_degc is None else style.temperature(ambient_degc),
            )
            yield [cell for cell, (keep, _) in zip(cells, wanted, strict=True) if keep]


def _wide_rows(readings: Readings, case: int, style: LogStyle) -> Iterator[list[str]]:
    rows = _rows_of(readings, case)
    corners = sorted({readings.corner(row) for row in rows})
    yield [
        _time_name(readings.cases[case], style),
        *(f"{style.position(corner)} ({style.unit})" for corner in corners),
    ]
    for walk in _rounds(readings, rows):
        middle_s = float(np.mean([readings.elapsed_s[row] for row in walk.values()]))
        cells = (
            style.temperature(float(readings.indicated_degc[walk[corner]])) if corner in walk else ""
            for corner in corners
        )
        yield [style.moment(middle_s), *cells]


def _rounds(readings: Readings, rows: Ints) -> Iterator[dict[str, int]]:
    """Readings of each round: a corner read again begins the next."""
    walk: dict[str, int] = {}
    for row in rows:
        corner = readings.corner(row)
        if corner in walk:
            yield walk
            walk = {}
        walk[corner] = int(row)
    if walk:
        yield walk
