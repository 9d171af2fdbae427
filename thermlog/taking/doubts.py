"""Questions back about a reading that was just entered; never before it was typed, which would bias it."""

from __future__ import annotations

from typing import Literal, TypeAlias

from msgspec import Struct

from thermlog.reading.odd import odd_readings
from thermlog.taking.entries import Entry
from thermlog.taking.walking import WalkInProgress
from thermlog.words.estimates import Estimate
from thermlog.words.policy import usual_limits
from thermlog.words.tables import OddCode
from thermlog.words.units import Unit, from_degc
from thermlog.words.vehicle import corner_words

DoubtCode: TypeAlias = Literal[
    "off_curve", "other_unit", "digits_swapped", "digit_missing", "digit_added", "impossible"
]  # fmt: skip

# How far from where its curve runs a reading is asked about, beside the curve's own 95 %: own judgement, no
# source; a shot that catches rim or tyre is mostly further off.
FAR_K, FAR_SHARE = 10.0, 0.2
_WOULD_BE: dict[DoubtCode, str] = {
    "other_unit": "It would fit as {}.",
    "digits_swapped": "With two digits swapped it would fit: {}.",
    "digit_missing": "With another digit it would fit: {}.",
    "digit_added": "With a digit less it would fit: {}.",
    "impossible": "No wheel end is {}: it counts as not read. If the gun shows no figure, type OL.",
    "off_curve": "From its earlier readings {} is expected. The shot may have caught rim, tyre or a gap.",
}


class Expected(Struct, frozen=True, kw_only=True):
    """Where the curve of a wheel runs at some moment.

    Attributes
    ----------
    degc : Estimate
        With the interval of the curve alone [°C].
    ambient_degc : float
        What it falls to [°C].
    """

    degc: Estimate
    ambient_degc: float


class ReadingDoubt(Struct, frozen=True, kw_only=True):
    """Why a reading is asked about.

    Attributes
    ----------
    key : str
        Of the entry.
    code : DoubtCode
    corner : str
    degc, would_be_degc : float
        As entered; what was expected, what it would be if it had been typed otherwise, or the end of what a
        wheel end can be [°C].
    """

    key: str
    code: DoubtCode
    corner: str
    degc: float
    would_be_degc: float


def reading_doubt(entry: Entry, walk: WalkInProgress, expected: Expected | None) -> ReadingDoubt | None:
    """What is odd about a reading of the walk; None where nothing is.

    Parameters
    ----------
    entry : Entry
        A reading that stands.
    walk : WalkInProgress
        With it.
    expected : Expected or None
        From the readings of its wheel before it; None where there is no curve.
    """
    degc = entry.degc(walk.head.unit)
    if degc is None:
        return None
    typed = _typing_error(entry, walk)
    if typed is not None:
        code, would_be = typed
        return ReadingDoubt(key=entry.key, code=code, corner=entry.corner, degc=degc, would_be_degc=would_be)
    limits = usual_limits()
    end_degc = min(max(degc, limits.lowest_reading_degc), limits.highest_reading_degc)
    if degc != end_degc:
        return ReadingDoubt(
            key=entry.key, code="impossible", corner=entry.corner, degc=degc, would_be_degc=end_degc
        )
    if expected is not None and _far(degc, expected):
        return ReadingDoubt(
            key=entry.key, code="off_curve", corner=entry.corner, degc=degc, would_be_degc=expected.degc.value
        )
    return None


def _typing_error(entry: Entry, walk: WalkInProgress) -> tuple[OddCode, float] | None:
    rows = [one for one in walk.readings() if one.spot == entry.spot]
    degc_of = {k: degc for k, one in enumerate(rows) if (degc := one.degc(walk.head.unit)) is not None}
    mine = rows.index(entry)
    odd = odd_readings(degc_of, lambda k: rows[k].corner, range(len(rows)), walk.head.unit)
    return next(((one.code, one.would_be_degc) for one in odd if one.line == mine), None)


def _far(degc: float, expected: Expected) -> bool:
    low, high = expected.degc.ends
    allowed = max(FAR_K, FAR_SHARE * abs(expected.degc.value - expected.ambient_degc))
    return not low - allowed <= degc <= high + allowed


def doubt_words(doubt: ReadingDoubt, *, axle_count: int, typed: str, unit: Unit) -> str:
    """The question for people.

    Examples
    --------
    >>> one = ReadingDoubt(key="a", code="off_curve", corner="1L", degc=60.0, would_be_degc=121.4)
    >>> doubt_words(one, axle_count=2, typed="60", unit="C").partition("? ")[0]
    'front left: 60 °C'
    """
    would_be = f"{from_degc(doubt.would_be_degc, unit):.0f} °{unit}"
    if doubt.code == "off_curve":
        would_be = f"about {would_be}"
    if doubt.code == "impossible":
        would_be = f"{'above' if doubt.degc > doubt.would_be_degc else 'below'} {would_be}"
    if doubt.code == "other_unit":
        would_be = f"{typed} °{'C' if unit == 'F' else 'F'}, {would_be}"
    where = corner_words(doubt.corner, axle_count)
    return f"{where}: {typed} °{unit}? {_WOULD_BE[doubt.code].format(would_be)}"
