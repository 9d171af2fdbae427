"""Limits that are printed, and what another round, marks or a drive without braking would make of them."""

from __future__ import annotations

import numpy as np
import pytest
from answercases import POLICY, USUAL, WALK
from judgecases import TAU_S, VAN_K, Walk, described, tell, told, walked
from msgspec.structs import replace
from severitycases import COAST_PER_NM, PER_NM

from thermlog.correcting.surfaces import SurfaceChoice, usual_surfaces
from thermlog.inference.limits import Limits, least_faults, limits_of, trials
from thermlog.inference.sharper import SAME_DRIVE, limits_after
from thermlog.judging.diagnose import judge
from thermlog.judging.tell import tell_all

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
STEPS = {"another_round": "round", "mark_and_read": "paint", "coast_drive": "coast"}


def limits_with(judged, rethought):
    """Limits of every corner with a group and its brakes thought of otherwise."""
    tried = trials(judged.evidence, judged.gaps, ONE, rethought)
    return Limits.placed(judged.pairs.count, map(least_faults, tried))


def changed(change, **about):
    """The group as it is but for `about`, its brakes changed."""
    return lambda group: (replace(group, **about), lambda brakes: replace(brakes, **change(brakes)))


def shots(rise_k):
    """Variance of one shot by the policy and the usual gun: hand, and aim in parts of the rise [K^2]."""
    return POLICY.reading_sigma_k**2 + (POLICY.aim_fraction * rise_k) ** 2


def thought_of(judged):
    """By hand what each step leaves of the readings of a walk without contradictions."""
    metal = np.moveaxis(judged.gap.metal_per_curve, 0, -1).ravel()

    def warmer(by):
        def change(brakes):
            rise_k = by * brakes.rise_k
            return {"rise_k": rise_k, "variance": brakes.variance * shots(rise_k) / shots(brakes.rise_k)}

        return change

    def one_more(brakes):
        part = brakes.used / (brakes.used + 1)
        return {"variance": brakes.variance * part, "used": brakes.used + 1}

    def marked(brakes):
        size = brakes.known.size
        skins = {"skin_fraction": np.full(size, 0.02), "known": np.ones(size, dtype=bool)}
        return warmer(metal)(brakes) | skins

    return {
        "round": changed(one_more),
        "hotter": changed(warmer(1.5)),
        "paint": changed(marked),
    }


def walk_of(rounds):
    return replace(WALK, rounds=rounds, noise_k=0.0)


@pytest.mark.parametrize("rounds", [1, 2])
def test_each_step_has_the_limit_of_the_brakes_it_leaves(rounds):
    """By the limit function itself, fed with brakes that are changed by hand."""
    judged = judge(walked(VAN_K, walk_of(rounds)), USUAL)
    corners = np.ones((2, judged.pairs.count), dtype=bool)
    found = limits_after(judged.evidence, judged.gaps, corners, SAME_DRIVE)
    for by, rethought in thought_of(judged).items():
        wanted = limits_with(judged, rethought)
        assert found[by].extra_k == pytest.approx(wanted.extra_k, rel=1e-5), by
        assert found[by].loss_share == pytest.approx(wanted.loss_share, rel=1e-5), by


def test_a_drive_without_braking_is_thought_of_as_one_that_leaves_the_usual_heat():
    """As a log of such a drive with all brakes at the policy's median states it, to the 15 % of method.md."""
    median_k = POLICY.coast_heat_median_k
    judged = judge(walked(VAN_K, walk_of(4)), USUAL)
    corners = np.ones((2, judged.pairs.count), dtype=bool)
    thought = limits_after(judged.evidence, judged.gaps, corners, ("coast",))["coast"]
    fade = np.exp(judged.comparison.common_time_s[0] / TAU_S)
    sunk = judge(walked(dict.fromkeys(VAN_K, median_k * fade), replace(walk_of(4), drive="coast")), USUAL)
    read = limits_of(sunk.evidence, sunk.gaps, ONE)
    assert np.isnan(thought.loss_share).all()
    assert thought.extra_k == pytest.approx(read.extra_k, rel=0.15)


@pytest.mark.parametrize("rounds", [1, 2])
def test_what_would_decide_carries_the_limit_it_leads_to(rounds):
    """Of marks as the bare face would show it, without braking no more than such a brake holds."""
    judged = judge(walked(HIDING, walk_of(rounds)), USUAL)
    drag = tell(judged, 0).answers.drag
    hidden = reason(drag, "limit_above_line")
    corner, limit_k = hidden.corners[0], hidden.numbers["limit_k"]
    side, axle = place = "LR".index(corner[1]), int(corner[0]) - 1
    corners = np.ones((2, judged.pairs.count), dtype=bool)
    bare = {"paint": judged.gap.metal_per_curve[side, axle]}
    room_k = POLICY.coast_heat_median_k + 2.0 * POLICY.ambient_sigma_k
    for code, by in STEPS.items():
        step = next(one for one in drag.decides if one.code == code)
        after = limits_after(judged.evidence, judged.gaps, corners, (by,))[by].extra_k[place]
        wanted = min(after, room_k) if by == "coast" else after / bare.get(by, 1.0)
        assert step.numbers["after_k"] == pytest.approx(wanted, rel=1e-5)
        assert step.numbers["after_k"] < limit_k
    below = [one.numbers.get("after_k", np.inf) <= hidden.numbers["line_k"] for one in drag.decides]
    assert below == sorted(below, reverse=True)  # what brings it below the line comes first
    assert below[0]
    assert not below[-1]


