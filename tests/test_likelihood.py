"""One axle's brakes over the levels of heat: hits, misses and skins by scipy, apart from the code."""

from __future__ import annotations

import math

import numpy as np
import pytest
from judgecases import LIGHT, VAN_K, Walk, described, walked
from msgspec.structs import replace
from scipy.stats import norm

from thermlog.inference.doubt import Doubt
from thermlog.inference.likelihood import (
    Brakes,
    axle_kernel,
    axle_likelihood,
    brake_likelihood,
    by_state,
    odd_skin_share,
    own_likelihood,
)
from thermlog.inference.limits import trials
from thermlog.inference.pattern import unknowns
from thermlog.inference.states import LEVELS_K
from thermlog.judging.diagnose import judge

NO_DOUBT = Doubt(place=np.full((2, 2), -1), likelihood=np.zeros((0, 0)))
LOG_LEVELS = np.log(LEVELS_K)


def group_of(walk: Walk = Walk(), corners=VAN_K):  # noqa: B008 - frozen
    judged = judge(walked(corners, walk), LIGHT)
    (trial,) = trials(judged.evidence, judged.gaps, np.array([True]))
    return trial.group


GROUP = group_of()
POLICY = GROUP.policy


def brakes(rise_k, *, variance=4.0, used=6, skin=0.0, known=False, extra_k=0.0) -> Brakes:
    size = np.atleast_1d(rise_k).size
    return Brakes(
        rise_k=np.atleast_1d(np.asarray(rise_k, dtype=np.float64)),
        variance=np.full(size, variance),
        used=np.full(size, used),
        skin_fraction=np.full(size, skin),
        known=np.full(size, known),
        learned=np.zeros(size, dtype=bool),
        doubt=np.full(size, -1),
        extra_k=np.full(size, extra_k),
    )


def own(*about, skin_part=1.0, group=GROUP, **more):
    return own_likelihood(brakes(*about, **more), group, NO_DOUBT, skin_part)[0]


@pytest.mark.parametrize("used", [1, 2, 6, 40])
def test_no_number_of_readings_puts_a_brake_beyond_doubt(used):
    """Missed by all its shots: the share of one to that power, and one in ten thousand besides (own number of
    the rule), spread over about the span of the level; a hundredth of it above."""
    missed = POLICY.miss_share**used + 1e-4
    found = own(0.5, used=used)
    far = LEVELS_K > 200.0
    np.testing.assert_allclose(found[far], missed / (LEVELS_K[far] + 10.0), rtol=1e-6)
    far = LEVELS_K < 50.0
    np.testing.assert_allclose(own(600.0, used=used)[far], 0.01 * missed / (LEVELS_K[far] + 10.0), rtol=1e-6)


def test_a_brake_without_votes_counts_as_read_once():
    np.testing.assert_array_equal(own(0.5, used=0), own(0.5, used=1))


@pytest.mark.parametrize("drive", ["normal", "coast"])
@pytest.mark.parametrize(("known", "part"), [(False, 0.5), (True, 1.0)])
def test_hit_is_normal_with_scatter_sides_and_skins_together(drive, known, part):
    """Standard deviation: reading, healthy sides and skins by the root of squares; a stated skin counts in
    full, an unstated one by the vehicle's part."""
    group = group_of(Walk(drive=drive))
    coast = drive == "coast"
    fraction = POLICY.coast_side_spread_fraction if coast else POLICY.side_spread_fraction
    side_k = POLICY.coast_side_spread_k if coast else POLICY.side_spread_k
    assert group.side_spread == (fraction, side_k)
    found = own(70.0, variance=9.0, skin=0.2, known=known, skin_part=0.5, group=group, used=40)
    wide = math.hypot(fraction, part * 0.2)
    sigma = np.sqrt(9.0 + side_k**2 + (wide * LEVELS_K) ** 2)
    near = np.abs(70.0 - LEVELS_K) < 2.0 * sigma
    hit = (1.0 - 1e-4) * norm.pdf(70.0, LEVELS_K, sigma)
    np.testing.assert_allclose(found[near], (hit + 1e-4 / (LEVELS_K + 10.0))[near], rtol=1e-9)


def test_planted_heat_counts_as_read():
    np.testing.assert_allclose(own(70.0, extra_k=25.0), own(95.0), rtol=1e-14)


def test_faces_that_shine_unlike_are_mixed_in_where_no_emissivity_is_stated():
    plain, mixed = own(40.0), brake_likelihood(brakes(40.0), GROUP, NO_DOUBT, 1.0)[0]
    stated = brake_likelihood(brakes(40.0, known=True), GROUP, NO_DOUBT, 1.0)[0]
    share = POLICY.odd_skin_share
    np.testing.assert_array_equal(stated, plain)
    np.testing.assert_allclose(
        mixed, (1.0 - share) * plain + share * GROUP.states.odd_skin @ plain, rtol=1e-12
    )
    assert odd_skin_share(np.array([True, False]), GROUP).tolist() == [[0.0], [share]]


