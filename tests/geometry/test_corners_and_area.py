"""Corners from limiting tangents, areas of many outlines, boxes."""

from __future__ import annotations

import numpy as np
import pytest

from seamwright.geometry import Curve, segment_boxes, signed_areas


def test_corners_of_a_square_and_of_a_rounded_one() -> None:
    square = Curve.polyline([(0, 0), (10, 0), (10, 10), (0, 10)], closed=True)
    assert square.corner_segments().tolist() == [0, 1, 2, 3]
    assert Curve.polyline(square.joints).corner_segments().tolist() == [1, 2]
    assert Curve.circle((0, 0), 10.0).corner_segments(0.5).size == 0


@pytest.mark.parametrize("angle", [5.0, 19.9, 20.1, 90.0, 179.0])
def test_threshold(angle: float) -> None:
    turn = np.radians(angle)
    bend = Curve.polyline([(0, 0), (10, 0), (10 + 5 * np.cos(turn), 5 * np.sin(turn))])
    assert bend.corner_segments(20.0).tolist() == ([1] if angle > 20.0 else [])
    assert bend.corner_segments(angle - 0.01).tolist() == [1]
    assert bend.corner_segments(angle + 0.01).tolist() == []


def test_collapsed_handles_and_segments_without_extent_hide_no_corner() -> None:
    curve = Curve.from_segments(
        [
            [(0, 0), (0, 0), (100, 0), (100, 0)],
            [(100, 0), (100, 0), (100, 0), (100, 0)],
            [(100, 0), (100, 0), (100, 50), (100, 100)],
            [(100, 100), (100, 130), (100, 160), (100, 200)],
        ]
    )
    # The turn stands at the first segment with extent after it.
    assert curve.corner_segments().tolist() == [2]
    # A handle collapsed at a smooth joint makes no corner.
    smooth = Curve.from_segments(
        [[(0, 0), (30, 0), (60, 0), (60, 0)], [(60, 0), (60, 0), (90, 0), (120, 0)]]
    )
    assert smooth.corner_segments(1.0).size == 0


def test_a_seam_that_folds_back_is_a_corner() -> None:
    assert Curve.polyline([(0, 0), (10, 0), (2, 0)]).corner_segments(170.0).tolist() == [1]


def test_the_start_of_a_closed_outline_can_be_a_corner() -> None:
    drop = Curve.from_segments([[(0, 0), (60, 60), (-60, 60), (0, 0)]], closed=True)
    assert drop.corner_segments().tolist() == [0]


def test_area_of_a_cubic_segment() -> None:
    # Green's formula, checked in rationals: area -6480 under this segment and its chord from
    # and to the origin's axis.
    outline = Curve.from_segments(
        [
            [(0.0, 0.0), (30.0, 80.0), (120.0, 90.0), (150.0, 10.0)],
            [(150.0, 10.0), (100.0, 20 / 3), (50.0, 10 / 3), (0.0, 0.0)],
        ],
        closed=True,
    )
    assert outline.area == pytest.approx(-6480.0, abs=1e-9)


def test_many_outlines_at_once() -> None:
    outlines = [
        Curve.circle((5.7e6, 0), 40.0),
        Curve.polyline([(0, 0), (10, 0), (10, 10)], closed=True),
        Curve.ellipse((3, 4), 30, 20).reversed(),
    ]
    segments = np.concatenate([c.segments for c in outlines])
    offsets = np.cumsum([0] + [c.n for c in outlines])
    np.testing.assert_allclose(
        signed_areas(segments, offsets), [c.area for c in outlines], rtol=1e-12
    )
    assert signed_areas(segments, offsets)[1] == 50.0
    assert signed_areas(np.empty((0, 4, 2)), [0, 0]).tolist() == [0.0]


def test_area_equals_that_of_a_fine_polygon() -> None:
    blob = Curve.from_segments(
        [[(0, 0), (80, -30), (120, 60), (60, 90)], [(60, 90), (10, 110), (-50, 40), (0, 0)]],
        closed=True,
    )
    p = blob.flatten(1e-5)
    x, y = p.T
    polygon = 0.5 * (x * np.roll(y, -1) - y * np.roll(x, -1)).sum()
    assert blob.area == pytest.approx(polygon, abs=0.01)


def test_boxes_of_many_segments() -> None:
    rng = np.random.default_rng(7)
    segments = rng.normal(size=(200, 4, 2)) * 50.0
    boxes = segment_boxes(segments)
    t = np.linspace(0, 1, 4001)[:, None, None]
    s = 1 - t
    p = (
        s**3 * segments[:, 0]
        + 3 * s * s * t * segments[:, 1]
        + 3 * s * t * t * segments[:, 2]
        + t**3 * segments[:, 3]
    )
    low, high = p.min(axis=0), p.max(axis=0)
    assert (boxes[:, :2] <= low + 1e-12).all()
    assert (boxes[:, 2:] >= high - 1e-12).all()
    np.testing.assert_allclose(boxes[:, :2], low, atol=1e-4)
    np.testing.assert_allclose(boxes[:, 2:], high, atol=1e-4)
