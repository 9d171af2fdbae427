"""Several suspects of one vehicle: each is a job of its own, and a check is asked where it can concern."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from advicecases import AIR_DISC_BUS, CAR, HEAVY_DRUMS, answered, log_evidence
from logs import HEALTHY_K, log_text
from msgspec.structs import replace

import thermlog as package
from thermlog.advice.apart import suspects_apart
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.information import cooling_min, is_cold
from thermlog.advice.narrowing import Found, narrow
from thermlog.advice.nextcheck import next_check
from thermlog.advice.suspects import rank_suspects
from thermlog.advice.watched import searched, watched_apart
from thermlog.judging.clues import evidence_of
from thermlog.judging.settings import Settings
from thermlog.pipeline.run import run_one
from thermlog.words.errors import OptionError
from thermlog.words.findings import Answer
from thermlog.words.reasons import Reason
from thermlog.words.reasontexts import reason_sentence
from thermlog.words.vehicle import Axle

NO = answered("none")
DEAD_AND_DRAGS = HEALTHY_K | {"1L": 7.0, "2R": 170.0}


def called(drag: tuple[str, ...] = (), idle: tuple[str, ...] = (), kind: str = "several", **other):
    """Brakes that are called, as one of several faults."""
    hot, cold = (Answer(answer="yes" if one else "no", corners=one) for one in (drag, idle))
    return log_evidence(kind, *idle, *drag, answers=replace(NO, drag=hot, idle=cold), **other)


def order(evidence) -> list[tuple[str, tuple[str, ...]]]:
    return [(one.kind, one.corners) for one in suspects_apart(evidence)]


def test_a_dead_brake_comes_before_a_drag_unless_that_is_at_200_degrees():
    both = called(drag=("2R",), idle=("1L",), brake_degc=199.0)
    assert order(both) == [("corner_cold", ("1L",)), ("corner_hot", ("2R",))]
    assert order(replace(both, brake_degc=200.0)) == order(both)[::-1]
    spared = replace(both, vehicle=replace(CAR, regenerative=True))
    assert order(spared) == order(both)[::-1]  # cool by description


def test_both_brakes_of_an_axle_are_one_suspect_and_two_axles_are_two():
    lorry = called(
        drag=("1L", "4R"), idle=("3L", "3R"), vehicle=HEAVY_DRUMS, degc=(("4R", 170.0), ("1L", 90.0))
    )
    assert order(lorry) == [
        ("axle_cold", ("3L", "3R")), ("corner_hot", ("4R",)), ("corner_hot", ("1L",))
    ]  # fmt: skip


@pytest.mark.parametrize("kind", ["diagonal_hot", "circuit_hot", "axle_cold"])
def test_what_one_cause_can_reach_stays_one_suspect(kind):
    corners = {
        "diagonal_hot": ("1L", "2R"),
        "circuit_hot": ("2L", "2R", "3L", "3R"),
        "axle_cold": ("2L", "2R"),
    }
    evidence = log_evidence(kind, *corners[kind])
    assert suspects_apart(evidence) == (evidence,)


COUPLED = replace(
    HEAVY_DRUMS,
    axles=(*HEAVY_DRUMS.axles[:2], *(Axle(role="trailer", brake="drum", parking_brake=True),) * 3),
)
BEHIND = tuple(f"{axle}{side}" for axle in (3, 4, 5) for side in "LR")


@pytest.mark.parametrize("sign", ["hot", "cold"])
def test_a_trailer_all_of_whose_brakes_are_odd_alike_is_one_suspect(sign):
    """Hot or cold, called or watched, beside whatever else: line, plug and breakaway reach all of them."""
    drag, idle = (BEHIND, ("1L",)) if sign == "hot" else (("1L",), BEHIND)
    other = "corner_cold" if sign == "hot" else "corner_hot"
    assert set(order(called(drag=drag, idle=idle, vehicle=COUPLED))) == {
        (f"trailer_{sign}", BEHIND), (other, ("1L",))
    }  # fmt: skip
    open_ = replace(NO, **{"drag" if sign == "hot" else "idle": Answer(answer="watch", corners=BEHIND)})
    (one,) = watched_apart(log_evidence("none", answers=open_, vehicle=COUPLED))
    assert (one.kind, one.corners) == (f"trailer_{sign}", BEHIND)


@pytest.mark.parametrize("sign", ["hot", "cold"])
def test_a_trailer_with_a_brake_that_does_its_part_is_one_suspect_an_axle(sign):
    some = BEHIND[:-1]
    open_ = replace(NO, **{"drag" if sign == "hot" else "idle": Answer(answer="watch", corners=some)})
    found = watched_apart(log_evidence("none", answers=open_, vehicle=COUPLED))
    assert [one.corners for one in found] == [BEHIND[:2], BEHIND[2:4], BEHIND[4:5]]


def test_what_is_called_beside_the_established_fault_is_a_suspect_too():
    drags = Answer(answer="yes", corners=("1L", "2R", "3L", "3R"))
    evidence = log_evidence("corner_hot", "2R", answers=replace(NO, drag=drags), vehicle=HEAVY_DRUMS)
    assert sorted(order(evidence)) == [
        ("axle_hot", ("3L", "3R")), ("corner_hot", ("1L",)), ("corner_hot", ("2R",))
    ]  # fmt: skip


def test_what_was_read_of_the_first_brake_says_nothing_of_another():
    both = called(
        drag=("2R",), idle=("1L",), single_reading=True, face_difference_k=30.0, hub_over_brake=True
    )
    first, other = suspects_apart(both)
    assert (first.single_reading, first.face_difference_k, first.hub_over_brake) == (True, 30.0, True)
    assert (other.single_reading, other.face_difference_k, other.hub_over_brake) == (False, None, False)


@pytest.mark.parametrize("degc", [120.0, 199.0, 254.0])
def test_a_check_names_one_suspect_and_the_other_as_another_job(degc):
    both = called(drag=("2R",), idle=("1L",), brake_degc=degc)
    check = next_check(both, rank_suspects(both))
    about, after = check.question.split(" After it, as another job: ")
    there = "1L" if degc >= 200 else "2R"
    # The pedal of a vehicle is felt for whichever brake it is.
    assert "2R" in about if degc >= 200 else check.id == "pedal_feel"
    assert not any(other in about for other in (there, "front left" if degc >= 200 else "rear right"))
    assert after == f"{there} {'does not work' if degc >= 200 else 'drags'}."


def test_a_search_is_about_one_suspect_and_offers_causes_of_its_own_kind():
    both, table = called(drag=("2R",), idle=("1L",)), evidence_table()
    for at, tends in ((None, "cold"), ("1l", "cold"), ("1", "cold"), ("2R", "hot"), ("2", "hot")):
        state = narrow(both, at=at)
        wrong = "hot" if tends == "cold" else "cold"
        assert all(table.causes[one.cause].tends != wrong for one in state.suspects)
        corner, other = ("1L", "2R") if tends == "cold" else ("2R", "1L")
        assert {one.place for one in state.suspects} <= {corner, f"axle {corner[0]}"}
        assert state.about is not None
        assert (state.about.at, [one.at for one in state.others]) == (corner, [other])
        assert state.check is not None
        assert other not in state.check.question


def test_a_suspect_that_is_none_is_refused_by_name():
    both = called(drag=("2R",), idle=("1L",))
    with pytest.raises(
        OptionError, match=r'no suspect at "1R"; it can be 1L \(1L does not work\), 2R \(2R drags\)'
    ):
        searched(both, "1R")
    with pytest.raises(OptionError, match="nothing is called or watched at one place"):
        searched(log_evidence("none"), "1L")


def test_the_call_comes_before_what_is_only_watched():
    """A brake dead at 99 %, its mate watched as a drag of 1 %: the dead one is checked."""
    gap = Reason(code="gap_open", corners=("1R", "1L"), numbers={"difference_k": 17.0, "ratio": 1.5})
    drag = Answer(answer="watch", p=0.01, corners=("1R",), reasons=(gap,),
                  decides=(Reason(code="cool_and_turn", corners=("1R",)),))  # fmt: skip
    dead = Answer(answer="yes", p=0.99, corners=("1L",))
    evidence = log_evidence("corner_cold", "1L", answers=replace(NO, drag=drag, idle=dead))
    assert next_check(evidence, rank_suspects(evidence)).id == "pedal_feel"  # of a brake that does not work


def test_no_side_is_open_beside_a_call():
    """A gap whose side is open is settled by a drive or by hand; a brake that is called comes first."""
    Path("log.csv").write_text(log_text(HEALTHY_K | {"1L": 7.0}))
    (told,) = run_one("log.csv", Settings()).findings()
    assert told.answers.idle.answer == "yes"
    gap = Reason(code="gap_open", corners=("1R", "1L"), numbers={"difference_k": 17.0, "ratio": 1.5})
    drag = Answer(answer="watch", p=0.01, corners=("1R",), reasons=(gap,))
    for word, is_open in (("yes", False), ("watch", True)):
        answers = replace(told.answers, drag=drag, idle=replace(told.answers.idle, answer=word))
        assert evidence_of(replace(told, answers=answers), told.policy, 120.0).open_side is is_open


def test_of_two_that_are_watched_the_likelier_is_checked_and_a_dead_circuit_is_named():
    """Front right and rear left without heat: the other diagonal drags, or one circuit does nothing."""
    turn = Reason(code="cool_and_turn", corners=("1L", "2R"), numbers={"cool_degc": 50.0})
    stand = Reason(code="static_check", corners=("1R", "2L"), numbers={"cool_degc": 50.0})
    for p, expected in ((0.38, "static_check"), (0.62, "cool_and_turn")):
        drag = Answer(answer="watch", p=p, corners=("1L", "2R"), decides=(turn,))
        idle = Answer(answer="watch", p=1 - p, corners=("1R", "2L"), decides=(stand,))
        evidence = log_evidence("cannot_tell", answers=replace(NO, drag=drag, idle=idle), brake_degc=110.0)
        check = next_check(evidence, ())
        assert check.id == expected
        named = (
            "One dead circuit of a diagonal split would leave just 1R and 2L without heat" in check.question
        )
        assert named == (expected == "static_check")
        split = replace(evidence, vehicle=replace(CAR, split="front_rear"))
        assert "circuit" not in next_check(split, ()).question
        if expected == "cool_and_turn":
            assert "raise and support 1L alone" in check.question
            assert "Lower it again, and only then do the same, one axle at a time, with 2R." in check.question


@pytest.mark.parametrize("degc", [120.0, 250.0])
@pytest.mark.parametrize("vehicle", [CAR, AIR_DISC_BUS], ids=["car", "bus"])
@pytest.mark.parametrize(("drag", "idle"), [("2R", "1L"), ("1L", "2R"), ("1L", "1R"), ("2L", "2R")])
def test_every_check_of_a_search_can_concern_its_suspect(degc, vehicle, drag, idle):
    """The parking brake acts behind; what needs heat or a drag is never asked at a brake without heat."""
    both, table = called((drag,), (idle,), vehicle=vehicle, brake_degc=degc), evidence_table()
    for at in (drag, idle):
        found, skipped, asked = [], [], 0
        while (state := narrow(both, found, skipped, at=at)).check is not None:
            key = state.check.id
            gate = {"cool_first": "cooled", "on_stands": "yes"}.get(key)
            if gate:
                found.append(Found(check=key, answer=gate))
                continue
            skipped.append(key)
            asked += 1
            needs = set(table.observations[key].needs) if key in table.observations else set()
            assert "parking" not in needs or vehicle.axle(int(at[0])).parking_brake, key
            assert at == drag or not needs & {"hot", "drags"}, key
            assert {"1L": "front left", "1R": "front right", "2L": "rear left", "2R": "rear right"}[
                drag if at == idle else idle
            ] not in state.check.question
        assert asked > 5


def test_both_sides_of_an_axle_are_read_again_and_no_third_side():
    for corners, read in (
        (("2L", "2R"), "brake and hub of 2L and 2R again"),
        (("2L",), "brake and hub of 2L and of the other side again"),
        (("1L", "2R"), "brake and hub of 1L and 2R and of the other side again"),
    ):
        numbers = {"cool_degc": 50.0, "again_minutes": 5.0}
        said = reason_sentence(Reason(code="cool_and_turn", corners=corners, numbers=numbers))
        assert read in said
        assert ("alone by the service information" in said) == (corners == ("1L", "2R"))


def test_beside_a_brake_at_200_degrees_a_cold_one_is_waited_for():
    both = called(("2R",), ("1L",), brake_degc=250.0)
    dead = searched(both, "1L").about
    assert not is_cold(dead)
    assert is_cold(replace(dead, brake_degc=199.0))
    assert cooling_min(dead) == pytest.approx(63.143, abs=1e-2)  # 31 min x ln(230 / 30), by hand


def test_a_log_with_a_dead_and_a_dragging_brake(thermlog):
    """The parking brake acts behind: nobody looks for its lever in front, and nothing cold is lifted hot."""
    Path("log.csv").write_text("# parking brake: 2\n" + log_text(DEAD_AND_DRAGS))
    text = thermlog("check", "log.csv", "--quiet").out
    (line,) = (line for line in text.splitlines() if line.startswith("DO NEXT"))
    assert "parking" not in line
    assert "while still hot" not in line
    assert line.split(" (about")[0].endswith("After it, as another job: rear right drags")
    state = json.loads(thermlog("narrow", "log.csv", "--format", "json").out)
    assert state["about"] == {"at": "1L", "words": "1L does not work"}
    assert state["others"] == [{"at": "2R", "words": "2R drags"}]
    behind = thermlog("narrow", "log.csv", "--at", "2R").out
    assert "THEN      front left does not work: the same command with --at 1L" in behind
    assert json.loads(json.dumps(package.narrow("log.csv", at="2R")))["about"]["at"] == "2R"


def test_a_record_is_of_one_suspect(thermlog):
    Path("log.csv").write_text(log_text(DEAD_AND_DRAGS))
    thermlog("narrow", "log.csv", "--at", "2", "--job", "rear.json", "--found", "stood=in_use")
    assert json.loads(Path("rear.json").read_text())["stated"]["at"] == ["2R"]
    again = thermlog("narrow", "log.csv", "--job", "rear.json", "--format", "json")
    assert json.loads(again.out)["about"]["at"] == "2R"
    refused = thermlog("narrow", "log.csv", "--job", "rear.json", "--at", "1L")
    assert refused.code == 3
    assert "this job is about 2R, not about 1L" in refused.err
    program = package.narrow("log.csv", {"lamp": "dark"}, job="rear.json")
    assert program["about"]["at"] == "2R"
    thermlog("narrow", "log.csv", "--job", "front.json", "--skip", "pull")
    assert json.loads(Path("front.json").read_text())["stated"]["at"] == ["1L"]
