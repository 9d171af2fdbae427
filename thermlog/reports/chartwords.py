"""The words on a chart: title, panel heads, labels, footer and the text for those who cannot see it.

All of them follow from the answers and from the verdicts of corners and axles, never from a probability.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from pathlib import PurePath

from thermlog.reports.summary import answer_lines, headline, page_of, said, urgent_words
from thermlog.reports.wording import (
    SIGNS,
    VERDICT_WORDS,
    Show,
    clock,
    degrees,
    difference_with_range,
    printable,
    temperature,
)
from thermlog.words.estimates import Estimate
from thermlog.words.findings import STANDING_OUT, AxleFinding, CornerFinding, Diagnosis, Urgent, Verdict
from thermlog.words.fitted import Curve
from thermlog.words.parts import SPOT_NAMES, PartAbove
from thermlog.words.reasons import Reason
from thermlog.words.sentences import Page, capital
from thermlog.words.units import difference_from_k
from thermlog.words.vehicle import (
    HUB_SPOT,
    SIDE_NAMES,
    TYRE_SPOTS,
    Spot,
    axle_words,
    mate_of,
    own_words,
    split_corner,
)
from thermlog.words.version import __version__

SPOT_WORDS = dict[str, str](SPOT_NAMES.items()) | {"brake": "", "tyre_outer": "outer tyre"}
_WITHOUT_BRAKE = (HUB_SPOT, "rim", *TYRE_SPOTS)
_ALIKE_K = 0.5  # what a gun with whole degrees cannot tell
_MOST_WHY = 2  # reasons of an axle below its head


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


def title_of(diagnosis: Diagnosis, show: Show) -> str:
    """Title of the chart: the first line of the text."""
    return printable(headline(diagnosis, show=show))


def warning_of(diagnosis: Diagnosis) -> str:
    """What to beware of where something is urgent; else empty."""
    return printable(diagnosis.cautions[0]) if diagnosis.urgent and diagnosis.cautions else ""


def lines_below(diagnosis: Diagnosis, show: Show) -> tuple[str, ...]:
    """What stands below the title: the three answers, then vehicle, drive, air and readings."""
    return (*map(printable, answer_lines(diagnosis, show=show)), below_title(diagnosis, show))


def gap_words(axle: AxleFinding, corner: str, mate: str, show: Show) -> str:
    """How far a corner stands from its mate, such as ``"20 ± 5 °C above right"``."""
    gap_k = axle.difference_k or Estimate(0.0)
    seen_k = gap_k if split_corner(corner)[1] == "L" else gap_k.turned
    if abs(seen_k.value) < _ALIKE_K:  # "0.0 above" says less than nothing
        farthest_k = max(map(abs, seen_k.interval or (seen_k.value,)))
        return f"as warm as {mate} within {math.ceil(difference_from_k(farthest_k, show))} {degrees(show)}"
    way = "above" if seen_k.value >= 0 else "below"
    return f"{difference_with_range(seen_k.size, show, signed=False)} {degrees(show)} {way} {mate}"


def _hotter_words(axle: AxleFinding, show: Show) -> str:
    corner = hotter_corner(axle)
    return f"{SIDE_NAMES[corner[-1]]} {_above_mate(axle, corner, show)}"


def _above_mate(axle: AxleFinding, corner: str, show: Show) -> str:
    return gap_words(axle, corner, SIDE_NAMES[mate_of(corner)[-1]], show)


def hotter_corner(axle: AxleFinding) -> str:
    """The hotter corner of an axle whose difference is known."""
    left = axle.difference_k is None or axle.difference_k.value >= 0
    return f"{axle.axle}{'L' if left else 'R'}"


def axles_shown(diagnosis: Diagnosis) -> list[int]:
    """Axles with a panel: those read, and those that an answer speaks of though they were not read."""
    answers = diagnosis.answers
    spoken = (reason for one in (answers.drag, answers.idle) for reason in one.reasons)
    corners = [
        *(corner for reason in spoken for corner in reason.corners),
        *(corner.corner for corner in diagnosis.corners),
        *(curve.corner for curve in diagnosis.curves),
        *(one.corner for one in diagnosis.urgent if one.corner is not None),
    ]
    return sorted({split_corner(corner)[0] for corner in corners} | {a.axle for a in diagnosis.axles}) or [1]


# --- one panel ----------------------------------------------------------------------------------------------


def panel_head(diagnosis: Diagnosis, number: int, show: Show) -> str:
    """Head of the panel of one axle: what is urgent there, its verdict, its hubs."""
    name = capital(axle_words(number, diagnosis.axle_count))
    parts = [*_stop_words(diagnosis, number, show), _pair_words(diagnosis, number, show)]
    return f"{name}: {'; '.join([*parts, *_hub_words(diagnosis, number)])}"


def urgent_at(diagnosis: Diagnosis, number: int) -> tuple[Urgent, ...]:
    """What is urgent on one axle."""
    return tuple(
        one for one in diagnosis.urgent if one.corner is not None and split_corner(one.corner)[0] == number
    )


def _stop_words(diagnosis: Diagnosis, number: int, show: Show) -> list[str]:
    found = urgent_at(diagnosis, number)
    if not found:
        return []
    words = urgent_words(found, page_of(diagnosis, show, below_axle=number))
    return [f"{SIGNS['urgent']} STOP, {words}"]


def _hub_words(diagnosis: Diagnosis, number: int) -> list[str]:
    """Hubs that stand out, and parts that are watched; what is urgent about them is said already."""
    hot = [
        f"{VERDICT_WORDS['hot']} {SIDE_NAMES[hub.side]} hub"
        for hub in diagnosis.corners
        if hub.axle == number and hub.spot == HUB_SPOT and hub.verdict == "hot"
    ]
    watched = [
        f"{VERDICT_WORDS['watch']}: {side_of(part)} {SPOT_NAMES[part.spot]}"
        for part in diagnosis.parts_above
        if split_corner(part.corner)[0] == number
    ]
    return [*hot, *watched]


def side_of(part: PartAbove) -> str:
    """Left or right, in words."""
    return SIDE_NAMES[split_corner(part.corner)[1]]


def _pair_words(diagnosis: Diagnosis, number: int, show: Show) -> str:
    axle, told = diagnosis.axle(number), _brake_verdicts(diagnosis, number)
    compared = axle is not None and axle.difference_k is not None
    odd = [corner for corner, verdict in told.items() if verdict in STANDING_OUT]
    words = ", ".join(_sided(word, told) for word in STANDING_OUT if word in told.values())
    if axle is None or not compared:
        return words or VERDICT_WORDS["cannot_tell"]
    if len(odd) == 1:
        return f"{words}, {_above_mate(axle, odd[0], show)}"
    return f"{words or VERDICT_WORDS[axle.verdict]}, {_hotter_words(axle, show)}"


def _brake_verdicts(diagnosis: Diagnosis, number: int) -> dict[str, Verdict]:
    """Verdicts of the brakes of an axle that were read, left before right."""
    told = {
        corner.corner: corner.verdict
        for corner in diagnosis.corners
        if corner.axle == number and corner.spot not in _WITHOUT_BRAKE
    }
    return dict(sorted(told.items()))


def _sided(word: Verdict, told: dict[str, Verdict]) -> str:
    sides = [SIDE_NAMES[corner[-1]] for corner, verdict in told.items() if verdict == word]
    return f"{VERDICT_WORDS[word]} {' and '.join(sides)}"


def panel_reasons(diagnosis: Diagnosis, number: int, show: Show) -> tuple[str, ...]:
    """Why there is no curve, or no plain verdict, on this axle: one line each, no line twice."""
    page = page_of(diagnosis, show, below_axle=number)
    bare = [c for c in diagnosis.corners if c.axle == number and not _has_curve(diagnosis, c)]
    given = [corner.reasons[0] for corner in bare if corner.reasons]
    lines = [
        *(_no_curve(diagnosis, corner, page) for corner in bare),
        *(said(reason, page) for reason in _why(diagnosis, number) if reason not in given),
    ]
    return tuple(dict.fromkeys(map(printable, lines)))


def _has_curve(diagnosis: Diagnosis, corner: CornerFinding) -> bool:
    curve = curve_of(diagnosis, corner)
    return curve is not None and curve.grid_s.size > 0


def _no_curve(diagnosis: Diagnosis, corner: CornerFinding, page: Page) -> str:
    """Why a corner that was read has no curve."""
    if corner.reasons:
        words = said(corner.reasons[0], page)
        own = corner.corner in corner.reasons[0].corners
        return f"{words} (no curve)" if own else f"{_spot_label(corner.side, corner.spot)}, no curve: {words}"
    curve = curve_of(diagnosis, corner)
    left_out = "" if curve is None else next(filter(None, curve.left_out), "")
    return f"{_spot_label(corner.side, corner.spot)}, no curve: {left_out or 'too few readings'}"


def curve_of(diagnosis: Diagnosis, corner: CornerFinding) -> Curve | None:
    """Readings and curve of a corner; None if none of its readings has a time."""
    return next((c for c in diagnosis.curves if (c.corner, c.spot) == (corner.corner, corner.spot)), None)


def _why(diagnosis: Diagnosis, number: int) -> Sequence[Reason]:
    """Reasons that an axle is not plainly even or called, and that one of its corners cannot be told."""
    axle = diagnosis.axle(number)
    if axle is None:
        reasons = list(_spoken_of(diagnosis, number))[:_MOST_WHY]
    elif axle.verdict in ("watch", "cannot_tell"):
        reasons = list(axle.reasons[:_MOST_WHY])
    else:
        reasons = [reason for reason in axle.reasons if reason.code == "cold_by_design"]
    untold = [c for c in diagnosis.corners if c.axle == number and c.verdict == "cannot_tell"]
    reasons += [why for corner in untold for why in corner.reasons[:1] if why not in reasons]
    return [_with_limit(diagnosis, number, reason) for reason in reasons]


def _with_limit(diagnosis: Diagnosis, number: int, reason: Reason) -> Reason:
    """What could hide at an axle, as its answer has it: with the limit, where its worst corner is here."""
    if reason.code != "limit_above_line":
        return reason
    same = (one for one in _spoken_of(diagnosis, number) if one.code == reason.code and one.numbers)
    worst = (one for one in same if split_corner(one.corners[0])[0] == number)  # of another its panel says it
    return next(worst, Reason(code=reason.code))


def _spoken_of(diagnosis: Diagnosis, number: int) -> Iterable[Reason]:
    """Reasons of the answers that name a corner of an axle."""
    answers = diagnosis.answers
    for reason in (*answers.drag.reasons, *answers.idle.reasons):
        if number in {split_corner(corner)[0] for corner in reason.corners}:
            yield reason


def _spot_label(side: str, spot: str) -> str:
    return f"{SIDE_NAMES[side]} {SPOT_WORDS.get(spot, spot)}".strip()


def line_label(diagnosis: Diagnosis, curve: Curve) -> str:
    """Label at the end of a line, its key: side, spot where needed, finding, missing curve."""
    place, verdict = place_label(diagnosis, curve), told_verdict(diagnosis, curve.corner, curve.spot)
    marks = (
        f"{SIGNS['urgent']} STOP" if is_urgent(diagnosis, curve) else "",
        VERDICT_WORDS[verdict] if verdict != "even" else "",
        "" if curve.grid_s.size else "no curve",
    )
    said_of_it = ", ".join(filter(None, marks))
    return f"{place}: {said_of_it}" if said_of_it else place


def place_label(diagnosis: Diagnosis, curve: Curve) -> str:
    """Side of a line, and its spot where the corner has several."""
    spots = {other.spot for other in diagnosis.corners if other.corner == curve.corner}
    side = curve.corner[-1]
    label = _spot_label(side, curve.spot) if len(spots) > 1 else SIDE_NAMES[side]
    own = own_words(curve.corner, diagnosis.axle_count, diagnosis.called)
    return f"{label} ({own})" if own else label


def is_urgent(diagnosis: Diagnosis, curve: Curve) -> bool:
    """True if a reading of this line is a reason to stop."""
    return any((one.corner, one.spot) == (curve.corner, curve.spot) for one in diagnosis.urgent)


def told_verdict(diagnosis: Diagnosis, corner: str, spot: Spot) -> Verdict:
    """Verdict of a corner at a spot; tyres and rims have none of their own."""
    found = diagnosis.corner(corner, spot)
    if spot in ("rim", *TYRE_SPOTS):
        return "even"
    return found.verdict if found else "cannot_tell"


def below_title(diagnosis: Diagnosis, show: Show) -> str:
    """Vehicle, drive, air and readings in one line."""
    parts = [clipped(diagnosis.vehicle, 120) if diagnosis.vehicle else "vehicle not named"]
    if diagnosis.drive:
        parts.append(f"{diagnosis.drive} drive")
    if diagnosis.ambient_degc is None:
        parts.append("ambient not known")
    else:
        stated = "assumed" if diagnosis.ambient_source == "assumed" else "stated"
        parts.append(f"ambient {degrees_text(diagnosis.ambient_degc, show)} ({stated})")
    parts.append(_votes(diagnosis))
    return " · ".join(parts)


def neutral_title(diagnosis: Diagnosis) -> str:
    """Title of a drawing that tells nothing of the finding."""
    wheels = len({corner.corner for corner in diagnosis.corners})
    return f"Readings of {wheels} wheels" if wheels != 1 else "Readings of one wheel"


def neutral_below(diagnosis: Diagnosis, show: Show) -> str:
    """Drive and air, without a name that could give the answer away."""
    air = diagnosis.ambient_degc
    stated = "ambient not known" if air is None else f"ambient {degrees_text(air, show)}"
    return " · ".join(filter(None, (diagnosis.drive and f"{diagnosis.drive} drive", stated)))


def readings_in_words(diagnosis: Diagnosis, axles: Sequence[int], show: Show) -> list[str]:
    """What was read at every corner and when, a line each, for those who cannot see the dots."""
    lines = []
    for curve in diagnosis.curves:
        axle, side = split_corner(curve.corner)
        if axle in axles:
            place = f"{axle_words(axle, diagnosis.axle_count)} {_spot_label(side, curve.spot)}"
            read = (
                f"{degrees_text(float(level), show)} at {clock(float(time))}"
                for level, time in zip(curve.indicated_degc, curve.elapsed_s, strict=True)
            )
            lines.append(f"{place}: {', '.join(read)}")
    return lines


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


def alt_of(title: str, lines: Iterable[str]) -> str:
    """A title and lines as one description; its first line is the title."""
    return "\n".join([title, *(printable(f"{capital(line).rstrip('.')}.") for line in lines)])
