"""How likely one more answer ends a search: against a plain walk through all answers, and what it moves."""

from __future__ import annotations

import pytest
from advicecases import HEAVY_DRUMS, LIGHT_TRAILER, after, log_evidence

from thermlog.advice.board import board_of
from thermlog.advice.choosing import choose
from thermlog.advice.closing import ends_p, is_confirmed_by
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.search import advanced
from thermlog.advice.weighing import cause_weights, rows

TABLE = evidence_table()
CAR = log_evidence("corner_hot", "1L")
LORRY = log_evidence("corner_cold", "2L", vehicle=HEAVY_DRUMS)
TRAILER = log_evidence("corner_cold", "1L", vehicle=LIGHT_TRAILER)
RUNGS = {*TABLE.role["ladder_fluid"], *TABLE.role["ladder_air"]}


def shares_of(search) -> dict[str, float]:
    weights = cause_weights(search.situation)
    return {cause: weight / sum(weights.values()) for cause, weight in weights.items()}


def is_called(search) -> bool:
    """The rule of the end in plain words: believed to 93 %, or to 85 % and confirmed by its card."""
    shares, told = shares_of(search), dict(search.situation.told)
    first = max(shares, key=lambda cause: shares[cause])
    met = {one.check: told.get(one.check) == one.answer for one in TABLE.causes[first].confirms}
    all_of = [yes for check, yes in met.items() if check in RUNGS or TABLE.causes[first].together]
    others = [yes for check, yes in met.items() if check not in RUNGS and not TABLE.causes[first].together]
    confirmed = (bool(all_of) and all(all_of)) or any(others)
    return shares[first] >= (0.85 if confirmed else 0.93)


SEARCHES = [
    (CAR, {"brake_kind": "hyd_disc_floating", "pins_slide": "stiff"}),
    (CAR, {"brake_kind": "hyd_disc_floating", "bleeder_frees": "frees", "hose_outlet_frees": "frees"}),
    (LORRY, {"stroke": "over_limit"}),
    (TRAILER, {"brake_kind": "electric_drum", "current_applied": "none"}),
    (TRAILER, {"brake_kind": "electric_drum"}),
]


@pytest.mark.parametrize(("evidence", "found"), SEARCHES)
def test_it_is_that_of_a_walk_through_all_answers(evidence, found):
    """Every question that counts in full: the sum of how likely each answer is that ends the search.

    A share near one of the two lines would hang on rounding; none is, by 1e-9. No cause is believed to more
    than 97 %, which lies above both lines.
    """
    search = after(evidence, **found)
    board, told = board_of(search.situation), dict(search.situation.told)
    expected, shares = ends_p(board, search.situation), shares_of(search)
    seen = 0
    for k, one in enumerate(board.asked):
        if rows().exponent.get(one.key, 0.0) != 1.0 or board.applies[k] == 0.0 or one.key in told:
            continue
        by_hand = 0.0
        for answer in one.asked.answers:
            column = dict(zip(rows().causes, rows().met_p[one.key, answer], strict=True))
            likely = sum(share * column[cause] for cause, share in shares.items())
            by_hand += likely * is_called(advanced(search, one.key, answer))
        assert expected[k] == pytest.approx(by_hand * board.applies[k], abs=1e-9), one.key
        seen += by_hand > 0.0
    assert seen > 0


def test_what_two_rungs_enclose_is_confirmed_by_both():
    """A hose: pressure gone at its lower end and not at its upper one. One of the two condemns nothing."""
    hose = TABLE.causes["hose_holds_pressure"]
    both = {one.check: one.answer for one in hose.confirms}
    assert len(both) == 2
    assert both.keys() <= RUNGS
    assert is_confirmed_by(both, hose)
    for check, answer in both.items():
        assert not is_confirmed_by({check: answer}, hose)


def test_each_answer_on_the_card_confirms_its_cause():
    """By itself, but for one of several rungs of a ladder, or of what counts together; two answers of one
    check may: rough, and tight."""
    for name, cause in TABLE.causes.items():
        all_of = [one for one in cause.confirms if one.check in RUNGS or cause.together]
        for one in cause.confirms:
            alone = one not in all_of or len(all_of) == 1
            assert is_confirmed_by({one.check: one.answer}, cause) is alone, (name, one)


def test_a_check_that_may_end_the_search_is_preferred(monkeypatch):
    """Air left at a chamber with a damaged hose: the lamp tells more a minute, the gauge may end it."""
    hot = log_evidence("corner_hot", "1L", vehicle=HEAVY_DRUMS)
    told = {"rod_home": "not_home", "visual": "nothing_seen", "hose_look": "damaged"}
    search = after(hot, brake_kind="air_drum_scam", **told, gauge_chamber="air_left")
    asked = {}
    for worth in (0.0, TABLE.rule["end_bits"]):
        monkeypatch.setitem(evidence_table().rule, "end_bits", worth)
        choice = choose(search)
        asked[worth > 0.0] = (choice.wanted or choice.asked).key
    board = board_of(search.situation)
    ends = ends_p(board, search.situation)
    assert asked == {False: "lamp", True: "gauge_modulator"}
    assert ends[board.at["gauge_modulator"]] > ends[board.at["lamp"]]
