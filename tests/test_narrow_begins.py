"""What a search begins with: what is cold already, what costs a look, and what a log only watches."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from advicecases import AIR_DISC_BUS, CAR, HEAVY_DRUMS, LIGHT_TRAILER, answered, log_evidence
from msgspec.structs import replace

from thermlog.advice.candidates import checks
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.information import check_of, cooling_min, is_cold
from thermlog.advice.narrowing import Found, narrow
from thermlog.advice.nextcheck import next_check
from thermlog.advice.search import advanced, begun
from thermlog.advice.suspects import rank_suspects
from thermlog.words.findings import Answer
from thermlog.words.reasons import Reason

TABLE = evidence_table()
LEFT_ON = str(Path(__file__).parent.parent / "sample_logs" / "hatchback_parking_brake_on.csv")
WATCHED = Reason(code="both_sides_hot", corners=("2L", "2R"), numbers={"ratio": 4.6})


def minutes(evidence, check: str, **told: str) -> float:
    search = begun(evidence)
    for one, answer in told.items():
        search = advanced(search, one, answer)
    return advanced(search, check, next(iter(TABLE.observations[check].answers))).minutes - search.minutes


@pytest.mark.parametrize(
    ("kind", "degc", "cold", "waited"),
    [
        ("corner_hot", 180.0, False, 92.0687),  # 55 min x ln(160 / 30), worked by hand
        ("corner_hot", 60.0, False, 15.8225),  # 55 min x ln(40 / 30)
        ("corner_hot", None, False, 92.0687),
        ("corner_hot", 50.0, False, 0.0),
        ("corner_hot", 49.9, True, 0.0),
        ("corner_cold", 180.0, True, 0.0),
    ],
)
def test_a_brake_is_waited_for_as_long_as_it_cools_and_not_at_all_once_cold(kind, degc, cold, waited):
    """Own rule: from the hottest brake read to 50 °C, towards air of 20 °C, heavy brakes with 55 min.

    A brake that had no work is cold beside a warm vehicle. evidence.toml: 8 min for the check.
    """
    evidence = log_evidence(kind, "2L", vehicle=AIR_DISC_BUS, brake_degc=degc)
    assert is_cold(evidence) is cold
    assert minutes(evidence, "running_clearance") == pytest.approx(8 + waited, abs=1e-4)
    asked = TABLE.observations["running_clearance"]
    shown = check_of(evidence, "running_clearance", asked, "").minutes
    assert shown == pytest.approx(8 + waited, abs=1e-4)


def test_an_open_side_may_be_the_hot_one():
    assert not is_cold(log_evidence("corner_cold", "2L", open_side=True))


def test_it_cools_while_other_checks_are_made():
    """Four minutes with the driver are four less to wait; what is cold stays cold."""
    evidence = log_evidence("corner_hot", "2L", vehicle=AIR_DISC_BUS)
    longer = minutes(evidence, "running_clearance") - minutes(
        evidence, "running_clearance", feel_noise="none"
    )
    assert longer == pytest.approx(4.0)
    assert minutes(evidence, "disc_backed_off", running_clearance="none") == 6 + 20  # raised


@pytest.mark.parametrize("kind", ["corner_hot", "axle_hot"])
@pytest.mark.parametrize("vehicle", [CAR, LIGHT_TRAILER])
def test_whether_the_parking_brake_is_off_comes_first_behind(kind, vehicle):
    corners = ("2L",) if kind == "corner_hot" else ("2L", "2R")
    evidence = log_evidence(kind, *corners, vehicle=vehicle)
    assert narrow(evidence).check.id == "pb_state"
    assert next_check(evidence, rank_suspects(evidence)).id == "pb_state"


def test_no_parking_brake_is_asked_about_where_none_acts():
    for kind, corners in {"corner_hot": ("1L",), "axle_hot": ("1L", "1R"), "all_hot": ()}.items():
        assert narrow(log_evidence(kind, *corners)).check.id != "pb_state"


def test_of_a_heavy_axle_the_hold_off_pressure_is_read_first():
    axle = log_evidence("axle_hot", "2L", "2R", vehicle=AIR_DISC_BUS)
    assert narrow(axle).check.id == "pb_state_air"
    corner = log_evidence("corner_hot", "2L", vehicle=HEAVY_DRUMS)
    assert narrow(corner).check.id != "pb_state_air"


def watching(*corners: str, vehicle=CAR, answer: str = "watch", **other):
    """A log that establishes nothing and watches these brakes; which of the axles is odd is open."""
    drag = Answer(answer=answer, corners=corners, reasons=(WATCHED,))
    answers = replace(answered("none"), drag=drag, idle=Answer(answer="cannot_tell", corners=("1L", "1R")))
    return log_evidence("cannot_tell", vehicle=vehicle, answers=answers, **other)


def test_an_axle_that_is_watched_has_its_parking_brake_looked_at_first():
    evidence = watching("2L", "2R")
    check = next_check(evidence, ())
    assert check.id == "pb_state"
    assert check.minutes == 1.0 + cooling_min(evidence)  # a look of a minute, once it has cooled
    assert "rear left and rear right" in check.question
    assert check.safety.startswith("Not driven")
    assert narrow(evidence).check.id == "pb_state"


@pytest.mark.parametrize(
    "evidence",
    [
        watching("1L", "1R"),  # no parking brake acts there
        watching("2L", "2R", answer="cannot_tell"),
        watching("1L", "1R", "2L", "2R"),
        watching("2L", "2R", vehicle=AIR_DISC_BUS),  # springs are held off by air: no lever
    ],
)
def test_other_watches_are_decided_as_before(evidence):
    assert next_check(evidence, ()).id != "pb_state"


def test_of_a_heavy_axle_that_is_watched_the_springs_come_first_where_they_are_stated():
    evidence = watching("2L", "2R", vehicle=AIR_DISC_BUS)
    assert next_check(evidence, ()).id == narrow(evidence).check.id == "pb_state_air"
    low = narrow(evidence, [Found(check="pb_state_air", answer="low")])
    assert (low.suspects[0].cause, low.suspects[0].standing) == ("hold_off_low", "likely")
    axles = tuple(replace(axle, parking_brake=False) for axle in AIR_DISC_BUS.axles)
    unsaid = watching("2L", "2R", vehicle=replace(AIR_DISC_BUS, axles=axles))
    assert next_check(unsaid, ()).id not in {"pb_state", "pb_state_air"}


def test_a_watched_drag_is_searched_and_is_likely_only_once_it_is_felt():
    evidence = watching("2L", "2R")
    assert {one.standing for one in narrow(evidence).suspects} <= {"possible", "unlikely"}
    left_on = narrow(evidence, [Found(check="pb_state", answer="not_fully_released")])
    assert (left_on.suspects[0].cause, left_on.suspects[0].standing) == ("parkbrake_axle", "likely")
    off = [Found(check="pb_state", answer="fully_released")]
    assert {one.standing for one in narrow(evidence, off).suspects} <= {"possible", "unlikely"}
    drags = narrow(evidence, [*off, Found(check="spin_hot", answer="drags_evenly")])
    assert drags.suspects[0].standing == "likely"


@pytest.mark.parametrize(("check", "answer"), [("spin_hot", "free"), ("frees_cold", "free")])
def test_a_watched_brake_that_turns_freely_has_no_cause(check, answer):
    state = narrow(watching("2L", "2R"), [Found(check=check, answer=answer)])
    assert (state.suspects, state.ending) == ((), "turned_free")
    assert state.check is not None
    assert state.check.id != "pb_state"


def test_the_sample_with_its_parking_brake_left_on_is_led_to_it(thermlog):
    assert "Then: Chock both ways, release the parking brake" in thermlog("check", LEFT_ON).out
    assert f"one check after another: thermlog narrow {LEFT_ON}" in thermlog("check", LEFT_ON).out
    ran = thermlog("narrow", LEFT_ON, "--found", "pb_state=not_fully_released", "--format", "json")
    assert json.loads(ran.out)["causes"][0]["cause"] == "parkbrake_axle"


def test_all_checks_and_their_answers_are_listed(thermlog):
    ran = thermlog("narrow", "--checks")
    assert ran.code == 0
    for key, asked in TABLE.observations.items():
        for answer in asked.answers:
            assert (f"      {key}={answer}" in ran.out) is (asked.source != "log")
    for gate in ("cool_first=cooled", "on_stands=yes", "brake_kind=air_disc", "parking_here=no"):
        assert f"      {gate}\n" in ran.out
    causes = ran.out.partition("Causes, for --cause\n")[2].splitlines()
    assert [line.split()[0] for line in causes] == ["no_fault", *TABLE.causes]


def test_a_whole_vehicle_that_is_watched_is_searched_from_the_pedal_on():
    answers = replace(answered("none"), heat=Answer(answer="watch", corners=("1L", "1R", "2L", "2R")))
    evidence = log_evidence("cannot_tell", answers=answers)
    state = narrow(evidence)
    assert TABLE.observations[state.check.id].once == "vehicle"
    assert "pedal" in state.check.question
    assert {one.standing for one in state.suspects} <= {"possible", "unlikely"}
    found = [Found(check="pedal_feel", answer="high_and_hard"), Found(check="pedal_freeplay", answer="none")]
    assert (narrow(evidence, found).suspects[0].cause, narrow(evidence, found).suspects[0].standing) == (
        "pushrod_no_play", "likely"
    )  # fmt: skip


def hot_all_round(**other):
    corners = ("1L", "1R", "2L", "2R")
    by_hand = (Reason(code="cool_and_turn", corners=corners, numbers={"cool_degc": 50.0}),)
    heat = Answer(answer="watch", corners=corners, decides=by_hand)
    answers = replace(answered("none"), heat=heat, drag=replace(heat, answer="cannot_tell"))
    return log_evidence("cannot_tell", answers=answers, **other)


def test_a_foot_on_the_pedal_stays_a_cause_where_every_wheel_turns_freely():
    found = [Found(check=one, answer=answer) for one, answer in (
        ("foot_or_assist", "braked"), ("cool_first", "cooled"), ("frees_cold", "free"),
    )]  # fmt: skip
    state = narrow(hot_all_round(brake_degc=230.0), found)
    assert (state.suspects[0].cause, state.suspects[0].standing) == ("driver_or_hold", "likely")
    assert state.ending not in {"no_cause", "turned_free"}


def test_what_was_done_is_not_asked_for_again_where_every_wheel_turns_freely():
    """Cooled and turned by hand: what is left to tell is what stays hot without braking."""
    found = [Found(check="foot_or_assist", answer="no"), Found(check="cool_first", answer="cooled")]
    state = narrow(hot_all_round(brake_degc=230.0), [*found, Found(check="frees_cold", answer="free")])
    assert (state.ending, state.check.id) == ("turned_free", "coast_drive")


def test_a_gate_says_how_long_it_cools_and_no_gate_takes_no_minutes(thermlog):
    """From 250 °C: 31 min x ln(230 / 30), by hand 63.143 min, less what has passed."""
    evidence = log_evidence("corner_hot", "1L", brake_degc=250.0)
    ground = [one.key for one in checks() if not one.asked.touches]
    state = narrow(evidence, [Found(check="feel_noise", answer="none")], [*ground, "brake_kind"])
    assert state.check.id == "cool_first"
    assert state.check.minutes == pytest.approx(63.143 - 4.0, abs=1e-2)
    log = str(Path(LEFT_ON).with_name("saloon_decimal_comma.csv"))
    shown = thermlog("narrow", log, "--found", "brake_kind=hyd_disc_floating").out
    assert "on rated stands, the other wheels chocked?\n" in shown


@pytest.mark.parametrize(("degc", "begins"), [(49.9, False), (50.0, True), (120.0, True)])
def test_what_brings_hands_to_a_warm_wheel_begins_with_the_gun(degc, begins):
    """50 °C in doing.toml: bare metal above it burns; the reading itself is said, too."""
    evidence, found, seen = log_evidence("corner_cold", "1R", brake_degc=degc), [], set()
    for _ in range(8):
        state = narrow(evidence, found)
        check = state.check
        if state.ending is not None or check is None:
            break
        found.append(Found(check=check.id, answer=state.answers[0].id))
        asked = TABLE.observations.get(check.id)
        if asked is None:  # which kind of brake, and the like
            continue
        says = f"First by the gun: below 50 °C where it is touched ({degc:.0f} °C was read)."
        first = check.safety.startswith(says)
        assert first is (begins and asked.near)
        seen.add(asked.near)
    assert True in seen  # something was asked at the wheel
