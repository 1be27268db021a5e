"""Where curves meet."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from seamwright.geometry import Curve

numbers = st.floats(-100.0, 100.0)
points = st.tuples(numbers, numbers)
cubics = st.lists(points, min_size=4, max_size=4)


def wander(rng: np.random.Generator, count: int) -> Curve:
    stops = np.cumsum(rng.normal(size=(3 * count + 1, 2)) * 30.0, axis=0)
    return Curve.from_segments([stops[3 * i : 3 * i + 4] for i in range(count)])


@given(cubics, cubics)
def test_every_meeting_lies_on_both(
    one: list[tuple[float, float]], two: list[tuple[float, float]]
) -> None:
    a, b = Curve.from_segments([one]), Curve.from_segments([two])
    found = a.intersections(b)
    if found.own.size:
        assert a.nearest(found.points).distances.max() <= 1e-8
        assert b.nearest(found.points).distances.max() <= 1e-8
        assert (np.diff(found.own) >= 0.0).all()
    # Whichever is asked: what one finds the other finds too. Curves that leave each other slowly
    # are within touching distance over a stretch, of which each names one place.
    other = b.intersections(a)
    assert (other.own.size == 0) == (found.own.size == 0)
    for point in found.points:
        assert np.hypot(*(other.points - point).T).min() <= 0.1


@given(cubics, st.floats(0.05, 0.95), points)
def test_a_line_through_a_point_of_the_curve_finds_it(
    cubic: list[tuple[float, float]], share: float, towards: tuple[float, float]
) -> None:
    curve = Curve.from_segments([cubic])
    assume(curve.length > 1.0)
    through = curve.point_at(share * curve.length)
    reach = np.array(towards) - through
    assume(np.hypot(*reach) > 1.0)
    off = np.array(cubic) - through  # a curve that runs along the line meets it all over
    assume(np.abs(off[:, 0] * reach[1] - off[:, 1] * reach[0]).max() > np.hypot(*reach))
    line = Curve.line(through - reach, through + reach)
    found = curve.intersections(line)
    assert found.own.size >= 1
    assert np.hypot(*(found.points - through).T).min() <= 1e-7


def test_as_many_as_two_fine_polylines_have() -> None:
    rng = np.random.default_rng(12)
    for _ in range(25):
        a, b = wander(rng, 4), wander(rng, 4)
        found = a.intersections(b)
        crossing = shapely.LineString(a.flatten(1e-4)).intersection(
            shapely.LineString(b.flatten(1e-4))
        )
        count = 0 if crossing.is_empty else len(getattr(crossing, "geoms", [crossing]))
        assert found.own.size == count
        if count:
            np.testing.assert_allclose(a.point_at(found.own), found.points, atol=1e-9)
            np.testing.assert_allclose(b.point_at(found.others), found.points, atol=1e-9)


def test_self_crossings_as_many_as_a_fine_polyline_has() -> None:
    rng = np.random.default_rng(13)
    for _ in range(25):
        curve = wander(rng, 4)
        found = curve.self_intersections()
        noded = shapely.node(shapely.LineString(curve.flatten(1e-4)))
        assert len(getattr(noded, "geoms", [noded])) == 2 * found.own.size + 1
        np.testing.assert_allclose(
            curve.point_at(found.own), curve.point_at(found.others), atol=1e-8
        )


def test_two_circles() -> None:
    a, b = Curve.circle((0, 0), 50.0), Curve.circle((80, 0), 50.0)
    found = a.intersections(b)
    # 3-4-5: they cross at (40, +-30), to the 1e-4 mm of an arc made of cubics.
    np.testing.assert_allclose(found.points, [(40, 30), (40, -30)], atol=2e-4)
    np.testing.assert_allclose(found.points[:, 0], 40.0, atol=1e-9)  # by symmetry
    assert a.intersections(Curve.circle((0, 0), 20.0)).own.size == 0
    assert a.intersections(Curve.circle((200, 0), 50.0)).own.size == 0


def test_circles_that_touch_and_nearly_touch() -> None:
    a = Curve.circle((0, 0), 50.0)
    touch = a.intersections(Curve.circle((100, 0), 50.0))
    np.testing.assert_allclose(touch.points, [(50, 0)], atol=1e-9)
    overlap = 1e-7
    near = a.intersections(Curve.circle((100 - overlap, 0), 50.0))
    # Two arcs of curvature 1/R, depth d into each other, cross R d / 2 = y^2 off the axis.
    y = np.sqrt(50.0 * overlap)
    np.testing.assert_allclose(np.sort(near.points[:, 1]), [-y, y], rtol=1e-3)
    assert a.intersections(Curve.circle((100 + overlap, 0), 50.0)).own.size == 0


def test_a_tangent_line_touches_once() -> None:
    a = Curve.circle((0, 0), 50.0)
    found = a.intersections(Curve.line((-80, 50), (80, 50)))
    np.testing.assert_allclose(found.points, [(0, 50)], atol=1e-7)
    assert found.own.size == 1


def test_end_on_the_side_of_another() -> None:
    found = Curve.line((0, 0), (10, 0)).intersections(Curve.line((3, 0), (3, 5)))
    np.testing.assert_allclose(found.own, [3.0])
    np.testing.assert_allclose(found.others, [0.0])


def test_through_a_joint_counts_once() -> None:
    zigzag = Curve.polyline([(0, 0), (10, 0), (20, 0)])
    found = zigzag.intersections(Curve.polyline([(10, -5), (10, 0), (10, 5)]))
    np.testing.assert_allclose(found.points, [(10, 0)])
    ring = Curve.circle((0, 0), 10.0)
    assert ring.intersections(Curve.line((5, 0), (15, 0))).own.tolist() == [0.0]


def test_stretches_that_coincide_are_told_by_their_ends() -> None:
    found = Curve.line((0, 0), (10, 0)).intersections(Curve.line((3, 0), (20, 0)))
    np.testing.assert_allclose(found.own, [3.0, 10.0])
    np.testing.assert_allclose(found.others, [0.0, 7.0])
    curve = Curve.from_segments([[(0, 0), (30, 60), (90, 60), (120, 0)]])
    found = curve.intersections(curve.reversed())
    np.testing.assert_allclose(found.own, [0.0, curve.length], atol=1e-9)
    part = curve.part(20.0, 90.0)
    found = curve.intersections(part)
    np.testing.assert_allclose(found.own, [20.0, 90.0], atol=1e-6)


def test_parallel_lines_a_hair_apart_do_not_meet() -> None:
    a = Curve.line((0, 0), (100, 0))
    assert a.intersections(Curve.line((0, 1e-6), (100, 1e-6))).own.size == 0


def test_loop_of_a_single_cubic() -> None:
    # Symmetric about x = 50, so it crosses itself there.
    loop = Curve.from_segments([[(0, 0), (150, 100), (-50, 100), (100, 0)]])
    found = loop.self_intersections()
    assert found.own.size == 1
    assert found.points[0, 0] == pytest.approx(50.0, abs=1e-12)
    assert found.own[0] + found.others[0] == pytest.approx(loop.length, abs=1e-9)


def test_plain_outlines_do_not_cross_themselves() -> None:
    assert Curve.circle((0, 0), 80.0).self_intersections().own.size == 0
    square = Curve.polyline([(0, 0), (10, 0), (10, 10), (0, 10)], closed=True)
    assert square.self_intersections().own.size == 0
    dart = Curve.polyline([(0, 0), (50, 0), (52, 80), (54, 0), (100, 0)])
    assert dart.self_intersections().own.size == 0


def test_a_bow_tie_crosses_in_its_middle() -> None:
    tie = Curve.polyline([(0, 0), (10, 10), (10, 0), (0, 10)], closed=True)
    found = tie.self_intersections()
    np.testing.assert_allclose(found.points, [(5, 5)])


def test_far_from_the_origin() -> None:
    a, b = Curve.circle((0, 0), 50.0), Curve.line((-60, -20), (60, 30))
    near = a.intersections(b)
    far = a.translated(5.7e6, 5.7e6).intersections(b.translated(5.7e6, 5.7e6))
    np.testing.assert_allclose(far.own, near.own, atol=1e-6)


def test_dense_polylines() -> None:
    s = np.linspace(0, 4 * np.pi, 1200)
    wave = Curve.polyline(np.stack((s * 20, 30 * np.sin(s)), axis=1))
    found = wave.intersections(Curve.line((-1, 1e-3), (260, 1e-3)))
    assert found.own.size == 4
    np.testing.assert_allclose(found.points[:, 1], 1e-3, atol=1e-9)
