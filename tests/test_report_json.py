"""The output contract: keys, values and the shipped schemas."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError
from judgecases import LORRY_K, USUAL, VAN_K, all_told, renamed, walked
from msgspec.structs import replace
from samples import cool_van, even_van, hot_rear_right, smoking_van, untold_van, watched_van

from thermlog import __version__
from thermlog.reports.contract.schemas import CONTRACTS, schema_text
from thermlog.reports.report_json import check_text
from thermlog.words.estimates import Estimate
from thermlog.words.findings import Diagnosis
from thermlog.words.reasons import Reason
from thermlog.words.tables import Blind

# Keys of contract version 1, spelled as promised to readers of the JSON.
CHECK_KEYS = {
    "schema_version", "tool", "log", "vehicle", "drive", "ambient_degc", "ambient_source", "policy",
    "common_time_s", "corners", "axles", "pattern", "p_fault", "suspects", "next_check", "cautions",
    "answers", "urgent", "taken", "blind", "seen",
}  # fmt: skip
CORNER_KEYS = {
    "corner",
    "axle",
    "side",
    "spot",
    "readings",
    "readings_used",
    "start_degc",
    "tau_s",
    "tau_interval_s",
    "at_common_degc",
    "interval_degc",
    "rise_k",
    "p_hot",
    "p_cold",
    "verdict",
    "why",
    "expected_degc",
}
ANSWER_KEYS = {"answer", "p", "corners", "beside", "reasons", "decides", "detectable", "sharper"}  # fmt: skip
AXLE_KEYS = {
    "axle", "difference_k", "difference_interval_k", "rise_ratio", "rise_ratio_interval",
    "surface_difference_k", "surface_difference_interval_k", "surface_known", "verdict",
    "suspect", "why",
}  # fmt: skip


def check_object(diagnosis: Diagnosis) -> dict[str, Any]:
    """What a reader of the JSON gets."""
    found: dict[str, Any] = json.loads(check_text([diagnosis], as_list=False), parse_constant=pytest.fail)
    return found


def validator(contract: str) -> Draft202012Validator:
    return Draft202012Validator(json.loads(schema_text(contract)))


@pytest.mark.parametrize("contract", CONTRACTS)
def test_schemas_are_valid_schemas(contract):
    Draft202012Validator.check_schema(json.loads(schema_text(contract)))


SAMPLES = [
    hot_rear_right(), even_van(), cool_van(), watched_van(), smoking_van(), untold_van()
]  # fmt: skip


@pytest.mark.parametrize("diagnosis", SAMPLES)
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
    assert set(found["log"]["set_aside"][0]) == {"line", "column", "value", "reason", "code", "corner"}
    assert set(found["suspects"][0]) == {"cause", "name", "place", "standing", "for", "against"}
    assert set(found["next_check"]) == {"id", "question", "minutes", "safety", "why", "cools_first"}
    assert found["tool"] == {"version": __version__}
    assert set(found["answers"]) == {"drag", "idle", "heat"}
    assert all(set(answer) == ANSWER_KEYS for answer in found["answers"].values())
    assert set(found["answers"]["drag"]["reasons"][0]) == {"code", "corners", "numbers", "text"}
    assert set(found["answers"]["idle"]["detectable"][0]) == {"corner", "rise_k", "torque_nm", "lost_share"}
    unsaid = {"started_at": None, "by": None, "gun": None, "odometer_km": None}
    assert found["taken"] == {**unsaid, "repair": None, "nothing_seen": False}


def test_values_are_those_of_the_diagnosis():
    found = check_object(hot_rear_right())

    assert found["axles"][1]["difference_k"] == -58.0
    assert found["axles"][1]["difference_interval_k"] == [-66.0, -50.0]
    assert found["axles"][1]["suspect"] == "2R"
    assert found["corners"][3]["verdict"] == "hot"
    assert found["suspects"][0]["for"] == ["one corner only"]
    assert found["log"]["notes"] == ["decimal comma understood", "one reading weighs less"]


def test_answers_say_what_was_found_and_what_would_decide():
    drag = check_object(watched_van())["answers"]["drag"]

    assert (drag["answer"], drag["p"], drag["corners"]) == ("watch", 0.42, ["1L"])
    assert drag["reasons"][0]["numbers"]["share_idle"] == 0.2
    assert drag["reasons"][0]["text"].startswith("1L is 24 K above 1R (14 to 34), 1.4 to 1: 1L drags 50 %")
    assert [one["code"] for one in drag["decides"]] == ["coast_drive", "mark_and_read"]


def test_limits_of_an_answer_are_those_of_the_diagnosis():
    seen = check_object(even_van())["answers"]["drag"]["detectable"]

    assert seen[0] == {"corner": "1L", "rise_k": 22.0, "torque_nm": 11.0, "lost_share": 0.4}


@pytest.mark.parametrize("diagnosis", SAMPLES)
def test_why_is_made_of_the_reasons(diagnosis):
    found = check_object(diagnosis)
    texts = {one["text"] for answer in found["answers"].values() for one in answer["reasons"]}

    assert {text for corner in found["corners"] for text in corner["why"]} <= texts
    assert set(found["pattern"]["why"]) <= texts


def test_what_is_urgent_or_seen_or_not_read_is_in_the_object():
    smoking, untold = check_object(smoking_van()), check_object(untold_van())

    assert smoking["urgent"] == [
        {"code": "smoke", "corner": "1L", "spot": None, "value_degc": None, "limit_degc": None},
        {"code": "tyre_hot", "corner": "1L", "spot": "tyre_inner", "value_degc": 118.0, "limit_degc": 90.0},
    ]
    assert smoking["seen"] == [{"code": "smoke", "corner": "1L"}]
    assert untold["blind"] == [
        {"code": "no_value", "line": 7, "corner": "2L", "quoted": "OL", "value_degc": None, "spot": None}
    ]


def test_number_of_a_reason_that_is_not_finite_is_left_out():
    van = even_van()
    odd = Reason(code="rising", corners=("1L",), numbers={"rise_k": math.inf, "minutes": 2.0})
    drag = replace(van.answers.drag, reasons=(odd,))
    found = check_object(replace(van, answers=replace(van.answers, drag=drag)))
    validator("check").validate(found)

    assert found["answers"]["drag"]["reasons"][0]["numbers"] == {"minutes": 2.0}


def test_real_output_satisfies_the_schema():
    walks = [
        walked(VAN_K),
        walked({**VAN_K, "2R": 160.0}),
        walked({**VAN_K, "1L": 2.0}),
        walked(dict.fromkeys(VAN_K, 8.0)),
        walked({"1L": 90.0, "1R": 88.0, "2L": 60.0}),
        walked(VAN_K, replace(USUAL, drive="coast")),
        walked(VAN_K, replace(USUAL, ambient_stated=False)),
        walked({**LORRY_K, "2L": 400.0, "2L hub": 150.0, "2R hub": 30.0}),
    ]
    unread = Blind(code="over_range", line=9, corner="2R", quoted="OL")
    walks[4] = replace(walks[4], cases=(replace(walks[4].cases[0], blind=(unread,)),))
    told = all_told(renamed(walks))

    validator("check").validate(json.loads(check_text(told, as_list=True)))
    # own number: the walks above reach every answer but one
    assert {one.answers.drag.answer for one in told} >= {"no", "yes", "cannot_tell"}
    assert any(one.urgent for one in told)


@pytest.mark.parametrize("strange", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_becomes_null(strange):
    van = hot_rear_right()
    odd = replace(van.axles[1], difference_k=Estimate(strange), rise_ratio=Estimate(1.4, 1.2, strange))
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
