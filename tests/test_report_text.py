"""The text report: what a mechanic reads last, and what a trainee reads above."""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from samples import LIGHT, cool_van, corner, even_van, hot_rear_right, smoking_van, untold_van, watched_van

from thermlog.reports.report_text import last_lines, report
from thermlog.reports.wording import VERDICT_WORDS
from thermlog.words.findings import PatternFinding


def test_report_is_the_golden_one(same_as_golden):
    """Layout, words and numbers of one whole report; read it before you update it."""
    same_as_golden("report_hot_rear_right.txt", report(hot_rear_right(), LIGHT))


def test_last_four_lines_say_what_how_much_what_next_and_beware():
    lines = report(hot_rear_right(), LIGHT).splitlines()[-4:]

    assert [line.split()[0] for line in lines] == ["FINDING", "MEASURED", "DO", "CAUTION"]
    assert lines[0] == "FINDING   + rear right drags; every brake read does its part"
    assert "right is 58 ± 8 °C hotter than left" in lines[1]  # -58 K (-66 to -50) in the sample
    assert "2:00 min after parking" in lines[1]
    assert "turn it by hand" in lines[2]
    assert "5 min" in lines[2]
    assert lines[3] == "CAUTION   Treat every wheel as hot until read. Chock the other wheels and use stands."


@pytest.mark.parametrize("diagnosis", [hot_rear_right(), even_van(), untold_van()])
def test_last_lines_are_always_four(diagnosis):
    assert report(diagnosis, LIGHT).splitlines()[-4:] == last_lines(diagnosis)


def test_report_shows_everything_a_trainee_needs():
    text = report(hot_rear_right(), LIGHT)

    assert "16 of 17 readings used" in text
    assert 'line 9, column "temp", "612": far above its neighbours' in text
    assert "30 min (23 to 40)" in text  # 1800 s (1380 to 2400)
    assert "+ Does a brake drag? yes: rear right (probability 97 %)" in text
    assert "Least fault such a walk shows in 4 cases of 5" in text
    assert "Why this check next\n  - tells drag from a heavy load" in text
    assert "against: cannot be told from a stuck piston" in text
    assert "policy light 3f3f3f3f3f3f" in text
    assert "input 5d5d5d5d5d5d" in text
    assert f"suspect {LIGHT.suspect_difference_k:.0f} °C and {LIGHT.suspect_ratio:.2f}" in text


def test_fahrenheit_adds_32_to_temperatures_and_never_to_differences():
    text = report(hot_rear_right(), LIGHT, show="F")

    assert "air 64 °F" in text  # 18 °C = 64.4 °F
    assert "271 ± 7" in text  # 133 ± 4 °C = 271.4 ± 7.2 °F
    assert "right is 104 ± 14 °F hotter" in text  # 58 ± 8 K times 9/5
    assert "°C" not in text


def test_cannot_tell_names_the_missing_ingredient_first_and_last():
    lines = last_lines(untold_van())

    assert lines[0].startswith(
        "FINDING   ? whether a brake drags or does not work cannot be told: no air temp"
    )
    assert lines[1] == "MEASURED  no axle could be compared"


def test_first_line_is_the_finding_of_the_last_lines():
    for van in (hot_rear_right(), even_van(), cool_van(), watched_van(), smoking_van(), untold_van()):
        lines = report(van, LIGHT).splitlines()
        assert lines[-4] == f"FINDING   {lines[0]}"


def test_no_drag_is_a_good_answer_where_the_other_question_stays_open():
    text = report(cool_van(), LIGHT)

    assert text.startswith(
        "= no brake drags; ? whether every brake works cannot be told: the warmest brake is 22"
    )
    assert "> Drive again with about 20 stops from 60 km/h" in text


def test_a_watch_names_both_readings_of_a_gap_and_what_decides():
    text = report(watched_van(), LIGHT)

    assert "front left drags 50 %, front right does too little 20 %, unlike surfaces 25 %" in text
    assert "! Does a brake drag? watch: front left (probability 42 %)" in text
    assert "> Drive at a steady pace" in text
    assert "HOT" not in text


def test_what_stops_the_vehicle_comes_before_everything_else():
    first = report(smoking_van(), LIGHT).splitlines()[0]

    assert first == "!! STOP DRIVING: smoke seen at front left, tyre front left 118 °C"


def test_pattern_over_several_corners_names_their_temperatures():
    van = even_van()
    hot = tuple(replace(one, verdict="hot") for one in van.corners[:2])
    pattern = PatternFinding(kind="axle_hot", corners=("1L", "1R"), p=0.8)
    drag = replace(van.answers.drag, answer="yes", corners=("1L", "1R"))
    answers = replace(van.answers, drag=drag)
    van = replace(van, corners=(*hot, *van.corners[2:]), pattern=pattern, answers=answers)

    assert last_lines(van)[0].startswith("FINDING   + front left and front right drag; ")
    assert "front left 113 ± 4 °C, front right 110 ± 4 °C" in last_lines(van)[1]


def test_hot_hub_is_measured_against_the_hub_of_its_mate():
    van = even_van()
    hubs = (corner("1L", at_degc=140.0, spot="hub", verdict="hot"), corner("1R", at_degc=40.0, spot="hub"))
    pattern = PatternFinding(kind="hub_hot", corners=("1L",))
    lines = last_lines(replace(van, corners=(*van.corners, *hubs), pattern=pattern))

    assert lines[1].startswith("MEASURED  front left hub 140 ± 4 °C, front right hub 40 ± 4 °C")


def test_every_verdict_has_a_sign_and_a_word():
    signs = {words.split(" ", 1)[0] for words in VERDICT_WORDS.values()}

    assert len(signs) == len(VERDICT_WORDS)
    assert all(words.split(" ", 1)[1] for words in VERDICT_WORDS.values())


def test_text_from_a_log_cannot_steer_the_terminal():
    van = replace(hot_rear_right(), vehicle="van\x1b[2J\x1b[31m\r12")
    text = report(van, LIGHT)

    assert "\x1b" not in text
    assert "\r" not in text
    assert "van?[2J?[31m?12" in text


def test_axles_of_a_combination_are_numbered():
    van = hot_rear_right()
    rig = replace(van, corners=(*van.corners, corner("3L", at_degc=60.0)))

    assert "+ axle 2 right drags" in report(rig, LIGHT)
