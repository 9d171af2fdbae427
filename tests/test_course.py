"""docs/course: every command of a lesson runs and prints what is shown; the cases to try are what it says."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT / "bench"))
from make_course import BLOCK, COURSE, lessons, renewed  # noqa: E402

from thermlog.practice.cases import CaseOrder, PracticeCase, case_seed  # noqa: E402
from thermlog.practice.topics import TOPICS  # noqa: E402

PAGES = [page for page in lessons() if page.name[0].isdigit()]
SECTIONS = ["What you see", "What fools you", "What the tool says, and why", "Try it yourself", "Take care"]
TRY = re.compile(r"(?:--topic (\w+) )?(?:--level (\d) )?--seed (\d+)`")


@pytest.mark.parametrize("page", lessons(), ids=lambda page: page.stem)
def test_outputs_are_those_of_the_commands(page, tmp_path):
    """Figures are compared by ``python bench/make_course.py --check``: they take a second each."""
    text = page.read_text(encoding="utf-8")
    assert renewed(text, tmp_path, draw=False) == text


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_a_lesson_has_its_parts_and_its_figures(page):
    text = page.read_text(encoding="utf-8")
    assert re.findall(r"^## (.*)$", text, re.MULTILINE) == SECTIONS
    assert [block[2] is not None for block in BLOCK.finditer(text)] == [True, True, True]
    shown = re.findall(r"!\[.+\]\((.+)\)", text)
    drawn = re.findall(r"--chart (\S+)", text)
    assert shown == drawn
    assert all((COURSE / name).exists() for name in shown)
    assert "FALSE ALARM" in text or "RIGHT:" in text or "MISSED" in text  # somebody was fooled


def test_every_topic_has_its_lesson_and_every_figure_its_command():
    told = [re.search(r"--topic (\w+)", page.read_text(encoding="utf-8"))[1] for page in PAGES]
    assert told == list(TOPICS)
    drawn = {
        name for page in PAGES for name in re.findall(r"img/(\w+\.svg)\n", page.read_text(encoding="utf-8"))
    }
    assert drawn == {path.name for path in (COURSE / "img").iterdir()}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_among_the_cases_to_try_are_sound_and_faulty_ones(page):
    tried = page.read_text(encoding="utf-8").partition("## Try it yourself")[2].partition("## Take care")[0]
    topic, level, sound = "", 2, []
    for named, harder, seed in TRY.findall(tried):
        topic, level = named or topic, int(harder or level)
        case = PracticeCase(CaseOrder(seed=case_seed(int(seed), 1), level=level, topic=topic))
        sound.append(case.made.fault.kind == "none")
    assert len(sound) == 3
    assert set(sound) == {True, False}
    assert "at least one of them is sound" in tried.replace("\n", " ")
