"""Times: every style reads back to the second, and what is not settled is refused."""

import math
from datetime import UTC, datetime, timedelta, timezone
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermlog.reading.times.cell import parse_time
from thermlog.reading.times.clock import read_times


def hms(seconds):
    return f"{seconds // 3600 % 24}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"


def half_day(seconds):
    hour = seconds // 3600 % 24
    return f"{(hour - 1) % 12 + 1}:{seconds // 60 % 60:02d}:{seconds % 60:02d} {'am' if hour < 12 else 'PM'}"


def dotted(seconds):
    return f"{seconds // 3600 % 24:02d}.{seconds // 60 % 60:02d}.{seconds % 60:02d}"


def moment(seconds):
    return datetime(2031, 5, 14) + timedelta(seconds=seconds)  # noqa: DTZ001 - times without offset are meant


@st.composite
def walks(draw):
    """Elapsed seconds of a walk: four to forty readings, seconds between them, minutes between rounds."""
    steps = draw(st.lists(st.one_of(st.integers(5, 40), st.integers(240, 700)), min_size=3, max_size=39))
    times = [draw(st.integers(0, 120))]
    for step in steps:
        times.append(times[-1] + step)
    return [t for t in times if t < 10_000]


ELAPSED_STYLES = {
    "plain seconds": (lambda s: f"{s}", {}),
    "seconds with a unit": (lambda s: f"{s} s", {}),
    "minutes with a unit": (lambda s: f"{s / 60!r} min", {}),
    "decimal minutes": (lambda s: f"{s / 60!r}", {"unit": "min"}),
    "decimal minutes, comma": (lambda s: f"{s / 60:.9f}".replace(".", ","), {"unit": "min", "decimal": ","}),
    "decimal hours": (lambda s: f"{s / 3600:.12f}", {"unit": "h"}),
    "minutes and seconds": (lambda s: f"{s // 60}:{s % 60:02d}", {"unit": "min"}),
    "minutes and seconds with letters": (lambda s: f"{s // 60}m{s % 60:02d}", {}),
    "minutes and seconds with strokes": (lambda s: f"{s // 60}'{s % 60:02d}\"", {}),
    "hours, minutes, seconds": (hms, {}),
}

CLOCK_STYLES = {
    "clock": hms,
    "am and pm": half_day,
    "dots": dotted,
    "o'clock": lambda s: f"{hms(s)} Uhr",
    "ISO 8601": lambda s: moment(s).isoformat(),
    "ISO 8601 with a blank": lambda s: moment(s).isoformat(" "),
    "ISO 8601 with offset": lambda s: moment(s).replace(tzinfo=timezone(timedelta(hours=2))).isoformat(),
    "day first": lambda s: f"{moment(s):%d.%m.%Y %H:%M:%S}",
    "month first": lambda s: f"{moment(s):%m/%d/%Y} {half_day(s)}",
    "month by name": lambda s: f"{moment(s):%d} May {moment(s):%Y} {hms(s)}",
}


@pytest.mark.parametrize("style", ELAPSED_STYLES)
@given(walk=walks(), shuffle=st.randoms(use_true_random=False), shuffled=st.booleans())
def test_elapsed_times_read_back_to_the_second(style, walk, shuffle, shuffled):
    """Own walks, in order and out of order; a millionth of a second is lost to decimal minutes at most."""
    if shuffled:
        shuffle.shuffle(walk)
    write, told = ELAPSED_STYLES[style]
    read = read_times([write(s) for s in walk], **told)
    assert not read.problems
    assert read.elapsed_s == pytest.approx(walk, abs=1e-4)
    assert read.zero == ("first" if read.kind == "time of day" else "stated")
    assert any("not in order" in note for note in read.notes) == (walk != sorted(walk))


@pytest.mark.parametrize("style", CLOCK_STYLES)
@given(walk=walks(), start=st.integers(3600, 86279))
def test_clock_times_read_back_also_past_midnight(style, walk, start):
    """The first reading is at any time of day from 1:00 on; zero is its first reading."""
    read = read_times([CLOCK_STYLES[style](start + s) for s in walk])
    assert not read.problems
    assert read.elapsed_s == pytest.approx([s - walk[0] for s in walk], abs=1e-6)
    assert read.zero == "first"


