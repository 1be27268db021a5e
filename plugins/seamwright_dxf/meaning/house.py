"""Whose is a place: the outlines of a drawing, to be asked for many places at once.

Imported on use: it needs shapely, and most files keep all in blocks.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from ..drawing.strokes import Strokes

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

REACH = 15.0
"""mm; a mark this near an outline belongs to it."""


class House:
    """The outlines, to be asked whose a place is.

    Where several outlines lie over each other (a nest in one place) the order of the file helps:
    what is drawn after one outline and before the next belongs to the first. That is trusted only
    if the file is written so; else the smallest outline around a place has it.
    """

    def __init__(
        self, rings: list[FloatArray], groups: list[int], rows: IntArray, items: IntArray
    ) -> None:
        usable = np.array([len(r) >= 3 for r in rings], dtype=bool)
        self.polygons = [shapely.Polygon(r) for r, u in zip(rings, usable, strict=True) if u]
        self.lines = [shapely.LinearRing(r) for r, u in zip(rings, usable, strict=True) if u]
        self.groups = np.array(groups, dtype=np.int64)[usable]
        self.rows = rows[usable]
        self.areas = np.array([p.area for p in self.polygons])
        self.tree = shapely.STRtree(self.polygons)
        self.line_tree = shapely.STRtree(self.lines)
        ordered = np.sort(self.rows)
        between = np.diff(
            np.searchsorted(np.sort(items), np.append(ordered, np.iinfo(np.int64).max))
        )
        self.in_order = bool(between.size) and bool((between > 0).mean() > 0.5)

    def of_inside(self, xy: FloatArray, rows: IntArray, reach: float = REACH) -> IntArray:
        """Group of the outline around each place, else of one within `reach` mm, else -1."""
        out = np.full(len(xy), -1, dtype=np.int64)
        if not len(xy) or not self.polygons:
            return out
        points = shapely.points(xy)
        which, polygon = self.tree.query(points, predicate="intersects")
        self._choose(out, which, polygon, rows)
        far = np.flatnonzero(out < 0)
        if far.size:
            out[far] = self._near(points[far], rows[far], reach)
        return out

    def of_nearest(self, xy: FloatArray, rows: IntArray) -> IntArray:
        """Group of the outline that each place lies on (or within reach of)."""
        if not len(xy) or not self.polygons:
            return np.full(len(xy), -1, dtype=np.int64)
        return self._near(shapely.points(xy), rows, REACH)

    def _near(self, points: NDArray[np.object_], rows: IntArray, reach: float) -> IntArray:
        out = np.full(len(points), -1, dtype=np.int64)
        which, line = self.line_tree.query_nearest(points, max_distance=reach)
        self._choose(out, which, line, rows)
        return out

    def _choose(self, out: IntArray, which: IntArray, ring: IntArray, rows: IntArray) -> None:
        """Of several outlines for a place the best; the last one written stays."""
        if self.in_order:
            before = self.rows[ring] <= rows[which]
            order = np.lexsort((-self.areas[ring], self.rows[ring] * before, before, which))
        else:
            order = np.lexsort((-self.areas[ring], which))
        out[which[order]] = self.groups[ring[order]]


def middles_of(strokes: Strokes, which: IntArray) -> FloatArray:
    """A place on each stroke: the middle of its middle segment."""
    middle = (strokes.offsets[which] + strokes.offsets[which + 1] - 1) // 2
    p = strokes.segments[middle]
    return np.asarray((p[:, 0] + 3.0 * p[:, 1] + 3.0 * p[:, 2] + p[:, 3]) / 8.0)
