"""The unit nobody stated: taken where the numbers leave one only, asked for where they leave two."""

from __future__ import annotations

import pytest
from readcases import outcome, read, rows

from thermlog.reading.readoptions import ReadOptions
from thermlog.words.errors import LogRefusedError
from thermlog.words.units import from_degc

BELOW_AIR_K = 10.0  # the rule's own number: a wheel reads no colder than so far below the air
LIMITS = ReadOptions().limits


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
    top = LIMITS.highest_reading_degc - off
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


# units that are stated, cell by cell, row by row, column by column

HEAD = "time_s,position,temp,unit\n"


def degc(text: str, **options) -> list[float]:
    return [value for _, _, value in rows(read(text, **options))]


def test_a_column_of_units_speaks_row_by_row_and_a_cell_for_itself():
    log = HEAD + "0,FL,80,C\n12,FR,176,F\n24,RL,353.15,K\n36,RR,80 C,F\n"
    found = read(log)
    assert [value for _, _, value in rows(found)] == pytest.approx([80.0] * 4)
    assert found.understood.unit.endswith("(as stated beside each reading)")


def test_a_word_that_is_no_unit_is_set_aside_with_the_cure():
    found = read(HEAD + "0,FL,80,C\n12,FR,80,bar\n24,RL,81,C\n36,RR,82,C\n")
    assert [value for _, _, value in rows(found)] == [80.0, 81.0, 82.0]
    (aside,) = found.record.set_aside
    assert 'unit "bar" is not a temperature unit; write C, F or K' in aside.reason
    assert aside.line == 3


def test_a_blank_column_of_units_states_none():
    with pytest.raises(LogRefusedError, match="no temperature unit is stated"):
        read(HEAD + "0,FL,120,\n12,FR,121,\n24,RL,110,\n36,RR,111,\n")
    assert degc(HEAD + "0,FL,120,\n12,FR,121,\n", unit="C") == [120.0, 121.0]


def test_bare_figures_take_the_only_unit_of_the_log():
    found = read("time_s,position,temp\n0,FL,176 F\n12,FR,176\n24,RL,178\n36,RR,180 F\n")
    assert rows(found)[1][2] == pytest.approx(80.0)
    assert any(
        "2 readings without a unit taken as °F, the only unit in the log" in n for n in found.record.notes
    )
    assert found.understood.unit == "°F"


def test_bare_figures_beside_two_units_are_refused_at_the_first_of_them():
    with pytest.raises(LogRefusedError, match="states more than one elsewhere") as refused:
        read("time_s,position,temp\n0,FL,80 C\n12,FR,176 F\n24,RL,81\n36,RR,82\n")
    assert (refused.value.line, refused.value.value) == (4, "81")


def test_every_column_of_a_wide_log_has_its_own_unit():
    log = "time_s,FL (°C),FR (°F),RL (°C),RR (K)\n0,80,176,80,353.15\n60,70,158,70,343.15\n"
    assert sorted(degc(log)) == pytest.approx([70.0] * 4 + [80.0] * 4)


def test_a_unit_line_and_a_heading_must_agree():
    log = "# unit: F\ntime_s,position,temp_c\n0,FL,80\n12,FR,81\n"
    with pytest.raises(LogRefusedError, match="a heading states °C") as refused:
        read(log)
    assert refused.value.line == 1
    assert degc("# unit: F\ntime_s,position,temp_f\n0,FL,176\n12,FR,176\n") == pytest.approx([80.0, 80.0])
    assert degc("# unit: F\ntime_s,position,temp\n0,FL,176\n12,FR,176\n") == pytest.approx([80.0, 80.0])


# decimal marks


def test_both_marks_are_refused_at_the_first_comma():
    with pytest.raises(LogRefusedError, match="use one mark") as refused:
        read("time_s;position;temp_c\n0;FL;80.5\n12;FR;81,5\n24;RL;70,5\n")
    assert (refused.value.line, refused.value.value) == (3, "81,5")
    assert degc("time_s;position;temp_c\n0;FL;80.5\n12;FR;81\n", decimal=".") == [80.5, 81.0]


def test_times_with_thousands_and_clocks_with_dots_leave_the_mark_alone():
    thousands = "time_s;position;temp_c\n980;FL;80.5\n1,010;FR;81.5\n"
    assert [(s, t) for s, _, t in rows(read(thousands))] == [(980.0, 80.5), (1010.0, 81.5)]
    dotted = "time;position;temp_c\n14.03;FL;80,5\n14.04;FR;81,5\n14.05;RL;70,5\n"
    found = rows(read(dotted))
    assert [t for _, _, t in found] == [80.5, 81.5, 70.5]
    assert [s for s, _, _ in found] == [0.0, 60.0, 120.0]


@pytest.mark.parametrize("value", ["2555", "1500"])  # 1500 would be possible in °F
def test_the_value_that_fits_no_unit_is_named_and_not_the_first(value: str) -> None:
    found = outcome(f"air: 16 C\ntime_s,wheel,temp\n0,LF,98\n20,RF,101\n40,RR,60\n60,LR,{value}\n".encode())
    assert isinstance(found, LogRefusedError)
    assert (found.code, found.line, found.value) == ("no_unit", 6, value)
    assert "--unit" in found.problem


def test_a_value_that_fits_no_unit_is_named_where_the_air_has_none_either() -> None:
    found = outcome(b"time_s,wheel,temp\n0,LF,98\n20,RF,101\n40,RR,2555\n60,LR,64\n")
    assert isinstance(found, LogRefusedError)
    assert (found.line, found.value) == (4, "2555")


@pytest.mark.parametrize("heading", ["Grad", "degrees", "grados", "gradi", "Grad C", "degrees F"])
def test_a_column_of_degrees_holds_temperatures(heading):
    """A word for degrees heads nothing else; without a letter they are those of the stated air."""
    log = f"# ambient: 18 C\ntime_s,position,{heading}\n0,FL,80\n12,FR,81\n"
    # (80 - 32) / 1.8 = 26.667
    assert degc(log) == pytest.approx([80.0, 81.0] if heading[-1] != "F" else [26.667, 27.222], abs=1e-3)
