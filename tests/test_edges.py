"""Where a rising quantity first reaches zero: the same as looking at every step, whatever it starts from."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from thermlog.inference.edges import EVERYWHERE, LogSteps, edges_of

STEPS = 64


def found(table: np.ndarray, start: np.ndarray, slope: float) -> tuple[np.ndarray, int]:
    """Edges of rows of values, one column a step, and how many values were asked for."""
    asked = 0

    def guide(at: np.ndarray, some: np.ndarray | slice) -> np.ndarray:
        nonlocal asked
        asked += at.size
        assert at.size > 0  # a look costs as much as a step, also at none
        rows = np.arange(len(table))[some]
        assert ((at >= 1) & (at <= table.shape[1] - 1)).all()
        return table[rows, at]

    edges = edges_of(guide, start, table.shape[1] - 1, slope)
    inside = (edges.step > 1) & (edges.step < table.shape[1])
    rows = np.flatnonzero(inside)
    np.testing.assert_array_equal(edges.below[rows], table[rows, edges.step[rows] - 1])
    np.testing.assert_array_equal(edges.above[rows], table[rows, edges.step[rows]])
    return edges.step, asked


def by_looking(table: np.ndarray) -> np.ndarray:
    shown = table[:, 1:] >= 0.0
    return np.where(shown.any(1), shown.argmax(1) + 1, table.shape[1])


@given(
    st.integers(0, 2**32 - 1),
    st.integers(2, STEPS),
    st.sampled_from([0.01, 0.1, 3.0]),
    st.sampled_from([1.0, 8.0, 0.1]),
)
def test_the_first_step_at_or_above_zero(seed: int, steps: int, slope: float, power: float) -> None:
    """Steep, flat and jumping values; some are never below zero, some always."""
    rng = np.random.default_rng(seed)
    rises = rng.random((20, steps + 1)) ** power + 1e-9
    table = rises.cumsum(1) - rng.uniform(-0.2, 1.2, (20, 1)) * rises.sum(1, keepdims=True)
    start = rng.integers(-3, steps + 4, 20)
    edges, _ = found(table, start, slope)
    np.testing.assert_array_equal(edges, by_looking(table))


def test_zero_itself_counts_as_reached() -> None:
    edges, _ = found(np.array([[-9.0, -2.0, 0.0, 1.0], [-9.0, -2.0, -1.0, 0.0]]), np.array([1, 1]), 1.0)
    assert edges.tolist() == [2, 3]


@given(st.floats(1.01, 62.99), st.floats(0.01, 10.0), st.integers(1, STEPS - 1))
def test_where_an_even_rise_crosses_zero(zero: float, rise: float, start: int) -> None:
    edges = edges_of(lambda at, _: rise * (at - zero), np.array([start]), STEPS, 1.0)
    np.testing.assert_allclose(edges.crossed(), zero, rtol=1e-9)


def test_the_step_itself_where_nothing_is_known_below_it_or_zero_is_never_reached() -> None:
    table = np.array([[np.nan, 1.0, 2.0, 3.0], [np.nan, -3.0, -2.0, -1.0], [np.nan, -3.0, 0.0, 1.0]])
    edges = edges_of(lambda at, some: table[np.arange(3)[some], at], np.array([1, 1, 1]), 3, 1.0)
    assert edges.crossed().tolist() == [1.0, 4.0, 2.0]


def test_while_all_are_asked_none_is_picked_out() -> None:
    """Who has much to say of each copies nothing then; who is settled is left out by number."""
    asked = []

    def guide(at: np.ndarray, some: np.ndarray | slice) -> np.ndarray:
        asked.append(some)
        return at - np.array([3.5, 60.5])[some]

    assert edges_of(guide, np.array([3, 3]), STEPS, 5.0).step.tolist() == [4, 61]
    everywhere = [isinstance(some, slice) and some == EVERYWHERE for some in asked]
    assert everywhere[:2] == [True, True]
    assert not any(everywhere[2:])


def test_a_good_start_is_settled_by_two_values() -> None:
    """One below, one above: less cannot tell."""
    table = np.arange(-20.0, 45.0)[None] + 0.5
    edges, asked = found(table, np.array([19]), 1.0)
    assert (edges.tolist(), asked) == ([20], 2)


def test_who_is_settled_is_asked_no_more() -> None:
    """A thousand smooth rises: halving sixty-four steps needs six values each, and that of the last step."""
    rng = np.random.default_rng(1)
    step = np.arange(STEPS + 1)
    table = np.log(np.maximum(step, 0.5))[None] - np.log(rng.uniform(4.0, 60.0, 1000))[:, None]
    edges, asked = found(table, np.full(1000, STEPS // 2), 0.03)
    np.testing.assert_array_equal(edges, by_looking(table))
    assert asked < 6 * 1000


@given(st.floats(0.01, 50.0), st.floats(1.1, 1e4), st.integers(1, 600))
def test_steps_of_a_logarithm_are_those_of_a_geometric_row(low: float, times: float, steps: int) -> None:
    """By numpy, from the first to the last; parts between two of them, none below the first."""
    row = LogSteps(low=low, high=low * times, steps=steps)
    every = np.arange(steps + 1)
    values = np.geomspace(low, low * times, steps + 1)
    np.testing.assert_allclose(row.at(every), values, rtol=1e-9)
    np.testing.assert_allclose(row.of(values), every, atol=1e-6 * steps)
    between = np.sqrt(values[:-1] * values[1:])
    np.testing.assert_allclose(row.of(between), every[:-1] + 0.5, atol=1e-6 * steps)
    assert row.of(np.array([0.5 * low, 0.0, -3.0])).tolist() == [0.0, 0.0, 0.0]
