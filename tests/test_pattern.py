"""The whole vehicle: kinds on clean vehicles, probabilities that add up, neighbours that do not matter."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from judgecases import (
    COMBINATION_K,
    EXACT,
    HEAVY,
    LIGHT,
    LORRY_K,
    USUAL,
    VAN_K,
    Corners,
    Walk,
    all_told,
    axle_of,
    described,
    other_side,
    table,
    told,
    walked,
)
from msgspec.structs import replace

from thermlog.inference.explanations import KINDS
from thermlog.judging.diagnose import judge
from thermlog.judging.judged import Judged
from thermlog.judging.settings import Settings
from thermlog.words.kinds import Members
from thermlog.words.tables import stack_readings
from thermlog.words.vehicle import SIDES


def found(corners: Corners, how: Settings = LIGHT, walk: Walk = USUAL) -> tuple[str, tuple[str, ...]]:
    """The best supported fault and its corners, "none" where health has five times its support."""
    patterns = judged_of(corners, walk, how).patterns
    p_none, p_best = (float(patterns.p_kind[0, k]) for k in (KINDS.index("none"), patterns.kind[0]))
    assert p_best == np.delete(patterns.p_kind[0], KINDS.index("none")).max()
    return ("none", ()) if p_none > 5 * p_best else (KINDS[patterns.kind[0]], names_of(patterns.members[0]))


def names_of(members: Members) -> tuple[str, ...]:
    return tuple(f"{axle}{SIDES[side]}" for axle, side in members)


def judged_of(corners: Corners, walk: Walk = USUAL, how: Settings = LIGHT) -> Judged:
    return judge(walked(corners, walk), how)


def p_of(judged: Judged, kind: str, case: int = 0) -> float:
    return float(judged.patterns.p_kind[case, KINDS.index(kind)])


# every kind on clean vehicles

VEHICLES = [(VAN_K, LIGHT), (LORRY_K, HEAVY), (COMBINATION_K, HEAVY)]
IDS = ["2 axles", "3 axles", "5 axles"]


@pytest.mark.parametrize(("healthy", "how"), VEHICLES, ids=IDS)
def test_healthy(healthy, how):
    diagnosis = told(walked(healthy), how)
    assert (diagnosis.pattern.kind, diagnosis.pattern.corners) == ("none", ())
    assert diagnosis.pattern.p == pytest.approx(1.0 - diagnosis.p_fault)
    assert diagnosis.p_fault < 0.05


@pytest.mark.parametrize(("healthy", "how"), VEHICLES, ids=IDS)
def test_one_corner_hot_or_cold_is_found_at_every_corner(healthy, how):
    for corner, rise_k in healthy.items():
        assert found({**healthy, corner: 2.4 * rise_k}, how) == ("corner_hot", (corner,))
        assert found({**healthy, corner: 5.0}, how) == ("corner_cold", (corner,))


@pytest.mark.parametrize(("healthy", "how"), VEHICLES, ids=IDS)
def test_one_axle_hot_or_cold_is_found_at_every_axle(healthy, how):
    for axle in {corner[0] for corner in healthy}:
        both = (f"{axle}L", f"{axle}R")
        assert found(healthy | {corner: 3.0 * healthy[corner] for corner in both}, how) == ("axle_hot", both)
        assert found(healthy | dict.fromkeys(both, 6.0), how) == ("axle_cold", both)


@pytest.mark.parametrize("pair", [("1L", "2R"), ("1R", "2L")])
def test_diagonal(pair):
    assert found(VAN_K | {corner: 2.4 * VAN_K[corner] for corner in pair}) == ("diagonal_hot", pair)
    assert found(VAN_K | {corner: 0.08 * VAN_K[corner] for corner in pair}) == ("diagonal_cold", pair)


@pytest.mark.parametrize("axles", ["23", "34"])
def test_circuit_of_neighbouring_axles(axles):
    members = tuple(f"{axle}{side}" for axle in axles for side in SIDES)
    hot = COMBINATION_K | {corner: 3.0 * COMBINATION_K[corner] for corner in members}
    stated = Walk(description=described("steer", *["axle"] * 4, weight_class="heavy"))
    assert found(hot, HEAVY, stated) == ("circuit_hot", members)
    p_stated, p_unsaid = (p_of(judged_of(hot, walk, HEAVY), "circuit_hot") for walk in (stated, USUAL))
    assert p_stated > 0.7 > p_unsaid  # where nothing describes the vehicle, axles may differ more


@pytest.mark.parametrize("axles", ["12", "345", "45"])
def test_brakes_of_one_line_that_stay_cold_together_are_one_fault(axles):
    """A trailer whose line is not coupled, beside a tractor as warm as always: nothing drags."""
    members = tuple(f"{axle}{side}" for axle in axles for side in SIDES)
    cold = COMBINATION_K | dict.fromkeys(members, 1.0)
    stated = Walk(description=described("steer", *["axle"] * 4, weight_class="heavy"))
    assert found(cold, HEAVY, stated) == ("circuit_cold", members)
    answers = told(walked(cold, stated), HEAVY).answers
    assert (answers.idle.answer, answers.idle.corners) == ("yes", members)
    assert not set(answers.drag.suspected) - set(members)


def test_three_axles_hot_and_two_cool_are_two_readings_of_one_log():
    hot = {corner: 3.0 * rise for corner, rise in COMBINATION_K.items() if corner[0] in "345"}
    stated = Walk(description=described("steer", *["axle"] * 4, weight_class="heavy"))
    answers = told(walked(COMBINATION_K | hot, stated), HEAVY).answers
    assert (answers.drag.answer, answers.idle.answer) == ("watch", "watch")
    assert set(answers.drag.corners) == set(hot)
    assert set(answers.idle.corners) == set(COMBINATION_K) - set(hot)


@pytest.mark.parametrize(("healthy", "how"), VEHICLES, ids=IDS)
def test_all_hot_speaks_by_height_alone(healthy, how):
    """Sides and axles as usual, height not: the higher the likelier, and likeliest where no braking gets.

    Against what is usual after such a drive the same vehicle is suspected sooner: `p_heat`.
    """
    p, p_heat = [], []
    for times in (1.0, 3.0, 5.0, 6.0):
        judged = judged_of({corner: times * rise for corner, rise in healthy.items()}, how=how)
        p.append(p_of(judged, "all_hot"))
        p_heat.append(float(judged.patterns.p_heat[0]))
        if times > 1:
            assert KINDS[judged.patterns.kind[0]] == "all_hot"
            assert judged.patterns.members[0] == tuple(
                (int(name[0]), "LR".index(name[1])) for name in healthy
            )
    assert p == sorted(p)
    assert p[0] < 0.02
    assert p[-1] > 0.35
    assert p_heat == sorted(p_heat)
    assert all(heat > all_hot for heat, all_hot in zip(p_heat, p, strict=True))
    assert p_heat[0] < 0.03
    assert p_heat[2] > 0.6
    assert found({corner: 8.0 * rise for corner, rise in healthy.items()}, how) == ("all_hot", tuple(healthy))


@pytest.mark.parametrize(
    ("change", "corners"),
    [
        ({"1L": 230.0, "2L": 150.0}, ("1L", "2L")),
        ({"1R": 20.0, "2L": 160.0}, ("1R", "2L")),
        ({"1L": 8.0, "2L": 5.0}, ("1L", "2L")),
    ],
)
def test_two_separate_faults_are_named_on_two_axles(change, corners):
    assert found(VAN_K | change) == ("several", corners)


def test_two_separate_faults_on_many_axles():
    assert found(COMBINATION_K | {"2L": 190.0, "5R": 4.0}, HEAVY) == ("several", ("2L", "5R"))
    three = {"2L": 190.0, "3R": 4.0, "5R": 5.0}
    assert found(COMBINATION_K | three, HEAVY) == ("several", tuple(three))
    whole = {"1L": 5.0, "1R": 6.0, "4R": 200.0}
    assert found(COMBINATION_K | whole, HEAVY) == ("several", tuple(whole))


def test_a_hot_brake_beside_a_dead_mate_is_two_faults():
    found_ = told(walked(LORRY_K | {"1L": 4.0, "1R": 230.0}), HEAVY).answers
    assert (found_.drag.suspected, found_.idle.suspected) == (("1R",), ("1L",))


def test_single_axle_names_its_odd_side_or_leaves_it_open():
    trailer = Walk(description=described("trailer"))
    assert found({"1L": 60.0, "1R": 62.0}, walk=trailer) == ("none", ())
    assert found({"1L": 60.0, "1R": 180.0}, walk=trailer) == ("corner_hot", ("1R",))
    assert found({"1L": 60.0, "1R": 4.0}, walk=trailer) == ("corner_cold", ("1R",))
    hot = {"1L": 150.0, "1R": 152.0}
    both, rolled = (judged_of(hot, replace(trailer, drive=drive)) for drive in ("normal", "coast"))
    assert p_of(both, "axle_hot") == p_of(rolled, "all_hot") == 0.0
    unlike = told(walked({"1L": 100.0, "1R": 40.0}, trailer)).axles[0]
    assert (unlike.verdict, unlike.suspect) == ("watch", None)
    assert [reason.code for reason in unlike.reasons] == ["gap_open"]


def test_other_axles_decide_which_side_is_odd():
    """An unlike front pair: hot left beside a cool rear, cold right beside a warm one."""
    front = {"1L": 110.0, "1R": 50.0}
    cool_rear, warm_rear = {"2L": 30.0, "2R": 31.0}, {"2L": 75.0, "2R": 74.0}
    assert axle_of(told(walked(front | cool_rear)), 1).suspect == "1L"
    idle = {"1L": 110.0, "1R": 30.0}  # less than a bright face alone would show of it
    assert axle_of(told(walked(idle | warm_rear)), 1).suspect == "1R"


def test_usual_share_of_a_steer_axle():
    """Twice the heat at the front is usual for a car and odd for a trailer whose axles do the same work."""
    front_heavy = {"1L": 110.0, "1R": 112.0, "2L": 55.0, "2R": 56.0}
    trailer = Walk(description=described("trailer", "trailer"))
    assert p_of(judged_of(front_heavy), "none") > 0.9 > p_of(judged_of(front_heavy, trailer), "none")
    alike = dict.fromkeys(front_heavy, 70.0)
    assert p_of(judged_of(alike, trailer), "none") > p_of(judged_of(alike), "none")


# impossible, harmless, silent


def test_nothing_is_cold_after_a_drive_without_braking():
    for corners in (VAN_K | {"1L": 3.0}, {"1L": 2.0, "1R": 90.0, "2L": 1.0, "2R": 40.0}):
        judged = judged_of(corners, Walk(drive="coast"))
        assert p_of(judged, "corner_cold") == p_of(judged, "axle_cold") == 0.0
        assert (judged.patterns.p_cold == 0.0).all()
        assert (judged_of(corners).patterns.p_cold > 0.0).all()


def test_front_rear_split_has_no_diagonal():
    corners = VAN_K | {"1L": 260.0, "2R": 190.0}
    split = Walk(description=described("steer", "axle", split="front_rear"))
    assert p_of(judged_of(corners, split), "diagonal_hot") == 0.0
    crossed = Walk(description=described("steer", "axle", split="diagonal"))
    assert p_of(judged_of(corners, crossed), "diagonal_hot") > 0.5
    assert found(corners, walk=split) == ("several", ("1L", "2R"))


def test_cold_axle_is_no_fault_where_the_motor_brakes_too():
    cold_rear = VAN_K | {"2L": 6.0, "2R": 5.0}
    electric = Walk(description=described("steer", "axle", regenerative=True))
    assert p_of(judged_of(cold_rear), "axle_cold") > 0.7
    judged = judged_of(cold_rear, electric)
    assert p_of(judged, "none") > 0.8
    assert p_of(judged, "axle_cold") == 0.0
    assert (judged.patterns.p_cold < 0.05).all()
    assert found(cold_rear, walk=electric) == ("none", ())
    assert judged.patterns.p_idle[0] < 0.05
    assert found(VAN_K | {"2L": 5.0}, walk=electric) == ("corner_cold", ("2L",))


def test_lifted_axle_says_nothing():
    """Cold, or warm short of standing out: the others are judged as if nobody had read it."""
    lifted = Walk(description=described("steer", "axle", "lift", weight_class="heavy"), noise_k=0.0)
    cold, warm = (LORRY_K | {"3L": k, "3R": k} for k in (2.0, 90.0))
    judged = [judged_of(corners, lifted, HEAVY) for corners in (cold, warm)]
    for one in judged:
        assert np.isnan(one.patterns.p_hot[:, 2]).all()
        assert np.isfinite(one.patterns.p_hot[:, :2]).all()
    np.testing.assert_allclose(judged[0].patterns.p_kind, judged[1].patterns.p_kind, atol=2e-3)
    assert found(cold, HEAVY, lifted) == ("none", ())
    working = replace(lifted, description=described("steer", "axle", "axle", weight_class="heavy"))
    assert found(cold, HEAVY, working) == ("axle_cold", ("3L", "3R"))


def test_axle_that_nobody_read_leaves_the_rest_a_pattern():
    read = {c: k for c, k in (LORRY_K | {"3R": 190.0}).items() if c[0] != "2"}
    assert found(read, HEAVY) == ("corner_hot", ("3R",))


def test_corner_without_a_mate_still_speaks_for_the_vehicle():
    judged = judged_of({"1L": 105.0, "2L": 63.0, "2R": 64.0})
    assert np.isfinite(judged.patterns.p_hot).all()
    assert p_of(judged, "none") > 0.85
    patterns = judged.patterns  # nobody read 1R: that it may drag, or be idle, is no evidence
    assert patterns.p_drag[0] < patterns.p_hot.sum() - 0.9 * patterns.p_hot[1, 0]
    assert patterns.p_idle[0] < patterns.p_cold[1, 0]


# bookkeeping


rises = st.lists(st.floats(0.5, 400.0), min_size=10, max_size=10)


@settings(max_examples=40, deadline=None)
@given(
    rises=rises, axles=st.integers(1, 5), rounds=st.integers(1, 3), drive=st.sampled_from(["normal", "coast"])
)
def test_probabilities_add_up(rises, axles, rounds, drive):
    names = [f"{axle}{side}" for axle in range(1, axles + 1) for side in SIDES]
    judged = judged_of(dict(zip(names, rises, strict=False)), Walk(rounds=rounds, drive=drive))
    patterns = judged.patterns
    assert patterns.p_kind[0].sum() == pytest.approx(1.0, abs=1e-9)
    assert (patterns.p_kind >= 0).all()
    odd = patterns.p_hot + patterns.p_cold
    assert (odd >= -1e-12).all()
    assert (odd <= 1.0 - p_of(judged, "none") + 1e-9).all()
    named = 1.0 - p_of(judged, "none") - p_of(judged, "all_hot")  # every fault but that names a corner
    assert odd.sum() >= named - 1e-9
    for asked, each in ((patterns.p_drag[0], patterns.p_hot), (patterns.p_idle[0], patterns.p_cold)):
        assert each.max() - 1e-9 <= asked <= each.sum() + 1e-9
    assert (
        max(patterns.p_drag[0], patterns.p_idle[0])
        <= named + 1e-9
        <= patterns.p_drag[0] + patterns.p_idle[0] + 2e-9
    )
    assert 0.0 <= patterns.p_heat[0] <= 1.0
    cold = p_of(judged, "corner_cold") + 2.0 * (p_of(judged, "axle_cold") + p_of(judged, "diagonal_cold"))
    assert cold - 1e-9 <= patterns.p_cold.sum() <= cold + 2.0 * axles * p_of(judged, "several") + 1e-9


def test_best_fault_names_its_corners_even_where_none_is_likelier():
    judged = judged_of(VAN_K | {"1L": 130.0})
    assert p_of(judged, "none") > 0.5
    patterns = judged.patterns
    assert KINDS[patterns.kind[0]] == KINDS[patterns.drag_kind[0]] == "corner_hot"
    assert patterns.members[0] == patterns.drag_members[0] == ((1, 0),)
    assert KINDS[patterns.idle_kind[0]] == "corner_cold"
    assert patterns.idle_members[0] == ((1, 1),)


def test_case_without_brakes_has_no_pattern():
    tables = [walked({"1L hub": 30.0, "1R hub": 31.0}), walked(VAN_K), table([])]
    judged = judge(stack_readings(tables), LIGHT)
    assert np.isnan(judged.patterns.p_kind[[0, 2]]).all()
    for kinds in (judged.patterns.kind, judged.patterns.drag_kind, judged.patterns.idle_kind):
        assert (kinds > 0).tolist() == [False, True, False]
        assert kinds[[0, 2]].tolist() == [-1, -1]
    assert [judged.digest.p_none[k] for k in (0, 2)] == [None, None]
    assert judged.patterns.members[0] == judged.patterns.members[2] == ()


def some_vehicles(count: int) -> list:
    rng = np.random.default_rng(3)
    tables = []
    for k in range(count):
        healthy = (VAN_K, LORRY_K)[int(rng.integers(2))]
        odd = str(rng.choice(list(healthy)))
        corners = dict(healthy) | {odd: float(rng.uniform(2.0, 250.0))}
        rounds = int(rng.integers(1, 4))
        drive = "coast" if rng.random() < 0.3 else "normal"
        tables.append(walked(corners, Walk(rounds=rounds, seed=k, drive=drive, noise_k=1.0)))
    return tables


def test_vehicle_does_not_notice_its_neighbours():
    """Among 150 vehicles of several shapes (so that stacks of 64 are filled) as alone; sums differ in the
    last digits only, because matrix products of another size add in another order."""
    tables = some_vehicles(150)
    together = judge(stack_readings(tables), HEAVY)
    for k in (0, 1, 63, 64, 65, 127, 149):
        alone = judge(tables[k], HEAVY)
        np.testing.assert_allclose(together.patterns.p_kind[k], alone.patterns.p_kind[0], atol=1e-9)
        own = slice(int(together.pairs.first[k]), int(together.pairs.first[k + 1]))
        np.testing.assert_allclose(together.patterns.p_hot[:, own], alone.patterns.p_hot, atol=1e-9)
        np.testing.assert_allclose(together.patterns.p_cold[:, own], alone.patterns.p_cold, atol=1e-9)
        assert together.patterns.members[k] == alone.patterns.members[0]


def test_batch_of_vehicles_under_two_policies_keeps_them_apart():
    """Chosen by weight: light and heavy in one batch give what each gives alone."""
    tables = [walked(VAN_K | {"1L": 150.0}), walked(LORRY_K | {"3R": 150.0}), walked(VAN_K)]
    batch = all_told(tables, Settings())
    alone = [told(one, Settings()) for one in tables]
    assert [one.policy.name for one in batch] == ["light", "heavy", "light"]
    for one, other in zip(batch, alone, strict=True):
        assert one.p_fault == pytest.approx(other.p_fault, abs=1e-9)
        assert one.pattern.kind == other.pattern.kind


@pytest.mark.usefixtures("unset")
def test_vehicles_alike_but_for_what_is_known_of_them_stay_apart():
    """One batch of the same axles under other weights, splits, roles, drives and motors, as each alone."""
    known = [
        described("steer", "axle"),
        described("steer", "axle", weight_class="heavy"),
        described("steer", "axle", split="front_rear"),
        described("steer", "axle", regenerative=True),
        described("trailer", "trailer"),
        described("steer", "axle", "axle"),
    ]
    walks = [Walk(description=one, noise_k=0.0) for one in known] + [Walk(drive="coast", noise_k=0.0)]
    unlike: set[int] = set()
    for corners in (VAN_K | {"1L": 180.0, "2R": 120.0}, VAN_K | {"2L": 6.0, "2R": 5.0}):
        tables = [walked(corners, walk) for walk in walks]
        together = judge(stack_readings(tables), Settings()).patterns
        alone = [judge(one, Settings()).patterns.p_kind[0] for one in tables]
        for k, p_kind in enumerate(alone):
            np.testing.assert_allclose(together.p_kind[k], p_kind, atol=1e-9)
        unlike |= {k for k, p_kind in enumerate(alone) if np.abs(p_kind - alone[0]).max() > 1e-3}
    assert unlike == set(range(1, len(walks)))


@settings(max_examples=25, deadline=None)
@given(rises=rises, axles=st.integers(1, 3))
def test_swapping_sides_swaps_the_probabilities(rises, axles):
    names = [f"{axle}{side}" for axle in range(1, axles + 1) for side in SIDES]
    corners = dict(zip(names, rises, strict=False))
    first = judged_of(corners, EXACT).patterns
    second = judged_of({other_side(name): rise for name, rise in corners.items()}, EXACT).patterns
    np.testing.assert_allclose(first.p_kind, second.p_kind, atol=1e-6)
    np.testing.assert_allclose(first.p_hot, second.p_hot[::-1], atol=1e-6)
    np.testing.assert_allclose(first.p_cold, second.p_cold[::-1], atol=1e-6)


def test_one_freak_reading_cannot_decide_a_vehicle():
    """A single reading at the temperature of the air leaves a good deal of doubt; three do not."""
    once = judged_of(VAN_K | {"2R": 1.0}, Walk(rounds=1))
    thrice = judged_of(VAN_K | {"2R": 1.0}, Walk(rounds=3))
    assert once.patterns.p_cold[1, 1] < 0.8
    assert thrice.patterns.p_cold[1, 1] > 0.95
