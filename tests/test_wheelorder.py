"""The wheel that is proposed next, and the questions back about what was typed."""

from __future__ import annotations

from itertools import pairwise

import pytest
from walkcases import VAN, HandClock, desk_at, head, walked

from thermlog.taking.doubts import Expected, ReadingDoubt, doubt_words, reading_doubt
from thermlog.taking.entries import Entry
from thermlog.taking.walking import WalkInProgress
from thermlog.taking.wheelorder import PAUSE_S, NextWheel, both_settled, deciding, next_wheel, round_order
from thermlog.words.estimates import Estimate
from thermlog.words.findings import Answer, Answers
from thermlog.words.reasons import Reason

NO = Answer(answer="no")


def walk_of(*corners: str, axles: str = "2", every_s: float = 20.0) -> WalkInProgress:
    """A walk with one reading a corner named, in that order."""
    walk = WalkInProgress(head=head(axles))
    walk.add(Entry(key="p", kind="parked"))
    for n, corner in enumerate(corners, start=1):
        walk.add(Entry(key=f"k{n}", kind="reading", corner=corner, cell="80", elapsed_s=every_s * n))
    return walk


def answers(drag: Answer = NO, idle: Answer = NO) -> Answers:
    return Answers(drag=drag, idle=idle, heat=NO)


def open_answer(*steps: Reason, corners: tuple[str, ...] = ()) -> Answer:
    return Answer(answer="cannot_tell", corners=corners, decides=steps)


@pytest.mark.parametrize("axles", [1, 2, 3, 5, 13])
def test_a_round_visits_every_wheel_once_and_only_crosses_or_moves_on(axles):
    """Left-right-left across the axles: between two wheels lies one axle's width or one step along it."""
    for lap in (0, 1):
        order = round_order(axles, lap)
        assert sorted(order) == sorted(head(str(axles)).corners)
        for one, two in pairwise(order):
            along, across = abs(int(one[:-1]) - int(two[:-1])), one[-1] != two[-1]
            assert (along, across) in {(0, True), (1, False)}
    assert round_order(axles, 1) == round_order(axles, 0)[::-1]


def test_two_rounds_are_proposed_the_second_the_other_way_round():
    """Whoever follows the proposal has walked there and back."""
    walk, seen = walk_of(), []
    for n in range(8):
        proposed = next_wheel(walk, None)
        seen.append(proposed.corner)
        walk.add(Entry(key=f"k{n}", kind="reading", corner=proposed.corner, cell="80", elapsed_s=20.0 * n))
    assert tuple(seen[:4]) == round_order(2, 0)
    assert tuple(seen[4:]) == round_order(2, 1)


def test_a_wheel_that_was_read_out_of_turn_is_not_proposed_again_in_its_round():
    assert next_wheel(walk_of("2R"), None).corner == "2L"
    assert next_wheel(walk_of("2R", "2L", "1L"), None).corner == "1R"


def test_a_reading_taken_back_is_proposed_again():
    walk = walk_of("1L", "1R")
    walk.add(Entry(key="u", kind="taken_back", target="k2"))
    assert next_wheel(walk, None).corner == "1R"


def test_after_two_rounds_the_open_answers_propose():
    """A step that names wheels proposes them and their mates; the one read least, then the nearest onward."""
    walk = walk_of(*round_order(2, 0), *round_order(2, 1))
    open_ = open_answer(Reason(code="read_again", corners=("2R",)))
    assert next_wheel(walk, answers()) is None
    assert next_wheel(walk, answers(idle=open_)) == NextWheel(
        corner="2R", why="decides", from_s=PAUSE_S + 120.0
    )
    assert deciding(answers(idle=open_), ("1L", "1R", "2L", "2R")) == ("2L", "2R")


def test_a_step_for_every_wheel_stands_for_those_whose_limit_is_open():
    """The pipeline names the corners whose least visible fault lies above its line."""
    step = Reason(code="another_round")
    assert deciding(answers(drag=open_answer(step, corners=("1R",))), ("1L", "1R", "2L", "2R")) == (
        "1L",
        "1R",
    )
    assert deciding(answers(drag=open_answer(step)), ("1L", "1R")) == ("1L", "1R")


@pytest.mark.parametrize(
    "code", ["coast_drive", "static_check", "clear_and_wait", "state_class", "mark_and_read"]
)
def test_what_no_reading_now_decides_proposes_none(code):
    walk = walk_of(*round_order(2, 0), *round_order(2, 1))
    assert next_wheel(walk, answers(drag=open_answer(Reason(code=code, corners=("1L",))))) is None


def test_a_wait_is_told_from_the_last_reading_of_the_wheel():
    """Five minutes after the reading at 160 s."""
    walk = walk_of(*round_order(2, 0), *round_order(2, 1))
    step = Reason(code="wait_and_read", corners=("1L",), numbers={"minutes": 5.0})
    assert next_wheel(walk, answers(drag=open_answer(step))).from_s == 5 * 60.0 + 20.0 * 8


