"""Drives before and after work for the tests of comparing; walks without noise, all numbers invented."""

from __future__ import annotations

from judgecases import EXACT, LIGHT, Corners, Walk, told, walked
from msgspec.structs import replace

from thermlog.followup.proof import ComparedAxle, Comparison, compare_logs
from thermlog.words.findings import Diagnosis
from thermlog.words.policy import load_policy
from thermlog.words.vehicle import default_vehicle

POLICY = load_policy("light")
# Somebody described the vehicle, four rounds were walked, rises when parked [K].
NORMAL = replace(EXACT, rounds=4, description=replace(default_vehicle(2), stated=True))
COAST = replace(NORMAL, drive="coast")
HEALTHY = {"1L": 105.0, "1R": 104.0, "2L": 63.0, "2R": 64.0}
HOT_REAR = HEALTHY | {"2R": 140.0}
DEAD_REAR = HEALTHY | {"2R": 3.0}
ROLLED = {"1L": 9.0, "1R": 9.5, "2L": 8.0, "2R": 8.5}
HUBS = {"1L hub": 20.0, "1R hub": 20.0, "2L hub": 22.0, "2R hub": 21.0}


def drive(rises_k: Corners, walk: Walk = NORMAL) -> Diagnosis:
    """Findings of one drive."""
    return told(walked(rises_k, walk), LIGHT, curves=True)


def compared(*drives: Diagnosis) -> Comparison:
    """Drives beside each other, by the light policy."""
    return compare_logs(drives, POLICY)


def axle(comparison: Comparison, number: int) -> ComparedAxle:
    """One axle of a comparison."""
    return next(one for one in comparison.axles if one.axle == number)


def codes(comparison: Comparison, number: int) -> list[str]:
    """Codes of the reasons at one axle."""
    return [reason.code for reason in axle(comparison, number).reasons]
