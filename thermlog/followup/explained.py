"""Whether what later logs state of the repair explains what an earlier one found."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal, TypeAlias

from thermlog.reading.remarks.repairs import repair_explains
from thermlog.words.findings import Diagnosis
from thermlog.words.moments import year_of

# "unsaid": no log says anything of a repair, which is no word against one
Explained: TypeAlias = Literal["yes", "no", "unsaid"]
NONE_MADE = "none"


def explained(log: Diagnosis, later: Sequence[Diagnosis], corners: Sequence[str]) -> Explained:
    """Whether later logs state work that can have been the cause of what a log found.

    Parameters
    ----------
    log : Diagnosis
    later : sequence of Diagnosis
        What stands above two drives was so before both.
    corners : sequence of str
        Where it was found: work at one of them will do. Empty where nobody said.
    """
    read = {one.corner for each in (log, *later) for one in each.corners}
    texts = repairs_after(log, later)
    places: Sequence[str | None] = corners or (None,)
    taken = (one.taken for one in (*later, log) if one.taken is not None)
    near = next((one.traffic_side for one in taken if one.traffic_side is not None), None)
    said = [(text, at) for text in texts for at in places]
    years = _years(later)
    if any(
        repair_explains(text, at, read, traffic_side=near, driven_year=years.get(text)) for text, at in said
    ):
        return "yes"
    return "no" if texts else "unsaid"


def repairs_after(log: Diagnosis, later: Sequence[Diagnosis]) -> tuple[str, ...]:
    """What later logs say of a repair since a log, as written; `NONE_MADE` where it is that none was made."""
    before = set(_repairs((log,)))
    texts = tuple(text for text in dict.fromkeys(_repairs(later)) if text not in before)
    none = any(one.taken is not None and one.taken.unrepaired for one in later)
    return texts or ((NONE_MADE,) if none else ())


def _years(logs: Iterable[Diagnosis]) -> dict[str, int]:
    """Each text of a repair -> the year of the first drive whose log states it, where it has a date."""
    years: dict[str, int] = {}
    for log in logs:
        year = None if log.taken is None else year_of(log.taken.start)
        if log.taken is not None and log.taken.repair and year is not None:
            years.setdefault(log.taken.repair, year)
    return years


def _repairs(logs: Iterable[Diagnosis]) -> tuple[str, ...]:
    return tuple(log.taken.repair for log in logs if log.taken is not None and log.taken.repair)
