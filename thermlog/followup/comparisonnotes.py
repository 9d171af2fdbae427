"""What a reader must know of drives beside each other: moments, order, policies, the same log twice."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, pairwise
from pathlib import PurePath

from thermlog.followup.outcomes import logs_in_order
from thermlog.followup.sameness import unlike_vehicles
from thermlog.words.findings import Diagnosis
from thermlog.words.moments import earlier, moment_s
from thermlog.words.reasontexts import reason_sentence

# Compared moments further apart than this are told to the reader (common practice, no source).
_SAME_MOMENT_S = 60.0


def comparison_notes(diagnoses: Sequence[Diagnosis]) -> list[str]:
    """What a reader of the comparison must know.

    Parameters
    ----------
    diagnoses : sequence of Diagnosis
    """
    notes = []
    moments = [one.common_time_s for one in diagnoses if one.common_time_s is not None]
    if moments and max(moments) - min(moments) > _SAME_MOMENT_S:
        first, last = min(moments) / 60.0, max(moments) / 60.0
        notes.append(f"the logs are compared at different moments, {first:.1f} to {last:.1f} min")
    if (unlike := unlike_vehicles(diagnoses)) is not None:
        notes.append(str(reason_sentence(unlike)))
    else:
        notes += [*_unnamed_notes(diagnoses), *_order_notes(diagnoses)]
    if len({one.policy.sha256 for one in diagnoses}) > 1:
        notes.append("the logs were judged by different policies")
    if any(_same(one, other) for one, other in combinations(diagnoses, 2)):
        notes.append("the same log is given twice")
    return notes


def _unnamed_notes(diagnoses: Sequence[Diagnosis]) -> list[str]:
    """Logs that name no vehicle beside some that do: they are taken for it, which nothing shows."""
    vehicle = next((one.vehicle for one in diagnoses if one.vehicle), None)
    unnamed = dict.fromkeys(PurePath(one.log.file).name for one in diagnoses if not one.vehicle)
    if vehicle is None or not unnamed:
        return []
    names = "names no vehicle and is" if len(unnamed) == 1 else "name no vehicle and are"
    return [f"{', '.join(unnamed)} {names} taken for {vehicle}: nothing in the log says so"]


def _order_notes(diagnoses: Sequence[Diagnosis]) -> list[str]:
    """Drives of one vehicle that stand the wrong way round, or whose order no date tells."""
    notes = [
        f"{logs_in_order(one, other)}: the wrong way round; a drive made before the other proves nothing of "
        "it; swap the logs, or name a later drive"
        for one, other in combinations(diagnoses, 2)
        if earlier(other.taken_at, one.taken_at)
    ]
    if len({one.log.sha256 for one in diagnoses}) == 1:
        return notes[:1]
    undated = dict.fromkeys(
        PurePath(one.log.file).name for one in diagnoses if moment_s(one.taken_at) is None
    )
    if undated:
        notes.append(f"no date in {', '.join(undated)}: the order of the drives is taken as given")
    elif any(earlier(one.taken_at, other.taken_at) is None for one, other in pairwise(diagnoses)):
        notes.append("the dates do not tell which drive came first: their order is taken as given")
    return notes


def _same(one: Diagnosis, other: Diagnosis) -> bool:
    """One drive twice; two drives of one log may lack names that tell them apart, but they differ."""
    known = [(d.log.sha256, d.vehicle, d.drive) for d in (one, other)]
    return known[0] == known[1] and one.corners == other.corners
