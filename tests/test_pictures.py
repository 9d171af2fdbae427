"""Drawings for a page: text that stays text, ids that never clash, nothing that a strict policy forbids."""

from __future__ import annotations

import re
from itertools import product
from xml.etree import ElementTree as ET

import pytest
from chart_samples import CANNOT_TELL, HUBS, MISSES, TRUCK, URGENT, VAN_HOT, WATCH, Story, diagnosis_of
from msgspec.structs import replace

from thermlog.charts.look import Stage, Width
from thermlog.charts.pictures import DrawingKind, svg_of
from thermlog.reports.wording import Show

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
