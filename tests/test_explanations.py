"""The list of explanations: what each vehicle can have, prior shares that add up, members that fit states."""

from collections import Counter

import pytest
from msgspec.structs import replace

from thermlog.inference.explanations import (
    BOTH_COLD,
    BOTH_HOT,
    COLD_LEFT,
    COLD_RIGHT,
    HEALTHY,
    HOT_LEFT,
    HOT_RIGHT,
    explanations,
    kind_weights,
)
from thermlog.words.kinds import FAULT_KINDS
from thermlog.words.policy import load_policy

LIGHT, HEAVY = load_policy("light"), load_policy("heavy")
NOTHING: frozenset = frozenset()
SIDES_OF = {
    HOT_LEFT: {0}, HOT_RIGHT: {1}, COLD_LEFT: {0}, COLD_RIGHT: {1}, BOTH_HOT: {0, 1}, BOTH_COLD: {0, 1},
}  # fmt: skip
LIGHT_CIRCUITS = replace(LIGHT, circuit_hot_weight=0.1)


@pytest.mark.parametrize("policy", [LIGHT, HEAVY, LIGHT_CIRCUITS])
@pytest.mark.parametrize("axles", [1, 2, 3, 5])
@pytest.mark.parametrize(
    "impossible", [NOTHING, frozenset({"corner_cold", "axle_cold"}), frozenset({"all_hot"})]
)
def test_prior_shares_add_up_to_one(policy, axles, impossible):
    table = explanations(axles, axles, policy, impossible)
    several = kind_weights(policy, axles, axles, impossible).get("several", 0.0)
    assert sum(one.weight for one in table) + several == pytest.approx(1.0, abs=1e-12)
    assert table[0].kind == "none"
    assert table[0].weight == pytest.approx(1.0 - policy.fault_share)
    assert not impossible & {one.kind for one in table}


@pytest.mark.parametrize(
    ("axles", "kinds"),
    [
        # both brakes of the only axle are the whole vehicle: which of the two, the drive decides
        (1, {"none": 1, "corner_hot": 2, "corner_cold": 2, "axle_hot": 1, "axle_cold": 1, "all_hot": 1}),
        (2, {"none": 1, "corner_hot": 4, "corner_cold": 4, "axle_hot": 2, "axle_cold": 2, "diagonal_hot": 2,
             "diagonal_cold": 2, "all_hot": 1}),
        # neighbours of three axles: 1-2, 2-3; of five: 4 pairs, 3 threes, 2 fours
        (3, {"none": 1, "corner_hot": 6, "corner_cold": 6, "axle_hot": 3, "axle_cold": 3, "circuit_hot": 2,
             "all_hot": 1}),
        (5, {"none": 1, "corner_hot": 10, "corner_cold": 10, "axle_hot": 5, "axle_cold": 5, "circuit_hot": 9,
             "all_hot": 1}),
    ],
)  # fmt: skip
def test_every_place_a_fault_can_have_stands_once(axles, kinds):
    table = explanations(axles, axles, LIGHT_CIRCUITS, NOTHING)
    assert Counter(one.kind for one in table) == kinds
    assert len({(one.kind, one.changed) for one in table}) == len(table)
    assert len({(one.kind, one.members) for one in table}) == len(table)


@pytest.mark.parametrize("axles", [1, 2, 3, 5])
def test_members_are_the_sides_of_the_changed_axles(axles):
    for one in explanations(axles, axles, LIGHT_CIRCUITS, NOTHING):
        if one.kind == "all_hot":  # raises the level of the vehicle, not of an axle beside others
            assert one.changed == ()
            assert set(one.members) == {(row, side) for row in range(axles) for side in (0, 1)}
            continue
        named = {(row, side) for row, state in one.changed for side in SIDES_OF[state]}
        assert set(one.members) == named
        assert HEALTHY not in {state for _, state in one.changed}
        cold = {COLD_LEFT, COLD_RIGHT, BOTH_COLD}
        assert all((state in cold) == one.kind.endswith("_cold") for _, state in one.changed)


def test_diagonals_cross():
    found = {one.members for one in explanations(2, 2, LIGHT, NOTHING) if one.kind == "diagonal_hot"}
    assert found == {((0, 0), (1, 1)), ((0, 1), (1, 0))}


def test_circuits_are_neighbouring_axles_and_never_all():
    found = {one.members for one in explanations(3, 3, HEAVY, NOTHING) if one.kind == "circuit_hot"}
    assert found == {((0, 0), (0, 1), (1, 0), (1, 1)), ((1, 0), (1, 1), (2, 0), (2, 1))}


@pytest.mark.parametrize("policy", [LIGHT, HEAVY])
def test_all_brakes_of_a_trailer_are_one_place_beside_what_tows_it(policy):
    """Rows 2 and 3 behind the coupling of four; an axle alone is a kind of its own."""
    table = explanations(4, 4, policy, NOTHING, towed=frozenset({2, 3}))
    whole = ((2, 0), (2, 1), (3, 0), (3, 1))
    for kind, state in (("trailer_hot", BOTH_HOT), ("trailer_cold", BOTH_COLD)):
        (one,) = [one for one in table if one.kind == kind]
        assert (one.members, one.changed) == (whole, ((2, state), (3, state)))
        beside = [other for other in table if other.kind == "several" and set(whole) < set(other.members)]
        beside = [other for other in beside if (2, state) in other.changed]
        # each brake and each axle before the coupling, hot or cold; both sides of it come about apart
        assert sorted(other.changed[0] for other in beside) == sorted(
            (row, odd) for row in (0, 1) for odd in range(HOT_LEFT, BOTH_COLD + 1)
        )
        share = kind_weights(policy, 4, 4, NOTHING, frozenset({2, 3}))[kind]
        assert one.weight + sum(other.weight for other in beside) == pytest.approx(share)
    assert sum(one.weight for one in table) + kind_weights(policy, 4, 4, NOTHING, frozenset({2, 3}))[
        "several"
    ] == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("towed", [frozenset(), frozenset({3}), frozenset({0, 1, 2, 3})])
