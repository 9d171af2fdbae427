"""Why a brake is called or watched: what was expected, what was read, what was weighed, as text."""

from __future__ import annotations

from collections.abc import Iterator

from thermlog.reports.wording import (
    BARE_VERDICTS,
    Show,
    degrees,
    difference,
    difference_with_range,
    expected_words,
    percent,
    temperature_with_range,
)
from thermlog.words.findings import STANDING_OUT, AxleFinding, CornerFinding, Diagnosis
from thermlog.words.vehicle import BRAKE_SPOTS, axle_words, corner_words

_TITLE = (
    "What was weighed, and what speaks for or against it (shares overlap: two brakes can be odd together)"
)
_LEAST_SHARE = 0.01  # alternatives below are not listed
_MOST_LISTED = 6


def why_blocks(diagnosis: Diagnosis, show: Show) -> list[list[str]]:
    """Blocks of lines for whoever asks why: a brake each, then the alternatives; empty unless asked for.

    Parameters
    ----------
    diagnosis : Diagnosis
        With its budgets, which are there only where it was asked for.
    show : {"C", "F"}

    Returns
    -------
    list of list of str
    """
    if not diagnosis.budgets:
        return []
    brakes = [one for one in diagnosis.corners if one.spot in BRAKE_SPOTS and one.at_common_degc is not None]
    odd = [one for one in brakes if one.verdict in STANDING_OUT]
    shown = odd or _furthest(brakes)
    return [
        *(_brake(one, diagnosis, show) for one in shown),
        [_TITLE, *_alternatives(diagnosis, brakes, show)],
    ]


def _furthest(brakes: list[CornerFinding]) -> list[CornerFinding]:
    """The brake that is furthest from the middle of its healthy band, where none stands out."""
    known = [one for one in brakes if one.expected_degc is not None]
    return [max(known, key=_off)] if known else []


def _off(one: CornerFinding) -> float:
    """Distance from the middle of the band, in half widths; 1 is its edge."""
    if one.expected_degc is None or one.at_common_degc is None:
        return 0.0
    low, high = one.expected_degc
    return abs(one.at_common_degc.value - 0.5 * (low + high)) / (0.5 * (high - low))


def _brake(one: CornerFinding, diagnosis: Diagnosis, show: Show) -> list[str]:
    unit, place = degrees(show), corner_words(one.corner, diagnosis.axle_count)
    title = f"Why {BARE_VERDICTS[one.verdict]}: {place}"
    if one.verdict == "even":
        title = f"Why nothing stands out; furthest from what is expected: {place}"
    band = expected_words(one.expected_degc, show) or "not known"
    standing = _standing(one, show, band="that")
    read = f"{temperature_with_range(one.at_common_degc, show)} {unit}"
    lines = [
        title,
        f"  expected of a healthy brake here, given the others: {band}",
        f"  read instead: {read}{standing and ', '}{standing}",
    ]
    axle = diagnosis.axle(one.axle)
    if axle is not None and axle.difference_k is not None:
        gap = difference_with_range(axle.difference_k, show)
        marks = "" if axle.marks_k is None else _marks(axle.marks_k, show)
        lines.append(f"  left minus right: {gap} {unit}{marks}")
    return lines


def _marks(marks_k: tuple[float, float], show: Show) -> str:
    watch, suspect = (f"{difference(k, show)} {degrees(show)}" for k in marks_k)
    return f"; watched from {watch} on, suspect from {suspect} on"


def _standing(one: CornerFinding, show: Show, *, band: str) -> str:
    """Where a brake stands to its healthy band, which goes by that name; empty where nothing was expected."""
    if one.expected_degc is None or one.at_common_degc is None:
        return ""
    low, high = one.expected_degc
    value = one.at_common_degc.value
    if value > high:
        return f"{difference(value - high, show)} {degrees(show)} above {band}"
    if value < low:
        return f"{difference(low - value, show)} {degrees(show)} below {band}"
    return f"inside {band}"


def _alternatives(diagnosis: Diagnosis, brakes: list[CornerFinding], show: Show) -> list[str]:
    weighed = sorted(_faults(diagnosis, brakes, show), key=lambda one: -one[0])[:_MOST_LISTED]
    if diagnosis.p_fault is not None:
        reason = _of_no_fault(brakes, diagnosis, show)
        weighed.append((1.0 - diagnosis.p_fault, "no fault at all", reason))
    lines = [f"  {percent(share):>6}  {name}: {reason}" for share, name, reason in weighed]
    return [*lines, *_skins(diagnosis, show), *_misses(diagnosis, brakes)]


def _faults(
    diagnosis: Diagnosis, brakes: list[CornerFinding], show: Show
) -> Iterator[tuple[float, str, str]]:
    for one in brakes:
        place = corner_words(one.corner, diagnosis.axle_count)
        for share, words in ((one.p_hot, "drags"), (one.p_cold, "does too little")):
            if share is not None and share >= _LEAST_SHARE:
                yield share, f"{place} {words}", _read(one, show)


_NOTHING_EXPECTED = "what a healthy one would read here is not known"


def _read(one: CornerFinding, show: Show) -> str:
    beside = _of_its_band(one, show)
    return f"it reads {beside}" if beside else _NOTHING_EXPECTED


def _of_its_band(one: CornerFinding, show: Show) -> str:
    return _standing(one, show, band="what is expected of a healthy one")


def _of_no_fault(brakes: list[CornerFinding], diagnosis: Diagnosis, show: Show) -> str:
    if all(one.expected_degc is None for one in brakes):
        return "what healthy ones would read here is not known"
    outside = [one for one in brakes if _off(one) > 1.0]
    if not outside:
        return "every brake reads inside what is expected of a healthy one"
    worst = max(outside, key=_off)
    place = corner_words(worst.corner, diagnosis.axle_count)
    return f"against it, {place} reads {_of_its_band(worst, show)}"


def _skins(diagnosis: Diagnosis, show: Show) -> list[str]:
    """Whether surfaces alone could make the gaps of axles that stand out."""
    return [
        line
        for axle in diagnosis.axles
        if axle.verdict in STANDING_OUT and (line := _skin(axle, diagnosis, show))
    ]


def _skin(axle: AxleFinding, diagnosis: Diagnosis, show: Show) -> str:
    metal = axle.surface_difference_k
    if metal is None or metal.low is None or metal.high is None:
        return ""
    place = axle_words(axle.axle, diagnosis.axle_count)
    ends = f"{difference(metal.low, show)} to {difference(metal.high, show)} {degrees(show)}"
    if axle.surface_known:
        return (
            f"          surfaces of the {place}: stated, so they are allowed for; the metal differs by {ends}"
        )
    if metal.low > 0.0 or metal.high < 0.0:
        against = f"against it, even then the metal differs by {ends}"
        return f"          {place} skins that shine unlike: {against}"
    return f"          {place} skins that shine unlike: they could be all of it, the metal differs by {ends}"


def _misses(diagnosis: Diagnosis, brakes: list[CornerFinding]) -> list[str]:
    odd = [one for one in brakes if one.verdict in STANDING_OUT]
    lines = []
    for one in odd:
        place = corner_words(one.corner, diagnosis.axle_count)
        votes = f"{one.readings_used} of {one.readings} readings vote"
        against = "one reading cannot rule it out" if one.readings_used == 1 else f"against it, {votes}"
        lines.append(f"          shots beside the brake at {place}: {against}")
    return lines
