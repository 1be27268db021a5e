"""Strokes: every drawn line, arc and curve as cubics, many in one array.

A stroke is what one entity draws. Straight strokes keep their vertices one for one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import LINE, Curve, line_segments

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Strokes:
    """S strokes with K segments in all.

    segments  (K, 4, 2) control points; kinds (K,) LINE or CUBIC
    offsets   (S + 1,) stroke i is segments[offsets[i]:offsets[i + 1]]
    closed    (S,) whether the entity says that it closes (its last segment ends at its start)
    layer     (S,) number of the layer
    row       (S,) row of the entity
    group     (S,) the block that defines it, later the piece that it belongs to; ascending
    """

    segments: FloatArray
    kinds: NDArray[np.uint8]
    offsets: IntArray
    closed: BoolArray
    layer: IntArray
    row: IntArray
    group: IntArray

    @property
    def n(self) -> int:
        """Number of strokes."""
        return int(self.closed.size)

    @property
    def counts(self) -> IntArray:
        """Segments of each stroke (S,)."""
        return np.diff(self.offsets)

    @property
    def starts(self) -> FloatArray:
        """First points (S, 2)."""
        return np.asarray(self.segments[self.offsets[:-1], 0])

    @property
    def ends(self) -> FloatArray:
        """Last points (S, 2)."""
        return np.asarray(self.segments[self.offsets[1:] - 1, 3])

    def owner_of_segments(self) -> IntArray:
        """The stroke of each segment (K,)."""
        return np.repeat(np.arange(self.n), self.counts)

    def picked(self, which: IntArray) -> Strokes:
        """Chosen strokes, in the order given."""
        index, offsets = ragged(self.offsets, which)
        return Strokes(
            self.segments[index], self.kinds[index], offsets, self.closed[which],
            self.layer[which], self.row[which], self.group[which],
        )  # fmt: skip

    def moved(self, matrices: FloatArray) -> Strokes:
        """Each stroke under its own affine matrix, (S, 2, 3)."""
        m = matrices[self.owner_of_segments()]
        x, y = self.segments[..., 0], self.segments[..., 1]
        out = np.empty_like(self.segments)
        for axis in (0, 1):
            out[..., axis] = m[:, axis, 0, None] * x + m[:, axis, 1, None] * y + m[:, axis, 2, None]
        straight = self.kinds == LINE
        out[straight] = line_segments(out[straight, 0], out[straight, 3])
        return replace(self, segments=out)

    def curve(self, stroke: int) -> Curve:
        """One stroke as a Curve."""
        a, b = int(self.offsets[stroke]), int(self.offsets[stroke + 1])
        return Curve.from_segments(
            self.segments[a:b], self.kinds[a:b], closed=bool(self.closed[stroke])
        )

    def straight(self) -> BoolArray:
        """Whether a stroke has straight segments only (S,)."""
        if not self.n:
            return np.empty(0, dtype=bool)
        return np.logical_and.reduceat(self.kinds == LINE, self.offsets[:-1])


def empty() -> Strokes:
    """No strokes."""
    none = np.empty(0, np.int64)
    return Strokes(
        np.empty((0, 4, 2)), np.empty(0, np.uint8), np.zeros(1, np.int64),
        np.empty(0, bool), none, none, none,
    )  # fmt: skip


def ragged(offsets: IntArray, which: IntArray) -> tuple[IntArray, IntArray]:
    """Positions of the items of chosen rows of a ragged array, and their new offsets."""
    counts = offsets[which + 1] - offsets[which]
    out = np.zeros(which.size + 1, dtype=np.int64)
    np.cumsum(counts, out=out[1:])
    index = np.repeat(offsets[which] - out[:-1], counts) + np.arange(out[-1])
    return index, out


def joined(parts: Sequence[Strokes]) -> Strokes:
    """Several sets of strokes as one, ordered by row."""
    parts = [p for p in parts if p.n]
    if not parts:
        return empty()
    if len(parts) == 1:
        whole = parts[0]
    else:
        shift = np.cumsum([0, *(len(p.segments) for p in parts)])
        whole = Strokes(
            np.concatenate([p.segments for p in parts]),
            np.concatenate([p.kinds for p in parts]),
            np.concatenate(
                [
                    np.zeros(1, np.int64),
                    *(p.offsets[1:] + s for p, s in zip(parts, shift, strict=False)),
                ]
            ),
            np.concatenate([p.closed for p in parts]),
            np.concatenate([p.layer for p in parts]),
            np.concatenate([p.row for p in parts]),
            np.concatenate([p.group for p in parts]),
        )
    if (np.diff(whole.row) >= 0).all():
        return whole
    return whole.picked(np.argsort(whole.row, kind="stable"))
