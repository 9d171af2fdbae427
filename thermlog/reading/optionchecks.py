"""Options given from Python: held against what they may be before any log is read."""

from __future__ import annotations

import codecs
import math
import os
from collections.abc import Iterator, Mapping
from numbers import Real
from typing import Any, Literal, get_args, get_origin

import msgspec

from thermlog.reading.columnmap import load_column_map
from thermlog.reading.readoptions import COLDEST_AIR_DEGC, HOTTEST_AIR_DEGC, ColumnMap, ReadOptions
from thermlog.reading.remarks.sights import SEEN_HINT, read_sights
from thermlog.words.errors import OptionError

_NUMBERS = ("ambient_degc", "ambient_sigma_k")
_LISTS = ("override", "seen")


def checked_options(given: Mapping[str, Any]) -> ReadOptions:
    """Options of reading as they were given from Python.

    Parameters
    ----------
    given : mapping
        Fields of `ReadOptions`. A column map may be a `ColumnMap` or a file; a list of one may be bare.

    Raises
    ------
    OptionError
        No such option, or a value that has no meaning.
    LogRefusedError
        The file of the column map cannot be read.

    Examples
    --------
    >>> checked_options({"unit": "F", "override": "unit"}).override
    ('unit',)
    >>> checked_options({"unit": "Q"})
    Traceback (most recent call last):
    ...
    thermlog.words.errors.OptionError: unit="Q": write one of C, F, K
    """
    values = dict(given)
    for name in values:
        if name not in ReadOptions.__struct_fields__:
            msg = f"{name}: no option of reading; there are {', '.join(ReadOptions.__struct_fields__)}"
            raise OptionError(msg)
    column_map = values.pop("column_map", None)
    for name in _NUMBERS:
        if name in values:
            values[name] = _number(name, values[name])
    if values.get("delimiter") == "tab":
        values["delimiter"] = "\t"
    for name in _LISTS:
        if isinstance(values.get(name), str):
            values[name] = (values[name],)
    options = ReadOptions(**{name: _fitting(name, value) for name, value in values.items()})
    _refuse_meaningless(options)
    return msgspec.structs.replace(options, column_map=_column_map(column_map))


def _number(name: str, value: Any) -> float | None:
    if value is None:
        return None
    no_number = isinstance(value, bool) or not isinstance(value, Real)
    number = math.nan if no_number else float(value)
    if not math.isfinite(number):
        raise _refused(name, value, "a finite number is wanted")
    return number


def _fitting(name: str, value: object) -> Any:
    """One value in the type of its field."""
    field = next(field for field in msgspec.structs.fields(ReadOptions) if field.name == name)
    try:
        return msgspec.convert(value, field.type)
    except msgspec.ValidationError as fault:
        words = list(_words_of(field.type))
        why = f"write one of {', '.join(words)}" if words else str(fault)
        raise _refused(name, value, why) from None


def _words_of(kind: Any) -> Iterator[str]:
    """Words that a type lets through, where they are counted."""
    if get_origin(kind) is Literal:
        yield from get_args(kind)
    else:
        for part in get_args(kind):
            yield from _words_of(part)


def _refuse_meaningless(options: ReadOptions) -> None:
    air, sigma, vehicle = options.ambient_degc, options.ambient_sigma_k, options.vehicle
    no_air = f"no air temperature in °C; give one from {COLDEST_AIR_DEGC:g} to {HOTTEST_AIR_DEGC:g}"
    no_name = "the name of a vehicle is wanted; a description in a file is given as vehicle_file"
    wrong = (
        ("ambient_degc", air, air is None or COLDEST_AIR_DEGC <= air <= HOTTEST_AIR_DEGC, no_air),
        ("ambient_sigma_k", sigma, sigma is None or sigma > 0, "an uncertainty lies above 0 K"),
        ("vehicle", vehicle, vehicle is None or not is_vehicle_file(vehicle), no_name),
        ("delimiter", options.delimiter, len(options.delimiter or ",") == 1, "one sign is wanted, or tab"),
        (
            "encoding",
            options.encoding,
            _is_encoding(options.encoding),
            "no such encoding; try utf-8 or cp1252",
        ),
        *(("seen", text, _is_sight(text), f"nothing known as seen; {SEEN_HINT}") for text in options.seen),
    )
    for name, value, right, why in wrong:
        if not right:
            raise _refused(name, value, why)


def _is_encoding(name: str | None) -> bool:
    try:
        return name is None or bool(codecs.lookup(name))
    except (LookupError, ValueError):
        return False


def _is_sight(text: str) -> bool:
    return bool(text.strip()) and not read_sights(text).strange


def is_vehicle_file(name: str) -> bool:
    """True if a name of a vehicle is rather that of a file.

    Examples
    --------
    >>> is_vehicle_file("van.toml"), is_vehicle_file("van 7")
    (True, False)
    """
    return name.strip().lower().endswith(".toml")


def _column_map(given: object) -> ColumnMap | None:
    if given is None or isinstance(given, ColumnMap):
        return given
    if isinstance(given, (str, os.PathLike)):
        return load_column_map(os.fsdecode(given))
    name = "column_map"
    raise _refused(name, given, "a ColumnMap or the name of its file is wanted")


def _refused(name: str, value: object, why: str) -> OptionError:
    shown = f'"{value}"' if isinstance(value, str) else repr(value)
    return OptionError(f"{name}={shown}: {why}")


def path_list(paths: Any) -> list[str]:
    """One path or several as texts.

    Raises
    ------
    OptionError
        What is given is no path, nor several.
    """
    if isinstance(paths, (str, bytes, os.PathLike)):
        return [path_text(paths, "paths")]
    try:
        each = list(paths)
    except TypeError:
        msg = f"paths={paths!r}: a path or several are wanted"
        raise OptionError(msg) from None
    return [path_text(path, "paths") for path in each]


def path_text(path: Any, name: str) -> str:
    """A path as text; `name` is that of the argument.

    Raises
    ------
    OptionError
        It is none.
    """
    try:
        text = os.fspath(path)
    except TypeError:
        text = None
    if not isinstance(text, str) or not text:
        msg = f"{name}={path!r}: no path"
        raise OptionError(msg)
    return text


def learns_skins(skins: str) -> bool:
    """True for "learned", False for "assumed".

    Raises
    ------
    OptionError
        It is another word.
    """
    if skins not in {"learned", "assumed"}:
        name = "skins"
        raise _refused(name, skins, "write learned or assumed")
    return skins == "learned"
