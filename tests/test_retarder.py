"""A vehicle that says that a retarder slows it: which axles, what cold then tells, and what it never excuses.

Logs of heavy vehicles, readings invented; what a careful technician says of each stands beside it.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from threerounds import told

from thermlog.judging.plainly_even import plainly_even
from thermlog.judging.settings import Settings
from thermlog.pipeline.run import run_one
from thermlog.reading.read import read_log
from thermlog.reading.vehiclefile import load_vehicle
from thermlog.words.errors import VehicleError
from thermlog.words.reasons import DRIVES
from thermlog.words.vehicle import Vehicle

LORRY = ("weight: heavy", "axles: steer drive", "brakes: drum")
THREE = ("weight: heavy", "axles: steer drive drive", "brakes: drum")
TAG = ("weight: heavy", "axles: steer drive tag", "brakes: drum")
COMBINATION = ("weight: heavy", "axles: steer drive trailer trailer", "brakes: drum")


def axle(number: int, left_k: float, right_k: float) -> dict[str, float]:
    return {f"L{number}": left_k, f"R{number}": right_k}


def described(*head: str) -> Vehicle:
    return told(head, **axle(1, 60.0, 61.0), **axle(2, 60.0, 61.0)).description


def test_cold_driven_axle_of_a_lorry_with_a_retarder_is_open_and_no_axle_is_lifted():
    """Without the line one of two axles is odd; with it the driven one had no work: it is braked."""
    rises = axle(1, 90.0, 89.0) | axle(2, 25.0, 24.0)
    without, with_it = told(LORRY, **rises), told((*LORRY, "retarder: yes"), **rises)
    assert without.answers.drag.answer == without.answers.idle.answer == "watch"
    assert with_it.answers.drag.answer == "no"
    assert with_it.answers.idle.answer == "cannot_tell"
    assert [(one.code, one.corners) for one in with_it.answers.idle.reasons] == [
        ("slowed_otherwise", ("2L", "2R"))
    ]
    assert with_it.next_check is not None
    assert with_it.next_check.id == "brake_alone"
    assert "retarder or motor braking off" in with_it.next_check.question
    assert "stops from 60 km/h" in with_it.next_check.question
    assert not any("retarder" in note for note in with_it.log.notes)


@pytest.mark.parametrize("said", ["2 3", "yes", "drive axles", "ja"])
def test_every_axle_that_it_slows_is_spared(said):
    rises = axle(1, 90.0, 89.0) | axle(2, 9.0, 8.0) | axle(3, 9.0, 10.0)
    found = told((*THREE, f"retarder: {said}"), **rises)
    assert found.answers.idle.answer == "cannot_tell"
    assert found.answers.idle.reasons[0].code == "slowed_otherwise"


@pytest.mark.parametrize(("part", "group"), [(1.0, "nothing"), (0.1, "again")])
def test_a_list_clears_a_warm_axle_that_it_slows_and_asks_about_a_cold_one(thermlog, part, group):
    rises = axle(1, 90.0, 89.0) | axle(2, 75.0 * part, 76.0 * part) | axle(3, 75.0, 76.0)
    found = told((*THREE, "retarder: 2"), **rises)
    assert found.answers.idle.answer == ("no" if group == "nothing" else "cannot_tell")
    listed = json.loads(thermlog("fleet", "log.csv", "--format", "json").out)["work"]
    assert [one["group"] for one in listed["drives"]] == [group]


@pytest.mark.parametrize(("head", "short"), [(LORRY, True), (THREE, False)])
def test_of_more_than_two_axles_none_goes_the_short_way(head, short):
    """Of two axles the short way holds each beside the other; of more a slowed one is told in full."""
    rises = axle(1, 62.0, 61.0) | axle(2, 75.0, 76.0) | (axle(3, 75.0, 76.0) if head == THREE else {})
    told((*head, "retarder: 2"), **rises)
    (part,) = run_one("log.csv", Settings()).parts
    assert plainly_even(part.judged).tolist() == [short]


def test_an_axle_that_it_does_not_slow_is_called_as_ever():
    rises = axle(1, 75.0, 74.0) | axle(2, 80.0, 81.0) | axle(3, 9.0, 10.0)
    found = told((*THREE, "retarder: 2"), **rises)
    assert (found.answers.idle.answer, found.answers.idle.corners) == ("yes", ("3L", "3R"))


def test_dead_trailer_behind_a_tractor_with_a_retarder_is_called_without_the_driven_axle():
    rises = axle(1, 75.0, 74.0) | axle(2, 30.0, 28.0) | axle(3, 2.0, 2.0) | axle(4, 3.0, 1.0)
    found = told((*COMBINATION, "retarder: yes"), **rises)
    assert (found.answers.idle.answer, found.answers.idle.corners) == ("yes", ("3L", "3R", "4L", "4R"))


def test_a_tag_axle_beside_a_spared_one_is_asked_about():
    rises = axle(1, 75.0, 74.0) | axle(2, 50.0, 48.0) | axle(3, 2.0, 2.0)
    found = told((*TAG, "retarder: yes"), **rises)
    assert (found.answers.idle.answer, found.answers.idle.corners) == ("watch", ("3L", "3R"))
    assert found.next_check is not None
    assert found.next_check.id == "ask_raised"


def test_dead_fronts_are_not_excused():
    found = told((*LORRY, "retarder: yes"), **axle(1, 6.0, 5.0), **axle(2, 90.0, 91.0))
    assert found.answers.idle.suspects
    assert found.answers.idle.corners == ("1L", "1R")
    assert found.next_check is not None
    assert found.next_check.id == "static_check"


def test_one_cold_side_of_the_axle_that_it_slows_is_never_cleared():
    found = told((*LORRY, "retarder: yes"), **axle(1, 75.0, 74.0), **axle(2, 6.0, 60.0))
    assert found.answers.idle.suspects
    assert found.answers.idle.corners == ("2L",)
    assert found.next_check is not None
    assert found.next_check.id not in DRIVES
    assert "2L" in found.next_check.question


def test_a_retarder_makes_no_axle_hotter_than_braking_does():
    found = told((*LORRY, "retarder: yes"), **axle(1, 190.0, 192.0), **axle(2, 20.0, 20.0))
    assert (found.answers.drag.answer, found.answers.drag.corners) == ("watch", ("1L", "1R"))


def test_a_drive_that_warmed_nothing_is_made_again_with_the_retarder_off():
    found = told((*LORRY, "retarder: yes"), **axle(1, 15.0, 14.0), **axle(2, 8.0, 9.0))
    assert [one.code for one in found.answers.idle.decides] == ["brake_alone"]


@pytest.mark.parametrize(
    ("said", "axles"),
    [
        ("yes", {2}), ("Ja", {2}), ("driven axle", {2}), ("2", {2}), ("axle 2", {2}), ("rear", {2}),
        ("1 and 2", {1, 2}), ("1", {1}), ("yes, 2", {2}), ("axles 1 2", {1, 2}),
        ("ja: 2", {2}), ("no", set()), ("none", set()), ("off", set()),
    ],
)  # fmt: skip
def test_which_axles_it_slows_can_be_said(said, axles):
    vehicle = described(*LORRY, f"retarder: {said}")
    assert {k for k, one in enumerate(vehicle.axles, start=1) if one.retarder} == axles
    assert vehicle.spared == axles


@pytest.mark.parametrize("key", ["retarder", "Retarder axle", "engine brake", "exhaust brake", "Dauerbremse"])
def test_it_is_known_by_its_words(key):
    assert described(*LORRY, f"{key}: yes").spared == {2}


@pytest.mark.parametrize("said", ["7", "0", "2.5", "sometimes", "3rd", "2 or 3", "stage 2"])
def test_what_makes_no_sense_is_named_and_not_used(said):
    found = told((*LORRY, f"retarder: {said}"), **axle(1, 60.0, 61.0), **axle(2, 60.0, 61.0))
    assert not found.description.spared
    (note,) = (note for note in found.log.notes if "retarder" in note)
    assert "write axle numbers from 1 to 2, like 2 or 2 3; or yes or no" in note


def file_of(text: str) -> str:
    Path("mine.toml").write_text(text, encoding="utf-8")
    return "mine.toml"


STEER, DRIVE = '[[axles]]\nrole = "steer"\n', '[[axles]]\nrole = "drive"\n'


@pytest.mark.parametrize(
    ("text", "axles"),
    [
        ("retarder = true\n" + STEER + DRIVE + DRIVE, {2, 3}),
        (STEER + DRIVE + DRIVE + "retarder = true\n", {3}),
        ("retarder = true\n" + STEER + DRIVE + "retarder = true\n" + DRIVE, {2}),
        ("retarder = false\n" + STEER + DRIVE, set()),
        (STEER + DRIVE, set()),
    ],
)
def test_a_vehicle_file_says_it_of_the_vehicle_or_of_an_axle(text, axles):
    assert load_vehicle(file_of(text)).spared == axles


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('retarder = "yes"\n' + STEER, 'retarder, found "yes": write true or false, without quotes'),
        (STEER + "retarder = 2\n", "axle 1, retarder, found 2: write true or false, without quotes"),
        (
            "retarder = false\n" + STEER + DRIVE + "retarder = true\n",
            "axle 2, retarder, found true: the vehicle says false; correct the one or the other",
        ),
    ],
)
def test_a_vehicle_file_that_contradicts_itself_is_refused(text, said):
    with pytest.raises(VehicleError) as refused:
        load_vehicle(file_of(text))
    assert str(refused.value) == f"mine.toml: {said}"


def test_a_log_and_a_file_of_the_same_words_describe_one_vehicle():
    Path("log.csv").write_text(
        "# weight: heavy\n# axles: steer drive\n# retarder: yes\ntime_s,position,temp_c\n20,2L,60\n"
    )
    stated = load_vehicle(file_of('weight_class = "heavy"\nretarder = true\n' + STEER + DRIVE))
    assert read_log("log.csv").readings.cases[0].description == stated
