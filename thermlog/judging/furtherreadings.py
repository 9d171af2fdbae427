"""What would turn a "watch" or "cannot tell" into a verdict: tried out, not guessed.

Each candidate (one corner read again, both sides, another round, marked brakes) is added to the readings of
the case as if it confirmed the present curves, and the whole chain judges again. Marks are taken to show the
metal as it is if both skins are the middle of what is believed of them.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from msgspec.structs import replace

from thermlog.correcting.correct import ROW, check_correction
from thermlog.correcting.surfaces import Surface, SurfaceChoice
from thermlog.judging.diagnose import judge
from thermlog.judging.judged import Judged
from thermlog.judging.settings import Settings
from thermlog.judging.tell import tell_findings
from thermlog.physics.radiation import indicated_degc, surface_degc
from thermlog.words.findings import AxleFinding, Decision, Verdict
from thermlog.words.sentences import named, sentence
from thermlog.words.tables import Floats, Readings
from thermlog.words.vehicle import BRAKE_SPOTS, SIDES, SPOTS, corner_name

_UNSETTLED: frozenset[Verdict] = frozenset({"watch", "cannot_tell"})
_WALK_S = 60.0  # the next reading can be taken about a minute after the last
_ROUND_S = 180.0  # from one round to the next
_MOST_ROUNDS = 3
# Matt black tape or paint on a dull spot, known to a few hundredths: surfaces.toml, black_tape.
_MARKED_EMISSIVITY, _MARKED_SPREAD = 0.95, 0.02


def deciding_readings(judged: Judged, k: int, settings: Settings) -> tuple[Decision, ...]:
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
        interval most. None where a side has no curve, so that nothing can be predicted, and none without an
        air temperature, which no further reading of a brake replaces.
    """
    if judged.readings.cases[k].ambient_degc is None:
        return ()
    case = _one_case(judged, k)
    found: list[Decision] = []
    for axle in tell_findings(judged, k).axles:
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
        axle = next(a for a in tell_findings(again, 0).axles if a.axle == judged.digest.axle[pair])
        decision = _decision(action, axle)
        if decision.decides:
            return [decision]
        tried.append(decision)
    return sorted(tried, key=lambda one: one.half_width_k or np.inf)[:1]


