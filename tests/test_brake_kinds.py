"""Two kinds of brake on one vehicle: the axles of one kind depart together from what is usual."""

from __future__ import annotations

import numpy as np
import pytest
from judgecases import COMBINATION_K, Corners, Walk, described, walked
from msgspec.structs import replace

from thermlog.inference import pattern
from thermlog.inference.likelihood import Group
from thermlog.inference.pattern import groups_of, speaking, under, unknowns
from thermlog.judging.diagnose import judge
from thermlog.judging.judged import Judged
from thermlog.judging.settings import Settings
from thermlog.judging.tell import tell_findings
from thermlog.words.policy import load_policy
from thermlog.words.vehicle import BrakeKind

HEAVY = load_policy("heavy")
ROLES = ("steer", "drive", "trailer", "trailer", "trailer")


def combination(*brakes: BrakeKind) -> Walk:
    """A drive of a combination whose axles have these brakes."""
    vehicle = described(*ROLES, weight_class="heavy")
    axles = tuple(replace(axle, brake=brake) for axle, brake in zip(vehicle.axles, brakes, strict=True))
    return Walk(description=replace(vehicle, axles=axles))


DRUMS = combination("drum", "drum", "drum", "drum", "drum")
DISCS_BEFORE_DRUMS = combination("disc", "disc", "drum", "drum", "drum")
DISC_BEFORE_DRUMS = combination("disc", "drum", "drum", "drum", "drum")


def cool(part: float, *axles: int) -> Corners:
    """Rises of a combination some axles of which show a part of theirs."""
    return {
        corner: rise * (part if int(corner[0]) in axles else 1.0) for corner, rise in COMBINATION_K.items()
    }


def judged(corners: Corners, walk: Walk) -> Judged:
    return judge(walked(corners, walk), Settings())


def group_of(walk: Walk) -> tuple[Judged, Group]:
    one = judged(COMBINATION_K, walk)
    (group,) = groups_of(one.evidence, np.flatnonzero(speaking(one.evidence)))
    return one, group


def test_what_two_axles_of_a_rarer_kind_have_in_common_is_summed_over():
    """The moments of a normal variable; five steps of one hold 0.961 of its spread (own sum)."""
    one, group = group_of(DISCS_BEFORE_DRUMS)
    nodes = unknowns(one.evidence, group)
    weight = np.array([node.weight for node in nodes])
    shift = np.array([node.kind_shift_ln for node in nodes])
    assert weight.sum() == pytest.approx(1.0, abs=1e-12)
    assert weight @ shift == pytest.approx(0.0, abs=1e-12)
    both_stand_off = np.sqrt(2.0 * (HEAVY.unlike_axle_spread**2 - HEAVY.like_axle_spread**2))
    assert np.sqrt(weight @ shift**2) == pytest.approx(0.961 * both_stand_off, rel=1e-3)
    assert {under(group, node).kind_shift_ln for node in nodes} == set(shift.tolist())


@pytest.mark.parametrize("walk", [DRUMS, DISC_BEFORE_DRUMS, replace(DISCS_BEFORE_DRUMS, drive="coast")])
def test_nothing_is_in_common_of_one_kind_of_one_axle_or_without_braking(walk):
    one, group = group_of(walk)
    assert {node.kind_shift_ln for node in unknowns(one.evidence, group)} == {0.0}


def test_five_steps_are_a_normal_variable_cut_off_at_two_and_a_half(monkeypatch):
    """Beside forty-nine steps of a tenth; where the answer tips over, at 0.3, 0.04 apart (own sum)."""
    fine = np.linspace(-2.4, 2.4, 49)
    weight = np.exp(-0.5 * fine**2) / np.exp(-0.5 * fine**2).sum()
    logs = [cool(part, 1, 2) for part in (0.15, 0.25, 0.3, 0.4, 0.6, 0.8, 1.3, 1.7, 2.2, 2.6)]
    coarse = [judged(log, DISCS_BEFORE_DRUMS).patterns for log in logs]
    monkeypatch.setattr(pattern, "_SHARED", tuple(zip(weight.tolist(), fine.tolist(), strict=True)))
    for few, log in zip(coarse, logs, strict=True):
        many = judged(log, DISCS_BEFORE_DRUMS).patterns
        assert few.p_idle == pytest.approx(many.p_idle, abs=0.05)
        assert few.p_drag == pytest.approx(many.p_drag, abs=0.05)


def test_cool_discs_before_drums_are_no_dead_tractor():
    """Discs at 0.6 of what drums show are within what two kinds differ by; at a tenth they do nothing."""
    lukewarm = tell_findings(judged(cool(0.6, 1, 2), DISCS_BEFORE_DRUMS), 0).answers
    assert (lukewarm.drag.answer, lukewarm.idle.answer) == ("no", "no")
    dead = tell_findings(judged(cool(0.1, 1, 2), DISCS_BEFORE_DRUMS), 0).answers.idle
    assert dead.answer == "yes"
    assert set(dead.corners) == {"1L", "1R", "2L", "2R"}


def test_axles_of_one_kind_that_depart_apart_are_suspected_as_before():
    """One of two discs cool, and the other not: nothing that the kind of brake explains."""
    (one,) = judged(cool(0.35, 2), DISCS_BEFORE_DRUMS).patterns.p_idle
    (both,) = judged(cool(0.35, 1, 2), DISCS_BEFORE_DRUMS).patterns.p_idle
    assert one > HEAVY.doubt_probability > both
