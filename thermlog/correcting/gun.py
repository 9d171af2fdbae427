"""The gun itself: its description, its error, and what a check in ice and boiling water tells of it."""

from __future__ import annotations

import math
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal, TypeAlias

import numpy as np
from msgspec import Meta, Struct

from thermlog.physics.boiling import pressure_at_altitude_hpa
from thermlog.words.bundled import bundled
from thermlog.words.errors import PolicyError
from thermlog.words.tables import Floats
from thermlog.words.tomlfile import read_toml
from thermlog.words.tomlrecord import SourceText, cure, policy_refusal, record_of

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


_DEFAULT = Path(__file__).with_name("gun.toml")
_LABELS = ("schema", "name", "sources")
_Wavelength: TypeAlias = Annotated[float, Meta(ge=1.0, le=20.0)]

_WEATHER_SIGMA_HPA = 12.0  # engineering judgement, common practice, no source
_BAROMETER_SIGMA_HPA = 1.0  # engineering judgement, common practice, no source


class BathCheck(Struct, frozen=True, kw_only=True):
    """What the gun showed over an ice bath and over boiling water [°C], best the mean of several readings.

    ``pressure_hpa`` with its standard uncertainty is the pressure on the spot, not reduced to sea level;
    ``surroundings_degc`` is what the water mirrors.
    """

    ice_degc: float
    boiling_degc: float
    pressure_hpa: float
    pressure_sigma_hpa: float
    surroundings_degc: float = 20.0


class GunSheet(Struct, frozen=True, kw_only=True):
    """What the data sheet of an infrared gun tells, with the range in which each number makes sense.

    Attributes
    ----------
    name : str
        As the user calls it.
    emissivity_setting : float
        Emissivity set on the gun or built in, above 0 to 1.
    band_um : pair of float
        Wavelengths between which it is sensitive [µm].
    distance_ratio : float
        Distance over spot diameter.
    accuracy_k, accuracy_percent : float
        Stated accuracy, the larger of so many kelvin and so many percent of the reading in °C.
    coverage_factor : float or None
        The k stated beside the accuracy; None if none is stated: the accuracy is then a rectangle.
    repeatability_k : float
        Standard deviation of repeated readings [K].
    resolution_k : float
        Step of the last digit [K].
    compensated : bool
        True if the gun takes off reflected radiation of its own temperature.
    """

    name: str
    emissivity_setting: Annotated[float, Meta(ge=0.1, le=1.0)]
    band_um: Annotated[
        tuple[_Wavelength, _Wavelength], cure("two wavelengths from 1 to 20 µm are needed, such as [8, 14]")
    ]
    distance_ratio: Annotated[float, Meta(ge=1.0, le=200.0)]
    accuracy_k: Annotated[float, Meta(ge=0.0, le=20.0)]
    accuracy_percent: Annotated[float, Meta(ge=0.0, le=20.0)]
    coverage_factor: Annotated[float, Meta(ge=1.0, le=4.0)] | None = None
    repeatability_k: Annotated[float, Meta(ge=0.0, le=10.0)]
    resolution_k: Annotated[float, Meta(ge=0.0, le=10.0)]
    compensated: bool


class _BathSheet(Struct, kw_only=True, forbid_unknown_fields=True):
    """Table [check] of a gun file; the pressure is stated, or follows from the altitude."""

    ice_degc: Annotated[float, Meta(ge=-10.0, le=10.0)]
    boiling_degc: Annotated[float, Meta(ge=60.0, le=110.0)]
    pressure_hpa: Annotated[float, Meta(ge=500.0, le=1080.0)] | None = None
    altitude_m: Annotated[float, Meta(ge=-400.0, le=5500.0)] | None = None
    surroundings_degc: Annotated[float, Meta(ge=-20.0, le=50.0)] = 20.0


