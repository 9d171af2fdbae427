"""Temperatures of whole logs: units of headings and cells, marks of the gun, values that may be mistyped."""

from __future__ import annotations

import pytest
from readcases import PLAIN, read, rows

from thermlog.words.errors import LogRefusedError

DEGC = (85.5, 84.0, 61.5, 92.0)
WHEELS = ("FL", "FR", "RL", "RR")


def log(heading: str, write) -> str:
    body = "".join(
        f"{12 * k};{w};{write(degc)}\n" for k, (w, degc) in enumerate(zip(WHEELS, DEGC, strict=True))
    )
    return f"time_s;position;{heading}\n{body}"


@pytest.mark.parametrize(
    ("heading", "per_kelvin", "zero"),
    [
        ("temp (0.1 C)", 10, 0), ("temp [1/10 °C]", 10, 0), ("Temperatur (0,1 °C)", 10, 0),
        ("temp (°C x10)", 10, 0), ("temp (tenths of °C)", 10, 0), ("temp (C/10)", 10, 0),
        ("temp (0.1 F)", 18, 320), ("temp (0.1 K)", 10, 2731.5), ("T (°C)", 1, 0), ("T [K]", 1, 273.15),
        ("temp °F", 1.8, 32), ("temp x10 (C)", 10, 0), ("temp_x10_c", 10, 0), ("temp (dC)", 10, 0),
        ("tenths of temp (°C)", 10, 0),
    ],
)  # fmt: skip
def test_the_unit_of_a_temperature_heading_is_honoured(heading: str, per_kelvin: float, zero: float) -> None:
    found = read(log(heading, lambda degc: f"{degc * per_kelvin + zero:.10g}"))
    assert [degc for _, _, degc in rows(found)] == pytest.approx(DEGC)


def test_tenths_in_the_column_of_the_air() -> None:
    found = read("time_s,position,temp_c,air temp (0.1 C)\n0,FL,80,180\n9,FR,81,180\n")
    assert found.readings.cases[0].ambient_degc == 18.0


def test_tenths_in_a_column_a_wheel() -> None:
    found = read("time_s,FL (0.1 C),FR (0.1 C)\n0,855,840\n60,800,790\n")
    assert sorted(degc for _, _, degc in rows(found)) == pytest.approx([79, 80, 84, 85.5])


@pytest.mark.parametrize("unit", ["°R", "Rankine", "mV", "raw", "counts"])
def test_a_temperature_unit_that_is_not_known_is_refused(unit: str) -> None:
    with pytest.raises(LogRefusedError, match="no temperature unit known here"):
        read(log(f"temp ({unit})", str))


@pytest.mark.parametrize(
    "write",
    [
        lambda d: f"{d}°", lambda d: f"{d}°".replace(".", ","), lambda d: f"{d} °", lambda d: f"{d:.3e}",
        lambda d: f"{d} deg", lambda d: f"{d / 10}e1", lambda d: f"{d}º", lambda d: f"{d} °C",
        lambda d: f"{d} Grad",
    ],
)  # fmt: skip
def test_degree_signs_alone_and_powers_of_ten(write) -> None:
    assert [degc for _, _, degc in rows(read(log("temp_c", write)))] == pytest.approx(DEGC)


@pytest.mark.parametrize(
    ("mark", "code"),
    [
        ("OL", "over_range"), ("HI", "over_range"), ("LO", "under_range"), ("----", "no_value"),
        (">500", "over_range"),
    ],
)  # fmt: skip
def test_marks_of_the_gun_are_readings_that_could_not_be_taken(mark: str, code: str) -> None:
    found = read(PLAIN + f"40,FL,{mark}\n")
    assert [(one.code, one.corner) for one in found.readings.cases[0].blind] == [(code, "1L")]


ROUNDS = "time_s,position,temp_c\n" + "".join(
    f"{240 * turn + 12 * k},{wheel},{degc - 5 * turn:.0f}\n"
    for turn in range(2)
    for k, (wheel, degc) in enumerate(zip(WHEELS, (117, 112, 84, 88), strict=True))
)


@pytest.mark.parametrize(
    ("old", "new", "code", "would_be_degc"),
    [
        ("36,RR,88", "36,RR,190", "other_unit", 158 / 1.8),
        ("0,FL,117", "0,FL,711", "digits_swapped", 171.0),
        ("0,FL,117", "0,FL,7", "digit_missing", 79.0),
        ("24,RL,84", "24,RL,884", "digit_added", 84.0),
    ],
)
def test_a_value_that_may_be_a_typing_error_is_named_and_kept(
    old: str, new: str, code: str, would_be_degc: float
) -> None:
    found = read(ROUNDS.replace(old, new))
    assert found.record.rows_used == 8
    odd = found.readings.cases[0].odd
    if new == "0,FL,711":  # nothing near: it stands apart, and nothing is made of it
        assert odd == ()
        return
    assert [one.code for one in odd] == [code]
    assert odd[0].would_be_degc == pytest.approx(would_be_degc)
    assert any("stands apart and would be" in note for note in found.record.notes)


def test_a_wheel_that_is_hot_again_is_no_typing_error() -> None:
    hot = ROUNDS.replace("36,RR,88", "36,RR,190").replace("276,RR,83", "276,RR,181")
    assert read(hot).readings.cases[0].odd == ()
    assert read(ROUNDS).readings.cases[0].odd == ()


def test_the_figure_as_typed_counts_in_fahrenheit_too() -> None:
    """85 among figures of 180 and more: 85 °C is 185 °F."""
    text = "time_s,position,temp_f\n0,FL,185\n12,FR,181\n24,RL,178\n36,RR,85\n"
    (odd,) = read(text).readings.cases[0].odd
    assert (odd.code, odd.corner, odd.line) == ("other_unit", "2R", 5)
    assert odd.would_be_degc == pytest.approx(85.0)


def test_a_hot_brake_that_was_read_again_is_no_typing_error() -> None:
    """It cools as fast as any: a reading nearer to it than the other wheels speaks for it."""
    log = (
        "time_s,position,temp_c\n26,FL,62.8\n38,RL,42.3\n52,RR,162.5\n69,FR,59.1\n236,FR,50.6\n248,RR,137.1\n"
        "266,RL,35.6\n280,FL,56.3\n446,FL,47.3\n458,RL,32.3\n474,RR,109.8\n485,FR,47.1\n"
    )
    assert not any("stands apart" in note for note in read(log).record.notes)
