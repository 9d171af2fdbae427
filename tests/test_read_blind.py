"""No reading that was taken or tried vanishes: Case.blind, Case.seen and the codes of what was set aside.

All logs are invented; what each cell must come to follows from the table in docs/log-format.md.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from readcases import PLAIN, check_counts, read, workbook

from thermlog.reading.gathered import LogReadings
from thermlog.words.errors import LogRefusedError

HEAD = "time_s,position,temp_c\n"


def blind(found: LogReadings, case: int = 0) -> list[tuple[str, int, str | None, str]]:
    check_counts(found)
    return [(one.code, one.line, one.corner, one.quoted) for one in found.readings.cases[case].blind]


def seen(found: LogReadings, case: int = 0) -> list[tuple[str, str | None]]:
    return [(one.code, one.corner) for one in found.readings.cases[case].seen]


def test_a_log_without_trouble_has_nothing_blind() -> None:
    assert (blind(read(PLAIN)), seen(read(PLAIN))) == ([], [])


# ---- wheels nobody knows --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("word", "code", "guess"),
    [
        ("LFX", "unknown_wheel", "LF"),
        ("front lefft", "unknown_wheel", "FL"),
        ("axle 3 lefft", "unknown_wheel", "axle 3 left"),
        ("left", "unclear_wheel", None),
        ("7", "unclear_wheel", None),
        ("", "no_wheel", None),
    ],
)
def test_a_wheel_nobody_knows_is_set_aside_and_blind(word: str, code: str, guess: str | None) -> None:
    found = read(f"{PLAIN}40,{word},95\n")
    assert blind(found) == [("unknown_wheel", 6, None, word)]
    aside = found.record.set_aside[0]
    assert (aside.code, aside.corner) == (code, None)
    if guess is not None:
        assert f"did you mean {guess}?" in aside.reason


def test_the_guess_speaks_the_language_of_the_file() -> None:
    text = "Zeit (s);Rad;Temperatur (°C)\n0;VL;80,5\n10;VR;81,0\n20;HL;70\n30;HE;99\n"
    found = read(text)
    assert blind(found) == [("unknown_wheel", 5, None, "HE")]
    assert "did you mean HR?" in found.record.set_aside[0].reason  # HL is read already


def test_where_no_word_is_near_the_one_wheel_left_over_is_guessed() -> None:
    found = read(HEAD + "0,FL,80\n10,FR,81\n20,RL,70\n30,zzz,99\n")
    assert "did you mean RR?" in found.record.set_aside[0].reason


def test_an_unknown_wheel_without_a_vehicle_belongs_to_every_case_it_may_be_of() -> None:
    found = read(
        "vehicle,drive,time_s,position,temp_c\n"
        "A,normal,0,FL,80\nB,normal,0,FL,80\nB,coast,0,FR,82\n,normal,50,QQ,99\nB,normal,3,ZZ,88\n"
    )
    of = {(c.vehicle, c.drive): [b.quoted for b in c.blind] for c in found.readings.cases}
    assert of["A", "normal"] == ["QQ"]
    assert of["B", "normal"] == ["QQ", "ZZ"]
    assert of["B", "coast"] == []


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_a_column_of_temperatures_under_a_strange_heading_is_a_wheel(delimiter: str) -> None:
    rows = ["time_s,FL (C),FR (C),LFX (C)", "0,85,84,95", "240,80,79,91"]
    found = read("\n".join(rows).replace(",", delimiter) + "\n")
    assert blind(found) == [("unknown_wheel", 2, None, "LFX"), ("unknown_wheel", 3, None, "LFX")]
    assert (found.record.rows_read, found.record.rows_used) == (6, 4)


def test_a_strange_heading_beside_wheels_with_times_of_their_own() -> None:
    found = read("FL time,FL (C),FR time,FR (C),third\n0,85,12,84,99\n240,80,251,79,96\n")
    assert [one[:3] for one in blind(found)] == [("unknown_wheel", 2, None), ("unknown_wheel", 3, None)]


def test_a_round_nobody_can_place_in_time_keeps_its_wheels() -> None:
    found = read("wheel,0 min,4 min,later\nFL,80 C,79 C,77 C\nFR,85 C,84 C,83 C\n")
    assert blind(found) == [("set_aside", 2, "1L", "later"), ("set_aside", 3, "1R", "later")]
    assert 'one column of temperatures under no time known here: "later"' in found.record.notes


def test_a_second_header_is_no_reading_but_the_rows_below_are() -> None:
    found = read(PLAIN + "\ntime_s,FL (C),FR (C)\n90,80,81\n")
    assert (found.record.set_aside, found.record.rows_used) == ((), 6)
    assert blind(found) == []


@pytest.mark.parametrize(
    ("heading", "cells"),
    [
        ("mood", ("good", "bad", "good")),  # words
        ("marks", ("3", "1", "2")),  # far below every wheel
        ("step", ("50", "60", "70")),  # counts in even steps
        ("tyre pressure", ("95", "97", "91")),
        ("engine", ("95", "97", "91")),
        ("average", ("81", "82", "79")),
    ],
)
def test_columns_that_hold_other_things_are_no_wheels(heading: str, cells: tuple[str, ...]) -> None:
    body = "".join(f"{60 * k},8{k},84,{cell}\n" for k, cell in enumerate(cells))
    found = read(f"time_s,FL (C),FR (C),{heading}\n{body}")
    assert blind(found) == []
    assert found.record.rows_read == 6
    assert f'one column not used: "{heading}"' in found.record.notes


def test_a_mean_is_no_reading_of_a_wheel() -> None:
    assert [one[3] for one in blind(read(PLAIN + "40,XY max,75\n"))] == ["XY max"]  # a wheel's all the same
    found = read(PLAIN + "40,Mittelwert,75\n")
    assert [one.code for one in found.record.set_aside] == ["summary"]
    assert blind(found) == []


# ---- marks and words for no temperature -----------------------------------------------------------------

OVER = [
    "OL",
    "O.L",
    "OVER",
    "HI",
    "HHH",
    ">500",
    "out of range",
    "zu hoch",
    "trop haut",
    "fuori scala",
    "OL °C",
]
UNDER = ["LO", "UNDER", "<20", "zu niedrig", "te laag"]
NONE = [
    "---",
    "----",
    "–",
    "Err",
    "E1",
    "Err 3",
    "n/a",
    "",
    "nan",
    "Fehler",
    "sin lectura",
    "cold",
]


@pytest.mark.parametrize(
    ("cell", "code"),
    [
        *((cell, "over_range") for cell in OVER),
        *((cell, "under_range") for cell in UNDER),
        *((cell, "no_value") for cell in NONE),
        *((cell, "felt_hot") for cell in ("hot", "heiß")),
    ],
)
def test_a_mark_is_a_reading_that_was_tried(cell: str, code: str) -> None:
    found = read(f"{PLAIN}40,RR,{cell}\n")
    assert blind(found) == [(code, 6, "2R", cell)]
    assert found.record.set_aside[0].corner == "2R"


@pytest.mark.parametrize("cell", [cell for cell in (*OVER, *UNDER) if cell])
def test_marks_mean_the_same_in_a_column_a_wheel(cell: str) -> None:
    found = read(f"time_s;FL (°C);FR (°C)\n0;85,5;84,0\n240;80,5;{cell}\n")
    assert blind(found) == [("over_range" if cell in OVER else "under_range", 3, "1R", cell)]


def test_marks_in_a_workbook() -> None:
    cells: list[list[object]] = [
        ["time_s", "position", "temp_c"],
        [0, "FL", 80],
        [9, "FR", "OL"],
        [12, "XFR", 99],
    ]
    assert blind(read(workbook(cells))) == [("over_range", 3, "1R", "OL"), ("unknown_wheel", 4, None, "XFR")]


def test_an_empty_cell_among_filled_ones_is_a_wheel_passed_over() -> None:
    wide = read("time_s,FL (C),FR (C),RL (C),RR (C)\n0,85,84,61,\n240,80,,58,\n")
    assert blind(wide) == [("no_value", 2, "2R", ""), ("no_value", 3, "1R", ""), ("no_value", 3, "2R", "")]
    rounds = read("wheel,0 min,4 min\nFL,80 C,OL\nFR,85 C,\nRL,,\nRR,70 C,69 C\n")
    assert blind(rounds) == [
        ("over_range", 2, "1L", "OL"),
        ("no_value", 3, "1R", ""),
        ("no_value", 4, "2L", ""),
    ]


def test_cells_filled_one_by_one_are_not_passed_over() -> None:
    """Less than half of the wheels at a moment: the gun went from one to the next."""
    log = "time_s,FL (C),FR (C),RL (C),RR (C)\n0,85,,,\n9,,84,,\n20,,,60,\n31,,,,61\n"
    assert blind(read(log)) == []


@pytest.mark.parametrize("rows", ["0,85,,,\n9,,84,,\n", "0,85,84,,\n9,80,79,,\n"])
def test_columns_nobody_filled_are_wheels_nobody_read(rows: str) -> None:
    found = blind(read("time_s,1L (C),1R (C),2L (C),2R (C)\n" + rows))
    assert found == [("no_value", 2, "2L", ""), ("no_value", 2, "2R", "")]


# ---- set aside for other reasons ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("row", "code", "quoted"),
    [
        ("40,RR,2000", "impossible", "2000"),
        ("soon,RR,75", "time", "soon"),
        ("40,RR,80?", "unit", "80?"),
        ("RR,75", "row_shape", "RR | 75"),
    ],
)
def test_any_other_reading_set_aside_keeps_its_corner(row: str, code: str, quoted: str) -> None:
    found = read(f"{PLAIN}{row}\n")
    assert blind(found) == [("set_aside", 6, "2R", quoted)]
    assert [(one.code, one.corner) for one in found.record.set_aside] == [(code, "2R")]


def test_words_nobody_knows_in_place_of_a_temperature_keep_their_corner() -> None:
    found = read(f"{PLAIN}40,RR,eighty\n")
    assert blind(found) == [("unread_cell", 6, "2R", "eighty")]
    assert [(one.code, one.corner) for one in found.record.set_aside] == [("not_a_number", "2R")]


def test_a_row_of_another_shape_with_figures_may_be_of_any_wheel() -> None:
    assert blind(read(PLAIN + "99;FR79\n")) == [("set_aside", 6, None, "99;FR79")]
    assert blind(read(PLAIN + "checked twice\n")) == []


def test_a_repeat_and_the_air_are_not_blind() -> None:
    found = read(PLAIN + "30,RR,71\n40,ambient,18\n")
    assert [one.code for one in found.record.set_aside] == ["repeat", "air"]
    assert blind(found) == []


@given(
    st.lists(
        st.sampled_from(["OL", "LO", "---", "eighty", "80", "81.5", "2000", ""]), min_size=1, max_size=12
    )
)
def test_every_reading_is_used_or_blind(cells: list[str]) -> None:
    text = PLAIN + "".join(f"{40 + k},RR,{cell}\n" for k, cell in enumerate(cells))
    found = read(text)
    used = set(found.readings.line.tolist())
    assert used | {line for _, line, _, _ in blind(found)} == set(range(2, 6 + len(cells)))


# ---- what was seen --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("smoke", [("smoke", None)]),
        ("smoke at RF", [("smoke", "1R")]),
        ("smoke at RF and LR, burning smell", [("smoke", "1R"), ("smoke", "2L"), ("smell", None)]),
        ("Rauch an HL", [("smoke", "2L")]),
        ("fumée, odeur de brûlé", [("smoke", None), ("smell", None)]),
        ("glowing; fire at FL", [("glow", None), ("flame", "1L")]),
        ("rook bij 2L", [("smoke", "2L")]),
        ("no smoke", []),
        ("glowing red RF", [("glow", "1R")]),
        ("sparks at RF", [("sparks", "1R")]),
        ("Funken vorne rechts", [("sparks", "1R")]),
        ("étincelles AVD", [("sparks", "1R")]),
        ("steam RF", [("steam", "1R")]),
        ("tyre blown RF", [("burst", "1R")]),
        ("grease running out RF", [("grease", "1R")]),
        ("Fett tritt aus HL", [("grease", "2L")]),
        ("nothing", []),
    ],
)
def test_header_says_what_was_seen(said: str, expected: list[tuple[str, str | None]]) -> None:
    found = read(f"# seen: {said}\n{PLAIN}")
    assert seen(found) == expected
    assert seen(read(PLAIN, seen=(said,))) == expected
    assert not [note for note in found.record.notes if "seen" in note]


def test_seen_may_be_stated_in_several_lines_and_unknown_words_are_noted() -> None:
    found = read(f"# seen: smoke\n# seen: mist\n# seen: glow at door\n{PLAIN}")
    assert seen(found) == [("smoke", None), ("glow", None)]
    assert found.record.notes[0].startswith('line 2: "mist" is nothing thermlog knows as seen')
    assert 'seen: glow at "door", which names no wheel known here' in found.record.notes


@pytest.mark.parametrize(
    ("words", "guess"),
    [("smoak at RF", "did you mean smoke?"), ("sprks", "did you mean sparks?"), ("puddle RF", None)],
)
def test_what_was_seen_in_words_nobody_knows_is_blind(words: str, guess: str | None) -> None:
    found = read(f"# seen: {words}\n{PLAIN}")
    assert (seen(found), blind(found)) == ([], [("unread_sight", 1, None, words.lower())])
    (note,) = [note for note in found.record.notes if "nothing thermlog knows as seen" in note]
    assert guess in note if guess else "did you mean" not in note


@pytest.mark.parametrize("words", ["no smoke", "all ok", "RF normal", "alles in Ordnung", "n/a", "none"])
def test_words_for_nothing_seen_leave_nothing_blind(words: str) -> None:
    found = read(f"# seen: {words}\n{PLAIN}")
    assert (seen(found), blind(found)) == ([], [])


def test_strange_words_in_a_column_stay_with_their_vehicle() -> None:
    found = read("vehicle,time_s,position,temp_c,seen\nA,0,FL,80,mist\nB,0,FL,80,\n")
    assert (blind(found, 0), blind(found, 1)) == ([("unread_sight", 2, None, "mist")], [])


@pytest.mark.parametrize("note", ["spark plugs replaced", "steam cleaned", "greased the pins", "blown fuse"])
def test_a_note_of_work_is_nothing_seen(note: str) -> None:
    assert seen(read(f"time_s,position,temp_c,note\n0,FL,80,{note}\n30,FR,81,\n")) == []


def test_the_place_is_read_in_the_language_of_the_file() -> None:
    text = "# seen: rook LA\ntime_s,position,temp_c\n0,LV,80\n10,RV,81\n20,LA,70\n30,RA,71\n"
    assert seen(read(text, language="dutch")) == [("smoke", "2L")]


def test_columns_of_notes_and_of_what_was_seen() -> None:
    found = read(
        "time_s,position,temp_c,note,seen\n0,FL,80,new pads,\n9,FR,OL,smoke here,\n"
        "20,RL,70,glow plug replaced,smell\n30,RR,71,no smoke,mist\n"
    )
    assert seen(found) == [("smoke", "1R"), ("smell", "2L")]
    assert [note for note in found.record.notes if "mist" in note]


def test_a_note_beside_a_column_a_wheel_is_of_the_vehicle() -> None:
    found = read("time_s,FL (C),FR (C),note\n0,85,84,smoke\n240,80,79,glowing at FR\n")
    assert seen(found) == [("smoke", None), ("glow", "1R")]


@pytest.mark.parametrize(
    ("note", "corner"),
    [
        ("a lot of smoke from RF after the stop", "1R"),
        ("smoke as usual", "2R"),  # "as" is a wheel in Italian, not in this log
        ("smoke at the door", "2R"),
    ],
)
def test_a_remark_names_the_wheel_of_its_row_or_another(note: str, corner: str) -> None:
    found = read(f'time_s,position,temp_c,note\n0,FL,80,\n9,FR,81,\n30,RR,71,"{note}"\n')
    assert seen(found) == [("smoke", corner)]
    assert [note.split(";")[0].split(" is ")[1] for note in found.record.notes] == ["taken for smoke"]


def test_a_line_below_the_table_is_heard_too() -> None:
    assert seen(read(PLAIN + "smoke at LR\n")) == [("smoke", "2L")]


def test_what_was_seen_stays_with_its_vehicle() -> None:
    found = read("vehicle,time_s,position,temp_c,note\nA,0,FL,80,smoke\nB,0,FL,80,\n")
    assert (seen(found, 0), seen(found, 1)) == ([("smoke", "1L")], [])


def test_a_log_of_nothing_but_marks_is_refused_by_the_first() -> None:
    with pytest.raises(LogRefusedError, match="may be the hottest wheel"):
        read(HEAD + "0,FL,OL\n9,FR,---\n")


# ---- spots ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("word", "spot"),
    [
        ("rim", "rim"), ("Felge", "rim"), ("jante", "rim"), ("cerchione", "rim"), ("velg", "rim"),
        ("tyre", "tyre_outer"), ("Reifen", "tyre_outer"), ("pneu", "tyre_outer"), ("opona", "tyre_outer"),
        ("caliper", "caliper"), ("remklauw", "caliper"), ("hub", "hub"), ("mozzo", "hub"), ("naaf", "hub"),
    ],
)  # fmt: skip
def test_spots_beside_the_brake_have_their_usual_words(word: str, spot: str) -> None:
    found = read(f"time_s,position,temp_c,spot\n0,FL,80,{word}\n9,FR,81,{word}\n")
    assert found.readings.frame()["spot"].tolist() == [spot, spot]