class _GunFile(GunSheet, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A gun file."""

    schema: Literal["thermlog-gun-1"]
    check: _BathSheet | None = None
    sources: dict[str, SourceText] = {}


class Gun(GunSheet, frozen=True, kw_only=True):
    """Description of an infrared gun.

    Attributes
    ----------
    check : BathCheck or None
        Field check in ice and boiling water.
    assumed : tuple of str
        Keys which the user's file left out and which were taken from the usual gun.
    sources : tuple of (str, str)
        Key and where its value comes from, as far as stated.
    """

    check: BathCheck | None = None
    assumed: tuple[str, ...] = ()
    sources: tuple[tuple[str, str], ...] = ()


@lru_cache(maxsize=1)
def usual_gun() -> Gun:
    """Gun assumed where nobody describes one; every value carries its source in ``sources``."""
    return _gun({}, _DEFAULT.name)


def load_gun(path: str) -> Gun:
    """Read a gun file (TOML); what it leaves out is taken from the usual gun and listed in ``assumed``.

    Raises
    ------
    PolicyError
        File missing or not TOML, unknown key, value of the wrong kind or out of range.
    """
    own = read_toml(path, refusal=PolicyError, cure="give the path of a gun file (TOML)")
    return _gun({"name": Path(path).stem} | own, path)


def _gun(own: dict[str, Any], where: str) -> Gun:
    """The usual gun where a file's own table says nothing."""
    usual = bundled(_DEFAULT)
    assumed = tuple(key for key in usual if key not in own and key not in _LABELS)
    stated = record_of({**usual, "sources": {}, **own}, _GunFile, policy_refusal(where))
    low_um, high_um = stated.band_um
    if low_um >= high_um:
        msg = f"{where}: band_um is [{low_um:g}, {high_um:g}]; the shorter wavelength comes first"
        raise PolicyError(msg)
    return Gun(
        **{key: getattr(stated, key) for key in GunSheet.__struct_fields__},
        check=_check(stated.check, where),
        assumed=assumed,
        sources=tuple(({key: usual["sources"][key] for key in assumed} | stated.sources).items()),
    )


def _check(stated: _BathSheet | None, where: str) -> BathCheck | None:
    if stated is None:
        return None
    if stated.pressure_hpa is not None and stated.altitude_m is None:
        pressure_hpa, sigma_hpa = stated.pressure_hpa, _BAROMETER_SIGMA_HPA
    elif stated.altitude_m is not None and stated.pressure_hpa is None:
        pressure_hpa, sigma_hpa = pressure_at_altitude_hpa(stated.altitude_m), _WEATHER_SIGMA_HPA
    else:
        has = "neither" if stated.pressure_hpa is None else "both"
        msg = f"{where}, [check]: has {has}; it needs one of pressure_hpa, altitude_m"
        raise PolicyError(msg)
    return BathCheck(
        ice_degc=stated.ice_degc,
        boiling_degc=stated.boiling_degc,
        pressure_hpa=pressure_hpa,
        pressure_sigma_hpa=sigma_hpa,
        surroundings_degc=stated.surroundings_degc,
    )


class Correction(Struct, frozen=True, kw_only=True):
    """Line that turns a reading into what a right gun would show, from a check at two points.

    Attributes
    ----------
    points_degc : pair of float
        Readings at the two points [°C].
    errors_k : pair of float
        Reading minus right reading there [K].
    sigmas_k : pair of float
        Standard uncertainties of these errors [K].
    """

    points_degc: tuple[float, float]
    errors_k: tuple[float, float]
    sigmas_k: tuple[float, float]

    @property
    def gain(self) -> float:
        """Step of the right reading over step of the reading."""
        low, high = self.points_degc
        return 1.0 - (self.errors_k[1] - self.errors_k[0]) / (high - low)

    @property
    def offset_k(self) -> float:
        """What a right gun shows where this gun shows 0 °C."""
        return -self.errors_k[0] + (self.gain - 1.0) * -self.points_degc[0]

    def corrected_degc(self, reading_degc: ArrayLike) -> Floats:
        """Right reading: ``offset_k + gain · reading`` [°C]."""
        return self.offset_k + self.gain * np.asarray(reading_degc, dtype=np.float64)

    def sigma_k(self, reading_degc: ArrayLike) -> Floats:
        """Give the standard uncertainty from the check [K]; it grows outside the points."""
        low, high = self.points_degc
        share = (np.asarray(reading_degc, dtype=np.float64) - low) / (high - low)
        return np.hypot((1.0 - share) * self.sigmas_k[0], share * self.sigmas_k[1])

    def difference_sigma_k(self, first_degc: ArrayLike, second_degc: ArrayLike) -> Floats:
        """Uncertainty which the check leaves in a difference of two readings of this gun [K]."""
        low, high = self.points_degc
        apart = np.asarray(first_degc, dtype=np.float64) - np.asarray(second_degc, dtype=np.float64)
        return np.abs(apart) * math.hypot(*self.sigmas_k) / (high - low)


def two_point_check(
    *, shown_degc: tuple[float, float], right_degc: tuple[float, float], sigmas_k: tuple[float, float]
) -> Correction:
    """Gain and offset of a gun from readings at two known temperatures.

    Parameters
    ----------
    shown_degc : pair of float
        What the gun showed, cold point first [°C].
    right_degc : pair of float
        What a right gun with the same setting shows there [°C].
    sigmas_k : pair of float
        Standard uncertainties of shown minus right [K].

    Returns
    -------
    Correction

    Raises
    ------
    PolicyError
        The two points are less than 20 K apart.
    """
    if shown_degc[1] - shown_degc[0] < 20.0:
        msg = f"gun check: readings {shown_degc[0]:g} and {shown_degc[1]:g} °C must lie 20 K apart or more"
        raise PolicyError(msg)
    errors = (shown_degc[0] - right_degc[0], shown_degc[1] - right_degc[1])
    return Correction(points_degc=shown_degc, errors_k=errors, sigmas_k=sigmas_k)


def accuracy_sigma_k(gun: Gun, reading_degc: ArrayLike) -> Floats:
    """Standard uncertainty of a reading from the gun's stated accuracy.

    Parameters
    ----------
    gun : Gun
        Its accuracy is the larger of ``accuracy_k`` and ``accuracy_percent`` of the reading.
    reading_degc : array_like
        Reading [°C].

    Returns
    -------
    float array
        Accuracy over the coverage factor, or over √3 (rectangle) where no factor is stated [K].

    Notes
    -----
    JCGM 100:2008 (GUM), 4.3.7 and 6.2 (clause numbers from memory, not checked).
    """
    half = np.maximum(gun.accuracy_k, gun.accuracy_percent / 100.0 * np.abs(np.asarray(reading_degc)))
    return np.asarray(half / (gun.coverage_factor or math.sqrt(3.0)), dtype=np.float64)


class GunNoise(Struct, frozen=True, kw_only=True):
    """What lets two readings of one spot differ by the gun alone, in standard uncertainties.

    Attributes
    ----------
    repeat_k : float
        Its repeatability [K].
    digit_k : float
        Rounding to its last digit [K].
    """

    repeat_k: float
    digit_k: float


def noise_of(gun: Gun) -> GunNoise:
    """Repeatability, and a rectangle one step of the last digit wide."""
    return GunNoise(repeat_k=gun.repeatability_k, digit_k=gun.resolution_k / math.sqrt(12.0))


def noise_sigma_k(gun: Gun) -> float:
    """Standard uncertainty of one reading from repeatability and the last digit [K]."""
    noise = noise_of(gun)
    return math.hypot(noise.repeat_k, noise.digit_k)
