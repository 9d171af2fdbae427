"""Every threshold and assumption that can change a verdict, with unit and source, from one file."""

from __future__ import annotations

import hashlib
from functools import lru_cache
from pathlib import Path
from typing import Any

from msgspec import Struct

from thermlog.words.errors import PolicyError
from thermlog.words.tomlfile import parse_toml

SCHEMA = "thermlog-policy-1"
BUNDLED = ("light", "heavy")
_FOLDER = Path(__file__).parent / "policies"
# The unit of a number is told by the end of its name; everything else is a plain ratio, share or count.
_UNIT_BY_ENDING = {"_s": "s", "_k": "K", "_degc": "degC", "_spread": "ln"}
# What is divided by, or whose logarithm is taken, beside every tau_... and ..._spread.
_ABOVE_ZERO = frozenset(
    {
        "front_share", "coast_front_share", "heat_median_k", "usual_heat_median_k", "coast_heat_median_k",
        "reading_sigma_k", "drag_least_k", "drag_most_k", "unlike_axles_ratio", "slowest_lap_s",
    }
)  # fmt: skip


# Numbers of earlier policy files, and the cure where one is found.
_GONE = {
    "gun_resolution_k": "state it as resolution_k of a gun file (--gun)",
    "gun_repeatability_k": "state it as repeatability_k of a gun file (--gun)",
    "cold_fraction": "take the line out: nothing was decided by it",
}


class ReadingLimits(Struct, frozen=True, kw_only=True):
    """What a reading, and a walk with a gun, can be: the part of a policy that the reader goes by.

    Attributes
    ----------
    lowest_reading_degc, highest_reading_degc : float
        Readings outside are set aside [°C].
    fastest_gap_s : float
        Nobody aims at the next wheel sooner [s].
    fastest_mean_gap_s : float
        Nor reads faster on average over a whole log [s].
    slowest_mean_gap_s : float
        Nor slower from wheel to wheel within a lap, on average [s].
    slowest_lap_s : float
        Nor takes longer once round: what is compared then was not read in one walk [s].
    longest_pause_s : float
        Nor waits longer between two laps [s].
    """

    lowest_reading_degc: float
    highest_reading_degc: float
    fastest_gap_s: float
    fastest_mean_gap_s: float
    slowest_mean_gap_s: float
    slowest_lap_s: float
    longest_pause_s: float


