"""The gun itself: its description, its error, and what a check in ice and boiling water tells of it."""

from __future__ import annotations

import math
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from msgspec import Struct

from thermlog.physics.boiling import pressure_at_altitude_hpa
from thermlog.words.errors import PolicyError
from thermlog.words.tables import Floats
from thermlog.words.tomlfile import read_toml

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


SCHEMA = "thermlog-gun-1"
_DEFAULT = Path(__file__).with_name("gun.toml")
_LABELS = ("schema", "name", "sources")

# Key of the file: lowest and highest value that make sense.
_LIMITS = {
    "emissivity_setting": (0.1, 1.0),
    "distance_ratio": (1.0, 200.0),
    "accuracy_k": (0.0, 20.0),
    "accuracy_percent": (0.0, 20.0),
    "coverage_factor": (1.0, 4.0),
    "repeatability_k": (0.0, 10.0),
    "resolution_k": (0.0, 10.0),
}
_CHECK_LIMITS = {
    "ice_degc": (-10.0, 10.0),
    "boiling_degc": (60.0, 110.0),
    "pressure_hpa": (500.0, 1080.0),
    "altitude_m": (-400.0, 5500.0),
    "surroundings_degc": (-20.0, 50.0),
}
_CHECK_NEEDS = {"ice_degc", "boiling_degc"}
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


class Gun(Struct, frozen=True, kw_only=True):
    """Description of an infrared gun.

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
    check : BathCheck or None
        Field check in ice and boiling water.
    assumed : tuple of str
        Keys which the user's file left out and which were taken from the usual gun.
    sources : tuple of (str, str)
        Key and where its value comes from, as far as stated.
    """

    name: str
    emissivity_setting: float
    band_um: tuple[float, float]
    distance_ratio: float
    accuracy_k: float
    accuracy_percent: float
    coverage_factor: float | None
    repeatability_k: float
    resolution_k: float
    compensated: bool
    check: BathCheck | None = None
    assumed: tuple[str, ...] = ()
    sources: tuple[tuple[str, str], ...] = ()


@lru_cache(maxsize=1)
def usual_gun() -> Gun:
    """Gun assumed where nobody describes one; every value carries its source in ``sources``."""
    table = _parse(_DEFAULT)
    return _gun(table, _DEFAULT.name, assumed=tuple(key for key in table if key not in _LABELS))


def load_gun(path: str) -> Gun:
    """Read a gun file (TOML); what it leaves out is taken from the usual gun and listed in ``assumed``.

    Raises
    ------
    PolicyError
        File missing or not TOML, unknown key, value of the wrong kind or out of range.
    """
    own = _parse(Path(path))
    usual = _parse(_DEFAULT)
    assumed = tuple(key for key in usual if key not in own and key not in _LABELS)
    stated = dict(_sources(own.get("sources", {}), path))
    sources = {key: usual["sources"][key] for key in assumed} | stated
    base = {key: usual[key] for key in (*assumed, "schema")}
    return _gun({"name": Path(path).stem, **base, **own, "sources": sources}, path, assumed=assumed)


def _parse(path: Path) -> dict[str, Any]:
    return read_toml(path, refusal=PolicyError, cure="give the path of a gun file (TOML)")


def _gun(table: dict[str, Any], where: str, *, assumed: tuple[str, ...]) -> Gun:
    """Check every value of a complete table and make the gun."""
    known = set(Gun.__struct_fields__) - {"assumed"} | {"schema"}
    _refuse_unknown(table, known, where)
    if table["schema"] != SCHEMA:
        msg = f'{where}: schema is {table["schema"]!r}; this version reads only "{SCHEMA}"'
        raise PolicyError(msg)
    if not isinstance(table["compensated"], bool):
        msg = f"{where}: compensated is {table['compensated']!r}; write true or false"
        raise PolicyError(msg)
    numbers = {key: _number(table[key], key, _LIMITS[key], where) for key in _LIMITS if key in table}
    return Gun(
        name=str(table["name"]),
        band_um=_band(table["band_um"], where),
        coverage_factor=numbers.pop("coverage_factor", None),
        compensated=table["compensated"],
        check=_check(table.get("check"), where),
        assumed=assumed,
        sources=_sources(table.get("sources", {}), where),
        **numbers,
    )


def _refuse_unknown(table: dict[str, Any], known: set[str], where: str) -> None:
    for key in table:
        if key not in known:
            msg = f'{where}: "{key}" is not known; a gun file knows {", ".join(sorted(known))}'
            raise PolicyError(msg)


def _number(value: object, key: str, limits: tuple[float, float], where: str) -> float:
    low, high = limits
    if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
        msg = f"{where}: {key} is {value!r}; a number from {low:g} to {high:g} is needed"
        raise PolicyError(msg)
    return float(value)


def _band(value: object, where: str) -> tuple[float, float]:
    if not isinstance(value, list) or len(value) != 2:
        msg = f"{where}: band_um is {value!r}; two wavelengths are needed, such as [8, 14]"
        raise PolicyError(msg)
    low, high = (_number(item, "band_um", (1.0, 20.0), where) for item in value)
    if low >= high:
        msg = f"{where}: band_um is {value!r}; the shorter wavelength comes first"
        raise PolicyError(msg)
    return low, high


def _sources(value: object, where: str) -> tuple[tuple[str, str], ...]:
    if not isinstance(value, dict) or not all(
        isinstance(text, str) and text.strip() for text in value.values()
    ):
        msg = f"{where}: [sources] needs one line of text a key"
        raise PolicyError(msg)
    return tuple(value.items())


def _check(value: object, where: str) -> BathCheck | None:
    if value is None:
        return None
    if not isinstance(value, dict):
        msg = f"{where}: check is {value!r}; a table [check] is needed"
        raise PolicyError(msg)
    _refuse_unknown(value, set(_CHECK_LIMITS), f"{where}, [check]")
    if not set(value) >= _CHECK_NEEDS or len({"pressure_hpa", "altitude_m"} & set(value)) != 1:
        needs = "ice_degc, boiling_degc and one of pressure_hpa, altitude_m"
        msg = f"{where}, [check]: has {', '.join(value) or 'nothing'}; it needs {needs}"
        raise PolicyError(msg)
    numbers = {key: _number(v, key, _CHECK_LIMITS[key], f"{where}, [check]") for key, v in value.items()}
    if "altitude_m" in numbers:
        pressure_hpa = pressure_at_altitude_hpa(numbers.pop("altitude_m"))
        return BathCheck(pressure_hpa=pressure_hpa, pressure_sigma_hpa=_WEATHER_SIGMA_HPA, **numbers)
    return BathCheck(pressure_sigma_hpa=_BAROMETER_SIGMA_HPA, **numbers)


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


def noise_sigma_k(gun: Gun) -> float:
    """Standard uncertainty of one reading from repeatability and the last digit [K]."""
    return math.hypot(gun.repeatability_k, gun.resolution_k / math.sqrt(12.0))
