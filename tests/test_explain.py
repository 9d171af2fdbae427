"""Uncertainty budgets: they add up, and every part is what an independent calculation gives."""

import json
import re
import time

import numpy as np
import pytest
from jsonschema import Draft202012Validator
from judgecases import HEAVY, LIGHT, VAN_K, Walk, log_text, table, told, walked
from msgspec.structs import replace
from surfacecases import Tour, any_skin, believed, toured, with_emissivities
from test_metal import seen_through

from thermlog.correcting.gun import usual_gun
from thermlog.correcting.surfaces import Skin, usual_surfaces
from thermlog.inference.assume import priors_of
from thermlog.judging.diagnose import judge
from thermlog.judging.explain import budgets
from thermlog.judging.settings import Settings
from thermlog.physics.radiation import surface_degc
from thermlog.reports.contract.schemas import schema_text
from thermlog.reports.report_json import check_text

HOT = VAN_K | {"1L": 200.0}
AIM, REPEAT, DIGIT = (
    "aim and hand: shots beside each other differ",
    "gun repeatability",
    "last digit the gun shows",
)
TAU, AIR = "time constants: how fast each side cools", "air temperature"
CALIBRATION = "gun calibration, shared by both sides"
STATED = "spread of the stated emissivities"
MIRRORED = "surroundings mirrored by one side more"
CORNER, COMMON = "emissivity, one side unlike the other", "emissivity, common to both sides"


def variances(budget):
    return {part.source: part.sigma_k**2 for part in budget.contributions}


def budget_of(judged, axle, covers, k=0):
    (found,) = [b for b in budgets(judged, k) if (b.axle, b.covers) == (axle, covers)]
    return found


# sums


@pytest.fixture(scope="module")
def fleets():
    bare = toured(Tour(build="combination5_drum", skins=believed("drum"), spot="drum", vehicles=12))
    faces = toured(Tour(build="car_disc", skins=believed("rotor_outer"), spot="rotor_outer", vehicles=12))
    skins = toured(Tour(build="van_disc", skins=any_skin, vehicles=12, rounds=2))
    return [judge(r, Settings()) for r in (bare.readings, faces.readings, with_emissivities(skins))]


def test_variances_add_up_to_that_of_the_interval(fleets):
    """Sigma is half the 95 % interval over its quantile, for what the gun shows and for the metal."""
    seen = set()
    for judged in fleets:
        told_k = judged.digest
        for k in range(12):
            quantile = float(judged.comparison.quantile[k])
            for budget in budgets(judged, k):
                (pair,) = [
                    p
                    for p in range(told_k.first[k], told_k.first[k + 1])
                    if told_k.axle[p] == budget.axle and told_k.chosen[p]
                ]
                name = "difference" if budget.covers == "indicated" else "surface"
                gap_k = getattr(told_k, f"{name}_k")[pair]
                assert budget.difference_k == pytest.approx(gap_k.value, rel=1e-12)
                assert budget.sigma_k == pytest.approx(gap_k.half_width / quantile, rel=1e-6)
                assert sum(variances(budget).values()) == pytest.approx(budget.sigma_k**2, rel=1e-9)
                assert sum(part.share for part in budget.contributions) == pytest.approx(1.0, abs=1e-9)
                shares = [part.share for part in budget.contributions]
                assert shares == sorted(shares, reverse=True)
                assert min(shares) > 0
                seen |= {part.source for part in budget.contributions}
    assert seen == {AIM, REPEAT, DIGIT, TAU, AIR, CALIBRATION, STATED, CORNER, COMMON, MIRRORED}


# each part


