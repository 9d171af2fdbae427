"""Which side a search begins at where that is open, and which causes a side can have at all."""

from __future__ import annotations

from itertools import product
from pathlib import Path

import pytest
from advicecases import AIR_DISC_BUS, CAR, HEAVY_DRUMS, LIGHT_TRAILER, answered, log_evidence
from logs import HEALTHY_K, log_text
from msgspec.structs import replace

from thermlog.advice.candidates import BRAKE_KIND
from thermlog.advice.choosing import choose
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.information import asked_at
from thermlog.advice.narrowing import Found, narrow
from thermlog.advice.nextcheck import next_check
from thermlog.advice.search import advanced, begun
from thermlog.advice.situations import priors, situation_of
from thermlog.advice.watched import searched, watched_apart
from thermlog.judging.settings import Settings
from thermlog.pipeline.run import run_one
from thermlog.words.findings import Answer
from thermlog.words.reasons import Reason
from thermlog.words.vehicle import Axle, default_vehicle

TABLE = evidence_table()
GAP = Reason(code="gap_open", corners=("1L", "1R"), numbers={"difference_k": 17.0, "ratio": 1.5})


def open_pair(code: str, *corners: str, drag: str = "watch", idle: str = "watch", p: float = 0.4, **other):
    """1L hotter than 1R, and which is odd is open; what is done by hand is this."""
    step = Reason(code=code, corners=corners, numbers={"cool_degc": 50.0})
    answers = replace(
        answered("none"),
        drag=Answer(answer=drag, p=p, corners=("1L",), reasons=(GAP,), decides=(step,)),
        idle=Answer(answer=idle, p=1.0 - p, corners=("1R",), reasons=(GAP,), decides=(step,)),
    )
    return log_evidence("cannot_tell", answers=answers, open_side=True, brake_degc=110.0, **other)


@pytest.mark.parametrize(
    ("evidence", "first", "other"),
    [
        (open_pair("static_check", "1R"), ("1R", "may not work"), "1L"),
        (open_pair("cool_and_turn", "1L"), ("1L", "may drag"), "1R"),
        # what is done by hand counts, not which is the likelier by a little
        (open_pair("static_check", "1R", p=0.6), ("1R", "may not work"), "1L"),
        (open_pair("cool_and_turn", "1L", "1R", p=0.6), ("1L", "may drag"), "1R"),
    ],
)
def test_a_search_begins_at_the_side_that_check_sends_to(evidence, first, other):
    asked = next_check(evidence, ())
    assert first[0] in asked.question
    state = narrow(evidence)
    assert state.about is not None
    assert (state.about.at, [one.at for one in state.others]) == (first[0], [other])
    assert first[1] in str(state.about.words)
    assert {one.standing for one in state.suspects} <= {"possible", "unlikely"}
    turned = narrow(evidence, at=other)
    assert turned.about is not None
    assert turned.about.at == other
    assert [one.at for one in turned.others] == [first[0]]


def test_of_an_open_pair_the_mate_may_be_chosen_where_only_one_is_watched():
    """The log rather accuses one; whoever stands at the wheel may look at the other."""
    for drag, idle, one, mate, sign in (
        ("watch", "no", "1L", "1R", "cold"),
        ("no", "watch", "1R", "1L", "hot"),
    ):
        evidence = open_pair("static_check", one, drag=drag, idle=idle)
        assert [found.corners for found in watched_apart(evidence)] == [(one,)]
        chosen = searched(evidence, mate)
        assert (chosen.about.corners, chosen.about.fault.sign, chosen.sure) == ((mate,), sign, False)
        assert [found.corners for found in chosen.others] == [(one,)]


