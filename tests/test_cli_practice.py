"""``thermlog practice``: what a trainee and a teacher meet, on a terminal, in files and in JSON."""

from __future__ import annotations

import hashlib
import json
import os
import re
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest
from terminals import on_terminal

from thermlog.practice.cases import CaseOrder, PracticeCase, case_seed
from thermlog.practice.marking import planted_truth
from thermlog.reports.contract.schemas import schema_text

SEED = ("--seed", "7", "--level", "1", "--topic", "diagonal")


def truth_of(number: int = 1):
    case = PracticeCase(CaseOrder(seed=case_seed(7, number), level=1, topic="diagonal"))
    return planted_truth(case.made.fault, case.corners)


def right_answer(number: int = 1) -> str:
    truth = truth_of(number)
    return " ".join(filter(None, [truth.finding, "+".join(truth.corners), "sure", "wheel"]))


# without a terminal


def test_a_case_is_shown_and_asked_for_and_the_exit_code_is_mute(thermlog):
    shown = thermlog("practice", *SEED)
    assert (shown.code, shown.err) == (0, "")
    assert "round 4" in shown.out
    assert "The same again: --seed 7 --level 1 --topic diagonal" in shown.out
    assert "TRUTH" not in shown.out
    right, wrong = (thermlog("practice", *SEED, "--answer", text) for text in (right_answer(), "hub 1L sure"))
    assert (right.code, wrong.code) == (0, 0)
    assert "\nRIGHT (Brier 0.00" in right.out
    assert "NOT RIGHT: another kind of fault (Brier 0.90" in wrong.out
    for part in ("YOU", "TRUTH", "TOOL", "MEASURED", "AGREE", "WHY", "DECIDES", "UNSEEN", "NEXT", "CAUTION"):
        assert f"\n{part} " in wrong.out
    assert "at_common_degc" not in wrong.out


def test_what_the_tool_says_is_what_check_says(thermlog):
    thermlog("practice", *SEED, "--series", "2", "--write", "set")
    told = json.loads(thermlog("practice", *SEED, "--answer", "hub 1L sure", "--format", "json").out)
    checked = json.loads(thermlog("check", "set/case_001.csv", "--format", "json", "--explain").out)
    mine = told["told"][0]["check"]
    assert told["told"][0]["case"]["log"] == Path("set/case_001.csv").read_text(encoding="utf-8")
    for key in ("answers", "pattern", "corners", "axles", "next_check", "urgent", "decisions"):
        assert mine[key] == checked[key]
    text = thermlog("check", "set/case_001.csv", "-q").out.splitlines()[0]
    finding = text.removeprefix("FINDING").strip()
    assert f"TOOL      {finding[:60]}" in thermlog("practice", *SEED, "--answer", "hub 1L sure").out


def test_same_seed_same_bytes_and_no_seed_another_case(thermlog):
    once, again = (thermlog("practice", *SEED, "--answer", "hub 1L sure", "--format", "json") for _ in "ab")
    assert once.out == again.out
    drawn = [json.loads(thermlog("practice", "--format", "json").out) for _ in range(2)]
    assert drawn[0]["seed"] != drawn[1]["seed"]
    assert drawn[0]["open"]["log"] != drawn[1]["open"]["log"]


def test_json_follows_its_schema_and_hides_the_truth(thermlog):
    schema = json.loads(schema_text("practice"))
    before = json.loads(thermlog("practice", *SEED, "--format", "json").out)
    after = json.loads(
        thermlog(
            "practice", *SEED, "--series", "2", "--answer", right_answer(), "--score", "me.json",
            "--format", "json",
        ).out
    )  # fmt: skip
    for told in (before, after):
        jsonschema.validate(told, schema)
    assert (before["told"], before["progress"]) == ([], None)
    assert set(before["open"]) == {
        "number", "vehicle", "drive", "ambient_degc", "corners", "readings", "log",
    }  # fmt: skip
    assert after["told"][0]["mark"] == {"word": "right", "brier": 0.0025}
    assert after["told"][0]["truth"]["corners"] == list(truth_of().corners)
    assert after["open"]["number"] == 2
    assert after["progress"]["person"]["right"] == {"count": 1, "of": 1}