def normal_matrix(judged, k=0):
    """Information on (A, ln tau) of every side of every pair and on the air shift, by central differences."""
    fits, pairs = judged.fits, judged.pairs
    span = range(int(pairs.first[k]), int(pairs.first[k + 1]))
    size = 4 * len(span) + 1
    start = np.zeros(size)
    for n, pair in enumerate(span):
        start[4 * n : 4 * n + 4 : 2] = fits.amplitude_k[:, pair]
        start[4 * n + 1 : 4 * n + 4 : 2] = fits.log_tau[:, pair]
    start[-1] = fits.ambient_shift_k[k]
    voting = np.flatnonzero((judged.readings.case == k) & (fits.left_out == 0))
    place = 4 * (pairs.row_pair[voting] - span.start) + 2 * pairs.row_side[voting]
    since_s = judged.readings.elapsed_s[voting] - fits.reference_s[k]

    def residual(unknown):
        curve = unknown[-1] + unknown[place] * np.exp(-since_s * np.exp(-unknown[place + 1]))
        seen = judged.readings.indicated_degc[voting] - fits.ambient_degc[k]
        return (seen - curve) / fits.sigma_k[pairs.row_side[voting], pairs.row_pair[voting]]

    def prior(unknown):
        case = judged.readings.cases[k : k + 1]
        assumed = priors_of(
            case,
            judged.vehicles[k : k + 1],
            judged.policies[k : k + 1],
            pairs,
            gun=judged.gun,
            law="exponential",
        )
        cost = (unknown[-1] / assumed.ambient_sigma_k[0]) ** 2
        for n, pair in enumerate(span):
            spread, side = assumed.log_tau_spread[pair], assumed.side_spread[pair]
            off = unknown[4 * n + 1 : 4 * n + 4 : 2] - assumed.log_tau_mean[pair]
            common = spread**2 - side**2 / 2.0
            cost += off @ np.linalg.solve([[spread**2, common], [common, spread**2]], off)
        return cost

    def cost(unknown):
        return 0.5 * (np.sum(residual(unknown) ** 2) + prior(unknown))

    step = np.where(np.arange(size) % 2 == 1, 1e-3, 1e-2)
    step[-1] = 1e-2
    return _curvature(cost, start, step), start


def _curvature(cost, start, step):
    size = start.size
    moves = np.diag(step)
    found = np.empty((size, size))
    for i in range(size):
        for j in range(i, size):
            a, b = moves[i], moves[j]
            ends = cost(start + a + b) - cost(start + a - b) - cost(start - a + b) + cost(start - a - b)
            found[i, j] = found[j, i] = ends / (4.0 * step[i] * step[j])
    return found


def difference_gradient(judged, start, pair, k=0, gain=(1.0, 1.0)):
    at_s = float(judged.comparison.common_time_s[k] - judged.fits.reference_s[k])

    def difference(unknown):
        p = 4 * pair
        left, right = (
            g * (unknown[-1] + unknown[p + q] * np.exp(-at_s * np.exp(-unknown[p + q + 1])))
            for g, q in zip(gain, (0, 2), strict=True)
        )
        return left - right

    size = start.size
    return np.array(
        [(difference(start + 1e-5 * e) - difference(start - 1e-5 * e)) / 2e-5 for e in np.eye(size)]
    )


def variance_of(information, gradient, free):
    free = np.flatnonzero(free)
    return float(gradient[free] @ np.linalg.solve(information[np.ix_(free, free)], gradient[free]))


@pytest.mark.parametrize("axle", [1, 2])
@pytest.mark.parametrize("covers", ["indicated", "surface"])
@pytest.mark.parametrize(
    "walk",
    [
        Walk(rounds=2),
        Walk(rounds=6, round_s=420.0),
        Walk(rounds=4, ambient_sigma_k=8.0),
        Walk(rounds=1, step_s=200.0, ambient_sigma_k=30.0),
    ],
    ids=str,
)
def test_parts_of_the_fit_against_numerical_curvature(axle, covers, walk):
    """Air: variance lost by holding it; tau: lost by holding that too; shots: what is left (rounding 2 %)."""
    judged = judge(walked(HOT, walk), LIGHT)
    information, start = normal_matrix(judged)
    gain = (1.0, 1.0) if covers == "indicated" else judged.gap.metal_per_curve[:, axle - 1]
    gradient = difference_gradient(judged, start, axle - 1, gain=gain)
    index = np.arange(start.size)
    all_free = np.ones(start.size, dtype=bool)
    air_held, levels = index < start.size - 1, (index % 2 == 0) & (index < start.size - 1)
    whole, given_air, given_tau = (
        variance_of(information, gradient, free) for free in (all_free, air_held, levels)
    )
    parts = variances(budget_of(judged, axle, covers))
    shots = sum(parts.get(name, 0.0) for name in (AIM, REPEAT, DIGIT))
    small = 1e-3 * whole
    assert shots == pytest.approx(given_tau, rel=0.02, abs=small)
    assert parts[TAU] == pytest.approx(given_air - given_tau, rel=0.02, abs=small)
    assert parts[AIR] == pytest.approx(whole - given_air, rel=0.02, abs=small)


