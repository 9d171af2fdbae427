"""Brakes whose readings climb or contradict each other: what they read counts, and clears nothing.

Before anything was run: what a careful technician would accept is written beside each case.
"""

from __future__ import annotations

import pytest
from judgecases import told_text

HEAD = "# ambient: 11 C\n# drive: normal\n# weight: light\n# axles: steer axle\n# brakes: drum drum\n"


def log_of(front_left: str, front_right: str) -> str:
    """Rounds of a light vehicle whose rears stand at 50 °C: readings of the front brakes, one a round."""
    rows = ["elapsed_s,corner,indicated_degc"]
    for turn, (left, right) in enumerate(zip(front_left.split(), front_right.split(), strict=True)):
        at_s = 60 * turn
        rows += [f"{at_s + 20},1L,{left}", f"{at_s + 32},1R,{right}"]
        rows += [f"{at_s + 44},2L,{50 - 0.8 * turn:.1f}", f"{at_s + 56},2R,{51 - 0.8 * turn:.1f}"]
    return HEAD + "\n".join(rows) + "\n"


@pytest.mark.parametrize(
    "hot",
    ["135 105 189 105 158 163", "102 335 228 327 307 292", "168 173 179 186 191 199"],
    ids=["jumps", "hot", "climbs"],
)
def test_hotter_than_its_mate_at_every_reading_is_watched_whatever_else(hot: str) -> None:
    """The technician: front left is hotter whichever of them is right; read it again; nothing is cleared."""
    one = told_text(log_of(hot, "75 74 73 72 71 70")).answers
    assert (one.drag.answer, one.drag.corners) == ("watch", ("1L",))
    assert one.drag.reasons[0].code == "unsteady_and_hotter"
    shown = [float(value) for value in hot.split()]
    assert one.drag.reasons[0].numbers["low_degc"] == min(shown)
    assert one.drag.reasons[0].numbers["mate_high_degc"] == 75.0
    assert one.drag.decides[0].code in {"read_again", "wait_and_read", "clear_and_wait"}
    assert one.idle.answer != "no"


@pytest.mark.parametrize("climbing", ["52 58 64 69 73 76", "60 66 70 73 75 76"])
def test_as_warm_as_its_mate_in_the_end_it_is_neither_named_nor_cleared(climbing: str) -> None:
    """The technician: cannot tell, wait and read again."""
    one = told_text(log_of(climbing, "80 79 78 77 76 75")).answers
    assert one.drag.answer == "cannot_tell"
    assert one.idle.answer == "cannot_tell"


def test_a_gun_on_hold_never_makes_a_call() -> None:
    """The same figure six times beside a mate that cools: no brake reads like that."""
    one = told_text(log_of("160 160 160 160 160 160", "75 74 73 72 71 70")).answers
    assert one.drag.answer in {"watch", "cannot_tell"}
    assert {reason.code for reason in one.drag.reasons} & {"held", "standing"}


def test_hubs_that_take_heat_after_the_stop_do_not_make_brakes_climb() -> None:
    """Hubs warm from their brakes for many minutes; brakes that rise by half a kelvin are read."""
    rows = ["elapsed_s,position,spot,indicated_degc"]
    left, right = (
        ((37, 53, 35.5), (96, 57, 36.5), (140, 57.5, 38)),
        ((45, 131, 48.5), (86, 133, 49.5), (148, 134, 52)),
    )
    for corner, walked in (("1L", left), ("1R", right)):
        for at_s, brake, hub in walked:
            rows += [f"{at_s},{corner},brake,{brake}", f"{at_s + 4},{corner},hub,{hub}"]
    one = told_text("# ambient: 22 C\n# axles: trailer\n# brakes: drum\n" + "\n".join(rows) + "\n").answers
    assert one.drag.answer == "watch"
    assert "rising" not in {reason.code for reason in one.drag.reasons}


CLIMBS = {  # rear left beside rear right, a round a minute and a half, in air of 18 °C
    "two": ("60 75", "60 57"),
    "three": ("60 62 64", "60 57 54"),
    "four": ("60 61 62 63", "60 57 54 52"),
}


@pytest.mark.parametrize("rounds", CLIMBS)
def test_a_brake_that_climbs_step_by_step_while_its_mate_cools_is_not_cleared(rounds: str) -> None:
    """The technician: a parked brake cools; read it again. No drag is cleared beside it.

    Of two readings one missed, perhaps; as both are as warm as the other side, the brake works.
    """
    left, right = (side.split() for side in CLIMBS[rounds])
    rows = ["# ambient: 18 C", "time_s,position,temp_c"]
    for turn, (rear_left, rear_right) in enumerate(zip(left, right, strict=True)):
        at_s = 60 + 90 * turn
        rows += [f"{at_s},FL,{90 - 4 * turn}", f"{at_s + 15},FR,{88 - 4 * turn}"]
        rows += [f"{at_s + 30},RL,{rear_left}", f"{at_s + 45},RR,{rear_right}"]
    told = told_text("\n".join(rows) + "\n").answers
    assert told.drag.answer == "cannot_tell"
    assert told.idle.answer == ("no" if rounds == "two" else "cannot_tell")
    assert [(one.code, one.corners) for one in told.drag.reasons][:1] == [
        ("contradicting_readings" if rounds == "two" else "rising", ("2L",))
    ]
    assert told.drag.decides[0].code in {"read_again", "wait_and_read"}
