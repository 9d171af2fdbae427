"""Limits learned from a depot's own vehicles: refused where they cannot be, and taken where they are made."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from historycases import dated
from hypothesis import given, settings
from hypothesis import strategies as st
from logs import DRAGGING_K, HEALTHY_K

from thermlog.history.tolerance import fewest, upper_limit
from thermlog.words.policy import load_policy


def test_sample_sizes_are_those_of_the_tables() -> None:
    """Wilks 1941: 59 and 93 for 95 % at 95 %; closed forms 1 - P^n and 1 - n P^(n-1) + (n-1) P^n."""
    assert (fewest(0.95, 0.95), fewest(0.95, 0.95, sides=2)) == (59, 93)
    for share, sure in ((0.9, 0.95), (0.95, 0.9), (0.99, 0.95), (0.5, 0.5)):
        one, two = fewest(share, sure), fewest(share, sure, sides=2)
        assert 1.0 - share**one >= sure > 1.0 - share ** (one - 1)
        both = [1.0 - n * share ** (n - 1) + (n - 1) * share**n for n in (two - 1, two)]
        assert both[0] < sure <= both[1]


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


def healthy(folder: Path, count: int, *, spread: float = 0.04) -> None:
    folder.mkdir(exist_ok=True)
    rng = np.random.default_rng(2)
    for number in range(count):
        rises = {
            corner: rise_k * math.exp(spread * rng.standard_normal()) for corner, rise_k in HEALTHY_K.items()
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
    assert "learned from 60 vehicles" in text
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
    for number in mine.__struct_fields__:
        if number not in {"name", "sha256"}:
            assert getattr(mine, number) == getattr(bundled, number), number
