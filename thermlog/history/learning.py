"""Numbers of a policy learned from a depot's own drives, with how sure they are and what they rest on."""

from __future__ import annotations

import hashlib
import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from statistics import median
from typing import TYPE_CHECKING, get_args

from msgspec import Struct

from thermlog.followup.jobrecord import NO_FAULT
from thermlog.history.faultshare import fault_share_of, lacking, strata_of
from thermlog.history.robust import median_of, spread_of
from thermlog.history.seen import PRIOR_FINDINGS, CoolingKind
from thermlog.history.tolerance import fewest, upper_limit
from thermlog.inference.likelihood import Likeness, share_of
from thermlog.words.errors import HistoryError
from thermlog.words.estimates import Estimate
from thermlog.words.moments import day_of
from thermlog.words.policy import CausesFound

if TYPE_CHECKING:
    from thermlog.history.seen import AxleSeen, DriveSeen
    from thermlog.words.policy import Policy
    from thermlog.words.vehicle import WeightClass

FEWEST = 30  # vehicles: the spread of a normal sample is then known to about 13 %; own choice
FEWEST_CAUSES = 10  # confirmed causes before they move the table; engineering judgement
_VEHICLES = "vehicles"
# Efficiency of a median absolute deviation beside a standard deviation, normal values: Rousseeuw & Croux,
# J. Am. Stat. Assoc. 88 (1993) 1273 (from memory, not checked).
_MAD_WORTH = 0.37
_LEAST_PART = 0.5  # of the spread believed before: no smaller one is learned; engineering judgement


class Learned(Struct, frozen=True, kw_only=True):
    """One number of a policy, learned.

    Attributes
    ----------
    name : str
        Of the policy.
    seen : Estimate
        The number, with the interval of what was seen; without one where it is a limit itself.
    was : float
        In the policy it begins from.
    count : int
    of : str
        What it rests on, so many: vehicles, or drives that somebody looked into.
    how : str
        In words, for the file.
    """

    name: str
    seen: Estimate
    was: float
    count: int
    of: str
    how: str


class Lesson(Struct, frozen=True, kw_only=True):
    """What a depot taught.

    Attributes
    ----------
    numbers : tuple of Learned
    causes : CausesFound or None
        Causes that jobs confirmed.
    spreads : tuple of (str, Estimate, int)
        Spread of the logarithm of left over right by role of the axle, and of how many vehicles; told, not
        used.
    missing : tuple of str
        What could not be learned, and how many vehicles or findings are lacking.
    units, drives : int
        Believed healthy.
    days : (str, str) or None
        The first and the last of these drives; None where no log states its date.
    logs : str
        Digest of the hashes of these logs.
    """

    numbers: tuple[Learned, ...]
    causes: CausesFound | None
    spreads: tuple[tuple[str, Estimate, int], ...]
    missing: tuple[str, ...]
    units: int
    drives: int
    days: tuple[str, str] | None
    logs: str


class Changes(Struct, frozen=True, kw_only=True):
    """What another policy would have said of the same drives.

    Attributes
    ----------
    drives : int
    left_out : int
        Drives that nothing was learned from.
    before, after : dict of str to int
        How often each answer to "does a brake drag?" was given.
    units : tuple of str
        Vehicles with another answer on some drive.
    """

    drives: int
    left_out: int
    before: dict[str, int]
    after: dict[str, int]
    units: tuple[str, ...]


def changes_between(before: Sequence[DriveSeen], after: Sequence[DriveSeen], base: WeightClass) -> Changes:
    """Answers of the same drives under two policies, vehicles of one weight class.

    Parameters
    ----------
    before, after : sequence of DriveSeen
        The same drives in the same order.
    base : WeightClass
    """
    pairs = [pair for pair in zip(before, after, strict=True) if pair[0].weight_class == base]
    units = dict.fromkeys(old.unit for old, new in pairs if old.drag != new.drag)
    return Changes(
        drives=len(pairs),
        left_out=sum(old.called for old, _ in pairs),
        before=dict(Counter(old.drag for old, _ in pairs)),
        after=dict(Counter(new.drag for _, new in pairs)),
        units=tuple(units),
    )


