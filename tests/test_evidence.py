"""The evidence files: whole, in the words of their kinds of brake, every mistake refused by name."""

from __future__ import annotations

import re
from itertools import combinations
from math import log, sqrt
from pathlib import Path

import pytest
from advicecases import CAR, log_evidence, may_ask
from evidencefiles import PINS, change, copied_evidence
from msgspec import structs

from thermlog.advice import evidenceload
from thermlog.advice.evidenceload import evidence_table, load_evidence
from thermlog.advice.situations import situation_of
from thermlog.words.errors import EvidenceError

ADVICE = Path(evidenceload.__file__).parent
FILES = ("evidence.toml", "causes.toml", "checks.toml")
TABLE = evidence_table()
AIR = {"air_drum_scam", "air_drum_wedge", "air_disc"}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return copied_evidence(tmp_path)


def test_a_copy_of_the_files_is_read_like_the_bundled_ones(folder):
    assert load_evidence(folder) == TABLE


@pytest.mark.parametrize(
    ("name", "pattern", "replacement", "said"),
    [
        ("checks.toml", PINS, " 10  80 | slide_pin_seized", "check.pins_slide.percent.*sum to 100"),
        ("checks.toml", PINS, "100   0 | slide_pin_seized", "numbers from 1 on"),
        (
            "checks.toml",
            r"^do = \"Compare the brake fluid",
            'do = "Is it so when seen from outside',
            "check.gate_fluid.*what to do",
        ),
        (
            "checks.toml",
            r"^do = \"Have a helper hold the pedal down and look for anything wet at {place}[^\"]*",
            'do = "Look at it',
            "check.leak.*name the",
        ),
        ("checks.toml", PINS, " 10  80  10 | slide_pin_seized", "2 answers need 2 numbers"),
        ("checks.toml", PINS, " 10  9o | slide_pin_seized", "whole numbers"),
        ("checks.toml", PINS, " 10  90 | slide_pin_siezed", "slide_pin_s.*"),
        ("checks.toml", PINS, "", "slide_pin_seized.*no row here"),
        ("checks.toml", PINS, " 10  90 | slide_pin_seized pads_bound", "pads_bound.*every cause once"),
        ("checks.toml", PINS, " 10  90 | slide_pin_seized cam_bushing", "cam_bushing.*take each out"),
        ("checks.toml", r"^title = \"Slide pins\"", 'title = ""', "check.pins_slide.title.*not complete"),
        (
            "checks.toml",
            r"^title = \"Slide pins\"",
            'title = "{place}"',
            "check.pins_slide.title.*in the question",
        ),
        ("checks.toml", r"^how = \"Each pin alone[^\n]*", 'how = " "', "pins_slide.how.*not complete"),
        ("checks.toml", r"^how = \"Each pin alone[^\n]*\n", "", "pins_slide.how.*not complete"),
        ("checks.toml", r"travel by hand\?\"\ndo", 'travel by hand"\ndo', "question mark"),
        ("checks.toml", r"travel by hand\?", "travel? By hand?", "one question asks one thing"),
        ("checks.toml", r"Wheel off at {place}: does each", "Does each", r"name the {place}"),
        ("checks.toml", r", stiff = \"clean or renew[^\"]*\"", "", "pins_slide.means.*every answer"),
        ("checks.toml", r'"stands", "wheel_off"\]', '"wheel_off"]', "pins_slide.*no lift without stands"),
        ("checks.toml", r'"lift", "stands", "wheel_off"\]', '"wheel_off"]', "pins_slide.*lift it first"),
        (
            "checks.toml",
            r"^needs = \[\"helper\", \"touch\", \"applies\"\]",
            'needs = ["helpers"]',
            "helpers.*no such need",
        ),
        (
            "checks.toml",
            r"^applies_to = \[\"air_drum_scam\"\]",
            'applies_to = ["air_drum"]',
            "air_drum.*no such kind",
        ),
        (
            "checks.toml",
            r"^safety = \[\"stands\", \"caliper\"\]",
            'safety = ["stand"]',
            "pins_slide.safety.*no such caution",
        ),
        ("checks.toml", r"^once = \"wheel\"", 'once = "corner"', r"check\.\w+: Invalid enum value 'corner'"),
        ("checks.toml", r"^minutes = 6.0", "minutes = -6.0", "how long"),
        ("checks.toml", r"thermlog-checks-1", "thermlog-checks-9", "checks.toml, schema"),
        (
            "causes.toml",
            r"^confirms = \[\"pins_slide=stiff\"",
            'confirms = ["pins_slide=sticky"',
            "pins_slide=sticky",
        ),
        (
            "causes.toml",
            r"^confirms = \[\"pins_slide=stiff\"",
            'confirms = ["pin_slide=stiff"',
            "no such check",
        ),
        (
            "causes.toml",
            r"^confirms = \[\"pins_slide=stiff\"",
            'confirms = ["pins_slide=free"',
            "not speak for the cause",
        ),
        (
            "causes.toml",
            r"^confirms = \[\"pins_slide=stiff\", [^\n]*",
            "confirms = []",
            "slide_pin_seized.*nothing confirms",
        ),
        (
            "causes.toml",
            r"^confirms = \[\"stroke=over_limit\", [^\n]*",
            'confirms = ["stroke=over_limit"]',
            "air_drum_wedge.*nothing confirms",
        ),
        (
            "causes.toml",
            r"^prior = { hyd_disc_floating = 0.2,",
            "prior = { hyd_disc_flaoting = 0.2,",
            "hyd_disc_flaoting",
        ),
        (
            "causes.toml",
            r"^prior = { hyd_disc_floating = 0.2,",
            "prior = { hyd_disc_floating = 0.0,",
            "above zero",
        ),
        ("causes.toml", r"^also = \"The pins of the mate[^\n]*", 'also = ""', "cause.slide_pin_seized.also"),
        ("causes.toml", r"^tends = \"hot\"", 'tends = "warm"', "warm"),
        ("causes.toml", r"^scope = \"corner\"", 'scope = "wheel"', "wheel"),
        ("causes.toml", r"^also = ", "aslo = ", "aslo"),
        (
            "evidence.toml",
            r"^light_drum = { hyd_drum = 1.0",
            "light_drum = { hyd_drum = 0.9",
            "share.light_drum.*sum to 1",
        ),
        (
            "evidence.toml",
            r"^light_drum = { hyd_drum",
            "light_drum = { drum",
            "share.light_drum.*no such kind",
        ),
        ("evidence.toml", r"^look = \[\"visual\"\]", 'look = ["vizual"]', "role.look.*no such check"),
        ("evidence.toml", r"^look = \[\"visual\"\]", "look = []", "role.*look.*missing or empty"),
        ("evidence.toml", r"^look = ", "loook = ", "role.*loo"),
        (
            "evidence.toml",
            r"^leak = \[\"gate_fluid=low",
            'leak = ["gate_fluid=lo',
            "next.leak.*gate_fluid=lo",
        ),
        (
            "evidence.toml",
            r"^bearing_brake_held = \[\"bearing_rock=play\"\] # where",
            'bearing_brake_held = ["bearing_rok"] # where',
            "only.bearing_brake_held.*bearing_rok",
        ),
        ("evidence.toml", r"^idle = ", "idel = ", "role_cause.*id"),
        ("evidence.toml", r"^idle = \"[^\"]*\"", 'idle = "idle"', "role_cause.idle.*no such cause"),
        ("evidence.toml", r"\"relay_holds\", \"trailer", '"relay_hold", "trailer', "alike.*no such cause"),
        ("evidence.toml", r"^why = \"Both[^\n]*\n", "", "alike: .*why"),
        ("evidence.toml", r"^see = \"a rotor[^\n]*\n", "", "kind.air_disc: .*see"),
        (
            "checks.toml",
            r'applies_to = \["pedal", "air"\]\nsafety = \["none"\]\npercent = """.*?"""',
            'applies_to = []\nsafety = ["none"]\npercent = ""',
            "check.lamp.*which kinds",
        ),
        (
            "checks.toml",
            r"answers = { one_reading[^\n]*",
            'answers = { one_reading = "only one" }',
            "th_repeat.percent.*1 answers need 1 numbers",
        ),
        (
            "evidence.toml",
            r"^pedal = \[\"hyd_disc_floating\"",
            'pedal = ["hyd_disk"',
            "hyd_disk.*no such kind",
        ),
    ],
)
def test_a_mistake_is_refused_by_name(folder, name, pattern, replacement, said):
    change(folder, name, pattern, replacement)
    with pytest.raises(EvidenceError, match=re.compile(said, re.S)):
        load_evidence(folder)


