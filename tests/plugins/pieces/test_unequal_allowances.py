"""Corners at which one allowance is much the wider, or one edge has none."""

from __future__ import annotations

import numpy as np
import pytest

from seamwright.geometry import Curve, Station
from seamwright.model import Shape, build_shape
from seamwright.model.edit import make_cut_line


def quadrilateral(*points: tuple[float, float]) -> Shape:
    return build_shape(
        size="M",
        outline=Curve.polyline(np.array(points), closed=True),
        corners=[Station(i, 0.0) for i in range(len(points))],
        corner_names=[f"c{i}" for i in range(len(points))],
    )


def widths(shape: Shape, **of: float) -> list[float]:
    return [of[c.name] for c in shape.corners]


@pytest.mark.parametrize("dip", [10.0, 40.0, 90.0])
def test_a_v_neck_ends_on_the_fold(dip: float) -> None:
    """The neckline runs down to the fold: its allowance ends at the fold's line, not beyond."""
    shape = quadrilateral((0.0, 0.0), (150.0, 0.0), (150.0, 300.0), (0.0, 300.0 - dip))
    made = make_cut_line(shape, widths(shape, c0=10.0, c1=10.0, c2=8.0, c3=0.0)).shape.cut_line
    assert made is not None
    assert made.bbox[0] == pytest.approx(0.0, abs=1e-9)
    top = 300.0 - dip + 8.0 / np.cos(np.arctan2(dip, 150.0))
    at = made.nearest(np.array([[0.0, top]]))
    assert at.distances[0] < 1e-9
    assert not len(made.self_intersections().own)


@pytest.mark.parametrize("turned_over", [False, True])
def test_a_wide_allowance_is_cut_back_at_a_flat_corner(turned_over: bool) -> None:
    points = [(0.0, 0.0), (150.0, 0.0), (140.0, 220.0), (60.0, 500.0)]
    shape = quadrilateral(*points)
    each = {"c0": 5.0, "c1": 25.0, "c2": 6.0, "c3": 5.0}
    if turned_over:
        shape = quadrilateral(*[(-x, y) for x, y in points])
        # Built from a clockwise drawing: an edge begins where it ended.
        each = {"c1": 5.0, "c2": 25.0, "c3": 6.0, "c0": 5.0}
    made = make_cut_line(shape, widths(shape, **each)).shape.cut_line
    assert made is not None
    assert not len(made.self_intersections().own)
    sign = -1.0 if turned_over else 1.0
    p = np.array(points[1:]) * [sign, 1.0]
    lines = []
    for a, b, w in ((p[0], p[1], 25.0), (p[1], p[2], 6.0)):
        u = (b - a) / np.hypot(*(b - a))
        lines.append((a + w * sign * np.array([u[1], -u[0]]), u))
    (a, u), (b, v) = lines
    meet = a + np.linalg.solve(np.column_stack((u, -v)), b - a)[0] * u
    assert float((meet - p[1]) @ u) < 0.0  # short of the corner
    assert made.nearest(meet[None]).distances[0] < 1e-9
