"""Limits that are printed, and what another round, marks or a drive without braking would make of them."""

from __future__ import annotations

import numpy as np
import pytest
from answercases import POLICY, USUAL, WALK
from judgecases import VAN_K, Walk, described, tell, told, walked
from msgspec.structs import replace
from severitycases import COAST_PER_NM, PER_NM

from thermlog.judging.diagnose import judge
from thermlog.judging.limits import as_driven, limits_of, without_braking

ONE = np.array([True])


def reason(answer, code):
    return next(one for one in answer.reasons if one.code == code)


def test_a_no_tells_the_limit_of_its_worst_corner():
    """Torque by hand from the figures of a light disc; the line is the policy's."""
    judged = judge(walked(VAN_K, WALK), USUAL)
    one, limits = tell(judged, 0), limits_of(judged.evidence, judged.gaps, ONE)
    drag, idle = one.answers.drag, one.answers.idle
    assert (drag.answer, idle.answer) == ("no", "no")
    wanted = dict(zip(("1L", "1R", "2L", "2R"), limits.extra_k.T.ravel().tolist(), strict=True))
    assert {found.corner: found.rise_k for found in drag.detectable} == pytest.approx(wanted)
    assert all(found.torque_nm == pytest.approx(found.rise_k / PER_NM, rel=1e-6) for found in drag.detectable)
    worst = max(wanted, key=wanted.get)
    below = reason(drag, "limit_below_line")
    assert below.corners == (worst,)
    rise_k = next(corner.rise_k.value for corner in one.corners if corner.corner == worst)
    line_k = max(POLICY.hidden_drag_k, POLICY.hidden_drag_part * rise_k)
    assert below.numbers == pytest.approx(
        {"line_k": line_k, "limit_k": wanted[worst], "torque_nm": wanted[worst] / PER_NM}, rel=1e-6
    )
    lost = dict(zip(("1L", "1R", "2L", "2R"), limits.loss_share.T.ravel().tolist(), strict=True))
    assert {found.corner: found.lost_share for found in idle.detectable} == pytest.approx(lost)
    below = reason(idle, "limit_below_line")
    worst = max(lost, key=lost.get)
    assert below.corners == (worst,)
    assert below.numbers == pytest.approx(
        {"share_line": POLICY.hidden_loss_share, "share_limit": lost[worst]}
    )


def test_torque_after_a_drive_without_braking_is_that_of_such_a_drive():
    coast = Walk(drive="coast", rounds=4, noise_k=0.0, description=described("steer", "drive"))
    drag = told(walked({"1L": 12.0, "1R": 11.0, "2L": 13.0, "2R": 10.0}, coast), USUAL).answers.drag
    assert drag.detectable
    for found in drag.detectable:
        assert found.torque_nm == pytest.approx(found.rise_k / COAST_PER_NM, rel=1e-6)


def test_a_hot_answer_carries_no_limits():
    drag = told(walked(VAN_K | {"1L": 260.0}, WALK), USUAL).answers.drag
    assert drag.answer in {"yes", "watch"}
    assert drag.detectable == ()


HIDING = dict.fromkeys(VAN_K, 100.0)  # fronts with less than their usual share


@pytest.mark.parametrize("rounds", [1, 2])
def test_what_would_decide_carries_the_limit_it_leads_to(rounds):
    """Each step by the limits of the brakes thought of: a shot more, skins to 2 %, heat of a coast drive."""
    judged = judge(walked(HIDING, replace(WALK, rounds=rounds, noise_k=0.0)), USUAL)
    drag = tell(judged, 0).answers.drag
    hidden = reason(drag, "limit_above_line")
    corner, limit_k = hidden.corners[0], hidden.numbers["limit_k"]

    def more(brakes):
        return replace(brakes, variance=brakes.variance * rounds / (rounds + 1), used=brakes.used + 1)

    def marked(brakes):
        size = brakes.known.size
        return replace(brakes, skin_fraction=np.full(size, 0.02), known=np.ones(size, dtype=bool))

    def sunk(brakes):
        return replace(brakes, rise_k=np.full(brakes.rise_k.size, POLICY.coast_heat_median_k))

    changes = {
        "another_round": (more, as_driven),
        "mark_and_read": (marked, as_driven),
        "coast_drive": (sunk, without_braking),
    }
    place = "LR".index(corner[1]), int(corner[0]) - 1
    for code, change in changes.items():
        step = next(one for one in drag.decides if one.code == code)
        after = limits_of(judged.evidence, judged.gaps, ONE, *change).extra_k[place]
        assert step.numbers["after_k"] == pytest.approx(after, rel=1e-9)
        assert step.numbers["after_k"] < limit_k
    below = [one.numbers.get("after_k", np.inf) <= hidden.numbers["line_k"] for one in drag.decides]
    assert below == sorted(below, reverse=True)  # what brings it below the line comes first
    assert below[0]
    assert not below[-1]
