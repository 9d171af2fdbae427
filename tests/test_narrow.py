"""From the odd corner to the cause: what is asked, in which order, and when it ends."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path

import numpy as np
import pytest
from advicecases import HEAVY_DRUMS, log_evidence
from msgspec.structs import replace
from scipy.stats import entropy
from terminals import on_terminal

import thermlog as package
from thermlog.advice.board import QuestionRows, board_of, expected_bits, information_bits
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.information import minutes_here
from thermlog.advice.narrowing import Found, Narrowed, narrow
from thermlog.advice.situations import situation_of
from thermlog.advice.weighing import cause_weights, nothing_fits
from thermlog.cli import keys
from thermlog.words.errors import OptionError
from thermlog.words.findings import Urgent

SAMPLE = str(Path(__file__).parent.parent / "sample_logs" / "van_front_left_hot.csv")
OTHER = str(Path(__file__).parent.parent / "sample_logs" / "estate_front_right_hot.csv")
HEALTHY = str(Path(__file__).parent.parent / "sample_logs" / "saloon_healthy.csv")
BEFORE = str(Path(SAMPLE).with_name("van_before_repair.csv"))
AFTER = str(Path(SAMPLE).with_name("van_after_repair.csv"))
TABLE = evidence_table()
URGENT = Urgent(code="hub_stop", corner="1L", spot="hub", value_degc=130.0, limit_degc=120.0)


def session(evidence, cause: str, *, most: int = 40) -> tuple[Narrowed, list[Found]]:
    """Answer as a cause mostly would, until the search ends."""
    found: list[Found] = []
    for _ in range(most):
        state = narrow(evidence, found)
        if state.check is None or not state.answers:
            return state, found
        asked = TABLE.observations.get(state.check.id)
        answers = [one.id for one in state.answers]
        usual = answers[0] if asked is None else tuple(asked.answers)[int(np.argmax(asked.p[cause]))]
        found.append(Found(check=state.check.id, answer=usual))
    raise AssertionError(found)


@pytest.mark.parametrize("cause", ["slide_pin_seized", "piston_stuck_on", "hose_holds_pressure"])
def test_answers_of_a_cause_lead_to_it(cause):
    """Answered as the file says it mostly shows itself, a common cause of a hot front disc comes first."""
    state, _ = session(log_evidence("corner_hot", "1L"), cause)
    assert state.suspects[0].cause == cause
    assert state.check is None


def test_no_check_is_asked_twice_and_minutes_add_up():
    state, found = session(log_evidence("corner_hot", "1L"), "slide_pin_seized")
    assert len({one.check for one in found}) == len(found)
    assert state.found == tuple(found)
    minutes = [narrow(log_evidence("corner_hot", "1L"), found[:n]).minutes for n in range(len(found) + 1)]
    assert minutes[0] == 0.0
    assert minutes == sorted(minutes)


def test_raising_is_counted_once():
    """The second check at the raised wheel costs no second raising."""
    evidence = log_evidence("corner_hot", "1L")
    one = TABLE.observations["spin_hot"]
    assert "lift" in one.needs
    saved = minutes_here(evidence, one) - minutes_here(evidence, one, {"lift"})
    assert saved == TABLE.setup_min["lift_light"]


def test_skipped_checks_are_not_asked():
    evidence, skipped = log_evidence("corner_hot", "1L"), []
    for _ in range(60):
        state = narrow(evidence, (), skipped)
        if state.check is None:
            break
        assert state.check.id not in skipped
        skipped.append(state.check.id)
    assert state.check is None
    assert state.ending == "no_check"


def test_above_an_urgent_line_only_cooling_is_asked():
    evidence = log_evidence("corner_hot", "1L", urgent=(URGENT,))
    state = narrow(evidence)
    assert (state.check.id, [one.id for one in state.answers]) == ("clear_and_wait", ["cooled", "not_yet"])
    assert narrow(evidence, [Found(check="clear_and_wait", answer="not_yet")]).ending == "wait"
    after = narrow(evidence, [Found(check="clear_and_wait", answer="cooled")])
    assert after.check.id != "clear_and_wait"


def test_without_a_fault_there_is_no_cause():
    state = narrow(log_evidence("none"))
    assert (state.suspects, state.ending, state.answers) == ((), "no_cause", ())
    assert state.check is not None


@pytest.mark.parametrize(
    ("check", "answer", "said"),
    [
        ("spin_hott", "free", "no check"),
        ("spin_hot", "fre", "no answer"),
        ("th_scope", "axle_pair", "no check"),
    ],
)
def test_unknown_checks_and_answers_are_refused_by_name(check, answer, said):
    with pytest.raises(OptionError, match=said):
        narrow(log_evidence("corner_hot", "1L"), [Found(check=check, answer=answer)])


def test_information_is_that_of_a_brute_force_enumeration_and_of_scipy():
    """H(cause) - E[H(cause | answer)], by scipy.stats.entropy over all answers."""
    weights = cause_weights(situation_of(log_evidence("corner_hot", "1L")))
    shares = np.array([weights.get(cause, 0.0) for cause in TABLE.causes]) / sum(weights.values())
    for asked in TABLE.observations.values():
        p = np.array([asked.p[cause] for cause in TABLE.causes])
        answer = shares @ p
        after = sum(q * entropy(shares * p[:, k] / q, base=2) for k, q in enumerate(answer) if q > 0)
        bits = information_bits(QuestionRows.of(p.T[np.newaxis]), shares)
        assert bits == pytest.approx([entropy(shares, base=2) - after], abs=1e-9)


def test_kind_of_brake_is_a_question_and_its_answers_are_bayes():
    """P(kind) before equals the mean over the causes; the answer leaves only causes of that kind."""
    evidence = log_evidence("corner_hot", "1L")
    situation = situation_of(evidence)
    board = board_of(situation)
    kind = board.asked[board.at["brake_kind"]]
    for parts in kind.asked.p.values():
        assert math.fsum(parts) == pytest.approx(1.0)
    fixed = narrow(evidence, [Found(check="brake_kind", answer="hyd_disc_fixed")])
    assert "slide_pin_seized" not in {one.cause for one in fixed.suspects}


def test_contradiction_is_said():
    """To every check the answer that the possible causes explain worst: nothing fits, and that is said."""
    evidence = log_evidence("corner_hot", "1L")
    causes = list(cause_weights(situation_of(evidence)))
    found, board = [], board_of(situation_of(evidence))
    for key, asked in TABLE.observations.items():
        best = np.max([asked.p[cause] for cause in causes], axis=0)
        if asked.source != "log" and board.applies[board.at[key]] > 0:
            found.append(Found(check=key, answer=tuple(asked.answers)[int(best.argmin())]))
    state = narrow(evidence, found)
    assert state.ending == "contradiction"
    assert state.suspects[0].cause == "no_single_cause"


@pytest.mark.parametrize(("others", "contradicts"), [(3, True), (4, False), (5, False)])
def test_one_answer_in_five_may_be_a_slip(others, contradicts):
    """Usual answers of slide pins and one that they explain badly: own rule, five answers."""
    usual = [
        (key, max(asked.answers, key=lambda one, asked=asked: asked.likelihood(one, "slide_pin_seized")))
        for key, asked in TABLE.observations.items()
        if key in {"spin_hot", "visual", "pins_slide", "wear_pads", "lamp"}
    ]
    slip = ("piston_draws_back", "stays_out")
    assert TABLE.observations[slip[0]].likelihood(slip[1], "slide_pin_seized") < TABLE.rule["misfit"]
    situation = replace(situation_of(log_evidence("corner_hot", "1L")), answers=(*usual[:others], slip))
    only = np.array([float(cause == "slide_pin_seized") for cause in TABLE.causes])
    assert nothing_fits(situation, only) is contradicts


def test_check_that_tells_too_little_for_its_minutes_is_not_asked(monkeypatch):
    """Information over minutes and 4 more, just above and just below the least rate."""
    table = evidence_table()  # as it is now: a test before this one may have had it read anew
    evidence = log_evidence("corner_cold", "2L", vehicle=HEAVY_DRUMS)
    state = narrow(evidence)
    situation = situation_of(evidence)
    board = board_of(situation)
    bits = expected_bits(board, situation)[board.at[state.check.id]]
    helper = table.observations[state.check.id].minutes  # a second person is there as long
    rate = bits / (state.check.minutes + table.rule["overhead_min"] + helper)
    monkeypatch.setitem(table.rule, "least_rate", rate * 0.999)
    assert narrow(evidence).check == state.check
    monkeypatch.setitem(table.rule, "least_rate", rate * 1.001)
    assert (narrow(evidence).check, narrow(evidence).ending) == (None, "inseparable")


# the command


def test_command_prints_causes_and_the_next_check(thermlog):
    ran = thermlog("narrow", SAMPLE)
    assert ran.code == 1
    assert "NEXT      " in ran.out
    assert "CAUTION   " in ran.out


def test_json_of_the_command_and_of_python_is_the_same(thermlog):
    ran = thermlog("narrow", SAMPLE, "--found", "on_stands=yes", "--format", "json")
    found = json.loads(ran.out)
    assert found["asked"] == [{"id": "on_stands", "answer": "yes"}]
    assert found["next_check"]["answers"]
    assert found == package.narrow(SAMPLE, {"on_stands": "yes"})


def test_healthy_log_has_no_cause(thermlog):
    ran = thermlog("narrow", HEALTHY, "--format", "json")
    found = json.loads(ran.out)
    assert (found["causes"], found["ending"]) == ([], "no_cause")


def test_check_names_the_command(thermlog):
    assert f"thermlog narrow {SAMPLE}" in thermlog("check", SAMPLE).out
    assert "thermlog narrow" not in thermlog("check", HEALTHY).out


def test_record_keeps_answers_and_goes_on(thermlog):
    thermlog("narrow", SAMPLE, "--job", "card.json", "--found", "on_stands=yes", "--complaint", "smell")
    first = json.loads(Path("card.json").read_text(encoding="utf-8"))
    assert (first["schema"], first["complaint"]) == ("thermlog-job-2", "smell")
    assert [(one["check"], one["answer"]) for one in first["answers"]] == [("on_stands", "yes")]
    assert len(first["readings"]) == 12
    more = thermlog(
        "narrow", SAMPLE, "--job", "card.json", "--found", "visual=nothing_seen", "--part", "pin kit"
    )
    assert "on_stands=yes, visual=nothing_seen" in more.out
    second = json.loads(Path("card.json").read_text(encoding="utf-8"))
    assert second["answers"][0] == first["answers"][0]  # with its time
    assert (second["complaint"], second["parts"]) == ("smell", ["pin kit"])
    assert "certifies nothing" in second["wording"]


def test_record_of_another_vehicle_is_refused_and_kept(thermlog):
    thermlog("narrow", SAMPLE, "--job", "card.json")
    before = Path("card.json").read_bytes()
    ran = thermlog("narrow", OTHER, "--job", "card.json")
    assert ran.code == 3
    assert "name another file for this job" in ran.err
    assert Path("card.json").read_bytes() == before


@pytest.mark.parametrize("content", ["", "{}", '{"schema": "thermlog-job-9"}', "no json"])
def test_file_that_is_no_record_is_refused_and_kept(thermlog, content):
    Path("card.json").write_text(content, encoding="utf-8")
    ran = thermlog("narrow", SAMPLE, "--job", "card.json")
    assert ran.code == 3
    assert "no job record of thermlog" in ran.err
    assert Path("card.json").read_text(encoding="utf-8") == content


def test_words_for_a_record_need_one(thermlog):
    assert thermlog("narrow", SAMPLE, "--complaint", "smell").code == 2


def test_cause_of_a_record_is_one_that_exists(thermlog):
    ran = thermlog("narrow", SAMPLE, "--job", "card.json", "--cause", "gremlins")
    assert ran.code == 3
    assert 'no cause "gremlins"; no_fault where nothing was wrong; thermlog narrow --checks lists' in ran.err


@pytest.mark.parametrize("named", [(), (BEFORE,)])
def test_repair_is_entered_in_the_record(thermlog, named):
    """The log that the job began with comes first, named again or not."""
    thermlog("narrow", BEFORE, "--job", "card.json")
    ran = thermlog("compare", *named, AFTER, "--job", "card.json")
    (found,) = json.loads(Path("card.json").read_text(encoding="utf-8"))["verifications"]
    assert ran.out == thermlog("compare", BEFORE, AFTER).out
    assert (found["file"], found["even_again"]) == (AFTER, True)
    assert f"FINDING   {found['outcome']}" in ran.out


def test_repair_of_another_vehicle_is_not_entered(thermlog):
    thermlog("narrow", BEFORE, "--job", "card.json")
    before = Path("card.json").read_bytes()
    ran = thermlog("compare", HEALTHY, "--job", "card.json")
    assert (ran.code, Path("card.json").read_bytes()) == (3, before)


def test_log_that_changed_since_is_not_entered(thermlog):
    Path("first.csv").write_bytes(Path(BEFORE).read_bytes())
    thermlog("narrow", "first.csv", "--job", "card.json")
    Path("first.csv").write_bytes(Path(BEFORE).read_bytes() + b"# seen: smell\n")
    assert thermlog("compare", AFTER, "--job", "card.json").code == 3


@pytest.mark.parametrize("command", [("narrow", SAMPLE), ("compare", AFTER)])
def test_result_never_takes_the_place_of_the_record(thermlog, command):
    thermlog("narrow", SAMPLE if command[0] == "narrow" else BEFORE, "--job", "card.json")
    before = Path("card.json").read_bytes()
    ran = thermlog(*command, "--job", "card.json", "-o", "./card.json", "--force")
    assert (ran.code, Path("card.json").read_bytes()) == (2, before)


def test_record_must_exist_to_be_compared(thermlog):
    ran = thermlog("compare", AFTER, "--job", "card.json")
    assert ran.code == 3
    assert "begin the record with thermlog narrow" in ran.err


TWO = str(Path(SAMPLE).with_name("van_two_drives.csv"))


@pytest.mark.parametrize(
    ("case", "number"), [("1", 1), ("2", 2), ("coast", 2), (" Delivery Van 4, normal ", 1)]
)
def test_one_of_several_flagged_drives_is_chosen_by_number_or_name(thermlog, case, number):
    ran = thermlog("narrow", TWO, "--case", case, "--format", "json")
    found = json.loads(ran.out)
    assert found == package.narrow(TWO, case=number) == package.narrow(TWO, case=case)
    assert found != package.narrow(TWO, case=3 - number)


@pytest.mark.parametrize(
    ("case", "said"),
    [
        (
            None,
            "several drives of this log are flagged (1: delivery van 4, normal; 2: delivery van 4, coast)",
        ),
        ("delivery van 4", "several drives of this log are flagged"),
        ("3", 'no case "3"; the log holds 1: delivery van 4, normal; 2: delivery van 4, coast'),
        ("0", 'no case "0"; the log holds'),
        ("bus", 'no case "bus"; the log holds'),
    ],
)
def test_case_that_is_not_one_is_refused_by_name(thermlog, case, said):
    ran = thermlog("narrow", TWO, *([] if case is None else ["--case", case]))
    assert ran.code == 3
    assert said in ran.err
    with pytest.raises(OptionError, match=said.split(" (")[0].replace("?", ".")):
        package.narrow(TWO, case=case)


def test_unknown_check_that_is_skipped_is_refused_by_name(thermlog):
    ran = thermlog("narrow", SAMPLE, "--skip", "spin_hott")
    assert (ran.code, 'no check "spin_hott"; nearest: spin_hot' in ran.err) == (3, True)
    assert package.narrow(SAMPLE, skipped=["spin_hot"])["skipped"] == ["spin_hot"]


# a terminal


def test_one_key_an_answer_back_and_stop():
    """One answer, back, again, cannot do, stop: the record holds what was answered, no screen scrolls."""
    shown = on_terminal("1b1sq", "narrow", SAMPLE, "--job", "card.json")
    record = json.loads(Path("card.json").read_text(encoding="utf-8"))
    assert len(record["answers"]) == 1
    assert len(record["skipped"]) == 1
    screens = shown.split("stop here")[:-1]
    assert len(screens) == 5
    for one in screens:
        assert one.count("\n") <= 24
    assert "RESULT" in shown or "NEXT" in shown


def test_wrong_keys_change_nothing_and_back_takes_the_last_key_first():
    """Skip, answer, back, back: the answer goes first, then the skip; other keys do nothing."""
    on_terminal("1s1bq", "narrow", SAMPLE, "--job", "card.json")
    record = json.loads(Path("card.json").read_text(encoding="utf-8"))
    assert (len(record["answers"]), len(record["skipped"])) == (1, 1)
    on_terminal("bb9x\tbq", "narrow", SAMPLE, "--job", "card.json")
    record = json.loads(Path("card.json").read_text(encoding="utf-8"))
    assert (record["answers"], record["skipped"]) == ([], [])


def rows_of(text: str) -> int:
    """Lines that a terminal of 80 columns needs."""
    return sum(max(1, -(-len(line) // 80)) for line in text.splitlines())


@pytest.mark.parametrize("log", ["van_before_repair", "tipper_axle3_right_hot", "hatchback_rear_right_hot"])
def test_no_screen_and_no_end_needs_scrolling_and_no_caution_is_cut(log):
    """Twelve answers on a terminal of 80 columns and 24 lines: screens in full, and the end fits one, too."""
    shown = on_terminal("123112311231q", "narrow", str(Path(SAMPLE).with_name(f"{log}.csv")))
    assert "Traceback" not in shown
    screens = re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", shown).replace("\r", "").split("stop here\n")
    assert len(screens) > 5
    for one in screens:
        assert rows_of(one.lstrip("\n")) < 24
    for one in screens[:-1]:
        caution = one[one.index("Caution: ") : one.rindex("\n  1  ")]
        assert not any(line.endswith(" ...") for line in caution.splitlines())
        # a whole caution ends with where limits stand, or with how cool a wheel must be first
        assert re.search(r"(service\s+information|wherever\s+it\s+is\s+touched)\.$", caution)
    assert "FINDING " in screens[-1]


def test_a_wheel_that_was_too_hot_is_asked_about_again_when_the_record_is_opened(thermlog):
    hub = str(Path(SAMPLE).with_name("trailer_hub_hot.csv"))
    thermlog("narrow", hub, "--job", "card.json", "--found", "clear_and_wait=not_yet")
    shown = on_terminal("1q", "narrow", hub, "--job", "card.json")
    assert "nothing smokes" in shown
    record = json.loads(Path("card.json").read_text(encoding="utf-8"))
    assert [one["answer"] for one in record["answers"]] == ["cooled"]


def test_an_interruption_pressed_with_another_key_is_heeded(monkeypatch):
    """A terminal hands over keys pressed together as one text."""
    monkeypatch.setattr(keys.click, "getchar", lambda: "1\x03")
    with pytest.raises(KeyboardInterrupt):
        keys.asked_key("")
