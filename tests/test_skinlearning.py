"""Share of vehicles with skins alike: mixtures of known share are recovered, few vehicles teach nothing."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from judgecases import LIGHT, USUAL, VAN_K, renamed, walked
from msgspec.structs import replace

from thermlog.fleet.skinlearning import MOST_LOGS, learned_share, sampled
from thermlog.judging.diagnose import judge, skin_odds
from thermlog.judging.settings import Settings
from thermlog.words.policy import load_policy
from thermlog.words.tables import stack_readings

USUAL_SHARE = 0.5


def mixture(share: float, vehicles: int, seed: int, apart: float = 4.0) -> np.ndarray:
    """Odds from two bell curves, `apart` standard deviations apart, drawn with a known share."""
    chance = np.random.default_rng(seed)
    alike = chance.random(vehicles) < share
    seen = chance.normal(np.where(alike, apart / 2, -apart / 2), 1.0)
    return np.exp(apart * seen)  # ratio of the two densities


@pytest.mark.parametrize("share", [0.2, 0.5, 0.71, 0.9])
@pytest.mark.parametrize("apart", [1.5, 4.0])
def test_share_of_a_known_mixture_is_recovered(share, apart):
    # three standard deviations of a binomial share of 4000, twice as wide where the curves overlap
    found = learned_share(mixture(share, 4000, seed=3, apart=apart), USUAL_SHARE)
    assert found == pytest.approx(share, abs=3 * (2 if apart < 2 else 1) * math.sqrt(0.25 / 4000))


def test_usual_share_counts_as_twenty_vehicles():
    # certain odds: 90 alike, 10 not; (90 + 20 * 0.5) / 120
    odds = np.array([1e9] * 90 + [1e-9] * 10)
    assert learned_share(odds, 0.5) == pytest.approx(100 / 120, abs=1e-4)


@pytest.mark.parametrize(("odds", "share"), [(1e9, 0.95), (math.inf, 0.95), (1e-9, 0.05), (0.0, 0.05)])
def test_no_batch_proves_that_one_kind_never_comes(odds, share):
    assert learned_share(np.full(10_000, odds), USUAL_SHARE) == share


def test_readings_that_tell_nothing_leave_the_usual_share():
    assert learned_share(np.ones(120), 0.63) == pytest.approx(0.63)


@pytest.mark.parametrize(("told", "learns"), [(0, False), (29, False), (30, True)])
def test_few_vehicles_teach_nothing(told, learns):
    odds = np.array([3.0] * told + [math.nan] * 200)
    assert (learned_share(odds, USUAL_SHARE) is not None) is learns


@given(st.permutations([f"{k:03d}.csv" for k in range(MOST_LOGS + 5)]), st.integers(1, MOST_LOGS + 5))
def test_sample_does_not_depend_on_the_order_of_files(paths, count):
    found = sampled(paths[:count])
    assert found == sampled(sorted(paths[:count]))
    assert len(found) == len(set(found)) == min(count, MOST_LOGS)


def test_sample_is_evenly_spaced():
    assert sampled([f"{k:04d}" for k in range(10 * MOST_LOGS)]) == [f"{10 * k:04d}" for k in range(MOST_LOGS)]


def test_odds_tell_vehicles_with_unlike_skins_from_others():
    like, unlike = VAN_K, {"1L": 105.0, "1R": 70.0, "2L": 45.0, "2R": 64.0}
    walks = renamed([walked(like), walked(unlike), walked(like, replace(USUAL, ambient_stated=False))])
    odds, usual = skin_odds(stack_readings(walks), LIGHT)

    assert odds[0] > 1.0 > odds[1]
    assert usual == pytest.approx(load_policy("light").skins_even_share)


def test_learned_share_weighs_the_explanations():
    """A gap is more of a fault where brakes look alike than where they do not."""
    read = walked({**VAN_K, "2R": 95.0})
    p_low, p_high = (
        float(judge(read, Settings(policy=load_policy("light"), skins_even_share=share)).patterns.p_drag[0])
        for share in (0.05, 0.95)
    )
    assert p_low < p_high
