"""Properties of the whole chain, from readings and from text: what must not matter does not matter."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from judgecases import (
    HEAVY,
    LIGHT,
    LORRY_K,
    VAN_K,
    Walk,
    all_told,
    described,
    log_text,
    other_side,
    renamed,
    rows,
    table,
    tell,
    told,
    told_text,
    walked,
)
from msgspec.structs import replace

from thermlog.inference.pattern import find_patterns
from thermlog.judging.diagnose import diagnoses, judge
from thermlog.reading.read import read_content
from thermlog.words.errors import LogRefusedError
from thermlog.words.estimates import Estimate
from thermlog.words.findings import Diagnosis
from thermlog.words.tables import Drive, Readings, stack_readings
from thermlog.words.vehicle import SIDES

quick = settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@st.composite
def vehicles(draw: st.DrawFn) -> Readings:
    """A walk round a vehicle of one to three axles, any heat, any number of rounds, some corners not read."""
    axles = draw(st.integers(1, 3))
    names = [f"{axle}{side}" for axle in range(1, axles + 1) for side in SIDES]
    read = draw(st.lists(st.sampled_from(names), min_size=1, max_size=len(names), unique=True))
    corners = {name: draw(st.floats(2.0, 250.0)) for name in sorted(read)}
    walk = Walk(
        rounds=draw(st.integers(1, 5)),
        noise_k=draw(st.sampled_from([0.3, 1.0, 3.0])),
        seed=draw(st.integers(0, 10_000)),
        ambient_degc=draw(st.integers(-150, 380)) / 10.0,
        drive=draw(st.sampled_from(["normal", "coast", None])),
    )
    return walked(corners, walk)


def verdicts(one: Diagnosis) -> list[tuple[object, ...]]:
    """All that a reader acts on."""
    corners = [(corner.corner, corner.spot, corner.verdict) for corner in one.corners]
    axles = [(axle.axle, axle.verdict, axle.suspect) for axle in one.axles]
    return [*corners, *axles, (one.pattern.kind, one.pattern.corners)]


def numbers(one: Diagnosis) -> list[float | None]:
    """Every number of corners, axles and pattern in a fixed order."""
    found: list[float | None] = [one.p_fault, one.pattern.p]
    for corner in one.corners:
        found += [*triple(corner.at_common_degc), *triple(corner.rise_k), *triple(corner.tau_s)]
        found += [corner.start_degc, corner.p_hot, corner.p_cold]
    for axle in one.axles:
        found += [*triple(axle.difference_k), *triple(axle.rise_ratio)]
    return found


def triple(estimate: Estimate | None) -> tuple[float | None, float | None, float | None]:
    return (None, None, None) if estimate is None else (estimate.value, estimate.low, estimate.high)


def assert_close(a: float | None, b: float | None, *, rel: float = 1e-6, abs_: float = 1e-6) -> None:
    assert (a is None) == (b is None)
    assert a is None or a == pytest.approx(b, rel=rel, abs=abs_)


def assert_same(one: Diagnosis, other: Diagnosis) -> None:
    assert verdicts(one) == verdicts(other)
    for a, b in zip(numbers(one), numbers(other), strict=True):
        assert_close(a, b)


# what must not matter


@quick
@given(readings=vehicles())
def test_swapping_sides_mirrors_the_result(readings):
    one, two = told(readings), told(replace(readings, side=1 - readings.side))
    by_corner = {corner.corner: corner for corner in two.corners}
    for corner in one.corners:
        mirrored = by_corner[other_side(corner.corner)]
        assert mirrored.verdict == corner.verdict
        for name in ("at_common_degc", "rise_k", "tau_s"):
            for a, b in zip(triple(getattr(mirrored, name)), triple(getattr(corner, name)), strict=True):
                assert_close(a, b)
        for name in ("p_hot", "p_cold"):
            assert_close(getattr(mirrored, name), getattr(corner, name))
    for axle, mirrored in zip(one.axles, two.axles, strict=True):
        assert mirrored.verdict == axle.verdict
        assert mirrored.suspect == (axle.suspect and other_side(axle.suspect))
        assert_close(triple(mirrored.rise_ratio)[0], triple(axle.rise_ratio)[0])
        if axle.difference_k is not None:
            assert triple(mirrored.difference_k) == pytest.approx(triple(axle.difference_k.turned), abs=1e-6)
    assert two.pattern.kind == one.pattern.kind
    assert sorted(two.pattern.corners) == sorted(other_side(corner) for corner in one.pattern.corners)
    assert_close(two.p_fault, one.p_fault)


@quick
@given(readings=vehicles(), seed=st.integers(0, 1000))
def test_order_of_rows_does_not_matter(readings, seed):
    shuffled = rows(readings, np.random.default_rng(seed).permutation(readings.rows))
    assert_same(told(readings), told(shuffled))


@quick
@given(readings=vehicles(), shift_s=st.floats(-10_000.0, 100_000.0))
def test_time_origin_does_not_matter(readings, shift_s):
    """On a clock of the log's own; since the wheels stopped it does: what is read late clears nothing.

    A gap that may have been one at the zero of that clock is held open by it (`gap_faded`): left out here.
    """
    cases = tuple(replace(case, parked_known=False) for case in readings.cases)
    readings = replace(readings, cases=cases)
    one = told(readings)
    later = told(replace(readings, elapsed_s=readings.elapsed_s + shift_s))
    assume(not any(reason.code == "gap_faded" for log in (one, later) for reason in log.answers.drag.reasons))
    assert_same(one, later)
    if one.common_time_s is not None:
        assert later.common_time_s == pytest.approx(one.common_time_s + shift_s, abs=1e-6)


@quick
@given(readings=vehicles(), shift_k=st.floats(-20.0, 40.0))
def test_constant_on_all_temperatures_and_the_ambient_does_not_matter(readings, shift_k):
    """Newton's law and an aim that errs by a part of the rise know no zero of temperature.

    What unknown skins bring into the balance of probabilities follows the radiation law and does move; the
    pattern is therefore weighed twice with the same skins.
    """
    case = replace(readings.cases[0], ambient_degc=readings.cases[0].ambient_degc + shift_k)
    warmer = replace(readings, indicated_degc=readings.indicated_degc + shift_k, cases=(case,))
    one, two = judge(readings, LIGHT), judge(warmer, LIGHT)
    for name in ("amplitude_k", "log_tau", "covariance", "ambient_shift_k", "noise_scale"):
        a, b = getattr(one.fits, name), getattr(two.fits, name)
        np.testing.assert_allclose(a, b, rtol=1e-5, atol=1e-6, err_msg=name)
    for name in ("difference_k", "difference_sigma_k", "ratio", "ratio_low", "ratio_high"):
        a, b = getattr(one.comparison, name), getattr(two.comparison, name)
        np.testing.assert_allclose(a, b, rtol=1e-5, atol=1e-5, err_msg=name)
    np.testing.assert_array_equal(one.evidence.doubt.place, two.evidence.doubt.place)
    again = find_patterns(replace(two.evidence, gap=one.gap))
    for name in ("p_kind", "p_hot", "p_cold", "p_drag", "p_idle", "p_heat"):
        a, b = getattr(one.patterns, name), getattr(again, name)
        np.testing.assert_allclose(a, b, atol=1e-5, err_msg=name)
    assert again.members == one.patterns.members


def test_of_two_corners_nobody_read_the_first_is_named_whatever_the_rounding():
    """Nothing tells 2R from 3R: without the rule rounding named the second in every tenth log."""
    tables = [
        walked({"2L": 12.0, "3L": 20.0}, Walk(drive="coast", noise_k=2.0, seed=seed)) for seed in range(60)
    ]
    members = judge(stack_readings(tables), LIGHT).patterns.members

    assert ((2, 1),) in members
    assert ((3, 1),) not in members


@settings(max_examples=8, deadline=None)
@given(several=st.lists(vehicles(), min_size=2, max_size=6))
def test_neighbours_in_the_batch_do_not_matter(several):
    several = renamed(several)
    for one, alone in zip(all_told(several), map(told, several), strict=True):
        assert_same(one, alone)
        assert one.notes == alone.notes


def test_neighbours_do_not_matter_in_a_batch_of_many_shapes():
    """120 vehicles: other numbers of axles, rounds and spots, empty ones between."""
    rng = np.random.default_rng(8)
    tables = []
    for k in range(120):
        corners = dict(VAN_K if k % 3 else LORRY_K)
        corners[str(rng.choice(list(corners)))] = float(rng.uniform(3.0, 240.0))
        if k % 5 == 0:
            corners |= {"1L hub": 20.0, "1R hub": float(rng.uniform(10.0, 90.0))}
        made = walked(
            corners, Walk(rounds=1 + k % 4, seed=k, noise_k=1.0, drive="coast" if k % 7 == 0 else None)
        )
        tables.append(table([]) if k % 40 == 3 else made)
    tables = renamed(tables)
    batch = all_told(tables, HEAVY)
    for k in (0, 3, 5, 7, 43, 77, 119):
        assert_same(batch[k], told(tables[k], HEAVY))


# two drives of one vehicle

OPEN = {"1L": 100.0, "1R": 40.0}  # on a single axle: nothing says which side is odd
COLD = {"1L": 100.0, "1R": 20.0}  # still open; without a drag the right side is the likely one
TRAILER = described("trailer")


def drive(corners: dict[str, float], how: Drive | None = "normal", **about: Any) -> Readings:
    return walked(corners, Walk(drive=how, description=TRAILER, **about))


def odd(tables: list[Readings]) -> tuple[str, str | None]:
    axle = all_told(tables)[0].axles[0]
    return axle.verdict, axle.suspect


def test_coast_drive_of_the_same_vehicle_settles_which_side_is_odd():
    """And both warm without braking both drag, whatever they did with it."""
    assert odd([drive(OPEN)]) == ("watch", None)
    assert odd([drive(OPEN), drive({"1L": 95.0, "1R": 9.0}, "coast")]) == ("hot", "1L")
    assert odd([drive(OPEN), drive({"1L": 9.0, "1R": 8.0}, "coast")]) == ("watch", None)
    assert odd([drive(COLD), drive({"1L": 9.0, "1R": 8.0}, "coast")]) == ("cold", "1R")
    assert odd([drive(OPEN), drive({"1L": 95.0, "1R": 70.0}, "coast")]) == ("hot", None)
    found = all_told([drive(COLD), drive({"1L": 9.0, "1R": 8.0}, "coast")])[0]
    assert found.answers.drag.answer == "no"
    assert (found.answers.idle.answer, found.answers.idle.corners) == ("yes", ("1R",))
    sunk = next(reason for reason in found.axles[0].reasons if reason.code == "sunk_without_braking")
    assert sunk.corners[0] == "1L"
    assert sunk.numbers["rise_k"] == pytest.approx(9.0, abs=1.0)  # as made, cooling a minute or two


@pytest.mark.parametrize(
    "others",
    [
        [drive({"1L": 95.0, "1R": 9.0}, "coast", vehicle="unit 2")],
        [drive({"1L": 95.0, "1R": 9.0}, "coast", vehicle=None)],
        [drive({"1L": 95.0, "1R": 9.0}, "coast"), drive({"1L": 9.0, "1R": 8.0}, "coast")],
        [drive({"1L": 95.0, "1R": 9.0}, "coast", ambient_stated=False)],
        [drive({"1L": 95.0, "1R": 9.0}, "verification")],
        [drive({"1L": 95.0}, "coast")],
    ],
    ids=["other", "unnamed", "two", "no ambient", "no coast", "one side"],
)
def test_other_drives_settle_nothing(others):
    assert odd([drive(OPEN), *others]) == ("watch", None)


def test_coast_drive_in_the_same_log_counts_before_one_elsewhere():
    normal = drive(OPEN, vehicle=None)
    log = normal.cases[0].log
    here = drive({"1L": 95.0, "1R": 9.0}, "coast", vehicle=None)
    here = replace(here, cases=(replace(here.cases[0], log=log),))
    elsewhere = drive({"1L": 9.0, "1R": 8.0}, "coast", vehicle=None)
    assert odd([normal, here, elsewhere]) == ("hot", "1L")


# the same through text


@quick
@given(readings=vehicles())
def test_log_as_text_gives_what_its_readings_give(readings):
    """Corners are found again by their words, times by the heading; axles not read at all stay unknown."""
    assert_same(told_text(log_text(readings)), told(readings))


@quick
@given(readings=vehicles())
def test_fahrenheit_gives_the_same(readings):
    assert_same(told_text(log_text(readings, unit="F")), told_text(log_text(readings)))


def _time(line: str) -> float:
    return float(line.partition(",")[0])


@quick
@given(readings=vehicles(), blank=st.lists(st.integers(0, 60), max_size=8), seed=st.integers(0, 1000))
def test_blank_lines_and_order_of_lines_do_not_matter(readings, blank, seed):
    lines = log_text(readings).splitlines()
    head = next(k for k, line in enumerate(lines) if line.startswith("time_s"))
    body = lines[head + 1 :]
    np.random.default_rng(seed).shuffle(body)
    # turned right round, brakes that do not cool look like a watch that counts down over brakes that do
    assume([*map(_time, body)] != sorted(map(_time, body), reverse=True))
    for place in sorted(blank, reverse=True):
        body.insert(place, "")
        body.insert(place, "")
    try:
        mixed = told_text("\n".join([*lines[: head + 1], *body]) + "\n")
    except LogRefusedError as error:
        # rows out of order may look like a second walk, a countdown or seconds without their minutes
        assert error.code in {"starts_again", "no_minutes", "falling", "two_ways"}  # noqa: PT017
    else:
        assert_same(mixed, told_text("\n".join(lines) + "\n"))


@quick
@given(readings=vehicles())
def test_sides_swapped_in_the_text_mirror_the_result(readings):
    text = log_text(readings)
    marks = str.maketrans("LR", "RL")
    swapped = "\n".join(line.translate(marks) if line[:1].isdigit() else line for line in text.splitlines())
    one, two = told_text(text), told_text(swapped + "\n")
    assert [axle.verdict for axle in one.axles] == [axle.verdict for axle in two.axles]
    assert sorted(two.pattern.corners) == sorted(other_side(corner) for corner in one.pattern.corners)
    assert_close(two.p_fault, one.p_fault)


def test_readings_of_the_text_are_those_written():
    readings = walked(VAN_K)
    read = read_content(log_text(readings).encode(), file="made-up.csv").readings
    np.testing.assert_array_equal(np.sort(read.indicated_degc), np.sort(readings.indicated_degc))
    assert read.cases[0].ambient_degc == 18.0
    assert read.cases[0].drive == "normal"


def test_limits_of_a_batch_are_those_of_each_case():
    """Of a batch they are worked out together; a case without air is weighed under airs of its own."""
    walks = [
        walked(VAN_K),
        walked({**VAN_K, "2R": 160.0}),
        walked(VAN_K, Walk(ambient_stated=False)),
        walked({"1L": 90.0, "1R": 88.0, "2L": 60.0}),
        walked(LORRY_K),
        walked(VAN_K, Walk(drive="coast")),
    ]
    judged = judge(stack_readings(renamed(walks)), LIGHT)
    together = [one.answers for one in diagnoses(judged)]
    assert together == [tell(judged, k).answers for k in range(len(walks))]
    # own number: where wheels are unread, or nothing is asked of a drive, there are no limits
    assert sum(bool(one.drag.detectable) for one in together) >= 3


def test_empty_batch_gives_nothing():
    judged = judge(stack_readings([]), LIGHT)
    assert list(diagnoses(judged)) == []


def test_every_field_of_the_diagnosis_is_set():
    one = told(walked(VAN_K | {"1L": 220.0}))
    assert {name for name in one.__struct_fields__ if getattr(one, name) is None} <= {"next_check", "taken"}
