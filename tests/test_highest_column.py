"""A column of the most that the gun showed: what nothing that was read explains may be true."""

from __future__ import annotations

import json

import pytest

# A healthy car, twice round, in air of 16 °C (own simple cooling, 1000 s).
ROWS = (
    (20, "FL", 121), (35, "FR", 117), (50, "RL", 73), (65, "RR", 74),
    (320, "RR", 61), (335, "RL", 59), (350, "FR", 90), (365, "FL", 91),
)  # fmt: skip


def told(thermlog, tmp_path, heading: str, highest: list[str], temp: str = "temp_c") -> tuple[int, dict]:
    rows = "".join(
        f"{at},{wheel},{degc},{top}\n" for (at, wheel, degc), top in zip(ROWS, highest, strict=True)
    )
    log = tmp_path / "walk.csv"
    log.write_text(f"# ambient: 16 C\ntime_s,position,{temp},{heading}\n{rows}", encoding="utf-8")
    ran = thermlog("check", str(log), "--format", "json")
    return ran.code, json.loads(ran.out)["answers"]["drag"]


# 213 °C beside a reading of 73 °C, and nothing hotter than 121 °C was read: the gun saw something.
@pytest.mark.parametrize(
    ("heading", "top"),
    [("max (C)", "213"), ("max_c", "213"), ("Peak", "213"), ("max temp", "213"), ("Höchstwert (°C)", "213"),
     ("MAX F", "415")],
)  # fmt: skip
def test_a_highest_value_above_all_that_was_read_clears_nothing(thermlog, tmp_path, heading, top) -> None:
    code, drag = told(thermlog, tmp_path, heading, ["", "", top, "", "", "", "", ""])
    assert (code, drag["answer"]) == (1, "cannot_tell")
    assert [(one["code"], one["corners"]) for one in drag["reasons"]] == [("aside_hotter", ["2L"])]


def test_a_value_that_is_held_belongs_to_the_wheel_where_it_came_first(thermlog, tmp_path) -> None:
    drag = told(thermlog, tmp_path, "max (C)", ["121", "213", "213", "213", "", "", "", ""])[1]
    assert [one["corners"] for one in drag["reasons"]] == [["1R"]]


# What ordinary guns write there: a few degrees more, the same, or what an earlier wheel showed.
@pytest.mark.parametrize(
    "highest",
    [
        [str(degc) for _, _, degc in ROWS],
        [str(degc + 4) for _, _, degc in ROWS],
        ["121"] * 8,
        ["125"] * 8,
        [""] * 8,
        ["---"] * 8,
    ],
)
def test_a_highest_value_that_is_usual_leaves_a_healthy_walk_cleared(thermlog, tmp_path, highest) -> None:
    assert told(thermlog, tmp_path, "max (C)", highest)[0] == 0


@pytest.mark.parametrize("heading", ["max allowed (C)", "limit (C)", "set max (C)"])
def test_a_limit_is_no_reading(thermlog, tmp_path, heading) -> None:
    assert told(thermlog, tmp_path, heading, ["300"] * 8)[0] == 0
