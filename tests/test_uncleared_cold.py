"""Readings colder than a brake should be: of a wheel nobody knows, or below the air that is stated."""

from __future__ import annotations

from pathlib import Path

import pytest
from answercases import EVEN, WALK, blind, kept
from judgecases import VAN_K, log_text, told_text, walked
from logs import COLD_K, write_log

from thermlog.judging.uncleared import ShownTogether


@pytest.mark.parametrize(
    ("share", "stands"), [(0.1, True), (0.59, True), (0.61, False), (1.0, False)], ids=str
)
def test_a_cold_reading_set_aside_without_wheel_keeps_the_idle_question_open(
    share: float, stands: bool
) -> None:
    """The line is 0.6 of the rise of the coldest known reading: a brake that does nothing keeps no more."""
    air_degc = EVEN.case.ambient_degc or 0.0
    value_degc = air_degc + share * (60.0 - air_degc)
    shown = ShownTogether(hottest_degc=120.0, all_alike=False, coldest_degc=60.0)
    found = kept(blind("set_aside", None, value_degc), shown=shown)
    assert found.reasons == ()
    assert bool(found.cold) is stands


@pytest.mark.parametrize("row", ["1300,XX,18.5", "1300,,19", "1300,XX,12"])
def test_a_log_with_a_cold_reading_of_nobodys_wheel_clears_no_brake(row: str) -> None:
    one = told_text(log_text(walked(VAN_K, WALK)) + row_with_spot(row))
    for answer in (one.answers.drag, one.answers.idle):
        assert answer.answer == "cannot_tell"
        assert [reason.code for reason in answer.reasons] == ["unknown_wheel"]
        assert answer.decides[0].code == "name_wheel"
    assert one.flagged


def row_with_spot(row: str) -> str:
    seconds, wheel, degc = row.split(",")
    return f"{seconds},{wheel},brake,{degc}\n"


def log_of(air_degc: float, rows: str, about: str = "") -> str:
    return f"# ambient: {air_degc} C\n{about}time_s,position,temp_c\n" + rows.replace(" ", "\n") + "\n"


WARM = "19,FL,82 35,FR,82 54,RL,59 72,RR,57 254,RR,50 268,RL,50 288,FR,67 302,FL,68 "


@pytest.mark.parametrize(("last", "said"), [("40.2", True), ("40.8", True), ("41.2", False), ("43.4", False)])
def test_a_reading_below_the_stated_air_is_said_and_the_air_asked_for(last: str, said: bool) -> None:
    """No brake cools below its air: more than 4 K below, twice what an air is known to, one is wrong."""
    one = told_text(log_of(45.0, WARM + f"518,RL,45.4 535,RR,{last}"))
    assert one.flagged is said
    below = [reason for reason in one.answers.idle.reasons if reason.code == "below_air"]
    assert [reason.corners for reason in below] == ([("2R",)] if said else [])
    if said:
        assert below[0].numbers["below_k"] == pytest.approx(45.0 - float(last))
        assert one.answers.idle.answer == "cannot_tell"
        assert [step.code for step in one.answers.idle.decides[:2]] == ["read_again", "check_ambient"]


@pytest.mark.parametrize(
    ("rise", "told"), [(0.3, False), (1.9, False), (2.2, False), (3.5, False), (6.0, True), (20.0, True)]
)
@pytest.mark.parametrize("drive", ["", "# drive: normal\n", "# drive: coast\n"])
def test_of_a_vehicle_that_nobody_warmed_nothing_is_said_but_without_braking(
    rise: float, told: bool, drive: str
) -> None:
    """The line is 4 K at the warmest brake; 2 K without braking, where cold is the good answer."""
    at = 18.0 + rise
    rows = f"20,FL,{at} 35,FR,{at - 0.2} 55,RL,{at - 0.3} 70,RR,{at - 0.1} "
    rows += f"255,RR,{at - 0.3} 270,RL,{at - 0.2} 285,FR,{at - 0.1} 300,FL,{at - 0.2}"
    one = told_text(log_of(18.0, rows, drive))
    if "coast" in drive and rise < 2.0:  # no released brake that turned is as cool: it hardly did
        drag = one.answers.drag
        assert (drag.answer, drag.reasons[0].code) == ("cannot_tell", "barely_rolled")
        assert drag.decides[0].code == "repeat_drive"
        assert "at least 15 min at a steady pace" in (one.next_check.question if one.next_check else "")
        return
    if "coast" in drive or told:
        assert one.answers.drag.answer == "no"
        return
    for answer in (one.answers.drag, one.answers.idle):
        assert (answer.answer, answer.reasons[0].code) == ("cannot_tell", "nothing_warm")
        assert answer.decides[0].code == "drive_with_braking"


