"""Ends of what healthy brakes show: those of the mixture of normal distributions that it is."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.stats import norm

from thermlog.inference import tails
from thermlog.inference.edges import edges_of
from thermlog.inference.states import LEVELS_K
from thermlog.inference.tails import HealthyMixture

WARM = np.flatnonzero((LEVELS_K > 3.0) & (LEVELS_K < 500.0))
# Straight between two steps of the search, which are up to an eighth of the spread here.
PART_OF_SPREAD = 0.02


def sigma_k(part: float = 0.08, own_k: float = 2.0) -> np.ndarray:
    """Spread about every level as healthy sides and a few readings leave it."""
    return np.hypot(part * LEVELS_K, own_k)


def mixture(weight: np.ndarray, shift_k: np.ndarray, sigma: np.ndarray) -> HealthyMixture:
    """Weights (corners, nodes, levels) of one spread for every level."""
    inverse = np.broadcast_to(1.0 / sigma, weight.shape).astype(np.float32)
    return HealthyMixture(
        weight=weight.astype(np.float32), inverse_sigma=inverse, shift_k=shift_k.astype(np.float32)
    )


def by_scipy(weight: np.ndarray, shift_k: np.ndarray, sigma: np.ndarray) -> tuple[float, float]:
    """Both ends of one corner: roots of the summed normal distributions."""
    at = LEVELS_K + shift_k[:, None]

    def over(rise_k: float, share: float) -> float:
        return float((weight * norm.cdf((rise_k - at) / sigma)).sum() / weight.sum()) - share

    low, high = (brentq(over, -200.0, 3000.0, args=(share,), xtol=1e-9) for share in (0.025, 0.975))
    return low, high


@pytest.mark.parametrize("shift_k", [0.0, -3.0, 4.0])
def test_one_level_is_a_normal_distribution(shift_k: float) -> None:
    """1.959964 spreads to either side: tables of the normal distribution, 97.5 %."""
    weight = np.zeros((WARM.size, 1, LEVELS_K.size))
    weight[np.arange(WARM.size), 0, WARM] = 1.0
    low, high = mixture(weight, np.full((WARM.size, 1), shift_k), sigma_k()).ends()
    spread, middle = sigma_k()[WARM], LEVELS_K[WARM] + shift_k
    for found, wanted in ((low, middle - 1.959964 * spread), (high, middle + 1.959964 * spread)):
        assert (np.abs(found - wanted) < PART_OF_SPREAD * spread).all()


@given(st.integers(0, 2**32 - 1), st.integers(1, 6), st.sampled_from([0.5, 3.0, 12.0]))
def test_a_mixture_has_the_ends_of_its_sum(seed: int, nodes: int, power: float) -> None:
    """A few levels or nearly all, with airs that are off; the largest weight of each corner is 1."""
    rng = np.random.default_rng(seed)
    weight = rng.random((5, nodes, LEVELS_K.size)) ** power
    weight *= rng.random((5, 1, LEVELS_K.size)) < rng.choice([0.1, 0.9])
    weight[:, 0, rng.choice(WARM, 5)] = 1.0
    shift_k = rng.normal(0.0, 4.0, (5, nodes))
    sigma = sigma_k()
    each = mixture(weight, shift_k, sigma).ends()
    for corner in range(5):
        ends = by_scipy(weight[corner], shift_k[corner], sigma)
        for found, wanted in zip(each, ends, strict=True):
            near = np.interp(wanted, LEVELS_K, sigma)
            assert found[corner] == pytest.approx(wanted, abs=PART_OF_SPREAD * near)


def test_specks_count_for_nothing() -> None:
    """Far hotter levels of a ten thousand millionth: the ends are those without them, to the last digit."""
    weight = np.zeros((1, 1, LEVELS_K.size))
    weight[0, 0, WARM[10]] = 1.0
    specks = weight.copy()
    specks[0, 0, WARM[20:]] = 0.5e-10
    without, beside = (mixture(one, np.zeros((1, 1)), sigma_k()).ends() for one in (weight, specks))
    np.testing.assert_array_equal(without, beside)


def test_an_end_colder_than_any_brake_is_the_coldest_that_is_looked_at() -> None:
    """Thirty kelvin below the air, where only the spread of a coarse gun reaches."""
    weight = np.zeros((1, 1, LEVELS_K.size))
    weight[0, 0, 0] = 1.0
    (low,), (high,) = mixture(weight, np.zeros((1, 1)), np.full(LEVELS_K.size, 40.0)).ends()
    assert low == pytest.approx(-30.0, abs=0.1)
    assert high == pytest.approx(LEVELS_K[0] + 1.959964 * 40.0, abs=0.5)


def test_the_search_starts_beside_the_end(monkeypatch: pytest.MonkeyPatch) -> None:
    """A level under two airs that differ little is as good as normal: its mean and spread tell the ends."""
    looked = []

    def spied(guide, start, steps, slope):
        edges = edges_of(guide, start, steps, slope)
        looked.append((start, edges.step))
        return edges

    monkeypatch.setattr(tails, "edges_of", spied)
    weight = np.zeros((WARM.size, 2, LEVELS_K.size))
    weight[np.arange(WARM.size), :, WARM] = 0.5
    shifts = np.tile([4.5, 7.5], (WARM.size, 1))
    mixture(weight, shifts, sigma_k()).ends()
    assert len(looked) == 2
    for start, step in looked:
        assert np.abs(step - 1 - start).max() <= 1
