"""What a group of cases is weighed under: does the air matter, and how far may shares of axles stand off."""

from __future__ import annotations

import numpy as np
import pytest
from judgecases import LIGHT, VAN_K, Corners, Walk, described, walked
from msgspec.structs import replace

from thermlog.inference.likelihood import Group, Usual
from thermlog.inference.pattern import Evidence, groups_of, speaking
from thermlog.judging.diagnose import judge
from thermlog.words.policy import load_policy

POLICY = load_policy("light")


def weighed(corners: Corners, walk: Walk) -> tuple[Evidence, Group]:
    evidence = judge(walked(corners, walk), LIGHT).evidence
    (group,) = groups_of(evidence, np.flatnonzero(speaking(evidence)))
    return evidence, group


@pytest.mark.parametrize(
    ("rises_k", "unsure"),
    [
        (VAN_K, False),
        (dict.fromkeys(VAN_K, 4.0), True),
        ({"1L": 105.0, "2L": 63.0}, False),  # nobody read the right side: the left one holds the heat
        ({"1L": 105.0, "1R": 4.0, "2L": 63.0, "2R": 4.0}, False),
        ({"1L": 4.0, "1R": 4.0, "2L": 4.0, "2R": 63.0}, False),
    ],
)
def test_the_air_matters_where_the_warmest_brake_holds_less_than_ten_times_its_doubt(
    rises_k: Corners, unsure: bool
) -> None:
    """An air known to a kelvin beside 4 K is unsure, beside 63 K not, whatever the other brakes hold."""
    _, group = weighed(rises_k, Walk(ambient_sigma_k=1.0))
    assert group.air_unsure is unsure


def test_visits_that_tell_of_one_axle_leave_the_other_the_spread_of_the_policy() -> None:
    """Two digits of what was learned; where they tell nothing of any axle there is nothing to say."""
    walk = Walk(description=described("steer", "drive"))
    evidence, group = weighed(VAN_K, walk)
    assert group.axle_spreads == ()

    def spreads(*known: float) -> tuple[float, ...]:
        usual = Usual(
            offset_ln=np.zeros((2, 2)),
            side_fraction=np.full(2, np.nan),
            axle_spread=np.array(known),
            visits=np.array([3]),
        )
        told = replace(evidence, usual=usual)
        (found,) = groups_of(told, np.flatnonzero(speaking(told)))
        return found.axle_spreads

    own = getattr(POLICY, f"{group.likeness[0]}_axle_spread")
    assert spreads(np.nan, 0.1234) == (own, 0.12)
    assert spreads(0.0871, np.nan) == (0.09, own)
    assert spreads(0.0871, 0.1234) == (0.09, 0.12)
    assert spreads(np.nan, np.nan) == ()