def _decision(action: str, axle: AxleFinding) -> Decision:
    return Decision(
        axle=axle.axle,
        action=action,
        verdict=axle.verdict,
        half_width_k=axle.difference_k.half_width if axle.difference_k else None,
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
        pattern = "read {} once more, about {} min on this log's clock"
        words: str = sentence(pattern, named(names[side]), f"{minute:.0f}")
        yield words, _with_readings(judged, case, pair, ((side, last_s + _WALK_S),)), settings
    for rounds in range(1, _MOST_ROUNDS + 1):
        times = [last_s + _WALK_S + _ROUND_S * n for n in range(rounds)]
        shots = tuple((side, time + 15.0 * side) for time in times for side in (0, 1))
        how = "once more," if rounds == 1 else f"{rounds} more times, 3 min apart,"
        pattern = "read {} {} from about {} min on this log's clock"
        words = sentence(pattern, named(*names), how, f"{minute:.0f}")
        yield words, _with_readings(judged, case, pair, shots), settings
    if not judged.gap.known[pair]:
        words = (
            "repeat the drive with every brake marked at the spot that was read (matt black heat-resistant "
            "paint, never on a friction face) and read the marks"
        )
        marked = _marked(judged, case)
        yield words, marked, replace(settings, surfaces=(*settings.surfaces, *_MARKS))


_MARKS = tuple(
    SurfaceChoice(
        surface=Surface(
            name="marked",
            emissivity=_MARKED_EMISSIVITY,
            spread=_MARKED_SPREAD,
            band="8-14 µm",
            source="engineering judgement, common practice, no source",
        ),
        spot=spot,
    )
    for spot in BRAKE_SPOTS
)


def _marked(judged: Judged, case: Readings) -> Readings:
    """The case as marks would have shown it."""
    middle = np.array([float(np.asarray(judged.catalogue.skins[spot].emissivity)) for spot in SPOTS])
    gun, shown = judged.gun, _right(judged, case.indicated_degc)
    told = case.emissivity
    metal = surface_degc(
        shown,
        emissivity=np.where(np.isfinite(told), told, middle[case.spot]),
        gun_emissivity=gun.emissivity_setting,
        reflected_degc=_air_degc(case),
        compensated=gun.compensated,
        band_um=gun.band_um,
    )
    marks = _shown(judged, metal, np.full(case.rows, _MARKED_EMISSIVITY), case)
    brake = np.isin(case.spot, [SPOTS.index(spot) for spot in BRAKE_SPOTS]) & np.isfinite(marks)
    return replace(
        case,
        indicated_degc=np.where(brake, marks, case.indicated_degc),
        emissivity=np.where(brake, np.nan, told),
    )


def _right(judged: Judged, shown_degc: Floats) -> Floats:
    """What a right gun shows where this one shows `shown_degc`."""
    return (
        shown_degc
        if judged.gun.check is None
        else check_correction(judged.gun, judged.catalogue).corrected_degc(shown_degc)
    )


def _shown(judged: Judged, metal_degc: Floats, emissivity: Floats, case: Readings) -> Floats:
    """What this gun shows of metal of an emissivity, of bare readings (NaN) as they are."""
    gun = judged.gun
    seen = indicated_degc(
        metal_degc,
        emissivity=np.where(np.isfinite(emissivity), emissivity, gun.emissivity_setting),
        gun_emissivity=gun.emissivity_setting,
        reflected_degc=_air_degc(case),
        compensated=gun.compensated,
        band_um=gun.band_um,
    )
    right: Floats = np.where(np.isfinite(emissivity), seen, metal_degc)
    if gun.check is None:
        return right
    line = check_correction(gun, judged.catalogue)
    return (right - line.offset_k) / line.gain


def _air_degc(case: Readings) -> float:
    air = case.cases[0].ambient_degc
    return np.nan if air is None else air


def _one_case(judged: Judged, k: int) -> Readings:
    """The readings of one case, before any correction, as a table of its own."""
    rows = judged.as_read.take(judged.as_read.case == k)
    return replace(rows, cases=(judged.as_read.cases[k],), case=np.zeros_like(rows.case))


_ROW_COLUMNS = ("line", "axle", "side", "spot", "elapsed_s", "indicated_degc", "emissivity", "distance_m")


def _with_readings(
    judged: Judged, case: Readings, pair: int, shots: tuple[tuple[int, float], ...]
) -> Readings:
    """The case with further readings that lie on the present curves."""
    side = np.array([s for s, _ in shots])
    time_s = np.array([t for _, t in shots])
    used, in_row = _emissivity(judged, pair)
    more = Readings(
        cases=case.cases,
        case=np.zeros(side.size, dtype=np.int64),
        line=np.zeros(side.size, dtype=np.int64),
        axle=np.full(side.size, judged.pairs.axle[pair]),
        side=side,
        spot=np.full(side.size, judged.pairs.spot[pair]),
        elapsed_s=time_s,
        indicated_degc=_shown(judged, judged.temperature_at(pair, side, time_s), used[side], case),
        emissivity=in_row[side],
        distance_m=np.full(side.size, np.nan),
    )
    joined = {name: np.concatenate([getattr(case, name), getattr(more, name)]) for name in _ROW_COLUMNS}
    return Readings(cases=case.cases, case=np.concatenate([case.case, more.case]), **joined)


def _emissivity(judged: Judged, pair: int) -> tuple[Floats, Floats]:
    """Emissivity of left and right that was corrected with, and that which stands in the log; else NaN."""
    used, in_row = np.full(2, np.nan), np.full(2, np.nan)
    corrected = judged.corrected
    if corrected is None or not judged.gap.known[pair]:
        return used, in_row
    for side in (0, 1):
        last = np.flatnonzero((judged.pairs.row_pair == pair) & (judged.pairs.row_side == side))[-1]
        used[side] = corrected.emissivity[last]
        if corrected.emissivity_source[last] == ROW:
            in_row[side] = used[side]
    return used, in_row
