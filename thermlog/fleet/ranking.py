"""The order of a list of work: danger, then what was found, then its effect, as far as doubt leaves it."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from thermlog.fleet.workrow import GROUPS, FleetRow
from thermlog.words.kinds import reasons_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from thermlog.words.estimates import Estimate
    from thermlog.words.findings import Verdict
    from thermlog.words.reasons import ReasonCode

# Finer steps would rank noise: engineering judgement.
_STEP_K = 5.0
_GRADES = (0.5, 0.95)
_TOGETHER: frozenset[ReasonCode] = reasons_of("axle") | reasons_of("circuit")
_PLACE: dict[Verdict, int] = {"hot": 0, "cold": 0, "watch": 1, "cannot_tell": 2, "even": 3}
Place: TypeAlias = tuple[tuple[int, ...], float, float, str, str, str]


def by_drive(rows: Iterable[FleetRow]) -> list[tuple[FleetRow, ...]]:
    """The lines of each drive, the most pressing first.

    Parameters
    ----------
    rows : iterable of FleetRow
    """
    drives: dict[tuple[str, str, str | None], list[FleetRow]] = {}
    for row in rows:
        drives.setdefault(row.visit, []).append(row)
    return [tuple(lines if len(lines) == 1 else sorted(lines, key=_line_of)) for lines in drives.values()]


def _line_of(row: FleetRow) -> tuple[tuple[int, ...], bool, Place]:
    """Within a drive: brakes that are named come before those that only the heat of them all speaks of."""
    return group_place(row), bool(row.heats), line_place(row)


def line_place(row: FleetRow) -> Place:
    """What a line is ranked by, the smallest first; of a drive its first line counts.

    What stops the vehicle, its group, then the least effect that the interval leaves, in steps of 5 K; then
    the surer ones, in three grades; then names, so that the order of the files does not matter.
    """
    return group_place(row), step_of(row), doubt_grade(row), row.unit, row.file, tail_of(row)


def group_place(row: FleetRow) -> tuple[int, ...]:
    """What stops the vehicle, its group and verdict."""
    return _danger(row), GROUPS.index(row.group), not row.stops, _PLACE[row.finding.verdict]


def tail_of(row: FleetRow) -> str:
    """What tells lines of one file apart."""
    return f"{row.drive} {row.finding.axle or None}"


def step_of(row: FleetRow) -> float:
    """Step of the least effect, the largest first."""
    return -(effect_k(row) // _STEP_K)


def _danger(row: FleetRow) -> int:
    """Place of the worst that stops the vehicle; after all of them where nothing does."""
    from thermlog.advice.urgency import BY_DANGER

    return min((BY_DANGER.index(one.code) for one in row.urgent), default=len(BY_DANGER))


def effect_k(row: FleetRow) -> float:
    """Least heat too much or too little that the interval leaves [K].

    Parameters
    ----------
    row : FleetRow

    Returns
    -------
    float
        Between the sides; where both sides, or all brakes, stand out together, beside what is expected.
    """
    found = [least_k(row.finding.difference_k)]
    for reason in row.finding.reasons:
        numbers = reason.numbers
        if reason.code in _TOGETHER:
            found.append(numbers.get("low_k", numbers.get("above_k", numbers.get("below_k", 0.0))))
        elif reason.code == "all_hot":
            found.append(numbers.get("rise_k", 0.0) - numbers.get("usual_k", 0.0))
    return max(found)


def doubt_grade(row: FleetRow) -> int:
    """0 for what is sure, 1 for what is likelier than not, 2 for the rest."""
    p = max(row.p_drag or 0.0, row.p_idle or 0.0)
    return sum(p < grade for grade in _GRADES)


def least_k(gap_k: Estimate | None) -> float:
    """Least size of a difference that its interval leaves, not below zero [K].

    Examples
    --------
    >>> from thermlog.words.estimates import Estimate
    >>> least_k(Estimate(-40.0, -52.0, -28.0)), least_k(Estimate(5.0, -2.0, 12.0)), least_k(Estimate(9.0))
    (28.0, 0.0, 9.0)
    """
    if gap_k is None:
        return 0.0
    if gap_k.low is None or gap_k.high is None:
        return abs(gap_k.value)
    return max(gap_k.low, -gap_k.high, 0.0)
