"""A vehicle that only a pedal, air, a lamp or a noise stopped: not driven, and looked into at once.

What a careful technician accepts, written down before: nobody waits three quarters of an hour for a brake to
cool because its pedal is soft. It is not driven; fluid, pedal, leaks (or air and what hisses) are looked at
where it stands. Where something smokes, glows, burns or is past its line, everybody stays away first.
"""

from __future__ import annotations

import math

import pytest
from advicecases import AIR_DISC_BUS, CAR, HEAVY_DRUMS, LIGHT_TRAILER, log_evidence

from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.narrowing import Found, narrow
from thermlog.words.findings import Urgent
from thermlog.words.vehicle import Axle, Vehicle

SURGE = Vehicle(axles=(Axle(role="trailer", fitted="surge_hyd"),) * 2, weight_class="light", stated=True)
FLUID, AIR = ["gate_fluid", "gate_pedal", "leak"], ["gate_air", "leak_air"]


def stopped(code: str, kind: str = "corner_hot", vehicle=CAR, *, degc: float = 150.0, also=()):
    urgent = tuple(Urgent(code=one, corner=None) for one in (code, *also))
    return log_evidence(kind, "1L", vehicle=vehicle, urgent=urgent, seen=(code, *also), brake_degc=degc)


def asked(evidence, most: int, found=()) -> list[str]:
    """Checks that a search asks, each answered as in order (the first answer of its card)."""
    told, names = list(found), []
    for _ in range(most):
        state = narrow(evidence, told)
        names.append(state.check.id)
        told.append(Found(check=state.check.id, answer=state.answers[0].id))
    return names


@pytest.mark.parametrize("kind", ["corner_hot", "corner_cold"])
@pytest.mark.parametrize(
    ("code", "vehicle", "first"),
    [
        ("pedal", CAR, FLUID),
        ("brake_lamp", CAR, FLUID),
        ("air_loss", AIR_DISC_BUS, AIR[1:]),  # that the air falls is known already
        ("brake_lamp", AIR_DISC_BUS, AIR),
        ("pedal", SURGE, ["gate_fluid_surge", "leak_surge"]),
    ],
)
def test_what_is_lost_is_looked_for_first_and_the_vehicle_is_not_driven(kind, code, vehicle, first):
    evidence = stopped(code, kind, vehicle)
    known = ["brake_kind"] if vehicle is CAR else []
    names = [name for name in asked(evidence, len(first) + len(known)) if name not in known]
    assert names[: len(first)] == first
    for count in (0, 2):
        found = [Found(check=one, answer=next(iter(_answers(one)))) for one in first[:count]]
        (told,) = narrow(evidence, found).cautions
        assert told.startswith("Do not drive it (")


def _answers(check: str):
    return evidence_table().observations[check].answers


def test_metal_on_metal_waits_for_nothing_and_is_not_driven():
    evidence = stopped("grind")
    state = narrow(evidence)
    assert state.check.id != "clear_and_wait"
    assert "grinding" in state.cautions[0]
    quiet = narrow(log_evidence("corner_hot", "1L", brake_degc=150.0))
    assert (state.check.id, quiet.cautions) == (quiet.check.id, ())


@pytest.mark.parametrize("away", ["smoke", "glow", "flame", "smell", "leak", "brake_hot", "hub_hot"])
@pytest.mark.parametrize("code", ["pedal", "air_loss", "brake_lamp", "grind", "loose"])
def test_heat_smoke_glow_and_flame_keep_everybody_away_whatever_stopped_it_too(code, away):
    evidence = stopped(code, also=(away,))
    state = narrow(evidence)
    assert (state.check.id, [one.id for one in state.answers]) == ("clear_and_wait", ["cooled", "not_yet"])
    after = narrow(evidence, [Found(check="clear_and_wait", answer="cooled")])
    assert after.check.id != "clear_and_wait"
    assert after.cautions[0].startswith("Do not drive it (")


def test_while_a_brake_is_too_hot_only_what_is_told_from_the_seat_is_looked_for():
    names = asked(stopped("pedal", degc=260.0), 4)
    assert names[:2] == FLUID[:2]
    assert "leak" not in names[: names.index("cool_first") if "cool_first" in names else None]


def test_it_has_not_cooled_holds_this_gate_whatever_the_log_says():
    state = narrow(stopped("pedal"), [Found(check="clear_and_wait", answer="not_yet")])
    assert (state.check.id, state.ending) == ("clear_and_wait", "wait")


def test_where_no_cause_is_to_be_looked_for_the_search_sends_to_what_is_lost():
    state = narrow(stopped("pedal", "none"))
    assert (state.check.id, state.ending) == ("check_supply", "no_cause")
    assert state.cautions


def test_a_trailer_by_rods_has_no_fluid_to_look_for():
    assert not {*FLUID, *AIR} & set(asked(stopped("brake_lamp", vehicle=LIGHT_TRAILER), 3))


@pytest.mark.parametrize("answer", ["cooled", "not_yet"])
def test_waiting_counts_as_long_as_it_is_said_to_take(answer):
    """Above an urgent line: 45 minutes for a car, once, however often the gun finds it too hot."""
    evidence = stopped("smoke", degc=140.0)  # 43 minutes to 50 °C: 31 log(120 / 30), from the air of 20 °C
    asked = narrow(evidence, []).check
    assert (asked.id, asked.minutes) == ("clear_and_wait", 45.0)
    wait = Found(check="clear_and_wait", answer=answer)
    assert narrow(evidence, [wait]).minutes == asked.minutes
    assert narrow(evidence, [Found(check="clear_and_wait", answer="not_yet"), wait]).minutes == asked.minutes


def test_a_brake_that_is_hotter_is_waited_for_until_it_may_be_touched():
    """The usual time constant of a light vehicle is 31 min, the air 20 °C, and 50 °C may be touched."""
    asked = narrow(stopped("smoke", degc=300.0), []).check
    assert asked.minutes == pytest.approx(31.0 * math.log(280.0 / 30.0))
    assert "does the gun read below 50 °C at every part to be touched?" in asked.question
    hot = narrow(stopped("brake_lamp", degc=20.0), []).check
    assert hot.id != "clear_and_wait"


def test_why_a_wheel_comes_off_is_what_it_confirms():
    """A cold lorry brake with the right stroke: the lining leads, and only a look at it confirms it."""
    evidence = log_evidence("corner_cold", "2L", vehicle=HEAVY_DRUMS)
    told = [Found(check="stroke", answer="within_limit"), Found(check="on_stands", answer="yes")]
    for _ in range(9):
        check = narrow(evidence, told).check
        if check.id == "lining_surface":
            break
        assert "It would confirm" not in check.why
        told.append(Found(check=check.id, answer=next(iter(_answers(check.id)))))
    assert check.id == "lining_surface"
    assert "It would confirm what leads, soaked, glazed or wrong lining" in check.why
