"""The one place that reads files, the environment and the working folder: what a user names -> `Settings`."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Literal, TypeAlias

from msgspec.structs import replace

from thermlog.correcting.gun import load_gun, usual_gun
from thermlog.correcting.surfaces import load_surfaces, surface_choice, usual_surfaces
from thermlog.judging.settings import Settings
from thermlog.reading.cornerwords import place_word
from thermlog.reading.readoptions import ReadOptions
from thermlog.reading.vehiclefile import load_vehicle
from thermlog.words.errors import PolicyError
from thermlog.words.policy import BUNDLED, load_policy
from thermlog.words.tomlfile import read_toml

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.physics.cooling import Law

Chooser: TypeAlias = Literal["caller", "environment", "config"]

POLICY_VARIABLE = "THERMLOG_POLICY"


def gather_settings(
    *,
    reading: ReadOptions | None = None,
    policy: str | None = None,
    law: Law = "exponential",
    gun: str | None = None,
    surfaces: str | None = None,
    surface: Sequence[str] = (),
    vehicle: str | None = None,
) -> Settings:
    """Read and check everything that decides how logs are judged.

    Parameters
    ----------
    reading : ReadOptions, optional
    policy : str, optional
        Bundled name or file; else as `named_policy` finds. Its limits are those of the reader.
    law : Law
    gun, surfaces, vehicle : str, optional
        Files (TOML); without them the usual gun, the bundled table, and what the logs say.
    surface : sequence of str
        Stated surfaces, such as ``1L.hat=red_rust``.

    Returns
    -------
    Settings

    Raises
    ------
    PolicyError
        A file of a policy, a gun or surfaces cannot be read, or a surface is unknown.
    VehicleError
        The vehicle file cannot be read.
    """
    catalogue = load_surfaces(surfaces) if surfaces else usual_surfaces()
    named, _ = named_policy(policy)
    used = load_gun(gun) if gun else usual_gun()
    if used.check is not None and "water" not in catalogue.surfaces:
        msg = f'{surfaces}: no surface "water", which the check of {gun} needs; add [surface.water]'
        raise PolicyError(msg)
    stated = tuple(surface_choice(text, catalogue, place_word=place_word) for text in surface)
    # a surface may name a wheel by a word that only a log can tell the meaning of
    options = replace(reading or ReadOptions(), places=tuple(one.word for one in stated if one.word))
    judged_by = None if named is None else load_policy(named)
    return Settings(
        reading=options if judged_by is None else replace(options, limits=judged_by.limits),
        policy=judged_by,
        law=law,
        gun=used,
        catalogue=catalogue,
        surfaces=stated,
        vehicle=load_vehicle(vehicle) if vehicle else None,
    )


def named_policy(asked: str | None) -> tuple[str | None, Chooser | None]:
    """Policy that somebody named, and who.

    Parameters
    ----------
    asked : str or None
        By the caller; else the environment variable ``THERMLOG_POLICY`` counts, else ``policy`` in
        ``thermlog.toml`` here or in the user's configuration folder.

    Returns
    -------
    tuple
        None, None if nobody named one: it then follows from the vehicle.

    Raises
    ------
    PolicyError
        A configuration file cannot be read.
    """
    if asked:
        return asked, "caller"
    if named := os.environ.get(POLICY_VARIABLE):
        return named, "environment"
    home = Path(os.environ.get("XDG_CONFIG_HOME") or Path.home() / ".config")
    for place in (Path("thermlog.toml"), home / "thermlog" / "config.toml"):
        if place.is_file():
            cure = "mend or remove this configuration file"
            named = read_toml(place, refusal=PolicyError, cure=cure).get("policy")
            if named is not None:
                return _beside(place, named), "config"
    return None, None


def _beside(config: Path, named: object) -> str:
    """What a config file names: a bundled policy, or a file, first looked for beside the config file."""
    if not isinstance(named, str):
        msg = f"{config}: policy is {named!r}; name {' or '.join(BUNDLED)} or a file, in quotes"
        raise PolicyError(msg)
    beside = config.parent / named
    return named if named in BUNDLED or not beside.is_file() else str(beside)
