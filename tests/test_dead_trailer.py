"""A trailer or circuit of which no brake works: couplings, cocks and plug come before strokes and wheels."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Collection
from importlib import import_module
from pathlib import Path

import pytest
from advicecases import CAR, POLICY, log_evidence
from msgspec.structs import replace

import thermlog
from thermlog.advice.apart import suspects_apart
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.logevidence import LogEvidence
from thermlog.advice.narrowing import Found, narrow
from thermlog.advice.nextcheck import next_check
from thermlog.advice.situations import situation_of
from thermlog.advice.suspects import rank_suspects, ranked
from thermlog.advice.weighing import cause_weights
from thermlog.cli import run
from thermlog.words.findings import Answer, Answers, Suspect
from thermlog.words.vehicle import Axle, Vehicle

sys.path.insert(0, str(Path(__file__).parent.parent / "bench"))
narrow_cases = import_module("narrow_cases")

TABLE = evidence_table()
DRUM = Axle(role="drive", brake="drum", parking_brake=True)


def towing(trailing: int, *, role: str = "trailer") -> Vehicle:
    """A tractor of two axles with so many behind it."""
    behind = (Axle(role=role, brake="drum", parking_brake=True),) * trailing
    return Vehicle(axles=(Axle(role="steer", brake="drum"), DRUM, *behind), weight_class="heavy", stated=True)


def dead(vehicle: Vehicle, *axles: int, read: Collection[int] = ()) -> LogEvidence:
    """No brake of these axles works; these others were read."""
    corners = tuple(f"{axle}{side}" for axle in axles for side in "LR")
    degc = tuple((f"{axle}{side}", 90.0) for axle in read for side in "LR")
    kind = "axle_cold" if len(axles) == 1 else "circuit_cold"
    policy = POLICY[vehicle.weight_class]
    return replace(log_evidence(kind, *corners, vehicle=vehicle), degc=degc, policy=policy)


def written(path: Path, axles: str, brakes: str, dead_ones: Collection[int]) -> str:
    """A walk of three rounds: dead brakes at the air, the others at 110 °C and cooling."""
    lines = [f"# axles: {axles}", f"# brakes: {brakes}", "# weight: heavy", "# drive: normal"]
    lines += ["# ambient: 18 C", "since_parked_s,position,temp_c"]
    corners = [f"{k}{side}" for k in range(1, len(axles.split()) + 1) for side in "LR"]
    for n in range(3 * len(corners)):
        corner, after_s = corners[n % len(corners)], 30 + 16 * n
        rise_k = 1.0 if int(corner[0]) in dead_ones else 92.0 * math.exp(-after_s / 1500.0)
        lines.append(f"{after_s},{corner},{18.0 + rise_k:.1f}")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return str(path)


@pytest.mark.parametrize("trailing", [1, 2, 3])
def test_check_looks_at_couplings_and_cocks_first(tmp_path, trailing):
    """One minute without a tool before anything is measured, however many axles the trailer has."""
    axles = " ".join(["steer", "drive", *["trailer"] * trailing])
    behind = range(3, 3 + trailing)
    log = written(tmp_path / "dead.csv", axles, " ".join(["drum"] * (2 + trailing)), behind)
    run(["check", log, "--format", "json", "--exit-zero", "-o", str(tmp_path / "told.json")])
    told = json.loads((tmp_path / "told.json").read_text(encoding="utf-8"))
    assert told["pattern"]["kind"] == ("axle_cold" if trailing == 1 else "trailer_cold")
    assert told["suspects"][0]["cause"] == "trailer_line_shut"
    assert told["next_check"]["id"] == "couplings"
    assert told["next_check"]["minutes"] == TABLE.observations["couplings"].minutes
    assert "First secured, towing vehicle and trailer" in told["next_check"]["safety"]
    found = thermlog.narrow(log, {"couplings": "brake_line_off"})
    assert found["causes"][0]["cause"] == "trailer_line_shut"
    assert found["causes"][0]["standing"] == "most likely"
    assert [one["standing"] for one in found["causes"]].count("most likely") == 1
    # It is coupled now: nothing is measured that would tell of another state than the log.
    asked = found["next_check"]["id"] if found["next_check"] else ""
    assert asked not in {key for key, stated in TABLE.moot.items() if "couplings=brake_line_off" in stated}
    assert found["ending"] == "settled" or asked == "job_before_other"


def test_couplings_found_right_lead_to_the_towing_vehicles_valve():
    right = [Found(check="trailer_load", answer="loaded"), Found(check="couplings", answer="both_open")]
    assert narrow(dead(towing(3), 3, 4, 5), right).check.id == "head_gauge"
    low = [*right, Found(check="head_gauge", answer="low")]
    assert narrow(dead(towing(3), 3, 4, 5), low).suspects[0].cause == "trailer_valve_weak"


def test_what_hangs_on_the_line_is_asked_of_axles_behind_a_coupling_only():
    """The same axles described as drive axles: no coupling to look at, and none is offered."""
    for vehicle in (towing(3, role="drive"), towing(3, role="tag")):
        weights = cause_weights(situation_of(dead(vehicle, 3, 4, 5)))
        assert not {"trailer_line_shut", "trailer_valve_weak"} & set(weights)
        assert next_check(dead(vehicle, 3, 4, 5), rank_suspects(dead(vehicle, 3, 4, 5))).id != "couplings"


def test_the_line_is_believed_by_whether_the_whole_trailer_is_dead():
    """evidence.toml: eight times where all its axles are, a tenth where another one works."""

    def ratio(evidence: LogEvidence) -> float:
        weights = cause_weights(situation_of(evidence))
        return weights["trailer_line_shut"] / weights["relay_weak"]

    some = ratio(dead(towing(3), 3))
    assert ratio(dead(towing(1), 3)) == pytest.approx(8.0 * some, rel=1e-12)
    part = dead(towing(3), 3, read=(1, 2, 4))
    assert ratio(part) == pytest.approx(0.1 * some, rel=1e-12)
    line = next(one for one in rank_all(part) if one.cause == "trailer_line_shut")
    assert "Another axle of this trailer does its part." in line.against
    assert rank_suspects(part)[0].cause != "trailer_line_shut"


def rank_all(evidence: LogEvidence) -> tuple[Suspect, ...]:
    return ranked(evidence, situation_of(evidence), most=99)


@pytest.mark.parametrize(("kind", "cause", "check"), [
    ("electric_drum", "trailer_plug_dead", "plug_look"),
    ("overrun_drum", "overrun_no_push", "drawtube_force"),
    ("surge_hyd", "overrun_no_push", "drawtube_force"),
])  # fmt: skip
def test_a_dead_light_trailer_behind_a_car_is_asked_of_its_plug_or_coupling(kind, cause, check):
    """Its axles have a trailer's brakes though a car tows it; no pedal works them."""
    behind = Axle(role="trailer", brake="drum", fitted=kind)
    car = replace(CAR, axles=(*CAR.axles, behind, behind))
    suspects = rank_suspects(dead(car, 3, 4))
    assert suspects[0].cause == cause
    assert next_check(dead(car, 3, 4), suspects).id == check
    unsaid = replace(CAR, axles=(*CAR.axles, *(Axle(role="trailer", brake="drum"),) * 2))
    shares = dict(situation_of(dead(unsaid, 3, 4)).shares)
    assert shares == pytest.approx(TABLE.share["trailer_axle"])


