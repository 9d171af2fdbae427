"""Surfaces through the chain: unequal skins make no false calls, stated ones close it, intervals cover."""

import re
from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace
from surfacecases import Tour, any_skin, believed, hits, judged_and_told, sides, toured, with_emissivities

from thermlog.correcting.gun import load_gun
from thermlog.correcting.surfaces import Surface, SurfaceChoice, usual_surfaces
from thermlog.judging.settings import Settings
from thermlog.physics.boiling import boiling_point_degc, pressure_at_altitude_hpa
from thermlog.physics.radiation import indicated_degc
from thermlog.reading.read import read_log

CALLED = {"hot", "cold"}


def share(found, corner_verdicts):
    """Part of the vehicles with a corner of that side so judged."""
    return np.mean([any((c.side, c.verdict) in corner_verdicts for c in one.corners) for one in found])


def reached(found, verdicts):
    return np.mean([any(axle.verdict in verdicts for axle in one.axles) for one in found])


# unequal skins, equal heat

BRIGHT_COLD, MATE_HOT = {("R", "cold")}, {("L", "hot")}
MILD = [(build, axle) for build in ("car_disc", "combination5_drum") for axle in (None, 1, 2)]


@pytest.mark.parametrize(("build", "axle"), MILD)
def test_eight_tenths_against_seven_tenths_is_no_finding(build, axle):
    """The policy's own rates: about 5 % of healthy vehicles reach watch, below 1 % are called.

    Measured with 600 vehicles: watch 0.7 to 1.3 %, called 0.2 to 0.3 %. 250 vehicles add 1.5 %.
    """
    fleet = toured(Tour(build=build, skins=sides(0.8, 0.7, axle=axle), equal_heat=True))
    _, found = judged_and_told(fleet.readings)
    assert reached(found, CALLED | {"watch"}) <= 0.05
    assert reached(found, CALLED) <= 0.02
    assert share(found, BRIGHT_COLD | MATE_HOT) <= 0.02


STRONG = [
    (build, axle, elsewhere)
    for build in ("car_disc", "van_disc", "combination5_drum")
    for axle, elsewhere in ((None, 0.75), (1, 0.75), (1, 0.45), (2, 0.75), (2, 0.45))
]


@pytest.fixture(scope="module")
def strong():
    found = {}
    for build, axle, elsewhere in STRONG:
        skins = sides(0.6, 0.3, axle=axle, elsewhere=elsewhere)
        fleet = toured(Tour(build=build, skins=skins, equal_heat=True))
        found[build, axle, elsewhere] = judged_and_told(fleet.readings)[1]
    return found


@pytest.mark.parametrize(("build", "axle", "elsewhere"), STRONG)
def test_factor_two_in_emissivity_is_seldom_called(strong, build, axle, elsewhere):
    """Nobody stated the skins or named the spot: the brighter side reads half of the rise of its mate.

    Such a pair is rare (2.7 of the believed spreads), and to a gun it looks just as a brake that lost half of
    its heat; "watch" is the right answer and common here. A call is wrong: 10 % is the most in any one
    setting (measured with 600 vehicles: 0 to 7 %, 250 vehicles add 3 %), and 3 % over all of them.
    """
    found = strong[build, axle, elsewhere]
    assert share(found, BRIGHT_COLD | MATE_HOT) <= 0.10
    assert share(found, {("R", "hot"), ("L", "cold")}) <= 0.01


def test_factor_two_over_all_settings(strong):
    called = [share(found, BRIGHT_COLD | MATE_HOT) for found in strong.values()]
    assert np.mean(called) <= 0.03
    watched = [reached(found, {"watch"}) for found in strong.values()]
    assert np.mean(watched) > 0.3  # not simply silent: the gap is shown to the reader


