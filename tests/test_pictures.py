"""Drawings for a page: text that stays text, ids that never clash, nothing that a strict policy forbids."""

from __future__ import annotations

import json
import re
from itertools import product
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from chart_samples import (
    CANNOT_TELL,
    COMMON_S,
    HUBS,
    MISSES,
    TRUCK,
    URGENT,
    VAN_HOT,
    WATCH,
    Story,
    diagnosis_of,
)
from judgecases import tell
from matplotlib.figure import Figure
from matplotlib.patches import Patch
from msgspec.structs import replace

from thermlog.charts.chart import figure_of
from thermlog.charts.look import Stage, Width
from thermlog.charts.pictures import DrawingKind, svg_of
from thermlog.charts.vehiclebars import vehicle_figure
from thermlog.judging.diagnose import judge
from thermlog.judging.settings import Settings
from thermlog.reading.read import read_log
from thermlog.reports.report_json import check_text
from thermlog.reports.report_text import report
from thermlog.reports.vehiclewords import corner_rows
from thermlog.reports.wording import Show
from thermlog.words.findings import Urgent
from thermlog.words.units import from_degc

SVG = "{http://www.w3.org/2000/svg}"
STORIES = {
    "hot": VAN_HOT,
    "truck": TRUCK,
    "hubs": HUBS,
    "watch": WATCH,
    "urgent": URGENT,
    "untold": CANNOT_TELL,
}
KINDS: tuple[DrawingKind, ...] = ("cooling", "vehicle")
NEUTRAL: tuple[Stage, ...] = ("points", "curve")


def read(svg: str) -> ET.Element:
    return ET.fromstring(svg)  # noqa: S314 (our own)


def texts(svg: str) -> list[str]:
    return ["".join(found.itertext()) for found in read(svg).iter(f"{SVG}text")]


def ids(svg: str) -> list[str]:
    return re.findall(r' id="([^"]*)"', svg)


@pytest.mark.parametrize("story", STORIES.values(), ids=STORIES)
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("width", ["wide", "narrow"])
def test_a_drawing_can_stand_in_a_strict_page(story: Story, kind: DrawingKind, width: Width) -> None:
    svg = svg_of(diagnosis_of(story), kind, width=width)
    root = read(svg)
    assert svg.startswith("<svg")
    assert root.get("role") == "img"
    assert root.get("direction") == "ltr"
    assert root.get("viewBox")
    assert root.get("width") is None
    assert not re.search(r"\sstyle=|<style|<script|xlink|https?://(?!www\.w3\.org/2000/svg)", svg)
    named = {root.get("aria-labelledby"), root.get("aria-describedby")}
    assert named <= set(ids(svg))
    assert texts(svg)  # text stays text
    assert len(svg) < 120_000


@pytest.mark.parametrize("kind", KINDS)
def test_ids_never_clash_and_every_reference_is_met(kind: DrawingKind) -> None:
    shows: tuple[Show, ...] = ("C", "F")
    widths: tuple[Width, ...] = ("wide", "narrow")
    drawings = [
        svg_of(diagnosis_of(story), kind, width=width, show=show)
        for story, width, show in product((VAN_HOT, TRUCK, MISSES), widths, shows)
    ]
    every = [name for svg in drawings for name in ids(svg)]
    assert len(every) == len(set(every))
    for svg in drawings:
        asked = re.findall(r'(?:url\(#|href="#)([^")]+)', svg)
        assert set(asked) <= set(ids(svg))


def test_a_key_of_ones_own_begins_every_id() -> None:
    svg = svg_of(diagnosis_of(VAN_HOT), "cooling", key="front")
    assert all(name.startswith("front-") for name in ids(svg))
    assert "front-title" in ids(svg)


@pytest.mark.parametrize("kind", KINDS)
def test_the_same_case_gives_the_same_text(kind: DrawingKind) -> None:
    assert svg_of(diagnosis_of(WATCH), kind) == svg_of(diagnosis_of(WATCH), kind)


@pytest.mark.parametrize("story", STORIES.values(), ids=STORIES)
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("stage", NEUTRAL)
def test_a_neutral_drawing_tells_nothing_of_the_finding(
    story: Story, kind: DrawingKind, stage: Stage
) -> None:
    """The same heat gives the same neutral drawing, whatever was found, watched or urgent."""
    plain = replace(story, odd=(), watched=(), urgent=(), kind="none")
    named = replace(story, file="front left hot.csv", vehicle="the van whose left front drags")
    assert svg_of(diagnosis_of(named), kind, stage=stage) == svg_of(diagnosis_of(plain), kind, stage=stage)


def test_one_axle_alone() -> None:
    said = texts(svg_of(diagnosis_of(VAN_HOT), "cooling", axles=(2,)))
    assert any(text.startswith("Rear") for text in said)
    assert not any(text.startswith("Front") for text in said)


@pytest.mark.parametrize(
    "nasty", ["<script>alert(1)</script>", '"><b>', "a & b", "x" * 10_000, "\u202eright"]
)
def test_hostile_names_stay_text(nasty: str) -> None:
    svg = svg_of(diagnosis_of(replace(VAN_HOT, vehicle=nasty, file=nasty)), "cooling")
    assert "<script" not in svg
    assert "\u202e" not in svg
    assert not list(read(svg).iter("b"))


def shown(svg: str) -> str:
    """All texts of a drawing in a row; lines that were broken are whole again."""
    return " ".join(texts(svg))


