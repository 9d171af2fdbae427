"""A rim, tyre, caliper or hub far above its mate beside even brakes: never an all-clear."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

AIR_DEGC = 18.0
HEAD = (
    "# vehicle: van\n# weight: light\n# axles: steer axle\n# brakes: disc disc\n# drive: normal\n"
    "# ambient: 18 C\n"
)
BRAKES_K = {"1L": 100.0, "1R": 98.0, "2L": 60.0, "2R": 59.0}
# One spot of every kind that is compared: warm, under the line that stops the vehicle.
ODD = {"rim": 95.0, "tyre_outer": 65.0, "caliper": 110.0, "hub": 43.0, "rotor_inner": 160.0}


def log_text(*spots: tuple[str, str, float], brakes: dict[str, float] | None = None) -> str:
    """Three rounds of four brakes and of more spots: (corner, spot, rise) each."""
    places = [*((corner, "rotor_outer", k) for corner, k in (brakes or BRAKES_K).items()), *spots]
    rows = ["since_parked_s,position,temp_c,spot"]
    for turn in range(3):
        for k, (corner, spot, rise_k) in enumerate(places):
            at_s = 30.0 + 8.0 * k + 270.0 * turn
            rows.append(f"{at_s:g},{corner},{AIR_DEGC + rise_k * math.exp(-at_s / 1800.0):.1f},{spot}")
    return HEAD + "\n".join(rows) + "\n"


def pair(spot: str, left_k: float, right_k: float, axle: int = 1) -> tuple[tuple[str, str, float], ...]:
    return (f"{axle}L", spot, left_k), (f"{axle}R", spot, right_k)


@pytest.mark.parametrize("spot", ODD)
def test_part_far_above_its_mate_is_watched_everywhere(thermlog, checked, spot: str) -> None:
    """A third of what the odd one has is what its mate has: no brake explains it."""
    text = log_text(*pair(spot, ODD[spot], ODD[spot] / 3.0))
    ran = checked(text, "--format", "json")
    found = json.loads(ran.out)
    assert ran.code == 1
    assert [(one["corner"], one["spot"], one["over"]) for one in found["parts_above"]] == [
        ("1L", spot, "mate")
    ]
    assert found["urgent"] == []
    verdicts = {(one["corner"], one["spot"]): one["verdict"] for one in found["corners"]}
    assert verdicts.pop(("1L", spot)) == "watch"
    assert set(verdicts.values()) == {"even"}
    assert found["next_check"]["id"].startswith("look_at_")
    assert "Keep this log" not in found["next_check"]["question"]
    above = "above its mate"
    assert above in checked(text, "-q").out
    fleet = thermlog("fleet", "log.csv", "--format", "json")
    (drive,) = json.loads(fleet.out)["work"]["drives"]
    assert (fleet.code, drive["group"]) == (1, "watch")
    assert above in drive["lines"][0]["finding"]
    assert (drive["lines"][0]["corner"], drive["lines"][0]["hottest_spot"]) == ("1L", spot)
    assert above in thermlog("fleet", "log.csv").out
    checked(text, "--report", "page.html", "--chart", "chart.svg", "--customer", "owner.html")
    assert above in Path("page.html").read_text(encoding="utf-8")
    assert "Something stands out" in Path("owner.html").read_text(encoding="utf-8")


def test_sound_parts_are_not_watched(checked) -> None:
    """Mates within a few kelvin, or as far apart as their brakes are."""
    sound = (
        *pair("rim", 30.0, 26.0), *pair("tyre_outer", 20.0, 25.0), *pair("hub", 20.0, 24.0),
        *pair("caliper", 52.0, 45.0),
    )  # fmt: skip
    ran = checked(log_text(*sound), "--format", "json")
    assert (ran.code, json.loads(ran.out)["parts_above"]) == (0, [])


def test_what_its_own_brake_heats_is_not_watched(checked) -> None:
    """A dragging brake heats its rim: that is said of the brake."""
    ran = checked(log_text(*pair("rim", 70.0, 25.0), brakes=BRAKES_K | {"1L": 220.0}), "--format", "json")
    found = json.loads(ran.out)
    assert found["answers"]["drag"]["corners"] == ["1L"]
    assert found["parts_above"] == []


MARKS = {
    "rim": "watch_rim_k",
    "tyre_outer": "watch_tyre_k",
    "caliper": "watch_caliper_k",
    "hub": "watch_hub_k",
    "rotor_inner": "suspect_difference_k",
}


@pytest.mark.parametrize(("spot", "mark"), MARKS.items())
def test_mark_is_that_of_the_policy(checked, spot: str, mark: str) -> None:
    """The same log above and below a mark that is moved."""
    text = log_text(*pair(spot, 45.0, 20.0))
    for mark_k, expected in ((18.0, 1), (35.0, 0)):
        number = f'{mark} = {{ value = {mark_k:g}, unit = "K", source = "of this test" }}'
        Path("mine.toml").write_text(
            f'name = "mine"\nschema = "thermlog-policy-1"\nbase = "light"\n{number}\n'
        )
        assert checked(text, "--policy", "mine.toml", "-q").code == expected


def test_both_hubs_of_an_axle_above_those_of_an_axle_of_the_same_kind(checked) -> None:
    """Trailer with two axles alike; each hub is as warm as its mate."""
    brakes = dict.fromkeys(BRAKES_K, 66.0)
    text = log_text(*pair("hub", 44.0, 45.0), *pair("hub", 15.0, 15.0, axle=2), brakes=brakes)
    trailer = text.replace("axles: steer axle", "axles: trailer trailer").replace("disc disc", "drum drum")
    found = json.loads(checked(trailer.replace("rotor_outer", "drum"), "--format", "json").out)
    assert [(one["corner"], one["over"]) for one in found["parts_above"]] == [
        ("1L", "others"),
        ("1R", "others"),
    ]
    unlike = json.loads(checked(text, "--format", "json").out)
    assert unlike["parts_above"] == []  # a steered axle and one behind it are not alike


# Sound hubs, rims and tyres are cooler than the brakes that heat them (of our own vehicles 2 to 110 K cooler
# after any drive): what is clearly hotter has heat of its own. Rises beside brakes of 32 K.
OF_ITS_OWN = {"hub": 67.0, "rim": 67.0, "tyre_outer": 71.0}
EVEN_K = dict.fromkeys(BRAKES_K, 32.0)


@pytest.mark.parametrize("spot", OF_ITS_OWN)
def test_part_far_above_its_own_brake_is_watched_where_its_mate_was_not_read(
    thermlog, checked, spot: str
) -> None:
    """A hub of 85 degC beside brakes of 50: a technician reads the mate's and turns the wheel."""
    text = log_text(("1L", spot, OF_ITS_OWN[spot]), brakes=EVEN_K)
    ran = checked(text, "--format", "json")
    found = json.loads(ran.out)
    assert (ran.code, found["urgent"]) == (1, [])
    (part,) = found["parts_above"]
    assert (part["corner"], part["spot"], part["over"]) == ("1L", spot, "brake")
    # 35 to 39 K at the stop, less what has gone by the common time
    assert 25.0 < part["difference_k"] < OF_ITS_OWN[spot] - 32.0
    verdicts = {(one["corner"], one["spot"]): one["verdict"] for one in found["corners"]}
    assert verdicts[("1L", spot)] == "watch"
    assert "and of front right now" in found["next_check"]["question"].replace("1R", "front right")
    above = "above its own brake"
    assert above in checked(text, "-q").out
    fleet = thermlog("fleet", "log.csv", "--format", "json")
    (drive,) = json.loads(fleet.out)["work"]["drives"]
    assert (fleet.code, drive["group"]) == (1, "watch")
    assert above in drive["lines"][0]["finding"]
    checked(text, "--report", "page.html", "--chart", "chart.svg", "--customer", "owner.html")
    assert above in Path("page.html").read_text(encoding="utf-8")
    assert "Something stands out" in Path("owner.html").read_text(encoding="utf-8")


