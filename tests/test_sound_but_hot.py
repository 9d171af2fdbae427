"""Sound brakes too hot for a hand: nothing is found, and nobody works there before they have cooled."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.mark.parametrize(("air_degc", "cools"), [(20, False), (45, True)])
def test_a_healthy_vehicle_too_hot_for_a_hand_is_kept_away_from(thermlog, air_degc, cools):
    """Sound brakes after a hard drive on a hot day: nothing is found, but at 200 °C nobody works there."""
    rises_k = {"1L": 165.0, "1R": 163.0, "2L": 90.0, "2R": 91.0}
    rows = [
        f"{30 + 200 * turn + 15 * k},{corner},{air_degc + rise * 0.86**turn:.1f}"
        for turn in range(3)
        for k, (corner, rise) in enumerate(rises_k.items())
    ]
    head = ("# weight: light", "# axles: steer axle", "# brakes: disc disc", f"# ambient: {air_degc} C")
    Path("log.csv").write_text("\n".join([*head, "since_parked_s,position,temp_c", *rows]) + "\n")
    ran = thermlog("check", "log.csv", "-q")
    assert ran.code == 0
    assert (
        "Touch nothing yet: let it cool, nobody nearer to a wheel than the gun needs. Keep" in ran.out
    ) is cools
    assert "Keep this log as the record of today" in ran.out
