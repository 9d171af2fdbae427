"""The second simulator does what its description says: books, time constants, signs, spreads, misses, seeds.

The bounds come from the reference named beside them or from the stated spreads; seeds are fixed, and limits
on counts leave about three standard deviations.
"""

from __future__ import annotations

import importlib
import sys
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace

from thermlog.words.vehicle import HUB_SPOT, SPOTS, corner_name

sys.path.insert(0, str(Path(__file__).parent.parent / "bench"))
other = importlib.import_module("otherworld")
body, drive, faults, gun, heat, kinds, walks = (
    importlib.import_module(f"otherworld_{part}")
    for part in ("body", "drive", "faults", "gun", "heat", "kinds", "walk")
)
LIGHT = [name for name, kind in kinds.KINDS.items() if kind.weight_class == "light"]
HUB = SPOTS.index(HUB_SPOT)
AT_120_S = int(np.searchsorted(heat.KNOTS_S, 120.0))


@lru_cache(maxsize=32)
def world_of(kind, fault="none", severity=None, *, count=300, drive="normal", rounds=3):
    return other.simulate(
        kind, fault, count, np.random.default_rng(5), rounds=rounds, drive=drive, severity=severity
    )


def bulk_rise_k(world, at=AT_120_S):
    return world.parked.kept_degc[at, 1] - world.parked.body.near_degc


@lru_cache(maxsize=4)
def driven(name, fault="corner_hot", count=60):
    rng = np.random.default_rng(8)
    kind = kinds.KINDS[name]
    bodies = body.draw_bodies(kind, count, rng)
    trips = drive.draw_drives(kind, "normal", bodies.mass_kg, rng)
    return kind, bodies, trips, faults.plant(kind, fault, None, count, rng)


# heat


@pytest.mark.parametrize("name", ["small_disc", "tipper_three"])
def test_the_books_of_heat_balance(name):
    """Conservation of energy: heat put in, less heat lost, is what the three stores hold; within 1 %."""
    kind, bodies, trips, wrong = driven(name)
    road = heat.drive_heat(kind, bodies, trips, wrong)
    start_degc = bodies.near_degc + bodies.warm_k[:, None]
    held_j = (bodies.store_j_per_k * (road.stores_degc - start_degc)).sum(axis=0)
    books = road.ledger
    assert np.all(np.abs(books.put_in_j - books.lost_j - held_j) < 0.01 * books.put_in_j)
    assert np.all(books.lost_j[:, 0] > 0.1 * books.put_in_j[:, 0])


def test_braking_heat_put_in_is_the_drives_own():
    """Without drag the heat put in is the drive's braking energy times what goes into iron and hub."""
    kind, bodies, trips, wrong = driven("small_disc")
    free = replace(bodies, drag_nm=np.zeros_like(bodies.drag_nm))
    road = heat.drive_heat(kind, free, trips, wrong.without())
    energy_j = trips.brake_w.sum(axis=1) * drive.STEP_S
    told = (heat.INTO_IRON + heat.INTO_HUB) * energy_j
    assert road.ledger.put_in_j.sum(axis=1) == pytest.approx(told, rel=1e-9)


def test_half_the_step_makes_no_other_curve():
    """Numerical convergence: five minutes parked in steps of 20 s and of 5 s agree within 0.3 K."""
    _, bodies, _, _ = driven("small_disc")
    ends = []
    for step_s in (20.0, 5.0):
        stores = bodies.near_degc + np.stack(
            [np.full(bodies.share.shape, rise) for rise in (150.0, 90.0, 30.0)]
        )
        for _ in range(round(300 / step_s)):
            stores, _ = heat.advance(bodies, stores, np.zeros_like(stores), bodies.wind, step_s)
        ends.append(stores)
    assert np.abs(ends[0] - ends[1]).max() < 0.3


@pytest.mark.parametrize("name", kinds.KINDS)
def test_parked_brakes_cool_as_slowly_as_published_ones(name):
    """Parked time constants lie between 8 and 240 min, the range of published and computed ones."""
    world = world_of(name, "corner_hot", 40.0)
    early, late = (int(np.searchsorted(heat.KNOTS_S, at_s)) for at_s in (420.0, 1440.0))
    before, after = bulk_rise_k(world, early), bulk_rise_k(world, late)
    warm = before > 40.0
    gap_s = heat.KNOTS_S[late] - heat.KNOTS_S[early]
    tau_min = gap_s / np.log(before[warm] / after[warm]) / 60.0
    assert warm.sum() > 50
    assert np.all((tau_min > 8.0) & (tau_min < 240.0))
    told_min = heat.cooling_time_s(world.parked.body, before)[warm] / 60.0
    assert np.median(tau_min / told_min) == pytest.approx(1.0, abs=0.35)


