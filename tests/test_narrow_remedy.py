"""The end of a search at one cause: what to do, what else to look at, what is forbidden until then."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from advicecases import CAR, HEAVY_DRUMS, log_evidence
from evidencefiles import change, copied_evidence
from msgspec.structs import replace
from test_narrow_dead import of_kind, state_of, walked

from thermlog.advice.evidenceload import evidence_table, load_evidence
from thermlog.advice.narrowing import Found, narrow
from thermlog.bay.views import check_of_search
from thermlog.judging.settings import Settings
from thermlog.pipeline.run import run_one
from thermlog.reports.report_narrow import narrow_text
from thermlog.words.errors import EvidenceError
from thermlog.words.findings import Suspect

TABLE = evidence_table()
LINES, COLUMNS = 24, 80


def settled():
    """A cold S-cam brake whose stroke is over the limit: one cause is left."""
    evidence = log_evidence("corner_cold", "2L", vehicle=HEAVY_DRUMS)
    return narrow(evidence, [Found(check="stroke", answer="over_limit")])


@pytest.fixture
def lorry(thermlog):
    thermlog("simulate", "--class", "rigid2_drum", "--fault", "corner_cold", "--corner", "2L", "--seed", "5",
             "-o", "lorry.csv")  # fmt: skip
    return "lorry.csv"


def test_the_card_of_the_cause_that_is_left_is_told():
    state = settled()
    card = TABLE.causes["slack_long"]
    assert (state.ending, state.suspects[0].cause) == ("settled", "slack_long")
    assert (state.remedy.cause, state.remedy.do, state.remedy.also) == ("slack_long", card.do, card.also)
    assert card.safety in state.remedy.safety


@pytest.mark.parametrize(
    ("kind", "vehicle", "first"),
    [
        ("corner_cold", HEAVY_DRUMS, "Do not rely on a vehicle with a brake that does not work"),
        ("corner_hot", CAR, "Do not keep driving a dragging brake"),
    ],
)
def test_what_the_fault_forbids_stands_first(monkeypatch, kind, vehicle, first):
    """Found is not mended: it is not driven to the shop for the part."""
    monkeypatch.setitem(evidence_table().rule, "settled_share", 0.0)  # loaded anew by other tests
    found = {"stroke": "over_limit"} if vehicle is HEAVY_DRUMS else {"pins_slide": "stiff"}
    evidence = log_evidence(kind, "2L", vehicle=vehicle)
    state = narrow(evidence, [Found(check=check, answer=answer) for check, answer in found.items()])
    assert state.ending == "settled"
    assert state.remedy.safety.startswith(first)


@pytest.mark.parametrize("found", [(), (Found(check="stroke", answer="within_limit"),)])
def test_nothing_is_mended_before_one_cause_is_left(found):
    state = narrow(log_evidence("corner_cold", "2L", vehicle=HEAVY_DRUMS), found)
    assert (state.ending, state.remedy) == (None, None)


def test_a_gate_alone_takes_no_minutes(thermlog, lorry):
    told = thermlog("narrow", lorry, "--found", "on_stands=no").out
    assert "ANSWERED  on_stands=no\n" in told


def test_text_json_and_phone_say_the_same(thermlog, lorry):
    asked = ("narrow", lorry, "--found", "stroke=over_limit")
    card = TABLE.causes["slack_long"]
    lines = thermlog(*asked).out.splitlines()
    assert f"DO        {card.do}" in lines
    assert f"LOOK AT   {card.also}" in lines
    (caution,) = (line for line in lines if line.startswith("CAUTION"))
    told = json.loads(thermlog(*asked, "--format", "json").out)["remedy"]
    assert (told["do"], told["also"], told["cause"]) == (card.do, card.also, "slack_long")
    assert caution == f"CAUTION   {told['safety']}"
    done = run_one(lorry, Settings())
    k, diagnosis = done.flagged_case(None)
    shown = check_of_search(done.narrowed(k, diagnosis, settled().found), diagnosis, "C").ending
    assert all(words in shown for words in (card.do, card.also, told["safety"]))
    assert json.loads(thermlog("narrow", lorry, "--format", "json").out)["remedy"] is None


@pytest.mark.parametrize("key", list(TABLE.causes))
def test_the_end_needs_no_scrolling(key, told):
    """Beside as many answers as a long search has, of every cause."""
    evidence = log_evidence("corner_hot", "1L", vehicle=HEAVY_DRUMS)
    state, card = narrow(evidence), TABLE.causes[key]
    first = Suspect(cause=key, name=card.name, place="axle 4 right", standing="likely",
                    for_=("a" * 60,) * 3, against=())  # fmt: skip
    found = tuple(
        Found(check=check, answer=next(iter(asked.answers)))
        for check, asked in list(TABLE.observations.items())[10:26]
    )
    longest = max((card, *card.on.values()), key=lambda one: len(one.do + one.also + one.safety))
    rest = replace(
        settled().remedy, do=longest.do or card.do, also=longest.also or card.also,
        safety=f"{'f' * 95} {longest.safety or card.safety}",
    )  # fmt: skip
    ended = replace(state, check=None, answers=(), how="", ending="settled", found=found, minutes=100.0,
                    suspects=(first, *state.suspects), remedy=rest)  # fmt: skip
    rows = [max(1, -(-len(line) // COLUMNS)) for line in narrow_text(ended, told, width=COLUMNS).splitlines()]
    assert sum(rows) < LINES


@pytest.fixture(scope="module")
def told():
    """Findings with a long headline."""
    log = Path(__file__).parent.parent / "sample_logs" / "tipper_axle3_right_hot.csv"
    return run_one(str(log), Settings()).flagged_case(None)[1]


@pytest.mark.parametrize(
    ("kind", "cause", "verdict", "by_air"),
    [
        ("air_disc", "slide_pin_seized", "corner_hot", True),
        ("air_disc", "pads_stuck_off", "corner_cold", True),
        ("hyd_disc_floating", "slide_pin_seized", "corner_hot", False),
    ],
)
def test_an_air_disc_is_told_its_own_words_and_what_presses_there(kind, cause, verdict, by_air):
    """No pin of it moves with two fingers, and air and springs act on it: a car's caliper has neither."""
    remedy = state_of(walked(of_kind(kind, verdict, "2L"), cause)).remedy
    card = TABLE.causes[cause]
    assert remedy.cause == cause
    for words in ("Keep clear of pushrods", "Never open or hammer a spring-brake chamber"):
        assert (words in remedy.safety) is by_air
    assert "stands at the lifting points" in remedy.safety
    own = card.on["air_disc"].do if by_air else ""
    assert remedy.do == (own or card.do)
    assert ("two fingers" in remedy.do) is (kind == "hyd_disc_floating")


def test_every_cause_that_works_at_the_caliper_of_an_air_disc_has_the_caution_of_its_spring():
    """Told by which caution its card has: whoever supports a caliper works at it."""
    support = "Support the caliper"
    at_it = [one for one in TABLE.causes.values() if "air_disc" in one.brakes and support in one.safety]
    assert at_it
    for one in at_it:
        assert "spring-brake chamber" in (
            one.safety if "air_disc" not in one.on else one.on["air_disc"].safety
        )


def test_a_card_for_a_brake_that_cannot_have_the_cause_is_refused_by_name(tmp_path):
    change(copied_evidence(tmp_path), "causes.toml", "on = { air_disc = {", "on = { hyd_drum = {")
    with pytest.raises(EvidenceError, match=r"slide_pin_seized\.on.*hyd_drum"):
        load_evidence(tmp_path)
