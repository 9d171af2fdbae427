"""The next check: what it asks in each scenario, what it never asks, and the cautions."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from msgspec.structs import replace
from test_suspects import AIR_DISC_BUS, CAR, HEAVY_DRUMS, any_evidence, log_evidence

from thermlog.advice.nextcheck import cautions, held_below, information_bits, may_ask, next_check
from thermlog.advice.suspects import Observation, evidence_table, rank_suspects, situation_of
from thermlog.words.vehicle import default_vehicle

DRIVES = {"drive_again", "coast_drive"}


def check_for(evidence):
    return next_check(evidence, rank_suspects(evidence))


# Which check comes first is judgement; these are the ones a lift would start with.
@pytest.mark.parametrize(
    ("evidence", "expected"),
    [
        pytest.param(log_evidence("corner_hot", "1L"), "spin_hot", id="hot front disc"),
        pytest.param(log_evidence("corner_hot", "2R"), "pb_state", id="hot rear disc with parking brake"),
        pytest.param(log_evidence("axle_hot", "2L", "2R"), "pb_state", id="hot rear axle"),
        pytest.param(log_evidence("all_hot"), "pedal", id="all hot"),
        pytest.param(log_evidence("diagonal_hot", "1L", "2R"), "pedal", id="diagonal"),
        pytest.param(log_evidence("corner_cold", "1L"), "apply_hold", id="cold front disc"),
        pytest.param(log_evidence("corner_cold", "4L", vehicle=HEAVY_DRUMS), "stroke", id="cold heavy drum"),
        pytest.param(
            log_evidence("corner_hot", "3R", vehicle=HEAVY_DRUMS), "chamber_release", id="hot heavy drum"
        ),
        pytest.param(
            log_evidence("axle_hot", "2L", "2R", vehicle=AIR_DISC_BUS), "chamber_release", id="hot bus axle"
        ),
        pytest.param(log_evidence("hub_hot", "2L", hub_degc=138.0), "bearing_check", id="hot hub"),
        pytest.param(
            log_evidence("corner_hot", "1L", hub_over_brake=True), "bearing_check", id="hub above a hot brake"
        ),
        pytest.param(
            log_evidence("axle_cold", "2L", "2R", vehicle=replace(CAR, regenerative=True)),
            "drive_again",
            id="regenerative axle cool",
        ),
        pytest.param(
            log_evidence("corner_cold", "1L", single_reading=True), "read_again", id="cold on one reading"
        ),
        pytest.param(log_evidence("corner_hot", "1L", open_side=True), "coast_drive", id="odd side open"),
    ],
)
def test_scenario_has_its_intended_next_check(evidence, expected):
    assert check_for(evidence).id == expected


def test_nothing_odd_needs_no_check():
    assert check_for(log_evidence("none")) is None


@given(any_evidence())
@settings(max_examples=200, deadline=None)
def test_any_check_keeps_hydraulics_shut_and_stays_off_the_road_when_urgent(evidence):
    check = check_for(evidence)
    settles_side = evidence.open_side and not _urgent(evidence) and evidence.drive != "coast"
    assert (check is None) == (evidence.kind == "none" and evidence.watched is None and not settles_side)
    if check is None:
        return
    asked = evidence_table().observations.get(check.id)
    assert asked is None or "opens" not in asked.needs
    assert not (_urgent(evidence) and check.id in DRIVES)
    assert check.minutes > 0
    assert check.question.endswith(("?", ".", "read 2L again"))
    assert "service information" in check.safety
    assert check.why
    assert "{" not in check.question


def _urgent(evidence):
    return any(line.startswith("Stop driving") for line in cautions(evidence))


def test_question_names_the_corner_in_words_and_by_its_name():
    question = check_for(log_evidence("corner_hot", "1L")).question
    assert question.startswith("Lift front left (1L)")
    assert "turn the wheel by hand: free, drags evenly, drags once per turn, rough, locked?" in question
    heavy = check_for(log_evidence("corner_cold", "4L", vehicle=HEAVY_DRUMS)).question
    assert "axle 4 left (4L)" in heavy


def test_why_tells_what_each_answer_would_mean():
    why = check_for(log_evidence("corner_hot", "1L")).why
    assert '"drags evenly" or "drags once per turn" would point to caliper slide pins' in why
    assert '"locked" would point to caliper piston' in why
    # A pushrod that is home without air clears valve and spring brake, however strongly they are suspected.
    bus = check_for(log_evidence("axle_hot", "2L", "2R", vehicle=AIR_DISC_BUS))
    assert '"home, no air left" would point to no fault or a reading problem' in bus.why
    axle = check_for(log_evidence("axle_hot", "1L", "1R"))
    assert '"free" would point to no fault or a reading problem' in axle.why


@pytest.mark.parametrize(
    ("evidence", "minutes"),
    [
        # evidence.toml: turning a wheel 8 min, lifting a light axle 6 min, measuring one stroke 10 min.
        (log_evidence("corner_hot", "1L"), 8 + 6),
        (log_evidence("axle_hot", "1L", "1R"), 2 * 8 + 6),
        (log_evidence("several", "1L", "2R"), 2 * 8 + 2 * 6),
        (log_evidence("corner_cold", "4L", vehicle=HEAVY_DRUMS), 10),
    ],
)
def test_minutes_count_every_wheel_and_every_axle_lifted(evidence, minutes):
    assert check_for(evidence).minutes == minutes


@pytest.mark.parametrize("key", ["bleeder_frees", "pressure_arrives", "piston_push", "upstream_frees"])
def test_hydraulics_open_only_after_a_look_a_spin_and_the_parking_brake(key):
    rear = situation_of(log_evidence("corner_hot", "2R"))
    needed = {"visual", "spin_hot", "pb_state"}
    assert may_ask(key, rear, needed, warm=True)
    for missing in needed:
        assert not may_ask(key, rear, needed - {missing}, warm=True)
    front = situation_of(log_evidence("corner_hot", "1R"))  # no parking brake on that axle
    assert may_ask(key, front, {"visual", "spin_hot"}, warm=True)


def test_a_check_is_not_asked_twice_nor_where_it_cannot_apply():
    rear = situation_of(log_evidence("corner_hot", "2R"))
    assert may_ask("pb_state", rear, (), warm=True)
    assert not may_ask("pb_state", rear, {"pb_state"}, warm=True)
    assert not may_ask("stroke", rear, (), warm=True)  # no air brakes
    assert not may_ask("pb_state", situation_of(log_evidence("corner_hot", "1R")), (), warm=True)


@pytest.mark.parametrize("brake_degc", [45.0, 320.0])
def test_checks_that_need_heat_wait_for_a_warm_brake_that_can_be_worked_at(brake_degc):
    """Too cool tells nothing (60 °C in evidence.toml); above the policy's 300 °C nobody lifts and turns."""
    check = check_for(log_evidence("corner_hot", "1L", brake_degc=brake_degc))
    assert "hot" not in evidence_table().observations[check.id].needs
    assert check.question.startswith("Stop driving. ") == (brake_degc > 300)


