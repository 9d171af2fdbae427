"""One hot reading off the curve of its wheel: read again before anything is cleared, or contradicted by name.

All logs are invented; what a careful technician says of each was written before it was run: a single hot
value is neither a hot brake nor nothing. Who has read that wheel again since and found the curve of three
readings, or of two since, has his answer: no brake comes down to it so soon.
"""

from __future__ import annotations

import json
from types import SimpleNamespace

import numpy as np
import pytest
from coolinglogs import checked, readings

from thermlog.fitting.stack import STRAY, VOTES
from thermlog.inference.thrownout import farthest_strays

RISES = {"FL": 77.0, "FR": 75.0, "RR": 52.0, "RL": 53.0}  # at the start [K]
WORDS = {"FL": "front left", "FR": "front right", "RL": "rear left", "RR": "rear right"}
CORNERS = {"FL": "1L", "FR": "1R", "RL": "2L", "RR": "2R"}


def log(*odd: tuple[str, int, float], rounds: int = 4, spot: str = "") -> str:
    """A sound car read in rounds of three minutes; `odd` gives wheel, round and what the gun showed there."""
    shown = {(wheel, turn): degc for wheel, turn, degc in odd}
    rows = ["time_s,position,temp_c,spot"]
    for number, (second, wheel, degc) in enumerate(readings(RISES, rounds=rounds)):
        rows.append(f"{second},{wheel},{shown.get((wheel, number // len(RISES)), degc):.1f},{spot}")
    return "# ambient: 18 C\n" + "\n".join(rows) + "\n"


def codes(answer):
    return {one["code"] for one in answer["reasons"]}


@pytest.mark.parametrize("degc", [130.0, 197.0, 270.0])
@pytest.mark.parametrize("rounds", [2, 3, 4])
@pytest.mark.parametrize("wheel", RISES)
def test_a_hot_reading_that_was_not_read_again_clears_nothing(thermlog, tmp_path, wheel, rounds, degc):
    code, told = checked(thermlog, tmp_path, log((wheel, rounds - 1, degc), rounds=rounds))
    drag = told["answers"]["drag"]

    assert code == 1
    assert drag["answer"] in {"watch", "cannot_tell"}
    assert CORNERS[wheel] in drag["corners"]
    if rounds > 2:  # of two readings either may be the odd one
        assert "stray_hotter" in codes(drag)
        assert told["answers"]["idle"]["answer"] == "no"  # a brake that may be hot does its part
    assert (told["next_check"]["id"], told["urgent"]) == ("read_again", [])
    verdict = next(one["verdict"] for one in told["corners"] if one["corner"] == CORNERS[wheel])
    assert verdict in {"watch", "cannot_tell"}


@pytest.mark.parametrize("degc", [130.0, 197.0])
@pytest.mark.parametrize("turn", [0, 1, 2])
@pytest.mark.parametrize("wheel", RISES)
def test_one_that_was_read_again_is_contradicted_by_name(thermlog, tmp_path, wheel, turn, degc):
    code, told = checked(thermlog, tmp_path, log((wheel, turn, degc)))
    drag = told["answers"]["drag"]
    mine = [one for one in drag["reasons"] if one["code"] == "stray_contradicted"]

    assert (code, drag["answer"]) == (0, "no")
    assert [(one["corners"], one["numbers"]["value_degc"]) for one in mine] == [([CORNERS[wheel]], degc)]
    assert mine[0]["numbers"]["readings"] == 3 - turn
    assert f"{degc:.0f} °C at {WORDS[wheel]} lies" in thermlog("check", "log.csv").out


@pytest.mark.parametrize(
    ("rounds", "turn", "open_"),
    [(6, 4, False), (6, 5, True), (4, 2, False), (4, 3, True), (3, 0, False), (3, 1, True), (3, 2, True)],
)
def test_two_readings_after_it_or_one_of_three_are_enough(thermlog, tmp_path, rounds, turn, open_):
    code, told = checked(thermlog, tmp_path, log(("FL", turn, 180.0), rounds=rounds))

    assert (code, told["answers"]["drag"]["answer"] != "no") == ((1, True) if open_ else (0, False))


def test_a_cool_stray_hides_no_heat(thermlog, tmp_path):
    """A shot beside the brake reads colder; the brake was hot before and after: nothing to do."""
    for turn in range(4):
        code, told = checked(thermlog, tmp_path, log(("FL", turn, 24.0)))
        assert (code, told["answers"]["drag"]["answer"]) == (0, "no")


