"""Whole logs: the plain one, its layouts, its decimal marks and units."""

from __future__ import annotations

import gzip
import math

import pytest
from readcases import PLAIN, read, rows

from thermlog.reading.read import read_content
from thermlog.words.errors import LogRefusedError

DEGC = [80.5, 81.0, 70.0, 71.0]


# ---- the plain log --------------------------------------------------------------------------------------


def test_the_simplest_log() -> None:
    found = read(PLAIN)
    assert rows(found) == [(0.0, "1L", 80.5), (10.0, "1R", 81.0), (20.0, "2L", 70.0), (30.0, "2R", 71.0)]
    assert found.readings.line.tolist() == [2, 3, 4, 5]
    assert (found.record.rows_read, found.record.rows_used, found.record.set_aside) == (4, 4, ())
    assert found.record.notes == ()
    assert found.record.file == "log.csv"
    case = found.readings.cases[0]
    assert (case.vehicle, case.drive, case.ambient_degc, case.parked_known) == (None, None, None, False)
    assert case.log is found.record


def test_what_was_understood_is_said_in_words() -> None:
    said = read(PLAIN).understood
    assert (said.encoding, said.delimiter, said.decimal, said.layout) == (
        "UTF-8",
        "comma",
        "point",
        "a row a reading",
    )
    assert said.columns == {"time": "time_s", "position": "position", "temperature": "temp_c"}
    assert (said.unit, said.time) == ("°C", "seconds")


def test_the_hash_is_that_of_the_bytes_given() -> None:
    # sha256 of b"" is published in FIPS 180-4 examples; here it is enough that gzip content has its own
    packed = gzip.compress(PLAIN.encode(), mtime=0)
    assert read(packed).record.sha256 != read(PLAIN).record.sha256
    assert rows(read(packed)) == rows(read(PLAIN))


@pytest.mark.parametrize(
    "text",
    [
        PLAIN.replace("\n", "\n\n"),
        PLAIN.rstrip("\n"),
        PLAIN + "\n\n",
        PLAIN.replace("\n", "\r\n"),
        PLAIN.replace(",", ", "),
        PLAIN.replace("\n", ",\n"),
        "\n\n" + PLAIN,
        "sep=,\n" + PLAIN,
        "# a remark\n" + PLAIN.replace("10,FR", "# in between\n10,FR"),
        PLAIN.replace(",", " "),
        PLAIN.replace(",", "    "),
        PLAIN.replace(",", "\t"),
        PLAIN.replace(",", "|"),
    ],
)
def test_dress_changes_nothing(text: str) -> None:
    assert rows(read(text)) == rows(read(PLAIN))


# ---- layouts --------------------------------------------------------------------------------------------


def test_a_column_a_wheel_counts_each_filled_cell() -> None:
    found = read("time_s,FL (°C),FR (°C),RL (°C),RR (°C)\n0,80,81,70,71\n60,79,,69,OL\n")
    assert rows(found)[:4] == [(0.0, "1L", 80.0), (0.0, "1R", 81.0), (0.0, "2L", 70.0), (0.0, "2R", 71.0)]
    assert (found.record.rows_read, found.record.rows_used) == (7, 6)
    assert [(s.line, s.column, s.value) for s in found.record.set_aside] == [(3, "RR (°C)", "OL")]


def test_a_time_column_beside_each_wheel() -> None:
    found = read("FL time,FL,FR time,FR\n0,80 C,10,81 C\n60,78 C,70,77 C\n")
    assert rows(found) == [(0.0, "1L", 80.0), (10.0, "1R", 81.0), (60.0, "1L", 78.0), (70.0, "1R", 77.0)]
    assert found.understood.layout == "a time column beside each wheel column"


def test_a_row_a_wheel_with_times_in_the_headings() -> None:
    found = read("wheel,14:03,14:08\nFL,80 C,79 C\nFR,81 C,78 C\n")
    assert rows(found) == [(0.0, "1L", 80.0), (0.0, "1R", 81.0), (300.0, "1L", 79.0), (300.0, "1R", 78.0)]
    assert ["read as hours first" in note for note in found.record.notes] == [True]


def test_a_row_a_wheel_with_a_time_column_for_each_round() -> None:
    found = read("wheel,time 1 (s),temp 1,time 2 (s),temp 2\nFL,0,80 C,300,79 C\nFR,9,81 C,309,78 C\n")
    assert sorted(rows(found)) == [
        (0.0, "1L", 80.0),
        (9.0, "1R", 81.0),
        (300.0, "1L", 79.0),
        (309.0, "1R", 78.0),
    ]


def test_rounds_without_times_are_kept_without_times() -> None:
    found = read("wheel,round 1,round 2\nFL,80 C,79 C\nFR,81 C,78 C\n")
    assert found.record.rows_used == 4
    assert all(math.isnan(t) for t in found.readings.elapsed_s.tolist())
    assert "cannot be compared in time" in found.record.notes[-1]


def test_axle_and_side_in_columns_of_their_own_with_the_unit_of_the_combination() -> None:
    found = read("t_s,part,axle,side,temp_c\n0,tractor,1,L,80\n9,tractor,2,R,81\n20,trailer,1,left,70\n")
    assert [corner for _, corner, _ in rows(found)] == ["1L", "2R", "3L"]


