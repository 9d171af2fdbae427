"""Times of whole logs: units in headings, clocks without colons, watches that run back, paces nobody walks.

Every expected time is the walk that was written down: four wheels, two rounds.
"""

from __future__ import annotations

import pytest
from readcases import outcome, read, rows
from timecases import DEGC, WALK_S, WHEELS, clock, log, same

from thermlog.words.errors import LogRefusedError

# ---- units of headings and cells ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("heading", "per_second"),
    [
        ("time_ms", 1e3), ("time (ms)", 1e3), ("Zeit [ms]", 1e3), ("temps (ms)", 1e3), ("tiempo_ms", 1e3),
        ("elapsed milliseconds", 1e3), ("Zeit in Millisekunden", 1e3), ("time (msec)", 1e3),
        ("time (0.1 s)", 10), ("time (1/10 s)", 10), ("time [ds]", 10), ("Zeit (0,1 s)", 10),
        ("time (tenths)", 10), ("time (cs)", 100), ("time (0.01 s)", 100),
        ("time (1/100 s)", 100),
        ("time (µs)", 1e6), ("time_us", 1e6), ("time (μs)", 1e6), ("time_ns", 1e9), ("t [ns]", 1e9),
        ("time (min)", 1 / 60), ("Zeit (Min.)", 1 / 60), ("temps [minutes]", 1 / 60),
        ("tijd (minuten)", 1 / 60),
        ("tempo (minuti)", 1 / 60), ("czas (minuty)", 1 / 60), ("time_h", 1 / 3600), ("Zeit (Std)", 1 / 3600),
        ("heures", 1 / 3600), ("time (days)", 1 / 86400), ("time_d", 1 / 86400), ("Zeit (Tage)", 1 / 86400),
        ("time (s)", 1), ("seconds", 1), ("Zeit [Sek]", 1), ("tiempo (segundos)", 1), ("tid (sekunder)", 1),
    ],
)  # fmt: skip
def test_the_unit_of_a_heading_is_honoured(heading: str, per_second: float) -> None:
    delimiter = ";" if "," in heading else ","
    same(read(log(heading, lambda s: f"{s * per_second:.12g}", delimiter=delimiter)))


@pytest.mark.parametrize("layout", ["wide", "paired"])
def test_the_unit_of_a_heading_is_honoured_in_wide_tables(layout: str) -> None:
    if layout == "wide":
        found = read("time (ms);FL (C);FR (C)\n0;85;84\n240000;80;79\n")
    else:
        found = read("FL time (ms),FL (C),FR time (ms),FR (C)\n0,85,12000,84\n240000,80,252000,79\n")
    assert max(found.readings.elapsed_s.tolist()) == (240.0 if layout == "wide" else 252.0)


@pytest.mark.parametrize("unit", ["ticks", "frames", "jiffies", "ms/10", "Takte", "pulses"])
@pytest.mark.parametrize("form", ["time ({})", "time [{}]", "Zeit ({})"])
def test_a_unit_that_is_not_understood_is_refused(unit: str, form: str) -> None:
    with pytest.raises(LogRefusedError, match="no unit of time known here") as refusal:
        read(log(form.format(unit), str))
    assert refusal.value.code == "time_unit"


def test_a_strange_word_beside_clock_times_does_no_harm() -> None:
    same(read(log("time (bay 3)", clock)))


@pytest.mark.parametrize(
    "write",
    [
        lambda s: f"{s * 1000} ms", lambda s: f"{s} s", lambda s: f"{s} sec", lambda s: f"{s} Sekunden",
        lambda s: f"{s // 60} min {s % 60} s", lambda s: f"{s // 60}m{s % 60:02d}",
        lambda s: f"{s // 60}m{s % 60}s",
        lambda s: f"{s // 60} minutes and {s % 60} seconds",
        lambda s: f"{s // 60} Min. {s % 60} Sek.",
        lambda s: f"{s // 60}'{s % 60:02d}\"", lambda s: f"PT{s // 60}M{s % 60}S", lambda s: f"PT{s}S",
        lambda s: f"0 days 00:{s // 60:02d}:{s % 60:02d}", lambda s: f"00h{s // 60:02d}m{s % 60:02d}s",
        lambda s: f"T+{s}", lambda s: f"+{s} s", lambda s: f"{s // 60} minuti {s % 60} secondi",
        lambda s: f"0:{s // 60:02d}:{s % 60:02d}",
    ],
)  # fmt: skip
def test_durations_in_words_and_by_iso_8601(write) -> None:
    same(read(log("elapsed", write)))