@pytest.mark.parametrize(
    ("drag", "idle", "both"),
    [("no", "yes", True), ("yes", "no", True), ("watch", "no", False), ("no", "cannot_tell", False)],
)
def test_both_questions_are_answered_by_yes_and_no_alone(drag, idle, both):
    assert both_settled(answers(Answer(answer=drag), Answer(answer=idle))) is both


# ---- questions back -------------------------------------------------------------------------------------


def asked(corner: str, shown: str, expected: Expected | None = None, rows=VAN[:4], unit: str = "C"):
    walk = WalkInProgress(head=head(unit=unit))
    walk.add(Entry(key="p", kind="parked"))
    for n, (at, wheel, cell) in enumerate(rows):
        walk.add(Entry(key=f"k{n}", kind="reading", corner=wheel, cell=cell, elapsed_s=at))
    entry = Entry(key="new", kind="reading", corner=corner, cell=shown, elapsed_s=290.0)
    walk.add(entry)
    return reading_doubt(entry, walk, expected)


@pytest.mark.parametrize(
    ("shown", "code", "would_be"),
    [("145.4", "other_unit", 63.0), ("630", "digit_added", 63.0), ("6", "digit_missing", 69.0)],
)
def test_a_slip_of_the_finger_is_asked_about(shown, code, would_be):
    """63 °C at the rear left is 145.4 °F; 630 a digit too many, 6 one too few (69; 60 is below them all)."""
    rows = [(20, "1L", "75"), (38, "1R", "72"), (56, "2R", "67"), (75, "2L", "66")]
    found = asked("2L", shown, rows=rows)
    assert (found.code, round(found.would_be_degc)) == (code, would_be)


CURVE = Expected(degc=Estimate(121.0, 115.0, 127.0), ambient_degc=21.0)


@pytest.mark.parametrize(
    ("shown", "odd"),
    [("121", False), ("94.9", True), ("95.1", False), ("147.1", True), ("146.9", False)],
)
def test_a_reading_far_from_its_curve_is_asked_about(shown, odd):
    """Allowed: the curve's own 95 % (115 to 127) and 20 % of its rise of 100 K more."""
    rows = [(20, "1L", "130"), (38, "1R", "125")]
    found = asked("1L", shown, CURVE, rows)
    assert (found is not None) is odd
    assert found is None or (found.code, found.would_be_degc) == ("off_curve", 121.0)


@pytest.mark.parametrize(
    ("shown", "unit", "said"),
    [
        ("1001", "C", "front left: 1001 °C? No wheel end is above 1000 °C: it counts as not read."),
        ("-61", "C", "front left: -61 °C? No wheel end is below -60 °C: it counts as not read."),
        ("1840", "F", "front left: 1840 °F? No wheel end is above 1832 °F: it counts as not read."),
    ],
)
def test_what_no_wheel_end_can_be_is_asked_about_from_the_first_reading_on(shown, unit, said):
    """The reader sets it aside; whoever typed it must hear of it. -60 and 1000 °C are the policy's."""
    found = asked("1L", shown, rows=(), unit=unit)
    assert found.code == "impossible"
    assert doubt_words(found, axle_count=2, typed=shown, unit=unit).startswith(said)
    assert asked("1L", "1000", rows=()) is None
    assert asked("1L", "-60", rows=()) is None


def test_what_is_usual_beyond_the_range_or_without_a_curve_is_not_asked_about():
    assert asked("1L", "OL", CURVE) is None
    assert asked("1L", "150") is None


@pytest.mark.parametrize(
    ("unit", "code", "words"),
    [("C", "other_unit", "front left: 250 °C? It would fit as 250 °F, 121 °C."),
     ("F", "other_unit", "front left: 250 °F? It would fit as 250 °C, 250 °F."),
     ("F", "off_curve", "front left: 250 °F? From its earlier readings about 250 °F is expected. "
      "The shot may have caught rim, tyre or a gap.")],
)  # fmt: skip
def test_a_question_speaks_the_unit_of_the_gun(unit, code, words):
    doubt = ReadingDoubt(key="a", code=code, corner="1L", degc=250.0, would_be_degc=121.0)
    assert doubt_words(doubt, axle_count=2, typed="250", unit=unit) == words


def test_the_curve_is_the_pipelines():
    """Between the two readings of a wheel its curve runs between them; without readings there is none."""
    clock = HandClock()
    desk = walked(desk_at("walk.csv", clock), clock)
    found = desk.finding.expected("1L", "brake", 180.0)
    assert 157.0 < found.degc.value < 177.0
    assert found.degc.low < found.degc.value < found.degc.high
    assert abs(found.ambient_degc - 18.0) < 1.0
    assert desk.finding.expected("1L", "hub", 180.0) is None
    assert desk_at("empty.csv", clock).finding.expected("1L", "brake", 180.0) is None
