"""The probabilities of whole vehicles against a slow integration that was written separately."""

from __future__ import annotations

import numpy as np
import pytest
from judgecases import LIGHT, USUAL, VAN_K, Walk, described, walked
from msgspec.structs import replace
from slowpattern import Brake, Vehicle, slow_pattern

from thermlog.fitting.fit import FITTED
from thermlog.inference.explanations import KINDS
from thermlog.inference.pattern import air_sigma_k, groups_of, speaking
from thermlog.judging.diagnose import judge
from thermlog.judging.judged import Judged

LIKE = described("steer", "axle")
DISC_AND_DRUM = replace(
    LIKE, axles=(replace(LIKE.axles[0], brake="disc"), replace(LIKE.axles[1], brake="drum"))
)

SLOW_CASES: dict[str, tuple[dict[str, float], Walk]] = {
    "healthy": (VAN_K, USUAL),
    "a little hot": (VAN_K | {"1L": 150.0}, USUAL),
    "half cold": (VAN_K | {"2R": 30.0}, USUAL),
    "one reading far low": (VAN_K | {"2R": 5.0}, Walk(rounds=1)),
    "front alike, both warm": ({"1L": 150.0, "1R": 155.0, "2L": 110.0, "2R": 100.0}, USUAL),
    "rear axle warm": (VAN_K | {"2L": 130.0, "2R": 125.0}, Walk(rounds=2)),
    "rear axle cold": (VAN_K | {"2L": 20.0, "2R": 15.0}, USUAL),
    "diagonal": (VAN_K | {"1L": 170.0, "2R": 120.0}, USUAL),
    "skins unlike": ({"1L": 105.0, "1R": 80.0, "2L": 48.0, "2R": 64.0}, USUAL),
    "all warm": ({corner: 3.5 * rise for corner, rise in VAN_K.items()}, USUAL),
    "side missing": ({"1L": 170.0, "2L": 63.0, "2R": 64.0}, USUAL),
    "discs all round": (
        VAN_K | {"2L": 110.0, "2R": 108.0},
        Walk(description=described("steer", "axle", weight_class="light")),
    ),
    "disc and drum": (VAN_K | {"2L": 110.0, "2R": 108.0}, Walk(description=DISC_AND_DRUM)),
    "trailer": (VAN_K, Walk(description=described("trailer", "trailer"))),
    "hardly warm": ({"1L": 15.0, "1R": 3.0, "2L": 9.0, "2R": 8.0}, USUAL),
    "coast, one warm": ({"1L": 20.0, "1R": 60.0, "2L": 15.0, "2R": 16.0}, Walk(drive="coast")),
    "coast, one hot": ({"1L": 20.0, "1R": 200.0, "2L": 15.0, "2R": 2.0}, Walk(drive="coast")),
}
# The package works on levels 10 % apart, takes 24 points for a uniform distribution, and holds the lowest
# level at 1.5 K; together this moves no probability by more than 0.012 in these cases. Where the air is
# summed over, three points in place of thirteen move it by no more than 0.016.
GRID_ERROR, AIR_ERROR = 0.015, 0.02


def slow_vehicle(judged: Judged, *, coast: bool) -> Vehicle:
    """The brakes of the first case as the slow integration takes them."""
    state, fits, evidence = judged.comparison.state, judged.fits, judged.evidence
    brakes = {}
    for pair in np.flatnonzero(judged.comparison.chosen):
        for side in (0, 1):
            fitted = fits.state[side, pair] == FITTED
            brakes[int(judged.pairs.axle[pair]) - 1, side] = Brake(
                rise_k=float(state.rise_k[side, pair]) if fitted else None,
                variance=float(state.own_variance[side, pair]) if fitted else 1.0,
                used=int(fits.used[side, pair]),
                skin_fraction=float(judged.gap.side_fraction[side, pair]),
            )
    (group,) = groups_of(evidence, np.flatnonzero(speaking(evidence)))
    assert len(set(group.likeness)) == 1
    return Vehicle(
        brakes=brakes,
        policy=judged.policies[0],
        coast=coast,
        steered=group.steered_front,
        likeness=group.likeness[0],
        air_sigma_k=float(air_sigma_k(evidence)[0]) if group.air_unsure else 0.0,
    )


@pytest.mark.parametrize("name", SLOW_CASES)
def test_probabilities_are_those_of_slow_integration(name):
    corners, walk = SLOW_CASES[name]
    judged = judge(walked(corners, walk), LIGHT)
    assert (judged.evidence.doubt.place < 0).all()  # corners in doubt have tests of their own
    vehicle = slow_vehicle(judged, coast=walk.drive == "coast")
    slow, patterns = slow_pattern(vehicle), judged.patterns
    error = AIR_ERROR if vehicle.air_sigma_k > 0 else GRID_ERROR
    assert sum(slow.kinds.values()) == pytest.approx(1.0)
    for kind, p in slow.kinds.items():
        assert patterns.p_kind[0, KINDS.index(kind)] == pytest.approx(p, abs=error), kind
    for row, side in vehicle.brakes:
        assert patterns.p_hot[side, row] == pytest.approx(slow.hot[row, side], abs=error)
        assert patterns.p_cold[side, row] == pytest.approx(slow.cold[row, side], abs=error)
    for name_ in ("p_drag", "p_idle", "p_heat"):
        assert getattr(patterns, name_)[0] == pytest.approx(getattr(slow, name_), abs=error), name_
    assert np.log(patterns.skin_odds[0]) == pytest.approx(np.log(slow.skin_odds), abs=0.05)


def test_slow_cases_reach_what_they_are_for():
    """The air is summed over in some, likeness differs between some."""
    judged = {name: judge(walked(*SLOW_CASES[name]), LIGHT) for name in SLOW_CASES}
    made = {name: slow_vehicle(one, coast=False) for name, one in judged.items()}
    assert {"unsaid", "like", "unlike"} == {one.likeness for one in made.values()}
    assert made["hardly warm"].air_sigma_k > 1.0
    assert made["healthy"].air_sigma_k == 0.0
    assert not made["trailer"].steered


def test_learned_share_of_skins_is_summed_over_in_every_answer():
    """Nearly all skins alike: a share that counted for one question only would show in the other."""
    corners = {corner: 4.0 * rise for corner, rise in (VAN_K | {"1R": 85.0, "2L": 52.0}).items()}
    judged = judge(walked(corners), replace(LIGHT, skins_even_share=0.95))
    slow = slow_pattern(replace(slow_vehicle(judged, coast=False), skins_even_share=0.95))
    for name in ("p_drag", "p_idle", "p_heat"):
        assert getattr(judged.patterns, name)[0] == pytest.approx(getattr(slow, name), abs=GRID_ERROR), name