def test_part_of_the_air_is_what_a_certain_air_takes_away():
    """One round, sides read 200 s apart, air known to 8 K or to 0.05 K: the interval shrinks by that part."""
    walk = Walk(rounds=1, step_s=200.0, ambient_sigma_k=8.0)
    vague, sure = (
        judge(walked(HOT, replace(walk, ambient_sigma_k=sigma_k)), LIGHT) for sigma_k in (8.0, 0.05)
    )
    np.testing.assert_allclose(sure.fits.noise_scale, vague.fits.noise_scale, rtol=0.01)
    for covers in ("indicated", "surface"):
        parts, certain = (variances(budget_of(judged, 1, covers)) for judged in (vague, sure))
        lost = sum(parts.values()) - sum(certain.values())
        assert parts[AIR] > 100.0 * certain.get(AIR, 0.0)
        # the curves move a little with the air, and so does how the time constants count: 10 %
        assert lost == pytest.approx(parts[AIR], rel=0.1)


def test_gun_parts_are_the_guns_own_variances_over_that_of_a_shot():
    readings = walked(HOT)
    judged = judge(readings, LIGHT)
    parts = variances(budget_of(judged, 2, "indicated"))
    shot = float(np.mean(judged.fits.sigma_k[:, 1] ** 2))
    shots = parts[AIM] + parts[REPEAT] + parts[DIGIT]
    assert parts[REPEAT] / shots == pytest.approx(0.5**2 / shot, rel=1e-9)
    assert parts[DIGIT] / shots == pytest.approx(0.1**2 / 12.0 / shot, rel=1e-9)
    quiet = replace(usual_gun(), repeatability_k=0.0, resolution_k=0.0)
    of_quiet = variances(budget_of(judge(readings, replace(LIGHT, gun=quiet)), 2, "indicated"))
    assert of_quiet[AIM] == pytest.approx(shots, rel=1e-9)
    assert not {REPEAT, DIGIT} & set(of_quiet)


def test_calibration_part_is_that_of_the_worked_difference():
    """2 % / √3 of the difference where both sides read above 100 °C."""
    judged = judge(walked({c: k + 60.0 for c, k in HOT.items()}), LIGHT)
    budget = budget_of(judged, 1, "indicated")
    assert variances(budget)[CALIBRATION] ** 0.5 == pytest.approx(
        0.02 / 3.0**0.5 * abs(budget.difference_k), rel=1e-9
    )


def test_skin_parts_against_other_skins():
    """Common: both sides' emissivity moved by 1 %; separate: each side's alone, in squares."""
    judged = judge(walked(HOT), LIGHT)
    skin = usual_surfaces().skins["brake"]
    middle, common, corner = (
        float(np.asarray(part)) for part in (skin.emissivity, skin.spread_common, skin.spread_corner)
    )
    parts = variances(budget_of(judged, 1, "surface"))
    shown = judged.comparison.state.temperature_degc[:, 0]

    def metal(left, right):
        a, b = surface_degc(shown, emissivity=[middle * left, middle * right], reflected_degc=18.0)
        return float(a - b)

    up, down = np.exp(0.01), np.exp(-0.01)
    both = (metal(up, up) - metal(down, down)) / 0.02
    own = np.hypot((metal(up, 1.0) - metal(down, 1.0)) / 0.02, (metal(1.0, up) - metal(1.0, down)) / 0.02)
    assert parts[COMMON] ** 0.5 == pytest.approx(common * abs(both), rel=1e-3)
    assert parts[CORNER] ** 0.5 == pytest.approx(corner * own, rel=1e-3)
    catalogue = usual_surfaces()
    narrow = Skin(emissivity=middle, spread_common=common / 2.0, spread_corner=corner / 3.0)
    changed = replace(catalogue, skins=dict(catalogue.skins) | {"brake": narrow})
    again = variances(budget_of(judge(walked(HOT), replace(LIGHT, catalogue=changed)), 1, "surface"))
    assert again[COMMON] == pytest.approx(parts[COMMON] / 4.0, rel=1e-9)
    assert again[CORNER] == pytest.approx(parts[CORNER] / 9.0, rel=1e-9)


