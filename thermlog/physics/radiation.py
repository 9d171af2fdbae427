"""What an infrared gun sees: Planck radiation in a band, and the way back to the surface.

Signals are band radiances [W/(m²·sr)] of a flat response between two wavelengths. An opaque grey surface of
emissivity ε sends ε·L(T) of its own and reflects (1 − ε)·L(T_reflected). A gun set to ε_s shows the
temperature T_r at which ε_s·L(T_r), plus (1 − ε_s)·L(T_compensation) if it compensates, equals that signal.
The same measurement equation stands in ASTM E1862 and E1933 (from memory, not checked).
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from msgspec import Struct

from thermlog.words.tables import Floats
from thermlog.words.units import ZERO_DEGC_IN_K

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


Band: TypeAlias = tuple[float, float]

# Exact by definition, SI brochure 9th ed. (2019), section 2.2.
_PLANCK_J_S, _LIGHT_M_S, _BOLTZMANN_J_K = 6.62607015e-34, 299792458.0, 1.380649e-23
FIRST_RADIATION_W_M2_SR = 2.0 * _PLANCK_J_S * _LIGHT_M_S**2  # [W·m²/sr]
SECOND_RADIATION_M_K = _PLANCK_J_S * _LIGHT_M_S / _BOLTZMANN_J_K
USUAL_BAND_UM: Band = (8.0, 14.0)  # common practice, no source: low-cost guns
LOWEST_DEGC, HIGHEST_DEGC = -100.0, 1200.0

_SERIES_TERMS = 60  # the last term is below 1e-13 of the sum for x above 0.5
_STEP_K = 1.0


def _series(x: Floats) -> Floats:
    """∫ t³/(eᵗ − 1) dt from x to infinity, x = c₂/(λT) above 0.5."""
    decay = np.exp(-x)
    power, total = np.ones_like(x), np.zeros_like(x)
    for n in range(1, _SERIES_TERMS + 1):
        power = power * decay
        total += power * (((x / n + 3.0 / n**2) * x + 6.0 / n**3) * x + 6.0 / n**4)
    return total


class _Table(Struct, frozen=True, eq=False):
    """ln L and d ln L/dT at whole steps of temperature, for cubic interpolation."""

    degc: Floats
    log_radiance: Floats
    log_slope: Floats

    def at(self, degc: Floats) -> tuple[Floats, Floats]:
        """Interpolate ln L and its slope [1/K]; NaN outside the table."""
        inside = (degc >= LOWEST_DEGC) & (degc <= HIGHEST_DEGC)
        place = np.where(inside, degc - LOWEST_DEGC, 0.0) / _STEP_K
        low = np.minimum(place.astype(np.int64), self.degc.size - 2)
        s = np.where(inside, place - low, np.nan)
        y0, y1 = self.log_radiance[low], self.log_radiance[low + 1]
        m0, m1 = self.log_slope[low] * _STEP_K, self.log_slope[low + 1] * _STEP_K
        bend, twist = 3.0 * (y1 - y0) - 2.0 * m0 - m1, m0 + m1 - 2.0 * (y1 - y0)
        value = y0 + s * (m0 + s * (bend + s * twist))
        return value, (m0 + s * (2.0 * bend + 3.0 * s * twist)) / _STEP_K


@lru_cache(maxsize=8)
def _table(band_um: Band) -> _Table:
    """Build the table of one band: ln L to 4e-9, checked against quadrature in the tests."""
    low_um, high_um = band_um
    if not 1.0 <= low_um < high_um <= 20.0:
        msg = f"band must rise from at least 1 µm to at most 20 µm, got {low_um:g} to {high_um:g} µm"
        raise ValueError(msg)
    degc = np.arange(LOWEST_DEGC, HIGHEST_DEGC + _STEP_K / 2.0, _STEP_K)
    kelvin = degc + ZERO_DEGC_IN_K
    ends = SECOND_RADIATION_M_K * 1e6 / np.multiply.outer(np.array(band_um), kelvin)
    start, stop = _series(ends)
    edge_start, edge_stop = ends**4 / np.expm1(ends)
    inside = stop - start
    scale = FIRST_RADIATION_W_M2_SR / SECOND_RADIATION_M_K**4
    exponent = 4.0 + (edge_stop - edge_start) / inside
    return _Table(degc=degc, log_radiance=np.log(scale * kelvin**4 * inside), log_slope=exponent / kelvin)


def band_radiance(temperature_degc: ArrayLike, band_um: Band = USUAL_BAND_UM) -> Floats:
    """Radiance of a black body within a band.

    Parameters
    ----------
    temperature_degc : array_like, any shape
        Temperature, −100 to 1200 [°C].
    band_um : pair of float
        Wavelengths between which the gun is sensitive, within 1 to 20 [µm].

    Returns
    -------
    float array
        Radiance [W/(m²·sr)], to 4e-9 relative; NaN outside the range of temperature.

    Examples
    --------
    >>> float(band_radiance(120.0).round(6))
    166.193924
    """
    log_radiance, _ = _table(band_um).at(np.asarray(temperature_degc, dtype=np.float64))
    return np.asarray(np.exp(log_radiance), dtype=np.float64)


def band_slope(temperature_degc: ArrayLike, band_um: Band = USUAL_BAND_UM) -> Floats:
    """Derivative dL/dT of `band_radiance` [W/(m²·sr·K)]."""
    log_radiance, log_slope = _table(band_um).at(np.asarray(temperature_degc, dtype=np.float64))
    return np.asarray(np.exp(log_radiance) * log_slope, dtype=np.float64)


def band_temperature_degc(radiance: ArrayLike, band_um: Band = USUAL_BAND_UM) -> Floats:
    """Temperature of the black body that gives a band radiance, the inverse of `band_radiance`.

    Parameters
    ----------
    radiance : array_like, any shape
        Band radiance [W/(m²·sr)].
    band_um : pair of float
        The band [µm].

    Returns
    -------
    float array
        Temperature [°C], to 1e-7; NaN where no temperature of the table gives this radiance, for example
        where more was taken off for reflection than the gun saw.
    """
    table = _table(band_um)
    signal = np.asarray(radiance, dtype=np.float64)
    target = np.log(np.where(signal > 0.0, signal, np.nan))
    degc = np.interp(target, table.log_radiance, table.degc, left=np.nan, right=np.nan)
    for _ in range(2):  # the chord is good to 2e-3 K, Newton squares that twice
        log_radiance, log_slope = table.at(degc)
        degc = np.clip(degc + (target - log_radiance) / log_slope, LOWEST_DEGC, HIGHEST_DEGC)
    return np.asarray(degc, dtype=np.float64)


class Sensitivity(Struct, frozen=True, kw_only=True, eq=False):
    """How a corrected surface temperature answers to what went into it.

    Attributes
    ----------
    per_indicated : float array
        Change for one kelvin of the reading [K/K].
    per_emissivity_k : float array
        Change for one unit of the surface's emissivity [K].
    per_reflected : float array
        Change for one kelvin of the reflected temperature, compensation left alone [K/K].
    """

    per_indicated: Floats
    per_emissivity_k: Floats
    per_reflected: Floats


def indicated_degc(
    surface_degc: ArrayLike,
    *,
    emissivity: ArrayLike,
    gun_emissivity: ArrayLike = 0.95,
    reflected_degc: ArrayLike = 20.0,
    compensated: bool = True,
    compensation_degc: ArrayLike | None = None,
    band_um: Band = USUAL_BAND_UM,
) -> Floats:
    """Reading of a gun that fills its spot with one surface.

    Parameters
    ----------
    surface_degc : array_like
        True temperature of the surface, −100 to 1200 [°C]; all arguments broadcast.
    emissivity : array_like
        Of the surface in the band, 0 to 1.
    gun_emissivity : array_like
        Set on the gun, above 0 to 1.
    reflected_degc : array_like
        Temperature of what the surface mirrors [°C].
    compensated : bool
        True if the gun takes reflected radiation off.
    compensation_degc : array_like, optional
        Temperature of the reflection which the gun assumes, usually its own [°C]; `reflected_degc` if left
        out.
    band_um : pair of float
        The gun's band [µm].

    Returns
    -------
    float array
        Indicated temperature [°C].

    Examples
    --------
    >>> indicated_degc(120.0, emissivity=[0.95, 0.6, 0.3]).round(2).tolist()
    [120.0, 89.98, 59.39]
    """
    own = np.asarray(emissivity, dtype=np.float64)
    signal = own * band_radiance(surface_degc, band_um) + (1.0 - own) * band_radiance(reflected_degc, band_um)
    assumed = reflected_degc if compensation_degc is None else compensation_degc
    return _solve(signal, gun_emissivity, assumed if compensated else None, band_um)


def surface_degc(
    indicated_degc: ArrayLike,
    *,
    emissivity: ArrayLike,
    gun_emissivity: ArrayLike = 0.95,
    reflected_degc: ArrayLike = 20.0,
    compensated: bool = True,
    compensation_degc: ArrayLike | None = None,
    band_um: Band = USUAL_BAND_UM,
) -> Floats:
    """Temperature of the surface behind a reading, the exact inverse of `indicated_degc`.

    Parameters as in `indicated_degc`, with the reading in place of the surface temperature.

    Returns
    -------
    float array
        Surface temperature [°C]; NaN where the reading cannot come from such a surface.

    Examples
    --------
    >>> float(surface_degc(120.0, emissivity=0.30).round(4))
    248.822
    """
    own, shown = np.asarray(emissivity, dtype=np.float64), np.asarray(gun_emissivity, dtype=np.float64)
    signal = shown * band_radiance(indicated_degc, band_um)
    if compensated:
        assumed = reflected_degc if compensation_degc is None else compensation_degc
        signal = signal + (1.0 - shown) * band_radiance(assumed, band_um)
    return _solve(signal, own, reflected_degc, band_um)


def _solve(signal: Floats, emissivity: ArrayLike, reflected_degc: ArrayLike | None, band_um: Band) -> Floats:
    """Temperature at which a surface of this emissivity, with this reflection, gives the signal."""
    own = np.asarray(emissivity, dtype=np.float64)
    if reflected_degc is not None:
        signal = signal - (1.0 - own) * band_radiance(reflected_degc, band_um)
    with np.errstate(divide="ignore", invalid="ignore"):  # emissivity 0: nothing can be told, NaN
        return band_temperature_degc(signal / own, band_um)


def surface_sensitivity(
    indicated_degc: ArrayLike,
    *,
    surface_degc: ArrayLike,
    emissivity: ArrayLike,
    gun_emissivity: ArrayLike = 0.95,
    reflected_degc: ArrayLike = 20.0,
    band_um: Band = USUAL_BAND_UM,
) -> Sensitivity:
    """Partial derivatives of `surface_degc` at a reading and the surface temperature found for it.

    Compensated and uncompensated guns alike: the derivatives at a given surface temperature do not contain
    the compensation, which is held.
    """
    own, shown = np.asarray(emissivity, dtype=np.float64), np.asarray(gun_emissivity, dtype=np.float64)
    steepness = own * band_slope(surface_degc, band_um)
    excess = band_radiance(surface_degc, band_um) - band_radiance(reflected_degc, band_um)
    return Sensitivity(
        per_indicated=shown * band_slope(indicated_degc, band_um) / steepness,
        per_emissivity_k=-excess / steepness,
        per_reflected=-(1.0 - own) * band_slope(reflected_degc, band_um) / steepness,
    )


def spot_diameter_m(distance_m: ArrayLike, ratio: ArrayLike) -> Floats:
    """Diameter of the spot, distance over the gun's distance-to-spot ratio [m].

    The stated spot holds only about nine tenths of the signal (common practice, no source).
    """
    return np.asarray(distance_m, dtype=np.float64) / np.asarray(ratio, dtype=np.float64)
