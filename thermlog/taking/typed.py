"""A line typed at the bench: a wheel and a number, or one of a few words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from string import ascii_lowercase
from typing import Literal, TypeAlias

from msgspec import Struct

from thermlog.reading.cornerwords import corner_of_word
from thermlog.reading.positions.resolve import looks_like_position
from thermlog.reading.positions.words import take_spot, tokens_of
from thermlog.reading.remarks.sights import read_sights
from thermlog.taking.entries import typed_cell
from thermlog.words.errors import WalkError
from thermlog.words.units import Unit, from_degc, to_degc
from thermlog.words.vehicle import SPOTS, Spot

TypedOrder: TypeAlias = Literal["parked", "undo", "done", "help"]

ORDERS: dict[str, TypedOrder] = {
    "parked": "parked", "stopped": "parked", "undo": "undo", "done": "done", "quit": "done", "exit": "done",
    "help": "help", "?": "help",
}  # fmt: skip
_WITH_TEXT = re.compile(r"(?P<word>note|seen|air|ambient)\s+(?P<text>.+)", re.IGNORECASE)
_VALUE = re.compile(
    r"(?P<where>.*?)(?P<value>[-+−]?\d+(?:[.,]\d+)?)\s*(?:°|deg)?\s*(?P<unit>[CF]?)", re.IGNORECASE
)


class TypedLine(Struct, frozen=True, kw_only=True):
    """What a line says.

    Attributes
    ----------
    kind : {"reading", "air", "note", "seen"} or an TypedOrder
    corner : str
        Of a reading; empty: the wheel that was proposed.
    spot : Spot
    cell : str
        In the unit of the walk.
    text : str
    """

    kind: Literal["reading", "air", "note", "seen"] | TypedOrder
    corner: str = ""
    spot: Spot = "brake"
    cell: str = ""
    text: str = ""


def keys_of(corners: Sequence[str]) -> dict[str, str]:
    """One letter a wheel, from the front, left before right; beyond the alphabet its code alone.

    Examples
    --------
    >>> keys_of(["1L", "1R", "2L", "2R"])
    {'1L': 'a', '1R': 'b', '2L': 'c', '2R': 'd'}
    """
    return dict(zip(corners, ascii_lowercase, strict=False))


def typed_line(line: str, *, corners: Sequence[str], unit: Unit) -> TypedLine:
    """Meaning of a line.

    Parameters
    ----------
    line : str
        Such as ``177``, ``a 177``, ``LF 351F``, ``2L hub 60``, ``d OL``, ``note wind from the left``.
    corners : sequence of str
        Of the vehicle.
    unit : {"C", "F"}
        Of numbers without one.

    Raises
    ------
    WalkError
        It says nothing known; the message quotes it and says what to type.

    Examples
    --------
    >>> wheels = ["1L", "1R", "2L", "2R"]
    >>> typed_line("lf 351F", corners=wheels, unit="C").cell
    '177.2'
    """
    text = " ".join(line.split())
    if (order := ORDERS.get(text.lower())) is not None:
        return TypedLine(kind=order)
    said = _WITH_TEXT.fullmatch(text)
    if said is None:
        return TypedLine(kind="seen", text=text) if _is_sight(text) else _reading(text, corners, unit)
    word = said["word"].lower()
    if word in {"air", "ambient"}:
        cell, where = _cell(said["text"], unit)
        if cell is None or where:
            raise _not_known(text, corners)
        return TypedLine(kind="air", cell=cell)
    return TypedLine(kind="note" if word == "note" else "seen", text=said["text"])


def named_wheel(text: str, *, corners: Sequence[str]) -> str:
    """The wheel that a letter or some words name; empty where they name none.

    Examples
    --------
    >>> named_wheel("d", corners=["1L", "1R", "2L", "2R"]), named_wheel("door", corners=["1L", "1R"])
    ('2R', '')
    """
    return _place(" ".join(text.split()), corners)[0] or ""


def _is_sight(text: str) -> bool:
    """True for what was seen, alone or with its wheel: whoever sees smoke does not think of a word before it.

    Examples
    --------
    >>> [_is_sight(text) for text in ("smoke at RF", "fire!", "no smoke", "smell 60", "a 177")]
    [True, True, False, False, False]
    """
    said = read_sights(text)
    return bool(said.found) and not said.strange and all(
        not one.place or looks_like_position(one.place) for one in said.found
    )  # fmt: skip


def _reading(text: str, corners: Sequence[str], unit: Unit) -> TypedLine:
    cell, where = _cell(text, unit)
    corner, spot = _place(where, corners)
    if cell is None or corner is None:
        raise _not_known(text, corners)
    return TypedLine(kind="reading", corner=corner, spot=spot, cell=cell)


def _cell(text: str, unit: Unit) -> tuple[str | None, str]:
    """The value at the end of a line, in the unit of the walk, and what stands before it."""
    found = _VALUE.fullmatch(text)
    if found is None:
        where, _, word = text.rpartition(" ")
        return typed_cell(word), where
    typed: Unit = found["unit"].upper() or unit  # type: ignore[assignment]  # the pattern lets nothing else through
    value = found["value"].replace(",", ".").replace("−", "-")
    cell = value if typed == unit else f"{from_degc(to_degc(float(value), typed), unit):.1f}"
    return typed_cell(cell), found["where"].strip()


def _place(where: str, corners: Sequence[str]) -> tuple[str | None, Spot]:
    """Wheel and spot of the words before a number; an empty wheel where none is named."""
    letters = {letter: corner for corner, letter in keys_of(corners).items()}
    spot, rest = take_spot(tokens_of(where), wheel_is_spot=False)
    aimed: Spot = spot or SPOTS[0]
    word = " ".join(rest) if spot else where
    if not word:
        return "", aimed
    if word.lower() in letters:
        return letters[word.lower()], aimed
    return corner_of_word(word, corners), aimed


def _not_known(text: str, corners: Sequence[str]) -> WalkError:
    first, second = (*corners, *corners)[:2]
    return WalkError(
        f'"{text}" says nothing known; type a wheel and a number, as in "{keys_of(corners)[first]} 177" or '
        f'"{second} 126", a number alone for the wheel that is proposed, or: parked, air 18, undo, '
        "note TEXT, seen smoke at RF, done"
    )