def test_a_trailer_alone_or_of_one_axle_has_no_kind_of_its_own(towed):
    kinds = set(kind_weights(LIGHT, 4, 4, NOTHING, towed))
    assert not {"trailer_hot", "trailer_cold"} & kinds
    assert kind_weights(LIGHT, 4, 4, NOTHING, towed) == kind_weights(LIGHT, 4, 4, NOTHING)


def test_diagonal_needs_a_vehicle_of_two_axles():
    """Two axles of a lorry of three, the third not read: no diagonal circuit."""
    assert "diagonal_hot" in kind_weights(LIGHT, 2, 2, NOTHING)
    assert "diagonal_hot" not in kind_weights(LIGHT, 2, 3, NOTHING)
    assert "diagonal_hot" not in kind_weights(LIGHT, 1, 2, NOTHING)
    assert "circuit_hot" not in kind_weights(HEAVY, 2, 3, NOTHING)


def test_the_only_axle_is_the_whole_vehicle_and_one_read_axle_is_not():
    whole = {"corner_hot", "corner_cold", "axle_hot", "axle_cold", "all_hot"}
    assert set(kind_weights(LIGHT, 1, 1, NOTHING)) == whole
    assert set(kind_weights(LIGHT, 1, 2, NOTHING)) == {"corner_hot", "corner_cold", "axle_hot", "axle_cold"}


def test_impossible_kinds_leave_their_share_to_the_others():
    usual = kind_weights(LIGHT, 2, 2, NOTHING)
    without = kind_weights(LIGHT, 2, 2, frozenset({"corner_cold"}))
    assert sum(usual.values()) == pytest.approx(LIGHT.fault_share)
    assert sum(without.values()) == pytest.approx(LIGHT.fault_share)
    ratio = usual["corner_hot"] / usual["axle_hot"]
    assert without["corner_hot"] / without["axle_hot"] == pytest.approx(ratio)
    assert without["corner_hot"] > usual["corner_hot"]


def test_weights_follow_the_policy_and_zero_drops_a_kind():
    usual = kind_weights(LIGHT, 2, 2, NOTHING)
    assert usual["corner_hot"] / usual["corner_cold"] == pytest.approx(
        LIGHT.corner_hot_weight / LIGHT.corner_cold_weight
    )
    assert "diagonal_hot" not in kind_weights(replace(LIGHT, diagonal_hot_weight=0.0), 2, 2, NOTHING)
    assert "circuit_hot" not in kind_weights(LIGHT, 3, 3, NOTHING)  # weight zero in the light policy


def test_kind_share_is_split_evenly_over_its_places():
    table = explanations(5, 5, HEAVY, NOTHING)
    share = kind_weights(HEAVY, 5, 5, NOTHING)
    for kind in ("corner_hot", "circuit_hot", "axle_cold"):
        weights = {one.weight for one in table if one.kind == kind}
        assert len(weights) == 1
        assert sum(one.weight for one in table if one.kind == kind) == pytest.approx(share[kind])


def test_policy_that_knows_no_fault_leaves_the_healthy_vehicle():
    weights = {kind.weight: 0.0 for kind in FAULT_KINDS if kind.weight is not None}
    no_fault = replace(LIGHT, **weights)
    assert [one.kind for one in explanations(2, 2, no_fault, NOTHING)] == ["none"]


@pytest.mark.parametrize("row", [0, 1])
def test_a_cold_axle_that_is_spared_counts_as_none_and_the_other_as_a_fault(row):
    table = explanations(2, 2, LIGHT, NOTHING, frozenset({row}))
    cold = {one.changed[0][0]: one for one in table if one.changed and one.changed[0][1] == BOTH_COLD}
    assert {place: one.kind for place, one in cold.items()} == {row: "none", 1 - row: "axle_cold"}
    usual = explanations(2, 2, LIGHT, NOTHING)
    assert sum(one.weight for one in table) == pytest.approx(sum(one.weight for one in usual))
    # the other axle keeps its share; the spared one has half of all healthy vehicles besides: own judgement
    assert cold[row].weight == pytest.approx(cold[1 - row].weight + 0.5 * (1.0 - LIGHT.fault_share))


def test_cold_axles_that_are_spared_count_as_none_and_name_nobody():
    table = explanations(2, 2, LIGHT, NOTHING, frozenset({0, 1}))
    usual = explanations(2, 2, LIGHT, NOTHING)
    assert [one.changed for one in table] == [one.changed for one in usual]
    assert sum(one.weight for one in table) == pytest.approx(sum(one.weight for one in usual))
    cold = [one for one in table if one.changed and one.changed[0][1] == BOTH_COLD]
    assert [(one.kind, one.members) for one in cold] == [("none", ())] * 2
