"""The words on a chart: title, panel heads, labels, footer and the text for those who cannot see it."""

from __future__ import annotations

from pathlib import PurePath

from thermlog.reports.wording import (
    Show,
    degrees,
    difference,
    difference_with_range,
    moment,
    of_axle,
    temperature,
)
from thermlog.words.findings import AxleFinding, CornerFinding, Diagnosis, Interval, Verdict
from thermlog.words.sentences import capital
from thermlog.words.vehicle import HUB_SPOT, axle_words, corner_words, mate_of, split_corner
from thermlog.words.version import __version__

SIDE_WORDS = {"L": "left", "R": "right"}
SPOT_WORDS = {
    "brake": "", "rotor_outer": "outer face", "rotor_inner": "inner face", "hat": "hat", "caliper": "caliper",
    "drum": "drum", "hub": "hub", "rim": "rim", "tyre_inner": "inner tyre", "tyre_outer": "outer tyre",
}  # fmt: skip
VERDICT_MARKS: dict[Verdict, str] = {
    "even": "", "watch": "watch", "hot": "HOT", "cold": "COLD", "cannot_tell": "?"
}  # fmt: skip
_LONG_REASON = 90
_MANY = {
    "axle_hot": "both HOT",
    "axle_cold": "both COLD",
    "diagonal_hot": "HOT, a diagonal pair",
    "circuit_hot": "HOT, one brake circuit",
    "all_hot": "all HOT",
}


def degrees_text(value_degc: float, show: Show) -> str:
    """Temperature with its unit.

    Examples
    --------
    >>> degrees_text(100.0, "F")
    '212 °F'
    """
    return f"{temperature(value_degc, show)} {degrees(show)}"


def short_name(file: str, most: int = 48) -> str:
    """File name without its folders, the middle left out if it is long.

    Examples
    --------
    >>> short_name("depot/van12.csv"), short_name("a" * 40 + ".csv", most=20)
    ('van12.csv', 'aaaaaaaaa…aaaaaa.csv')
    """
    name = PurePath(file.replace("\\", "/")).name or file
    return name if len(name) <= most else f"{name[: most // 2 - 1]}…{name[-(most // 2) :]}"


def clipped(text: str, most: int) -> str:
    """First part of `text`, with a sign if something is missing."""
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def headline(diagnosis: Diagnosis, show: Show) -> str:
    """What was found, in words, with numbers and units.

    Parameters
    ----------
    diagnosis : Diagnosis
    show : {"C", "F"}
        Unit people shall read.

    Returns
    -------
    str
        One sentence without a final full stop.
    """
    kind, places = diagnosis.pattern.kind, diagnosis.pattern.corners
    if kind == "cannot_tell" and not any(
        axle.verdict in ("hot", "cold", "watch") for axle in diagnosis.axles
    ):
        return _untold_headline(diagnosis)
    if kind == "hub_hot" and places:
        return _hub_headline(diagnosis, places[0], show)
    if kind in ("corner_hot", "corner_cold") and places:
        return _corner_headline(diagnosis, places[0], "HOT" if kind == "corner_hot" else "COLD", show)
    if kind == "several" and places:
        return f"More than one fault: {_list_words(diagnosis, places, show)}, {moment(diagnosis)}"
    if kind in _MANY:
        return capital(f"{_list_words(diagnosis, places, show)}: {_MANY[kind]}, {moment(diagnosis)}")
    return _pair_headline(diagnosis, show)


def _untold_headline(diagnosis: Diagnosis) -> str:
    untold = [axle for axle in diagnosis.axles if axle.verdict == "cannot_tell"]
    reasons = [*(why for axle in untold for why in axle.why), *diagnosis.pattern.why, "too little to go by"]
    reason = _without_advice(reasons[0])
    if len(untold) == len(diagnosis.axles):
        return f"Cannot tell: {reason}"
    names = _untold_names(diagnosis)
    about = f" about {names}" if names else ""
    if len(untold) == 1:  # its name stands before the reason
        reason = of_axle(axle_words(untold[0].axle, diagnosis.axle_count), reason)
    return f"Cannot tell{about}: {reason}"


