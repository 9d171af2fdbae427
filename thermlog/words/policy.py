"""Every threshold and assumption that can change a verdict, with unit and source, from one file."""

# Types are not deferred here as elsewhere: msgspec would have to evaluate every one at every start.
import hashlib
from functools import lru_cache
from pathlib import Path
from typing import Annotated, Any, TypeAlias

from msgspec import Meta, Struct
from msgspec.structs import replace

from thermlog.words.bundled import bundled
from thermlog.words.errors import PolicyError
from thermlog.words.tomlfile import file_bytes, parse_toml
from thermlog.words.tomlrecord import SourceText, cure, policy_refusal, record_of

POLICY_SCHEMA = "thermlog-policy-1"
BUNDLED = ("light", "heavy")
_FOLDER = Path(__file__).parent / "policies"
# The unit of a number is told by the end of its name; everything else is a plain ratio, share or count.
_UNIT_BY_ENDING = {"_s": "s", "_k": "K", "_degc": "degC", "_spread": "ln"}
_Plain: TypeAlias = Annotated[float, Meta(gt=-1e6, lt=1e6), cure("a plain number is needed")]
# Above zero is what is divided by, or whose logarithm is taken.
_AtLeastZero: TypeAlias = Annotated[float, Meta(ge=0), cure("it cannot be below zero")]
_AboveZero: TypeAlias = Annotated[float, Meta(gt=0), cure("it must be above zero")]
_Share: TypeAlias = Annotated[float, Meta(ge=0, le=1), cure("it cannot be above 1, nor below zero")]


# Numbers of earlier policy files, and the cure where one is found.
_GONE = {
    "gun_resolution_k": "state it as resolution_k of a gun file (--gun)",
    "gun_repeatability_k": "state it as repeatability_k of a gun file (--gun)",
    "cold_fraction": "take the line out: nothing was decided by it",
}


class _Entry(Struct, frozen=True, kw_only=True):
    """One number of a policy file."""

    value: _Plain
    unit: str
    source: SourceText


class CausesFound(Struct, frozen=True, kw_only=True):
    """Causes that a depot's jobs confirmed: with them a policy moves how likely each cause is beforehand.

    Attributes
    ----------
    counts : tuple of (str, int)
        How often each was found, by its key.
    table_worth : float
        Findings that the bundled table of causes counts as.
    source : str
        How they were counted.
    """

    counts: tuple[tuple[str, int], ...]
    table_worth: float
    source: str

    @property
    def total(self) -> int:
        """Findings of all causes."""
        return sum(count for _, count in self.counts)


