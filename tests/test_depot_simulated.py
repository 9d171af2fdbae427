"""The simulated depot: the truth is as described, and the logs are logs."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np

from thermlog.reading.read import read_log
from thermlog.simulation.depot import WEEKS, depot_units, depot_weeks


def test_the_truth_is_what_the_description_says() -> None:
    for seed in (1, 2, 7):
        units = depot_units(seed)
        drags = [unit for unit in units if unit.corner is not None]
        assert (len(units), len({unit.name for unit in units})) == (60, 60)
        assert len(drags) == 12
        assert sum(unit.repaired is not None for unit in units) == 8
        assert sum(unit.unlike_skins for unit in units) == 16
        assert sum(unit.unlike_skins for unit in drags) == 4
        for unit in units:
            assert len(unit.drag_nm) == WEEKS
            assert (max(unit.drag_nm) > 0.0) is (unit.corner is not None)
        for unit in drags:
            assert unit.began is not None
            assert 3 <= unit.began <= 6
            after = unit.drag_nm[(unit.repaired or WEEKS + 1) - 1 :]
            assert not any(after)
            before = unit.drag_nm[unit.began - 1 : (unit.repaired or WEEKS + 1) - 1]
            assert list(before) == sorted(before)


def test_weeks_differ_and_vehicles_stay_the_same() -> None:
    weeks = [one for one in depot_weeks(3) if one.week in {1, 2}]
    first = [one for one in weeks if one.week == 1]
    again = [one for one in depot_weeks(3) if one.week == 1]
    assert sum(len(one.units) for one in first) == 60
    for one, other in zip(first, again, strict=True):
        assert np.array_equal(one.readings.indicated_degc, other.readings.indicated_degc)
    later = [one for one in weeks if one.week == 2]
    for one, other in zip(first, later, strict=True):
        assert [case.vehicle for case in one.readings.cases] == [
            case.vehicle for case in other.readings.cases
        ]
        assert {case.log.sha256 for case in one.readings.cases}.isdisjoint(
            case.log.sha256 for case in other.readings.cases
        )
        ambients = [[case.ambient_degc for case in week.readings.cases] for week in (one, other)]
        assert ambients[0] != ambients[1]


def test_the_command_writes_a_folder_of_logs_and_the_truth(thermlog) -> None:
    ran = thermlog("simulate", "--depot", "depot", "--seed", "4")
    assert ran.code == 0, ran.err
    logs = sorted(Path("depot").glob("*.csv"))
    truth = json.loads(Path("depot/truth.json").read_text(encoding="utf-8"))
    assert len(logs) == 60 * WEEKS
    assert len(truth["units"]) == 60
    named = {unit["name"] for unit in truth["units"]}
    for log in logs[::97]:
        read = read_log(str(log))
        (case,) = read.readings.cases
        assert case.vehicle in named
        assert case.taken is not None
        assert case.taken.start == "2026-01-05" or case.taken.start > "2026-01-05"
        assert read.record.set_aside == ()

    assert thermlog("simulate", "--depot", "depot").code == 3
    assert thermlog("simulate", "--depot", "other", "--class", "van_disc").code == 2
    assert not Path("other").exists()
