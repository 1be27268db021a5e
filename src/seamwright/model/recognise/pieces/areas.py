"""Inside and beside: quick answers about where curves lie to one another."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely

from seamwright.geometry import Curve, FloatArray, IntArray


@dataclass(slots=True, eq=False)
class Area:
    """The area inside a closed curve, for questions about points.

    The curve is flattened once, finely enough for questions of belonging; lengths are never
    measured on it.
    """

    curve: Curve
    _polygon: Any = field(default=None)

    @property
    def polygon(self) -> Any:
        """The flattened area, prepared."""
        if self._polygon is None:
            points = self.curve.flatten(max(0.02, 1e-4 * self.diagonal))
            polygon = shapely.Polygon(points) if len(points) > 2 else shapely.Polygon()
            shapely.prepare(polygon)
            self._polygon = polygon
        return self._polygon

    @property
    def box(self) -> FloatArray:
        """x0, y0, x1, y1."""
        return self.curve.bbox

    @property
    def diagonal(self) -> float:
        """Diagonal of the box, mm."""
        return diagonal(self.curve.bbox)

    def holds(self, points: FloatArray) -> Any:
        """Which of points (N, 2) lie inside, (N,) bool."""
        return shapely.contains_xy(self.polygon, points[:, 0], points[:, 1])

    def distances(self, points: FloatArray) -> FloatArray:
        """How far each of points (N, 2) lies from the outline itself, mm."""
        ring = shapely.get_exterior_ring(self.polygon)
        out: FloatArray = shapely.distance(shapely.points(points), ring)
        return out

    def share_inside(self, points: FloatArray, slack: float) -> float:
        """Share of points (N, 2) that lie inside or within `slack` mm of the outline."""
        inside = self.holds(points)
        if not inside.all():
            outside = np.flatnonzero(~inside)
            inside[outside] = self.distances(points[outside]) <= slack
        return float(inside.mean())


def diagonal(box: FloatArray) -> float:
    """Diagonal of a box x0, y0, x1, y1."""
    return float(np.hypot(box[2] - box[0], box[3] - box[1]))


def samples(curve: Curve, count: int = 24) -> FloatArray:
    """Points (N, 2) spread over a curve: some of its joints, and places inside segments."""
    n = curve.n
    chosen = np.unique(np.linspace(0, n - 1, min(n, count)).astype(int))
    ts = np.full(len(chosen), 0.5)
    ends = curve.segments[chosen, 0]
    middles = curve.points_of(chosen, ts)
    parts = [ends, middles]
    if not curve.closed:
        parts.append(curve.segments[-1:, 3])
    return np.concatenate(parts)


def within(inner: FloatArray, outer: FloatArray, slack: float) -> bool:
    """Whether one box lies in another, give or take `slack`."""
    return bool(
        inner[0] >= outer[0] - slack
        and inner[1] >= outer[1] - slack
        and inner[2] <= outer[2] + slack
        and inner[3] <= outer[3] + slack
    )


def apart(a: FloatArray, b: FloatArray) -> float:
    """How far two boxes lie apart, 0 where they meet."""
    dx = max(a[0] - b[2], b[0] - a[2], 0.0)
    dy = max(a[1] - b[3], b[1] - a[3], 0.0)
    return float(np.hypot(dx, dy))


def overlap(a: FloatArray, b: FloatArray) -> float:
    """Area that two boxes share, as a part of what they cover together."""
    wide = np.minimum(a[2:], b[2:]) - np.maximum(a[:2], b[:2])
    if (wide <= 0.0).any():
        return 0.0
    shared = float(wide.prod())
    whole = float((a[2:] - a[:2]).prod() + (b[2:] - b[:2]).prod()) - shared
    return shared / whole


def holding(boxes: FloatArray, slack: float) -> tuple[IntArray, IntArray]:
    """Which of boxes (N, 4) lie in which others, give or take `slack`: numbers of the inner and of
    the outer ones. A tree of boxes keeps this fast where thousands lie beside one another."""
    shapes = shapely.box(*boxes.T)
    inner, outer = shapely.STRtree(shapes).query(shapes, predicate=None)
    a, b = boxes[inner], boxes[outer]
    fits = np.all(a[:, :2] >= b[:, :2] - slack, axis=1) & np.all(
        a[:, 2:] <= b[:, 2:] + slack, axis=1
    )
    fits &= inner != outer
    return np.asarray(inner[fits]), np.asarray(outer[fits])
