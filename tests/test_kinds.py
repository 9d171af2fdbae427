"""The registry of fault kinds: entries that are complete, one added that everything else then knows."""

from __future__ import annotations

import ast
import json
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import get_args

import jsonschema
import pytest
from msgspec.structs import replace

from thermlog.advice.evidenceload import evidence_table
from thermlog.inference import explanations as judging_explanations
from thermlog.inference.explanations import BOTH_COLD, KINDS, explanations, kind_weights
from thermlog.simulation.builds import fault_places
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES
from thermlog.words import kinds
from thermlog.words.findings import PatternKind, UrgentCode
from thermlog.words.kinds import ALL_HOT, FAULT_KINDS, FaultKind, Scope, fault_kind
from thermlog.words.policy import Policy, load_policy
from thermlog.words.reasons import ReasonCode, WhyCode

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT / "bench"))

import make_kinds  # noqa: E402 - beside the tests

FAULTS = [kind for kind in FAULT_KINDS if kind.is_fault]
each_fault = pytest.mark.parametrize("kind", FAULTS, ids=lambda kind: kind.name)


def test_names_are_unique_and_are_what_findings_can_say():
    names = [kind.name for kind in FAULT_KINDS]
    assert len(set(names)) == len(names)
    assert list(get_args(PatternKind)) == names
    assert [fault_kind(name).name for name in names] == names


# kind: warms, has a place, question it answers, reason that tells it whole (what the docstrings promise)
FOLLOWS = {
    "none": (False, False, None, None),
    "corner_hot": (True, True, "drag", None),
    "corner_cold": (False, True, "idle", None),
    "axle_hot": (True, True, "drag", "both_sides_hot"),
    "axle_cold": (False, True, "idle", "both_sides_cold"),
    "diagonal_hot": (True, True, "drag", "diagonal_hot"),
    "circuit_hot": (True, True, "drag", "circuit_hot"),
    "all_hot": (True, False, "heat", "all_hot"),
    "hub_hot": (True, True, None, None),
    "several": (True, True, None, None),
    "cannot_tell": (False, False, None, None),
}


@pytest.mark.parametrize("name", FOLLOWS)
def test_what_follows_from_sign_and_scope(name: str):
    kind = fault_kind(name)
    assert (kind.warms, kind.has_place, kind.asked_of, kind.reason) == FOLLOWS[name]


@each_fault
def test_an_entry_is_complete(kind: FaultKind):
    """Weight in the policy, answer in the evidence file, reason among the codes, a place on some vehicle."""
    assert kind.weight is None or kind.weight in Policy.__struct_fields__
    assert kind.stands_out in evidence_table().observations["th_scope"].answers
    assert kind.reason is None or kind.reason in get_args(WhyCode)
    assert any(kind.places(axles, axles) for axles in (1, 2, 3, 5))
    assert kind.size != "none" or not kind.simulated
    assert not kind.has_place or () not in kind.places(5, 5)


@each_fault
@pytest.mark.parametrize("axles", [1, 2, 3, 5])
def test_places_lie_on_the_vehicle_and_differ(kind: FaultKind, axles: int):
    places = kind.places(axles, axles)
    corners = {(row, side) for row in range(axles) for side in (0, 1)}
    assert len({frozenset(place) for place in places}) == len(places)
    assert all(place and set(place) <= corners and len(set(place)) == len(place) for place in places)


@each_fault
def test_what_is_seen_as_height_takes_both_sides_of_its_axles(kind: FaultKind):
    """Left against right shows one side of an axle, and is blind where both are alike."""
    whole = [
        all({(row, 0), (row, 1)} <= set(place) for row, _ in place)
        for axles in (2, 3, 5)
        for place in kind.places(axles, axles)
    ]
    assert whole
    assert all(whole) == (kind.shown_by == "height")
    assert any(whole) == (kind.shown_by == "height")


