"""The output contract: keys, values and the shipped schemas."""

from __future__ import annotations

import json
import math

import pytest
from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError
from msgspec.structs import replace
from samples import even_van, hot_rear_right, untold_van

from thermlog import __version__
from thermlog.reports.report_json import CONTRACTS, check_object, check_text, schema_text

# Keys of contract version 1, spelled as promised to readers of the JSON.
CHECK_KEYS = {
    "schema_version", "tool", "log", "vehicle", "drive", "ambient_degc", "ambient_source", "policy",
    "common_time_s", "corners", "axles", "pattern", "p_fault", "suspects", "next_check", "cautions",
}  # fmt: skip
CORNER_KEYS = {
    "corner", "axle", "side", "spot", "readings", "readings_used", "start_degc", "tau_s", "tau_interval_s",
    "at_common_degc", "interval_degc", "rise_k", "p_hot", "p_cold", "verdict", "why",
}  # fmt: skip
AXLE_KEYS = {
    "axle", "difference_k", "difference_interval_k", "rise_ratio", "rise_ratio_interval",
    "surface_difference_k", "surface_difference_interval_k", "surface_known", "verdict",
    "suspect", "why",
}  # fmt: skip


def validator(contract: str) -> Draft202012Validator:
    return Draft202012Validator(json.loads(schema_text(contract)))


@pytest.mark.parametrize("contract", CONTRACTS)
def test_schemas_are_valid_schemas(contract):
    Draft202012Validator.check_schema(json.loads(schema_text(contract)))


@pytest.mark.parametrize("diagnosis", [hot_rear_right(), even_van(), untold_van()])
def test_object_satisfies_the_schema(diagnosis):
    validator("check").validate(json.loads(check_text([diagnosis], as_list=False)))
    validator("check").validate(json.loads(check_text([diagnosis, diagnosis], as_list=True)))


def test_keys_are_those_of_the_contract():
    found = check_object(hot_rear_right())

    assert set(found) >= CHECK_KEYS
    assert set(found["corners"][0]) >= CORNER_KEYS
    assert set(found["axles"][0]) >= AXLE_KEYS
    assert set(found["pattern"]) >= {"kind", "corners", "p"}
    assert set(found["log"]) == {"file", "sha256", "rows_read", "rows_used", "set_aside", "notes"}
    assert set(found["log"]["set_aside"][0]) == {"line", "column", "value", "reason"}
    assert set(found["suspects"][0]) == {"cause", "name", "place", "standing", "for", "against"}
    assert set(found["next_check"]) == {"id", "question", "minutes", "safety", "why"}
    assert found["tool"] == {"version": __version__}


def test_values_are_those_of_the_diagnosis():
    found = check_object(hot_rear_right())

    assert found["axles"][1]["difference_k"] == -58.0
    assert found["axles"][1]["difference_interval_k"] == [-66.0, -50.0]
    assert found["axles"][1]["suspect"] == "2R"
    assert found["corners"][3]["verdict"] == "hot"
    assert found["suspects"][0]["for"] == ["one corner only"]
    assert found["log"]["notes"] == ["decimal comma understood", "one reading weighs less"]


@pytest.mark.parametrize("strange", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_becomes_null(strange):
    van = hot_rear_right()
    odd = replace(van.axles[1], difference_k=strange, rise_ratio_interval=(1.2, strange))
    found = json.loads(check_text([replace(van, axles=(odd,))], as_list=False))

    assert found["axles"][0]["difference_k"] is None
    assert found["axles"][0]["rise_ratio_interval"] is None


def test_numbers_have_six_significant_digits():
    van = replace(hot_rear_right(), ambient_degc=18.123456789, common_time_s=1234567.0)

    assert check_object(van)["ambient_degc"] == 18.1235
    assert check_object(van)["common_time_s"] == 1234570.0


@pytest.mark.parametrize(
    ("key", "wrong"),
    [("schema_version", 2), ("drive", "race"), ("p_fault", 1.5), ("ambient_degc", "18"), ("axles", None)],
)
def test_schema_refuses_what_is_wrong(key, wrong):
    found = check_object(hot_rear_right()) | {key: wrong}

    with pytest.raises(ValidationError):
        validator("check").validate(found)


def test_schema_lets_the_contract_grow():
    validator("check").validate(check_object(hot_rear_right()) | {"a_later_key": 1})