def test_a_missing_or_broken_file_is_refused_by_name(folder):
    (folder / "causes.toml").write_text("[cause", encoding="utf-8")
    with pytest.raises(EvidenceError, match=r"causes\.toml: not a TOML file"):
        load_evidence(folder)
    (folder / "causes.toml").unlink()
    with pytest.raises(EvidenceError, match=r"causes\.toml: .*install thermlog again"):
        load_evidence(folder)


def test_a_cause_is_added_with_one_table_and_a_name_on_a_line_of_each_question(folder):
    """A twin of the stuck magnet lever: an entry, and its name after the lever's wherever that stands."""
    text = (folder / "causes.toml").read_text(encoding="utf-8")
    entry = re.search(r"\[cause\.magnet_stuck\].*?\n\n", text, re.S).group()
    (folder / "causes.toml").write_text(
        text + "\n" + entry.replace("magnet_stuck", "magnet_bent"), encoding="utf-8"
    )
    with pytest.raises(EvidenceError, match=r"magnet_bent.*no row here"):
        load_evidence(folder)
    checks = (folder / "checks.toml").read_text(encoding="utf-8")
    (folder / "checks.toml").write_text(
        checks.replace("magnet_stuck", "magnet_stuck magnet_bent"), encoding="utf-8"
    )
    assert load_evidence(folder).causes["magnet_bent"].name == TABLE.causes["magnet_stuck"].name