def _without_advice(reason: str) -> str:
    """A long reason without the cure after its last colon; the panel says all of it."""
    head, colon, _ = reason.rpartition(": ")
    return head if colon and len(reason) > _LONG_REASON else reason


def _corner_headline(diagnosis: Diagnosis, corner: str, word: str, show: Show) -> str:
    text = f"{corner_words(corner, diagnosis.axle_count)} {word}"
    axle = axle_of(diagnosis, split_corner(corner)[0])
    if axle is None or axle.difference_k is None:
        level = at_common(diagnosis, corner)
        return capital(text if level is None else f"{text}: {degrees_text(level, show)}, {moment(diagnosis)}")
    mate = corner_words(mate_of(corner), diagnosis.axle_count)
    return capital(f"{text}: {gap_words(axle, corner, mate, show)}, {moment(diagnosis)}")


def gap_words(axle: AxleFinding, corner: str, mate: str, show: Show) -> str:
    """How far a corner stands from its mate, such as ``"20 ± 5 °C above right"``."""
    difference_k, interval_k = seen_from(axle, corner)
    way = "above" if difference_k >= 0 else "below"
    if difference_k < 0:
        difference_k, interval_k = -difference_k, turned(interval_k)
    size = difference_with_range(difference_k, interval_k, show, signed=False)
    return f"{size} {degrees(show)} {way} {mate}"


def turned(interval: Interval | None) -> Interval | None:
    """Interval of the difference taken the other way round."""
    return None if interval is None else (-interval[1], -interval[0])


def seen_from(axle: AxleFinding, corner: str) -> tuple[float, Interval | None]:
    """Difference of an axle [K] as this corner minus its mate, with its interval."""
    difference_k, interval_k = axle.difference_k or 0.0, axle.difference_interval_k
    if split_corner(corner)[1] == "L":
        return difference_k, interval_k
    return -difference_k, turned(interval_k)


def _hub_headline(diagnosis: Diagnosis, corner: str, show: Show) -> str:
    own, mate = (at_common(diagnosis, place, HUB_SPOT) for place in (corner, mate_of(corner)))
    text = f"{corner_words(corner, diagnosis.axle_count)} HUB HOT"
    if own is None:
        return capital(text)
    text += f": {degrees_text(own, show)}"
    if mate is not None:
        text += f", {difference(own - mate, show)} {degrees(show)} above the other side's hub"
    return capital(f"{text}, {moment(diagnosis)}")


def _list_words(diagnosis: Diagnosis, places: tuple[str, ...], show: Show) -> str:
    return ", ".join(_place_words(diagnosis, place, show) for place in places) or "several places"


def _place_words(diagnosis: Diagnosis, corner: str, show: Show) -> str:
    level = at_common(diagnosis, corner)
    name = corner_words(corner, diagnosis.axle_count)
    return name if level is None else f"{name} {degrees_text(level, show)}"


def _pair_headline(diagnosis: Diagnosis, show: Show) -> str:
    """Headline where no corner is named: the axle whose sides are most unlike."""
    judged = [axle for axle in diagnosis.axles if axle.difference_k is not None]
    lead = "No odd brake" if diagnosis.pattern.kind == "none" else "Odd brake, place not told"
    lead += _untold(diagnosis)
    if not judged:
        return lead
    worst = max(judged, key=_unlikeness)
    name = axle_words(worst.axle, diagnosis.axle_count)
    lead = {
        "even": f"{lead}: largest gap {name},",
        "watch": f"Watch the {name} pair:",
        "cannot_tell": f"{lead}: {name},",
    }.get(worst.verdict, f"{capital(name)} sides unlike, open which one is odd:")
    return f"{lead} {_hotter_words(worst, show)}, {moment(diagnosis)}"