@pytest.mark.parametrize("style", CLOCK_STYLES)
@given(walk=walks(), start=st.integers(3600, 82800), parked_before=st.integers(0, 3000))
def test_parked_moment_is_zero(style, walk, start, parked_before):
    """Stated as a time of day, which may be on the day before."""
    read = read_times([CLOCK_STYLES[style](start + s) for s in walk], parked=hms(start - parked_before))
    assert not read.problems
    assert read.elapsed_s == pytest.approx([s + parked_before for s in walk], abs=1e-6)
    assert read.zero == "parked"


@given(walk=walks(), start=st.integers(0, 86399), shift=st.integers(0, 86399), seed=st.randoms())
def test_a_shifted_clock_changes_no_difference(walk, start, shift, seed):
    """Out of order, past midnight or not: the differences between readings stay."""
    seed.shuffle(walk)
    first = read_times([hms(start + s) for s in walk]).elapsed_s
    second = read_times([hms(start + shift + s) for s in walk]).elapsed_s
    if None in first or None in second:  # refused: an hour lost in a shuffled log
        return
    assert [b - a for a, b in pairwise(first)] == [b - a for a, b in pairwise(second)]


@pytest.mark.parametrize("at", ["last", "first", "any"])
@given(
    walk=walks(), seed=st.randoms(use_true_random=False), place=st.integers(0, 39), near=st.integers(-3, 3)
)
def test_a_reading_at_midnight_to_the_second_changes_no_difference(at, walk, seed, place, near):
    """Shuffled, with the last reading, the first or another at 0:00:00, or seconds from it."""
    known = {"last": max(walk), "first": min(walk), "any": walk[place % len(walk)] + near}
    start = 86400 - known[at]
    seed.shuffle(walk)
    read = read_times([hms(start + s) for s in walk]).elapsed_s
    if None in read:  # refused: an hour lost in a shuffled log
        return
    assert [b - a for a, b in pairwise(read)] == [b - a for a, b in pairwise(walk)]


@pytest.mark.parametrize(
    "rows",
    [
        ["23:59:27", "23:59:36", "0:00:00", "23:58:54"],
        ["0:11:15", "23:48:13", "23:55:57", "23:59:57", "0:11:04"],
        ["0:00:00", "23:40:20", "23:50:10", "23:50:16"],
        ["0:00:08", "0:05:15", "0:10:31", "23:59:31"],
    ],
)
def test_rows_about_midnight_are_those_of_one_walk(rows):
    """Found by search: one row out of order after midnight, and rows sorted by the clock."""
    read = read_times(rows)
    assert max(read.elapsed_s) - min(read.elapsed_s) < 3600
    assert any("pass midnight" in note for note in read.notes)


def test_morning_and_evening_of_one_day_stay_in_their_order():
    read = read_times(["6:00:00", "6:04:00", "20:00:00", "20:04:00"])
    assert read.elapsed_s == (0.0, 240.0, 50400.0, 50640.0)


@given(walk=walks())
def test_minutes_and_seconds_without_a_hint_are_read_or_refused(walk):
    """Never taken as hours."""
    read = read_times([f"{s // 60}:{s % 60:02d}" for s in walk])
    assert read.elapsed_s == tuple(walk) or read.problems[0].index == -1


