"""Walks every answer, temperature, spot, brake, vehicle and drive, and refuses each forbidden combination."""

from __future__ import annotations

import re
from itertools import product

import pytest
from advicecases import AIR_DISC_BUS, CAR, HEAVY_DRUMS, LIGHT_TRAILER, POLICY, answered
from msgspec.structs import replace

from thermlog.advice.candidates import COOL_FIRST, ON_STANDS
from thermlog.advice.cautions import cautions
from thermlog.advice.evidencechecks import INSTRUCTS
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.logevidence import LogEvidence
from thermlog.advice.narrowing import Found, narrow
from thermlog.advice.nextcheck import DRIVES, next_check
from thermlog.advice.suspects import rank_suspects
from thermlog.advice.urgency import HotSpots, HottestReading, HubDifference, has_fluid, urgent_lines
from thermlog.words.findings import Answer, Answers, AnswerWord, NextCheck
from thermlog.words.reasons import Reason
from thermlog.words.tables import Seen
from thermlog.words.vehicle import Axle, Vehicle, default_vehicle

VEHICLES: dict[str, Vehicle] = {
    "car, discs": CAR,
    "car, drums behind": Vehicle(
        axles=(Axle(role="steer", brake="disc"), Axle(brake="drum", parking_brake=True)),
        weight_class="light",
        stated=True,
    ),
    "electric car": replace(CAR, regenerative=True),
    "nothing stated": default_vehicle(2),
    "light trailer": LIGHT_TRAILER,
    "bus, air discs": AIR_DISC_BUS,
    "lorry, drums": Vehicle(
        axles=(Axle(role="steer", brake="drum"), Axle(role="drive", brake="drum", parking_brake=True)),
        weight_class="heavy",
        stated=True,
    ),
    "lorry, tag axle lifted": Vehicle(
        axles=(
            Axle(role="steer", brake="drum"),
            Axle(role="tag", brake="drum", lifted=True),
        ),
        weight_class="heavy",
        stated=True,
    ),
    "combination, five axles": HEAVY_DRUMS,
}
WATCHED = (("2L",), ("2L", "2R"), ("1L", "1R"), ("1L", "2R"))
DRIVEN = (None, "normal", "coast", "verification")
DEGC = (20, 49, 50, 55, 120, 199, 200, 299, 300, 441, 500)
RAISED = re.compile(r"(?:[Rr]aise and support|Raise|Lift) (.*?)(?: by | at | while| and turn|,)")
SPOTS = ("brake", "rotor_outer", "caliper", "drum", "hub", "rim", "tyre_outer")
KINDS: dict[str, tuple[str, ...]] = {
    "none": (), "cannot_tell": (), "corner_hot": ("2L",), "corner_cold": ("1R",), "axle_hot": ("2L", "2R"),
    "axle_cold": ("2L", "2R"), "diagonal_hot": ("1L", "2R"), "circuit_hot": ("1L", "1R", "2L", "2R"),
    "all_hot": (), "hub_hot": ("2L",), "several": ("1L", "2R"),
}  # fmt: skip
WORDS: tuple[AnswerWord, ...] = ("no", "watch", "yes", "cannot_tell")
WEAK = Reason(code="gap_open", corners=("2L", "2R"), numbers={"difference_k": 20.0, "ratio": 1.6})
STRONG = Reason(code="gap_open", corners=("2L", "2R"), numbers={"difference_k": 90.0, "ratio": 2.9})
DEAD = Reason(code="both_sides_cold", corners=("2L", "2R"), numbers={"below_k": 50.0})
EVERY_DRIVE = tuple(
    Reason(code=code, corners=("2L", "2R"))
    for code in ("drive_with_braking", "drive_loaded", "repeat_drive", "coast_drive", "mark_and_read")
)
LOADED = DRIVES - {"coast_drive", "mark_and_read"}
ASKS = evidence_table().observations
# Each is done with a pedal, which a light trailer does not have.
PEDAL = ("pedal", "treadle", "booster", "master cylinder", "pushrod", "bleeder")


