"""Brakes that do nothing because something is seized at rest, worn out or without fluid, and what waits.

What a careful technician accepts, written down before: a part that is seized with the brake off is named as
such, not as a part that was seen to move. A wheel cylinder or a piston is condemned once fluid was seen to
arrive. Whether a dead brake grips is felt before its wheel comes off, and both are looked at first. A rod is
unhooked, or a chamber unscrewed, once the chamber was seen to be empty and its spring brake to be tight; into
an open brake that only leaking air holds off nobody reaches. What is left is not left against its own check.
"""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from advicecases import CAR, HEAVY_DRUMS, log_evidence
from msgspec.structs import replace
from test_narrow_settles import to_its_end, told

from thermlog.advice.choosing import askable, choose
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.narrowing import Found, Narrowed, narrow
from thermlog.advice.search import Search, begun
from thermlog.advice.weighing import rows, with_slips
from thermlog.words.vehicle import Axle, Vehicle, default_vehicle

TABLE = evidence_table()
SAMPLE = str(Path(__file__).parents[1] / "sample_logs" / "hatchback_rear_right_hot.csv")


def of_kind(kind: str, verdict: str, *corners: str, axles: int = 2) -> Search:
    """A search at a vehicle that has this kind of brake all round."""
    group = TABLE.kinds[kind].group
    heavy = group == "heavy"
    role = "trailer" if group == "trailer" else "drive" if heavy else None
    one = Axle(role=role, fitted=kind, parking_brake=True) if role else Axle(fitted=kind, parking_brake=True)
    first = one if group == "trailer" else Axle(role="steer", fitted=kind)
    vehicle = Vehicle(
        axles=(first, *[one] * (axles - 1)), weight_class="heavy" if heavy else "light", stated=True
    )
    return begun(log_evidence(verdict, *corners, vehicle=vehicle))


def walked(search: Search, cause: str, **fixed: str) -> Search:
    """The search at its end, where each check has the usual answer of the cause, or the one that is fixed."""
    while (one := choose(search).asked) is not None:
        row = dict(zip(one.asked.answers, one.asked.p.get(cause, (1.0,) * 9), strict=False))
        search = told(search, f"{one.key}={fixed.get(one.key, max(row, key=lambda answer: row[answer]))}")
    return search


def state_of(search: Search) -> Narrowed:
    return narrow(
        search.evidence, [Found(check=check, answer=answer) for check, answer in search.told.items()]
    )


def may_ask(search: Search, check: str) -> bool:
    now = askable(search, ())
    return bool(now.able[now.board.at[check]])


def first_asked(search: Search, check: str) -> list[str]:
    """What stands before a check, by its name."""
    return [one.key for one in askable(search, ()).before.get(check, ())]


@pytest.mark.parametrize(
    ("cause", "kind", "confirms"),
    [
        ("pads_stuck_off", "hyd_disc_floating", "pads_slide"),
        ("pads_stuck_off", "hyd_disc_fixed", "pads_slide"),
        ("cam_stuck_off", "air_drum_scam", "cam_turns"),
        ("wedge_stuck_off", "air_drum_wedge", "wedge_watched"),
        ("magnet_weak", "electric_drum", "magnet_lever"),
        ("lining_gone", "overrun_drum", "lining_new"),
        ("lining_gone", "hyd_drum", "lining_new"),
        ("adjuster_under", "overrun_drum", "adjuster_taken_up"),
    ],
)
def test_what_is_seized_at_rest_or_worn_out_is_found_by_its_own_check(cause, kind, confirms):
    search = of_kind(kind, "corner_cold", "2L")
    assert dict(search.situation.shares) == {kind: 1.0}
    asked, ending = to_its_end(search, cause)
    assert confirms in asked
    assert ending == "settled"


def test_a_trailer_without_fluid_at_its_drawtube_is_looked_at_there_before_it_is_raised():
    search = of_kind("surge_hyd", "circuit_cold", "1L", "1R", "2L", "2R")
    asked, ending = to_its_end(search, "surge_cylinder")
    assert ending == "settled"
    raised = [
        n
        for n, one in enumerate(asked)
        if one in TABLE.observations and "lift" in TABLE.observations[one].needs
    ]
    assert asked.index("gate_fluid_surge") < min(raised, default=len(asked))


