"""Blocks of one vehicle in one file between which the day or the parked moment changes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from readcases import PLAIN, check_counts, outcome, read, workbook

from thermlog.followup.proof import compare_logs
from thermlog.judging.diagnose import Settings, diagnoses, judge
from thermlog.reading.gathered import LogReadings
from thermlog.words.errors import LogRefusedError
from thermlog.words.policy import load_policy

HEAD, ROWS = PLAIN.split("\n", 1)[0] + "\n", PLAIN.split("\n", 1)[1]
LATER = "300,FL,79\n310,FR,80\n320,RL,69\n330,RR,70\n"
CLOCK = "time,position,temp_c\n"
MARKS = ["", "# ", "// "]
WORDS = [("Date", "Parked"), ("Datum", "abgestellt"), ("fecha", "parado"), ("# day", "stopped at")]
DAYS = [
    ("2031-05-04", "2031-05-05"),
    ("4.5.2031", "5.5.2031"),
    ("4 May 2031", "6 May 2031"),
    ("04/05/31", "5/5/31"),
]


def clock(*moments: str) -> str:
    return "".join(
        f"{moment},{wheel},{80 + k}\n"
        for k, (moment, wheel) in enumerate(zip(moments, ("FL", "FR"), strict=True))
    )


EARLY, LATE = CLOCK + clock("14:05:00", "14:06:00"), clock("14:07:00", "14:08:00")


def walks(found: LogReadings) -> list[list[float]]:
    """Elapsed times of each case [s]."""
    check_counts(found)
    assert found.record.set_aside == ()
    readings = found.readings
    return [readings.elapsed_s[readings.case == k].tolist() for k in range(len(readings.cases))]


@pytest.mark.parametrize("mark", MARKS)
@pytest.mark.parametrize("date", [date for date, _ in WORDS])
@pytest.mark.parametrize(("first", "second"), DAYS)
def test_another_day_and_a_watch_started_again_is_another_drive(mark, date, first, second):
    found = read(f"{mark}vehicle: A\n{mark}{date}: {first}\n{PLAIN}{mark}{date}: {second}\n{ROWS}")

    assert walks(found) == [[0, 10, 20, 30]] * 2
    assert [case.vehicle for case in found.readings.cases] == ["A", "A"]
    days = [case.taken.start if case.taken else None for case in found.readings.cases]
    assert days[1] in {"2031-05-05", "2031-05-06"}
    assert days[0] in {"2031-05-04", None}  # 04/05/31 may be April
    assert any("another drive begins" in note for note in found.record.notes)


@pytest.mark.parametrize("mark", MARKS)
@pytest.mark.parametrize("parked", [parked for _, parked in WORDS])
@pytest.mark.parametrize(
    ("stops", "moments", "elapsed_s"),
    [
        (("14:03:00", "15:20:00"), (("14:05:00", "14:05:10"), ("15:22:00", "15:22:30")),
         [[120, 130], [120, 150]]),
        (("14:03", "15:20"), (("14:05:00", "14:05:10"), ("15:22:00", "15:22:30")),
         [[120, 130], [120, 150]]),
        (("14:03:00", "9:20:00"), (("14:05:00", "14:05:10"), ("9:22:00", "9:22:30")),
         [[120, 130], [120, 150]]),
        (("23:50:00", "0:30:00"), (("23:55:00", "23:58:00"), ("0:31:00", "0:32:00")),
         [[300, 480], [60, 120]]),
        (("0", "5"), (("60", "72"), ("65", "80")), [[60, 72], [60, 75]]),
        (("0", "600"), (("60", "72"), ("660", "672")), [[60, 72], [60, 72]]),
    ],
)  # fmt: skip
def test_another_parked_moment_between_the_readings_is_another_drive(mark, parked, stops, moments, elapsed_s):
    head = HEAD if ":" not in stops[0] else CLOCK
    lines = [f"{mark}{parked}: {stop}\n" for stop in stops]
    found = read(lines[0] + head + clock(*moments[0]) + lines[1] + clock(*moments[1]))

    assert walks(found) == elapsed_s
    assert all(case.parked_known for case in found.readings.cases)


@pytest.mark.parametrize("mark", MARKS)
@pytest.mark.parametrize(
    "second", [("9:22:00", "9:22:30"), ("14:05:00", "14:05:10"), ("17:00:00", "17:00:10")]
)
def test_another_day_on_a_clock_is_another_drive_whatever_the_hour(mark, second):
    first = clock("14:05:00", "14:05:10")
    found = read(f"{mark}Date: 2031-05-04\n{CLOCK}{first}{mark}Date: 2031-05-05\n{clock(*second)}")

    assert [len(walk) for walk in walks(found)] == [2, 2]
    starts = [case.taken.start for case in found.readings.cases if case.taken]
    assert starts == ["2031-05-04T14:05:00", f"2031-05-05T{second[0]:0>8}"]


def test_day_and_parked_moment_together_and_the_air_of_each():
    found = read(
        f"# vehicle: A\n# date: 2031-05-04\n# parked: 0\n# ambient: 18 C\n{PLAIN}"
        f"# date: 2031-05-05\n# parked: 0\n# ambient: 9 C\n{ROWS}# date: 2031-05-06\n{ROWS}"
    )
    assert [len(walk) for walk in walks(found)] == [4, 4, 4]
    # nobody stated the air of the third day, nor when the wheels stopped
    assert [case.ambient_degc for case in found.readings.cases] == [18.0, 9.0, None]
    assert [case.parked_known for case in found.readings.cases] == [True, True, False]


@pytest.mark.parametrize(
    "log",
    [
        f"# date: 2031-05-04\n{CLOCK}{clock('23:58:00', '23:59:30')}"
        f"# date: 2031-05-05\n{clock('0:01:00', '0:02:00')}",
        f"# date: 4.5.2031\n{PLAIN}# date: 2031-05-04\n{LATER}",
        f"# parked: 0\n{PLAIN}# parked: 0.0\n{LATER}",
        f"# date: 2031-05-04\n{PLAIN}{LATER}# date: 2031-05-05\n",
        f"# date: Monday\n{PLAIN}# date: Tuesday\n{LATER}",
        f"# date: Monday\n{PLAIN}# date: 2031-05-05\n{LATER}",
    ],
    ids=[
        "past midnight",
        "one day in two forms",
        "one moment in two forms",
        "below the table",
        "no days",
        "one day",
    ],
)
def test_one_walk_stays_one(log):
    (walk,) = walks(read(log))
    assert walk == sorted(walk)
    assert walk[-1] - walk[0] in {240, 330}


@pytest.mark.parametrize("mark", MARKS)
@pytest.mark.parametrize(
    ("lines", "rows", "column"),
    [
        (("Date: 2031-05-04", "Date: 2031-05-05"), (PLAIN, LATER), "# Date"),
        (("Datum: 4.5.2031", "Datum: 5.5.2031"), (PLAIN, LATER), "# Datum"),
        (("Parked: 0", "Parked: 20"), (PLAIN, LATER), "# Parked"),
        (("Parked: 0", "Parked: 310"), (PLAIN, LATER), "# Parked"),
        (("Parked: 14:03", "Parked: 14:04"), (EARLY, LATE), "# Parked"),
        (("Parked: 14:03", "Parked: 14:05"), (EARLY, clock("14:05:30", "14:06:30")), "# Parked"),
        (("Abgestellt: 14:03", "Abgestellt: 14:07:30"), (EARLY, LATE), "# Abgestellt"),
    ],
)  # fmt: skip
def test_times_that_run_on_as_in_one_walk_are_refused_by_line(mark, lines, rows, column):
    with pytest.raises(LogRefusedError) as refusal:
        read(f"{mark}{lines[0]}\n{rows[0]}{mark}{lines[1]}\n{rows[1]}")

    found = refusal.value
    assert (found.code, found.column) == ("stated_twice", column)
    assert found.line == rows[0].count("\n") + 2
    assert "line 1 states" in found.problem
    assert "make one file of each" in found.problem


def test_a_watch_that_starts_again_without_another_moment_is_refused_as_before():
    again = "0,FL,70\n10,FR,71\n20,RL,60\n30,RR,61\n"
    found = outcome(f"# date: 2031-05-04\n{PLAIN}# date: 2031-05-04\n{again}".encode())
    assert isinstance(found, LogRefusedError)
    assert found.code == "starts_again"


def test_a_vehicle_that_comes_back_another_day_is_not_pooled():
    found = read(
        f"Vehicle: A\nDate: 2031-05-04\n{PLAIN}Vehicle: B\n{ROWS}Vehicle: A\nDate: 2031-05-05\n{ROWS}"
    )
    assert [case.vehicle for case in found.readings.cases] == ["A", "B", "A"]
    assert walks(found) == [[0, 10, 20, 30]] * 3


def test_blocks_of_each_wheel_with_their_days_are_two_walks():
    blocks = "".join(
        f"Wheel: {wheel}\nDate: {day}\n{start},80\n{start + 60},79\n"
        for start, wheel in ((0, "FL"), (10, "FR"))
        for day in ("2031-05-04", "2031-05-05")
    )
    assert walks(read("time_s,temp_c\n" + blocks)) == [[0, 10, 60, 70]] * 2


@pytest.mark.parametrize("table", [PLAIN, "time_s,FL (C),FR (C)\n0,80,81\n60,79,80\n"], ids=["long", "wide"])
def test_blocks_with_headings_of_their_own(table):
    found = read(f"Date: 2031-05-04\n{table}\nDate: 2031-05-05\n{table}")
    assert [len(walk) for walk in walks(found)] == [4, 4]


def test_blocks_without_times():
    found = read("Date: 2031-05-04\nposition,temp_c\nFL,80\nFR,81\nDate: 2031-05-05\nFL,60\nFR,61\n")
    assert [found.readings.indicated_degc[found.readings.case == k].tolist() for k in (0, 1)] == [
        [80, 81],
        [60, 61],
    ]


def test_blocks_in_a_workbook():
    table = [["time_s", "position", "temp_c"], [0, "FL", 80], [10, "FR", 81]]
    found = read(workbook([["Date:", "2031-05-04"], *table, ["Date:", "2031-05-05"], *table]))
    assert walks(found) == [[0, 10]] * 2


def test_two_walks_of_one_log_are_not_the_same_log_given_twice():
    log = read(f"# ambient: 18 C\n# date: 2031-05-04\n{PLAIN}# date: 2031-05-05\n{ROWS.replace('81', '91')}")
    found = list(diagnoses(judge(log.readings, Settings())))
    assert "the same log is given twice" not in compare_logs(found, load_policy("light")).notes
    assert "the same log is given twice" in compare_logs([*found, *found], load_policy("light")).notes


FORMS = {
    "seconds": lambda s: f"{s}",
    "decimals": lambda s: f"{s}.5",
    "minutes and seconds": lambda s: f"{s // 60}:{s % 60:02d}",
    "hours": lambda s: f"{s // 3600 % 24}:{s // 60 % 60:02d}:{s % 60:02d}",
    "digits": lambda s: f"{s // 3600 % 24:02d}{s // 60 % 60:02d}{s % 60:02d}",
    "duration": lambda s: f"{s} s",
}


@given(
    first_day=st.integers(1, 10),
    later_days=st.integers(2, 15),
    starts=st.tuples(st.integers(0, 86_000), st.integers(0, 86_000)),
    forms=st.tuples(st.sampled_from(sorted(FORMS)), st.sampled_from(sorted(FORMS))),
    parked=st.sampled_from(["", "# parked: 0\n", "# parked: 14:03\n"]),
)
def test_readings_of_days_apart_are_never_one_drive(first_day, later_days, starts, forms, parked):
    """Property: whatever the times look like, two days apart are two cases or a refusal."""
    blocks = []
    for day, start, form in zip((first_day, first_day + later_days), starts, forms, strict=True):
        rows = "".join(
            f"{FORMS[form](start + 15 * k)},{wheel},{80 + k}\n" for k, wheel in enumerate(("FL", "FR", "RL"))
        )
        blocks.append(
            f"# date: 2031-05-{day:02d}\n{parked}" + ("time,position,temp_c\n" if not blocks else "") + rows
        )
    found = outcome("".join(blocks).encode())
    if isinstance(found, LogReadings):
        border = blocks[0].count("\n")
        sides = [
            set((found.readings.line[found.readings.case == k] > border).tolist())
            for k in range(len(found.readings.cases))
        ]
        assert all(len(side) <= 1 for side in sides)
