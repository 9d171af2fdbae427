"""Reasons in words: every code has a text, numbers may be absent, in the page's unit and words."""

from __future__ import annotations

from string import Formatter
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermlog.words.reasonpatterns import TEXTS
from thermlog.words.reasons import ChangeCode, DoCode, Reason, WhyCode
from thermlog.words.reasontexts import AGREEING, AGREEING_WITH, _named_fields, reason_sentence, reason_text
from thermlog.words.sentences import Page, on_page

CODES = (*get_args(WhyCode), *get_args(ChangeCode), *get_args(DoCode))
CORNER_FIELDS = {"corner", "mate", "others", "corners", "here", "there"}
GAP = {"difference_k": 39.0, "low_k": 31.0, "high_k": 47.0, "ratio": 1.7}
SHARES = {"share_drag": 0.46, "share_idle": 0.2, "share_skins": 0.31, "share_reading": 0.03}


def fields(pattern: str) -> list[str]:
    return [name for _, name, _, _ in Formatter().parse(pattern) if name]


def test_every_code_has_a_text_and_no_text_is_without_a_code():
    assert set(TEXTS) == set(CODES)


@pytest.mark.parametrize("code", CODES)
def test_last_pattern_needs_nothing_and_every_pattern_can_be_spoken(code):
    assert fields(TEXTS[code][-1]) == []
    for k, pattern in enumerate(TEXTS[code]):
        names = set(fields(pattern))
        # an earlier pattern that needs no more would always be spoken instead
        assert not any(set(fields(earlier)) <= names for earlier in TEXTS[code][:k])
        numbers = dict.fromkeys(names - CORNER_FIELDS - {"quoted", *AGREEING, *AGREEING_WITH}, 7.0)
        wanted = names & CORNER_FIELDS
        corners = ("2L", "2R", "1L", "1R")[: 4 if "there" in wanted else 2 if wanted - {"corner"} else 1]
        quoted = "XQ" if "quoted" in names else ""
        text = reason_sentence(Reason(code=code, corners=corners, numbers=numbers, quoted=quoted))
        assert "{" not in text
        assert all(str(word) in text for word in (quoted, *(("7",) if numbers else ())))


@pytest.mark.parametrize("code", CODES)
def test_why_is_a_clause_and_what_to_do_a_whole_sentence(code):
    for pattern in TEXTS[code]:
        if code in get_args(DoCode):
            assert pattern[0].isupper()
            assert pattern.endswith((".", "?"))
        else:
            assert not pattern[0].isupper()
            assert pattern[-1] not in ".?!"


@given(
    code=st.sampled_from(CODES),
    corners=st.lists(st.sampled_from(["1L", "1R", "2L", "2R", "12L"]), unique=True, max_size=5),
    names=st.data(),
)
def test_any_numbers_may_be_absent_or_not_finite(code, corners, names):
    known = sorted({name for pattern in TEXTS[code] for name in fields(pattern)} - CORNER_FIELDS - {"quoted"})
    given_ = names.draw(
        st.dictionaries(st.sampled_from([*known, "unheard_of"]), st.floats(-1e4, 1e4) | st.just(float("nan")))
    )
    reason = Reason(code=code, corners=tuple(corners), numbers=given_)
    text = reason_sentence(reason)
    assert text
    assert reason_text(reason) == str(text)
    assert "nan" not in text.split()
    assert on_page(text, Page(unit="F", axle_count=2))


def test_gap_speaks_its_shares_in_the_words_of_the_page():
    gap = reason_sentence(Reason(code="gap_open", corners=("1L", "1R"), numbers=GAP | SHARES))
    assert gap == (
        "1L is 39 K above 1R (31 to 47), 1.7 to 1: 1L drags 46 %, 1R does too little 20 %, "
        "unlike surfaces 31 %, reading off 3 %"
    )
    shown = on_page(gap, Page(unit="F", axle_count=2))
    # steps of 1.8 °F a kelvin: 39, 31 and 47 K are 70.2, 55.8 and 84.6 °F
    assert shown.startswith("front left is 70 °F above front right (56 to 85), 1.7 to 1")
    without = reason_sentence(Reason(code="gap_open", corners=("1L", "1R"), numbers=GAP))
    assert without.endswith("1.7 to 1: it is open which of the two is the odd one")


@pytest.mark.parametrize(
    ("reason", "text"),
    [
        (
            Reason(code="unknown_wheel", numbers={"line": 7}, quoted="XQ"),
            'line 7: "XQ" is not understood: a wheel nobody knows is never cleared',
        ),
        (
            Reason(code="over_range", corners=("2L",), numbers={"line": 9}),
            "line 9: 2L above the gun's range: may be the hottest wheel",
        ),
        (
            Reason(code="axles_unlike", corners=("2L", "2R", "1L", "1R"), numbers={"times": 2.3}),
            "2L and 2R are 2.3 times as warm as usual beside 1L and 1R: 2L and 2R drag, "
            "or 1L and 1R do too little",
        ),
        (
            Reason(code="axles_unlike", corners=("2L", "1L", "1R"), numbers={"times": 2.3}),
            "2L is 2.3 times as warm as usual beside 1L and 1R: 2L drags, or 1L and 1R do too little",
        ),
        (
            Reason(code="axles_unlike", corners=("2L", "2R", "1R")),
            "2L and 2R are unusually warm beside 1R: 2L and 2R drag, or 1R does too little",
        ),
        (
            Reason(code="limit_above_line", corners=("2L",), numbers={"limit_k": 52, "line_k": 40}),
            "a drag of up to 52 K at 2L could hide in this log (line 40 K)",
        ),
        (
            Reason(code="limit_above_line", corners=("2L",), numbers={"share_limit": 0.8, "share_line": 0.5}),
            "a loss of up to 80 % of its work at 2L could hide in this log (line 50 %)",
        ),
        (
            Reason(code="drive_with_braking", numbers={"stops": 20, "from_kmh": 60, "missing_k": 18}),
            "Drive again with about 20 stops from 60 km/h, then read every brake at once: 18 K more "
            "is needed.",
        ),
        (
            Reason(code="read_again", corners=("2L", "2R")),
            "Read 2L again now, close and square on, then 2R.",
        ),
    ],
)
def test_texts_say_precisely_what_is_known(reason, text):
    assert reason_sentence(reason) == reason_text(reason) == text


def test_a_share_that_rounds_to_nothing_is_not_told_as_none():
    shares = SHARES | {"share_reading": 0.002, "share_skins": 0.0}
    text = reason_sentence(Reason(code="gap_open", corners=("1L", "1R"), numbers=GAP | shares))
    assert text.endswith("unlike surfaces 0 %, reading off under 1 %")


def test_paint_never_goes_on_a_friction_face():
    for corners in ((), ("1L", "1R")):
        assert "never on a friction face" in reason_sentence(Reason(code="mark_and_read", corners=corners))


def test_patterns_are_cut_into_fields_as_the_library_cuts_them():
    """Held against `string.Formatter` for every pattern there is."""
    for pattern in (one for patterns in TEXTS.values() for one in patterns):
        cut = [(literal, name, spec == "bare") for literal, name, spec, _ in Formatter().parse(pattern)]
        assert [one for one in _named_fields(pattern) if one[1] is not None or one[0]] == cut