def test_what_is_watched_beside_a_call_may_be_chosen_and_is_not_listed():
    dead = Answer(answer="yes", p=0.99, corners=("2L",))
    drag = Answer(answer="watch", p=0.2, corners=("1L",), reasons=(GAP,))
    evidence = log_evidence("corner_cold", "2L", answers=replace(answered("none"), drag=drag, idle=dead))
    assert (narrow(evidence).about, narrow(evidence).others) == (None, ())
    chosen = narrow(evidence, at="1L")
    assert chosen.about is not None
    assert (chosen.about.at, [one.at for one in chosen.others]) == ("1L", ["2L"])
    assert "does not work" in str(chosen.others[0].words)


def test_a_brake_below_the_air_is_read_again_and_not_searched():
    below = Reason(code="below_air", corners=("1R",))
    idle = Answer(answer="watch", p=0.5, corners=("1R",), reasons=(below,))
    evidence = log_evidence("cannot_tell", answers=replace(answered("none"), idle=idle))
    assert watched_apart(evidence) == ()
    assert narrow(evidence).ending == "no_cause"


def test_check_and_search_agree_on_simulated_gaps():
    """Every log whose next thing to do is by hand at a wheel; rises as parts of healthy ones, invented."""
    met = set()
    for parts in product([0.25, 1.0, 1.6], repeat=4):
        rises = {corner: HEALTHY_K[corner] * part for corner, part in zip(HEALTHY_K, parts, strict=True)}
        Path("log.csv").write_text(log_text(rises))
        done = run_one("log.csv", Settings())
        (told,) = done.findings()
        step = told.next_check.id
        if step not in {"static_check", "cool_and_turn"} or any(a.answer == "yes" for a in told.answers.each):
            continue
        state = done.narrowed(0, told)
        question = str(told.next_check.question).split(" After it")[0]
        at = state.about.at if state.about else told.pattern.corners[0]
        assert at in question, (parts, question)
        if state.about is not None:
            assert ("may not work" in str(state.about.words)) is (step == "static_check"), parts
        met.add(step)
    assert "static_check" in met


@pytest.mark.parametrize("vehicle", [CAR, AIR_DISC_BUS, HEAVY_DRUMS, LIGHT_TRAILER])
@pytest.mark.parametrize("verdict", ["corner_cold", "axle_cold", "corner_hot", "axle_hot", "all_hot"])
def test_no_cause_of_heat_is_offered_for_a_cold_brake_nor_the_other_way_round(vehicle, verdict):
    corners = {"corner": ("1L",), "axle": ("1L", "1R"), "all": ()}[verdict.split("_")[0]]
    evidence = log_evidence(verdict, *corners, vehicle=vehicle)
    tends = {TABLE.causes[key].tends for key in priors(situation_of(evidence))}
    never = {"hot", "hub_hot"} if verdict.endswith("cold") else {"cold"}
    assert tends
    assert not tends & never
    # While it is open which side is odd both kinds are there.
    either = {
        TABLE.causes[key].tends for key in priors(situation_of(replace(evidence, open_side=bool(corners))))
    }
    assert never & either or not corners


def test_of_a_cold_axle_that_may_have_been_up_it_is_asked_first_whether_it_had_work():
    cold = log_evidence("axle_cold", "3L", "3R", vehicle=HEAVY_DRUMS)
    assert narrow(cold).check.id == "axle_used"
    up = narrow(cold, [Found(check="axle_used", answer="raised")])
    assert (up.suspects[0].cause, up.suspects[0].standing) == ("idle_by_design", "likely")
    down = narrow(cold, [Found(check="axle_used", answer="worked")])
    assert down.suspects[0].cause not in {"idle_by_design", "normal_or_measurement"}
    trailer = replace(
        HEAVY_DRUMS, axles=(*HEAVY_DRUMS.axles[:2], *(Axle(role="trailer", brake="drum"),) * 2), stated=True
    )
    for other in (
        log_evidence("axle_cold", "1L", "1R", vehicle=HEAVY_DRUMS),  # steered
        log_evidence("corner_cold", "3L", vehicle=HEAVY_DRUMS),  # an axle is up with both wheels
        log_evidence("axle_hot", "3L", "3R", vehicle=HEAVY_DRUMS),
        log_evidence("circuit_cold", "3L", "3R", "4L", "4R", vehicle=trailer),  # not all of them were up
    ):
        told, asked = [], []
        while (state := narrow(other, told)).check is not None and state.answers and len(asked) < 12:
            asked.append(state.check.id)
            told.append(Found(check=state.check.id, answer=state.answers[0].id))
        assert "axle_used" not in asked


