"""What the schemas of the output say, and how its text is written."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from typing import Any, get_args

import msgspec
import pytest
from jsonschema import Draft202012Validator
from msgspec.structs import replace
from samples import hot_rear_right, watched_van

from thermlog.reports.contract.check import CheckObject, SeverityObject
from thermlog.reports.contract.jsonnumbers import at_six_digits, ends_of, value_of
from thermlog.reports.contract.schemas import CONTRACTS, Contract, described, schema_text
from thermlog.reports.contract.writing import json_line, json_text
from thermlog.words.estimates import Estimate
from thermlog.words.findings import PatternKind, UrgentCode, Verdict
from thermlog.words.reasons import Reason


def objects(contract: Contract) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every object that a schema describes, with its name."""
    schema = json.loads(schema_text(contract))
    yield from ((name, one) for name, one in schema["$defs"].items() if "properties" in one)
    if "properties" in schema:
        yield contract, schema


@pytest.mark.parametrize("contract", CONTRACTS)
def test_every_object_and_every_key_is_described(contract: Contract) -> None:
    silent = [name for name, one in objects(contract) if not one.get("description")]
    silent += [
        f"{name}.{key}"
        for name, one in objects(contract)
        for key, kind in one["properties"].items()
        if not kind.get("description")
    ]

    assert silent == []
    assert len(dict(objects(contract))) > 5  # own number: inspect, the smallest, has six


@pytest.mark.parametrize("contract", CONTRACTS)
def test_descriptions_are_plain_sentences(contract: Contract) -> None:
    for name, one in objects(contract):
        for text in (one["description"], *(kind["description"] for kind in one["properties"].values())):
            assert text == text.strip(), name
            assert text.endswith((".", "?")), (name, text)
            assert not set("`\n") & set(text), (name, text)
            assert "Attributes" not in text, name


def test_schema_knows_every_word_and_every_bound() -> None:
    """The types themselves are what the schema is held against."""
    parts = dict(objects("check"))
    corner, pattern = parts["CornerObject"]["properties"], parts["PatternObject"]["properties"]

    assert set(corner["verdict"]["enum"]) == set(get_args(Verdict))
    assert set(pattern["kind"]["enum"]) == set(get_args(PatternKind))
    assert set(parts["Urgent"]["properties"]["code"]["enum"]) == set(get_args(UrgentCode))
    share = {"type": "number", "minimum": 0, "maximum": 1}
    assert corner["p_hot"]["anyOf"] == [share, {"type": "null"}]
    assert corner["axle"]["minimum"] == 1
    assert corner["corner"]["pattern"] == "^[1-9][0-9]*[LR]$"


def test_only_what_explain_adds_may_be_missing() -> None:
    for contract in CONTRACTS:
        for name, one in objects(contract):
            missing = set(one["properties"]) - set(one["required"])
            assert missing == ({"budgets", "decisions"} if name == "CheckObject" else set()), name


def test_later_keys_are_allowed_but_in_what_explain_adds() -> None:
    closed = {
        name for contract in CONTRACTS for name, one in objects(contract) if "additionalProperties" in one
    }

    assert closed == {"Budget", "Contribution", "Decision"}


def test_docstring_is_taken_apart() -> None:
    class Wheel(msgspec.Struct):
        """A wheel,
        as it ``turns``.

        Attributes
        ----------
        left, right : int
            Where it
            stands.
        for_ : str or None
            Why.
        silent : bool

        Notes
        -----
        Nothing of this.
        """

    assert described(Wheel) == (
        "A wheel, as it turns.",
        {"left": "Where it stands.", "right": "Where it stands.", "for_": "Why."},
    )


# --- text ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("indent", [None, 2])
def test_text_is_what_the_standard_library_writes(indent: int | None) -> None:
    """Layout, order and letters are those of `json.dumps`; numbers below 0.0001 are spelled otherwise."""
    found = replace(CheckObject.of(hot_rear_right()), vehicle="van 12, 3 °C, \U0001f690")
    text = json_text(found) if indent else json_line(found) + "\n"
    plain = msgspec.to_builtins(found, enc_hook=str)

    assert text == json.dumps(plain, indent=indent) + "\n"
    assert text.isascii()
    assert "3 \\u00b0C, \\ud83d\\ude90" in text


def test_small_numbers_keep_their_value() -> None:
    found = replace(CheckObject.of(watched_van()), p_fault=1.23e-7, common_time_s=0.0000123456)
    told = json.loads(json_line(found))

    assert (told["p_fault"], told["common_time_s"]) == (1.23e-7, 0.0000123456)


def test_name_of_a_file_that_is_no_text_is_written_too() -> None:
    """Names of files on Linux are bytes; Python holds what is no UTF-8 as lone surrogates (PEP 383)."""
    van = hot_rear_right()
    odd = replace(van, log=replace(van.log, file="van\udcff 12 \x7f.csv"))
    line = json_line(CheckObject.of(odd))

    assert json.loads(line)["log"]["file"] == "van\udcff 12 \x7f.csv"
    assert line.isascii()
    assert line == json_line(CheckObject.of(van)).replace(
        json.dumps(van.log.file), json.dumps("van\udcff 12 \x7f.csv")
    )
    Draft202012Validator(json.loads(schema_text("check"))).validate(json.loads(line))


def test_records_are_rounded_all_the_way_down() -> None:
    reasons = (Reason(code="even"),)
    severity = SeverityObject(
        corner="1L",
        torque_nm=12.3456789,
        torque_interval_nm=(1.0, 99.99999999),
        heat_w=7.0,
        heat_interval_w=(1.0, 9.0),
        lower_bound=False,
        words="little",
    )
    (rounded,), same = at_six_digits((severity,)), at_six_digits(reasons)

    assert (rounded.torque_nm, rounded.torque_interval_nm) == (12.3457, (1.0, 100.0))
    assert rounded.words == severity.words
    assert same == reasons
    assert ends_of(Estimate(1.0, 0.5, math.inf)) is None
    assert (value_of(Estimate(1.23456789)), value_of(None), ends_of(None)) == (1.23457, None, None)
