"""Logs read many at a time are just what the careful reader makes of each; what is odd is left to it."""

from __future__ import annotations

import random
from pathlib import Path

import numpy as np
import pytest
from dialects import any_dialect, written
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from readcases import assert_same_readings

from thermlog.reading.gathered import LogReadings
from thermlog.reading.odd import _core, _core_without, none_apart, none_apart_in
from thermlog.reading.plainlogs import plain_logs
from thermlog.reading.read import read_log, read_logs
from thermlog.reading.readoptions import ReadOptions
from thermlog.reading.times.pace import plainly_possible, plainly_walked
from thermlog.words.errors import LogRefusedError
from thermlog.words.policy import usual_limits

PLAIN = b"# ambient: 18 C\n# vehicle: van 7\ntime_s,position,temp_c\n" + b"".join(
    b"%d,%s,%.1f\n" % (12 * k, (b"FL", b"FR", b"RL", b"RR")[k % 4], 90.0 - 0.7 * k) for k in range(12)
)
WHEELS = (
    ["FL", "FR", "RL", "RR"],
    ["VL", "VR", "HL", "HR"],
    ["1L", "1R", "2L", "2R", "3L", "3R"],
    ["front left", "front right"],
)
HEADINGS = (
    "time_s,position,temp_c",
    "position,since_parked_s,temp_c",
    "temp (F),wheel,time [min]",
    "t_ms,pos,temp_K",
    "time_s,position,temp_c",
    "time remaining (s),position,temp_c",
    "clock (s),position,temp_c",
    "time (ticks),position,temp_c",
    "time_s,position,temp (dC)",
    "time_s,position,spot,temp_c",
    "spot,wheel,temp_c,time_s",
)
SPOT_CELLS = (
    "drum",
    "disc",
    "rotor",
    "hub",
    "tyre",
    "rim",
    "Hub ",
    "wheel hub",
    "tyre_inner",
    "",
    "inner",
    "sump",
)
DESCRIBED = (
    "# axles: steer drive", "# axles: steer drive trailer", "# axles: 2", "# axles: 3", "# axles: 1",
    "# axles: two", "# brakes: drum drum", "# brakes: disc drum", "# brakes: RR seized", "# brakes: wood",
    "# weight: heavy", "# weight: 7.5 t", "# split: front rear", "# parking brake: 2",
    "# tyre radius: 0.50 m",
    "# retarder: yes", "# lifted: 2", "# unbraked: 2", "# regenerative: no", "# vehicle: two-axle lorry 5",
    "# vehicle: three-axle tipper", "# simulated: a drag", "# seed: 7",
)  # fmt: skip
STATED = (
    "# ambient: 18 C", "# ambient: 64 F", "# ambient: 18", "# air 17.5 +/- 1 C", "# ambient: 80 C",
    "# vehicle: van 7", "# vehicle:  ,", "# drive: coast", "# drive: Tuesday", "# by: a trainee",
    "# date: 2031-05-04", "# odometer: 12 000 km", "# gun: shop gun", "# hello", "#", "# ambient: cold",
    "# axles: 3", "# unit: F", "# emissivity: 0.8", "# seen: smoke at FL", "# parked: 10",
    "# taken back: line 9", "# wheel: FL", "% per cent", "// slashes", "Vehicle: lorry", "", '# "quoted"',
)  # fmt: skip
CELLS = (
    "", "nan", "inf", "1e2", "-5", "999", "8_5.5", " 85.5 ", "85,5", "OL", "ambient", "spare", "0",
    "85.5 F", "#", "12:30",
)  # fmt: skip


def assert_same(found: LogReadings, careful: LogReadings) -> None:
    assert (found.record, found.understood) == (careful.record, careful.understood)
    assert_same_readings(found.readings, careful.readings)


def check(contents: list[bytes], folder: Path) -> int:
    """Both readers on the same logs; how many were plain."""
    paths = []
    for number, content in enumerate(contents):
        paths.append(str(folder / f"{number}.csv"))
        Path(paths[-1]).write_bytes(content)
    found = read_logs(paths)
    careful, refused = [], []
    for path in paths:
        try:
            careful.append(read_log(path))
        except LogRefusedError as refusal:
            refused.append((path, str(refusal)))
    assert [(path, str(refusal)) for path, refusal in found.refused] == refused
    for own, other in zip(found.logs, careful, strict=True):
        assert_same(own, other)
    return len(
        plain_logs(
            [(path, content, "") for path, content in zip(paths, contents, strict=True)], ReadOptions()
        )
    )


