"""What a log could have shown: limits that planting confirms, that shrink with readings, and that say when
there is none."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from judgecases import (
    HEAVY,
    LIGHT,
    LORRY_K,
    TAU_S,
    USUAL,
    VAN_K,
    Corners,
    Walk,
    all_told,
    described,
    renamed,
    told,
    walked,
)  # fmt: skip
from msgspec.structs import replace

import thermlog.inference.limits as limits_module
from thermlog.inference.gaps import is_plain
from thermlog.inference.likelihood import Brakes
from thermlog.inference.limits import Z80, Limits, drag_line_k, least_faults, limits_of, trials, unchanged
from thermlog.inference.scales import Change
from thermlog.judging.diagnose import judge
from thermlog.judging.judged import Judged
from thermlog.judging.settings import Settings
from thermlog.words.few import Few
from thermlog.words.policy import load_policy
from thermlog.words.tables import Readings, stack_readings
from thermlog.words.vehicle import SIDES

EXACT = Walk(noise_k=0.0)


def judged_of(corners: Corners, walk: Walk = USUAL, how: Settings = LIGHT) -> Judged:
    return judge(walked(corners, walk), how)


def limits(judged: Judged, change: Change = unchanged) -> Limits:
    cases = np.ones(len(judged.readings.cases), dtype=bool)
    tried = trials(judged.evidence, judged.gaps, cases, lambda group: (group, change))
    return Limits.placed(judged.pairs.count, map(least_faults, tried))


def scatter_k(judged: Judged) -> np.ndarray:
    """Of the difference of two walks, corner and mate together (pairs,)."""
    return np.sqrt(2.0 * np.nansum(judged.comparison.state.own_variance, axis=0))


def with_extra(readings: Readings, judged: Judged, corner: str, extra_k: float) -> Readings:
    """Heat that decays as the brake itself does, `extra_k` at the common time, added to the readings."""
    axle, side = int(corner[0]), SIDES.index(corner[1])
    pair = int(np.flatnonzero(judged.pairs.axle == axle)[0])
    tau_s = math.exp(judged.fits.log_tau[side, pair])
    mine = (readings.axle == axle) & (readings.side == side)
    since_s = readings.elapsed_s - judged.comparison.common_time_s[0]
    more = np.where(mine, extra_k * np.exp(-since_s / tau_s), 0.0)
    return replace(readings, indicated_degc=readings.indicated_degc + more)


def place(judged: Judged, corner: str) -> tuple[int, int]:
    return SIDES.index(corner[1]), int(np.flatnonzero(judged.pairs.axle == int(corner[0]))[0])


# planted through the whole chain


WALKS: dict[str, tuple[Corners, Walk, Settings]] = {
    "van": (VAN_K, USUAL, LIGHT),
    "lorry": (LORRY_K, USUAL, HEAVY),
    "van that is described": (VAN_K, Walk(description=described("steer", "axle")), LIGHT),
    "two rounds": (VAN_K, Walk(rounds=2), LIGHT),
    "coast": ({"1L": 12.0, "1R": 11.0, "2L": 13.0, "2R": 10.0}, Walk(drive="coast"), LIGHT),
}


@pytest.mark.parametrize("name", WALKS)
def test_drag_at_the_edge_flips_the_answer(name):
    """Without the allowance for another walk: planted 10 % beyond the edge it is said, 10 % before it the
    rules that limits know do not say so. Limits are found in steps of 2 % (eight halvings of 3 to 300 K), and
    the curves are fitted anew."""
    corners, walk, how = WALKS[name]
    readings = walked(corners, walk)
    judged = judge(readings, how)
    found, allowance, policy = limits(judged), Z80 * scatter_k(judged), judged.policies[0]
    for corner in corners:
        side, pair = place(judged, corner)
        edge = found.extra_k[side, pair] - allowance[pair]
        above = told(with_extra(readings, judged, corner, 1.1 * edge), how).answers.drag
        assert above.answer in {"watch", "yes"}, corner
        assert corner in above.corners
        below = judge(with_extra(readings, judged, corner, 0.9 * edge), how)
        rise, gap_k = below.comparison.state.rise_k[:, pair], abs(below.gaps.gap_k[pair])
        plain = is_plain(gap_k - below.gaps.half_k[pair], rise[side], rise[1 - side], policy)
        assert below.patterns.p_drag[0] < policy.doubt_probability, corner
        assert not (plain and below.patterns.p_hot[side, pair] >= policy.gap_probability), corner


@pytest.mark.parametrize("name", ["van", "lorry", "van that is described", "two rounds"])
def test_loss_at_the_edge_flips_the_answer(name):
    """The same of a brake that works less: 4 % of its work beyond the edge, and before it."""
    corners, walk, how = WALKS[name]
    readings = walked(corners, walk)
    judged = judge(readings, how)
    found, allowance = limits(judged), Z80 * scatter_k(judged)
    for corner in corners:
        side, pair = place(judged, corner)
        rise = judged.comparison.state.rise_k[side, pair]
        edge = found.loss_share[side, pair] - allowance[pair] / rise
        less, more = (with_extra(readings, judged, corner, -(edge + off) * rise) for off in (-0.04, 0.04))
        assert judge(less, how).patterns.p_idle[0] < judged.policies[0].doubt_probability, corner
        said = told(more, how).answers.idle
        assert said.p is not None
        assert said.p >= judged.policies[0].doubt_probability, corner
        assert corner in said.corners
        if walk.rounds > 2:
            assert said.answer in {"watch", "yes"}, corner


@pytest.mark.parametrize("corner", ["1L", "2R"])
def test_four_walks_of_five_find_a_drag_at_the_limit(corner):
    """New walks round the same brakes, scatter of a shot as the policy takes it. 200 walks tell 80 % to
    within 6 % (binomial, two standard deviations); the limit is that of one walk, whose own gap scatters."""
    walk = Walk(noise_k=2.0, rounds=3)
    judged = judged_of(VAN_K, walk)
    side, pair = place(judged, corner)
    limit_k = limits(judged).extra_k[side, pair]
    parked_k = limit_k * math.exp(judged.comparison.common_time_s[0] / TAU_S)
    dragging = VAN_K | {corner: VAN_K[corner] + parked_k}
    again = [walked(dragging, replace(walk, seed=k)) for k in range(100, 300)]
    said = [one.answers.drag for one in all_told(renamed(again))]
    found = np.mean([one.answer in {"watch", "yes"} and corner in one.corners for one in said])
    assert 0.6 < found <= 1.0


@pytest.mark.parametrize("name", WALKS)
def test_limits_do_not_hang_on_the_steps_of_the_search(name, monkeypatch):
    """Where the rules begin to speak, not at the next step: sixteen times as many steps find the same to a
    fiftieth each, to 0.3 % in the mean (a step is 1.8 %, half of it were 0.9 %)."""
    corners, walk, how = WALKS[name]
    judged = judge(walked(corners, walk), how)
    allowance = np.broadcast_to(Z80 * scatter_k(judged), (2, judged.pairs.count))
    found = limits(judged).extra_k - allowance
    monkeypatch.setattr(limits_module, "_EXTRA_K", replace(limits_module._EXTRA_K, steps=4096))
    finer = limits(judged).extra_k - allowance
    known = np.isfinite(found)
    assert known.any()
    ratio = found[known] / finer[known]
    assert np.abs(ratio - 1.0).max() < 0.02
    assert abs(ratio.mean() - 1.0) < 0.003


# more readings, smaller limits


def better(brakes: Brakes) -> Brakes:
    return replace(brakes, variance=0.5 * brakes.variance)


def more_readings(brakes: Brakes) -> Brakes:
    part = brakes.used / (brakes.used + 1.0)
    return replace(brakes, variance=part * brakes.variance, used=brakes.used + 1)


def marked(brakes: Brakes) -> Brakes:
    return replace(brakes, skin_fraction=np.full_like(brakes.skin_fraction, 0.02))


vehicles = st.builds(
    lambda level, sides, rounds, noise: walked(
        {
            name: level * (1.65 if name[0] == "1" else 1.0) * part
            for name, part in zip(VAN_K, sides, strict=True)
        },
        Walk(rounds=rounds, noise_k=noise),
    ),
    st.floats(25.0, 120.0),
    st.lists(st.floats(0.9, 1.1), min_size=4, max_size=4),
    st.integers(1, 4),
    st.sampled_from([0.3, 1.0, 2.0]),
)


def assert_no_larger(after: np.ndarray, before: np.ndarray, slack: float) -> None:
    assert (np.isnan(after) == np.isnan(before)).all()
    known = ~np.isnan(before)
    assert (after[known] <= before[known] * (1.0 + slack)).all()


@settings(max_examples=25, deadline=None)
@given(readings=vehicles, change=st.sampled_from([more_readings, better]))
def test_more_readings_or_less_scatter_never_raise_a_limit(readings, change):
    """But for the steps in which limits are found: 1.8 % of a drag, 1/256 of a loss."""
    judged = judge(readings, LIGHT)
    before, after = limits(judged), limits(judged, change)
    assert_no_larger(after.extra_k, before.extra_k, 0.02)
    assert_no_larger(after.loss_share, before.loss_share + 1 / 256, 0.0)


@pytest.mark.parametrize("corner", VAN_K)
def test_more_rounds_lower_the_limits(corner):
    found = []
    for rounds in (1, 2, 3, 6):
        judged = judged_of(VAN_K, Walk(rounds=rounds, noise_k=0.0))
        side, pair = place(judged, corner)
        one = limits(judged)
        found.append((one.extra_k[side, pair], one.loss_share[side, pair]))
    drags, losses = zip(*found, strict=True)
    assert sorted(drags, reverse=True) == list(drags)
    assert drags[-1] < 0.95 * drags[0]
    assert all(loss <= before + 1 / 256 for before, loss in pairwise(losses))


def test_marks_lower_the_limits():
    judged = judged_of(VAN_K)
    assert (limits(judged, marked).extra_k < limits(judged).extra_k).all()


@pytest.mark.parametrize(("healthy", "how"), [(VAN_K, LIGHT), (LORRY_K, HEAVY)])
def test_hotter_vehicle_hides_larger_drags(healthy, how):
    cool, warm = (judged_of({c: t * k for c, k in healthy.items()}, EXACT, how) for t in (0.5, 1.5))
    assert (limits(warm).extra_k > limits(cool).extra_k).all()


# conventions


def test_corner_not_read_has_no_limit():
    judged = judged_of({"1L": 105.0, "2L": 63.0, "2R": 64.0})
    found = limits(judged)
    assert (
        np.isnan(found.extra_k).tolist()
        == np.isnan(found.loss_share).tolist()
        == [[False] * 2, [True, False]]
    )


def test_cases_not_asked_about_have_no_limit():
    judged = judge(stack_readings([walked(VAN_K), walked(VAN_K)]), LIGHT)
    found = limits_of(judged.evidence, judged.gaps, np.array([False, True]))
    asked = judged.pairs.case == 1
    for values in (found.extra_k, found.loss_share):
        assert np.isnan(values[:, ~asked]).all()
        assert not np.isnan(values[:, asked]).any()


def test_coast_drive_has_no_limit_of_losses():
    found = limits(judged_of(VAN_K, Walk(drive="coast")))
    assert np.isnan(found.loss_share).all()
    assert np.isfinite(found.extra_k).all()


def test_loss_that_even_a_dead_brake_would_not_show_is_inf():
    """At the temperature of the air nothing that is lost shows, least on the cooler axle."""
    judged = judged_of(dict.fromkeys(VAN_K, 0.5), EXACT)
    assert np.isposinf(limits(judged).loss_share[:, place(judged, "2L")[1]]).all()


def test_drag_that_even_300_k_would_not_show_is_inf():
    """One shot a corner at 700 K, whose mate nobody read: a policy that speaks at near certainty only."""
    sure = replace(load_policy("light"), doubt_probability=0.999999, gap_probability=0.999999)
    judged = judged_of({"1L": 600.0, "2L": 63.0, "2R": 64.0}, Walk(rounds=1))
    context = replace(judged.evidence.context, policies=Few.all_one(sure, 1))
    evidence = replace(judged.evidence, context=context)
    found = limits_of(evidence, judged.gaps, np.array([True]))
    assert np.isposinf(found.extra_k[place(judged, "1L")])


def test_limits_are_of_what_can_be():
    for corners, walk, how in WALKS.values():
        found = limits(judged_of(corners, walk, how))
        known = found.loss_share[np.isfinite(found.loss_share)]
        assert ((known > 0) & (known <= 1)).all()
        assert (found.extra_k > 3.0).all()


@pytest.mark.parametrize(("rise_k", "line_k"), [(-20.0, 55.0), (0.0, 55.0), (110.0, 55.0), (200.0, 100.0)])
def test_line_is_the_larger_of_kelvin_and_part(rise_k, line_k):
    """hidden_drag_k 55 K, hidden_drag_part one half of the rise, both of the policy."""
    policy = load_policy("light")
    assert (policy.hidden_drag_k, policy.hidden_drag_part) == (55.0, 0.5)
    assert float(drag_line_k(policy, np.array(rise_k))) == line_k


@pytest.mark.parametrize("full", [(VAN_K, VAN_K | {"1R": 96.0}), ()], ids=["beside whole ones", "two alone"])
def test_wheels_that_some_logs_of_a_batch_lack_count_for_these_alone(full):
    """What was read is asked once where all cases are alike, and case by case where they are not."""
    lacking = [{corner: k for corner, k in VAN_K.items() if corner != gone} for gone in ("1L", "2R")]
    walks = renamed([walked(rises_k) for rises_k in (*full, *lacking)])
    batch, *each = (
        judge(stack_readings(some), LIGHT, in_full=True) for some in (walks, *([w] for w in walks))
    )
    alone = [one.hidden for one in each]
    for name in ("extra_k", "loss_share"):
        wanted = np.concatenate([getattr(one.limits, name) for one in alone], axis=1)
        np.testing.assert_allclose(getattr(batch.hidden.limits, name), wanted, rtol=1e-12)
    for name in ("low_k", "high_k"):
        wanted = np.concatenate([getattr(one.healthy, name) for one in alone], axis=1)
        # sums in single precision, in another order
        np.testing.assert_allclose(getattr(batch.hidden.healthy, name), wanted, rtol=1e-6)
    assert np.isnan(batch.hidden.limits.extra_k).sum() == 2