def urgent(vehicle: Vehicle, spot: str, degc: float, *, hub_k: float = 0.0, seen: tuple[Seen, ...] = ()):
    """Urgent lines of one hottest reading, a hub above its mate, and what was seen."""
    read = HottestReading(corner="2L", spot=spot, value_degc=degc)
    hubs = (HubDifference(corner="2L", over="mate", difference_k=hub_k),) if hub_k else ()
    spots = HotSpots(readings=(read,), hubs=hubs, hydraulic=has_fluid(vehicle))
    return urgent_lines(spots, seen, POLICY[vehicle.weight_class])


def case(vehicle: Vehicle, kind: str, answers: Answers, drive: str | None, **other) -> LogEvidence:
    """One log of a vehicle; the lines of its policy."""
    usual = {"brake_degc": 120.0, "urgent": ()}
    return LogEvidence(
        kind=kind,
        corners=KINDS[kind],
        answers=answers,
        vehicle=vehicle,
        drive=drive,
        policy=POLICY[vehicle.weight_class],
        **usual | other,
    )


def asked(evidence: LogEvidence) -> NextCheck:
    return next_check(evidence, rank_suspects(evidence))


def refuse_hands_on_warm_metal(check: NextCheck, brake_degc: float) -> None:
    """From 50 °C on, where bare metal burns, whatever brings hands or eyes to a wheel waits."""
    if brake_degc < 50.0:
        return
    if check.id == "secure_wheel":
        assert "below 50 °C" in check.question, check.question
    if goes_near(check.id):
        assert "hot" not in ASKS[check.id].needs, "heat and hands together"
        before, *_ = re.split(r"Then: |gun: ", check.question)
        assert "below 50 °C" in before, check.question


def refuse_hands_on_heat(check: NextCheck, brake_degc: float) -> None:
    """From 200 °C on it cools first, so far as is said, and is read again by gun meanwhile."""
    hot, burns = brake_degc >= 200.0, brake_degc >= 50.0
    refuse_hands_on_warm_metal(check, brake_degc)
    if lets_roll(check.id):
        assert not hot, "what holds the vehicle is let off where nobody goes near"
        assert re.search(r"(^|Then: |gun: )Chock both ways", check.question), check.question
    if check.id == "keep_record":
        cools = "Touch nothing yet: let it cool, nobody nearer to a wheel than the gun needs. Keep this log"
        assert check.question.startswith(cools if hot else "Keep this log")
    elif hot and check.id != "clear_and_wait":
        first = check.question.split(". ")[0]
        assert first.startswith("Do not drive it"), check.question
        assert "touch nothing yet" in first, check.question
        assert "et it cool" in check.question, check.question
        assert not any(words in check.question for words in ("Look", "look at")), check.question
    if check.id == "cool_and_turn":
        assert burns == ("again by gun now" in check.question), "what only heat tells is lost"
    if check.id == "static_check":
        assert hot == ("again by gun in 5 min" in check.question), "what only heat tells is lost"
    if check.id in {"cool_and_turn", "static_check"}:
        assert "below 50 °C" in check.question, "nobody says how far it has to cool"


def refuse_two_axles_in_the_air(question: str) -> None:
    """Wheels of one axle are raised together at most; the next axle once that one is down."""
    for raised in RAISED.findall(question):
        axles = {one.rstrip("LR") for one in re.findall(r"\b(\d[LR]|front|rear|axle \d)\b", raised)}
        assert len(axles) < 2 or raised.startswith("one of "), question


def refuse_no_instruction(check: NextCheck) -> None:
    """What comes next is something to do, in every case."""
    first = check.question.split()[0]
    assert first in INSTRUCTS | {"Do", "No", "Nobody", "Drive", "Make", "Walk", "Keep", "Put", "Touch"}, (
        check.question
    )


