"""Two or more drives beside each other: what changed, and whether a repair is proven."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Literal, TypeAlias

from msgspec import Struct

from thermlog.words.findings import AxleFinding, CornerFinding, Diagnosis, Interval, Verdict
from thermlog.words.policy import Policy
from thermlog.words.sentences import Sentence, kelvin, named, sentence
from thermlog.words.vehicle import BRAKE_SPOTS, HUB_SPOT, SIDES, corner_name, split_corner

Outcome: TypeAlias = Literal["repaired", "not_repaired", "cannot_tell", "not_asked"]
FLAGGED: tuple[Verdict, ...] = ("hot", "cold")
# Compared moments further apart than this are told to the reader (common practice, no source).
_SAME_MOMENT_S = 60.0


class Estimate(Struct, frozen=True, kw_only=True):
    """A number with its 95 % interval.

    Attributes
    ----------
    value : float
        In the unit of what is estimated.
    interval : (low, high) or None
        None where the range is not known or not bounded.
    """

    value: float
    interval: Interval | None


class ComparedCorner(Struct, frozen=True, kw_only=True):
    """One corner at one spot in every log.

    Attributes
    ----------
    rises_k : tuple of Estimate or None (logs,)
        Rise above the log's own ambient at the log's own common time [K]; None where there is none.
    changes_k : tuple of Estimate or None (logs,)
        Rise minus that of the first log [K]; None for the first log.
    """

    corner: str
    spot: str
    rises_k: tuple[Estimate | None, ...]
    changes_k: tuple[Estimate | None, ...]
    verdicts: tuple[Verdict | None, ...]


class ComparedAxle(Struct, frozen=True, kw_only=True):
    """Left against right on one axle in every log.

    Attributes
    ----------
    differences_k : tuple of Estimate or None (logs,)
        Left minus right at the log's own common time [K].
    ratios : tuple of Estimate or None (logs,)
        Hotter over cooler rise.
    changes_k : tuple of Estimate or None (logs,)
        Difference minus that of the first log [K]; None for the first log.
    outcome : Outcome
        Last log against the first: is a repair of this axle proven? ``"not_asked"`` where the first log
        shows nothing to repair or the logs are not of one vehicle.
    why : str
        Reason of the outcome in plain words.
    """

    axle: int
    differences_k: tuple[Estimate | None, ...]
    ratios: tuple[Estimate | None, ...]
    changes_k: tuple[Estimate | None, ...]
    verdicts: tuple[Verdict | None, ...]
    outcome: Outcome
    why: str


class Comparison(Struct, frozen=True, kw_only=True):
    """Everything two or more logs say beside each other."""

    diagnoses: tuple[Diagnosis, ...]
    corners: tuple[ComparedCorner, ...]
    axles: tuple[ComparedAxle, ...]
    notes: tuple[str, ...]

    @property
    def axle_count(self) -> int:
        """Axles of the longest vehicle compared."""
        return max(one.axle_count for one in self.diagnoses)

    @property
    def open_or_flagged(self) -> bool:
        """True if the last log asks for a look, or a repair is not proven."""
        unproven = any(axle.outcome in ("not_repaired", "cannot_tell") for axle in self.axles)
        return unproven or self.diagnoses[-1].flagged


def compare_logs(
    diagnoses: Sequence[Diagnosis], policy: Policy, *, corners: Sequence[str] = ()
) -> Comparison:
    """Put logs beside each other; changes are taken against the first.

    Parameters
    ----------
    diagnoses : sequence of Diagnosis
        At least two, in the order of the drives.
    policy : Policy
        Its marks decide what counts as clearly repaired.
    corners : sequence of str
        Keep only these corners and their axles; all if empty.

    Returns
    -------
    Comparison

    Raises
    ------
    ValueError
        Fewer than two diagnoses.
    """
    if len(diagnoses) < 2:
        msg = f"a comparison needs two logs, got {len(diagnoses)}"
        raise ValueError(msg)
    places = [
        place for place in _in_order((c.corner, c.spot) for one in diagnoses for c in one.corners)
        if not corners or place[0] in corners
    ]  # fmt: skip
    axles = sorted({split_corner(corner)[0] for corner, _ in places})
    return Comparison(
        diagnoses=tuple(diagnoses),
        corners=tuple(_compared_corner(diagnoses, corner, spot) for corner, spot in places),
        axles=tuple(_compared_axle(diagnoses, axle, policy) for axle in axles),
        notes=tuple(_notes(diagnoses)),
    )


def change(before: Estimate | None, after: Estimate | None) -> Estimate | None:
    """After minus before for two independent estimates.

    Returns
    -------
    Estimate or None
        None if one is missing; interval None if one has none.

    Notes
    -----
    Half-widths add as squares, each side for itself, which is the rule "variances add" for lopsided
    intervals: Zou & Donner, Statistics in Medicine 27 (2008) 1693-1702 (from memory, not checked).

    Examples
    --------
    >>> change(Estimate(value=60.0, interval=(57.0, 63.0)), Estimate(value=5.0, interval=(1.0, 9.0)))
    Estimate(value=-55.0, interval=(-60.0, -50.0))
    """
    if before is None or after is None:
        return None
    value = after.value - before.value
    if before.interval is None or after.interval is None:
        return Estimate(value=value, interval=None)
    down = math.hypot(after.value - after.interval[0], before.interval[1] - before.value)
    up = math.hypot(after.interval[1] - after.value, before.value - before.interval[0])
    return Estimate(value=value, interval=(value - down, value + up))


def _in_order(items: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
    return list(dict.fromkeys(items))


def _estimate(value: float | None, interval: Interval | None) -> Estimate | None:
    return None if value is None else Estimate(value=value, interval=interval)


def _against_first(estimates: Sequence[Estimate | None]) -> tuple[Estimate | None, ...]:
    return (None, *(change(estimates[0], later) for later in estimates[1:]))


def _corner(diagnosis: Diagnosis, corner: str, spot: str) -> CornerFinding | None:
    return next((c for c in diagnosis.corners if (c.corner, c.spot) == (corner, spot)), None)


def _axle(diagnosis: Diagnosis, number: int) -> AxleFinding | None:
    return next((axle for axle in diagnosis.axles if axle.axle == number), None)


def _rise(found: CornerFinding | None) -> Estimate | None:
    """Rise with the interval of the temperature, moved down by the ambient."""
    if found is None or found.rise_k is None:
        return None
    if found.interval_degc is None or found.at_common_degc is None:
        return Estimate(value=found.rise_k, interval=None)
    ambient = found.at_common_degc - found.rise_k
    return Estimate(
        value=found.rise_k, interval=(found.interval_degc[0] - ambient, found.interval_degc[1] - ambient)
    )


def _compared_corner(diagnoses: Sequence[Diagnosis], corner: str, spot: str) -> ComparedCorner:
    found = [_corner(one, corner, spot) for one in diagnoses]
    rises = tuple(_rise(one) for one in found)
    return ComparedCorner(
        corner=corner,
        spot=spot,
        rises_k=rises,
        changes_k=_against_first(rises),
        verdicts=tuple(one.verdict if one else None for one in found),
    )


def _compared_axle(diagnoses: Sequence[Diagnosis], number: int, policy: Policy) -> ComparedAxle:
    found = [_axle(one, number) for one in diagnoses]
    differences = tuple(
        _estimate(one.difference_k, one.difference_interval_k) if one else None for one in found
    )
    outcome, why = _outcome(diagnoses[0], diagnoses[-1], number, policy)
    return ComparedAxle(
        axle=number,
        differences_k=differences,
        ratios=tuple(_estimate(one.rise_ratio, one.rise_ratio_interval) if one else None for one in found),
        changes_k=_against_first(differences),
        verdicts=tuple(one.verdict if one else None for one in found),
        outcome=outcome,
        why=why,
    )


# --- is the repair proven? ----------------------------------------------------------------------------------


class _Odd(Struct, frozen=True, kw_only=True):
    """A corner and spot that was flagged before, and how."""

    corner: str
    spot: str
    verdict: Verdict


def _outcome(before: Diagnosis, after: Diagnosis, number: int, policy: Policy) -> tuple[Outcome, str]:
    """Last log against the first on one axle."""
    odd = _odd_places(before, number)
    if not odd:
        return "not_asked", "nothing was flagged on this axle before"
    if before.vehicle and after.vehicle and before.vehicle != after.vehicle:
        return "not_asked", "the logs name different vehicles"
    now = _odd_places(after, number)
    still = [one for one in odd if any(_same_place(one, other) for other in now)]
    if _unlike_drives(before, after):
        return _unlike_outcome(before, after, still)
    if still:
        return "not_repaired", _still_odd(still)
    if len(odd) > 1:
        return (
            "cannot_tell",
            "more than one place of this axle was flagged; left against right cannot prove all",
        )
    return _one_place_outcome(before, after, odd[0], policy)


def _odd_places(diagnosis: Diagnosis, number: int) -> list[_Odd]:
    """Flagged corners of an axle; the hotter one where the axle is flagged and its odd side is open."""
    places = {
        (c.corner, c.spot == HUB_SPOT): _Odd(corner=c.corner, spot=c.spot, verdict=c.verdict)
        for c in reversed(diagnosis.corners)
        if c.axle == number and c.verdict in FLAGGED
    }
    odd = list(places.values())
    axle = _axle(diagnosis, number)
    if not odd and axle is not None and axle.verdict in FLAGGED and axle.difference_k is not None:
        hotter = corner_name(number, "L" if axle.difference_k > 0 else "R")
        odd.append(_Odd(corner=axle.suspect or hotter, spot="brake", verdict=axle.verdict))
    return odd


def _same_place(one: _Odd, other: _Odd) -> bool:
    """Same corner and both hub or both brake, odd in the same way."""
    kind = one.spot == HUB_SPOT, one.corner, one.verdict
    return kind == (other.spot == HUB_SPOT, other.corner, other.verdict)


def _unlike_drives(before: Diagnosis, after: Diagnosis) -> bool:
    """True for a coast drive beside a normal one; a verification drive repeats whatever came before."""
    kinds = {before.drive, after.drive} - {None, "verification"}
    return len(kinds) > 1


def _unlike_outcome(before: Diagnosis, after: Diagnosis, still: list[_Odd]) -> tuple[Outcome, str]:
    """A coast drive after a normal one is one more look at the fault as long as it shows."""
    drives = f"a {before.drive} drive beside a {after.drive} drive"
    if still:
        return "not_asked", f"flagged in both, {drives}; a repair is proven by the same drive"
    return "cannot_tell", f"{drives}; repeat the same drive"


def _still_odd(still: Sequence[_Odd]) -> Sentence:
    said = [sentence("{} {}", _spot(place), place.verdict) for place in still]
    return sentence("still " + " and ".join("{}" for _ in said), *said)


def _spot(odd: _Odd) -> Sentence:
    return sentence("{}{}", named(odd.corner), "" if odd.spot == "brake" else f" {odd.spot}")


def _one_place_outcome(before: Diagnosis, after: Diagnosis, odd: _Odd, policy: Policy) -> tuple[Outcome, str]:
    verdict, reason = _after_verdict(after, odd)
    if verdict == "cannot_tell":
        return "cannot_tell", sentence("after: {}", reason)
    if verdict != "even":
        return "cannot_tell", sentence("after, this axle is not even but {}: {}", verdict, reason)
    gap, mark_k = _gap_after(before, after, odd), _mark_k(after, odd, policy)
    if gap is None or gap.interval is None:
        return "cannot_tell", "after, left could not be set against right"
    if gap.interval[1] >= mark_k:
        pattern = "after, the gap may still be {}, past the mark of {}; read more rounds"
        return "cannot_tell", sentence(pattern, kelvin(gap.interval[1]), kelvin(mark_k))
    if gap.interval[1] <= 0.0:
        return "repaired", "after, that side no longer stands out"
    pattern = "after, the gap is at most {}, below the mark of {}"
    return "repaired", sentence(pattern, kelvin(gap.interval[1]), kelvin(mark_k))


def _after_verdict(after: Diagnosis, odd: _Odd) -> tuple[Verdict, str]:
    found = (
        _corner(after, odd.corner, odd.spot)
        if odd.spot == HUB_SPOT
        else _axle(after, split_corner(odd.corner)[0])
    )
    if found is None:
        return "cannot_tell", sentence("{} was not read", _spot(odd))
    return found.verdict, found.why[0] if found.why else "no reason stated"


def _gap_after(before: Diagnosis, after: Diagnosis, odd: _Odd) -> Estimate | None:
    """Left against right after the repair, counted positive the way it was unlike before [K]."""
    earlier, later = (_left_minus_right(one, odd) for one in (before, after))
    if earlier is None or later is None or earlier.value >= 0:
        return later
    interval = None if later.interval is None else (-later.interval[1], -later.interval[0])
    return Estimate(value=-later.value, interval=interval)


def _left_minus_right(diagnosis: Diagnosis, odd: _Odd) -> Estimate | None:
    number = split_corner(odd.corner)[0]
    if odd.spot == HUB_SPOT:
        left, right = (_rise(_corner(diagnosis, corner_name(number, side), odd.spot)) for side in SIDES)
        return change(right, left)
    axle = _axle(diagnosis, number)
    return None if axle is None else _estimate(axle.difference_k, axle.difference_interval_k)


def _mark_k(after: Diagnosis, odd: _Odd, policy: Policy) -> float:
    """Difference at which this axle would be flagged: both marks must be passed, so the larger one counts."""
    if odd.spot == HUB_SPOT:
        return policy.hub_over_mate_k
    number = split_corner(odd.corner)[0]
    rises = [
        c.rise_k for c in after.corners if c.axle == number and c.spot in BRAKE_SPOTS and c.rise_k is not None
    ]
    by_ratio = (policy.suspect_ratio - 1.0) * min(rises, default=0.0)
    return max(policy.suspect_difference_k, by_ratio)


def _notes(diagnoses: Sequence[Diagnosis]) -> list[str]:
    """What a reader of the comparison must know."""
    notes = []
    moments = [one.common_time_s for one in diagnoses if one.common_time_s is not None]
    if moments and max(moments) - min(moments) > _SAME_MOMENT_S:
        first, last = min(moments) / 60.0, max(moments) / 60.0
        notes.append(f"the logs are compared at different moments, {first:.1f} to {last:.1f} min")
    if len({one.vehicle for one in diagnoses if one.vehicle}) > 1:
        notes.append("the logs name different vehicles: a comparison, no proof of a repair")
    if len({one.policy.sha256 for one in diagnoses}) > 1:
        notes.append("the logs were judged by different policies")
    if len({(one.log.sha256, one.vehicle, one.drive) for one in diagnoses}) < len(diagnoses):
        notes.append("the same log is given twice")
    return notes
