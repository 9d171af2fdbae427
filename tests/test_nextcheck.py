"""The next check: what it asks in each scenario, what settles an open answer, and what forbids it."""

from __future__ import annotations

from typing import get_args

import numpy as np
import pytest
from advicecases import (
    AIR_DISC_BUS,
    CAR,
    HEAVY_DRUMS,
    LIGHT_TRAILER,
    answered,
    any_evidence,
    log_evidence,
    may_ask,
)
from hypothesis import given, settings
from msgspec.structs import replace

from thermlog.advice.board import QuestionRows, information_bits
from thermlog.advice.doing import doing
from thermlog.advice.evidencechecks import INSTRUCTS
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.information import as_check
from thermlog.advice.logevidence import LogEvidence
from thermlog.advice.narrowing import Found, narrow
from thermlog.advice.nextcheck import next_check
from thermlog.advice.situations import situation_of
from thermlog.advice.suspects import rank_suspects
from thermlog.advice.weighing import held_below
from thermlog.words.findings import Answer, Answers, Urgent
from thermlog.words.reasons import DoCode, Reason
from thermlog.words.vehicle import Axle, default_vehicle

HOT_TYRE = (Urgent(code="tyre_hot", corner="1L", spot="tyre_outer", value_degc=95.0, limit_degc=90.0),)
WEAK_GAP = Reason(code="gap_open", corners=("1L", "1R"), numbers={"difference_k": 29.0, "ratio": 2.5})
STRONG_GAP = replace(WEAK_GAP, numbers={"difference_k": 31.0, "ratio": 2.1})
COAST = Reason(code="coast_drive", corners=("1L", "1R"))
BRAKE_IT = Reason(code="drive_with_braking", numbers={"missing_k": 18.0})


def check_for(evidence):
    return next_check(evidence, rank_suspects(evidence))


def opened(drag: Answer | None = None, idle: Answer | None = None, **other) -> LogEvidence:
    """A vehicle without an established fault whose answers are open as stated, "no" else."""
    no = answered("none")
    return log_evidence("none", answers=replace(no, drag=drag or no.drag, idle=idle or no.idle), **other)


def watch(*decides: Reason, reasons: tuple[Reason, ...] = (WEAK_GAP,)) -> Answer:
    return Answer(answer="watch", corners=("1L",), reasons=reasons, decides=decides)


# Which check comes first is judgement; these are the ones a lift would start with.
@pytest.mark.parametrize(
    ("evidence", "expected"),
    [
        pytest.param(log_evidence("corner_hot", "1L"), "cool_and_turn", id="hot front disc"),
        pytest.param(log_evidence("corner_hot", "2R"), "pb_state", id="hot rear disc with parking brake"),
        pytest.param(log_evidence("axle_hot", "2L", "2R"), "pb_state", id="hot rear axle"),
        pytest.param(log_evidence("all_hot"), "pedal_returns", id="all hot"),
        pytest.param(log_evidence("diagonal_hot", "1L", "2R"), "pedal_feel", id="diagonal"),
        pytest.param(log_evidence("corner_cold", "1L"), "pedal_feel", id="cold front disc"),
        pytest.param(log_evidence("corner_cold", "4L", vehicle=HEAVY_DRUMS), "stroke", id="cold heavy drum"),
        pytest.param(log_evidence("corner_hot", "3R", vehicle=HEAVY_DRUMS), "rod_home", id="hot heavy drum"),
        pytest.param(
            log_evidence("axle_hot", "2L", "2R", vehicle=AIR_DISC_BUS), "pb_state_air", id="hot bus axle"
        ),
        pytest.param(log_evidence("hub_hot", "2L"), "bearing_spin", id="hot hub"),
        pytest.param(
            log_evidence("corner_hot", "1L", hub_over_brake=True), "bearing_spin", id="hub above a hot brake"
        ),
        pytest.param(
            log_evidence("axle_cold", "2L", "2R", vehicle=replace(CAR, regenerative=True)),
            "static_check",
            id="regenerative axle cool",
        ),
        pytest.param(log_evidence("axle_cold", "2L", "2R"), "static_check", id="dead rear axle"),
        pytest.param(
            log_evidence("axle_cold", "2L", "2R", vehicle=HEAVY_DRUMS), "static_check", id="dead lorry axle"
        ),
        pytest.param(log_evidence("none"), "keep_record", id="nothing open"),
        pytest.param(
            log_evidence("corner_cold", "1L", single_reading=True), "read_again", id="cold on one reading"
        ),
        pytest.param(log_evidence("corner_hot", "1L", open_side=True), "coast_drive", id="odd side open"),
    ],
)
def test_scenario_has_its_intended_next_check(evidence, expected):
    assert check_for(evidence).id == expected