@pytest.mark.parametrize("number", range(1, 7))
def test_a_chart_before_the_commitment_says_the_same_of_sound_and_faulty(thermlog, number):
    """Its words, with title and description, are those of any case: only numbers and places differ."""
    ran = thermlog("practice", "--seed", str(number), "--level", "1", "--chart", "case.svg")
    assert (ran.code, ran.err) == (0, "chart: case.svg\n")
    svg = Path("case.svg").read_text(encoding="utf-8")
    said = " ".join(re.findall(r">([^<>]+)<", svg))
    words = {word.lower() for word in re.findall(r"[A-Za-z_]{3,}", said)}
    assert words <= {
        "readings", "wheels", "front", "rear", "left", "right", "brake", "hub", "normal", "coast", "drive",
        "ambient", "minutes", "since", "parked", "min", "temperature", "axle", "read", "from", "the", "gun",
        "shown", "off", "curve", "this", "whole", "vehicle", "after", "parking",
    }, words  # fmt: skip


def test_charts_of_a_series_carry_its_number_and_of_a_class_the_name_of_the_log(thermlog):
    ran = thermlog("practice", *SEED, "--series", "2", "--chart", "look.png")
    assert (ran.err, Path("look-001.png").stat().st_size > 5000) == ("chart: look-001.png\n", True)
    again = thermlog("practice", *SEED, "--series", "2", "--chart", "look.png")
    assert (again.code, "--force" in again.err) == (3, True)
    assert thermlog("practice", *SEED, "--series", "2", "--write", "set", "--chart", "x.svg").code == 0
    assert {path.name for path in Path("set").glob("*.svg")} == {"case_001.svg", "case_002.svg"}
    mute = thermlog("practice", "--scores", "--score", "me.json", "--chart", "x.svg")
    assert (mute.code, "leave out --scores" in mute.err) == (2, True)


# scores


def test_a_series_stops_and_goes_on_in_its_file(thermlog):
    begun = thermlog("practice", *SEED, "--series", "3", "--score", "me.json", "--answer", right_answer())
    assert "Practice case 2 of 3" in begun.out
    kept = json.loads(Path("me.json").read_text(encoding="utf-8"))
    assert (kept["schema"], kept["series"]["done"], len(kept["cases"])) == ("thermlog-score-1", 1, 1)
    other = thermlog("practice", "--series", "5", "--score", "me.json")
    assert (other.code, other.out) == (3, "")
    assert "a series is open at case 2 of 3" in other.err
    on = thermlog(
        "practice", "--score", "me.json", "-q", "--answer", right_answer(2), "--answer", "nothing 1"
    )
    assert on.out.startswith("2: RIGHT |")
    kept = json.loads(Path("me.json").read_text(encoding="utf-8"))
    assert (kept["series"], len(kept["cases"])) == (None, 3)
    shown = thermlog("practice", "--scores", "--score", "me.json")
    assert (shown.code, shown.out.startswith("3 cases answered")) == (0, True)
    told = json.loads(thermlog("practice", "--scores", "--score", "me.json", "--format", "json").out)
    assert told["progress"]["cases"] == 3
    assert told["progress"]["tool"]["right"]["of"] == 3


def test_a_case_that_was_seen_waits_until_it_is_answered(thermlog):
    """Nobody draws again until a case looks easy."""
    first = thermlog("practice", "--score", "me.json").out
    assert thermlog("practice", "--score", "me.json").out == first
    assert thermlog("practice", "--score", "me.json", "--new").out != first


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("{}", "no score file"),
        ("not json", "no score file"),
        ('{"schema": "thermlog-job-1"}', "no score file"),
        ('{"schema": "thermlog-score-2", "tool": "9", "cases": []}', "no score file"),
        ('{"schema": "thermlog-score-1", "tool": "1", "cases": [], "more": 1}', "no score file"),
        ('{"schema": "thermlog-score-1", "tool": "1", "cases": [{"at": "x"}]}', "no score file"),
        ("\ufeff\x00", "no score file"),
    ],
)
def test_a_file_that_is_no_score_is_refused_and_kept(thermlog, content, said):
    Path("me.json").write_text(content, encoding="utf-8")
    for more in (("--answer", "nothing sure"), ("--scores",), ("--new",)):
        ran = thermlog("practice", *SEED, "--score", "me.json", *more)
        assert (ran.code, ran.out) == (3, "")
        assert said in ran.err
        assert "me.json" in ran.err
    assert Path("me.json").read_text(encoding="utf-8") == content


