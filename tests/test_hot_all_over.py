"""A vehicle that is hot all over is not driven to find out: by gun, by question and by hand first.

What a careful technician accepts: below 200 °C as above it nobody drives such a vehicle before it is known
what holds its brakes, for what drags all over grows hotter on the road. What only heat tells is read at once;
then it is asked how it was driven and looked at what holds every brake; a drive without braking comes once
every wheel turns freely. Rises are invented.
"""

from __future__ import annotations

from itertools import product

import pytest
from advicecases import answered, log_evidence
from judgecases import EXACT, HEAVY, LIGHT, described, told, walked
from msgspec.structs import replace
from proofcases import NORMAL, compared, drive

from thermlog.advice.driving import moving
from thermlog.advice.nextcheck import next_check
from thermlog.words.findings import Answer, Answers, Diagnosis
from thermlog.words.reasons import DRIVES, Reason
from thermlog.words.vehicle import Vehicle

CAR = described("steer", "drive")
LORRY = described("steer", "drive", "drive", weight_class="heavy")
TRAILER = described("trailer", "trailer")
VEHICLES: dict[str, Vehicle | None] = {"car": CAR, "undescribed": None, "lorry": LORRY, "trailer": TRAILER}
HOT = Reason(code="all_hot", corners=("1L", "1R", "2L", "2R"), numbers={"rise_k": 150.0, "usual_k": 70.0})


def hot(
    vehicle: Vehicle | None, rise_k: float, *, drive: str = "normal", ambient_degc: float = 18.0
) -> Diagnosis:
    """Every brake as warm as the others, read twice."""
    axles = 2 if vehicle is None else len(vehicle.axles)
    rises = {f"{axle}{side}": rise_k for axle in range(1, axles + 1) for side in "LR"}
    walk = replace(EXACT, rounds=2, first_s=5.0, drive=drive, description=vehicle, ambient_degc=ambient_degc)
    heavy = vehicle is not None and vehicle.weight_class == "heavy"
    return told(walked(rises, walk), HEAVY if heavy else LIGHT)


def driven(one: Diagnosis) -> set[str]:
    """Every drive that it asks for, next or to decide."""
    asked = {step.code for answer in one.answers.each for step in answer.decides}
    return (asked | {one.next_check.id if one.next_check else ""}) & DRIVES


@pytest.mark.parametrize("name", VEHICLES)
@pytest.mark.parametrize("ambient_degc", [-15.0, 18.0, 40.0])
def test_hot_all_over_is_driven_at_no_temperature(name, ambient_degc):
    """From a cool vehicle to one at 290 °C: no drive as soon as it is watched."""
    seen = set()
    for rise_k in range(60, 270, 10):
        one = hot(VEHICLES[name], float(rise_k), ambient_degc=ambient_degc)
        seen.add(one.answers.heat.answer)
        assert not (one.answers.heat.suspects and driven(one)), rise_k
        assert not one.answers.heat.suspects or moving(one) in {"stands", "stopped"}, rise_k
    assert seen >= {"no", "watch"}


@pytest.mark.parametrize(
    ("name", "rise_k"), [("car", 90.0), ("car", 170.0), ("lorry", 110.0), ("trailer", 90.0)]
)
def test_nor_is_one_that_stayed_hot_without_braking(name, rise_k):
    """Neither the same drive once more, nor one with harder stops to see whether every brake works."""
    one = hot(VEHICLES[name], rise_k, drive="coast")
    assert one.answers.heat.suspects
    assert not driven(one)
    assert [step.code for step in one.answers.idle.decides] == ["cool_and_turn"]


@pytest.mark.parametrize(
    ("name", "rise_k", "first"),
    [("car", 150.0, "pedal_returns"), ("lorry", 170.0, "foot_or_assist"), ("trailer", 150.0, "stood")],
)
def test_what_holds_every_brake_is_asked_and_looked_at_while_it_cools(name, rise_k, first):
    """The same check as a search for the cause begins with; the drive before may explain it, too."""
    one = hot(VEHICLES[name], rise_k)
    check = one.next_check
    assert one.answers.heat.answer == "watch"
    assert check is not None
    assert check.id == first
    assert "Let it cool meanwhile, and ask how it was driven: a descent" in check.question
    assert check.safety.startswith("Not driven before it is known what holds it.")
    assert check.why.startswith("All brakes read are hot")


def test_what_only_heat_tells_is_read_before_anything_is_asked():
    unread = Reason(code="read_unread", corners=("2R",))
    turn, state = Reason(code="cool_and_turn"), Reason(code="state_class")
    heat = Answer(answer="watch", corners=HOT.corners, reasons=(HOT,), decides=(turn,))

    def asked(*decides: Reason, brake_degc: float = 180.0) -> str:
        drag = Answer(answer="cannot_tell", corners=HOT.corners, reasons=(HOT,), decides=decides)
        answers = Answers(drag=drag, idle=Answer(answer="no"), heat=heat)
        return next_check(log_evidence("none", answers=answers, brake_degc=brake_degc), ()).id

    assert asked(turn, unread) == "read_unread"
    assert asked(turn, state) == "pedal_returns"
    assert asked(turn, brake_degc=199.9) == "pedal_returns"
    assert asked(turn, brake_degc=200.0) == "cool_and_turn"


def test_a_drive_without_braking_that_cleared_it_is_believed():
    """Hot after braking, and all sunk on the drive without: nothing drags, and it is not held back."""
    clear = replace(answered("none"), heat=Answer(answer="watch", reasons=(HOT,)))
    assert not clear.may_all_drag
    for word, heat in product(("watch", "yes", "cannot_tell"), ("watch", "yes")):
        answers = replace(clear, drag=Answer(answer=word), heat=replace(clear.heat, answer=heat))
        assert answers.may_all_drag
    assert not replace(answered("none"), drag=Answer(answer="cannot_tell")).may_all_drag


def test_a_comparison_sends_nobody_on_a_drive_with_a_brake_at_200_degrees():
    """Both brakes of a trailer's only axle with less heat than before: a drive without braking tells."""
    walk = replace(NORMAL, description=described("trailer"))
    found = compared(drive({"1L": 270.0, "1R": 268.0}, walk), drive({"1L": 60.0, "1R": 61.0}, walk))
    assert found.next_check is not None
    assert found.next_check.id == "coast_drive"
    hot_now = replace(found.last.corners[0], start_degc=200.0)
    last = replace(found.last, corners=(hot_now, *found.last.corners[1:]))
    waits = compared(found.diagnoses[0], last).next_check
    assert waits is not None
    assert waits.id == "wait_and_read"
