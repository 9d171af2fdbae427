"""Findings of vehicles that are plainly even, straight from the columns.

What `tell` says of such a vehicle is known beforehand: three times "no", every corner and axle even. A test
holds every finding made here against the one that is told in full.
"""

from __future__ import annotations

import numpy as np
from msgspec.structs import replace

from thermlog.judging.axlenumbers import gap_numbers
from thermlog.judging.bands import Bands
from thermlog.judging.detectable import LeastShown, beside_limits, drag_numbers, loss_numbers
from thermlog.judging.digest import Digest
from thermlog.judging.judged import Judged
from thermlog.judging.limits import drag_line_k
from thermlog.judging.reckoning import heat_usual
from thermlog.words.findings import (
    Answer,
    Answers,
    AxleFinding,
    CornerFinding,
    Detectable,
    Diagnosis,
    PatternFinding,
)
from thermlog.words.kinds import NONE
from thermlog.words.policy import Policy
from thermlog.words.reasons import Reason


def even_findings(judged: Judged, k: int, shown: LeastShown, bands: Bands) -> Diagnosis:
    """What `tell.tell_findings` gives for case `k`, of which `plain.plainly_even` says that it is even.

    Parameters
    ----------
    judged : Judged
    k : int
    shown : LeastShown
        What its log would have shown.
    bands : Bands
        What healthy brakes would read.
    """
    told, policy = judged.digest, judged.policies[k]
    pairs = sorted(range(told.first[k], told.first[k + 1]), key=told.axle.__getitem__)
    axles = tuple(_axle(told, pair, policy) for pair in pairs)
    return judged.frame(k)(
        corners=tuple(_corner(told, bands, pair, side) for pair in pairs for side in (0, 1)),
        axles=axles,
        pattern=PatternFinding(kind=NONE.name, p=told.p_none[k]),
        answers=_answers(judged, k, axles, _limits(shown, pairs)),
        urgent=(),
    )


def _corner(told: Digest, bands: Bands, pair: int, side: int) -> CornerFinding:
    found = told.corner_finding(pair, side, known=True)
    return replace(found, verdict="even", expected_degc=bands.of(pair, side))


def _axle(told: Digest, pair: int, policy: Policy) -> AxleFinding:
    gap, corners = told.difference_k[pair], (told.corner[0][pair], told.corner[1][pair])
    hot_cold = corners if gap is None or gap.value >= 0.0 else corners[::-1]
    reason = Reason(code="even", corners=hot_cold, numbers=gap_numbers(gap, told.ratio[pair]))
    found = told.axle_finding(pair, known=True)
    return replace(found, verdict="even", reasons=(reason,), marks_k=told.marks_k(pair, policy))


def _limits(shown: LeastShown, pairs: list[int]) -> tuple[list[Detectable], list[Detectable]]:
    """Least drags and losses of all corners that were asked about, axle by axle."""
    drags, losses = (
        [one for pair in pairs for side in (0, 1) if (one := seen[side][pair]) is not None]
        for seen in (shown.drag, shown.loss)
    )
    return drags, losses


def _answers(
    judged: Judged, k: int, axles: tuple[AxleFinding, ...], limits: tuple[list[Detectable], list[Detectable]]
) -> Answers:
    told, policy, (drags, losses) = judged.digest, judged.policies[k], limits
    own = range(told.first[k], told.first[k + 1])
    rise_k = {told.corner[side][pair]: told.rise_k[side][pair] or 0.0 for pair in own for side in (0, 1)}
    widest = max(axles, key=lambda axle: 0.0 if axle.difference_k is None else abs(axle.difference_k.value))
    usual = heat_usual(list(rise_k.values()), policy, coast=False)

    def of_drag(one: Detectable) -> dict[str, float]:
        return drag_numbers(one, float(drag_line_k(policy, np.array(rise_k[one.corner]))))

    drag = Answer(answer="no", p=told.p_drag[k], reasons=widest.reasons)
    idle = Answer(answer="no", p=told.p_idle[k])
    return Answers(
        drag=beside_limits(drag, drags, of_drag),
        idle=beside_limits(idle, losses, lambda one: loss_numbers(one, policy)),
        heat=Answer(answer="no", p=told.p_heat[k], reasons=(usual,)),
    )
