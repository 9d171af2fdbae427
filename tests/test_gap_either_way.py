"""A plain gap whose cooler side is rather the odd one clears no drag while that side may be sound.

Rises are invented: fronts as hot as after a usual drive, a rear brake far above its mate, as one that a
parking brake holds is. No answer may be "no brake drags" where drums of a low share would read the same.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from historycases import judged_log
from logs import log_text, write_log

from thermlog.judging.facts import case_facts
from thermlog.words.findings import Diagnosis

DRUMS = "# brakes: disc drum\n"
ELECTRIC = "# regenerative: yes\n"


def found(folder: Path, rises_k: dict[str, float], more: str = "", rounds: int = 2) -> Diagnosis:
    (told,) = judged_log(folder, "a.csv", more + log_text(rises_k, rounds=rounds)).findings()
    return told


@pytest.mark.parametrize(("more", "rounds"), [("", 2), (DRUMS, 2), (DRUMS, 3)])
@pytest.mark.parametrize(("hot", "cold"), [(50.0, 15.5), (40.0, 13.0), (45.0, 20.0), (34.0, 11.0)])
def test_a_rear_brake_that_may_be_held_is_not_cleared(
    tmp_path: Path, hot: float, cold: float, more: str, rounds: int
) -> None:
    for side, mate in ("LR", "RL"):
        rises = {"1L": 62.0, "1R": 60.0, f"2{side}": hot, f"2{mate}": cold}
        told = found(tmp_path, dict(sorted(rises.items())), more, rounds)
        _open_either_way(told, f"2{side}", f"2{mate}")


def _open_either_way(told: Diagnosis, hot: str, cold: str) -> None:
    drag, idle = told.answers.drag, told.answers.idle
    assert (drag.answer, drag.corners) == ("cannot_tell", (hot,))
    assert drag.reasons[0].code == "gap_either_way"
    assert drag.reasons[0].corners == (hot, cold)
    assert (idle.answer, idle.corners) == ("watch", (cold,))  # as before: the dead brake stays named
    steps = {one.code for one in drag.decides}
    assert steps & {"coast_drive", "cool_and_turn"}  # by hand where a drive is out of the question
    verdicts = {one.corner: one.verdict for one in told.corners}
    assert (verdicts[hot], verdicts[cold]) == ("cannot_tell", "watch")


def test_either_side_may_be_searched(tmp_path: Path, thermlog) -> None:
    log = write_log(tmp_path, "a.csv", {"1L": 62.0, "1R": 60.0, "2L": 40.0, "2R": 13.0}, rounds=2)
    assert "rear left may drag: the same command with --at 2L" in thermlog("narrow", log).out
    assert "rear left may drag" in thermlog("narrow", log, "--at", "2L").out.splitlines()[1]


@pytest.mark.parametrize(("cold", "word"), [(9.6, "no"), (10.4, "cannot_tell")])
def test_a_brake_with_less_than_a_quarter_of_what_is_expected_is_hardly_sound(
    tmp_path: Path, cold: float, word: str
) -> None:
    """Neither is called (0.6): 9.6 K are 0.24 and 10.4 K 0.26 of the two thirds of the fronts."""
    done = judged_log(tmp_path, "a.csv", log_text({"1L": 61.0, "1R": 60.0, "2L": 34.0, "2R": cold}, rounds=2))
    facts = case_facts(*done.case(0))
    share = facts.axles[2].side("2R").rise_k / facts.expected_k("2R")
    assert share == pytest.approx(cold / 60.5 * 1.5, abs=0.005)
    assert (share >= 0.25) == (word == "cannot_tell")
    assert facts.axles[2].side("2R").p_cold < facts.policy.idle_call_probability
    (told,) = done.findings()
    assert (told.answers.drag.answer, told.answers.idle.answer) == (word, "watch")


@pytest.mark.parametrize(
    ("hot", "cold", "word"), [(40.0, 10.6, "cannot_tell"), (45.0, 10.6, "cannot_tell"), (45.0, 9.6, "no")]
)
def test_a_call_that_is_not_sure_leaves_its_mate_open(
    tmp_path: Path, hot: float, cold: float, word: str
) -> None:
    """Called from 0.6 on, sure from 0.88 on: what is left is more than is watched elsewhere (0.12).

    9.6 K are 0.24 of what the fronts lead to expect: less than a sound brake has.
    """
    done = judged_log(tmp_path, "a.csv", log_text({"1L": 61.0, "1R": 60.0, "2L": hot, "2R": cold}, rounds=3))
    side = case_facts(*done.case(0)).axles[2].side("2R")
    assert 0.6 <= side.p_cold < 0.88
    (told,) = done.findings()
    drag, idle = told.answers.drag, told.answers.idle
    assert (idle.answer, idle.corners) == ("yes", ("2R",))
    assert (drag.answer, drag.corners) == (word, () if word == "no" else ("2L",))
    assert ("gap_either_way" in {one.code for one in drag.reasons}) == (word == "cannot_tell")


def test_beside_a_brake_that_is_surely_dead_its_mate_is_cleared(tmp_path: Path) -> None:
    """Surfaces that are stated leave no other reading of the gap."""
    text = "# emissivity: 0.8\n" + log_text({"1L": 61.0, "1R": 61.0, "2L": 41.0, "2R": 12.5}, rounds=4)
    done = judged_log(tmp_path, "a.csv", text)
    facts = case_facts(*done.case(0))
    side = facts.axles[2].side("2R")
    assert side.p_cold >= 0.88
    assert side.rise_k >= 0.25 * facts.expected_k("2R")
    (told,) = done.findings()
    assert (told.answers.idle.answer, told.answers.drag.answer) == ("yes", "no")


@pytest.mark.parametrize("hot", ["1L", "1R", "2L", "2R"])
def test_where_a_motor_brakes_the_warm_brake_is_the_suspect(tmp_path: Path, hot: str) -> None:
    """Cold is normal there; what the front or rear pair has in common is 8 and 4 K."""
    told = found(tmp_path, {"1L": 8.0, "1R": 8.0, "2L": 4.0, "2R": 4.0} | {hot: 29.0}, ELECTRIC)
    drag = told.answers.drag
    assert (drag.answer, drag.corners) == ("watch", (hot,))
    assert "coast_drive" in {one.code for one in drag.decides}
    assert told.answers.idle.answer != "no"


def test_after_a_motor_braked_an_even_cool_walk_stays_even(tmp_path: Path) -> None:
    told = found(tmp_path, {"1L": 8.0, "1R": 9.0, "2L": 4.0, "2R": 4.5}, ELECTRIC)
    assert told.answers.drag.answer == "no"


def test_what_rests_on_one_reading_is_read_again_before_anything_else(tmp_path: Path) -> None:
    told = found(tmp_path, {"1L": 62.0, "1R": 60.0, "2L": 45.0, "2R": 20.0}, rounds=1)
    drag = told.answers.drag
    assert drag.answer == "cannot_tell"
    assert [one.code for one in drag.reasons] == ["single_reading", "gap_either_way"]
    assert drag.decides[0].code == "read_again"
    assert told.answers.idle.reasons[0] == drag.reasons[0]  # one reading is behind both


@pytest.mark.parametrize(("rests", "word"), [(4.0, "no"), (35.0, "yes")])
def test_the_drive_without_braking_decides(tmp_path: Path, rests: float, word: str) -> None:
    """What stays hot without braking drags; where nothing does the gap is told by the cooler side."""
    braked = log_text({"1L": 62.0, "1R": 60.0, "2L": 40.0, "2R": 13.0}, rounds=3)
    coast = log_text({"1L": 4.0, "1R": 4.0, "2L": rests, "2R": 4.0}, rounds=3)
    head, rows = braked.split("corner,since")
    head = "\n".join(line for line in head.splitlines() if "drive:" not in line)
    of_coast = coast.split("temp_c\n")[1]
    both = [f"normal,{row}" for row in rows.split("temp_c\n")[1].splitlines()]
    both += [f"coast,{row}" for row in of_coast.splitlines()]
    text = "\n".join([head, "drive,corner,since_parked_s,temp_c", *both, ""])
    told = next(one for one in judged_log(tmp_path, "a.csv", text).findings() if one.drive == "normal")
    assert told.answers.drag.answer == word
    assert told.answers.idle.answer in ({"yes", "watch"} if word == "no" else {"no", "cannot_tell"})
