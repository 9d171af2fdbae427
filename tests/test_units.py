"""Temperature units: fixed points, there and back, differences without the 32."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermlog.words.units import UNITS, ZERO_DEGC_IN_K, difference_from_k, from_degc, to_degc

# Defining relations, SI brochure 9th ed. (2019) 2.3.1 for the kelvin; the Fahrenheit scale by its own
# definition (32 at the ice point, 212 at the steam point, -40 where both scales meet).
FIXED_POINTS = [
    ("F", 32.0, 0.0), ("F", 212.0, 100.0), ("F", -40.0, -40.0), ("F", -459.67, -273.15),
    ("K", 0.0, -273.15), ("K", 273.15, 0.0), ("C", 18.5, 18.5),
]  # fmt: skip


@pytest.mark.parametrize(("unit", "value", "degc"), FIXED_POINTS)
def test_fixed_points(unit, value, degc):
    assert to_degc(value, unit) == pytest.approx(degc, abs=1e-12)
    assert from_degc(degc, unit) == pytest.approx(value, abs=1e-12)


@given(degc=st.floats(-273.15, 2000.0), unit=st.sampled_from(UNITS))
def test_there_and_back(degc, unit):
    assert to_degc(from_degc(degc, unit), unit) == pytest.approx(degc, abs=1e-9)


@given(a=st.floats(-100.0, 900.0), b=st.floats(-100.0, 900.0), unit=st.sampled_from(UNITS))
def test_difference_is_that_of_the_temperatures(a, b, unit):
    assert difference_from_k(a - b, unit) == pytest.approx(from_degc(a, unit) - from_degc(b, unit), abs=1e-9)


def test_arrays_convert_like_numbers():
    values = np.array([[32.0, 212.0], [50.0, -40.0]])
    for unit in UNITS:
        one_by_one = [[to_degc(float(value), unit) for value in row] for row in values]
        np.testing.assert_array_equal(to_degc(values, unit), one_by_one)


def test_zero_of_the_celsius_scale_is_exact():
    assert ZERO_DEGC_IN_K == 273.15
