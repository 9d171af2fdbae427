"""How numbers, times and findings are put into words; every text and table speaks through here."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal, TypeAlias

from thermlog.words.estimates import Estimate, Interval
from thermlog.words.reasontexts import reason_text
from thermlog.words.sentences import few_of, listed
from thermlog.words.units import difference_from_k, from_degc
from thermlog.words.vehicle import corner_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from thermlog.words.findings import CauseFit, Diagnosis, Verdict
    from thermlog.words.reasons import Reason
    from thermlog.words.tables import AmbientSource, SetAside
    from thermlog.words.vehicle import OwnWords

Show: TypeAlias = Literal["C", "F"]

# A sign and a word: neither colour nor the sign alone carries the finding. The same signs everywhere.
SIGNS: dict[Verdict | Literal["urgent"], str] = {
    "even": "=",
    "watch": "!",
    "hot": "+",
    "cold": "-",
    "cannot_tell": "?",
    "urgent": "!!",
}
BARE_VERDICTS: dict[Verdict, str] = {
    "even": "even",
    "watch": "watch",
    "hot": "HOT",
    "cold": "COLD",
    "cannot_tell": "cannot tell",
}
VERDICT_WORDS: dict[Verdict, str] = {
    verdict: f"{SIGNS[verdict]} {word}" for verdict, word in BARE_VERDICTS.items()
}
# How well a cause fits what was found.
STANDING_WORDS: dict[CauseFit, str] = {
    "likely": "most likely",
    "possible": "also possible",
    "unlikely": "unlikely",
}

SCREEN_LINES = 23  # of the 24 that every terminal has; the last is for the key
WIDEST = 96  # letters in a line of text that is folded
_LONGEST_REMARK = 60
_REMARKS = 2  # named in a line


def printable(text: str) -> str:
    r"""Text on one line, without characters that could steer a terminal.

    Examples
    --------
    >>> printable("van\x1b[31m 12\n")
    'van?[31m 12?'
    """
    if text.isprintable():
        return text
    return "".join(letter if letter.isprintable() else "?" for letter in text)


def six_digits(value: float | None) -> float | None:
    """Number as every table and object shows it: six significant digits; what is not finite is not known.

    Examples
    --------
    >>> six_digits(1234.56789), six_digits(float("nan")), six_digits(None)
    (1234.57, None, None)
    """
    return None if value is None or not math.isfinite(value) else float(f"{value:.6g}")


def reason_texts(reasons: Iterable[Reason]) -> tuple[str, ...]:
    """Reasons in words, in kelvin, degrees Celsius and codes of corners."""
    return tuple(map(reason_text, reasons))


def degrees(show: Show) -> str:
    """Name of the unit shown.

    Examples
    --------
    >>> degrees("F")
    '°F'
    """
    return f"°{show}"


def clock(seconds: float) -> str:
    """Time on the log's clock as minutes and seconds, or hours, minutes and seconds.

    Examples
    --------
    >>> clock(125.0), clock(3725.0), clock(-5.0)
    ('2:05 min', '1:02:05 h', '-0:05 min')
    """
    whole = round(abs(seconds))
    sign = "-" if seconds < 0 and whole else ""
    minutes, second = divmod(whole, 60)
    if minutes < 60:
        return f"{sign}{minutes}:{second:02d} min"
    return f"{sign}{minutes // 60}:{minutes % 60:02d}:{second:02d} h"


def temperature(value_degc: float | None, show: Show) -> str:
    """Temperature in the unit shown, whole degrees, ``-`` if not known.

    Examples
    --------
    >>> temperature(100.0, "F"), temperature(None, "C"), temperature(-0.3, "C")
    ('212', '-', '0')
    """
    return "-" if value_degc is None else _fixed(from_degc(value_degc, show), 0)


def difference(value_k: float | None, show: Show) -> str:
    """Temperature difference in the unit shown, whole degrees, ``-`` if not known.

    Examples
    --------
    >>> difference(20.0, "F"), difference(None, "F")
    ('36', '-')
    """
    return "-" if value_k is None else _fixed(difference_from_k(value_k, show), 0)


def with_range(estimate: Estimate | None, *, signed: bool = False) -> str:
    """Value with its 95 % range: ``±`` where the range is even-sided, else both ends; ``-`` if not known.

    Parameters
    ----------
    estimate : Estimate or None
        In the unit wanted on paper.
    signed : bool
        Write a plus before positive values.

    Examples
    --------
    >>> with_range(Estimate(58.0, 50.0, 66.0)), with_range(Estimate(1.93, 1.6, 2.7))
    ('58 ± 8', '1.93 (1.60 to 2.70)')
    >>> with_range(Estimate(-0.4, -1.3, 0.5), signed=True), with_range(Estimate(1.2)), with_range(None)
    ('-0.4 ± 0.9', '1.20', '-')
    """
    if estimate is None:
        return "-"
    value, low, high = estimate.value, estimate.low, estimate.high
    if low is None or high is None:
        return _fixed(value, _digits(abs(value) / 30), signed=signed)
    half = (high - low) / 2
    digits = _digits(half)
    if abs((high + low) / 2 - value) <= 0.1 * half:
        return f"{_fixed(value, digits, signed=signed)} ± {_fixed(half, digits)}"
    ends = f"({_fixed(low, digits, signed=signed)} to {_fixed(high, digits, signed=signed)})"
    return f"{_fixed(value, digits, signed=signed)} {ends}"


def temperature_with_range(degc: Estimate | None, show: Show) -> str:
    """Temperature with its 95 % range in the unit shown.

    Examples
    --------
    >>> temperature_with_range(Estimate(100.0, 90.0, 110.0), "F")
    '212 ± 18'
    """
    return _in_degrees(degc and degc.each(lambda value: from_degc(value, show)))


def band_figures(band_degc: Interval, show: Show) -> str:
    """Both ends of a healthy band, for a table that has the unit in its title.

    Examples
    --------
    >>> band_figures((89.2, 131.4), "C")
    '89 to 131'
    """
    low, high = (temperature(end, show) for end in band_degc)
    return f"{low} to {high}"


def expected_words(band_degc: Interval | None, show: Show) -> str:
    """A healthy band, such as ``"71 to 154 °C"``; empty without one.

    Examples
    --------
    >>> expected_words((89.2, 131.4), "C"), expected_words(None, "C")
    ('89 to 131 °C', '')
    """
    return "" if band_degc is None else f"{band_figures(band_degc, show)} {degrees(show)}"


def difference_with_range(kelvin: Estimate | None, show: Show, *, signed: bool = True) -> str:
    """Temperature difference with its 95 % range in the unit shown.

    Examples
    --------
    >>> difference_with_range(Estimate(58.0, 50.0, 66.0), "C")
    '+58 ± 8'
    >>> difference_with_range(Estimate(-10.0, -20.0, 0.0), "F"), difference_with_range(None, "C")
    ('-18 ± 18', '-')
    >>> difference_with_range(Estimate(-2.1), "C"), difference_with_range(Estimate(3.0), "C")
    ('-2.1', '+3')
    """
    return _in_degrees(kelvin and kelvin.each(lambda value: difference_from_k(value, show)), signed=signed)


def _in_degrees(estimate: Estimate | None, *, signed: bool = False) -> str:
    """Degrees with their range; without one, as between two readings, no decimals that nobody read."""
    if estimate is None or (estimate.low is not None and estimate.high is not None):
        return with_range(estimate, signed=signed)
    whole = round(estimate.value, 1).is_integer()
    digits = 0 if whole else min(1, _digits(abs(estimate.value) / 30))
    return _fixed(estimate.value, digits, signed=signed)


def minutes_with_range(seconds: Estimate | None) -> str:
    """Time constant in minutes with both ends of its 95 % range.

    Examples
    --------
    >>> minutes_with_range(Estimate(1860.0, 1440.0, 2400.0)), minutes_with_range(None)
    ('31 min (24 to 40)', '-')
    """
    if seconds is None:
        return "-"
    minutes = seconds.each(lambda value: value / 60)
    digits = 1 if minutes.value < 10 else 0
    ends = (
        "({:.{}f} to {:.{}f})".format(minutes.low, digits, minutes.high, digits) if minutes.interval else ""
    )
    return f"{minutes.value:.{digits}f} min {ends}".rstrip()


def moment(diagnosis: Diagnosis) -> str:
    """The common time in words.

    Returns
    -------
    str
        Such as ``2:00 min after parking``, or on the log's own clock where nobody logged the parked moment.
    """
    if diagnosis.common_time_s is None:
        return "no common time"
    origin = "after parking" if diagnosis.parked_known else "on the log's clock"
    return f"{clock(diagnosis.common_time_s)} {origin}"


def corners_in_words(corners: tuple[str, ...], axle_count: int, called: tuple[OwnWords, ...] = ()) -> str:
    """Corners for people, joined by commas and an *and*, as the log calls them behind it.

    Examples
    --------
    >>> corners_in_words(("1L", "2R"), 2), corners_in_words(("3R",), 5)
    ('front left and rear right', 'axle 3 right')
    """
    return listed(corner_words(corner, axle_count, called) for corner in corners) if corners else ""


def percent(probability: float | None) -> str:
    """Probability in whole per cent; never a false 0 % or 100 %.

    Examples
    --------
    >>> percent(0.423), percent(0.9999), percent(0.0), percent(None)
    ('42 %', '> 99 %', '< 1 %', '-')
    """
    if probability is None:
        return "-"
    if probability < 0.01:
        return "< 1 %"
    return "> 99 %" if probability > 0.99 else f"{100 * probability:.0f} %"


def drive_words(vehicle: str | None, drive: str | None, *, parked_known: bool) -> str:
    """Which vehicle, which drive, and what the times count from.

    Examples
    --------
    >>> drive_words("van 12", "coast", parked_known=True)
    'van 12 | coast drive | times count from parking'
    """
    named = printable(vehicle) if vehicle else "Vehicle not named"
    driven = f"{drive} drive" if drive else "drive not stated"
    parked = "times count from parking" if parked_known else "parked moment not stated"
    return f"{named} | {driven} | {parked}"


def air_words(ambient_degc: float | None, source: AmbientSource | None, show: Show) -> str:
    """Air temperature and who stated it.

    Examples
    --------
    >>> air_words(18.0, "log", "F"), air_words(None, None, "C")
    ('air 64 °F (from the log)', 'air temperature not known')
    """
    if ambient_degc is None:
        return "air temperature not known"
    stated = {"option": "by option", "log": "from the log", "assumed": "ASSUMED", None: "source not known"}
    return f"air {temperature(ambient_degc, show)} {degrees(show)} ({stated[source]})"


def unweighed_words(diagnosis: Diagnosis) -> list[str]:
    """Remarks that no rule understands: line, wheel, words."""
    count = diagnosis.axle_count
    where = (f", {corner_words(one.corner, count)}" if one.corner else "" for one in diagnosis.unweighed)
    each = zip(diagnosis.unweighed, where, strict=True)
    return [f'line {one.line}{place}: "{_shortened(one.text)}"' for one, place in each]


def first_unweighed(diagnosis: Diagnosis) -> str:
    """The first of them in one line, with how many more there are; empty where there is none."""
    remarks = unweighed_words(diagnosis)
    return f"for a person to weigh: {few_of(remarks, _REMARKS, joint='; ')}" if remarks else ""


def weighed_by_hand(diagnosis: Diagnosis) -> list[str]:
    """The same for pages, each with who has to weigh it."""
    return [f"For a person to weigh, {one}" for one in unweighed_words(diagnosis)]


def _shortened(text: str) -> str:
    return text if len(text) <= _LONGEST_REMARK else f"{text[: _LONGEST_REMARK - 3]}..."


def set_aside_words(item: SetAside) -> str:
    """A reading without a vote: where it stands, what it says, and why it does not count."""
    column = f', column "{item.column}"' if item.column else ""
    value = "" if item.value is None else f', "{item.value}"'
    return printable(f"line {item.line}{column}{value}: {item.reason}")


def columned(rows: Sequence[Sequence[str]]) -> list[str]:
    """Rows of equal length as lines with columns that stand below each other.

    Examples
    --------
    >>> columned([("axle", "finding"), ("front", "even")])
    ['  axle   finding', '  front  even']
    """
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return ["  " + "  ".join(map(str.ljust, row, widths)).rstrip() for row in rows]


def _digits(step: float) -> int:
    """Decimals worth printing for a number known to about `step`."""
    if step >= 2:
        return 0
    return 1 if step >= 0.6 else 2


def _fixed(value: float, digits: int, *, signed: bool = False) -> str:
    # adding zero turns a rounded "-0" into "0"
    rounded = round(value, digits) + 0.0
    return f"{rounded:+.{digits}f}" if signed and rounded else f"{rounded:.{digits}f}"
