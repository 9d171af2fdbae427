"""The unit nobody stated: taken where the numbers leave one only, asked for where they leave two."""

from __future__ import annotations

import pytest
from readcases import read, rows

from thermlog.reading.readoptions import ReadOptions
from thermlog.words.errors import LogRefusedError
from thermlog.words.units import from_degc

BELOW_AIR_K = 10.0  # the rule's own number: a wheel reads no colder than so far below the air
LIMITS = ReadOptions()


def bare(*shown: float) -> str:
    """A log without any unit, as the gun shows it."""
    wheels = ("FL", "FR", "RL", "RR")
    body = "".join(f"{12 * k},{w},{v:.6f}\n" for k, (w, v) in enumerate(zip(wheels, shown, strict=True)))
    return "time_s,position,temp\n" + body


@pytest.mark.parametrize("air_degc", [-15.0, 5.0, 20.0, 38.0])
def test_figures_are_celsius_where_fahrenheit_would_be_ten_kelvins_below_the_air(air_degc):
    edge = float(from_degc(air_degc - BELOW_AIR_K, "F"))
    hot = edge + 60.0
    found = read(bare(edge - 0.01, hot, hot, hot), ambient_degc=air_degc)
    assert rows(found)[1][2] == pytest.approx(hot)
    assert any(f"beside air at {air_degc:.4g} °C" in note for note in found.record.notes)
    with pytest.raises(LogRefusedError, match="no temperature unit is stated"):
        read(bare(edge + 0.01, hot, hot, hot), ambient_degc=air_degc)


@pytest.mark.parametrize(("off", "unit"), [(-0.01, "F"), (0.01, None)])
def test_figures_are_fahrenheit_where_celsius_would_pass_the_hottest_reading(off, unit):
    """From the highest temperature that is read at all; 180 K would be too cold for a wheel."""
    top = LIMITS.highest_degc - off
    if unit == "F":
        found = read(bare(180.0, 180.0, 180.0, top))
        assert rows(found)[3][2] == pytest.approx((top - 32.0) / 1.8, abs=1e-5)
    else:
        with pytest.raises(LogRefusedError, match="no temperature unit is stated"):
            read(bare(180.0, 180.0, 180.0, top))


def test_figures_of_nine_in_ten_follow_the_unit_of_the_air():
    """A mark of the gun among them (999) is no reading in that unit; two of ten are."""
    wheels = ("FL", "FR", "RL", "RR")

    def log(marks):
        shown = [180.0] * (20 - marks) + [-300.0] * marks
        body = "".join(f"{12 * k},{wheels[k % 4]},{v}\n" for k, v in enumerate(shown))
        return "# ambient: 68 F\ntime_s,position,temp\n" + body

    assert any("in which the ambient is stated" in note for note in read(log(2)).record.notes)
    three = read(log(0))
    assert rows(three)[0][2] == pytest.approx((180.0 - 32.0) / 1.8)
