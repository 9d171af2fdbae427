"""No search ends with "no fault" once a check of the card of a fault had the answer that confirms it.

What a careful technician accepts, written down before: air that stays at the chamber and not ahead of its
hose is a hose, even if the wheel turned freely once it had bled off. Fitting nothing is no ending then.
"""

from __future__ import annotations

import pytest
from test_narrow_dead import of_kind
from test_narrow_settles import told

from thermlog.advice.choosing import choose

SOUND = (
    "rod_home=home", "job_before_other=nothing", "on_stands=yes", "spin_hot=free", "tyre_read=alike",
    "chamber_match=alike", "read_once_more=comes_back", "bearing_spin=smooth", "tyre_look=like_mate",
    "lets_go_air=at_once", "feel_noise=none", "stood=in_use", "visual=nothing_seen", "lamp=dark",
    "pull=no_pull", "pulsation=smooth", "frees_cold=free", "when_drags=after_braking",
    "foot_or_assist=no", "hose_look=sound", "stroke=within_limit", "th_hub=hub_not_odd", "parts_match=alike",
    "wear_mate=alike",
)  # fmt: skip


@pytest.mark.parametrize(("at_chamber", "ending"), [("zero", "no_fault"), ("air_left", "contradiction")])
def test_a_hose_found_between_two_gauges_is_no_sound_wheel(at_chamber, ending):
    search = told(of_kind("air_drum_scam", "corner_hot", "1R"), *SOUND)
    search = told(search, f"gauge_chamber={at_chamber}", "gauge_modulator=zero")
    choice = choose(search)
    while choice.asked is not None:  # what is asked once more shows the same
        key = choice.asked.key
        if not key.endswith("_again"):
            break
        search = told(search, f"{key}={search.told[key.removesuffix('_again')]}")
        choice = choose(search)
    assert choice.ending == ending, choice.asked and choice.asked.key