def test_states_of_an_axle_are_products_of_its_sides():
    """Healthy; left hot, right hot; left cold, right cold; both hot; both cold; one hot and one cold."""
    left, right = own(60.0), own(95.0)
    hot, cold = GROUP.states.hot, GROUP.states.cold
    kernel = axle_kernel(1, GROUP)
    found = axle_likelihood(by_state(np.array([[left], [right]]), GROUP), 1, GROUP)[:, 0]
    pairs = [
        (left, right), (hot @ left, right), (left, hot @ right), (cold @ left, right), (left, cold @ right),
        (hot @ left, hot @ right), (cold @ left, cold @ right), (hot @ left, cold @ right),
        (cold @ left, hot @ right),
    ]  # fmt: skip
    np.testing.assert_allclose(found, [kernel @ (a * b) for a, b in pairs], rtol=1e-12)


def centre(axle, group):
    """Mean logarithm of an axle's level over the vehicle's, far from the ends of the grid; its spread."""
    row = LEVELS_K.size // 2
    weight = axle_kernel(axle, group)[row]
    mean = float(weight @ LOG_LEVELS)
    return mean - LOG_LEVELS[row], math.sqrt(float(weight @ (LOG_LEVELS - mean) ** 2))


@pytest.mark.parametrize(
    ("walk", "front", "spread"),
    [
        (Walk(), "front_share", "unsaid_axle_spread"),
        (Walk(description=described("steer", "drive")), "front_share", "like_axle_spread"),
        (Walk(drive="coast"), "coast_front_share", "coast_axle_spread"),
    ],
    ids=["usual", "described", "coast"],
)
def test_axles_share_the_heat_as_usual(walk, front, spread):
    """The logarithms of the shares add up to zero, their difference is that of the policy's front share."""
    group = group_of(walk)
    (first, first_spread), (second, second_spread) = (centre(axle, group) for axle in (1, 2))
    assert first + second == pytest.approx(0.0, abs=1e-6)
    assert first - second == pytest.approx(math.log(getattr(POLICY, front)), abs=1e-6)
    wanted = pytest.approx(getattr(POLICY, spread), rel=2e-3)  # what the grid's step leaves of a narrow bell
    assert first_spread == wanted
    assert second_spread == wanted


def test_disc_beside_drum_is_unlike():
    """The axle of the rarer kind has the wider spread; on one kind both are alike."""
    mixed = described("steer", "drive", "axle")
    kinds = ("disc", "disc", "drum")
    mixed = replace(mixed, axles=tuple(replace(a, brake=k) for a, k in zip(mixed.axles, kinds, strict=True)))
    three = VAN_K | {"3L": 60.0, "3R": 61.0}
    group = group_of(Walk(description=mixed), three)
    spreads = [centre(axle, group)[1] for axle in (1, 2, 3)]
    like, unlike = POLICY.like_axle_spread, POLICY.unlike_axle_spread
    assert spreads == pytest.approx([like, like, unlike], rel=2e-3)


def test_without_a_steered_front_all_axles_share_alike():
    group = group_of(Walk(description=described("trailer", "trailer")))
    assert [centre(axle, group)[0] for axle in (1, 2)] == pytest.approx([0.0, 0.0], abs=1e-6)


@pytest.mark.parametrize("learned", [None, 0.9])
def test_air_and_skins_are_summed_over_with_weights_that_add_up(learned):
    """Air: Gauss and Hermite's three points give the moments of a normal variable up to the fifth power."""
    judged = judge(walked({"1L": 12.0, "1R": 11.0, "2L": 8.0, "2R": 7.0}), LIGHT)
    (trial,) = trials(judged.evidence, judged.gaps, np.array([True]))
    context = replace(judged.evidence.context, skins_even_share=learned)
    nodes = unknowns(replace(judged.evidence, context=context), trial.group)
    assert trial.group.air_unsure
    weight, sigmas, part = (
        np.array([getattr(n, k) for n in nodes]) for k in ("weight", "air_sigmas", "skin_part")
    )
    moments = [float(weight @ sigmas**k) for k in range(6)]
    assert moments == pytest.approx([1.0, 0.0, 1.0, 0.0, 3.0, 0.0], abs=1e-12)
    even = POLICY.skins_even_share if learned is None else learned
    assert weight[part == POLICY.skins_even_part].sum() == pytest.approx(even)
    assert weight[part == POLICY.skins_unlike_part].sum() == pytest.approx(1.0 - even)
    sure = unknowns(judged.evidence, replace(trial.group, air_unsure=False))
    assert [node.air_sigmas for node in sure] == [0.0, 0.0]
