"""Lines above which a vehicle stops and people keep clear, and what was seen that says the same."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal, cast

from msgspec import Struct

from thermlog.words.findings import Urgent, UrgentCode
from thermlog.words.policy import Policy
from thermlog.words.seenwords import OF_SUPPLY
from thermlog.words.tables import Seen
from thermlog.words.vehicle import FLUID_BRAKES, HUB_SPOT, TRAILER_BRAKES, TRAILING, TYRE_SPOTS, Spot, Vehicle

# The most dangerous first: what burns or bursts, what loses a wheel, what loses its brake. Judgement.
BY_DANGER: tuple[UrgentCode, ...] = (
    "flame", "smoke", "glow", "burst", "melted", "sparks", "tyre_hot", "rim_hot", "brake_hot", "over_range",
    "hub_hot", "grease", "loose", "locked", "leak", "pedal", "air_loss", "brake_lamp", "grind",
    "hub_over_brake", "hub_over_mate", "caliper_hot", "steam", "smell",
)  # fmt: skip
SEEN_CODES: tuple[UrgentCode, ...] = (
    "flame", "smoke", "glow", "burst", "melted", "sparks", "grease", "loose", "locked", "leak", "steam",
    "smell", "pedal", "air_loss", "brake_lamp", "grind",
)  # fmt: skip
# What stops the vehicle until somebody has looked, and needs no distance and no waiting.
LOST: frozenset[UrgentCode] = OF_SUPPLY - {"leak"}
LOOKED_INTO: frozenset[UrgentCode] = LOST | {"grind", "loose"}
HUB_CODES: tuple[UrgentCode, ...] = ("hub_hot", "hub_over_brake", "hub_over_mate")
_LIKELIER_THAN_NOT = 0.5
_CALIPER: Spot = "caliper"
_RIM: Spot = "rim"


def needs_distance(urgent: Iterable[Urgent]) -> bool:
    """True if something of it is heat, or may burn, burst or give way: nobody near before it has cooled."""
    return any(one.code not in LOOKED_INTO for one in urgent)


class HottestReading(Struct, frozen=True, kw_only=True):
    """Hottest reading of one spot.

    Attributes
    ----------
    corner : str or None
        None where the log keeps the hottest of both sides together.
    spot : Spot
    value_degc : float
        Indicated [°C].
    bright : bool
        True if a bright skin is stated there and the value is not corrected for it: the metal is then far
        hotter than the gun shows.
    """

    corner: str | None = None
    spot: Spot
    value_degc: float
    bright: bool = False


class HubDifference(Struct, frozen=True, kw_only=True):
    """A hub above its mate on the other side, or above the brake beside it.

    Attributes
    ----------
    corner : str
        Where the hotter hub is.
    over : {"mate", "brake"}
    difference_k : float
        Hub minus the other [K].
    p : float or None
        Probability that the true difference passes the policy's mark; None where the caller has judged
        already and hands in only hubs that pass.
    """

    corner: str
    over: Literal["mate", "brake"]
    difference_k: float
    p: float | None = None


class HotSpots(Struct, frozen=True, kw_only=True):
    """What was read of one case that can be urgent.

    Attributes
    ----------
    readings : tuple of HottestReading
    hubs : tuple of HubDifference
    hydraulic : bool
        True if calipers are pushed by brake fluid, which boils.
    ambient_degc : float or None
        Stated air temperature [°C]: hubs have a line above the air, too.
    over_range : tuple of (str or None)
        Corners at which the gun was above its range; None for one nobody names.
    """

    readings: tuple[HottestReading, ...] = ()
    hubs: tuple[HubDifference, ...] = ()
    hydraulic: bool = False
    ambient_degc: float | None = None
    over_range: tuple[str | None, ...] = ()


def has_fluid(vehicle: Vehicle) -> bool:
    """True if fluid pushes a brake: as stated, else on light vehicles that are no trailers."""
    fitted = {axle.fitted for axle in vehicle.axles if axle.fitted is not None}
    if fitted:
        return not FLUID_BRAKES.isdisjoint(fitted)
    return vehicle.weight_class == "light" and not light_trailer(vehicle)


def light_trailer(vehicle: Vehicle) -> bool:
    """True for a light trailer, braked by its coupling or by current.

    All axles are described as a trailer's, by their role or their brakes, or only one is described at all; a
    log that reads one axle of a car without describing it is no trailer.
    """
    fitted = [axle.fitted for axle in vehicle.axles]
    if any(one is not None and one not in TRAILER_BRAKES for one in fitted):
        return False
    trailing = all(axle.role in TRAILING or axle.fitted is not None for axle in vehicle.axles)
    single = vehicle.stated and len(vehicle.axles) == 1
    return vehicle.weight_class == "light" and (trailing or single)


def urgent_lines(spots: HotSpots, seen: Sequence[Seen], policy: Policy) -> tuple[Urgent, ...]:
    """Everything for which the vehicle stops, the most dangerous first.

    Parameters
    ----------
    spots : HotSpots
    seen : sequence of Seen
        Smoke, glow, flame, sparks or the like, whatever was read.
    policy : Policy
        ``urgent_..._degc``, ``urgent_hub_rise_k``, ``hub_over_mate_k`` and ``hub_own_heat_k``.

    Returns
    -------
    tuple of Urgent
        One a code and corner, with its hottest reading.
    """
    passed = list(_passed(spots, policy))
    found = [*_seen(seen), *passed, *_over_range(spots, passed), *_hubs(spots, policy)]
    found.sort(key=lambda one: (BY_DANGER.index(one.code), -_excess_k(one), one.corner or ""))
    kept: dict[tuple[UrgentCode, str | None], Urgent] = {}
    for one in found:
        kept.setdefault((one.code, one.corner), one)
    return tuple(kept.values())


def _excess_k(one: Urgent) -> float:
    return 0.0 if one.value_degc is None or one.limit_degc is None else one.value_degc - one.limit_degc


def _seen(seen: Sequence[Seen]) -> Iterable[Urgent]:
    """What of it stops the vehicle; a pull and the ABS lamp keep questions open instead."""
    for one in seen:
        code = cast("UrgentCode", one.code)
        if code in SEEN_CODES:
            yield Urgent(code=code, corner=one.corner)


def _over_range(spots: HotSpots, passed: Sequence[Urgent]) -> Iterable[Urgent]:
    """Corners that may be the hottest of all, unless a figure has raised their line already."""
    raised = {one.corner for one in passed}
    return (Urgent(code="over_range", corner=one) for one in spots.over_range if one not in raised)


def _passed(spots: HotSpots, policy: Policy) -> Iterable[Urgent]:
    """Readings at or above the line of their part."""
    for read in spots.readings:
        for code, limit_degc in _limits(read, spots, policy):
            if read.value_degc >= limit_degc:
                yield Urgent(
                    code=code,
                    corner=read.corner,
                    spot=read.spot,
                    value_degc=read.value_degc,
                    limit_degc=limit_degc,
                )


def _limits(read: HottestReading, spots: HotSpots, policy: Policy) -> list[tuple[UrgentCode, float]]:
    if read.spot in TYRE_SPOTS:
        return [("tyre_hot", policy.urgent_tyre_degc)]
    if read.spot == _RIM:
        return [("rim_hot", policy.urgent_rim_degc)]
    if read.spot == HUB_SPOT:
        return [("hub_hot", _hub_limit_degc(spots.ambient_degc, policy))]
    if read.spot == _CALIPER and spots.hydraulic:
        return [("caliper_hot", policy.urgent_caliper_degc), ("brake_hot", policy.urgent_brake_degc)]
    return [("brake_hot", policy.urgent_bright_degc if read.bright else policy.urgent_brake_degc)]


def _hub_limit_degc(ambient_degc: float | None, policy: Policy) -> float:
    if ambient_degc is None:
        return policy.urgent_hub_degc
    return min(policy.urgent_hub_degc, ambient_degc + policy.urgent_hub_rise_k)


def _hubs(spots: HotSpots, policy: Policy) -> Iterable[Urgent]:
    hottest = {read.corner: read.value_degc for read in spots.readings if read.spot == HUB_SPOT}
    marks = {"mate": policy.hub_over_mate_k, "brake": policy.hub_own_heat_k}
    for hub in spots.hubs:
        sure = hub.p is None or hub.p >= _LIKELIER_THAN_NOT
        if sure and hub.difference_k >= marks[hub.over]:
            code: UrgentCode = "hub_over_mate" if hub.over == "mate" else "hub_over_brake"
            yield Urgent(code=code, corner=hub.corner, spot=HUB_SPOT, value_degc=hottest.get(hub.corner))
