"""A vehicle described in a file of its own, for logs that say little or nothing of it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, TypeVar, get_args

from msgspec import Struct
from msgspec.structs import replace

from thermlog.words.errors import VehicleError
from thermlog.words.tomlfile import read_toml
from thermlog.words.vehicle import ROLES, BrakeKind, Split, Vehicle, WeightClass, default_vehicle

SCHEMA = "thermlog-vehicle-1"
# From the wheel of a light trailer to that of an earth mover: common practice, no source.
_SMALLEST_RADIUS_M, _LARGEST_RADIUS_M = 0.1, 1.5
_T = TypeVar("_T")


class _Place(Struct, frozen=True, kw_only=True):
    """Where in which file a value stands."""

    file: str
    part: str = ""

    def refusal(self, key: str, value: object, cure: str) -> VehicleError:
        """Refusal of a value by file, key, value and cure."""
        within = f"{self.part}, " if self.part else ""
        shown = f'"{value}"' if isinstance(value, str) else str(value).lower()
        return VehicleError(f"{self.file}: {within}{key}, found {shown}: {cure}")


_Reader = Callable[[str, object, _Place], Any]


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
    place = _Place(file=path)
    if table.pop("schema", SCHEMA) != SCHEMA:
        msg = f'{path}: schema is not "{SCHEMA}"; this version reads no other'
        raise VehicleError(msg)
    stated = _read(table, _VEHICLE_KEYS, place)
    axles = stated.pop("axles", None)
    if axles is None:
        msg = f"{path}: no axle is described; write one [[axles]] for every axle, from the front"
        raise VehicleError(msg)
    usual = default_vehicle(len(axles), weight_class=stated.get("weight_class"))
    filled = tuple(replace(axle, **about) for axle, about in zip(usual.axles, axles, strict=True))
    return replace(usual, axles=filled, stated=True, **stated)


def _read(table: dict[str, Any], readers: dict[str, _Reader], place: _Place) -> dict[str, Any]:
    """Every value of a table through the reader of its key."""
    for key, value in table.items():
        if key not in readers:
            raise place.refusal(key, value, f"no such key; {_nearest(key, readers)}")
    return {key: readers[key](key, value, place) for key, value in table.items()}


def _nearest(key: str, known: Iterable[str]) -> str:
    from difflib import get_close_matches

    names = list(known)
    near = get_close_matches(key, names, n=1)
    return f'did you mean "{near[0]}"?' if near else f"write one of {', '.join(names)}"


def _word_of(words: tuple[_T, ...]) -> _Reader:
    """Reader of a word out of a list."""
    listed = ", ".join(f'"{word}"' for word in words)

    def read(key: str, value: object, place: _Place) -> _T:
        for word in words:
            if value == word:
                return word
        raise place.refusal(key, value, f"write one of {listed}")

    return read


def _truth(key: str, value: object, place: _Place) -> bool:
    if not isinstance(value, bool):
        raise place.refusal(key, value, "write true or false, without quotes")
    return value


def _radius_m(key: str, value: object, place: _Place) -> float:
    known = isinstance(value, int | float) and not isinstance(value, bool)
    if not known or not _SMALLEST_RADIUS_M <= float(str(value)) <= _LARGEST_RADIUS_M:
        raise place.refusal(key, value, "write the rolling radius in metres, like 0.31")
    return float(str(value))


def _axles(key: str, value: object, place: _Place) -> list[dict[str, Any]]:
    if not isinstance(value, list) or not value or not all(isinstance(axle, dict) for axle in value):
        raise place.refusal(key, value, "write one [[axles]] for every axle, from the front")
    return [
        _read(axle, _AXLE_KEYS, replace(place, part=f"axle {number}"))
        for number, axle in enumerate(value, start=1)
    ]


_AXLE_KEYS: dict[str, _Reader] = {
    "role": _word_of(ROLES),
    "brake": _word_of(get_args(BrakeKind)),
    "parking_brake": _truth,
    "lifted": _truth,
}
_VEHICLE_KEYS: dict[str, _Reader] = {
    "axles": _axles,
    "weight_class": _word_of(get_args(WeightClass)),
    "split": _word_of(get_args(Split)),
    "regenerative": _truth,
    "tyre_radius_m": _radius_m,
}