@pytest.mark.parametrize(
    ("kind", "stays", "cause"),
    [
        ("hyd_drum", "cylinder_moves=stays", "cylinder_stuck"),
        ("hyd_disc_floating", "piston_out=stays_in", "piston_stuck_off"),
    ],
)
def test_no_cylinder_or_piston_is_condemned_before_fluid_was_seen_to_arrive(kind, stays, cause):
    """What stays may be stuck, or without fluid: a blocked pipe shows nowhere outside."""
    search = told(of_kind(kind, "corner_cold", "2L"), "gate_fluid=right", "visual=nothing_seen", stays)
    found, ending = [], None
    while (one := choose(search).asked) is not None and one.key != "bleeder_flow":
        row = dict(zip(one.asked.answers, one.asked.p.get(cause, (1.0,) * 9), strict=False))
        search = told(search, f"{one.key}={max(row, key=lambda answer: row[answer])}")
        found.append(one.key)
    assert one is not None, (found, ending)
    blocked = told(search, "bleeder_flow=none")
    assert choose(blocked).ending is None or rows().causes[0] != cause
    assert to_its_end(told(search, "bleeder_flow=full"), cause)[1] == "settled"


def test_a_cause_is_not_left_against_its_own_check_made_twice():
    """A piston that came out twice: it is not what sticks, whatever else is in the table."""
    search = told(
        of_kind("hyd_disc_floating", "corner_cold", "1L"),
        "gate_fluid=right", "visual=torn_or_rusty", "hold_grips=turns", "pull=away_from_suspect_when_braking",
        "piston_out=comes_out", "piston_out_again=comes_out",
    )  # fmt: skip
    state = state_of(walked(search, "piston_stuck_off", pads_slide="slide", bleeder_flow="full"))
    assert state.ending != "settled" or state.suspects[0].cause != "piston_stuck_off"


@pytest.mark.parametrize(
    ("kind", "check"),
    [
        ("hyd_disc_floating", "hold_grips"), ("hyd_drum", "hold_grips"), ("air_drum_scam", "hold_grips_air"),
        ("overrun_drum", "rods_grip"), ("electric_drum", "magnet_pulls"),
    ],
)  # fmt: skip
def test_whether_a_dead_brake_grips_is_felt_before_its_wheel_comes_off(kind, check):
    search = of_kind(kind, "corner_cold", "2L")
    assert {"visual", check} <= set(first_asked(search, "lining_surface"))
    assert {"visual", check} <= set(first_asked(search, "rotor_look"))


def test_a_hot_wheel_is_looked_at_and_read_once_more_before_it_comes_off():
    search = of_kind("hyd_disc_floating", "corner_hot", "1L")
    assert {"visual", "spin_hot", "read_once_more"} <= set(first_asked(search, "pins_slide"))
    cooler = begun(log_evidence("corner_hot", "1L", brake_degc=40.0))
    assert "read_once_more" not in first_asked(cooler, "pads_slide")


@pytest.mark.parametrize("axle", [1, 2])
@pytest.mark.parametrize(
    ("kind", "unhooked"), [("air_drum_scam", "cam_turns"), ("air_drum_wedge", "wedge_moves")]
)
def test_a_chamber_is_empty_before_its_rod_is_unhooked_or_it_comes_off(axle, kind, unhooked):
    """Steered axles have no spring, and air presses there just as well."""
    search = of_kind(kind, "corner_hot", f"{axle}L")
    assert "gauge_chamber" in first_asked(search, unhooked)
    assert ("leak_spring" in first_asked(search, unhooked)) is (axle == 2)
    assert may_ask(told(search, "gauge_chamber=zero"), unhooked)
    assert not may_ask(told(search, "gauge_chamber=air_left"), unhooked)
    assert not may_ask(told(search, "gauge_chamber=air_left", "spring_caged=no_change"), unhooked)


