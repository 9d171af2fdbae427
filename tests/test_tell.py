"""From columns to findings: contract fields, coast drives, words of the pattern, the bundled sample logs."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from judgecases import (
    HEAVY,
    HUBS,
    LIGHT,
    LORRY_K,
    VAN_K,
    Walk,
    axle_of,
    corner_of,
    described,
    rows,
    table,
    told,
    walked,
)
from msgspec.structs import replace

from thermlog.judging.diagnose import Settings, diagnoses, diagnosis, judge
from thermlog.judging.tell import tell
from thermlog.reading.read import read_log
from thermlog.words.findings import Diagnosis
from thermlog.words.policy import load_policy
from thermlog.words.tables import stack_readings

SAMPLES = Path(__file__).parent.parent / "sample_logs"
POLICY = load_policy("light")
HEALTHY = told(walked(VAN_K))


# sample logs


def expected() -> list[tuple[str, str, tuple[str, ...]]]:
    with (SAMPLES / "EXPECTED.table").open(encoding="utf-8", newline="") as lines:
        return [(row["file"], row["kind"], tuple(row["corners"].split())) for row in csv.DictReader(lines)]


@pytest.mark.usefixtures("unset")
@pytest.mark.parametrize(("file", "kind", "corners"), expected(), ids=[row[0] for row in expected()])
def test_sample_log_gives_the_finding_it_was_made_for(file, kind, corners):
    found = list(diagnoses(judge(read_log(str(SAMPLES / file)).readings, Settings())))
    for one in found:
        assert (one.pattern.kind, one.pattern.corners) == (kind, corners)
        assert one.flagged == (kind != "none")
    assert len(found) == (2 if "two_drives" in file else 1)


# fields of the contract


def test_fields_of_a_healthy_vehicle():
    one = HEALTHY
    assert (one.vehicle, one.drive, one.ambient_degc, one.ambient_source) == ("unit 1", "normal", 18.0, "log")
    assert (one.policy.name, one.policy.sha256) == ("light", POLICY.sha256)
    assert one.common_time_s == 140.0
    assert [corner.corner for corner in one.corners] == ["1L", "1R", "2L", "2R"]
    assert [axle.axle for axle in one.axles] == [1, 2]
    assert all(axle.verdict == "even" for axle in one.axles)
    assert not one.flagged
    assert one.curves == ()
    assert one.log.rows_used == 12


def test_corner_fields_hang_together():
    """Newton's law without noise: 105 K at 1800 s, common time 140 s, first reading of the walk at 20 s."""
    one = told(walked(VAN_K, Walk(rounds=6, noise_k=0.0)))
    corner = corner_of(one, "1L")
    assert (corner.readings, corner.readings_used) == (6, 6)
    assert (corner.axle, corner.side, corner.spot) == (1, "L", "brake")
    assert corner.at_common_degc == pytest.approx(18.0 + 105.0 * np.exp(-140.0 / 1800.0), abs=0.05)
    assert corner.rise_k == pytest.approx(corner.at_common_degc - one.ambient_degc, abs=0.05)
    assert corner.start_degc == pytest.approx(18.0 + 105.0 * np.exp(-20.0 / 1800.0), abs=0.1)
    assert corner.tau_s == pytest.approx(1800.0, rel=0.01)
    low, high = corner.tau_interval_s
    assert low < corner.tau_s < high
    assert np.sqrt(low * high) == pytest.approx(corner.tau_s, rel=1e-9)  # symmetric in ln(tau)
    low, high = corner.interval_degc
    assert 0.5 * (low + high) == pytest.approx(corner.at_common_degc, rel=1e-9)
    axle = axle_of(one, 1)
    left, right = (corner_of(one, name).at_common_degc for name in ("1L", "1R"))
    assert axle.difference_k == pytest.approx(left - right, abs=1e-9)
    low, high = axle.difference_interval_k
    assert 0.5 * (low + high) == pytest.approx(axle.difference_k, abs=1e-9)
    assert axle.rise_ratio_interval[0] < axle.rise_ratio < axle.rise_ratio_interval[1]


