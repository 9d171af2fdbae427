"""Readings colder than a brake should be: of a wheel nobody knows, or below the air that is stated."""

from __future__ import annotations

from pathlib import Path

import pytest
from answercases import EVEN, WALK, blind, sight
from judgecases import VAN_K, log_text, told_text, walked
from logs import COLD_K, write_log

from thermlog.judging.sight import ShownTogether


@pytest.mark.parametrize(
    ("share", "stands"), [(0.1, True), (0.59, True), (0.61, False), (1.0, False)], ids=str
)
def test_a_cold_reading_of_an_unknown_wheel_keeps_the_idle_question_open(share: float, stands: bool) -> None:
    """The line is 0.6 of the rise of the coldest known reading: a brake that does nothing keeps no more."""
    air_degc = EVEN.case.ambient_degc or 0.0
    value_degc = air_degc + share * (60.0 - air_degc)
    shown = ShownTogether(hottest_degc=120.0, all_alike=False, coldest_degc=60.0)
    found = sight(blind("unknown_wheel", None, value_degc), shown=shown)
    assert found.reasons == ()
    assert bool(found.cold) is stands


@pytest.mark.parametrize("row", ["1300,XX,18.5", "1300,,19", "1300,XX,12"])
def test_a_log_with_a_cold_reading_of_nobodys_wheel_clears_no_brake_of_doing_nothing(row: str) -> None:
    one = told_text(log_text(walked(VAN_K, WALK)) + row_with_spot(row))
    assert one.answers.drag.answer == "no"
    assert one.answers.idle.answer == "cannot_tell"
    assert [reason.code for reason in one.answers.idle.reasons] == ["unknown_wheel"]
    assert one.answers.idle.decides[0].code == "name_wheel"
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
        assert one.answers.idle.decides[0].code == "check_ambient"


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
