"""How a vehicle brakes, in the words of who drove it: what stops it, what stays open, what is denied.

What a careful technician does with each was written before it was run. A soft pedal, lost air, a brake lamp
and metal on metal stop the vehicle until somebody has looked; a pull and the lamp of the ABS clear nothing,
and call nothing by themselves. All logs are invented.
"""

from __future__ import annotations

import json
import re

import pytest
from advicecases import CAR, log_evidence
from coolinglogs import checked, cooling_log

from thermlog.advice.nextcheck import next_check
from thermlog.advice.situations import situation_of
from thermlog.advice.suspects import rank_suspects
from thermlog.reading.remarks.sights import read_sights, told_sights, unclear_denials
from thermlog.words.findings import Urgent
from thermlog.words.seenwords import SEEN_CHOICES, SEEN_WORDS

EVEN = {"FL": 77.0, "FR": 76.0, "RR": 52.0, "RL": 53.0}  # rises at the start [K]
DEAD_RIGHT = EVEN | {"FR": 3.0}
STOPS = {
    "soft pedal": "pedal", "pedal soft": "pedal", "brake pedal feels spongy": "pedal", "long pedal": "pedal",
    "pedal sinks slowly": "pedal", "pedal goes to the floor": "pedal", "Bremspedal weich": "pedal",
    "hissing air": "air_loss", "hissing": "air_loss", "air leak": "air_loss", "losing air": "air_loss",
    "air is escaping": "air_loss", "zischt": "air_loss",
    "grinding noise": "grind", "grinds": "grind", "metal on metal": "grind",
    "brake warning lamp on": "brake_lamp", "red brake light": "brake_lamp", "warning light on": "brake_lamp",
}  # fmt: skip
OPEN = {
    "pulls left": "pull_left", "pulls to the left when braking": "pull_left", "veers left": "pull_left",
    "pulling slightly right": "pull_right", "zieht nach rechts": "pull_right", "pulls to one side": "pull",
    "drifts left": "pull_left", "ABS warning light came on": "abs_lamp",
    "ABS lamp on": "abs_lamp", "ABS light lit": "abs_lamp", "EBS warning": "abs_lamp",
}  # fmt: skip
DENIED = [
    "no pull", "does not pull", "pulls straight", "no soft pedal", "pedal not soft", "pedal firm",
    "firm pedal", "no hissing", "no air leak", "no grinding", "no ABS lamp", "ABS light off",
    "no brake warning", "no warning lamp", "not pulling left",
]  # fmt: skip
OTHER = [
    "pulled left wheel", "pull wheel next week", "pull pads", "pulled over left", "ABS sensor changed",
    "grinding disc used on rust", "air filter leaking oil", "clutch pedal soft", "engine warning lamp",
    "pedal rubber low", "brake light bulb changed", "long drive", "pulling power ok", "pulls caravan",
]  # fmt: skip


def log(said: str = "", rises: dict[str, float] = EVEN, *, key: str = "remark") -> str:
    return (f"# {key}: {said}\n" if said else "") + cooling_log(rises, "vehicle: car 3")


@pytest.mark.parametrize(("said", "code"), [*STOPS.items(), *OPEN.items()])
def test_a_remark_tells(said, code):
    assert [one.code for one in told_sights(said)] == [code]
    assert [one.code for one in read_sights(said).found] == [code]
    assert read_sights(said).strange == ()


@pytest.mark.parametrize("said", DENIED)
def test_a_denial_denies(said):
    assert told_sights(said) == ()
    assert unclear_denials(said) == ()
    assert read_sights(said).found == read_sights(said).strange == ()


@pytest.mark.parametrize("said", OTHER)
def test_work_and_other_things_are_nothing_of_the_kind(said):
    assert told_sights(said) == ()


@pytest.mark.parametrize("word", SEEN_WORDS.values())
def test_every_word_that_is_offered_is_understood_with_and_without_a_wheel(word):
    code = next(code for code, known in SEEN_WORDS.items() if known == word)
    assert word in SEEN_CHOICES
    assert [one.code for one in read_sights(word).found] == [code]
    assert [(one.code, one.place) for one in read_sights(f"{word} at RF").found] == [(code, "RF")]


