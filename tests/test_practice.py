"""Practice cases: what they hide, how an answer is understood, what many of them come to."""

from __future__ import annotations

import json
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from practicecases import COLD, FOUR, HEALTHY, HOT, TEN, case_of

from thermlog.cli.practice import LEVEL_NAMES, TOPIC_NAMES
from thermlog.practice.asking import Asking
from thermlog.practice.cases import case_seed
from thermlog.practice.commitment import FINDINGS, STEPS, Commitment, commitment_of_words
from thermlog.practice.marking import (
    marked,
    planted_truth,
)
from thermlog.practice.progress import progress_of
from thermlog.practice.scorefile import scored
from thermlog.practice.topics import LEVELS, TOPICS, drawn_topic, wanted_case
from thermlog.reports.contract.practice import OpenCaseObject
from thermlog.reports.contract.writing import json_text
from thermlog.reports.practicewords import FINDING_WORDS, STEP_WORDS, planted_words, stated
from thermlog.reports.report_practice import question_screen
from thermlog.simulation.logtext import LogStyle
from thermlog.simulation.onelog import simulated_log
from thermlog.words.errors import OptionError
from thermlog.words.kinds import FAULT_KINDS

# what is hidden


def test_names_of_the_options_are_those_of_the_topics():
    assert tuple(TOPICS) == TOPIC_NAMES
    assert tuple(LEVELS) == LEVEL_NAMES


@pytest.mark.parametrize("topic", TOPICS)
def test_every_topic_has_sound_vehicles_and_faults_a_person_can_name(topic):
    drawn = [wanted_case(seed, 2, topic).fault for seed in range(200)]
    assert 0.15 < drawn.count("none") / 200 < 0.55
    assert len(set(drawn)) >= 3
    assert set(drawn) <= set(TOPICS[topic].faults)


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("topic", TOPICS)
def test_nothing_but_temperatures_depends_on_what_was_planted(topic, level):
    """The same case with the fault taken out: same header, same rows, same moments, same wheels."""

    def bare(wanted):
        log = simulated_log(wanted, style=LogStyle(spots=len(wanted.spots) > 1), hidden=True).log
        return re.sub(r",-?\d+\.\d$", ",", log, flags=re.MULTILINE)

    faulty = next(wanted for seed in range(40) if (wanted := wanted_case(seed, level, topic)).fault != "none")
    sound = replace(faulty, fault="none", corner=None, drag_nm=None, lost_fraction=None)
    assert bare(faulty) == bare(sound)


def test_a_seed_says_nothing_of_its_cases_in_other_topics_and_levels():
    """Sound in one topic is sound in the next no more often than by chance."""
    both = [
        (wanted_case(seed, 2, "stagger").fault == "none", wanted_case(seed, level, topic).fault == "none")
        for seed in range(150)
        for level, topic in ((2, "misses"), (3, "stagger"))
    ]
    alike = sum(one == other for one, other in both) / len(both)
    assert alike == pytest.approx(0.4 * 0.4 + 0.6 * 0.6, abs=0.12)  # three standard deviations are 0.09


def test_topics_are_all_drawn():
    assert {drawn_topic(seed) for seed in range(200)} == set(TOPICS)


