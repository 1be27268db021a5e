"""Measuring many shapes at once: every joint and every mark of every size by one kernel call.

The control points of all seam lines are laid end to end; behind them the parts of segments that
lead from a joint to a mark inside a segment. One call of `arc_lengths` measures the lot. What was
measured is remembered for as long as the shape lives: shapes never change.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple
from weakref import WeakKeyDictionary

import numpy as np

from seamwright.geometry import (
    LINE,
    Curve,
    FloatArray,
    IntArray,
    KindArray,
    Station,
    arc_lengths,
    subdivide,
)

from .marks import LineRole
from .projection import project
from .shape import Shape


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
    new = list(dict.fromkeys(shape for shape in wanted if shape not in _known))
    if new:
        _known.update(zip(new, _measured(new), strict=True))
    return [_known[shape] for shape in wanted]


def _measured(shapes: Sequence[Shape]) -> list[Measures]:
    curves = [shape.seam_line for shape in shapes]
    counts = np.array([curve.n for curve in curves])
    first = np.cumsum(counts) - counts
    stations, off = _stations(shapes)
    per_shape = np.array([len(of_one) for of_one in stations])
    # Marks of all shapes in one row: the segment each lies on, counted through all shapes.
    flat = [station for of_one in stations for station in of_one]
    marks = np.array(flat, dtype=np.float64).reshape(-1, 2)
    own = marks[:, 0].astype(np.int64)
    segment = own + np.repeat(first, per_shape)
    joint, along = _lengths(curves, segment, marks[:, 1])
    # Running sums start anew in every shape: one accumulation a shape, without a loop over
    # segments. Summed within the shape, so no digit is lost to the shapes before it.
    at_joint = [
        np.concatenate(([0.0], np.cumsum(lengths))) for lengths in np.split(joint, first[1:])
    ]
    base = np.concatenate([row[:-1] for row in at_joint])
    at_mark = np.split(base[segment] + along, np.cumsum(per_shape)[:-1])
    out = []
    for shape, joints, at, far in zip(shapes, at_joint, at_mark, off, strict=True):
        c, n = len(shape.corners), len(shape.notches)
        marks, mouths = at[: c + n], at[c + n :].reshape(-1, 2)
        out.append(Measures(joints, marks, at[:c], at[c : c + n], mouths, far))
    return out


def _stations(shapes: Sequence[Shape]) -> tuple[list[list[Station]], list[FloatArray]]:
    """Of each shape the stations of corners, notches and darts' mouths; and each notch's
    distance from the seam line."""
    stations: list[list[Station]] = []
    off: list[FloatArray] = []
    strays: list[tuple[int, int]] = []  # (shape, notch) of notches on a cut line
    for i, shape in enumerate(shapes):
        row = [corner.station for corner in shape.corners]
        for j, notch in enumerate(shape.notches):
            row.append(notch.station)
            if notch.line is LineRole.CUT and shape.cut_line is not None:
                strays.append((i, j))
        for dart in shape.darts:
            row += (dart.left, dart.right)
        stations.append(row)
        off.append(np.zeros(len(shape.notches)))
    if strays:
        for (i, j), foot in zip(strays, project(shapes, strays), strict=True):
            stations[i][len(shapes[i].corners) + j] = foot.station
            off[i][j] = foot.distance
    return stations, off


def _lengths(
    curves: Sequence[Curve], segment: IntArray, t: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Lengths of all segments, and from the start of `segment` (M,) to parameter `t` (M,)."""
    segments = np.concatenate([curve.segments for curve in curves])
    kinds = np.concatenate([curve.kinds for curve in curves])
    inside = np.flatnonzero((t > 0.0) & (kinds[segment] != LINE))
    cut = subdivide(segments[segment[inside]], np.zeros(inside.size), t[inside])
    cubic = np.flatnonzero(kinds != LINE)
    whole = _chords(segments, kinds)
    todo = np.concatenate((segments[cubic], cut))
    found = arc_lengths(todo) if len(todo) else np.zeros(0)
    whole[cubic] = found[: cubic.size]
    along = np.where(kinds[segment] == LINE, whole[segment] * t, 0.0)
    along[inside] = found[cubic.size :]
    return whole, along


def _chords(segments: FloatArray, kinds: KindArray) -> FloatArray:
    chord = segments[:, 3] - segments[:, 0]
    out: FloatArray = np.hypot(chord[:, 0], chord[:, 1])
    return out
