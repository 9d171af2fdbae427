"""Readings -> surface temperature and flags; drops nothing, and corrects nothing nobody stated.

Where the emissivity is not known the surface temperature is the reading itself, marked as such.
"""

from __future__ import annotations

import math

import numpy as np
from msgspec import Struct

from thermlog.correcting.gun import Correction, Gun, noise_sigma_k, two_point_check
from thermlog.correcting.surfaces import Catalogue, SurfaceChoice
from thermlog.physics.boiling import boiling_point_degc
from thermlog.physics.radiation import indicated_degc, spot_diameter_m, surface_degc, surface_sensitivity
from thermlog.words.sentences import degc, sentence
from thermlog.words.tables import Bools, Floats, Ints, Readings
from thermlog.words.vehicle import SIDES, SPOTS, split_corner

EMISSIVITY_SOURCES = ("unknown", "row", "stated", "one side only", "gun setting")
UNKNOWN, ROW, STATED, ONE_SIDE, SETTING = range(len(EMISSIVITY_SOURCES))

# How well a bath's surface holds the temperature it should have [K]: engineering judgement, common practice,
# no source.
_ICE_SIGMA_K, _BOILING_SIGMA_K = 0.3, 0.5
_BOILING_K_PER_HPA = 0.028  # slope of `boiling_point_degc` near sea level
_SAME_SETTING = 0.0005  # emissivities are stated to two or three digits
_USUAL_REFLECTED_DEGC = 20.0  # common practice, no source; where no air temperature is stated


class Corrected(Struct, frozen=True, kw_only=True):
    """Readings with surface temperatures, columns as long as the readings.

    Attributes
    ----------
    readings : Readings
        Unchanged.
    gun_degc : float array
        Reading put right by the gun's field check; the reading itself without one [°C].
    surface_degc : float array
        Surface temperature [°C]. Equals `gun_degc` unless an emissivity was used; NaN where the reading
        cannot come from such a surface.
    emissivity, stated_emissivity : float array
        Emissivity used, and stated, used or not; NaN where none was.
    emissivity_source : int array
        Index into `EMISSIVITY_SOURCES`. "one side only": known, but not for all readings of this spot on this
        axle, and so not used, because a half-corrected pair would show a false gap. "gun setting": the only
        value the log states is the one set on the gun, and so says nothing of the surface.
    emissivity_sigma_k : float array
        Standard uncertainty of `surface_degc` from the emissivity [K]; 0 where none was used.
    surface_per_indicated : float array
        Kelvin of surface for one kelvin of reading; scales the gun's noise.
    surface_per_reflected : float array
        Kelvin of surface for one kelvin of what the surface mirrors; 0 where no emissivity was used.
    spot_m, target_m : float array
        Diameter of the gun's spot, NaN without a distance, and smallest width of the usual target [m].
    overfilled : bool array
        True where the spot is wider than the target.
    unmatched : tuple of SurfaceChoice
        Choices that met no reading.
    """

    readings: Readings
    gun_degc: Floats
    surface_degc: Floats
    emissivity: Floats
    stated_emissivity: Floats
    emissivity_source: Ints
    emissivity_sigma_k: Floats
    surface_per_indicated: Floats
    surface_per_reflected: Floats
    spot_m: Floats
    target_m: Floats
    overfilled: Bools
    unmatched: tuple[SurfaceChoice, ...] = ()


class _Known(Struct, frozen=True, kw_only=True):
    """Emissivity, its spread and its source for each row, before the two sides are compared."""

    emissivity: Floats
    spread: Floats
    source: Ints
    unmatched: tuple[SurfaceChoice, ...]


def correct_readings(
    readings: Readings,
    *,
    gun: Gun,
    catalogue: Catalogue,
    choices: tuple[SurfaceChoice, ...],
) -> Corrected:
    """Surface temperature of every reading, as far as stated emissivities allow, with flags.

    Parameters
    ----------
    readings : Readings
        An emissivity in a row, above 0 to 1, comes before every choice; another value counts as not stated.
    gun : Gun
        What the readings were taken with.
    catalogue : Catalogue
    choices : tuple of SurfaceChoice
        Stated surfaces; a later one replaces an earlier one where both apply.

    Returns
    -------
    Corrected
        As many rows as `readings`. What a surface mirrors, and what a compensated gun takes off, is the
        case's stated air temperature, else 20 °C.
    """
    known = _known(readings, choices, catalogue, gun.emissivity_setting)
    told = (known.source != UNKNOWN) & (known.source != SETTING)
    used = _whole_pairs(readings, told)
    shown = readings.indicated_degc
    if gun.check is not None:
        shown = check_correction(gun, catalogue).corrected_degc(shown)
    surface, gain = shown.copy(), np.ones(readings.rows)
    sigma, mirrored = np.zeros(readings.rows), np.zeros(readings.rows)
    if bool(used.any()):
        surface[used], sigma[used], gain[used], mirrored[used] = _solve(shown, known, readings, gun, used)
    target = catalogue.width_m[readings.spot]
    spot = spot_diameter_m(readings.distance_m, gun.distance_ratio)
    return Corrected(
        readings=readings,
        gun_degc=shown,
        surface_degc=surface,
        emissivity=np.where(used, known.emissivity, np.nan),
        stated_emissivity=np.where(told, known.emissivity, np.nan),
        emissivity_source=np.where(told & ~used, ONE_SIDE, known.source),
        emissivity_sigma_k=sigma,
        surface_per_indicated=gain,
        surface_per_reflected=mirrored,
        spot_m=spot,
        target_m=target,
        overfilled=spot > target,
        unmatched=known.unmatched,
    )