def test_both_hubs_above_their_own_brakes_are_watched_both(checked) -> None:
    """Bearings set too tight on both sides: the mate is no measure of that."""
    text = log_text(*pair("hub", 67.0, 67.0), brakes=EVEN_K)
    found = json.loads(checked(text, "--format", "json").out)
    assert [(one["corner"], one["over"]) for one in found["parts_above"]] == [
        ("1L", "brake"),
        ("1R", "brake"),
    ]


def test_alike_hubs_beside_unlike_brakes_tell_of_the_brake(checked) -> None:
    """What is odd is the brake, and that is said of it."""
    text = log_text(*pair("hub", 67.0, 67.0), brakes=EVEN_K | {"1R": 70.0})
    ran = checked(text, "--format", "json")
    found = json.loads(ran.out)
    assert (ran.code, found["parts_above"]) == (1, [])
    assert {"1L", "1R"} & {*found["answers"]["drag"]["corners"], *found["answers"]["idle"]["corners"]}


@pytest.mark.parametrize(
    ("head", "spot", "rise_k", "brakes_k"),
    [
        (HEAD, "hub", 40.0, 66.0),  # cooler than its brake, as it should be
        (HEAD, "hub", 42.0, 32.0),  # 10 K: within the mark of 15 K
        (HEAD.replace("normal", "coast"), "hub", 25.0, 7.0),  # a hub that rolled beside a brake without heat
        (HEAD.replace("normal", "coast"), "tyre_outer", 45.0, 7.0),  # 63 degC: as tyres are after a drive
        (HEAD, "caliper", 60.0, 32.0),  # the brake itself: judged beside its mate
    ],
)
def test_what_rolling_and_the_brake_give_is_no_heat_of_its_own(
    checked, head: str, spot: str, rise_k: float, brakes_k: float
) -> None:
    text = log_text(("1L", spot, rise_k), brakes=dict.fromkeys(BRAKES_K, brakes_k))
    found = json.loads(checked(text.replace(HEAD, head), "--format", "json").out)
    assert found["parts_above"] == []


