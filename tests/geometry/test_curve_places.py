"""Places on a curve: lengths, stations, points, directions, and what a curve refuses."""

from __future__ import annotations

import copy
import pickle
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.geometry import (
    CUBIC,
    LINE,
    Curve,
    GeometryError,
    Station,
    measure_together,
)

numbers = st.floats(-300.0, 300.0)
points = st.tuples(numbers, numbers)


@st.composite
def chains(draw: st.DrawFn, closed: bool | None = None) -> Curve:
    """Chains of lines and cubics, some smooth, some with repeated points."""
    corners = draw(st.lists(points, min_size=2, max_size=5))
    shut = draw(st.booleans()) if closed is None else closed
    stops = [*corners, corners[0]] if shut else corners
    segments, kinds = [], []
    for a, b in pairwise(stops):
        kind = draw(st.sampled_from([LINE, CUBIC]))
        p, q = (draw(points), draw(points)) if kind == CUBIC else (a, b)
        segments.append([a, p, q, b])
        kinds.append(kind)
    return Curve.from_segments(segments, kinds, closed=shut)


def blouse_side() -> Curve:
    """A line, a curve that leaves it smoothly, and a corner."""
    return Curve.from_segments(
        [
            [(0, 0), (0, 20), (0, 40), (0, 60)],
            [(0, 60), (0, 100), (30, 120), (70, 120)],
            [(70, 120), (70, 100), (90, 60), (90, 50)],
        ],
        [LINE, CUBIC, CUBIC],
    )


@given(chains(), st.floats(0.0, 1.0))
def test_length_to_station_and_back(curve: Curve, share: float) -> None:
    s = share * curve.length
    station = curve.station_at(s)
    found = curve.length_of(station)
    apart = abs(found - s)
    if curve.closed:
        apart = min(apart, abs(curve.length - apart))
    assert apart <= 1e-9


@given(chains())
def test_whole_is_the_sum_of_its_segments(curve: Curve) -> None:
    assert curve.length == pytest.approx(curve.segment_lengths.sum(), abs=1e-9)
    assert curve.cumulative[0] == 0.0
    np.testing.assert_allclose(np.diff(curve.cumulative), curve.segment_lengths, atol=1e-9)


@given(chains(), st.floats(0.0, 360.0), numbers, numbers)
def test_motion_keeps_lengths(curve: Curve, angle: float, dx: float, dy: float) -> None:
    c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    moved = curve.transformed([[c, -s, dx], [s, c, dy], [0, 0, 1]])
    np.testing.assert_allclose(moved.segment_lengths, curve.segment_lengths, rtol=0, atol=1e-9)
    mirrored = curve.transformed([[-1, 0, 0], [0, 1, 0]])
    np.testing.assert_allclose(mirrored.segment_lengths, curve.segment_lengths, rtol=0, atol=1e-9)


@given(chains())
def test_points_lie_in_the_box_and_touch_it(curve: Curve) -> None:
    x0, y0, x1, y1 = curve.bbox
    seg = np.repeat(np.arange(curve.n), 65)
    p = curve.points_of(seg, np.tile(np.linspace(0, 1, 65), curve.n))
    slack = 1e-9
    assert p[:, 0].min() >= x0 - slack
    assert p[:, 0].max() <= x1 + slack
    assert p[:, 1].min() >= y0 - slack
    assert p[:, 1].max() <= y1 + slack
    # A box is never larger than a fine sample by more than the sample's own coarseness.
    reach = np.abs(np.diff(curve.segments, axis=1)).max() * 3.0 / 64.0
    assert p[:, 0].min() <= x0 + reach
    assert p[:, 1].max() >= y1 - reach


def test_box_of_a_curve_that_bulges() -> None:
    # y = 3 t (1 - t) 40: highest 30 at t = 1/2; x = 90 t.
    curve = Curve.from_segments([[(0, 0), (30, 40), (60, 40), (90, 0)]])
    np.testing.assert_allclose(curve.bbox, [0, 0, 90, 30], rtol=0, atol=1e-12)


def test_tangents_are_unit_and_normals_point_left() -> None:
    curve = blouse_side()
    s = np.linspace(0, curve.length, 50)
    tangent, normal = curve.tangent_at(s), curve.normal_at(s)
    np.testing.assert_allclose(np.hypot(*tangent.T), 1.0, atol=1e-14)
    np.testing.assert_allclose(tangent[:, 0] * normal[:, 1] - tangent[:, 1] * normal[:, 0], 1.0)
    # Against differences of points.
    inner = np.array([30.0, 80.0, 130.0, 190.0])
    step = (curve.point_at(inner + 1e-4) - curve.point_at(inner - 1e-4)) / 2e-4
    np.testing.assert_allclose(curve.tangent_at(inner), step, atol=1e-6)


def test_a_joint_belongs_to_the_segment_that_follows() -> None:
    curve = blouse_side()
    corner = float(curve.cumulative[2])
    assert curve.station_at(corner) == Station(2, 0.0)
    np.testing.assert_allclose(curve.tangent_at(corner), [0.0, -1.0], atol=1e-12)
    np.testing.assert_array_equal(curve.point_at(corner), [70, 120])
    assert curve.station_at(curve.length) == Station(2, 1.0)


