"""From the rise of a hot brake to the drag and heat behind it: an order of magnitude, said to be one."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal, TypeAlias

import numpy as np
from msgspec import Struct

from thermlog.physics.cooling import drag_power_w
from thermlog.words.bundled import bundled
from thermlog.words.estimates import Estimate
from thermlog.words.findings import AxleFinding, CornerFinding, Severity
from thermlog.words.policy import Policy
from thermlog.words.tables import Drive
from thermlog.words.vehicle import BRAKE_SPOTS, UNSAID_SPOT, Spot, Vehicle, mate_of

BrakeClass: TypeAlias = Literal["light_disc", "light_drum", "heavy_disc", "heavy_drum"]
BRAKE_CLASSES: tuple[BrakeClass, ...] = ("light_disc", "light_drum", "heavy_disc", "heavy_drum")
_FILE = Path(__file__).with_name("severity.toml")
# What the gun sees of the heat fades in this order; behind "drum" less than all of it is shown.
_BEST_SEEN: tuple[Spot, ...] = ("brake", "hat", "drum", "rotor_outer", "rotor_inner", "caliper")
_HALF_SHOWN: tuple[Spot, ...] = ("rotor_outer", "rotor_inner", "caliper")
# An estimate is told in steps that do not pretend to more.
_STEPS = (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)


class BrakeFigures(Struct, frozen=True, kw_only=True):
    """How one class of brakes warms under drag; meanings and sources stand in ``severity.toml``."""

    tyre_radius_m: float
    rise_low_cooling_k_per_nm: float
    rise_high_cooling_k_per_nm: float
    reached_normal: float
    reached_coast: float

    def steady_k_per_nm(self, tyre_radius_m: float) -> float:
        """Middle of the steady rise per N·m on a tyre of that radius: a larger wheel turns slower."""
        middle = math.sqrt(self.rise_low_cooling_k_per_nm * self.rise_high_cooling_k_per_nm)
        return middle * self.tyre_radius_m / tyre_radius_m


class SeverityFigures(Struct, frozen=True, kw_only=True):
    """Everything in ``severity.toml``."""

    interval_factor: float
    interval_factor_by_share: float
    selection_factor: float
    selection_light_nm: float
    selection_heavy_nm: float
    speed_normal_kmh: float
    speed_coast_kmh: float
    brakes: dict[BrakeClass, BrakeFigures]


class _Excess(Struct, frozen=True, kw_only=True):
    """Rise that the drag made.

    Attributes
    ----------
    rise_k : float
        Above 0 [K].
    spread : float
        Half of its 95 % interval over itself.
    above : {"mate", "share", "air"}
        What it is counted from.
    """

    rise_k: float
    spread: float
    above: Literal["mate", "share", "air"]


class SeverityCase(Struct, frozen=True, kw_only=True):
    """What the estimate needs to know beside the corners: vehicle, drive and policy."""

    vehicle: Vehicle
    drive: Drive | None
    policy: Policy


@lru_cache(maxsize=1)
def severity_figures() -> SeverityFigures:
    """The numbers of ``severity.toml``."""
    table = bundled(_FILE)
    brakes = {name: BrakeFigures(**_values(table[name])) for name in BRAKE_CLASSES}
    general = {name: entry for name, entry in table.items() if isinstance(entry, dict) and "value" in entry}
    return SeverityFigures(brakes=brakes, **_values(general))


def _values(entries: dict[str, Any]) -> dict[str, float]:
    return {name: float(entry["value"]) for name, entry in entries.items()}


def severities(
    corners: Sequence[CornerFinding], axles: Sequence[AxleFinding], case: SeverityCase
) -> tuple[Severity, ...]:
    """Residual torque and heat of every brake that was called hot.

    Parameters
    ----------
    corners, axles
        Findings of one case.
    case : SeverityCase

    Returns
    -------
    tuple of Severity
        One a hot corner, in the order of the corners. None for a hub, for a cold brake, and where neither a
        healthy mate nor a healthy other axle shows what the braking alone would have left.
    """
    gaps = {axle.axle: axle for axle in axles}
    found = []
    for corner in _hot_brakes(corners):
        excess = _excess(corner, corners, gaps.get(corner.axle), case)
        if excess is not None:
            found.append(_estimate(corner, excess, gaps.get(corner.axle), case))
    return tuple(found)


def brake_class(vehicle: Vehicle, axle: int, spot: str) -> BrakeClass:
    """Class of a brake as the spot read, else the vehicle tells it; else light discs and heavy drums."""
    drum = spot == "drum" if spot != UNSAID_SPOT else vehicle.has_drum(axle)
    if vehicle.weight_class == "heavy":
        return "heavy_drum" if drum else "heavy_disc"
    return "light_drum" if drum else "light_disc"


def drag_torque_nm(
    rise_k: float, kind: BrakeClass, *, tyre_radius_m: float, drive: Drive | None = None
) -> float:
    """Drag that leaves a rise.

    Parameters
    ----------
    rise_k : float
        Above what the brake would show without drag [K].
    kind : BrakeClass
    tyre_radius_m : float
        Rolling radius [m].
    drive : Drive, optional
        Which drive left it; "verification" and None count as normal.

    Returns
    -------
    float
        Torque [N·m], middle of what the class's cooling allows.

    Examples
    --------
    >>> round(drag_torque_nm(80.0, "light_disc", tyre_radius_m=0.31), 2)
    25.98
    """
    return rise_k / _k_per_nm(kind, tyre_radius_m, coast=drive == "coast")


@lru_cache(maxsize=256)  # a fleet has few kinds of wheels, and asks for every one
def _k_per_nm(kind: BrakeClass, tyre_radius_m: float, *, coast: bool) -> float:
    """Rise that a drive leaves per N·m of drag."""
    figures = severity_figures().brakes[kind]
    reached = figures.reached_coast if coast else figures.reached_normal
    return reached * figures.steady_k_per_nm(tyre_radius_m)


def _hot_brakes(corners: Sequence[CornerFinding]) -> list[CornerFinding]:
    """Hot brakes, each at the spot that shows most of its heat."""
    best: dict[str, CornerFinding] = {}
    for corner in corners:
        if corner.verdict != "hot" or corner.spot not in BRAKE_SPOTS or corner.at_common_degc is None:
            continue
        known = best.get(corner.corner)
        if known is None or _BEST_SEEN.index(corner.spot) < _BEST_SEEN.index(known.spot):
            best[corner.corner] = corner
    return list(best.values())


def _excess(
    corner: CornerFinding, corners: Sequence[CornerFinding], axle: AxleFinding | None, case: SeverityCase
) -> _Excess | None:
    if case.drive == "coast":
        if corner.rise_k is None or corner.rise_k.value <= 0.0:
            return None
        rise_k = corner.rise_k.value
        return _Excess(rise_k=rise_k, spread=_half(corner.at_common_degc) / rise_k, above="air")
    mate = _at_same_spot(mate_of(corner.corner), corner.spot, corners)
    if mate is not None and mate.verdict == "even" and mate.at_common_degc and corner.at_common_degc:
        rise_k = corner.at_common_degc.value - mate.at_common_degc.value
        half_k = _half(axle.difference_k if axle is not None else None)
        return _Excess(rise_k=rise_k, spread=half_k / rise_k, above="mate") if rise_k > 0.0 else None
    share_k = _healthy_share_k(corner, corners, case)
    if share_k is None or corner.rise_k is None:
        return None
    rise_k = corner.rise_k.value - share_k
    if rise_k < case.policy.watch_difference_k:
        return None
    return _Excess(rise_k=rise_k, spread=_half(corner.at_common_degc) / rise_k, above="share")


def _at_same_spot(name: str, spot: str, corners: Sequence[CornerFinding]) -> CornerFinding | None:
    return next((one for one in corners if one.corner == name and one.spot == spot), None)


def _half(estimate: Estimate | None) -> float:
    return (estimate.half_width if estimate is not None else None) or 0.0


def _healthy_share_k(
    corner: CornerFinding, corners: Sequence[CornerFinding], case: SeverityCase
) -> float | None:
    """Rise this brake would have by the healthy other axles and the usual front share; None if unknown."""
    expected = [
        other.rise_k.value * _usual_share(corner.axle, case) / _usual_share(other.axle, case)
        for other in corners
        if other.axle != corner.axle
        and other.verdict == "even"
        and other.spot in BRAKE_SPOTS
        and other.rise_k is not None
    ]
    return float(np.median(expected)) if expected else None


def _usual_share(axle: int, case: SeverityCase) -> float:
    return case.policy.front_share if case.vehicle.axle(axle).role == "steer" else 1.0


def _estimate(
    corner: CornerFinding, excess: _Excess, axle: AxleFinding | None, case: SeverityCase
) -> Severity:
    figures = severity_figures()
    kind = brake_class(case.vehicle, corner.axle, corner.spot)
    radius_m = case.vehicle.tyre_radius_m
    middle_nm = drag_torque_nm(excess.rise_k, kind, tyre_radius_m=radius_m, drive=case.drive)
    speed_kmh = figures.speed_coast_kmh if case.drive == "coast" else figures.speed_normal_kmh
    factor = figures.interval_factor_by_share if excess.above == "share" else figures.interval_factor
    factor = math.exp(math.hypot(math.log(factor), excess.spread))
    middle_w = drag_power_w(torque_nm=middle_nm, speed_m_s=speed_kmh / 3.6, tyre_radius_m=radius_m)
    torque_nm, heat_w = (Estimate(one, one / factor, one * factor) for one in (middle_nm, middle_w))
    reason = _lower_bound_reason(corner, axle)
    bound, because = ("", "") if reason is None else ("at least ", f"; {reason}")
    because += _selection_words(middle_nm, kind)
    return Severity(
        corner=corner.corner,
        torque_nm=torque_nm,
        heat_w=heat_w,
        lower_bound=reason is not None,
        words=f"drag {bound}of the order of {_order(torque_nm, 'N·m')}, "
        f"heat about {_order(heat_w, 'W')}; an estimate for a "
        f"{kind.replace('_', ' ')} brake at {speed_kmh:.0f} km/h{because}",
    )


def _selection_words(torque_nm: float, kind: BrakeClass) -> str:
    """What being called does to a small estimate: small drags are called only where they read high."""
    figures = severity_figures()
    small_nm = figures.selection_light_nm if kind.startswith("light") else figures.selection_heavy_nm
    if torque_nm > 2.0 * small_nm:
        return ""
    return (
        f"; small drags are called only where they read high: one of {small_nm:.0f} N·m is told as about "
        f"{figures.selection_factor:.1f} times that"
    )


def _lower_bound_reason(corner: CornerFinding, axle: AxleFinding | None) -> str | None:
    """Why the brake is hotter than what was read, if it is."""
    if corner.at_common_degc is not None and corner.at_common_degc.value > (corner.start_degc or math.inf):
        return "heat was still building when it was read"
    if corner.spot in _HALF_SHOWN and not (axle is not None and axle.surface_known):
        return f"the {corner.spot.replace('_', ' ')} shows the gun only part of the heat"
    return None


def _order(estimate: Estimate, unit: str) -> str:
    low, high = map(_coarse, estimate.ends)
    return f"{_coarse(estimate.value)} {unit} ({low} to {high})"


def _coarse(value: float) -> str:
    """A number in steps of about a third, the nearest by ratio.

    Examples
    --------
    >>> _coarse(22.0), _coarse(0.74), _coarse(1790.0), _coarse(95.0)
    ('20', '0.8', '2000', '100')
    """
    decade = 10.0 ** math.floor(math.log10(value))
    nearest = min(_STEPS, key=lambda step: abs(math.log(value / (step * decade))))
    return f"{float(f'{nearest * decade:.2g}'):g}"
