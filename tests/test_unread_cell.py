"""A cell that holds something else than a temperature clears nothing: it may be the hottest wheel."""

from __future__ import annotations

import json

import pytest

from thermlog.reading.figures import largest_figure

ROWS = """# axles: steer axle
# brakes: disc disc
# weight: light
# ambient: 18 C
time_s,position,temp_c
20,FL,110.8
36,FR,106.8
52,RR,75.2
68,RL,72.8
204,RL,66.7
220,RR,67.9
236,FR,91.6
252,FL,93.1
388,FL,84.6
404,FR,81.9
420,RR,{}
436,RL,57.7
"""


@pytest.fixture
def told(thermlog, tmp_path):
    """Exit code and reasons of the drag question for a healthy walk with one cell of its own."""

    def run(cell):
        log = tmp_path / "walk.csv"
        log.write_text(ROWS.format(cell), encoding="utf-8")
        ran = thermlog("check", str(log), "--format", "json")
        answer = json.loads(ran.out)["answers"]["drag"]
        return ran.code, answer["answer"], {reason["code"] for reason in answer["reasons"]}

    return run


# What a careful technician would accept, written before: a figure that may be a hot one is read again,
# however it is decorated, and so is a word of which nobody knows what it says.
@pytest.mark.parametrize(
    "cell",
    [
        "280?", "28O", "260ish", "260!!", "260 rising", "250-280", "250/280", "280*",
        "(280)", "280 ↑", "2 8 0", "'280", "=280", "l80", "530 gru",
    ],
)  # fmt: skip
def test_a_hot_figure_in_any_dress_is_not_cleared(told, cell):
    code, answer, reasons = told(cell)
    assert (code, answer) == (1, "cannot_tell")
    assert reasons == {"aside_hotter"}


@pytest.mark.parametrize("cell", ["260", "~260", "about 260", "ca 260", "260 ok"])
def test_a_hot_figure_that_is_plainly_read_is_not_cleared_either(told, cell):
    code, answer, reasons = told(cell)
    assert (code, answer) == (1, "cannot_tell")
    assert reasons == {"stray_hotter"}


@pytest.mark.parametrize(
    "cell", ["burnt my finger", "red", "fizzes", "max", "H", "+++", "****", "two hundred and sixty", "####"]
)
def test_words_nobody_knows_in_place_of_a_temperature_clear_nothing(told, cell):
    code, answer, reasons = told(cell)
    assert (code, answer) == (1, "cannot_tell")
    assert reasons == {"unread_cell"}


@pytest.mark.parametrize("more", ["x", "hot", "see photo"])
@pytest.mark.parametrize("cell", ["280?", "260 rim", "burnt my finger", "OL"])
def test_a_cell_too_many_makes_the_row_no_clearer(told, cell, more):
    expected = {"280?": "aside_hotter", "260 rim": "aside_hotter", "OL": "over_range"}
    code, answer, reasons = told(f"{cell},{more}")
    assert (code, answer) == (1, "cannot_tell")
    assert reasons == {expected.get(cell, "unread_cell")}


@pytest.mark.parametrize("cell", ["61?,x", "60 rim,hot", "-,see photo", "62,after lunch"])
def test_a_cell_too_many_beside_a_cool_figure_leaves_the_answer(told, cell):
    assert told(cell)[:2] == (0, "no")


@pytest.mark.parametrize("cell", ["", "-", "n/a", "skipped", "61?", "(60)", "~62 C", "LO"])
def test_no_reading_and_a_figure_no_hotter_than_the_others_leave_the_answer(told, cell):
    assert told(cell)[:2] == (0, "no")


@pytest.mark.parametrize(
    ("cell", "decimal", "figure"),
    [
        ("1.280", ".", 1.28), ("1.280", ",", 1280.0), ("85,5", ".", 85.5),
        ("no 3, 250-28O", ".", 280.0),
        ("12345678", ".", None), ("OlSB", ".", None), ("", ".", None),
    ],
)  # fmt: skip
def test_the_largest_figure_is_found(cell, decimal, figure):
    """By hand: letters count as digits beside a digit only; a mark before three digits marks thousands."""
    assert largest_figure(cell, decimal) == figure
