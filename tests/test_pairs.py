"""Pairs and blocks: every reading in its place, whatever the order of the rows."""

import numpy as np
import pytest
from fitcases import Plan, logs, rows, table
from hypothesis import given
from hypothesis import strategies as st

from thermlog.fitting import pairs as pairs_module
from thermlog.fitting.pairs import blocks_of, mean_of_series, pair_readings
from thermlog.words.tables import Readings


@st.composite
def tables(draw: st.DrawFn) -> Readings:
    """Ragged logs: any number of readings on any corner, times that may be equal."""
    cell = st.tuples(
        st.integers(0, 3), st.integers(1, 4), st.integers(0, 1), st.integers(0, 5), st.integers(0, 300)
    )
    case, axle, side, time, temp = np.array(draw(st.lists(cell, min_size=1, max_size=60))).T
    return table(case=case, axle=axle, side=side, elapsed_s=60.0 * time, indicated_degc=temp / 2)


@given(tables())
def test_every_row_stands_once_in_its_block_and_pairs_are_counted(readings):
    pairs = pair_readings(readings)
    seen = []
    for block in blocks_of(pairs):
        depth, sides, width, vehicles = block.shape
        assert (sides, width, vehicles) == (2, *block.pairs.shape)
        assert block.present().sum() == block.rows.size  # no two rows in one place
        slot, side, pair, vehicle = block.place
        column = block.pairs[pair, vehicle]
        assert (pairs.case[column] == readings.case[block.rows]).all()
        assert (block.cases[vehicle] == readings.case[block.rows]).all()
        assert (pairs.axle[column] == readings.axle[block.rows]).all()
        assert (side == readings.side[block.rows]).all()
        assert (slot < pairs.readings[side, column]).all()
        assert depth >= pairs.readings[:, block.pairs].max()
        seen += block.rows.tolist()
    assert sorted(seen) == list(range(readings.rows))
    assert pairs.readings.sum() == readings.rows


@given(tables(), st.randoms(use_true_random=False))
def test_blocks_do_not_depend_on_the_order_of_rows(readings, random):
    order = list(range(readings.rows))
    random.shuffle(order)
    other = rows(readings, np.array(order))
    for one, two in zip(blocks_of(pair_readings(readings)), blocks_of(pair_readings(other)), strict=True):
        np.testing.assert_array_equal(one.present(), two.present())
        for name in ("elapsed_s", "indicated_degc"):
            np.testing.assert_array_equal(
                one.spread(getattr(readings, name)), two.spread(getattr(other, name))
            )


@given(tables())
def test_slots_run_in_order_of_time(readings):
    for block in blocks_of(pair_readings(readings)):
        times = np.where(block.present(), block.spread(readings.elapsed_s), np.inf)
        with np.errstate(invalid="ignore"):  # inf - inf where neither stands
            assert not (np.diff(times, axis=0) < 0).any()


def test_pairs_are_in_order_of_case_axle_and_spot():
    readings = table(
        case=[1, 0, 0, 0], axle=[1, 2, 1, 1], side=[0, 1, 1, 0], elapsed_s=[0.0] * 4, indicated_degc=[9.0] * 4
    )
    readings.spot[2] = 6  # hub
    pairs = pair_readings(readings)
    assert pairs.case.tolist() == [0, 0, 0, 1]
    assert pairs.axle.tolist() == [1, 1, 2, 1]
    assert pairs.spot.tolist() == [0, 6, 0, 0]
    assert pairs.readings.tolist() == [[1, 0, 0, 1], [0, 1, 1, 0]]
    assert pairs.first.tolist() == [0, 3, 4]
    assert pairs.row_pair.tolist() == [3, 2, 1, 0]


def test_readings_of_one_moment_stand_in_order_of_value():
    times, temps = [60.0, 60.0, 60.0, 0.0], np.array([80.0, 70.0, 75.0, 90.0])
    for order in ([0, 1, 2, 3], [2, 1, 0, 3], [3, 1, 2, 0]):
        one = rows(table(case=0, axle=1, side=0, elapsed_s=times, indicated_degc=temps), order)
        (block,) = blocks_of(pair_readings(one))
        assert block.spread(one.indicated_degc)[:, 0, 0, 0].tolist() == [90.0, 70.0, 75.0, 80.0]


def test_a_case_without_readings_has_no_pairs_and_no_block():
    readings = table(case=[0, 2], axle=1, side=0, elapsed_s=[0.0, 0.0], indicated_degc=[9.0, 9.0])
    pairs = pair_readings(readings)
    assert np.diff(pairs.first).tolist() == [1, 0, 1]
    assert [block.cases.tolist() for block in blocks_of(pairs)] == [[0, 2]]


def test_no_reading_at_all():
    empty = rows(table(case=[0], axle=1, side=0, elapsed_s=[0.0], indicated_degc=[0.0]), slice(0))
    pairs = pair_readings(empty)
    assert pairs.count == 0
    assert list(blocks_of(pairs)) == []


@pytest.mark.parametrize("readings", [1, 2, 7, 9, 130, 400])
def test_long_series_fit_in_their_block(readings):
    """Depth of a block: at least the readings, at most a third or seven more (at most 127 beyond 128)."""
    one = table(
        case=0, axle=1, side=0, elapsed_s=np.arange(float(readings)), indicated_degc=np.ones(readings)
    )
    (block,) = blocks_of(pair_readings(one))
    assert readings <= block.shape[0] <= max(readings * 4 / 3, readings + 7) + 127 * (readings > 128)


def test_small_blocks_hold_the_same_cases_as_large_ones(monkeypatch):
    readings, _ = logs(np.random.default_rng(1), Plan(cases=50))
    pairs = pair_readings(readings)
    (whole,) = blocks_of(pairs)
    monkeypatch.setattr(pairs_module, "_MOST_CELLS", 100)
    parts = list(blocks_of(pairs))
    assert len(parts) > 10
    assert np.concatenate([part.cases for part in parts]).tolist() == whole.cases.tolist()
    assert np.concatenate([part.pairs for part in parts], axis=1).tolist() == whole.pairs.tolist()


def test_mean_of_a_column_by_side_and_pair():
    readings = table(
        case=0, axle=[1, 1, 1, 2], side=[0, 0, 1, 1], elapsed_s=[0.0] * 4, indicated_degc=[50.0] * 4
    )
    found = mean_of_series(pair_readings(readings), np.array([1.0, 4.0, 7.0, 9.0]))
    np.testing.assert_array_equal(found, [[2.5, np.nan], [7.0, 9.0]])
