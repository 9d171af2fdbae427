"""Notes and reasons as told: readings left out, an ambient that does not fit, a fit that did not settle."""

from __future__ import annotations

import numpy as np
import pytest
from judgecases import (
    LIGHT,
    VAN_K,
    Walk,
    axle_of,
    corner_of,
    table,
    tell,
    told,
    walked,
)
from msgspec.structs import replace

from thermlog.judging.diagnose import judge
from thermlog.words.tables import Readings


def read_as(readings: Readings, row: int, shown_degc: float) -> Readings:
    """The same readings, one of them another."""
    indicated = readings.indicated_degc.copy()
    indicated[row] = shown_degc
    return replace(readings, indicated_degc=indicated)


def test_reading_left_out_is_named_with_its_line_and_reason():
    """A miss in the middle of a corner's record, and a first reading that still warms."""
    readings = walked(VAN_K, Walk(rounds=6))
    missed = read_as(readings, 8, 25.0)  # third round, first corner: line 10
    one = told(missed)
    assert one.notes == ("line 10: 1L 25.0 °C does not vote: off the curve",)
    assert (corner_of(one, "1L").readings, corner_of(one, "1L").readings_used) == (6, 5)
    assert axle_of(one, 1).verdict == "even"
    soaking = told(read_as(readings, 0, 60.0))
    assert len(soaking.notes) == 1
    assert soaking.notes[0].startswith("line 2: 1L 60.0 °C does not vote: ")
    assert told(readings).notes == ()


def test_many_readings_left_out_for_one_reason_are_counted_not_listed():
    """A display that holds 80 °C for 25 rounds: 20 readings of the corner by line, the other five in one."""
    made = [(1, side, 0, 40.0 * k + 20.0 * side, 80.0 - side * k) for k in range(25) for side in (0, 1)]
    notes = told(table(made, Walk())).notes

    assert len(notes) == 21
    assert [note.partition(":")[0] for note in notes[:20]] == [f"line {2 + 2 * k}" for k in range(20)]
    assert notes[20].startswith("lines 42 to 50: 5 more of 1L do not vote: ")


def long_record(settles_degc: float, stated_degc: float = 18.0) -> Readings:
    """Two corners read every two minutes for an hour; they settle where they like."""
    rng = np.random.default_rng(5)
    made = []
    for side in (0, 1):
        for k in range(30):
            time_s = 120.0 * k + 20.0 * side
            degc = settles_degc + 70.0 * np.exp(-time_s / 1500.0) + 0.2 * rng.normal()
            made.append((1, side, 0, time_s, float(degc)))
    return table(made, Walk(ambient_degc=stated_degc))


def test_record_that_settles_elsewhere_is_said_corner_by_corner():
    notes = told(long_record(33.0)).notes
    assert len(notes) == 2
    for corner, note in zip(("1L", "1R"), notes, strict=True):
        assert note.startswith(
            f"{corner} does not settle towards the stated 18 °C: by itself it would settle at "
        )
        level = float(note.split("settle at ")[1].split(" °C")[0])
        tau_s = float(note.split("time constant ")[1].split(" s")[0])
        assert level == pytest.approx(33.0, abs=1.5)  # of 0.2 K noise and one hour: well within
        assert tau_s == pytest.approx(1500.0, rel=0.05)
    assert told(long_record(18.0)).notes == ()


def test_short_record_pulled_away_from_the_ambient_asks_to_check_it():
    """The ambient fitted lies more than three of its sigmas away; no record is long enough to settle it."""
    judged = judge(walked(VAN_K), LIGHT)
    for shift, said in ((6.1, 1), (-6.1, 1), (5.9, 0), (None, 0)):
        one = tell(replace(judged, digest=replace(judged.digest, ambient_shift_k=[shift])), 0)
        assert len(one.notes) == said
        if said:
            assert f"settle towards {18 + shift:.0f} °C rather than the stated 18 °C" in one.notes[0]
            assert "right within 2 K" in one.notes[0]
    surer = replace(judged.readings, cases=(replace(judged.readings.cases[0], ambient_sigma_k=1.0),))
    close = replace(judged, readings=surer, digest=replace(judged.digest, ambient_shift_k=[3.1]))
    assert len(tell(close, 0).notes) == 1


def test_what_was_said_before_the_fit_comes_first():
    judged = judge(walked(VAN_K), LIGHT)
    lost = replace(judged.fits, converged=np.array([False]))
    notes = tell(replace(judged, fits=lost, case_notes=(("of the surface",),)), 0).notes
    assert notes[0] == "of the surface"
    assert len(notes) == 2


def test_fit_that_did_not_settle_is_said():
    judged = judge(walked(VAN_K), LIGHT)
    lost = replace(judged, fits=replace(judged.fits, converged=np.array([False])))
    assert tell(lost, 0).notes == ("the fit did not settle: treat every number of this vehicle with doubt",)
    assert told(table([])).notes == ()