def test_every_row_sums_to_one_and_what_never_meets_is_flat():
    for asked in TABLE.observations.values():
        assert set(asked.p) == set(TABLE.causes)
        for cause, row in asked.p.items():
            assert len(row) == len(asked.answers)
            assert sum(row) == pytest.approx(1.0)
            if set(TABLE.causes[cause].brakes).isdisjoint(asked.applies_to):
                assert row == (1 / len(row),) * len(row)


def test_no_question_mixes_the_words_of_fluid_and_of_air():
    """One for air brakes alone may say treadle, one for hydraulic ones piston; one for both says neither."""
    air = (
        "treadle",
        "pushrod is",
        "pushrod home",
        "chamber",
        "relay",
        "spring brake",
        "air brake",
        "slack adjuster",
    )
    fluid = ("bleeder", "master cylinder", "piston", "parking cable", "parking motor")
    for key, asked in TABLE.observations.items():
        if asked.source == "log":
            continue  # nobody is asked
        kinds = set(asked.applies_to)
        words = " ".join((asked.title, asked.ask, asked.how, *asked.answers.values(), *asked.means.values()))
        words = words.lower()
        if kinds - AIR:
            assert not any(word in words for word in air), key
        if kinds & AIR:
            assert not any(word in words for word in fluid), key
            assert "brake pedal" not in words


def test_a_light_trailer_is_never_told_of_a_pedal():
    trailer = {key for key, kind in TABLE.kinds.items() if kind.group == "trailer"} - {"surge_hyd"}
    for key, asked in TABLE.observations.items():
        if trailer & set(asked.applies_to):
            said = f"{asked.ask} {asked.safety}".lower()
            assert not re.search(r"\b(pedal|treadle|booster|master cylinder|pushrod|bleeder)", said), key


def test_every_kind_of_brake_has_causes_of_drag_and_of_no_work_and_its_safety_checks():
    for kind in TABLE.kinds:
        tends = {cause.tends for cause in TABLE.causes.values() if kind in cause.prior}
        assert {"hot", "cold", "hub_hot"} <= tends
        for role in ("look", "turn"):
            assert any(kind in TABLE.observations[key].applies_to for key in TABLE.role[role])
        if kind != "electric_drum":
            assert any(kind in TABLE.observations[key].applies_to for key in TABLE.role["parking"])


def test_whatever_opens_a_fluid_line_applies_to_fluid_alone_and_is_gated():
    cars = situation_of(log_evidence("corner_hot", "2R", vehicle=CAR))
    trailers = structs.replace(cars, shares=(("surge_hyd", 1.0),))
    ready = {TABLE.named(role) for role in ("look", "turn", "parking")}
    opens = [key for key, asked in TABLE.observations.items() if "opens" in asked.needs]
    assert set(TABLE.role["ladder_fluid"]) <= set(opens)
    for key in opens:
        assert not set(TABLE.observations[key].applies_to) & AIR
        rear = trailers if set(TABLE.observations[key].applies_to) == {"surge_hyd"} else cars
        assert may_ask(key, rear, ready, warm=True)
        assert not may_ask(key, rear, ready - {TABLE.named("parking")}, warm=True)


def apart(one: str, other: str, kind: str) -> float:
    """Bhattacharyya distance summed over all that can be asked at such a brake, with place and sign."""
    return sum(
        -log(sum(sqrt(p * q) for p, q in zip(asked.p[one], asked.p[other], strict=True)))
        for key, asked in TABLE.observations.items()
        if kind in asked.applies_to and (asked.source != "log" or key in {"th_scope", "th_sign"})
    )


