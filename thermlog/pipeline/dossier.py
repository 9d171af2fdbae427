"""All that pages of one drive are made of, gathered from a run."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from thermlog.judging.curves import curves_of

if TYPE_CHECKING:
    from thermlog.advice.narrowing import Narrowed
    from thermlog.pipeline.run import Run
    from thermlog.words.findings import Diagnosis
    from thermlog.words.policy import Policy
    from thermlog.words.tables import Readings


class Dossier(Struct, frozen=True, kw_only=True, eq=False):
    """One drive of one vehicle.

    Attributes
    ----------
    diagnosis : Diagnosis
        With its curves.
    policy : Policy
        The policy that judged.
    narrowed : Narrowed
        Where the search for the cause begins.
    readings : Readings
        As read, of this drive alone; one case.
    """

    diagnosis: Diagnosis
    policy: Policy
    narrowed: Narrowed
    readings: Readings


def dossier_of(done: Run, number: int, told: Diagnosis) -> Dossier:
    """Gather what pages of one case need.

    Parameters
    ----------
    done : Run
    number : int
        Of the case among all of the run, the first 0.
    told : Diagnosis
        Of this case, with or without curves.
    """
    judged, k = done.case(number)
    rows = judged.as_read
    mine = rows.take(rows.case == k)
    return Dossier(
        diagnosis=replace(told, curves=curves_of(judged, k, told.corners)),
        policy=judged.policies[k],
        narrowed=done.narrowed(number, told),
        readings=replace(mine, cases=(rows.cases[k],), case=mine.case * 0),
    )