def test_a_dead_trailer_beside_another_suspect_is_one_job():
    """Two dead axles behind the coupling and a drag in front: two searches, not three."""
    vehicle = towing(2)
    drag, idle = ("1L",), ("3L", "3R", "4L", "4R")
    answers = Answers(
        drag=Answer(answer="yes", corners=drag), idle=Answer(answer="yes", corners=idle), heat=Answer()
    )
    evidence = log_evidence("several", *drag, *idle, vehicle=vehicle, answers=answers)
    apart = suspects_apart(evidence)
    assert [one.corners for one in apart] == [idle, drag]
    assert apart[0].kind == "trailer_cold"
    part = Answers(
        drag=Answer(answer="yes", corners=drag), idle=Answer(answer="yes", corners=idle[:3]), heat=Answer()
    )
    partly = suspects_apart(replace(evidence, answers=part))
    assert [one.corners for one in partly if one.fault.sign == "cold"] == [idle[:2], idle[2:3]]


def test_a_dead_circuit_is_looked_for_at_pedal_and_fluid_before_a_wheel():
    evidence = log_evidence("diagonal_cold", "1L", "2R")
    suspects = rank_suspects(evidence)
    assert (suspects[0].cause, suspects[0].place) == ("circuit_dead", "circuit of 1L and 2R")
    check = next_check(evidence, suspects)
    assert TABLE.observations[check.id].source == "seat"
    assert TABLE.observations[check.id].once == "vehicle"
    front = log_evidence("axle_cold", "1L", "1R", vehicle=replace(CAR, split="front_rear"))
    assert "circuit_dead" in {one.cause for one in rank_suspects(front)}
    air = situation_of(dead(towing(1), 2))
    assert "circuit_dead" not in cause_weights(air)


def test_cold_circuits_are_searched_in_the_sessions_too():
    """Every kind of verdict that a cause of a circuit can show itself as, cold or hot."""
    seen = {case.verdict for case in narrow_cases.cases()}
    assert {"circuit_cold", "diagonal_cold", "circuit_hot", "diagonal_hot", "axle_cold"} <= seen
    assert {"trailer_cold", "trailer_hot"} <= seen
    behind = {case.verdict for case in narrow_cases.cases() if case.cause == "trailer_line_shut"}
    assert behind == {"axle_cold", "trailer_cold"}


def test_lines_and_plugs_are_handled_with_both_vehicles_secured():
    """What is done at a coupling says first that nothing can roll, and that air or plug may let it off."""
    handled = ("couplings", "line_gauge", "head_gauge", "plug_look")
    for key in handled:
        said = TABLE.observations[key].safety
        secured = (
            "Hot parts burn: gloves. First secured, towing vehicle and trailer: parking brakes on, chocked"
        )
        assert said.startswith(secured), key
        assert "engine as the service information says" in said
        assert "This may release what holds the vehicle." in said
    # Service brakes are seen to move, and pressure to follow the treadle, with the parking brake let off.
    for key in ("treadle_releases", "leak_coupling", "line_gauge", "head_gauge"):
        asked = TABLE.observations[key]
        assert "parking brake let off" in asked.how
        assert "chocked" in (asked.how + asked.safety).lower()