def test_every_pair_of_causes_is_kept_apart_or_named_as_alike():
    """Below 0.6 two causes are hard to tell apart, and none that is 1 apart is named: judgement."""
    close = {
        frozenset((one, other))
        for kind in TABLE.kinds
        for one, other in combinations((key for key, cause in TABLE.causes.items() if kind in cause.prior), 2)
        if apart(one, other, kind) < 0.6
    }
    named = {frozenset(pair.causes) for pair in TABLE.alike}
    assert close <= named
    for pair in TABLE.alike:
        both = set(TABLE.causes[pair.causes[0]].prior) & set(TABLE.causes[pair.causes[1]].prior)
        assert min(apart(*pair.causes, kind) for kind in both) < 1.0


def test_spring_chambers_are_never_opened():
    for key in ("spring_caged", "hold_off", "cam_turns", "wedge_moves"):
        assert "Never open or hammer a spring-brake chamber" in TABLE.observations[key].safety
    assert "Never open or hammer" in TABLE.causes["spring_chamber"].safety


def test_rungs_of_the_ladder_each_part_one_cause_from_the_next():
    """Opened point by point: what still frees lies above, the first that does not is just below."""

    def frees(rung: str, cause: str) -> bool:
        return TABLE.observations[rung].likelihood("frees", cause) > 0.5

    rungs = TABLE.role["ladder_fluid"]
    expected = {
        "piston_stuck_on": 0, "hose_holds_pressure": 2, "abs_valve_holds": 3, "mc_port_blocked": 5,
        "pushrod_no_play": 6,
    }  # fmt: skip
    for cause, count in expected.items():
        assert [frees(rung, cause) for rung in rungs] == [k < count for k in range(len(rungs))]

    def left(rung: str, cause: str) -> bool:
        return TABLE.observations[rung].likelihood("air_left", cause) > 0.5

    air = {
        "cam_bushing": 0,
        "air_hose_restricted": 1,
        "abs_air_holds": 2,
        "relay_holds": 3,
        "treadle_holds": 4,
    }
    for cause, count in air.items():
        assert [left(rung, cause) for rung in TABLE.role["ladder_air"]] == [k < count for k in range(4)]


def test_the_narrower_name_of_a_prior_counts():
    """causes.toml states a bearing 0.05 on all brakes and 0.03 on air brakes."""
    prior = TABLE.causes["wheel_bearing"].prior
    assert {kind: prior[kind] for kind in ("hyd_drum", "electric_drum", "air_disc")} == {
        "hyd_drum": 0.05, "electric_drum": 0.05, "air_disc": 0.03
    }  # fmt: skip


def test_every_question_asks_one_thing():
    """One question mark, and no list of answers within it: those stand behind the keys."""
    for key, asked in TABLE.observations.items():
        assert asked.ask.count("?") == 1, key
        last = asked.ask.rsplit(":", maxsplit=1)[-1]
        assert last.count(",") <= 2, key
        assert " or does " not in asked.ask, key


@pytest.mark.parametrize(("row", "refused"), [(" 30  70", False), (" 29  71", True)])
def test_what_confirms_a_cause_is_often_seen_with_it(folder, row, refused):
    """Just at and just below three in ten; a cause may have several such answers."""
    change(folder, "checks.toml", r"^ 85  15 \| rust_bound", f"{row} | rust_bound")
    if not refused:
        load_evidence(folder)
        return
    with pytest.raises(EvidenceError, match=r"rust_bound.confirms.*does not speak for"):
        load_evidence(folder)


def test_low_fluid_speaks_for_a_leak_and_fluid_in_order_against_it():
    asked = TABLE.observations["gate_fluid"]
    for cause in ("supply_leaking", "cylinder_leaking"):
        assert asked.likelihood("low", cause) >= 2.0 * asked.likelihood("low", "slide_pin_seized")
        assert asked.likelihood("right", cause) > 0.5  # one that weeps seldom shows there
    assert asked.likelihood("low", "slide_pin_seized") <= 0.1


def test_what_breaks_loose_with_a_jerk_was_rusted_on():
    asked = TABLE.observations["frees_jerk"]
    assert asked.likelihood("jerk", "rust_bound") >= 0.8
    others = TABLE.causes.keys() - {"rust_bound", "disuse_rust"}
    assert max(asked.likelihood("jerk", cause) for cause in others) < 0.1


def test_what_a_kind_of_brake_does_not_have_is_not_asked_of_it():
    """A rod is seen on S-cam brakes; the pins of an air disc are tried by its caliper, not one by one."""
    assert set(TABLE.observations["rod_home"].applies_to) == {"air_drum_scam"}
    assert not AIR & set(TABLE.observations["pins_slide"].applies_to)
    assert "brake fluid" not in TABLE.observations["job_before_other"].how
