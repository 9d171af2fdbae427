"""The text report: what a mechanic reads last, and what a trainee reads above."""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from samples import LIGHT, corner, even_van, hot_rear_right, untold_van

from thermlog.reports.report_text import last_lines, report
from thermlog.reports.wording import VERDICT_WORDS
from thermlog.words.findings import PatternFinding


def test_report_is_the_golden_one(same_as_golden):
    """Layout, words and numbers of one whole report; read it before you update it."""
    same_as_golden("report_hot_rear_right.txt", report(hot_rear_right(), LIGHT))


def test_last_four_lines_say_what_how_much_what_next_and_beware():
    lines = report(hot_rear_right(), LIGHT).splitlines()[-4:]

    assert [line.split()[0] for line in lines] == ["FINDING", "MEASURED", "DO", "CAUTION"]
    assert "rear right is HOT" in lines[0]
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
    assert "one corner explains all" in text
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


def test_cannot_tell_names_the_missing_ingredient_last():
    lines = last_lines(untold_van())

    assert "cannot tell" in lines[0]
    assert "rise of 6 K is under the 30 K needed" in lines[1]
    assert "read again" in lines[2]


def test_axle_that_cannot_be_told_is_not_hidden_by_even_ones():
    van = even_van()
    van = replace(van, axles=(van.axles[0], replace(untold_van().axles[0], axle=2)))

    assert last_lines(van)[0] == "FINDING   ? rear: cannot tell; = nothing stands out elsewhere"
    assert "30 K needed" in last_lines(van)[1]


def test_open_side_is_said_to_be_open():
    van = hot_rear_right()
    axles = (van.axles[0], replace(van.axles[1], verdict="watch", suspect=None))
    van = replace(van, axles=axles, pattern=PatternFinding(kind="none"))

    assert last_lines(van)[0] == "FINDING   ~ rear: left and right differ; which side is the odd one is open"


def test_side_to_watch_is_named_where_it_is_known():
    van = hot_rear_right()
    van = replace(
        van, axles=(van.axles[0], replace(van.axles[1], verdict="watch")), pattern=PatternFinding(kind="none")
    )

    assert last_lines(van)[0] == "FINDING   ~ watch rear right"


def test_pattern_over_several_corners_names_them_and_their_temperatures():
    van = even_van()
    hot = tuple(replace(one, verdict="hot") for one in van.corners[:2])
    pattern = PatternFinding(kind="axle_hot", corners=("1L", "1R"), p=0.8)
    van = replace(van, corners=(*hot, *van.corners[2:]), pattern=pattern)

    assert last_lines(van)[0] == "FINDING   ^ both sides of one axle HOT: front left and front right"
    assert "front left 113 ± 4 °C, front right 110 ± 4 °C" in last_lines(van)[1]


def test_hot_hub_is_measured_against_the_hub_of_its_mate():
    van = even_van()
    hubs = (corner("1L", at_degc=140.0, spot="hub", verdict="hot"), corner("1R", at_degc=40.0, spot="hub"))
    pattern = PatternFinding(kind="hub_hot", corners=("1L",))
    lines = last_lines(replace(van, corners=(*van.corners, *hubs), pattern=pattern))

    assert lines[1].startswith("MEASURED  front left hub 140 ± 4 °C, front right hub 40 ± 4 °C")


def test_pattern_that_is_not_sure_enough_to_be_called_is_said_to_be_possible():
    van = even_van()
    watched = tuple(replace(one, verdict="watch") for one in van.corners[:2])
    pattern = PatternFinding(kind="axle_hot", corners=("1L", "1R"), p=0.2)
    van = replace(van, corners=(*watched, *van.corners[2:]), pattern=pattern)
    text = report(van, LIGHT)

    assert (
        last_lines(van)[0]
        == "FINDING   ~ watch, possibly both sides of one axle hot: front left and front right"
    )
    assert "HOT" not in text


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


def test_marks_of_a_coast_drive_are_those_of_the_rise():
    text = report(replace(hot_rear_right(), drive="coast"), LIGHT)

    assert f"rise {LIGHT.coast_watch_k:.0f} watch, {LIGHT.coast_drag_k:.0f} °C drag" in text


def test_axles_of_a_combination_are_numbered():
    van = hot_rear_right()
    rig = replace(van, corners=(*van.corners, corner("3L", at_degc=60.0)))

    assert "axle 2 right is HOT" in report(rig, LIGHT)