def sharper_of(judged, k=0):
    (one,) = tell_all(judged, [k], curves=False, sharper=True)
    return {"drag": one.answers.drag, "idle": one.answers.idle}


def test_a_no_says_what_each_step_would_make_of_its_worst_corner():
    """Even limits fall by a twentieth or more, or the step is said to help hardly."""
    judged = judge(walked(VAN_K, WALK), USUAL)
    corners = np.ones((2, judged.pairs.count), dtype=bool)
    after = limits_after(judged.evidence, judged.gaps, corners, SAME_DRIVE)
    for question, answer in sharper_of(judged).items():
        assert answer.answer == "no"
        stated = reason(answer, "limit_below_line")
        side, axle = place = "LR".index(stated.corners[0][1]), int(stated.corners[0][0]) - 1
        each = {one.by: one for one in answer.sharper}
        assert tuple(each) == (("round", "hotter", "paint", "coast") if question == "drag" else SAME_DRIVE)
        for by in SAME_DRIVE:
            now = stated.numbers["limit_k" if question == "drag" else "share_limit"]
            then = after[by].extra_k[place] if question == "drag" else after[by].loss_share[place]
            if question == "drag" and by == "paint":
                then /= judged.gap.metal_per_curve[side, axle]
            one = each[by]
            told_then = one.rise_k if question == "drag" else one.lost_share
            if then > 0.95 * now:
                assert (one.corner, told_then, one.why_not) == (None, None, "hardly_less")
            else:
                assert (one.corner, one.why_not) == (stated.corners[0], None)
                assert told_then == pytest.approx(then, rel=1e-5)
        assert each["paint"].why_not is None  # unlike skins are most of what hides a fault
        assert each["round"].why_not == "hardly_less"  # which no further reading tells
    coast = each_drag(judged)["coast"]
    assert coast.rise_k == pytest.approx(POLICY.coast_heat_median_k + 2.0 * POLICY.ambient_sigma_k)
    assert coast.torque_nm == pytest.approx(coast.rise_k / COAST_PER_NM, rel=1e-6)


def each_drag(judged):
    return {one.by: one for one in sharper_of(judged)["drag"].sharper}


def test_steps_that_nobody_needs_or_takes_are_left_out_by_name():
    coast = Walk(drive="coast", rounds=4, noise_k=0.0, description=described("steer", "drive"))
    told_coast = each_drag(judge(walked({"1L": 12.0, "1R": 11.0, "2L": 13.0, "2R": 10.0}, coast), USUAL))
    assert (told_coast["hotter"].why_not, told_coast["coast"].why_not) == (
        "without_braking",
        "driven_already",
    )

    painted = replace(USUAL, surfaces=(SurfaceChoice(surface=usual_surfaces().surfaces["matt_black_paint"]),))
    assert each_drag(judge(walked(VAN_K, WALK), painted))["paint"].why_not == "surfaces_known"

    hot = sharper_of(
        judge(walked(VAN_K | {"1L": 260.0}, WALK), USUAL)
    )  # nobody drives with a brake that drags
    assert (hot["drag"].answer, hot["drag"].sharper) == ("yes", ())
    assert {one.by: one.why_not for one in hot["idle"].sharper} == {
        "round": "hardly_less", "hotter": "not_driven", "paint": "not_driven",
    }  # fmt: skip


def test_a_list_of_many_does_without():
    """Where it is not asked for nothing is worked out, and nothing else changes."""
    judged = judge(walked(VAN_K, WALK), USUAL)
    (without,) = tell_all(judged, [0], curves=False)
    asked = sharper_of(judged)
    for question in ("drag", "idle"):
        bare = getattr(without.answers, question)
        assert bare.sharper == ()
        assert replace(asked[question], sharper=()) == bare


def test_contradicting_readings_are_not_taken_again_on_another_drive():
    """One reading of 12 far off: a fresh drive is thought of with that brake as its mate."""
    rises = {"1L": 105.0, "1R": 104.0, "2L": 63.0, "2R": 64.0}
    sound = walked(rises, WALK)
    off = sound.indicated_degc.copy()
    off[4] -= 45.0  # the second reading of 1L
    judged = judge(replace(sound, indicated_degc=off), USUAL)
    assert (judged.evidence.doubt.place >= 0).any()
    even = judge(sound, USUAL)
    corners = np.ones((2, judged.pairs.count), dtype=bool)
    for by in ("hotter", "paint"):
        one, other = (
            limits_after(one.evidence, one.gaps, corners, (by,))[by].extra_k[1, 0] for one in (judged, even)
        )
        assert one == pytest.approx(other, rel=0.15), by