@pytest.mark.parametrize(
    ("heading", "write"),
    [
        ("timestamp", lambda s: str(1_900_000_000 + s)),
        ("timestamp", lambda s: str(1_900_000_000_000 + s * 1000)),
        ("epoch", lambda s: str(1_900_000_000_000_000 + s * 1_000_000)),
        ("time", lambda s: str((1_900_000_000 + s) * 1_000_000_000)),
        ("time_ms", lambda s: str(1_900_000_000_000 + s * 1000)),
        ("epoch (s)", lambda s: str(1_900_000_000 + s)),
    ],
)
def test_epochs(heading: str, write) -> None:
    found = read(log(heading, write))
    same(found)
    taken = found.readings.cases[0].taken
    assert taken is not None
    assert taken.start == "2030-03-17T17:46:40+00:00"  # date -u -d @1900000000


@pytest.mark.parametrize(
    ("heading", "cell", "kind"),
    [
        ("time", "140310111111111111111111111111111111", "nanoseconds"),  # found by test_read_fuzz.py
        ("time", "1e40", "nanoseconds"),
        ("time", "20310504140310111", "microseconds"),  # a stamp of digits down to milliseconds
        ("timestamp (s)", "20310504140310", "milliseconds"),
        ("timestamp", "10000000000", "seconds"),  # 20 November 2286 and later: no log is younger
        ("timestamp", "-1900000000", "seconds"),
    ],
)
def test_a_number_that_is_no_moment_of_a_running_clock_is_refused(heading: str, cell: str, kind: str) -> None:
    with pytest.raises(LogRefusedError, match=f"^log.csv, line 3, .* no moment in {kind} of") as refusal:
        read(f"{heading},position,temp_c\n1900000000,FL,80\n{cell},FR,81\n")
    assert refusal.value.code == "far_moment"


@pytest.mark.parametrize("heading", ["time", "Zeit", "time (days)", "serial"])
def test_serial_days_of_spreadsheets(heading: str) -> None:
    """Day 47972 is 2031-05-04 where day 1 is 1900-01-01, counted as spreadsheets do."""
    dated = read(log(heading, lambda s: f"{47972.585532 + s / 86400:.9f}"))
    same(dated)
    assert dated.readings.cases[0].taken.start[:10] == "2031-05-04"


def test_serial_days_without_a_heading() -> None:
    text = log("x", lambda s: f"{47972.585532 + s / 86400:.9f}").replace("x,position,temp_c\n", "")
    same(read(text.replace("\n", " C\n")))


# ---- clocks ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("heading", ["time", "clock", "Uhrzeit", "hhmmss", "time (hhmmss)", "heure"])
def test_a_clock_in_six_digits(heading: str) -> None:
    same(read(log(heading, lambda s: clock(s).replace(":", ""))))


@pytest.mark.parametrize("heading", ["time", "clock", "hhmm", "Uhrzeit"])
def test_a_clock_in_four_digits(heading: str) -> None:
    found = read(log(heading, lambda s: clock(s).replace(":", "")[:4]))
    assert [t for t, _, _ in rows(found)] == [0.0] * 4 + [240.0] * 4


def test_a_clock_in_digits_with_a_leading_zero() -> None:
    found = read(log("time", lambda s: clock(s, 9 * 3600).replace(":", "")[:4]))
    assert [t for t, _, _ in rows(found)] == [0.0] * 4 + [240.0] * 4


def test_seconds_of_four_digits_stay_seconds_or_are_refused() -> None:
    same(read(log("time_s", lambda s: str(1403 + s))))
    assert outcome(log("time", lambda s: str(1400 + s)).encode()).__class__.__name__ == "LogReadings"
    with pytest.raises(LogRefusedError, match="may be a time of day or a number of seconds"):
        read("time,position,temp_c\n1400,FL,80\n1402,FR,81\n1404,RL,70\n1405,RR,71\n")


@pytest.mark.parametrize("start", [12 * 3600 + 3480, 12 * 3600 + 3590])
def test_a_clock_of_twelve_hours_passes_one(start: int) -> None:
    def twelve(s: int) -> str:
        at = start + s
        return f"{(at // 3600 - 1) % 12 + 1}:{at // 60 % 60:02d}:{at % 60:02d}"

    found = read(log("time", twelve))
    same(found)
    assert any("twelve hours" in note for note in found.record.notes)


def test_parked_before_one_and_read_after_it() -> None:
    found = read("# parked: 12:55\ntime,position,temp_c\n1:02:00,FL,80\n1:02:10,FR,81\n")
    assert found.readings.elapsed_s.tolist() == [420.0, 430.0]


