"""Readings noted as a list on a phone, units with more letters, wide figures: all that were refused.

The walk is invented: four wheels, three rounds, sound and even. Times and figures are those of `WALK`.
"""

from __future__ import annotations

import pytest
from readcases import outcome, read

from thermlog.reading.cells import unit_word
from thermlog.reading.times.cell import parse_time
from thermlog.words.errors import LogRefusedError

ABOVE = "air 16 C\nparked 10:02:00\n"
WALK = [
    (f"10:{2 + 4 * turn:02d}:{30 + 5 * place:02d}", wheel, start - 12 * turn)
    for turn in range(3)
    for place, (wheel, start) in enumerate({"FL": 130, "FR": 128, "RL": 82, "RR": 84}.items())
]


def listed(line: str, above: str = ABOVE) -> str:
    rows = (line.format(time=t, wheel=w, temp=v, n=k) for k, (t, w, v) in enumerate(WALK, start=1))
    return above + "".join(f"{row}\n" for row in rows)


@pytest.mark.parametrize(
    "line",
    ["- {wheel} {temp} C at {time}", "• {wheel}: {temp} °C at {time}", "• {time} {wheel} {temp} °C",
     "{n}) {wheel} {temp} C {time}", "{n}. {time} {wheel} {temp}C", "* {wheel}: {temp} C @ {time}",
     "☐ {wheel} {temp} C {time}", "→ {time} {wheel} {temp} deg. C", "– {wheel} – {temp} °C – {time}",
     "{time} {wheel} = {temp} C", "{wheel}: {temp} C, {time}", "- {temp} C {wheel} {time}",
     "- {wheel} {temp} Grad um {time} Uhr"],
)  # fmt: skip
def test_each_line_of_a_list_is_a_reading(line: str) -> None:
    found = read(listed(line))
    assert found.readings.indicated_degc.tolist() == [float(value) for _, _, value in WALK]
    assert [found.record.rows_read, found.record.rows_used] == [12, 12]
    assert found.readings.elapsed_s.tolist()[:5] == [30.0, 35.0, 40.0, 45.0, 270.0]  # since 10:02:00
    assert any(note.startswith("no header: a list of readings") for note in found.record.notes)


def test_axles_may_be_counted_and_a_title_may_stand_above() -> None:
    text = listed("• {wheel}: {temp} °C at {time}", f"Brake check\nVan 7\n{ABOVE}")
    for word, axle in (("FL", "axle 1 left"), ("FR", "axle 1 right"), ("RL", "axle 2 left")):
        text = text.replace(word, axle)
    found = read(text)
    assert found.record.rows_used == 12
    assert found.readings.cases[0].vehicle == "Van 7"


@pytest.mark.parametrize("end", ["- RR smoking\n", "RR smoking\n"])
def test_a_line_of_words_in_a_list_is_heard(end: str) -> None:
    found = read(listed("- {wheel} {temp} C {time}") + end)
    assert [(one.code, one.corner) for one in found.readings.cases[0].seen] == [("smoke", "2R")]
    assert [one.line for one in found.record.set_aside] == [15]  # two lines above twelve readings


def test_words_above_a_list_are_heard() -> None:
    found = read("- smoke RF\n" + listed("- {wheel} {temp} C {time}"))
    assert [(one.code, one.corner) for one in found.readings.cases[0].seen] == [("smoke", "1R")]


def test_a_reading_with_words_behind_it_is_set_aside_by_name() -> None:
    found = read(listed("- {wheel} {temp} C {time}") + "- RR OL 10:12:00\n")
    assert (found.record.rows_read, found.record.rows_used) == (13, 12)


def test_a_list_without_times_keeps_its_readings() -> None:
    """Four readings, no time: they cannot be compared in time, which a note says."""
    found = read("air 16 C\n- FL 120 C\n- FR 121 C\n- RL 80 C\n- RR 81 C\n")
    assert found.record.rows_used == 4
    assert any("no times in this log" in note for note in found.record.notes)


@pytest.mark.parametrize(
    "text",
    ["- milk 2\n- eggs 12\n- bread 1\n- flour 3\n- FL 3\n",
     "- FL 2.5 bar\n- FR 2.5 bar\n- RL 2 bar\n- RR 2 bar\n",
     "- FL 120 C\n- FR 121 C\n- RL 80 C\n"],
)  # fmt: skip
def test_another_list_is_refused(text: str) -> None:
    """Things to buy, tyre pressures, and three readings, fewer than two axles have wheels."""
    assert isinstance(outcome(text.encode()), LogRefusedError)


@pytest.mark.parametrize(
    ("word", "unit"),
    [("degrees C", "C"), ("deg. Celsius", "C"), ("deg. C", "C"), ("degree C", "C"), ("°Celsius", "C"),
     ("C°", "C"), ("Grad Celsius", "C"), ("degrés C", "C"), ("grados C", "C"), ("gradi centigradi", "C"),
     ("graden C", "C"), ("stopni Celsjusza", "C"), ("oC", "C"), ("Deg. F", "F"),
     ("degrees Fahrenheit", "F"), ("F.", "F"),
     ("ok", None), ("of", None), ("deg", None), ("Grad", None), ("bar", None), ("cold", None), ("", None)],
)  # fmt: skip
def test_a_unit_in_more_letters(word: str, unit: str | None) -> None:
    assert unit_word(word) == unit


@pytest.mark.parametrize(
    ("text", "seconds"),
    [("14h03:10", 50590.0), ("kl. 14:03:10", 50590.0), ("at 14:03:10", 50590.0), ("um 14:03:10 Uhr", 50590.0),
     ("à 14h03", 50580.0)],
)  # fmt: skip
def test_a_time_of_day_with_its_small_words(text: str, seconds: float) -> None:
    """14 h are 50 400 s."""
    cell = parse_time(text)
    assert cell is not None
    assert cell.value == seconds


@pytest.mark.parametrize("text", ["at noon", "a 14.5", "o 12", "14h03:99"])
def test_small_words_alone_make_no_time(text: str) -> None:
    assert parse_time(text) is None


def test_wide_figures_are_figures() -> None:
    wide = str.maketrans("0123456789.:", "０１２３４５６７８９．：")
    rows = "".join(f"{time},{wheel},{value}.5\n" for time, wheel, value in WALK)
    found = read(f"# air 16 C\ntime,position,temp_c\n{rows.translate(wide)}")
    assert found.readings.indicated_degc.tolist() == [value + 0.5 for _, _, value in WALK]
    assert any("full-width" in note for note in found.record.notes)