def _hotter_words(axle: AxleFinding, show: Show) -> str:
    corner = hotter_corner(axle)
    side, mate = SIDE_WORDS[corner[-1]], SIDE_WORDS[mate_of(corner)[-1]]
    return f"{side} {gap_words(axle, corner, mate, show)}"


def hotter_corner(axle: AxleFinding) -> str:
    """The hotter corner of an axle whose difference is known."""
    return f"{axle.axle}{'L' if (axle.difference_k or 0.0) >= 0 else 'R'}"


def _untold(diagnosis: Diagnosis) -> str:
    names = _untold_names(diagnosis)
    return f", but cannot tell about {names}" if names else ""


def _untold_names(diagnosis: Diagnosis) -> str:
    """Axles that cannot be told, in words; empty if there are none."""
    return " and ".join(
        axle_words(axle.axle, diagnosis.axle_count)
        for axle in diagnosis.axles
        if axle.verdict == "cannot_tell"
    )


def _unlikeness(axle: AxleFinding) -> tuple[int, float]:
    rank = {"hot": 3, "cold": 3, "watch": 2, "even": 1, "cannot_tell": 0}[axle.verdict]
    return rank, abs(axle.difference_k or 0.0)


def axle_of(diagnosis: Diagnosis, number: int) -> AxleFinding | None:
    """Finding of one axle; None if that axle was not read."""
    return next((axle for axle in diagnosis.axles if axle.axle == number), None)


def corner_finding(diagnosis: Diagnosis, corner: str, spot: str | None = None) -> CornerFinding | None:
    """Finding of one corner at one spot; without `spot` the first of that corner."""
    return next((c for c in diagnosis.corners if c.corner == corner and spot in (None, c.spot)), None)


def at_common(diagnosis: Diagnosis, corner: str, spot: str | None = None) -> float | None:
    """Temperature of a corner at the common time [°C]; None if there is none."""
    found = corner_finding(diagnosis, corner, spot)
    return None if found is None else found.at_common_degc


def panel_head(diagnosis: Diagnosis, number: int, show: Show) -> str:
    """Head of the panel of one axle."""
    name = capital(axle_words(number, diagnosis.axle_count))
    axle = axle_of(diagnosis, number)
    return (
        f"{name}: {_pair_words(axle, _odd_corners(diagnosis, number), show)}{_hub_words(diagnosis, number)}"
    )


def _odd_corners(diagnosis: Diagnosis, number: int) -> dict[str, Verdict]:
    """Corners of an axle whose brake is told to be hot or cold."""
    told = {
        corner.corner: told_verdict(diagnosis, corner.corner, corner.spot)
        for corner in reversed(diagnosis.corners)
        if corner.axle == number and corner.spot != HUB_SPOT
    }
    return {corner: verdict for corner, verdict in told.items() if verdict in ("hot", "cold")}


def _hub_words(diagnosis: Diagnosis, number: int) -> str:
    hubs = [c for c in diagnosis.corners if c.axle == number and c.spot == HUB_SPOT and c.verdict == "hot"]
    return "".join(f"; ! {SIDE_WORDS[hub.side]} HUB HOT" for hub in hubs)


def _pair_words(axle: AxleFinding | None, odd: dict[str, Verdict], show: Show) -> str:
    if axle is None or axle.difference_k is None:
        return "? cannot tell"
    if len(odd) == 1:
        (corner, verdict) = next(iter(odd.items()))
        side, mate = SIDE_WORDS[corner[-1]], SIDE_WORDS[mate_of(corner)[-1]]
        return f"! {side} {verdict.upper()}, {gap_words(axle, corner, mate, show)}"
    if odd and len(set(odd.values())) == 1:
        return f"! both {next(iter(odd.values())).upper()}, {_hotter_words(axle, show)}"
    lead = {"even": "even", "watch": "watch", "cannot_tell": "? cannot tell"}.get(axle.verdict, "! unlike")
    return f"{lead}, {_hotter_words(axle, show)}"


