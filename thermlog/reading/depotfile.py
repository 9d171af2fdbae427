"""The units of a depot in a file of their own: what each is, and how its logs are read and judged."""

from __future__ import annotations

import re
from functools import cached_property
from pathlib import Path
from typing import Annotated, Any, Literal, TypeAlias

from msgspec import Meta, Struct
from msgspec.structs import replace

from thermlog.reading.positions.resolve import PositionRules, resolve_positions
from thermlog.reading.readoptions import COLDEST_AIR_DEGC, HOTTEST_AIR_DEGC
from thermlog.words.errors import DepotError
from thermlog.words.tomlfile import read_toml
from thermlog.words.tomlrecord import KeyPath, Misfit, Refusal, cure, policy_refusal, record_of
from thermlog.words.vehicle import WeightClass

DEPOT_SCHEMA = "thermlog-depot-1"
_WITH_QUOTES = cure("write a text in quotes, not empty")
_Text: TypeAlias = Annotated[str, Meta(pattern=r"\S"), _WITH_QUOTES]
_Air: TypeAlias = Annotated[float, Meta(ge=COLDEST_AIR_DEGC, le=HOTTEST_AIR_DEGC)]
_Named: TypeAlias = Literal["log", "file", "folder"]


class _Said(Struct, kw_only=True, forbid_unknown_fields=True):
    """What may be said of all units, of a class, or of one unit; what is left out is not taken from here."""

    vehicle: _Text | None = None
    weight_class: WeightClass | None = None
    policy: _Text | None = None
    gun: _Text | None = None
    ambient_degc: _Air | None = None
    positions: dict[str, _Text] = {}


class _ClassTable(_Said, kw_only=True, forbid_unknown_fields=True):
    """Table [classes.NAME]."""


class _UnitTable(_Said, kw_only=True, forbid_unknown_fields=True, rename={"of_class": "class"}):
    """Table [[units]]."""

    id: _Text
    also: list[_Text] = []
    of_class: _Text | None = None


class _DepotFile(_Said, kw_only=True, forbid_unknown_fields=True):
    """A depot file."""

    schema: Annotated[Literal["thermlog-depot-1"], cure(f'write "{DEPOT_SCHEMA}"')] = "thermlog-depot-1"
    name: _Text | None = None
    classes: dict[str, _ClassTable] = {}
    units: Annotated[list[_UnitTable], Meta(min_length=1), cure("write one [[units]] for every unit")]


class DepotUnit(Struct, frozen=True, kw_only=True):
    """One unit of a depot, with what its class and the depot say where it says nothing itself.

    Attributes
    ----------
    id : str
        Its name in every list.
    also : tuple of str
        Other names it has in logs, and in names of files and folders.
    of_class : str or None
        Class of units it belongs to, as the depot names it.
    vehicle, policy, gun : str or None
        Files, or the name of a bundled policy; paths count from the folder of the depot file.
    weight_class : {"light", "heavy"} or None
        Where no vehicle file says so.
    ambient_degc : float or None
        Air temperature where the log states none [°C].
    positions : tuple of (str, str)
        Its own words for wheels, and words thermlog knows.
    """

    id: str
    also: tuple[str, ...] = ()
    of_class: str | None = None
    vehicle: str | None = None
    weight_class: WeightClass | None = None
    policy: str | None = None
    gun: str | None = None
    ambient_degc: float | None = None
    positions: tuple[tuple[str, str], ...] = ()


class Depot(Struct, frozen=True, kw_only=True, dict=True):
    """The units of a depot.

    Attributes
    ----------
    file : str
        Path of the depot file, as given.
    name : str or None
        Of the depot.
    units : tuple of DepotUnit
        As they stand in the file.
    stranger : DepotUnit
        What holds for a log that names no unit; its id is empty.
    """

    file: str
    name: str | None
    units: tuple[DepotUnit, ...]
    stranger: DepotUnit

    def named(self, name: str | None) -> DepotUnit | None:
        """The unit of that name, however it is spaced and capitalised; None if there is none.

        Parameters
        ----------
        name : str or None
            As a log or a user writes it.
        """
        return None if name is None else self._by_key.get(name_key(name))

    def in_path(self, path: str) -> tuple[DepotUnit, _Named] | None:
        """The unit whose name stands whole in a file's name, else in that of a folder above it.

        Parameters
        ----------
        path : str
            Nothing is found where several units stand in one name.
        """
        *folders, file = Path(path).parts or ("",)
        for part, where in ((file.split(".")[0], "file"), *((one, "folder") for one in reversed(folders))):
            found = {unit.id: unit for unit in self._standing_in(part)}
            if found:
                unit = next(iter(found.values()))
                return (unit, "file" if where == "file" else "folder") if len(found) == 1 else None
        return None

    def _standing_in(self, part: str) -> list[DepotUnit]:
        words = name_key(part).split()
        runs = (
            " ".join(words[start:end])
            for start in range(len(words))
            for end in range(start + 1, min(len(words), start + self._most_words) + 1)
        )
        # a bare number may as well be a date or a count, unless it is the whole name
        found = [run for run in runs if run in self._by_key and (not run.isdigit() or len(words) == 1)]
        # "truck 10 b" holds "truck 10": the longest name counts
        return [self._by_key[run] for run in found if not any(run != one and run in one for one in found)]

    @cached_property
    def _by_key(self) -> dict[str, DepotUnit]:
        return {name_key(name): unit for unit in self.units for name in (unit.id, *unit.also)}

    @cached_property
    def _most_words(self) -> int:
        return max(len(key.split()) for key in self._by_key)


