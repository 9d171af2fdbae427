"""Earlier visits of a vehicle count today, and a fault that grows is not learned."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
from historycases import dated, judged_log, visits
from hypothesis import given
from hypothesis import strategies as st
from judgecases import tell
from logs import AIR_DEGC, HEALTHY_K, TAU_S
from msgspec.structs import replace

from thermlog.history.store import History
from thermlog.inference.memory import _filtered, _least_agreed
from thermlog.judging.diagnose import judge
from thermlog.judging.pastwords import called_today_only
from thermlog.pipeline.settings import gather_settings
from thermlog.reading.read import read_log
from thermlog.words.findings import Answer, Answers
from thermlog.words.policy import BUNDLED, NUMBERS, load_policy
from thermlog.words.visits import AxleVisit, Past, PastVisit

POLICY = load_policy("light")
UNLIKE_K = HEALTHY_K | {"2R": 1.4 * HEALTHY_K["2R"]}  # the same on every drive: skins, not a drag
DAYS = [f"2026-{month:02d}-10" for month in (1, 3, 5, 7)]  # months apart


OF_MEMORY = [one for one in NUMBERS if one.startswith("memory_")]


def past_of(folder: Path, *courses: dict[str, float]) -> Past:
    """Past of van 7 with one visit a course."""
    found = []
    for number, (rises_k, day) in enumerate(zip(courses, DAYS, strict=False)):
        (visit,) = visits(judged_log(folder, f"past-{number}.csv", dated(rises_k, day)))
        found.append(
            PastVisit(when=(float(number), number), log_sha256=visit.case.log.sha256, axles=visit.axles)
        )
    return Past(units={"van 7": tuple(found)})


def told(folder: Path, rises_k: dict[str, float], past: Past | None, **how):
    """Findings of today's log."""
    file = folder / "today.csv"
    file.write_text(dated(rises_k, "2026-09-10", **how), encoding="utf-8")
    judged = judge(read_log(str(file)).readings, replace(gather_settings(policy="light"), past=past))
    return tell(judged, 0)


def remembered(unit: str) -> tuple[PastVisit, ...]:
    """What depot.db remembers of a vehicle now."""
    kept = History.open("depot.db")
    return kept.past([unit], kept.watermark()).units[unit]


def code_of(answer) -> str:
    """What history is said to have done."""
    codes = [one.code for one in answer.reasons if one.code.startswith(("visits_", "today_"))]
    return codes[0] if codes else ""


def test_unlike_skins_are_learned(tmp_path: Path) -> None:
    alone = told(tmp_path, UNLIKE_K, None).answers.drag
    remembered = told(tmp_path, UNLIKE_K, past_of(tmp_path, UNLIKE_K, UNLIKE_K, UNLIKE_K)).answers.drag

    assert alone.answer == "watch"
    assert remembered.answer == "no"
    assert remembered.p < 0.5 * alone.p
    assert code_of(remembered) == "visits_calm"
    assert [one.numbers["visits"] for one in remembered.reasons if one.code == "visits_calm"] == [3.0]


def test_one_visit_gives_most_of_it(tmp_path: Path) -> None:
    ps = [
        told(tmp_path, UNLIKE_K, past_of(tmp_path, *[UNLIKE_K] * count) if count else None).answers.drag.p
        for count in range(4)
    ]
    assert ps == sorted(ps, reverse=True)
    assert ps[0] - ps[1] > ps[1] - ps[3]


def test_a_new_drag_stands_out_better_from_a_known_vehicle(tmp_path: Path) -> None:
    today = UNLIKE_K | {"1L": HEALTHY_K["1L"] + 40.0}
    alone, known = (
        told(tmp_path, today, past).answers.drag
        for past in (None, past_of(tmp_path, UNLIKE_K, UNLIKE_K, UNLIKE_K))
    )
    assert "1L" in known.corners
    assert known.p > alone.p


