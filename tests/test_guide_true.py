"""What the guide for contributors and docs/method.md list is complete."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from judgementnumbers import INFERENCE, JUDGING, numbers_of_judgement

from thermlog.advice.evidenceload import evidence_table
from thermlog.words.policy import NUMBERS, policy_unit

ROOT = Path(__file__).parent.parent
METHOD = (ROOT / "docs" / "method.md").read_text(encoding="utf-8")
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_every_number_of_judgement_is_listed_with_its_value() -> None:
    """Section 9 of docs/method.md against the modules."""
    section = METHOD.partition("\n## 9. ")[2]
    listed = {name: float(value) for name, value in re.findall(r"^\| `(\S+)` \| (\S+) \|", section, re.M)}
    found = {name: float(f"{value:g}") for name, value in numbers_of_judgement().items()}
    assert "faded._LATE_S" in found  # it finds them at all
    assert listed == found


@pytest.mark.parametrize(
    ("room", "end"), [(INFERENCE, "Inside `judging/`"), (JUDGING, "Beside it:")], ids=["inference", "judging"]
)
def test_every_module_of_a_room_stands_in_its_table(room, end) -> None:
    table = GUIDE.partition(f"Inside `{room.name}/`")[2].partition(end)[0]
    modules = {path.stem for path in room.glob("*.py")} - {"__init__"}
    assert set(re.findall(r"`(\w+)`", table)) == modules


def test_the_names_that_show_how_units_follow_are_numbers_of_the_policy() -> None:
    shown = re.findall(r'policy_unit\("(\w+)"\)', policy_unit.__doc__ or "")
    assert shown
    assert set(shown) <= set(NUMBERS)


def test_causes_and_questions_are_counted_as_they_are() -> None:
    """docs/suspects.md says how many there are; what differs is what is to be written."""
    page = (ROOT / "docs" / "suspects.md").read_text(encoding="utf-8")
    table = evidence_table()
    counted = f"{len(table.causes)} causes, {len(table.observations)} questions"
    assert re.findall(r"hold (\d+ causes, \d+ questions)", page) == [counted]
