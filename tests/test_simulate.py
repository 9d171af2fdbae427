"""Simulated vehicles behave as the trade and the physics say, and repeat from their seed."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from msgspec.structs import replace

from thermlog.simulation.builds import HEALTHY, DayPlan, Fault, build_fleet, fault_places
from thermlog.simulation.roadtest import DRIVE_PLANS, DrivePhase, DrivePlan, draw_road_load
from thermlog.simulation.simulate import MeasurePlan, simulate_fleet
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES
from thermlog.simulation.walkround import (
    BRIGHT_SKINS,
    MIXED_SKINS,
    GunPlan,
    SkinPlan,
    Target,
    WalkPlan,
    draw_skins,
    draw_walk,
    error_free_degc,
)
from thermlog.words.errors import VehicleError
from thermlog.words.tables import stack_readings
from thermlog.words.vehicle import SPOTS, mate_of

CAR = VEHICLE_CLASSES["car_disc"]
COMBINATION = VEHICLE_CLASSES["combination5_drum"]
PERFECT_GUN = GunPlan(
    calibration_sigma_k=0.0,
    calibration_gain_sigma=0.0,
    repeatability_sigma_k=0.0,
    resolution_k=1e-6,
    aim_scatter=0.0,
    miss_share=0.0,
)


def rises_k(fleet, elapsed_s=120.0, spot="brake"):
    return fleet.surface_degc(elapsed_s, spot) - fleet.ambient_degc[:, np.newaxis]


def column(fleet, corner):
    return fleet.vehicle_class.corners.index(corner)


def test_same_seed_same_numbers_other_seed_others():
    faults = [HEALTHY, Fault(kind="corner_hot", corners=("1L",), drag_nm=20.0)]
    once, again, other = (simulate_fleet(CAR, faults, seed=seed) for seed in (5, 5, 6))
    for name in ("case", "line", "axle", "side", "spot", "elapsed_s", "indicated_degc"):
        np.testing.assert_array_equal(getattr(once.readings, name), getattr(again.readings, name))
    assert once.readings.cases == again.readings.cases
    assert not np.array_equal(once.readings.indicated_degc, other.readings.indicated_degc)


def test_same_seed_is_the_same_vehicle_on_another_drive():
    normal = simulate_fleet(CAR, [HEALTHY] * 3, seed=7)
    coast = simulate_fleet(CAR, [HEALTHY] * 3, drive="coast", seed=7)
    np.testing.assert_array_equal(normal.ambient_degc, coast.ambient_degc)
    np.testing.assert_array_equal(normal.emissivity, coast.emissivity)
    assert [case.drive for case in coast.readings.cases] == ["coast"] * 3
    assert not np.array_equal(normal.surface_degc(60.0), coast.surface_degc(60.0))


@pytest.mark.parametrize("name", VEHICLE_CLASSES)
def test_every_class_says_whence_and_shares_its_force(name):
    kind = VEHICLE_CLASSES[name]
    assert sum(axle.force_share for axle in kind.axles) == pytest.approx(1.0)
    assert kind.source
    assert all(axle.brake.source for axle in kind.axles)
    assert kind.description().stated
    assert len(kind.description().axles) == len(kind.axles)


@pytest.mark.parametrize("name", VEHICLE_CLASSES)
def test_table_holds_every_reading_of_the_walk(name):
    kind = VEHICLE_CLASSES[name]
    plan = MeasurePlan(walk=WalkPlan(rounds=4, spots=("brake", "hub")))
    fleet = simulate_fleet(kind, [HEALTHY] * 5, plan=plan, seed=1)
    rows = 5 * 4 * 2 * len(kind.corners)
    assert fleet.readings.rows == fleet.true_surface_degc.size == fleet.missed.size == rows
    assert set(fleet.readings.spot.tolist()) == {SPOTS.index("brake"), SPOTS.index("hub")}
    for case in range(5):
        assert np.all(np.diff(fleet.readings.elapsed_s[fleet.readings.case == case]) >= 0.0)
    assert stack_readings([fleet.readings, fleet.readings]).rows == 2 * rows


def test_healthy_force_spreads_as_stated():
    built = build_fleet(CAR, [HEALTHY] * 4000, day=DayPlan(), rng=np.random.default_rng(2))
    log_ratio = np.log(built.force_share[:, 0] / built.force_share[:, 1])
    # Difference of two independent corners: √2 times the class's spread; 4000 vehicles give it to 1.1 %.
    assert log_ratio.std() == pytest.approx(np.sqrt(2.0) * CAR.side_spread, rel=0.05)
    assert built.force_share.sum(axis=1) == pytest.approx(1.0)


@pytest.mark.parametrize("name", ["car_disc", "van_disc", "combination5_drum"])
def test_healthy_sides_differ_a_little_and_neither_way(name):
    """Force spread, residual drag, cooling, wind; 20 % between healthy heavy drums is ordinary."""
    rise_k = rises_k(simulate_fleet(VEHICLE_CLASSES[name], [HEALTHY] * 1500, seed=3))
    log_ratio = np.log(rise_k[:, ::2] / rise_k[:, 1::2])
    assert np.all((log_ratio.std(axis=0) > 0.09) & (log_ratio.std(axis=0) < 0.20))
    assert np.all(np.abs(log_ratio.mean(axis=0)) < 0.02)  # five standard errors


def test_car_fronts_rise_more_than_rears():
    """Fronts usually rise 1.3 to 2.5 times as much as rears (common practice, no source)."""
    rise_k = rises_k(simulate_fleet(CAR, [HEALTHY] * 500, seed=3))
    assert 1.3 < np.median(rise_k[:, 0] / rise_k[:, 2]) < 2.5


@pytest.mark.parametrize("name", ["car_disc", "bus_disc"])
def test_steady_drag_lies_between_both_cooling_correlations(name):
    """Steady rise per N·m: car 4.11 to 14.42, heavy disc 0.96 to 4.22 at 50 km/h (see test_brakeheat)."""
    low, high = {"car_disc": (4.11, 14.42), "bus_disc": (0.96, 4.22)}[name]
    kind = VEHICLE_CLASSES[name]
    long_road = DrivePlan(
        drive="coast", phases=(DrivePhase(duration_s=14_400.0, speed_kmh=50.0, speed_sigma_kmh=0.0),)
    )
    drag_nm = 10.0
    fault = Fault(kind="corner_hot", corners=("1L",), drag_nm=drag_nm)
    hot = simulate_fleet(kind, [fault] * 200, drive=long_road, seed=4)
    sound = simulate_fleet(kind, [HEALTHY] * 200, drive=long_road, seed=4)
    added_k = (rises_k(hot, 0.0) - rises_k(sound, 0.0))[:, 0] / drag_nm
    # Radiation and the hub carry some of the heat away beside the forced convection of the correlations.
    assert np.all((added_k > 0.7 * low) & (added_k < high))


@pytest.mark.parametrize(("name", "corner"), [("car_disc", "2R"), ("combination5_drum", "4L")])
def test_more_drag_is_hotter_and_only_there(name, corner):
    kind = VEHICLE_CLASSES[name]
    faults = [Fault(kind="corner_hot", corners=(corner,), drag_nm=nm) for nm in (0.0, 5.0, 10.0, 20.0, 50.0)]
    by_drag = [rises_k(simulate_fleet(kind, [fault] * 20, seed=8)) for fault in faults]
    place = kind.corners.index(corner)
    for less, more in pairwise(by_drag):
        assert np.all(more[:, place] > less[:, place])
        np.testing.assert_array_equal(np.delete(more, place, 1), np.delete(less, place, 1))


def test_on_the_coast_drive_the_healthy_sink_and_the_dragging_stay():
    fault = Fault(kind="corner_hot", corners=("1L",), drag_nm=25.0)
    normal = rises_k(simulate_fleet(CAR, [fault] * 200, seed=9))
    coast = rises_k(simulate_fleet(CAR, [fault] * 200, drive="coast", seed=9))
    sink = np.median(coast / normal, axis=0)
    assert sink[0] > 0.6
    assert np.all(sink[1:] < 0.35)
    # The trade's line for watching a released brake is a rise of 40 K.
    assert np.mean(coast[:, 0] > 40.0) > 0.95
    assert np.mean(coast[:, 1:] > 40.0) < 0.02


def test_a_dead_front_brake_is_cold_and_the_others_work_more():
    """One dead front on a car: about 1.5 times the work for each of the others (own estimate)."""
    dead = simulate_fleet(CAR, [Fault(kind="corner_cold", corners=("1R",), lost_fraction=1.0)] * 200, seed=10)
    sound = simulate_fleet(CAR, [HEALTHY] * 200, seed=10)
    change = np.median(rises_k(dead) / rises_k(sound), axis=0)
    assert change[1] < 0.25
    assert np.all((change[[0, 2, 3]] > 1.3) & (change[[0, 2, 3]] < 1.7))


def test_a_brake_that_lost_half_lies_between():
    def rise_k(lost):
        fault = Fault(kind="corner_cold", corners=("3L",), lost_fraction=lost)
        return rises_k(simulate_fleet(COMBINATION, [fault] * 50, seed=11))[:, 4]

    none, half, dead = rise_k(0.0), rise_k(0.5), rise_k(1.0)
    assert np.all((dead < half) & (half < none))


def test_a_failing_bearing_heats_the_hub_and_hardly_the_brake():
    trailer = VEHICLE_CLASSES["trailer2_drum"]
    fault = Fault(kind="hub_hot", corners=("2L",), drag_nm=20.0)
    hot, sound = (simulate_fleet(trailer, [f] * 100, seed=12) for f in (fault, HEALTHY))
    hub_k = rises_k(hot, spot="hub")
    own, mate = column(hot, "2L"), column(hot, mate_of("2L"))
    assert np.median(hub_k[:, own] - hub_k[:, mate]) > 30.0  # the trade's line for a hub over its mate
    added_k = rises_k(hot) - rises_k(sound)
    assert np.all(added_k[:, own] < 0.5 * (hub_k - rises_k(sound, spot="hub"))[:, own])


@pytest.mark.parametrize(
    ("kind", "hot"),
    [("axle_hot", {"2L", "2R"}), ("diagonal_hot", {"1L", "2R"}), ("all_hot", {"1L", "1R", "2L", "2R"})],
)
def test_patterns_of_drag_heat_their_corners(kind, hot):
    corners = () if kind == "all_hot" else tuple(sorted(hot))
    fleet = simulate_fleet(CAR, [Fault(kind=kind, corners=corners, drag_nm=25.0)] * 30, seed=13)
    sound = simulate_fleet(CAR, [HEALTHY] * 30, seed=13)
    added_k = np.median(rises_k(fleet) - rises_k(sound), axis=0)
    assert {corner for corner, k in zip(CAR.corners, added_k, strict=True) if k > 30.0} == hot


def test_places_of_faults():
    assert fault_places(CAR, "corner_hot") == (("1L",), ("1R",), ("2L",), ("2R",))
    assert fault_places(CAR, "axle_cold") == (("1L", "1R"), ("2L", "2R"))
    assert fault_places(COMBINATION, "diagonal_hot") == ()
    assert fault_places(COMBINATION, "none") == ((),)
    assert len(fault_places(COMBINATION, "hub_hot")) == 10


def test_a_corner_the_vehicle_lacks_is_refused_by_name():
    with pytest.raises(VehicleError, match=r'car_disc has no corner "3L"; it has 1L, 1R, 2L, 2R'):
        simulate_fleet(CAR, [Fault(kind="corner_hot", corners=("3L",), drag_nm=5.0)], seed=1)


def test_a_perfect_gun_shows_what_the_skin_lets_through():
    plan = MeasurePlan(gun=PERFECT_GUN, skins=BRIGHT_SKINS)
    fleet = simulate_fleet(CAR, [HEALTHY] * 4, plan=plan, seed=14)
    table = fleet.readings
    for row in (0, 5, 17, 40):
        shown = fleet.indicated_degc(table.elapsed_s[row])
        expected = shown[table.case[row], 2 * (table.axle[row] - 1) + table.side[row]]
        assert table.indicated_degc[row] == pytest.approx(expected, abs=1e-5)  # the gun's last digit
    assert np.all(table.indicated_degc < fleet.true_surface_degc)  # bright skins always read low here


def test_black_skins_and_a_perfect_gun_show_the_truth():
    skins = SkinPlan(emissivity=0.95, common_sigma=0.0, separate_sigma=0.0)
    fleet = simulate_fleet(CAR, [HEALTHY] * 4, plan=MeasurePlan(gun=PERFECT_GUN, skins=skins), seed=15)
    np.testing.assert_allclose(fleet.readings.indicated_degc, fleet.true_surface_degc, atol=2e-6)


def test_readings_follow_the_spot_they_are_aimed_at():
    plan = MeasurePlan(
        gun=PERFECT_GUN,
        skins=SkinPlan(emissivity=0.95, common_sigma=0.0, separate_sigma=0.0),
        walk=WalkPlan(spots=("hub", "hat", "brake")),
    )
    fleet = simulate_fleet(CAR, [HEALTHY] * 2, plan=plan, seed=21)
    table = fleet.readings
    for row in range(table.rows):
        true_degc = fleet.surface_degc(table.elapsed_s[row], SPOTS[table.spot[row]])
        expected = true_degc[table.case[row], 2 * (table.axle[row] - 1) + table.side[row]]
        assert table.indicated_degc[row] == pytest.approx(expected, abs=2e-6)  # the gun's last digit
    hub, hat, brake = (fleet.surface_degc(60.0, spot) for spot in ("hub", "hat", "brake"))
    assert np.all((hub < hat) & (hat < brake))


@pytest.mark.parametrize("emissivity", [0.2, 0.6, 0.9])
def test_where_all_is_as_warm_as_the_air_the_gun_shows_the_air(emissivity):
    """A surface at the temperature of what it mirrors sends black-body radiation, whatever its skin."""
    air_degc = np.array([[-10.0, 4.0, 35.0]])
    target = Target(surface_degc=air_degc, emissivity=np.array([[emissivity]]), ambient_degc=air_degc)
    np.testing.assert_allclose(error_free_degc(PERFECT_GUN, target), air_degc, atol=1e-6)


def test_stray_shots_see_other_skin():
    """Strays catch up to half the rise on dull steel; the bright face itself would show a fifth at most."""
    plan = MeasurePlan(gun=replace(PERFECT_GUN, miss_share=1.0), skins=BRIGHT_SKINS)
    fleet = simulate_fleet(CAR, [HEALTHY] * 50, plan=plan, seed=22)
    ambient_degc = fleet.ambient_degc[fleet.readings.case]
    part = (fleet.readings.indicated_degc - ambient_degc) / (fleet.true_surface_degc - ambient_degc)
    assert 0.44 < part.max() < 0.5
    assert part.min() > 0.0
    assert fleet.missed.all()


def test_stray_shots_come_at_their_rate_and_read_low():
    fleet = simulate_fleet(COMBINATION, [HEALTHY] * 400, seed=16)
    assert fleet.missed.mean() == pytest.approx(0.03, abs=0.005)  # 12 000 shots: three standard errors
    rise_k = fleet.readings.indicated_degc - fleet.ambient_degc[fleet.readings.case]
    true_k = fleet.true_surface_degc - fleet.ambient_degc[fleet.readings.case]
    assert np.median((rise_k / true_k)[fleet.missed]) < 0.4
    assert np.median((rise_k / true_k)[~fleet.missed]) > 0.6


def test_calibration_error_is_shared_by_all_readings_of_a_vehicle():
    gun = replace(PERFECT_GUN, calibration_sigma_k=2.0)
    skins = SkinPlan(emissivity=0.95, common_sigma=0.0, separate_sigma=0.0)
    fleet = simulate_fleet(CAR, [HEALTHY] * 50, plan=MeasurePlan(gun=gun, skins=skins), seed=17)
    error_k = (fleet.readings.indicated_degc - fleet.true_surface_degc).reshape(50, -1)
    assert np.ptp(error_k, axis=1) == pytest.approx(0.0, abs=1e-5)
    assert error_k[:, 0].std() == pytest.approx(2.0, rel=0.4)  # 50 draws: four standard errors


def test_resolution_and_range_of_the_gun():
    gun = GunPlan(resolution_k=1.0, highest_degc=90.0)
    fleet = simulate_fleet(CAR, [HEALTHY] * 50, plan=MeasurePlan(gun=gun), seed=18)
    shown = fleet.readings.indicated_degc
    assert np.all(shown == np.round(shown))
    assert shown.max() <= 90.0
    assert fleet.readings.rows < 50 * 12  # some were too hot for this gun, and left no row
    assert sum(case.log.rows_read for case in fleet.readings.cases) == fleet.readings.rows


def test_walk_turns_round_every_second_time():
    plan = WalkPlan(rounds=3, jitter_s=0.0, mirrored_share=0.0)
    walk = draw_walk(plan, axles=2, vehicles=1, rng=np.random.default_rng(0))
    assert walk.corner[0].tolist() == [0, 2, 3, 1, 1, 3, 2, 0, 0, 2, 3, 1]
    steps = np.diff(walk.elapsed_s[0])
    assert set(steps.tolist()) == {15.0, 165.0}
    mirrored = draw_walk(replace(plan, mirrored_share=1.0), axles=2, vehicles=1, rng=np.random.default_rng(0))
    assert mirrored.corner[0].tolist() == [1, 3, 2, 0, 0, 2, 3, 1, 1, 3, 2, 0]
    across = draw_walk(
        replace(plan, order="across", rounds=1, mirrored_share=0.0),
        axles=3,
        vehicles=1,
        rng=np.random.default_rng(0),
    )
    assert across.corner[0].tolist() == [0, 1, 2, 3, 4, 5]


def test_an_idle_brake_rusts_where_the_others_are_swept_bright():
    idle = np.array([[1.0, 0.0, 0.0, 0.0]] * 500)
    skins = draw_skins(MIXED_SKINS, idle, rng=np.random.default_rng(1))
    assert skins[:, 0].mean() == pytest.approx(0.80, abs=0.02)
    assert skins[:, 1].mean() == pytest.approx(0.60, abs=0.03)


def test_stated_ambient_errs_as_told_and_in_half_degrees():
    fleet = simulate_fleet(CAR, [HEALTHY] * 800, plan=MeasurePlan(ambient_sigma_k=2.0), seed=19)
    stated = np.array([case.ambient_degc for case in fleet.readings.cases])
    assert np.all(2.0 * stated == np.round(2.0 * stated))
    # 800 draws: 2.5 % standard error; rounding adds 0.14 K in square.
    assert (stated - fleet.ambient_degc).std() == pytest.approx(2.0, rel=0.12)


def test_drive_takes_the_number_of_stops_it_promises():
    plan = DRIVE_PLANS["light", "normal"]
    road = draw_road_load(plan, vehicles=300, rng=np.random.default_rng(3))
    stops = (road.braking_w_per_kg[:-1] > 0.0).sum(axis=0)
    fewest, most = plan.phases[0].stops
    assert fewest - 1 <= stops.min()  # the last step is always the final gentle stop
    assert stops.max() == most
    assert road.speed_mps.min() > 0.0


def test_a_stop_takes_off_the_kinetic_energy_between_its_two_speeds():
    road = draw_road_load(DRIVE_PLANS["heavy", "normal"], vehicles=20, rng=np.random.default_rng(4))
    steady_mps = np.median(road.speed_mps, axis=0)
    end_mps = 2.0 * road.speed_mps - steady_mps  # the step's speed is the mean of start and end
    energy_j_per_kg = 0.5 * (steady_mps**2 - end_mps**2)
    np.testing.assert_allclose((road.braking_w_per_kg * road.step_s)[:-1], energy_j_per_kg[:-1], atol=1e-9)
    assert road.braking_w_per_kg[-1] * road.step_s == pytest.approx(0.5 * 4.0**2)  # gentle, from 4 m/s