class _CausesTable(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The same as a policy file states it."""

    counts: dict[str, Annotated[int, Meta(ge=0), cure("a whole number from 0 on")]]
    table_worth: _AboveZero
    source: SourceText


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
    urgent_brake_degc, urgent_hub_degc, urgent_rim_degc, urgent_tyre_degc : float
        Lines from which a part stops the vehicle, looked for in logs that are refused, too [°C].
    """

    lowest_reading_degc: float
    highest_reading_degc: float
    fastest_gap_s: float
    fastest_mean_gap_s: float
    slowest_mean_gap_s: float
    slowest_lap_s: float
    longest_pause_s: float
    urgent_brake_degc: float
    urgent_hub_degc: float
    urgent_rim_degc: float
    urgent_tyre_degc: float


class Policy(Struct, frozen=True, kw_only=True):
    """One set of thresholds and assumptions; meanings and sources stand in the policy file.

    Attributes ending in ``_s`` are seconds, ``_k`` kelvin of difference, ``_degc`` degrees Celsius,
    ``_spread`` standard deviations of a natural logarithm; the rest are plain numbers.
    """

    name: str
    sha256: str
    common_time_s: _AtLeastZero
    latest_reading_s: _AtLeastZero
    watch_ratio: _AtLeastZero
    watch_difference_k: _AtLeastZero
    suspect_ratio: _AtLeastZero
    suspect_difference_k: _AtLeastZero
    strong_ratio: _AtLeastZero
    strong_difference_k: _AtLeastZero
    hub_over_mate_k: _AtLeastZero
    hub_own_heat_k: _AtLeastZero
    hub_stop_k: _AtLeastZero
    watch_hub_k: _AtLeastZero
    watch_rim_k: _AtLeastZero
    watch_tyre_k: _AtLeastZero
    watch_caliper_k: _AtLeastZero
    urgent_brake_degc: _Plain
    urgent_bright_degc: _Plain
    urgent_caliper_degc: _Plain
    urgent_hub_degc: _Plain
    urgent_hub_rise_k: _AtLeastZero
    urgent_rim_degc: _Plain
    urgent_tyre_degc: _Plain
    lowest_reading_degc: _Plain
    highest_reading_degc: _Plain
    fastest_gap_s: _AtLeastZero
    fastest_mean_gap_s: _AtLeastZero
    slowest_mean_gap_s: _AtLeastZero
    slowest_lap_s: _AboveZero
    longest_pause_s: _AtLeastZero
    reading_sigma_k: _AboveZero
    aim_fraction: _AtLeastZero
    miss_share: _Share
    high_miss_part: _AtLeastZero
    noise_prior_dof: _AtLeastZero
    unstated_air_low_degc: _Plain
    unstated_air_high_degc: _Plain
    ambient_sigma_k: _AtLeastZero
    tau_disc_s: _AboveZero
    tau_disc_spread: _AboveZero
    tau_drum_s: _AboveZero
    tau_drum_spread: _AboveZero
    tau_hub_s: _AboveZero
    tau_hub_spread: _AboveZero
    tau_side_spread: _AboveZero
    tau_unlike_ratio: _AboveZero
    side_spread_fraction: _AtLeastZero
    side_spread_k: _AtLeastZero
    skins_even_share: _Share
    skins_even_part: _AtLeastZero
    skins_unlike_part: _AtLeastZero
    odd_skin_share: _Share
    odd_skin_least: _AtLeastZero
    front_share: _AboveZero
    like_axle_spread: _AboveZero
    unlike_axle_spread: _AboveZero
    unsaid_axle_spread: _AboveZero
    heat_median_k: _AboveZero
    heat_spread: _AboveZero
    usual_heat_median_k: _AboveZero
    usual_heat_spread: _AboveZero
    coast_heat_median_k: _AboveZero
    coast_heat_spread: _AboveZero
    coast_side_spread_fraction: _AtLeastZero
    coast_side_spread_k: _AtLeastZero
    coast_axle_spread: _AboveZero
    coast_front_share: _AboveZero
    fault_share: _Share
    corner_hot_weight: _AtLeastZero
    corner_cold_weight: _AtLeastZero
    axle_hot_weight: _AtLeastZero
    axle_cold_weight: _AtLeastZero
    diagonal_hot_weight: _AtLeastZero
    circuit_hot_weight: _AtLeastZero
    circuit_cold_weight: _AtLeastZero
    trailer_hot_weight: _AtLeastZero
    trailer_cold_weight: _AtLeastZero
    diagonal_cold_weight: _AtLeastZero
    all_hot_share: _Share
    all_hot_weight: _AtLeastZero
    several_weight: _AtLeastZero
    drag_least_k: _AboveZero
    drag_least_part: _AtLeastZero
    drag_most_k: _AboveZero
    cold_remaining_most: _AtLeastZero
    drag_call_probability: _Share
    idle_call_probability: _Share
    heat_watch_probability: _Share
    heat_call_probability: _Share
    doubt_probability: _Share
    gap_probability: _Share
    side_probability: _Share
    unlike_axles_ratio: _AboveZero
    minimum_rise_k: _AtLeastZero
    hidden_drag_k: _AtLeastZero
    hidden_drag_part: _AtLeastZero
    hidden_loss_share: _Share
    memory_day_spread: _AboveZero
    memory_air_k: _AtLeastZero
    memory_forgetting_spread: _AtLeastZero
    memory_most_spread: _AtLeastZero
    memory_least_spread: _AboveZero
    memory_doubt_probability: _Share
    causes_found: CausesFound | None = None

    @property
    def remembering(self) -> "Policy":
        """The same by the line that holds where earlier visits of a vehicle count."""
        return replace(self, doubt_probability=self.memory_doubt_probability)

    @property
    def limits(self) -> ReadingLimits:
        """The numbers that the reader goes by."""
        return ReadingLimits(**{name: getattr(self, name) for name in ReadingLimits.__struct_fields__})


NUMBERS = tuple(name for name in Policy.__struct_fields__ if name not in {"name", "sha256", "causes_found"})


def policy_unit(key: str) -> str:
    """Unit that a policy number must be stated in.

    Examples
    --------
    >>> policy_unit("watch_difference_k"), policy_unit("latest_reading_s")
    ('K', 's')
    >>> policy_unit("watch_ratio"), policy_unit("memory_day_spread")
    ('1', 'ln')
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
    own = _table(content, where)
    base = own.pop("base", None)
    name = own.pop("name", Path(where).stem)
    if own.pop("schema", POLICY_SCHEMA) != POLICY_SCHEMA:
        msg = f'{where}: schema is not "{POLICY_SCHEMA}"; this version reads no other'
        raise PolicyError(msg)
    found = _causes_found(own.pop("causes_found", None), where)
    digest = hashlib.sha256(content)
    numbers: dict[str, float] = {}
    if base is not None:
        if base not in BUNDLED:
            msg = f'{where}: base "{base}" is not a bundled policy; use one of {", ".join(BUNDLED)}'
            raise PolicyError(msg)
        below = (_FOLDER / f"{base}.toml").read_bytes()
        digest.update(below)
        numbers |= _numbers(_table(below, base), base)
    numbers |= _numbers(own, where)
    if missing := [key for key in NUMBERS if key not in numbers]:
        msg = f'{where}: missing {", ".join(missing)}; add them, or begin the file with base = "light"'
        raise PolicyError(msg)
    policy = record_of(
        {"name": str(name), "sha256": digest.hexdigest(), **numbers}, Policy, policy_refusal(where)
    )
    policy = replace(policy, causes_found=found)
    low, high = policy.lowest_reading_degc, policy.highest_reading_degc
    if low >= high:
        msg = f"{where}: lowest_reading_degc is {low:g}; it must lie below highest_reading_degc, {high:g}"
        raise PolicyError(msg)
    return policy


def _causes_found(table: object, where: str) -> CausesFound | None:
    if table is None:
        return None
    stated = record_of(table, _CausesTable, policy_refusal(f"{where}: causes_found"))
    return CausesFound(
        counts=tuple(stated.counts.items()), table_worth=stated.table_worth, source=stated.source
    )


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
        if isinstance(entry, dict) and key != "causes_found"
    }
    return (policy_sources(str(base)) if base is not None else {}) | stated


def usual_limits() -> ReadingLimits:
    """Limits that every bundled policy states: a log is read before its vehicle is known."""
    return load_policy(BUNDLED[0]).limits


def _policy_bytes(name_or_file: str) -> tuple[bytes, str]:
    if name_or_file in BUNDLED:
        return (_FOLDER / f"{name_or_file}.toml").read_bytes(), name_or_file
    cure = f"name a bundled policy ({', '.join(BUNDLED)}) or a TOML file"
    return file_bytes(name_or_file, refusal=PolicyError, cure=cure), name_or_file


def _table(content: bytes, where: str) -> dict[str, Any]:
    if where in BUNDLED:
        return bundled(_FOLDER / f"{where}.toml")
    return parse_toml(content, where, refusal=PolicyError)


def _numbers(table: dict[str, Any], where: str) -> dict[str, float]:
    """Value of every number of a file that has its unit and its source."""
    return {key: _number(key, entry, where) for key, entry in table.items() if key not in {"name", "schema"}}


def _number(key: str, entry: object, where: str) -> float:
    if key in _GONE:
        msg = f'{where}: "{key}" is no policy number any more; {_GONE[key]}'
        raise PolicyError(msg)
    if key not in NUMBERS:
        msg = f'{where}: "{key}" is not a policy number; nearest: {", ".join(_nearest(key)) or "none"}'
        raise PolicyError(msg)
    if not isinstance(entry, dict) or entry.keys() != {"value", "unit", "source"}:
        msg = f"{where}: {key} needs {{ value = ..., unit = ..., source = ... }} and nothing else"
        raise PolicyError(msg)
    stated = record_of(entry, _Entry, policy_refusal(f"{where}: {key}"))
    if stated.unit != policy_unit(key):
        msg = f'{where}: {key} is stated in "{stated.unit}"; it must be in "{policy_unit(key)}"'
        raise PolicyError(msg)
    return stated.value


def _nearest(key: str) -> list[str]:
    from difflib import get_close_matches

    return get_close_matches(key, NUMBERS, n=2)
