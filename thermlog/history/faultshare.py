"""Share of vehicles with a fault, from the drives that somebody looked into.

A depot opens what it suspects, so that the share among those opened is not the share among all. Within one
answer those opened stand for all that were answered so, and each answer counts as often as it was given.

References
----------
Begg and Greenes, Assessment of diagnostic tests when disease verification is subject to selection bias,
Biometrics 39 (1983) 207 (from memory, not checked).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.followup.jobrecord import NO_FAULT
from thermlog.history.seen import WORDS
from thermlog.words.estimates import Estimate

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from thermlog.history.seen import DriveSeen
    from thermlog.words.findings import AnswerWord

FEWEST_OPENED = 10  # drives of one answer before they stand for the others; engineering judgement
_RARE_PART = 0.02  # answers so seldom given need nobody to look; engineering judgement
_DRAWS, _SEED = 4000, 1


class Stratum(Struct, frozen=True, kw_only=True):
    """Drives of one answer.

    Attributes
    ----------
    answer : AnswerWord
    drives, opened, faulty : int
        All of them; those somebody looked into; those of these with a fault.
    """

    answer: AnswerWord
    drives: int
    opened: int
    faulty: int


class FaultShare(Struct, frozen=True, kw_only=True):
    """Share of drives with a fault.

    Attributes
    ----------
    seen : Estimate
        By what was found, with its 95 % interval.
    opened, faulty : int
        Drives somebody looked into; those of them with a fault.
    """

    seen: Estimate
    opened: int
    faulty: int


def strata_of(drives: Sequence[DriveSeen], finding: Mapping[str, str]) -> tuple[Stratum, ...]:
    """Drives by their answer.

    Parameters
    ----------
    drives : sequence of DriveSeen
    finding : mapping of str to str
        What was found, by the hash of the log: a cause, or ``no_fault``.
    """
    found = []
    for word in WORDS:
        mine = [one.log_sha256 for one in drives if one.answer == word]
        causes = [finding[log] for log in mine if log in finding]
        faulty = sum(cause != NO_FAULT for cause in causes)
        found.append(Stratum(answer=word, drives=len(mine), opened=len(causes), faulty=faulty))
    return tuple(found)


def lacking(strata: Sequence[Stratum]) -> list[str]:
    """What must be looked into before a share of faults can be told; empty where enough was."""
    total = sum(one.drives for one in strata)
    short = []
    for one in strata:
        needed = min(FEWEST_OPENED, one.drives) - one.opened
        if one.drives > _RARE_PART * total and needed > 0:
            word = one.answer.replace("_", " ")
            short.append(f'{needed} more of the {one.drives} drives answered "{word}" must be looked into')
    return short or ([] if any(one.opened for one in strata) else ["no job says what was found"])


def fault_share_of(strata: Sequence[Stratum]) -> FaultShare | None:
    """Share of faults among all drives; None where too few were looked into.

    Parameters
    ----------
    strata : sequence of Stratum
    """
    if lacking(strata):
        return None
    import numpy as np

    known = [one for one in strata if one.opened]
    total = sum(one.drives for one in known)
    rng = np.random.default_rng(_SEED)
    drawn, share = np.zeros(_DRAWS), 0.0
    for one in known:
        part = one.drives / total
        share += part * one.faulty / one.opened
        drawn += part * rng.beta(one.faulty + 0.5, one.opened - one.faulty + 0.5, _DRAWS)  # after Jeffreys
    low, high = np.quantile(drawn, (0.025, 0.975)).tolist()
    return FaultShare(
        seen=Estimate(share, min(low, share), max(high, share)),
        opened=sum(one.opened for one in known),
        faulty=sum(one.faulty for one in known),
    )
