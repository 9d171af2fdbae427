"""What is asked for first: keep clear of stated heat, read again what was misread, try a trailer standing.

What a careful technician accepts, written before: a tyre noted at 115 °C keeps people away whatever the gun
showed; 1 °C in air of 18 °C is a slip of the pen, and is read again before the air is; nobody is
sent on the road with a trailer whose only axle may do nothing; a wheel that was not read stands before what
is even again.
"""

from __future__ import annotations

import json

import pytest
from advicecases import HEAVY_DRUMS, log_evidence

from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.nextcheck import next_check
from thermlog.advice.suspects import rank_suspects

ROWS = (
    "60,FL,93 75,FR,92 90,RL,65 105,RR,62 135,RR,63 150,RL,61 165,FR,88 180,FL,87 210,FL,86 225,FR,84 "
    "240,RL,59 255,RR,58"
)
DEAD = ROWS.replace("FL,93", "FL,28").replace("FL,87", "FL,27").replace("FL,86", "FL,27")
SMOKES, UNREAD = "# seen: smoke at RR\n", ROWS.replace("105,RR,62 135,RR,63 ", "").replace(" 255,RR,58", "")


@pytest.fixture
def checked(thermlog, tmp_path):
    """What a log says as JSON."""

    def run(rows, above=""):
        log = tmp_path / "walk.csv"
        log.write_text(written(rows, above))
        return json.loads(thermlog("check", str(log), "--format", "json").out)

    return run


@pytest.fixture
def compared(thermlog, tmp_path):
    """Text of a drive with a dead front left before, and another after."""

    def run(rows, above=""):
        first, last = tmp_path / "first.csv", tmp_path / "last.csv"
        first.write_text(written(DEAD, ""))
        last.write_text(written(rows, above))
        return thermlog("compare", str(first), str(last)).out.splitlines()

    return run


def written(rows, above):
    return (
        f"# ambient: 18 C\n# vehicle: van 7\n{above}time_s,position,temp_c\n" + rows.replace(" ", "\n") + "\n"
    )


@pytest.mark.parametrize(
    ("remark", "code"),
    [
        ("tyre RR 115 C", "tyre_hot"), ("tyre RR 89 C", None),  # 90 °C in the policy
        ("hub RR 130 C", "hub_hot"), ("hub RR 95 C", None),  # 101 °C: 83 K above the air
        ("rim RR 121 C", "rim_hot"), ("rim RR 119 C", None),  # 120 °C
        ("brake RR 150 C", None), ("RR 150 C", None),
    ],
)  # fmt: skip
def test_heat_that_a_remark_states_of_a_part_keeps_everybody_clear(checked, remark, code):
    found = checked(ROWS, f"# remark: {remark}\n")
    assert [(one["code"], one["corner"]) for one in found["urgent"]] == ([(code, "2R")] if code else [])
    assert (found["next_check"]["id"] == "clear_and_wait") is (code is not None)
    if code is None and remark.startswith(("tyre", "brake")):
        assert "never at a sidewall" in found["next_check"]["question"]


def test_the_one_brake_below_the_air_is_read_again_before_the_air(checked):
    one = checked("60,FL,1 75,FR,32 90,RL,27 105,RR,27")["next_check"]
    assert one["id"] == "read_again"
    assert one["question"].startswith("Read 1L again now")
    assert "then 1R, and measure the air again" in one["question"]
    half = checked("60,FL,9 75,FR,10 90,RL,28 105,RR,28")["next_check"]
    assert half["id"] == "check_ambient"
    every = checked("60,FL,11 75,FR,10 90,RL,10 105,RR,11")["next_check"]
    assert every["id"] == "check_ambient"


@pytest.mark.parametrize("degc", [24, 27, 40])
def test_a_trailer_whose_only_axle_may_do_nothing_is_tried_standing(checked, degc):
    """24 K are asked for before a brake that does nothing can be told: 42 °C in air of 18 °C."""
    rows = f"60,1L,{degc} 75,1R,{degc} 120,1L,{degc} 135,1R,{degc}"
    one = checked(rows, "# axles: trailer\n# brakes: electric\n")["next_check"]
    assert one["id"] == "static_check"
    assert one["question"].startswith("Do not drive it on the road.")


def test_the_cool_axle_of_two_that_are_unlike_stands_in_what_is_next(checked):
    about = "# axles: trailer trailer\n# brakes: drum drum\n# weight: light\n"
    one = checked("60,FL,26 75,FR,27 90,RL,195 105,RR,199", about)["next_check"]
    assert one["id"] == "pb_state"
    assert one["question"].endswith(
        "If it is off, 1L and 1R may do too little: check the brakes there standing, too."
    )


def test_smoke_stands_before_what_the_log_should_state(compared):
    lines = compared(ROWS, SMOKES)
    (step,) = (line for line in lines if line.startswith("DO NEXT"))
    assert step.startswith("DO NEXT   Nobody goes near (smoke seen)")
    assert any(line.startswith("  - the log does not say what was mended") for line in lines)
    (quiet,) = (line for line in compared(ROWS) if line.startswith("DO NEXT"))
    assert quiet.startswith("DO NEXT   State in the log of this drive what was mended")


def test_a_wheel_that_was_not_read_is_read_before_the_repair_is_stated(compared):
    lines = compared(UNREAD)
    (step,) = (line for line in lines if line.startswith("DO NEXT"))
    assert step.startswith("DO NEXT   Read rear right now")
    assert any(line.startswith("  - the log does not say what was mended") for line in lines)


def test_a_wheel_that_was_not_read_stands_before_what_is_even_again(compared):
    (line,) = (line for line in compared(UNREAD) if line.startswith("FINDING"))
    assert line.startswith(
        "FINDING   Rear right: not read, and a brake that was not read is never cleared. Front"
    )


def check_for(evidence):
    return next_check(evidence, rank_suspects(evidence))


def test_what_needs_heat_and_hands_becomes_the_gun_now_and_hands_once_cooled():
    """60 °C (below it heat tells nothing) and 50 °C (bare metal burns) in doing.toml."""
    cooler, warm = (check_for(log_evidence("corner_hot", "1L", brake_degc=one)) for one in (59.9, 60.0))
    assert "hot" not in evidence_table().observations[cooler.id].needs
    assert warm.id == "cool_and_turn"
    assert "again by gun now" in warm.question
    cold = check_for(log_evidence("corner_hot", "3R", vehicle=HEAVY_DRUMS, brake_degc=49.9))
    burns = check_for(log_evidence("corner_hot", "3R", vehicle=HEAVY_DRUMS, brake_degc=50.0))
    assert "below 50 °C" not in cold.question
    assert burns.question.endswith(f"below 50 °C at every part to be touched. Then: {cold.question}")
    part = check_for(log_evidence("corner_hot", "3R", vehicle=HEAVY_DRUMS, brake_degc=49.9, part_degc=60.0))
    assert part.question == burns.question
