"""Faults planted by one product against the same planted into the readings and weighed as a whole."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from judgecases import COMBINATION_K, HEAVY, LIGHT, LORRY_K, USUAL, VAN_K, Corners, Walk, described, walked
from msgspec.structs import replace

from thermlog.inference.likelihood import Brakes
from thermlog.inference.limits import Trial, trials, unchanged
from thermlog.inference.odds import separate_parts
from thermlog.inference.pattern import nodes_of, read_of
from thermlog.inference.posterior import Posterior, weigh
from thermlog.inference.scales import Change, shares_with
from thermlog.judging.diagnose import judge
from thermlog.judging.judged import Judged
from thermlog.judging.settings import Settings
from thermlog.words.tables import Readings, stack_readings
from thermlog.words.vehicle import SIDES

SINGLE = 2e-6  # a hundred products in single precision: each is right to 6e-8 of itself


def judged_of(corners: Corners, walk: Walk = USUAL, how: Settings = LIGHT) -> Judged:
    return judge(walked(corners, walk), how)


def trial_of(judged: Judged, change: Change = unchanged) -> Trial:
    cases = np.ones(len(judged.readings.cases), dtype=bool)
    (trial,) = trials(judged.evidence, judged.gaps, cases, lambda group: (group, change))
    return trial


def weighed(
    judged: Judged, trial: Trial, place: int, extra_k: float, change: Change = unchanged
) -> Posterior:
    """The whole vehicle weighed with the heat planted into the readings of one corner."""
    group, places, policy = trial.group, trial.places, trial.group.policy
    rows = places.row[place] * group.cases.size + places.case[place]
    at = int(2 * rows + places.side[place])

    def with_extra(brakes: Brakes) -> Brakes:
        brakes = change(brakes)
        extra = np.zeros_like(brakes.extra_k)
        extra[at] = extra_k
        # a shot scatters by so much, and by so large a part of its rise (reading_sigma_k, aim_fraction)
        was = policy.reading_sigma_k**2 + (policy.aim_fraction * brakes.rise_k) ** 2
        now = policy.reading_sigma_k**2 + (policy.aim_fraction * (brakes.rise_k + extra)) ** 2
        return replace(brakes, extra_k=brakes.extra_k + extra, variance=brakes.variance * now / was)

    nodes = [(node.weight, *found) for node, *found in nodes_of(judged.evidence, group, with_extra)]
    return weigh(group, nodes, read_of(judged.evidence, group))


def assert_scales(judged: Judged, extra_k: float, change: Change = unchanged) -> None:
    """Both questions at every corner read: of the vehicle, and of the corner itself whether it drags."""
    trial = trial_of(judged, change)
    places = trial.places
    extra = np.full(places.case.size, extra_k)
    hot = shares_with(trial.scales, extra, "drag")
    (cold,) = shares_with(trial.scales, extra, "idle")
    for k in range(places.case.size):
        whole = weighed(judged, trial, k, extra_k, change)
        case, row, side = (int(column[k]) for column in (places.case, places.row, places.side))
        wanted = (whole.p_drag[case], whole.p_hot[side, row, case])
        assert (hot[0][k], hot[1][k]) == pytest.approx(wanted, rel=SINGLE, abs=1e-9)
        assert cold[k] == pytest.approx(whole.p_idle[case], rel=SINGLE, abs=1e-9)


STRONG = COMBINATION_K | {"4R": 420.0}
WALKS: dict[str, tuple[Corners, Walk, Settings]] = {
    "van": (VAN_K, USUAL, LIGHT),
    "van, one warm": (VAN_K | {"1L": 150.0}, USUAL, LIGHT),
    "lorry": (LORRY_K, USUAL, HEAVY),
    "single axle": ({"1L": 60.0, "1R": 62.0}, Walk(description=described("trailer")), LIGHT),
    "strong drag elsewhere": (STRONG, USUAL, HEAVY),
    "dead brake elsewhere": (COMBINATION_K | {"5L": 2.0}, USUAL, HEAVY),
    "coast": ({"1L": 14.0, "1R": 12.0, "2L": 15.0, "2R": 9.0}, Walk(drive="coast"), LIGHT),
    "hardly warm, air unsure": ({"1L": 12.0, "1R": 11.0, "2L": 8.0, "2R": 7.0}, USUAL, LIGHT),
    "one round": (VAN_K, Walk(rounds=1), LIGHT),
    "side missing": ({"1L": 105.0, "2L": 63.0, "2R": 64.0}, USUAL, LIGHT),
    "electric": (VAN_K, Walk(description=described("steer", "axle", regenerative=True)), LIGHT),
}


@pytest.mark.parametrize("extra_k", [0.0, 12.0, 45.0, 160.0, -30.0])
@pytest.mark.parametrize("name", WALKS)
def test_planting_by_scales_is_weighing_the_planted_case(name, extra_k):
    corners, walk, how = WALKS[name]
    assert_scales(judged_of(corners, walk, how), extra_k)


def test_nothing_planted_gives_the_probabilities_of_the_vehicle():
    judged = judged_of(VAN_K | {"2R": 110.0})
    trial = trial_of(judged)
    nothing = np.zeros(trial.places.case.size)
    drag, own = shares_with(trial.scales, nothing, "drag")
    (idle,) = shares_with(trial.scales, nothing, "idle")
    found, here = judged.patterns, (trial.places.side, trial.places.pair)
    np.testing.assert_allclose(drag, found.p_drag[0], rtol=SINGLE, atol=1e-9)
    np.testing.assert_allclose(idle, found.p_idle[0], rtol=SINGLE, atol=1e-9)
    np.testing.assert_allclose(own, found.p_hot[here], rtol=SINGLE, atol=1e-9)


def test_separate_faults_go_by_the_weights_asked_for():
    """Odds of one fault are proportional to its weight; those handed on are of the weights of the group."""
    judged = judged_of(VAN_K)
    trial = trial_of(judged)
    (_, odds, separate), *_ = nodes_of(judged.evidence, trial.group)
    parts = separate_parts(trial.group, np.ones((1, 4), dtype=bool))
    one, other = odds.separate(parts), odds.separate(2.0 * parts)
    np.testing.assert_allclose(other.one, 2.0 * one.one, rtol=1e-12)
    assert one.one.any()
    np.testing.assert_array_equal(separate.one, one.one)


def doubtful(corners: Corners, name: str, *, off_k: float, lap: int = 1) -> Readings:
    """A walk one of whose readings missed its brake."""
    readings = walked(corners)
    place = list(corners).index(name) + lap * len(corners)
    readings.indicated_degc[place] += off_k
    return readings


@pytest.mark.parametrize("extra_k", [0.0, 30.0, 90.0, -35.0])
@pytest.mark.parametrize(("corner", "off_k"), [("1L", -45.0), ("2R", 60.0)])
def test_corner_in_doubt_is_weighed_alike(corner, off_k, extra_k):
    judged = judge(doubtful(VAN_K, corner, off_k=off_k), LIGHT)
    assert (judged.evidence.doubt.place >= 0).sum() == 1
    assert_scales(judged, extra_k)


def test_strong_fault_elsewhere_leaves_every_digit():
    """420 K at one of ten brakes, one of its readings off: what leaves its axle healthy is far below.

    The probabilities of the planted corner must nevertheless be those of the whole weighing, relative to
    their own size.
    """
    judged = judge(doubtful(STRONG, "4R", off_k=-200.0), HEAVY)
    assert (judged.evidence.doubt.place >= 0).any()
    trial = trial_of(judged)
    places = trial.places
    # the last takes the strong fault itself away: its axle healthy is then all there is
    for extra_k, question in ((40.0, "drag"), (-30.0, "idle"), (-345.0, "drag")):
        asked, *own = shares_with(trial.scales, np.full(places.case.size, extra_k), question)
        for k in range(places.case.size):
            whole = weighed(judged, trial, k, extra_k)
            hot = whole.p_hot[int(places.side[k]), int(places.row[k]), 0]
            assert [one[k] for one in own] == pytest.approx([hot] * len(own), rel=SINGLE, abs=1e-280)
            assert asked[k] == pytest.approx(
                (whole.p_drag if question == "drag" else whole.p_idle)[0], rel=SINGLE, abs=1e-15
            )


def more_rounds(brakes: Brakes) -> Brakes:
    return replace(brakes, variance=brakes.variance / 2.0, used=brakes.used + 2)


def test_readings_thought_of_are_weighed_as_thought():
    judged = judged_of(VAN_K | {"1R": 120.0}, Walk(rounds=1))
    assert_scales(judged, 25.0, more_rounds)
    one, two = (
        shares_with(trial.scales, np.full(4, 25.0), "drag")[0]
        for trial in (trial_of(judged), trial_of(judged, more_rounds))
    )
    assert np.abs(one - two).max() > 1e-3


def test_several_vehicles_of_one_group():
    tables = [walked(VAN_K | {"1L": rise}, Walk(seed=k)) for k, rise in enumerate((90.0, 130.0, 180.0))]
    assert_scales(judge(stack_readings(tables), LIGHT), 40.0)


@settings(max_examples=12, deadline=None)
@given(
    rises=st.lists(st.floats(2.0, 300.0), min_size=6, max_size=6),
    axles=st.integers(1, 3),
    extra_k=st.floats(-80.0, 250.0),
    drive=st.sampled_from(["normal", "coast"]),
)
def test_any_vehicle_any_heat(rises, axles, extra_k, drive):
    names = [f"{axle}{side}" for axle in range(1, axles + 1) for side in SIDES]
    judged = judged_of(dict(zip(names, rises, strict=False)), Walk(drive=drive, rounds=2))
    assert_scales(judged, extra_k)


@settings(max_examples=12, deadline=None)
@given(rises=st.lists(st.floats(5.0, 200.0), min_size=4, max_size=4), extra_k=st.floats(0.0, 200.0))
def test_mirrored_vehicle_has_mirrored_shares(rises, extra_k):
    walk = Walk(noise_k=0.0)
    names = ("1L", "1R", "2L", "2R")
    left = trial_of(judged_of(dict(zip(names, rises, strict=True)), walk))
    swapped = {"1R": rises[0], "1L": rises[1], "2R": rises[2], "2L": rises[3]}
    right = trial_of(judged_of(swapped, walk))  # the same moments, the other sides
    extra = np.full(4, extra_k)
    one = shares_with(left.scales, extra, "drag")[1]
    two = shares_with(right.scales, extra, "drag")[1]
    side, row = left.places.side, left.places.row
    for k in range(4):
        other = np.flatnonzero((right.places.side == 1 - side[k]) & (right.places.row == row[k]))
        assert one[k] == pytest.approx(two[other].item(), abs=1e-6)
