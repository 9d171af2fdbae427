"""Readings as the fit takes them: of the metal where emissivities are stated, as shown where they are not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.correcting.correct import Corrected, correct_readings, correction_notes, target_share
from thermlog.correcting.gun import Gun
from thermlog.correcting.surfaces import Catalogue, SurfaceChoice
from thermlog.words.tables import Blind, Bools, LogRecord, Readings, SetAside
from thermlog.words.vehicle import HUB_SPOT, SPOTS

# Of the spot; where less of it is the target, a reading tells of what is beside it: engineering judgement.
_LEAST_TARGET = 0.5


class Metal(Struct, frozen=True, kw_only=True, eq=False):
    """Readings after correction.

    Attributes
    ----------
    readings : Readings
        ``indicated_degc`` holds the surface temperature where it was corrected.
    corrected : Corrected or None
        The correction, rows as `readings`; None where nothing was stated, so that nothing changed.
    notes : tuple of tuple of str (cases,)
        What a reader of each case should know of it.
    """

    readings: Readings
    corrected: Corrected | None
    notes: tuple[tuple[str, ...], ...]


def corrected_readings(
    readings: Readings, gun: Gun, catalogue: Catalogue, surfaces: tuple[SurfaceChoice, ...]
) -> Metal:
    """Correct what stated emissivities, a checked gun or a distance allow.

    Parameters
    ----------
    readings : Readings
    gun : Gun
    catalogue : Catalogue
    surfaces : tuple of SurfaceChoice

    Returns
    -------
    Metal
        A reading that no surface of the stated emissivity can show is set aside in its log record, and blind
        in its case. One taken from so far that most of the spot was beside the brake stays, and its wheel is
        doubted.
    """
    stated = np.isfinite(readings.emissivity).any() or np.isfinite(readings.distance_m).any()
    if not (stated or surfaces or gun.check is not None):
        return Metal(readings=readings, corrected=None, notes=((),) * len(readings.cases))
    corrected = correct_readings(readings, gun=gun, catalogue=catalogue, choices=surfaces)
    notes: list[list[str]] = [[] for _ in readings.cases]
    for note in correction_notes(corrected, gun=gun):
        notes[note.case].append(note.text)
    for case_notes in notes:
        case_notes += [
            f"surface stated for {choice.corner or choice.word or 'all corners'}: no reading there"
            for choice in corrected.unmatched
        ]
    possible = np.isfinite(corrected.surface_degc)
    shown = _with_blind(readings, _from_afar(corrected))
    kept = _kept(replace(shown, indicated_degc=corrected.surface_degc), possible, readings)
    columns = {
        name: getattr(corrected, name)[possible]
        for name in Corrected.__struct_fields__
        if name not in {"readings", "unmatched"}
    }
    corrected = replace(corrected, readings=kept, **columns)
    return Metal(readings=kept, corrected=corrected, notes=tuple(map(tuple, notes)))


def _from_afar(corrected: Corrected) -> dict[int, list[Blind]]:
    """By case the brakes of whose reading most of the spot was beside them, each at its first such line."""
    readings, found = corrected.readings, dict[int, dict[str, Blind]]()
    wide = corrected.overfilled & (readings.spot != SPOTS.index(HUB_SPOT))
    for row in np.flatnonzero(wide).tolist():
        if target_share(float(corrected.spot_m[row]), float(corrected.target_m[row])) < _LEAST_TARGET:
            corner, quoted = readings.corner(row), f"{float(readings.distance_m[row]):.3g} m"
            one = Blind(code="doubted", line=int(readings.line[row]), corner=corner, quoted=quoted)
            found.setdefault(int(readings.case[row]), {}).setdefault(corner, one)
    return {case: [*corners.values()] for case, corners in found.items()}


def _with_blind(readings: Readings, blind: Mapping[int, Sequence[Blind]]) -> Readings:
    """The same readings, with more in their cases that is not cleared."""
    if not blind:
        return readings
    cases = tuple(
        replace(case, blind=tuple(sorted((*case.blind, *blind.get(k, ())), key=lambda one: one.line)))
        for k, case in enumerate(readings.cases)
    )
    return replace(readings, cases=cases)


def _kept(readings: Readings, possible: Bools, shown: Readings) -> Readings:
    """The possible readings; the others are set aside in the log records, and their wheels not cleared."""
    if possible.all():
        return readings
    logs: list[LogRecord] = []
    log_of = []  # number of the log of every case; the cases of a log stand together and share its record
    for k, case in enumerate(readings.cases):
        if k == 0 or case.log is not readings.cases[k - 1].log:
            logs.append(case.log)
        log_of.append(len(logs) - 1)
    blind: dict[int, list[Blind]] = {}
    for row in np.flatnonzero(~possible).tolist():
        own, one = int(readings.case[row]), _blind(shown, row)
        blind.setdefault(own, []).append(one)
        logs[log_of[own]] = _set_aside(logs[log_of[own]], one)
    cases = tuple(replace(case, log=logs[log]) for case, log in zip(readings.cases, log_of, strict=True))
    return _with_blind(replace(readings.take(possible), cases=cases), blind)


def _blind(shown: Readings, row: int) -> Blind:
    """What was read there, and where: it may be the hottest of all."""
    value_degc = float(shown.indicated_degc[row])
    return Blind(
        code="set_aside",
        line=int(shown.line[row]),
        corner=shown.corner(row),
        quoted=f"{value_degc:.4g}",
        value_degc=value_degc,
        spot=SPOTS[shown.spot[row]],
    )


def _set_aside(log: LogRecord, blind: Blind) -> LogRecord:
    entry = SetAside(
        line=blind.line,
        column=None,
        value=blind.quoted,
        reason=f"{blind.corner}: no surface of the stated emissivity can show this; "
        "check it and the gun setting",
        code="surface",
    )
    return replace(log, rows_used=log.rows_used - 1, set_aside=(*log.set_aside, entry))
