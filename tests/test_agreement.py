"""Text, chart, alt text, JSON, CSV, fleet row and exit code say the same of every vehicle.

All sample logs, all written logs and 500 simulated walks whose answer is a watch, from both simulators. What
they should agree on is the answers; expected values are the answers themselves.
"""

from __future__ import annotations

import importlib
import json
import re
import sys
from collections.abc import Callable
from functools import cache
from itertools import chain
from pathlib import Path
from typing import Any

import pytest
from figurewords import alt_text
from judgecases import tell

from thermlog.cli import run
from thermlog.fleet.again import again_of
from thermlog.fleet.batches import Batch
from thermlog.fleet.fleetlist import Piece
from thermlog.fleet.fleetrows import rows_of
from thermlog.fleet.lister import Lister
from thermlog.fleet.workrow import FleetRow
from thermlog.judging.diagnose import judge
from thermlog.judging.judged import Judged
from thermlog.judging.settings import Settings
from thermlog.reading.read import read_log
from thermlog.reading.readoptions import ReadOptions
from thermlog.reports.chartwords import line_label, panel_head, title_of
from thermlog.reports.report_csv import CORNERS
from thermlog.reports.report_json import check_text
from thermlog.reports.report_text import last_lines, report
from thermlog.reports.summary import ANSWER_WORDS, QUESTIONS, answer_lines, headline, row_headline
from thermlog.reports.surewords import chance_words
from thermlog.reports.wording import SIGNS, VERDICT_WORDS, corners_in_words, printable
from thermlog.reports.workwords import probability_words
from thermlog.words.errors import LogRefusedError
from thermlog.words.findings import Answer, Diagnosis
from thermlog.words.policy import load_policy
from thermlog.words.tables import Readings
from thermlog.words.vehicle import HUB_SPOT, corner_words

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT / "bench"))
worlds = importlib.import_module("validation_worlds")
SAMPLES = sorted((ROOT / "sample_logs").glob("*.csv"))
WRITTEN = sorted((ROOT / "tests" / "data" / "written").glob("*.csv"))
WATCHED = 500
# Kinds of vehicle, faults and rounds among which watches are looked for; 30 vehicles each.
OWN, OTHER = ("car_disc", "rigid3_drum"), ("small_disc", "tipper_three")
SKINS = {"own": "as believed", "other": "mixed"}
FAULTS = ("none", "corner_hot", "corner_cold", "axle_hot", "all_hot")
ODD = {"yes", "watch"}


def three(one: Diagnosis) -> dict[str, Answer]:
    return {"drag": one.answers.drag, "idle": one.answers.idle, "heat": one.answers.heat}


def disagreements(one: Diagnosis) -> list[str]:
    """Everything in which two outputs say different things of one case."""
    checks: tuple[Callable[[Diagnosis], list[str]], ...] = (
        _text, _chart, _json, _csv, _fleet, _places, _corners, _head, _urgent,
    )  # fmt: skip
    return [f"{check.__name__}: {what}" for check in checks for what in check(one)]


def _wrong(**right: bool) -> list[str]:
    return [name for name, holds in right.items() if not holds]


def _text(one: Diagnosis) -> list[str]:
    """First line, last four lines and the three answers of the report are those of the summary."""
    lines = report(one, load_policy(one.policy.name)).splitlines()
    short = last_lines(one)
    said = [printable(line) for line in answer_lines(one)]
    return _wrong(
        first=lines[0] == printable(headline(one)),
        last=lines[-4:] == short,
        finding=short[0] == f"FINDING   {lines[0]}",
        answers=all(f"  {line}" in lines for line in said),
        words=all(
            f"{question} {ANSWER_WORDS[answer.answer]}" in line
            for question, answer, line in zip(QUESTIONS, three(one).values(), said, strict=True)
        ),
        corners=all(
            (corners_in_words(answer.corners, one.axle_count) in line) == (answer.answer in ODD)
            for answer, line in zip(three(one).values(), said, strict=True)
            if answer.corners
        ),
    )


def _chart(one: Diagnosis) -> list[str]:
    alt = alt_text(one)
    return _wrong(
        title=title_of(one, "C") == printable(headline(one)),
        alt_title=alt.startswith(title_of(one, "C")),
        alt_answers=all(printable(line).rstrip(".") in alt for line in answer_lines(one)),
        heads=all(panel_head(one, axle.axle, "C") in alt for axle in one.axles),
    )