@pytest.mark.parametrize("heading", ["am/pm", "AM PM", "ampm"])
def test_am_and_pm_in_a_column_of_their_own(heading: str) -> None:
    found = read(f"time,{heading},position,temp_c\n11:59:50,AM,FL,80\n12:00:10,PM,FR,81\n12:01:00,pm,RL,70\n")
    assert found.readings.elapsed_s.tolist() == [0.0, 20.0, 70.0]


@pytest.mark.parametrize(
    ("header", "cells", "kept"),
    [
        ("hour,minute,second", lambda s: f"14,{3 + s // 60},{s % 60}", "clock"),
        ("h,min,s", lambda s: f"14,{3 + s // 60},{s % 60}", "clock"),
        ("Stunde,Minute,Sekunde", lambda s: f"14,{3 + s // 60},{s % 60}", "clock"),
        ("minutes,seconds", lambda s: f"{s // 60},{s % 60}", "watch"),
        ("min,sec", lambda s: f"{s // 60},{s % 60}", "watch"),
    ],
)
def test_hour_minute_and_second_in_columns_of_their_own(header: str, cells, kept: str) -> None:
    text = f"{header},position,temp_c\n" + "".join(
        f"{cells(s)},{w},{d}\n" for s, w, d in zip(WALK_S, WHEELS, DEGC, strict=True)
    )
    same(read(text))
    assert kept


def test_lap_beside_total_time() -> None:
    laps = [b - a for a, b in zip((0, *WALK_S), WALK_S, strict=False)]
    text = "lap time,total time,position,temp_c\n" + "".join(
        f"{lap},{s},{w},{d}\n" for lap, s, w, d in zip(laps, WALK_S, WHEELS, DEGC, strict=True)
    )
    same(read(text))
    with pytest.raises(LogRefusedError, match="add the total time"):
        read("lap time,position,temp_c\n0,FL,80\n12,FR,81\n13,RL,70\n")


@pytest.mark.parametrize("heading", ["hh:mm", "time (hh:mm)", "hh:mm:ss", "time [hh:mm:ss]"])
def test_the_advised_headings_work(heading: str) -> None:
    found = read(log(heading, lambda s: clock(s) if "ss" in heading else clock(s)[:5]))
    assert rows(found)[-1][0] == (277.0 if "ss" in heading else 240.0)
    assert read(log("mm:ss", lambda s: f"{s // 60}:{s % 60:02d}")).readings.elapsed_s.tolist()[-1] == 277.0


# ---- thousands marks ------------------------------------------------------------------------------------


@pytest.mark.parametrize("mark", [",", ".", " ", "'"])
@pytest.mark.parametrize("unit", ["time_s", "time", "Zeit (s)"])
@pytest.mark.parametrize("degrees", ["{}.5", "{}"])
def test_thousands_marks_in_times(mark: str, unit: str, degrees: str) -> None:
    """From 980 s on; a decimal mark would make a walk of a tenth of a second of it."""

    def grouped(s: int) -> str:
        at = 980 + s
        return str(at) if at < 1000 else f"{at // 1000}{mark}{at % 1000:03d}"

    text = f"{unit};position;temp_c\n" + "".join(
        f"{grouped(s)};{w};{degrees.format(60 + k)}\n"
        for k, (s, w) in enumerate(zip(WALK_S, WHEELS, strict=True))
    )
    found = read(text)
    assert [t - 980 for t, _, _ in rows(found)] == pytest.approx(WALK_S)


def test_decimals_of_a_logger_stay_decimals() -> None:
    same(read(log("time_s", lambda s: f"{s:.3f}")))
    same(
        read(
            log("time_s", lambda s: f"{s:.3f}".replace(".", ","), delimiter=";")
            .replace(".5", ",5")
            .replace(".0\n", ",0\n")
        )
    )


# ---- spreadsheets ---------------------------------------------------------------------------------------


def test_minutes_and_seconds_that_a_spreadsheet_made_hours() -> None:
    """0:15 typed for fifteen seconds is 0:15:00 in the sheet."""
    found = read(log("time", lambda s: f"{s // 60}:{s % 60:02d}:00"))
    same(found)
    assert any("spreadsheet" in note for note in found.record.notes)


# ---- watches that run back ------------------------------------------------------------------------------


def test_newest_first_is_sorted() -> None:
    same(read(log("time_s", str, order=range(7, -1, -1))))
    same(read(log("time", clock, order=range(7, -1, -1))))


def test_a_watch_that_counts_down() -> None:
    """By its heading, or because the wheels cool from row to row."""
    for heading in ("time remaining (s)", "countdown_s", "Restzeit (s)", "time_s"):
        same(read(log(heading, lambda s: str(600 - s))))
    same(read(log("time", lambda s: f"{(600 - s) // 60}:{(600 - s) % 60:02d}")))


