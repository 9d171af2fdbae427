"""``thermlog simulate``: repeatable logs with a planted fault, read back by ``thermlog check``."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest

from thermlog.cli.simulate import FAULTS, SKIN_NAMES
from thermlog.reading.read import read_content, read_log
from thermlog.simulation.builds import fault_places
from thermlog.simulation.onelog import SKINS, Wanted, fault_words, planted_fault
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES

# every kind but what nobody simulates: neighbouring axles of one circuit, and two separate faults
PLANTED = (
    "none", "corner_hot", "corner_cold", "axle_hot", "axle_cold", "diagonal_hot", "all_hot", "hub_hot",
)  # fmt: skip
DRAG = ("--fault", "corner_hot", "--corner", "1L", "--drag-nm", "45")


def log_of(thermlog, *options):
    ran = thermlog("simulate", *options)
    assert (ran.code, ran.err) == (0, "")
    return ran.out


def readings_of(text: str):
    return read_content(text.encode(), file="simulated.csv").readings


def test_names_of_the_options_are_those_of_the_simulator():
    assert (*PLANTED, "any") == FAULTS
    assert tuple(SKINS) == SKIN_NAMES


def test_log_says_simulated_seed_and_fault(thermlog):
    first = log_of(thermlog, *DRAG, "--seed", "7").splitlines()[:3]
    assert first == ["# simulated: corner hot at 1L, drag 45 N·m", "# seed: 7", "# scenario: car_disc"]
    cold = log_of(thermlog, "--fault", "axle_cold", "--corner", "2R", "--lost", "0.8")
    assert cold.startswith("# simulated: axle cold at 2L and 2R, 80% of its braking lost\n")
    assert log_of(thermlog).startswith("# simulated: healthy, no fault planted\n")
    assert log_of(thermlog, "--fault", "all_hot").startswith(
        "# simulated: all hot at all corners, drag 30 N·m"
    )


@pytest.mark.parametrize("options", [DRAG, ("--fault", "any"), ("--fault", "corner_cold")])
def test_same_seed_same_bytes_other_seed_others(thermlog, options):
    once, again, other = (log_of(thermlog, *options, "--seed", seed) for seed in ("3", "3", "4"))
    assert once == again
    assert once.splitlines()[3:] != other.splitlines()[3:]


def test_same_seed_is_the_same_vehicle_with_and_without_the_fault(thermlog):
    sound, bad = readings_of(log_of(thermlog)), readings_of(log_of(thermlog, *DRAG))
    elsewhere = (sound.axle != 1) | (sound.side != 0)
    assert sound.elapsed_s.tolist() == bad.elapsed_s.tolist()
    assert sound.indicated_degc[elsewhere].tolist() == bad.indicated_degc[elsewhere].tolist()
    assert (bad.indicated_degc[~elsewhere] > sound.indicated_degc[~elsewhere] + 20.0).all()


@pytest.mark.parametrize("drive", ["normal", "coast"])
@pytest.mark.parametrize("name", ["car_disc", "car_drum", "van_disc", "bus_disc", "combination5_drum"])
def test_check_finds_what_was_planted(thermlog, name, drive):
    """A plain drag, four rounds: 60 N·m on light, 300 on heavy vehicles."""
    drag_nm = "60" if VEHICLE_CLASSES[name].weight_class == "light" else "300"
    thermlog(
        "simulate", "--class", name, "--fault", "corner_hot", "--corner", "2R", "--drag-nm", drag_nm,
        "--drive", drive, "--rounds", "4", "--seed", "5", "-o", "made.csv",
    )  # fmt: skip
    found = json.loads(thermlog("check", "made.csv", "--format", "json").out)
    assert (found["pattern"]["kind"], found["pattern"]["corners"]) == ("corner_hot", ["2R"])
    assert found["drive"] == drive
    low, high = found["severity"][0]["torque_interval_nm"]
    assert low < float(drag_nm) < high


def test_hub_fault_is_read_at_the_hub(thermlog):
    thermlog(
        "simulate", "--class", "trailer2_drum", "--fault", "hub_hot", "--corner", "2L", "--drag-nm", "60",
        "-o", "made.csv",
    )  # fmt: skip
    found = json.loads(thermlog("check", "made.csv", "--format", "json").out)
    assert (found["pattern"]["kind"], found["pattern"]["corners"]) == ("hub_hot", ["2L"])
    assert {corner["spot"] for corner in found["corners"]} == {"brake", "hub"}


@pytest.mark.parametrize(
    "style",
    [
        ("--unit", "F"),
        ("--unit", "K"),
        ("--decimal", ","),
        ("--delimiter", ";"),
        ("--stopped", "23:55:00"),
    ],
)
def test_style_of_the_log_changes_no_reading(thermlog, style):
    plain, styled = readings_of(log_of(thermlog, *DRAG)), readings_of(log_of(thermlog, *DRAG, *style))
    # one decimal is written in whatever unit
    assert styled.indicated_degc == pytest.approx(plain.indicated_degc, abs=0.051)
    assert styled.elapsed_s.tolist() == plain.elapsed_s.tolist()
    assert styled.axle.tolist() == plain.axle.tolist()


def test_wide_log_holds_the_same_temperatures(thermlog):
    plain, wide = (readings_of(log_of(thermlog, "--layout", layout)) for layout in ("long", "wide"))
    assert sorted(wide.indicated_degc.tolist()) == sorted(plain.indicated_degc.tolist())


def test_rounds_spots_ambient_and_description(thermlog):
    made = readings_of(
        log_of(
            thermlog, "--rounds", "5", "--spot", "hat", "--spot", "hub", "--spot", "hat", "--ambient", "64F"
        )
    )
    assert made.rows == 5 * 4 * 2
    # the log states the air with an error of 1 K, in half degrees
    assert made.cases[0].ambient_degc == pytest.approx(17.8, abs=4.0)
    assert made.cases[0].description == VEHICLE_CLASSES["car_disc"].description()
    assert readings_of(log_of(thermlog, "--bare")).cases[0].description is None


def test_order_of_the_walk_and_a_corner_in_small_letters(thermlog):
    across = readings_of(log_of(thermlog, "--order", "across", "--seed", "2"))
    # the first round goes axle by axle
    assert across.axle[:4].tolist() == [1, 1, 2, 2]
    assert readings_of(log_of(thermlog, "--seed", "2")).axle[:4].tolist() == [1, 2, 2, 1]
    small = log_of(thermlog, "--fault", "corner_hot", "--corner", "2r")
    assert log_of(thermlog, "--fault", "corner_hot", "--corner", "rear right") == small
    assert small.startswith("# simulated: corner hot at 2R")


def test_bright_skins_show_the_gun_less(thermlog):
    rusty, bright = (readings_of(log_of(thermlog, *DRAG, "--skins", skins)) for skins in ("rusty", "bright"))
    assert bright.indicated_degc.max() < 0.8 * rusty.indicated_degc.max()


def test_pace_and_direction_of_the_walk(thermlog):
    slow = readings_of(log_of(thermlog, "--seconds", "40", "--one-way"))
    assert slow.elapsed_s[3] - slow.elapsed_s[0] == pytest.approx(3 * 40.0, abs=20.0)  # jitter 3 s a reading
    assert slow.axle[:4].tolist() == slow.axle[4:8].tolist() == [1, 2, 2, 1]
    there_and_back = readings_of(log_of(thermlog))
    assert there_and_back.side[:4].tolist() == there_and_back.side[4:8].tolist()[::-1]


def test_a_hard_last_stop_heats_the_front_discs(thermlog):
    """0.5 * 1500 kg * (100/3.6 m/s)² * 0.85 * 0.73 / 2 / 3000 J/K = 60 K, less what the mass varies."""
    plain, hard = (readings_of(log_of(thermlog, *more)) for more in ((), ("--last-stop", "100")))
    first = hard.axle == 1
    more_k = (hard.indicated_degc - plain.indicated_degc)[first & (hard.elapsed_s < 120)]
    assert more_k == pytest.approx(45.0, abs=20.0)  # the gun at 0.95 sees about three quarters of it
    assert more_k.min() > 1.3 * (hard.indicated_degc - plain.indicated_degc)[~first].max()


def test_misses_and_uneven_skins(thermlog):
    none, many = (readings_of(log_of(thermlog, "--misses", share)) for share in ("0", "0.5"))
    assert (many.indicated_degc < none.indicated_degc - 15.0).sum() >= 3  # half of twelve shots, near the air
    gaps = []
    for skins in ("rusty", "uneven"):
        read = readings_of(log_of(thermlog, "--skins", skins, "--misses", "0", "--seed", "3"))
        left, right = (read.indicated_degc[(read.axle == 1) & (read.side == side)].mean() for side in (0, 1))
        gaps.append(abs(left - right))
    assert gaps[1] > gaps[0]


# practice cases


def test_practice_case_tells_the_fault_in_the_truth_only(thermlog):
    ran = thermlog("simulate", *DRAG, "--hide-fault", "--truth", "truth.toml", "-o", "case.csv")
    assert (ran.code, ran.out, ran.err) == (0, "", "")
    log = Path("case.csv").read_text(encoding="utf-8")
    assert log.startswith("# simulated: practice case, the fault is not told here\n# scenario: car_disc\n")
    assert "seed" not in log  # it would make the same log again, with the fault told
    assert "1L, drag" not in log
    assert "corner hot" not in log
    truth = tomllib.loads(Path("truth.toml").read_text(encoding="utf-8"))
    assert truth == {
        "words": "corner hot at 1L, drag 45 N·m",
        "fault": "corner_hot",
        "corners": ["1L"],
        "drag_nm": 45.0,
        "lost_fraction": 0.0,
        "class": "car_disc",
        "drive": "normal",
        "rounds": 3,
        "skins": "rusty",
        "seconds_per_reading": 15.0,
        "one_way": False,
        "miss_share": 0.03,
        "seed": 1,
    }
    told = log_of(thermlog, *DRAG)
    assert told.splitlines()[2:] == log.splitlines()[1:]
    assert read_log("case.csv").record.rows_used == 12


def test_any_fault_is_drawn_by_the_seed_among_what_the_vehicle_can_have():
    drawn = [planted_fault(Wanted(vehicle_class="rigid3_drum", fault="any", seed=seed)) for seed in range(60)]
    kinds = {fault.kind for fault in drawn}
    # three axles have no diagonal; the hub is not read
    assert kinds == set(PLANTED) - {"diagonal_hot", "hub_hot"}
    assert all(fault.corners in fault_places(VEHICLE_CLASSES["rigid3_drum"], fault.kind) for fault in drawn)
    torques = [fault.drag_nm for fault in drawn if fault.kind.endswith("_hot")]
    assert 75.0 <= min(torques) < max(torques) <= 300.0  # half to twice the usual 150 N·m
    coast = {
        planted_fault(Wanted(vehicle_class="car_disc", fault="any", drive="coast", seed=s)).kind
        for s in range(60)
    }
    assert coast == set(PLANTED) - {"corner_cold", "axle_cold", "hub_hot"}
    hubs = {
        planted_fault(Wanted(vehicle_class="car_disc", fault="any", spots=("brake", "hub"), seed=s)).kind
        for s in range(60)
    }
    assert "hub_hot" in hubs


def test_unsaid_corner_is_drawn_by_the_seed():
    places = {
        planted_fault(Wanted(vehicle_class="car_disc", fault="corner_hot", seed=s)).corners for s in range(40)
    }
    assert places == {("1L",), ("1R",), ("2L",), ("2R",)}


def test_words_of_a_fault():
    diagonal = planted_fault(Wanted(vehicle_class="car_disc", fault="diagonal_hot", corner="2L"))
    assert fault_words(diagonal) == "diagonal hot at 1R and 2L, drag 30 N·m"
    heavy = planted_fault(Wanted(vehicle_class="bus_disc", fault="axle_hot", corner="1R"))
    assert fault_words(heavy) == "axle hot at 1L and 1R, drag 150 N·m"


# refusals


@pytest.mark.parametrize(
    ("options", "code", "said"),
    [
        (("--hide-fault",), 2, "--hide-fault needs --truth FILE"),
        (("--truth", "a", "-o", "a"), 2, "name the same file"),
        (("--drag-nm", "9"), 2, "--drag-nm is for hot faults"),
        (("--fault", "axle_cold", "--drag-nm", "9"), 2, "--drag-nm is for hot faults"),
        (("--fault", "corner_hot", "--lost", "0.5"), 2, "--lost is for cold faults"),
        (("--fault", "all_hot", "--corner", "1L"), 2, "--fault all_hot has no place"),
        (("--layout", "wide", "--spot", "hat"), 2, "a wide layout cannot tell spots"),
        (("--layout", "wide", "--fault", "hub_hot"), 2, "a wide layout cannot tell spots"),
        (("--decimal", ",", "--delimiter", ","), 2, "a decimal comma needs another delimiter"),
        (("--stopped", "25:00:00"), 2, "is not a clock time"),
        (("--rounds", "0"), 2, "--rounds"),
        (("--class", "spaceship"), 2, "--class"),
        (
            ("--fault", "corner_hot", "--corner", "3L"),
            3,
            'car_disc has no corner "3L"; it has 1L, 1R, 2L, 2R',
        ),
        (("--class", "rigid3_drum", "--fault", "diagonal_hot"), 3, "cannot have the fault diagonal_hot"),
    ],
)
def test_refusal_names_the_cure_and_writes_nothing(thermlog, options, code, said):
    ran = thermlog("simulate", *options)
    assert (ran.code, ran.out) == (code, "")
    assert said in ran.err
    assert list(Path().iterdir()) == []


@pytest.mark.parametrize("kept", ["log.csv", "truth.toml"])
def test_no_file_is_replaced_unasked(thermlog, kept):
    Path(kept).write_text("mine")
    both = ("-o", "log.csv", "--truth", "truth.toml")
    ran = thermlog("simulate", *both)
    assert ran.code == 3
    assert "--force" in ran.err
    assert [path.name for path in Path().iterdir()] == [kept]
    assert Path(kept).read_text() == "mine"
    assert thermlog("simulate", *both, "--force").code == 0
    assert Path(kept).read_text() != "mine"
