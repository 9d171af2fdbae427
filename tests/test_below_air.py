"""What reads below the stated air is a cold brake, or the air is wrong, and it is said of every such brake.

Accepted by a careful technician: however many corners read below the air, after whatever drive, each is named
with it and read again, or the air is; where all of them do, the air is doubted and nothing is answered.
"""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

AIR_DEGC = 18.0
HEAD = "# vehicle: van\n# axles: {axles}\n# brakes: {brakes}\n# drive: {drive}\n# ambient: 18 C\n"
WARM_K = {
    "normal": {"1L": 100.0, "1R": 98.0, "2L": 60.0, "2R": 59.0},
    "coast": {"1L": 11.0, "1R": 10.0, "2L": 10.0, "2R": 9.0},
}
CORNERS = [
    ("1L",), ("2R",), ("1L", "1R"), ("2L", "2R"), ("1L", "2R"), ("1L", "2L"), ("1L", "1R", "2L"),
    ("1L", "1R", "2L", "2R"),
]  # fmt: skip


def log_text(drive: str, rises_k: dict[str, float], rounds: int) -> str:
    """Every brake once a round; what is below the air comes up to it, as it does where the air is right."""
    axles = max(int(corner[0]) for corner in rises_k)
    roles = " ".join(["steer", *["axle"] * (axles - 1)])
    rows = [
        HEAD.format(axles=roles, brakes=" ".join(["disc"] * axles), drive=drive) + "time_s,position,temp_c"
    ]
    for turn in range(rounds):
        for k, (corner, rise_k) in enumerate(rises_k.items()):
            at_s = 30.0 + 8.0 * k + 270.0 * turn
            rows.append(f"{at_s:g},{corner},{AIR_DEGC + rise_k * math.exp(-at_s / 1800.0):.1f}")
    return "\n".join(rows) + "\n"


def below_air(found: dict[str, object]) -> set[str]:
    """Corners of which an answer says so."""
    reasons = [one for name in ("drag", "idle", "heat") for one in found["answers"][name]["reasons"]]
    return {corner for one in reasons if one["code"] == "below_air" for corner in one["corners"]}


@pytest.mark.parametrize("corners", CORNERS, ids="+".join)
@pytest.mark.parametrize("below_k", [3.0, 5.0, 12.0])  # an air is known to 2 K
@pytest.mark.parametrize("rounds", [1, 3])
@pytest.mark.parametrize("drive", WARM_K)
def test_every_brake_below_the_stated_air_is_named_with_it(
    checked, drive: str, rounds: int, below_k: float, corners: tuple[str, ...]
) -> None:
    # one reading of a round has to be 4 K below: twice what the air is known to
    deep_k = below_k if rounds > 1 else below_k + 2.0
    text = log_text(drive, WARM_K[drive] | dict.fromkeys(corners, -deep_k), rounds)
    ran = checked(text, "--format", "json")
    found = json.loads(ran.out)
    assert ran.code == 1
    assert below_air(found) == set(corners)
    if drive == "coast" and found["answers"]["drag"]["answer"] == "no":  # it is in the headline
        assert found["answers"]["idle"]["reasons"][0]["code"] == "below_air"
    assert found["next_check"]["id"] in {"read_again", "check_ambient"}
    assert "air again" in found["next_check"]["question"] or rounds == 1
    verdicts = {one["corner"]: one["verdict"] for one in found["corners"]}
    assert "even" not in {verdicts[corner] for corner in corners}
    assert "below the stated air" in checked(text).out
    if len(corners) == len(WARM_K[drive]):
        assert {found["answers"][name]["answer"] for name in ("drag", "idle", "heat")} == {"cannot_tell"}
        assert found["next_check"]["id"] == "check_ambient"


@pytest.mark.parametrize("drive", WARM_K)
@pytest.mark.parametrize("corners", [("4L", "4R"), ("1L", "4R"), ("2L", "2R", "3L", "3R")], ids="+".join)
def test_the_same_of_a_vehicle_with_four_axles(checked, drive: str, corners: tuple[str, ...]) -> None:
    more = {f"{axle}{side}": WARM_K[drive][f"2{side}"] for axle in (3, 4) for side in "LR"}
    text = log_text(drive, WARM_K[drive] | more | dict.fromkeys(corners, -4.0), 3)
    found = json.loads(checked(text, "--format", "json").out)
    assert below_air(found) == set(corners)
    assert found["next_check"]["id"] in {"read_again", "check_ambient"}


@pytest.mark.parametrize("drive", WARM_K)
def test_what_the_air_is_known_to_is_not_below_it(checked, drive: str) -> None:
    """1 K below an air that is known to 2 K."""
    text = log_text(drive, WARM_K[drive] | {"1L": -1.0, "1R": -1.0}, 3)
    assert below_air(json.loads(checked(text, "--format", "json").out)) == set()


@pytest.mark.parametrize("air", ["", "# ambient: 10 C\n"])
def test_without_a_stated_air_or_under_a_right_one_nothing_is_below_it(checked, air: str) -> None:
    text = log_text("normal", dict.fromkeys(WARM_K["normal"], -3.0), 3).replace("# ambient: 18 C\n", air)
    assert below_air(json.loads(checked(text, "--format", "json").out)) == set()


def test_brakes_below_the_air_of_the_other_drive_are_told_with_both(thermlog) -> None:
    """Each drive has its own air: the reading below it is told as that of the drive without braking."""
    Path("braked.csv").write_text("# unit: V1\n" + log_text("normal", WARM_K["normal"], 3))
    rolled = WARM_K["coast"] | {"1L": -5.0, "1R": -5.0}
    Path("rolled.csv").write_text("# unit: V1\n" + log_text("coast", rolled, 3))
    for one in json.loads(thermlog("check", "braked.csv", "rolled.csv", "--format", "json").out):
        (reason,) = [r for r in one["answers"]["drag"]["reasons"] if r["code"] == "below_air_rolled"]
        assert reason["corners"] == ["1L", "1R"]


def test_what_the_other_drive_shows_stands_though_all_is_below_the_air_of_this_one(thermlog) -> None:
    """60 K at one wheel without braking is a drag, whatever air the drive with braking states."""
    Path("braked.csv").write_text(
        "# unit: V1\n" + log_text("normal", dict.fromkeys(WARM_K["normal"], -3.0), 3)
    )
    Path("rolled.csv").write_text("# unit: V1\n" + log_text("coast", WARM_K["coast"] | {"1L": 60.0}, 3))
    for one in json.loads(thermlog("check", "braked.csv", "rolled.csv", "--format", "json").out):
        assert (one["answers"]["drag"]["answer"], one["answers"]["drag"]["corners"]) == ("yes", ["1L"])
        assert below_air(one) == set(WARM_K["normal"])


def test_a_brake_below_the_air_is_not_cleared_by_the_drag_of_its_mate(thermlog) -> None:
    """2R drags without braking, too, which settles the gap after braking; 2L is no less below its air."""
    braked = WARM_K["normal"] | {"2L": -3.0, "2R": 120.0}
    Path("braked.csv").write_text("# unit: V1\n" + log_text("normal", braked, 3))
    Path("rolled.csv").write_text("# unit: V1\n" + log_text("coast", WARM_K["coast"] | {"2R": 70.0}, 3))
    for one in json.loads(thermlog("check", "braked.csv", "rolled.csv", "--format", "json").out):
        assert (one["answers"]["drag"]["answer"], one["answers"]["drag"]["corners"]) == ("yes", ["2R"])
        assert one["answers"]["idle"]["answer"] != "no"
        assert below_air(one) == {"2L"}
