"""Nobody's hands at the moving parts of an air brake while its springs are known not to be held off.

What a careful technician accepts, written down before: with the dash gauge low, or low pressure at the spring
port, the springs press. The air is found first; a caliper that is clamped tells nothing of clearance or pins.
"""

from __future__ import annotations

import pytest
from test_narrow_dead import may_ask, of_kind
from test_narrow_settles import told

BEFORE = (
    "leak_spring=tight", "rod_home=home", "visual=nothing_seen", "on_stands=yes", "spin_hot=drags_evenly",
    "read_once_more=comes_back", "lets_go_air=stays_on",
)  # fmt: skip
DISC = ("pins_slide_air", "tappets_back", "disc_backed_off", "running_clearance")
CASES = [*(("air_disc", key) for key in DISC), ("air_drum_scam", "adjuster_backed_off_air")]


def may_be_asked(kind: str, key: str, *answers: str) -> bool:
    search = of_kind(kind, "corner_hot", "2L")
    return may_ask(told(search, *answers), key)


@pytest.mark.parametrize(("kind", "key"), CASES)
def test_with_the_springs_held_off_it_may_be_asked(kind, key):
    assert may_be_asked(kind, key, "pb_state_air=full", *BEFORE)


@pytest.mark.parametrize("low", [("pb_state_air=low",), ("pb_state_air=full", "hold_off=low")])
@pytest.mark.parametrize(("kind", "key"), CASES)
def test_with_low_hold_off_it_is_not(kind, key, low):
    assert not may_be_asked(kind, key, *low, *BEFORE)


@pytest.mark.parametrize(("kind", "key"), CASES)
def test_once_the_gauge_was_read_again_and_is_full_it_is(kind, key):
    assert may_be_asked(kind, key, "pb_state_air=low", *BEFORE, "pb_state_air_again=full")
