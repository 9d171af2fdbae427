"""Findings of a car with a hot brake, and the worked figures of drag, for the tests of severity."""

from __future__ import annotations

from collections.abc import Sequence

from thermlog.advice.severity import SeverityCase, severities
from thermlog.words.estimates import Estimate
from thermlog.words.findings import CornerFinding, Severity
from thermlog.words.policy import load_policy
from thermlog.words.vehicle import Axle, Vehicle

# Worked by hand: rise over (part reached × √(rise with the poorest × with the best cooling)), per N·m, e.g.
# 0.40·√(14.42·4.11) = 3.079 K/(N·m) for a light disc after a normal drive. One class a line: normal, coast.
KELVIN_PER_NM = {
    "light_disc": (3.0793818, 4.6190726),
    "light_drum": (4.4271887, 6.3751518),
    "heavy_disc": (0.7044658, 1.0667624),
    "heavy_drum": (0.6824192, 1.0236288),
}
PER_NM, COAST_PER_NM = KELVIN_PER_NM["light_disc"]

POLICY = load_policy("light")
CAR = Vehicle(axles=(Axle(role="steer"), Axle()), weight_class="light")


def corner(name: str, rise_k: float, verdict: str = "even", **about) -> CornerFinding:
    """A brake in air of 18 °C that cooled a little between its first reading and the common time."""
    return CornerFinding(
        corner=name,
        axle=int(name[:-1]),
        side=name[-1],
        readings=3,
        readings_used=3,
        verdict=verdict,
        **{
            "spot": "brake",
            "rise_k": Estimate(rise_k),
            "at_common_degc": Estimate(18.0 + rise_k),
            "start_degc": 25.0 + rise_k,
        }
        | about,
    )


def estimate(
    corners: Sequence[CornerFinding], vehicle: Vehicle = CAR, drive: str | None = "normal"
) -> tuple[Severity, ...]:
    return severities(corners, (), SeverityCase(vehicle=vehicle, drive=drive, policy=POLICY))


def four(hot_k: float = 150.0, **about) -> list[CornerFinding]:
    return [
        corner("1L", hot_k, "hot", **about),
        corner("1R", 90.0, spot=about.get("spot", "brake")),
        corner("2L", 55.0),
        corner("2R", 55.0),
    ]
