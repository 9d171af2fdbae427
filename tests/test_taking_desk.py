"""A walk typed line by line: stamps, questions, undo, what the screen says; and clocks across a restart."""

from __future__ import annotations

from pathlib import Path

import pytest
from walkcases import VAN, HandClock, desk_at, head, walked

from thermlog.taking.entries import Entry, checked, typed_cell
from thermlog.taking.panel import age, panel, prompt_words
from thermlog.taking.stopwatch import Clocks, Stopwatch, boot_name, local_now, steady_s
from thermlog.taking.typed import keys_of, named_wheel, typed_line
from thermlog.taking.vehicleform import described_vehicle
from thermlog.words.errors import WalkError

WHEELS = ("1L", "1R", "2L", "2R")


def parked(name: str = "walk.csv", **about):
    clock = HandClock()
    desk = desk_at(name, clock, head(**about))
    desk.take("parked", clock.s)
    return desk, clock


# ---- lines ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "corner", "cell", "spot"),
    [
        ("177", "", "177", "brake"),
        ("a 177", "1L", "177", "brake"),
        ("a177", "1L", "177", "brake"),
        ("D 67,5", "2R", "67.5", "brake"),
        ("LF 177", "1L", "177", "brake"),
        ("front right -4", "1R", "-4", "brake"),
        ("2r 150F", "2R", "65.6", "brake"),  # (150 - 32) / 1.8 = 65.56
        ("rr 65 °c", "2R", "65", "brake"),
        ("2L hub 60", "2L", "60", "hub"),
        ("c OL", "2L", "OL", "brake"),
        ("hi", "", "HI", "brake"),
        ("1", "", "1", "brake"),
    ],
)
def test_a_line_names_wheel_value_and_spot(line, corner, cell, spot):
    said = typed_line(line, corners=WHEELS, unit="C")
    assert (said.kind, said.corner, said.cell, said.spot) == ("reading", corner, cell, spot)


@pytest.mark.parametrize(
    "line", ["door 80", "e 80", "3L 80", "a", "a warm", "177 a", "note", "air", "air LF 18"]
)
def test_a_line_that_says_nothing_known_is_refused_and_quoted(line):
    with pytest.raises(WalkError, match="says nothing known"):
        typed_line(line, corners=WHEELS, unit="C")


@pytest.mark.parametrize("line", ["air 18", "ambient 18", "Air 64.4F"])
def test_the_air_by_either_word(line):
    said = typed_line(line, corners=WHEELS, unit="C")
    assert (said.kind, float(said.cell)) == ("air", 18.0)


@pytest.mark.parametrize("line", ["smoke at RF", "Smoke!", "burning smell front left", "pulls left"])
def test_what_is_seen_needs_no_word_before_it(line):
    said = typed_line(line, corners=["1L", "1R", "2L", "2R"], unit="C")
    assert (said.kind, said.text) == ("seen", line)


@pytest.mark.parametrize(
    ("unit", "wrong", "ends"),
    [("C", "180", "-40 to 50 °C"), ("C", "-41", "-40 to 50 °C"), ("F", "123", "-40 to 122 °F")],
)
def test_an_air_in_which_nobody_works_is_not_kept(unit, wrong, ends):
    """With it the log could not be judged, and a second row would not mend it."""
    desk, clock = parked(unit=unit)
    with pytest.raises(WalkError, match=f"{wrong}.*cannot be the air, {ends}"):
        desk.take(f"air {wrong}", clock.s)
    desk.take("air 18", clock.s)
    assert [one.cell for one in desk.journal.walk.standing()] == ["18"]


def test_ten_wheels_have_ten_letters():
    corners = head("5").corners
    assert list(keys_of(corners).values()) == list("abcdefghij")
    assert named_wheel("j", corners=corners) == "5R"
    assert typed_line("axle 3 right 80", corners=corners, unit="C").corner == "3R"


@pytest.mark.parametrize(
    ("typed", "cell"), [("1.234", "1.234"), ("123456", None), ("--", None), ("1e5", None)]
)
def test_a_cell_is_a_number_or_a_word_of_the_gun(typed, cell):
    assert typed_cell(typed) == cell


