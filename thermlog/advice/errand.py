"""What a next check is called in a list of work, and what has to be at hand for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.advice.doing import doing
from thermlog.words.bounds import NotNegative

if TYPE_CHECKING:
    from thermlog.words.findings import NextCheck

# What a check needs that is fetched; the others are states of the vehicle.
_FETCHED = ("lift", "stands", "helper", "gauge", "scan")


class Errand(Struct, frozen=True, kw_only=True):
    """What to do next with a vehicle: a check as one entry of a list of work.

    Attributes
    ----------
    id : str
        For programs: that of the check.
    name : str
        A few words, the same for every vehicle.
    question : str
        What to find out, or to do.
    minutes : float
        About how long it takes.
    tools : tuple of str
        What has to be at hand, in words.
    safety : str
        How to do it safely.
    """

    id: str
    name: str
    question: str
    minutes: NotNegative
    tools: tuple[str, ...]
    safety: str


def errand_of(check: NextCheck) -> Errand:
    """A next check with its short name and its tools."""
    book = doing()
    if (deed := book.step(check.id)) is not None:
        name, tools = deed.name, tuple(book.tool[one] for one in deed.tools)
    else:
        from thermlog.advice.evidenceload import evidence_table  # where a physical check is asked for

        table = evidence_table()
        asked = table.observations[check.id]
        name = asked.title
        needed = (
            one for one in _FETCHED if one in asked.needs or (one == "lift" and "wheel_off" in asked.needs)
        )
        tools = tuple(book.tool.get(one) or table.needs[one] for one in needed)
    return Errand(
        id=check.id,
        name=name,
        question=check.question,
        minutes=check.minutes,
        tools=tools,
        safety=check.safety,
    )
