"""Each number of a policy and of a gun file acts: one is changed, and some result of some log is another."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path

import pytest
from logs import AIR_DEGC, DRAGGING_K, HEALTHY_K, TAU_S, log_text

from thermlog.correcting.gun import BathCheck, Gun
from thermlog.words.policy import BUNDLED, NUMBERS, load_policy, policy_unit

LORRY_K = {f"{axle}{side}": 62.0 if axle == 1 else 75.0 for axle in (1, 2, 3) for side in "LR"}
HEAD = f"# ambient: {AIR_DEGC:g} C\n# drive: normal\n"


def times(rises_k: dict[str, float], part: float) -> dict[str, float]:
    """Every brake warmer by one factor."""
    return {corner: part * rise_k for corner, rise_k in rises_k.items()}


def spots(*places: tuple[str, str, float], step_s: float = 20.0, taus_s: tuple[float, ...] = ()) -> str:
    """Four rounds of the healthy van and of more spots: (corner, spot, rise) each."""
    rows = ["corner,since_parked_s,temp_c,spot"]
    brakes = [(corner, "rotor", rise_k) for corner, rise_k in HEALTHY_K.items()]
    for turn in range(4):
        for place, (corner, spot, rise_k) in enumerate((*brakes, *places)):
            elapsed_s = 30.0 + 240.0 * turn + step_s * place
            tau_s = taus_s[place] if place < len(taus_s) else TAU_S
            rows.append(
                f"{corner},{elapsed_s:g},{AIR_DEGC + rise_k * math.exp(-elapsed_s / tau_s):.1f},{spot}"
            )
    return HEAD + "\n".join(rows) + "\n"


def timed(heading: str, *moments: float) -> str:
    """Readings at these moments, round the van, whose heading may state no unit."""
    brakes = list(HEALTHY_K.items())
    rows = [f"{heading},corner,temp_c"]
    for k, moment in enumerate(moments):
        corner, rise_k = brakes[k % len(brakes)]
        rows.append(f"{moment:g},{corner},{AIR_DEGC + rise_k * 0.98 ** (k // len(brakes)):.1f}")
    return HEAD + "\n".join(rows) + "\n"


BEHIND = ("3L", "3R", "4L", "4R")
TOWING = "# axles: steer drive trailer trailer\n"
# What is judged, so many logs that every number meets one it counts in; the commonest first.
LOGS = {
    "van, one brake drags": log_text(DRAGGING_K),
    "lorry, one brake drags": log_text(LORRY_K | {"2L": 140.0}),
    "van, somewhat warm": log_text(times(HEALTHY_K, 1.5)),
    "van, warm": log_text(times(HEALTHY_K, 2.0)),
    "van, hot": log_text(times(HEALTHY_K, 2.5)),
    "van and trailer, hot": TOWING + log_text(HEALTHY_K | dict.fromkeys(BEHIND, 120.0)),
    "van and trailer, cold": TOWING + log_text(HEALTHY_K | dict.fromkeys(BEHIND, 15.0)),
    "lorry, one brake drags a little": log_text(LORRY_K | {"3R": 130.0}),
    "lorry, somewhat warm": log_text(times(LORRY_K, 1.5)),
    "lorry, warm": log_text(times(LORRY_K, 2.0)),
    "lorry, hot": log_text(times(LORRY_K, 2.5)),
    "van, not braked": log_text(times(DRAGGING_K, 0.2)).replace("drive: normal", "drive: coast"),
    "van, no air stated": log_text(DRAGGING_K).replace("# ambient", "# was"),
    "van, a hub warmer than its brake": spots(("2L", "hub", 95.0), ("2R", "hub", 20.0)),
    "van, hubs warmer than their brakes": spots(("2L", "hub", 140.0), ("2R", "hub", 120.0)),
    "van, other spots": spots(("1L", "caliper", 140.0), ("1R", "rim", 110.0), ("2R", "tyre", 80.0)),
    "van, parts unlike": spots(
        *(
            (f"1{side}", spot, rise_k + (25.0 if side == "L" else 0.0))
            for spot, rise_k in (("hub", 15.0), ("rim", 20.0), ("tyre", 15.0), ("caliper", 45.0))
            for side in "LR"
        ),
        step_s=8.0,
    ),
    "van, sides cool unlike": spots(taus_s=(900.0, 1500.0, 1800.0, 1800.0)),
    "van, half a gap": log_text(HEALTHY_K | {"2R": 84.0}),
    "lorry, half a gap": log_text(LORRY_K | {"3R": 105.0}),
    "lorry, less than half a gap": log_text(LORRY_K | {"3R": 95.0}),
    "van, colder than any place": log_text(HEALTHY_K) + "1L,1000,-80\n",
    "van, hotter than any gun": log_text(HEALTHY_K) + "1L,1000,700\n",
    "van, hurried": timed("time_s", *(1.2 * k for k in range(8))),
    "van, hurried, no unit": timed("time", *(2.0 * k for k in range(8))),
    "van, slow": timed("time_s", *(400.0 * k for k in range(8))),
    "van, read late": re.sub(
        r"(?m)^(..),(\d+),", lambda m: f"{m[1]},{int(m[2]) + 3000},", log_text(HEALTHY_K)
    ),
    "van, slow, no unit": timed("time", *(100.0 * k for k in range(8))),
    "van, a long pause, no unit": timed("time", 0, 20, 40, 60, 6000, 6020, 6040, 6060),
    "van, one side stated bright": log_text(times(DRAGGING_K, 1.7)),
    "van, discs": "# axles: steer drive\n# brakes: disc disc\n" + log_text(DRAGGING_K),
    "van, disc and drum": "# axles: steer drive\n# brakes: disc drum\n" + log_text(DRAGGING_K),
    "van, one brake half idle": log_text(HEALTHY_K | {"2R": 30.0}),
    "van, one brake rather idle": log_text(HEALTHY_K | {"2R": 20.0}),
    "van, axles alike": log_text(dict.fromkeys(HEALTHY_K, 70.0)),
    "van, one wheel alone": "time,corner,temp_c\n"
    + "".join(f"{100 * k + 10.5},1L,{90 - k}\n" for k in range(6)),
    "van, metal": log_text(DRAGGING_K).replace("# drive", "# emissivity: 0.6\n# distance: 0.8 m\n# drive"),
}
BRIGHT = ("--surface", "2R=0.3")
RUNS = [
    *(("check", name, "--explain", "--format", "json") for name in LOGS),
    ("check", "van, one side stated bright", *BRIGHT),
    *(("check", name) for name in LOGS),
    *(("fleet", name) for name in list(LOGS)[:3]),
    ("compare", "van, one brake drags", "van, half a gap"),
]
# What is tried first; what stands here only saves time.
FIRST_IN = {
    "van, somewhat warm": "watch_ratio gap_probability hidden_drag_k",
    "van, not braked": (
        "watch_difference_k coast_heat_median_k coast_heat_spread coast_side_spread_fraction "
        "coast_side_spread_k coast_axle_spread coast_front_share minimum_rise_k"
    ),
    "marks": "suspect_ratio suspect_difference_k strong_ratio strong_difference_k",
    "van, a hub warmer than its brake": (
        "hub_over_mate_k urgent_hub_degc urgent_hub_rise_k tau_hub_s tau_hub_spread"
    ),
    "van, hubs warmer than their brakes": "hub_own_heat_k hub_stop_k",
    "van, warm": "urgent_brake_degc heat_watch_probability hidden_drag_part",
    "van, one side stated bright": "urgent_bright_degc",
    "van, other spots": "urgent_caliper_degc urgent_rim_degc urgent_tyre_degc",
    "van, parts unlike": "watch_hub_k watch_rim_k watch_tyre_k watch_caliper_k",
    "van, colder than any place": "lowest_reading_degc",
    "van, hotter than any gun": "highest_reading_degc high_miss_part",
    "van, hurried": "fastest_gap_s",
    "van, hurried, no unit": "fastest_mean_gap_s slowest_mean_gap_s",
    "van, slow": "slowest_lap_s",
    "van, read late": "latest_reading_s",
    "van, one wheel alone": "longest_pause_s",
    "van, no air stated": "unstated_air_low_degc unstated_air_high_degc",
    "lorry, one brake drags": "tau_drum_s tau_drum_spread circuit_hot_weight hidden_loss_share",
    "van and trailer, hot": "trailer_hot_weight",
    "van and trailer, cold": "trailer_cold_weight",
    "van, sides cool unlike": "tau_unlike_ratio",
    "van, discs": "like_axle_spread",
    "van, disc and drum": "unlike_axle_spread",
    "lorry, one brake drags a little": "drag_call_probability",
    "van, one brake rather idle": "idle_call_probability",
    "van, hot": "heat_call_probability",
    "van, axles alike": "unlike_axles_ratio",
    "van, metal": "distance_ratio",
}
FIRST = {name: log for log, names in FIRST_IN.items() for name in names.split()}


@pytest.fixture
def result(thermlog):
    """Result of one run under a policy or a gun, without what tells the file apart."""

    def of(run: tuple[str, ...], option: str, text: str) -> str:
        file = Path(f"mine{option}.toml")
        file.write_text(text)
        named = [f"{word}.csv" if word in LOGS else word for word in run]
        for word in set(run) & LOGS.keys():
            Path(f"{word}.csv").write_text(LOGS[word])
        ran = thermlog(*named, option, str(file))
        assert ran.code in {0, 1, 3}, (run, text, ran.err)
        return re.sub(r"\b[0-9a-f]{12,64}\b|  marks of policy .*", "", ran.out + ran.err)

    return of


_USUAL: dict[tuple[object, ...], str] = {}


def acts(result, option: str, usual: str, changes: list[str], first: str = "") -> tuple[str, ...] | None:
    """The run that gives another result under one of the changed files than under the usual one."""
    for run in sorted(RUNS, key=lambda run: len(run) > 2 if first == "marks" else first not in run):
        key = (run, option, usual)
        if key not in _USUAL:
            _USUAL[key] = result(run, option, usual)
        if any(result(run, option, change) != _USUAL[key] for change in changes):
            return run
    return None


def changed(name: str, value: float) -> list[float]:
    """A value somewhat larger and one somewhat smaller, both allowed."""
    larger, smaller = (1.5 * value, 0.6 * value) if value else (0.3, 0.1)
    most = 1.0 if name.endswith(("_share", "_probability")) and not name.endswith("front_share") else math.inf
    return [min(larger, most), smaller]


# those of earlier visits act where there are any: test_memory.py
OF_ONE_LOG = [name for name in NUMBERS if not name.startswith("memory_")]


@pytest.mark.parametrize("name", OF_ONE_LOG)
@pytest.mark.parametrize("base", BUNDLED)
def test_every_number_of_a_policy_acts(result, base, name):
    usual = f'base = "{base}"\n'
    line = name + ' = {{ value = {}, unit = "{}", source = "a test" }}\n'
    changes = [
        usual + line.format(value, policy_unit(name))
        for value in changed(name, getattr(load_policy(base), name))
    ]
    assert acts(result, "--policy", usual, changes, FIRST.get(name, ""))


@pytest.mark.parametrize("base", BUNDLED)
def test_the_same_number_stated_again_changes_nothing(result, base):
    """So that the tests beside it do not pass by the file alone."""
    policy, usual = load_policy(base), f'base = "{base}"\n'
    line = '{} = {{ value = {}, unit = "{}", source = "a test" }}\n'
    same = usual + "".join(line.format(name, getattr(policy, name), policy_unit(name)) for name in NUMBERS)
    assert acts(result, "--policy", usual, [same]) is None


USUAL_GUN = """
emissivity_setting = 0.95
band_um = [8.0, 14.0]
distance_ratio = 12.0
accuracy_k = 2.0
accuracy_percent = 2.0
coverage_factor = 2.0
repeatability_k = 0.5
resolution_k = 0.1
compensated = true
[check]
ice_degc = 0.4
boiling_degc = 99.0
pressure_hpa = 1000.0
surroundings_degc = 20.0
"""
GUN_CHANGES = {
    "emissivity_setting": ("0.9",),
    "band_um": ("[7.5, 14.0]", "[8.0, 13.0]"),
    "distance_ratio": ("30.0", "6.0"),
    "accuracy_k": ("4.0", "1.0"),
    "accuracy_percent": ("4.0", "1.0"),
    "coverage_factor": ("3.0", "1.0"),
    "repeatability_k": ("0.8", "0.2"),
    "resolution_k": ("0.2", "1.0"),
    "compensated": ("false",),
    "ice_degc": ("0.8", "0.1"),
    "boiling_degc": ("98.0", "100.5"),
    "pressure_hpa": ("950.0", "1020.0"),
    "surroundings_degc": ("10.0", "30.0"),
}


UNCHECKED = ("accuracy", "coverage")  # a field check takes their place


@pytest.mark.parametrize("name", GUN_CHANGES)
def test_every_number_of_a_gun_file_acts(result, name):
    usual = USUAL_GUN.partition("[check]")[0] if name.startswith(UNCHECKED) else USUAL_GUN
    was = next(line for line in usual.splitlines() if line.startswith(name))
    changes = [usual.replace(was, f"{name} = {value}") for value in GUN_CHANGES[name]]
    assert acts(result, "--gun", usual, changes, FIRST.get(name, ""))


def test_every_key_of_a_gun_file_is_tried():
    labels = {"name", "check", "assumed", "sources"}
    tried = set(GUN_CHANGES) | {"altitude_m", "pressure_sigma_hpa"}
    assert {*Gun.__struct_fields__, *BathCheck.__struct_fields__} - labels <= tried


def test_altitude_acts_in_place_of_the_pressure(result):
    usual = USUAL_GUN.replace("pressure_hpa = 1000.0", "altitude_m = 0")
    assert acts(result, "--gun", usual, [usual.replace("altitude_m = 0", "altitude_m = 900")])


def test_a_gun_that_scatters_by_8_k_widens_the_verdict_and_says_so(thermlog):
    """The drag is less sure than with a usual gun, its gap wider, and --explain names the gun first."""
    Path("log.csv").write_text(LOGS["van, one brake drags"])
    Path("coarse.toml").write_text("repeatability_k = 8\n")
    usual, coarse = (
        json.loads(thermlog("check", "log.csv", "--format", "json", "--explain", *gun).out)
        for gun in ((), ("--gun", "coarse.toml"))
    )
    assert coarse["answers"]["drag"]["p"] < usual["answers"]["drag"]["p"]
    low, high = coarse["axles"][1]["difference_interval_k"]
    before = usual["axles"][1]["difference_interval_k"]
    assert high - low > 3.0 * (before[1] - before[0])
    said = thermlog("check", "log.csv", "--explain", "--gun", "coarse.toml").out
    budget = said.partition("rear: left minus right as the gun shows it")[2].splitlines()[2]
    assert budget.endswith("gun repeatability")