def learn_numbers(
    drives: Sequence[DriveSeen],
    finding: Mapping[str, str],
    policy: Policy,
    base: WeightClass,
    sure: tuple[float, float],
) -> Lesson:
    """Learn what these drives teach of vehicles of one weight class.

    Parameters
    ----------
    drives : sequence of DriveSeen
        In the order driven; those that are called teach nothing of healthy brakes.
    finding : mapping of str to str
        What jobs found, by the hash of the log: a cause, or ``no_fault``. Drives with a cause are left out.
    policy : Policy
        That the new one begins from.
    base : WeightClass
        Its bundled name; only vehicles of this class count.
    sure : (float, float)
        Share of healthy vehicles that are to lie below the limit, and the confidence that they do.

    Raises
    ------
    HistoryError
        Too few vehicles for anything; says how many are lacking.
    """
    mine = [one for one in drives if one.weight_class == base]
    healthy = [one for one in mine if one.axles and finding.get(one.log_sha256, NO_FAULT) == NO_FAULT]
    last = {one.unit: one for one in healthy}  # one drive a vehicle: its drives are not independent
    told = _Told(missing=[], numbers=[])
    _limit(healthy, policy, sure, told)
    _shares(list(last.values()), policy, told)
    _taus(healthy, policy, told)
    _faults(mine, finding, policy, told)
    causes = _causes(mine, finding, told)
    if not told.numbers and causes is None:
        msg = f"nothing can be learned of {base} vehicles: {'; '.join(told.missing)}"
        raise HistoryError(msg)
    moments = [one.taken_s for one in healthy if one.taken_s is not None]
    logs = " ".join(sorted({one.log_sha256 for one in healthy}))
    return Lesson(
        numbers=tuple(told.numbers),
        causes=causes,
        spreads=tuple(_side_spreads(list(last.values()))),
        missing=tuple(told.missing),
        units=len(last),
        drives=len(healthy),
        days=(day_of(min(moments)), day_of(max(moments))) if moments else None,
        logs=hashlib.sha256(logs.encode()).hexdigest(),
    )


class _Told(Struct, kw_only=True):
    """Numbers that were learned so far, and what is lacking for others."""

    numbers: list[Learned]
    missing: list[str]

    def lacks(
        self, name: str, there: int, needed: int, what: str = "vehicles that show it", why: str = ""
    ) -> bool:
        """True, and told, if there are too few."""
        if there >= needed:
            return False
        short = f"{there} are there: {needed - there} more"
        self.missing.append(f"{name}: {needed} {what} are needed{why}, {short}")
        return True

    def add(self, name: str, seen: Estimate, policy: Policy, count: tuple[int, str], how: str) -> None:
        """A number as it was seen; `count`: how many of what it rests on."""
        many, of = count
        was = getattr(policy, name)
        self.numbers.append(Learned(name=name, seen=seen, was=was, count=many, of=of, how=how))


def _limit(healthy: Sequence[DriveSeen], policy: Policy, sure: tuple[float, float], told: _Told) -> None:
    """Ratio of the sides that hardly a healthy vehicle passes: its widest axle, on its median drive."""
    share, confidence = sure
    axles: dict[tuple[str, int], list[float]] = {}
    for drive in healthy:
        for axle in drive.axles:
            axles.setdefault((drive.unit, axle.axle), []).append(abs(axle.unlike_ln))
    widest: dict[str, float] = {}
    for (unit, _), values in axles.items():
        widest[unit] = max(widest.get(unit, 0.0), median(values))
    why = f" for {100 * share:g} % with a confidence of {100 * confidence:g} %"
    if told.lacks("watch_ratio", len(widest), fewest(share, confidence), _VEHICLES, why):
        return
    limit = upper_limit(list(widest.values()), share, confidence)
    if limit is None or math.exp(limit) >= policy.suspect_ratio:
        told.missing.append(
            f"watch_ratio: the limit would lie past the suspect mark ({policy.suspect_ratio:g} to 1): some "
            "of these vehicles are not healthy, or their surfaces are quite unlike"
        )
        return
    how = (
        f"distribution-free tolerance limit (Wilks 1941): with a confidence of {100 * confidence:g} % at "
        f"most {100 * (1 - share):g} % of such vehicles pass it on their median drive"
    )
    told.add("watch_ratio", Estimate(math.exp(limit)), policy, (len(widest), _VEHICLES), how)


def _shares(last: Sequence[DriveSeen], policy: Policy, told: _Told) -> None:
    """Usual rise of a steer axle over the others, and how much an axle's share differs from the usual one."""
    fronts = [
        # share_of gives the first axle front ** (1 - 1 / n)
        axle.share_ln / math.log(share_of(1, axle.axle_count, math.e))
        for drive in last
        for axle in drive.axles
        if axle.axle == 1 and axle.steered and axle.share_ln is not None
    ]
    front = policy.front_share
    if not told.lacks("front_share", len(fronts), FEWEST):
        seen = median_of(fronts).each(math.exp)
        front = seen.value
        told.add(
            "front_share",
            seen,
            policy,
            (len(fronts), _VEHICLES),
            "median over vehicles, the last drive of each",
        )
    for likeness in get_args(Likeness):
        _share_spread(last, likeness, front, policy, told)


