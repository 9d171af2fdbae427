"""An axle described as raised may be cold; that it is hot is never explained by it."""

from __future__ import annotations

import pytest
from judgecases import HEAVY, LORRY_K, Walk, axle_of, described, told, walked
from msgspec.structs import replace

from thermlog.words.findings import Diagnosis
from thermlog.words.vehicle import Axle, AxleRole


def seen(role: AxleRole, left_k: float, right_k: float, *, lifted: bool = True) -> Diagnosis:
    lorry = described("steer", "drive", "drive", weight_class="heavy")
    axles = (*lorry.axles[:2], Axle(role=role, lifted=lifted))
    walk = Walk(rounds=2, description=replace(lorry, axles=axles))
    return told(walked(LORRY_K | {"3L": left_k, "3R": right_k}, walk), HEAVY)


@pytest.mark.parametrize("role", ["axle", "drive", "lift", "tag"])
@pytest.mark.parametrize("lifted", [True, False])
def test_a_raised_axle_hot_on_both_sides_drags_as_any_other_does(role: AxleRole, lifted: bool) -> None:
    found = seen(role, 240.0, 232.0, lifted=lifted)
    assert (found.answers.drag.answer, found.answers.drag.corners) == ("yes", ("3L", "3R"))
    assert (found.answers.drag.p or 0.0) > 0.9


@pytest.mark.parametrize("factor", [1.0, 1.3, 2.0, 3.0])
def test_hotter_never_reads_weaker_and_as_warm_as_the_others_is_no_fault(factor: float) -> None:
    """Twice as warm as brakes that worked is watched at least; as warm as they are it was lowered, say."""
    found = seen("lift", 75.0 * factor, 74.0 * factor)
    assert found.answers.drag.suspects is (factor >= 2.0)
    assert [reason.code for reason in axle_of(found, 3).reasons] != ["cold_by_design"]


@pytest.mark.parametrize(("left_k", "right_k"), [(240.0, 4.0), (4.0, 240.0)])
def test_one_hot_brake_on_a_raised_axle_is_watched_and_its_cold_mate_is_not(left_k: float, right_k: float):
    found = seen("lift", left_k, right_k)
    hot = "3L" if left_k > right_k else "3R"
    assert (found.answers.drag.answer, found.answers.drag.corners) == ("watch", (hot,))
    assert [reason.code for reason in found.answers.drag.reasons] == ["hot_though_lifted"]
    assert found.answers.idle.answer == "no"


def test_a_cold_raised_axle_stays_cold_by_right() -> None:
    found = seen("lift", 3.0, 2.0)
    assert not found.flagged
    assert [reason.code for reason in axle_of(found, 3).reasons] == ["cold_by_design"]
