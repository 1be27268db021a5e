"""Turn points, curve points and grade numbers onto the joints of the lines that they belong to."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seamwright.model.assemble import pairs_within

from ..drawing.strokes import Strokes

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Joints:
    """The joints of all strokes: xy (J, 2), stroke (J,), group (J,); joint k of stroke s is
    number offsets[s] + k."""

    xy: FloatArray
    stroke: IntArray
    group: IntArray
    offsets: IntArray

    def number(self, joint: IntArray) -> IntArray:
        """The number of a joint on its own stroke."""
        out: IntArray = joint - self.offsets[self.stroke[joint]]
        return out


def joints_of(strokes: Strokes) -> Joints:
    """All joints: as many as segments on closed strokes, one more on open ones."""
    counts = strokes.counts + ~strokes.closed
    offsets = np.zeros(strokes.n + 1, dtype=np.int64)
    np.cumsum(counts, out=offsets[1:])
    stroke = np.repeat(np.arange(strokes.n), counts)
    local = np.arange(int(offsets[-1])) - offsets[stroke]
    xy = np.empty((len(stroke), 2))
    last = local == strokes.counts[stroke]
    inner = np.flatnonzero(~last)
    xy[inner] = strokes.segments[strokes.offsets[stroke[inner]] + local[inner], 0]
    xy[last] = strokes.ends[stroke[last]]
    return Joints(xy, stroke, strokes.group[stroke], offsets)


@dataclass(frozen=True, slots=True)
class Matches:
    """Pairs of a point and a joint, and the points without any.

    point, joint, distance (M,); loose (L,) points that match nothing
    """

    point: IntArray
    joint: IntArray
    distance: FloatArray
    loose: IntArray


def match(xy: FloatArray, group: IntArray, joints: Joints, tolerance: float) -> Matches:
    """Every point to the joints within `tolerance` mm; of the joints of one stroke the nearest
    (all of those that coincide there)."""
    p, j, d = pairs_within(xy, joints.xy, tolerance, groups_a=group, groups_b=joints.group)
    if p.size:
        stroke = joints.stroke[j]
        order = np.lexsort((d, stroke, p))
        p, j, d, stroke = p[order], j[order], d[order], stroke[order]
        fresh = np.ones(p.size, dtype=bool)
        fresh[1:] = (np.diff(p) != 0) | (np.diff(stroke) != 0)
        nearest = d[np.maximum.accumulate(np.where(fresh, np.arange(p.size), 0))]
        keep = d <= nearest + 1e-9
        p, j, d = p[keep], j[keep], d[keep]
    matched = np.zeros(len(xy), dtype=bool)
    matched[p] = True
    return Matches(p, j, d, np.flatnonzero(~matched))


def flags(count: int, joint: IntArray) -> BoolArray:
    """(count,) True at the given joints."""
    out = np.zeros(count, dtype=bool)
    out[joint] = True
    return out
