"""A refusal of the evidence files names everything that is to be mended, and the words that are allowed."""

from __future__ import annotations

import re
from typing import get_args

import pytest
from evidencefiles import PINS, change, copied_evidence

from thermlog.advice.evidence import AnsweredBy
from thermlog.advice.evidencechecks import INSTRUCTS
from thermlog.advice.evidenceload import load_evidence
from thermlog.words.errors import EvidenceError


def test_names_without_a_row_are_refused_at_once(tmp_path):
    """Two twins of the stuck magnet lever with no row, then two names of no cause: one run shows both."""
    folder = copied_evidence(tmp_path)
    text = (folder / "causes.toml").read_text(encoding="utf-8")
    entry = re.search(r"\[cause\.magnet_stuck\].*?\n\n", text, re.S).group()
    twins = "\n".join(entry.replace("magnet_stuck", name) for name in ("magnet_bowed", "magnet_bent"))
    (folder / "causes.toml").write_text(f"{text}\n{twins}", encoding="utf-8")
    with pytest.raises(EvidenceError, match=r'found "magnet_bent magnet_bowed": no row here'):
        load_evidence(folder)
    (folder / "causes.toml").write_text(text, encoding="utf-8")
    change(folder, "checks.toml", PINS, " 10  90 | slide_pin_seized tyre_bent cam_bushing")
    with pytest.raises(EvidenceError, match=r'found "cam_bushing tyre_bent": no such causes'):
        load_evidence(folder)


@pytest.mark.parametrize(
    ("pattern", "instead", "words"),
    [
        (r'^source = "\w+"', 'source = "hand"', ["checks.toml", ".source", '"hand"', *get_args(AnsweredBy)]),
        (r'^do = "\w+', 'do = "Hope', ["checks.toml", *INSTRUCTS]),
    ],
)
def test_a_refusal_lists_the_words_that_are_allowed(tmp_path, pattern, instead, words):
    folder = copied_evidence(tmp_path)
    change(folder, "checks.toml", pattern, instead)
    with pytest.raises(EvidenceError) as refused:
        load_evidence(folder)
    assert [word for word in words if word not in str(refused.value)] == []
