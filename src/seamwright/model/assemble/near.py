"""Which points lie near which: neighbour search on a grid, whole arrays at once."""

from __future__ import annotations

from itertools import product
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

_CELL = 16.0
"""Cell size in tolerances: most points then look into one cell only."""
_POINTS_AT_ONCE = 65_536
"""Points looked up together: what half a million need in between would be a hundred megabytes."""


def pairs_within(
    a: FloatArray,
    b: FloatArray,
    tolerance: float,
    *,
    groups_a: IntArray | None = None,
    groups_b: IntArray | None = None,
) -> tuple[IntArray, IntArray, FloatArray]:
    """All pairs of a point of a (N, 2) and one of b (M, 2) at most `tolerance` mm apart.

    Only points of equal group form pairs. Gives indices into a, into b, and distances, ordered
    by the index into a, then by distance. Rounding points to a grid and comparing would miss
    neighbours on both sides of a grid line; here every cell that a point's reach touches is
    looked into.
    """
    none = np.empty(0, np.int64)
    if not len(a) or not len(b):
        return none, none, np.empty(0)
    reach = max(tolerance, 0.0)
    origin = np.minimum(a.min(axis=0), b.min(axis=0))
    extent = float(np.maximum(np.ptp(b, axis=0).max(), np.ptp(a, axis=0).max()))
    cell = max(_CELL * reach, extent / 2.0**30, 1e-12)  # never so many that numbers overflow
    key_b = _keys(np.floor((b - origin) / cell).astype(np.int64), groups_b)
    order = np.argsort(key_b, kind="stable")
    sorted_keys = key_b[order]
    found_a, found_b, found_d = [], [], []
    for start in range(0, len(a), _POINTS_AT_ONCE):
        rows = np.arange(start, min(start + _POINTS_AT_ONCE, len(a)))
        left, right, distance = _pairs_of(
            rows, a, b, reach, origin, cell, order, sorted_keys, groups_a, groups_b
        )
        found_a.append(left)
        found_b.append(right)
        found_d.append(distance)
    return np.concatenate(found_a), np.concatenate(found_b), np.concatenate(found_d)


def _pairs_of(
    rows: IntArray, a: FloatArray, b: FloatArray, reach: float, origin: FloatArray, cell: float,
    order: IntArray, sorted_keys: NDArray[np.uint64], groups_a: IntArray | None,
    groups_b: IntArray | None,
) -> tuple[IntArray, IntArray, FloatArray]:  # fmt: skip
    """The pairs of some points of a, in order."""
    low = np.floor((a[rows] - origin - reach) / cell).astype(np.int64)
    high = np.floor((a[rows] - origin + reach) / cell).astype(np.int64)
    none = np.empty(0, np.int64)
    found_a, found_b, found_d = [none], [none], [np.empty(0)]
    for dx, dy in product((0, 1), repeat=2):
        here = np.flatnonzero((high[:, 0] - low[:, 0] >= dx) & (high[:, 1] - low[:, 1] >= dy))
        if not here.size:
            continue
        mine = rows[here]
        keys = _keys(low[here] + np.array([dx, dy]), None if groups_a is None else groups_a[mine])
        first = np.searchsorted(sorted_keys, keys, side="left")
        counts = np.searchsorted(sorted_keys, keys, side="right") - first
        total = int(counts.sum())
        if not total:
            continue
        offsets = np.cumsum(counts) - counts
        at = np.repeat(first - offsets, counts) + np.arange(total)
        left, right = np.repeat(mine, counts), order[at]
        apart = a[left] - b[right]
        distance = np.hypot(apart[:, 0], apart[:, 1])
        near = distance <= reach
        if groups_a is not None and groups_b is not None:
            near &= groups_a[left] == groups_b[right]
        found_a.append(left[near])
        found_b.append(right[near])
        found_d.append(distance[near])
    left, right = np.concatenate(found_a), np.concatenate(found_b)
    distance = np.concatenate(found_d)
    # Two cells with one key (a collision of hashes) would give a pair twice.
    rank = np.lexsort((right, distance, left))
    left, right, distance = left[rank], right[rank], distance[rank]
    fresh = np.ones(left.size, dtype=bool)
    fresh[1:] = (np.diff(left) != 0) | (np.diff(right) != 0)
    return left[fresh], right[fresh], distance[fresh]


def _keys(cells: IntArray, groups: IntArray | None) -> NDArray[np.uint64]:
    """One number for a cell and a group; equal cells give equal numbers."""
    with np.errstate(over="ignore"):
        key = cells[:, 0].astype(np.uint64) * np.uint64(0x9E3779B97F4A7C15)
        key ^= cells[:, 1].astype(np.uint64) * np.uint64(0xC2B2AE3D27D4EB4F)
        if groups is not None:
            key ^= groups.astype(np.uint64) * np.uint64(0x165667B19E3779F9)
    return key


class OnRings(NamedTuple):
    """For each point the nearest place on its ring: segment, parameter, and how far away."""

    segment: IntArray
    t: FloatArray
    distance: FloatArray


_AT_ONCE = 4_000_000


def nearest_on_rings(
    points: FloatArray, ring: IntArray, vertices: FloatArray, offsets: IntArray
) -> OnRings:
    """The nearest places on closed polylines: point i (N, 2) on ring `ring[i]`.

    vertices (V, 2), offsets (R + 1,). A place at a vertex is the start of the segment that
    follows it; of several places equally near the first is given.
    """
    counts = np.diff(offsets)
    n = len(points)
    segment, t, distance = np.zeros(n, np.int64), np.zeros(n), np.full(n, np.inf)
    size = counts[ring]
    at = 0
    while at < n:
        # As many points at once as memory likes, at least one.
        stop = at + max(1, int(np.searchsorted(np.cumsum(size[at:]), _AT_ONCE)))
        rows = np.arange(at, min(stop, n))
        at = stop
        own = np.repeat(rows, size[rows])
        begin = np.cumsum(size[rows]) - size[rows]
        local = np.arange(own.size) - np.repeat(begin, size[rows])
        base = offsets[ring[own]]
        a = vertices[base + local]
        along = vertices[base + (local + 1) % counts[ring[own]]] - a
        to = points[own] - a
        square = (along * along).sum(axis=1)
        with np.errstate(invalid="ignore", divide="ignore"):
            u = (to * along).sum(axis=1) / square
        u = np.clip(np.where(square > 0.0, u, 0.0), 0.0, 1.0)
        off = to - u[:, None] * along
        d = np.hypot(off[:, 0], off[:, 1])
        least = np.minimum.reduceat(d, begin)
        # Within rounding of the least, the end of a segment and the start of the next are equal.
        tie = np.flatnonzero(d <= np.repeat(least, size[rows]) * (1 + 1e-12) + 1e-12)
        first = np.ones(tie.size, dtype=bool)
        first[1:] = np.diff(own[tie]) != 0
        pick = tie[first]
        segment[rows], t[rows], distance[rows] = local[pick], u[pick], d[pick]
    end = t >= 1.0
    segment[end] = (segment[end] + 1) % counts[ring[end]]
    t[end] = 0.0
    return OnRings(segment, t, distance)