def test_a_drive_without_braking_below_the_air_doubts_the_air_first():
    rows = "20,FL,14.9 35,FR,14.7 55,RL,15 70,RR,15.1 255,RR,15 270,RL,14.8 285,FR,14.9 300,FL,15.1"
    drag = told_text(log_of(18.0, rows, "# drive: coast\n")).answers.drag
    assert drag.answer == "cannot_tell"
    assert drag.reasons[0].code == "below_air"
    assert drag.reasons[-1].code == "barely_rolled"
    assert drag.decides[0].code == "check_ambient"


# what could hide at a brake that is cold


ONE_ROUND = "19,FL,82 35,FR,{fr} 54,RL,58 72,RR,{rr}"


@pytest.mark.parametrize(
    ("values", "corner"),
    [
        ({"fr": "28.2", "rr": "57"}, "1R"),
        ({"fr": "82", "rr": "5.7"}, "2R"),
        ({"fr": "82", "rr": "18.8"}, "2R"),
    ],
    ids=["digits swapped", "digit missing", "missed"],
)
def test_one_reading_far_too_cool_is_read_again_before_anything_else(
    values: dict[str, str], corner: str
) -> None:
    """No great drag is looked for at a brake that reads cold, and no air doubted for a slip of the pen."""
    one = told_text(log_of(18.0, ONE_ROUND.format(**values)))
    for answer in (one.answers.drag, one.answers.idle):
        assert answer.answer == "cannot_tell"
        assert "limit_above_line" not in {reason.code for reason in answer.reasons}
        assert (answer.decides[0].code, answer.decides[0].corners[0]) == ("read_again", corner)
    assert one.next_check is not None
    assert one.next_check.id == "read_again"


@pytest.mark.parametrize("cool_k", [3.0, 10.0, 25.0])
def test_a_brake_read_well_hides_no_more_extra_heat_than_it_holds(cool_k: float) -> None:
    """Three readings that agree: the limit beside its name is its own rise with the doubt of the air, 4 K."""
    one = told_text(log_text(walked(VAN_K | {"1R": cool_k}, WALK)))
    assert "1R" not in one.answers.drag.corners
    limits = {limit.corner: limit.rise_k for limit in one.answers.drag.detectable}
    assert (limits.get("1R") or 0.0) <= cool_k + 4.0


def test_too_little_heat_cannot_be_told_and_leaves_with_1(thermlog):
    """A little heat shows a drag, not a brake that does nothing; none shows neither."""
    little = {corner: rise + 8.0 for corner, rise in COLD_K.items()}
    warm, cold = (
        thermlog("check", write_log(Path(), name, rises))
        for name, rises in (("a.csv", little), ("b.csv", COLD_K))
    )

    assert (warm.code, cold.code) == (1, 1)
    assert "no brake drags; ? whether every brake works cannot be told" in warm.out.splitlines()[-4]
    told = "? whether a brake drags or does not work cannot be told: nothing is warm"
    assert told in cold.out.splitlines()[-4]


# read twice, far below the air