@pytest.mark.parametrize(
    "wrong",
    [
        {"key": ""}, {"key": "a b"}, {"elapsed_s": -1.0}, {"elapsed_s": float("nan")}, {"elapsed_s": 1e6},
        {"cell": "hot"}, {"cell": "8,0"}, {"by": "x" * 41}, {"by": "a\nb"}, {"wall": "yesterday"},
        {"kind": "note", "text": " "}, {"kind": "note", "text": "a\x1b[31m"},
        {"kind": "seen", "text": "mist"},
        {"target": "a\n"},
    ],
)  # fmt: skip
def test_what_cannot_stand_in_a_log_is_refused(wrong):
    right = {"key": "k", "kind": "reading", "corner": "1L", "cell": "80"}
    assert checked(Entry(**right)) == Entry(**right)
    with pytest.raises(WalkError, match="cannot be"):
        checked(Entry(**(right | wrong)))


@pytest.mark.parametrize(
    "wrong", [{"axles": "0"}, {"axles": "14"}, {"axles": "steer moon"},
              {"axles": "2", "brakes": "disc drum disc"},
              {"axles": "2", "brakes": "paper"}],
)  # fmt: skip
def test_a_vehicle_that_cannot_be_is_refused(wrong):
    with pytest.raises(WalkError):
        described_vehicle(**wrong)


# ---- desk -----------------------------------------------------------------------------------------------


def test_a_reading_bears_the_moment_of_its_first_key():
    """Typed at 20 s, entered at 31 s: it is of 20 s, on both clocks."""
    desk, clock = parked()
    clock.s += 31.0
    assert desk.take("a 177", clock.s - 11.0) == "0:20  front left 177 °C"
    (entry,) = desk.journal.walk.readings()
    assert (entry.elapsed_s, entry.wall) == (20.0, "2031-05-04T12:00:20+02:00")


def test_a_number_alone_goes_to_the_wheel_proposed():
    desk, clock = parked()
    for shown in (100, 99, 80, 81):
        clock.s += 20.0
        desk.take(str(shown), clock.s)
    assert [(one.corner, one.cell) for one in desk.journal.walk.readings()] == [
        ("1L", "100"), ("1R", "99"), ("2R", "80"), ("2L", "81"),
    ]  # fmt: skip


def test_nothing_is_read_before_the_wheels_stand_and_they_stop_once():
    clock = HandClock()
    desk = desk_at("walk.csv", clock)
    with pytest.raises(WalkError, match="before the wheels have stopped"):
        desk.take("a 177", clock.s)
    desk.take("note cold start", clock.s)
    desk.take("parked", clock.s)
    assert "parked already" in desk.take("parked", clock.s)
    assert desk.take("done", clock.s) == ""


def test_one_shot_never_calls_a_brake():
    """One round with a front left 80 K above its mate: watched, not called."""
    clock = HandClock()
    desk = walked(desk_at("walk.csv", clock), clock, VAN[:4])
    assert desk.finding.answers.drag.answer == "watch"
    walked_on = walked(desk_at("more.csv", HandClock()), HandClock(), VAN)
    assert (walked_on.finding.answers.drag.answer, walked_on.finding.answers.drag.corners) == ("yes", ("1L",))


def odd_value():
    """A desk after 660 was typed for 66 at the rear left, and what it said."""
    desk, clock = parked()
    walked_rows = [(20, "1L", "75"), (38, "1R", "72"), (56, "2R", "67"), (75, "2L", "66")]
    for at, wheel, shown in walked_rows:
        clock.s = 1000.0 + at
        desk.take(f"{wheel} {shown}", clock.s)
    clock.s += 20.0
    return desk, clock, desk.take("2L 660", clock.s)


def test_an_odd_value_is_kept_first_and_asked_about_then():
    desk, _, told = odd_value()
    assert "2L,,660" in Path("walk.csv").read_text()
    assert "rear left: 660 °C? With a digit less it would fit: 66 °C." in told
    assert prompt_words(desk) == "k, r, number or wheel> "


def test_keeping_it_leaves_it_there():
    desk, clock, _ = odd_value()
    assert desk.take("k", clock.s) == "kept"
    assert desk.journal.walk.last_standing().cell == "660"


def test_a_number_as_answer_is_the_wheel_read_again():
    desk, clock, _ = odd_value()
    assert "taken back: rear left 660 °C\n1:37  rear left 65 °C" in desk.take("65", clock.s + 2.0)
    assert [one.cell for one in desk.journal.walk.readings() if one.corner == "2L"] == ["66", "65"]


def test_read_again_proposes_the_wheel_first():
    desk, clock, _ = odd_value()
    assert "read it again" in desk.take("r", clock.s)
    assert prompt_words(desk) == "rear left> "
    desk.take("65", clock.s)
    assert prompt_words(desk) != "rear left> "


