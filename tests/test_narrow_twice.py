"""A check that is made once more before a cause is named, and what two answers tell together."""

from __future__ import annotations

import json
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from advicecases import HEAVY_DRUMS, after, log_evidence
from hypothesis import given
from hypothesis import strategies as st
from terminals import on_terminal

import thermlog as package
from thermlog.advice.choosing import askable, choose, righter
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.narrowing import Found, narrow
from thermlog.advice.search import advanced, begun
from thermlog.advice.twice import agreed_pairs, differing, first_time, latest, second_p
from thermlog.advice.weighing import again_p, weights_of
from thermlog.bay.views import check_of_search
from thermlog.cli import run
from thermlog.followup.jobrecord import known_job
from thermlog.judging.settings import Settings
from thermlog.pages.job import job_page
from thermlog.pipeline.run import run_one
from thermlog.reports.report_narrow import differing_lines
from thermlog.words.errors import OptionError

TABLE = evidence_table()
SAMPLE = str(Path(__file__).parent.parent / "sample_logs" / "van_front_left_hot.csv")
# Pads tight in the bracket, all answers the usual ones but one: the pads seemed to slide.
ONE_SLIP = {
    "brake_kind": "hyd_disc_floating", "on_stands": "yes", "spin_hot": "drags_evenly",
    "piston_draws_back": "draws_back", "wear_pads": "tapered", "pads_slide": "slide", "pins_slide": "free",
    "piston_back_shut": "smooth", "feel_noise": "scrape", "lets_go": "at_once", "job_before": "nothing",
    "bearing_spin": "smooth", "bearing_rock": "no_play", "wear_mate": "more", "parts_match": "alike",
    "rotor_look": "normal", "pulsation": "smooth", "lining_new": "part_worn", "visual": "nothing_seen",
    "read_once_more": "comes_back",
}  # fmt: skip
# The sample was too hot to be touched.
COOLED_SLIP = {
    "cool_first": "cooled", "frees_cold": "still_drags_cold", **ONE_SLIP, "frees_jerk": "no_jerk",
}  # fmt: skip


def told_of_a_log():
    done = run_one(SAMPLE, Settings())
    return done.flagged_case(None)[1]


@st.composite
def cards(draw):
    """A card of two to four answers under three causes, and a first answer."""
    count = draw(st.integers(2, 4))
    weights = draw(st.lists(st.integers(1, 90), min_size=count * 3, max_size=count * 3))
    p = np.array(weights, dtype=float).reshape(count, 3)
    return p / p.sum(axis=0), draw(st.integers(0, count - 1))


@given(card=cards(), slip=st.floats(0.01, 0.3), comes_again=st.floats(0.0, 1.0))
def test_second_answer_is_that_of_a_brute_force_enumeration(card, slip, comes_again):
    """All ways two answers come about: what the cause shows, one slip for both times, or slips apart."""
    p, first = card
    count, same = len(p), slip * comes_again
    apart = slip * (1 - comes_again) / (1 - same)
    both = np.zeros((count, 3))
    for shown, second in product(range(count), repeat=2):
        told = [(1 - apart) * (shown == one) + apart / count for one in (first, second)]
        both[second] += (1 - same) * p[shown] * told[0] * told[1]
    both[first] += same / count

    assert second_p(p, first, slip=slip, comes_again=comes_again) == pytest.approx(both / both.sum(axis=0))
    # As often a slip the second time as the first: own model, exact.
    assert both.sum(axis=0) == pytest.approx((1 - slip) * p[first] + slip / count)


def test_the_same_again_tells_less_than_a_new_check_would():
    """An answer twice moves a cause up, but by less than the same row asked independently."""
    once, twice = (
        weights_of(after(log_evidence("corner_cold", "2L", vehicle=HEAVY_DRUMS), found).situation)
        for found in ({"stroke": "over_limit"}, {"stroke": "over_limit", "stroke_again": "over_limit"})
    )
    none = weights_of(begun(log_evidence("corner_cold", "2L", vehicle=HEAVY_DRUMS)).situation)
    causes = list(TABLE.causes)
    long, other = causes.index("slack_long"), causes.index("lining_contaminated")
    ratios = [one[long] / one[other] for one in (none, once, twice)]
    assert ratios[0] < ratios[1] < ratios[2]
    assert ratios[2] / ratios[1] < ratios[1] / ratios[0]


def test_two_answers_speak_for_nothing():
    found = (("stroke", "over_limit"), ("stroke_again", "within_limit"), ("leak_air", "tight"))
    assert differing(found) == ("stroke",)
    assert agreed_pairs(found) == (("leak_air", "tight"),)
    assert latest(found) == {"stroke": "within_limit", "leak_air": "tight"}
    evidence = log_evidence("corner_cold", "2L", vehicle=HEAVY_DRUMS)
    state = narrow(evidence, [Found(check=check, answer=answer) for check, answer in found])
    said = [line for one in state.suspects for line in (*one.for_, *one.against)]
    assert state.differs == ("stroke",)
    line = "Applied stroke: first stroke over the limit, then stroke within the limit; it counts for neither."
    assert differing_lines(state) == [line]
    assert check_of_search(state, told_of_a_log(), "C").ending.startswith(line)
    assert not any("stroke" in line.lower() for line in said)
    both = narrow(evidence, [Found(check=c, answer="over_limit") for c in ("stroke", "stroke_again")])
    assert "Stroke over the limit, twice." in both.suspects[0].for_


