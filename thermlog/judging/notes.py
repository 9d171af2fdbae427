"""Notes on one case: readings that do not vote, curves that settle elsewhere, a fit that did not settle."""

from __future__ import annotations

import numpy as np

from thermlog.inference.vehicle_drives import days_apart
from thermlog.judging.curves import REASONS
from thermlog.judging.judged import Judged
from thermlog.words.sentences import degc, kelvin, named, sentence
from thermlog.words.tables import Bools
from thermlog.words.units import to_degc
from thermlog.words.vehicle import SIDES, corner_name

_AMBIENT_PULL_SIGMAS = 3.0
_MORE_THAN_A_SLIP = 2  # readings
_NAMED = 20  # readings of one corner and reason named one by one: twice round ten times


def notes_of(judged: Judged, k: int) -> tuple[str, ...]:
    """What a reader must know about the readings of case `k`.

    Parameters
    ----------
    judged : Judged
    k : int

    Returns
    -------
    tuple of str
    """
    span = range(judged.digest.first[k], judged.digest.first[k + 1])
    case = judged.readings.cases[k]
    notes = _left_out_notes(judged, k)
    shift = judged.digest.ambient_shift_k[k] or 0.0
    sigma = _air_sigma_k(judged, k)
    settles = _settling_notes(judged, span)
    if case.ambient_degc is not None and abs(shift) > _most_pull_k(judged, k) and not settles:
        towards = case.ambient_degc + shift
        notes.append(
            sentence(
                "the curves settle towards {} rather than the stated {}: check the ambient reading; "
                "every interval here assumes it right within {}",
                degc(towards),
                degc(case.ambient_degc),
                kelvin(sigma),
            )
        )
    fitted = any(judged.digest.used[side][pair] for pair in span for side in (0, 1))
    if fitted and not judged.fits.converged[k]:
        notes.append("the fit did not settle: treat every number of this vehicle with doubt")
    return (*judged.case_notes[k], *notes, *settles, *_other_unit_notes(judged, k), *_apart_notes(judged, k))


def noteworthy(judged: Judged) -> Bools:
    """Cases of which `notes_of` may have something to say: bool array (cases,)."""
    told, pairs, fits = judged.digest, judged.pairs, judged.fits
    most_k = np.array([_most_pull_k(judged, k) for k in range(len(judged.policies))])
    shift_k = np.array(told.ambient_shift_k, dtype=np.float64)
    found: Bools = ~fits.converged | (np.abs(shift_k) > most_k)
    found |= np.fromiter(map(bool, judged.case_notes), bool, found.size)
    found[[*told.left_out, *told.same_vehicle]] = True
    for said in (judged.settling.unlike_ambient.any(0), [hot is not None for hot in told.as_fahrenheit]):
        found[pairs.case[said]] = True
    return found


def _air_sigma_k(judged: Judged, k: int) -> float:
    """Standard uncertainty of the air of a case, as it is stated, else as its policy has it [K]."""
    return judged.readings.cases[k].ambient_sigma_k or judged.policies[k].ambient_sigma_k


def _most_pull_k(judged: Judged, k: int) -> float:
    """How far the curves of a case may pull the air from what is stated before it is said [K]."""
    return _AMBIENT_PULL_SIGMAS * _air_sigma_k(judged, k)


def _apart_notes(judged: Judged, k: int) -> list[str]:
    """A drive with and one without braking of the same vehicle that are days apart: each stands alone."""
    cases = judged.readings.cases
    case, others = cases[k], (cases[other] for other in judged.digest.same_vehicle.get(k, ()))
    unlike = (other for other in others if (other.drive == "coast") != (case.drive == "coast"))
    apart = [days for other in unlike if (days := days_apart(case, other))]
    if not apart:
        return []
    kind = "with" if case.drive == "coast" else "without"
    return [
        f"the drive {kind} braking of this vehicle was made {min(apart)} day{'' if min(apart) == 1 else 's'} "
        "apart: it does not count for this one, each is judged by itself"
    ]


def _other_unit_notes(judged: Judged, k: int) -> list[str]:
    """Wheels whose every reading would fit their mate's if it had been typed in Fahrenheit: said, no more."""
    told = judged.digest
    span = range(told.first[k], told.first[k + 1])
    doubtful = {pair: hot for pair in span if (hot := told.as_fahrenheit[pair]) is not None}
    if not doubtful:
        return []
    own = judged.rows_of(k)
    shown = judged.as_read.indicated_degc[own]
    if not np.allclose(shown, shown.round(1), atol=1e-9):  # figures of another unit, converted
        return []
    notes: list[str] = []
    for pair, hot in doubtful.items():
        mine = (judged.pairs.row_pair[own] == pair) & (judged.pairs.row_side[own] == hot)
        if mine.sum() < _MORE_THAN_A_SLIP:  # the reader names a single one
            continue
        high, low = (to_degc(float(value), "F") for value in (shown[mine].max(), shown[mine].min()))
        pattern = (
            "the readings of {} would be {} to {} if they were typed in Fahrenheit, as warm as the other "
            "side; look at the gun's unit"
        )
        notes.append(sentence(pattern, named(told.corner[hot][pair]), degc(low, bare=True), degc(high)))
    return notes


def _settling_notes(judged: Judged, span: range) -> list[str]:
    settles = judged.settling
    if not settles.unlike_ambient[:, span.start : span.stop].any():
        return []
    notes: list[str] = []
    for pair in span:
        stated = judged.fits.ambient_degc[judged.pairs.case[pair]]
        for side in (0, 1):
            if settles.unlike_ambient[side, pair]:
                level, tau_s = settles.level_degc[side, pair], settles.tau_s[side, pair]
                notes.append(
                    sentence(
                        "{} does not settle towards the stated {}: by itself it would settle at {}, time "
                        "constant {} s; the cooling law or the ambient does not fit it",
                        named(judged.digest.corner[side][pair]),
                        degc(float(stated)),
                        degc(float(level)),
                        f"{tau_s:.0f}",
                    )
                )
    return notes


def _left_out_notes(judged: Judged, k: int) -> list[str]:
    """Readings kept in the file and on the chart that do not vote."""
    readings, codes = judged.readings, judged.fits.left_out
    notes: list[str] = []
    of = "" if judged.corrected is None else " of the metal"
    alike: dict[tuple[int, int, int], list[int]] = {}
    for row in judged.digest.left_out.get(k, []):
        same = alike.setdefault((int(readings.axle[row]), int(readings.side[row]), int(codes[row])), [])
        same.append(row)
        if len(same) <= _NAMED:
            corner = readings.corner(row)
            shown = degc(float(readings.indicated_degc[row]), digits=1)
            pattern = "line {}: {} {}{} does not vote: {}"
            reason = REASONS[int(codes[row])]
            notes.append(sentence(pattern, readings.line[row], named(corner), shown, of, reason))
    for (axle, side, code), rows in alike.items():
        more = rows[_NAMED:]
        if more:
            corner = corner_name(axle, SIDES[side])
            first, last = (readings.line[row] for row in (more[0], more[-1]))
            pattern = "lines {} to {}: {} more of {} do not vote: {}"
            notes.append(sentence(pattern, first, last, len(more), named(corner), REASONS[code]))
    return notes
