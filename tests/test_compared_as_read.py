"""Before and after are compared only as far as both logs read the same: one vehicle, one spot, two logs."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest
from proofcases import HEALTHY as HEALTHY_K
from proofcases import HOT_REAR, HUBS, axle, codes, compared, drive

HEALTHY = {"1L": 95.0, "1R": 94.0, "2L": 60.0, "2R": 61.0}
DRAGS = HEALTHY | {"1L": 165.0}
HEAD = ("weight: light", "axles: steer axle", "brakes: disc disc", "drive: normal")


def write(
    name: str, rises_k: dict[str, float], *head: str, spot: str = "", air: str = "ambient: 18 C"
) -> str:
    """Three rounds, every wheel cooling by 27 min; one spot for all brakes, or none named."""
    rows, second = [], 30
    for turn in range(3):
        for corner in list(rises_k)[:: 1 if turn % 2 == 0 else -1]:
            degc = 18.0 + rises_k[corner] * math.exp(-second / 1620.0)
            rows.append(f"{second},{corner}{spot and ','}{spot},{degc:.1f}")
            second += 15
        second += 150
    columns = f"since_parked_s,position{spot and ',spot'},temp_c"
    lines = [f"# {one}" for one in (*HEAD, *filter(None, (air, *head)))]
    Path(name).write_text("\n".join([*lines, columns, *rows]) + "\n", encoding="utf-8")
    return name


@pytest.mark.parametrize(
    ("before", "after", "even"),
    [
        ("rotor outer", "rotor outer", True),
        ("rotor outer", "hat", False),
        ("rotor outer", "caliper", False),
        ("caliper", "rotor outer", False),
        ("", "hat", True),  # nobody said where it was aimed at before: it may have been there
        ("hat", "", True),
    ],
)
def test_a_drag_is_shown_to_be_gone_only_where_it_was_seen(thermlog, before, after, even):
    """A caliper is as cool beside a disc that drags as beside any other."""
    logs = write("before.csv", DRAGS, spot=before), write("after.csv", HEALTHY, spot=after)
    ran = thermlog("compare", *logs)
    assert (ran.code == 0) is even
    assert ("Front even again" in ran.out) is even
    assert ("read at another spot than before" in ran.out) is not even


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("van 7", "VAN  7", True),
        ("Van 7", " van 7", True),
        ("van 7", "van 8", False),
        ("van 7", "van7", False),
    ],
)
def test_a_name_written_another_way_is_the_same_vehicle(thermlog, one, other, same):
    logs = (
        write("before.csv", DRAGS, f"vehicle: {one}"),
        write("after.csv", HEALTHY, f"vehicle: {other}"),
    )
    ran = thermlog("compare", *logs)
    assert (ran.code == 0) is same
    assert ("are not one vehicle" in ran.out) is not same


@pytest.mark.parametrize(("other", "settled"), [("VAN  7", True), ("van 8", False)])
def test_two_drives_of_a_name_written_two_ways_answer_for_each_other(thermlog, other, settled):
    rolled = write("c.csv", dict.fromkeys(HEALTHY, 9.0) | {"1L": 80.0}, f"vehicle: {other}")
    Path("coast.csv").write_text(Path(rolled).read_text().replace("drive: normal", "drive: coast"))
    braked = write("normal.csv", HEALTHY | {"1L": 140.0}, "vehicle: van 7")
    found = json.loads(thermlog("check", braked, "coast.csv", "--format", "json").out)
    codes = {one["code"] for one in found[0]["answers"]["drag"]["reasons"]}
    assert ("hot_without_braking" in codes) is settled


def test_what_a_brake_lacks_is_told_of_that_brake_alone():
    """The rear right climbs while it is read; its hub, its mate and the fronts are read well."""
    climbs = HEALTHY_K | HUBS | {"2R": (64.0, -4000.0)}
    found = compared(drive(HOT_REAR | HUBS), drive(climbs))
    assert codes(found, 2) == ["gap_not_comparable", "rising"]
    assert axle(found, 2).reasons[1].corners == ("2R",)


THREE = {"1L": 70.0, "1R": 71.0, "2L": 80.0, "2R": 81.0, "3L": 82.0, "3R": 80.0}


@pytest.mark.parametrize(
    ("names", "axles", "code"),
    [
        (("vehicle: lorry 3", "vehicle: Lorry 3"), "", "not_read"),
        (("vehicle: lorry 3", "vehicle: lorry 3"), "axles: steer drive", "axles_differ"),
        (("", ""), "", "axles_differ"),
        (("vehicle: lorry 3", ""), "", "axles_differ"),
    ],
)
def test_an_axle_that_was_not_read_again_is_asked_for_and_makes_no_other_vehicle(
    thermlog, names, axles, code
):
    """Under one name a log that describes nothing may have read fewer axles; one that counts two has two."""
    logs = []
    for name, rises in (
        ("before", THREE | {"2L": 180.0}),
        ("after", {c: THREE[c] for c in THREE if c[0] < "3"}),
    ):
        said = [names[len(logs)], *([axles] if name == "after" and axles else [])]
        text = Path(write(f"{name}.csv", rises, *said)).read_text()
        bare = [
            line
            for line in text.splitlines()
            if not line.startswith(("# axles: steer axle", "# brakes", "# weight"))
        ]
        Path(f"{name}.csv").write_text("\n".join(bare) + "\n")
        logs.append(f"{name}.csv")
    ran = thermlog("compare", *logs, "--format", "json")
    found = json.loads(ran.out)
    third = next(one for one in found["axles"] if one["axle"] == 3)
    assert ran.code == 1
    assert code in {one["code"] for one in third["reasons"]}
    if code == "not_read":
        assert found["next_check"]["id"] == "read_unread"
        assert "Read 3L and 3R now" in found["next_check"]["question"]
        second = next(one for one in found["axles"] if one["axle"] == 2)
        assert second["outcome"] == "repaired"


@pytest.mark.parametrize(
    ("after_k", "even"), [({"1L": 61.0, "1R": 60.0}, True), ({"1L": 30.0, "1R": 29.0}, False)]
)
def test_the_mate_tells_a_gentle_drive_of_a_vehicle_with_one_axle(thermlog, after_k, even):
    """A trailer alone: at half of the heat of the sound side a drag makes half of its gap, too."""
    logs = []
    for name, rises in (("before", {"1L": 140.0, "1R": 60.0}), ("after", after_k)):
        text = Path(write(f"{name}.csv", rises)).read_text()
        for old, new in (("axles: steer axle", "axles: trailer"), ("brakes: disc disc", "brakes: overrun")):
            text = text.replace(old, new)
        Path(f"{name}.csv").write_text(text)
        logs.append(f"{name}.csv")
    ran = thermlog("compare", *logs)
    assert (ran.code == 0) is even
    assert ("gentler drives make smaller gaps" in ran.out) is not even


def test_two_of_three_axles_are_not_called_front_and_rear(thermlog):
    """The log counts an axle that nobody read: it is axle 3, and the others are axle 1 and 2."""
    text = Path(write("log.csv", HEALTHY)).read_text().replace("axles: steer axle", "axles: 3")
    Path("log.csv").write_text(text.replace("# brakes: disc disc\n", ""))
    said = thermlog("check", "log.csv").out
    assert "axle 3 left and axle 3 right: not read" in said
    assert "rear" not in said


def test_without_an_air_temperature_that_is_asked_for_and_no_drive(thermlog):
    ran = thermlog("compare", write("before.csv", DRAGS), write("after.csv", HEALTHY, air=""), "-q")
    assert ran.code == 1
    assert (
        "DO NEXT   Hold a thermometer in the shade beside the vehicle, state the air temperature" in ran.out
    )


def test_one_log_twice_is_no_comparison(thermlog):
    before, after = write("before.csv", DRAGS), write("after.csv", HEALTHY)
    Path("copy.csv").write_bytes(Path(before).read_bytes())
    for logs in ((before, before), (before, after, "copy.csv"), (before, "copy.csv")):
        ran = thermlog("compare", *logs)
        assert ran.code == 2
        assert f"{before} and {logs[-1]} are one log; name the one before the work" in ran.err
    assert thermlog("compare", before, after).code == 0