def read_twice(below_k: float, corner: str = "RR", air_degc: float = 20.0, about: str = "") -> str:
    """Warm brakes, one of which reads so far below the stated air, both times."""
    rows = ""
    for start_s, warm in ((15, "FL,{} FR,{} RL,{} RR,{}"), (315, "FL,{} FR,{} RL,{} RR,{}")):
        rises = {"FL": 100.0, "FR": 98.0, "RL": 70.0, "RR": 71.0} | {corner: -below_k}
        cooled = {name: rise * (0.86 if rise > 0 and start_s > 15 else 1.0) for name, rise in rises.items()}
        for k, part in enumerate(warm.split()):
            name = part.split(",")[0]
            rows += f"{start_s + 15 * k},{name},{air_degc + cooled[name]:.1f} "
    return log_of(air_degc, rows, about)


@pytest.mark.parametrize("about", ["", "# axles: steer drive\n# brakes: disc disc\n"])
@pytest.mark.parametrize(("corner", "name"), [("FL", "1L"), ("RL", "2L"), ("RR", "2R")])
@pytest.mark.parametrize("air_degc", [-10.0, 20.0, 38.0])
@pytest.mark.parametrize("below_k", [6.4, 8.0, 15.0, 40.0])
def test_read_twice_far_below_the_air_is_a_cold_brake_or_a_wrong_reading(
    below_k, air_degc, corner, name, about
):
    """More than 6 K, three times what an air is known to: no brake cools so far, and the gun may have missed.

    A technician does not lift that wheel as dead before it and the air were read again; and does not hold it
    free of dragging by a reading that may be of the ground.
    """
    one = told_text(read_twice(below_k, corner, air_degc, about))
    drag, idle = one.answers.drag, one.answers.idle
    assert (idle.answer, idle.corners) == ("watch", (name,))
    assert [r.corners for r in idle.reasons if r.code == "below_air"] == [(name,)]  # told once
    assert (drag.answer, drag.corners) == ("cannot_tell", (name,))
    assert [reason.code for reason in drag.reasons] == ["below_air"]
    assert one.next_check is not None
    assert one.next_check.id == "read_again"
    assert "measure the air again" in one.next_check.question


@pytest.mark.parametrize("below_k", [0.0, 2.0, 5.4])
def test_a_little_below_the_air_beside_warm_brakes_has_no_heat(below_k):
    """Within what an air is known to: called, and from 1.5 K on with the doubt of the air beside it."""
    one = told_text(read_twice(below_k))
    assert (one.answers.idle.answer, one.answers.idle.corners) == ("yes", ("2R",))
    assert one.answers.drag.answer == "no"


def test_a_whole_axle_far_below_the_air_doubts_the_air_before_its_brakes():
    """It was said that one axle drags or the other does nothing, without a word of the air."""
    rows = "15,FL,120 30,FR,118 45,RL,5 60,RR,4 315,FL,106 330,FR,104 345,RL,5 360,RR,5"
    one = told_text(log_of(20.0, rows, "# axles: steer drive\n# brakes: disc disc\n"))
    idle = one.answers.idle
    assert (idle.answer, idle.corners) == ("watch", ("2L", "2R"))
    assert "below_air" in [reason.code for reason in idle.reasons]
    assert one.next_check is not None
    assert one.next_check.id == "read_again"


@pytest.mark.parametrize(
    "rows",
    [
        "15,FL,120 30,FR,118 45,RL,90 60,RR,5 315,FL,106 330,FR,104 345,RL,80",
        "15,FL,44 30,FR,43 45,RL,38 60,RR,5 315,FL,41 330,FR,40 345,RL,36 360,RR,5",
    ],
    ids=["read once", "hardly anything warm"],
)
def test_less_than_that_is_not_even_watched(rows):
    """A single shot beside the brake, or an air that is wrong for all of them, look just like this."""
    one = told_text(log_of(20.0, rows, "# axles: steer drive\n# brakes: disc disc\n"))
    for answer in (one.answers.drag, one.answers.idle):
        assert (answer.answer, answer.corners) == ("cannot_tell", ("2R",))
        assert answer.reasons[0].code == "below_air"