def nearly_plain(dice: random.Random) -> bytes:
    """A plain log, in three of four cases with something about it that is not."""
    heading, wheels = dice.choice(HEADINGS), dice.choice(WHEELS)
    scale = {"[min]": 1 / 60, "t_ms": 1000.0}.get(
        next((w for w in ("[min]", "t_ms") if w in heading), ""), 1.0
    )
    shift = 273.15 if heading.endswith("_K") else 0.0
    step_s = dice.choice([12.0] * 12 + [0.3, 2.0, 900.0])
    rows = []
    for k in range(dice.choice([12, 12, 12, 1, 2, 3, 7, 8, 40])):
        time, temp = f"{(step_s * k + dice.random()) * scale:.6g}", f"{shift + dice.gauss(85.0, 6.0):.1f}"
        by_word = {
            "t": time,
            "p": wheels[k % len(wheels)],
            "w": wheels[k % len(wheels)],
            "s": time,
            "c": time,
            "spot": dice.choice(dice.choice((SPOT_CELLS[:2], SPOT_CELLS[:6], SPOT_CELLS))),
        }
        cells = [
            temp if one.startswith("temp") else by_word[one if one == "spot" else one[0]]
            for one in heading.split(",")
        ]
        rows.append(cells)
    for _ in range(dice.choice([0, 0, 0, 0, 0, 1, 2])):
        rows[dice.randrange(len(rows))][dice.randrange(3)] = dice.choice(CELLS)
    if dice.random() < 0.1:
        rows.insert(dice.randrange(len(rows)), dice.choice([["1", "FL"], [""], heading.split(","), rows[0]]))
    if dice.random() < 0.05:
        dice.shuffle(rows)
    head = dice.sample(
        STATED[:4] + STATED[5:14] if dice.random() < 0.8 else STATED, dice.choice([0, 1, 2, 3])
    )
    if dice.random() < 0.4:
        head += dice.sample(DESCRIBED, dice.choice([1, 2, 3]))
    ends = dice.choice(["\n"] * 9 + ["\r\n", "\n\n"])
    text = ends.join([*head, heading, *map(",".join, rows)]) + dice.choice(["", "\n", "\n", "\n", "\n\n"])
    return text.encode()


def test_the_same_log_after_log_whatever_is_odd_about_it(tmp_path):
    dice = random.Random(1)
    contents = [nearly_plain(dice) for _ in range(2500)]
    plain = check(contents, tmp_path)
    assert 0.1 * len(contents) < plain < 0.5 * len(contents)  # both readers had their share


def test_the_same_in_every_dialect(tmp_path):
    dice = random.Random(2)
    assert check([written(any_dialect(dice)) for _ in range(800)], tmp_path) < 160


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b"# vehicle: van 7\n", b"Vehicle: van 8\n# note: a line between\n"),
        (b"\n12,FR,", b"\n% 12,FR,"),
        (b"\n24,RL,", b"\n# 24,RL,80\n24,RL,"),
        (b"time_s,", b"time_s ,"),
        (b"temp_c\n", b"temp_c\n\n"),
    ],
)
def test_the_same_after_a_change_by_hand(tmp_path, old, new):
    assert old in PLAIN
    check([PLAIN.replace(old, new), PLAIN], tmp_path)


@pytest.mark.parametrize(
    ("vehicle", "plain"),
    [
        ("# vehicle: van 8", True),
        ("# Truck: A-1_b.c", True),
        ("# registration: 7", True),
        ("# vehicle: smoking brake FL", False),
        ("# vehicle: " + " ".join(["long"] * 30), True),
        ("# vehicle: a, b", True),
        ("# vehicle:  van 7 ", True),
        ("# vehicle van 7", True),
        ("#vehicle: van 7", True),
        ("# vehicle: van 7\n# by: a trainee", True),
        ("# vehicle: van 7\n# vehicle: van 7", False),
        ("# vehicle: van 7\n# vehicle: van 8", False),
        ("# vehicle: van 7\n# truck: van 8", False),
        ("# truck: van 8\n# Vehicle = van 7", False),
        ("# vehicle: §", False),
        ("# vehicle: §\n# truck: van 7", False),
        ("# vehicle: van 7\n# seen: smoke at FL", False),
    ],
)
def test_each_log_keeps_its_own_vehicle_where_many_state_the_same_else(tmp_path, vehicle, plain):
    other = PLAIN.replace(b"# vehicle: van 7", vehicle.encode())
    assert check([PLAIN, other, PLAIN.replace(b"van 7", b"van 9"), other], tmp_path) == 2 + 2 * plain


