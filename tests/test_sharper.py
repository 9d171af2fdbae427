"""Brakes whose readings contradict each other, thought of on another drive."""

from __future__ import annotations

import numpy as np
import pytest
from answercases import USUAL, WALK
from judgecases import walked
from msgspec.structs import replace

from thermlog.inference.limits import Limits, least_faults, trials
from thermlog.inference.sharper import limits_after
from thermlog.judging.diagnose import judge
from thermlog.judging.judged import Judged
from thermlog.words.sharpening import SharperBy
from thermlog.words.tables import Floats

# Two corners that are exactly alike, so that left and right may be exchanged.
ALIKE_K = {"1L": 105.0, "1R": 105.0, "2L": 63.0, "2R": 63.0}
# Rounds, those of them that are off, and by how much [K]: the curve follows either half of the readings.
SPLIT = [(3, (1, 2), -45.0), (3, (0, 1), -60.0), (3, (1, 2), 30.0), (4, (0, 3), 30.0), (2, (1,), 30.0)]


def contradicting(corner: str, split: tuple[int, tuple[int, ...], float], rises=ALIKE_K) -> Judged:
    """A healthy walk in which some readings of one corner are off."""
    rounds, those, off_k = split
    sound = walked(rises, replace(WALK, rounds=rounds))
    seen = sound.indicated_degc.copy()
    seen[[len(rises) * turn + list(rises).index(corner) for turn in those]] += off_k
    judged = judge(replace(sound, indicated_degc=seen), USUAL)
    side, axle = "LR".index(corner[1]), int(corner[0]) - 1
    assert np.argwhere(judged.evidence.doubt.place >= 0).tolist() == [[side, axle]]
    return judged


def after(judged: Judged, by: SharperBy) -> tuple[Floats, Floats]:
    corners = np.ones((2, judged.pairs.count), dtype=bool)
    limits = limits_after(judged.evidence, judged.gaps, corners, (by,))[by]
    return limits.extra_k, limits.loss_share


@pytest.mark.parametrize("corner", ["1L", "1R"])
@pytest.mark.parametrize("split", SPLIT)
def test_whatever_half_of_the_readings_was_off_another_drive_is_that_of_a_healthy_vehicle(
    corner: str, split: tuple[int, tuple[int, ...], float]
) -> None:
    """The walk without the slip is the measure, to the 15 % of method.md."""
    rounds = split[0]
    even = judge(walked(ALIKE_K, replace(WALK, rounds=rounds)), USUAL)
    for by in ("hotter", "paint"):
        for found, wanted in zip(after(contradicting(corner, split), by), after(even, by), strict=True):
            assert found == pytest.approx(wanted, rel=0.15), by


@pytest.mark.parametrize("corner", ["1L", "1R"])
def test_a_contradicting_brake_whose_mate_nobody_read_keeps_its_own_rise(corner: str) -> None:
    """Nothing is borrowed from nowhere: after half as much heat again it still has limits."""
    rises = {name: rise_k for name, rise_k in ALIKE_K.items() if name in {corner, "2L", "2R"}}
    judged = contradicting(corner, (4, (1,), -45.0), rises)
    read = np.isfinite(judged.comparison.state.rise_k)
    for limit in after(judged, "hotter"):
        assert np.isfinite(limit).tolist() == read.tolist()


@pytest.mark.parametrize("split", SPLIT)
def test_one_more_round_of_the_same_drive_leaves_the_contradiction(
    split: tuple[int, tuple[int, ...], float],
) -> None:
    """By the limit function itself: a reading more at every brake, and every rise as it was read."""
    judged = contradicting("1L", split)

    def one_more(group):
        def change(brakes):
            used = brakes.used + 1
            return replace(brakes, used=used, variance=brakes.variance * brakes.used / used)

        return group, change

    tried = trials(judged.evidence, judged.gaps, np.array([True]), one_more)
    wanted = Limits.placed(judged.pairs.count, map(least_faults, tried))
    extra_k, loss_share = after(judged, "round")
    np.testing.assert_allclose(extra_k, wanted.extra_k, rtol=1e-5)
    np.testing.assert_allclose(loss_share, wanted.loss_share, rtol=1e-5)