def test_collapsed_handles_have_a_direction() -> None:
    curve = Curve.from_segments([[(0, 0), (0, 0), (30, 40), (30, 40)]])
    np.testing.assert_allclose(curve.tangent_at([0.0, 25.0, 50.0]), [[0.6, 0.8]] * 3, atol=1e-12)


def test_segments_without_extent_borrow_a_direction() -> None:
    curve = Curve.polyline([(0, 0), (0, 0), (10, 0), (10, 0), (10, 5), (10, 5)])
    tangent = curve.tangents_of([0, 2, 4], [0.5, 0.5, 0.5])
    np.testing.assert_allclose(tangent, [[1, 0], [0, 1], [0, 1]], atol=1e-15)


def test_curvature_of_a_circle_and_its_sign() -> None:
    circle = Curve.circle((10, 20), 50.0)
    k = circle.curvature_at(np.linspace(0, circle.length, 40))
    np.testing.assert_allclose(k, 0.02, rtol=2e-3)  # cubics: right to 1e-4 mm in place
    assert circle.reversed().curvature_at(3.0) == pytest.approx(-0.02, rel=2e-3)
    assert Curve.line((0, 0), (5, 5)).curvature_at(2.0) == 0.0
    # y = a x^2 has curvature 2 a at its lowest point.
    low = Curve.from_segments([[(-30, 9), (-10, -3), (10, -3), (30, 9)]])
    assert low.curvature_at(low.length / 2) == pytest.approx(0.02, rel=1e-12)


def test_lengths_round_a_closed_curve() -> None:
    square = Curve.polyline([(0, 0), (10, 0), (10, 10), (0, 10)], closed=True)
    np.testing.assert_allclose(square.point_at([45.0, -5.0, 40.0]), [[5, 0], [0, 5], [0, 0]])


def test_lengths_beyond_an_open_curve_are_refused() -> None:
    line = Curve.line((0, 0), (10, 0))
    np.testing.assert_allclose(line.point_at(10.0 + 5e-10), [10, 0])
    for s in (10.1, -0.1, np.nan):
        with pytest.raises(GeometryError):
            line.point_at(s)


def test_stations_off_the_curve_are_refused() -> None:
    line = Curve.line((0, 0), (10, 0))
    with pytest.raises(GeometryError, match="segment"):
        line.point_of(Station(1, 0.5))
    with pytest.raises(GeometryError, match="parameter"):
        line.point_of(Station(0, 1.5))


def test_what_cannot_be_a_curve_is_refused() -> None:
    with pytest.raises(GeometryError, match="shape"):
        Curve.from_segments(np.zeros((0, 4, 2)))
    with pytest.raises(GeometryError, match="gap of 1 mm after segment 0"):
        Curve.from_segments([[(0, 0)] * 4, [(1, 0)] * 4])
    with pytest.raises(GeometryError, match="point 1 of a polyline"):
        Curve.polyline([(0, 0), (np.inf, 0)])
    with pytest.raises(GeometryError, match="segment 1 has a coordinate"):
        Curve.from_segments([[(0.0, 0.0)] * 4, [(0.0, np.nan)] * 4])
    with pytest.raises(GeometryError, match="at least 2 points"):
        Curve.polyline([(0, 0)])
    with pytest.raises(GeometryError, match="where it should close"):
        Curve.from_segments([[(0, 0), (1, 0), (2, 0), (3, 0)]], closed=True)
    with pytest.raises(GeometryError, match="kind"):
        Curve.from_segments([[(0, 0), (1, 0), (2, 0), (3, 0)]], [7])


def test_ends_within_a_billionth_become_one_point() -> None:
    curve = Curve.from_segments(
        [
            [(0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (3.0, 0.0)],
            [(3.0, 5e-10), (4.0, 1.0), (5.0, 1.0), (6.0, 0.0)],
        ]
    )
    np.testing.assert_array_equal(curve.segments[0, 3], curve.segments[1, 0])


def test_a_line_has_its_handles_at_the_thirds() -> None:
    curve = Curve.from_segments([[(0, 0), (9, 9), (9, -9), (9, 0)]], [LINE])
    np.testing.assert_allclose(curve.segments[0], [(0, 0), (3, 0), (6, 0), (9, 0)])
    assert curve.length == 9.0


def test_arrays_are_read_only_and_pickling_keeps_them_so() -> None:
    curve = blouse_side()
    for other in (curve, pickle.loads(pickle.dumps(curve)), copy.deepcopy(curve)):
        np.testing.assert_array_equal(other.segments, curve.segments)
        assert other.kinds.tolist() == [LINE, CUBIC, CUBIC]
        with pytest.raises(ValueError, match="read-only"):
            other.segments[0, 0, 0] = 1.0
        with pytest.raises(ValueError, match="read-only"):
            other.segment_lengths[0] = 1.0


def test_measuring_together_is_measuring_alone() -> None:
    curves = [blouse_side(), Curve.circle((0, 0), 30.0), Curve.line((0, 0), (3, 4))]
    together = measure_together(curves)
    alone = [Curve.from_segments(c.segments, c.kinds, closed=c.closed).length for c in curves]
    np.testing.assert_allclose(together, alone, rtol=1e-15)
    assert measure_together([]).shape == (0,)
    assert measure_together(curves).tolist() == together.tolist()