def test_the_shell_of_a_drum_peaks_late():
    """Heat still comes through from the swept track: after a minute most shells are no cooler."""
    kept = world_of("overrun_one").parked.kept_degc[:, 1]
    minute = int(np.searchsorted(heat.KNOTS_S, 60.0))
    assert np.mean(kept[minute] >= kept[0]) > 0.5


# faults


@pytest.mark.parametrize("name", LIGHT)
def test_a_drag_heats_its_own_corner_most(name):
    """Heat is torque times turns at that wheel: 40 N·m raises the odd corner and no other."""
    dragging, healthy = world_of(name, "corner_hot@1L", 40.0), world_of(name)
    assert dragging.odd == [("1L",)] * 300
    assert np.all(dragging.extra_k > 15.0)
    more = bulk_rise_k(dragging)[:, 0] - bulk_rise_k(dragging)[:, 1]
    assert np.mean(more > 0) > 0.97
    assert abs(np.median(bulk_rise_k(dragging)[:, 1] - bulk_rise_k(healthy)[:, 1])) < 1.0


def test_more_drag_is_more_heat():
    """Monotone in the torque for each vehicle, all else being the same draw."""
    small, large = (world_of("van_loaded", "corner_hot", nm).extra_k for nm in (10.0, 40.0))
    assert np.all(large > 2.5 * small)


def test_a_dead_brake_is_cold_and_the_others_work_more():
    dead, healthy = world_of("small_disc", "corner_cold@1R", 1.0), world_of("small_disc")
    assert np.all(dead.extra_k < 0.0)
    assert np.mean(bulk_rise_k(dead)[:, 1] < bulk_rise_k(dead)[:, 0]) > 0.97
    assert np.median(bulk_rise_k(dead)[:, 0]) > 1.1 * np.median(bulk_rise_k(healthy)[:, 0])


def test_a_bearing_heats_the_hub():
    """The hub of the odd corner is warmer than its mate's by about what is told."""
    world = world_of("family_mixed", "hub_hot@2L", 300.0)
    hubs = world.parked.kept_degc[AT_120_S, 2]
    assert np.median(hubs[:, 2] - hubs[:, 3]) == pytest.approx(np.median(world.extra_k), rel=0.2)
    assert np.median(world.extra_k) > 15.0


@pytest.mark.parametrize(
    ("fault", "odd"),
    [
        ("none", ()),
        ("axle_hot@2", ("2L", "2R")),
        ("axle_cold@1", ("1L", "1R")),
        ("diagonal_hot@1R", ("1R", "2L")),
        ("diagonal_hot@1L", ("1L", "2R")),
        ("all_hot", ("1L", "1R", "2L", "2R")),
    ],
)
def test_odd_corners_are_those_planted(fault, odd):
    assert world_of("small_disc", fault, count=20).odd == [odd] * 20


def test_unknown_faults_and_diagonals_of_long_vehicles_are_refused():
    with pytest.raises(ValueError, match="no such fault"):
        world_of("small_disc", "corner_wet")
    with pytest.raises(ValueError, match="two axles"):
        world_of("combo_five", "diagonal_hot")


def test_healthy_sides_differ_by_the_stated_spread():
    """Quartile of Student's t with 4 degrees of freedom: 0.741 scales (tables); sides differ twice that."""
    for name in ("small_disc", "lorry_scam"):
        kind = kinds.KINDS[name]
        share = body.draw_bodies(kind, 8000, np.random.default_rng(3)).share.reshape(8000, -1, 2)
        apart = np.abs(np.log(share[:, :, 0] / share[:, :, 1]))
        assert np.median(apart) == pytest.approx(2 * 0.741 * kind.side_scale, rel=0.05)
        assert np.percentile(apart, 99) > 1.4 * 2.576 / 0.674 * np.median(
            apart
        )  # a bell curve has 2.576 / 0.674
    rise = bulk_rise_k(world_of("small_disc", count=2000))
    apart = np.median(np.abs(np.log(rise[:, 0] / rise[:, 1])))
    assert 2 * 0.741 * 0.025 < apart < 4 * 0.741 * 2 * 0.025


def test_after_a_coast_brakes_are_cooler():
    coast, normal = world_of("family_mixed", drive="coast"), world_of("family_mixed")
    assert np.median(bulk_rise_k(coast)) < 0.5 * np.median(bulk_rise_k(normal))


# gun and walk


def test_the_gun_shows_what_the_band_integral_says():
    """True 120 °C at emissivity 0.3 and 0.8, 20 °C around, gun at 0.95: 59.39 and 107.69 °C (quadrature)."""
    emissivity = np.array([0.3, 0.8])
    light = gun.seen_light(np.full(2, 120.0), emissivity, np.full(2, 20.0))
    assert gun.shown_degc(light, np.full(2, 20.0)) == pytest.approx([59.3873, 107.6945], abs=0.02)