def test_another_wheel_as_answer_keeps_number_and_moment():
    desk, clock, _ = odd_value()
    with pytest.raises(WalkError, match="k keep it"):
        desk.take("moon", clock.s)
    desk.take("1r", clock.s + 9.0)
    last = desk.journal.walk.last_standing()
    assert (last.corner, last.cell, last.elapsed_s) == ("1R", "660", 95.0)
    assert desk.doubt is None


@pytest.mark.parametrize("line", ["seen smoke at LF", "smoke at LF", "note wind", "air 19"])
def test_what_is_seen_waits_for_no_answer(line):
    """It is kept while a question is open; the question stays, about the reading it was about."""
    desk, clock, asked = odd_value()
    told = desk.take(line, clock.s)
    assert told.splitlines()[1:] == asked.splitlines()[1:]
    assert prompt_words(desk) == "k, r, number or wheel> "
    kept = Path("walk.csv").read_text()
    assert {"s": "# seen: smoke at LF", "n": "# note: wind", "a": ",ambient,,19,"}[line[0]] in kept
    assert desk.take("k", clock.s) == "kept"


@pytest.mark.parametrize(("line", "cell"), [("2L 65", "65"), ("rear left 65", "65"), ("65C", "65")])
def test_the_wheel_asked_about_may_be_named_with_its_number(line, cell):
    desk, clock, _ = odd_value()
    assert "taken back: rear left 660 °C" in desk.take(line, clock.s + 2.0)
    assert [one.cell for one in desk.journal.walk.readings() if one.corner == "2L"] == ["66", cell]
    assert desk.doubt is None


def test_a_number_at_another_wheel_is_no_answer():
    """Neither the wheel it was nor read again: nothing is kept, nothing is taken back."""
    desk, clock, _ = odd_value()
    with pytest.raises(WalkError, match="k keep it"):
        desk.take("1R 60", clock.s)
    assert desk.journal.walk.last_standing().cell == "660"


def test_a_number_as_answer_is_of_the_spot_that_was_read():
    desk, clock = parked()
    for shown in ("1L hub 1200", "45"):
        desk.take(shown, clock.s)
    assert [(one.spot, one.cell) for one in desk.journal.walk.readings()] == [("hub", "45")]


def test_done_and_undo_answer_a_question_too():
    desk, clock, _ = odd_value()
    assert "taken back" in desk.take("undo", clock.s)
    desk.take("2L 660", clock.s)
    assert desk.take("done", clock.s) == ""


def test_undo_takes_back_the_last_that_stands():
    clock = HandClock()
    desk = walked(desk_at("walk.csv", clock), clock, VAN[:2])
    assert desk.take("undo", clock.s) == "taken back: front right 96 °C"
    assert desk.take("undo", clock.s) == "taken back: front left 177 °C"
    assert desk.take("undo", clock.s) == "taken back: air 18 °C"
    with pytest.raises(WalkError, match="no reading to take back"):
        desk.take("undo", clock.s)


# ---- screen ---------------------------------------------------------------------------------------------


def test_the_screen_shows_ages_the_next_wheel_and_the_answers():
    clock = HandClock()
    desk = walked(desk_at("walk.csv", clock, head(vehicle="van\x1b 7")), clock, VAN[:4])
    shown = panel(desk, 1000.0 + 80.0)
    assert "van? 7 | 1:20 since parked | 4 readings kept | air 18 °C, 1 min ago" in shown
    assert " a left    177 °C 1 min ago   " in shown
    assert ">c left     69 °C   5 s ago" in shown
    assert "next: rear left, now" in shown
    assert "Does a brake drag? watch: front left" in shown
    assert "to decide" not in shown  # not before the second round


LUKEWARM = [(at, wheel, "27") for at, wheel, _ in VAN]


