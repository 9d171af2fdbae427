"""What would be normal, in words: the healthy band of an axle, and what competes where it is watched."""

from __future__ import annotations

from thermlog.reports.chartwords import hotter_corner
from thermlog.reports.wording import Show, clock, expected_words, percent
from thermlog.words.estimates import Interval
from thermlog.words.findings import STANDING_OUT, CornerFinding, Diagnosis
from thermlog.words.units import from_degc
from thermlog.words.vehicle import SIDE_NAMES, SIDES, mate_of


def banded(diagnosis: Diagnosis, number: int) -> CornerFinding | None:
    """The corner of an axle whose band is drawn: the odd one, else the hotter one; None without a band."""
    known = [one for one in diagnosis.corners if one.axle == number and one.expected_degc is not None]
    odd = [one for one in known if one.verdict in STANDING_OUT]
    axle = diagnosis.axle(number)
    if len(odd) == 1:
        return odd[0]
    if axle is not None and axle.difference_k is not None:
        hotter = hotter_corner(axle)
        return next((one for one in known if one.corner == hotter), None)
    return known[0] if known else None


def band_line(diagnosis: Diagnosis, number: int, show: Show) -> str:
    """What the hatched band of an axle is; empty without one."""
    one = banded(diagnosis, number)
    if one is None or diagnosis.common_time_s is None:
        return ""
    band, when = expected_words(one.expected_degc, show), clock(diagnosis.common_time_s)
    return f"hatched: a healthy {SIDE_NAMES[one.side]} here, {band} at {when}"


def gap_ends(diagnosis: Diagnosis, number: int) -> Interval | None:
    """Temperatures of left and right between which the gap of an axle is drawn [°C]; None without one.

    It does where one of the two stands out from the other.
    """
    axle = diagnosis.axle(number)
    pair = [found for side in SIDES if (found := diagnosis.corner(f"{number}{side}")) is not None]
    if axle is None or axle.verdict in {"even", "cannot_tell"} or len({one.verdict for one in pair}) < 2:
        return None
    left, right = (one.at_common_degc for one in pair)
    return None if left is None or right is None else (left.value, right.value)


def marked_levels(diagnosis: Diagnosis, number: int, show: Show) -> dict[str, float]:
    """Where the hotter side of an axle would have to stand to be watched, and suspect, in the unit shown."""
    axle = diagnosis.axle(number)
    if axle is None or axle.marks_k is None:
        return {}
    cooler = diagnosis.corner(mate_of(hotter_corner(axle)))
    if cooler is None or cooler.at_common_degc is None:
        return {}
    base = cooler.at_common_degc.value
    return {
        word: from_degc(base + k, show) for word, k in zip(("watch", "suspect"), axle.marks_k, strict=True)
    }


def weighed_line(diagnosis: Diagnosis, number: int) -> str:
    """What competes where an axle is watched, each with its share; empty where it is not.

    Notes
    -----
    One corner in question: its drag, or the idleness of its mate, or neither. Both: the axle too hot, too
    cold, or neither, which is no fault: sides and skins of healthy brakes differ.
    """
    axle = diagnosis.axle(number)
    if axle is None or axle.verdict != "watch" or axle.difference_k is None:
        return ""
    hot = diagnosis.corner(hotter_corner(axle))
    cool = diagnosis.corner(mate_of(hotter_corner(axle)))
    if hot is None or cool is None or hot.p_hot is None or cool.p_cold is None:
        return ""
    if {hot.verdict, cool.verdict} == {"watch"}:
        return _of_the_axle(hot, cool, diagnosis)
    sides = SIDE_NAMES[hot.side], SIDE_NAMES[cool.side]
    return _shares(
        (f"{sides[0]} drags", hot.p_hot),
        (f"{sides[1]} idle", cool.p_cold),
        rest="healthy, sides or skins unlike",
    )


def _of_the_axle(hot: CornerFinding, cool: CornerFinding, diagnosis: Diagnosis) -> str:
    """Both sides in question: of each kind the likelier side counts for the axle."""
    both = max(hot.p_hot or 0.0, cool.p_hot or 0.0), max(hot.p_cold or 0.0, cool.p_cold or 0.0)
    every = diagnosis.answers.heat.p if diagnosis.answers.heat.suspects else None
    whole = () if every is None else (("all brakes hot", every),)
    return _shares(
        *whole, ("this axle drags", both[0]), ("this axle idle", both[1]), rest="as healthy ones differ"
    )


def _shares(*parts: tuple[str, float], rest: str) -> str:
    left = max(0.0, 1.0 - sum(share for _, share in parts))
    said = [f"{name} {percent(share)}" for name, share in (*parts, (rest, left))]
    return f"weighed: {', '.join(said)}"