def test_misses_are_few_and_fall_mostly_low():
    """On dull brakes misses show rim, tyre, caliper or gap nine times in ten: below all hits."""
    world = other.simulate("small_disc", "all_hot", 500, np.random.default_rng(5), rounds=6, skins="even")
    table, column = world.readings, 2 * (world.readings.axle - 1) + world.readings.side
    brakes = table.spot != HUB
    hit = brakes & ~world.missed
    highest, lowest = np.full((500, 4), -np.inf), np.full((500, 4), np.inf)
    np.maximum.at(highest, (table.case[hit], column[hit]), table.indicated_degc[hit])
    np.minimum.at(lowest, (table.case[hit], column[hit]), table.indicated_degc[hit])
    missed = brakes & world.missed
    below = table.indicated_degc < lowest[table.case, column]
    above = table.indicated_degc > highest[table.case, column]
    assert 0.03 < world.missed[brakes].mean() < 0.08
    assert below[missed].sum() > 5 * above[missed].sum() > 0


def test_the_same_seed_gives_the_same_bytes():
    first, again = (
        other.simulate("van_loaded", "corner_hot", 40, np.random.default_rng(11)) for _ in range(2)
    )
    for name in ("case", "axle", "side", "spot", "elapsed_s", "indicated_degc"):
        assert getattr(first.readings, name).tobytes() == getattr(again.readings, name).tobytes()
    assert first.readings.cases == again.readings.cases


@pytest.mark.parametrize("rounds", [1, 2, 3, 6])
def test_every_corner_is_read_every_round(rounds):
    table = world_of("tipper_three", rounds=rounds).readings
    brakes = table.take(table.spot != HUB)
    each = np.bincount(brakes.case * 6 + 2 * (brakes.axle - 1) + brakes.side, minlength=1800)
    assert np.all(each == rounds)
    assert table.elapsed_s.min() >= 20.0
    later = np.diff(table.elapsed_s)[np.diff(table.case) == 0]
    assert np.all(later >= 0.0)
    assert all(case.log.rows_used == n for case, n in zip(table.cases, np.bincount(table.case), strict=True))


def test_walking_again_sees_the_same_vehicles_anew():
    """Other readings of the same metal: means of a corner agree far better than between two vehicles."""
    first = world_of("van_loaded", count=400)
    again = other.walk_again(first, np.random.default_rng(2))
    assert again.odd == first.odd
    assert again.readings.rows == first.readings.rows
    means = [np.bincount(w.readings.case, w.readings.indicated_degc) / np.bincount(w.readings.case)
             for w in (first, again)]  # fmt: skip
    assert not np.array_equal(first.readings.indicated_degc, again.readings.indicated_degc)
    assert np.corrcoef(*means)[0, 1] > 0.95


def test_a_planted_extra_has_its_size_at_the_common_time_and_fades():
    """Same seed with and without: 30 K more at 120 s, less later, nothing elsewhere."""
    world = world_of("family_mixed", count=500)
    column = np.arange(500) % 4
    plain = other.planted(world, column, 0.0, np.random.default_rng(4))
    with_30 = other.planted(world, column, 30.0, np.random.default_rng(4))
    table = plain.readings
    more = with_30.readings.indicated_degc - table.indicated_degc
    chosen = (2 * (table.axle - 1) + table.side == column[table.case]) & (table.spot != HUB)
    hit = chosen & ~plain.missed
    assert np.all(more[~chosen] == 0.0)
    near = hit & (np.abs(table.elapsed_s - 120.0) < 20.0)
    assert np.median(more[near]) == pytest.approx(30.0, abs=1.0)
    assert np.median(more[hit & (table.elapsed_s > 500.0)]) < 27.0
    again = other.walk_again(with_30, np.random.default_rng(4)).readings
    assert again.indicated_degc.tobytes() == with_30.readings.indicated_degc.tobytes()
    assert plain.odd == [()] * 500
    assert with_30.odd == [(corner_name(c // 2 + 1, "LR"[c % 2]),) for c in column]


def test_nothing_is_planted_twice():
    world = other.planted(world_of("small_disc", count=20), ["2R"] * 20, 5.0, np.random.default_rng(1))
    with pytest.raises(ValueError, match="planted already"):
        other.planted(world, ["1L"] * 20, 5.0, np.random.default_rng(1))


def test_an_intake_mixes_kinds_and_faults():
    """Counts add up; half are faulty, within three standard deviations of the binomial."""
    intake = other.mixed(80, np.random.default_rng(6), fault_share=0.5)
    worlds = [world for parts in intake.values() for world in parts]
    assert sum(len(world.odd) for world in worlds) == 80
    faulty = sum(len(world.odd) for world in worlds if world.fault != "none")
    assert faulty == pytest.approx(40, abs=3 * np.sqrt(80 * 0.5 * 0.5))
    assert set(intake) <= set(other.kinds())


def test_a_log_is_described_or_not():
    for described in (True, False):
        world = other.simulate("combo_five", "none", 2, np.random.default_rng(1), described=described)
        case = world.readings.cases[0]
        assert (case.description is not None) is described
        assert case.parked_known
        assert case.ambient_degc is not None
