"""What became of an axle by the drives that tell it: the first and the last, or one in between."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

from thermlog.followup.outcomes import Beside, Outcome, logs_in_order, outcome_of, worst_of
from thermlog.followup.pairing import Paired
from thermlog.followup.troubles import troubles_of
from thermlog.words.findings import Diagnosis
from thermlog.words.moments import earlier
from thermlog.words.reasons import Reason

_Pair: TypeAlias = tuple[int, int]


def made_later(diagnoses: Sequence[Diagnosis], drives: Paired) -> Diagnosis | None:
    """A drive that was surely made after one that would count now; None where the last ones are the last.

    Parameters
    ----------
    diagnoses : sequence of Diagnosis
    drives : Paired
    """
    if drives.unlike:
        return None
    lasts = [diagnoses[k].taken_at for k in drives.now]
    others = (one for k, one in enumerate(diagnoses) if k not in drives.now)
    return next((one for one in others if any(earlier(last, one.taken_at) for last in lasts)), None)


def became_of(
    diagnoses: Sequence[Diagnosis], number: int, drives: Paired, besides: Sequence[Beside]
) -> tuple[Outcome, tuple[Reason, ...], _Pair]:
    """Outcome of an axle, its reasons, and the places of the two drives it is drawn from.

    Parameters
    ----------
    diagnoses : sequence of Diagnosis
    number : int
        Axle.
    drives : Paired
    besides : sequence of Beside
        One a pair of `drives`. Where the first drive held nothing against the axle, the last one between that
        did counts in its place: what was called there is not forgotten.
    """
    said = [outcome_of(beside, number) for beside in besides]
    telling = worst_of(said)
    (outcome, reasons), pair = said[telling], drives.pairs[telling]
    held = any(troubles_of(beside.before, number) for beside in besides)
    between = None if held or drives.unlike else _called_between(diagnoses, number, drives)
    if between is not None:
        pair = (between, pair[1])
        beside = Beside(before=diagnoses[between], after=diagnoses[pair[1]], policy=besides[telling].policy)
        outcome, reasons = outcome_of(beside, number)
    later = made_later(diagnoses, drives)
    if later is not None and outcome != "not_asked":
        order = logs_in_order(later, diagnoses[-1])
        return "cannot_tell", (Reason(code="drives_backwards", quoted=order),), pair
    return outcome, reasons, pair


def _called_between(diagnoses: Sequence[Diagnosis], number: int, drives: Paired) -> int | None:
    """The last drive, of those that neither come first nor count now, that called something there."""
    taken = {*drives.now, *(first for first, _ in drives.pairs)}
    called = (
        k
        for k in reversed(range(len(diagnoses)))
        if k not in taken and any(one.called for one in troubles_of(diagnoses[k], number))
    )
    return next(called, None)
