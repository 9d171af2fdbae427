"""One thing to do for a vehicle that was driven twice: what the severer of its two drives asks for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import get_args

from msgspec.structs import replace

from thermlog.advice.doing import doing
from thermlog.judging.danger import hottest_brake_degc
from thermlog.judging.judged import Judged
from thermlog.words.findings import Answers, NextCheck
from thermlog.words.reasons import DRIVES, DoCode, Reason

# The severest first; a check at the wheel, which is no code of this list, comes behind them. Judgement.
_FIRST = ("clear_and_wait", "cool_and_turn", "tell_sides", "static_check")
_LACKING = frozenset({"barely_rolled", "not_read_rolled"})


def partner_of(judged: Judged, k: int) -> int | None:
    """The other drive of the same vehicle that is told together with case `k`."""
    other = judged.digest.coast_case[k]
    return judged.digest.braked_case[k] if other is None else other


def severer(judged: Judged, k: int, checks: Mapping[int, NextCheck | None]) -> NextCheck | None:
    """What to do next about case `k`, beside what its other drive asks for.

    Parameters
    ----------
    judged : Judged
    k : int
    checks : dict of int to NextCheck or None
        Of every case that is told.
    """
    other = partner_of(judged, k)
    mine = checks.get(k)
    theirs = None if other is None else checks.get(other)
    if mine is None or theirs is None or other is None:
        return mine
    return mine if _order(judged, k, mine) <= _order(judged, other, theirs) else theirs


def _order(judged: Judged, k: int, check: NextCheck) -> tuple[int, bool, int, float, int]:
    """What comes first sorts first.

    A wheel that is too hot for a hand on one drive is not touched because the other drive read it cooler.
    """
    hottest_degc = hottest_brake_degc(judged, k) or 0.0
    rank = _rank(check)
    cool = hottest_degc < doing().rule["no_drive_degc"]
    return min(rank, len(_FIRST)), cool, rank, -hottest_degc, k


def _rank(check: NextCheck) -> int:
    if check.id in _FIRST:
        return _FIRST.index(check.id)
    if check.id not in get_args(DoCode):
        return len(_FIRST)
    if check.id in {"keep_record", "weigh_remark", "go_by_verification"}:
        return len(_FIRST) + 3
    return len(_FIRST) + (2 if check.id in DRIVES else 1)


def without_made(judged: Judged, k: int, answers: Answers) -> Answers:
    """Nobody is sent on a drive without braking that was just made, and read in full."""
    lacks = any(reason.code in _LACKING for one in answers.each for reason in one.reasons)
    if judged.digest.coast_case[k] is None or lacks:
        return answers
    drag, idle, heat = (
        replace(one, decides=left or (Reason(code="repeat_drive"),))
        if (left := tuple(step for step in one.decides if step.code != "coast_drive")) != one.decides
        else one
        for one in answers.each
    )
    return Answers(drag=drag, idle=idle, heat=heat)