def test_stated_emissivities_leave_one_budget_of_the_metal():
    judged = judge(seen_through(walked(HOT), c1L=0.6, c1R=0.3, c2L=0.6, c2R=0.3), LIGHT)
    found = budgets(judged, 0)
    assert [(b.axle, b.covers) for b in found] == [(1, "surface"), (2, "surface")]
    parts = variances(found[0])
    own = (judged.gap.side_fraction[:, 0] * judged.comparison.state.rise_k[:, 0]) ** 2
    assert parts[STATED] == pytest.approx(float(own.sum()), rel=1e-6)
    assert parts[MIRRORED] == pytest.approx(float(judged.gap.mirrored_sigma_k[0]) ** 2, rel=1e-9)
    assert not {CORNER, COMMON} & set(parts)
    # the gun's scatter as told by bright metal: gain squared
    shot = float(np.mean(judged.fits.sigma_k[:, 0] ** 2))
    gain = judged.corrected.surface_per_indicated[judged.pairs.row_pair == 0]
    sides = judged.pairs.row_side[judged.pairs.row_pair == 0]
    squared = np.mean([gain[sides == side].mean() ** 2 for side in (0, 1)])
    shots = parts[AIM] + parts[REPEAT] + parts[DIGIT]
    assert parts[REPEAT] / shots == pytest.approx(0.25 * squared / shot, rel=1e-9)


@pytest.mark.parametrize(
    "readings",
    [
        table([]),
        walked({"1L": 90.0}),
        walked({"1L hub": 30.0, "1R hub": 31.0}),
        walked({"1L": 90.0, "2R": 90.0}),
    ],
    ids=["nothing", "one corner", "hubs", "no pair"],
)
def test_without_a_difference_there_is_no_budget(readings):
    assert budgets(judge(readings, LIGHT), 0) == ()


def test_axles_are_told_in_order_and_of_their_own_case():
    tables = [walked(VAN_K), walked(HOT, Walk(seed=2)), walked({"1L": 60.0, "1R": 60.0})]
    from thermlog.words.tables import stack_readings

    judged = judge(stack_readings(tables), LIGHT)
    for k, one in enumerate(tables):
        alone = budgets(judge(one, LIGHT), 0)
        together = budgets(judged, k)
        assert [(b.axle, b.covers) for b in together] == [(b.axle, b.covers) for b in alone]
        for a, b in zip(together, alone, strict=True):
            assert a.sigma_k == pytest.approx(b.sigma_k, rel=1e-6)


# the command


@pytest.fixture
def watch_log(tmp_path):
    """A log with one axle at watch."""
    for rise_k in np.arange(140.0, 220.0, 5.0):
        readings = walked(VAN_K | {"1L": rise_k})
        if told(readings).axles[0].verdict == "watch":
            path = tmp_path / "watch.csv"
            path.write_text(log_text(readings), encoding="utf-8")
            return str(path)
    pytest.fail("no rise leads to a watch")


HEAD = re.compile(r"^  ([+-]\d+\.\d) °[CF], standard uncertainty (\d+\.\d) °[CF]$", re.MULTILINE)
PART = re.compile(r"^ +(\d+\.\d\d) °([CF]) +(\d+) %  (.+)$", re.MULTILINE)