class Policy(Struct, frozen=True, kw_only=True):
    """One set of thresholds and assumptions; meanings and sources stand in the policy file.

    Attributes ending in ``_s`` are seconds, ``_k`` kelvin of difference, ``_degc`` degrees Celsius,
    ``_spread`` standard deviations of a natural logarithm; the rest are plain numbers.
    """

    name: str
    sha256: str
    common_time_s: float
    latest_reading_s: float
    watch_ratio: float
    watch_difference_k: float
    suspect_ratio: float
    suspect_difference_k: float
    strong_ratio: float
    strong_difference_k: float
    hub_over_mate_k: float
    hub_own_heat_k: float
    hub_stop_k: float
    urgent_brake_degc: float
    urgent_bright_degc: float
    urgent_caliper_degc: float
    urgent_hub_degc: float
    urgent_hub_rise_k: float
    urgent_rim_degc: float
    urgent_tyre_degc: float
    lowest_reading_degc: float
    highest_reading_degc: float
    fastest_gap_s: float
    fastest_mean_gap_s: float
    slowest_mean_gap_s: float
    slowest_lap_s: float
    longest_pause_s: float
    reading_sigma_k: float
    aim_fraction: float
    miss_share: float
    high_miss_part: float
    noise_prior_dof: float
    unstated_air_low_degc: float
    unstated_air_high_degc: float
    ambient_sigma_k: float
    tau_disc_s: float
    tau_disc_spread: float
    tau_drum_s: float
    tau_drum_spread: float
    tau_hub_s: float
    tau_hub_spread: float
    tau_side_spread: float
    tau_unlike_ratio: float
    side_spread_fraction: float
    side_spread_k: float
    skins_even_share: float
    skins_even_part: float
    skins_unlike_part: float
    odd_skin_share: float
    odd_skin_least: float
    front_share: float
    like_axle_spread: float
    unlike_axle_spread: float
    unsaid_axle_spread: float
    heat_median_k: float
    heat_spread: float
    usual_heat_median_k: float
    usual_heat_spread: float
    coast_heat_median_k: float
    coast_heat_spread: float
    coast_side_spread_fraction: float
    coast_side_spread_k: float
    coast_axle_spread: float
    coast_front_share: float
    fault_share: float
    corner_hot_weight: float
    corner_cold_weight: float
    axle_hot_weight: float
    axle_cold_weight: float
    diagonal_hot_weight: float
    circuit_hot_weight: float
    all_hot_share: float
    all_hot_weight: float
    several_weight: float
    drag_least_k: float
    drag_least_part: float
    drag_most_k: float
    cold_remaining_most: float
    drag_call_probability: float
    idle_call_probability: float
    heat_watch_probability: float
    heat_call_probability: float
    doubt_probability: float
    gap_probability: float
    side_probability: float
    unlike_axles_ratio: float
    minimum_rise_k: float
    hidden_drag_k: float
    hidden_drag_part: float
    hidden_loss_share: float

    @property
    def limits(self) -> ReadingLimits:
        """The numbers that the reader goes by."""
        return ReadingLimits(**{name: getattr(self, name) for name in ReadingLimits.__struct_fields__})


_NUMBERS = tuple(name for name in Policy.__struct_fields__ if name not in {"name", "sha256"})


def unit_of(key: str) -> str:
    """Unit that a policy number must be stated in.

    Examples
    --------
    >>> unit_of("coast_drag_k"), unit_of("tau_disc_s"), unit_of("watch_ratio"), unit_of("axle_spread")
    ('K', 's', '1', 'ln')
    """
    return next((unit for ending, unit in _UNIT_BY_ENDING.items() if key.endswith(ending)), "1")


def load_policy(name_or_file: str) -> Policy:
    """Read a bundled policy or the user's own file.

    A file of one's own may begin with ``base = "light"`` and then state only what differs.

    Parameters
    ----------
    name_or_file : str
        ``"light"``, ``"heavy"`` or a path to a TOML file.

    Returns
    -------
    Policy

    Raises
    ------
    PolicyError
        Unknown name, unreadable file, number missing, unknown, out of range, or without unit or source.
    """
    return _policy_in(*_policy_bytes(name_or_file))


@lru_cache(maxsize=16)
def _policy_in(content: bytes, where: str) -> Policy:
    """Policy of a file; its content is the key, so that a file changed meanwhile is read again."""
    own = parse_toml(content, where, refusal=PolicyError)
    base = own.pop("base", None)
    name = own.pop("name", Path(where).stem)
    if own.pop("schema", SCHEMA) != SCHEMA:
        msg = f'{where}: schema is not "{SCHEMA}"; this version reads no other'
        raise PolicyError(msg)
    digest = hashlib.sha256(content)
    numbers: dict[str, float] = {}
    if base is not None:
        if base not in BUNDLED:
            msg = f'{where}: base "{base}" is not a bundled policy; use one of {", ".join(BUNDLED)}'
            raise PolicyError(msg)
        below = (_FOLDER / f"{base}.toml").read_bytes()
        digest.update(below)
        numbers.update(_numbers(parse_toml(below, base, refusal=PolicyError), base))
    numbers.update(_numbers(own, where))
    missing = [key for key in _NUMBERS if key not in numbers]
    if missing:
        msg = f'{where}: missing {", ".join(missing)}; add them, or begin the file with base = "light"'
        raise PolicyError(msg)
    low, high = numbers["lowest_reading_degc"], numbers["highest_reading_degc"]
    if low >= high:
        msg = f"{where}: lowest_reading_degc is {low:g}; it must lie below highest_reading_degc, {high:g}"
        raise PolicyError(msg)
    return Policy(name=str(name), sha256=digest.hexdigest(), **numbers)


