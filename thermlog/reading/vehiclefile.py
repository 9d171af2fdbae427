"""A vehicle described in a file of its own, for logs that say little or nothing of it."""

from __future__ import annotations

from typing import Annotated, Any

from msgspec import Meta, Struct
from msgspec.structs import replace

from thermlog.words.errors import VehicleError
from thermlog.words.tomlfile import read_toml
from thermlog.words.tomlrecord import Misfit, Refusal, cure, record_of
from thermlog.words.vehicle import (
    Axle,
    Split,
    Vehicle,
    WeightClass,
    class_of,
    default_vehicle,
    disc_or_drum,
    slowed_axles,
    with_retarder,
)

VEHICLE_SCHEMA = "thermlog-vehicle-1"
_EVERY_AXLE = "write one [[axles]] for every axle, from the front"
_EVERY = cure(_EVERY_AXLE)
_ONE_OF_BOTH = "correct the one or the other"
_RADIUS = "write the rolling radius in metres, like 0.31"


class _AxleTable(Axle, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Table [[axles]] of a vehicle file."""


class _VehicleFile(Struct, kw_only=True, forbid_unknown_fields=True):
    """A vehicle file; what it leaves out is not taken from here."""

    axles: Annotated[list[Annotated[_AxleTable, _EVERY]], Meta(min_length=1), _EVERY] = []
    weight_class: WeightClass | None = None
    split: Split = "unknown"
    regenerative: bool = False
    retarder: bool | None = None
    # From the wheel of a light trailer to that of an earth mover: common practice, no source.
    tyre_radius_m: Annotated[float, Meta(ge=0.1, le=1.5), cure(_RADIUS)] = 0.31


def load_vehicle(path: str) -> Vehicle:
    """Read the description of a vehicle.

    Parameters
    ----------
    path : str
        TOML file with one table ``[[axles]]`` an axle, from the front; everything else has a default.

    Returns
    -------
    Vehicle
        With ``stated`` True. What the file leaves out follows from the number of axles.

    Raises
    ------
    VehicleError
        File missing or not TOML, key unknown, value without meaning; the message names the cure.
    """
    table = read_toml(path, refusal=VehicleError, cure="name a vehicle file (TOML)")
    if table.pop("schema", VEHICLE_SCHEMA) != VEHICLE_SCHEMA:
        msg = f'{path}: schema is not "{VEHICLE_SCHEMA}"; this version reads no other'
        raise VehicleError(msg)
    stated = record_of(table, _VehicleFile, _refusal(path))
    if not stated.axles:
        msg = f"{path}: no axle is described; {_EVERY_AXLE}"
        raise VehicleError(msg)
    for number, axle in enumerate(stated.axles, start=1):
        _refuse_unlike(axle, number, path)
        if axle.retarder and stated.retarder is False:
            msg = f"{path}: axle {number}, retarder, found true: the vehicle says false; {_ONE_OF_BOTH}"
            raise VehicleError(msg)
    weight_class = stated.weight_class or class_of([axle.fitted for axle in stated.axles])
    usual = default_vehicle(len(stated.axles), weight_class=weight_class)
    axles = tuple(
        replace(axle, **_with_surface(said)) for axle, said in zip(usual.axles, table["axles"], strict=True)
    )
    if stated.retarder and not any(axle.retarder for axle in axles):
        axles = with_retarder(axles, slowed_axles(axles))
    about = {key: getattr(stated, key) for key in table if key not in {"axles", "retarder"}}
    return replace(usual, axles=axles, stated=True, **about)


def _with_surface(said: dict[str, Any]) -> dict[str, Any]:
    """What is said of an axle, with what its brake in full says of disc or drum."""
    return {"brake": disc_or_drum(said["fitted"]), **said} if "fitted" in said else said


def _refuse_unlike(axle: Axle, number: int, path: str) -> None:
    """Refuse a drum that is stated as a disc, or the other way about."""
    if axle.fitted is not None and axle.brake not in {None, disc_or_drum(axle.fitted)}:
        msg = (
            f'{path}: axle {number}, fitted, found "{axle.fitted}": brake says "{axle.brake}"; {_ONE_OF_BOTH}'
        )
        raise VehicleError(msg)


def _refusal(path: str) -> Refusal:
    """Refusals by file, axle, key, value found and cure."""

    def refusal(misfit: Misfit) -> VehicleError:
        within = misfit.steps[1:] if len(misfit.steps) > 1 else misfit.steps  # an axle by its number alone
        place = ", ".join(f"axle {step}" if isinstance(step, int) else step for step in within)
        found = f'"{misfit.found}"' if isinstance(misfit.found, str) else str(misfit.found).lower()
        said = "no such key; " if misfit.unknown else ""
        return VehicleError(f"{path}: {place}, found {found}: {said}{misfit.cure}")

    return refusal