@pytest.mark.parametrize("number", range(8))
def test_what_is_shown_before_the_commitment_tells_no_truth(number):
    """Log, JSON and screen hold no kind of fault, no size, no seed, no topic."""
    case = case_of(number, 1)
    wanted = wanted_case(case.order.seed, 1, case.topic)
    screen = question_screen(case, (1, 1), Asking(case.corners), show="C", width=80)
    shown = case.log + json_text(OpenCaseObject.of(case, 1)) + screen.split("What do you see?")[0]
    words = {kind.name for kind in FAULT_KINDS} - {"none"} | {"N·m", "healthy", "seed", "topic", "truth"}
    assert not [word for word in words if word in shown]
    assert str(wanted.seed) not in shown
    assert str(case.order.seed) not in shown
    assert planted_words(planted_truth(case.made.fault, case.corners), len(case.corners) // 2) not in shown
    header = [line for line in case.log.splitlines() if line.startswith("#")]
    assert header[0] == "# simulated: practice case, the fault is not told here"
    assert {line.split(":")[0] for line in header} <= {
        "# simulated", "# scenario", "# vehicle", "# weight", "# axles", "# brakes", "# split",
        "# parking brake", "# drive", "# ambient", "# tyre radius",
    }  # fmt: skip


def test_the_shots_told_to_have_missed_are_the_rows_of_the_log():
    """Reading a log back sorts it; the truth beside each row must be that row's."""
    for number in range(12):
        case = case_of(number, 3)
        fleet = case.made.fleet
        places = zip(fleet.readings.axle, fleet.readings.side, strict=True)
        corners = [f"{axle}{'LR'[side]}" for axle, side in places]
        assert [one.corner for one in case.readings] == corners
        for one in case.missed:
            assert one.reading.indicated_degc < one.surface_degc + 3.0  # it caught something cooler


def test_same_order_same_bytes():
    assert case_of(3).log == case_of(3).log != case_of(4).log


# commitments


@pytest.mark.parametrize(
    ("text", "finding", "corners", "p", "step"),
    [
        ("drag 1L sure wheel", "drag", ("1L",), 0.95, "wheel"),
        ("drag RF 0.8", "drag", ("1R",), 0.8, None),
        ("idle 2 fairly braking", "idle", ("2L", "2R"), 0.75, "braking"),
        ("drag 2R+1L guess", "drag", ("1L", "2R"), 0.5, None),
        ("drag all sure", "drag", FOUR, 0.95, None),
        ("hub 2l sure clear", "hub", ("2L",), 0.95, "clear"),
        ("none sure keep", "nothing", (), 0.95, "keep"),
        ("cannot-tell 0,6 again", "cannot_tell", (), 0.6, "again"),
    ],
)
def test_answers_in_words(text, finding, corners, p, step):
    assert commitment_of_words(text, FOUR) == Commitment(
        finding=finding, corners=corners, p=p, next_step=step
    )


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "is no finding"),
        ("hot 1L sure", '"hot" is no finding'),
        ("drag", "say where"),
        ("drag 3L sure", '"3L" is no place'),
        ("drag 0 sure", '"0" is no place'),
        ("drag 1L+ sure", '"" is no place'),
        ("drag sure", '"sure" is no place'),
        ("drag 1L", '"" tells not how sure'),
        ("drag 1L 1.2", '"1.2" tells not how sure'),
        ("drag 1L nan", '"nan" tells not how sure'),
        ("drag 1L sure home", '"home" is no next check'),
        ("drag 1L sure keep now", '"now" is too much'),
    ],
)
def test_an_answer_that_is_not_understood_is_refused_by_its_word(text, said):
    with pytest.raises(OptionError) as refused:
        commitment_of_words(text, FOUR)
    assert said in str(refused.value)


@pytest.mark.parametrize(
    ("keys", "corners", "committed"),
    [
        ("11135", FOUR, Commitment(finding="drag", corners=("1L",), p=0.95, next_step="wheel")),
        ("12325", FOUR, Commitment(finding="drag", corners=("2L", "2R"), p=0.75, next_step="wheel")),
        ("14216", FOUR, Commitment(finding="drag", corners=("1R", "2L"), p=0.5, next_step="clear")),
        ("1332", FOUR, Commitment(finding="drag", corners=FOUR, p=0.95, next_step="coast")),
        ("25213", TEN, Commitment(finding="idle", corners=("5R",), p=0.5, next_step="braking")),
        ("1611", TEN, Commitment(finding="drag", corners=TEN, p=0.5, next_step="again")),
        ("437", FOUR, Commitment(finding="nothing", corners=(), p=0.95, next_step="keep")),
        (
            "5bb14b23b337",
            FOUR,
            Commitment(finding="drag", corners=("2L", "2R"), p=0.95, next_step="keep"),
        ),
    ],
)
def test_one_key_an_answer(keys, corners, committed):
    asking = Asking(corners)
    for key in keys:
        asking.back() if key == "b" else asking.take(key)
    assert asking.stage is None
    assert asking.commitment() == committed


