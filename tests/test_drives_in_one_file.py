"""Two drives in one file, hours apart, are no one walk: by their times alone, and by a line between them.

All logs are invented: a front left brake that drags, and the same vehicle five hours later, mended.
"""

from __future__ import annotations

import json

import pytest

FIRST = "9:00,LF,212 9:00,RF,108 9:01,LR,70 9:01,RR,71 9:06,RR,63 9:06,LR,61 9:06,RF,91 9:06,LF,177"
SECOND = "14:00,LF,108 14:00,RF,104 14:01,LR,67 14:01,RR,70 14:06,RR,63 14:06,LR,62 14:06,RF,91 14:06,LF,92"


def log_of(head, first=FIRST, between="", second=SECOND):
    rows = [*head, "time,wheel,temp C", *first.split(), *([between] if between else []), *second.split()]
    return "\n".join(rows) + "\n"


@pytest.fixture
def checked(thermlog, tmp_path):
    def run(text):
        path = tmp_path / "log.csv"
        path.write_text(text, encoding="utf-8")
        found = json.loads(thermlog("check", str(path), "--format", "json").out)
        return found if isinstance(found, list) else [found]

    return run


@pytest.mark.parametrize("head", [["# ambient: 15 C"], ["Van"]], ids=["air", "no air"])
@pytest.mark.parametrize("between", ["", "second drive, new caliper LF fitted", "time,wheel,temp C"])
def test_hours_between_two_rounds_ask_for_two_drives(checked, head, between):
    """9:00 to 9:06 is no walk in minutes and seconds: eight wheels in six seconds."""
    text = log_of(head, between=between)
    (found,) = checked(text)
    drag = found["answers"]["drag"]
    assert (drag["answer"], found["answers"]["idle"]["answer"]) == ("cannot_tell", "cannot_tell")
    reason = next(one for one in drag["reasons"] if one["code"] == "clock_moved")
    lines = [k for k, row in enumerate(text.splitlines(), start=1) if row.startswith(("9:06,LF", "14:00,LF"))]
    assert reason["numbers"]["hours"] == pytest.approx(4.9, abs=0.01)  # 14:00 less 9:06
    assert [reason["numbers"]["before"], reason["numbers"]["line"]] == lines
    assert f"5 h lie between lines {lines[0]} and {lines[1]}" in reason["text"]
    assert "two drives? Then write `# drive: ...` over each" in reason["text"]


@pytest.mark.parametrize(
    "words", [("first", "second"), ("normal", "verification"), ("before", "after repair")]
)
def test_a_line_over_each_keeps_them_apart(checked, words):
    head = ["# ambient: 15 C", f"# drive: {words[0]}"]
    found = checked(log_of(head, between=f"# drive: {words[1]}"))
    assert [one["answers"]["drag"]["answer"] for one in found] == ["yes", "no"]
    assert [corner["readings"] for one in found for corner in one["corners"]] == [2] * 8


def test_a_walk_in_minutes_and_seconds_with_a_pause_stays_one(checked):
    """Two rounds at 15 s a wheel, four minutes between: as hours no walk would be so long."""
    first = "0:30,LF,109 0:45,RF,105 1:00,LR,68 1:15,RR,70"
    (found,) = checked(
        log_of(["# ambient: 15 C"], first, second="6:00,RR,61 6:15,LR,59 6:30,RF,89 6:45,LF,91")
    )
    assert found["answers"]["drag"]["answer"] == "no"
    later = "30:00,LF,109 30:12,RF,105 30:24,LR,68 30:36,RR,70"
    (found,) = checked(
        log_of(["# ambient: 15 C"], later, second="35:00,RR,61 35:12,LR,59 35:24,RF,89 35:36,LF,91")
    )
    assert found["answers"]["drag"]["answer"] == "no"


def test_rounds_of_a_pause_that_cooled_as_brakes_do_are_one_walk(checked):
    """An hour later nearly at the air: nothing was driven between."""
    cold = "10:30,LF,24 10:30,RF,23 10:31,LR,20 10:31,RR,20"
    (found,) = checked(
        log_of(["# ambient: 15 C"], FIRST.replace("212", "112").replace("177", "92"), second=cold)
    )
    assert "clock_moved" not in {one["code"] for one in found["answers"]["drag"]["reasons"]}
