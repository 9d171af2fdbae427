"""What a healthy brake would read: from the others alone, the same for left and right, and rightly wide."""

from __future__ import annotations

import numpy as np
import pytest
from judgecases import HEAVY, HUBS, LIGHT, LORRY_K, USUAL, VAN_K, Corners, Walk, all_told, told, walked
from msgspec.structs import replace
from scipy.stats import norm

from thermlog.correcting.surfaces import SurfaceChoice, usual_surfaces
from thermlog.inference.expected import Silenced, expected_of
from thermlog.inference.likelihood import axle_kernel
from thermlog.inference.pattern import groups_of, speaking
from thermlog.inference.states import LEVELS_K
from thermlog.judging.diagnose import judge
from thermlog.judging.judged import Judged
from thermlog.judging.settings import Settings
from thermlog.physics.distributions import normal_share
from thermlog.words.estimates import Interval
from thermlog.words.findings import Diagnosis

VAN = [*VAN_K]


def band(found: Diagnosis, corner: str) -> Interval:
    one = found.corner(corner)
    assert one is not None
    assert one.expected_degc is not None, corner
    return one.expected_degc


def bands(rises_k: Corners, walk: Walk = USUAL) -> dict[str, Interval | None]:
    return {one.corner: one.expected_degc for one in told(walked(rises_k, walk), LIGHT).corners}


def ends_of(judged: Judged, silent: Silenced | None = None) -> np.ndarray:
    found = expected_of(judged.evidence, np.ones(len(judged.readings.cases), dtype=bool), silent)
    return np.stack([found.low_k, found.high_k])


def test_normal_share_is_that_of_scipy() -> None:
    z = np.linspace(-9.0, 9.0, 2001)
    np.testing.assert_allclose(normal_share(z), norm.cdf(z), atol=7.5e-8)  # bound of the formula used


def test_a_band_does_not_hear_its_own_brake() -> None:
    """Given the others: hotter by a third, as long as nothing is called, the own band stays."""
    usual, warmer = bands(VAN_K), bands(VAN_K | {"2L": 75.0})
    assert warmer["2L"] == pytest.approx(usual["2L"], rel=0.02)  # the air is fitted to all corners together
    assert warmer["2R"][1] > usual["2R"][1] + 2.0


def test_left_and_right_are_alike() -> None:
    """Mirrored readings give mirrored bands; exactly, where time does not tell the sides apart."""
    still = Walk(step_s=0.0, noise_k=0.0)
    there = bands(VAN_K | {"1L": 90.0}, still)
    back = bands(
        {name[0] + {"L": "R", "R": "L"}[name[1]]: k for name, k in (VAN_K | {"1L": 90.0}).items()}, still
    )
    for name, ends in there.items():
        assert back[name[0] + {"L": "R", "R": "L"}[name[1]]] == pytest.approx(ends, rel=1e-6)


def test_a_brake_that_is_called_says_nothing_of_its_mate() -> None:
    """The rears alone tell where a healthy front lies: the same however hot the dragging one is."""
    some, more = (told(walked(VAN_K | {"1L": k}), LIGHT) for k in (220.0, 300.0))
    assert some.answers.drag.corners == ("1L",)
    assert band(some, "1R") == pytest.approx(band(more, "1R"), rel=0.02)
    low, high = band(some, "1L")
    assert low < some.corner("1R").at_common_degc.value < high < some.corner("1L").at_common_degc.value


def test_a_watched_axle_is_told_by_the_others() -> None:
    lorry = LORRY_K | {"2L": 230.0, "2R": 240.0}
    found = told(walked(lorry), HEAVY)
    for corner in ("2L", "2R"):
        assert band(found, corner)[1] < found.corner(corner).at_common_degc.value


def test_where_every_brake_is_in_question_what_is_usual_is_left() -> None:
    hot = told(walked({corner: 4.0 * k for corner, k in VAN_K.items()}), LIGHT)
    hotter = told(walked({corner: 5.0 * k for corner, k in VAN_K.items()}), LIGHT)
    assert hot.answers.heat.suspects
    assert band(hot, "2R") == pytest.approx(band(hotter, "2R"), rel=0.05)
    assert band(hot, "1L")[1] < hot.corner("1L").at_common_degc.value


STATED = replace(HEAVY, surfaces=(SurfaceChoice(surface=usual_surfaces().surfaces["turned_cast_iron"]),))