def test_what_is_weighed_is_what_the_explanations_are_made_of():
    """Separate faults are summed in closed form; only a trailer's stand in the list beside one before it."""
    policy = load_policy("heavy")
    listed = {
        one.kind
        for count, weights in ((2, {"diagonal_hot_weight": 0.1, "diagonal_cold_weight": 0.1}), (3, {}))
        for one in explanations(count, count, _with(policy, weights), frozenset(), towed=frozenset({1, 2}))
    }
    assert listed == set(KINDS)


def _with(policy: Policy, numbers: dict[str, float]) -> Policy:
    return replace(policy, **numbers)


@pytest.mark.parametrize("vehicle", VEHICLE_CLASSES)
def test_what_is_simulated_sits_where_it_is_looked_for(vehicle: str):
    build = VEHICLE_CLASSES[vehicle]
    axles = len(build.axles)
    for kind in (kind for kind in FAULTS if kind.simulated and kind.has_place):
        looked_for = [
            tuple(f"{row + 1}{'LR'[side]}" for row, side in place) for place in kind.places(axles, axles)
        ]
        assert list(fault_places(build, kind.name)) == looked_for


def test_the_table_on_the_page_is_current():
    """Made by bench/make_kinds.py."""
    page = make_kinds.PAGE.read_text(encoding="utf-8")
    assert make_kinds.renewed(page) == page
    assert all(f"| `{kind.name}` | {kind.meaning} |" in page for kind in FAULT_KINDS)


def test_nobody_compares_names_of_kinds():
    """Its sign, scope, size and the like are matched; a word that is also another code is that code.

    Topics of practice are a table of what may be planted, not of what to do about it.
    """
    names = {kind.name for kind in FAULTS}
    codes = {*get_args(ReasonCode), *get_args(UrgentCode)}
    codes = {word for part in codes for word in (get_args(part) or (part,))} | {*get_args(Scope)}
    forbidden = (names - codes) | {"_hot", "_cold"}
    found = [
        (path.relative_to(ROOT), node.lineno, node.value)
        for path in (ROOT / "thermlog").rglob("*.py")
        if path.name not in {"kinds.py", "topics.py"}
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant) and node.value in forbidden
    ]
    assert found == []


# Kinds that are meant themselves wherever they are called (docstring of words/kinds.py).
CALLED = {"NONE", "CANNOT_TELL", "SEVERAL", "HUB_HOT", "ALL_HOT", "DIAGONAL_HOT", "DIAGONAL_COLD"}


def test_what_is_true_of_any_kind_of_a_scope_is_asked_of_its_scope():
    """Outside of the registry no other kind is called by the name of its entry."""
    found = {
        alias.name
        for path in (ROOT / "thermlog").rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom) and node.module == "thermlog.words.kinds"
        for alias in node.names
        if isinstance(getattr(kinds, alias.name), FaultKind)
    }
    assert found == CALLED


@pytest.mark.parametrize(
    ("sign", "question", "raises", "changed"),
    [
        ("hot", "heat", True, ()),
        ("cold", "idle", False, ((0, BOTH_COLD), (1, BOTH_COLD))),
        ("mixed", None, None, None),
    ],
)
def test_a_kind_of_the_whole_vehicle_follows_its_sign(sign, question, raises, changed, monkeypatch):
    """Hot brakes raise the heat of the vehicle; cold ones fall below the heat that the driving made."""
    added = replace(ALL_HOT, name=f"newcomer_{sign}", sign=sign)
    for module in (kinds, judging_explanations):
        monkeypatch.setattr(module, "FAULT_KINDS", (*FAULT_KINDS, added))
    for table in (kind_weights, explanations):
        table.cache_clear()
    policy = load_policy("light")
    listed = [one for one in explanations(2, 2, policy, frozenset()) if one.kind == added.name]
    for table in (kind_weights, explanations):
        table.cache_clear()
    assert added.asked_of == question
    assert [(one.raises_level, one.changed) for one in listed] == ([(raises, changed)] if question else [])


