"""Numbers of a policy learned from a depot's own drives, with how sure they are and what they rest on."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from statistics import median
from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct

from thermlog.fitting.fit import FITTED
from thermlog.history.tolerance import fewest, upper_limit
from thermlog.judging.likelihood import share_of
from thermlog.judging.tell import tell_findings
from thermlog.words.errors import HistoryError
from thermlog.words.policy import unit_of
from thermlog.words.vehicle import unit_key

if TYPE_CHECKING:
    from thermlog.judging.judged import Judged
    from thermlog.words.findings import Answers
    from thermlog.words.policy import Policy

_FEWEST_FOR_SPREAD = 30  # vehicles: the spread of a normal sample is then known to about 13 %; own choice
_FEWEST_FOR_TAU = 3  # readings a side before its time constant means anything
_LEAST_RISE_K = 10.0  # of the cooler side: below, a kelvin of the air makes any ratio


class AxleSeen(Struct, frozen=True, kw_only=True):
    """One axle on one drive with braking.

    Attributes
    ----------
    unit : str
        Vehicle, or the log where it names none.
    weight_class : str
        Policy that is meant for it.
    role : str
        What the axle does.
    unlike_ln : float
        Size of the logarithm of left over right.
    share_ln : float or None
        Logarithm of the axle's heat over the vehicle's; None where it is the only one.
    front : bool
        A steer axle before others.
    axle_count : int
    drum : bool
    tau_ln : tuple of float
        Logarithms of the time constants that enough readings tell [ln s].
    drive : (str, int)
        Which drive it was.
    """

    unit: str
    weight_class: str
    role: str
    unlike_ln: float
    share_ln: float | None
    front: bool
    axle_count: int
    drum: bool
    tau_ln: tuple[float, ...]
    drive: tuple[str, int]


class Learned(Struct, frozen=True, kw_only=True):
    """One number of a policy, learned.

    Attributes
    ----------
    name : str
        Of the policy.
    value : float
    was : float
        In the policy it begins from.
    units : int
        Vehicles it rests on.
    how : str
        In words, for the file.
    """

    name: str
    value: float
    was: float
    units: int
    how: str


class Lesson(Struct, frozen=True, kw_only=True):
    """What a depot taught.

    Attributes
    ----------
    numbers : tuple of Learned
    spreads : tuple of (str, float, int)
        Spread of the logarithm of left over right by role of the axle, and of how many vehicles; told, not
        used.
    missing : tuple of str
        What could not be learned, and how many vehicles are lacking.
    units : int
    drives : int
    """

    numbers: tuple[Learned, ...]
    spreads: tuple[tuple[str, float, int], ...]
    missing: tuple[str, ...]
    units: int
    drives: int


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


def changes_between(before: Sequence[Judged], after: Sequence[Judged], base: str) -> Changes:
    """Answers of the same drives under two policies, vehicles of one weight class.

    Parameters
    ----------
    before, after : sequence of Judged
        The same cases in the same batches.
    base : str
        Weight class.
    """
    counts: tuple[dict[str, int], dict[str, int]] = ({}, {})
    units: dict[str, None] = {}
    drives = left_out = 0
    for old, new in zip(before, after, strict=True):
        for k, case in enumerate(old.readings.cases):
            if old.vehicles[k].weight_class != base:
                continue
            words = [tell_findings(one, k).answers for one in (old, new)]
            drives += 1
            left_out += _called(words[0])
            for count, said in zip(counts, words, strict=True):
                count[said.drag.answer] = count.get(said.drag.answer, 0) + 1
            if words[0].drag.answer != words[1].drag.answer:
                units[case.vehicle or case.log.file] = None
    return Changes(drives=drives, left_out=left_out, before=counts[0], after=counts[1], units=tuple(units))


def _called(answers: Answers) -> bool:
    return "yes" in {answers.drag.answer, answers.idle.answer}


def axles_seen(judged: Judged, faulty: frozenset[str]) -> list[AxleSeen]:
    """Axles of all drives with braking whose air is known, of vehicles believed healthy.

    Parameters
    ----------
    judged : Judged
        Drives that are called are left out.
    faulty : frozenset of str
        Hashes of logs whose job found a cause; they are left out, too.
    """
    found: list[AxleSeen] = []
    rise, fitted = judged.comparison.state.rise_k, judged.fits.state == FITTED
    for k, case in enumerate(judged.readings.cases):
        if case.drive == "coast" or case.ambient_degc is None or case.log.sha256 in faulty:
            continue
        if _called(tell_findings(judged, k).answers):
            continue
        own = range(int(judged.pairs.first[k]), int(judged.pairs.first[k + 1]))
        pairs = [
            pair
            for pair in own
            if judged.comparison.chosen[pair]
            and fitted[:, pair].all()
            and rise[:, pair].min() >= _LEAST_RISE_K
        ]
        levels = [float(np.log(rise[:, pair]).mean()) for pair in pairs]
        vehicle = judged.vehicles[k]
        for pair, level in zip(pairs, levels, strict=True):
            axle = int(judged.pairs.axle[pair])
            taus = judged.fits.log_tau[:, pair][judged.fits.used[:, pair] >= _FEWEST_FOR_TAU]
            found.append(
                AxleSeen(
                    unit=unit_key(case.vehicle) if case.vehicle else case.log.sha256,
                    weight_class=vehicle.weight_class,
                    role=vehicle.axle(axle).role,
                    unlike_ln=abs(float(np.log(rise[0, pair] / rise[1, pair]))),
                    share_ln=level - sum(levels) / len(levels) if len(levels) > 1 else None,
                    front=axle == 1 and vehicle.axle(1).role == "steer",
                    axle_count=len(levels),
                    drum=vehicle.has_drum(axle),
                    tau_ln=tuple(taus.tolist()),
                    drive=(case.log.sha256, k),
                )
            )
    return found


def learn(seen: Sequence[AxleSeen], policy: Policy, base: str, sure: tuple[float, float]) -> Lesson:
    """Learn what these axles teach of vehicles of one weight class.

    Parameters
    ----------
    seen : sequence of AxleSeen
        Of vehicles believed healthy.
    policy : Policy
        That the new one begins from.
    base : str
        Its bundled name; only vehicles of this class count.
    sure : (float, float)
        Share of healthy vehicles that are to lie below the limit, and the confidence that they do.

    Raises
    ------
    HistoryError
        Too few vehicles for anything; says how many are lacking.
    """
    share, confidence = sure
    mine = [one for one in seen if one.weight_class == base]
    units = {one.unit for one in mine}
    numbers = [*_limit(mine, policy, share, confidence), *_shares(mine, policy), *_taus(mine, policy)]
    needed = fewest(share, confidence)
    missing = []
    if len(units) >= needed and "watch_ratio" not in {one.name for one in numbers}:
        missing.append(
            f"watch_ratio: the limit would lie past the suspect mark ({policy.suspect_ratio:g} to 1): some "
            "of these vehicles are not healthy, or their surfaces are quite unlike"
        )
    if len(units) < needed:
        missing.append(
            f"watch_ratio: {needed} vehicles are needed for {100 * share:g} % with a confidence of "
            f"{100 * confidence:g} %, {len(units)} are there: {needed - len(units)} more"
        )
    names = {one.name for one in numbers}
    missing += [
        f"{name}: {_FEWEST_FOR_SPREAD} vehicles that show it are needed"
        for name in ("front_share", "tau_disc_s", "tau_drum_s")
        if name not in names
    ]
    if not numbers:
        msg = f"nothing can be learned of {base} vehicles: {'; '.join(missing)}"
        raise HistoryError(msg)
    roles = sorted({one.role for one in mine})
    return Lesson(
        numbers=tuple(numbers),
        spreads=tuple(spread for role in roles if (spread := _spread_of(role, mine)) is not None),
        missing=tuple(missing),
        units=len(units),
        drives=len({one.drive for one in mine}),
    )


def _per_unit(seen: Sequence[AxleSeen], value: Callable[[AxleSeen], float | None]) -> list[float]:
    """One value a vehicle, the median of its drives: drives of one vehicle are not independent."""
    found: dict[str, list[float]] = {}
    for one in seen:
        if (told := value(one)) is not None:
            found.setdefault(one.unit, []).append(told)
    return [median(values) for values in found.values()]


def _robust_spread(values: Sequence[float]) -> float:
    """Standard deviation of the bulk: up to half of the values may be wild and hardly move it."""
    from scipy.stats import median_abs_deviation

    return float(median_abs_deviation(np.asarray(values), scale="normal"))


def _limit(seen: Sequence[AxleSeen], policy: Policy, share: float, confidence: float) -> list[Learned]:
    """Ratio of the sides that hardly a healthy vehicle passes: its widest axle, on its median drive."""
    axles: dict[tuple[str, str], list[float]] = {}
    for one in seen:
        axles.setdefault((one.unit, one.role), []).append(one.unlike_ln)
    widest: dict[str, float] = {}
    for (unit, _), values in axles.items():
        widest[unit] = max(widest.get(unit, 0.0), median(values))
    limit = upper_limit(list(widest.values()), share, confidence)
    if limit is None:
        return []
    how = (
        f"distribution-free tolerance limit (Wilks 1941): with a confidence of {100 * confidence:g} % at "
        f"most {100 * (1 - share):g} % of such vehicles pass it on their median drive"
    )
    value = math.exp(limit)
    if value >= policy.suspect_ratio:
        return []
    return [Learned(name="watch_ratio", value=value, was=policy.watch_ratio, units=len(widest), how=how)]


def _shares(seen: Sequence[AxleSeen], policy: Policy) -> list[Learned]:
    """Usual rise of a steer axle over the others."""

    def front(one: AxleSeen) -> float | None:
        if not one.front or one.share_ln is None:
            return None
        # share_of gives the first axle front ** (1 - 1 / n)
        return one.share_ln / math.log(share_of(1, one.axle_count, math.e))

    values = _per_unit(seen, front)
    if len(values) < _FEWEST_FOR_SPREAD:
        return []
    how = f"median over vehicles, spread {_robust_spread(values):.2f} in ln (median absolute deviation)"
    value = math.exp(median(values))
    return [Learned(name="front_share", value=value, was=policy.front_share, units=len(values), how=how)]


def _taus(seen: Sequence[AxleSeen], policy: Policy) -> list[Learned]:
    """Time constants of discs and of drums, and how much vehicles differ."""
    found = []
    for name, drum in (("tau_disc", False), ("tau_drum", True)):
        values = _per_unit(
            [one for one in seen if one.drum == drum],
            lambda one: sum(one.tau_ln) / len(one.tau_ln) if one.tau_ln else None,
        )
        if len(values) < _FEWEST_FOR_SPREAD:
            continue
        how = (
            "median over vehicles of fitted time constants; each fit leans towards what was believed before; "
            f"spread of their logarithms {_robust_spread(values):.2f} (median absolute deviation)"
        )
        key, value = f"{name}_s", math.exp(median(values))
        found.append(Learned(name=key, value=value, was=getattr(policy, key), units=len(values), how=how))
    return found


def _spread_of(role: str, seen: Sequence[AxleSeen]) -> tuple[str, float, int] | None:
    values = _per_unit([one for one in seen if one.role == role], lambda one: one.unlike_ln)
    if len(values) < 2:
        return None
    # sizes of a normal variable: their median is 0.6745 standard deviations
    return role, median(values) / 0.6745, len(values)


def policy_text(lesson: Lesson, base: str, made: str) -> str:
    """The policy as a file that `--policy` takes.

    Parameters
    ----------
    lesson : Lesson
    base : str
    made : str
        When and from what, in words.
    """
    lines = [
        f"# Learned from {lesson.units} vehicles of a depot believed healthy, {made}.",
        "# Everything that is not stated here is as in the base. Screening limits: they certify nothing.",
        f'base = "{base}"',
        f'name = "{base}, learned"',
        'schema = "thermlog-policy-1"',
        "",
    ]
    for one in lesson.numbers:
        source = f"learned from {one.units} vehicles, {made}: {one.how}; was {one.was:g}"
        value = float(f"{one.value:.4g}")
        lines.append(
            f'{one.name} = {{ value = {value:g}, unit = "{unit_of(one.name)}", source = "{source}" }}'
        )
    return "\n".join(lines) + "\n"
