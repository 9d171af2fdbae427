"""What unknown emissivities do to a comparison of two corners, as standard uncertainties."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct

from thermlog.correcting.gun import Gun
from thermlog.correcting.surfaces import Skin
from thermlog.physics.radiation import band_radiance, band_slope, band_temperature_degc
from thermlog.words.tables import Floats

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


class SkinSpread(Struct, frozen=True, kw_only=True, eq=False):
    """What skins nobody stated leave open in left minus right, arrays of the shape of the comparison.

    Attributes
    ----------
    log_ratio_sigma : float array
        How far ln of the ratio of indicated rises lies from 0 for two equally hot corners, by unequal skins
        alone; NaN where a rise is not above 0.
    surface_difference_k : float array
        Difference of surface temperatures, both sides at the middle emissivity [K].
    surface_sigma_k : float array
        Standard uncertainty of that difference from the skins, common and separate part [K].
    surface_common_k, surface_corner_k : float array
        Those two parts [K].
    left_per_indicated, right_per_indicated : float array
        Kelvin of surface for one kelvin of reading on each side; they scale the uncertainty of the readings.
    """

    log_ratio_sigma: Floats
    surface_difference_k: Floats
    surface_sigma_k: Floats
    surface_common_k: Floats
    surface_corner_k: Floats
    left_per_indicated: Floats
    right_per_indicated: Floats


class _Side(Struct, frozen=True, kw_only=True, eq=False):
    """One side: what one unit of ln emissivity does to reading and surface, and where both stand."""

    indicated_per_ln_k: Floats
    surface_per_ln_k: Floats
    surface_degc: Floats
    per_indicated: Floats
    rise_k: Floats


def skin_spread_k(
    left_degc: ArrayLike, right_degc: ArrayLike, *, ambient_degc: ArrayLike, skin: Skin, gun: Gun
) -> SkinSpread:
    """Uncertainty that unknown skins bring into left minus right.

    Parameters
    ----------
    left_degc, right_degc : array_like
        Indicated temperatures at the common time [°C]; all arguments broadcast.
    ambient_degc : array_like
        Of the air, and of what the surfaces mirror [°C]; NaN gives NaN.
    skin : Skin
        What is believed of the two surfaces.
    gun : Gun
        Its setting, band and compensation.

    Returns
    -------
    SkinSpread

    Notes
    -----
    First order in ln ε about the readings. With E(T) = (L(T) − L(ambient))/L'(T), one unit of ln ε moves a
    compensated reading by E(T_read) at fixed surface temperature, and the surface by −E(T_surface) at fixed
    reading. Separate parts add in squares; the common part counts by the difference of both sides only. For
    spreads above 0.3 the true distribution is skew, its far side somewhat longer than told here.
    """
    left, right = (
        _side(np.asarray(t, dtype=np.float64), ambient_degc, skin, gun) for t in (left_degc, right_degc)
    )
    common, corner = np.asarray(skin.spread_common), np.asarray(skin.spread_corner)
    own = np.hypot(left.surface_per_ln_k, right.surface_per_ln_k) * corner
    shared = (left.surface_per_ln_k - right.surface_per_ln_k) * common
    return SkinSpread(
        log_ratio_sigma=np.hypot(_relative(left), _relative(right)) * corner,
        surface_difference_k=left.surface_degc - right.surface_degc,
        surface_sigma_k=np.hypot(own, shared),
        surface_common_k=np.abs(shared),
        surface_corner_k=own,
        left_per_indicated=left.per_indicated,
        right_per_indicated=right.per_indicated,
    )


def _side(indicated: Floats, ambient_degc: ArrayLike, skin: Skin, gun: Gun) -> _Side:
    """Solve one side at the middle emissivity and take its derivatives."""
    band, setting, emissivity = gun.band_um, gun.emissivity_setting, np.asarray(skin.emissivity)
    around = band_radiance(ambient_degc, band)
    assumed = (1.0 - setting) * around if gun.compensated else 0.0
    excess = setting * band_radiance(indicated, band) + assumed - around  # signal above pure reflection
    surface = band_temperature_degc(around + excess / emissivity, band)
    read_slope = setting * band_slope(indicated, band)
    surface_slope = emissivity * band_slope(surface, band)
    return _Side(
        indicated_per_ln_k=excess / read_slope,
        surface_per_ln_k=excess / surface_slope,
        surface_degc=surface,
        per_indicated=read_slope / surface_slope,
        rise_k=indicated - np.asarray(ambient_degc, dtype=np.float64),
    )


def _relative(side: _Side) -> Floats:
    """Change of ln rise for one unit of ln emissivity."""
    return side.indicated_per_ln_k / np.where(side.rise_k > 0.0, side.rise_k, np.nan)