def test_cold_corner_is_not_turned_while_hot():
    assert not may_ask("spin_hot", situation_of(log_evidence("corner_cold", "1L")), (), warm=True)


@pytest.mark.parametrize(
    ("brake_degc", "expected"), [(120.0, "read_again"), (23.0, "drive_again"), (None, "drive_again")]
)
def test_cannot_tell_asks_for_what_is_missing(brake_degc, expected):
    check = check_for(log_evidence("cannot_tell", repeat="Read 1R: it is missing.", brake_degc=brake_degc))
    assert check.id == expected
    assert check.question == "Read 1R: it is missing."
    assert check_for(log_evidence("cannot_tell", brake_degc=brake_degc)).question


def test_a_wish_for_a_drive_is_a_drive_unless_something_is_too_hot_to_drive():
    wish = log_evidence("cannot_tell", repeat="A drive without braking shows if it drags.")
    assert check_for(wish).id == "drive_again"
    hot = check_for(replace(wish, brake_degc=330.0))
    assert hot.id == "read_again"
    assert "drive" not in hot.question.lower()


def test_brakes_that_may_all_drag_are_settled_on_the_road_only_while_nothing_is_urgent():
    four = ("1L", "1R", "2L", "2R")
    watched = check_for(log_evidence("none", *four, watched="all_hot"))
    assert watched.id == "coast_drive"
    assert watched.question.endswith("do they stay hot?")
    assert "leaves left and right alike" in watched.why
    for never in ({"drive": "coast"}, {"brake_degc": 900.0}):
        by_hand = check_for(log_evidence("none", *four, watched="all_hot", **never))
        # what a called pattern of all brakes asks first, too
        assert by_hand.id == check_for(log_evidence("all_hot", **never)).id
        assert by_hand.id not in DRIVES


