"""What is written round the panels of one drive: title, heads and lines, as far as the drawing tells."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

from thermlog.charts.borders import Border
from thermlog.charts.look import Look
from thermlog.charts.sheet import Words, bare
from thermlog.reports.chartwords import (
    alt_of,
    footer,
    lines_below,
    neutral_below,
    neutral_title,
    panel_head,
    panel_reasons,
    readings_in_words,
    title_of,
    urgent_at,
    warning_of,
)
from thermlog.reports.normalwords import band_line, weighed_line
from thermlog.reports.vehiclewords import any_band, corner_rows, vehicle_head
from thermlog.words.findings import Diagnosis, Verdict
from thermlog.words.sentences import capital
from thermlog.words.vehicle import HUB_SPOT, axle_words

# A frame for every state; the sign and the word stand in the head.
VERDICT_BORDERS: dict[Verdict, Border] = {
    "hot": "thick", "cold": "double", "watch": "dashed", "even": "thin", "cannot_tell": "dotted",
}  # fmt: skip


_Panel: TypeAlias = tuple[str, tuple[str, ...], Border]  # head, lines below it, frame


def words_of(diagnosis: Diagnosis, axles: Sequence[int], look: Look) -> Words:
    """Words of the cooling curves of some axles, in a file with the whole vehicle behind them.

    Readings alone are not brought to one moment: there is no whole vehicle beside them.

    Parameters
    ----------
    diagnosis : Diagnosis
        With its sentences put on the page.
    axles : sequence of int
        One panel each.
    look : Look
    """
    panels = [_axle_panel(diagnosis, axle, look) for axle in axles]
    told = [line for head, lines, _ in panels for line in (head, *lines)]
    if not look.tells("verdict"):
        told += readings_in_words(diagnosis, axles, look.show)
    if look.framed and look.tells("curve"):
        panels.append(_vehicle_panel(diagnosis, look))
        told += _vehicle_told(diagnosis, look)
    return _round(diagnosis, look, panels, told)


def vehicle_words(diagnosis: Diagnosis, look: Look) -> Words:
    """Words of the whole vehicle alone."""
    return _round(diagnosis, look, [_vehicle_panel(diagnosis, look)], _vehicle_told(diagnosis, look))


def _round(diagnosis: Diagnosis, look: Look, panels: Sequence[_Panel], told: Sequence[str]) -> Words:
    """Title, answers and foot; a neutral drawing names no file, for its name may give the answer away."""
    known = look.tells("verdict")
    title = title_of(diagnosis, look.show) if known else neutral_title(diagnosis)
    warning = warning_of(diagnosis) if known else ""
    below = lines_below(diagnosis, look.show) if known else (neutral_below(diagnosis, look.show),)
    heads, reasons, borders = zip(*panels, strict=True)
    words = Words(
        title=title,
        warning=warning,
        below=below,
        foot=footer(diagnosis) if known else "",
        alt=alt_of(title, filter(None, (warning, *below, *told))),
        heads=heads,
        reasons=reasons,
        borders=borders,
    )
    return words if look.framed else bare(words)


def _axle_panel(diagnosis: Diagnosis, axle: int, look: Look) -> _Panel:
    known = look.tells("verdict")
    head = panel_head(diagnosis, axle, look.show) if known else _name(diagnosis, axle)
    lines = (
        *(panel_reasons(diagnosis, axle, look.show) if known else ()),
        weighed_line(diagnosis, axle) if known else "",
        band_line(diagnosis, axle, look.show) if look.tells("band") else "",
    )
    return head, tuple(filter(None, lines)), _border(diagnosis, axle) if known else "thin"


def _name(diagnosis: Diagnosis, axle: int) -> str:
    return capital(axle_words(axle, diagnosis.axle_count))


def _border(diagnosis: Diagnosis, number: int) -> Border:
    axle = diagnosis.axle(number)
    hubs = any(c.axle == number and c.spot == HUB_SPOT and c.verdict == "hot" for c in diagnosis.corners)
    if hubs or urgent_at(diagnosis, number):
        return "thick"
    return "dotted" if axle is None else VERDICT_BORDERS[axle.verdict]


def _vehicle_panel(diagnosis: Diagnosis, look: Look) -> _Panel:
    key = "hatched: a healthy brake here, given the others" if look.tells("band") else ""
    return vehicle_head(diagnosis), (key,) if key and any_band(diagnosis) else (), "thin"


def _vehicle_told(diagnosis: Diagnosis, look: Look) -> list[str]:
    rows = corner_rows(diagnosis, look.show, told=look.tells("verdict"))
    return [row.said(with_band=look.tells("band")) for row in rows]