@given(any_evidence())
@settings(max_examples=300, deadline=None)
def test_there_always_is_a_next_step_that_is_whole(evidence):
    check = check_for(evidence)
    assert check.id in get_args(DoCode) or check.id in evidence_table().observations
    assert check.minutes > 0
    assert check.question.endswith(("?", "."))
    assert "service information" in check.safety
    assert check.why.endswith(".")
    assert "{" not in check.question + check.why
    assert (check.id == "clear_and_wait") >= bool(evidence.urgent)


def test_every_do_code_has_its_minutes_and_its_safety():
    assert set(doing().do) == set(get_args(DoCode))
    used = {key for deed in doing().do.values() for key in (deed.safety, deed.safety_heavy) if key}
    assert used == set(doing().safety)
    for code in get_args(DoCode):
        assert 0 < doing().minutes(code, "light") <= doing().minutes(code, "heavy")


def test_question_names_the_corner_in_words_and_by_its_name():
    question = check_for(log_evidence("corner_hot", "1L")).question
    assert "Read brake and hub of 1L and of the other side again by gun now" in question
    assert "raise and support 1L by the service information and turn each wheel by hand" in question
    unread = check_for(log_evidence("corner_hot", "1L", brake_degc=None)).question
    assert unread.startswith("Lift front left while")
    assert "turn the wheel by hand: how does it turn?" in unread
    heavy = check_for(log_evidence("corner_cold", "4L", vehicle=HEAVY_DRUMS)).question
    assert "axle 4 left" in heavy


def test_the_next_thing_to_do_is_an_instruction_while_a_search_still_asks_its_question():
    rear = log_evidence("corner_hot", "2R")
    assert check_for(rear).question.startswith(
        "Do not drive it. Read brake and hub of rear right again by gun now: only heat tells that. Let it "
        "cool until the gun reads below 50 °C at every part to be touched. Then: Chock both ways, release "
        "the parking brake, then look at rear right: is it fully"
    )
    assert narrow(rear, [Found(check="brake_kind", answer="hyd_disc_floating")]).check.question == (
        "Is the parking brake fully off at rear right?"
    )
    for key, one in evidence_table().observations.items():
        if one.source != "log":
            assert as_check(rear, key, "").question.split()[0] in INSTRUCTS


def test_why_tells_what_each_answer_would_mean():
    why = check_for(log_evidence("corner_hot", "1L", brake_degc=None)).why
    assert '"the wheel drags once a turn" would point to caliper slide pins' in why
    assert '"the wheel drags evenly" or "the wheel cannot be turned" would point to caliper piston' in why
    bus = check_for(log_evidence("axle_hot", "2L", "2R", vehicle=AIR_DISC_BUS))
    assert '"hold-off pressure low" would point to low spring-brake hold-off' in bus.why
    axle = check_for(log_evidence("axle_hot", "2L", "2R"))
    assert '"parking brake fully off" would point to pads tight in the bracket' in axle.why


@pytest.mark.parametrize(
    ("evidence", "key", "minutes"),
    [
        # evidence.toml: turning a wheel 8 min, lifting a light axle 6 min, measuring one stroke 10 min.
        (log_evidence("corner_hot", "1L"), "spin_hot", 8 + 6),
        # What an axle shares shows at one of its wheels; a look is taken at both.
        (log_evidence("axle_hot", "1L", "1R"), "spin_hot", 8 + 6),
        (log_evidence("axle_hot", "1L", "1R"), "visual", 2 * 4),
        (log_evidence("several", "1L", "2R"), "spin_hot", 2 * 8 + 2 * 6),
        (log_evidence("corner_cold", "4L", vehicle=HEAVY_DRUMS), "stroke", 10),
    ],
)
def test_minutes_count_each_wheel_that_is_worked_at_or_looked_at(evidence, key, minutes):
    assert as_check(evidence, key, "").minutes == minutes


