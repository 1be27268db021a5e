"""A sleeve in one size as the alterations see it: cap, underarm seams, and the way between.

Everything goes by the bicep line and the direction of the outline, so a sleeve that is drawn
upside down, turned or mirrored is a sleeve like any other. The outline keeps its segments: only
control points move, so every mark keeps its station.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seamwright.geometry import LINE, Curve, FloatArray, IntArray, line_segments
from seamwright.model import Shape
from seamwright.plan import Cap


class NoCornerError(Exception):
    """An underarm point does not lie at a corner."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Sleeve:
    """cap       numbers of the cap's segments, in outline order, from one underarm to the other
    seam_in   segments of the underarm seam that leads to the cap, from the wrist corner
    seam_out  segments of the underarm seam that leads away from it, to the wrist corner
    rest      segments between the wrist corners
    back_first  whether the back half of the cap is met first
    shoulder  the shoulder point (2,)
    """

    shape: Shape
    cap: IntArray
    seam_in: IntArray
    seam_out: IntArray
    rest: IntArray
    back_first: bool
    shoulder: FloatArray

    @property
    def first(self) -> FloatArray:
        """The underarm point at which the cap begins (2,)."""
        return np.array(self.shape.seam_line.segments[self.cap[0], 0])

    @property
    def last(self) -> FloatArray:
        """The underarm point at which it ends (2,)."""
        return np.array(self.shape.seam_line.segments[self.cap[-1], 3])

    @property
    def bicep(self) -> float:
        """Width of the bicep line, mm."""
        return float(np.hypot(*(self.last - self.first)))

    @property
    def along(self) -> FloatArray:
        """Unit vector (2,) along the bicep line, from first to last."""
        return (self.last - self.first) / self.bicep

    def height_of(self, point: FloatArray) -> float:
        """How far a point lies above the bicep line, mm, positive where the cap is."""
        e = self.along
        out = point - self.first
        return -float(e[0] * out[1] - e[1] * out[0])

    @property
    def share(self) -> float:
        """The part of the bicep line, from `first`, up to the foot of the shoulder point."""
        return float((self.shoulder - self.first) @ self.along) / self.bicep


def sleeve_of(cap: Cap, shape: Shape, z: int) -> Sleeve:
    """The sleeve in size number z. Raises NoCornerError."""
    seam = shape.seam_line
    by_name = {c.name: i for i, c in enumerate(shape.corners)}
    try:
        back, front = by_name[cap.underarm_back], by_name[cap.underarm_front]
    except KeyError as missing:
        raise NoCornerError(str(missing.args[0])) from None
    back_first = cap.back.on_sleeve.forward
    first, last = (back, front) if back_first else (front, back)
    count, n = len(shape.corners), seam.n

    def segments(a: int, b: int) -> IntArray:
        i, j = shape.corners[a].station.segment, shape.corners[b % count].station.segment
        return (i + np.arange((j - i) % n or n)) % n

    top = float(cap.back.on_sleeve.ends[z])
    return Sleeve(
        shape=shape,
        cap=segments(first, last),
        seam_in=segments((first - 1) % count, first),
        seam_out=segments(last, last + 1),
        rest=segments((last + 1) % count, (first - 1) % count),
        back_first=back_first,
        shoulder=np.asarray(seam.point_at(top)),
    )


def affine(source: FloatArray, target: FloatArray) -> FloatArray:
    """The affine map 2x3 that takes three points (3, 2) to three others."""
    system = np.column_stack((source, np.ones(3)))
    return np.asarray(np.linalg.solve(system, target).T)


def apply(matrix: FloatArray, points: FloatArray) -> FloatArray:
    """Points (..., 2) under a map 2x3."""
    return np.asarray(points @ matrix[:, :2].T + matrix[:, 2])


def redrawn(sleeve: Sleeve, maps: list[tuple[IntArray, FloatArray]]) -> Curve:
    """The outline with each set of segments under its map; ends that meet are made one point."""
    seam = sleeve.shape.seam_line
    segments = np.array(seam.segments)
    moved = np.zeros(seam.n, dtype=bool)
    for numbers, matrix in maps:
        segments[numbers] = apply(matrix, segments[numbers])
        moved[numbers] = True
    # Neighbours under different maps meet within rounding: what was not moved stands exactly,
    # else the earlier one's end.
    follows = moved & ~np.roll(moved, -1)
    segments[follows, 3] = np.roll(segments[:, 0], -1, axis=0)[follows]
    segments[:, 0] = np.roll(segments[:, 3], 1, axis=0)
    straight = seam.kinds == LINE
    segments[straight] = line_segments(segments[straight, 0], segments[straight, 3])
    return Curve.from_segments(segments, seam.kinds, closed=True)


def half_lengths(sleeve: Sleeve, outline: Curve) -> tuple[float, float]:
    """Lengths of the back and the front half of the cap on a redrawn outline, mm."""
    z = outline.cumulative
    seam = sleeve.shape.seam_line
    # The shoulder point keeps its station.
    at = seam.nearest(sleeve.shoulder[None])
    top = float(outline.lengths_of(at.segments, at.ts)[0])
    start = float(z[sleeve.cap[0]])
    whole = float(outline.segment_lengths[sleeve.cap].sum())
    first = (top - start) % outline.length
    return (first, whole - first) if sleeve.back_first else (whole - first, first)
