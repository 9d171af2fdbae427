"""Statistics of the fast path, against scipy and published examples."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ndtri, stdtrit

from thermlog.physics.distributions import (
    fieller_limits,
    normal_quantile,
    student_quantile,
)


@given(st.floats(1e-12, 1.0 - 1e-12))
def test_normal_quantile_is_scipys(probability):
    """Reference: scipy.special.ndtri; it vanishes at the median, hence the absolute part."""
    assert normal_quantile(probability) == pytest.approx(float(ndtri(probability)), rel=1e-12, abs=1e-14)


@pytest.mark.parametrize("outside", [0.0, 1.0, -0.1, math.nan])
def test_normal_quantile_refuses_impossible_probabilities(outside):
    with pytest.raises(ValueError, match="strictly between 0 and 1"):
        normal_quantile(outside)


# Largest relative error claimed in the docstring, by smallest degrees of freedom.
@pytest.mark.parametrize(
    ("probability", "lowest", "claimed"),
    [(0.975, 3.0, 1e-4), (0.99, 3.0, 5e-4), (0.975, 1.0, 2e-3), (0.99, 1.0, 6e-3), (0.95, 3.0, 2e-5)],
)
def test_student_quantile_is_as_accurate_as_it_says(probability, lowest, claimed):
    """Reference: scipy.special.stdtrit, whole and broken degrees of freedom."""
    dof = np.concatenate([np.linspace(lowest, 12.0, 500), np.linspace(12.0, 1000.0, 200)])
    error = student_quantile(probability, dof) / stdtrit(dof, probability) - 1.0
    assert np.abs(error).max() < claimed


def test_student_quantile_closed_forms_and_limits():
    """Exact: tan(0.475π) at 1, 0.95/√(2·0.975·0.025) at 2 degrees of freedom; the normal at infinity."""
    got = student_quantile(0.975, [1.0, 2.0, math.inf, 0.5, math.nan])
    want = [math.tan(0.475 * math.pi), 0.95 / math.sqrt(2 * 0.975 * 0.025), float(ndtri(0.975))]
    np.testing.assert_allclose(got[:3], want, rtol=1e-12)
    assert np.isnan(got[3:]).all()
    assert student_quantile(0.975, np.full((2, 2), 8.0)).shape == (2, 2)


@given(st.floats(0.5001, 0.999), st.floats(1.0, 100.0))
def test_student_quantile_is_odd_and_wider_than_the_normal(probability, dof):
    above = float(student_quantile(probability, dof))
    assert float(student_quantile(1.0 - probability, dof)) == pytest.approx(-above, rel=1e-9)
    assert above > normal_quantile(probability)


def test_student_quantile_of_the_median_is_zero():
    assert np.abs(student_quantile(0.5, [1.0, 3.0, 30.0])).max() < 1e-15
    assert np.abs(student_quantile(0.5 + 1e-13, [1.0, 3.0, 30.0])).max() < 1e-12


T_8 = float(stdtrit(8.0, 0.975))


@pytest.mark.parametrize(
    ("a", "b", "g", "lower", "upper"),
    [
        # computed with scipy and numpy to the digits given, variances 9 each, 8 degrees of freedom
        (90.0, 60.0, 0.0132941377, 1.3099802161, 1.7304395428),
        (12.0, 8.0, 0.7477952444, 0.5238004666, 11.3712964095),
    ],
)
def test_fieller_limits_of_good_and_poor_ratios(a, b, g, lower, upper):
    got = fieller_limits(
        numerator=a, denominator=b, numerator_variance=9.0, denominator_variance=9.0, quantile=T_8
    )
    assert bool(got.bounded)
    assert (float(got.g), float(got.lower), float(got.upper)) == pytest.approx((g, lower, upper), abs=2e-9)


def test_fieller_limits_solve_their_own_equation():
    """Definition: at a limit the difference a − r·b is exactly `quantile` standard deviations from zero."""
    r = fieller_limits(
        numerator=50.0,
        denominator=40.0,
        numerator_variance=4.0,
        denominator_variance=9.0,
        covariance=2.5,
        quantile=1.96,
    )
    for limit in (float(r.lower), float(r.upper)):
        sigma = math.sqrt(4.0 + limit**2 * 9.0 - 2.0 * limit * 2.5)
        assert abs(50.0 - limit * 40.0) == pytest.approx(1.96 * sigma, rel=1e-12)


def test_fieller_is_unbounded_without_a_warning_where_the_denominator_may_be_zero():
    got = fieller_limits(
        numerator=[10.0, 10.0, 10.0],
        denominator=[3.0, 0.0, 60.0],
        numerator_variance=9.0,
        denominator_variance=9.0,
        quantile=2.0,
    )
    assert got.bounded.tolist() == [False, False, True]
    assert np.isnan(got.lower[:2]).all()
    assert np.isnan(got.upper[:2]).all()
    assert got.g[0] == pytest.approx(4.0)
    assert math.isinf(got.g[1])