@pytest.mark.parametrize(("air_line", "rise_k", "over"), [("", 67.0, ["brake"]), ("", 52.0, [])])
def test_without_an_air_what_rolling_gives_is_counted_from_the_warmest_air(
    checked, air_line: str, rise_k: float, over: list[str]
) -> None:
    """Brakes of 50 degC, an air of 30 at most: a hub that has become 66 is 11 K above what it may have."""
    text = log_text(("1L", "hub", rise_k), brakes=EVEN_K).replace("# ambient: 18 C\n", air_line)
    found = json.loads(checked(text, "--format", "json").out)
    assert [one["over"] for one in found["parts_above"]] == over


def test_hub_of_a_brake_that_does_nothing_is_no_hot_bearing(checked) -> None:
    """Its brake is dead and is said to be; heat of the other parts reaches the hub."""
    text = log_text(("1L", "hub", 45.0), brakes=BRAKES_K | {"1L": 4.0})
    found = json.loads(checked(text, "--format", "json").out)
    assert "1L" in found["answers"]["idle"]["corners"]
    assert found["parts_above"] == []


@pytest.mark.parametrize(("rise_k", "over"), [(46.0, ["others"]), (30.0, [])])
def test_hub_without_a_mate_is_held_beside_hubs_of_other_axles(
    checked, rise_k: float, over: list[str]
) -> None:
    """Cooler than its brake, and 38 or 22 K above the one other hub: unlike axles may differ by 30."""
    text = log_text(("1L", "hub", rise_k), ("2L", "hub", 8.0), brakes=dict.fromkeys(BRAKES_K, 66.0))
    found = json.loads(checked(text, "--format", "json").out)
    assert [one["over"] for one in found["parts_above"] if one["corner"] == "1L"] == over


def test_what_stops_the_vehicle_is_not_watched_too(checked) -> None:
    """A rim above its line is urgent, and named once."""
    found = json.loads(checked(log_text(*pair("rim", 130.0, 25.0)), "--format", "json").out)
    assert [one["code"] for one in found["urgent"]] == ["rim_hot"]
    assert found["parts_above"] == []
