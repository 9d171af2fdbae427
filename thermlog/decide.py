"""What would turn a "watch" or "cannot tell" into a verdict: tried out, not guessed.

Each candidate (one corner read again, both sides, another round, stated emissivities) is added to the
readings of the case as if it confirmed the present curves, and the whole chain judges again.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from thermlog.diagnose import Settings, diagnosis, judge
from thermlog.findings import AxleFinding, Decision, Verdict
from thermlog.judged import Judged
from thermlog.surfaces import Surface, SurfaceChoice
from thermlog.tables import Readings
from thermlog.vehicle import SIDES, corner_name

_UNSETTLED: frozenset[Verdict] = frozenset({"watch", "cannot_tell"})
_WALK_S = 60.0  # the next reading can be taken about a minute after the last
_ROUND_S = 180.0  # from one round to the next
_MOST_ROUNDS = 3
# Matt black tape or paint on a dull spot, known to a few hundredths: surfaces.toml, black_tape.
_MARKED_EMISSIVITY, _MARKED_SPREAD = 0.95, 0.02


def what_decides(judged: Judged, k: int, settings: Settings) -> tuple[Decision, ...]:
    """Candidates for every axle of a case that is not settled.

    Parameters
    ----------
    judged : Judged
    k : int
    settings : Settings
        As the case was judged with.

    Returns
    -------
    tuple of Decision
        One for each such axle: the cheapest action that decides, or without one the action that narrows the
        interval most. None where a side has no curve, so that nothing can be predicted.
    """
    case = _one_case(judged, k)
    found: list[Decision] = []
    for axle in diagnosis(judged, k).axles:
        pair = _pair_of(judged, k, axle.axle)
        if axle.verdict in _UNSETTLED and pair is not None and judged.comparison.both[pair]:
            found += _for_axle(judged, case, pair, settings)
    return tuple(found)


def _pair_of(judged: Judged, k: int, axle: int) -> int | None:
    told = judged.digest
    pairs = range(told.first[k], told.first[k + 1])
    return next((pair for pair in pairs if told.axle[pair] == axle and told.chosen[pair]), None)


def _for_axle(judged: Judged, case: Readings, pair: int, settings: Settings) -> list[Decision]:
    tried = []
    for action, readings, changed in _candidates(judged, case, pair, settings):
        again = judge(readings, changed)
        axle = next(a for a in diagnosis(again, 0).axles if a.axle == judged.digest.axle[pair])
        decision = _decision(action, axle)
        if decision.decides:
            return [decision]
        tried.append(decision)
    return sorted(tried, key=lambda one: one.half_width_k or np.inf)[:1]


def _decision(action: str, axle: AxleFinding) -> Decision:
    interval = axle.difference_interval_k
    return Decision(
        axle=axle.axle,
        action=action,
        verdict=axle.verdict,
        half_width_k=None if interval is None else 0.5 * (interval[1] - interval[0]),
        decides=axle.verdict not in _UNSETTLED,
    )


def _candidates(
    judged: Judged, case: Readings, pair: int, settings: Settings
) -> Iterator[tuple[str, Readings, Settings]]:
    """What could be done, the cheapest first."""
    names = [corner_name(judged.digest.axle[pair], side) for side in SIDES]
    thinner = int(judged.fits.used[1, pair] < judged.fits.used[0, pair])
    last_s = float(case.elapsed_s.max())
    minute = (last_s + _WALK_S) / 60.0
    for side in (thinner, 1 - thinner):
        words = f"read {names[side]} once more, about {minute:.0f} min on this log's clock"
        yield words, _with_readings(judged, case, pair, [(side, last_s + _WALK_S)]), settings
    for rounds in range(1, _MOST_ROUNDS + 1):
        times = [last_s + _WALK_S + _ROUND_S * n for n in range(rounds)]
        shots = [(side, time + 15.0 * side) for time in times for side in (0, 1)]
        how = "once more," if rounds == 1 else f"{rounds} more times, 3 min apart,"
        words = f"read {names[0]} and {names[1]} {how} from about {minute:.0f} min on this log's clock"
        yield words, _with_readings(judged, case, pair, shots), settings
    if not judged.gap.known[pair]:
        words = (
            f"mark {names[0]} and {names[1]} with matt black tape or paint, never on a friction face, "
            "and read the marks"
        )
        yield words, case, replace(settings, surfaces=(*settings.surfaces, *_marked(names)))


def _marked(corners: list[str]) -> list[SurfaceChoice]:
    surface = Surface(
        name="marked",
        emissivity=_MARKED_EMISSIVITY,
        spread=_MARKED_SPREAD,
        band="8-14 µm",
        source="judgement",
    )
    return [SurfaceChoice(surface=surface, corner=corner, spot=None) for corner in corners]


def _one_case(judged: Judged, k: int) -> Readings:
    """The readings of one case as a table of its own."""
    rows = judged.readings.case == k
    columns = {name: getattr(judged.readings, name)[rows] for name in _ROW_COLUMNS}
    return Readings(
        cases=(judged.readings.cases[k],), case=np.zeros(int(rows.sum()), dtype=np.int64), **columns
    )


_ROW_COLUMNS = ("line", "axle", "side", "spot", "elapsed_s", "indicated_degc", "emissivity", "distance_m")


def _with_readings(judged: Judged, case: Readings, pair: int, shots: list[tuple[int, float]]) -> Readings:
    """The case with further readings that lie on the present curves."""
    side = np.array([s for s, _ in shots])
    time_s = np.array([t for _, t in shots])
    more = Readings(
        cases=case.cases,
        case=np.zeros(side.size, dtype=np.int64),
        line=np.zeros(side.size, dtype=np.int64),
        axle=np.full(side.size, judged.pairs.axle[pair]),
        side=side,
        spot=np.full(side.size, judged.pairs.spot[pair]),
        elapsed_s=time_s,
        indicated_degc=judged.temperature_at(pair, side, time_s),
        emissivity=np.full(side.size, np.nan),
        distance_m=np.full(side.size, np.nan),
    )
    joined = {name: np.concatenate([getattr(case, name), getattr(more, name)]) for name in _ROW_COLUMNS}
    return Readings(cases=case.cases, case=np.concatenate([case.case, more.case]), **joined)