def test_a_drag_that_creeps_is_not_learned(tmp_path: Path) -> None:
    """Four visits at 10, 25, 45 and 70 % of what it is today: the least that all agree on is a tenth."""
    drag_k = 60.0
    creeping = [HEALTHY_K | {"2R": HEALTHY_K["2R"] + part * drag_k} for part in (0.10, 0.25, 0.45, 0.70)]
    today = HEALTHY_K | {"2R": HEALTHY_K["2R"] + drag_k}
    alone, known = (told(tmp_path, today, past).answers.drag for past in (None, past_of(tmp_path, *creeping)))

    assert alone.answer == known.answer == "yes"
    assert known.corners == ("2R",)
    assert known.p > 0.9 * alone.p


def test_a_gap_that_grew_drive_by_drive_is_never_called_usual(tmp_path: Path) -> None:
    """Each drive a little more, just past the watch marks today: what a log alone watches stays watched."""
    creeping = [HEALTHY_K | {"2R": HEALTHY_K["2R"] + extra_k} for extra_k in (4.0, 8.0, 12.0, 15.0)]
    today = HEALTHY_K | {"2R": HEALTHY_K["2R"] + 23.0}
    past = past_of(tmp_path, *creeping)
    alone, known = (told(tmp_path, today, one).answers.drag for one in (None, past))

    assert (alone.answer, known.answer) == ("watch", "watch")
    assert code_of(known) != "visits_calm"


def test_what_today_calls_by_itself_stands(tmp_path: Path) -> None:
    """However often the same was seen before: a drag that was there from the first visit."""
    for gap in (1.6, 1.8, 2.0, 2.4):
        today = HEALTHY_K | {"2R": gap * HEALTHY_K["2R"]}
        alone = told(tmp_path, today, None).answers
        known = told(tmp_path, today, past_of(tmp_path, today, today, today, today)).answers
        if alone.drag.answer == "yes":
            assert known.drag.answer == "yes"
            assert known.drag.corners == alone.drag.corners
            assert code_of(known.drag) in {"today_stands", "visits_agree"}
    assert alone.drag.answer == "yes"  # at least the last of them


def test_a_gap_past_the_suspect_marks_is_watched_whatever_was_seen_before(tmp_path: Path) -> None:
    """A drag that was there from the first visit on looks like unlike skins; so much is never let pass."""
    for gap, answer in ((1.45, "no"), (1.6, "watch")):
        today = HEALTHY_K | {"2R": gap * HEALTHY_K["2R"]}
        known = told(tmp_path, today, past_of(tmp_path, today, today, today, today)).answers.drag
        assert known.answer == answer, gap


def test_what_is_printed_of_today_is_today(tmp_path: Path) -> None:
    """History changes answers and probabilities, never a temperature, a difference or a ratio."""
    alone, known = (told(tmp_path, UNLIKE_K, past) for past in (None, past_of(tmp_path, UNLIKE_K, UNLIKE_K)))
    for before, after in zip(alone.axles, known.axles, strict=True):
        assert after.difference_k == before.difference_k
        assert after.rise_ratio == before.rise_ratio
    for before, after in zip(alone.corners, known.corners, strict=True):
        assert after.at_common_degc == before.at_common_degc
        assert after.rise_k == before.rise_k


def test_where_a_healthy_brake_would_read_is_told_of_this_vehicle(tmp_path: Path) -> None:
    """The band of the brake that always shows more lies higher once that is known."""
    alone, known = (
        {one.corner: one.expected_degc for one in told(tmp_path, UNLIKE_K, past).corners}
        for past in (None, past_of(tmp_path, UNLIKE_K, UNLIKE_K))
    )
    assert known["2R"][0] > alone["2R"][0] + 2.0
    high_over_low = [(high - AIR_DEGC) / (low - AIR_DEGC) for low, high in (known["2R"], alone["2R"])]
    assert high_over_low[0] < high_over_low[1]


@pytest.mark.parametrize("drive", ["coast"])
def test_a_drive_without_braking_is_judged_alone(tmp_path: Path, drive: str) -> None:
    cool = {corner: 0.15 * rise_k for corner, rise_k in HEALTHY_K.items()}
    past = past_of(tmp_path, UNLIKE_K, UNLIKE_K)
    text = dated(cool, "2026-09-10").replace("drive: normal", f"drive: {drive}")
    (tmp_path / "coast.csv").write_text(text, encoding="utf-8")
    readings = read_log(str(tmp_path / "coast.csv")).readings
    plain, known = (
        tell(judge(readings, replace(gather_settings(policy="light"), past=one)), 0) for one in (None, past)
    )
    assert known.answers == plain.answers


