"""A gap so wide that nobody drives to settle it: whether the gun or a hand tells more.

Accepted by a careful technician: another round finds a shot that missed; else the wheel is turned by hand.
"""

from __future__ import annotations

import pytest
from answercases import WALK, facts_of, open_drag
from judgecases import VAN_K, told_text
from msgspec.structs import replace

from thermlog.judging.nextsteps import Danger, with_decides
from thermlog.words.reasons import Reason


@pytest.mark.parametrize(("share", "no_drive", "first"), [
    (0.049, True, "cool_and_turn"),  # just below the line of `alternatives._MISSED_SHARE`, 0.05
    (0.05, True, "another_round"),  # on it a shot that missed may be what the gap is
    (0.001, False, "another_round"),  # where it may be driven the gun still comes before the road
])  # fmt: skip
def test_nobody_walks_round_again_for_a_wide_gap_that_no_missed_shot_explains(share, no_drive, first):
    twice = facts_of(VAN_K, replace(WALK, rounds=2))
    gap = Reason(code="gap_open", corners=("1L", "1R"), numbers={"share_reading": share})
    danger = Danger(urgent=False, no_drive=no_drive)
    found = with_decides(open_drag(gap, word="watch"), twice, danger)
    assert found.drag.decides[0].code == first


def test_a_wide_gap_of_a_trailer_alone_is_turned_by_hand_not_read_once_more() -> None:
    # rises of 150 and 70 K with a time constant of 900 s, read twice: no missed shot, and nobody drives
    rows = ("30,1L,163", "47,1R,84", "310,1R,68", "327,1L,122")
    head = "# axles: trailer\n# brakes: drum\n# ambient: 18 C\n# parked: 0 s\ntime_s,position,temp_c"
    found = told_text("\n".join([head, *rows]))
    assert found.answers.drag.answer == "watch"
    assert found.next_check is not None
    assert found.next_check.id == "cool_and_turn"
