"""Axles without brakes, as a light trailer's second or a pusher: never idle, never cleared, never missed.

All logs are invented. What is warm there is no brake: a hub that stands out beside its mate is a bearing.
"""

from __future__ import annotations

import pytest
from coolinglogs import checked, cooling_log

TRAILER = "weight: light", "axles: trailer unbraked", "brakes: overrun"
LORRY = "axles: steer pusher drive", "unbraked: 2"
LEVELS = {
    TRAILER: {"1L": 42.0, "1R": 43.0, "2R": 12.0, "2L": 13.0},
    LORRY: {"1L": 62.0, "1R": 63.0, "2R": 12.0, "2L": 13.0, "3L": 57.0, "3R": 59.0},
}


@pytest.mark.parametrize("head", LEVELS)
def test_an_axle_without_brakes_is_not_judged_idle_and_not_cleared(thermlog, tmp_path, head):
    code, told = checked(thermlog, tmp_path, cooling_log(LEVELS[head], *head))

    assert (code, told["answers"]["drag"]["answer"], told["answers"]["idle"]["answer"]) == (0, "no", "no")
    assert {one["corner"] for one in told["corners"] if one["spot"] != "hub"}.isdisjoint({"2L", "2R"})
    assert {one["spot"] for one in told["corners"] if one["axle"] == 2} == {"hub"}
    assert [one["axle"] for one in told["axles"]] == [
        number for number in (1, 3) if f"{number}L" in LEVELS[head]
    ]
    assert not any("2" in one["corner"] for one in told["answers"]["drag"]["detectable"])
    assert any("axle 2 has no brakes" in note for note in told["log"]["notes"])


@pytest.mark.parametrize("head", LEVELS)
def test_it_need_not_be_read(thermlog, tmp_path, head):
    read = {wheel: rise_k for wheel, rise_k in LEVELS[head].items() if wheel[0] != "2"}
    code, told = checked(thermlog, tmp_path, cooling_log(read, *head))

    assert (code, told["answers"]["idle"]["answer"]) == (0, "no")


@pytest.mark.parametrize("head", LEVELS)
def test_a_hot_wheel_of_it_is_a_bearing(thermlog, tmp_path, head):
    code, told = checked(thermlog, tmp_path, cooling_log(LEVELS[head] | {"2R": 90.0}, *head))

    assert code == 1
    assert told["answers"]["drag"]["corners"] == []
    assert {(one["corner"], one["spot"]) for one in told["urgent"]} == {("2R", "hub")}


def test_braked_axles_beside_it_are_judged_as_ever(thermlog, tmp_path):
    dead = LEVELS[LORRY] | {"3R": 3.0}
    code, told = checked(thermlog, tmp_path, cooling_log(dead, *LORRY))

    assert (code, told["answers"]["idle"]["answer"], told["answers"]["idle"]["corners"]) == (1, "yes", ["3R"])


def test_without_the_description_its_cold_brakes_would_be_idle(thermlog, tmp_path):
    code, told = checked(thermlog, tmp_path, cooling_log(LEVELS[LORRY], "axles: steer drive drive"))

    assert code == 1
    assert set(told["answers"]["idle"]["corners"]) == {"2L", "2R"}


def test_a_vehicle_file_says_the_same(thermlog, tmp_path):
    axles = ('role = "steer"', 'role = "pusher"\nunbraked = true', 'role = "drive"')
    (tmp_path / "lorry.toml").write_text("".join(f"[[axles]]\n{one}\n" for one in axles), encoding="utf-8")
    code, told = checked(thermlog, tmp_path, cooling_log(LEVELS[LORRY]), "--vehicle", "lorry.toml")

    assert (code, told["answers"]["idle"]["answer"]) == (0, "no")


@pytest.mark.parametrize("line", ["unbraked: 4", "unbraked: rear axle maybe"])
def test_what_cannot_be_read_is_said(thermlog, tmp_path, line):
    _, told = checked(thermlog, tmp_path, cooling_log(LEVELS[LORRY], line))

    assert any("unbraked" in note for note in told["log"]["notes"])


def test_a_list_judges_it_alike(thermlog, tmp_path):
    (tmp_path / "a.csv").write_text(cooling_log(LEVELS[LORRY], "vehicle: a", *LORRY), encoding="utf-8")
    (tmp_path / "b.csv").write_text(cooling_log(LEVELS[TRAILER], "vehicle: b", *TRAILER), encoding="utf-8")

    assert thermlog("fleet", str(tmp_path)).code == 0
