"""A note on a slip of the pen names what that slip makes of the figure that stands in the log."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from thermlog.reading.odd import odd_readings
from thermlog.words.tables import Odd

OTHERS = [88.0, 91.0, 95.5, 99.0, 102.0, 104.0]


def found_with(value: float) -> list[Odd]:
    """Notes on a log of six other wheels and one that reads so."""
    degc_of = dict(enumerate([*OTHERS, value]))
    corners = [f"{row + 1}L" for row in degc_of]
    return odd_readings(degc_of, corners.__getitem__, range(len(degc_of)), "C")


# Figures that, two digits swapped, fall between 83 and 109: the lowest and the highest of the six others with
# 5 K at each end. 58 -> 85, 59 -> 95, 130 -> 103 to 180 -> 108, 803 -> 83 (083) to 809 -> 89, 900 -> 90 to
# 909 -> 99.
SWAPPED_WHOLE = [58, 59, *range(130, 181, 10), *range(803, 810), *range(900, 910)]


@given(whole=st.sampled_from(SWAPPED_WHOLE), tenth=st.integers(0, 9))
def test_swapped_digits_are_those_that_were_typed(whole: int, tenth: int) -> None:
    """The same digits, before and behind the point, in another order."""
    (one,) = (one for one in found_with(whole + tenth / 10.0) if one.code == "digits_swapped")
    typed, meant = f"{one.degc:.1f}", f"{one.would_be_degc:.1f}"
    assert sorted(typed.split(".", maxsplit=1)[0]) == sorted(
        meant.split(".", maxsplit=1)[0].zfill(len(typed) - 2)
    )
    assert typed.split(".")[1] == meant.split(".")[1]
    assert meant != typed


def test_a_figure_that_was_rounded_first_is_no_swap() -> None:
    """139.8 rounds to 140, and that would be 104: nobody typed a 4."""
    assert "digits_swapped" not in [one.code for one in found_with(139.8)]