def _known(readings: Readings, choices: tuple[SurfaceChoice, ...], book: Catalogue, setting: float) -> _Known:
    """Emissivities as stated, choices in order, rows last; the gun's setting alone tells none."""
    value, spread = np.full(readings.rows, np.nan), np.full(readings.rows, np.nan)
    source = np.full(readings.rows, UNKNOWN, dtype=np.int64)
    unmatched = []
    for choice in choices:
        here = _rows_of(choice, readings)
        value[here], spread[here], source[here] = choice.surface.emissivity, choice.surface.spread, STATED
        if not bool(here.any()):
            unmatched.append(choice)
    row = (readings.emissivity > 0.0) & (readings.emissivity <= 1.0)  # False for NaN
    other = row & (np.abs(readings.emissivity - setting) > _SAME_SETTING)
    only_setting = row & (np.bincount(readings.case, weights=other, minlength=1)[readings.case] == 0.0)
    source[only_setting & (source == UNKNOWN)] = SETTING
    row &= ~only_setting
    value[row], spread[row], source[row] = readings.emissivity[row], book.stated_spread, ROW
    return _Known(emissivity=value, spread=spread, source=source, unmatched=tuple(unmatched))


def _rows_of(choice: SurfaceChoice, readings: Readings) -> Bools:
    here = np.ones(readings.rows, dtype=np.bool_)
    if choice.corner is not None:
        axle, side = split_corner(choice.corner)
        here &= (readings.axle == axle) & (readings.side == SIDES.index(side))
    if choice.word is not None:
        here &= _rows_at(choice.word, readings)
    if choice.spot is not None:
        here &= readings.spot == SPOTS.index(choice.spot)
    return here


def _rows_at(word: str, readings: Readings) -> Bools:
    """Rows of the corners that a word names, in each log by its own words."""
    here = np.zeros(readings.rows, dtype=np.bool_)
    for k, case in enumerate(readings.cases):
        for corner in dict(case.places).get(word, ()):
            axle, side = split_corner(corner)
            here |= (readings.case == k) & (readings.axle == axle) & (readings.side == SIDES.index(side))
    return here


def _whole_pairs(readings: Readings, known: Bools) -> Bools:
    """Mark rows whose spot has a known emissivity in all readings of its axle."""
    if not bool(known.any()):
        return known
    axles, spots = int(readings.axle.max()) + 1, len(SPOTS)
    keys = (readings.case * axles + readings.axle) * spots + readings.spot
    return np.asarray(np.bincount(keys, weights=~known)[keys] == 0.0)


def _solve(
    shown: Floats, known: _Known, readings: Readings, gun: Gun, used: Bools
) -> tuple[Floats, Floats, Floats, Floats]:
    """Surface temperature, its uncertainty from the emissivity, its answers to reading and surroundings."""
    air = [_USUAL_REFLECTED_DEGC if c.ambient_degc is None else c.ambient_degc for c in readings.cases]
    reflected = np.array(air, dtype=np.float64)[readings.case[used]]
    reading, emissivity = shown[used], known.emissivity[used]
    solved = surface_degc(
        reading,
        emissivity=emissivity,
        gun_emissivity=gun.emissivity_setting,
        reflected_degc=reflected,
        compensated=gun.compensated,
        band_um=gun.band_um,
    )
    answer = surface_sensitivity(
        reading,
        surface_degc=solved,
        emissivity=emissivity,
        gun_emissivity=gun.emissivity_setting,
        reflected_degc=reflected,
        band_um=gun.band_um,
    )
    sigma = np.abs(answer.per_emissivity_k) * known.spread[used]
    return solved, sigma, answer.per_indicated, answer.per_reflected


