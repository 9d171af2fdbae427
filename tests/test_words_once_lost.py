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
    "no servo", "brake pedal hard", "spongy", "LR lining came away in bits",
]  # fmt: skip
CLEARED = [
    "handbrake off", "parking brake fully off", "drove out with handbrake off", "steering harder to turn",
    "van held back at the depot", "heater never gets warm", "trims off before reading",
    "all read at the discs", "pulled over on the left", "pulled up straight", "servo ok", "hub cap lost",
    "tyre pressures are 2 bar",
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