def test_intervals_are_student_intervals_of_the_fit():
    """Half widths: quantile of the case times the standard error of ln(tau), temperature and rise."""
    judged = judge(walked(VAN_K, Walk(rounds=4)), LIGHT)
    one, quantile = tell(judged, 0), float(judged.comparison.quantile[0])
    for pair in (0, 1):
        for side, place in ((0, 1), (1, 3)):
            corner = corner_of(one, f"{pair + 1}{'LR'[side]}")
            low, high = corner.tau_interval_s
            sigma = np.sqrt(judged.fits.covariance[place, place, pair])
            assert np.log(high / low) == pytest.approx(2.0 * quantile * sigma, rel=1e-9)
            low, high = corner.interval_degc
            # the accuracy of the usual gun, 2 °C or 2 % as a rectangle (GUM 4.3.7), belongs to it
            gun_k = max(2.0, 0.02 * corner.at_common_degc) / np.sqrt(3.0)
            sigma = np.hypot(np.sqrt(judged.comparison.state.temperature_variance[side, pair]), gun_k)
            assert high - low == pytest.approx(2.0 * quantile * sigma, rel=1e-9)
            sigma = np.sqrt(judged.comparison.state.rise_variance[side, pair])
            upper = judged.digest.rise_high_k[side][pair]
            assert upper - corner.rise_k == pytest.approx(quantile * sigma, rel=1e-9)


def test_axle_is_no_witness_of_its_own_heat():
    """Both sides thought cold, 60 K warm, and no other axle: nothing shows that this drive made heat."""
    judged = judge(walked({"1L": 60.0, "1R": 61.0}), LIGHT)
    cold = replace(judged.digest, p_cold=[[0.9], [0.9]])
    assert tell(replace(judged, digest=cold), 0).axles[0].verdict == "even"
    beside = judge(walked({"1L": 60.0, "1R": 61.0, "2L": 60.0, "2R": 61.0}), LIGHT)
    cold = replace(beside.digest, p_cold=[[0.9, 0.0], [0.9, 0.0]])
    assert tell(replace(beside, digest=cold), 0).axles[0].verdict == "cold"


def test_probabilities_are_those_of_the_pattern():
    judged = judge(walked(VAN_K | {"1L": 150.0}), LIGHT)
    one = tell(judged, 0)
    for corner in one.corners:
        pair, side = corner.axle - 1, "LR".index(corner.side)
        assert corner.p_hot == judged.patterns.p_hot[side, pair]
        assert corner.p_cold == judged.patterns.p_cold[side, pair]
    assert one.p_fault == pytest.approx(1.0 - judged.patterns.p_kind[0, 0], abs=1e-15)
    assert corner_of(one, "1L").p_hot == max(corner.p_hot for corner in one.corners)


def test_unknown_ambient_leaves_temperatures_and_differences_only():
    one = told(walked(VAN_K | {"1L": 220.0}, Walk(ambient_stated=False)))
    assert (one.ambient_degc, one.ambient_source, one.p_fault) == (None, None, None)
    assert (one.pattern.kind, one.pattern.corners, one.pattern.p) == ("cannot_tell", (), None)
    for corner in one.corners:
        assert (corner.rise_k, corner.p_hot, corner.p_cold, corner.verdict) == (
            None,
            None,
            None,
            "cannot_tell",
        )
        assert corner.at_common_degc is not None
        assert "ambient temperature not stated" in corner.why[0]
    for axle in one.axles:
        assert (axle.rise_ratio, axle.rise_ratio_interval) == (None, None)
        assert axle.difference_k is not None
    assert one.flagged


def test_side_missing_is_told_and_not_guessed():
    one = told(walked({corner: rise for corner, rise in VAN_K.items() if corner != "2R"}))
    assert [corner.corner for corner in one.corners] == ["1L", "1R", "2L"]
    assert corner_of(one, "2L").verdict == "cannot_tell"
    assert "2R not read" in axle_of(one, 2).why[0]
    assert axle_of(one, 2).difference_k is None
    assert axle_of(one, 1).verdict == "even"
    assert one.pattern.kind == "cannot_tell"


def test_rising_readings_are_no_cooling():
    rows_of = [(1, 0, 0, 20.0 + 90.0 * k, 60.0 + 20.0 * k) for k in range(4)]
    rows_of += [(1, 1, 0, 30.0 + 90.0 * k, 90.0 - 4.0 * k) for k in range(4)]
    one = told(table(rows_of))
    assert "1L still rising" in axle_of(one, 1).why[0]
    corner = corner_of(one, "1L")
    assert (corner.at_common_degc, corner.tau_s, corner.rise_k, corner.readings_used) == (None, None, None, 1)


