"""Equal heat under unequal skins: what is said of a bright brake beside a dull one."""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from validation_sets import walked
from validation_walks import NO, OPEN, WATCH, YES, Said, said

from thermlog.judging.diagnose import judge
from thermlog.judging.settings import Settings
from thermlog.judging.tell import tell_findings
from thermlog.simulation.builds import HEALTHY
from thermlog.simulation.simulate import simulate_fleet
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES
from thermlog.simulation.walkround import SkinPlan
from thermlog.words.tables import Readings

PAIRS: tuple[tuple[float, float], ...] = ((0.8, 0.8), (0.8, 0.7), (0.6, 0.3))  # left, right
PAIRED_CLASSES = ("car_disc", "van_disc", "rigid2_drum", "combination5_drum")
_OTHERS = 0.78
_BRIGHT = "1R"  # the right one is never the duller


class SkinPair(Struct, frozen=True, kw_only=True):
    """Healthy vehicles whose first axle has two unlike skins.

    Attributes
    ----------
    gap_k : float
        Median false gap of the readings, left minus right [K].
    drag, idle : tuple of float
        Shares no, watch, yes, cannot tell of the two answers.
    bright_idle : float
        The brighter side alone is named by a yes to "does a brake not work?".
    dull_drags : float
        The duller side alone is named by a yes to "does a brake drag?".
    given_gap_k, given_drag, given_idle
        The same with the emissivities stated in the log.
    """

    kind: str
    left: float
    right: float
    gap_k: float
    drag: tuple[float, ...]
    idle: tuple[float, ...]
    bright_idle: float
    dull_drags: float
    given_gap_k: float
    given_drag: tuple[float, ...]
    given_idle: tuple[float, ...]


class _Told(Struct, frozen=True, kw_only=True):
    gap_k: float
    drag: Said
    idle: Said


def skin_pair(name: str, left: float, right: float, count: int, seed: int) -> SkinPair:
    """The same vehicles for every pair: one seed for all."""
    plain, stated = _readings(name, left, right, count, seed)
    unknown, given = _told(plain), _told(stated)
    return SkinPair(
        kind=name,
        left=left,
        right=right,
        gap_k=unknown.gap_k,
        drag=_shares(unknown.drag),
        idle=_shares(unknown.idle),
        bright_idle=float((unknown.idle.own & (unknown.idle.word == YES)).mean()),
        dull_drags=float((unknown.drag.own & (unknown.drag.word == YES)).mean()),
        given_gap_k=given.gap_k,
        given_drag=_shares(given.drag),
        given_idle=_shares(given.idle),
    )


def _readings(name: str, left: float, right: float, count: int, seed: int) -> tuple[Readings, Readings]:
    """Without and with the emissivities in the log."""
    fleets = {
        emissivity: simulate_fleet(
            VEHICLE_CLASSES[name],
            [HEALTHY] * count,
            plan=walked(3, skins=SkinPlan(emissivity=emissivity, common_sigma=0.0, separate_sigma=0.0)),
            seed=seed,
        ).readings
        for emissivity in {_OTHERS, left, right}
    }
    first = fleets[left]
    skin = np.where(first.axle == 1, np.where(first.side == 0, left, right), _OTHERS)
    shown = np.select([skin == value for value in fleets], [one.indicated_degc for one in fleets.values()])
    plain = replace(first, indicated_degc=shown)
    return plain, replace(plain, emissivity=skin)


def _told(readings: Readings) -> _Told:
    judged = judge(readings, Settings())
    told = [tell_findings(judged, k) for k in range(len(readings.cases))]
    firsts = [axle for one in told for axle in one.axles if axle.axle == 1]
    gaps = [axle.difference_k.value for axle in firsts if axle.difference_k is not None]
    return _Told(
        gap_k=float(np.median(gaps)),
        drag=said([one.answers.drag for one in told], [("1L",)] * len(told)),
        idle=said([one.answers.idle for one in told], [(_BRIGHT,)] * len(told)),
    )


def _shares(of: Said) -> tuple[float, ...]:
    return tuple(float((of.word == word).mean()) for word in (NO, WATCH, YES, OPEN))
