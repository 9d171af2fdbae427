"""The drive asked for where heat is missing: as many stops as are needed, never with a brake that drags."""

from __future__ import annotations

import pytest

from thermlog.advice.doing import doing
from thermlog.judging.diagnose import diagnoses, judge
from thermlog.judging.settings import Settings
from thermlog.reading.read import read_content
from thermlog.words.policy import load_policy
from thermlog.words.reasons import DRIVES

RULE = doing().rule


def answers_of(rises: tuple[float, float, float, float], *header: str):
    """Answers about four wheels that far above an air of 20 °C, read three times."""
    rows = [
        f"{60 * number + 10 * place},{wheel},{20.0 + rise - 0.3 * number:.1f}"
        for number in range(3)
        for place, (wheel, rise) in enumerate(zip(("1L", "1R", "2R", "2L"), rises, strict=True))
    ]
    head = ["# ambient: 20 C", "# drive: normal", *(f"# {line}" for line in header)]
    log = "\n".join([*head, "since_parked_s,position,temp_c", *rows]) + "\n"
    judged = judge(read_content(log.encode(), file="log.csv").readings, Settings())
    return next(diagnoses(judged)).answers


def warming(*asked):
    steps = [one for answer in answers_of(*asked).each for one in answer.decides]
    return next(one.numbers for one in steps if one.code in {"drive_with_braking", "brake_alone"})


CAR = ("weight: light", "axles: steer axle", "brakes: disc disc")
LORRY = ("weight: heavy", "axles: steer drive", "brakes: drum drum")


@pytest.mark.parametrize(("header", "name"), [(CAR, "light"), (LORRY, "heavy")])
@pytest.mark.parametrize("rise", [2.0, 8.0, 15.0])
def test_stops_follow_from_the_heat_that_is_missing(header, name, rise):
    """What the policy asks for, and again what this drive fell short of it, over the rise a stop gives."""
    asked = warming((rise,) * 4, *header)
    needed_k = load_policy(name).minimum_rise_k
    wanted = (needed_k + asked["missing_k"]) / RULE[f"stop_rise_{name}"]
    assert asked["missing_k"] == pytest.approx(needed_k - rise, abs=1.0)
    assert asked["stops"] == min(max(-(-wanted // 1), RULE["fewest_stops"]), RULE["most_stops"])
    assert asked["from_kmh"] == RULE["stop_from_kmh"]


def test_a_colder_vehicle_and_a_heavier_one_are_asked_for_more():
    cold, warm = warming((2.0,) * 4, *CAR), warming((18.0,) * 4, *CAR)
    assert cold["stops"] > warm["stops"] >= RULE["fewest_stops"]
    assert warming((2.0,) * 4, *LORRY)["stops"] > cold["stops"]


def test_no_stops_are_counted_where_the_motor_brakes_too():
    asked = warming((5.0,) * 4, *CAR, "regenerative: yes")
    assert set(asked) == {"missing_k"}


def test_nobody_is_sent_on_a_drive_with_a_brake_that_drags():
    answers = answers_of((60.0, 12.0, 10.0, 10.0), *CAR)
    assert answers.drag.answer == "yes"
    assert not {one.code for answer in answers.each for one in answer.decides} & DRIVES
