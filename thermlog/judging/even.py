"""Findings of vehicles that are plainly even, straight from the columns.

What `tell` says of such a vehicle is known beforehand: three times "no", every corner and axle even, nothing
to do but to keep the record. A test holds every finding made here against the one that is told in full.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain, cycle, repeat
from typing import TypeVar

from msgspec import Struct
from msgspec.structs import replace

from thermlog.advice.doing import reached_degc
from thermlog.inference.limits import drag_line_of
from thermlog.judging.axlenumbers import gap_numbers
from thermlog.judging.bands import Bands, known_band
from thermlog.judging.clues import advice_if_even
from thermlog.judging.danger import hottest_brake_degc
from thermlog.judging.detectable import (
    LimitsAhead,
    OneCase,
    beside_limits,
    drag_numbers,
    loss_numbers,
    sharpened,
)
from thermlog.judging.digest import Digest
from thermlog.judging.judged import Judged
from thermlog.judging.notes import notes_of, noteworthy
from thermlog.judging.reckoning import heat_usual
from thermlog.words.estimates import Estimate
from thermlog.words.findings import (
    Answer,
    Answers,
    AxleFinding,
    CornerFinding,
    Detectable,
    Diagnosis,
    NextCheck,
    PatternFinding,
)
from thermlog.words.kinds import NONE
from thermlog.words.reasons import Reason
from thermlog.words.vehicle import SIDES

_Value = TypeVar("_Value")


def even_findings(
    judged: Judged, cases: Sequence[int], ahead: LimitsAhead, bands: Bands
) -> Iterator[Diagnosis]:
    """What `tell.tell_all` gives for some cases, which `plainly_even.plainly_even` found to be even.

    Parameters
    ----------
    judged : Judged
    cases : sequence of int
        Told in this order.
    ahead : LimitsAhead
        What their logs would have shown.
    bands : Bands
        What healthy brakes would read.
    """
    told, shown = judged.digest, ahead.now()
    batch = _Batch(
        corners=_corners(told, bands),
        axles=_axles(told),
        drags=_by_sides(shown.drag),
        losses=_by_sides(shown.loss),
        rise_k=_by_sides(told.rise_k),
    )
    noted = noteworthy(judged).tolist()
    for k, (check, warned) in zip(cases, _advised(judged, cases), strict=True):
        own = slice(told.first[k], told.first[k + 1])
        yield judged.frame(k)(
            corners=tuple(batch.corners[2 * own.start : 2 * own.stop]),
            axles=tuple(batch.axles[own]),
            pattern=PatternFinding(kind=NONE.name, p=told.p_none[k]),
            answers=_sharper(_answers(judged, k, batch, own), k, ahead),
            next_check=check,
            cautions=warned,
            notes=notes_of(judged, k) if noted[k] else (),
        )


class _Batch(Struct, frozen=True, kw_only=True, eq=False):
    """Of all pairs of a batch, and of their sides, left and right beside each other."""

    corners: list[CornerFinding]
    axles: list[AxleFinding]
    drags: list[Detectable | None]
    losses: list[Detectable | None]
    rise_k: list[float | None]


def _advised(judged: Judged, cases: Sequence[int]) -> list[tuple[NextCheck, tuple[str, ...]]]:
    """Next check and cautions, worked out once for all cases that are alike."""
    vehicles, policies = judged.vehicles, judged.policies
    driven = [(judged.readings.cases[k].drive, reached_degc(hottest_brake_degc(judged, k))) for k in cases]
    alike = [(vehicles.code[k], policies.code[k], how) for k, how in zip(cases, driven, strict=True)]
    one_of = dict(zip(alike, zip(cases, driven, strict=True), strict=True))
    found = {one: advice_if_even(vehicles[k], policies[k], *how) for one, (k, how) in one_of.items()}
    return [found[one] for one in alike]


def _by_sides(columns: Sequence[Sequence[_Value]]) -> list[_Value]:
    """Left and right of every pair beside each other."""
    return [*chain.from_iterable(zip(*columns, strict=True))]


def _corners(told: Digest, bands: Bands) -> list[CornerFinding]:
    at_common, rise_k = _by_sides(told.at_common_degc), _by_sides(told.rise_k)
    rises = (
        None if degc is None or value is None else degc.moved(value)
        for degc, value in zip(at_common, rise_k, strict=True)
    )
    return list(
        map(
            CornerFinding,
            _by_sides(told.corner),
            _by_sides((told.axle, told.axle)),
            cycle(SIDES),
            _by_sides((told.spot, told.spot)),
            _by_sides(told.readings),
            _by_sides(told.used),
            _by_sides(told.start_degc),
            _by_sides(told.tau_s),
            at_common,
            rises,
            _by_sides(told.p_hot),
            _by_sides(told.p_cold),
            map(known_band, _by_sides(bands.low_degc), _by_sides(bands.high_degc)),
            repeat("even"),
        )
    )


def _axles(told: Digest) -> list[AxleFinding]:
    columns = (told.axle, told.difference_k, told.ratio, told.surface_k, told.surface_known, told.marks_k)
    reasons = map(_why_even, told.difference_k, told.ratio, *told.corner)
    return list(map(AxleFinding, *columns, repeat("even"), repeat(None), reasons))


def _why_even(gap: Estimate | None, ratio: Estimate | None, left: str, right: str) -> tuple[Reason, ...]:
    hot_cold = (left, right) if gap is None or gap.value >= 0.0 else (right, left)
    return (Reason(code="even", corners=hot_cold, numbers=gap_numbers(gap, ratio)),)


def _answers(judged: Judged, k: int, batch: _Batch, own: slice) -> Answers:
    told, policy, sides = judged.digest, judged.policies[k], slice(2 * own.start, 2 * own.stop)
    rise_k = {
        one.corner: value or 0.0 for one, value in zip(batch.corners[sides], batch.rise_k[sides], strict=True)
    }
    widest = max(batch.axles[own], key=_size)
    drags, losses = ([one for one in some[sides] if one is not None] for some in (batch.drags, batch.losses))
    drag = Answer(answer="no", p=told.p_drag[k], reasons=widest.reasons)
    idle = Answer(answer="no", p=told.p_idle[k])
    return Answers(
        drag=beside_limits(
            drag, drags, lambda one: drag_numbers(one, drag_line_of(policy, rise_k[one.corner]))
        ),
        idle=beside_limits(idle, losses, lambda one: loss_numbers(one, policy)),
        heat=Answer(
            answer="no", p=told.p_heat[k], reasons=(heat_usual([*rise_k.values()], policy, coast=False),)
        ),
    )


def _sharper(answers: Answers, k: int, ahead: LimitsAhead) -> Answers:
    """With what would sharpen each "no", where it is asked for."""
    if not ahead.sharper:
        return answers
    first = ahead.judged.digest.first
    case = OneCase(k=k, pairs=range(first[k], first[k + 1]))
    drag = sharpened(answers.drag, "drag", ahead, case)
    idle = sharpened(answers.idle, "idle", ahead, case)
    return replace(answers, drag=drag, idle=idle)


def _size(axle: AxleFinding) -> float:
    return 0.0 if axle.difference_k is None else abs(axle.difference_k.value)
