"""Foot points: never farther than any sample, and perpendicular."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from seamwright.geometry import Curve, GeometryError, evaluate, first_derivatives

numbers = st.floats(-300.0, 300.0)
points = st.tuples(numbers, numbers)
FINE = np.linspace(0.0, 1.0, 801)


def sampled_distance(segments: np.ndarray, point: np.ndarray) -> float:
    places = evaluate(segments, np.tile(FINE, (len(segments), 1))).reshape(-1, 2)
    return float(np.hypot(*(places - point).T).min())


@given(st.lists(points, min_size=4, max_size=4), points)
@example([(0, 0), (0, 0), (0, 0), (0, 0)], (3, 4))
@example([(0, 0), (90, 90), (0, 90), (90, 0)], (45.0, 67.5))
@example([(0, 0), (300, 0), (-200, 0), (100, 0)], (150.0, 0.0))
@example([(0, 0), (0, 0), (100, 0), (100, 0)], (50.0, 1e-9))
def test_never_farther_than_any_sample(
    cubic: list[tuple[float, float]], point: tuple[float, float]
) -> None:
    curve = Curve.from_segments([cubic])
    found = curve.nearest([point])
    assert found.distances[0] <= sampled_distance(curve.segments, np.array(point)) + 1e-10
    there = curve.points_of(found.segments, found.ts)
    np.testing.assert_allclose(found.points, there, rtol=0, atol=0)
    assert np.hypot(*(there[0] - point)) == pytest.approx(found.distances[0], abs=1e-10)


def test_many_points_and_a_long_outline() -> None:
    rng = np.random.default_rng(6)
    stops = rng.normal(size=(25, 2)) * 120.0
    handles = stops[:, None] + rng.normal(size=(25, 2, 2)) * 60.0
    nxt = np.roll(stops, -1, axis=0)
    curve = Curve.from_segments(
        np.stack((stops, handles[:, 0], handles[:, 1], nxt), axis=1), closed=True
    )
    ask = np.concatenate((rng.normal(size=(300, 2)) * 200.0, stops))
    found = curve.nearest(ask)
    places = evaluate(curve.segments, np.tile(FINE, (25, 1))).reshape(-1, 2)
    sampled = np.hypot(*(ask[:, None] - places[None]).transpose(2, 0, 1)).min(axis=1)
    assert (found.distances <= sampled + 1e-10).all()
    assert found.distances[300:].max() <= 1e-12
    np.testing.assert_allclose(curve.point_at(found.lengths), found.points, rtol=0, atol=1e-8)
    # Perpendicular wherever the foot point lies inside a segment.
    inner = (found.ts > 1e-9) & (found.ts < 1 - 1e-9) & (found.distances > 1e-3)
    along = first_derivatives(curve.segments[found.segments], found.ts)
    slope = np.abs(((found.points - ask) * along).sum(axis=1))
    assert (slope / np.hypot(*along.T))[inner].max() <= 1e-8


def test_on_the_curve_the_distance_is_zero_and_the_place_right() -> None:
    curve = Curve.from_segments([[(0, 0), (40, 90), (110, 90), (150, 0)]])
    s = np.linspace(0, curve.length, 40)
    found = curve.nearest(curve.point_at(s))
    np.testing.assert_allclose(found.lengths, s, rtol=0, atol=1e-9)
    assert found.distances.max() <= 1e-12


def test_off_a_line_and_beyond_its_ends() -> None:
    line = Curve.line((0, 0), (100, 0))
    found = line.nearest([(30, 7), (-3, 4), (106, 8)])
    np.testing.assert_allclose(found.distances, [7, 5, 10], atol=1e-12)
    np.testing.assert_allclose(found.lengths, [30, 0, 100], atol=1e-12)


def test_beside_a_collapsed_handle() -> None:
    """Places that hang together at a standstill: the distance is flat in the parameter there."""
    cubic = np.array([(0.0, 0.0), (0.0, -31.0), (49.0, 47.0), (49.0, 47.0)])
    curve = Curve.from_segments([cubic])
    t = 1.0 - 10.0 ** -np.linspace(3.0, 8.0, 41)
    there = curve.points_of(np.zeros(41, dtype=int), t)
    assert curve.nearest(there).distances.max() <= 1e-12
    assert curve.reversed().nearest(there).distances.max() <= 1e-12
    off = there + np.array([-1e-9, 1e-9])
    assert curve.nearest(off).distances.max() <= 2e-9


def test_a_joint_is_the_start_of_what_follows() -> None:
    corners = np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)])
    outward = corners + (corners - 5.0)
    square = Curve.polyline(corners, closed=True).nearest(outward)
    assert square.segments.tolist() == [0, 1, 2, 3]
    assert square.ts.tolist() == [0.0] * 4
    zigzag = Curve.polyline(corners).nearest(outward)
    assert zigzag.segments.tolist() == [0, 1, 2, 2]
    assert zigzag.ts.tolist() == [0.0, 0.0, 0.0, 1.0]


def test_centre_of_a_circle() -> None:
    """All places are nearly as near: the true least one is within rounding of the radius."""
    found = Curve.circle((5, 5), 40.0).nearest([(5, 5)])
    assert found.distances[0] == pytest.approx(40.0, abs=1e-4)


def test_far_from_the_origin() -> None:
    egg = Curve.ellipse((0, 0), 60.0, 40.0)
    far = egg.translated(5.7e6, -5.7e6)
    ask = np.array([(10.0, 5.0), (70.0, 3.0), (-30.0, -60.0)])
    near = egg.nearest(ask)
    found = far.nearest(ask + np.array([5.7e6, -5.7e6]))
    np.testing.assert_allclose(found.distances, near.distances, rtol=0, atol=1e-8)
    np.testing.assert_allclose(found.lengths, near.lengths, rtol=0, atol=1e-6)


def test_no_points_and_bad_points() -> None:
    line = Curve.line((0, 0), (1, 0))
    assert line.nearest(np.empty((0, 2))).distances.shape == (0,)
    with pytest.raises(GeometryError, match="finite"):
        line.nearest([(np.nan, 0.0)])