def test_no_header_is_told_by_the_cells_or_refused() -> None:
    clock = "14:03:10,FL,80 C\n14:03:20,FR,81 C\n14:03:30,RL,70 C\n14:03:40,RR,71 C\n"
    assert rows(read(clock))[1] == (10.0, "1R", 81.0)
    falling = "0,FL,85\n14,FR,84\n20,RL,70\n33,RR,71\n"
    assert rows(read(falling, unit="C"))[1] == (14.0, "1R", 84.0)
    for unsure in ("0,FL,85\n1,FR,84\n2,RL,70\n3,RR,69\n", "0,FL,65\n14,FR,74\n20,RL,80\n33,RR,91\n"):
        with pytest.raises(LogRefusedError, match="--columns"):
            read(unsure, unit="C")


def test_header_spread_over_two_lines_with_merged_cells() -> None:
    found = read("Time (s),Front,,Rear,\n,Left,Right,Left,Right\n0,80,81,70,71\n", unit="C")
    assert [corner for _, corner, _ in rows(found)] == ["1L", "1R", "2L", "2R"]


def test_rows_of_readings_never_become_header() -> None:
    """Two rows of wheels would join to headings that look like a table with a column a wheel."""
    with pytest.raises(LogRefusedError):
        read("x,2031-13-45T1,y\nLV,220.0 C,220.0 C\nRV,220.0 C,220.0 C\n")


def test_rows_of_another_table_never_join_to_a_header() -> None:
    """Words like drive, van and temperature stand in lists of files too."""
    listing = "file,what\nvan.csv,front left temp\ntruck.csv,rear drive time\nbus.csv,position 1L\n"
    with pytest.raises(LogRefusedError, match="--columns"):
        read(listing)


def test_lines_before_the_table_may_state_keys_too() -> None:
    found = read(
        "Report;;\nVehicle;van 7;\nAmbient;18,5 C;\n;;\ntime_s;position;temp_c\n0;FL;80,5\n10;FR;81,0\n"
    )
    case = found.readings.cases[0]
    assert (case.vehicle, case.ambient_degc) == ("van 7", 18.5)


# ---- decimal marks and units ----------------------------------------------------------------------------


def test_semicolons_with_decimal_commas_are_never_read_ten_times_too_high() -> None:
    text = "time_s;position;temp_c\n0;FL;80,5\n12,5;FR;81,0\n"
    assert rows(read(text)) == [(0.0, "1L", 80.5), (12.5, "1R", 81.0)]
    assert read(text).understood.decimal == "comma"


def test_the_same_readings_in_three_units() -> None:
    f = "# ambient: 35 F\ntime_s,position,temp_f\n0,FL,212\n10,FR,32\n"
    k = "# ambient: 1 C\ntime_s,position,temp (K)\n0,FL,373.15\n10,FR,273.15\n"
    for text in (f, k):
        # water's points: exact by the definitions of the scales, to float64 rounding
        assert read(text).readings.indicated_degc.tolist() == pytest.approx([100.0, 0.0], abs=1e-10)


def test_units_beside_each_reading_may_differ() -> None:
    cells = read("time_s,position,temp\n0,FL,100 °C\n10,FR,212 °F\n20,RL,373.15 K\n")
    column = read("time_s,position,temp,unit\n0,FL,100,C\n10,FR,212,F\n20,RL,373.15,kelvin\n")
    for found in (cells, column):
        assert found.readings.indicated_degc.tolist() == pytest.approx([100.0] * 3, abs=1e-10)


def test_a_log_without_unit_is_refused_unless_something_settles_it() -> None:
    bare = PLAIN.replace("temp_c", "temp")
    with pytest.raises(LogRefusedError, match="--unit C"):
        read(bare)
    assert read(bare, unit="C").readings.indicated_degc.tolist() == DEGC
    assert read("# ambient: 18 C\n" + bare).readings.indicated_degc.tolist() == DEGC
    assert read("# unit: C\n" + bare).readings.indicated_degc.tolist() == DEGC
    # 22 °F is -5.6 °C, far below air at 20 °C; 22 K likewise
    assert read(bare.replace("70", "22"), ambient_degc=20.0).readings.indicated_degc.tolist()[2] == 22.0


def test_an_ambient_in_a_unit_the_readings_contradict_does_not_settle_theirs() -> None:
    """20 to 31 °F would be far below air at 64 °F, which is 17.8 °C: only °C is left, and that is said."""
    found = read("# ambient: 64 F\n" + PLAIN.replace("temp_c", "temp").replace("7", "2").replace("8", "3"))
    assert found.readings.indicated_degc.tolist() == [30.5, 31.0, 20.0, 21.0]
    assert "impossible in °F and K beside air at 17.78 °C" in found.record.notes[0]


def test_decimal_commas_in_headings_do_not_pass_for_delimiters() -> None:
    """The commas alone would cut this into a position column and two rounds."""
    found = read("wiel;0,0 min;0,4 min\nFL;80 C;79 C\nFR;81 C;78 C\n")
    assert rows(found) == [(0.0, "1L", 80.0), (0.0, "1R", 81.0), (24.0, "1L", 79.0), (24.0, "1R", 78.0)]


def test_comments_among_the_readings_change_no_reading():
    cells = [f"{10 * k},{1 + k % 2}{'LR'[k // 2 % 2]},{90 - k}" for k in range(8)]
    plain = ["time_s,position,temp_c", *cells]
    among = [*plain[:4], "# remark: a gust", "", *plain[4:], "# remark: the end", ""]
    one, other = (
        read_content("\n".join(lines).encode(), file="log.csv").readings for lines in (plain, among)
    )
    assert other.indicated_degc.tolist() == one.indicated_degc.tolist()
    assert other.elapsed_s.tolist() == one.elapsed_s.tolist()
    assert other.line.tolist() == [2, 3, 4, 7, 8, 9, 10, 11]