@pytest.mark.parametrize(
    "wound", ["adjuster_backed_off_air", "disc_backed_off", "pins_slide_air", "tappets_back", "cam_turns"]
)
def test_a_spring_brake_is_listened_to_before_anything_is_wound_back_or_opened(wound):
    kind = "air_disc" if wound in {"disc_backed_off", "pins_slide_air", "tappets_back"} else "air_drum_scam"
    search = of_kind(kind, "corner_hot", "2L")
    assert "leak_spring" in first_asked(search, wound)
    assert not may_ask(told(search, "leak_spring=leaks"), wound)


def test_nobody_reaches_into_a_brake_that_only_leaking_air_holds_off():
    search = told(of_kind("air_drum_scam", "corner_hot", "2L"), "pb_state_air=full", "spin_hot=drags_evenly")
    leaks = told(search, "leak_spring=leaks")
    now = askable(leaks, ())
    assert not (now.able & now.board.needs["wheel_off"]).any()
    assert (askable(search, ()).able & now.board.needs["wheel_off"]).any()
    caged = askable(told(leaks, "spring_caged=no_change"), ())
    assert (caged.able & caged.board.needs["wheel_off"]).any()


def test_where_a_spring_may_press_the_end_says_who_makes_it_safe_and_how_the_search_goes_on():
    search = told(of_kind("air_drum_scam", "corner_hot", "2L"), "rod_home=not_home", "leak_spring=leaks")
    search = walked(search, "spring_chamber")
    state = state_of(search)
    assert state.ending in {"inseparable", "no_check", "contradiction"}
    assert any("spring_caged=frees or spring_caged=no_change" in one for one in state.cautions)
    freed = [*state.found, Found(check="spring_caged", answer="frees")]
    assert not any("qualified person" in one for one in narrow(search.evidence, freed).cautions)


def test_an_axle_that_can_be_raised_and_had_work_is_not_relied_on():
    tag = replace(
        HEAVY_DRUMS,
        axles=(*HEAVY_DRUMS.axles[:2], Axle(role="tag", fitted="air_drum_scam")),
        stated=True,
    )
    side = state_of(walked(begun(log_evidence("corner_cold", "3L", vehicle=tag)), "slack_long"))
    assert side.ending == "settled"
    assert "Do not rely on" in side.remedy.safety  # its mate worked
    axle = begun(log_evidence("axle_cold", "3L", "3R", vehicle=tag))
    worked = state_of(walked(axle, "relay_weak"))
    assert Found(check="axle_used", answer="worked") in worked.found
    assert "Do not rely on" in worked.remedy.safety


def test_which_parking_brake_is_fitted_comes_before_its_cable_or_its_motor():
    search = told(of_kind("hyd_disc_floating", "corner_hot", "2L"), "pb_state=fully_released")
    for check in ("cable_slackened", "lever_unhooked", "motor_home"):
        assert "parking_kind" in first_asked(search, check)
    motor = told(search, "parking_kind=motor")
    assert not may_ask(motor, "cable_slackened")
    assert not may_ask(motor, "lever_unhooked")
    assert may_ask(motor, "motor_home")
    assert "scan" in first_asked(motor, "motor_home")
    cable = told(search, "parking_kind=cable")
    assert may_ask(cable, "cable_slackened")
    assert not may_ask(cable, "motor_home")


def test_what_is_fitted_is_seen_without_slips():
    for key in TABLE.role["equipment"]:
        asked = TABLE.observations[key]
        for k, answer in enumerate(asked.answers):
            plain = np.array([asked.p[cause][k] for cause in TABLE.causes])
            assert rows().met_p[key, answer] == pytest.approx(plain)
            assert rows().met_p[key, answer] != pytest.approx(with_slips(plain, asked))


@pytest.mark.parametrize(
    ("kind", "found", "check"),
    [
        ("air_drum_scam", "adjuster_backed_off_air=frees", "lets_go_air"),
        ("air_drum_scam", "adjuster_backed_off_air=no_change", "stroke"),
        ("air_drum_scam", "rod_home=not_home", "stroke"),
        ("air_disc", "tappets_back=smooth", "disc_backed_off"),
        ("hyd_drum", "adjuster_backed_off=frees", "lets_go"),
        ("overrun_drum", "drawtube_force=stuck", "drawtube_out"),
        ("surge_hyd", "bleeder_flow=none", "adjuster_taken_up"),
    ],
)
def test_what_an_earlier_answer_has_made_meaningless_is_not_asked(kind, found, check):
    cold = check == "adjuster_taken_up"
    search = of_kind(kind, "corner_cold" if cold else "corner_hot", "2L")
    assert may_ask(search, check)
    assert not may_ask(told(search, found), check)