@pytest.mark.parametrize("key", ["remark", "seen", "driver says"])
@pytest.mark.parametrize("said", ["soft pedal", "hissing air", "grinding noise", "brake warning lamp on"])
def test_what_may_cost_the_brakes_stops_the_vehicle(thermlog, tmp_path, said, key):
    code, told = checked(thermlog, tmp_path, log(said, key=key))
    text = thermlog("check", "log.csv", "-q").out

    assert code == 1
    assert [one["code"] for one in told["urgent"]] == [STOPS[said]]
    assert told["unweighed"] == []
    assert told["next_check"]["id"] in {"check_supply", "cool_and_turn"}
    assert "STOP DRIVING" in text
    assert re.search("DO NEXT +Do not drive it", text)
    assert "keep clear, wait" not in text  # nothing of it burns: it is looked at where it stands


def test_the_option_says_the_same(thermlog, tmp_path):
    (tmp_path / "log.csv").write_text(log(), encoding="utf-8")
    told = json.loads(
        thermlog("check", "log.csv", "--seen", "soft pedal, pulls left", "--format", "json").out
    )

    assert [one["code"] for one in told["urgent"]] == ["pedal"]
    assert [one["code"] for one in told["seen"]] == ["pedal", "pull_left"]


@pytest.mark.parametrize(
    ("said", "step"), [("pulls to the left", "compare_forces"), ("ABS lamp on", "read_memory")]
)
def test_what_clears_nothing_and_calls_nothing(thermlog, tmp_path, said, step):
    code, told = checked(thermlog, tmp_path, log(said))

    assert (code, told["urgent"], told["unweighed"]) == (1, [], [])
    assert {told["answers"][name]["answer"] for name in ("drag", "idle")} == {"cannot_tell"}
    assert told["answers"]["heat"]["answer"] == "no"  # it says nothing of the whole vehicle's heat
    assert told["next_check"]["id"] == step
    assert {one["verdict"] for one in told["corners"]} == {"even"}


@pytest.mark.parametrize(
    ("said", "of", "corners"),
    [
        ("smoke at FR", "drag", ["1R"]), ("flames RR", "drag", ["2R"]), ("glow at FL", "drag", ["1L"]),
        ("RR wheel locked", "drag", ["2R"]), ("smell", "drag", []), ("sparks at RL", "drag", ["2L"]),
        ("fluid leak at RL", "idle", ["2L"]), ("soft pedal", "idle", []), ("hissing air", "idle", []),
        ("brake warning lamp", "idle", []),
    ],
)  # fmt: skip
def test_what_stops_the_vehicle_leaves_open_what_it_is_about(thermlog, tmp_path, said, of, corners):
    """Even readings clear nobody of dragging beside smoke, nor of doing nothing beside a soft pedal."""
    code, told = checked(thermlog, tmp_path, log(said))
    other = "idle" if of == "drag" else "drag"

    assert (code, bool(told["urgent"])) == (1, True)
    assert (told["answers"][of]["answer"], told["answers"][of]["corners"]) == ("cannot_tell", corners)
    assert [one["code"] for one in told["answers"][of]["reasons"]] == ["seen_beside"]
    assert told["answers"][other]["answer"] == "no"
    words = {one["corner"]: one["verdict"] for one in told["corners"]}
    assert {corner for corner, word in words.items() if word == "cannot_tell"} == set(corners)


def test_what_is_open_by_the_stop_alone_is_not_told_twice_in_the_headline(thermlog, tmp_path):
    (tmp_path / "log.csv").write_text(log("smoke at FR"), encoding="utf-8")
    lines = thermlog("check", "-q", "log.csv").out.splitlines()
    assert lines[0].endswith("STOP DRIVING: smoke seen at front right")


@pytest.mark.parametrize(
    ("said", "code"), [("pulls left", "pulls_as_found"), ("pulls right", "pulls_unexplained")]
)
def test_a_pull_stands_beside_a_brake_that_does_not_work(thermlog, tmp_path, said, code):
    """The right front does nothing: braking, the left pulls. The other way round it is not explained."""
    calm = checked(thermlog, tmp_path, log(rises=DEAD_RIGHT))[1]["answers"]
    quiet = calm["idle"]
    _, told = checked(thermlog, tmp_path, log(said, DEAD_RIGHT))
    idle = told["answers"]["idle"]

    assert (idle["answer"], idle["corners"], idle["p"]) == (
        quiet["answer"],
        ["1R"],
        quiet["p"],
    )  # no call by it
    assert [one["code"] for one in idle["reasons"] if one["code"].startswith("pulls")] == [code]
    explained = code == "pulls_as_found"  # then it asks nothing of the other question
    of_drag = {one["code"] for one in told["answers"]["drag"]["reasons"]}
    assert ("pulls_unexplained" in of_drag) is not explained
    assert (told["answers"]["drag"]["reasons"] == calm["drag"]["reasons"]) is explained


