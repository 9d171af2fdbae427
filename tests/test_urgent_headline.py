"""Beside what stops the vehicle the last lines say nothing is in order; what is left to tell stays."""

from __future__ import annotations

from pathlib import Path

import pytest
from logs import DRAGGING_K, HEALTHY_K, log_text

HUBS = "corner,since_parked_s,temp_c,spot\n" + "".join(
    f"{corner},{30 + 240 * turn + 20 * place},{degc - 8 * turn},{spot}\n"
    for turn in range(3)
    for place, (corner, degc, spot) in enumerate(
        (
            ("1L", 110, ""),
            ("1R", 108, ""),
            ("2L", 72, ""),
            ("2R", 70, ""),
            ("2L", 135, "hub"),
            ("2R", 45, "hub"),
        )
    )
)


def last_lines(thermlog, text: str) -> dict[str, str]:
    Path("log.csv").write_text(text)
    lines = thermlog("check", "log.csv", "--quiet").out.splitlines()
    return {line.split()[0]: line for line in lines}


@pytest.mark.parametrize(
    ("seen", "finding"),
    [
        ("smell", "FINDING   !! STOP DRIVING: smell noticed"),
        ("smell at 1L", "FINDING   !! STOP DRIVING: smell noticed at front left"),
        ("smoke at 1L", "FINDING   !! STOP DRIVING: smoke seen at front left"),
    ],
)
def test_even_brakes_beside_something_urgent_are_not_called_in_order(thermlog, seen, finding):
    assert last_lines(thermlog, f"# seen: {seen}\n{log_text(HEALTHY_K)}")["FINDING"] == finding


def test_what_is_left_to_tell_stays_without_what_is_in_order(thermlog):
    """Not urgent: front left drags, "every brake read does its part" or not; urgent: only what is open."""
    drags = last_lines(thermlog, log_text(DRAGGING_K))["FINDING"]
    urgent = last_lines(thermlog, "# seen: smell\n" + log_text(DRAGGING_K))["FINDING"]
    assert "rear right drags; every brake read does its part" in drags
    assert urgent == "FINDING   !! STOP DRIVING: smell noticed; + rear right drags"


def test_the_bearing_of_a_hot_hub_stands_in_the_last_lines(thermlog):
    lines = last_lines(thermlog, "# ambient: 18 C\n" + HUBS)
    assert lines["FINDING"].startswith("FINDING   !! STOP DRIVING: hub rear left 135 °C")
    assert "The bearing of rear left is checked before the vehicle moves again" in lines["CAUTION"]


def test_a_reading_no_stated_surface_can_show_still_stops_the_vehicle(thermlog):
    """A surface that shines less than a black one is hotter than it shows: 400 °C shown is at least that."""
    corners = {"1L": (400, 0.1), "1R": (45, 0.1), "2L": (61, 0.9), "2R": (60, 0.9)}
    rows = "".join(
        f"{corner},{20 * place + 120 * turn},{degc - turn},{emissivity}\n"
        for turn in (0, 1)
        for place, (corner, (degc, emissivity)) in enumerate(corners.items(), start=1)
    )
    finding = last_lines(thermlog, f"# ambient: 18 C\ncorner,since_parked_s,temp_c,emissivity\n{rows}")[
        "FINDING"
    ]
    assert finding.startswith("FINDING   !! STOP DRIVING: brake front left 400 °C")
    assert 'front left was set aside ("400"): it counts as not read' in finding
