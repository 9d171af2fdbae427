"""How sure a finding is, in words of use to a technician: no "yes" of 30 %, no "may" of under 1 %."""

from __future__ import annotations

import json

import pytest
from coolinglogs import cooling_log

from thermlog.reports.surewords import chance_words, sure_words
from thermlog.words.findings import Answer
from thermlog.words.reasons import Reason

GAP = Reason(code="gap_open", corners=("1R", "1L"), numbers={"difference_k": 20.0, "ratio": 3.5})
ODD = Reason(code="stands_out_hot", corners=("2R", "2L"), numbers={"difference_k": 39.0})
PAIR = Reason(code="both_sides_hot", corners=("2L", "2R"), numbers={"above_k": 30.0})


@pytest.mark.parametrize(
    ("answer", "p", "reason", "said"),
    [
        ("yes", 0.30, ODD, "3 in 10 by the model alone; past the mark"),
        ("yes", 0.44, PAIR, "4 in 10 by the model alone"),  # no gap stands behind it
        ("yes", 0.50, ODD, "probability 50 %"),
        ("watch", 0.004, GAP, "past the marks; by the model alone < 1 %"),
        ("watch", 0.099, GAP, "past the marks; by the model alone 10 %"),
        ("watch", 0.10, GAP, "probability 10 %"),
        ("watch", 0.03, PAIR, "probability 3 %"),  # watched for something else
        ("cannot_tell", 0.02, Reason(code="gap_either_way"), "past the marks; by the model alone 2 %"),
        ("no", 0.004, GAP, "probability < 1 %"),  # the gap that sound brakes have
    ],
)
def test_a_number_does_not_speak_against_its_finding(
    answer: str, p: float, reason: Reason, said: str
) -> None:
    told = Answer(answer=answer, p=p, corners=reason.corners[:1], reasons=(reason,))
    assert chance_words(told, 2) == said


def test_without_a_reason_the_number_stands_alone() -> None:
    assert sure_words(0.3, (), called=True, told=True) == "3 in 10 by the model alone"
    assert chance_words(Answer(), 2) == ""


def test_a_gap_that_is_watched_is_shown_with_its_mark_and_everywhere_alike(thermlog, tmp_path) -> None:
    """An electric car, 20 K between its fronts: the model's share of a drag is about one in a hundred."""
    rises = {"FL": 8.0, "FR": 29.0, "RL": 4.0, "RR": 4.0}
    text = "# regenerative: yes\n" + cooling_log(rises, rounds=2, wheel_s=12)
    (tmp_path / "log.csv").write_text(text, encoding="utf-8")
    found = json.loads(thermlog("check", "log.csv", "--format", "json").out)
    drag = found["answers"]["drag"]
    assert (drag["answer"], drag["corners"]) == ("watch", ["1R"])
    assert drag["p"] < 0.1  # the number stays in JSON
    alone = "past the marks; by the model alone"
    assert f"watch: front right ({alone} " in thermlog("check", "log.csv").out
    listed = " ".join(thermlog("fleet", "log.csv").out.split())
    assert f"its mark 15 °C; {alone} " in listed  # watch_difference_k of the light policy
    assert thermlog("check", "log.csv", "--report", "log.html", "-q").code == 1
    page = (tmp_path / "log.html").read_text(encoding="utf-8")
    assert alone in page
    assert ", by our model" in page  # behind the plain probabilities of the other questions