def test_another_vehicle_has_another_past(tmp_path: Path) -> None:
    past = past_of(tmp_path, UNLIKE_K, UNLIKE_K)
    for name, counts in (("van 7", True), ("VAN  7", True), ("van 8", False)):
        answers = told(tmp_path, UNLIKE_K, past, vehicle=name).answers
        assert code_of(answers.drag).startswith("visits_") is counts, name


def test_left_and_right_are_alike(tmp_path: Path) -> None:
    def swapped(rises_k: dict[str, float]) -> dict[str, float]:
        return {
            corner: rises_k[corner[0] + {"L": "R", "R": "L"}[corner[1]]]
            for corner in ("1R", "1L", "2R", "2L")
        }

    one = told(tmp_path, UNLIKE_K, past_of(tmp_path, UNLIKE_K, UNLIKE_K)).answers.drag
    other = told(tmp_path, swapped(UNLIKE_K), past_of(tmp_path, *[swapped(UNLIKE_K)] * 2)).answers.drag
    # the walk goes round in the order of the corners: the mirrored one is read in the mirrored order
    assert other.p == pytest.approx(one.p, rel=1e-3)
    assert other.answer == one.answer


def test_running_estimate_is_the_posterior_of_a_normal() -> None:
    """Without forgetting: precision-weighted mean of prior and measurements (normal conjugate, own sum)."""
    policy = replace(POLICY, memory_forgetting_spread=0.0, memory_most_spread=10.0)
    measured, noise, prior = [0.10, 0.16, 0.13], [0.02, 0.01, 0.03], 0.04
    found = _filtered(iter(zip(measured, noise, strict=True)), prior, policy)
    precision = 1.0 / prior + sum(1.0 / one for one in noise)
    means = []
    for count in (1, 2, 3):
        top = sum(value / one for value, one in zip(measured[:count], noise[:count], strict=True))
        means.append(top / (1.0 / prior + sum(1.0 / one for one in noise[:count])))

    assert found.variance == pytest.approx(1.0 / precision)
    assert found.value == pytest.approx(min(means))
    assert _filtered(iter([]), prior, policy) is None


@given(st.lists(st.floats(-1, 1), min_size=1, max_size=8))
def test_least_agreed_is_never_beyond_any_estimate(estimates: list[float]) -> None:
    least = _least_agreed(estimates, 0.2)
    assert abs(least) <= min(
        0.2, min(map(abs, estimates)) if len({one > 0 for one in estimates}) == 1 else 0.2
    )
    assert all(least * one >= 0.0 for one in estimates)
    assert _least_agreed([-one for one in estimates], 0.2) == -least


def test_the_cap_holds_just_there() -> None:
    most = POLICY.memory_most_spread
    assert _least_agreed([most - 0.001], most) == pytest.approx(most - 0.001)
    assert _least_agreed([most + 0.001], most) == most


def test_metal_and_cold_brakes_teach_nothing(tmp_path: Path) -> None:
    past = past_of(tmp_path, UNLIKE_K)
    plain = told(tmp_path, UNLIKE_K, None).answers.drag

    def with_axles(change) -> Past:
        (visit,) = past.units["van 7"]
        return Past(units={"van 7": (replace(visit, axles=tuple(map(change, visit.axles))),)})

    for change in (
        lambda one: replace(one, of_metal=True),
        lambda one: replace(one, rise_k=(2.9, 2.0)),
        lambda one: replace(one, rise_k=(None, one.rise_k[1])),
    ):
        assert told(tmp_path, UNLIKE_K, with_axles(change)).answers.drag == plain


