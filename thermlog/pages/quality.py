"""How good a log is: what was read, in which order, how far apart, and what the finding leans on unsaid."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

from msgspec import Struct

from thermlog.pages.shown import Dual, alike, in_both, seen
from thermlog.reports.wording import air_words, clock, degrees, difference, set_aside_words
from thermlog.words.vehicle import BRAKE_SPOTS, corner_words, mate_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.words.findings import Diagnosis

Grade: TypeAlias = Literal["done", "watch", "cannot_tell"]


class Quality(Struct, frozen=True, kw_only=True):
    """One thing about the log: in order, to be looked at, or not known."""

    grade: Grade
    text: Dual


class _Shot(Struct, frozen=True, order=True):
    """One reading with a time."""

    elapsed_s: float
    corner: str
    spot: str


def quality_of(diagnosis: Diagnosis) -> tuple[Quality, ...]:
    """What a reader of the page should know of the readings, the plainest first.

    Parameters
    ----------
    diagnosis : Diagnosis
        With its curves.
    """
    shots = sorted(
        _Shot(float(at), curve.corner, curve.spot)
        for curve in diagnosis.curves
        for at in curve.elapsed_s
        if curve.spot in BRAKE_SPOTS
    )
    return (
        _used(diagnosis),
        *_rounds(shots),
        *_spacing(shots, diagnosis),
        *_heat(diagnosis),
        _air(diagnosis),
        _skins(diagnosis),
        _brakes(diagnosis),
    )


def aside_of(diagnosis: Diagnosis) -> tuple[str, ...]:
    """Rows that do not vote, each with its line and reason: those set aside, and those off the curve."""
    count = diagnosis.axle_count
    off = [
        f"line {line}, {corner_words(curve.corner, count)}: {why}"
        for curve in diagnosis.curves
        for line, why in zip(curve.line.tolist(), curve.left_out, strict=True)
        if why
    ]
    return tuple(seen(text, 300) for text in (*map(set_aside_words, diagnosis.log.set_aside), *off))


def _plain(grade: Grade, text: str) -> Quality:
    return Quality(grade=grade, text=alike(text))


def _used(diagnosis: Diagnosis) -> Quality:
    total = sum(one.readings for one in diagnosis.corners)
    used = sum(one.readings_used for one in diagnosis.corners)
    aside = len(diagnosis.log.set_aside)
    text = f"{used} of {total} readings of this drive vote" + (
        f"; {aside} of the file set aside" * bool(aside)
    )
    return _plain("done" if used == total and not aside else "watch", text)


def laps(shots: Sequence[tuple[float, str]]) -> list[list[str]]:
    """Corners in the order in which they were read, a new list wherever one comes a second time.

    Examples
    --------
    >>> laps([(0.0, "1L"), (9.0, "1R"), (20.0, "1R"), (30.0, "1L")])
    [['1L', '1R'], ['1R', '1L']]
    """
    found: list[list[str]] = []
    for _, corner in shots:
        if not found or corner in found[-1]:
            found.append([])
        found[-1].append(corner)
    return found


def _rounds(shots: Sequence[_Shot]) -> list[Quality]:
    if not shots:
        return [_plain("cannot_tell", "no reading has a time: nothing can be brought to one moment")]
    walked = laps([(one.elapsed_s, one.corner) for one in shots])
    if len(walked) == 1:
        return [_plain("watch", "one round only: a shot beside the brake cannot be told from a fault")]
    turned = walked[1] == walked[0][::-1]
    order = "the second the other way round" if turned else "the second not simply the other way round"
    return [_plain("done" if turned else "watch", f"{len(walked)} rounds, {order}")]


def _spacing(shots: Sequence[_Shot], diagnosis: Diagnosis) -> list[Quality]:
    if not shots:
        return []
    first, last = clock(shots[0].elapsed_s), clock(shots[-1].elapsed_s)
    since = (
        "after parking" if diagnosis.parked_known else "on the log's clock; the parked moment is not stated"
    )
    found = [
        _plain(
            "done" if diagnosis.parked_known else "cannot_tell", f"first reading {first}, last {last} {since}"
        )
    ]
    gaps = [
        abs(one.elapsed_s - other.elapsed_s)
        for one in shots
        for other in [_nearest_mate(one, shots)]
        if other is not None
    ]
    if gaps:
        found.append(_plain("done", f"left and right of an axle read at most {clock(max(gaps))} apart"))
    return found


def _nearest_mate(one: _Shot, shots: Sequence[_Shot]) -> _Shot | None:
    mates = [other for other in shots if other.corner == mate_of(one.corner)]
    return min(mates, key=lambda other: abs(other.elapsed_s - one.elapsed_s), default=None)


def _heat(diagnosis: Diagnosis) -> list[Quality]:
    rises = [
        one.rise_k.value for one in diagnosis.corners if one.rise_k is not None and one.spot in BRAKE_SPOTS
    ]
    if not rises:
        return []
    low, high = min(rises), max(rises)

    def words(show: Literal["C", "F"]) -> str:
        unit = degrees(show)
        return f"brakes {difference(low, show)} to {difference(high, show)} {unit} above the air"

    return [Quality(grade="done", text=in_both(words))]


def _air(diagnosis: Diagnosis) -> Quality:
    known = diagnosis.ambient_degc is not None and diagnosis.ambient_source != "assumed"
    text = in_both(lambda show: air_words(diagnosis.ambient_degc, diagnosis.ambient_source, show))
    return Quality(grade="done" if known else "cannot_tell", text=text)


def _skins(diagnosis: Diagnosis) -> Quality:
    stated = bool(diagnosis.axles) and all(axle.surface_known for axle in diagnosis.axles)
    if stated:
        return _plain("done", "surfaces aimed at are stated, readings corrected")
    return _plain("cannot_tell", "surfaces aimed at not stated: unlike skins can hide or feign a difference")


def _brakes(diagnosis: Diagnosis) -> Quality:
    axles = diagnosis.description.axles
    if axles and all(axle.brake is not None for axle in axles):
        return _plain("done", "kind of brake known on every axle")
    return _plain("cannot_tell", "kind of brake not known on every axle: causes are less sharp")
