"""What settings, policy and the vehicle's description change in the whole chain."""

from __future__ import annotations

import numpy as np
import pytest
from judgecases import (
    LIGHT,
    LORRY_K,
    VAN_K,
    Walk,
    all_told,
    described,
    table,
    told,
    walked,
)
from msgspec.structs import replace

from thermlog.correcting.gun import usual_gun
from thermlog.judging.diagnose import judge
from thermlog.judging.settings import Settings
from thermlog.pipeline.settings import gather_settings
from thermlog.words.errors import PolicyError
from thermlog.words.findings import Diagnosis
from thermlog.words.policy import load_policy
from thermlog.words.vehicle import SIDES, Vehicle


def test_law_is_a_setting():
    """The two laws part where the readings end: same readings, other temperatures, like verdicts."""
    readings = walked(VAN_K | {"1L": 220.0}, Walk(rounds=6))
    newton, power = (
        told(readings, Settings(policy=load_policy("light"), law=law)) for law in ("exponential", "power")
    )
    assert [axle.verdict for axle in newton.axles] == [axle.verdict for axle in power.axles]
    assert newton.corners[0].tau_s.value != pytest.approx(power.corners[0].tau_s.value, rel=0.01)


def test_policy_that_cannot_be_read_stops_the_chain():
    with pytest.raises(PolicyError, match="absent"):
        judge(walked(VAN_K), Settings(policy=load_policy("absent")))


@pytest.mark.usefixtures("unset")
@pytest.mark.parametrize(
    ("corners", "description", "policy", "note"),
    [
        (VAN_K, None, "light", "follows from the number of axles"),
        (LORRY_K, None, "heavy", "follows from the number of axles"),
        (
            LORRY_K,
            described("trailer", "trailer", "trailer"),
            "light",
            "follows from the vehicle's description",
        ),
        (VAN_K, described("steer", "drive", weight_class="heavy"), "heavy", "from the vehicle's description"),
    ],
)
def test_policy_follows_from_the_vehicle_unless_named(corners, description, policy, note):
    readings = walked(corners, Walk(description=description))
    one = told(readings, Settings())
    assert one.policy.name == policy
    assert note in one.policy_note
    named = told(readings, Settings(policy=load_policy("heavy")))
    assert (named.policy.name, named.policy_note) == ("heavy", "as named")


@pytest.mark.usefixtures("unset")
def test_environment_names_a_policy_for_every_vehicle(monkeypatch):
    monkeypatch.setenv("THERMLOG_POLICY", "heavy")
    assert {one.policy.name for one in all_told([walked(VAN_K), walked(LORRY_K)], gather_settings())} == {
        "heavy"
    }


def test_vehicle_follows_from_the_positions_unless_described():
    def vehicle(corners: dict[str, float], walk: Walk = Walk()) -> Vehicle:  # noqa: B008 - frozen
        return judge(walked(corners, walk), LIGHT).vehicles[0]

    assert len(vehicle({"3L": 50.0}).axles) == 3
    assert vehicle({"3L": 50.0}).weight_class == "heavy"
    assert {axle.brake for axle in vehicle(VAN_K).axles} == {None}
    assert {axle.brake for axle in vehicle(VAN_K | {"2L drum": 50.0}).axles} == {"drum"}
    stated = described("trailer", "trailer")
    assert vehicle(VAN_K, Walk(description=stated)) == stated
    empty = judge(table([]), LIGHT).vehicles[0]
    assert len(empty.axles) == 1


def test_drums_and_hubs_cool_by_their_own_prior():
    """One reading a corner: the time constant told is that of the prior of its spot."""
    policy = load_policy("light")
    spots = ("rotor_outer", "drum", "hub")
    corners = {f"{axle}{side} {spot}": 80.0 for axle, spot in enumerate(spots, start=1) for side in SIDES}
    one = told(walked(corners, Walk(rounds=1)))
    wanted = {"rotor_outer": policy.tau_disc_s, "drum": policy.tau_drum_s, "hub": policy.tau_hub_s}
    for corner in one.corners:
        assert corner.tau_s.value == pytest.approx(wanted[corner.spot], rel=0.02)


@pytest.mark.parametrize(
    ("description", "tau"),
    [
        (described("steer"), "tau_disc_s"),
        (described("steer", weight_class="heavy"), "tau_drum_s"),
    ],
)
def test_brake_of_unsaid_kind_is_a_disc_on_light_and_a_drum_on_heavy_vehicles(description, tau):
    one = told(walked({"1L": 80.0, "1R": 80.0}, Walk(rounds=1, description=description)))
    assert one.corners[0].tau_s.value == pytest.approx(getattr(load_policy("light"), tau), rel=0.02)


def test_stated_kind_of_brake_decides_the_prior():
    axle = replace(described("steer", weight_class="heavy").axles[0], brake="disc")
    stated = replace(described("steer", weight_class="heavy"), axles=(axle,))
    one = told(walked({"1L": 80.0, "1R": 80.0}, Walk(rounds=1, description=stated)))
    assert one.corners[0].tau_s.value == pytest.approx(load_policy("light").tau_disc_s, rel=0.02)
    drum = replace(stated, weight_class="light", axles=(replace(axle, brake="drum"), axle))
    two = told(walked({"1L": 80.0, "1R": 80.0, "2L": 70.0}, Walk(rounds=1, description=drum)))
    assert two.corners[0].tau_s.value == pytest.approx(load_policy("light").tau_drum_s, rel=0.02)
    assert two.corners[2].tau_s.value == pytest.approx(load_policy("light").tau_disc_s, rel=0.02)


def test_uncertainty_of_the_ambient_is_as_stated_else_the_policys():
    sure, unsure = (told(walked(VAN_K, Walk(ambient_sigma_k=sigma))) for sigma in (0.1, 10.0))
    usual = told(walked(VAN_K))

    def width(one: Diagnosis) -> float:
        low, high = one.axles[0].rise_ratio.interval
        return high - low

    assert width(sure) <= width(usual) <= width(unsure)
    judged = judge(walked(VAN_K), LIGHT)
    assert judged.fits.ambient_sigma_k.tolist() == [load_policy("light").ambient_sigma_k]
    assert judge(walked(VAN_K, Walk(ambient_sigma_k=0.1)), LIGHT).fits.ambient_sigma_k.tolist() == [0.1]
    unstated = judge(walked(VAN_K, Walk(ambient_stated=False)), LIGHT)
    assert unstated.fits.ambient_sigma_k[0] > 10.0


def test_floor_of_the_scatter_is_that_of_the_gun():
    """Repeatability and rounding in quadrature; many readings of cool brakes without any scatter."""
    judged = judge(walked(dict.fromkeys(VAN_K, 12.0), Walk(rounds=40, noise_k=0.0)), LIGHT)
    gun = usual_gun()
    floor = np.sqrt(gun.repeatability_k**2 + gun.resolution_k**2 / 12.0)
    assert judged.fits.sigma_k.min() == pytest.approx(floor, rel=1e-9)
