"""Symmetries of the fit: sides, order of rows, clock, scale, neighbours and block size change nothing."""

import numpy as np
import pytest
from fitcases import LAWS, LOG, MEDIAN_TAU_S, Plan, fitted, logs, rows
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from thermlog.fitting import pairs as pairs_module
from thermlog.fitting.fit import Fits
from thermlog.fitting.pairs import pair_readings
from thermlog.words.tables import Case, Readings

seeds = st.integers(0, 2**32 - 1)
CASES = 4


def ragged(seed: int, law: str = "exponential") -> Readings:
    """Four small logs with misses, a third of the rows gone, whole sides and corners at times."""
    rng = np.random.default_rng(seed)
    readings, _ = logs(rng, Plan(cases=CASES, rounds=4, misses=0.06, law=law))
    kept = rng.random(readings.rows) > 0.33
    kept[rng.integers(0, readings.rows)] = True
    return rows(readings, kept)


def agree(one: Fits, other: Fits, names: tuple[str, ...] = ()) -> None:
    """Steps end below 1e-9 in ln tau; what leans on it weakly is good to 1e-6."""
    for name in names or (
        "amplitude_k",
        "log_tau",
        "covariance",
        "sigma_k",
        "ambient_shift_k",
        "noise_scale",
    ):
        np.testing.assert_allclose(
            getattr(one, name), getattr(other, name), rtol=1e-6, atol=1e-7, err_msg=name
        )
    for name in ("state", "used", "left_out"):
        np.testing.assert_array_equal(getattr(one, name), getattr(other, name), err_msg=name)


@settings(max_examples=25, deadline=None)
@given(seeds)
def test_swapping_the_sides_mirrors_the_result(seed):
    readings = ragged(seed)
    one, other = fitted(readings), fitted(replace(readings, side=1 - readings.side))
    swapped = [2, 3, 0, 1, 4]
    mirrored = replace(
        other,
        **{n: getattr(other, n)[::-1] for n in ("amplitude_k", "log_tau", "sigma_k", "state", "used")},
        covariance=other.covariance[swapped][:, swapped],
    )
    agree(one, mirrored)


@settings(max_examples=25, deadline=None)
@given(seeds)
def test_order_of_rows_changes_nothing_at_all(seed):
    readings = ragged(seed)
    order = np.random.default_rng(seed).permutation(readings.rows)
    one, other = fitted(readings), fitted(rows(readings, order))
    for name in ("amplitude_k", "log_tau", "covariance", "ambient_shift_k", "noise_scale", "used"):
        np.testing.assert_array_equal(getattr(one, name), getattr(other, name))
    for name in ("left_out", "residual_k"):
        np.testing.assert_array_equal(getattr(one, name)[order], getattr(other, name))


@settings(max_examples=25, deadline=None)
@given(seeds, st.floats(-1e5, 1e5))
def test_origin_of_time_does_not_matter(seed, later_s):
    readings = ragged(seed)
    one, other = fitted(readings), fitted(replace(readings, elapsed_s=readings.elapsed_s + later_s))
    agree(one, other)
    np.testing.assert_allclose(other.first_s, one.first_s + later_s, atol=1e-9)
    np.testing.assert_allclose(other.last_s, one.last_s + later_s, atol=1e-9)


@settings(max_examples=25, deadline=None)
@given(seeds, st.floats(-60.0, 60.0))
def test_a_warmer_day_changes_nothing(seed, warmer_k):
    """The same constant on all temperatures and on the ambient."""
    readings = ragged(seed)
    warmer = replace(readings, indicated_degc=readings.indicated_degc + warmer_k)
    agree(fitted(readings), fitted(warmer, ambient_degc=18.0 + warmer_k))


@settings(max_examples=25, deadline=None)
@given(seeds, st.floats(0.5, 2.0))
def test_temperature_scale_goes_through(seed, scale):
    readings = ragged(seed)
    one = fitted(readings)
    other = fitted(
        replace(readings, indicated_degc=18.0 + scale * (readings.indicated_degc - 18.0)),
        reading_sigma_k=scale,
        ambient_sigma_k=2.0 * scale,
        floor_sigma_k=0.5 * scale,
    )
    agree(one, other, ("log_tau", "noise_scale"))
    agree(one, replace(other, amplitude_k=other.amplitude_k / scale), ("amplitude_k",))


@settings(max_examples=25, deadline=None)
@given(seeds, st.floats(0.2, 5.0))
def test_time_scale_goes_through(seed, scale):
    readings = ragged(seed)
    one = fitted(readings)
    other = fitted(
        replace(readings, elapsed_s=readings.elapsed_s * scale), log_tau_mean=np.log(MEDIAN_TAU_S * scale)
    )
    agree(one, replace(other, log_tau=other.log_tau - np.log(scale)))


@settings(max_examples=15, deadline=None)
@given(seeds, st.sampled_from(LAWS))
def test_a_log_alone_gives_what_it_gives_among_others(seed, law):
    readings = ragged(seed, law)
    together, pairs = fitted(readings, law=law), pair_readings(readings)
    for case in range(CASES):
        mine = readings.case == case
        if not mine.any():
            assert np.isnan(together.ambient_shift_k[case])
            continue
        part = rows(replace(readings, case=np.zeros_like(readings.case), cases=(Case(log=LOG),)), mine)
        alone = fitted(part, law=law)
        picked = pairs.case == case
        np.testing.assert_allclose(alone.amplitude_k, together.amplitude_k[:, picked], rtol=1e-6)
        np.testing.assert_allclose(alone.log_tau, together.log_tau[:, picked], rtol=1e-8)
        np.testing.assert_allclose(alone.covariance, together.covariance[..., picked], rtol=1e-6, atol=1e-9)
        np.testing.assert_array_equal(alone.left_out, together.left_out[mine])


@pytest.mark.parametrize("cells", [1, 500, 7000])
def test_size_of_the_blocks_does_not_matter(monkeypatch, cells):
    """Sums of a single vehicle run in another order than those of many: 1e-9, not bit for bit."""
    readings, _ = logs(np.random.default_rng(8), Plan(cases=300, rounds=4, misses=0.05))
    readings = rows(readings, np.random.default_rng(8).random(readings.rows) > 0.3)
    whole = fitted(readings)
    monkeypatch.setattr(pairs_module, "_MOST_CELLS", cells)
    parts = fitted(readings)
    for name in Fits.__slots__:
        if name not in ("law", "covariance"):
            np.testing.assert_allclose(
                getattr(parts, name), getattr(whole, name), rtol=1e-9, atol=1e-9, err_msg=name
            )
    np.testing.assert_allclose(parts.covariance, whole.covariance, rtol=1e-8, atol=1e-9)
