"""A table written in any dialect, unit, layout, time style and language reads back as the same readings."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec import Struct
from readcases import read
from test_read_fuzz import EXAMPLES

from thermlog.words.units import to_degc

# Short codes of positions.toml in the order front left, front right, rear left, rear right.
CODES = {
    "english": ("FL", "FR", "RL", "RR"),
    "numbers": ("1L", "1R", "2L", "2R"),
    "words": ("front left", "front right", "rear left", "rear right"),
    "german": ("VL", "VR", "HL", "HR"),
    "french": ("AVG", "AVD", "ARG", "ARD"),
    "spanish": ("DI", "DD", "TI", "TD"),
    "portuguese": ("DE", "DD", "TE", "TD"),
    "italian": ("AS", "AD", "PS", "PD"),
    "dutch": ("LV", "RV", "LA", "RA"),
    "nordic": ("VF", "HF", "VB", "HB"),
    "polish": ("LP", "PP", "LT", "PT"),
    "czech": ("PL", "PP", "ZL", "ZP"),
}
HEADS = {
    "english": ("time", "position", "temp"),
    "german": ("Zeit", "Rad", "Temperatur"),
    "french": ("temps", "roue", "température"),
    "spanish": ("tiempo", "rueda", "temperatura"),
    "italian": ("tempo", "ruota", "temperatura"),
    "dutch": ("tijd", "wiel", "temperatuur"),
}
UNIT_SIGNS = {"C": ("°C", "C", "degC"), "F": ("°F", "F", "degF"), "K": ("K", "kelvin", "K")}


class Style(Struct, frozen=True, kw_only=True):
    """How one table is written."""

    delimiter: str
    decimal: str
    quoted: bool
    line_end: str
    encoding: str
    unit: str
    unit_place: str
    sign: int
    layout: str
    time: str
    codes: str
    heads: str
    comments: bool
    blank_lines: bool


STYLES = st.builds(
    Style,
    delimiter=st.sampled_from([",", ";", "\t", "|"]),
    decimal=st.sampled_from([".", ","]),
    quoted=st.booleans(),
    line_end=st.sampled_from(["\n", "\r\n", "\r"]),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"]),
    unit=st.sampled_from(["C", "F", "K"]),
    unit_place=st.sampled_from(["heading", "cell", "comment", "column"]),
    sign=st.integers(0, 2),
    layout=st.sampled_from(["long", "axle and side", "wide", "paired", "rounds"]),
    time=st.sampled_from(["seconds", "minutes", "clock", "midnight", "iso"]),
    codes=st.sampled_from(sorted(CODES)),
    heads=st.sampled_from(sorted(HEADS)),
    comments=st.booleans(),
    blank_lines=st.booleans(),
)
STARTS_S = {"clock": 14 * 3600 + 190, "midnight": 24 * 3600 - 45, "iso": 14 * 3600 + 190}
CORNERS = ((1, "L"), (1, "R"), (2, "L"), (2, "R"))


@st.composite
def rounds_of_readings(draw) -> list[list[tuple[int, float]]]:
    """Rounds of four readings: seconds since the first, and tenths of a degree in the unit written."""
    count = draw(st.integers(2, 4))
    steps = draw(st.lists(st.integers(1, 9), min_size=4 * count, max_size=4 * count))
    tenths = draw(st.lists(st.integers(2200, 5990), min_size=4 * count, max_size=4 * count))
    elapsed, rows = 0, []
    for turn in range(count):
        row = []
        for place in range(4):
            row.append((elapsed, tenths[4 * turn + place] / 10))
            elapsed += 6 * steps[4 * turn + place]
        rows.append(row)
    return rows


def number_text(value: float, style: Style) -> str:
    return f"{value:.1f}".replace(".", style.decimal)


def time_text(elapsed_s: int, style: Style) -> str:
    if style.time == "seconds":
        return str(elapsed_s)
    if style.time == "minutes":
        return number_text(elapsed_s / 60, style)
    at = (STARTS_S[style.time] + elapsed_s) % 86400
    clock = f"{at // 3600:02d}:{at // 60 % 60:02d}:{at % 60:02d}"
    return f"2031-05-04T{clock}" if style.time == "iso" else clock


def temp_text(value: float, style: Style) -> str:
    text = number_text(value, style)
    return f"{text} {UNIT_SIGNS[style.unit][style.sign]}" if style.unit_place == "cell" else text


def with_unit(heading: str, style: Style) -> str:
    return f"{heading} ({UNIT_SIGNS[style.unit][style.sign]})" if style.unit_place == "heading" else heading


def table(rounds: list[list[tuple[int, float]]], style: Style) -> list[list[str]]:
    """Cells of the table, header first."""
    time, position, temp = HEADS[style.heads]
    time += {"seconds": " (s)", "minutes": " (min)"}.get(style.time, "")
    codes = CODES[style.codes]
    unit = ["unit"] if style.unit_place == "column" else []
    sign = [UNIT_SIGNS[style.unit][style.sign]] if unit else []
    if style.layout == "wide":
        head = [time, *(with_unit(code, style) for code in codes), *unit]
        return [head] + [
            [time_text(r[0][0], style), *(temp_text(v, style) for _, v in r), *sign] for r in rounds
        ]
    if style.layout == "paired":
        head = [cell for code in codes for cell in (f"{code} {time}", with_unit(code, style))] + unit
        return [head] + [
            [c for t, v in r for c in (time_text(t, style), temp_text(v, style))] + sign for r in rounds
        ]
    if style.layout == "rounds":
        after = {"seconds": " s", "minutes": " min"}.get(style.time, "")
        moments = [with_unit(time_text(r[0][0], style) + after, style) for r in rounds]
        body = [[code, *(temp_text(r[k][1], style) for r in rounds), *sign] for k, code in enumerate(codes)]
        return [[position, *moments, *unit], *body]
    if style.layout == "axle and side":
        head = [time, "axle", "side", with_unit(temp, style), *unit]
        where = [[str(axle), side] for axle, side in CORNERS]
    else:
        head = [time, position, with_unit(temp, style), *unit]
        where = [[code] for code in codes]
    rows = [
        [time_text(t, style), *where[k], temp_text(v, style), *sign]
        for r in rounds
        for k, (t, v) in enumerate(r)
    ]
    return [head, *rows]


def written(rows: list[list[str]], style: Style) -> bytes:
    must_quote = style.quoted or (style.delimiter == "," and style.decimal == ",")

    def cell(text: str) -> str:
        return '"' + text.replace('"', '""') + '"' if must_quote else text

    lines = [style.delimiter.join(map(cell, row)) for row in rows]
    if style.blank_lines:
        lines = [line for row in lines for line in (row, "")]
    head = ["# ambient: 18 C", "# vehicle: van 7"] if style.comments else []
    if style.unit_place == "comment":
        head.append(f"# unit: {style.unit}")
    return style.line_end.join([*head, *lines, ""]).encode(style.encoding)


def expected(rounds: list[list[tuple[int, float]]], style: Style) -> list[tuple[float, int, str, float]]:
    one_time = style.layout in {"wide", "rounds"}
    return sorted(
        (r[0][0] if one_time else t, *CORNERS[k], to_degc(v, style.unit))
        for r in rounds
        for k, (t, v) in enumerate(r)
    )


@settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))
@given(rounds_of_readings(), STYLES)
def test_any_table_reads_back_identical(rounds: list[list[tuple[int, float]]], style: Style) -> None:
    found = read(written(table(rounds, style), style))

    readings = found.readings
    columns = (readings.elapsed_s, readings.axle, readings.side, readings.indicated_degc)
    rows = zip(*(column.tolist() for column in columns), strict=True)
    seen = sorted((t, axle, "LR"[side], degc) for t, axle, side, degc in rows)
    want = expected(rounds, style)
    # minutes are written with one decimal and times 60: exact to float64 rounding
    assert [row[1:3] for row in seen] == [row[1:3] for row in want]
    assert [row[0] for row in seen] == pytest.approx([row[0] for row in want], abs=1e-9)
    assert [row[3] for row in seen] == pytest.approx([row[3] for row in want], abs=1e-9)
    assert found.record.set_aside == ()
    assert found.record.rows_read == 4 * len(rounds)
    if style.comments:
        assert found.readings.cases[0].ambient_degc == 18.0
        assert found.readings.cases[0].vehicle == "van 7"