OPENING = {key: asked for key, asked in evidence_table().observations.items() if "opens" in asked.needs}


@pytest.mark.parametrize("key", sorted(key for key, asked in OPENING.items() if len(asked.applies_to) > 1))
def test_hydraulics_open_only_after_a_look_a_spin_and_the_parking_brake(key):
    rear = situation_of(log_evidence("corner_hot", "2R"))
    needed = {"visual", "spin_hot", "pb_state"}
    assert may_ask(key, rear, needed, warm=True)
    for missing in needed:
        assert not may_ask(key, rear, needed - {missing}, warm=True)
    front = situation_of(log_evidence("corner_hot", "1R"))  # no parking brake on that axle
    assert may_ask(key, front, {"visual", "spin_hot"}, warm=True)


@pytest.mark.parametrize(
    "key", sorted(key for key, asked in OPENING.items() if "surge_hyd" in asked.applies_to)
)
def test_a_surge_trailer_is_opened_only_after_the_same(key):
    trailer = situation_of(log_evidence("corner_hot", "1L", vehicle=LIGHT_TRAILER))
    surge = replace(trailer, shares=(("surge_hyd", 1.0),))
    needed = {"visual", "spin_hot", "pb_state"}
    assert may_ask(key, surge, needed, warm=True)
    for missing in needed:
        assert not may_ask(key, surge, needed - {missing}, warm=True)


def test_a_check_is_not_asked_twice_nor_where_it_cannot_apply():
    rear = situation_of(log_evidence("corner_hot", "2R"))
    assert may_ask("pb_state", rear, (), warm=True)
    assert not may_ask("pb_state", rear, {"pb_state"}, warm=True)
    assert not may_ask("stroke", rear, (), warm=True)  # no air brakes
    assert not may_ask("pb_state", situation_of(log_evidence("corner_hot", "1R")), (), warm=True)


def test_cold_corner_is_not_turned_while_hot():
    assert not may_ask("spin_hot", situation_of(log_evidence("corner_cold", "1L")), (), warm=True)


def test_what_is_open_asks_for_what_decides_it_drag_before_idle_before_heat():
    asked = check_for(opened(watch(COAST), Answer(answer="cannot_tell", decides=(BRAKE_IT,))))
    assert asked.id == "coast_drive"
    assert "10 to 15 min" in asked.question
    assert asked.why.startswith("1L is 29 K above 1R")
    idle = check_for(opened(None, Answer(answer="cannot_tell", decides=(BRAKE_IT,))))
    assert idle.id == "drive_with_braking"
    assert "18 K more is needed" in idle.question
    three = Answers(drag=Answer(answer="no"), idle=Answer(answer="no"), heat=watch(BRAKE_IT))
    assert check_for(log_evidence("none", answers=three)).id == "drive_with_braking"
    heavy = check_for(opened(watch(COAST), vehicle=HEAVY_DRUMS))
    assert "20 to 30 min" in heavy.question


def test_a_log_says_how_long_the_drive_should_be():
    stated = replace(COAST, numbers={"minutes_low": 5.0, "minutes_high": 7.0})
    assert "Drive 5 to 7 min" in check_for(opened(watch(stated))).question


@pytest.mark.parametrize(
    ("brake_degc", "expected"),
    [(120.0, "read_again"), (23.0, "drive_with_braking"), (None, "drive_with_braking")],
)
def test_cannot_tell_without_a_word_of_what_decides_asks_for_readings_or_heat(brake_degc, expected):
    assert check_for(log_evidence("cannot_tell", brake_degc=brake_degc)).id == expected


def test_what_may_not_be_asked_gives_way_to_the_next_that_decides():
    read = Reason(code="read_again", corners=("1L", "1R"))
    assert check_for(opened(watch(COAST, read), brake_degc=199.9)).id == "coast_drive"
    assert check_for(opened(watch(COAST, read), brake_degc=200.0)).id == "read_again"