@given(st.lists(st.sampled_from([*"123456789b0x", "²", "", "12"]), max_size=30))
def test_no_key_is_too_strange_and_back_leads_to_the_beginning(keys):
    asking = Asking(FOUR)
    for key in keys:
        before, many = asking.stage, len(asking.choices())
        if key == "b":
            asking.back()
        elif not asking.take(key):
            assert asking.stage == before
            assert before is None or not (key.isascii() and key.isdecimal() and 1 <= int(key) <= many)
    for _ in range(6):
        asking.back()
    assert asking.stage == "finding"


def test_every_code_has_its_words():
    assert tuple(FINDING_WORDS) == FINDINGS
    assert tuple(STEP_WORDS) == STEPS
    assert stated(Commitment(finding="cannot_tell", p=0.6), 2) == "it cannot be told (60 %)"
    assert planted_words(COLD, 2) == "rear right does not work: 60 % of its braking lost"
    assert planted_words(replace(HOT, corners=FOUR), 2) == "every brake drags: 20 N·m"
    assert planted_words(HEALTHY, 2) == "nothing planted: a sound vehicle"


# many cases


def test_progress_counts_by_hand():
    """Three cases of level 1, where truth and tool are known: right, a false alarm when sure, a miss."""
    cases = [case_of(number, 1, "diagonal") for number in range(12)]
    truths = [planted_truth(case.made.fault, case.corners) for case in cases]
    sound = next(k for k, truth in enumerate(truths) if truth.finding == "nothing")
    hot, other = [k for k, truth in enumerate(truths) if truth.finding == "drag"][:2]
    said = (
        (hot, Commitment(finding="drag", corners=truths[hot].corners, p=0.95, next_step="wheel")),
        (sound, Commitment(finding="drag", corners=("1L",), p=0.95)),
        (other, Commitment(finding="nothing", p=0.5, next_step="keep")),
    )
    told = progress_of([scored(cases[k], marked(cases[k], one)) for k, one in said])
    mine = told.person
    assert told.cases == 3
    assert (mine.right.count, mine.right.of) == (1, 3)
    assert (mine.found.count, mine.found.of) == (1, 2)
    assert (mine.false_alarms.count, mine.false_alarms.of) == (1, 1)
    assert (mine.sure_right.count, mine.sure_right.of) == (1, 2)
    assert mine.brier == pytest.approx((0.0025 + 0.9025 + 0.25) / 3, abs=5e-5)
    assert mine.overconfidence == pytest.approx((0.95 + 0.95 + 0.5) / 3 - 1 / 3, abs=5e-5)
    assert told.steps_agree.of == 2
    assert [(one.first, one.last, one.right) for one in told.by_ten] == [(1, 3, 1)]
    assert progress_of([]).person.brier is None


def test_ten_cases_a_step():
    case = case_of(0, 1, "diagonal")
    entry = scored(case, marked(case, Commitment(finding="nothing", p=0.5)))
    assert [(one.first, one.last) for one in progress_of([entry] * 23).by_ten] == [
        (1, 10),
        (11, 20),
        (21, 23),
    ]


def test_seeds_of_a_series_are_apart_from_the_simulators():
    """Neither the seed of the series nor a small one makes a case's log again by ``thermlog simulate``."""
    seeds = [case_seed(7, number) for number in range(1, 200)]
    assert len(set(seeds)) == 199
    assert min(seeds) > 2**40  # of 63 bits: smaller by chance once in 40 000 tries
    assert all(wanted_case(seed, 2, "cold").seed != seed for seed in seeds)


def test_read_back_json_of_a_case():
    shown = json.loads(json_text(OpenCaseObject.of(case_of(2), 1)))
    assert len(shown["readings"]) == shown["log"].count("\n") - shown["log"].count("#") - 1