def _json(one: Diagnosis) -> list[str]:
    told = json.loads(check_text([one], as_list=False))
    found = [
        key
        for key, answer in three(one).items()
        if (told["answers"][key]["answer"], tuple(told["answers"][key]["corners"]))
        != (answer.answer, answer.corners)
    ]
    codes = [urgent["code"] for urgent in told["urgent"]]
    return found + _wrong(urgent=codes == [urgent.code for urgent in one.urgent])


def _csv(one: Diagnosis) -> list[str]:
    found = []
    for corner in one.corners:
        cells = {column.name: column.cell(one, corner) for column in CORNERS}
        found += [key for key, answer in three(one).items() if cells[key] != answer.answer]
        found += _wrong(
            verdict=cells["verdict"] == corner.verdict,
            urgent=cells["urgent"] == "; ".join(dict.fromkeys(urgent.code for urgent in one.urgent)),
        )
    return found


def _fleet(one: Diagnosis) -> list[str]:
    rows = rows_of(one)
    found = [key for row in rows for key, answer in three(one).items() if getattr(row, key) != answer.answer]
    group = rows[0].group
    return found + _wrong(
        some=bool(rows),
        urgent=all(row.urgent == one.urgent for row in rows),
        group=(group != "nothing") == one.flagged,
        danger=(group == "urgent") == bool(one.urgent),
        stop=[row.stops for row in rows].count(True) == bool(one.urgent),
        words=all(row_headline(row).startswith(f"{SIGNS['urgent']} STOP") == row.stops for row in rows),
        again=(again_of(rows[0]) is not None) == (group == "again"),
    )


def _places(one: Diagnosis) -> list[str]:
    """A line of the list names the brakes of an answer, by that question, with its number beside them."""
    found, told = [], set()
    names = {corner.corner: corner_words(corner.corner, one.axle_count) for corner in one.corners}
    for row in rows_of(one):
        hub = row.hottest is not None or (row.finding.suspect or "", HUB_SPOT) in {
            (corner.corner, corner.spot) for corner in one.corners if corner.verdict == "hot"
        }
        if row.stops or row.part is not None or hub or row.group not in {"called", "watch"}:
            return []  # told by the corner that stops it, or the part, which have tests of their own
        words = row_headline(row)
        named = {corner for corner, said in names.items() if said in words or "every brake" in words}
        asked = (("drag", one.answers.drag), ("not work", one.answers.idle), ("whole", one.answers.heat))
        answers = [answer for word, answer in asked if word in words]
        told |= named
        if "may, too" in words:
            answers += [one.answers.drag, one.answers.idle]
        cold = row.finding.verdict == "cold"
        of_its_own = one.answers.idle if cold else (answers or [one.answers.drag])[0]
        of_its_own = one.answers.heat if "whole" in words else of_its_own
        chances = chance_words(of_its_own, one.axle_count)
        figures = re.findall(r"\d+ %|\d+ in 10", chances)
        lesser = re.findall(r"(axle \d+ \w+|(?:front|rear) \w+) by itself ([<\d ]+ %)", chances)
        sole = {names[corner] for corner in named} if row.finding.verdict == "watch" else set()
        alone = [chance for said, chance in lesser if sole == {said}]
        shown = re.findall(r"\d+ %|\d+ in 10", probability_words(row))
        found += _wrong(
            some=bool(named) and bool(answers),
            side="left or right" not in words,
            of_answer=named <= {corner for answer in answers for corner in answer.suspected},
            place=row.corner is None or row.corner in named,
            number=set(shown) <= set(figures),
            of_any=not (alone and shown) or alone[0].endswith(shown[0]),
        )
    drag, idle, _ = one.answers.each
    return found + _wrong(all_named={*drag.suspected, *idle.suspected} <= told)


def _corners(one: Diagnosis) -> list[str]:
    """Hot and cold stand beside a brake only where an answer says yes of it, and a yes stands beside it."""
    found = []
    for corner in one.corners:
        if corner.spot in {HUB_SPOT, "rim", "tyre_inner", "tyre_outer"}:
            continue
        drag, idle, heat = (corner.corner in a.corners and a.answer == "yes" for a in three(one).values())
        watched = any(
            corner.corner in (a.corners if a.answer == "watch" else a.beside) for a in three(one).values()
        )
        found += _wrong(
            hot=corner.verdict != "hot" or drag or heat,
            cold=corner.verdict != "cold" or idle,
            watch=corner.verdict != "watch" or watched,
            called=not drag or corner.verdict == "hot",
            dead=not idle or corner.verdict in {"cold", "hot", "watch"},
        )
    return found


