"""Slopes and control charts, against published examples and against what is plain."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermlog.history.trend import control_chart, slope_of

# NIST/SEMATECH e-Handbook of Statistical Methods, section 6.3.2.4, "EWMA Control Charts", its worked example:
# lambda 0.3, k 3, EWMA0 50, s 2.0539; numbers as quoted in a public check of that page,
# the page itself not read.
NIST_DATA = (
    52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5,
    49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1,
)  # fmt: skip
NIST_EWMA = (
    50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33,
    50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99,
)  # fmt: skip


def test_control_chart_of_the_handbook() -> None:
    chart = control_chart(NIST_DATA, centre=50.0, sigma=2.0539)

    # 0.006: two printed decimals
    assert np.abs(np.array(chart.points) - NIST_EWMA).max() < 0.006
    assert chart.high == pytest.approx(52.5884, abs=5e-5)
    assert chart.low == pytest.approx(47.4115, abs=2e-4)  # printed truncated
    assert chart.first_outside is None  # "EWMA control chart ... in control"


def test_the_first_visit_outside_is_told() -> None:
    chart = control_chart((0.0, 0.0, 5.0, 5.0), centre=0.0, sigma=1.0)

    # own sum: limits 3 sqrt(0.3 / 1.7) = 1.26; averages 0, 0, 1.5, 2.55
    assert chart.first_outside == 2
    assert chart.points[2] == pytest.approx(1.5)


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_point_just_inside_its_limit_is_inside(sign: float) -> None:
    edge = 3.0 * (0.3 / 1.7) ** 0.5 / 0.3
    inside = control_chart((sign * 0.999 * edge,), centre=0.0, sigma=1.0)
    outside = control_chart((sign * 1.001 * edge,), centre=0.0, sigma=1.0)

    assert (inside.first_outside, outside.first_outside) == (None, 0)


def test_slope_of_a_line_is_its_slope() -> None:
    found = slope_of((0.0, 1.0, 2.0, 5.0), (3.0, 5.0, 7.0, 13.0))
    assert found is not None
    assert (found.value, found.low, found.high) == (2.0, 2.0, 2.0)


def test_one_wild_visit_hardly_moves_the_slope() -> None:
    """Median of pairs: of 45 slopes 9 are the wild visit's."""
    weeks = np.arange(10.0)
    values = 0.5 * weeks
    values[4] = 90.0
    found = slope_of(weeks.tolist(), values.tolist())
    assert found is not None
    assert found.value == pytest.approx(0.5)


def test_few_visits_or_one_moment_have_no_slope() -> None:
    assert slope_of((0.0, 1.0, 2.0), (0.0, 1.0, 2.0)) is None
    assert slope_of((1.0, 1.0, 1.0, 1.0, 2.0), (0.0, 1.0, 2.0, 3.0, 4.0)) is None


@settings(deadline=None)  # the first example imports scipy
@given(
    values=st.lists(st.floats(-50, 50), min_size=4, max_size=12),
    scale=st.floats(0.1, 10),
    shift=st.floats(-100, 100),
)
def test_slope_goes_with_the_units(values: list[float], scale: float, shift: float) -> None:
    weeks = [float(k) for k in range(len(values))]
    plain, moved = slope_of(weeks, values), slope_of(weeks, [scale * value + shift for value in values])
    assert plain is not None
    assert moved is not None
    assert moved.value == pytest.approx(scale * plain.value, rel=1e-6, abs=1e-9)


def test_interval_covers_the_true_slope() -> None:
    """Normal scatter, twelve weeks: own count, 95 % asked; 300 series, so 0.025 is two standard errors."""
    rng = np.random.default_rng(5)
    weeks = np.arange(12.0)
    inside = 0
    for _ in range(300):
        found = slope_of(weeks.tolist(), (0.3 * weeks + rng.normal(0.0, 1.0, 12)).tolist())
        assert found is not None
        assert found.interval is not None
        inside += found.interval[0] <= 0.3 <= found.interval[1]
    assert 0.90 <= inside / 300 <= 0.99
