"""What stood out before and is even again: by a repair that the log states, or it may come and go."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TypeAlias

from thermlog.followup.explained import Explained, explained, repairs_after
from thermlog.followup.outcomes import Outcome
from thermlog.followup.stops import Stop
from thermlog.followup.troubles import troubles_of
from thermlog.words.findings import Diagnosis
from thermlog.words.reasons import DoCode, Reason

# An axle, what became of it, and the place of the drive it is set against.
Became: TypeAlias = tuple[int, Outcome, int]


def even_unrepaired(diagnoses: Sequence[Diagnosis], axles: Iterable[Became]) -> tuple[Stop, ...]:
    """What was called before, is shown to be even again, and was not mended by what the log says of a repair.

    Parameters
    ----------
    diagnoses : sequence of Diagnosis
        Of one vehicle.
    axles : iterable of tuple
    """
    return tuple(
        Stop(
            reason=Reason(code="even_unrepaired", corners=corners, quoted="; ".join(said)),
            settled=False,
            do=do,
        )
        for corners, said, do in _mended(diagnoses, axles, "no")
    )


def repair_unsaid(diagnoses: Sequence[Diagnosis], axles: Iterable[Became]) -> Reason | None:
    """What to state of the repair where what was called or watched is even again and no log says why."""
    found = _mended(diagnoses, axles, "unsaid", watched=True)
    corners = tuple(corner for places, _, _ in found for corner in places)
    return Reason(code="repair_unsaid", corners=corners) if corners else None


def _mended(
    diagnoses: Sequence[Diagnosis], axles: Iterable[Became], asked: Explained, *, watched: bool = False
) -> Iterator[tuple[tuple[str, ...], tuple[str, ...], DoCode]]:
    """Corners of each axle that is even again, what is said of the repair, and what to do."""
    for number, outcome, first in axles:
        log, later = diagnoses[first], diagnoses[first + 1 :]
        called = [one for one in troubles_of(log, number) if one.called or watched]
        corners = tuple(dict.fromkeys(one.corner for one in called))
        if outcome == "repaired" and called and explained(log, later, corners) == asked:
            hub = any(one.kind == "hub" for one in called)
            yield corners, repairs_after(log, later), "check_bearing" if hub else "prove_again"
