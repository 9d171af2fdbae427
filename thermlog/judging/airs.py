"""Logs without an air temperature: judged under several, and said is what holds under all of them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec.structs import replace

from thermlog.words.findings import Answer, Answers
from thermlog.words.policy import Policy
from thermlog.words.reasons import Reason
from thermlog.words.tables import Readings

_STEPS = 3  # airs from the lowest to the highest
MIDDLE = 1
_ABOVE_COLDEST_K = 2.0  # no brake is colder than the air by more than its own scatter


def without_air(readings: Readings) -> tuple[int, ...]:
    """Cases of which nobody stated an air temperature."""
    return tuple(k for k, case in enumerate(readings.cases) if case.ambient_degc is None)


def under_airs(readings: Readings, cases: tuple[int, ...], policies: Sequence[Policy]) -> list[Readings]:
    """Some cases under the lowest, a middle and the highest air that they may have stood in.

    Parameters
    ----------
    readings : Readings
        As read, before any correction.
    cases : tuple of int
        Without an air temperature.
    policies : sequence of Policy
        Of all cases.

    Returns
    -------
    list of Readings
        One an air, of these cases only, in the order of `cases`.
    """
    place = np.full(len(readings.cases), -1)
    place[list(cases)] = np.arange(len(cases))
    rows = readings.take(place[readings.case] >= 0)
    own = place[rows.case]
    coldest = np.full(len(cases), np.inf)
    np.minimum.at(coldest, own, rows.indicated_degc)
    return [
        replace(
            rows,
            case=own,
            cases=tuple(
                replace(
                    readings.cases[k],
                    ambient_degc=_air_degc(policies[k], float(coldest[n]), step / (_STEPS - 1)),
                    ambient_source="assumed",
                )
                for n, k in enumerate(cases)
            ),
        )
        for step in range(_STEPS)
    ]


def _air_degc(policy: Policy, coldest_degc: float, part: float) -> float:
    """An air between the policy's lowest and highest, and not above the coldest brake."""
    low = policy.unstated_air_low_degc
    high = max(low, min(policy.unstated_air_high_degc, coldest_degc + _ABOVE_COLDEST_K))
    return low + part * (high - low)


def what_holds(answers: list[Answers], airs_degc: dict[str, float]) -> Answers:
    """What is the same under every air.

    Parameters
    ----------
    answers : list of Answers
        From the lowest to the highest air.
    airs_degc : dict of str to float
        That lowest and highest air, as a reason names them.

    Returns
    -------
    Answers
        A brake that is called under every air is called, others that some air adds are watched beside it;
        "yes" under some airs and "watch" under the others is a watch. What hangs on the air otherwise is
        "cannot tell", with the corners that some air puts under suspicion.
    """
    any_air = Reason(code="any_air", numbers=airs_degc)
    drag, idle, heat = (
        _one([getattr(one, name) for one in answers], any_air) for name in ("drag", "idle", "heat")
    )
    if heat.answer == "no":
        heat = replace(heat, reasons=(Reason(code="heat_usual"), any_air))  # how hot nobody can tell
    return Answers(drag=drag, idle=idle, heat=heat)


def _one(answers: list[Answer], any_air: Reason) -> Answer:
    middle, said = answers[MIDDLE], {one.answer for one in answers}
    if len(said) == 1 and len({(one.corners, one.beside) for one in answers}) == 1:
        why = any_air if middle.answer == "no" else Reason(code="no_ambient")
        return replace(middle, reasons=(*middle.reasons, why))
    suspected = tuple(sorted({corner for one in answers for corner in (*one.corners, *one.beside)}))
    always = tuple(corner for corner in middle.corners if all(corner in one.corners for one in answers))
    air = Reason(code="no_ambient", corners=suspected)
    if not always or not said <= {"yes", "watch"}:
        return Answer(answer="cannot_tell", reasons=(air,))
    # what is watched tells what else it may be; a call does not
    by_word = sorted(answers, key=lambda one: one.answer != "watch")
    told = next((one for one in by_word if set(one.corners) == set(always)), middle)
    rest = tuple(corner for corner in suspected if corner not in always)
    reasons = (*told.reasons, air)
    if said == {"yes"}:
        return replace(told, corners=always, beside=rest, reasons=reasons)
    return replace(told, answer="watch", corners=(*always, *rest), beside=(), reasons=reasons)