@pytest.mark.parametrize("rows", [12, 400, 401])
@pytest.mark.parametrize(
    "log", [("temp_c", 18, 86, "186.8"), ("temp_f", 64, 187, "86.2"), ("temp_K", 291, 359, "395.2")]
)
def test_what_may_be_a_typing_error_is_named_in_logs_that_somebody_typed(tmp_path, rows, log):
    temp, air, usual, typed = log
    row = 7 if rows == 12 else 8
    temps = [typed if k == row else f"{usual}.{k % 5}" for k in range(rows)]
    table = [f"{4 * k},{('FL', 'FR')[k % 2]},{one}" for k, one in enumerate(temps)]
    content = "\n".join([f"# ambient: {air}", f"time_s,position,{temp}", *table]).encode()
    assert check([content], tmp_path) == 1
    (read,) = read_logs([str(tmp_path / "0.csv")]).logs
    found = {12: [(10, "1R")], 400: [(11, "1L")], 401: []}[rows]
    assert [(one.line, one.corner) for one in read.readings.cases[0].odd] == found
    assert sum("stands apart" in note for note in read.record.notes) == len(found)


@given(degc=st.lists(st.sampled_from([20.0, 21.0, 80.0, 81.5, 300.0]) | st.floats(-50, 900), min_size=4))
def test_the_middle_without_one_value_is_that_of_the_others(degc):
    for place, value in enumerate(degc):
        assert _core_without(value, sorted(degc)) == _core(degc[:place] + degc[place + 1 :])


@settings(max_examples=200, deadline=None)
@given(place=st.integers(0, len(PLAIN) - 1), put=st.binary(max_size=3), cut=st.integers(0, 30))
def test_the_same_after_any_slip(tmp_path_factory, place, put, cut):
    check([PLAIN[:place] + put + PLAIN[place + cut :], PLAIN], tmp_path_factory.mktemp("slip"))


def test_a_common_log_is_plain_and_an_option_makes_it_the_careful_readers():
    log = [("van.csv", PLAIN, "")]
    assert set(plain_logs(log, ReadOptions())) == {0}
    for options in (ReadOptions(vehicle="van"), ReadOptions(unit="C"), ReadOptions(places=("steer axle",))):
        assert not plain_logs(log, options)


def test_a_described_lorry_with_a_column_of_spots_is_plain():
    """Its sample has both, and a name that counts the axles."""
    folder = Path(__file__).parent.parent / "sample_logs"
    content = (folder / "lorry_rear_axle_cold.csv").read_bytes()
    logs = [
        content,
        content.replace(b"2R,drum", b"2R,sump"),
        content.replace(b"axles: steer drive", b"axles: 1"),
    ]
    plain = plain_logs([("lorry.csv", one, "") for one in logs], ReadOptions())
    assert set(plain) == {0}
    (case,) = plain[0].gathered.readings.cases
    assert case.description is not None
    assert (case.description.weight_class, case.axles_least) == ("heavy", 2)


@pytest.mark.parametrize("count", [1, 3, 4, 7, 8, 12])
def test_rows_of_many_logs_are_told_as_those_of_one(count):
    rng, limits = np.random.default_rng(3), usual_limits()
    times = np.cumsum(
        rng.choice([-1.0, 0.3, 12.0, 400.0, 900.0], (200, count), p=[0.03, 0.03, 0.8, 0.1, 0.04]), axis=1
    )
    degc = 85.0 + np.cumsum(rng.choice([0.0, 4.0, 26.0], (200, count), p=[0.6, 0.3, 0.1]), axis=1)
    rising = [sorted(set(row)) == row for row in times.tolist()]
    wanted = [up and plainly_possible(row, limits) for up, row in zip(rising, times.tolist(), strict=True)]
    assert plainly_walked(times, limits).tolist() == wanted
    at_once = replace(limits, fastest_gap_s=0.0)
    wanted = [up and plainly_possible(row, at_once) for up, row in zip(rising, times.tolist(), strict=True)]
    assert plainly_walked(times, at_once).tolist() == wanted
    assert none_apart_in(degc).tolist() == [none_apart(row) for row in degc.tolist()]