BEHIND = log_evidence("axle_cold", "2L", "2R")
LORRY = replace(HEAVY_DRUMS, axles=HEAVY_DRUMS.axles[:3])


@pytest.mark.parametrize("evidence", [BEHIND, log_evidence("axle_cold", "3L", "3R", vehicle=LORRY)])
@pytest.mark.parametrize(("work", "has"), [("raised", "lifts"), ("spared", "slows")])
def test_an_axle_that_was_up_or_spared_ends_the_search_once_what_takes_its_work_was_seen(evidence, work, has):
    """Nothing of it was described: the driver says so, and it is looked at. It took twenty checks."""
    state = narrow(evidence)
    assert state.check.id == "axle_used"
    found = [Found(check="axle_used", answer=work)]
    assert narrow(evidence, found).check.id == "axle_has"
    seen = narrow(evidence, [*found, Found(check="axle_has", answer=has)])
    assert (seen.ending, seen.suspects[0].cause) == ("no_fault", "idle_by_design")
    nothing = narrow(evidence, [*found, Found(check="axle_has", answer="none")])
    assert nothing.check is not None
    assert nothing.suspects[0].cause != "idle_by_design"


def share_of_no_fault(search) -> float:
    from thermlog.advice.board import believed
    from thermlog.advice.weighing import rows

    shares = believed(search.situation)
    return float(shares[rows().causes.index("normal_or_measurement")])


@pytest.mark.parametrize(
    ("verdict", "shown", "not_shown"),
    [
        ("corner_cold", {"hold_grips": "grips"}, {"frees_cold": "free"}),
        ("corner_hot", {"spin_hot": "free"}, {"hold_grips": "grips"}),
    ],
)
def test_a_search_ends_sooner_at_no_fault_once_the_wheel_has_shown_it(monkeypatch, verdict, shown, not_shown):
    """A cold brake has to grip, a hot one to turn; a little below and above the line of the rules."""
    calm = {BRAKE_KIND: "hyd_disc_floating", "visual": "nothing_seen", "read_once_more": "gone"}
    calm |= {
        "lining_surface": "clean",
        "lets_go": "at_once",
        "bearing_spin": "smooth",
        "tyre_look": "like_mate",
    }

    def ended(told: dict[str, str], factor: float) -> str | None:
        search = begun(log_evidence(verdict, "1L"))
        for check, answer in told.items():
            search = advanced(search, check, answer)
        monkeypatch.setitem(evidence_table().rule, "clear_share", share_of_no_fault(search) * factor)
        monkeypatch.setitem(evidence_table().rule, "again_gain", 1.0)
        monkeypatch.setitem(evidence_table().rule, "confirmed_share", 1.0)
        return choose(search).ending

    assert ended(calm | shown, 0.999) == "no_fault"
    assert ended(calm | shown, 1.001) is None
    assert ended(calm | not_shown, 0.999) is None


def test_whatever_is_done_among_wheels_begins_with_hot_parts():
    """Couplings and drawtubes are among wheels; what is seen from the seat or under the bonnet is not."""
    for key, asked in TABLE.observations.items():
        if asked.source not in {"log", "gun", "driver", "seat"}:
            assert asked.near, key
            assert asked.safety.startswith("Hot parts burn: gloves."), key
        if asked.source == "seat":
            assert asked.once == "vehicle", key
            assert "{place}" not in asked.ask, key
    for key in (
        "couplings",
        "drawtube_out",
        "drawtube_force",
        "plug_look",
        "treadle_releases",
        "supply_gauge",
    ):
        assert TABLE.observations[key].near


