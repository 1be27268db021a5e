"""Outlines in the model's normal form: anticlockwise, from corner 1; many straight ones at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import LINE, Curve, Station, line_segments
from seamwright.model.assemble import polyline_corners, turned_rings
from seamwright.model.numbering import upper_left

from ..drawing.strokes import Strokes, ragged

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]


@dataclass(slots=True)
class Form:
    """One outline: its curve, how the file's joints are numbered now, and its corners.

    Joint j of the file is joint (j - start) * direction of the curve, modulo n.
    corners  (C,) joints of the curve, ascending; curve_points (P,) likewise
    """

    curve: Curve
    start: int
    direction: int
    straight: bool
    corners: IntArray
    curve_points: IntArray

    def moved(self, joints: IntArray) -> IntArray:
        """Numbers on the curve of the file's joints."""
        out: IntArray = ((joints - self.start) * self.direction) % self.curve.n
        return out


def quick_curve(segments: FloatArray, kinds: NDArray[np.uint8], closed: bool) -> Curve:
    """A Curve of segments that are one chain by construction: a stroke of one entity, or joined
    by `chained`. (The checks of `Curve.from_segments` on each of thousands of small lines would
    cost more than reading the file.)"""
    return Curve(segments, kinds, closed)


def forms_of(
    strokes: Strokes, which: Sequence[int], turn: BoolArray, curve_point: BoolArray,
    joint_offsets: IntArray, threshold: float,
) -> list[Form]:  # fmt: skip
    """Normal forms of closed strokes `which`, in their order.

    turn, curve_point (J,): marks on the joints of all strokes. A stroke without turn points gets
    its corners where it bends by more than `threshold` degrees, curve points left out.
    """
    at = np.array(which, dtype=np.int64)
    out: list[Form | None] = [None] * at.size
    straight = strokes.straight()[at] if at.size else np.empty(0, bool)
    turns = [_marked(turn, joint_offsets, s) for s in which]
    curves = [_marked(curve_point, joint_offsets, s) for s in which]
    for i, s in enumerate(which):
        if not turns[i].size:
            a, b = int(strokes.offsets[s]), int(strokes.offsets[s + 1])
            if straight[i]:
                found = polyline_corners(strokes.segments[a:b, 0], threshold=threshold)
            else:
                found = strokes.curve(s).corner_segments(threshold)
            turns[i] = np.setdiff1d(found, curves[i])
    lines = np.flatnonzero(straight)
    if lines.size:
        _straight_forms(strokes, at, lines, turns, curves, out)
    for i in np.flatnonzero(~straight).tolist():
        out[i] = _curved_form(strokes.curve(which[i]), turns[i], curves[i])
    return [form for form in out if form is not None]


def _marked(marks: BoolArray, offsets: IntArray, stroke: int) -> IntArray:
    return np.flatnonzero(marks[int(offsets[stroke]) : int(offsets[stroke + 1])])


def _straight_forms(
    strokes: Strokes, at: IntArray, lines: IntArray, turns: list[IntArray], curves: list[IntArray],
    out: list[Form | None],
) -> None:  # fmt: skip
    index, offsets = ragged(strokes.offsets, at[lines])
    points = strokes.segments[index, 0]
    counts = [turns[i].size for i in lines.tolist()]
    ring = np.repeat(np.arange(lines.size), counts)
    vertex = np.concatenate([turns[i] for i in lines.tolist()])
    rings = turned_rings(points, offsets, ring, vertex)
    after = np.arange(1, len(points) + 1)
    after[offsets[1:] - 1] = offsets[:-1]
    segments = line_segments(rings.points, rings.points[after])
    kinds = np.full(len(segments), LINE, dtype=np.uint8)
    bounds = offsets.tolist()
    starts, directions = rings.start.tolist(), rings.direction.tolist()
    segments.flags.writeable = kinds.flags.writeable = False
    for r, i in enumerate(lines.tolist()):
        a, b = bounds[r], bounds[r + 1]
        curve = quick_curve(segments[a:b], kinds[a:b], True)
        n, start, direction = b - a, starts[r], directions[r]
        out[i] = Form(
            curve, start, direction, True,
            np.sort(((turns[i] - start) * direction) % n),
            np.sort(((curves[i] - start) * direction) % n),
        )  # fmt: skip


def _curved_form(curve: Curve, turns: IntArray, curves: IntArray) -> Form:
    n = curve.n
    direction = -1 if curve.area < 0 else 1
    if direction < 0:
        curve = curve.reversed()
    corners = np.sort((turns * direction) % n)
    first = upper_left(curve, [Station(int(c), 0.0) for c in corners])
    start = int(corners[first]) if corners.size else 0
    if start:
        curve = curve.started_at(start)
    given = (start * direction) % n
    return Form(
        curve, given, direction, False,
        np.sort(((turns - given) * direction) % n), np.sort(((curves - given) * direction) % n),
    )  # fmt: skip