def test_the_check_on_which_the_name_hangs_is_made_again_and_the_slip_is_found():
    """The pads seemed to slide; everything else is told; asked again, they are tight."""
    state = package.narrow(SAMPLE, COOLED_SLIP)
    assert state["causes"][0]["cause"] != "pads_bound"
    assert state["next_check"]["id"] == "pads_slide_again"
    assert state["next_check"]["question"].startswith("Once more before a cause is named")
    assert [one["id"] for one in state["next_check"]["answers"]] == list(
        TABLE.observations["pads_slide"].answers
    )
    after = package.narrow(SAMPLE, COOLED_SLIP | {"pads_slide_again": "tight"})
    assert after["causes"][0]["cause"] == "pads_bound"
    assert after["differing"] == ["pads_slide"]


def test_a_check_made_again_costs_its_own_minutes_and_is_not_made_a_third_time():
    evidence = log_evidence("corner_hot", "1L")
    before = after(evidence, ONE_SLIP)
    again = advanced(before, "pads_slide_again", "slide")
    assert again.minutes - before.minutes == TABLE.observations["pads_slide"].minutes
    assert "pads_slide_again" in {one.key for one in askable(before, ()).again}
    assert "pads_slide_again" not in {one.key for one in askable(again, ()).again}
    assert "pads_slide_again" not in {one.key for one in askable(before, ["pads_slide_again"]).again}


@pytest.mark.parametrize(("factor", "again"), [(0.999, True), (1.001, False)])
def test_it_is_made_again_where_the_name_gets_right_often_enough(monkeypatch, factor, again):
    """Just above and just below the line."""
    told = {**ONE_SLIP, "frees_cold": "still_drags_cold", "frees_jerk": "no_jerk"}
    search = after(log_evidence("corner_hot", "1L"), told)
    shares = weights_of(search.situation) / weights_of(search.situation).sum()
    gains = [
        righter(again_p(first_time(one.key), told[first_time(one.key)]), shares)
        for one in askable(search, ()).again
    ]
    monkeypatch.setitem(evidence_table().rule, "again_gain", max(gains) * factor)
    asked = choose(search).asked
    assert (asked is not None and asked.key.endswith("_again")) is again


def test_how_much_righter_by_hand():
    """Shares 0.6 and 0.4, a check that tells the two apart in nine of ten: 0.54 + 0.36 - 0.6 = 0.3."""
    p = np.array([[0.9, 0.1], [0.1, 0.9]])
    assert righter(p, np.array([0.6, 0.4])) == pytest.approx(0.3)
    assert righter(p, np.array([0.95, 0.05])) == pytest.approx(0.0)  # the first stays first either way


def test_drivers_and_what_a_check_has_changed_are_not_asked_twice():
    once = {key for key, asked in TABLE.observations.items() if not asked.repeats}
    assert once == {key for key, asked in TABLE.observations.items() if asked.source in {"log", "driver"}} | {
        "frees_jerk"
    }
    search = after(log_evidence("corner_hot", "1L"), ONE_SLIP)
    assert not {"feel_noise_again", "job_before_again", "frees_jerk_again", "brake_kind_again"} & {
        one.key for one in askable(search, ()).again
    }


@pytest.mark.parametrize(
    ("found", "said"),
    [
        ({"spin_hot_again": "free"}, "which has no answer; give that first"),
        ({"spin_hot": "free", "spin_hot_again": "over"}, 'no answer "over"'),
        ({"th_scope_again": "axle_pair"}, "no check"),
        ({"on_stands": "yes", "on_stands_again": "yes"}, "no check"),
    ],
)
def test_second_answers_are_refused_by_name(found, said):
    with pytest.raises(OptionError, match=said):
        package.narrow(SAMPLE, found)


def test_a_wheel_that_turned_free_and_drags_the_second_time_drags():
    """The ladder needs a dragging wheel: the last answer counts."""
    evidence = log_evidence("corner_hot", "1L")
    told = {"on_stands": "yes", "visual": "nothing_seen", "spin_hot": "free"}
    board = askable(after(evidence, told), ()).board
    shut, open_ = (
        askable(after(evidence, told | more), ()).able[board.at["bleeder_frees"]]
        for more in ({}, {"spin_hot_again": "drags_evenly"})
    )
    assert (shut, open_) == (False, True)


def test_on_a_terminal_it_is_one_key_and_the_record_shows_both_answers():
    """Twenty-one answers of the command line, then the check once more, back, and the answer again."""
    pairs = [part for check, answer in COOLED_SLIP.items() for part in ("--found", f"{check}={answer}")]
    assert run(["narrow", SAMPLE, "--job", "card.json", *pairs]) == 1
    shown = on_terminal("2b2q", "narrow", SAMPLE, "--job", "card.json")
    screens = shown.split("stop here")
    assert "Once more before a cause is named" in screens[0]
    assert "it counts for neither" in shown
    kept = json.loads(Path("card.json").read_text(encoding="utf-8"))["answers"]
    assert [(one["check"], one["answer"]) for one in kept if first_time(one["check"]) == "pads_slide"] == [
        ("pads_slide", "slide"),
        ("pads_slide_again", "tight"),
    ]
    assert "Pads in the bracket, once more" in job_page(known_job("card.json"))


def test_a_hub_that_stands_out_has_its_bearing_tried_first():
    """The vehicle may lose the wheel; so says the next check of the log, too."""
    state = narrow(log_evidence("hub_hot", "1L"), [Found(check="on_stands", answer="yes")])
    assert state.check.id == "bearing_spin"
    skipped = narrow(
        log_evidence("hub_hot", "1L"), [Found(check="on_stands", answer="yes")], ["bearing_spin"]
    )
    assert skipped.check.id != "bearing_spin"
