"""How everything in a piece moves when its graded points move.

On an outline, points between two graded points follow in proportion to their way along it; inside,
points follow the outline by mean value coordinates (Floater 2003; Hormann and Floater 2006), which
give back the movement of the outline on it, and any affine movement everywhere.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import LINE, Curve, FloatArray, IntArray, evaluate, line_segments

_ON = 1e-9  # mm


@dataclass(frozen=True, slots=True)
class Moved:
    """A closed curve and how it moves in Z sizes.

    at      (G,) lengths along the curve of the graded points, ascending, all different
    moves   (Z, G, 2) their movements
    """

    curve: Curve
    at: FloatArray
    moves: FloatArray

    def along(self, lengths: FloatArray) -> FloatArray:
        """Movements (Z, N, 2) at lengths (N,): linear between neighbouring graded points."""
        whole = self.curve.length
        if self.at.size == 0:
            return np.zeros((self.moves.shape[0], lengths.size, 2))
        if self.at.size == 1:
            return np.repeat(self.moves, lengths.size, axis=1)
        s = np.mod(lengths, whole)
        after = np.searchsorted(self.at, s, side="right") % self.at.size
        before = after - 1  # -1 is the last: round the start
        from_, to = self.at[before], self.at[after]
        span = np.where(to > from_, to - from_, to - from_ + whole)
        share = np.mod(s - from_, whole) / span
        low, high = self.moves[:, before], self.moves[:, after]
        return np.asarray(low + share[None, :, None] * (high - low))

    def curves(self) -> list[Curve]:
        """The curve in every size: control points moved as the place of their share is."""
        curve = self.curve
        joints = self.along(curve.cumulative[:-1])
        thirds = curve.segment_lengths[None, :] * np.array([[1.0], [2.0]]) / 3.0
        handles = self.along((curve.cumulative[None, :-1] + thirds).ravel())
        size = (self.moves.shape[0], 2, curve.n, 2)
        handles = handles.reshape(size)
        out = []
        for z in range(self.moves.shape[0]):
            segments = curve.segments.copy()
            segments[:, 0] += joints[z]
            segments[:, 1] += handles[z, 0]
            segments[:, 2] += handles[z, 1]
            segments[:, 3] = np.roll(segments[:, 0], -1, axis=0)
            straight = curve.kinds == LINE
            segments[straight] = line_segments(segments[straight, 0], segments[straight, 3])
            out.append(Curve.from_segments(segments, curve.kinds, closed=True))
        return out

    def polygon(self) -> tuple[FloatArray, FloatArray]:
        """Vertices (V, 2) of a polygon close to the curve, and their movements (Z, V, 2)."""
        curve = self.curve
        t = np.arange(8) / 8.0
        bent = curve.kinds != LINE
        counts = np.where(bent, 8, 1)
        own = np.repeat(np.arange(curve.n), counts)
        begin = np.cumsum(counts) - counts
        at = np.where(bent[own], t[(np.arange(own.size) - begin[own]) % 8], 0.0)
        points = evaluate(curve.segments[own], at)
        return points, self.along(curve.lengths_of(own, at))


def inside(points: FloatArray, polygon: FloatArray, moves: FloatArray) -> FloatArray:
    """Movements (Z, N, 2) of places (N, 2) by mean value coordinates in a polygon (V, 2) that
    moves by (Z, V, 2)."""
    if not len(points):
        return np.zeros((moves.shape[0], 0, 2))
    weights = np.stack([_weights(p, polygon) for p in points])
    return np.asarray(np.einsum("nv,zvk->znk", weights, moves))


def _weights(point: FloatArray, polygon: FloatArray) -> FloatArray:
    """Mean value coordinates (V,) of one place; they sum to 1."""
    out = np.zeros(len(polygon))
    to = polygon - point
    distance = np.hypot(to[:, 0], to[:, 1])
    nearest = int(distance.argmin())
    if distance[nearest] <= _ON:
        out[nearest] = 1.0
        return out
    after = np.roll(to, -1, axis=0)
    far = np.roll(distance, -1)
    cross = to[:, 0] * after[:, 1] - to[:, 1] * after[:, 0]
    dot = (to * after).sum(axis=1)
    side = after - to
    length = np.hypot(side[:, 0], side[:, 1])
    with np.errstate(invalid="ignore", divide="ignore"):
        height = np.abs(cross) / length
    on = np.flatnonzero((height <= _ON) & (dot < 0) & (length > 0))
    if on.size:
        k = int(on[0])
        share = distance[k] / (distance[k] + far[k])
        out[k] += 1.0 - share
        out[(k + 1) % len(out)] += share
        return out
    # tan of half the angle between neighbouring directions: cross / (r r' + dot).
    denominator = distance * far + dot
    tangent = np.where(
        np.abs(denominator) > 1e-300, cross / np.where(denominator == 0, 1, denominator), 0.0
    )
    weights = (np.roll(tangent, 1) + tangent) / distance
    total = float(weights.sum())
    if abs(total) <= 1e-12 * float(np.abs(weights).sum()):
        out[nearest] = 1.0
        return out
    return np.asarray(weights / total)


def along_line(curve: Curve, joints: IntArray, moves: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Movements of an open line some of whose joints (G,) are graded by (Z, G, 2): of its joints
    (Z, K + 1, 2) and of its handles (Z, 2, K, 2). Beyond the outermost graded joint all move
    alike."""
    order = np.argsort(joints, kind="stable")
    at = curve.cumulative[joints[order]]
    sorted_moves = moves[:, order]

    def interpolated(s: FloatArray) -> FloatArray:
        return np.stack(
            [
                np.stack([np.interp(s, at, m[:, 0]), np.interp(s, at, m[:, 1])], axis=1)
                for m in sorted_moves
            ]
        )

    thirds = curve.segment_lengths[None, :] * np.array([[1.0], [2.0]]) / 3.0
    handles = interpolated((curve.cumulative[None, :-1] + thirds).ravel())
    return (
        interpolated(curve.cumulative),
        handles.reshape(moves.shape[0], 2, curve.n, 2),
    )


def unique_places(at: FloatArray, whole: float) -> NDArray[np.bool_]:
    """Of lengths sorted ascending along a closed curve which are new places (N,)."""
    fresh = np.ones(at.size, dtype=bool)
    fresh[1:] = np.diff(at) > 1e-6
    if at.size > 1 and at[-1] - at[0] > whole - 1e-6:
        fresh[-1] = False
    return fresh
