"""Files a user writes: whatever their types do not allow is refused by file, key, value found and cure."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Annotated

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import Meta, Struct

import thermlog.correcting.surfaces
from thermlog.correcting.gun import load_gun
from thermlog.correcting.surfaces import load_surfaces
from thermlog.reading.columnmap import load_column_map
from thermlog.reading.vehiclefile import load_vehicle
from thermlog.words.errors import PolicyError, ThermlogError
from thermlog.words.policy import NUMBERS, load_policy, policy_unit
from thermlog.words.tomlrecord import cure, policy_refusal, record_of

BUNDLED = Path(thermlog.correcting.surfaces.__file__).with_name("surfaces.toml").read_text(encoding="utf-8")
SPOTS = "brake, rotor_outer, rotor_inner, hat, caliper, drum, hub, rim, tyre_inner, tyre_outer"
BATH = "[check]\nice_degc = 0\nboiling_degc = 99\n"


def surfaces(old: str, new: str) -> str:
    assert old in BUNDLED
    return BUNDLED.replace(old, new, 1)


# Text of a file, what loads it, and the whole refusal behind the name of the file.
REFUSED = {
    "number too large": (
        load_gun,
        "resolution_k = 11",
        ": resolution_k is 11; a number from 0 to 10 is needed",
    ),
    "zero": (
        load_gun,
        "emissivity_setting = 0",
        ": emissivity_setting is zero; a number from 0.1 to 1 is needed",
    ),
    "false is no zero": (
        load_gun,
        "accuracy_k = false",
        ": accuracy_k is False; a number from 0 to 20 is needed",
    ),
    "date": (
        load_gun,
        "accuracy_k = 2024-01-01",
        ": accuracy_k is 2024-01-01; a number from 0 to 20 is needed",
    ),
    "table for a number": (
        load_gun,
        "resolution_k = { step = 1 }",
        ": resolution_k is {'step': 1}; a number from 0 to 10 is needed",
    ),
    "number for a name": (load_gun, "name = 4", ": name is 4; write a text in quotes"),
    "unknown key, near": (
        load_gun,
        "emissivity = 0.9",
        ': emissivity is 0.9: no such key; did you mean "emissivity_setting"?',
    ),
    "key of a record, not of a file": (
        load_gun,
        'assumed = ["accuracy_k"]',
        ": assumed is ['accuracy_k']: no such key; write one of name, emissivity_setting, band_um, "
        "distance_ratio, accuracy_k, accuracy_percent, coverage_factor, repeatability_k, resolution_k, "
        "compensated, schema, check, sources",
    ),
    "other schema": (load_gun, 'schema = "x"', ": schema is 'x'; write \"thermlog-gun-1\""),
    "one of a pair": (
        load_gun,
        "band_um = [8, 30]",
        ": band_um is [8, 30]; two wavelengths from 1 to 20 µm are needed, such as [8, 14]",
    ),
    "key missing in a table": (
        load_gun,
        "[check]\nice_degc = 0.4",
        ', [check]: "boiling_degc" is missing; it needs ice_degc, boiling_degc',
    ),
    "no table": (load_gun, "check = 4", ": check is 4; write it as a table headed [check]"),
    "both pressures": (
        load_gun,
        f"{BATH}altitude_m = 1\npressure_hpa = 900",
        ", [check]: has both; it needs one of pressure_hpa, altitude_m",
    ),
    "no pressure": (load_gun, BATH, ", [check]: has neither; it needs one of pressure_hpa, altitude_m"),
    "nothing as source": (
        load_gun,
        "[sources]\naccuracy_k = ' '",
        ", [sources]: accuracy_k is ' '; the number has no source; say where it comes from",
    ),
    "share": (
        load_surfaces,
        surfaces("emissivity = 0.21", "emissivity = 0"),
        ", [surface.polished_cast_iron]: emissivity is zero; a number above 0 and at most 1 is needed",
    ),
    "spot missing": (
        load_surfaces,
        surfaces("[skin.hat]", "[skin.cap]"),
        f', [skin]: "hat" is missing; found cap; it needs {SPOTS}',
    ),
    "spot left out": (
        load_surfaces,
        surfaces("hat = {", "# hat = {"),
        f', [target]: "hat" is missing; it needs {SPOTS}',
    ),
    "spot unknown": (
        load_surfaces,
        surfaces("[target]", "[target]\nplate = 1"),
        f", [target]: plate is 1: no such key; write one of {SPOTS}",
    ),
    "key unknown in a row": (
        load_surfaces,
        surfaces("band = ", "bund = "),
        ", [surface.polished_cast_iron]: bund is 'total, 38-200 °C': no such key; did you mean \"band\"?",
    ),
    "row without a number": (
        load_surfaces,
        surfaces("brake = { width_m = 0.06, ", "brake = { "),
        ', [target.brake]: "width_m" is missing; it needs source, width_m',
    ),
    "no axle": (
        load_vehicle,
        "axles = [1]",
        ": axle 1, found 1: write one [[axles]] for every axle, from the front",
    ),
    "table of axles": (
        load_vehicle,
        '[axles]\nrole = "steer"',
        ": axles, found {'role': 'steer'}: write one [[axles]] for every axle, from the front",
    ),
    "word of the second axle": (
        load_vehicle,
        '[[axles]]\n[[axles]]\nbrake = "disk"',
        ': axle 2, brake, found "disk": write one of "disc", "drum"',
    ),
    "section unknown": (
        load_column_map,
        "colum = 1",
        ', column "colum", found "1": not known; did you mean "columns"?',
    ),
    "truth for a line": (
        load_column_map,
        "header_line = true",
        ', column "header_line", found "True": write a line number, or 0 if the log has no headings',
    ),
    "unit unknown": (
        load_column_map,
        '[units]\ntim = "s"',
        ', column "[units] tim", found "s": not known; did you mean "time"?',
    ),
    "column of a broken number": (
        load_column_map,
        "[columns]\ntime = 2.5",
        ', column "[columns] time", found "2.5": write a text in quotes, or the number of the column',
    ),
    "no text": (
        load_column_map,
        "units = 3",
        ', column "units", found "3": write it as a table headed [units]',
    ),
    "source of a policy": (
        load_policy,
        'base = "light"\nwatch_ratio = { value = 2, unit = "1", source = 3 }',
        ": watch_ratio: source is 3; the number has no source; say where it comes from",
    ),
    "unit of a policy": (
        load_policy,
        'base = "light"\nwatch_ratio = { value = 2, unit = 1, source = "x" }',
        ": watch_ratio: unit is 1; write a text in quotes",
    ),
    "share of a policy": (
        load_policy,
        'base = "light"\nfault_share = { value = -0.5, unit = "1", source = "x" }',
        ": fault_share is -0.5; it cannot be above 1, nor below zero",
    ),
}


@pytest.mark.parametrize("fault", REFUSED)
def test_refusal_is_one_sentence_with_file_key_value_and_cure(tmp_path, fault):
    load, text, said = REFUSED[fault]
    file = tmp_path / "mine.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(ThermlogError) as refused:
        load(str(file))
    assert str(refused.value) == f"{file}{said}"


# Own numbers; those of the gun and its check stand in test_gun_limits.py.
EDGES = {
    "band_um": (load_gun, "band_um = [{}, 20]", 1.0, 19.999),
    "tyre_radius_m": (load_vehicle, "tyre_radius_m = {}\n[[axles]]", 0.1, 1.5),
    "header_line": (load_column_map, "header_line = {}\n[columns]\nposition = 1\ntemperature = 2", 0, 10_000),
    "emissivity": (load_surfaces, BUNDLED.replace("emissivity = 0.21", "emissivity = {}", 1), 0.001, 1.0),
}


@pytest.mark.parametrize("key", EDGES)
def test_ranges_end_where_they_say(tmp_path, key):
    load, text, low, high = EDGES[key]
    file = tmp_path / "mine.toml"
    step = 1 if isinstance(low, int) else 0.001
    for value in (low, high):
        file.write_text(text.replace("{}", str(value)), encoding="utf-8")
        load(str(file))
    for value in (low - step, high + 2 * step):
        file.write_text(text.replace("{}", str(value)), encoding="utf-8")
        with pytest.raises(ThermlogError, match=key):
            load(str(file))


# policy: what a name says of its number


def possible(key: str, value: float) -> bool:
    """Whether a policy number of this name can have this value, from the words in the name alone."""
    if key.endswith("_degc"):
        return True
    if (key.startswith("tau_") or key.endswith("_spread")) and key not in NONE_IS_POSSIBLE:
        return value > 0
    if key.endswith(("_share", "_probability")) and not key.endswith("front_share"):
        return 0 <= value <= 1
    return value > 0 or (value == 0 and key not in DIVIDED_BY)


NONE_IS_POSSIBLE = {"memory_forgetting_spread", "memory_most_spread"}  # nothing is forgotten, or learned
DIVIDED_BY = {
    "front_share", "coast_front_share", "heat_median_k", "usual_heat_median_k", "coast_heat_median_k",
    "reading_sigma_k", "drag_least_k", "drag_most_k", "unlike_axles_ratio", "slowest_lap_s",
}  # fmt: skip


@pytest.mark.parametrize("value", [-0.1, 0.0, 1.0, 1.01])
@pytest.mark.parametrize("key", NUMBERS)
def test_policy_numbers_are_what_their_names_allow(tmp_path, key, value):
    file = tmp_path / "mine.toml"
    number = f'{{ value = {value}, unit = "{policy_unit(key)}", source = "our own rig" }}'
    file.write_text(f'base = "light"\n{key} = {number}\n')
    if possible(key, value):
        assert getattr(load_policy(str(file)), key) == value
    else:
        with pytest.raises(PolicyError, match=f"{key} is "):
            load_policy(str(file))


# any record


class Plate(Struct, forbid_unknown_fields=True):
    width_m: Annotated[float, Meta(gt=0.0, lt=2.0)]
    holes: Annotated[int, Meta(ge=1)] = 4
    kind: Annotated[str, cure("call it flat or bent")] = "flat"


class Stack(Struct, forbid_unknown_fields=True):
    plates: list[Plate]
    spare: Plate | None = None


def refused(table: dict[str, object]) -> str:
    with pytest.raises(PolicyError) as fault:
        record_of(table, Stack, policy_refusal("f"))
    return str(fault.value)


@given(value=st.floats() | st.integers(), at=st.integers(0, 3))
def test_first_wrong_item_of_a_list_is_named(value, at):
    plates: list[dict[str, object]] = [{"width_m": 1.0} for _ in range(4)]
    plates[at] = {"width_m": value}
    if 0.0 < value < 2.0:
        assert record_of({"plates": plates}, Stack, policy_refusal("f")).plates[at].width_m == value
        return
    found = "zero" if value == 0 else str(value)
    said = f"f, [plates.{at + 1}]: width_m is {found}; a number above 0 and below 2 is needed"
    assert refused({"plates": plates}) == said


def test_cures_follow_from_the_type():
    assert refused({"plates": [{"width_m": 1, "holes": 0}]}).endswith(
        "holes is zero; a number at least 1 is needed"
    )
    assert refused({"plates": [{"width_m": math.nan}]}).endswith(
        "width_m is nan; a number above 0 and below 2 is needed"
    )
    assert refused({"plates": [{"width_m": 1, "kind": 3}]}).endswith("kind is 3; call it flat or bent")
    assert (
        refused({"plates": [], "spare": {"holes": 1}}) == 'f, [spare]: "width_m" is missing; it needs width_m'
    )
    assert refused({"plates": 3}) == "f: plates is 3; write it as tables headed [[plates]]"