def test_unit_without_heat_cannot_be_told():
    one = told(walked(dict.fromkeys(VAN_K, 6.0)))
    assert {axle.verdict for axle in one.axles} == {"cannot_tell"}
    assert "not enough heat" in one.axles[0].why[0]
    assert one.pattern.kind == "cannot_tell"
    held = told(walked(dict.fromkeys(VAN_K, 6.0), Walk(drive="coast")))
    assert (held.pattern.kind, held.flagged) == ("none", False)


def test_nothing_at_all_is_an_answer_too():
    one = told(table([]))
    assert (one.corners, one.axles, one.pattern.kind, one.common_time_s) == ((), (), "cannot_tell", None)
    assert (one.p_fault, one.notes, one.suspects) == (None, (), ())


def test_spots_of_a_brake_share_its_verdict_and_tell_why():
    brake = VAN_K | {"1L": 220.0}
    one = told(walked(brake | {"1L tyre_outer": 30.0, "1R tyre_outer": 30.0}))
    assert corner_of(one, "1L", "tyre_outer").verdict == corner_of(one, "1L").verdict == "hot"
    assert corner_of(one, "1R", "tyre_outer").verdict == corner_of(one, "1R").verdict == "even"
    assert corner_of(one, "1L").why == axle_of(one, 1).why
    assert corner_of(one, "1R").why == ()


def test_axle_of_which_only_other_spots_were_read():
    one = told(walked({**VAN_K, "3L tyre_outer": 20.0, "3R tyre_outer": 20.0}))
    assert [axle.axle for axle in one.axles] == [1, 2]
    assert corner_of(one, "3L", "tyre_outer").verdict == "cannot_tell"
    assert corner_of(one, "3L", "tyre_outer").why == ("no brake was read on both sides of this axle",)


def test_lifted_axle_is_cold_by_right():
    lifted = Walk(description=described("steer", "axle", "lift", weight_class="heavy"))
    one = told(walked(LORRY_K | {"3L": 2.0, "3R": 3.0}, lifted), HEAVY)
    assert axle_of(one, 3).verdict == "even"
    assert "lifted" in axle_of(one, 3).why[0]
    assert (corner_of(one, "3L").p_hot, one.pattern.kind) == (None, "none")


# drive without braking


def test_coast_drive_finds_the_drag_by_height_alone():
    cool = {"1L": 12.0, "1R": 11.0, "2L": 9.0, "2R": 10.0}
    one = told(walked(cool | {"2L": 120.0}, Walk(drive="coast")))
    assert (axle_of(one, 2).verdict, axle_of(one, 2).suspect) == ("hot", "2L")
    assert "after a drive without braking" in axle_of(one, 2).why[0]
    assert (one.pattern.kind, one.pattern.corners) == ("corner_hot", ("2L",))
    assert told(walked(cool, Walk(drive="coast"))).pattern.kind == "none"


def test_coast_drive_decides_what_a_normal_drive_leaves_open():
    """Single axle, 100 K against 40 K: open; after coasting the dragging side stays up, the other sinks."""
    trailer = described("trailer")
    normal = told(walked({"1L": 100.0, "1R": 40.0}, Walk(description=trailer)))
    assert (normal.axles[0].verdict, normal.axles[0].suspect) == ("hot", None)
    drags = told(walked({"1L": 95.0, "1R": 8.0}, Walk(description=trailer, drive="coast")))
    assert (drags.axles[0].verdict, drags.axles[0].suspect) == ("hot", "1L")
    works = told(walked({"1L": 9.0, "1R": 8.0}, Walk(description=trailer, drive="coast")))
    assert works.axles[0].verdict == "even"


def test_coast_drive_is_asked_axle_by_axle():
    """Front sinks on both sides, rear left stays hot: the open rear axle is settled by its own rises."""
    described_so = described("trailer", "trailer")
    normal = walked({"1L": 100.0, "1R": 100.0, "2L": 100.0, "2R": 40.0}, Walk(description=described_so))
    coast = walked(
        {"1L": 9.0, "1R": 8.0, "2L": 95.0, "2R": 9.0}, Walk(description=described_so, drive="coast")
    )
    judged = judge(stack_readings([normal, coast]), LIGHT)
    unsure = replace(
        judged.digest, p_hot=[[0.0, 0.5, 0.0, 0.0], [0.0] * 4], p_cold=[[0.0] * 4, [0.0, 0.4, 0.0, 0.0]]
    )
    rear = axle_of(tell(replace(judged, digest=unsure), 0), 2)
    assert (rear.verdict, rear.suspect) == ("hot", "2L")
    assert "it drags" in rear.why[0]


