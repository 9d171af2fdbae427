"""Readings colder than a brake should be: of a wheel nobody knows, or below the air that is stated."""

from __future__ import annotations

import pytest
from answercases import EVEN, WALK, blind, sight
from judgecases import VAN_K, log_text, told_text, walked

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
