"""Many closed polylines at once in the model's normal form.

The same rule as `model.build_shape`: anticlockwise, starting at the corner nearest to the upper
left of the box. A file of hundreds of outlines is turned by a handful of whole-array operations.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

_TIE = 1e-6  # as in model.numbering: this near, the upper of two corners wins


@dataclass(frozen=True, slots=True)
class Rings:
    """R rings in normal form.

    points     (N, 2) vertices, ring after ring; ring r is points[offsets[r]:offsets[r + 1]]
    offsets    (R + 1,)
    start      (R,) the vertex, as given, that comes first now
    direction  (R,) +1, or -1 where the ring was given clockwise
    """

    points: FloatArray
    offsets: IntArray
    start: IntArray
    direction: IntArray

    def moved(self, ring: IntArray, vertex: IntArray) -> IntArray:
        """New numbers (M,) of vertices (M,) of rings (M,) as given."""
        n = np.diff(self.offsets)[ring]
        out: IntArray = ((vertex - self.start[ring]) * self.direction[ring]) % n
        return out

    def moved_station(
        self, ring: IntArray, segment: IntArray, t: FloatArray
    ) -> tuple[IntArray, FloatArray]:
        """New segments and parameters of stations on the rings as given."""
        n = np.diff(self.offsets)[ring]
        back = self.direction[ring] < 0
        forward = (segment - self.start[ring]) % n
        # A segment run the other way starts where it ended; a joint keeps its own number.
        turned = np.where(
            t <= 0.0,
            (self.start[ring] - segment) % n,
            (self.start[ring] - segment - 1) % n,
        )
        return (
            np.where(back, turned, forward),
            np.where(back & (t > 0.0), 1.0 - t, t),
        )


def signed_areas(points: FloatArray, offsets: IntArray) -> FloatArray:
    """Signed areas (R,) of closed polylines, each reckoned from its own first vertex."""
    n = np.diff(offsets)
    base = np.repeat(points[offsets[:-1]], n, axis=0)
    p = points - base
    after = np.arange(1, len(points) + 1)
    after[offsets[1:] - 1] = offsets[:-1]
    q = p[after]
    return np.asarray(np.add.reduceat(p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0], offsets[:-1]) / 2.0)


def turned_rings(
    points: FloatArray, offsets: IntArray, corner_ring: IntArray, corner_vertex: IntArray
) -> Rings:
    """Rings as given, with their corners, in normal form.

    points (N, 2), offsets (R + 1,): at least one vertex a ring; corner_ring, corner_vertex (C,):
    which vertices are corners, in any order. A ring without corners keeps its first vertex.
    """
    n = np.diff(offsets)
    rings = n.size
    if not rings:
        return Rings(points, offsets, np.empty(0, np.int64), np.empty(0, np.int64))
    direction = np.where(signed_areas(points, offsets) < 0, -1, 1)
    start = np.zeros(rings, dtype=np.int64)
    if corner_ring.size:
        low = np.minimum.reduceat(points, offsets[:-1])
        high = np.maximum.reduceat(points, offsets[:-1])
        size = np.maximum(high - low, 1e-12)
        place = (points[offsets[corner_ring] + corner_vertex] - low[corner_ring]) / size[
            corner_ring
        ]
        measure = place[:, 0] + (1.0 - place[:, 1])
        least = np.full(rings, np.inf)
        np.minimum.at(least, corner_ring, measure)
        tied = np.flatnonzero(measure <= least[corner_ring] + _TIE)
        # Among those tied the upper one; among equals the first in outline order.
        along = (corner_vertex * direction[corner_ring]) % n[corner_ring]
        order = tied[np.lexsort((along[tied], -place[tied, 1], corner_ring[tied]))]
        first = np.ones(order.size, dtype=bool)
        first[1:] = np.diff(corner_ring[order]) != 0
        start[corner_ring[order[first]]] = corner_vertex[order[first]]
    own = np.repeat(np.arange(rings), n)
    step = np.arange(len(points)) - offsets[own]
    index = offsets[own] + (start[own] + direction[own] * step) % n[own]
    return Rings(points[index], offsets, start, direction)