def panel_reasons(diagnosis: Diagnosis, number: int) -> tuple[str, ...]:
    """Why there is no curve, or no verdict, on this axle: one short line each, no line twice."""
    axle = axle_of(diagnosis, number)
    fitted = {(c.corner, c.spot) for c in diagnosis.curves if c.grid_s.size}
    lines = [
        f"{_spot_label(corner.side, corner.spot)}, no fit: {(*corner.why, 'too few readings')[0]}"
        for corner in diagnosis.corners
        if corner.axle == number and (corner.corner, corner.spot) not in fitted
    ]
    if not lines and axle is not None and axle.verdict == "cannot_tell":
        place = axle_words(number, diagnosis.axle_count)
        lines.extend(of_axle(place, why) for why in axle.why[:1])
    return tuple(dict.fromkeys(lines))


def _spot_label(side: str, spot: str) -> str:
    return f"{SIDE_WORDS[side]} {SPOT_WORDS.get(spot, spot)}".strip()


def line_label(diagnosis: Diagnosis, corner: str, spot: str) -> str:
    """Label at the end of a line: side, spot where the corner has several, finding where it is not even."""
    spots = {other.spot for other in diagnosis.corners if other.corner == corner}
    place = _spot_label(corner[-1], spot) if len(spots) > 1 else SIDE_WORDS[corner[-1]]
    return f"{place} {VERDICT_MARKS[told_verdict(diagnosis, corner, spot)]}".strip()


def told_verdict(diagnosis: Diagnosis, corner: str, spot: str) -> Verdict:
    """Verdict of a corner and spot; what the pattern of the whole vehicle says of its brake comes first."""
    found = corner_finding(diagnosis, corner, spot)
    own: Verdict = found.verdict if found else "cannot_tell"
    kind = diagnosis.pattern.kind
    if (
        own in ("hot", "cold")
        or spot == HUB_SPOT
        or kind == "hub_hot"
        or corner not in diagnosis.pattern.corners
    ):
        return own
    return "hot" if kind.endswith("_hot") else "cold" if kind.endswith("_cold") else own


def below_title(diagnosis: Diagnosis, show: Show) -> str:
    """Vehicle, drive, air and readings in one line."""
    parts = [clipped(diagnosis.vehicle, 40) if diagnosis.vehicle else "vehicle not named"]
    if diagnosis.drive:
        parts.append(f"{diagnosis.drive} drive")
    if diagnosis.ambient_degc is None:
        parts.append("ambient not known")
    else:
        stated = "assumed" if diagnosis.ambient_source == "assumed" else "stated"
        parts.append(f"ambient {degrees_text(diagnosis.ambient_degc, show)} ({stated})")
    parts.append(_votes(diagnosis))
    return " · ".join(parts)


def _votes(diagnosis: Diagnosis) -> str:
    """How many readings of this drive vote; what the file holds besides."""
    used = sum(corner.readings_used for corner in diagnosis.corners)
    text = f"{used} of {sum(corner.readings for corner in diagnosis.corners)} readings used"
    aside = len(diagnosis.log.set_aside)
    return text if not aside else f"{text}, {aside} of the file set aside"


def policy_words(diagnosis: Diagnosis) -> str:
    """Name of the policy and the start of its hash."""
    return f"policy {clipped(diagnosis.policy.name, 24)} {diagnosis.policy.sha256[:8]}"


def footer(diagnosis: Diagnosis) -> str:
    """File, policy and tool, so that a printed chart can be traced."""
    parts = (
        short_name(diagnosis.log.file),
        f"sha256 {diagnosis.log.sha256[:12]}",
        policy_words(diagnosis),
        f"thermlog {__version__}",
        "bands and ranges: 95 %",
    )
    return " · ".join(parts)


def alt_text(diagnosis: Diagnosis, show: Show) -> str:
    """The chart in sentences."""
    axles = [panel_head(diagnosis, axle.axle, show) for axle in diagnosis.axles]
    return ". ".join([headline(diagnosis, show), *axles, below_title(diagnosis, show)]) + "."