@pytest.mark.parametrize(("how", "known"), [(HEAVY, False), (STATED, True)], ids=["bare", "stated"])
def test_usual_heat_is_the_policys_own(how: Settings, known: bool) -> None:
    """With nothing to go by the band is the spread of what is usual: drawn here from the policy alone.

    A stated surface is neither odd nor one of several that are believed in: what it leaves open is its own.
    """
    judged = judge(walked({"1L": 100.0, "1R": 100.0}), how)
    assert judged.gap.known.tolist() == [known]
    pairs = judged.pairs.count
    every = Silenced(
        called=np.zeros((2, pairs), bool), together=np.zeros(pairs, bool), all_hot=np.ones(1, bool)
    )
    low, high = ends_of(judged, every)[:, 0, 0]
    (group,) = groups_of(judged.evidence, np.flatnonzero(speaking(judged.evidence)))
    policy, states = group.policy, group.states
    rng = np.random.default_rng(5)
    level = rng.choice(LEVELS_K, p=states.usual @ axle_kernel(1, group), size=400_000)
    odd = rng.random(level.size) < (0.0 if known else policy.odd_skin_share)
    level = np.where(odd, level * rng.uniform(policy.odd_skin_least, 1.0, level.size), level)
    even = rng.random(level.size) < policy.skins_even_share
    believed = np.where(even, policy.skins_even_part, policy.skins_unlike_part)
    skin = (1.0 if known else believed) * judged.gap.side_fraction[0, 0]
    spread = np.hypot(np.hypot(policy.side_spread_fraction, skin) * level, policy.side_spread_k)
    own = judged.evidence.comparison.state.own_variance[0, 0]
    shown = level + np.hypot(spread, np.sqrt(own)) * rng.normal(size=level.size)
    # chance of 400 000 draws, and levels 12 % apart
    assert [low, high] == pytest.approx(np.quantile(shown, (0.025, 0.975)), rel=0.03)


@pytest.mark.parametrize("corner", ["1L", "1R", "2R"])
def test_one_other_brake_is_enough(corner: str) -> None:
    """Its mate, or one of another axle: both brakes of such a walk have a band."""
    rises = {"2L": 64.0, corner: 100.0}
    assert all(bands(rises).values())


def test_a_corner_without_readings_is_read_as_its_mate_would_be() -> None:
    """Exchanging the sides of a walk that left one wheel out exchanges the bands, also that of this wheel."""
    still = Walk(step_s=0.0, noise_k=0.0)
    there, back = (
        ends_of(judge(walked({f"1{one}": 105.0, f"2{one}": 63.0, f"2{other}": 63.0}, still), LIGHT))
        for one, other in (("L", "R"), ("R", "L"))
    )
    assert np.isfinite(there).all()
    np.testing.assert_allclose(there, back[:, ::-1], rtol=1e-6)


def test_no_band_without_air_without_another_brake_and_for_a_hub() -> None:
    airless = told(walked(VAN_K, Walk(ambient_stated=False)), LIGHT)
    assert {one.expected_degc for one in airless.corners} == {None}
    assert bands({"1L": 80.0}) == {"1L": None}
    with_hubs = told(walked(VAN_K | HUBS), LIGHT)
    assert [one.spot for one in with_hubs.corners if one.expected_degc is None] == ["hub", "hub"]


def test_a_batch_is_told_as_each_alone() -> None:
    """Called, watched and even vehicles; matrix products of other shapes round a little differently."""
    logs = [walked(VAN_K | {"1L": k}) for k in (104.0, 150.0, 260.0)]
    together = all_told(logs, LIGHT)
    for one, log in zip(together, logs, strict=True):
        alone = told(log, LIGHT)
        for corner in VAN:
            assert band(one, corner) == pytest.approx(band(alone, corner), rel=1e-9)


@pytest.mark.parametrize("worse", [Walk(rounds=1), Walk(noise_k=4.0)])
def test_less_that_is_known_makes_a_wider_band(worse: Walk) -> None:
    (low, high), (lower, higher) = bands(VAN_K)["1L"], bands(VAN_K, worse)["1L"]
    assert higher - lower > high - low


def test_the_band_along_the_curve_meets_that_at_the_common_time() -> None:
    from judgecases import tell

    found = tell(judge(walked(VAN_K), LIGHT), 0, curves=True)
    for curve in found.curves:
        healthy = curve.healthy
        assert healthy is not None
        at = [
            np.interp(found.common_time_s, healthy.grid_s, ends)
            for ends in (healthy.low_degc, healthy.high_degc)
        ]
        assert at == pytest.approx(band(found, curve.corner), abs=0.1)  # straight between 25 points
        assert (np.diff(healthy.high_degc) < 0).all()
        away = (healthy.high_degc - healthy.low_degc) / (healthy.high_degc + healthy.low_degc - 36.0)
        assert away[-1] > away.min()


@pytest.mark.parametrize(
    ("rises_k", "how"), [(VAN_K, LIGHT), (LORRY_K, HEAVY), (VAN_K | {"1L": 92.0}, LIGHT)], ids=str
)
def test_bands_worked_out_while_judging_are_those_of_the_readings_alone(rises_k: Corners, how) -> None:
    judged = judge(walked(rises_k), how, in_full=True)
    ahead = judged.hidden.healthy
    assert ahead is not None
    alone = ends_of(judged)
    assert np.isfinite(alone).all()
    # single precision, 6e-8, of a hundred products each
    np.testing.assert_allclose([ahead.low_k, ahead.high_k], alone, rtol=1e-5)


def test_while_judging_none_is_worked_out_where_something_is_suspected() -> None:
    """What is called says nothing of healthy brakes, so its bands are worked out once that is known."""
    hot = judge(walked(VAN_K | {"1L": 190.0}), LIGHT, in_full=True)
    assert hot.hidden.healthy is not None
    assert np.isnan([hot.hidden.healthy.low_k, hot.hidden.healthy.high_k]).all()

    (said,) = all_told([walked(VAN_K | {"1L": 190.0})], LIGHT)
    assert all(one.expected_degc is not None for one in said.corners)
