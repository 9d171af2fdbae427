"""Numbers rounded many at a time are those of one at a time, to the last bit."""

from __future__ import annotations

import math
import random
from struct import pack

from hypothesis import given
from hypothesis import strategies as st

from thermlog.reports.contract.jsonnumbers import six_digits_of
from thermlog.reports.wording import six_digits

NUMBERS = st.none() | st.floats() | st.floats(-1e4, 1e4) | st.integers(-(10**7), 10**7).map(lambda n: n / 2e4)


def assert_alike(numbers: list[float | None]) -> None:
    found, nothing = six_digits_of([numbers, [None] * len(numbers)])
    assert nothing == [None] * len(numbers)
    for shown, one in zip(found, numbers, strict=True):
        wanted = six_digits(one)
        assert (shown is None) == (wanted is None), one
        assert shown is None or pack("d", shown) == pack("d", wanted), one


@given(st.lists(NUMBERS, max_size=8))
def test_any_numbers(numbers):
    assert_alike(numbers)


def test_ties_powers_of_ten_and_their_neighbours():
    near = [10.0**k for k in range(-20, 21)] + [
        (n + 0.5) * 10.0**k for n in (100000, 123456, 999999) for k in range(-9, 9)
    ]
    around = [
        other for one in near for other in (one, math.nextafter(one, 0.0), math.nextafter(one, math.inf))
    ]
    assert_alike([sign * one for one in around for sign in (1.0, -1.0)] + [0.0, -0.0, 5e-324, 1.7e308])


def test_numbers_as_logs_have_them():
    dice = random.Random(1)
    assert_alike([dice.uniform(-1, 1) * 10.0 ** dice.randrange(-32, 33) for _ in range(20_000)])


def test_no_columns_are_none():
    assert six_digits_of([]) == []
