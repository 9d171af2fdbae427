"""Readings of 0: an empty one is often stored so, and in warmer air no brake can show it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from thermlog.reading.caseairs import airs_known
from thermlog.reading.sifted import Cases, LogRows, StepResult
from thermlog.words.sentences import degc, sentence
from thermlog.words.tables import SetAside
from thermlog.words.units import to_degc

_ZERO_DEGC = (0.0, float(to_degc(0.0, "F")))
_NO_ZERO_DEGC = 5.0  # air from which a reading of 0 °C is none: common practice, no source
_NO_AIR = (
    "0, and no air is stated: an empty reading stored as 0? State the air (# ambient: 4 C), leave it empty, "
    "or read it again"
)


def false_zeros(rows: LogRows, cases: Cases, dropped: Mapping[int, SetAside]) -> StepResult[None]:
    """Of the readings not dropped before every 0 in whose air no brake shows it, whoever states the air.

    Where nobody does, another reading as cold shows that it may be true.
    """
    zeros = np.flatnonzero(np.isin(rows.temps.degc, _ZERO_DEGC)).tolist()
    zeros = [row for row in zeros if row not in dropped]
    if not zeros:
        return StepResult(found=None)
    airs_degc = airs_known(rows, cases, dropped)
    others = [row for row in rows.without(dropped) if row not in zeros]
    aside: dict[int, SetAside] = {}
    for row in zeros:
        air_degc = airs_degc[cases.at(row)]
        if air_degc is None and not _any_cold(rows, cases.of(cases.at(row), others)):
            aside[row] = rows.temp_aside(row, "no_value", _NO_AIR)
        elif air_degc is not None and air_degc > _NO_ZERO_DEGC:
            told = "0 in air of {}: an empty reading stored as 0? Leave it empty, or read it again"
            aside[row] = rows.temp_aside(row, "no_value", sentence(told, degc(air_degc)))
    return StepResult(found=None, aside=aside)


def _any_cold(rows: LogRows, own: Sequence[int]) -> bool:
    """True where one of some readings is as cold as air in which brakes may show 0."""
    return any(rows.temps.degc[row] <= _NO_ZERO_DEGC for row in own)