def test_what_somebody_else_wrote_meanwhile_is_not_lost(thermlog, monkeypatch):
    thermlog("practice", *SEED, "--score", "me.json", "--answer", "nothing sure")
    from thermlog.practice.series import PracticeSeries

    commit = PracticeSeries.commit

    def meddled(self, case, committed):
        entry = commit(self, case, committed)
        kept = json.loads(Path("me.json").read_text(encoding="utf-8"))
        Path("me.json").write_text(json.dumps(kept | {"cases": kept["cases"] * 2}), encoding="utf-8")
        return entry

    monkeypatch.setattr(PracticeSeries, "commit", meddled)
    ran = thermlog("practice", *SEED, "--score", "me.json", "--answer", "nothing sure")
    assert (ran.code, ran.out) == (3, "")
    assert "somebody else has written" in ran.err
    assert len(json.loads(Path("me.json").read_text(encoding="utf-8"))["cases"]) == 2


def test_a_score_file_in_no_folder_is_refused_before_the_truth_is_told(thermlog):
    ran = thermlog("practice", *SEED, "--score", "nowhere/me.json", "--answer", "nothing sure")
    assert (ran.code, ran.out) == (3, "")
    assert "does not exist" in ran.err


# refusals


@pytest.mark.parametrize(
    ("options", "code", "said"),
    [
        (("--scores",), 2, "--scores needs --score"),
        (("--new",), 2, "--new is for a series in --score"),
        (("--key", "k.json"), 2, "--key is for --write or --sheet"),
        (("--sheet", "a.csv"), 2, "--sheet is marked by --key"),
        (("--sheet", "a.csv", "--key", "k.json"), 3, "k.json: cannot be opened"),
        (("--write", "set", "--answer", "nothing sure"), 2, "leave out --answer"),
        (("--write", "set", "--score", "me.json"), 2, "leave out --score"),
        (("--write", "set", "--key", "set/key.json"), 2, "is no secret"),
        (("--score", "a", "-o", "a"), 2, "name the same file"),
        (
            ("--answer", "nothing sure", "--answer", "nothing sure"),
            2,
            "2 answers for 1 cases; add --series 2",
        ),
        (("--answer", "hot 1L sure"), 3, '"hot" is no finding'),
        (("--level", "4"), 2, "--level"),
        (("--topic", "brakes"), 2, "--topic"),
        (("--series", "0"), 2, "--series"),
        (("--scores", "--score", "none.json"), 3, "no such file; begin it with"),
    ],
)
def test_refusal_names_the_cure_and_writes_nothing(thermlog, options, code, said):
    ran = thermlog("practice", *options)
    assert (ran.code, ran.out) == (code, "")
    assert said in ran.err
    assert list(Path().iterdir()) == []


# for a class


