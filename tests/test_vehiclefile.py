"""Vehicle files: what they say, what is refused, and how they enter a check, a fleet and a comparison."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from judgecases import LORRY_K, VAN_K, Walk, axle_of, described, log_text, told, walked
from msgspec.structs import replace

from thermlog.judging.diagnose import judge
from thermlog.judging.settings import Settings
from thermlog.reading.read import read_log
from thermlog.reading.vehiclefile import load_vehicle
from thermlog.words.errors import VehicleError
from thermlog.words.policy import load_policy
from thermlog.words.vehicle import Axle, AxleRole, Vehicle, default_vehicle

ROOT = Path(__file__).parent.parent
SAMPLES = ROOT / "sample_logs"
ROLES = get_args(AxleRole)
PAGE = (ROOT / "docs" / "vehicle.md").read_text(encoding="utf-8")


@pytest.fixture
def vehicle_file(tmp_path):
    def write(text: str) -> str:
        file = tmp_path / "mine.toml"
        file.write_text(text, encoding="utf-8")
        return str(file)

    return write


def test_every_key_arrives(vehicle_file):
    found = load_vehicle(
        vehicle_file(
            'schema = "thermlog-vehicle-1"\nweight_class = "heavy"\nsplit = "front_rear"\n'
            'regenerative = true\ntyre_radius_m = 0.48\n[[axles]]\nrole = "steer"\nbrake = "disc"\n'
            '[[axles]]\nrole = "tag"\nbrake = "drum"\nparking_brake = true\nlifted = true\n'
        )
    )
    assert found == Vehicle(
        axles=(
            Axle(role="steer", brake="disc"),
            Axle(role="tag", brake="drum", parking_brake=True, lifted=True),
        ),
        weight_class="heavy",
        split="front_rear",
        regenerative=True,
        tyre_radius_m=0.48,
        stated=True,
    )


@pytest.mark.parametrize("count", [1, 2, 3, 5])
def test_axles_alone_take_the_defaults_of_positions(vehicle_file, count):
    assert load_vehicle(vehicle_file("[[axles]]\n" * count)) == replace(default_vehicle(count), stated=True)


def test_stated_weight_brings_its_tyre(vehicle_file):
    assert load_vehicle(vehicle_file('weight_class = "heavy"\n[[axles]]\n[[axles]]')).tyre_radius_m == 0.50


AXLE = "[[axles]]\n"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no axle is described; write one [[axles]] for every axle, from the front"),
        ("axles = 2", "axles, found 2: write one [[axles]]"),
        ("axles = []", "axles, found []: write one [[axles]]"),
        (
            'wieght_class = "light"\n' + AXLE,
            'wieght_class, found "light": no such key; did you mean "weight_',
        ),
        ("zzz = 1\n" + AXLE, "zzz, found 1: no such key; write one of axles, weight_class, split"),
        ('weight_class = "car"\n' + AXLE, 'weight_class, found "car": write one of "light", "heavy"'),
        ('split = "x"\n' + AXLE, 'split, found "x": write one of "diagonal", "front_rear", "unknown"'),
        ('regenerative = "yes"\n' + AXLE, 'regenerative, found "yes": write true or false, without quotes'),
        ("tyre_radius_m = 31\n" + AXLE, "tyre_radius_m, found 31: write the rolling radius in metres"),
        ("tyre_radius_m = true\n" + AXLE, "tyre_radius_m, found true: write the rolling radius in metres"),
        ("tyre_radius_m = nan\n" + AXLE, "tyre_radius_m, found nan: write the rolling radius in metres"),
        ('tyre_radius_m = "0.3"\n' + AXLE, 'tyre_radius_m, found "0.3": write the rolling radius in metres'),
        (AXLE + AXLE + 'brake = "disk"', 'axle 2, brake, found "disk": write one of "disc", "drum"'),
        (AXLE + 'rolle = "steer"', 'axle 1, rolle, found "steer": no such key; did you mean "role"?'),
        (AXLE + "role = 1", 'axle 1, role, found 1: write one of "steer", "drive"'),
        (AXLE + "lifted = 1", "axle 1, lifted, found 1: write true or false, without quotes"),
        ('schema = "thermlog-vehicle-9"', 'schema is not "thermlog-vehicle-1"'),
        ("role steer", "not a TOML file"),
    ],
)
def test_refusal_names_file_key_value_and_cure(vehicle_file, text, said):
    file = vehicle_file(text)
    with pytest.raises(VehicleError) as refused:
        load_vehicle(file)
    assert str(refused.value).startswith(f"{file}: {said}")


def test_missing_file_is_refused(tmp_path):
    with pytest.raises(VehicleError, match="No such file or directory; name a vehicle file"):
        load_vehicle(str(tmp_path / "nowhere.toml"))


@given(
    roles=st.lists(st.sampled_from(ROLES), min_size=1, max_size=6),
    radius_m=st.floats(0.1, 1.5),
    lifted=st.booleans(),
)
def test_file_says_what_was_written(tmp_path_factory, roles, radius_m, lifted):
    file = tmp_path_factory.mktemp("vehicle") / "any.toml"
    axles = "".join(f'{AXLE}role = "{role}"\nlifted = {str(lifted).lower()}\n' for role in roles)
    file.write_text(f"tyre_radius_m = {radius_m!r}\n{axles}")
    found = load_vehicle(str(file))
    assert [axle.role for axle in found.axles] == roles
    assert {axle.lifted for axle in found.axles} == {lifted}
    assert found.tyre_radius_m == radius_m


# in the chain

VAN = described("steer", "drive")


def test_file_replaces_what_the_log_says_and_a_note_says_so():
    readings = walked(VAN_K, Walk(description=described("steer", "axle", split="diagonal")))
    one = told(readings, Settings(policy=load_policy("light"), vehicle=VAN))
    assert one.description == VAN
    assert one.notes == ("the vehicle file replaces what the log says of the vehicle",)
    assert told(walked(VAN_K), Settings(policy=load_policy("light"), vehicle=VAN)).notes == ()
    same = told(walked(VAN_K, Walk(description=VAN)), Settings(policy=load_policy("light"), vehicle=VAN))
    assert same.notes == ()


def test_file_chooses_the_policy():
    heavy = replace(VAN, weight_class="heavy")
    one = told(walked(VAN_K), Settings(vehicle=heavy))
    assert one.policy.name == "heavy"
    assert one.policy_note == "follows from the vehicle's description"


def test_lifted_axle_of_the_file_may_be_cold():
    cold = walked(LORRY_K | {"3L": 4.0, "3R": 3.0})
    lifted = described("steer", "drive", "lift", weight_class="heavy")
    assert axle_of(told(cold, Settings(policy=load_policy("heavy"), vehicle=lifted)), 3).verdict == "even"
    may_be_raised = described("steer", "drive", "tag", weight_class="heavy")
    assert (
        axle_of(told(cold, Settings(policy=load_policy("heavy"), vehicle=may_be_raised)), 3).verdict
        == "watch"
    )
    plain = described("steer", "drive", "axle", weight_class="heavy")
    assert axle_of(told(cold, Settings(policy=load_policy("heavy"), vehicle=plain)), 3).verdict == "cold"


def test_axle_that_is_read_but_not_described_is_refused_by_name():
    with pytest.raises(VehicleError, match=r"made-up\.csv, line \d+: axle 3 was read, but the vehicle file"):
        judge(walked(LORRY_K), Settings(vehicle=VAN))
    wider = described("steer", "drive", "tag", "tag", weight_class="heavy")
    assert told(walked(LORRY_K), Settings(vehicle=wider)).description == wider


# on the command line


def test_check_compare_and_fleet_take_the_file(thermlog):
    van, log = str(SAMPLES / "van.toml"), str(SAMPLES / "van_front_left_hot.csv")
    checked = json.loads(thermlog("check", log, "--vehicle", van, "--format", "json").out)
    bare = json.loads(thermlog("check", log, "--format", "json").out)
    # the file's 0.34 m instead of the 0.31 m of a light vehicle
    ratio = checked["severity"][0]["torque_nm"] / bare["severity"][0]["torque_nm"]
    assert ratio == pytest.approx(0.34 / 0.31, rel=1e-5)
    before, after = (str(SAMPLES / f"van_{when}_repair.csv") for when in ("before", "after"))
    assert thermlog("compare", before, after, "--vehicle", van).code in {0, 1}
    assert thermlog("fleet", log, "--vehicle", van).code == 1


def test_fleet_lists_a_log_of_another_vehicle_and_goes_on(thermlog):
    van, lorry = str(SAMPLES / "van_front_left_hot.csv"), str(SAMPLES / "tipper_axle3_right_hot.csv")
    ran = thermlog("fleet", van, lorry, "--vehicle", str(SAMPLES / "van.toml"), "--format", "json")
    found = json.loads(ran.out)
    assert [log["log"]["file"] for log in found["logs"]] == [van]
    assert [one["file"] for one in found["unreadable"]] == [lorry]
    assert "axle 3 was read" in found["unreadable"][0]["reason"]
    assert found["unreadable"][0]["code"] == "vehicle"
    assert found["unreadable"][0]["line"] > 1
    assert thermlog("fleet", lorry, "--vehicle", str(SAMPLES / "van.toml")).code == 3
    assert thermlog("check", lorry, "--vehicle", str(SAMPLES / "van.toml")).code == 3


def test_bad_file_is_one_line_and_code_3(thermlog):
    Path("bad.toml").write_text('[[axles]]\nbrake = "disk"\n')
    ran = thermlog("check", str(SAMPLES / "van_front_left_hot.csv"), "--vehicle", "bad.toml")
    assert (ran.code, ran.out) == (3, "")
    assert ran.err == 'thermlog: bad.toml: axle 1, brake, found "disk": write one of "disc", "drum"\n'


# samples and page


def test_sample_files_fit_their_logs():
    van, combination = (load_vehicle(str(SAMPLES / f"{name}.toml")) for name in ("van", "combination"))
    assert (van.weight_class, len(van.axles)) == ("light", 2)
    assert (combination.weight_class, len(combination.axles)) == ("heavy", 5)
    for name, vehicle in (("van_front_left_hot", van), ("combination_healthy", combination)):
        read = read_log(str(SAMPLES / f"{name}.csv")).readings
        assert judge(read, Settings(vehicle=vehicle)).vehicles[0] == vehicle


def known_keys(file, text):
    """Keys that the refusal of an unknown one lists."""
    with pytest.raises(VehicleError) as refused:
        load_vehicle(file(text))
    return set(str(refused.value).rpartition("write one of ")[2].split(", "))


def test_page_tells_every_key_and_every_word(vehicle_file):
    keys = {
        found[1]: found[0] for found in re.findall(r"^(\| `(\w+)`(?: of an axle)? \|.*)$", PAGE, re.MULTILINE)
    }
    of_axle, of_vehicle = (known_keys(vehicle_file, text) for text in ("[[axles]]\nqqq = 1\n", "qqq = 1\n"))
    assert "parking_brake" in of_axle
    assert set(keys) == (of_axle | of_vehicle | {"schema"}) - {"axles"}
    assert all(f'`"{role}"`' in keys["role"] for role in ROLES)


def test_header_lines_of_the_page_say_the_same_as_the_file(vehicle_file):
    """The file of the page, and its header lines before a log, give one description."""
    block = re.search(r"```toml\n(.*?)```", PAGE, re.DOTALL)[1]
    stated = load_vehicle(vehicle_file(block))
    assert len(tomllib.loads(block)["axles"]) == 2
    header = (
        "# weight: light\n# split: front rear\n# regenerative: no\n# tyre radius: 0.34 m\n"
        "# axles: steer drive\n# brakes: disc disc\n# parking brake: 2\n"
    )
    log = Path(vehicle_file("")).with_name("log.csv")
    log.write_text(header + log_text(walked(VAN_K)))
    assert read_log(str(log)).readings.cases[0].description == stated