def _head(one: Diagnosis) -> list[str]:
    """HOT and COLD on the chart and in the text's tables are the corners' own verdicts."""
    found = []
    for axle in one.axles:
        told = {corner.verdict for corner in one.corners if corner.axle == axle.axle}
        head = panel_head(one, axle.axle, "C")
        found += [
            f"{word} {head}" for word in ("hot", "cold") if (VERDICT_WORDS[word] in head) and word not in told
        ]
    labels = [line_label(one, curve) for curve in one.curves]
    hot = {corner.side for corner in one.corners if corner.verdict == "hot"}
    found += [label for label in labels if VERDICT_WORDS["hot"] in label and not hot]
    return found


def _urgent(one: Diagnosis) -> list[str]:
    line, check = headline(one), one.next_check
    return _wrong(
        stop=line.startswith(f"{SIGNS['urgent']} STOP DRIVING") == bool(one.urgent),
        quiet=bool(one.urgent) or "STOP" not in line,
        exit=one.flagged == (bool(one.urgent) or any(a.answer != "no" for a in three(one).values())),
        do=check is not None,
    )


@cache
def judged_file(path: Path) -> Judged | None:
    try:
        return judge(read_log(str(path), ReadOptions()).readings, Settings())
    except LogRefusedError:
        return None


def _cases(judged: Judged) -> list[Diagnosis]:
    return [tell(judged, k, curves=True) for k in range(len(judged.readings.cases))]


@pytest.mark.parametrize("path", [*SAMPLES, *WRITTEN], ids=lambda path: path.stem)
def test_outputs_agree_for_every_log(path: Path) -> None:
    judged = judged_file(path)
    if judged is None:
        assert run(["check", str(path)]) == 3
        return
    found = _cases(judged)
    assert [disagreements(one) for one in found] == [[] for _ in found]
    piece = Lister(settings=Settings())(Batch(paths=(str(path),)))
    assert len(piece.flagged) == sum(one.flagged for one in found)
    lines = _lines(piece)
    rows = [(row.drive, row.drag, row.idle, row.heat, row.urgent) for row in lines]
    wanted = [_row_of(one) for one in found]
    assert list(dict.fromkeys(rows)) == wanted
    # what to do next is what a check says; where it would keep the record a list says nothing
    errands = {row.drive: row.errand for row in lines}
    for one in found:
        errand, check = errands[one.drive], one.next_check
        assert check is not None
        assert (errand is not None) == one.flagged
        if errand is not None:
            assert (errand.id, errand.question, errand.minutes, errand.safety) == (
                check.id,
                check.question,
                check.minutes,
                check.safety,
            )
    full = Lister(settings=Settings(), write=lambda told: tuple(one.log.file for one in told))(
        Batch(paths=(str(path),))
    )
    assert _lines(full) == lines


def _lines(piece: Piece) -> list[FleetRow]:
    return [*piece.rows, *chain(*piece.quiet)]


def _row_of(one: Diagnosis) -> tuple[Any, ...]:
    words = (answer.answer for answer in three(one).values())
    return one.drive, *words, one.urgent


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_exit_code_is_that_of_the_answers(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    judged = judged_file(path)
    assert judged is not None
    found = _cases(judged)
    assert run(["check", "--quiet", str(path)]) == int(any(one.flagged for one in found))
    printed = capsys.readouterr().out.splitlines()
    for one in found:
        assert last_lines(one)[0] in printed


def _worlds() -> list[tuple[Any, ...]]:
    return [
        (world, kind, fault, rounds)
        for rounds in (1, 2, 3)
        for world, kinds in (("own", OWN), ("other", OTHER))
        for kind in kinds
        for fault in FAULTS
    ]


@cache
def _batch(world: str, kind: str, fault: str, rounds: int) -> Judged:
    cell = worlds.Cell(world=world, kind=kind, skins=SKINS[world], rounds=rounds)
    made: Readings = worlds.batch(cell, fault, 30, 11).readings
    return judge(made, Settings())


def test_outputs_agree_for_500_simulated_watches() -> None:
    """Watches of both questions, of every fault, cars and lorries, one to three rounds."""
    seen, told = 0, set()
    for place in _worlds():
        judged = _batch(*place)
        for k in range(len(judged.readings.cases)):
            one = tell(judged, k, curves=False)
            words = {key: answer.answer for key, answer in three(one).items()}
            if "watch" not in words.values():
                continue
            assert disagreements(one) == [], (place, k)
            seen += 1
            told |= {key for key, word in words.items() if word == "watch"}
    assert seen >= WATCHED
    assert told == {"drag", "idle", "heat"}
