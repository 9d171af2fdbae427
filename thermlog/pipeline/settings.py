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
from thermlog.words.errors import HistoryError, PolicyError
from thermlog.words.policy import BUNDLED
from thermlog.words.tomlfile import read_toml

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.physics.cooling import Law
    from thermlog.words.policy import Policy
    from thermlog.words.vehicle import Vehicle, WeightClass

Chooser: TypeAlias = Literal["caller", "environment", "config"]

POLICY_VARIABLE = "THERMLOG_POLICY"
WAIT_VARIABLE = "THERMLOG_HISTORY_WAIT"
WAIT_S = 30.0  # for others that are writing; engineering judgement


def gather_settings(
    *,
    reading: ReadOptions | None = None,
    policy: str | Sequence[str] | None = None,
    law: Law = "exponential",
    gun: str | None = None,
    surfaces: str | None = None,
    surface: Sequence[str] = (),
    vehicle: str | None = None,
    depot: str | None = None,
) -> Settings:
    """Read and check everything that decides how logs are judged.

    Parameters
    ----------
    reading : ReadOptions, optional
    policy : str or sequence of str, optional
        Bundled name or file for every vehicle, or ``light=...`` and ``heavy=...`` for those of one weight;
        else as `named_policy` finds. Limits of one for every vehicle are those of the reader.
    law : Law
    gun, surfaces, vehicle, depot : str, optional
        Files (TOML); without them the usual gun, the bundled table, what the logs say, and no units. A
        policy, gun or vehicle named here holds for every unit of the depot.
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
    DepotError
        The depot file cannot be read.
    """
    catalogue = load_surfaces(surfaces) if surfaces else usual_surfaces()
    alone, by_weight = split_policies(policy)
    named, chosen_by = named_policy(alone)
    used = load_gun(gun) if gun else usual_gun()
    if used.check is not None and "water" not in catalogue.surfaces:
        msg = f'{surfaces}: no surface "water", which the check of {gun} needs; add [surface.water]'
        raise PolicyError(msg)
    stated = tuple(surface_choice(text, catalogue, place_word=place_word) for text in surface)
    # a surface may name a wheel by a word that only a log can tell the meaning of
    options = replace(reading or ReadOptions(), places=tuple(one.word for one in stated if one.word))
    judged_by = None if named is None else _own_policy(named)
    settings = Settings(
        reading=options if judged_by is None else replace(options, limits=judged_by.limits),
        policy=judged_by,
        policies={weight: _own_policy(name) for weight, name in by_weight.items()},
        law=law,
        gun=used,
        catalogue=catalogue,
        surfaces=stated,
        vehicle=_vehicle(vehicle) if vehicle else None,
    )
    if depot is None:
        return settings
    from thermlog.pipeline.depots import with_depot  # who has no depot does without

    fixed = {"policy": chosen_by == "caller", "gun": gun is not None, "vehicle": vehicle is not None}
    return with_depot(settings, depot, fixed={key for key, is_fixed in fixed.items() if is_fixed})


def _own_policy(name_or_file: str) -> Policy:
    from thermlog.advice.depotcauses import load_own_policy  # most checks name none

    return load_own_policy(name_or_file)


def _vehicle(file: str) -> Vehicle:
    from thermlog.reading.vehiclefile import load_vehicle  # most checks name none

    return load_vehicle(file)


def split_policies(
    asked: str | Sequence[str] | None,
) -> tuple[str | None, dict[WeightClass, str]]:
    """A policy for every vehicle, and those for the vehicles of one weight.

    Parameters
    ----------
    asked : str, sequence of str or None
        Names or files; ``light=NAME`` or ``heavy=FILE`` for one weight.

    Raises
    ------
    PolicyError
        Two are named for the same vehicles.

    Examples
    --------
    >>> split_policies(["heavy=own.toml"]), split_policies("light")
    ((None, {'heavy': 'own.toml'}), ('light', {}))
    """
    alone: list[str] = []
    by_weight: dict[WeightClass, str] = {}
    weights: dict[str, WeightClass] = {"light": "light", "heavy": "heavy"}
    for text in [asked] if isinstance(asked, str) else asked or ():
        weight, _, name = text.partition("=")
        if name and weight in weights and weight not in by_weight:
            by_weight[weights[weight]] = name
        else:
            alone.append(text)
    if len(alone) > 1 or (alone and by_weight):
        msg = f"policies {', '.join(asked or ())}: name one for all, or light=... and heavy=... once each"
        raise PolicyError(msg)
    return (alone[0] if alone else None), by_weight


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
        if _is_there(place):
            cure = "mend or remove this configuration file"
            named = read_toml(place, refusal=PolicyError, cure=cure).get("policy")
            if named is not None:
                return _beside(place, named), "config"
    return None, None


def _is_there(config: Path) -> bool:
    """True for a file; one in a folder that is closed to this user may hold a policy."""
    try:
        return config.is_file()
    except OSError as fault:
        cure = "mend the rights, or name a policy with --policy"
        msg = f"{config}: cannot be looked for ({fault.strerror}); {cure}"
        raise PolicyError(msg) from fault


def _beside(config: Path, named: object) -> str:
    """What a config file names: a bundled policy, or a file, first looked for beside the config file."""
    if not isinstance(named, str):
        msg = f"{config}: policy is {named!r}; name {' or '.join(BUNDLED)} or a file, in quotes"
        raise PolicyError(msg)
    beside = config.parent / named
    return named if named in BUNDLED or not beside.is_file() else str(beside)


def history_patience_s() -> float:
    """How long a history waits for others that are writing [s]: `THERMLOG_HISTORY_WAIT`, else half a minute.

    Raises
    ------
    HistoryError
        The environment variable holds no such number.
    """
    asked = os.environ.get(WAIT_VARIABLE)
    try:
        seconds = WAIT_S if asked is None else float(asked)
    except ValueError:
        seconds = -1.0
    if not 0.0 <= seconds <= 3600.0:
        msg = f'{WAIT_VARIABLE} is "{asked}"; write seconds from 0 to 3600'
        raise HistoryError(msg)
    return seconds
