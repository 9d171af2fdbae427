"""The only place where the order of all steps stands: correct, pair, fit, compare, pattern, settle, tell."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.correcting.correct import Corrected
from thermlog.correcting.gun import Gun
from thermlog.correcting.metal import corrected_readings
from thermlog.correcting.surfaces import Catalogue
from thermlog.fitting.fit import Fits, fit
from thermlog.fitting.pairs import Pairs, mean_of_series, pair_readings
from thermlog.fitting.settle import settling
from thermlog.fitting.stack import Priors
from thermlog.inference.assume import common_time_of, context_of, misses_of, priors_of, with_hot_lifted
from thermlog.inference.doubt import doubted
from thermlog.inference.gaps import gaps_of
from thermlog.inference.hidden import weighed_and_hidden
from thermlog.inference.left_right import SideComparison, compare
from thermlog.inference.likelihood import Usual
from thermlog.inference.pattern import Evidence, find_patterns
from thermlog.inference.skingap import Correcting, SkinGap, beside_unstated, skin_gap, with_stated
from thermlog.inference.unbraked import as_hubs, unbraked_note
from thermlog.judging.airs import under_airs, without_air
from thermlog.judging.digesting import Steps, digest
from thermlog.judging.judged import Judged
from thermlog.judging.settings import Settings
from thermlog.judging.tell import tell_all
from thermlog.words.errors import VehicleError
from thermlog.words.few import Few
from thermlog.words.findings import Diagnosis
from thermlog.words.policy import Policy, load_policy
from thermlog.words.reasons import Reason
from thermlog.words.tables import Bools, Case, Floats, Readings
from thermlog.words.vehicle import SPOTS, Vehicle, WeightClass, default_vehicle, split_corner

_BY_DESCRIPTION = "follows from the vehicle's description"
_BY_AXLES = "follows from the number of axles; --policy names another"
_REPLACED = "the vehicle file replaces what the log says of the vehicle"


class _Compared(Struct, frozen=True, kw_only=True, eq=False):
    """A batch up to the probabilities of its explanations."""

    readings: Readings
    corrected: Corrected | None
    fits: Fits
    comparison: SideComparison
    evidence: Evidence
    vehicles: Few[Vehicle]
    policies: Few[Policy]
    policy_notes: tuple[str, ...]
    case_notes: tuple[tuple[str, ...], ...]


def judge(readings: Readings, settings: Settings, *, in_full: bool = False) -> Judged:
    """Run every columnar step on all cases at once.

    Parameters
    ----------
    readings : Readings
        One case or ten thousand.
    settings : Settings
    in_full : bool
        True where every case will be told with what its log would have shown: it is worked out at once, which
        takes half the time. It changes speed, never a result.

    Returns
    -------
    Judged

    Raises
    ------
    VehicleError
        A log reads an axle that the vehicle of the settings does not have.
    """
    readings = as_hubs(readings, settings.vehicle)
    found = _compared(readings, settings)
    usual = _usual(found, settings)
    today = _judged(readings, found, found.evidence, settings, in_full=in_full and usual is None)
    if usual is None:
        return today
    found = _remembering(found, usual)
    remembered = _judged(readings, found, _beside(found, usual, settings), settings, in_full=in_full)
    return replace(remembered, today=today, visits=tuple(usual.visits.tolist()))


def _usual(found: _Compared, settings: Settings) -> Usual | None:
    """What earlier visits lead to expect, where there are any."""
    if settings.past is None:
        return None
    from thermlog.inference.memory import usual_of  # most checks have no history

    return usual_of(found.readings.cases, settings.past, found.evidence)


def _remembering(found: _Compared, usual: Usual) -> _Compared:
    """The same, each vehicle with earlier visits by the line that holds for it."""
    before, with_visits = found.policies, found.policies.map(lambda policy: policy.remembering)
    rows = enumerate(usual.visits.tolist())
    policies = Few.of(with_visits[k] if visits else before[k] for k, visits in rows)
    context = replace(found.evidence.context, policies=policies)
    return replace(found, policies=policies, evidence=replace(found.evidence, context=context))


def _beside(found: _Compared, usual: Usual, settings: Settings) -> Evidence:
    """The evidence with every rise beside what earlier visits lead to expect of it."""
    from thermlog.inference.memory import beside_usual

    evidence, pairs = found.evidence, found.evidence.pairs
    leveled = beside_usual(evidence.comparison, usual)
    doubt = doubted(
        found.readings,
        pairs,
        found.fits,
        found.comparison,
        misses=misses_of(found.policies, settings.gun),
        leveled=leveled,
    )
    return replace(evidence, comparison=leveled, doubt=doubt, usual=usual)


def _judged(
    as_read: Readings, found: _Compared, evidence: Evidence, settings: Settings, *, in_full: bool
) -> Judged:
    """All steps after the comparison."""
    readings, fits, comparison = found.readings, found.fits, found.comparison
    pairs, gap = evidence.pairs, evidence.gap
    gaps = gaps_of(comparison, gap, pairs.case)
    patterns, hidden = weighed_and_hidden(evidence, gaps, in_full=in_full)
    steps = Steps(
        readings=readings,
        pairs=pairs,
        fits=fits,
        comparison=comparison,
        gap=gap,
        gaps=gaps,
        doubt=evidence.doubt,
        patterns=patterns,
        policies=found.policies,
        usual=evidence.usual,
        across_logs=settings.across_logs,
    )
    airless = without_air(as_read)
    assumed = under_airs(as_read, airless, found.policies) if airless else []
    order = np.argsort(readings.case, kind="stable")
    return Judged(
        readings=readings,
        pairs=pairs,
        fits=fits,
        settling=settling(readings, pairs, fits),
        comparison=comparison,
        gap=gap,
        gaps=gaps,
        patterns=patterns,
        hidden=hidden,
        evidence=evidence,
        digest=digest(steps),
        vehicles=found.vehicles,
        policies=found.policies,
        policy_notes=found.policy_notes,
        case_notes=found.case_notes,
        stops=_stops(readings.cases, settings),
        dead_before=_dead_before(readings.cases, settings),
        gun=settings.gun,
        as_read=as_read,
        corrected=found.corrected,
        catalogue=settings.catalogue,
        airless=airless,
        under_airs=tuple(judge(one, settings) for one in assumed),
        row_order=order,
        row_first=np.searchsorted(readings.case[order], np.arange(len(readings.cases) + 1)),
    )


def skin_odds(readings: Readings, settings: Settings) -> tuple[Floats, float]:
    """What a batch tells of the skins of its vehicles.

    Parameters
    ----------
    readings : Readings
    settings : Settings

    Returns
    -------
    odds : float array (cases,)
        Of the readings if the skins of the vehicle are alike, over those if they are not; NaN where nothing
        can be compared.
    usual_share : float
        Share of vehicles with skins alike by the policies, their mean.

    Raises
    ------
    VehicleError
        As `judge` does.
    """
    found = _compared(as_hubs(readings, settings.vehicle), settings)
    shares = [policy.skins_even_share for policy in found.policies]
    return find_patterns(found.evidence).skin_odds, sum(shares) / max(len(shares), 1)


def _compared(readings: Readings, settings: Settings) -> _Compared:
    """Correct, pair, fit and compare: all that the explanations are weighed with."""
    gun, catalogue = settings.gun, settings.catalogue
    metal = corrected_readings(readings, gun, catalogue, settings.surfaces)
    readings, pairs = metal.readings, pair_readings(metal.readings)
    vehicles, vehicle_notes = _vehicles(readings, pairs, settings)
    policies, notes = _policies(vehicles, settings)
    priors = priors_of(readings.cases, vehicles, policies, pairs, gun=gun, law=settings.law)
    if metal.corrected is not None:
        gain = mean_of_series(pairs, metal.corrected.surface_per_indicated)
        priors = replace(priors, reading_scale=np.nan_to_num(gain, nan=1.0))
    fits = fit(readings, pairs, priors)
    comparison = compare(pairs, fits, wanted_time_s=common_time_of(policies))
    gap, leveled = _surfaces(pairs, comparison, (metal.corrected, priors), (gun, catalogue))
    context = with_hot_lifted(context_of(readings.cases, vehicles, policies, gun), pairs, comparison)
    if settings.skins_even_share is not None:
        context = replace(context, skins_even_share=settings.skins_even_share)
        alike = (
            f"surfaces alike on {100.0 * settings.skins_even_share:.1f} % of vehicles, not the policy's share"
        )
        notes = tuple(f"{note}; {alike}" if note else alike for note in notes)
    evidence = Evidence(
        pairs=pairs,
        fits=fits,
        comparison=leveled,
        gap=gap,
        doubt=doubted(readings, pairs, fits, comparison, misses=misses_of(policies, gun), leveled=leveled),
        context=context,
    )
    return _Compared(
        readings=readings,
        corrected=metal.corrected,
        fits=fits,
        comparison=comparison,
        evidence=evidence,
        vehicles=vehicles,
        policies=policies,
        policy_notes=notes,
        case_notes=tuple(
            (*said, *unbraked_note(vehicle), *surface)
            for said, vehicle, surface in zip(vehicle_notes, vehicles, metal.notes, strict=True)
        ),
    )


def _stops(cases: Sequence[Case], settings: Settings) -> dict[int, Reason]:
    """Cases whose vehicle an earlier visit stopped, of which no repair is known."""
    past = settings.past
    if past is None or not past.stops:
        return {}
    from thermlog.judging.pastwords import stop_before  # most checks have no history

    each = ((k, stop_before(case, past)) for k, case in enumerate(cases))
    return {k: stopped for k, stopped in each if stopped is not None}


def _dead_before(cases: Sequence[Case], settings: Settings) -> dict[int, Reason]:
    """Cases in which a brake did no work on an earlier visit, of which no repair is known."""
    past = settings.past
    if past is None:
        return {}
    from thermlog.judging.pastwords import idle_before  # most checks have no history

    each = ((k, idle_before(case, past)) for k, case in enumerate(cases))
    return {k: dead for k, dead in each if dead is not None}


def _surfaces(
    pairs: Pairs,
    comparison: SideComparison,
    corrected: tuple[Corrected | None, Priors],
    book: tuple[Gun, Catalogue],
) -> tuple[SkinGap, SideComparison]:
    """What surfaces leave open, and the comparison with the levels at which axles are weighed."""
    (readings, priors), (gun, catalogue) = corrected, book
    gap = skin_gap(pairs, comparison, priors.ambient_degc, gun, catalogue)
    if readings is None:
        return gap, comparison
    correcting = Correcting(
        corrected=readings,
        ambient_degc=priors.ambient_degc,
        ambient_sigma_k=priors.ambient_sigma_k,
        gun=gun,
        catalogue=catalogue,
    )
    gap = with_stated(gap, pairs, comparison, correcting)
    return gap, beside_unstated(gap, pairs, comparison, correcting)


def diagnoses(
    judged: Judged, *, curves: bool = False, even: Bools | None = None, sharper: bool = False
) -> Iterator[Diagnosis]:
    """Tell the findings of all cases, in order.

    Parameters
    ----------
    judged : Judged
    curves : bool
        True to add the curves a chart needs.
    even : bool array (cases,), optional
        From `plainly_even.plainly_even`, where somebody knows it already.
    sharper : bool
        True to add to every "no" what would sharpen it.
    """
    return tell_all(judged, range(len(judged.readings.cases)), curves=curves, even=even, sharper=sharper)


def refuse_missing_axles(readings: Readings, vehicle: Vehicle | None) -> None:
    """Refuse a vehicle that lacks an axle which was read; None lacks none.

    Raises
    ------
    VehicleError
        Names the log, the axle and the cure.
    """
    if vehicle is None:
        return
    missing = readings.axle > len(vehicle.axles)
    if missing.any():
        row = int(missing.argmax())
        file, line = readings.cases[readings.case[row]].log.file, int(readings.line[row])
        msg = (
            f"axle {readings.axle[row]} was read, but the vehicle file describes {len(vehicle.axles)}; "
            "describe every axle from the front, or leave the file out"
        )
        raise VehicleError(msg, file=file, line=line)


def _vehicles(
    readings: Readings, pairs: Pairs, settings: Settings
) -> tuple[Few[Vehicle], tuple[tuple[str, ...], ...]]:
    """Description of every case, and what is to be said of it."""
    stated = settings.vehicle
    if stated is None:
        return _vehicles_of_logs(readings, pairs, settings.weight_class), ((),) * len(readings.cases)
    refuse_missing_axles(readings, stated)
    replaced = [case.description not in {None, stated} for case in readings.cases]
    notes = tuple((_REPLACED,) if one else () for one in replaced)
    return Few.all_one(stated, len(readings.cases)), notes


def _vehicles_of_logs(readings: Readings, pairs: Pairs, weight_class: WeightClass | None) -> Few[Vehicle]:
    """Description of every case: as stated, else from the positions and spots alone."""
    highest = np.ones(len(readings.cases), dtype=np.int64)
    np.maximum.at(highest, pairs.case, pairs.axle)
    for k, case in enumerate(readings.cases):  # wheels that were tried, too
        if case.blind:
            tried = [split_corner(one.corner)[0] for one in case.blind if one.corner]
            highest[k] = max([int(highest[k]), *tried])
    drums = np.zeros(len(readings.cases), dtype=bool)
    drums[pairs.case[pairs.spot == SPOTS.index("drum")]] = True
    known = zip(readings.cases, highest.tolist(), drums.tolist(), strict=True)
    said = Few.of(case.description or (axles, drum) for case, axles, drum in known)
    return said.map(
        lambda one: (
            one
            if isinstance(one, Vehicle)
            else default_vehicle(one[0], drum=one[1], weight_class=weight_class)
        )
    )


def _policies(vehicles: Few[Vehicle], settings: Settings) -> tuple[Few[Policy], tuple[str, ...]]:
    if settings.policy is not None:
        return Few.all_one(settings.policy, len(vehicles)), ("as named",) * len(vehicles)
    by_weight = vehicles.map(
        lambda vehicle: settings.policies.get(vehicle.weight_class) or load_policy(vehicle.weight_class)
    )
    notes = vehicles.map(lambda vehicle: _BY_DESCRIPTION if vehicle.stated else _BY_AXLES)
    return by_weight, tuple(notes)
