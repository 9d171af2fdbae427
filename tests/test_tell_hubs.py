"""Hubs as told: what points to the bearing and what does not."""

from __future__ import annotations

import numpy as np
import pytest
from judgecases import (
    HUBS,
    VAN_K,
    Walk,
    axle_of,
    corner_of,
    told,
    walked,
)

from thermlog.words.policy import load_policy
from thermlog.words.vehicle import mate_of

POLICY = load_policy("light")
EXACT_ONCE = Walk(rounds=1, noise_k=0.0)


@pytest.mark.parametrize("corner", ["1L", "1R"])
def test_hub_far_above_its_mate_points_to_the_bearing(corner):
    one = told(walked(VAN_K | HUBS | {f"{corner} hub": 90.0}))
    hub, mate = corner_of(one, corner, "hub"), corner_of(one, mate_of(corner), "hub")
    assert (hub.verdict, mate.verdict) == ("hot", "even")
    assert "above its mate (mark 30 K): points to the bearing" in hub.why[0]
    assert (one.pattern.kind, one.pattern.corners, one.pattern.why) == ("hub_hot", (corner,), hub.why)
    assert corner_of(one, corner).verdict == "even"
    assert one.flagged
    assert any("Stop driving" in caution for caution in one.cautions)


@pytest.mark.parametrize(("over_k", "kind"), [(-0.2, "none"), (0.2, "hub_hot")])
def test_mark_of_hubs_is_that_of_the_policy(over_k, kind):
    """Six rounds without noise, both hubs cooling alike; at the common time of 140 s."""
    at_common = np.exp(-140.0 / 1800.0)
    hubs = {"1L hub": 20.0 + (POLICY.hub_over_mate_k + over_k) / at_common, "1R hub": 20.0}
    assert told(walked(VAN_K | hubs, Walk(rounds=6, noise_k=0.0))).pattern.kind == kind


def test_hub_difference_that_readings_leave_open_is_not_called():
    """One round: aim scatters by 3 % of a rise, so that 40 K between hubs at 600 K lie within two sigmas."""
    far = told(walked({"1L hub": 600.0, "1R hub": 560.0}, EXACT_ONCE))
    assert corner_of(far, "1L", "hub").verdict == "even"
    near = told(walked({"1L hub": 60.0, "1R hub": 20.0}, EXACT_ONCE))
    assert corner_of(near, "1L", "hub").verdict == "hot"


def test_hub_far_above_its_own_brake_needs_no_mate():
    one = told(walked(VAN_K | {"2L hub": 140.0}))
    hub = corner_of(one, "2L", "hub")
    assert hub.verdict == "hot"
    assert "above the brake beside it (mark 60 K): points to the bearing" in hub.why[0]
    assert (one.pattern.kind, one.pattern.corners) == ("hub_hot", ("2L",))
    assert corner_of(told(walked(VAN_K | {"2L hub": 115.0})), "2L", "hub").verdict == "even"


def test_hub_above_an_idle_brake_or_a_single_shot_at_it_is_no_bearing():
    idle = told(walked(VAN_K | {"1L": 5.0, "1L hub": 80.0, "1R hub": 80.0}))
    assert axle_of(idle, 1).verdict == "cold"
    assert corner_of(idle, "1L", "hub").verdict == "even"
    once = told(walked(VAN_K | {"1L": 5.0, "1L hub": 80.0, "1R hub": 80.0}, Walk(rounds=1)))
    assert corner_of(once, "1L", "hub").verdict == "even"


def test_lone_hub_without_brake_cannot_be_told():
    one = told(walked({"1L hub": 90.0}))
    assert corner_of(one, "1L", "hub").verdict == "cannot_tell"
    assert corner_of(one, "1L", "hub").why == ("the hub of the other side was not read: read both hubs",)
    assert (one.pattern.kind, one.axles) == ("cannot_tell", ())


def test_called_brake_comes_before_a_hot_hub():
    one = told(walked(VAN_K | HUBS | {"2R": 190.0, "1L hub": 90.0}))
    assert (one.pattern.kind, one.pattern.corners) == ("corner_hot", ("2R",))
    assert corner_of(one, "1L", "hub").verdict == "hot"
