"""Facts of the trade, each common practice, no source: rows, ranking and texts agree with every one."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

import pytest
from advicecases import AIR_DISC_BUS, CAR, HEAVY_DRUMS, LIGHT_TRAILER, log_evidence
from msgspec.structs import replace

from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.situations import situation_of
from thermlog.advice.weighing import cause_weights
from thermlog.words.vehicle import Axle

sys.path.insert(0, str(Path(__file__).parent.parent / "bench"))
trade_pages = importlib.import_module("make_trade_pages")

TABLE = evidence_table()
CHECKS, CAUSES = TABLE.observations, TABLE.causes
HOT, COLD = log_evidence("corner_hot", "1L"), log_evidence("corner_cold", "1L")
REAR_DRUMS = replace(CAR, axles=(CAR.axles[0], Axle(brake="drum", parking_brake=True)))


def weights_after(evidence, **found: str):
    """Weights of the causes once these answers were found beside what the log says."""
    situation = situation_of(evidence)
    return cause_weights(replace(situation, answers=(*situation.answers, *found.items())))


def first_after(evidence, **found: str) -> str:
    weights = weights_after(evidence, **found)
    return max(weights, key=lambda cause: weights[cause])


def test_a_free_wheel_turns_with_one_or_two_fingers_and_without_noise():
    for key in ("spin_hot", "frees_cold"):
        assert "A free wheel turns with one or two fingers and without noise" in CHECKS[key].how
    for cause in (
        "slide_pin_seized",
        "piston_stuck_on",
        "hose_holds_pressure",
        "park_lever",
        "parkbrake_axle",
    ):
        assert CHECKS["spin_hot"].likelihood("free", cause) <= 0.10
    for cause in ("normal_or_measurement", "piston_stuck_off", "axle_supply_weak"):
        assert CHECKS["spin_hot"].likelihood("free", cause) >= 0.70
    assert "one hand turns is normal" in CHECKS["spin_hot"].how


def test_with_the_pedal_held_a_wheel_cannot_be_turned_at_all():
    asked = CHECKS["hold_grips"]
    assert "cannot be turned by hand at all" in asked.how
    assert "Any movement points to a piston" in asked.how
    assert first_after(COLD, hold_grips="turns") == "piston_stuck_off"
    assert first_after(COLD, hold_grips="turns", bleeder_flow="none") == "supply_blocked"
    for cause in CAUSES:
        if CAUSES[cause].tends == "hot" and not set(CAUSES[cause].brakes).isdisjoint(asked.applies_to):
            assert asked.likelihood("grips", cause) >= 0.9


def test_a_seized_slide_pin_shows_as_uneven_wear_together_with_drag():
    assert "Uneven wear together with drag is the mark of a seized slide pin" in CHECKS["wear_pads"].how
    for worn in ("inner_more", "tapered"):
        assert first_after(HOT, spin_hot="drags_evenly", wear_pads=worn) == "slide_pin_seized"
    assert first_after(HOT, spin_hot="drags_evenly", wear_pads="even") != "slide_pin_seized"


def test_a_piston_stuck_in_gives_a_cold_brake_and_a_pull_to_the_other_side():
    assert first_after(COLD, pull="away_from_suspect_when_braking") == "piston_stuck_off"
    assert "a cold brake, and the vehicle pulls to the other side" in CAUSES["piston_stuck_off"].how
    assert CAUSES["piston_stuck_off"].tends == "cold"
    assert CHECKS["th_sign"].likelihood("colder", "piston_stuck_off") > 0.6


def test_a_piston_stuck_out_gives_a_hot_brake_and_a_pull_to_its_own_side():
    assert first_after(HOT, pull="to_suspect_without_braking") == "piston_stuck_on"
    assert "a hot brake and a pull to its own side" in CAUSES["piston_stuck_on"].how
    assert CAUSES["piston_stuck_on"].tends == "hot"
    away = weights_after(HOT, pull="away_from_suspect_when_braking")
    assert away["piston_stuck_on"] < away["slide_pin_seized"]
    assert "A brake stuck on pulls to its own side, a dead one to the other side" in CHECKS["pull"].how


def test_the_square_cut_seal_draws_the_piston_back():
    said = "The square-cut seal draws the piston back when the pedal is released"
    assert said in CAUSES["piston_stuck_on"].how
    assert "The square-cut seal twists with the piston" in CHECKS["piston_draws_back"].how
    assert first_after(HOT, piston_draws_back="stays_out") == "piston_stuck_on"
    assert first_after(HOT, piston_draws_back="draws_back") != "piston_stuck_on"


def test_a_slide_pin_in_order_moves_with_two_fingers_a_dry_one_needs_pliers():
    for text in (CHECKS["pins_slide"].how, CAUSES["slide_pin_seized"].do):
        assert "two fingers" in text
        assert "pliers" in text
    assert "two fingers" in CHECKS["pins_slide"].answers["free"]
    assert "pliers" in CHECKS["pins_slide"].answers["stiff"]
    assert first_after(HOT, pins_slide="stiff") == "slide_pin_seized"
    assert first_after(HOT, pins_slide="free") != "slide_pin_seized"


def test_leaks_are_looked_for_at_fitting_washers_bleeder_and_housing_with_the_pedal_held():
    asked = CHECKS["leak"]
    for word in ("holds the pedal", "hose fitting", "washers", "bleeder", "housing"):
        assert word in asked.ask
    assert first_after(COLD, leak="wet") == "supply_leaking"
    drum = log_evidence("corner_cold", "2L", vehicle=REAR_DRUMS)
    assert first_after(drum, leak="wet", cylinder_boot="wet") == "cylinder_leaking"


@pytest.mark.parametrize(
    ("evidence", "found", "cause"),
    [
        # Both sides of an axle starve alike: only another axle shows it.
        (log_evidence("axle_cold", "2L", "2R"), {"axle_flow": "weak_or_slow"}, "axle_supply_weak"),
        (log_evidence("axle_cold", "2L", "2R"), {"bleeder_flow": "full"}, "axle_supply_weak"),
        # A modulator that holds is not called a hose once the next rung was opened.
        (HOT, {"bleeder_frees": "frees", "hose_inlet_frees": "no_change"}, "hose_holds_pressure"),
        (
            HOT,
            {"bleeder_frees": "frees", "hose_inlet_frees": "frees", "modulator_frees": "no_change"},
            "abs_valve_holds",
        ),
        (log_evidence("all_hot"), {"pedal_freeplay": "none"}, "pushrod_no_play"),
        (log_evidence("all_hot"), {"cap_seal": "swollen"}, "mc_seals_swollen"),
        (
            log_evidence("all_hot"),
            {"pedal_freeplay": "present", "master_frees": "frees", "easing_master_frees": "no_change"},
            "mc_port_blocked",
        ),
        (log_evidence("hub_hot", "2L"), {"bearing_spin": "tight"}, "wheel_bearing"),
        (log_evidence("corner_cold", "4L", vehicle=HEAVY_DRUMS), {"stroke": "over_limit"}, "slack_long"),
        (
            log_evidence("corner_hot", "3R", vehicle=HEAVY_DRUMS),
            {"rod_home": "not_home", "gauge_chamber": "zero", "cam_turns": "stiff"},
            "cam_bushing",
        ),
        (
            log_evidence("axle_hot", "2L", "2R", vehicle=AIR_DISC_BUS),
            {"gauge_relay": "air_left", "gauge_treadle": "zero"},
            "relay_holds",
        ),
        (
            log_evidence("corner_hot", "1L", vehicle=AIR_DISC_BUS),
            {"running_clearance": "none", "pins_slide_air": "free", "tappets_back": "smooth"},
            "disc_adjuster_tight",
        ),
        (log_evidence("corner_hot", "2R"), {"lever_unhooked": "stays_out"}, "park_lever"),
        (log_evidence("corner_hot", "2R"), {"lever_unhooked": "goes_home"}, "park_cable"),
        (log_evidence("corner_hot", "2R"), {"motor_home": "frees"}, "park_motor"),
        (log_evidence("all_hot", vehicle=LIGHT_TRAILER), {"drawtube_out": "stays_in"}, "overrun_stuck"),
        (log_evidence("corner_hot", "1L", vehicle=LIGHT_TRAILER), {"frees_jerk": "jerk"}, "rust_bound"),
    ],
)
def test_the_telling_answer_puts_its_cause_first(evidence, found, cause):
    assert first_after(evidence, **found) == cause


@pytest.mark.parametrize(
    ("kind", "found", "cause"),
    [
        ("electric_drum", {"unplug": "frees"}, "trailer_current"),
        ("electric_drum", {"breakaway_pin": "out"}, "breakaway_out"),
        ("overrun_drum", {"drawtube_force": "weak", "drawtube_out": "comes_out"}, "overrun_damper"),
        ("overrun_drum", {"rods_unhooked": "frees", "drawtube_out": "comes_out"}, "rods_tight"),
        ("surge_hyd", {"drawtube_out": "stays_in"}, "overrun_stuck"),
    ],
)
def test_once_the_kind_of_trailer_brake_is_known_its_own_answers_decide(kind, found, cause):
    situation = situation_of(log_evidence("all_hot", vehicle=LIGHT_TRAILER))
    answers = (*situation.answers, *found.items())
    weights = cause_weights(replace(situation, shares=((kind, 1.0),), answers=answers))
    assert max(weights, key=lambda key: weights[key]) == cause


@pytest.mark.parametrize("kind", ["heavy_hyd_disc", "heavy_hyd_drum", "air_drum_wedge"])
def test_kinds_that_must_be_stated_have_their_own_causes(kind):
    """No S-cam, no slack adjuster; fluid or air as the kind is worked."""
    situation = situation_of(log_evidence("corner_hot", "2L", vehicle=HEAVY_DRUMS))
    present = set(cause_weights(replace(situation, shares=((kind, 1.0),))))
    assert not {"cam_bushing", "adjuster_tight"} & present
    assert ("hose_holds_pressure" in present) == (kind != "air_drum_wedge")
    assert ("relay_holds" in present) == (kind == "air_drum_wedge")


def test_the_confirmations_of_a_cause_together_lift_it_over_its_rivals():
    """Answered as the card says, the cause gains twice as much as its rivals do on average."""
    for key, cause in CAUSES.items():
        lifted = 1.0
        for one in cause.confirms:
            column = tuple(CHECKS[one.check].answers).index(one.answer)
            rivals = [row[column] for other, row in CHECKS[one.check].p.items() if other != key]
            lifted *= CHECKS[one.check].likelihood(one.answer, key) / (sum(rivals) / len(rivals))
        assert lifted > 2.0, key


DEFERS = (
    "service information", "by their instructions", "read again", "drive again", "own procedure",
    "until it is cold", "check the function",
)  # fmt: skip


def test_what_to_do_defers_to_the_service_information_or_to_reading_again():
    for key, cause in CAUSES.items():
        assert any(words in cause.do.lower() for words in DEFERS), key


def test_pages_are_current_and_a_change_is_seen(tmp_path):
    """docs/causes.md and docs/checks.md are what the evidence files say."""
    assert trade_pages.stale(trade_pages.DOCS) == []
    for name, text in trade_pages.pages().items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    assert trade_pages.stale(tmp_path) == []
    (tmp_path / "causes.md").write_text("# Causes\n", encoding="utf-8")
    (tmp_path / "checks.md").unlink()
    assert trade_pages.stale(tmp_path) == ["causes.md", "checks.md"]


def test_pages_name_every_cause_every_check_and_every_caution():
    pages = trade_pages.pages()
    for key, cause in CAUSES.items():
        assert f"## {cause.name}\n\n`{key}`" in pages["causes.md"]
        for text in (cause.how, cause.do, cause.also, cause.safety):
            assert text in pages["causes.md"]
    for key, asked in CHECKS.items():
        assert f'<a id="{key}"></a>' in pages["checks.md"]
        for text in (asked.how, asked.safety, *asked.means.values()):
            assert text in pages["checks.md"]
    assert "{place}" not in pages["checks.md"]
