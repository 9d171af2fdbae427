"""A log with a drive before and one after the repair has one order between them: that of the later drive.

All logs are invented. A careful technician repairs nothing twice because the first drive found it; what stops
a vehicle stays until somebody has looked.
"""

from __future__ import annotations

import json

import pytest
from coolinglogs import cooling_log, readings

SOUND = {"FL": 77.0, "FR": 76.0, "RR": 52.0, "RL": 53.0}
HOT = SOUND | {"RR": 110.0}
DEAD = SOUND | {"FL": 12.0}
BURNING = SOUND | {"RR": 320.0}


def log(before, after, *, drives=("normal", "verification"), unit=""):
    rows = []
    for hour, drive, rises in zip((10, 14), drives, (before, after), strict=True):
        for second, wheel, degc in readings(rises):
            rows.append(f"{drive},{hour}:{second // 60:02d}:{second % 60:02d},{wheel},{degc:.1f}")
    head = ["# ambient: 18 C", *([f"# vehicle: {unit}"] if unit else [])]
    return "\n".join([*head, "drive,time,position,temp_c", *rows]) + "\n"


def told(thermlog, tmp_path, text):
    (tmp_path / "log.csv").write_text(text, encoding="utf-8")
    return json.loads(thermlog("check", "log.csv", "--format", "json").out)


@pytest.mark.parametrize("unit", ["", "van 7"])
@pytest.mark.parametrize(
    ("after", "step"),
    [(SOUND, "keep_record"), (DEAD, None), (HOT, None)],
    ids=["even", "dead", "hot"],
)
def test_the_drive_after_the_repair_gives_the_order(thermlog, tmp_path, unit, after, step):
    first, second = told(thermlog, tmp_path, log(HOT, after, unit=unit))

    assert (first["drive"], first["answers"]["drag"]["answer"]) == ("normal", "yes")  # what it found stands
    assert first["next_check"]["id"] == "go_by_verification"
    assert second["next_check"]["id"] != "go_by_verification"
    assert step in {None, second["next_check"]["id"]}
    text = thermlog("check", "log.csv", "-q")
    assert (text.code, text.out.count("DO NEXT   Go by the drive after the repair")) == (1, 1)


def test_a_list_gives_it_too(thermlog, tmp_path):
    (tmp_path / "log.csv").write_text(log(HOT, SOUND, unit="van 7"), encoding="utf-8")

    assert "do   Go by the drive after the repair" in thermlog("fleet", "log.csv").out


def test_what_stopped_the_vehicle_keeps_its_order(thermlog, tmp_path):
    first, _ = told(thermlog, tmp_path, log(BURNING, SOUND))

    assert first["urgent"]
    assert first["next_check"]["id"] == "clear_and_wait"


def test_without_a_drive_after_it_each_drive_has_its_own(thermlog, tmp_path):
    for drives in (("normal", "coast"), ("verification", "normal")):
        found = told(thermlog, tmp_path, log(HOT, SOUND, drives=drives))
        last = {one["drive"]: one["next_check"]["id"] for one in found}
        assert last.get("coast") != "go_by_verification"
        assert last.get("verification") != "go_by_verification"


@pytest.mark.parametrize(
    ("head", "rises"),
    [
        (
            ("axles: steer drive drive", "retarder: 2 3"),
            {"1L": 62, "1R": 63, "2R": 2, "2L": 42, "3L": 43, "3R": 42},
        ),
        (("regenerative: yes", "axles: drive axle"), {"FL": 27, "FR": 26, "RR": 2, "RL": 20}),
    ],
)
def test_one_cold_brake_of_a_slowed_axle_is_driven_on_the_brakes_alone(thermlog, tmp_path, head, rises):
    text = cooling_log(rises, *head)
    idle = told(thermlog, tmp_path, text)["answers"]["idle"]
    steps = [one["code"] for one in idle["decides"]]

    assert (idle["answer"], idle["corners"]) == ("watch", ["2R"])
    assert steps[:2] == [
        "static_check",
        "brake_alone",
    ]  # standing first, then what a motor does not do for it
    assert "coast_drive" not in steps
