"""The units of a depot -> settings for each of them; every file that they name is read once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from thermlog.advice.depotcauses import load_own_policy
from thermlog.correcting.gun import load_gun
from thermlog.reading.depotfile import load_depot
from thermlog.reading.vehiclefile import load_vehicle
from thermlog.words.errors import DepotError, ThermlogError

if TYPE_CHECKING:
    from collections.abc import Collection

    from thermlog.judging.settings import Settings
    from thermlog.reading.depotfile import DepotUnit


def with_depot(settings: Settings, path: str, *, fixed: Collection[str]) -> Settings:
    """The same settings with a depot, and with what holds for each of its units.

    Parameters
    ----------
    settings : Settings
    path : str
        Depot file.
    fixed : collection of {"policy", "gun", "vehicle"}
        What the caller named for all logs: no unit has its own.

    Raises
    ------
    DepotError
        The depot file, or a file that it names, cannot be read; the message names the unit.
    """
    depot = load_depot(path)
    made: dict[tuple[object, ...], int] = {}
    variants: list[Settings] = []
    units: dict[str, int] = {}
    for unit in (depot.stranger, *depot.units):
        key = (unit.vehicle, unit.weight_class, unit.policy, unit.gun, unit.positions)
        if key not in made:
            try:
                variants.append(_settings_for(settings, unit, fixed))
            except ThermlogError as refusal:
                of = f'unit "{unit.id}"' if unit.id else "what holds for all units"
                msg = f"{path}, {of}: {refusal}"
                raise DepotError(msg) from refusal
            made[key] = len(variants) - 1
        units[unit.id] = made[key]
    return replace(settings, depot=depot, units=units, variants=tuple(variants))


def _settings_for(settings: Settings, unit: DepotUnit, fixed: Collection[str]) -> Settings:
    reading, policy = settings.reading, settings.policy
    if unit.positions:
        reading = replace(reading, positions=unit.positions)
    if unit.policy is not None and "policy" not in fixed:
        policy = load_own_policy(unit.policy)
        reading = replace(reading, limits=policy.limits)
    return replace(
        settings,
        reading=reading,
        policy=policy,
        gun=load_gun(unit.gun) if unit.gun is not None and "gun" not in fixed else settings.gun,
        vehicle=load_vehicle(unit.vehicle)
        if unit.vehicle is not None and "vehicle" not in fixed
        else settings.vehicle,
        weight_class=unit.weight_class,
    )