def test_a_class_gets_logs_that_tell_nothing_and_the_teacher_a_key(thermlog):
    ran = thermlog("practice", "--series", "4", "--seed", "7", "--write", "set")
    assert (ran.code, ran.err) == (0, "")
    assert "the key is set_key.json: keep it apart" in ran.out
    names = sorted(path.name for path in Path("set").iterdir())
    assert names == ["answers.csv", "case_001.csv", "case_002.csv", "case_003.csv", "case_004.csv"]
    key = json.loads(Path("set_key.json").read_text(encoding="utf-8"))
    sheet = Path("set/answers.csv").read_text(encoding="utf-8")
    assert hashlib.sha256(Path("set_key.json").read_bytes()).hexdigest() in sheet
    for entry in key["cases"]:
        log = Path("set", entry["file"]).read_bytes()
        assert hashlib.sha256(log).hexdigest() == entry["sha256"]
        assert str(entry["case"]["seed"]).encode() not in log
        assert entry["truth"]["kind"].encode() not in log
    assert "seed" not in sheet
    both = [Path(name).read_bytes() for name in ("set_key.json", "set/answers.csv", "set/case_003.csv")]
    again = thermlog("practice", "--series", "4", "--seed", "7", "--write", "set")
    assert (again.code, "--force" in again.err) == (3, True)
    assert thermlog("practice", "--series", "4", "--seed", "7", "--write", "set", "--force").code == 0
    assert both == [
        Path(name).read_bytes() for name in ("set_key.json", "set/answers.csv", "set/case_003.csv")
    ]


def test_a_sheet_is_marked_by_its_key(thermlog):
    thermlog("practice", *SEED, "--series", "3", "--write", "set")
    sheet = Path("set/answers.csv")
    truth = truth_of(2)
    rows = [f"2,{truth.finding},{'+'.join(truth.corners)},sure,wheel", "3,nothing,,0.6,", "1,,,,"]
    head = [line for line in sheet.read_text(encoding="utf-8").splitlines() if not line[0].isdigit()]
    sheet.write_text("\n".join([*head, *rows]) + "\n", encoding="utf-8")
    ran = thermlog("practice", "--sheet", str(sheet), "--key", "set_key.json")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.startswith("2: RIGHT |")
    assert "2 cases answered" in ran.out
    told = json.loads(
        thermlog("practice", "--sheet", str(sheet), "--key", "set_key.json", "--format", "json").out
    )
    assert [one["committed"]["p"] for one in told["told"]] == [0.95, 0.6]
    assert told["open"] is None


@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_a_sheet_of_any_spreadsheet_is_read(thermlog, mark):
    """Quoted cells, decimal commas, tabs or semicolons, as programs of other countries write them."""
    thermlog("practice", *SEED, "--series", "1", "--write", "set")
    sheet = Path("set/answers.csv")
    head, sure = "case,finding,place,sure,next".replace(",", mark), "0.6" if mark == "," else "0,6"
    rows = [head, f'"1"{mark}"nothing"{mark}{mark}"{sure}"{mark} "keep"']
    sheet.write_text("\n".join(rows) + "\n", encoding="utf-8")
    ran = thermlog("practice", "--sheet", str(sheet), "--key", "set_key.json", "--format", "json")
    assert (ran.code, ran.err) == (0, "")
    assert json.loads(ran.out)["told"][0]["committed"]["p"] == 0.6


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("4,nothing,,sure,keep", "line 6: the key has no case 4; it has 1 to 1"),
        ("1,hot,1L,sure,keep", 'line 6: "hot" is no finding'),
        ("x,nothing,,sure,keep", 'line 6: "x,nothing,,sure,keep" is no row of case,finding'),
        ("1,nothing,,sure,keep,more", "is no row of"),
        ('1,"nothing,,sure,keep', "line 6: "),
        (f"1,{'n' * 200_000},,sure,keep", "is no row of"),
    ],
)
def test_a_row_that_is_no_answer_is_refused_by_its_line(thermlog, row, said):
    thermlog("practice", *SEED, "--write", "set")
    sheet = Path("set/answers.csv")
    head = [line for line in sheet.read_text(encoding="utf-8").splitlines() if not line[0].isdigit()]
    sheet.write_text("\n".join([*head, row]) + "\n", encoding="utf-8")
    ran = thermlog("practice", "--sheet", str(sheet), "--key", "set_key.json")
    assert (ran.code, ran.out) == (3, "")
    assert said in ran.err
    other = json.loads(Path("set_key.json").read_text(encoding="utf-8"))
    Path("other.json").write_text(json.dumps(other | {"schema": "thermlog-job-1"}), encoding="utf-8")
    assert (
        "no key of practice cases" in thermlog("practice", "--sheet", str(sheet), "--key", "other.json").err
    )
    swapped = thermlog("practice", "--sheet", "set_key.json", "--key", "set_key.json")
    assert "no answer sheet" in swapped.err


