"""A refusal of the evidence files names everything that is to be mended, and the words that are allowed.

And what a card says by itself, by what its check needs.
"""

from __future__ import annotations

import re
from typing import get_args

import pytest
from evidencefiles import PINS, change, copied_evidence

from thermlog.advice.candidates import Candidate, stands_before
from thermlog.advice.evidence import AnsweredBy
from thermlog.advice.evidencechecks import INSTRUCTS
from thermlog.advice.evidenceload import evidence_table, load_evidence
from thermlog.words.errors import EvidenceError

TABLE = evidence_table()


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


def test_whatever_turns_a_raised_wheel_says_how_a_driven_axle_is_raised():
    """With one wheel of it up the differential holds it, or turns the gears; a trailer drives none."""
    trailers = {key for key, kind in TABLE.kinds.items() if kind.group == "trailer"}
    turning = {key for key, one in TABLE.observations.items() if {"lift", "turns"} <= set(one.needs)}
    assert {"spin_hot", "frees_cold", "bearing_spin", "lets_go", "bleeder_frees", "rods_grip"} <= turning
    for key, one in TABLE.observations.items():
        drives = key in turning and not set(one.applies_to) <= trailers
        assert ("both its wheels up" in one.safety) is drives, key
        assert ("never run it by the engine" in one.safety) is drives, key
    raised = stands_before(Candidate(key="spin_hot", asked=TABLE.observations["spin_hot"]), {})
    assert "a driven axle with both its wheels" in raised.asked.ask
