"""Flattening to a chord tolerance."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.geometry import (
    LINE,
    Curve,
    GeometryError,
    evaluate,
    flatten_many,
    flatten_ragged,
)

numbers = st.floats(-300.0, 300.0)
cubics = st.lists(st.tuples(numbers, numbers), min_size=4, max_size=4)
tolerances = st.floats(0.01, 5.0)


def off_polyline(points: np.ndarray, polyline: np.ndarray) -> float:
    """Largest distance of points from a polyline, by plain projection on every edge."""
    a, d = polyline[:-1], np.diff(polyline, axis=0)
    size = (d * d).sum(axis=1)
    gap = points[:, None] - a[None]
    along = np.clip((gap * d).sum(axis=2) / np.where(size > 0, size, 1.0), 0.0, 1.0)
    return float(np.hypot(*(gap - along[..., None] * d).transpose(2, 0, 1)).min(axis=1).max())


@given(cubics, tolerances)
def test_no_place_of_the_curve_is_farther_than_the_tolerance(
    cubic: list[tuple[float, float]], tolerance: float
) -> None:
    flat = Curve.from_segments([cubic]).flatten(tolerance)
    places = evaluate([cubic], np.linspace(0, 1, 400)[None])[0]
    assert off_polyline(places, flat) <= tolerance * (1.0 + 1e-9)
    np.testing.assert_array_equal(flat[0], cubic[0])
    np.testing.assert_array_equal(flat[-1], cubic[3])


@given(cubics, tolerances)
def test_every_vertex_lies_on_the_curve(cubic: list[tuple[float, float]], tolerance: float) -> None:
    curve = Curve.from_segments([cubic])
    assert curve.nearest(curve.flatten(tolerance)).distances.max() <= 1e-9


def test_a_loop_from_a_point_back_to_it_is_not_lost() -> None:
    for loop in ([(0, 0), (60, 60), (-60, 60), (0, 0)], [(2, 0), (0, 0), (0, 0), (2, 0)]):
        flat = Curve.from_segments([loop]).flatten(0.1)
        places = evaluate([loop], np.linspace(0, 1, 400)[None])[0]
        assert off_polyline(places, flat) <= 0.1


def test_straight_stretches_get_no_inner_vertices() -> None:
    curve = Curve.from_segments(
        [
            [(0, 0), (0, 0), (0, 0), (100, 0)],  # a line
            [(100, 0), (101, 0), (102, 0), (300, 0)],  # a cubic as straight, unevenly run through
            [(300, 0), (300, 60), (200, 100), (100, 100)],
        ],
        [LINE, 1, 1],
    )
    flat = curve.flatten(0.05)
    np.testing.assert_array_equal(flat[:3], [(0, 0), (100, 0), (300, 0)])
    assert len(flat) > 10


def test_a_straight_stroke_that_turns_back_keeps_its_reach() -> None:
    # x = 9 t (1-t)^2 ... runs beyond 100 and returns: a single chord would lose that.
    flat = Curve.from_segments([[(0, 0), (300, 0), (0, 0), (100, 0)]]).flatten(0.05)
    box = Curve.from_segments([[(0, 0), (300, 0), (0, 0), (100, 0)]]).bbox
    assert flat[:, 0].max() >= box[2] - 0.05


def test_a_closed_curve_does_not_repeat_its_first_point() -> None:
    square = Curve.polyline([(0, 0), (10, 0), (10, 10), (0, 10)], closed=True)
    np.testing.assert_array_equal(square.flatten(0.1), square.joints)
    circle = Curve.circle((0, 0), 50.0).flatten(0.05)
    assert np.hypot(*(circle[0] - circle[-1])) > 1.0


def test_points_of_a_circle_are_about_as_few_as_can_be() -> None:
    # A chord over an angle a leaves a circle by R (1 - cos(a / 2)).
    flat = Curve.circle((0, 0), 100.0).flatten(0.05)
    fewest = 2 * np.pi / (2 * np.arccos(1 - 0.05 / 100.0))
    assert fewest <= len(flat) <= 1.2 * fewest + 12


def test_many_at_once_are_each_what_they_are_alone() -> None:
    rng = np.random.default_rng(5)
    segments = rng.normal(size=(300, 4, 2)) * 60.0
    many = flatten_many(segments, 0.1)
    for i in range(0, 300, 17):
        alone = flatten_many(segments[i : i + 1], 0.1)[0]
        np.testing.assert_allclose(many[i], alone, rtol=0, atol=1e-12)
    points, starts, ends = flatten_ragged(segments, 0.1)
    assert (ends - starts).sum() == len(points)
    np.testing.assert_array_equal(points[starts], segments[:, 0])
    np.testing.assert_array_equal(points[ends - 1], segments[:, 3])
    assert flatten_many(np.empty((0, 4, 2)), 0.1) == []


@pytest.mark.parametrize("tolerance", [0.0, -1.0, np.nan, np.inf, 1e-16])
def test_impossible_tolerances_are_refused(tolerance: float) -> None:
    with pytest.raises(GeometryError, match="tolerance"):
        Curve.circle((0, 0), 100.0).flatten(tolerance)
