"""Names of corners and axles, and the vehicle that positions alone tell of."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermlog.words.vehicle import (
    BRAKE_SPOTS,
    HUB_SPOT,
    SIDES,
    SPOTS,
    TYRE_SPOTS,
    axle_words,
    corner_name,
    corner_words,
    default_vehicle,
    mate_of,
    split_corner,
)


@given(axle=st.integers(1, 40), side=st.sampled_from(SIDES))
def test_corner_names_are_read_back_and_mates_are_mutual(axle, side):
    corner = corner_name(axle, side)
    assert split_corner(corner) == (axle, side)
    assert mate_of(corner) != corner
    assert mate_of(mate_of(corner)) == corner
    assert split_corner(mate_of(corner))[0] == axle


@pytest.mark.parametrize(
    ("axle", "of", "words"),
    [
        (1, 2, "front"),
        (2, 2, "rear"),
        (1, 1, "axle 1"),
        (1, 3, "axle 1"),
        (2, 3, "axle 2"),
        (11, 12, "axle 11"),
    ],
)
def test_axles_are_front_and_rear_on_two_axles_only(axle, of, words):
    assert axle_words(axle, of) == words
    assert corner_words(f"{axle}L", of) == f"{words} left"
    assert corner_words(f"{axle}R", of) == f"{words} right"


def test_every_spot_is_a_brake_a_hub_a_tyre_or_the_rim():
    assert sorted([*BRAKE_SPOTS, HUB_SPOT, *TYRE_SPOTS, "rim"]) == sorted(SPOTS)
    assert SPOTS[0] == "brake"  # the code of a spot nobody named


@pytest.mark.parametrize(("axles", "weight"), [(1, "light"), (2, "light"), (3, "heavy"), (5, "heavy")])
def test_weight_follows_from_the_axles_unless_stated(axles, weight):
    assert default_vehicle(axles).weight_class == weight
    assert default_vehicle(axles, weight_class="light").weight_class == "light"
    assert default_vehicle(axles, weight_class="heavy").weight_class == "heavy"


def test_heavy_wheels_are_larger():
    assert default_vehicle(2).tyre_radius_m == 0.31
    assert default_vehicle(3).tyre_radius_m == 0.50
    assert default_vehicle(3, weight_class="light").tyre_radius_m == 0.31


def test_first_of_several_axles_steers():
    assert [axle.role for axle in default_vehicle(3).axles] == ["steer", "axle", "axle"]
    assert [axle.role for axle in default_vehicle(1).axles] == ["axle"]


def test_nothing_else_is_claimed():
    vehicle = default_vehicle(4)
    assert (vehicle.stated, vehicle.split, vehicle.regenerative) == (False, "unknown", False)
    assert all(axle.brake is None and not axle.lifted and not axle.parking_brake for axle in vehicle.axles)
    assert {axle.brake for axle in default_vehicle(4, drum=True).axles} == {"drum"}
