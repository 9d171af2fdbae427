"""Both brakes of a trailer's only axle: that axle and the whole vehicle are one, and its lever may be on."""

from __future__ import annotations

import pytest
from advicecases import log_evidence

from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.narrowing import Found, narrow
from thermlog.advice.situations import situation_of
from thermlog.words.vehicle import Axle, Vehicle


def trailer(axles: int, *, parking_brake: bool = False) -> Vehicle:
    """A light trailer on overrun brakes."""
    one = Axle(role="trailer", fitted="overrun_drum", parking_brake=parking_brake)
    return Vehicle(axles=(one,) * axles, weight_class="light", stated=True)


@pytest.mark.parametrize("kind", ["all_hot", "axle_hot"])
@pytest.mark.parametrize("parking_brake", [True, False])
def test_the_lever_is_among_the_causes_and_leads_when_it_is_found_on(kind, parking_brake):
    evidence = log_evidence(kind, "1L", "1R", vehicle=trailer(1, parking_brake=parking_brake))
    told = narrow(evidence, ())
    found = narrow(evidence, (Found(check="pb_state", answer="not_fully_released"),))

    assert "parkbrake_axle" in {one.cause for one in told.suspects}
    assert found.suspects[0].cause == "parkbrake_axle"


def test_of_more_axles_the_scope_is_asked_as_before():
    single, double = (
        dict(situation_of(log_evidence("all_hot", *corners, vehicle=trailer(count))).answers)
        for count, corners in ((1, ("1L", "1R")), (2, ("1L", "1R", "2L", "2R")))
    )

    scope = evidence_table().named("scope")
    assert scope not in single
    assert scope in double