@pytest.mark.parametrize(
    "never",
    [
        pytest.param({"brake_degc": 200.0}, id="hot"),
        pytest.param({"drive": "coast"}, id="driven already"),
    ],
)
def test_no_coast_drive_with_a_hot_brake_or_twice(never):
    """200 °C: doing.toml; common practice, no source."""
    assert check_for(opened(watch(COAST))).id == "coast_drive"
    turned = check_for(opened(watch(COAST), **never))
    assert turned.id == "cool_and_turn"
    assert "1L and 1R" in turned.question
    side = log_evidence("corner_hot", "1L", open_side=True, **never)
    assert check_for(side).id == "cool_and_turn"
    assert "1L and 1R" in check_for(side).question


def test_an_open_side_is_turned_by_hand_even_where_the_kind_names_the_cold_one():
    answers = replace(answered("corner_cold", "1L"), drag=watch(COAST))
    side = log_evidence("corner_cold", "1L", open_side=True, brake_degc=230.0, answers=answers)
    assert check_for(side).id == "cool_and_turn"
    alone = replace(side, answers=answered("corner_cold", "1L"))  # nothing may drag: the cold one is checked
    assert check_for(alone).id == "static_check"


def test_no_drive_with_a_strong_gap():
    """The light policy's strong marks are 30 K and 2.0; both are needed where a ratio is told."""
    assert check_for(opened(watch(COAST))).id == "coast_drive"
    assert check_for(opened(watch(COAST, reasons=(STRONG_GAP,)))).id == "cool_and_turn"
    flat = replace(STRONG_GAP, numbers={"difference_k": 31.0, "ratio": 1.5})
    assert check_for(opened(watch(COAST, reasons=(flat,)))).id == "coast_drive"
    without_ratio = replace(STRONG_GAP, numbers={"difference_k": 31.0})
    assert check_for(opened(watch(COAST, reasons=(without_ratio,)))).id == "cool_and_turn"


def test_a_dead_axle_is_checked_standing_whatever_its_description_says():
    cold = log_evidence("axle_cold", "2L", "2R", vehicle=HEAVY_DRUMS)
    for role in ("lift", "tag", "pusher"):
        axles = list(HEAVY_DRUMS.axles)
        axles[1] = Axle(role=role, brake="drum")
        assert check_for(replace(cold, vehicle=replace(HEAVY_DRUMS, axles=tuple(axles)))).id == "static_check"
    dead = check_for(cold)
    assert dead.id == "static_check"
    assert "Do not drive" in dead.question
    both = Reason(code="both_sides_cold", corners=("2L", "2R"))
    for reasons in ((both,), (WEAK_GAP,)):
        stand = check_for(opened(None, watch(BRAKE_IT, reasons=reasons)))
        assert stand.id == "static_check"  # also where it is watched only: the stand comes before any drive
        assert "check 1L standing" in stand.question


def test_a_brake_that_may_be_idle_is_checked_standing_whatever_else_might_decide():
    """A drive that comes first gives way to the stand, not to a reading, a later drive or the gun."""
    read = Reason(code="read_again", corners=("1L", "1R"))
    assert check_for(opened(None, watch(BRAKE_IT, read))).id == "static_check"
    assert check_for(opened(watch(COAST, read), watch(read))).id == "cool_and_turn"
    assert check_for(opened(None, watch(read, BRAKE_IT))).id == "read_again"  # no drive comes first


def test_above_an_urgent_line_nothing_is_asked_but_to_keep_clear_and_wait():
    for evidence in (
        log_evidence("corner_hot", "1L", urgent=HOT_TYRE),
        log_evidence("none", urgent=HOT_TYRE),
        opened(watch(COAST), urgent=HOT_TYRE),
    ):
        check = check_for(evidence)
        assert check.id == "clear_and_wait"
        assert "No drive and no work" in check.question
    smoke = check_for(log_evidence("none", urgent=(Urgent(code="smoke"), *HOT_TYRE)))
    assert "(smoke seen)" in smoke.question


def test_a_hub_that_cooled_is_not_forgotten():
    hub = (Urgent(code="hub_over_mate", corner="2L", spot="hub"),)
    safety = check_for(log_evidence("hub_hot", "2L", urgent=hub)).safety
    assert safety.startswith("The bearing of 2L is checked before the vehicle moves again")
    assert "Nobody stands at a sidewall" in safety


