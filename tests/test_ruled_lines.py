"""Lines drawn into a table say nothing: a healthy walk is cleared, and a dash for a reading is none."""

from __future__ import annotations

import pytest
from readcases import read

# A healthy car, twice round, in air of 16 °C (own simple cooling, 1000 s).
ROWS = (
    (20, "FL", 121), (35, "FR", 117), (50, "RL", 73), (65, "RR", 74),
    (320, "RR", 61), (335, "RL", 59), (350, "FR", 90), (365, "FL", 91),
)  # fmt: skip


def log(head: str, form: str, *, under: str = "", below: str = "") -> str:
    rows = "".join(form.format(*one) + "\n" for one in ROWS)
    return f"# ambient: 16 C\n{head}\n{under}{rows}{below}"


@pytest.mark.parametrize(
    "text",
    [
        log("| time_s | wheel | temp_c |", "| {} | {} | {} |", under="|---|:---:|---:|\n"),
        log("time_s  wheel  temp_c", "{}  {}  {}", under="------  -----  ------\n"),
        log("time_s;wheel;temp_c", "{};{};{}", under="------;-----;------\n", below="======;=====;======\n"),
        log("time_s,wheel,temp_c", "{},{},{}", under="----,----,----\n", below="------------\n"),
        log("time_s,wheel,temp_c,note", "{},{},{},", under="----,----,----,\n"),
    ],
)
def test_a_line_drawn_under_the_headings_is_no_wheel(thermlog, tmp_path, text) -> None:
    found = read(text)
    assert (found.record.rows_used, found.record.set_aside) == (8, ())
    path = tmp_path / "walk.csv"
    path.write_text(text, encoding="utf-8")
    assert thermlog("check", str(path)).code == 0


@pytest.mark.parametrize("row", ["400,RL,---", "---,RL,60", "400,---,60", "-,-,-"])
def test_dashes_beside_anything_else_are_a_reading_that_tells_nothing(row) -> None:
    """A wheel that was named, or a figure nobody can place, is never passed over; nor is a single dash."""
    found = read(log("time_s,wheel,temp_c", "{},{},{}", below=row + "\n"))
    assert len(found.record.set_aside) == 1