@pytest.mark.parametrize(("rows", "idle", "said"), [(VAN, "no", True), (LUKEWARM, "cannot_tell", False)])
def test_when_both_are_answered_the_screen_says_so(rows, idle, said):
    """Nine degrees above the air are too few to tell whether every brake works: it says which drive would."""
    clock = HandClock()
    desk = walked(desk_at("walk.csv", clock), clock, rows)
    shown = panel(desk, clock.s)
    assert desk.finding.answers.idle.answer == idle
    assert ("Both questions are answered" in shown) is said
    assert ("to decide: Drive again with" in shown) is not said


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        (["smoke at LF"], "smoke seen at front left"),
        (
            ["seen glow", "flame at 2R", "2L OL"],
            "flame seen at rear right, glow seen, reading above the gun's range at rear left",
        ),
        (["soft pedal"], "soft pedal"),
        (["pulls left", "ABS lamp"], ""),  # they leave questions open and stop nothing
    ],
)
def test_what_is_seen_before_the_first_reading_stops_the_vehicle(lines, said):
    """Whoever comes to a vehicle sees the smoke first."""
    desk, clock = parked()
    for line in lines:
        desk.take(line, clock.s)
    shown = panel(desk, clock.s + 2.0)
    assert ("STOP DRIVING" in shown) is bool(said)
    told = "; ".join(line for line in shown.splitlines() if "STOP DRIVING" in line)
    places = [told.find(part) for part in said.split(", ")]
    assert -1 not in places
    assert places == sorted(places)


def test_an_urgent_reading_stands_above_all_from_the_first_on():
    """Beyond the gun's range: said before the pipeline can judge anything, and after."""
    desk, clock = parked()
    for wheel, shown in (("a", "OL"), ("b", "80"), ("c", "70"), ("d", "71")):
        clock.s += 20.0
        desk.take(f"{wheel} {shown}", clock.s)
        signs = ("!!", "?", "=", "!")
        stop = next(line for line in panel(desk, clock.s).splitlines() if line.startswith(signs))
        assert stop.startswith("!! STOP DRIVING: reading above the gun's range at front left")


@pytest.mark.parametrize(("unit", "shown"), [("C", "18 °C"), ("F", "64 °F")])
def test_the_screen_speaks_the_unit_of_the_gun(unit, shown):
    desk, clock = parked(unit=unit)
    assert desk.take(f"air {shown.split()[0]}", clock.s) == f"0:00  air {shown}"


def test_the_air_is_asked_for_at_the_start_and_at_the_end():
    desk, clock = parked()
    assert "| air not measured yet" in panel(desk, clock.s)
    desk.take("air 18", clock.s)
    assert "| air 18 °C, 5 min ago\n" in panel(desk, clock.s + 300.0)
    assert "| air 18 °C, 5 min ago, once more at the end" in panel(desk, clock.s + 301.0)
    clock.s += 301.0
    desk.take("air 19", clock.s)
    assert "| air 19 °C, 0 s ago\n" in panel(desk, clock.s)


def test_ages():
    assert [age(s) for s in (-0.4, 59.4, 60.0, 119.0)] == ["0 s ago", "59 s ago", "1 min ago", "1 min ago"]


# ---- clocks ---------------------------------------------------------------------------------------------


def stopped(clock: HandClock, boot: str = "b1") -> Stopwatch:
    watch = Stopwatch(clocks=clock.clocks(boot))
    watch.park()
    return watch


def test_a_wall_clock_that_is_set_moves_no_reading():
    desk, clock = parked()
    clock.s, clock.set_by_s = clock.s + 40.0, 3600.0
    desk.take("a 80", clock.s)
    assert desk.journal.walk.readings()[0].elapsed_s == 40.0


def test_within_one_start_of_the_computer_the_steady_clock_counts_on():
    clock = HandClock()
    mark = stopped(clock).mark
    clock.s, clock.set_by_s = clock.s + 500.0, -7200.0
    later = Stopwatch(clocks=clock.clocks())
    assert later.resume(mark, last_s=400.0)
    assert later.elapsed_s() == 500.0


@pytest.mark.parametrize("boot", ["b2", ""])
def test_after_a_restart_of_the_computer_the_wall_clock_tells(boot):
    clock = HandClock()
    mark = stopped(clock, boot if not boot else "b1").mark
    later = HandClock(s=20.0, set_by_s=980.0 + 600.0)  # ten minutes on
    watch = Stopwatch(clocks=later.clocks(boot))
    assert not watch.resume(mark, last_s=400.0)
    assert watch.elapsed_s() == pytest.approx(600.0)


def test_a_wall_clock_set_back_meanwhile_is_refused_with_its_cure():
    mark = stopped(HandClock()).mark
    watch = Stopwatch(clocks=HandClock(s=20.0, set_by_s=980.0 + 300.0).clocks("b2"))
    with pytest.raises(WalkError, match="--parked-ago"):
        watch.resume(mark, last_s=400.0)


def test_the_clocks_of_this_computer_run():
    clocks = Clocks.of_this_computer()
    assert clocks.boot == boot_name()
    assert steady_s() <= steady_s()
    assert local_now().tzinfo is not None
