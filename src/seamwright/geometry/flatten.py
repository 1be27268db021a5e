"""Flattening to a chord tolerance, many cubics at once."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from .evaluate import as_segments
from .kinds import FloatArray, GeometryError, IntArray


def chord_counts(segments: FloatArray, tolerance: float) -> IntArray:
    """Chords (N,) that hold each of segments (N, 4, 2) within `tolerance` mm.

    |z''| <= 6 max(|p0 - 2 p1 + p2|, |p1 - 2 p2 + p3|), and a chord over a step h leaves the
    curve by at most h^2 |z''| / 8 (linear interpolation error). Where both handles lie within
    4/3 of the tolerance of the chord, and between its ends, one chord does.
    """
    if not (tolerance > 0.0 and np.isfinite(tolerance)):
        raise GeometryError("a chord tolerance must be above 0")
    second = segments[:, 2:] - 2.0 * segments[:, 1:3] + segments[:, :2]
    bend = np.sqrt((second * second).sum(axis=2).max(axis=1))
    counts = np.ceil(np.sqrt(0.75 * bend / tolerance)).astype(np.int64)
    chord = segments[:, 3] - segments[:, 0]
    handles = segments[:, 1:3] - segments[:, :1]
    size = (chord * chord).sum(axis=1)[:, None]
    along = (handles * chord[:, None]).sum(axis=2)
    off = handles[..., 0] * chord[:, None, 1] - handles[..., 1] * chord[:, None, 0]
    straight = (along >= 0.0) & (along <= size) & (9.0 * off**2 <= 16.0 * tolerance**2 * size)
    counts[straight.all(axis=1)] = 1
    return np.maximum(counts, 1)


@lru_cache(maxsize=512)
def _basis(count: int) -> FloatArray:
    """Bernstein weights (count + 1, 4) at equal steps, both ends exact."""
    t = np.arange(count + 1) / count
    s = 1.0 - t
    return np.stack((s**3, 3 * s * s * t, 3 * s * t * t, t**3), axis=1)


def flatten_ragged(segments: ArrayLike, tolerance: float) -> tuple[FloatArray, IntArray]:
    """All points of all flattened segments, end to end, and where each begins.

    Points (M, 2) and offsets (N + 1,): segment i is points[offsets[i]:offsets[i + 1]], its ends
    included. Segments are grouped by their number of chords, one matrix product a group.
    """
    p = as_segments(segments)
    counts = chord_counts(p, tolerance)
    offsets = np.zeros(p.shape[0] + 1, dtype=np.int64)
    np.cumsum(counts + 1, out=offsets[1:])
    out = np.empty((int(offsets[-1]), 2))
    base = p[:, 0]
    for count in np.unique(counts).tolist():
        rows = np.flatnonzero(counts == count)
        got = _basis(count) @ (p[rows] - base[rows, None]) + base[rows, None]
        got[:, 0], got[:, -1] = p[rows, 0], p[rows, 3]
        out[offsets[rows][:, None] + np.arange(count + 1)] = got
    return out, offsets


def flatten_many(segments: ArrayLike, tolerance: float) -> list[FloatArray]:
    """Each of segments (N, 4, 2) as its own points (M_i, 2), ends included."""
    points, offsets = flatten_ragged(segments, tolerance)
    return np.split(points, offsets[1:-1])


def flatten_chain(segments: FloatArray, tolerance: float, *, closed: bool) -> FloatArray:
    """One polyline (N, 2) through a chain; of a closed one the first point is not repeated."""
    points, offsets = flatten_ragged(segments, tolerance)
    keep = np.ones(points.shape[0], dtype=bool)
    keep[offsets[1:-1]] = False
    if closed:
        keep[-1] = False
    return points[keep]