# All brakes of one side drag, as likely before as a hot axle: a kind that nothing in the package knows.
NEWCOMER = """
import sys
from thermlog.words import kinds

def one_side(axles, axle_count):
    return tuple(tuple((row, side) for row in range(axles)) for side in (0, 1)) if axles > 1 else ()

added = kinds.FaultKind(
    name="one_side_hot", meaning="all brakes of one side drag", sign="hot", scope="circuit", places=one_side,
    size="drag", weight="axle_hot_weight", stands_out="no_clear_pattern", simulated=True,
)
kinds.FAULT_KINDS = (*kinds.FAULT_KINDS, added)
from thermlog.cli import run
sys.exit(run(sys.argv[1:]))
"""


def thermlog_with_newcomer(*arguments: str) -> tuple[int, str]:
    ran = subprocess.run(
        [sys.executable, "-c", NEWCOMER, *arguments],
        capture_output=True,
        text=True,
        check=False,
        encoding="utf-8",
    )
    assert "Traceback" not in ran.stderr
    assert ran.returncode in {0, 1}, ran.stderr
    return ran.returncode, ran.stdout


@pytest.fixture(scope="module")
def left_side_hot(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A lorry of three axles whose left brakes drag with 150 N·m, described, and its rival beside it."""
    folder = tmp_path_factory.mktemp("depot")
    for number, fault in enumerate(("one_side_hot", "none"), start=1):
        log = str(folder / f"{number}_{fault}.csv")
        placed = ("--corner", "2L") if number == 1 else ()
        thermlog_with_newcomer(
            "simulate", "--class", "rigid3_drum", "--fault", fault, *placed, "--seed", "3", "-o", log
        )
    return folder


LEFT = ["1L", "2L", "3L"]


def test_a_new_kind_is_simulated(left_side_hot: Path):
    log = (left_side_hot / "1_one_side_hot.csv").read_text(encoding="utf-8")
    assert log.startswith("# simulated: one side hot at 1L and 2L and 3L, drag 150 N·m\n")
    assert "one_side_hot" in thermlog_with_newcomer("simulate", "--help")[1]


def test_a_new_kind_is_checked_in_text_and_json(left_side_hot: Path):
    log = str(left_side_hot / "1_one_side_hot.csv")
    code, text = thermlog_with_newcomer("check", log)
    assert code == 1
    assert text.startswith("+ axle 1 left, axle 2 left and axle 3 left drag;")
    assert "MEASURED  axle 1: left is" in text  # left against right shows it
    assert "for: No clear pattern." in text  # causes are ranked under its answer to th_scope
    code, printed = thermlog_with_newcomer("check", log, "--format", "json")
    made = json.loads(printed)
    schema = json.loads(thermlog_with_newcomer("schema", "check")[1])
    jsonschema.validate(made, schema)
    assert (made["pattern"]["kind"], made["pattern"]["corners"]) == ("one_side_hot", LEFT)
    # without the entry no explanation has these corners
    plain = subprocess.run(
        [sys.executable, "-m", "thermlog", "check", log, "--format", "json"],
        capture_output=True, check=False, text=True, encoding="utf-8",
    )  # fmt: skip
    assert json.loads(plain.stdout)["pattern"]["corners"] != LEFT
    assert made["pattern"]["p"] > 0.9


def test_a_new_kind_is_drawn(left_side_hot: Path, tmp_path: Path):
    picture = tmp_path / "chart.svg"
    log = str(left_side_hot / "1_one_side_hot.csv")
    thermlog_with_newcomer("check", log, "--quiet", "--chart", str(picture))
    root = ET.fromstring(picture.read_text(encoding="utf-8"))  # noqa: S314 - our own picture
    words = " ".join(root.itertext())
    assert "axle 1 left, axle 2 left and axle 3 left drag" in words


def test_a_new_kind_is_listed_in_a_fleet(left_side_hot: Path):
    _, text = thermlog_with_newcomer("fleet", str(left_side_hot), "--jobs", "1")
    assert "2 drives of 1 unit judged: 1 to check, 1 with nothing found" in text
    assert [f"axle {axle} left drags" in text for axle in (1, 2, 3)] == [True] * len(LEFT)
    _, printed = thermlog_with_newcomer("fleet", str(left_side_hot), "--format", "json", "--jobs", "1")
    jsonschema.validate(json.loads(printed), json.loads(thermlog_with_newcomer("schema", "fleet")[1]))
    assert "one_side_hot" in printed
