"""What stands out as suspects apart: a brake, an axle or a circuit each, the severer first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Literal

from msgspec.structs import replace

from thermlog.advice.heat import is_too_hot
from thermlog.advice.logevidence import LogEvidence, makes_cool
from thermlog.words.findings import Answer
from thermlog.words.kinds import FAULT_KINDS, FaultKind, kind_of
from thermlog.words.sentences import Sentence, named, sentence
from thermlog.words.vehicle import Vehicle, split_corner

_Sign = Literal["hot", "cold"]
_OF_TRAILER = {kind.sign: kind for kind in FAULT_KINDS if kind.of_trailer}


def suspects_apart(evidence: LogEvidence) -> tuple[LogEvidence, ...]:
    """The evidence of each suspect that is called, so that every check is asked at one that it can concern.

    Parameters
    ----------
    evidence : LogEvidence

    Returns
    -------
    tuple of LogEvidence
        At least one. First a brake that drags at 200 °C or more, then one that does not work, then other
        drags; of the same the one with more brakes, then the hotter drag, or the colder dead brake. Brakes
        that one cause can reach (an axle, a circuit) are one suspect. The evidence itself where nothing is
        called at a place, or at one alone.
    """
    match evidence.fault.scope:
        case "corner" | "axle" | "circuit" | "several":
            answers = evidence.answers
            found = (*_of_sign(evidence, "hot", answers.drag), *_of_sign(evidence, "cold", answers.idle))
            return tuple(sorted(found, key=_severity)) or (evidence,)
        case "nothing" | "hub" | "vehicle":
            return (evidence,)


def suspect_words(evidence: LogEvidence, *, sure: bool = True) -> Sentence:
    """One suspect in words: where, and what it does, or may do where it is only watched."""
    several = len(evidence.corners) > 1
    drags, dead = ("drag", "do not work") if several else ("drags", "does not work")
    if not sure:
        drags, dead = "may drag", "may not work"
    return sentence("{} {}", named(*evidence.corners), dead if evidence.fault.sign == "cold" else drags)


def _of_sign(evidence: LogEvidence, sign: _Sign, answer: Answer) -> Iterator[LogEvidence]:
    """Suspects of one sign: what the kind of fault holds together, and of all else each axle by itself."""
    own = evidence.corners if evidence.fault.sign == sign else ()
    if own:
        yield evidence
    called = answer.corners if answer.answer == "yes" else ()
    yield from suspects_of(evidence, (corner for corner in called if corner not in own), sign)


def suspects_of(evidence: LogEvidence, corners: Iterable[str], sign: _Sign) -> Iterator[LogEvidence]:
    """The evidence of each axle that these corners are of, or of their trailer where all its brakes are odd.

    Parameters
    ----------
    evidence : LogEvidence
    corners : iterable of str
    sign : {"hot", "cold"}
        What they are said to be.

    Yields
    ------
    LogEvidence
    """
    for those in _together(corners, evidence.vehicle):
        yield alone_at(evidence, _kind_at(those, sign), those)


def _kind_at(corners: tuple[str, ...], sign: _Sign) -> FaultKind:
    """Of one brake, of both of an axle, or of a trailer's."""
    if len(corners) == 1:
        return kind_of("corner", sign)
    return kind_of("axle", sign) if len(corners) == 2 else _OF_TRAILER[sign]


def _together(corners: Iterable[str], vehicle: Vehicle) -> Iterable[tuple[str, ...]]:
    """Corners by their axles; a trailer all of whose brakes are odd is one: they hang on its line or plug."""
    trailing = vehicle.trailing
    axles: dict[int, tuple[str, ...]] = {}
    for corner in corners:
        axle = split_corner(corner)[0]
        axles[axle] = (*axles.get(axle, ()), corner)
    odd = tuple(corner for axle in sorted(trailing) for corner in axles.get(axle, ()))
    if len(odd) < 2 * len(trailing) or len(trailing) < 2:
        return axles.values()
    return [odd, *(found for axle, found in axles.items() if axle not in trailing)]


def alone_at(evidence: LogEvidence, kind: FaultKind, corners: tuple[str, ...]) -> LogEvidence:
    """The evidence as that of a fault of this kind at these brakes alone.

    What was read of the first brake of the log's own fault stays with that one.
    """
    alone = replace(evidence, kind=kind.name, corners=corners, open_side=False)
    if corners[0] in evidence.corners[:1]:
        return alone
    return replace(alone, face_difference_k=None, hub_over_brake=False, single_reading=False)


def _severity(evidence: LogEvidence) -> tuple[int, int, float]:
    degc = [value for corner, value in evidence.degc if corner in evidence.corners]
    if evidence.fault.sign == "cold":
        spared = makes_cool(evidence.vehicle, evidence.axles)
        return 3 if spared else 1, -len(evidence.corners), min(degc, default=0.0)
    return 0 if is_too_hot(evidence) else 2, -len(evidence.corners), -max(degc, default=0.0)