@pytest.mark.parametrize(
    ("codes", "asked"),
    [
        (("smoke",), "Nobody goes near (smoke seen)"),
        (("smell", "glow"), "Nobody goes near (glow seen)"),
        (("smell",), "keep clear, wait 45 min, then read every wheel again"),
    ],
)
def test_a_smell_alone_is_waited_for_and_not_watched_until_it_stops_smoking(codes, asked):
    question = check_for(log_evidence("none", urgent=tuple(Urgent(code=code) for code in codes))).question
    assert asked in question
    assert ("that has stopped" in question) == (codes != ("smell",))


BELOW = Reason(code="below_air", corners=("1L",), numbers={"below_k": 8.0})
COLD = Reason(code="stands_out_cold", corners=("1L", "1R"), numbers={"difference_k": 90.0, "ratio": 9.0})


@pytest.mark.parametrize("word", ["yes", "watch"])
def test_a_brake_below_the_stated_air_is_read_again_with_the_air_before_anything_is_lifted(word):
    idle = Answer(answer=word, corners=("1L",), reasons=(COLD, BELOW), decides=(COAST,))
    called = replace(answered("corner_cold", "1L"), idle=idle)
    check = check_for(log_evidence("corner_cold" if word == "yes" else "cannot_tell", "1L", answers=called))
    assert check.id == "read_again"
    assert "Read 1L again now, close and square on, then 1R, and measure the air again" in check.question
    assert "1L reads 8 K below the air that is stated. Lift nothing" in check.question


def test_a_brake_above_the_air_or_another_one_below_it_is_checked_as_ever():
    for below in (BELOW, replace(BELOW, corners=("2L",))):
        reasons = (COLD, below) if below is not BELOW else (COLD,)
        idle = Answer(answer="yes", corners=("1L",), reasons=reasons)
        called = replace(answered("corner_cold", "1L"), idle=idle)
        assert (
            check_for(log_evidence("corner_cold", "1L", answers=called)).id in evidence_table().observations
        )


def test_hot_corner_on_one_reading_says_so_beside_the_check():
    check = check_for(log_evidence("corner_hot", "1L", single_reading=True))
    assert check.id == "cool_and_turn"
    assert check.question.split(". ")[1].startswith("Read brake and hub of 1L")
    unread = check_for(log_evidence("corner_hot", "1L", single_reading=True, brake_degc=None))
    assert "Only one reading stands behind this" in unread.why


def test_no_cause_is_believed_beyond_the_cap_and_the_rest_keep_their_proportions():
    """Worked by hand: 96, 3 and 1 parts become 95 % and three to one parts of the rest."""
    assert held_below(np.array([96.0, 3.0, 1.0]), 0.95) == pytest.approx([0.95, 0.0375, 0.0125])
    assert held_below(np.array([6.0, 4.0]), 0.95) == pytest.approx([0.6, 0.4])


def test_information_of_a_sure_answer_and_of_none():
    """A noisy yes/no channel carries 1 - H(e) bit (Shannon 1948, example of the binary channel)."""
    even = np.array([0.5, 0.5])
    alike, noisy = [[0.3, 0.3], [0.7, 0.7]], [[0.89, 0.11], [0.11, 0.89]]
    bits = information_bits(QuestionRows.of(np.array([alike, noisy])), even)
    # e = 0.11: H = 0.49992 bit (computed by hand from the definition), so 0.50008 bit are left.
    assert bits == pytest.approx([0.0, 0.50008], abs=1e-5)


def test_waiting_counts_once_and_the_driver_is_asked_once():
    """Own rule; evidence.toml: 5 min a wheel, 6 to raise it, 31 min x ln(160 / 30) to cool."""
    two = log_evidence("axle_hot", "1L", "1R")
    assert as_check(two, "frees_cold", "").minutes == pytest.approx(5 + 6 + 51.8933, abs=1e-4)
    assert as_check(two, "feel_noise", "").minutes == 4


def test_pull_is_asked_of_one_wheel_that_steers():
    assert may_ask("pull", situation_of(log_evidence("corner_hot", "1L")), (), warm=True)
    for other in (("corner_hot", "2L"), ("axle_hot", "1L", "1R"), ("all_hot",)):
        assert not may_ask("pull", situation_of(log_evidence(*other)), (), warm=True)


def test_a_sound_vehicle_reads_no_large_file():
    evidence_table.cache_clear()
    assert check_for(log_evidence("none", vehicle=default_vehicle(2), brake_degc=40.0)).id == "keep_record"
    assert evidence_table.cache_info().currsize == 0
