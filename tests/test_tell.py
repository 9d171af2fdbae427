"""From columns to findings: contract fields, coast drives, words of the pattern, the bundled sample logs."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from judgecases import (
    HEAVY,
    LIGHT,
    LORRY_K,
    VAN_K,
    Walk,
    axle_of,
    corner_of,
    described,
    rows,
    table,
    tell,
    told,
    walked,
)
from msgspec.structs import replace

from thermlog.judging.diagnose import diagnoses, judge
from thermlog.judging.settings import Settings
from thermlog.reading.read import read_log
from thermlog.words.policy import load_policy

SAMPLES = Path(__file__).parent.parent / "sample_logs"
POLICY = load_policy("light")
HEALTHY = told(walked(VAN_K))


# sample logs


def expected() -> list[tuple[str, str, tuple[str, ...]]]:
    with (SAMPLES / "EXPECTED.table").open(encoding="utf-8", newline="") as lines:
        return [(row["file"], row["kind"], tuple(row["corners"].split())) for row in csv.DictReader(lines)]


@pytest.mark.usefixtures("unset")
@pytest.mark.parametrize(("file", "kind", "corners"), expected(), ids=[row[0] for row in expected()])
def test_sample_log_gives_the_answers_it_was_made_for(file, kind, corners):
    """The truth behind the simulated log: hot brakes answer the first question, cold ones the second."""
    found = list(diagnoses(judge(read_log(str(SAMPLES / file)).readings, Settings())))
    assert len(found) == (2 if "two_drives" in file else 1)
    for one in found:
        drag, idle, heat = one.answers.drag, one.answers.idle, one.answers.heat
        whole = kind in {"axle_hot", "axle_cold"} and len(one.axles) == 2  # either axle may be the odd one
        odd = {"watch"} if whole else {"yes"}
        wanted = {"drag": {"no"}, "idle": {"no"}}
        if kind == "cannot_tell":
            wanted["idle"] = {"cannot_tell"}
        elif kind.endswith("hot") and kind not in {"all_hot", "hub_hot"}:
            wanted["drag"], wanted["idle"] = (
                odd | {"yes"},
                {"no", "watch", "cannot_tell"} if whole else {"no"},
            )
        elif kind.endswith("cold"):
            wanted["idle"], wanted["drag"] = (
                odd | {"yes"},
                # the mate of a dead brake may hide a drag
                {"no", "watch", "cannot_tell"} if whole else {"no", "cannot_tell"},
            )
        if kind != "all_hot":
            assert drag.answer in wanted["drag"]
            assert heat.answer == "no"
        assert idle.answer in wanted["idle"]
        assert (heat.answer in {"yes", "watch"}) == (kind == "all_hot")
        assert bool(one.urgent) == (kind == "hub_hot")
        named = heat.corners if kind == "all_hot" else drag.corners if kind.endswith("hot") else idle.corners
        if kind not in {"none", "cannot_tell", "hub_hot"}:
            assert named == corners
        assert one.flagged == (kind != "none")


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
    assert corner.at_common_degc.value == pytest.approx(18.0 + 105.0 * np.exp(-140.0 / 1800.0), abs=0.05)
    assert corner.rise_k.value == pytest.approx(corner.at_common_degc.value - one.ambient_degc, abs=0.05)
    assert corner.start_degc == pytest.approx(18.0 + 105.0 * np.exp(-20.0 / 1800.0), abs=0.1)
    assert corner.tau_s.value == pytest.approx(1800.0, rel=0.01)
    low, high = corner.tau_s.interval
    assert low < corner.tau_s.value < high
    assert np.sqrt(low * high) == pytest.approx(corner.tau_s.value, rel=1e-9)  # symmetric in ln(tau)
    low, high = corner.at_common_degc.interval
    assert 0.5 * (low + high) == pytest.approx(corner.at_common_degc.value, rel=1e-9)
    axle = axle_of(one, 1)
    left, right = (corner_of(one, name).at_common_degc.value for name in ("1L", "1R"))
    assert axle.difference_k.value == pytest.approx(left - right, abs=1e-9)
    low, high = axle.difference_k.interval
    assert 0.5 * (low + high) == pytest.approx(axle.difference_k.value, abs=1e-9)
    assert axle.rise_ratio.low < axle.rise_ratio.value < axle.rise_ratio.high


def test_intervals_are_student_intervals_of_the_fit():
    """Half widths: quantile of the case times the standard error of ln(tau) and of the temperature."""
    judged = judge(walked(VAN_K, Walk(rounds=4)), LIGHT)
    one, quantile = tell(judged, 0), float(judged.comparison.quantile[0])
    for pair in (0, 1):
        for side, place in ((0, 1), (1, 3)):
            corner = corner_of(one, f"{pair + 1}{'LR'[side]}")
            low, high = corner.tau_s.interval
            sigma = np.sqrt(judged.fits.covariance[place, place, pair])
            assert np.log(high / low) == pytest.approx(2.0 * quantile * sigma, rel=1e-9)
            low, high = corner.at_common_degc.interval
            # the accuracy of the usual gun, 2 °C or 2 % as a rectangle (GUM 4.3.7), belongs to it
            gun_k = max(2.0, 0.02 * corner.at_common_degc.value) / np.sqrt(3.0)
            sigma = np.hypot(np.sqrt(judged.comparison.state.temperature_variance[side, pair]), gun_k)
            assert high - low == pytest.approx(2.0 * quantile * sigma, rel=1e-9)
            assert corner.rise_k.half_width == pytest.approx(0.5 * (high - low), rel=1e-9)


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
    assert all(corner.rise_k is None and corner.at_common_degc is not None for corner in one.corners)
    assert {corner.corner: corner.verdict for corner in one.corners}["1L"] == "hot"
    for axle in one.axles:
        assert axle.rise_ratio is None
        assert axle.difference_k is not None
    assert one.flagged


def test_rising_readings_are_no_cooling():
    rows_of = [(1, 0, 0, 20.0 + 90.0 * k, 60.0 + 20.0 * k) for k in range(4)]
    rows_of += [(1, 1, 0, 30.0 + 90.0 * k, 90.0 - 4.0 * k) for k in range(4)]
    one = told(table(rows_of))
    corner = corner_of(one, "1L")
    assert [reason.code for reason in corner.reasons] == ["rising"]
    assert (corner.at_common_degc, corner.tau_s, corner.rise_k, corner.readings_used) == (None, None, None, 0)


def test_unit_without_heat_is_not_asked_whether_it_works():
    one = told(walked(dict.fromkeys(VAN_K, 6.0)))
    assert (one.answers.drag.answer, one.answers.idle.answer) == ("no", "cannot_tell")
    assert (one.pattern.kind, one.flagged) == ("none", True)


def test_nothing_at_all_is_an_answer_too():
    one = told(table([]))
    assert (one.corners, one.axles, one.pattern.kind, one.common_time_s) == ((), (), "cannot_tell", None)
    assert (one.p_fault, one.notes, one.suspects) == (None, (), ())


def test_spots_of_a_brake_share_its_verdict_and_tell_why():
    brake = VAN_K | {"1L": 220.0}
    one = told(walked(brake | {"1L tyre_outer": 30.0, "1R tyre_outer": 30.0}))
    assert corner_of(one, "1L", "tyre_outer").verdict == corner_of(one, "1L").verdict == "hot"
    assert corner_of(one, "1R", "tyre_outer").verdict == corner_of(one, "1R").verdict == "even"
    assert corner_of(one, "1L").reasons == axle_of(one, 1).reasons
    assert corner_of(one, "1R").reasons == ()


def test_axle_of_which_only_other_spots_were_read():
    one = told(walked({**VAN_K, "3L tyre_outer": 20.0, "3R tyre_outer": 20.0}))
    assert [axle.axle for axle in one.axles] == [1, 2]
    assert corner_of(one, "3L", "tyre_outer").verdict == "cannot_tell"
    assert [reason.code for reason in corner_of(one, "3L", "tyre_outer").reasons] == ["not_read"]


def test_lifted_axle_is_cold_by_right():
    lifted = Walk(description=described("steer", "axle", "lift", weight_class="heavy"))
    one = told(walked(LORRY_K | {"3L": 2.0, "3R": 3.0}, lifted), HEAVY)
    assert axle_of(one, 3).verdict == "even"
    assert [reason.code for reason in axle_of(one, 3).reasons] == ["cold_by_design"]
    assert (one.answers.idle.answer, one.pattern.kind) == ("no", "none")


# curves on demand


def test_curves_come_on_demand_only():
    judged = judge(walked(VAN_K), LIGHT)
    assert tell(judged, 0).curves == ()
    assert len(tell(judged, 0, curves=True).curves) == 4
    assert replace(tell(judged, 0, curves=True), curves=()) == tell(judged, 0)


def test_rows_of_another_order_tell_the_same():
    readings = walked(VAN_K | {"1L": 220.0})
    turned = told(rows(readings, np.arange(readings.rows)[::-1]))
    assert [axle.verdict for axle in turned.axles] == [axle.verdict for axle in told(readings).axles]
