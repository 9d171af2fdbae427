"""Vehicles with one wheel an axle: they have no left and right to compare, and thermlog is not for them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reading.cells import shown
from thermlog.reading.positions.resolve import looks_like_position
from thermlog.reading.positions.words import tokens_of, word_table
from thermlog.words.errors import LogRefusedError

if TYPE_CHECKING:
    from thermlog.reading.sifted import Sifted

_NO_PAIR = "thermlog compares the left brake of an axle with the right one and is not for"


def names_no_side(work: Sifted) -> bool:
    """True if every reading names an axle, such as "front" or "R", and none a side."""
    return all(map(_is_axle, set(work.seen.position)))


def single_track(work: Sifted) -> LogRefusedError | None:
    """Refusal of a log that says it is of such a vehicle, and whose readings all name an axle and no side."""
    said = work.asked.statements.said.get("vehicle")
    if said is None or word_table().single_track.isdisjoint(tokens_of(said.text)) or not names_no_side(work):
        return None
    problem = f"{_NO_PAIR} a vehicle with one wheel an axle: this log cannot be judged, however it is written"
    return LogRefusedError(
        problem, code="single_track", file=work.asked.file, line=said.line, value=shown(said.text)
    )


def one_wheel_an_axle(work: Sifted) -> str:
    """What to say beside a refusal of readings that name no side; empty where one does."""
    if not names_no_side(work):
        return ""
    return f"; {_NO_PAIR} a vehicle with one wheel an axle, such as a motorcycle"


def _is_axle(text: str) -> bool:
    if text.strip().upper() in word_table().bare_axles:
        return True
    return any(map(str.isalpha, text)) and (
        looks_like_position(f"left {text}") and not looks_like_position(text)
    )
