"""Options that would do nothing, and pages that would take each other's place, are refused before work."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import pytest

LOGS = Path(__file__).parent.parent / "sample_logs"
SAMPLE = str(LOGS / "van_front_left_hot.csv")
BEFORE, AFTER = str(LOGS / "van_before_repair.csv"), str(LOGS / "van_after_repair.csv")
PAGES = ("--report", "--customer", "--trainee")


@pytest.mark.parametrize(
    ("given", "name"),
    [
        (("check", SAMPLE, "--chart-neutral"), "--chart-neutral"),
        (("check", SAMPLE, "--chart-width", "narrow"), "--chart-width"),
        (("check", SAMPLE, "--chart-width", "narrow", "--report", "page.html"), "--chart-width"),
        (("compare", BEFORE, AFTER, "--chart-width", "narrow"), "--chart-width"),
    ],
)
def test_words_about_a_chart_without_one_are_wrong_usage(thermlog, given, name):
    ran = thermlog(*given)
    assert (ran.code, ran.out) == (2, "")
    assert f"{name} goes with --chart FILE" in ran.err
    assert not list(Path().iterdir())


def test_a_cause_that_there_is_not_names_the_near_ones_and_begins_no_record(thermlog):
    ran = thermlog("narrow", SAMPLE, "--job", "card.json", "--cause", "slide_pin_stuck")
    assert ran.code == 3
    assert "nearest: slide_pin_seized" in ran.err
    assert len(ran.err) < 250
    assert not Path("card.json").exists()


@pytest.mark.parametrize("pair", [*combinations(PAGES, 2), *((page, "--output") for page in PAGES)])
def test_two_pages_of_one_name_are_wrong_usage(thermlog, pair):
    ran = thermlog("check", SAMPLE, pair[0], "one.html", pair[1], "./one.html", "--force")
    assert (ran.code, ran.out) == (2, "")
    assert "name the same file" in ran.err
    assert not Path("one.html").exists()


@pytest.mark.parametrize("page", PAGES)
def test_a_page_that_exists_is_refused_before_any_work(thermlog, page):
    Path("old.html").write_text("kept", encoding="utf-8")
    others = [word for other in PAGES if other != page for word in (other, f"new{other}.html")]
    ran = thermlog("check", SAMPLE, page, "old.html", *others)
    assert (ran.code, ran.out) == (3, "")
    assert "old.html: exists already" in ran.err
    assert [one.name for one in Path().iterdir()] == ["old.html"]
    assert Path("old.html").read_text(encoding="utf-8") == "kept"
