"""Torque behind a rise, and the steps it is told in, worked by hand from the figures."""

from __future__ import annotations

import pytest
from severitycases import KELVIN_PER_NM, PER_NM, POLICY, corner, estimate, four

from thermlog.advice.severity import drag_torque_nm, severity_figures
from thermlog.words.vehicle import Axle, Vehicle


@pytest.mark.parametrize("kind", KELVIN_PER_NM)
def test_torque_is_the_rise_over_what_a_newton_metre_leaves(kind):
    """At the radius of the class, on half of it, and where rolling never ended."""
    figures, (normal, coast) = severity_figures().brakes[kind], KELVIN_PER_NM[kind]
    radius_m = 0.31 if kind.startswith("light") else 0.50
    for drive, per_nm in (("normal", normal), (None, normal), ("verification", normal), ("coast", coast)):
        found = drag_torque_nm(90.0, kind, tyre_radius_m=radius_m, drive=drive)
        assert found == pytest.approx(90.0 / per_nm, rel=1e-6)
        half = drag_torque_nm(90.0, kind, tyre_radius_m=0.5 * radius_m, drive=drive)
        assert half == pytest.approx(45.0 / per_nm, rel=1e-6)
    assert 1.0 / figures.steady_k_per_nm(radius_m) == pytest.approx(figures.reached_normal / normal, rel=1e-6)


@pytest.mark.parametrize(
    ("torque_nm", "told"),
    [
        (22.0, "20 N·m"), (24.9, "30 N·m"), (24.0, "20 N·m"), (0.74, "0.8 N·m"), (95.0, "100 N·m"),
        (12.0, "10 N·m"),
        (12.5, "15 N·m"), (17.0, "15 N·m"), (17.5, "20 N·m"), (35.0, "40 N·m"), (45.0, "50 N·m"),
        (69.0, "60 N·m"),
        (70.0, "80 N·m"), (54.0, "50 N·m"), (55.0, "60 N·m"), (89.0, "80 N·m"), (90.0, "100 N·m"),
    ],
)  # fmt: skip
def test_estimates_are_told_in_steps_of_about_a_third(torque_nm, told):
    """The nearest of 1, 1.5, 2, 3, 4, 5, 6, 8, 10 by ratio: geometric means between, by hand."""
    (found,) = estimate(four(90.0 + torque_nm * PER_NM))
    assert f"order of {told} (" in found.words


def test_a_rise_of_nothing_is_no_drag():
    """Level with the mate or with the air, and just above either."""
    assert estimate(four(90.0)) == ()
    assert estimate(four(90.0 - 1e-6)) == ()
    assert len(estimate(four(90.0 + 1e-6))) == 1
    assert estimate(four(0.0), drive="coast") == ()
    assert len(estimate(four(1e-6), drive="coast")) == 1
    line_k = POLICY.watch_difference_k
    for off_k, found in ((1e-6, 2), (-1e-6, 0)):
        share_k = 55.0 * POLICY.front_share
        both = [corner(name, share_k + line_k + off_k, "hot") for name in ("1L", "1R")]
        assert len(estimate([*both, corner("2L", 55.0), corner("2R", 55.0)])) == found


def test_share_of_other_axles_is_their_median():
    """By hand: 40, 50 and 90 K lead to 50 K times the front's share."""
    truck = Vehicle(axles=(Axle(role="steer"), Axle(), Axle()), weight_class="light")
    rest = [corner("2L", 40.0), corner("3L", 50.0), corner("3R", 90.0)]
    (found,) = estimate([corner("1L", 190.0, "hot"), *rest], truck)
    assert found.torque_nm.value == pytest.approx((190.0 - 50.0 * POLICY.front_share) / PER_NM, rel=1e-6)
