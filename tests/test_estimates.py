"""A number with its interval: turned, scaled, moved; what changed between two is tested with the proofs."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermlog.words.estimates import Estimate

widths = st.floats(0.0, 100.0)
estimates = st.builds(
    lambda value, down, up: Estimate(value, value - down, value + up),
    st.floats(-500.0, 500.0),
    widths,
    widths,
)


@given(estimates)
def test_turning_mirrors_the_interval_and_turning_back_changes_nothing(one: Estimate) -> None:
    turned = one.turned
    assert (turned.value, turned.low, turned.high) == (-one.value, -one.high, -one.low)
    assert turned.turned == one
    assert turned.half_width == pytest.approx(one.half_width)


@given(estimates)
def test_size_is_never_negative_and_keeps_the_interval_around_it(one: Estimate) -> None:
    assert one.size.value == abs(one.value)
    assert one.size.low <= one.size.value <= one.size.high
    assert one.size in {one, one.turned}


@given(estimates, st.floats(-50.0, 50.0))
def test_another_value_takes_both_ends_along(one: Estimate, value: float) -> None:
    moved = one.moved(value)
    zero = one.value - value
    assert moved.value == value
    assert moved.interval == (one.low - zero, one.high - zero)
    assert moved.half_width == pytest.approx(one.half_width, abs=1e-9)


def test_what_has_no_interval_keeps_none() -> None:
    bare = Estimate(3.0)
    changed = [bare, bare.turned, bare.size, bare.times(2.0), bare.moved(2.0)]
    assert [one.value for one in changed] == [3.0, -3.0, 3.0, 6.0, 2.0]
    assert {one.interval for one in changed} == {one.half_width for one in changed} == {None}
    assert Estimate(3.0, 1.0).interval is None


def test_half_width_is_that_of_the_interval_however_lopsided() -> None:
    assert Estimate(3.0, 1.0, 7.0).half_width == 3.0
