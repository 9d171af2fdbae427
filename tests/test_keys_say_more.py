"""A key that thermlog knows, and a value in which somebody says more of the brakes than the key asks for.

"brakes: RR seized" is no kind of brake and was a note beside "Keep this log as the record of today". All
figures are those of a sound vehicle; what a careful technician accepts was written before any was run.
Common practice, no source.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from judgedtext import words_and_step
from test_asked_columns import with_line

OPEN = [
    "parking brake: stuck on", "parking brake: left on", "brakes: RR seized", "brakes: poor",
    "brakes: disc, RR binding", "brakes: pulling left", "drive: normal but dragging", "drive: 100 m",
    "drive: 0.2 km", "drive: not yet", "drive: pushed by hand", "drive: brake fade on descent",
    "recorrido: ninguno", "weather: raining, RR steaming", "place: roadside, wheel on fire",
    "odometer: 123 km, ABS light on", "axles: steer drive, RR bearing gone", "gun: on hold",
    "gun: flat battery", "gun: lens dirty", "repair: RR caliper stuck, not mended",
    "repair: RR brake disconnected until parts arrive", "repair: hose RR clamped off",
    "vehicle: van 7, RR smoking", "vehicle: van 7 RR smoking", "vehicle: van 7 RR seized",
    "vehicle: Bus 3 - VL raucht", "vehicle: van 7; rear left glowing", "technician: JB (RR not read)",
]  # fmt: skip
WEIGHED = [
    "parking brake: on", "Handbremse: angezogen", "unbraked: RR", "emissivity: RR 0.3", "spot: varied",
    "spot: RR tyre, others brake", "distance: too far", "repair: still to do: RR caliper",
    "note: see back of sheet", "note: siehe Rückseite", "spot: not sure",
    "technician: JB, RR hot!", "vehicle: van 7, RR squeals",
]  # fmt: skip
CLEAR = [
    "parking brake: 2", "parking brake: rear", "parking brake: off", "handbrake: ok", "brakes: disc drum",
    "brakes: all good", "drive: normal", "drive: before", "drive: 12 km",
    "drive: 20 min town", "drive: downhill 10 km",
    "weather: hot", "place: fire station", "gun: e=0.95", "gun: borrowed", "unit: C", "distance: 0.4 m",
    "spot: disc", "repair: none", "repair: new pads all round", "repair: caliper RR stuck, replaced",
    "note: -", "odometer: 123,456 km", "date: 4 May 2031", "technician: JB", "split: diagonal",
    "weight: light", "traffic: left", "vehicle: fire engine 3", "vehicle: VL 12 Feuerwehr",
    "vehicle: unit 3, LR", "vehicle: van 7 (rear axle)",
    "vehicle: van 7, long wheelbase", "technician: R. R. Burns", "technician: Burns RR", "gun: LF 2000",
]  # fmt: skip


@pytest.fixture
def told(thermlog):
    """Exit code, the words of both answers, and what to do next."""

    return lambda line: words_and_step(thermlog, with_line(line))


@pytest.mark.parametrize("line", OPEN)
def test_what_is_said_under_a_key_is_heard(told, line):
    code, words, _ = told(line)
    assert (code, "cannot_tell" in words) == (1, True)


@pytest.mark.parametrize("line", WEIGHED)
def test_what_no_rule_reads_under_a_key_is_weighed_first(told, line):
    assert told(line) == (0, {"no"}, "weigh_remark")


@pytest.mark.parametrize("line", CLEAR)
def test_a_plain_value_asks_for_nothing(told, line):
    assert told(line) == (0, {"no"}, "keep_record")


def test_a_repair_that_was_not_done_explains_nothing(thermlog):
    """ "not mended" is no work, though it has the word in it."""
    Path("before.csv").write_text(with_line("vehicle: van").replace(",81.7", ",171.7"), encoding="utf-8")
    hot = Path("before.csv").read_text("utf-8").replace(",74.1", ",156.1").replace(",66.8", ",141.8")
    Path("before.csv").write_text(hot, encoding="utf-8")
    after = with_line("repair: RR caliper stuck, not mended").replace(
        "# ambient", "# vehicle: van\n# ambient"
    )
    Path("after.csv").write_text(after, encoding="utf-8")
    assert thermlog("compare", "before.csv", "after.csv").code == 1


def test_a_sign_in_a_line_among_the_rows_counts(told, thermlog):
    """The same line below the table as above it."""
    Path("walk.csv").write_text(with_line("thanks") + "RR 🔥\n", encoding="utf-8")
    assert thermlog("check", "walk.csv").code == 1
    assert told("thanks")[0] == 0
