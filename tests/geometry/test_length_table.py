"""The inverse of arc length."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.geometry import LengthTable, arc_lengths, partial_lengths

numbers = st.floats(-500.0, 500.0)
cubics = st.lists(st.tuples(numbers, numbers), min_size=4, max_size=4).map(np.array)


def awkward_curves() -> np.ndarray:
    """A cusp, near-cusps, collapsed handles, strokes that turn back, points, a loop."""
    s = 80.0
    return np.array(
        [
            [(0, 0), (s, s), (0, s), (s, 0)],
            [(0, 0), (s, s), (1e-5, s), (s, 0)],
            [(0, 0), (s, s), (1e-9, s), (s, 0)],
            [(0, 0), (0, 0), (s, s / 2), (s, 0)],
            [(0, 0), (0, 0), (s, 0), (s, 0)],
            [(0, 0), (s, 1), (s, 0), (s, 0)],
            [(0, 0), (3 * s, 0), (-2 * s, 0), (s, 0)],
            [(5, 5), (5, 5), (5, 5), (5, 5)],
            [(0, 0), (2 * s, s), (-s, s), (s, 0)],
            [(0, 0), (s, 0), (s, s), (0, 0)],
        ],
        dtype=float,
    )


@given(cubics, st.floats(0.0, 1.0))
def test_length_at_the_parameter_found_is_the_length_asked(cubic: np.ndarray, share: float) -> None:
    table = LengthTable([cubic])
    goal = share * table.totals
    t = table.at([0], goal)
    assert 0.0 <= t[0] <= 1.0
    assert partial_lengths([cubic], t)[0] == pytest.approx(goal[0], abs=1e-10)


def test_awkward_curves() -> None:
    curves = awkward_curves()
    table = LengthTable(curves)
    np.testing.assert_allclose(table.totals, arc_lengths(curves), rtol=0, atol=1e-10)
    index = np.repeat(np.arange(len(curves)), 101)
    goal = np.tile(np.linspace(0.0, 1.0, 101), len(curves)) * table.totals[index]
    t = table.at(index, goal)
    np.testing.assert_allclose(partial_lengths(curves[index], t), goal, rtol=0, atol=1e-9)
    np.testing.assert_allclose(table.lengths(index, t), goal, rtol=0, atol=1e-9)
    # Parameters never run backwards.
    assert (np.diff(t.reshape(len(curves), -1), axis=1) >= 0.0).all()


def test_many_curves_and_lengths_at_once() -> None:
    rng = np.random.default_rng(8)
    curves = rng.normal(size=(700, 4, 2)) * 150.0
    table = LengthTable(curves)
    index = rng.integers(0, 700, 9000)
    goal = rng.random(9000) * table.totals[index]
    t = table.at(index, goal)
    np.testing.assert_allclose(partial_lengths(curves[index], t), goal, rtol=0, atol=1e-10)


def test_ends_are_exact_and_lengths_beyond_give_ends() -> None:
    table = LengthTable([[(0, 0), (10, 30), (60, 30), (80, 0)]])
    whole = table.totals[0]
    assert table.at([0, 0, 0, 0], [0.0, whole, -5.0, whole + 5.0]).tolist() == [0, 1, 0, 1]


def test_order_of_questions_does_not_matter() -> None:
    rng = np.random.default_rng(3)
    curves = rng.normal(size=(20, 4, 2)) * 100.0
    table = LengthTable(curves)
    index = rng.integers(0, 20, 300)
    goal = rng.random(300) * table.totals[index]
    order = rng.permutation(300)
    np.testing.assert_allclose(
        table.at(index, goal)[order], table.at(index[order], goal[order]), rtol=0, atol=1e-14
    )