@pytest.mark.parametrize("never", [(), (BRAKE_KIND,)])
@pytest.mark.parametrize("vehicle", [CAR, LIGHT_TRAILER, default_vehicle(2), default_vehicle(5)])
@pytest.mark.parametrize("verdict", ["corner_hot", "corner_cold", "axle_hot", "axle_cold"])
def test_what_only_some_kinds_of_brake_have_is_asked_once_the_kind_is_known(never, vehicle, verdict):
    """Also what stands before another check; who cannot tell the kind is asked only what all of them have."""
    corners = ("2L",) if verdict.startswith("corner") else ("2L", "2R")
    evidence = log_evidence(verdict, *corners, vehicle=vehicle)
    possible = {kind for kind, share in situation_of(evidence).shares if share > 0}
    for kind in sorted(possible):
        told: list[Found] = []
        kinds = possible
        for _ in range(30):
            state = narrow(evidence, told, never)
            if state.check is None or not state.answers:
                break
            asked = TABLE.observations.get(state.check.id.removesuffix("_again"))
            assert asked is None or kinds <= set(asked.applies_to), state.check.id
            answer = kind if state.check.id == BRAKE_KIND else state.answers[0].id
            kinds = {kind} if state.check.id == BRAKE_KIND else kinds
            told.append(Found(check=state.check.id, answer=answer))


def test_of_two_axles_that_are_unlike_the_other_may_be_chosen():
    unlike = Reason(code="axles_unlike", corners=("2L", "2R", "1L", "1R"))
    drag = Answer(answer="watch", p=0.5, corners=("2L", "2R"), reasons=(unlike,))
    idle = Answer(answer="cannot_tell", p=0.4, corners=("1L", "1R"), reasons=(unlike,))
    evidence = log_evidence("cannot_tell", answers=replace(answered("none"), drag=drag, idle=idle))
    assert searched(evidence).about.corners == ("2L", "2R")
    chosen = searched(evidence, "1")
    assert (chosen.about.corners, chosen.about.fault.sign, chosen.sure) == (("1L", "1R"), "cold", False)


def test_of_unlike_axles_the_kind_of_brake_is_that_of_the_wheel_that_is_worked_at():
    """Disc in front, drum behind: there is no one kind at both."""
    vehicle = replace(CAR, axles=(CAR.axles[0], replace(CAR.axles[1], brake="drum")))
    evidence = log_evidence("diagonal_hot", "1L", "2R", vehicle=vehicle)
    told = {"pedal_feel": "normal", "on_stands": "yes", "spin_hot": "drags_evenly"}
    state = narrow(evidence, [Found(check=check, answer=answer) for check, answer in told.items()])
    assert state.check.id == BRAKE_KIND
    assert "at one of front left and rear right?" in state.check.question
    assert state.check.minutes == TABLE.rule["look_min"]


@pytest.mark.parametrize("verdict", ["axle_hot", "axle_cold", "diagonal_hot", "all_hot"])
def test_what_is_felt_at_a_raised_wheel_is_asked_of_the_wheel_that_was_raised(verdict):
    """Of a cable, a rod or a line, too, that both wheels share: of several wheels one stands on stands."""
    corners = {"axle": ("2L", "2R"), "diagonal": ("1L", "2R"), "all": ()}[verdict.split("_")[0]]
    evidence = log_evidence(verdict, *corners, vehicle=CAR)
    raised = {key for key, asked in TABLE.observations.items() if "lift" in asked.needs}
    assert {"cable_slackened", "rods_unhooked", "master_frees", "surge_line_frees"} <= raised
    for key in raised:
        assert asked_at(evidence, TABLE.observations[key]).startswith("one of "), key
    for key in ("pb_state", "hold_off"):  # looked at, or measured, for the whole axle
        assert not asked_at(evidence, TABLE.observations[key]).startswith("one of "), key
    one = log_evidence("corner_hot", "2L", vehicle=CAR)
    assert {asked_at(one, TABLE.observations[key]) for key in raised} == {"rear left"}
