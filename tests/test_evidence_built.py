"""The evidence as a wheel carries it: likelihoods as bytes, cause behind cause for each answer."""

from __future__ import annotations

from thermlog.advice.evidence import Likelihoods

ROWS = {"worn": (0.25, 0.5, 0.25), "seized": (0.75, 0.125, 0.125)}  # any that binary numbers hold exactly


def test_likelihoods_are_the_rows_they_were_made_of():
    p = Likelihoods.of(ROWS)

    assert dict(p) == ROWS
    assert len(p) == 2
    assert p.by_answer.tolist() == [[0.25, 0.75], [0.5, 0.125], [0.25, 0.125]]
    assert dict(Likelihoods.unpacked({"worn": 0, "seized": 1}, p.by_answer.tobytes())) == ROWS


def test_a_question_without_rows_has_none_of_any_cause():
    assert dict(Likelihoods.of({})) == {}
    assert Likelihoods.of({}).get("worn") is None