def test_a_small_one_asks_for_nothing(thermlog, tmp_path):
    """Ten kelvin above the curve would not have been a hot brake either: below the watch difference."""
    code, told = checked(thermlog, tmp_path, log(("FL", 3, 88.0)))

    assert (code, told["answers"]["drag"]["answer"]) == (0, "no")
    assert not codes(told["answers"]["drag"]) & {"stray_hotter", "stray_contradicted"}


@pytest.mark.parametrize(("degc", "urgent"), [(320.0, ["brake_hot"]), (197.0, [])])
def test_what_would_be_urgent_if_true_is(thermlog, tmp_path, degc, urgent):
    code, told = checked(thermlog, tmp_path, log(("FL", 0, degc)))

    assert [one["code"] for one in told["urgent"]] == urgent
    assert code == (1 if urgent else 0)


@pytest.mark.parametrize(("spot", "degc", "urgent"), [("tyre", 104.0, "tyre_hot"), ("hub", 140.0, "hub_hot")])
def test_a_tyre_or_hub_that_was_too_hot_once_is_urgent_whenever_it_was(
    thermlog, tmp_path, spot, degc, urgent
):
    head, *rows = log().splitlines()[1:]
    for k, row in enumerate(rows[:]):
        time_s, wheel = row.split(",")[:2]
        rows.append(f"{int(time_s) + 5},{wheel},{degc if k == 0 else 40.0 - k / 4},{spot}")
    rows.sort(key=lambda row: int(row.split(",")[0]))
    text = "\n".join(["# ambient: 18 C", head, *rows]) + "\n"
    code, told = checked(thermlog, tmp_path, text)

    assert code == 1
    assert (urgent, "1L") in [(one["code"], one["corner"]) for one in told["urgent"]]


def test_fleet_says_the_same_of_one_among_many(thermlog, tmp_path):
    for k in range(3):
        (tmp_path / f"{k}.csv").write_text(f"# vehicle: car {k}\n{log()}", encoding="utf-8")
    (tmp_path / "odd.csv").write_text(log(("RR", 3, 197.0)), encoding="utf-8")
    ran = thermlog("fleet", str(tmp_path), "--format", "json")
    found = {one["log"]["file"].rsplit("/", 1)[-1]: one for one in json.loads(ran.out)["logs"]}

    assert ran.code == 1
    assert found["odd.csv"]["answers"]["drag"]["answer"] == "cannot_tell"
    assert {found[f"{k}.csv"]["answers"]["drag"]["answer"] for k in range(3)} == {"no"}


@pytest.mark.parametrize("coldest", [False, True])
@pytest.mark.parametrize("seed", range(5))
def test_the_hottest_and_coldest_stray_of_each_brake_are_those_of_a_plain_search(seed, coldest):
    """Every row looked at in turn; levels are rounded: of several that are as far out the first counts."""
    rng = np.random.default_rng(seed)
    count = 300
    side, pair = rng.integers(0, 2, count), rng.integers(0, 20, count)
    elapsed_s, left_out = rng.integers(0, 900, count).astype(float), rng.choice([VOTES, STRAY], count)
    rise_k = np.where(rng.random(count) < 0.1, np.nan, rng.integers(40, 60, count).astype(float))
    found = farthest_strays(
        SimpleNamespace(line=np.arange(count) + 2, indicated_degc=rise_k + 18.0, elapsed_s=elapsed_s),
        SimpleNamespace(row_side=side, row_pair=pair, row_series=2 * pair + side, count=20),
        SimpleNamespace(left_out=left_out),
        rise_k,
        below=coldest,
    )
    out_k = -rise_k if coldest else rise_k
    expected = {}
    for row in range(count):
        place = (side[row], pair[row])
        if left_out[row] == STRAY and out_k[row] > expected.get(place, (-1, -np.inf))[1]:
            expected[place] = row, out_k[row]
    assert {place: one.line for place, one in found.items()} == {
        p: row + 2 for p, (row, _) in expected.items()
    }
    for place, (row, _) in expected.items():
        votes = [k for k in range(count) if (side[k], pair[k]) == place and left_out[k] == VOTES]
        since = [k for k in votes if elapsed_s[k] > elapsed_s[row]]
        thrown = sum(
            (side[k], pair[k]) == place and left_out[k] == STRAY and np.isfinite(rise_k[k])
            for k in range(count)
        )
        assert (found[place].votes, found[place].since) == (len(votes), len(since))
        assert found[place].thrown == thrown
