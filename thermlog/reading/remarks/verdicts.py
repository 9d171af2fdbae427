"""What is called bad, or hotter or colder than another."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reading.cellwords import cell_words, within
from thermlog.reading.positions.resolve import looks_like_position
from thermlog.reading.positions.words import tokens_of

if TYPE_CHECKING:
    from collections.abc import Sequence


def is_condemned(part: Sequence[str], *, at_wheel: bool) -> bool:
    """True for "RR defekt" and "status: NOK": a wheel, or all, called bad, with nothing else beside it."""
    words = cell_words().alarm
    if not (
        words["not_of_brake"] | words["mended"] | cell_words().fine - cell_words().all_of_them
    ).isdisjoint(part):
        return False
    if any(within(part, words["idle"])):  # "brakes badly" tells more
        return False
    fill = words["alone_fill"] | cell_words().between
    parts = words["felt"] | words["undone_part"] | words["held_by"] | words["verdict_of"]
    for _, rest in within(part, words["condemned"]):
        left = [token for token in rest if token not in fill]
        if (at_wheel or left) and all(one in parts or looks_like_position(one) for one in left):
            return True
    return False


def asks_verdict(heading: str) -> bool:
    """True for a heading of what somebody made of a wheel: "status", "Befund", "fault code"."""
    words, tokens = cell_words().alarm, tokens_of(heading)
    return bool(tokens) and (words["verdict_of"] | words["verdict_heads"]).issuperset(tokens)


def names_part(heading: str) -> bool:
    """True for a heading that names a part of the wheel end: "caliper", "wheel nuts"."""
    words = cell_words().alarm
    parts = words["felt"] | words["undone_part"] | words["held_by"] | words["stuck_part"] | words["worn_part"]
    return not parts.isdisjoint(tokens_of(heading))


def is_side_hotter(part: Sequence[str]) -> bool:
    """True where one side, or one wheel, is said to be hotter, and not the air or an engine."""
    words = cell_words().alarm
    return any(any(within(rest, words["one_side"])) for _, rest in within(part, words["side_hotter"]))


def is_compared(part: Sequence[str], name: str) -> bool:
    """True for "a lot hotter" and "colder than the other" in the row of a wheel; not for "cooler now"."""
    fill = cell_words().alarm["compared"] | cell_words().between
    return any(
        all(token in fill or token.isdigit() or looks_like_position(token) for token in rest)
        for _, rest in within(part, cell_words().alarm[name])
    )
