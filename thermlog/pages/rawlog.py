"""The readings behind a page: as rows to look at, and as a log that can be saved and checked again."""

from __future__ import annotations

import base64
import math
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.pages.shown import Dual, in_both, seen
from thermlog.reports.chartwords import SPOT_WORDS, degrees_text, short_name
from thermlog.reports.wholefile import plain_stem
from thermlog.reports.wording import clock
from thermlog.simulation.logtext import LogStyle, log_text
from thermlog.words.vehicle import SPOTS, corner_words

if TYPE_CHECKING:
    from thermlog.pipeline.dossier import Dossier
    from thermlog.words.findings import Diagnosis
    from thermlog.words.tables import Readings

_MOST_ROWS = 400  # so that a page stays small; whoever has more has the file


class RawRow(Struct, frozen=True, kw_only=True):
    """One reading; `note` says why it does not vote, if it does not."""

    line: int
    wheel: str
    spot: str
    at: str
    temp: Dual
    note: str


class RawLog(Struct, frozen=True, kw_only=True):
    """Readings in the order of the file.

    Attributes
    ----------
    rows : tuple of RawRow
        The first of them, if there are very many.
    more : int
        Readings that are not shown and not saved.
    name : str
        File name for the saved log.
    link : str
        The log as a ``data:`` address.
    """

    rows: tuple[RawRow, ...]
    more: int
    name: str
    link: str


def rawlog_of(dossier: Dossier) -> RawLog:
    """Readings of one drive, as the gun showed them.

    Parameters
    ----------
    dossier : Dossier
    """
    readings, told = dossier.readings, dossier.diagnosis
    first = readings.take(np.arange(min(readings.rows, _MOST_ROWS)))
    text = _saved(first)
    safe = plain_stem(short_name(told.log.file).rpartition(".")[0] or "log")
    return RawLog(
        rows=_rows(first, told),
        more=readings.rows - first.rows,
        name=f"{safe}_readings.csv",
        link=f"data:text/csv;charset=utf-8;base64,{base64.b64encode(text.encode()).decode()}",
    )


def _saved(readings: Readings) -> str:
    """A log that thermlog reads; names in it stay in their lines, and no cell begins a formula."""
    (case,) = readings.cases
    named = replace(case, vehicle=None if case.vehicle is None else seen(case.vehicle))
    style = LogStyle(spots=True, emissivities=bool(np.isfinite(readings.emissivity).all()), exact=True)
    return log_text(replace(readings, cases=(named,)), style=style)


def _rows(readings: Readings, told: Diagnosis) -> tuple[RawRow, ...]:
    left_out = {
        (int(line), curve.corner): why
        for curve in told.curves
        for line, why in zip(curve.line, curve.left_out, strict=True)
    }
    found = []
    for row in range(readings.rows):
        line, corner = int(readings.line[row]), readings.corner(row)
        elapsed_s, degc = float(readings.elapsed_s[row]), float(readings.indicated_degc[row])
        spot = SPOTS[readings.spot[row]]
        found.append(
            RawRow(
                line=line,
                wheel=corner_words(corner, told.axle_count),
                spot=SPOT_WORDS.get(spot, spot),
                at="-" if math.isnan(elapsed_s) else clock(elapsed_s),
                temp=in_both(partial(degrees_text, degc)),
                note=left_out.get((line, corner), ""),
            )
        )
    return tuple(found)