def load_depot(path: str) -> Depot:
    """Read the units of a depot.

    Parameters
    ----------
    path : str
        TOML file with one table ``[[units]]`` a unit; see ``docs/depot.md``.

    Returns
    -------
    Depot

    Raises
    ------
    DepotError
        File missing or no TOML, key unknown, value without meaning, a class that is not there, a name that
        two units have; the message names the cure. Files that it names are not looked at here.
    """
    table = read_toml(path, refusal=DepotError, cure="name a depot file (TOML)")
    refusal = _refusal(path)
    stated = record_of(table, _DepotFile, refusal)
    folder = Path(path).parent
    general = _said(stated, folder)
    classes = {name: general | _said(one, folder) for name, one in stated.classes.items()}
    units = []
    for number, one in enumerate(stated.units, start=1):
        if one.of_class is not None and one.of_class not in classes:
            listed = f"write one of {', '.join(classes)}" if classes else "add it"
            said = f"there is no [classes.{one.of_class}]; {listed}"
            raise refusal(Misfit(steps=("units", number, "class"), found=one.of_class, cure=said))
        known = general if one.of_class is None else classes[one.of_class]
        units.append(
            DepotUnit(id=one.id, also=tuple(one.also), of_class=one.of_class, **(known | _said(one, folder)))
        )
    _refuse_shared_names(path, units)
    _refuse_unknown_wheels(stated, refusal)
    return Depot(file=path, name=stated.name, units=tuple(units), stranger=DepotUnit(id="", **general))


def _said(table: _Said, folder: Path) -> dict[str, Any]:
    """What a table says; files count from the folder of the depot file."""
    said: dict[str, Any] = {}
    for key in ("vehicle", "gun", "policy"):
        name = getattr(table, key)
        if name is not None:
            beside = folder / name
            said[key] = str(beside) if key != "policy" or beside.is_file() else name
    for key in ("weight_class", "ambient_degc"):
        if getattr(table, key) is not None:
            said[key] = getattr(table, key)
    if table.positions:
        said["positions"] = tuple(sorted(table.positions.items()))
    return said


def _refuse_unknown_wheels(stated: _DepotFile, refusal: Refusal) -> None:
    """Own words must be explained by words that name a wheel."""
    tables: list[tuple[KeyPath, _Said]] = [((), stated)]
    tables += [(("classes", name), one) for name, one in stated.classes.items()]
    tables += [(("units", number), one) for number, one in enumerate(stated.units, start=1)]
    for steps, table in tables:
        for own, known in table.positions.items():
            if known not in resolve_positions([known], PositionRules()).known:
                said = 'write a wheel by axle and side, like "1L" or "front left"'
                raise refusal(Misfit(steps=(*steps, "positions", own), found=known, cure=said))


def _refuse_shared_names(path: str, units: list[DepotUnit]) -> None:
    first: dict[str, DepotUnit] = {}
    for unit in units:
        for name in (unit.id, *unit.also):
            other = first.setdefault(name_key(name), unit)
            if not name_key(name):
                msg = f'{path}, unit "{unit.id}": the name "{name}" has neither letter nor digit; write one'
                raise DepotError(msg)
            if other is not unit:
                msg = (
                    f'{path}: units "{other.id}" and "{unit.id}" are both called "{name}" (spaces, dashes '
                    "and capitals do not count); rename one"
                )
                raise DepotError(msg)


def _refusal(path: str) -> Refusal:
    """Refusals by file, unit or class, key, value found and cure."""
    plain = policy_refusal(path)

    def refusal(misfit: Misfit) -> DepotError:
        steps = tuple(f"unit {one}" if isinstance(one, int) else one for one in misfit.steps)
        return DepotError(str(plain(replace(misfit, steps=steps))))

    return refusal


def name_key(name: str) -> str:
    """What all spellings of a name share: letters and digits, its parts apart by one space.

    Examples
    --------
    >>> name_key(" Truck-104 "), name_key("truck_104"), name_key("T104b")
    ('truck 104', 'truck 104', 't 104 b')
    """
    return " ".join(re.findall(r"[^\W\d_]+|\d+", name.casefold()))