def refuse_forbidden(evidence: LogEvidence) -> None:
    """Everything that must not be asked for, whatever else is so."""
    check, needs = asked(evidence), set()
    if check.id in ASKS:
        needs = set(ASKS[check.id].needs)
    refuse_hands_on_heat(check, evidence.brake_degc or 0.0)
    refuse_no_instruction(check)
    refuse_two_axles_in_the_air(check.question)
    if evidence.urgent:
        assert check.id == "clear_and_wait", "work or a drive above an urgent line"
    if check.id in DRIVES:
        assert (evidence.brake_degc or 0.0) < 200.0, "a drive with a brake at 200 °C"
        assert not evidence.strong_gap, "a drive with a strong gap"
        assert evidence.open_side or evidence.answers.drag.answer != "yes", "a drive with a dragging brake"
        assert not evidence.answers.idle.suspects, "a drive before the check of a brake that may not work"
    if check.id in LOADED:
        assert evidence.spared or not evidence.kind.endswith("_cold"), "a loaded drive on a dead axle"
        assert evidence.spared or evidence.answers.idle.answer != "yes", "a loaded drive on a dead axle"
        suspected = evidence.answers.idle.open and DEAD in evidence.answers.idle.reasons
        assert evidence.spared or not suspected, "a loaded drive on a dead axle"
    if check.id == "drive_loaded":
        assert evidence.spared, "an axle called idle that nobody describes so"
    assert "opens" not in needs, "opened before a look, a turn by hand and the parking brake"
    words = f"{check.question} {check.safety}".lower()
    if not has_fluid(evidence.vehicle) and evidence.vehicle.weight_class == "light":
        assert not any(word in words for word in ("pedal is", "press", *PEDAL[1:])), "a pedal on a trailer"
    assert "open the chamber" not in words
    assert "open or hammer a spring-brake chamber" not in words.replace("never open or hammer", "")


@pytest.mark.parametrize("name", VEHICLES)
def test_established_faults_at_every_temperature_and_spot(name):
    vehicle = VEHICLES[name]
    for kind, drive, spot, degc in product(KINDS, DRIVEN, SPOTS, DEGC):
        brake = float(degc) if spot in {"brake", "rotor_outer", "caliper", "drum"} else 120.0
        for flags in ({}, {"single_reading": True}, {"hub_over_brake": True, "hub_read": True}):
            refuse_forbidden(
                case(
                    vehicle,
                    kind,
                    answered(kind, *KINDS[kind]),
                    drive,
                    brake_degc=brake,
                    urgent=urgent(vehicle, spot, degc),
                    **flags,
                )
            )


@pytest.mark.parametrize("name", VEHICLES)
@pytest.mark.parametrize("degc", [199, 200, 299])
def test_a_search_goes_near_no_wheel_before_a_brake_at_200_degrees_has_cooled(name, degc):
    """Every kind, and drags that are watched: skip whatever is offered, and pass the gates, to the end."""
    vehicle = VEHICLES[name]
    kinds = sorted(set(KINDS) - {"none", "cannot_tell"})
    cases = {
        kind: case(vehicle, kind, answered(kind, *KINDS[kind]), "normal", brake_degc=float(degc))
        for kind in kinds
    } | {f"watched {at}": drag_watched(vehicle, at, float(degc)) for at in WATCHED[:3]}
    for kind, evidence in cases.items():
        found, skipped, touched = [], [], 0
        while (state := narrow(evidence, found, skipped)).check is not None:
            key = state.check.id
            if key == COOL_FIRST:
                assert degc >= 200
                assert "below 50 °C" in state.check.question
                waiting = narrow(evidence, [*found, Found(check=key, answer="not_yet")], skipped)
                assert waiting.check is None or not goes_near(waiting.check.id)
                found.append(Found(check=key, answer="cooled"))
            elif key == ON_STANDS:
                assert state.check.question.startswith("Raise ")
                refuse_two_axles_in_the_air(state.check.question)
                found.append(Found(check=key, answer="yes"))
            else:
                skipped.append(key)
            if degc >= 200 and key != COOL_FIRST and Found(check=COOL_FIRST, answer="cooled") not in found:
                assert state.check.safety.startswith("Not driven, and nobody nearer to a wheel than the gun")
            if goes_near(key):
                touched += 1
                told = Found(check=COOL_FIRST, answer="cooled") in found
                assert told or "below 50 °C" in f"{state.check.question} {state.check.safety}", (
                    "hands at warm metal"
                )
                assert "while still hot" not in state.check.question
                assert degc < 200 or Found(check=COOL_FIRST, answer="cooled") in found
                assert degc < 200 or key not in ASKS or "hot" not in ASKS[key].needs
        assert touched, kind
        never = narrow(evidence, (), [*skipped, COOL_FIRST]) if degc >= 200 else None
        assert never is None or never.check is None or not goes_near(never.check.id)


