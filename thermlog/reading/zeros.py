"""Readings of 0: an empty one is often stored so, and in warmer air no brake can show it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from thermlog.reading.caseairs import airs_known
from thermlog.reading.sifting import Sifting
from thermlog.words.sentences import degc, sentence
from thermlog.words.units import to_degc

_ZERO_DEGC = (0.0, float(to_degc(0.0, "F")))
_NO_ZERO_DEGC = 5.0  # air from which a reading of 0 °C is none: common practice, no source
_NO_AIR = (
    "0, and no air is stated: an empty reading stored as 0? State the air (# ambient: 4 C), leave it empty, "
    "or read it again"
)


def drop_zeros(work: Sifting) -> None:
    """Set every 0 aside in whose air no brake shows it, whoever states the air.

    Where nobody does, another reading as cold shows that it may be true.
    """
    rows = np.flatnonzero(np.isin(work.temps.degc, _ZERO_DEGC)).tolist()
    rows = [row for row in rows if row not in work.dropped]
    if not rows:
        return
    airs = airs_known(work)
    for row in rows:
        case = 0 if work.case is None else work.case[row]
        air_degc = airs[case]
        if air_degc is None and not _cold_beside(work, case, rows):
            work.drop_temp(row, "no_value", _NO_AIR)
        elif air_degc is not None and air_degc > _NO_ZERO_DEGC:
            told = "0 in air of {}: an empty reading stored as 0? Leave it empty, or read it again"
            work.drop_temp(row, "no_value", sentence(told, degc(air_degc)))


def _cold_beside(work: Sifting, case: int, zeros: Sequence[int]) -> bool:
    """True where a reading of a case that is no 0 is as cold as air in which brakes may show 0."""
    own = (row for row in work.live_of(case) if row not in zeros)
    return any(work.temps.degc[row] <= _NO_ZERO_DEGC for row in own)
