"""Temperature units; nothing else in thermlog converts between them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias, TypeVar, overload

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Unit: TypeAlias = Literal["C", "F", "K"]
UNITS: tuple[Unit, ...] = ("C", "F", "K")

ZERO_DEGC_IN_K = 273.15  # exact by definition, SI brochure 9th ed. (2019), section 2.3.1

_T = TypeVar("_T", float, "NDArray[np.float64]")


@overload
def to_degc(value: float, unit: Unit) -> float: ...
@overload
def to_degc(value: NDArray[np.float64], unit: Unit) -> NDArray[np.float64]: ...
def to_degc(value: _T, unit: Unit) -> _T:
    """Temperature in degrees Celsius.

    Parameters
    ----------
    value : float or array, any shape
        Temperature in `unit`.
    unit : {"C", "F", "K"}
        Degrees Celsius, degrees Fahrenheit, kelvin.

    Returns
    -------
    same kind as `value`
        Temperature [°C].

    Examples
    --------
    >>> to_degc(212.0, "F"), to_degc(273.15, "K"), to_degc(18.0, "C")
    (100.0, 0.0, 18.0)
    """
    if unit == "F":
        return (value - 32.0) * (5.0 / 9.0)
    if unit == "K":
        return value - ZERO_DEGC_IN_K
    return value


def from_degc(value_degc: float, unit: Unit) -> float:
    """Temperature in `unit` from degrees Celsius.

    Examples
    --------
    >>> from_degc(100.0, "F"), from_degc(0.0, "K")
    (212.0, 273.15)
    """
    if unit == "F":
        return value_degc * 9.0 / 5.0 + 32.0
    if unit == "K":
        return value_degc + ZERO_DEGC_IN_K
    return value_degc


def difference_from_k(difference_k: float, unit: Unit) -> float:
    """Temperature difference in steps of `unit`; the 32 of the Fahrenheit scale drops out.

    Examples
    --------
    >>> difference_from_k(20.0, "F"), difference_from_k(20.0, "C")
    (36.0, 20.0)
    """
    return difference_k * 9.0 / 5.0 if unit == "F" else difference_k