def test_only_what_was_driven_before_counts() -> None:
    one = AxleVisit(axle=1, rise_k=(10.0, 10.0), variance_k2=(1.0, 1.0))
    units = tuple(
        PastVisit(when=(float(day), day), log_sha256=f"log {day}", axles=(one,)) for day in (1, 2, 3)
    )
    past = Past(units={"van 7": units})
    (case,) = read_case("van 7", "1969-12-31")
    assert past.before(case) == ()
    assert past.before(replace(case, taken=None, vehicle="van 8")) == ()
    late = replace(case, taken=None)
    assert past.before(late) == units
    mine = replace(late, log=replace(case.log, sha256="log 2"))
    assert past.before(mine) == units[:1]


def read_case(vehicle: str, day: str):
    from thermlog.words.tables import Case, LogRecord, Taken

    log = LogRecord(file="a.csv", sha256="of today", rows_read=1, rows_used=1)
    return (Case(log=log, vehicle=vehicle, taken=Taken(start=day)),)


# --- through the commands -----------------------------------------------------------------------------------


def test_the_command_says_what_history_did_and_says_it_again(thermlog) -> None:
    """Judged a second time, a log has the same answers: what came after it does not count."""
    for number, day in enumerate(DAYS):
        Path(f"{number}.csv").write_text(dated(UNLIKE_K, day), encoding="utf-8")
        thermlog("check", f"{number}.csv", "--history", "depot.db")
    first = thermlog("check", "2.csv", "--history", "depot.db", "--format", "json")
    text = thermlog("check", "3.csv", "--history", "depot.db").out
    again = thermlog("check", "2.csv", "--history", "depot.db", "--format", "json")

    assert first.out == again.out
    drag = json.loads(first.out)["answers"]["drag"]
    assert [one["numbers"]["visits"] for one in drag["reasons"] if one["code"] == "visits_calm"] == [2]
    assert "earlier drives of this vehicle (3) show this as usual for it" in text


def test_a_fleet_says_the_same_in_any_order_and_by_any_number_of_processes(thermlog) -> None:
    """Logs of one command do not count for each other, whichever is judged first."""
    Path("logs").mkdir()
    for number, day in enumerate(DAYS):
        Path(f"logs/{number}.csv").write_text(dated(UNLIKE_K, day), encoding="utf-8")
    thermlog("fleet", "logs/0.csv", "logs/1.csv", "--history", "one.db", "--exit-zero")
    Path("two.db").write_bytes(Path("one.db").read_bytes())
    how = ("--format", "csv", "--exit-zero")
    one = thermlog("fleet", "logs/2.csv", "logs/3.csv", "--history", "one.db", *how)
    other = thermlog("fleet", "logs/3.csv", "logs/2.csv", "--history", "two.db", "--jobs", "2", *how)

    assert one.out == other.out
    in_full = thermlog("fleet", "logs", "--history", "one.db", "--format", "json")
    assert "earlier drives" in in_full.out


def test_changed_parts_begin_a_new_past(thermlog) -> None:
    for number, day in enumerate(DAYS):
        Path(f"{number}.csv").write_text(dated(UNLIKE_K, day), encoding="utf-8")
    for number in (0, 1):
        thermlog("check", f"{number}.csv", "--history", "depot.db")
    assert len(remembered("van 7")) == 2
    part = ("--cause", "slide_pin_seized", "--part", "pins")
    thermlog("narrow", "1.csv", "--job", "card.json", "--found", "spin_hot=drags_evenly", *part)
    thermlog("history", "--history", "depot.db", "--job", "card.json")
    thermlog("check", "2.csv", "--history", "depot.db")

    assert len(remembered("van 7")) == 1


def test_drives_without_braking_teach_nothing(thermlog) -> None:
    """What is left of heat without braking tells nothing of how brakes share it."""
    cool = {corner: 0.15 * rise_k for corner, rise_k in HEALTHY_K.items()}
    text = dated(cool, "2026-03-04").replace("drive: normal", "drive: coast")
    Path("coast.csv").write_text(text, encoding="utf-8")
    thermlog("check", "coast.csv", "--history", "depot.db")
    assert (len(History.open("depot.db").visits()), remembered("van 7")) == (1, ())


