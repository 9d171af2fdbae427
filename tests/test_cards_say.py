"""What the card of a check says of an answer, and what the ranking does with it, are the same."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from advicecases import AIR_DISC_BUS, CAR, HEAVY_DRUMS, LIGHT_TRAILER, log_evidence
from msgspec.structs import replace

from thermlog.advice.board import board_of, may_be_made
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.situations import Situation, priors, situation_of
from thermlog.advice.weighing import cause_weights
from thermlog.words.vehicle import Axle

TABLE = evidence_table()
CARDS = tomllib.loads((Path(__file__).parent / "data" / "cards_say.toml").read_text(encoding="utf-8"))
STRONG = (
    6.0  # own choice: one answer that rules out moves six to one at least; nine of ten with slips moves 5.4
)
EXPLAINED = 0.5  # own choice: a cause that shows an answer in half of the cases explains it
ASKED = {key: asked for key, asked in TABLE.observations.items() if asked.source != "log"}
# Behind the first axle, with a parking brake, as one corner, an axle and the whole vehicle.
TRAILER = replace(
    HEAVY_DRUMS, axles=(*HEAVY_DRUMS.axles[:1], *(Axle(role="trailer", parking_brake=True),) * 2)
)
VEHICLES = {"light": CAR, "heavy": HEAVY_DRUMS, "trailer": LIGHT_TRAILER}
VERDICTS = {"corner": ("2L",), "axle": ("2L", "2R")}


def situations(kind: str, sign: str) -> Iterator[Situation]:
    """Places where a brake of this kind is the odd one."""
    vehicles = [VEHICLES[TABLE.kinds[kind].group]]
    vehicles += [TRAILER, AIR_DISC_BUS] if kind.startswith("air") else []
    for vehicle in vehicles:
        for scope, corners in VERDICTS.items():
            found = situation_of(log_evidence(f"{scope}_{sign}", *corners, vehicle=vehicle))
            yield replace(found, shares=((kind, 1.0),), parking="yes", idle=True)


def moved(check: str, answer: str, cause: str) -> Iterator[float]:
    """How far an answer moves a cause against the rival that explains it best, wherever both can be."""
    asked = TABLE.observations[check]
    for kind in set(TABLE.causes[cause].brakes) & set(asked.applies_to):
        sign = "cold" if TABLE.causes[cause].tends == "cold" else "hot"
        for situation in situations(kind, sign):
            before = cause_weights(situation)
            if cause not in before:
                continue
            if max(asked.likelihood(answer, rival) for rival in before) < EXPLAINED:
                continue  # no brake of this kind has anything that shows so
            after = cause_weights(replace(situation, found=((check, answer),)))
            gains = {key: after[key] / before[key] for key in before}
            yield gains[cause] / max(gains.values())


def causes(check: str, answer: str, what: str) -> list[str]:
    return CARDS[check][answer].get(what, "").split()


def test_every_answer_of_every_card_was_read():
    """A card whose words change is read again: this file quotes every one of them."""
    assert set(CARDS) == set(ASKED)
    for key, asked in ASKED.items():
        assert {answer: found["says"] for answer, found in CARDS[key].items()} == asked.means, key
        assert any(len(found) > 1 for found in CARDS[key].values()), key


@pytest.mark.parametrize("check", list(ASKED))
def test_an_answer_that_rules_a_cause_out_moves_it_strongly(check):
    for answer in ASKED[check].answers:
        for cause in causes(check, answer, "rules_out"):
            # What the gun tells counts to a power, so it moves less; ruled out by the card all the same.
            strong = STRONG ** (TABLE.rule["temper"] if ASKED[check].source == "gun" else 1.0)
            found = list(moved(check, answer, cause))
            assert found, (check, answer, cause)
            assert max(found) <= 1.0 / strong, (check, answer, cause, max(found))


@pytest.mark.parametrize("check", list(ASKED))
def test_an_answer_that_speaks_for_a_cause_lifts_it_over_its_rivals(check):
    """By the rule that reasons are printed by: so many times as likely as under the others on the mean."""
    asked = ASKED[check]
    for answer in asked.answers:
        for cause in causes(check, answer, "speaks_for"):
            both = set(TABLE.causes[cause].brakes) & set(asked.applies_to)
            rivals = [one for one in TABLE.causes if one != cause and both & set(TABLE.causes[one].brakes)]
            beside = sum(asked.likelihood(answer, one) for one in rivals) / len(rivals)
            assert asked.likelihood(answer, cause) >= TABLE.rule["reason_for"] * beside, (answer, cause)


def test_no_cause_that_an_answer_rules_out_is_spoken_for_by_it():
    for check, answers in CARDS.items():
        for answer in answers:
            assert not set(causes(check, answer, "rules_out")) & set(causes(check, answer, "speaks_for"))


@pytest.mark.parametrize(
    ("evidence", "kind", "found", "first"),
    [
        # Stiff with the bleeder shut, smooth with it open: fluid is trapped behind the piston.
        (
            log_evidence("corner_hot", "1R"), "hyd_disc_fixed",
            {
                "spin_hot": "locked", "visual": "torn_or_rusty", "piston_back_shut": "stiff",
                "piston_back_open": "smooth",
            },
            "hose_holds_pressure",
        ),
        # The hold-off pressure is low at the gauge and at the port: not the chamber.
        (
            log_evidence("corner_hot", "3R", vehicle=HEAVY_DRUMS), "air_drum_scam",
            {
                "pb_state_air": "low", "hold_off": "low", "rod_home": "not_home", "spring_caged": "frees",
                "gate_air": "holds", "leak_air": "tight",
            },
            "hold_off_low",
        ),
        # Current is measured at rest, but with plug and battery off the wheel drags on.
        (
            log_evidence("axle_hot", "1L", "1R", vehicle=LIGHT_TRAILER), "electric_drum",
            {"unplug": "no_change", "battery_off": "no_change"},
            "",
        ),
    ],
)  # fmt: skip
def test_answers_that_contradict_the_usual_cause_put_another_first(evidence, kind, found, first):
    situation = replace(situation_of(evidence), shares=((kind, 1.0),), parking="yes")
    ranked = list(cause_weights(replace(situation, found=tuple(found.items()))))
    assert ranked[0] == first or (not first and ranked[0] not in {"trailer_current", "breakaway_out"})


def test_what_is_not_there_is_not_asked():
    """A supply gauge where no trailer is coupled: nothing to read."""
    solo = situation_of(
        log_evidence("corner_hot", "3R", vehicle=replace(HEAVY_DRUMS, axles=HEAVY_DRUMS.axles[:3]))
    )
    assert "trailer_supply_low" not in priors(solo)
    board = board_of(solo)
    able = may_be_made(board, solo, warm=True, opened=True)
    for key in ("supply_gauge", "lines_right", "treadle_releases"):
        assert not able[board.at[key]]


def test_whatever_is_nearer_to_a_wheel_than_the_gun_cautions_of_hot_parts():
    for key, asked in TABLE.observations.items():
        assert asked.safety.startswith("Hot parts burn: gloves") is asked.near, key


def test_no_question_compares_with_the_other_side_where_that_is_suspect_too():
    for key, asked in ASKED.items():
        said = " ".join((asked.title, asked.ask, asked.do, *asked.answers.values())).lower()
        assert "other side" not in said, key
        assert "its mate" not in said, key
