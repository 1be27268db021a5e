"""Measuring many shapes at once: every joint and every mark of every size by one kernel call.

The control points of all seam lines are laid end to end; behind them the parts of segments that
lead from a joint to a mark inside a segment. One call of `arc_lengths` measures the lot. What was
measured is remembered for as long as the shape lives: shapes never change.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import chain
from typing import NamedTuple
from weakref import WeakKeyDictionary

import numpy as np

from seamwright.geometry import (
    LINE,
    Curve,
    FloatArray,
    IntArray,
    Station,
    arc_lengths,
    subdivide,
)
from seamwright.geometry.curve import remember_lengths

from .marks import LineRole
from .projection import project
from .shape import Shape
from .turning import JOINT


class Measures(NamedTuple):
    """Lengths along one shape's seam line, mm from corner 1.

    joints   (K + 1,) length up to each joint; the last is the whole outline
    marks    (C + N,) of the corners and then the notches, in their order; a notch on the cut line
             counts at the nearest place of the seam line
    corners, notches   the two halves of `marks`
    darts    (D, 2) of the left and right ends of each dart's mouth
    off      (N,) how far a notch lies from the seam line: 0 but for those on the cut line
    """

    joints: FloatArray
    marks: FloatArray
    corners: FloatArray
    notches: FloatArray
    darts: FloatArray
    off: FloatArray

    @property
    def length(self) -> float:
        """Length of the whole seam line."""
        return float(self.joints[-1])


_known: WeakKeyDictionary[Shape, Measures] = WeakKeyDictionary()


def measure(shapes: Iterable[Shape]) -> list[Measures]:
    """The measures of each shape, in order; whatever is not yet known, by one kernel call."""
    wanted = list(shapes)
    found = [_known.get(shape) for shape in wanted]
    new = list(dict.fromkeys(s for s, m in zip(wanted, found, strict=True) if m is None))
    if not new:
        return [m for m in found if m is not None]
    made = dict(zip(new, _measured(new), strict=True))
    _known.update(made)
    return [made[s] if m is None else m for s, m in zip(wanted, found, strict=True)]


def _measured(shapes: Sequence[Shape]) -> list[Measures]:
    curves = [shape.seam_line for shape in shapes]
    counts = np.array([curve.n for curve in curves])
    first = np.cumsum(counts) - counts
    stations, off = _stations(shapes)
    per_shape = np.array([len(of_one) for of_one in stations])
    # Marks of all shapes in one row: the segment each lies on, counted through all shapes.
    flat = np.fromiter(
        chain.from_iterable(chain.from_iterable(stations)), dtype=np.float64
    ).reshape(-1, 2)
    segment = flat[:, 0].astype(np.int64) + np.repeat(first, per_shape)
    lengths, along = _lengths(curves, segment, flat[:, 1])
    joints = _running(lengths, counts, first)
    remember_lengths(curves, lengths)
    # The length up to the start of each segment, in one row again.
    base = np.concatenate([row[:-1] for row in joints])
    at_mark = base[segment] + along
    # A mark a hair before the start of the outline is at the start.
    whole = np.repeat([row[-1] for row in joints], per_shape)
    at_mark[whole - at_mark < JOINT] = 0.0
    at_mark.flags.writeable = False
    out = []
    ends = np.cumsum(per_shape).tolist()
    for shape, row, far, end, many in zip(
        shapes, joints, off, ends, per_shape.tolist(), strict=True
    ):
        at = at_mark[end - many : end]
        c, n = len(shape.corners), len(shape.notches)
        mouths = at[c + n :].reshape(-1, 2)
        out.append(Measures(row, at[: c + n], at[:c], at[c : c + n], mouths, far))
    return out


def _stations(shapes: Sequence[Shape]) -> tuple[list[list[Station]], list[FloatArray]]:
    """Of each shape the stations of corners, notches and darts' mouths; and each notch's
    distance from the seam line."""
    stations: list[list[Station]] = []
    off: list[FloatArray] = []
    strays: list[tuple[int, int]] = []  # (shape, notch) of notches on a cut line
    nothing = np.zeros(max((len(shape.notches) for shape in shapes), default=0))
    nothing.flags.writeable = False
    for i, shape in enumerate(shapes):
        row = [corner.station for corner in shape.corners]
        row += [notch.station for notch in shape.notches]
        if shape.darts:
            row += [end for dart in shape.darts for end in (dart.left, dart.right)]
        stations.append(row)
        off.append(nothing[: len(shape.notches)])
        if shape.cut_line is not None:
            strays += [(i, j) for j, n in enumerate(shape.notches) if n.line is LineRole.CUT]
    for i in {i for i, _ in strays}:
        off[i] = off[i].copy()
    for (i, j), foot in zip(strays, project(shapes, strays), strict=True):
        stations[i][len(shapes[i].corners) + j] = foot.station
        off[i][j] = foot.distance
    return stations, off


def _running(lengths: FloatArray, counts: IntArray, first: IntArray) -> list[FloatArray]:
    """For each shape the running sums (K + 1,) of its own lengths: shapes with as many segments
    together, and every sum within its shape, so that no digit is lost to the shapes before it."""
    out: list[FloatArray] = [lengths] * len(counts)
    for count in np.unique(counts):
        rows = np.flatnonzero(counts == count)
        sums = np.zeros((len(rows), count + 1))
        np.cumsum(lengths[first[rows, None] + np.arange(count)], axis=1, out=sums[:, 1:])
        sums.flags.writeable = False
        for row, own in zip(rows.tolist(), sums, strict=True):
            out[row] = own
    return out


def _lengths(
    curves: Sequence[Curve], segment: IntArray, t: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Lengths of all segments, and from the start of `segment` (M,) to parameter `t` (M,)."""
    segments = np.concatenate([curve.segments for curve in curves])
    line = np.concatenate([curve.kinds for curve in curves]) == LINE
    on_line = line[segment]
    inside = np.flatnonzero((t > 0.0) & ~on_line)
    cut = subdivide(segments[segment[inside]], np.zeros(inside.size), t[inside])
    cubic = np.flatnonzero(~line)
    chord = segments[:, 3] - segments[:, 0]
    whole: FloatArray = np.hypot(chord[:, 0], chord[:, 1])
    todo = np.concatenate((segments[cubic], cut)) if cubic.size else cut
    found = arc_lengths(todo) if len(todo) else np.zeros(0)
    whole[cubic] = found[: cubic.size]
    along = np.where(on_line, whole[segment] * t, 0.0)
    along[inside] = found[cubic.size :]
    return whole, along
