"""How sure the owner is told we are, and of which brakes and parts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.advice.driving import large_gap
from thermlog.pages.customerwords import (
    ALL_WARM,
    LARGE,
    NO_PROMISE,
    NONE_HOLDS,
    NONE_IDLES,
    SMALL,
    SURE_BY_GIST,
    UNTOLD,
    WHY_OPEN,
    Gist,
)
from thermlog.reports.chartwords import SPOT_WORDS
from thermlog.reports.summary import either_way, rests_on_other_drive
from thermlog.reports.wording import corners_in_words
from thermlog.words.findings import STANDING_OUT
from thermlog.words.parts import SPOT_NAMES
from thermlog.words.vehicle import BRAKE_SPOTS, SIDES, corner_name, corner_words, mate_of, split_corner

if TYPE_CHECKING:
    from thermlog.words.findings import Diagnosis
    from thermlog.words.vehicle import Spot


def odd_spots(told: Diagnosis) -> list[tuple[str, Spot]]:
    """Corner and spot of what stands out though no answer names it, such as a hub or a tyre."""
    named = {corner for one in told.answers.each for corner in one.suspected}
    odd = (
        (one.corner, one.spot)
        for one in told.corners
        if one.verdict in STANDING_OUT and one.corner not in named
    )
    return list(dict.fromkeys([*((one.corner, one.spot) for one in told.parts_above), *odd]))


def part(told: Diagnosis, place: tuple[str, Spot]) -> str:
    """A part with its wheel: "outer" only where a wheel was read at two tyres."""
    corner, spot = place
    twins = any(one.corner == corner and one.spot == "tyre_inner" for one in told.corners)
    name = SPOT_WORDS[spot] if twins else SPOT_NAMES[spot]
    return f"the {name or 'brake'} at {corner_words(corner, told.axle_count)}"


def named_corners(told: Diagnosis) -> tuple[str, ...]:
    """Brakes that are called or watched, and those that the same heat can speak against."""
    drag, idle, _ = told.answers.each
    both = (*drag.corners, *idle.corners) if either_way(told) else (*drag.suspected, *idle.suspected)
    return tuple(dict.fromkeys(both))


def sure(told: Diagnosis, gist: Gist) -> tuple[str, ...]:
    """How sure we are, how often each wheel was measured, and which was not."""
    unread = _unread(told)
    said = [_sure_of(told, gist), _rounds(told, unread=bool(unread)), unread]
    if gist not in ("unknown", "nothing"):
        said.append(WHY_OPEN.format(_whats_looked_at(told, gist)))
    if gist == "drags" and told.answers.idle.answer == "no":
        said.append(f"{NONE_IDLES} {NO_PROMISE}")
    if gist == "idles" and told.answers.drag.answer == "no":
        said.append(f"{NONE_HOLDS} {NO_PROMISE}")
    if gist not in ("unknown", "urgent"):
        untold = zip(told.answers.each, UNTOLD, strict=False)
        said += [words for one, words in untold if one.answer == "cannot_tell"]
    return tuple(filter(None, said))


def partly(told: Diagnosis) -> str:
    """What is known where one of the two questions is open and the other is not; empty otherwise."""
    drag, idle, _ = (one.answer for one in told.answers.each)
    known = {("no", "cannot_tell"): (NONE_HOLDS, UNTOLD[1]), ("cannot_tell", "no"): (NONE_IDLES, UNTOLD[0])}
    return " ".join(known.get((drag, idle), ()))


def untold_corners(told: Diagnosis) -> frozenset[str]:
    """Wheels of which it could not be told whether their brake holds on, or whether it works."""
    every = [corner_name(axle, side) for axle in range(1, told.axle_count + 1) for side in SIDES]
    opened = (one for one in told.answers.each[:2] if one.answer == "cannot_tell")
    return frozenset(corner for one in opened for corner in one.corners or every)


def _rounds(told: Diagnosis, *, unread: bool) -> str:
    """How often the brakes were read, or what else was where none was; a part that stands out by itself."""
    brakes = [one.readings for one in told.corners if one.spot in BRAKE_SPOTS]
    least = min(brakes or [one.readings for one in told.corners], default=0)
    if not least:
        return ""
    shown = "each wheel that gave a reading" if unread else "each wheel that is shown"
    parts = [
        f" {part(told, (one.corner, one.spot))} {_times(found.readings)}"
        for one in told.parts_above
        if (found := told.corner(one.corner, one.spot)) is not None and one.spot not in BRAKE_SPOTS
    ]
    return f"We measured {shown} at least {_times(least)}{',' if parts else ''}{','.join(parts)}."


def _times(count: int) -> str:
    return "once" if count == 1 else "twice" if count == 2 else f"{count} times"


def _whats_looked_at(told: Diagnosis, gist: Gist) -> str:
    """A wheel where a part beside its brake is in question; the vehicle where nobody said at which wheel."""
    if gist == "urgent":
        brakes = all(one.code == "brake_hot" for one in told.urgent)
        return "brake" if brakes else "wheel" if all(one.corner for one in told.urgent) else "vehicle"
    return "wheel" if told.parts_above or not named_corners(told) else "brake"


def _sure_of(told: Diagnosis, gist: Gist) -> str:
    if gist != "maybe":
        return SURE_BY_GIST[gist]
    if is_small(told):
        return SMALL
    drag, idle, heat = told.answers.each
    return ALL_WARM if heat.suspects and not (drag.suspects or idle.suspects) else LARGE


def is_small(told: Diagnosis) -> bool:
    """True where all that stands out is one side of an axle, by less than the marks of a call."""
    named = named_corners(told)
    pairs = either_way(told) or not any(mate_of(corner) in named for corner in named)
    return (
        bool(named)
        and pairs
        and not (large_gap(told) or rests_on_other_drive(told) or told.parts_above)
        and (not told.answers.heat.suspects and _gap_watched(told, named))
    )


def _gap_watched(told: Diagnosis, named: tuple[str, ...]) -> bool:
    """True if each axle that is named was set left against right, and lies under the marks of a call."""
    axles = [told.axle(number) for number in {split_corner(corner)[0] for corner in named}]
    return (
        all(
            axle is not None
            and axle.difference_k is not None
            and axle.marks_k is not None
            and axle.difference_k.size.value < axle.marks_k[1]
            for axle in axles
        )
        and len(axles) == 1
    )


def _unread(told: Diagnosis) -> str:
    """Wheels that gave no reading of their brake."""
    read = {one.corner for one in told.corners if one.spot in BRAKE_SPOTS}
    each = (corner_name(axle, side) for axle in range(1, told.axle_count + 1) for side in SIDES)
    missing = tuple(corner for corner in each if corner not in read)
    if not missing:
        return ""
    where = corners_in_words(missing, told.axle_count)
    return f"No brake temperature of {where}: not measured, or not readable."