@given(walk=walks(), start=st.integers(60, 1437))
def test_hours_and_minutes_without_a_hint_are_read_or_refused(walk, start):
    """Never taken as minutes, if the first reading is at 1:00 or later."""
    minutes = [start + s // 60 for s in walk]
    read = read_times([f"{m // 60 % 24}:{m % 60:02d}" for m in minutes])
    truth = tuple((m - minutes[0]) * 60.0 for m in minutes)
    assert read.elapsed_s == truth or read.problems[0].index == -1


TEXTS = st.one_of(
    st.text(max_size=12),
    st.text(alphabet="0123456789:.,-+/' hmsapTZ_e", max_size=22),
    st.from_regex(r"[0-9]{1,3}[:.][0-9]{2}([:.][0-9]{2})?( ?[ap]m)?", fullmatch=True),
    st.from_regex(r"[0-9]{1,4}[-/.][0-9]{1,2}[-/.][0-9]{1,4}[ T][0-9]{2}:[0-9]{2}", fullmatch=True),
)


@given(
    cells=st.lists(TEXTS, max_size=8),
    unit=st.sampled_from([None, "s", "min", "h"]),
    parked=st.none() | TEXTS,
    order=st.sampled_from([None, "dmy", "mdy"]),
    decimal=st.sampled_from([".", ","]),
    dated=st.none() | TEXTS,
)
def test_any_text_is_read_or_named(cells, *, unit, parked, order, decimal, dated):
    """Every cell has a time from zero on or a problem, and nothing raises."""
    dates = None if dated is None else [dated] * len(cells)
    read = read_times(cells, unit=unit, dates=dates, parked=parked, date_order=order, decimal=decimal)
    refused = any(problem.index == -1 for problem in read.problems)
    named = {problem.index for problem in read.problems}
    assert len(read.elapsed_s) == len(cells)
    for index, (cell, elapsed) in enumerate(zip(cells, read.elapsed_s, strict=True)):
        assert (elapsed is None) == (refused or index in named)
        assert elapsed is None or (math.isfinite(elapsed) and elapsed >= 0)
        assert refused or elapsed is not None or any(p.value == cell for p in read.problems)


def test_same_moment_with_two_offsets():
    """RFC 3339 (2002), section 5.8: 1996-12-19T16:39:57-08:00 is 1996-12-20T00:39:57Z."""
    read = read_times(["1996-12-19T16:39:57-08:00", "1996-12-20T00:39:57Z", "1996-12-20T00:40:57Z"])
    assert read.elapsed_s == (0.0, 0.0, 60.0)
    assert "different offsets" in read.notes[0]


def test_parked_with_its_own_offset():
    """RFC 3339 (2002), section 5.8, the same pair: parked in one zone, read in another."""
    read = read_times(["1996-12-19T16:40:57-08:00"], parked="1996-12-20T00:39:57Z")
    assert (read.elapsed_s, read.zero) == ((60.0,), "parked")


@pytest.mark.parametrize(
    ("cells", "told", "elapsed", "kind"),
    [
        (["23:58", "23:59", "0:00", "0:02"], {}, (0, 60, 120, 240), "time of day"),
        (["14:03", "14:09", "14:21"], {"parked": "14:01"}, (120, 480, 1200), "time of day"),
        (["14:03", "14:09", "14:21"], {"unit": "h"}, (0, 360, 1080), "time of day"),
        (["14:03", "14:09", "14:21"], {"unit": "min"}, (843, 849, 861), "minutes and seconds"),
        (["14:03", "14:03:30", "14:04"], {}, (0, 30, 60), "time of day"),
        (["59:50", "1:00:10", "1:02:00"], {}, (3590, 3610, 3720), "minutes and seconds"),
        (["14:03.5", "14:09.0"], {}, (843.5, 849.0), "minutes and seconds"),
        (["0:30", "1:15", "2:10"], {"parked": "14:03:10"}, (30, 75, 130), "minutes and seconds"),
        (["1:15", "2:10", "9:30"], {"parked": "0:30"}, (45, 100, 540), "minutes and seconds"),
        (["0:20", "0:38", "0:56", "1:14"], {}, (20, 38, 56, 74), "minutes and seconds"),
        (["23:50", "24:01", "24:12"], {}, (1430, 1441, 1452), "minutes and seconds"),
        (
            [f"{s // 60}:{s % 60:02d}" for s in range(60, 300, 12)],
            {},
            tuple(range(60, 300, 12)),
            "minutes and seconds",
        ),
        (["14:03"] * 4 + ["14:13"] * 4, {}, (0,) * 4 + (600,) * 4, "time of day"),
        (["14.03", "14.04"], {"decimal": ",", "unit": "h"}, (0, 60), "time of day"),
        (["14h03", "14h07"], {}, (0, 240), "time of day"),
        (["11:58 pm", "12:03 a.m."], {}, (0, 300), "time of day"),
        (["0:00:30", "0:05:00"], {"parked": "14:00"}, (30, 300), "hours, minutes and seconds"),
        (["25:00:00", "25:30:00"], {}, (90000, 91800), "hours, minutes and seconds"),
        (["1700000000", "1700000060"], {}, (0, 60), "seconds of a running clock"),
        (["1700000000500", "1700000060500"], {}, (0, 60), "milliseconds of a running clock"),
        (["120", "150"], {"parked": "100"}, (20, 50), "seconds"),
        (["−0", "1\u00a0min", "2 min"], {}, (0, 60, 120), "times with units"),
        (["3 min 20 s", "1 h 2 min"], {}, (200, 3720), "times with units"),
    ],
)
def test_decided_by_evidence(cells, told, elapsed, kind):
    """Own cases, worked by hand."""
    read = read_times(cells, **told)
    assert (read.elapsed_s, read.kind, read.problems) == (elapsed, kind, ())


@pytest.mark.parametrize(
    ("cells", "told", "word"),
    [
        (["14:03", "14:09", "14:21"], {}, "mm:ss"),
        (["0:10", "0:20", "0:30"], {}, "hh:mm"),
        (["0:59", "1:00:10"], {}, "0:0:59"),
        (["14.03", "14.07", "14.13", "14.15"], {}, "time_min"),
        (["00:03:10", "00:05:00"], {"parked": "23:50"}, "with the date"),
        (["2:50:00", "2:55:00", "2:58:00", "2:01:00", "2:05:00"], {}, "put back"),
        (["2031-05-04T14:03:10+02:00", "2031-05-04T12:04:10"], {}, "offset"),
        (["03/04/2031 10:00", "05/06/2031 10:00", "05/07/2031 10:00"], {}, "--date-order"),
        (["30/04/2031 10:00", "05/31/2031 10:00"], {}, "2031-05-04"),
        (["30", "40"], {"parked": "noon"}, '"noon"'),
        (["14:03:10", "14:05:10"], {"parked": "90 s"}, "14:03:10"),
        (["30", "0:40"], {}, "one style"),
        (["13:00:00", "13:10:00"], {"parked": "14:00"}, "parked moment"),
        (["1:00:00", "6:00:00", "11:00:00", "16:00:00", "21:00:00", "20:00:00"], {}, "date"),
    ],
)
def test_refused_with_the_cure(cells, told, word):
    """The whole column, index -1, in one sentence."""
    read = read_times(cells, **told)
    (problem,) = read.problems
    assert problem.index == -1
    assert word in problem.problem
    assert set(read.elapsed_s) == {None}


@pytest.mark.parametrize(
    ("cells", "elapsed"),
    [
        (["30", "90"], (30, 90)),
        (["-1", "30", "90"], (None, 30, 90)),
        (["0:30", "1:30"], (30, 90)),
        (["0:00:30", "0:01:30"], (30, 90)),
        (["1:02:00", "1:03:00"], (3720, 3780)),
        (["30 s", "1.5 min"], (30, 90)),
    ],
)
def test_times_that_count_from_the_parked_moment(cells, elapsed):
    """Said by a parked moment of zero: zero is known then, in every style of elapsed time."""
    read = read_times(cells, parked="0")
    assert (read.elapsed_s, read.zero) == (elapsed, "parked")


def test_one_cell_is_set_aside_by_name():
    """The others keep their times."""
    read = read_times(["30", "", "x", "1:30", "60", "-5"])
    assert read.elapsed_s == (30.0, None, None, None, 60.0, None)
    assert [(p.index, p.value) for p in read.problems] == [(1, ""), (2, "x"), (3, "1:30"), (5, "-5")]


def test_before_parked_is_a_problem():
    """13:58 is two minutes before 14:00, not a day after."""
    read = read_times(["13:58:00", "14:05:00"], parked="14:00:00")
    assert read.elapsed_s == (None, 300.0)
    assert "before the wheels stopped" in read.problems[0].problem


@pytest.mark.parametrize(
    ("days", "told", "elapsed", "note"),
    [
        (["04/05/2031", "05/05/2031"], {}, (0, 300), "day first"),
        (["04/05/2031", "04/06/2031"], {}, (0, 300), "month first"),
        (["31/12/2031", "01/01/2032"], {}, (0, 300), "day first"),
        (["4.5.31", ""], {}, (0, 300), "midnight"),
        (["2031-05-04", "2031/05/05"], {}, (0, 300), ""),
        (["4 May 2031", "05-May-31"], {}, (0, 300), ""),
        (["03/04/2031", "03/05/2031"], {"date_order": "mdy"}, (0, 300), ""),
        (
            ["03/04/2031", "03/05/2031"],
            {"date_order": "dmy"},
            (0, 29 * 86400 + 300),
            "two days",
        ),
    ],
)
def test_dates_beside_the_times(days, told, elapsed, note):
    """23:58 on the first day, 0:03 on the second; April has 30 days."""
    read = read_times(["23:58", "0:03"], dates=days, **told)
    assert (read.elapsed_s, read.problems) == (elapsed, ())
    assert note in " ".join(read.notes)
    assert bool(note) == bool(read.notes)


def test_bad_date_names_its_cell():
    """The other reading stays."""
    read = read_times(["14:03", "14:05"], dates=["2031-05-04", "soon"])
    assert read.elapsed_s == (0.0, None)
    assert '"soon"' in read.problems[0].problem


def test_dates_with_dots_are_day_first():
    """Common practice, no source: both orders last over two days, and the dots decide."""
    read = read_times(["3.4.2031 10:00", "5.6.2031 10:00", "5.7.2031 10:00"])
    assert read.elapsed_s == (0.0, 63 * 86400.0, 93 * 86400.0)  # 27 + 31 + 5 days, then 30: by calendar


@pytest.mark.parametrize("write", [hms, lambda s: moment(s).isoformat()])
def test_an_hour_lost_is_asked_about(write):
    """The times stand; the note names both and the cure."""
    read = read_times([write(s) for s in (6600, 6900, 7080, 10860, 11100)])
    assert read.elapsed_s == (0.0, 300.0, 480.0, 4260.0, 4500.0)
    assert "1:58:00 and 3:01:00" in read.notes[0]
    assert "put forward" in read.notes[0]


def test_sorted_by_wheel_is_not_a_changed_clock():
    """The second wheel begins where the first began, an hour back."""
    read = read_times(["14:00:00", "14:15:00", "14:30:00", "14:45:00", "15:00:00", "14:01:00", "14:16:00"])
    assert read.elapsed_s == (0, 900, 1800, 2700, 3600, 60, 960)


def test_an_hour_between_stamps_with_offset_is_real():
    """Nothing to ask: an offset leaves no doubt."""
    aware = [moment(s).replace(tzinfo=UTC).isoformat() for s in (6600, 6900, 7080, 10860, 11100)]
    assert read_times(aware).notes == ()


def test_stamps_out_of_order_count_from_the_earliest():
    """Zero is the earliest reading, not the first row."""
    read = read_times([moment(s).isoformat() for s in (60, 0, 90)])
    assert read.elapsed_s == (60.0, 0.0, 90.0)
    assert "not in order" in read.notes[0]


def test_two_wheels_through_a_long_day():
    """The second wheel begins before the first did; the night is the longest pause, no midnight is passed."""
    read = read_times(["6:10:00", "12:00:00", "19:00:00", "6:00:00", "12:05:00", "19:05:00"])
    assert read.elapsed_s == (600, 21600, 46800, 0, 21900, 47100)


@pytest.mark.parametrize("text", ["nan", "1_000", "-5", "inf"])
def test_numbers_that_are_no_times(text):
    """Set aside though float takes them."""
    read = read_times([text, "30"])
    assert read.elapsed_s == (None, 30.0)
    assert read.problems[0].value == text


def test_fractions_of_hours_or_of_days_are_refused():
    """As spreadsheets store times; as hours the walk is likely too."""
    read = read_times(["0.585532", "0.5860", "0.5871", "0.5880"])
    assert "hours or days" in read.problems[0].problem


@pytest.mark.parametrize(
    "text", ["nan", "inf", "1_000", "٣", "99:99", "13:05 pm", "0:05 pm", "24:00 Uhr", "2031-05-04"]
)
def test_no_time(text):
    """Texts that float or fromisoformat alone would let pass, or no time of day has."""
    assert parse_time(text) is None
