"""Logs written beside the answers that a careful technician accepts, before any of them was run.

Origin of every expected answer: tests/data/written/README.md and ANSWERS.toml, engineering judgement, common
practice, no source.
"""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from thermlog.judging.diagnose import diagnoses, judge
from thermlog.judging.settings import Settings
from thermlog.reading.read import read_log
from thermlog.reading.readoptions import ReadOptions
from thermlog.words.errors import LogRefusedError
from thermlog.words.findings import Answer, Diagnosis
from thermlog.words.vehicle import split_corner

FOLDER = Path(__file__).parent / "data" / "written"
EXPECTED: dict[str, dict[str, Any]] = {
    one["file"]: one for one in tomllib.loads((FOLDER / "ANSWERS.toml").read_text("utf-8"))["log"]
}
SAID = {"yes", "watch"}


def all_logs() -> list[Any]:
    """Every log as a parameter."""
    return [pytest.param(name, id=name[:-4]) for name in EXPECTED]


@cache
def read_and_told(name: str) -> tuple[Diagnosis, ...]:
    """Every case of a log; none where the log is refused."""
    try:
        readings = read_log(str(FOLDER / name), ReadOptions()).readings
    except LogRefusedError:
        return ()
    return tuple(diagnoses(judge(readings, Settings())))


def answering(cases: tuple[Diagnosis, ...]) -> Diagnosis:
    """The case whose answers count: with two drives the one with braking, which knows the other."""
    return next((one for one in cases if one.drive != "coast"), cases[0])


def named(answer: Answer) -> set[str]:
    """Corners that an answer speaks ill of."""
    return set(answer.corners) if answer.answer in SAID else set()


def complaints(name: str) -> list[str]:
    """Everything in which the answers to a log are not acceptable; empty if they are."""
    wanted, cases = EXPECTED[name], read_and_told(name)
    if not cases:
        return [] if 3 in wanted["exit"] else ["refused"]
    if wanted["exit"] == [3]:
        return ["not refused"]
    one = answering(cases)
    answers = {"drag": one.answers.drag, "idle": one.answers.idle, "heat": one.answers.heat}
    found = [f"{key} is {said.answer}" for key, said in answers.items() if said.answer not in wanted[key]]
    codes = {urgent.code for case in cases for urgent in case.urgent}
    if codes != set(wanted["urgent"]):
        found.append(f"urgent {sorted(codes)}")
    code = int(any(case.flagged for case in cases))
    if code not in wanted["exit"]:
        found.append(f"exit {code}")
    return found + _wrong_corners(wanted, one)


def _wrong_corners(wanted: dict[str, Any], one: Diagnosis) -> list[str]:
    drag, idle = named(one.answers.drag), named(one.answers.idle)
    choices = wanted["corners"]
    if choices and not isinstance(choices[0], list):
        choices = [choices]
    found = []
    asked = bool({one.answers.drag.answer, one.answers.idle.answer} & SAID)
    if asked and choices and not any(set(choice) <= drag | idle for choice in choices):
        found.append(f"names {sorted(drag | idle)}, not {choices}")
    if wrong := drag & set(wanted["not_named"]):
        found.append(f"drag names {sorted(wrong)}")
    return found


@pytest.mark.parametrize("name", all_logs())
def test_answers_are_those_a_careful_technician_accepts(name: str) -> None:
    """Words, urgent lines, exit code and corners."""
    assert complaints(name) == []


def test_every_log_has_its_answers_and_every_answer_its_log() -> None:
    """None is left out of the comparison."""
    assert {path.name for path in FOLDER.glob("*.csv")} == set(EXPECTED)


def test_expected_answers_are_well_formed() -> None:
    """A misspelt word would accept nothing, a misspelt corner would forbid nothing."""
    for one in EXPECTED.values():
        assert set(one["drag"]) | set(one["idle"]) | set(one["heat"]) <= SAID | {"no", "cannot_tell"}
        assert one["exit"]
        assert set(one["exit"]) <= {0, 1, 3}
        corners = [c for item in one["corners"] for c in (item if isinstance(item, list) else [item])]
        for corner in (*corners, *one["not_named"]):
            split_corner(corner)


def test_an_open_answer_is_never_an_all_clear() -> None:
    """What leaves a question open needs somebody to look: engineering judgement, README rule 1."""
    for name in EXPECTED:
        for one in read_and_told(name):
            plain = {one.answers.drag.answer, one.answers.idle.answer, one.answers.heat.answer} == {"no"}
            assert one.flagged == (bool(one.urgent) or not plain), name