@pytest.mark.parametrize("name", VEHICLES)
@pytest.mark.parametrize("at", WATCHED)
def test_a_drag_that_is_only_watched_at_every_temperature(name, at):
    """Here the parking brake is looked at first, on a brake that is cool enough for it."""
    vehicle = VEHICLES[name]
    for degc, drive in product(DEGC, DRIVEN):
        evidence = drag_watched(vehicle, at, float(degc), drive=drive)
        refuse_forbidden(evidence)
        check = asked(evidence)
        light = vehicle.weight_class == "light"
        if check.id == "cool_and_turn" and degc >= 200 and light and at == ("2L", "2R"):
            assert "ask the driver whether the parking brake was on" in check.question
        assert check.id != "pb_state" or degc < 200


def drag_watched(vehicle: Vehicle, at: tuple[str, ...], degc: float, drive: str | None = "normal"):
    reason = Reason(code="both_sides_hot", corners=at, numbers={"above_k": 70.0})
    drag = Answer(answer="watch", corners=at, reasons=(reason,), decides=EVERY_DRIVE)
    return case(
        vehicle,
        "cannot_tell",
        replace(answered("none"), drag=drag),
        drive,
        brake_degc=degc,
        urgent=urgent(vehicle, "brake", degc),
    )


def lets_roll(key: str) -> bool:
    """Told from the card alone: the parking brake is let off, and the wheels stand on the ground."""
    return key in ASKS and "parking" in ASKS[key].needs and "lift" not in ASKS[key].needs


def goes_near(key: str) -> bool:
    """Told from the card alone: work, or a look, at a wheel, and not by the gun or out of a memory."""
    if key not in ASKS:
        return key in {"brake_kind", "parking_here"}  # what is fitted is looked at, at a wheel
    one = ASKS[key]
    at_wheel = one.once != "vehicle" or "{place}" in one.ask + one.do
    hands = {"touch", "lift", "wheel_off", "opens"} & set(one.needs)
    return bool(hands) or (at_wheel and one.source not in {"log", "gun", "driver"})


def test_whoever_lets_off_what_holds_the_vehicle_is_told_first_to_chock_it():
    released = {key for key in ASKS if lets_roll(key)} - {"parking_kind"}  # looked at only
    assert released == {"pb_state", "pb_state_air", "hold_off", "leak_spring"}
    for key in released:
        assert ASKS[key].instruction.startswith("Chock both ways")
        assert ASKS[key].how.startswith(("Chocked both ways", "Full air, chocked both ways"))


def test_whatever_is_done_at_a_wheel_is_held_to_touch_it_unless_eye_or_gun_does_it():
    """A new check at a wheel or an axle has to say which it is."""
    at_wheels = {key for key, one in ASKS.items() if one.once != "vehicle" and not one.touches}
    assert at_wheels == {
        "th_face", "th_hub", "hub_later", "read_once_more", "tyre_read", "visual", "rod_home", "pb_state",
        "roller_force", "axle_used", "axle_has", "parking_kind", "rod_pulls",
    }  # fmt: skip
    assert all(one.touches for one in ASKS.values() if one.source in {"lift", "wheel_off"})
    # Of these the gun needs nobody near; eyes do.
    by_eye = {key for key in at_wheels if ASKS[key].near}
    assert by_eye == {
        "visual", "rod_home", "pb_state", "roller_force", "rod_pulls", "axle_has", "parking_kind",
    }  # fmt: skip
    assert not any(ASKS[key].near for key in ("stood", "pull", "pedal_feel", "gate_fluid", "pb_state_air"))


