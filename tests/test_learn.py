"""Limits learned from a depot's own vehicles: refused where they cannot be, and taken where they are made."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path

import logs
import numpy as np
import pytest
from historycases import dated, job_of_log
from hypothesis import given, settings
from hypothesis import strategies as st
from logs import DRAGGING_K, HEALTHY_K

from thermlog.history.faultshare import Stratum, fault_share_of, lacking
from thermlog.history.learning import learn_numbers
from thermlog.history.robust import median_of, spread_of
from thermlog.history.seen import AxleSeen, DriveSeen, drives_seen
from thermlog.history.store import History
from thermlog.history.tolerance import fewest, upper_limit
from thermlog.judging.diagnose import judge
from thermlog.pipeline import anew
from thermlog.pipeline.settings import gather_settings
from thermlog.reading.read import read_log
from thermlog.words.policy import NUMBERS, load_policy, policy_sources


def test_sample_sizes_are_those_of_the_tables() -> None:
    """Wilks 1941: 59 for 95 % at 95 %; closed form 1 - P^n."""
    assert fewest(0.95, 0.95) == 59
    for share, sure in ((0.9, 0.95), (0.95, 0.9), (0.99, 0.95), (0.5, 0.5)):
        count = fewest(share, sure)
        assert 1.0 - share**count >= sure > 1.0 - share ** (count - 1)


@settings(deadline=None)  # the first example imports scipy
@given(st.lists(st.floats(0, 100), min_size=59, max_size=59, unique=True))
def test_of_just_enough_the_largest_is_the_limit(values: list[float]) -> None:
    assert upper_limit(values, 0.95, 0.95) == max(values)
    assert upper_limit(values[:-1], 0.95, 0.95) is None


def test_the_limit_holds_as_often_as_it_says() -> None:
    """Own count: 93 exponential values, 2 000 depots; the second largest is 95 / 95 from 93 on (Wilks)."""
    rng = np.random.default_rng(1)
    true = -math.log(0.05)
    kept = [(upper_limit(rng.exponential(size=93).tolist(), 0.95, 0.95) or 0.0) >= true for _ in range(300)]
    assert np.mean(kept) > 0.92  # 0.95 asked, 300 trials: three standard errors


def healthy(folder: Path, count: int, *, spread: float = 0.04, axles: float = 0.0, seed: int = 2) -> None:
    """Vans whose sides scatter, and whose axles do more or less than their share."""
    folder.mkdir(exist_ok=True)
    rng = np.random.default_rng(seed)
    for number in range(count):
        more = {axle: axles * rng.standard_normal() if axles else 0.0 for axle in "12"}
        rises = {
            corner: rise_k * math.exp(spread * rng.standard_normal() + more[corner[0]])
            for corner, rise_k in HEALTHY_K.items()
        }
        text = dated(rises, "2026-03-04", vehicle=f"van {number}")
        (folder / f"{number}.csv").write_text(text, encoding="utf-8")


def test_too_few_vehicles_are_refused_with_the_number_needed(thermlog) -> None:
    healthy(Path("logs"), 20)
    ran = thermlog("learn", "logs", "-o", "own.toml")
    assert ran.code == 3
    assert "59 vehicles are needed for 95 % with a confidence of 95 %, 20 are there: 39 more" in ran.err
    assert not Path("own.toml").exists()


def test_a_policy_is_learned_and_taken(thermlog) -> None:
    healthy(Path("logs"), 60)
    ran = thermlog("learn", "logs", "-o", "own.toml")
    own, old = load_policy("own.toml"), load_policy("light")

    assert ran.code == 0, ran.err
    # both sides of one axle scatter by 4 %: the widest of 120 axles, as many normal values; own sum, wide
    assert 1.08 < own.watch_ratio < 1.30
    # fronts 105 and 103 K, rears 62 and 61 K: 104 / 61.5
    assert own.front_share == pytest.approx(104.0 / 61.5, rel=0.02)
    assert own.tau_disc_s == pytest.approx(1800.0, rel=0.05)
    assert own.suspect_ratio == old.suspect_ratio
    text = Path("own.toml").read_text(encoding="utf-8")
    assert 'base = "light"' in text
    assert "learned from 60 vehicles, by thermlog" in text
    assert "60 drives from 2026-03-04 to 2026-03-04, digest of their logs" in text
    assert "95 % interval" in text
    assert "confidence of 95 %" in text
    assert "watch_ratio" in ran.out
    assert thermlog("check", "logs/1.csv", "--policy", "own.toml").code in {0, 1}
    assert thermlog("learn", "logs", "-o", "own.toml").code == 3  # it is there already


def test_a_history_teaches_what_its_logs_do_but_for_confirmed_faults(thermlog) -> None:
    healthy(Path("logs"), 60)
    Path("bad.csv").write_text(dated(DRAGGING_K, "2026-03-05", vehicle="van 3"), encoding="utf-8")
    thermlog("fleet", "logs", "bad.csv", "--history", "depot.db", "--exit-zero")
    of_logs = thermlog("learn", "logs", "-o", "logs.toml")
    of_history = thermlog("learn", "depot.db", "-o", "depot.toml")
    numbers = [
        [
            line.split("source")[0]
            for line in Path(name).read_text(encoding="utf-8").splitlines()
            if "value" in line
        ]
        for name in ("logs.toml", "depot.toml")
    ]
    assert (of_logs.code, of_history.code) == (0, 0), of_history.err
    assert numbers[0] == numbers[1]
    assert "1 drives left out" in of_history.out


def test_a_limit_past_the_suspect_mark_is_not_taken(thermlog) -> None:
    """A depot of vehicles quite unlike, or not healthy, never teaches that everything is usual."""
    healthy(Path("logs"), 100, spread=0.2)
    ran = thermlog("learn", "logs", "-o", "own.toml")
    assert "watch_ratio: the limit would lie past the suspect mark" in ran.out + ran.err
    if Path("own.toml").exists():
        assert load_policy("own.toml").watch_ratio == load_policy("light").watch_ratio


@pytest.mark.parametrize("name", ["light", "heavy"])
def test_a_shown_policy_is_a_policy(thermlog, name: str) -> None:
    shown = thermlog("policy", "show", name, "--format", "toml").out
    Path("mine.toml").write_text(shown, encoding="utf-8")
    mine, bundled = load_policy("mine.toml"), load_policy(name)
    assert mine.name == f"{name}, own"
    for number in NUMBERS:
        assert getattr(mine, number) == getattr(bundled, number), number


def learned(text: str) -> dict[str, tuple[float, float, float]]:
    """Value and interval of each number of a learned file that has one."""
    found = {}
    for line in text.splitlines():
        said = re.search(r"^(\w+) = { value = ([\d.e+-]+).*95 % interval ([\d.e+-]+) to ([\d.e+-]+)", line)
        if said:
            found[said[1]] = (float(said[2]), float(said[3]), float(said[4]))
    return found


def test_time_constants_are_those_of_the_brakes_not_those_believed(thermlog, monkeypatch) -> None:
    monkeypatch.setattr(logs, "TAU_S", 1100.0)  # 1800 s were believed
    healthy(Path("logs"), 40)
    assert thermlog("learn", "logs", "-o", "own.toml").code == 0
    value, low, high = learned(Path("own.toml").read_text(encoding="utf-8"))["tau_disc_s"]
    assert value == pytest.approx(1100.0, rel=0.03)  # readings are rounded to 0.1 K
    assert low <= value <= high


def test_the_spread_of_axle_shares_is_found_and_wild_vehicles_hardly_move_it(thermlog) -> None:
    """Planted: every axle by 0.15 about its share; 0.24 was believed and counts as 20 of 20 + 0.37 x 120."""
    healthy(Path("logs"), 120, axles=0.15)
    clean = thermlog("learn", "logs", "-o", "own.toml")
    assert clean.code == 0
    value, low, high = learned(Path("own.toml").read_text(encoding="utf-8"))["unsaid_axle_spread"]
    assert low <= 0.15 <= high
    source = policy_sources("own.toml")["unsaid_axle_spread"][2]
    seen = float(re.search(r"([\d.]+) was seen", source)[1])
    assert value == pytest.approx(math.sqrt((20 * 0.24**2 + 44.4 * seen**2) / 64.4), rel=1e-3)
    for number in range(8):  # axles four to one: another kind of vehicle among them
        rises = {corner: rise_k * (2.0 if corner[0] == "1" else 0.8) for corner, rise_k in HEALTHY_K.items()}
        text = dated(rises, "2026-03-04", vehicle=f"odd {number}")
        Path(f"logs/odd{number}.csv").write_text(text, encoding="utf-8")
    assert thermlog("learn", "logs", "-o", "wild.toml").code == 0
    wild = learned(Path("wild.toml").read_text(encoding="utf-8"))
    assert wild["unsaid_axle_spread"][0] == pytest.approx(value, rel=0.25)
    assert wild["front_share"][0] == pytest.approx(104.0 / 61.5, rel=0.06)


def drives(axle_spread: float, side_spread: float, count: int = 600) -> list[DriveSeen]:
    """Vehicles whose axles and sides differ by so much, drawn: (left, right) of both axles, in ln."""
    rng = np.random.default_rng(4)
    found = []
    for unit in range(count):
        rise = axle_spread * rng.standard_normal((2, 1)) + side_spread * rng.standard_normal((2, 2))
        rise += np.array([[0.5], [0.0]])
        level = rise.mean(1) - rise.mean()
        axles = tuple(
            AxleSeen(
                axle=k + 1,
                role="steer" if k == 0 else "axle",
                likeness="like",
                unlike_ln=float(rise[k, 0] - rise[k, 1]),
                share_ln=float(level[k]),
                steered=True,
                axle_count=2,
            )
            for k in range(2)
        )
        found.append(
            DriveSeen(
                unit=f"van {unit}", log_sha256=f"{unit:064x}", weight_class="light", answer="no", drag="no",
                taken_s=None, axles=axles,
            )
        )  # fmt: skip
    return found


def test_what_sides_scatter_is_no_part_of_the_spread_of_axles() -> None:
    """Planted: axles by 0.2, every side by 0.2; 600 vehicles tell a spread to some 4 %."""
    lesson = learn_numbers(drives(0.2, 0.2), {}, load_policy("light"), "light", (0.95, 0.95))
    (number,) = (one for one in lesson.numbers if one.name == "like_axle_spread")
    assert float(number.how.split(": ")[1].split()[0]) == pytest.approx(0.2, rel=0.12)
    (front,) = (one for one in lesson.numbers if one.name == "front_share")
    assert front.seen.value == pytest.approx(math.exp(0.5), rel=0.05)
    assert front.seen.interval is not None
    assert front.seen.interval[0] < math.exp(0.5) < front.seen.interval[1]
    for role, spread, _ in lesson.spreads:
        assert spread.value == pytest.approx(0.2 * math.sqrt(2.0), rel=0.12), role


def test_a_short_walk_leans_on_what_was_believed_and_is_freed_of_it(tmp_path, monkeypatch) -> None:
    """1800 s are believed, 900 s are true: what is learned lies nearer to them than the fit."""
    monkeypatch.chdir(tmp_path)
    lines = [
        f"# ambient: {logs.AIR_DEGC:g} C",
        "# vehicle: v",
        "# drive: normal",
        "corner,since_parked_s,temp_c",
    ]
    for turn in range(4):
        for place, (corner, rise_k) in enumerate(HEALTHY_K.items()):
            elapsed_s = 30.0 + 150.0 * turn + 10.0 * place
            lines.append(
                f"{corner},{elapsed_s:g},{logs.AIR_DEGC + rise_k * math.exp(-elapsed_s / 900.0):.2f}"
            )
    Path("short.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    judged = judge(read_log("short.csv").readings, gather_settings(policy="light"))
    (drive,) = drives_seen(judged)
    fitted = judged.fits.log_tau.mean(0)
    for (kind, tau_ln), own in zip(drive.tau_ln, fitted, strict=True):
        assert kind == "disc"
        assert abs(tau_ln - math.log(900.0)) < abs(own - math.log(900.0))


def test_a_spread_is_never_learned_below_half_of_what_was_believed(thermlog) -> None:
    healthy(Path("logs"), 180, spread=0.01)  # from 163 on half would be less: 20 / (20 + 0.37 x 163) = 1 / 4
    assert thermlog("learn", "logs", "-o", "own.toml").code == 0
    assert load_policy("own.toml").unsaid_axle_spread == 0.5 * load_policy("light").unsaid_axle_spread


def test_middle_and_spread_of_a_sample_hold_their_intervals() -> None:
    """Own count: 200 normal samples of 40, a tenth of each wild; 95 % intervals cover 90 to 99 %."""
    rng = np.random.default_rng(5)
    held = np.zeros(2)
    for _ in range(200):
        sample = rng.standard_normal(40)
        middle, spread = median_of(sample.tolist()), spread_of(sample.tolist())
        held += [middle.low <= 0.0 <= middle.high, spread.low <= 1.0 <= spread.high]
        sample[:4] = 50.0
        assert abs(median_of(sample.tolist()).value) < 1.0
        assert spread_of(sample.tolist()).value < 2.5
    assert (held >= 180).all()
    assert (held <= 200).all()
    assert median_of([1.0, 2.0, 3.0]).interval is None


def test_the_share_of_faults_counts_each_answer_as_often_as_it_was_given() -> None:
    """Own sum: 8 of 10 of the 20 called, 1 of 10 of the 80 others: 0.2 * 0.8 + 0.8 * 0.1 = 0.24."""
    strata = (
        Stratum(answer="yes", drives=20, opened=10, faulty=8),
        Stratum(answer="no", drives=80, opened=10, faulty=1),
    )
    found = fault_share_of(strata)
    assert found is not None
    assert found.seen.value == pytest.approx(0.24)  # nine of the twenty opened would be 0.45
    assert found.seen.low < 0.24 < found.seen.high
    assert (found.opened, found.faulty) == (20, 9)


@pytest.mark.parametrize(
    ("opened", "said"),
    [
        ((10, 9), ['1 more of the 80 drives answered "no" must be looked into']),
        ((9, 10), ['1 more of the 20 drives answered "yes" must be looked into']),
        ((10, 10), []),
    ],
)
def test_an_answer_nobody_looked_behind_is_named(opened: tuple[int, int], said: list[str]) -> None:
    strata = (
        Stratum(answer="yes", drives=20, opened=opened[0], faulty=3),
        Stratum(answer="cannot_tell", drives=2, opened=0, faulty=0),  # seldom given: nobody need look
        Stratum(answer="no", drives=80, opened=opened[1], faulty=0),
    )
    assert lacking(strata) == said
    assert (fault_share_of(strata) is None) is bool(said)


def test_what_jobs_found_is_learned_and_acts(thermlog) -> None:
    """Twelve vans drag, for a cause that is seldom by the table; twelve of forty others were opened, too."""
    healthy(Path("logs"), 40, seed=3)
    for number in range(12):
        rises = {corner: rise_k + number for corner, rise_k in DRAGGING_K.items()}
        text = dated(rises, "2026-03-05", vehicle=f"bad {number}")
        Path(f"logs/bad{number}.csv").write_text(text, encoding="utf-8")
    thermlog("fleet", "logs", "--history", "depot.db", "--exit-zero")
    few = thermlog("learn", "depot.db", "-o", "few.toml")
    assert "causes_found: 10 jobs with a confirmed cause are needed, 0 are there: 10 more" in few.out
    assert 'fault_share: 10 more of the 12 drives answered "yes" must be looked into' in few.out
    kept = History.open("depot.db")
    for number in range(12):
        kept.add_job(job_of_log(f"logs/bad{number}.csv", "park_shoes"))
        kept.add_job(job_of_log(f"logs/{number}.csv", "no_fault"))
    ran = thermlog("learn", "depot.db", "-o", "own.toml")

    assert ran.code == 0, ran.err
    own, old = load_policy("own.toml"), load_policy("light")
    # 12 of 12 of the 12 called, 0 of 12 of 40: 12 / 52; the policy's 0.3 counts as 20 drives beside 24
    assert own.fault_share == pytest.approx((20 * old.fault_share + 24 * 12 / 52) / 44, abs=5e-5)
    assert "12 of 12 opened of 12 answered yes" in policy_sources("own.toml")["fault_share"][2]
    assert own.causes_found is not None
    assert own.causes_found.counts == (("park_shoes", 12),)
    assert "causes found: park_shoes 12" in ran.out
    firsts = []
    for more in ((), ("--policy", "own.toml")):
        told = json.loads(thermlog("check", "logs/bad1.csv", "--format", "json", *more).out)
        firsts.append((told["suspects"][0]["cause"], told["answers"]["drag"]["p"]))
    assert firsts[0][0] != "park_shoes"
    assert firsts[1][0] == "park_shoes"
    assert firsts[0][1] != firsts[1][1]


@pytest.mark.parametrize("at_once", [1, 2, 5, 6])
def test_drives_are_judged_some_at_a_time_and_none_twice(monkeypatch, at_once: int) -> None:
    """Five logs in order, in pieces of any size."""
    monkeypatch.setattr(anew, "_AT_ONCE", at_once)
    healthy(Path("logs"), 5)
    readings = [read_log(f"logs/{number}.csv").readings for number in range(5)]
    batches = list(anew.judged_anew(readings, gather_settings(policy="light")))

    assert [case.log.file for one in batches for case in one.readings.cases] == [
        f"logs/{number}.csv" for number in range(5)
    ]
    assert len(batches) == math.ceil(5 / at_once)


def test_drives_with_a_confirmed_fault_teach_nothing_of_healthy_brakes(thermlog) -> None:
    healthy(Path("logs"), 31)
    thermlog("fleet", "logs", "--history", "depot.db", "--exit-zero")
    kept = History.open("depot.db")
    kept.add_job(job_of_log("logs/1.csv", "slide_pin_seized"))
    kept.add_job(job_of_log("logs/2.csv", "no_fault"))
    assert "30 vehicles, 30 drives" in thermlog("learn", "depot.db", "-o", "own.toml").out