def test_text_lists_parts_and_shares(thermlog, watch_log):
    out = thermlog("check", watch_log, "--explain", "--exit-zero").out
    assert out.count("Where the uncertainty comes from, front: left minus right as the gun shows it") == 1
    assert out.count("front: left minus right of the metal itself, emissivities not known") == 1
    assert "What would decide, if it confirms the present curves\n  front: " in out
    assert "rear: read" not in out.split("What would decide")[1]
    found = PART.findall(out)
    assert {source for *_, source in found} >= {AIM, REPEAT, TAU, AIR, CORNER, COMMON}
    assert thermlog("check", watch_log, "--exit-zero").out.count("Where the uncertainty comes from") == 0


def test_differences_are_shown_in_fahrenheit_by_nine_fifths(thermlog, watch_log):
    texts = [
        thermlog("check", watch_log, "--explain", "--exit-zero", "--show", show).out for show in ("C", "F")
    ]
    heads = [np.array(HEAD.findall(text), dtype=np.float64) for text in texts]
    assert heads[0].shape == (4, 2)
    np.testing.assert_allclose(heads[1], 1.8 * heads[0], atol=0.15)
    celsius, fahrenheit = (PART.findall(text) for text in texts)
    assert len(celsius) == len(fahrenheit) > 10
    for (c, unit_c, share_c, source_c), (f, unit_f, share_f, source_f) in zip(
        celsius, fahrenheit, strict=True
    ):
        assert (unit_c, unit_f, share_c, source_c) == ("C", "F", share_f, source_f)
        assert float(f) == pytest.approx(1.8 * float(c), abs=0.015)


def test_stated_surfaces_are_named_as_such(thermlog, watch_log):
    out = thermlog("check", watch_log, "--explain", "--exit-zero", "--surface", "all=0.8").out
    assert "front: left minus right of the metal, from the stated emissivities" in out
    assert "emissivities not known" not in out
    assert STATED in out


def test_without_air_temperature_that_is_what_decides(thermlog, tmp_path):
    (tmp_path / "log.csv").write_text(log_text(walked(VAN_K), header=False), encoding="utf-8")
    out = thermlog("check", "log.csv", "--explain", "--exit-zero").out
    assert "What would decide: the air temperature; state it with --ambient or in the log" in out


def test_settled_vehicle_needs_nothing_more(thermlog, tmp_path):
    (tmp_path / "log.csv").write_text(log_text(walked(VAN_K)), encoding="utf-8")
    out = thermlog("check", "log.csv", "--explain", "--exit-zero").out
    assert "What would decide: every axle that can be compared is settled" in out


def test_json_follows_the_schema_and_says_what_the_records_say(thermlog, watch_log):
    found = json.loads(thermlog("check", watch_log, "--explain", "--exit-zero", "--format", "json").out)
    Draft202012Validator(json.loads(schema_text("check"))).validate(found)
    assert [(b["axle"], b["covers"]) for b in found["budgets"]] == [
        (axle, covers) for axle in (1, 2) for covers in ("indicated", "surface")
    ]
    for budget in found["budgets"]:
        total = sum(part["sigma_k"] ** 2 for part in budget["contributions"])
        assert total == pytest.approx(budget["sigma_k"] ** 2, rel=1e-4)  # numbers are rounded there
    (one,) = found["decisions"]
    assert set(one) == {"axle", "action", "verdict", "half_width_k", "decides"}
    assert one["axle"] == 1
    plain = json.loads(check_text([told(walked(VAN_K))], as_list=False))
    assert not {"budgets", "decisions"} & set(plain)


def test_five_axles_are_explained_while_one_waits(thermlog, tmp_path):
    """1.5 s is the bound a person notices; three tries, for other work on the machine."""
    fleet = toured(Tour(build="combination5_drum", skins=any_skin, vehicles=1, rounds=3))
    assert judge(fleet.readings, HEAVY).pairs.count == 5
    (tmp_path / "five.csv").write_text(log_text(fleet.readings), encoding="utf-8")
    took = []
    for _ in range(3):
        begin = time.perf_counter()
        out = thermlog("check", "five.csv", "--explain", "--exit-zero").out
        took.append(time.perf_counter() - begin)
    assert "What would decide" in out
    assert min(took) < 1.5
