"""Joining loose strokes end to end into open and closed chains."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import LINE, line_segments

from .near import pairs_within

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

_CLEAR = 4.0
"""A partner is clear when the next candidate is this many times as far away ..."""
_DETAIL = 0.25
"""... and at least this share of the tolerance: smaller differences are rounding, larger ones a
detail that was drawn (a 0.04 mm step survives a tolerance of 0.05 mm)."""
_LOOK = 20.0
"""Gaps are looked for up to this many tolerances."""


@dataclass(frozen=True, slots=True)
class Junction:
    """A place where several ends meet and none clearly belongs to another."""

    x: float
    y: float
    strokes: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Gap:
    """Two free ends that lie near each other, farther than the tolerance."""

    a: tuple[float, float]
    b: tuple[float, float]
    distance: float
    strokes: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Joined:
    """C chains made of S strokes.

    order    (S,) strokes, chain after chain; forward (S,): False where a stroke runs backwards
    offsets  (C + 1,) chain c is order[offsets[c]:offsets[c + 1]]
    closed   (C,)
    bridged  (C,) the largest distance, mm, that a join of the chain bridges
    """

    order: IntArray
    forward: BoolArray
    offsets: IntArray
    closed: BoolArray
    bridged: FloatArray
    junctions: tuple[Junction, ...] = ()
    gaps: tuple[Gap, ...] = ()

    @property
    def n(self) -> int:
        """Number of chains."""
        return int(self.closed.size)


def join_strokes(
    starts: FloatArray,
    ends: FloatArray,
    lengths: FloatArray,
    *,
    tolerance: float,
    groups: IntArray | None = None,
) -> Joined:
    """Strokes joined where exactly two ends meet within `tolerance` mm.

    starts, ends (S, 2), lengths (S,) mm; strokes of different groups (layers) never join. Each
    end takes its nearest neighbour if that is clear; where three or more ends crowd together
    without a clear choice, nothing is joined and a Junction is given. Chains start where the file
    draws them first and run as their first stroke does.
    """
    count = len(starts)
    partner = np.full(2 * count, -1, dtype=np.int64)
    apart = np.zeros(2 * count)
    points = np.concatenate((starts, ends))
    both = None if groups is None else np.concatenate((groups, groups))
    a, b, d = pairs_within(points, points, tolerance, groups_a=both, groups_b=both)
    # An end and itself, and the two ends of a stroke too short to close on itself, are no pair.
    own = (a % count if count else a) == (b % count if count else b)
    keep = (a != b) & (~own | (lengths[a % count] > _CLEAR * tolerance))
    a, b, d = a[keep], b[keep], d[keep]
    degree = np.bincount(a, minlength=2 * count)
    simple = (degree[a] == 1) & (degree[b] == 1)
    partner[a[simple]] = b[simple]
    apart[a[simple]] = d[simple]
    crowded = ~simple
    junctions = _settle(
        a[crowded], b[crowded], d[crowded], points, partner, apart, tolerance, count
    )
    order, forward, offsets, closed = _traced(partner, count)
    bridged = _bridged(order, forward, offsets, closed, apart, count)
    gaps = _gaps(points, partner, tolerance, both, count, junctions)
    return Joined(order, forward, offsets, closed, bridged, tuple(junctions), tuple(gaps))


def _settle(
    a: IntArray, b: IntArray, d: FloatArray, points: FloatArray, partner: IntArray,
    apart: FloatArray, tolerance: float, count: int,
) -> list[Junction]:  # fmt: skip
    """Clear choices among crowded ends; what stays undecided are junctions."""
    near: dict[int, dict[int, float]] = {}
    for e, f, distance in zip(a.tolist(), b.tolist(), d.tolist(), strict=True):
        near.setdefault(e, {})[f] = distance
    todo = set(near)
    while todo:
        again: set[int] = set()
        for e in sorted(todo):
            found = near.get(e)
            if not found:
                continue
            f, first = _nearest(found)
            back, _ = _nearest(near[f])
            if back != e or not (
                _clear(found, first, tolerance) and _clear(near[f], first, tolerance)
            ):
                continue
            partner[e], partner[f] = f, e
            apart[e] = apart[f] = first
            for gone in (e, f):
                for other in near.pop(gone):
                    if other in near:
                        near[other].pop(gone, None)
                        again.add(other)
        todo = again
    junctions = []
    seen: set[int] = set()
    for e in sorted(near):
        if e in seen or not near[e]:
            continue
        crowd, stack = [], [e]
        seen.add(e)
        while stack:
            end = stack.pop()
            crowd.append(end)
            for other in near[end]:
                if other not in seen:
                    seen.add(other)
                    stack.append(other)
        x, y = points[crowd].mean(axis=0)
        junctions.append(Junction(float(x), float(y), tuple(sorted({i % count for i in crowd}))))
    return junctions


def _nearest(found: dict[int, float]) -> tuple[int, float]:
    return min(found.items(), key=lambda item: (item[1], item[0]))


def _clear(found: dict[int, float], first: float, tolerance: float) -> bool:
    if len(found) == 1:
        return True
    second = sorted(found.values())[1]
    return second > max(_CLEAR * first, _DETAIL * tolerance)


def _traced(partner: IntArray, count: int) -> tuple[IntArray, BoolArray, IntArray, BoolArray]:
    """Follow the links: stroke s has ends s (start) and s + count (end)."""
    link = partner.tolist()
    used = bytearray(count)
    order: list[int] = []
    forward: list[bool] = []
    offsets = [0]
    closed: list[bool] = []
    for first in range(count):
        if used[first]:
            continue
        # Walk back to a free end, or all the way round.
        at, loop = first, False
        while True:
            before = link[at]
            if before < 0:
                break
            stroke = before if before < count else before - count
            if stroke == first:
                loop = True
                break
            at = before + count if before < count else before - count
        begin = first if loop else at
        end = begin
        while True:
            stroke = end if end < count else end - count
            used[stroke] = 1
            order.append(stroke)
            forward.append(end < count)
            leave = end + count if end < count else end - count
            end = link[leave]
            if end < 0 or end == begin:
                break
        closed.append(loop)
        offsets.append(len(order))
    ahead = np.array(forward, dtype=bool)
    chain = np.array(order, dtype=np.int64)
    bounds = np.array(offsets, dtype=np.int64)
    return _as_drawn(chain, ahead, bounds, np.array(closed, dtype=bool))


def _as_drawn(
    order: IntArray, forward: BoolArray, offsets: IntArray, closed: BoolArray
) -> tuple[IntArray, BoolArray, IntArray, BoolArray]:
    """Open chains turned so that their first drawn stroke runs forward."""
    for c in np.flatnonzero(~closed).tolist():
        part = slice(int(offsets[c]), int(offsets[c + 1]))
        if part.stop - part.start > 1 or not forward[part.start]:
            first = int(np.argmin(order[part]))
            if not forward[part][first]:
                order[part] = order[part][::-1].copy()
                forward[part] = ~forward[part][::-1]
    return order, forward, offsets, closed


def _bridged(
    order: IntArray, forward: BoolArray, offsets: IntArray, closed: BoolArray, apart: FloatArray,
    count: int,
) -> FloatArray:  # fmt: skip
    if not order.size:
        return np.empty(0)
    leave = np.where(forward, order + count, order)
    gap = apart[leave].copy()
    last = offsets[1:] - 1
    gap[last[~closed]] = 0.0
    return np.asarray(np.maximum.reduceat(gap, offsets[:-1]))


def _gaps(
    points: FloatArray, partner: IntArray, tolerance: float, groups: IntArray | None, count: int,
    junctions: list[Junction],
) -> list[Gap]:  # fmt: skip
    """Free ends and the free end nearest to each, both ways round."""
    at_junction = np.zeros(len(points), dtype=bool)
    for junction in junctions:
        for stroke in junction.strokes:
            at_junction[[stroke, stroke + count]] = True
    free = np.flatnonzero((partner < 0) & ~at_junction)
    if not free.size:
        return []
    own = None if groups is None else groups[free]
    a, b, d = pairs_within(
        points[free], points[free], _LOOK * tolerance, groups_a=own, groups_b=own
    )
    keep = a != b
    a, b, d = a[keep], b[keep], d[keep]
    first = np.ones(a.size, dtype=bool)
    first[1:] = np.diff(a) != 0
    best = {
        int(i): (int(j), float(x)) for i, j, x in zip(a[first], b[first], d[first], strict=True)
    }
    out = []
    for i, (j, distance) in best.items():
        if best.get(j, (-1, 0.0))[0] == i and i < j and distance > tolerance:
            e, f = int(free[i]), int(free[j])
            p, q = points[e], points[f]
            out.append(
                Gap(
                    (float(p[0]), float(p[1])),
                    (float(q[0]), float(q[1])),
                    distance,
                    (e % count, f % count),
                )
            )
    return out


def chained(
    segments: FloatArray, kinds: NDArray[np.uint8], offsets: IntArray, joined: Joined
) -> tuple[FloatArray, NDArray[np.uint8], IntArray]:
    """The chains' segments (K, 4, 2), kinds and offsets (C + 1,).

    segments, kinds, offsets are those of the strokes. Where a join bridges a distance both ends
    (and their handles) move half way to meet; straight segments stay straight.
    """
    counts = np.diff(offsets)[joined.order]
    begin = np.cumsum(counts) - counts
    total = int(counts.sum())
    local = np.arange(total) - np.repeat(begin, counts)
    back = np.repeat(~joined.forward, counts)
    base = np.repeat(offsets[joined.order], counts)
    last = np.repeat(counts - 1, counts)
    index = base + np.where(back, last - local, local)
    out = segments[index]
    out[back] = out[back][:, ::-1]
    kind = kinds[index]
    stroke_bounds = np.concatenate((begin, [total]))
    bounds = stroke_bounds[joined.offsets]
    if total:
        after = np.arange(1, total + 1)
        after[bounds[1:] - 1] = bounds[:-1]
        joint = np.ones(total, dtype=bool)
        joint[bounds[1:][~joined.closed] - 1] = False
        apart = joint & (out[:, 3] != out[after % total, 0]).any(axis=1)
        i = np.flatnonzero(apart)
        j = after[i]
        middle = (out[i, 3] + out[j, 0]) / 2.0
        end_shift, start_shift = middle - out[i, 3], middle - out[j, 0]
        out[i, 2] += end_shift
        out[j, 1] += start_shift
        out[i, 3], out[j, 0] = middle, middle
        touched = np.zeros(total, dtype=bool)
        touched[i] = touched[j] = True
        straight = np.flatnonzero(touched & (kind == LINE))
        out[straight] = line_segments(out[straight, 0], out[straight, 3])
    return out, kind, bounds
