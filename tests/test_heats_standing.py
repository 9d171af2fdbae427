"""A brake that grows hotter and hotter while the vehicle stands: nobody is sent close to it."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from thermlog.judging.diagnose import judge
from thermlog.judging.settings import Settings
from thermlog.reading.read import read_log

# A healthy car, three times round, in air of 16 °C (own simple cooling, 1000 s); the rear left is to come.
ROWS = (
    (20, "FL", 121), (35, "FR", 117), (50, "RL", None), (65, "RR", 74),
    (320, "RR", 61), (335, "RL", None), (350, "FR", 90), (365, "FL", 91),
    (620, "FL", 73), (635, "FR", 72), (650, "RL", None), (665, "RR", 48),
)  # fmt: skip


def written(folder: Path, rear_left: tuple[int, int, int]) -> Path:
    values = iter(rear_left)
    rows = "".join(f"{at},{wheel},{next(values) if degc is None else degc}\n" for at, wheel, degc in ROWS)
    log = folder / "walk.csv"
    log.write_text("# ambient: 16 C\ntime_s,position,temp_c\n" + rows, encoding="utf-8")
    return log


def told(thermlog, tmp_path, rear_left: tuple[int, int, int]) -> tuple[int, set[str], dict]:
    """Exit code, codes of all reasons, and the next check."""
    ran = thermlog("check", str(written(tmp_path, rear_left)), "--format", "json")
    found = json.loads(ran.out)
    codes = {one["code"] for answer in found["answers"].values() for one in answer["reasons"]}
    return ran.code, codes, found["next_check"]


# Heat that soaks out of a parked brake lifts it by less than 60 K (judging/uncleared.py).
@pytest.mark.parametrize("rear_left", [(120, 180, 250), (76, 140, 230), (60, 100, 150)])
def test_nobody_goes_near_what_heats_up_by_itself(thermlog, tmp_path, rear_left) -> None:
    code, codes, step = told(thermlog, tmp_path, rear_left)
    assert (code, step["id"]) == (1, "clear_and_wait")
    assert "heats_standing" in codes
    assert "contradicting_readings" not in codes


@pytest.mark.parametrize("rear_left", [(60, 180, 150), (180, 60, 190), (150, 60, 60)])
def test_a_jump_to_and_fro_is_a_reading_that_is_wrong(thermlog, tmp_path, rear_left) -> None:
    assert "heats_standing" not in told(thermlog, tmp_path, rear_left)[1]


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_what_climbs_does_so_in_order_of_time_however_the_rows_stand(tmp_path, seed: int) -> None:
    """A table of readings has its rows in any order."""
    readings = read_log(str(written(tmp_path, (120, 180, 250)))).readings
    order = np.random.default_rng(seed).permutation(readings.rows)
    shuffled = judge(readings.take(order), Settings()).digest

    assert len(shuffled.climbing) == 1
    assert shuffled.climbing == judge(readings, Settings()).digest.climbing


def test_heat_that_soaks_out_is_waited_for(thermlog, tmp_path) -> None:
    code, codes, step = told(thermlog, tmp_path, (76, 80, 86))
    assert (code, step["id"]) == (1, "wait_and_read")
    assert "rising" in codes
