"""Words above a table that were plain notes beside "Keep this log", though no careful reader would keep it.

What stands in the second list says nothing of the brakes, and clears as before.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from test_trade_words import BARE, PLACES

# A parking brake partly on, a brake that turns hard or does nothing, heat that never comes, readings of
# another part, a pull, a pedal, what fell apart.
NOT_CLEARED = [
    "handbrake left half on", "parking brake not fully off", "forgot handbrake on for first mile",
    "LR jacked up, turns stiff", "LR harder to turn than RR",
    "engine would not rev, felt held back", "rear brakes do nothing", "LR never gets warm",
    "read through wheel trims", "readings taken through wheel covers", "these are rim temperatures",
    "readings are of the tyres", "read the hubs not the drums", "measured outside face of tyre",
    "read after wash", "pulled hard to the left under braking", "car slews left when braking",
    "towing a caravan, not read", "trailer on, brakes not checked", "rear brakes not read",
    "taken before the drive", "drive: none", "drive: towed", "drive: 0 km", "drive: standing",
    "no servo", "brake pedal hard", "spongy", "LR lining came away in bits",
]  # fmt: skip
CLEARED = [
    "handbrake off", "parking brake fully off", "drove out with handbrake off", "steering harder to turn",
    "van held back at the depot", "heater never gets warm", "trims off before reading",
    "all read at the discs", "pulled over on the left", "pulled up straight", "servo ok", "hub cap lost",
    "tyre pressures are 2 bar", "tyre pressures not checked", "trailer lights not checked",
    "fuel filled before the drive", "drive: normal", "drive: tuesday", "no drive problems",
]  # fmt: skip


def answered(thermlog, text):
    Path("a.csv").write_text(text, encoding="utf-8")
    told = json.loads(thermlog("check", "a.csv", "--format", "json").out)["answers"]
    return {told[one]["answer"] for one in ("drag", "idle")}


@pytest.mark.parametrize("words", NOT_CLEARED)
def test_beside_it_not_everything_is_cleared(thermlog, words):
    assert "cannot_tell" in answered(thermlog, PLACES["above"](words))


@pytest.mark.parametrize("words", CLEARED)
def test_beside_other_words_it_is(thermlog, words):
    assert answered(thermlog, PLACES["above"](words)) == {"no"}
    assert answered(thermlog, BARE) == {"no"}


@pytest.mark.parametrize("line", ["LR 300 C", "LR 300C", "LR 572 F"])
def test_a_line_of_a_wheel_and_its_heat_stops_the_vehicle(thermlog, line):
    """It fits no row of the table; 300 °C is the stop line."""
    Path("a.csv").write_text(f"{BARE}{line}\n", encoding="utf-8")
    told = json.loads(thermlog("check", "a.csv", "--format", "json").out)
    assert told["answers"]["drag"]["answer"] == "cannot_tell"
    assert [one["corner"] for one in told["urgent"]] == ["2L"]