def check_correction(gun: Gun, catalogue: Catalogue) -> Correction:
    """Line that puts a gun right, from its check in an ice bath and in boiling water.

    Parameters
    ----------
    gun : Gun
        With ``check``.
    catalogue : Catalogue
        Gives the emissivity of water.

    Returns
    -------
    Correction
        Its uncertainties hold the bath, the pressure, the emissivity of water and the gun's own scatter.

    Raises
    ------
    ValueError
        The gun has no check.
    """
    check = gun.check
    if check is None:
        msg = f"gun {gun.name} has no field check"
        raise ValueError(msg)
    water = catalogue.surfaces["water"]
    baths = np.array([0.0, boiling_point_degc(check.pressure_hpa)])
    low, right, high = indicated_degc(
        baths,
        emissivity=water.emissivity + water.spread * np.array([[-1.0], [0.0], [1.0]]),
        gun_emissivity=gun.emissivity_setting,
        reflected_degc=check.surroundings_degc,
        compensated=gun.compensated,
        band_um=gun.band_um,
    )
    skin = np.abs(high - low) / 2.0
    noise = noise_sigma_k(gun)
    pressure_k = _BOILING_K_PER_HPA * check.pressure_sigma_hpa
    return two_point_check(
        shown_degc=(check.ice_degc, check.boiling_degc),
        right_degc=(float(right[0]), float(right[1])),
        sigmas_k=(
            math.hypot(noise, _ICE_SIGMA_K, float(skin[0])),
            math.hypot(noise, _BOILING_SIGMA_K, float(skin[1]), pressure_k),
        ),
    )


def target_share(spot_m: float, target_m: float) -> float:
    """Largest part of a round spot that a strip of the given width can fill.

    Parameters
    ----------
    spot_m, target_m : float
        Diameter of the spot, width of the strip [m].

    Returns
    -------
    float
        1 where the strip is as wide as the spot or wider.

    Examples
    --------
    >>> target_share(0.05, 0.06), round(target_share(1 / 12, 0.06), 2)
    (1.0, 0.83)
    """
    width = min(target_m / spot_m, 1.0)
    return 2.0 / math.pi * (math.asin(width) + width * math.sqrt(1.0 - width * width))


class CorrectionNote(Struct, frozen=True, kw_only=True):
    """One sentence on the readings of one case, for people."""

    case: int
    text: str


def correction_notes(corrected: Corrected, *, gun: Gun) -> tuple[CorrectionNote, ...]:
    """What a reader should know of the correction: overfilled spots and emissivities not used.

    Parameters
    ----------
    corrected : Corrected
        From `correct_readings`.
    gun : Gun
        The same gun.

    Returns
    -------
    tuple of CorrectionNote
        Settings first, then by kind of note in order of case, axle, side and spot.
    """
    kinds = (
        (corrected.overfilled, _overfill_text),
        (corrected.emissivity_source == ONE_SIDE, _lone_text),
        (np.isnan(corrected.surface_degc), _impossible_text),
    )
    setting = np.unique(corrected.readings.case[corrected.emissivity_source == SETTING]).tolist()
    return tuple(CorrectionNote(case=case, text=_setting_text(gun)) for case in setting) + tuple(
        CorrectionNote(case=int(corrected.readings.case[row]), text=text(corrected, row, gun))
        for flag, text in kinds
        for row in _first_rows(corrected, flag)
    )


def _setting_text(gun: Gun) -> str:
    setting = f"{gun.emissivity_setting:.4g}"
    return (
        f"the emissivity {setting} in the log is taken for the gun's setting and not for the surface, which "
        f"stays unknown; if the surface has it too, say so: --surface all={setting}"
    )


def _first_rows(corrected: Corrected, flag: Bools) -> list[int]:
    """One row for each corner and spot that is flagged: the one with the widest spot."""
    rows = np.flatnonzero(flag)
    r, width = corrected.readings, np.nan_to_num(corrected.spot_m[rows])
    keys = np.stack([r.case[rows], r.axle[rows], r.side[rows], r.spot[rows]])
    order = np.lexsort((-width, *keys[::-1]))
    keys = keys[:, order]
    first = np.ones(rows.size, dtype=np.bool_)
    first[1:] = np.any(keys[:, 1:] != keys[:, :-1], axis=0)
    return [int(row) for row in rows[order][first]]


def _place(corrected: Corrected, row: int) -> str:
    r = corrected.readings
    return f"{r.corner(row)} {SPOTS[r.spot[row]].replace('_', ' ')}"


def _overfill_text(corrected: Corrected, row: int, gun: Gun) -> str:
    spot, target = float(corrected.spot_m[row]), float(corrected.target_m[row])
    away, share = float(corrected.readings.distance_m[row]), 100.0 * target_share(spot, target)
    return (
        f"{_place(corrected, row)}: at {away:.2g} m the gun's spot is {1000.0 * spot:.0f} mm wide, "
        f"the target about {1000.0 * target:.0f} mm; at best {share:.0f} % of what the gun sees is target; "
        f"read again from {target * gun.distance_ratio / 2.0:.2g} m or nearer"
    )


def _lone_text(corrected: Corrected, row: int, _gun: Gun) -> str:
    return (
        f"{_place(corrected, row)}: emissivity stated, but not for every reading of this spot on this axle; "
        "not used, state it for both sides"
    )


def _impossible_text(corrected: Corrected, row: int, _gun: Gun) -> str:
    reading, emissivity = corrected.readings.indicated_degc[row], corrected.emissivity[row]
    return sentence(
        "{}: no surface of emissivity {} can show {} in these surroundings; check the emissivity and the air "
        "temperature",
        _place(corrected, row),
        f"{emissivity:.2g}",
        degc(float(reading), digits=None),
    )