def policy_sources(name_or_file: str) -> dict[str, tuple[float, str, str, str]]:
    """Value, unit, source and the file that states it, for every number of a policy.

    Parameters
    ----------
    name_or_file : str
        A policy that `load_policy` accepts.

    Returns
    -------
    dict
        In file order; what a file of one's own leaves out comes from its base.
    """
    table = parse_toml(*_policy_bytes(name_or_file), refusal=PolicyError)
    base = table.get("base")
    stated = {
        key: (float(entry["value"]), str(entry["unit"]), str(entry["source"]), name_or_file)
        for key, entry in table.items()
        if isinstance(entry, dict)
    }
    return (policy_sources(str(base)) if base is not None else {}) | stated


def usual_limits() -> ReadingLimits:
    """Limits that every bundled policy states: a log is read before its vehicle is known."""
    return load_policy(BUNDLED[0]).limits


def _policy_bytes(name_or_file: str) -> tuple[bytes, str]:
    if name_or_file in BUNDLED:
        return (_FOLDER / f"{name_or_file}.toml").read_bytes(), name_or_file
    try:
        return Path(name_or_file).read_bytes(), name_or_file
    except (OSError, ValueError) as fault:  # a NUL in the name is a ValueError
        reason = getattr(fault, "strerror", None) or "unreadable"
        msg = f"{name_or_file}: {reason}; name a bundled policy ({', '.join(BUNDLED)}) or a TOML file"
        raise PolicyError(msg) from fault


def _numbers(table: dict[str, Any], where: str) -> dict[str, float]:
    return {key: _number(key, entry, where) for key, entry in table.items() if key not in {"name", "schema"}}


def _number(key: str, entry: object, where: str) -> float:
    if key in _GONE:
        msg = f'{where}: "{key}" is no policy number any more; {_GONE[key]}'
        raise PolicyError(msg)
    if key not in _NUMBERS:
        msg = f'{where}: "{key}" is not a policy number; nearest: {", ".join(_nearest(key)) or "none"}'
        raise PolicyError(msg)
    if not isinstance(entry, dict) or set(entry) != {"value", "unit", "source"}:
        msg = f"{where}: {key} needs {{ value = ..., unit = ..., source = ... }} and nothing else"
        raise PolicyError(msg)
    value = entry["value"]
    if isinstance(value, bool) or not isinstance(value, int | float) or not -1e6 < value < 1e6:
        msg = f"{where}: {key} has value {value!r}; a plain number is needed"
        raise PolicyError(msg)
    if entry["unit"] != unit_of(key):
        msg = f'{where}: {key} is stated in "{entry["unit"]}"; it must be in "{unit_of(key)}"'
        raise PolicyError(msg)
    if not str(entry["source"]).strip():
        msg = f"{where}: {key} has no source; say where the number comes from"
        raise PolicyError(msg)
    _refuse_impossible(key, float(value), where)
    return float(value)


def _refuse_impossible(key: str, value: float, where: str) -> None:
    if not key.endswith("_degc") and value < 0:
        msg = f"{where}: {key} is {value:g}; it cannot be below zero"
        raise PolicyError(msg)
    if value == 0 and (key.startswith("tau_") or key.endswith("_spread") or key in _ABOVE_ZERO):
        msg = f"{where}: {key} is zero; it must be above zero"
        raise PolicyError(msg)
    if (key.endswith(("_share", "_probability")) and not key.endswith("front_share")) and value > 1:
        msg = f"{where}: {key} is {value:g}; it cannot be above 1"
        raise PolicyError(msg)


def _nearest(key: str) -> list[str]:
    from difflib import get_close_matches

    return get_close_matches(key, _NUMBERS, n=2)