@pytest.mark.parametrize("show", ["C", "F"])
@pytest.mark.parametrize("name", ["van_front_left_hot", "bus_rear_axle_hot", "hatchback_wide"])
def test_picture_text_and_json_give_the_same_numbers(name: str, show: Show) -> None:
    """Bands and temperatures of a sample, read back from the SVG, the text and the JSON."""
    root = Path(__file__).parent.parent / "sample_logs" / f"{name}.csv"
    judged = judge(read_log(str(root)).readings, Settings())
    found = tell(judged, 0, curves=True)
    said = json.loads(check_text([found], as_list=False))
    text = report(found, judged.policies[0], show=show)
    cooling, vehicle = (svg_of(found, kind, show=show) for kind in KINDS)
    described = read(vehicle).findtext(f"{SVG}desc") or ""
    for corner in said["corners"]:
        low, high = (f"{from_degc(end, show):.0f}" for end in corner["expected_degc"])
        band = f"{low} to {high} °{show}"
        assert f"healthy {band}" in described
        assert f"{low} to {high}" in text
        level = f"{from_degc(corner['at_common_degc'], show):.0f} ±"
        assert level in shown(vehicle)
        assert level in text
    bands = re.findall(r"hatched: a healthy (left|right) here, (-?\d+) to (-?\d+) °", shown(cooling))
    sides = {"L": "left", "R": "right"}
    known = {
        (sides[one["side"]], *(f"{from_degc(end, show):.0f}" for end in one["expected_degc"]))
        for one in said["corners"]
    }
    assert len(bands) == len(said["axles"])
    assert set(bands) <= known


def test_a_band_is_drawn_where_its_numbers_say() -> None:
    """The edges of the hatched band at the common time, read back from the paths of the SVG by their axis."""
    found = diagnosis_of(VAN_HOT)
    figure = figure_of(found)
    low, high = (
        float(
            np.interp(
                COMMON_S / 60.0,
                *next(
                    line for line in figure.axes[0].get_lines() if line.get_label() == f"1L healthy {end}"
                ).get_data(),
            )
        )
        for end in ("low", "high")
    )
    assert (low, high) == pytest.approx(found.corner("1L").expected_degc, abs=0.1)
    svg = svg_of(found, "cooling", key="van")
    assert 'id="van-healthy-1L"' in svg


def bars(figure: Figure) -> dict[str, Patch]:
    """Bars of the whole vehicle by corner."""
    found = {str(one.get_label()): one for one in figure.axes[0].patches}
    return {label.split()[0]: one for label, one in found.items() if label.endswith(" bar")}


def test_the_wheel_that_stops_the_vehicle_is_marked_so_among_all_wheels() -> None:
    """Smoke at the rear right, a brake past its line at the front left: both read as even brakes do."""
    found = diagnosis_of(URGENT)
    rows = {row.corner: row for row in corner_rows(found, "C", told=True)}
    described = read(svg_of(found, "vehicle")).findtext(f"{SVG}desc") or ""
    for corner, name in (("2R", "Rear right"), ("1L", "Front left")):
        assert rows[corner].text.endswith("°C !! STOP")
        assert rows[corner].strong
        assert f"{name}: {rows[corner].text}" in described
    assert rows["1R"].text.endswith("°C = even")
    drawn = bars(vehicle_figure(found))
    assert drawn["2R"].get_linewidth() > 2.0 * drawn["1R"].get_linewidth()
    assert drawn["2R"].get_edgecolor() == drawn["1L"].get_edgecolor() != drawn["1R"].get_edgecolor()
    for row in corner_rows(found, "C", told=False):  # nothing of the finding
        assert "STOP" not in row.text
        assert not row.strong


def test_a_hot_or_cold_brake_that_stops_the_vehicle_is_said_to_be_both() -> None:
    found = diagnosis_of(replace(VAN_HOT, urgent=(Urgent(code="smoke", corner="1L"),)))
    (row,) = [row for row in corner_rows(found, "C", told=True) if row.corner == "1L"]
    assert row.text.endswith("!! STOP, + HOT")
    missing = replace(VAN_HOT, rises_k={"1L": 150.0, "2R": 55.0, "2L": 57.0}, urgent=row_urgent("1R"))
    (row,) = [row for row in corner_rows(diagnosis_of(missing), "C", told=True) if row.corner == "1R"]
    assert row.text == "not read !! STOP"


def row_urgent(corner: str) -> tuple[Urgent, ...]:
    return (Urgent(code="smoke", corner=corner),)


def test_without_air_a_temperature_is_a_point_with_its_interval_and_no_bar() -> None:
    """A bar would begin anywhere, and its length say that one brake is several times another."""
    labels = {}
    for known in (True, False):
        figure = vehicle_figure(diagnosis_of(replace(VAN_HOT, ambient_known=known)))
        labels[known] = {str(one.get_label()) for one in figure.axes[0].get_lines()}
        assert len(bars(figure)) == (4 if known else 0)
        hot, even = (
            next(one for one in figure.axes[0].get_lines() if one.get_label() == f"{corner} interval")
            for corner in ("1L", "1R")
        )
        assert (hot.get_color() != even.get_color()) is not known
    for corner in ("1L", "1R", "2L", "2R"):
        assert {f"{corner} temperature", f"{corner} interval"} <= labels[False]
    assert "ambient" in labels[True] - labels[False]