@pytest.mark.parametrize(
    ("build", "spot"), [("car_disc", "rotor_outer"), ("car_disc", "brake"), ("combination5_drum", "drum")]
)
def test_skins_as_believed_keep_the_error_rate(build, spot):
    """Skins drawn from the belief, healthy vehicles of unequal heat as built.

    A plain gap is never "even", whatever skins may be: 23 % watched, 1.4 % called in docs/validation.md, own
    simulator, as believed. 250 vehicles: two standard deviations are 5.3 % and 1.5 %.
    """
    fleet = toured(Tour(build=build, skins=believed(spot), spot=spot))
    _, found = judged_and_told(fleet.readings)
    assert reached(found, CALLED | {"watch"}) <= 0.28
    assert reached(found, CALLED) <= 0.029


# emissivities stated


@pytest.mark.parametrize("build", ["car_disc", "combination5_drum"])
def test_stated_emissivities_close_the_false_gap(build):
    tour = Tour(build=build, skins=sides(0.6, 0.3), equal_heat=True, miss_share=0.0)
    fleet = toured(tour)
    bare, _ = judged_and_told(fleet.readings)
    judged, found = judged_and_told(with_emissivities(fleet))
    chosen = judged.comparison.chosen & judged.comparison.both
    assert judged.gap.known[chosen].all()
    shown, true = (j.comparison.difference_k[chosen] for j in (bare, judged))
    assert np.median(shown) > 12.0
    assert abs(np.median(true)) < 0.15 * np.median(shown)
    inside = np.abs(true) <= 1.96 * judged.gap.surface_sigma_k[chosen]
    assert inside.mean() >= 0.90
    assert reached(found, CALLED) <= 0.02
    assert all(axle.surface_known for one in found for axle in one.axles)


@pytest.mark.parametrize("build", ["car_disc", "combination5_drum"])
def test_surfaces_stated_by_choice_do_the_same_as_rows(build):
    fleet = toured(Tour(build=build, skins=sides(0.6, 0.3), vehicles=20))
    rows, _ = judged_and_told(with_emissivities(fleet))
    axles = int(fleet.readings.axle.max())
    choices = tuple(
        SurfaceChoice(
            surface=Surface(name="x", emissivity=value, spread=0.03, band="", source="test"),
            corner=f"{axle}{side}",
        )
        for axle in range(1, axles + 1)
        for side, value in (("L", 0.6), ("R", 0.3))
    )
    chosen, _ = judged_and_told(fleet.readings, Settings(surfaces=choices))
    for name in ("difference_k", "difference_sigma_k"):
        a, b = (getattr(judged.comparison, name) for judged in (rows, chosen))
        np.testing.assert_allclose(a, b, rtol=1e-9)
    np.testing.assert_allclose(rows.gap.surface_sigma_k, chosen.gap.surface_sigma_k, rtol=1e-9)


@pytest.mark.parametrize("build", ["car_disc", "combination5_drum"])
def test_interval_of_the_metal_holds_where_emissivities_are_stated_a_little_wrong(build):
    """Any skins at all, stated with the error that the table trusts a stated number with (0.03)."""
    fleet = toured(Tour(build=build, skins=any_skin, resolution_k=1.0))
    judged, _ = judged_and_told(with_emissivities(fleet, error=0.03))
    found = hits(fleet, judged, "surface")
    assert found.held.size >= 450
    assert 0.90 <= found.held.mean() <= 0.99


def test_emissivity_stated_for_one_axle_alone_makes_no_hot_axle():
    """All faces 0.45: metal on the front axle beside bare readings behind would call the front hot."""
    fleet = toured(Tour(build="car_disc", skins=sides(0.45, 0.45), vehicles=150))
    whole = with_emissivities(fleet)
    front_only = replace(whole, emissivity=np.where(whole.axle == 1, whole.emissivity, np.nan))
    judged, found = judged_and_told(front_only)
    axle_of = judged.pairs.axle
    assert judged.gap.known[axle_of == 1].all()
    assert not judged.gap.known[axle_of == 2].any()
    bare, _ = judged_and_told(fleet.readings)
    # the level shown decides between axles: the same probabilities, to what the sharper skins change
    p_none, p_bare = (np.array(j.digest.p_none) for j in (judged, bare))
    assert np.mean(p_none < 0.5) <= 0.02
    assert np.abs(np.median(p_none) - np.median(p_bare)) < 0.05
    assert reached(found, {"hot", "cold", "watch"}) <= 0.02


