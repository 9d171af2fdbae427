"""JSON Schemas of the output, made of the types it is written from and of their docstrings."""

from __future__ import annotations

import inspect
import json
import re
from typing import Any, Literal, TypeAlias

import msgspec
from msgspec import Struct

from thermlog.reports.contract.beside import CompareObject
from thermlog.reports.contract.check import CheckObject
from thermlog.reports.contract.filing import FilingObject
from thermlog.reports.contract.history import HistoryObject
from thermlog.reports.contract.lists import FleetObject, InspectObject
from thermlog.reports.contract.narrow import NarrowObject
from thermlog.reports.contract.outcomes import OutcomesObject
from thermlog.reports.contract.practice import PracticeObject

Contract: TypeAlias = Literal[
    "check", "inspect", "fleet", "compare", "narrow", "history", "practice", "filing", "outcomes"
]
Schema: TypeAlias = dict[str, Any]
_TYPES: dict[Contract, type[Struct]] = {
    "check": CheckObject, "inspect": InspectObject, "fleet": FleetObject, "compare": CompareObject,
    "narrow": NarrowObject, "history": HistoryObject, "practice": PracticeObject,
    "filing": FilingObject, "outcomes": OutcomesObject,
}  # fmt: skip
CONTRACTS: tuple[Contract, ...] = tuple(_TYPES)
_DIALECT = "https://json-schema.org/draft/2020-12/schema"
_GROWTH = (
    "Readers must ignore keys they do not know: this contract may grow within a schema_version. "
    "A number that is not known is null."
)
_LIST = "One object for one log, a list for several logs, vehicles or drives."


def schema_text(contract: Contract) -> str:
    """The JSON Schema (draft 2020-12) of one contract, complete in itself.

    Parameters
    ----------
    contract : {"check", "inspect", "fleet", "compare", "narrow", "history", "practice", "filing", "outcomes"}

    Returns
    -------
    str
        Indented, ended by a line feed.
    """
    whole = _TYPES[contract]
    (_, several), parts = msgspec.json.schema_components(
        [whole, tuple[whole, ...]],  # type: ignore[valid-type]  # a type only while this runs
        ref_template="#/$defs/{name}",
    )
    records = {record.__name__: record for record in _records(whole)}
    told = {name: _told(part, records[name]) for name, part in parts.items()}
    mine = told.pop(whole.__name__)
    summary = mine["description"]
    if contract == "check":  # the one that comes alone or as a list
        told[whole.__name__] = mine
        mine, summary = {"anyOf": [{"$ref": f"#/$defs/{whole.__name__}"}, several]}, f"{summary} {_LIST}"
    head = {"$schema": _DIALECT, "title": f"thermlog {contract}", "description": f"{summary} {_GROWTH}"}
    schema = head | {key: value for key, value in mine.items() if key not in head} | {"$defs": told}
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


def _records(whole: type[Struct]) -> set[type[Struct]]:
    """A record and all records in it."""
    found: set[type[Struct]] = set()
    open_types = [msgspec.inspect.type_info(whole)]
    while open_types:
        kind = open_types.pop()
        if isinstance(kind, msgspec.inspect.StructType) and kind.cls not in found:
            found.add(kind.cls)
            open_types += [field.type for field in kind.fields]
        parts = (getattr(kind, name, ()) for name in ("types", "item_types"))
        open_types += [part for group in parts for part in group]
        open_types += [kind.item_type] if hasattr(kind, "item_type") else []
    return found


def _told(part: Schema, record: type[Struct]) -> Schema:
    """A record's schema with what its docstring says of it and of every key; every key is always there."""
    summary, attributes = described(record)[0], _attributes(record)
    keys = dict(zip(record.__struct_fields__, record.__struct_encode_fields__, strict=True))
    words = {keys[name]: text for name, text in attributes.items() if name in keys}
    optional = {
        keys[field.name] for field in msgspec.structs.fields(record) if field.default is msgspec.UNSET
    }
    properties = {key: _without_default(kind) for key, kind in part["properties"].items()}
    return part | {
        "description": summary,
        "properties": {
            key: kind | ({"description": words[key]} if key in words else {})
            for key, kind in properties.items()
        },
        "required": [key for key in properties if key not in optional],
    }


def _attributes(record: type[Struct]) -> dict[str, str]:
    """What is said of each attribute, of those that it shares with others too."""
    kin = [one for one in reversed(record.__mro__) if issubclass(one, Struct) and one is not Struct]
    return {name: text for one in kin for name, text in described(one)[1].items()}


def _without_default(kind: Schema) -> Schema:
    return {key: value for key, value in kind.items() if key != "default"}


def described(record: type[Struct]) -> tuple[str, dict[str, str]]:
    """What a numpydoc docstring says of a record, and of each of its attributes.

    Parameters
    ----------
    record : type
        Class with a docstring.

    Returns
    -------
    summary : str
    attributes : dict of str to str
        Names that stand together share their description; without one they are left out.
    """
    summary, _, section = inspect.cleandoc(record.__doc__ or "").partition("\n\nAttributes\n----------\n")
    section = re.split(r"\n\n\S+\n-+\n", section)[0]
    attributes: dict[str, str] = {}
    for entry in re.split(r"\n(?=\S)", section):
        head, _, text = entry.partition("\n")
        names = head.partition(" : ")[0].split(", ")
        plain = " ".join(text.split()).replace("``", "").replace("`", "")
        attributes |= dict.fromkeys(names, plain) if plain else {}
    return " ".join(summary.split()).replace("``", ""), attributes
