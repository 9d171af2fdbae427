"""What stops warm: rise of the warmest brake after so many, class by class: python bench/stop_heat.py.

Simulated sound vehicles on a drive of one stop or slow-down a minute from 60 km/h, surfaces mixed; as a gun
set to 0.95 sees it two minutes after parking. The figures `stop_rise_*` of thermlog/advice/doing.toml are the
tenth of these vehicles that warms least, per stop, over the first eight stops, in the class that warms least
and brakes with its brakes alone.
"""

from __future__ import annotations

import numpy as np

from thermlog.simulation.builds import HEALTHY
from thermlog.simulation.roadtest import DrivePhase, DrivePlan
from thermlog.simulation.simulate import MeasurePlan, simulate_fleet
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES
from thermlog.simulation.walkround import MIXED_SKINS

STOPS = (3, 5, 8, 10, 15, 20)
VEHICLES, SEED, LOOK_S = 200, 3, 120.0


def rises_k(name: str, stops: int) -> tuple[float, float]:
    """Least tenth and median of the warmest brake's rise [K]."""
    phase = DrivePhase(duration_s=60.0 * stops, speed_kmh=60.0, stops=(stops, stops))
    fleet = simulate_fleet(
        VEHICLE_CLASSES[name],
        [HEALTHY] * VEHICLES,
        drive=DrivePlan(drive="normal", phases=(phase,)),
        plan=MeasurePlan(skins=MIXED_SKINS),
        seed=SEED,
    )
    warmest = (fleet.indicated_degc(LOOK_S) - fleet.ambient_degc[:, None]).max(axis=1)
    return float(np.quantile(warmest, 0.1)), float(np.median(warmest))


if __name__ == "__main__":
    print("class             ", *(f"{stops:>3d} stops " for stops in STOPS), " a stop, first 8")
    for name in VEHICLE_CLASSES:
        told = [rises_k(name, stops) for stops in STOPS]
        each = min(low / stops for (low, _), stops in zip(told, STOPS, strict=True) if stops <= 8)
        print(f"{name:18s}", *(f"{low:4.0f}/{middle:4.0f} " for low, middle in told), f"{each:6.1f} K")