# coverage with everything switched on

COVERED = [
    ("car_disc", "rotor_outer", 3),
    ("car_disc", "hat", 2),
    ("car_disc", "brake", 4),
    ("van_disc", "hat", 1),
    ("combination5_drum", "drum", 3),
    ("combination5_drum", "brake", 2),
]


@pytest.mark.parametrize(("build", "spot", "rounds"), COVERED)
@pytest.mark.parametrize("which", ["surface", "indicated"])
def test_intervals_hold_the_truth(build, spot, rounds, which):
    """Gun errors, whole degrees, misses, wrong air and skins from the belief: 95 % cover 90 to 99 %."""
    tour = Tour(build=build, skins=believed(spot), spot=spot, rounds=rounds, resolution_k=1.0, seed=9)
    fleet = toured(tour)
    judged, _ = judged_and_told(fleet.readings)
    found = hits(fleet, judged, which)
    assert found.held.size >= 450
    assert 0.90 <= found.held.mean() <= 0.99
    assert abs(np.median(found.error)) < 0.25  # as often too high as too low, in half widths


# the page on surfaces

PAGE = (Path(__file__).parent.parent / "docs" / "surfaces.md").read_text(encoding="utf-8")


def test_gun_file_of_the_page_is_read(tmp_path):
    (example,) = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)
    (tmp_path / "gun.toml").write_text(example, encoding="utf-8")
    gun = load_gun(str(tmp_path / "gun.toml"))
    assert gun.assumed == ("band_um",)
    assert gun.check is not None
    assert gun.check.pressure_hpa == pytest.approx(pressure_at_altitude_hpa(450.0))
    assert set(re.findall(r"^(\w+) = ", example.split("[sources]")[0], re.MULTILINE)) >= {
        "ice_degc",
        "accuracy_k",
    }


def test_numbers_of_the_page_are_those_of_the_code():
    surfaces = usual_surfaces().surfaces
    named = re.findall(r"`(\w+)` (0\.\d\d)", PAGE)
    assert len(named) >= 6
    assert all(surfaces[name].emissivity == float(value) for name, value in named)
    assert f"{boiling_point_degc(1013.25):.2f} °C at 1013.25 hPa" in PAGE
    assert f"{boiling_point_degc(pressure_at_altitude_hpa(1000.0)):.1f} °C at 1000 m" in PAGE
    assert f"trusted to ±{usual_surfaces().stated_spread}" in PAGE
    for shown, emissivity in ((59, 0.30), (90, 0.60)):
        assert round(float(indicated_degc(120.0, emissivity=emissivity))) == shown


def test_hidden_dead_brake_of_the_page():
    """Even as shown, cold on the front right with the emissivities of the log, numbers as on the page."""
    readings = read_log(
        str(Path(__file__).parent.parent / "sample_logs" / "van_dead_brake_hidden.csv")
    ).readings
    bare = replace(readings, emissivity=np.full(readings.rows, np.nan))
    (_, (stated,)), (_, (shown,)) = (judged_and_told(r) for r in (readings, bare))
    assert (stated.pattern.kind, stated.pattern.corners) == ("corner_cold", ("1R",))
    assert [axle.verdict for axle in shown.axles] == ["even", "even"]
    front = stated.axles[0]
    half = front.difference_k.half_width
    assert f"{front.difference_k.value:.0f} ± {half:.0f} °C" in PAGE
    assert f"left is {shown.axles[0].difference_k.value:.0f} °C above right" in PAGE