def test_a_heading_that_says_so_is_enough_for_one_round() -> None:
    found = read("time remaining (s),position,temp_c\n90,FL,80\n78,FR,81\n60,RL,70\n")
    assert [(t, corner) for t, corner, _ in rows(found)] == [(0.0, "1L"), (12.0, "1R"), (30.0, "2L")]


def test_a_fall_that_nothing_explains_is_refused() -> None:
    with pytest.raises(LogRefusedError, match="counts down") as refusal:
        read("time_s,position,temp_c\n90,FL,80\n80,FR,81\n30,FL,85\n20,FR,70\n")
    assert (refusal.value.line, refusal.value.code) == (3, "falling")


def test_seconds_without_their_minutes_are_refused_by_line() -> None:
    with pytest.raises(LogRefusedError, match="without their minutes") as refusal:
        read("time_s,position,temp_c\n40,FL,80\n52,FR,81\n5,RL,70\n17,RR,71\n")
    assert (refusal.value.line, refusal.value.value, refusal.value.code) == (4, "5", "no_minutes")


def test_two_rounds_of_seconds_that_fall_within_a_minute_are_refused() -> None:
    with pytest.raises(LogRefusedError, match="without their minutes"):
        read("time_s,FL (C),FR (C)\n50,80,81\n10,79,80\n")


def test_a_watch_that_passes_the_hour() -> None:
    found = read(log("mm:ss", lambda s: f"{(3580 + s) // 60 % 60}:{(3580 + s) % 60:02d}"))
    same(found)
    assert any("pass the hour" in note for note in found.record.notes)


@pytest.mark.parametrize("write", [str, lambda s: f"{s // 60}:{s % 60:02d}", lambda s: f"{s} s"])
def test_a_watch_that_starts_again_is_refused_by_line(write) -> None:
    text = "mm:ss,position,temp_c\n" if write(61) == "1:01" else "time_s,position,temp_c\n"
    walk = [*WALK_S, *WALK_S]
    text += "".join(f"{write(s)},{WHEELS[k % 8]},{90 - k}\n" for k, s in enumerate(walk))
    with pytest.raises(LogRefusedError, match="start again here") as refusal:
        read(text)
    assert (refusal.value.line, refusal.value.code) == (10, "starts_again")


def test_wheel_by_wheel_is_sorted() -> None:
    same(read(log("time_s", str, order=(0, 4, 1, 5, 2, 6, 3, 7))))


# ---- pace -----------------------------------------------------------------------------------------------


def test_minutes_without_unit_are_told_by_the_pace() -> None:
    found = read(log("time", lambda s: f"{s / 60:.6f}"))
    same(found)
    assert any("minutes, by the pace" in note for note in found.record.notes)


def test_milliseconds_without_unit_are_told_by_the_pace() -> None:
    same(read(log("time", lambda s: str(s * 1000))))


def test_two_units_that_stay_possible_are_refused() -> None:
    with pytest.raises(LogRefusedError, match="seconds or minutes"):
        read("time,position,temp_c\n0,FL,80\n1.6,FR,81\n3.2,RL,70\n4.9,RR,71\n")


@pytest.mark.parametrize(
    ("text", "pairs"),
    [
        ("time_s,position,temp_c\n0,FL,80\n0.2,FR,81\n60,RL,70\n72,RR,71\n", ((2, 3),)),
        ("time_min,position,temp_c\n0,FL,80\n12,FR,81\n25,RL,70\n37,RR,71\n", ((2, 5),)),
        ("time_s,position,temp_c\n0,FL,80\n12,FR,81\n25,RL,70\n37,RR,71\n", ()),
        ("time_s,FL (C),FR (C)\n0,80,81\n60,79,80\n", ()),
    ],
)
def test_a_pace_that_nobody_walks_stands_on_the_case(text: str, pairs) -> None:
    assert read(text).readings.cases[0].impossible_pace == pairs


def test_the_wheels_of_a_line_may_be_read_in_any_order() -> None:
    """The second round walked the other way; no drive that starts again."""
    log = (
        "FL time,FL (C),FR time,FR (C),RL time,RL (C),RR time,RR (C)\n"
        "44,106,58,79,72,54,89,52\n268,95,252,72,240,50,228,49\n"
    )
    read_s = read(log).readings.elapsed_s
    assert sorted(read_s - read_s.min()) == [0.0, 14.0, 28.0, 45.0, 184.0, 196.0, 208.0, 224.0]
