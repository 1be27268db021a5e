"""Neighbour search, the nearest place on a ring, twins, corners of polylines, rings in normal
form."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.geometry import Curve, Station, line_segments
from seamwright.model import build_shape
from seamwright.model.assemble import (
    nearest_on_rings,
    pairs_within,
    polyline_corners,
    turned_rings,
    twins,
)


@settings(max_examples=80, deadline=None)
@given(
    seed=st.integers(0, 10_000), n=st.integers(0, 60), m=st.integers(0, 60),
    tolerance=st.sampled_from([0.0, 1e-6, 0.02, 1.0, 40.0]),
    spread=st.sampled_from([1.0, 1e3, 1e7]),
    groups=st.integers(1, 3),
)  # fmt: skip
def test_pairs_are_those_of_the_plain_double_loop(
    seed: int, n: int, m: int, tolerance: float, spread: float, groups: int
) -> None:
    rng = np.random.default_rng(seed)
    b = rng.uniform(-spread, spread, (m, 2))
    # Half of the points sit right at a tolerance's reach of others, across cell borders.
    near = b[rng.integers(0, m, n)] if m else rng.uniform(-spread, spread, (n, 2))
    a = near + rng.uniform(-1.2, 1.2, (n, 2)) * tolerance * (rng.random((n, 1)) < 0.7)
    ga, gb = rng.integers(0, groups, n), rng.integers(0, groups, m)
    i, j, d = pairs_within(a, b, tolerance, groups_a=ga, groups_b=gb)
    wanted = {
        (x, y)
        for x in range(n)
        for y in range(m)
        if ga[x] == gb[y] and np.hypot(*(a[x] - b[y])) <= tolerance
    }
    assert set(zip(i.tolist(), j.tolist(), strict=True)) == wanted
    assert len(i) == len(wanted)
    assert np.array_equal(d, np.hypot(*(a[i] - b[j]).T))


@settings(max_examples=50, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_the_nearest_place_on_a_ring_is_the_curves_own(seed: int) -> None:
    rng = np.random.default_rng(seed)
    rings = [rng.uniform(-100, 100, (int(n), 2)) for n in rng.integers(3, 9, 4)]
    offsets = np.cumsum([0, *(len(r) for r in rings)])
    points = rng.uniform(-150, 150, (20, 2))
    own = rng.integers(0, 4, 20)
    found = nearest_on_rings(points, own, np.concatenate(rings), offsets)
    for k in range(20):
        curve = Curve.polyline(rings[own[k]], closed=True)
        assert found.distance[k] == pytest.approx(
            curve.nearest(points[k : k + 1]).distances[0], abs=1e-9
        )
        place = curve.point_of(Station(int(found.segment[k]), float(found.t[k])))
        assert np.hypot(*(place - points[k])) == pytest.approx(found.distance[k], abs=1e-9)


def test_a_place_at_a_vertex_is_the_start_of_what_follows() -> None:
    ring = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]])
    found = nearest_on_rings(ring, np.zeros(4, np.int64), ring, np.array([0, 4]))
    assert found.segment.tolist() == [0, 1, 2, 3] and not found.t.any()


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 10_000), count=st.integers(1, 5))
def test_rings_come_out_as_build_shape_makes_them(seed: int, count: int) -> None:
    rng = np.random.default_rng(seed)
    rings, corners = [], []
    for _ in range(count):
        n = int(rng.integers(3, 12))
        t = np.sort(rng.uniform(0, 2 * np.pi, n)) * rng.choice([-1, 1])
        rings.append(np.stack((np.cos(t), np.sin(t)), 1) * rng.uniform(50, 400, (n, 1)))
        corners.append(np.sort(rng.choice(n, int(rng.integers(0, n + 1)), replace=False)))
    offsets = np.cumsum([0, *(len(r) for r in rings)])
    ring_of = np.repeat(np.arange(count), [len(c) for c in corners])
    turned = turned_rings(np.concatenate(rings), offsets, ring_of, np.concatenate(corners))
    for k in range(count):
        curve = Curve.polyline(rings[k], closed=True)
        stations = [Station(int(c), 0.0) for c in corners[k]]
        marks = [Station(i, 0.3) for i in range(curve.n)] + [
            Station(i, 0.0) for i in range(curve.n)
        ]
        shape = build_shape(size="M", outline=curve, corners=stations, curve_points=marks)
        got = turned.points[offsets[k] : offsets[k + 1]]
        assert np.array_equal(got, shape.seam_line.segments[:, 0])
        own = np.full(len(corners[k]), k)
        assert sorted(turned.moved(own, corners[k]).tolist()) == [
            c.station.segment for c in shape.corners
        ]
        segment, t = turned.moved_station(
            np.full(len(marks), k),
            np.array([s.segment for s in marks]),
            np.array([s.t for s in marks]),
        )
        for place, i, u in zip(shape.curve_points, segment.tolist(), t.tolist(), strict=True):
            assert (i, u) == pytest.approx((place.segment, place.t))


def strokes(*lines: list[tuple[float, float]]) -> tuple[np.ndarray, np.ndarray]:
    segments, offsets = [], [0]
    for line in lines:
        p = np.array(line, dtype=float)
        segments.append(line_segments(p[:-1], p[1:]))
        offsets.append(offsets[-1] + len(p) - 1)
    return np.concatenate(segments), np.array(offsets)


def test_twins_are_found_and_classified() -> None:
    path = [(0.0, 0.0), (100.0, 0.0), (140.0, 80.0)]
    segments, offsets = strokes(
        path, path, path[::-1], [(x, y + 0.01) for x, y in path], [(0.0, 50.0), (300.0, 50.0)],
        [(100.0, 50.0), (200.0, 50.0)], [(0.0, 60.0), (300.0, 60.0)],
    )  # fmt: skip
    found = twins(segments, offsets, np.zeros(7, bool), tolerance=0.05)
    assert [(t.first, t.second, t.how) for t in found] == [
        (0, 1, "equal"), (0, 2, "reversed"), (0, 3, "near"), (4, 5, "contained"),
    ]  # fmt: skip


def test_closed_twins_may_start_anywhere() -> None:
    ring = np.array([[0.0, 0.0], [80.0, 0.0], [90.0, 40.0], [10.0, 60.0]])
    turned, back = np.roll(ring, -2, axis=0), ring[::-1]
    segments = np.concatenate(
        [line_segments(r, np.roll(r, -1, axis=0)) for r in (ring, turned, back)]
    )
    found = twins(segments, np.array([0, 4, 8, 12]), np.ones(3, bool), tolerance=0.05)
    assert [(t.second, t.how) for t in found] == [(1, "equal"), (2, "reversed")]


def test_pieces_that_share_an_edge_are_no_twins() -> None:
    left = np.array([[0.0, 0.0], [50.0, 0.0], [50.0, 50.0], [0.0, 50.0]])
    right = left + np.array([50.0, 0.0])
    segments = np.concatenate([line_segments(r, np.roll(r, -1, axis=0)) for r in (left, right)])
    assert not twins(segments, np.array([0, 4, 8]), np.ones(2, bool), tolerance=0.05)


def test_corners_of_a_flattened_outline() -> None:
    """A rounded rectangle: the arcs' vertices turn by 22.5 degrees each and are no corners."""
    t = np.linspace(0, np.pi / 2, 5)
    quarter = np.stack((np.cos(t), np.sin(t)), 1) * 20.0
    arc = quarter + np.array([280.0, 180.0])
    outline = np.vstack(([[0.0, 0.0], [300.0, 0.0]], arc, [[0.0, 200.0]]))
    assert polyline_corners(outline).tolist() == [0, 1, 7]
    assert polyline_corners(np.array([[0.0, 0.0], [1.0, 1.0]])).size == 0


def test_repeated_points_are_one_corner() -> None:
    square = np.array([[0, 0], [100, 0], [100, 0], [100, 100], [0, 100], [0, 0]], dtype=float)
    assert len(polyline_corners(square)) == 4