@pytest.mark.parametrize("opened", ["bleeder_frees", "piston_back_shut"])
def test_a_wheel_is_turned_before_it_is_asked_whether_it_frees_with_a_jerk(opened):
    search = of_kind("hyd_drum" if opened == "bleeder_frees" else "hyd_disc_floating", "corner_hot", "2L")
    before = first_asked(search, opened)
    assert before.index("spin_hot") < before.index("frees_jerk")
    if opened == "bleeder_frees":
        assert before.index("cable_slackened") < before.index("adjuster_backed_off") < len(before)


def test_air_left_by_the_towing_vehicle_has_a_cause_and_a_check_of_its_own():
    vehicle = Vehicle(
        axles=(Axle(role="steer"), Axle(role="drive"), *[Axle(role="trailer", fitted="air_drum_scam")] * 2),
        weight_class="heavy",
        stated=True,
    )
    search = begun(log_evidence("circuit_hot", "3L", "3R", "4L", "4R", vehicle=vehicle))
    asked, ending = to_its_end(search, "trailer_valve_holds")
    assert "head_zero" in asked
    assert ending == "settled"


def test_a_record_that_rested_for_days_asks_for_no_heat(thermlog):
    """Readings were taken when it was opened; cards say how long checks take, a clock how long it lay."""
    known = (
        "pb_state=fully_released",
        "brake_kind=hyd_disc_floating",
        "parking_here=yes",
        "parking_kind=cable",
        "on_stands=yes",
    )
    found = [part for one in (*known, "visual=nothing_seen") for part in ("--found", one)]
    thermlog("narrow", SAMPLE, "--job", "card.json", *found)
    fresh = json.loads(thermlog("narrow", SAMPLE, "--job", "card.json", "--format", "json").out)
    record = json.loads(Path("card.json").read_text(encoding="utf-8"))
    opened = datetime.fromisoformat(record["opened_at"]) - timedelta(days=3)
    Path("card.json").write_text(
        json.dumps({**record, "opened_at": opened.isoformat(timespec="seconds")}), encoding="utf-8"
    )
    rested = json.loads(thermlog("narrow", SAMPLE, "--job", "card.json", "--format", "json").out)

    def needs(shown: dict) -> set[str]:
        return set(TABLE.observations[shown["next_check"]["id"]].needs) & {"hot", "warm"}

    assert needs(fresh)
    assert not needs(rested)


def test_minutes_since_the_readings_are_those_of_the_checks_or_of_the_clock():
    evidence = log_evidence("corner_hot", "1L", vehicle=CAR)
    hot = TABLE.observations["spin_hot"]
    assert "hot" in hot.needs
    assert may_ask(begun(evidence), "spin_hot")
    assert may_ask(begun(replace(evidence, since_min=TABLE.rule["warm_min"] - 1.0)), "spin_hot")
    assert not may_ask(begun(replace(evidence, since_min=TABLE.rule["warm_min"])), "spin_hot")


def test_of_a_vehicle_hot_all_round_a_spring_may_press_on_any_axle_that_may_have_one():
    """One gauge at the dash cannot hold all axles; a rod that is not home waits all the same."""
    undescribed = begun(log_evidence("all_hot", vehicle=default_vehicle(5, drum=True)))
    bus = of_kind("air_drum_scam", "all_hot")
    for search in (told(undescribed, "brake_kind=air_drum_scam"), bus):
        assert search.situation.parking == "no"
        assert may_ask(told(search, "rod_home=home", "gauge_chamber=zero"), "cam_turns")
        assert not may_ask(told(search, "rod_home=not_home", "gauge_chamber=zero"), "cam_turns")