def test_a_key_of_logs_that_are_made_no_more_is_refused(thermlog):
    thermlog("practice", *SEED, "--write", "set")
    key = Path("set_key.json").read_text(encoding="utf-8")
    stale = json.loads(key)
    stale["cases"][0]["sha256"] = "0" * 64
    Path("set_key.json").write_text(json.dumps(stale), encoding="utf-8")
    sheet = Path("set/answers.csv")
    filled = sheet.read_text(encoding="utf-8").replace("1,,,,", "1,nothing,,sure,keep")
    sheet.write_text(filled, encoding="utf-8")
    ran = thermlog("practice", "--sheet", str(sheet), "--key", "set_key.json")
    assert (ran.code, "makes another case 1" in ran.err) == (3, True)


def test_a_class_without_a_seed_gets_one_that_nobody_guesses(thermlog):
    seeds = set()
    for number in range(3):
        thermlog("practice", "--write", f"set{number}")
        seeds.add(json.loads(Path(f"set{number}_key.json").read_text(encoding="utf-8"))["series"]["seed"])
    assert len(seeds) == 3
    assert min(seeds) > 2**40  # of 63 bits: smaller by chance once in four million


# on a terminal


def test_a_series_at_a_terminal_of_80_by_24(thermlog):
    """Wrong keys, back, two cases, a stop; the file holds what was committed to, no screen scrolls."""
    shown = on_terminal("9x1b4z37..437..q", "practice", *SEED, "--series", "3", "--score", "me.json")
    kept = json.loads(Path("me.json").read_text(encoding="utf-8"))
    assert [one["committed"]["finding"] for one in kept["cases"]] == ["nothing", "nothing"]
    assert kept["series"]["done"] == 2
    screens = shown.split("stop here")[:-1]
    assert len(screens) == 16
    for one in screens:
        lines = one.split("\x1b[2J")[-1].replace("\r", "").split("\n")
        assert len(lines) <= 24
        assert max(map(len, lines[1:])) < 80
    assert "9 is no key here; 1 to 5 answer" in shown
    assert "2 cases answered" in shown
    assert thermlog("practice", "--score", "me.json").out.startswith("Practice case 3 of 3")


@pytest.mark.parametrize("key", ["\x04", "q"])
def test_an_ended_keyboard_stops_and_commits_to_nothing(key):
    on_terminal(f"1{key}", "practice", *SEED, "--score", "me.json")
    kept = json.loads(Path("me.json").read_text(encoding="utf-8"))
    assert (kept["cases"], kept["series"]["done"]) == ([], 0)


def test_an_interruption_keeps_what_was_committed_to():
    shown = on_terminal("437\x03", "practice", *SEED, "--series", "2", "--score", "me.json")
    kept = json.loads(Path("me.json").read_text(encoding="utf-8"))
    assert len(kept["cases"]) == 1
    assert "interrupted" in shown


@pytest.mark.parametrize("seed", range(6))
def test_every_kind_of_vehicle_fits_the_screen(seed):
    """Level 3 has lorries of three axles, and hubs beside brakes."""
    shown = on_terminal("1211" if seed else "11", "practice", "--level", "3", "--seed", str(seed))
    for one in shown.split("stop here")[:-1]:
        lines = one.split("\x1b[2J")[-1].replace("\r", "").split("\n")
        assert len(lines) <= 24
        assert max(map(len, lines[1:])) < 80


def test_a_pipe_is_no_terminal():
    ran = subprocess.run(  # our own program
        [sys.executable, "-m", "thermlog", "practice", *SEED],
        input="437", capture_output=True, text=True, check=False, env={**os.environ, "COLUMNS": "80"},
    )  # fmt: skip
    assert (ran.returncode, ran.stderr) == (0, "")
    assert "Commit with --answer" in ran.stdout
