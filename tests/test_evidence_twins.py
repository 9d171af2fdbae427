"""A cause that is told as another one: its rows are the other's wherever a check does not name it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from evidencefiles import PINS, change, copied_evidence

from thermlog.advice.evidenceload import load_evidence
from thermlog.words.errors import EvidenceError


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return copied_evidence(tmp_path)


def with_twin(folder: Path, told_as: str) -> None:
    """A twin of the slide pin, told as another cause."""
    text = (folder / "causes.toml").read_text(encoding="utf-8")
    entry = re.search(r"\[cause\.slide_pin_seized\].*?\n\n", text, re.S).group()
    twin = entry.replace("slide_pin_seized", "pin_bent").rstrip() + f'\ntold_as = "{told_as}"\n'
    (folder / "causes.toml").write_text(f"{text}\n{twin}", encoding="utf-8")


def test_a_cause_that_is_told_as_another_is_added_with_one_table(folder):
    """It has the rows of the other one, but where a check names it."""
    with_twin(folder, "slide_pin_seized")
    for asked in load_evidence(folder).observations.values():
        assert asked.p["pin_bent"] == asked.p["slide_pin_seized"]
    change(folder, "checks.toml", PINS, "  4  96 | slide_pin_seized\n 30  70 | pin_bent")
    found = load_evidence(folder).observations
    assert found["pins_slide"].p["pin_bent"] == (0.3, 0.7)
    assert found["visual"].p["pin_bent"] == found["visual"].p["slide_pin_seized"]


@pytest.mark.parametrize("other", ["slide_pin", "pin_bent"])
def test_a_cause_is_told_as_one_with_rows_of_its_own(folder, other):
    with_twin(folder, other)
    with pytest.raises(EvidenceError, match=rf"cause\.pin_bent\.told_as.*{other}.*rows of its own"):
        load_evidence(folder)


def test_what_the_other_cause_never_meets_is_still_asked_for(folder):
    """A twin of the magnet told as a slide pin: they share no kind of brake."""
    with_twin(folder, "magnet_stuck")
    with pytest.raises(EvidenceError, match=r"pin_bent.*no row here"):
        load_evidence(folder)
