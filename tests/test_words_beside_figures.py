"""A figure with words in its cell that leave no doubt of it is read; one that is doubted is set aside.

All logs are invented. What a human reads in each cell was written down before it was run.
"""

from __future__ import annotations

import pytest
from readcases import read


def log(cell: str) -> str:
    return f'# ambient: 16 C\ntime_s,position,temp_c\n15,FL,"{cell}"\n30,FR,117\n45,RR,75\n'


@pytest.mark.parametrize(
    "cell",
    [
        *("~119", "~ 119", "≈119", "ca. 119", "ca 119 °C", "c. 119"),
        *("approx 119", "approx. 119 C", "about 119", "119 approx"),
        *("119 (approx.)", "119~", "etwa 119", "environ 119", "cerca de 119", "około 119", "Circa 119"),
        *("119 ok", "119 OK!", "119 (ok)", "119 good", "119 gut", "119 C ok", "119°, ok"),
        *("119 (hat)", "119(hat)", "119 hat", "119 (disc)", "119 rotor", "119 C (drum)", "119 Scheibe"),
    ],
)  # fmt: skip
def test_words_that_do_not_touch_the_figure_leave_it(cell: str) -> None:
    found = read(log(cell))

    assert found.readings.indicated_degc.tolist() == [119, 117, 75]
    assert any(f'line 3 ("{cell}")' in note for note in found.record.notes)


@pytest.mark.parametrize(
    "cell",
    [
        *("119?", "~119?", "119 ok?", "119/121", "119-121", "~119 or 91", "119 (2nd try)", "119*", "119 max"),
        *(
            "119 not ok",
            "119 no",
            "119 n/a",
            "119 all",
            "119 alles",
            "119 smoking",
            "119 disc smoking",
            "119 hat hot",
        ),
        *(
            "119 (hub)",
            "119 rim",
            "119 tyre",
            "119 (caliper)",
            "about 119 hub",
            "over 119",
            "not 119",
            "~>119",
        ),
    ],
)
def test_any_other_word_sets_the_reading_aside(cell: str) -> None:
    record = read(log(cell)).record

    assert [one.line for one in record.set_aside] == [3]


def test_a_unit_beside_the_words_holds() -> None:
    """212 °F are 100 °C exactly."""
    assert read(
        log("212 F ok").replace("117", "212 F").replace("75", "~212 F")
    ).readings.indicated_degc.tolist() == (pytest.approx([100, 100, 100]))


def test_many_rough_figures_are_one_note() -> None:
    notes = read(log("~119").replace("117", "~117")).record.notes

    assert sum("read roughly" in note for note in notes) == 1
    assert any(note.startswith("2 readings, first in line 3") for note in notes)
