"""What inspect says of a log beside its readings: how it was taken, its pace, and what a check will lack."""

from __future__ import annotations

import pytest
from readcases import PLAIN, read

from thermlog.reports.report_inspect import inspection

HEAD = "time_s,position,temp_c\n"
AIR = "# ambient: 18 C\n"


@pytest.mark.parametrize(
    ("text", "lack"),
    [
        (AIR + HEAD + "0,FL,80\n10,RL,81\n", "only left wheels"),
        (AIR + HEAD + "0,FR,80\n", "one reading: nothing to compare"),
        (PLAIN, "no ambient"),
        (AIR + HEAD + "0,FL,80\n10,FR,81\n20,RL,70\n", "only the left wheel of axle 2"),
        (AIR + "position,temp_c\nFL,80\nFR,81\n", "no times"),
        (AIR + PLAIN, "one reading at"),
    ],
)
def test_what_a_check_will_lack_is_listed(text: str, lack: str) -> None:
    lines = [line for line in inspection(read(text)).splitlines() if "check will lack" in line]
    assert any(lack in line for line in lines)


def test_a_whole_log_lacks_nothing() -> None:
    text = AIR + PLAIN + PLAIN.split("\n", 1)[1].replace("\n", "\n1", 3).replace("0,FL", "100,FL", 1)
    assert "check will lack" not in inspection(read(text))


def test_how_it_was_taken_and_a_pace_nobody_walks_are_shown() -> None:
    page = inspection(
        read("# date: 2031-05-04\n# by: Jo\ntime,position,temp_c\n14:03:10,FL,80\n14:03:10.4,FR,81\n")
    )
    assert "taken: start 2031-05-04T14:03:10, by Jo" in page
    assert "nobody reads the wheels of line 4 and line 5" in page