def test_another_corner_called_is_not_the_same_call() -> None:
    def answers(word: str, *corners: str) -> Answers:
        nothing = Answer(answer="no")
        return Answers(drag=Answer(answer=word, corners=corners), idle=nothing, heat=nothing)

    today = answers("yes", "1L")
    assert called_today_only(today, answers("yes", "1R"))
    assert called_today_only(today, answers("watch", "1L"))
    assert not called_today_only(today, answers("yes", "1L", "2R"))
    assert not called_today_only(answers("watch", "1L"), answers("no"))


def test_another_gun_hardly_changes_what_is_learned(tmp_path: Path) -> None:
    """Its setting scales both sides alike: the ratio is what is learned."""
    scaled = {corner: 1.12 * rise_k for corner, rise_k in UNLIKE_K.items()}
    one, other = (
        told(tmp_path, UNLIKE_K, past_of(tmp_path, each, each)).answers.drag for each in (UNLIKE_K, scaled)
    )
    assert other.answer == one.answer
    assert other.p == pytest.approx(one.p, abs=0.01)


def test_no_is_only_said_where_this_log_and_this_past_would_have_shown_it(tmp_path: Path) -> None:
    """The least drag that is printed beside a "no" is found when it is planted at that corner."""
    past = past_of(tmp_path, UNLIKE_K, UNLIKE_K, UNLIKE_K)
    answer = told(tmp_path, UNLIKE_K, past).answers.drag
    assert answer.answer == "no"
    for limit in answer.detectable:
        # what is left of heat put on at parking when the corners are compared: own sum
        fall = math.exp(-150.0 / TAU_S)
        more = UNLIKE_K | {limit.corner: UNLIKE_K[limit.corner] + 1.1 * limit.rise_k / fall}
        assert told(tmp_path, more, past).answers.drag.answer in {"yes", "watch"}, limit


@pytest.mark.parametrize("name", [one for one in OF_MEMORY if one != "memory_doubt_probability"])
@pytest.mark.parametrize("base", BUNDLED)
def test_every_number_of_memory_acts(tmp_path: Path, base: str, name: str) -> None:
    """Each of them changes what earlier visits make of a log."""
    past, policy = past_of(tmp_path, UNLIKE_K, UNLIKE_K, UNLIKE_K), load_policy(base)
    (tmp_path / "today.csv").write_text(dated(UNLIKE_K, "2026-09-10"), encoding="utf-8")
    readings = read_log(str(tmp_path / "today.csv")).readings
    usual = replace(gather_settings(policy=base), past=past)
    other = 0.02 if name == "memory_most_spread" else 2.0 * getattr(policy, name)
    changed = replace(usual, policy=replace(policy, **{name: other}))

    ps = [float(judge(readings, settings).patterns.p_drag[0]) for settings in (usual, changed)]
    assert np.isfinite(ps).all()
    assert ps[0] != ps[1]


@pytest.mark.parametrize("base", BUNDLED)
def test_earlier_visits_have_a_line_of_their_own(tmp_path: Path, base: str) -> None:
    """A drag is watched from just above it on; a vehicle without a past is held to the other line."""
    past = past_of(tmp_path, HEALTHY_K, HEALTHY_K)
    (tmp_path / "today.csv").write_text(
        dated(HEALTHY_K | {"2R": HEALTHY_K["2R"] + 17.0}, "2026-09-10"), encoding="utf-8"
    )
    readings = read_log(str(tmp_path / "today.csv")).readings
    usual = gather_settings(policy=base)

    def answer(doubt: float, line: float, known: Past | None) -> str:
        policy = replace(usual.policy, doubt_probability=doubt, memory_doubt_probability=line)
        return tell(judge(readings, replace(usual, past=known, policy=policy)), 0).answers.drag.answer

    p = tell(judge(readings, replace(usual, past=past)), 0).answers.drag.p
    assert 0.01 < p < 0.3  # between no and a call
    assert answer(0.99, p * 1.001, past) == "no"
    assert answer(0.99, p * 0.999, past) == "watch"
    assert answer(0.99, 0.0, None) == "no"
    assert load_policy(base).memory_doubt_probability < load_policy(base).doubt_probability