def test_open_side_is_settled_on_the_road_only_while_nothing_is_urgent():
    light = check_for(log_evidence("corner_hot", "1L", open_side=True))
    assert "10 to 15 min" in light.question
    assert "front left (1L) and front right (1R)" in light.question
    assert "stop at once on smoke" in light.safety
    heavy = check_for(log_evidence("corner_hot", "3L", vehicle=HEAVY_DRUMS, open_side=True))
    assert "20 to 30 min" in heavy.question
    for never in ({"brake_degc": 310.0}, {"hub_degc": 125.0}, {"tyre_degc": 95.0}, {"drive": "coast"}):
        assert check_for(log_evidence("corner_hot", "1L", open_side=True, **never)).id not in DRIVES
        without_pattern = check_for(log_evidence("none", "2L", open_side=True, **never))
        assert without_pattern.id not in DRIVES
        assert "rear left (2L) and rear right (2R)" in without_pattern.question


def test_hot_corner_on_one_reading_says_so_beside_the_check():
    check = check_for(log_evidence("corner_hot", "1L", single_reading=True))
    assert check.id == "spin_hot"
    assert "Only one reading stands behind this" in check.why


def test_no_cause_is_believed_beyond_the_cap_and_the_rest_keep_their_proportions():
    """Worked by hand: 96, 3 and 1 parts become 95 % and three to one parts of the rest."""
    assert held_below({"a": 96.0, "b": 3.0, "c": 1.0}, 0.95) == pytest.approx(
        {"a": 0.95, "b": 0.0375, "c": 0.0125}
    )
    assert held_below({"a": 6.0, "b": 4.0}, 0.95) == pytest.approx({"a": 0.6, "b": 0.4})


def _question(**p):
    return Observation(
        ask="", minutes=1, source="lift", needs=(), applies_to=(), safety="", answers={"a": "", "b": ""}, p=p
    )


def test_information_of_a_sure_answer_and_of_none():
    """A noisy yes/no channel carries 1 - H(e) bit (Shannon 1948, example of the binary channel)."""
    even = {"one": 0.5, "other": 0.5}
    assert information_bits(even, _question(one=(0.3, 0.7), other=(0.3, 0.7))) == pytest.approx(
        0.0, abs=1e-12
    )
    # e = 0.11: H = 0.49992 bit (computed by hand from the definition), so 0.50008 bit are left.
    noisy = information_bits(even, _question(one=(0.89, 0.11), other=(0.11, 0.89)))
    assert noisy == pytest.approx(0.50008, abs=1e-5)


@pytest.mark.parametrize(
    ("read", "text"),
    [
        ({"brake_degc": 300.0}, "a brake reads 300"),
        ({"hub_degc": 120.0}, "a hub reads 120"),
        ({"tyre_degc": 90.0}, "a tyre reads 90"),
    ],
)
def test_urgent_lines_begin_at_the_marks_of_the_policy(read, text):
    first = cautions(log_evidence("corner_hot", "1L", **read))[0]
    assert first.startswith("Stop driving")
    assert text in first
    below = {key: value - 0.1 for key, value in read.items()}
    assert not _urgent(log_evidence("corner_hot", "1L", **below))


def test_urgent_marks_are_the_policys_own():
    evidence = log_evidence("corner_hot", "1L", brake_degc=250.0)
    assert not _urgent(evidence)
    assert _urgent(replace(evidence, policy=replace(evidence.policy, urgent_brake_degc=240.0)))


@given(any_evidence())
@settings(max_examples=150, deadline=None)
def test_cautions_are_short_said_once_and_never_clear_a_brake(evidence):
    said = cautions(evidence)
    assert len(set(said)) == len(said)
    assert any("not a clearance" in line for line in said)
    assert any("never certifies" in line and "inspection code" in line for line in said)
    assert all(len(line) <= 170 for line in said)
    anything_hot = max(evidence.brake_degc or 0, evidence.hub_degc or 0, evidence.tyre_degc or 0) >= 50
    if anything_hot:
        assert any("as hot until read" in line for line in said)


@pytest.mark.parametrize(("vehicle", "warned"), [(HEAVY_DRUMS, True), (CAR, False)])
def test_work_on_air_brakes_comes_with_a_warning_of_stored_force(vehicle, warned):
    said = cautions(log_evidence("corner_cold", "2L", vehicle=vehicle))
    assert any("spring-brake chamber" in line for line in said) == warned


def test_cool_healthy_vehicle_gets_the_two_standing_lines_and_reads_no_file():
    evidence_table.cache_clear()
    healthy = log_evidence("none", vehicle=default_vehicle(2), brake_degc=40.0)
    assert len(cautions(healthy)) == 2
    assert check_for(healthy) is None
    assert evidence_table.cache_info().currsize == 0
