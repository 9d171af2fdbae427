"""One air temperature that is stated twice is one; two that differ are refused. All logs are invented."""

import pytest
from readcases import PLAIN, read

from thermlog.words.errors import LogRefusedError


@pytest.mark.parametrize(
    ("first", "second", "degc"),
    [
        ("16", "16 C", 16.0),
        ("16 C", "16", 16.0),
        ("16 °C", "16C", 16.0),
        ("16.0", "16 C", 16.0),
        ("61 F", "16 C", 16.1),  # (61 - 32) / 1.8 = 16.11
        ("61", "61 F", 16.1),  # the readings are in °C, and the figure with its unit says how it was meant
    ],
)
def test_the_same_air_twice_is_stated_once(first, second, degc):
    found = read(f"# ambient: {first}\n# air: {second}\n{PLAIN}")
    assert found.readings.cases[0].ambient_degc == pytest.approx(degc, abs=0.06)


@pytest.mark.parametrize(
    ("first", "second"), [("16", "17 C"), ("16 C", "16 F"), ("16 C", "17 C"), ("16", "unknown")]
)
def test_another_air_is_a_contradiction(first, second):
    with pytest.raises(LogRefusedError) as refusal:
        read(f"# ambient: {first}\n# air: {second}\n{PLAIN}")
    assert refusal.value.code == "stated_twice"