@pytest.mark.parametrize("name", VEHICLES)
def test_open_answers_that_all_wish_for_a_drive(name):
    vehicle = VEHICLES[name]
    wishes = [EVERY_DRIVE[k:] + EVERY_DRIVE[:k] for k in range(len(EVERY_DRIVE))]
    for drag, idle, heat, degc, drive in product(WORDS, WORDS, ("no", "watch"), (20, 199, 200, 300), DRIVEN):
        for reason, decides in product((WEAK, STRONG, DEAD), wishes):
            answers = Answers(
                drag=Answer(answer=drag, reasons=(reason,), decides=decides),
                idle=Answer(answer=idle, reasons=(reason,), decides=decides),
                heat=Answer(answer=heat, decides=decides),
            )
            refuse_forbidden(
                case(
                    vehicle,
                    "none",
                    answers,
                    drive,
                    brake_degc=float(degc),
                    urgent=urgent(vehicle, "brake", degc),
                )
            )


@pytest.mark.parametrize("name", VEHICLES)
def test_an_open_side_is_never_settled_on_the_road_when_hot_or_far_apart(name):
    vehicle = VEHICLES[name]
    for kind, degc, drive, reason in product(
        ("corner_hot", "corner_cold", "none"), DEGC, DRIVEN, (WEAK, STRONG)
    ):
        side = Answer(answer="watch", corners=("2L",), reasons=(reason,), decides=EVERY_DRIVE[3:])
        for idle in (side, answered("none").idle):
            evidence = case(
                vehicle,
                kind,
                replace(answered("none"), drag=side, idle=idle),
                drive,
                brake_degc=float(degc),
                open_side=True,
                urgent=urgent(vehicle, "brake", degc),
            )
            refuse_forbidden(evidence)
            quiet = degc < 200 and reason is WEAK and drive != "coast" and idle is not side
            assert (asked(evidence).id == "coast_drive") == quiet


@pytest.mark.parametrize("name", VEHICLES)
@pytest.mark.parametrize("code", ["smoke", "glow", "flame", "smell"])
def test_what_was_seen_forbids_work_and_drives_on_the_coldest_vehicle(name, code):
    vehicle = VEHICLES[name]
    for kind, corners in KINDS.items():
        found = urgent(vehicle, "brake", 20.0, hub_k=44.0, seen=(Seen(code=code),))
        evidence = case(vehicle, kind, answered(kind, *corners), "normal", urgent=found, brake_degc=20.0)
        refuse_forbidden(evidence)
        lines = cautions(evidence)
        assert {"smoke": "Smoke", "glow": "glows", "flame": "Flames", "smell": "A smell"}[code] in lines[
            0 if code != "smell" else 1
        ]
        assert any("hub far above its mate" in line for line in lines[:2])


def test_the_case_that_started_this_a_lorry_without_rear_pressure_is_checked_standing():
    """Two axles, both rear drums cold, nothing described as idle: not "axle raised", no loaded drive."""
    lorry = VEHICLES["lorry, drums"]
    evidence = case(lorry, "axle_cold", answered("axle_cold", "2L", "2R"), "normal")
    assert rank_suspects(evidence)[0].cause != "idle_by_design"
    check = asked(evidence)
    assert check.id == "static_check"
    assert "stroke" in check.question
    assert asked(replace(evidence, corners=("1L", "1R"))).id == "static_check"
    tag = replace(evidence, vehicle=VEHICLES["lorry, tag axle lifted"])
    assert asked(tag).id == "static_check"