def _share_spread(
    last: Sequence[DriveSeen], likeness: Likeness, front: float, policy: Policy, told: _Told
) -> None:
    """Spread of an axle's share about its usual one, freed of what the sides scatter."""
    name = f"{likeness}_axle_spread"
    axles = [axle for drive in last if (axle := _first(drive, likeness)) is not None]
    if told.lacks(name, len(axles), FEWEST):
        return
    off = [_beside_usual(axle, front) for axle in axles]
    sides = spread_of([axle.unlike_ln for axle in axles]).value
    seen = spread_of(off).each(lambda spread: math.sqrt(max(spread**2 - sides**2 / 4.0, 0.0)))
    was, worth = getattr(policy, name), _MAD_WORTH * len(axles)
    together = (PRIOR_FINDINGS * was**2 + worth * seen.value**2) / (PRIOR_FINDINGS + worth)
    least = _LEAST_PART * was
    how = (
        f"spread over vehicles, the last drive of each (median absolute deviation): {seen.value:.3g} was "
        f"seen, which counts as {worth:.0f} vehicles, and what was believed before as {PRIOR_FINDINGS:g}; "
        f"vehicles that were called are left out; never below {least:g}"
    )
    value = Estimate(max(math.sqrt(together), least), seen.low, seen.high)
    told.add(name, value, policy, (len(axles), _VEHICLES), how)


def _first(drive: DriveSeen, likeness: Likeness) -> AxleSeen | None:
    """The first axle of a vehicle whose brakes are alike in this way, and whose share is known."""
    mine = (one for one in drive.axles if one.likeness == likeness and one.share_ln is not None)
    return next(mine, None)


def _beside_usual(axle: AxleSeen, front: float) -> float:
    """Logarithm of an axle's share over its usual one, scaled to that of one axle beside a known mean."""
    usual = share_of(axle.axle, axle.axle_count, front if axle.steered else 1.0)
    part = math.sqrt(axle.axle_count / (axle.axle_count - 1.0))
    return ((axle.share_ln or 0.0) - math.log(usual)) * part


def _taus(healthy: Sequence[DriveSeen], policy: Policy, told: _Told) -> None:
    """Time constants by the kind of brake."""
    for kind in get_args(CoolingKind):
        units: dict[str, list[float]] = {}
        for drive in healthy:
            values = [value for one, value in drive.tau_ln if one == kind]
            if values:
                units.setdefault(drive.unit, []).append(sum(values) / len(values))
        name = f"tau_{kind}_s"
        if not told.lacks(name, len(units), FEWEST):
            values = [median(each) for each in units.values()]
            how = (
                "median over vehicles of time constants that are mostly the readings' own, what was believed "
                f"before taken out; spread of their logarithms {spread_of(values).value:.2f}"
            )
            told.add(name, median_of(values).each(math.exp), policy, (len(units), _VEHICLES), how)


def _faults(mine: Sequence[DriveSeen], finding: Mapping[str, str], policy: Policy, told: _Told) -> None:
    """Share of vehicles with a fault, moved from what was believed by what was found."""
    strata = strata_of(mine, finding)
    found = fault_share_of(strata)
    if found is None:
        told.missing += [f"fault_share: {one}" for one in lacking(strata)]
        return
    weight = PRIOR_FINDINGS + found.opened
    value = (PRIOR_FINDINGS * policy.fault_share + found.opened * found.seen.value) / weight
    counts = ", ".join(
        f"{one.faulty} of {one.opened} opened of {one.drives} answered {one.answer}"
        for one in strata
        if one.opened
    )
    how = (
        f"share among all drives, by what was found behind each answer (Begg and Greenes 1983): {counts}; "
        f"{found.seen.value:.3g} was seen, and what was believed before counts as {PRIOR_FINDINGS:g} drives"
    )
    seen = Estimate(value, found.seen.low, found.seen.high)
    told.add("fault_share", seen, policy, (found.opened, "drives somebody looked into"), how)


def _causes(mine: Sequence[DriveSeen], finding: Mapping[str, str], told: _Told) -> CausesFound | None:
    """Causes that were confirmed on vehicles of this class."""
    logs = {one.log_sha256 for one in mine}
    counts = Counter(cause for log, cause in finding.items() if log in logs and cause != NO_FAULT)
    total = sum(counts.values())
    if told.lacks("causes_found", total, FEWEST_CAUSES, "jobs with a confirmed cause"):
        return None
    return CausesFound(
        counts=tuple(sorted(counts.items(), key=lambda one: (-one[1], one[0]))),
        table_worth=PRIOR_FINDINGS,
        source=f"{total} jobs that confirmed a cause; the table counts as {PRIOR_FINDINGS:g} of them",
    )


def _side_spreads(last: Sequence[DriveSeen]) -> Iterator[tuple[str, Estimate, int]]:
    """Spread of left over right by role of the axle."""
    roles: dict[str, list[float]] = {}
    for drive in last:
        for axle in drive.axles:
            roles.setdefault(axle.role, []).append(axle.unlike_ln)
    for role, values in sorted(roles.items()):
        if len(values) >= FEWEST:
            yield role, spread_of(values), len(values)