@pytest.mark.parametrize("said", DENIED)
def test_a_denial_clears_as_if_nothing_was_said(thermlog, tmp_path, said):
    code, told = checked(thermlog, tmp_path, log(said))

    assert (code, told["answers"]["drag"]["answer"], told["urgent"]) == (0, "no", [])


def test_a_pull_is_the_vehicles_wherever_it_was_written(thermlog, tmp_path):
    text = log().replace("temp_c\n", "temp_c,note\n").replace("\n15,FR", "\n15,FR", 1)
    lines = [f"{line},pulls left" if line.startswith("30,RR") else line for line in text.splitlines()]
    _, told = checked(thermlog, tmp_path, "\n".join(lines) + "\n")

    assert told["seen"] == [{"code": "pull_left", "corner": None}]


def test_a_list_ranks_what_stops_a_vehicle_first_and_tells_what_is_open(thermlog, tmp_path):
    for name, said in (("a", ""), ("b", "ABS lamp on"), ("c", "soft pedal")):
        (tmp_path / f"{name}.csv").write_text(log(said).replace("car 3", f"car {name}"), encoding="utf-8")
    ran = thermlog("fleet", str(tmp_path))

    assert ran.code == 1
    assert ran.out.index("c.csv") < ran.out.index("b.csv")
    assert "soft pedal noticed" in ran.out


@pytest.mark.parametrize(
    ("kind", "seen", "told"),
    [
        ("corner_cold", ("pull_left",), {"pull": "away_from_suspect_when_braking"}),
        ("corner_cold", ("pull_right",), {"pull": "to_suspect_when_braking"}),
        ("corner_hot", ("pull_left",), {"pull": "away_from_suspect_when_braking"}),
        ("corner_hot", ("pull_right",), {}),  # braking or rolling: that is still asked
        ("corner_cold", ("pull",), {}),
        ("corner_cold", ("pull_left", "pull_right"), {}),
        ("axle_cold", ("pull_left",), {}),
        ("corner_cold", ("pedal",), {"pedal_feel": "spongy_or_low"}),
        ("corner_cold", ("air_loss",), {"gate_air": "falls"}),
    ],
)
def test_what_was_noticed_answers_the_questions_that_the_search_has(kind, seen, told):
    """The suspect is the right front."""
    corners = ("1L", "1R") if kind.startswith("axle") else ("1R",)
    found = dict(situation_of(log_evidence(kind, *corners, seen=seen)).answers)

    assert {key: one for key, one in found.items() if not key.startswith("th_")} == told


def test_a_pull_away_from_a_dead_brake_makes_no_brake_by_itself_likelier_than_it_explains():
    plain = log_evidence("corner_cold", "1R")
    pulled = log_evidence("corner_cold", "1R", seen=("pull_left",))

    assert {one.cause for one in rank_suspects(pulled)} & {one.cause for one in rank_suspects(plain)}


@pytest.mark.parametrize("degc", [90.0, 260.0])
@pytest.mark.parametrize("code", ["pedal", "air_loss", "brake_lamp", "grind", "loose"])
def test_nobody_drives_and_nobody_goes_near_what_is_too_hot(code, degc):
    evidence = log_evidence("none", vehicle=CAR, brake_degc=degc, urgent=(Urgent(code=code, corner="1L"),))
    check = next_check(evidence, ())

    assert check.id in {"check_supply", "cool_and_turn", "secure_wheel"}
    assert (check.id == "secure_wheel") is (code == "loose")
    assert "Do not drive it" in check.question
    assert check.cools_first is (degc > 200.0)


def test_smoke_beside_a_soft_pedal_keeps_everybody_away():
    urgent = (Urgent(code="smoke", corner="1L"), Urgent(code="pedal"))

    assert next_check(log_evidence("none", urgent=urgent), ()).id == "clear_and_wait"


def test_after_work_it_stays_open_until_somebody_says_what_was_found(thermlog, tmp_path):
    """An even log says nothing of a pedal; looked at and mended, it does."""
    mended = log("nothing", key="seen").replace("# ambient", "# repair: new hose, bled\n# ambient")
    for name, text in (("a", log("soft pedal")), ("b", log()), ("c", mended)):
        (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
    still, settled = (thermlog("compare", "a.csv", f"{name}.csv") for name in "bc")

    assert (still.code, settled.code) == (1, 0)
    assert re.search(
        "DO NEXT +Do not drive it before its cause is found: .* at pedal, fluid and air", still.out
    )
    assert "Soft pedal noticed before, not now, and its cause is found" in settled.out
