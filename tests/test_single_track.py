"""A motorcycle has no left and right to compare: its log is refused, and no cure is offered.

All logs are invented.
"""

from __future__ import annotations

import pytest
from readcases import read

from thermlog.words.errors import LogRefusedError


def log(front: str, rear: str, vehicle: str = "") -> str:
    rows = [
        f"{time_s},{wheel},{temp}"
        for time_s, wheel, temp in ((15, front, 100), (29, rear, 60), (228, front, 71))
    ]
    return (
        "\n".join([f"# vehicle: {vehicle}" if vehicle else "# air 12 C", "time_s,position,temp_c", *rows])
        + "\n"
    )


def refusal(text: str) -> LogRefusedError:
    with pytest.raises(LogRefusedError) as refused:
        read(text)
    return refused.value


@pytest.mark.parametrize("vehicle", ["motorcycle", "Motorrad 3", "yard scooter", "moto"])
@pytest.mark.parametrize(("front", "rear"), [("front", "rear"), ("F", "R"), ("vorn", "hinten"), ("AV", "AR")])
def test_a_motorcycle_is_told_that_it_cannot_be_judged(vehicle, front, rear) -> None:
    told = refusal(log(front, rear, vehicle))

    assert (told.code, told.line, told.value) == ("single_track", 1, vehicle)
    assert "left" in told.problem
    assert "FL" not in str(told)
    assert told.hint is None


@pytest.mark.parametrize(("front", "rear"), [("front", "rear"), ("F", "R")])
@pytest.mark.parametrize("vehicle", ["", "van 7", "motorway van"])
def test_readings_without_a_side_keep_their_cure_and_are_told_it_too(vehicle, front, rear) -> None:
    told = refusal(log(front, rear, vehicle))

    assert told.code == "unclear_wheel"
    assert "such as FL or 3R" in told.problem
    assert "such as a motorcycle" in told.problem


@pytest.mark.parametrize(
    ("front", "rear"), [("L", "R"), ("left", "right"), ("front", "banana"), ("11", "12")]
)
def test_sides_without_an_axle_are_another_trouble(front, rear) -> None:
    told = refusal(log(front, rear, "motorcycle"))

    assert told.code != "single_track"
    assert "motorcycle" not in told.problem


def test_a_motorcycle_whose_readings_name_sides_is_read() -> None:
    """Two discs on one wheel are a left and a right one."""
    assert len(read(log("FL", "FR", "motorcycle")).readings.case) == 3