# words of the pattern


@pytest.mark.parametrize(
    ("flag", "verdict", "words"),
    [(0.01, "hot", "hot on every corner named"), (0.9999, "watch", "warmer on every corner named")],
)
def test_height_of_the_whole_vehicle_is_hot_or_watched(flag, verdict, words):
    """Sides and axles pass (marks out of reach); only the pattern of the whole vehicle can speak."""
    judged = judge(walked({corner: 5.0 * rise for corner, rise in VAN_K.items()} | HUBS), LIGHT)
    policy = replace(POLICY, flag_probability=flag, watch_probability=0.001)
    deaf = replace(judged.digest, p_hot=[[0.0] * 3] * 2, p_cold=[[0.0] * 3] * 2)
    one = tell(replace(judged, policies=(policy,), digest=deaf), 0)
    assert all(axle.verdict == "even" for axle in one.axles)
    assert one.pattern.kind == "all_hot"
    assert words in one.pattern.why[0]
    assert "left against right alone would pass this vehicle" in one.pattern.why[0]
    assert {corner.verdict for corner in one.corners if corner.spot == "brake"} == {verdict}
    assert {corner.verdict for corner in one.corners if corner.spot == "hub"} == {"even"}


def test_watch_is_no_pattern_that_is_called():
    one = told(walked(VAN_K | {"1L": 160.0}))
    assert axle_of(one, 1).verdict in {"watch", "hot"}
    mild = told(walked(VAN_K | {"1L": 148.0}))
    assert axle_of(mild, 1).verdict == "watch"
    assert mild.pattern.why == ("possible, not enough to call",)
    assert (mild.pattern.kind, mild.pattern.corners) == ("corner_hot", ("1L",))
    assert mild.pattern.p < 0.5


def called(one: Diagnosis) -> dict[int, tuple[str, str | None]]:
    return {axle.axle: (axle.verdict, axle.suspect) for axle in one.axles if axle.verdict in {"hot", "cold"}}


def test_pattern_follows_the_axles_where_the_best_support_names_others():
    """Support for corner 2L hot, while the axles called are another or several."""
    judged = judge(walked(VAN_K | {"1L": 230.0}), LIGHT)
    elsewhere = replace(judged, patterns=replace(judged.patterns, members=(((2, 0),),)))
    one = tell(elsewhere, 0)
    assert called(one) == {1: ("hot", "1L")}
    assert (one.pattern.kind, one.pattern.corners, one.pattern.p) == ("corner_hot", ("1L",), None)
    both = judge(walked(VAN_K | {"1L": 230.0, "2L": 4.0}), LIGHT)
    two = tell(replace(both, patterns=replace(both.patterns, members=(((2, 0),),))), 0)
    assert called(two) == {1: ("hot", "1L"), 2: ("cold", "2L")}
    assert (two.pattern.kind, two.pattern.corners, two.pattern.p) == ("several", ("1L", "2L"), None)


@pytest.mark.parametrize(
    ("corners", "kind", "named"),
    [
        (VAN_K | {"1L": 4.0}, "corner_cold", ("1L",)),
        (VAN_K | {"2L": 5.0, "2R": 6.0}, "axle_cold", ("2L", "2R")),
        (VAN_K | {"2L": 190.0, "2R": 192.0}, "axle_hot", ("2L", "2R")),
    ],
)
def test_kind_of_what_was_called_without_support(corners, kind, named):
    judged = judge(walked(corners), LIGHT)
    one = tell(replace(judged, patterns=replace(judged.patterns, members=((),))), 0)
    assert (one.pattern.kind, one.pattern.corners, one.pattern.p) == (kind, named, None)


# curves on demand


def test_curves_come_on_demand_only():
    judged = judge(walked(VAN_K), LIGHT)
    assert diagnosis(judged, 0).curves == ()
    assert len(diagnosis(judged, 0, curves=True).curves) == 4
    assert replace(diagnosis(judged, 0, curves=True), curves=()) == diagnosis(judged, 0)


def test_rows_of_another_order_tell_the_same():
    readings = walked(VAN_K | {"1L": 220.0})
    turned = told(rows(readings, np.arange(readings.rows)[::-1]))
    assert [axle.verdict for axle in turned.axles] == [axle.verdict for axle in told(readings).axles]
