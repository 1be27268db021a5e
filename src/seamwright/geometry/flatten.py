"""Flattening to a chord tolerance, many cubics at once."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from .evaluate import as_segments, to_complex, to_real
from .kinds import ComplexArray, FloatArray, GeometryError, IntArray

#: Refuse to make more chords than this at once: a slip in a unit, not a wish.
_MOST_CHORDS = 20_000_000


def chord_counts(segments: FloatArray, tolerance: float) -> IntArray:
    """Chords (N,) that hold each of segments (N, 4, 2) within `tolerance` mm.

    |z''| <= 6 max(|p0 - 2 p1 + p2|, |p1 - 2 p2 + p3|), and a chord over a step h leaves the
    curve by at most h^2 |z''| / 8 (linear interpolation error). Where both handles lie within
    4/3 of the tolerance of the chord, and between its ends, one chord does.
    """
    if not (tolerance > 0.0 and np.isfinite(tolerance)):
        raise GeometryError("a chord tolerance must be above 0")
    z = to_complex(segments)
    d0, d1, d2 = z[:, 1] - z[:, 0], z[:, 2] - z[:, 1], z[:, 3] - z[:, 2]
    bend = np.maximum(np.abs(d1 - d0), np.abs(d2 - d1))
    counts = np.ceil(np.sqrt(bend * (0.75 / tolerance)))
    chord = z[:, 3] - z[:, 0]
    # Both handles in the chord's frame, times its length: along and off.
    conj = chord.conj()
    first, last = conj * d0, conj * d2
    size = conj.real * chord.real - conj.imag * chord.imag
    wide = np.maximum(np.abs(first.imag), np.abs(last.imag))
    straight = (
        (size > 0.0)
        & (np.minimum(first.real, last.real) >= 0.0)
        & (np.maximum(first.real, last.real) <= size)
        & (9.0 * wide * wide <= 16.0 * tolerance * tolerance * size)
    )
    counts[straight] = 1.0
    return np.clip(counts, 1.0, 1e12).astype(np.int64)


@lru_cache(maxsize=1024)
def _basis(count: int) -> ComplexArray:
    """Bernstein weights (4, count + 1) at equal steps, both ends exact."""
    t = np.arange(count + 1) / count
    s = 1.0 - t
    return np.stack((s**3, 3 * s * s * t, 3 * s * t * t, t**3)).astype(np.complex128)


def flatten_ragged(segments: ArrayLike, tolerance: float) -> tuple[FloatArray, IntArray, IntArray]:
    """All points of all flattened segments in one array, and where each lies in it.

    Points (M, 2), starts (N,) and ends (N,): segment i is points[starts[i]:ends[i]], its own
    ends included. Segments are grouped by their number of chords, one matrix product a group,
    so they do not lie in their own order.
    """
    p = as_segments(segments)
    counts = chord_counts(p, tolerance)
    order = np.argsort(counts, kind="stable")
    if counts.sum() > _MOST_CHORDS:
        raise GeometryError(
            f"a chord tolerance of {tolerance:.3g} mm would need {int(counts.sum())} chords, "
            f"more than {_MOST_CHORDS}"
        )
    ends = np.empty_like(counts)
    running = np.cumsum(counts[order] + 1)
    ends[order] = running
    total = int(running[-1]) if running.size else 0
    out = np.empty(total, dtype=np.complex128)
    z = to_complex(p)[order]
    sizes = np.bincount(counts) if counts.size else counts
    row = at = 0
    for count in np.flatnonzero(sizes).tolist():
        size = int(sizes[count])
        room = out[at : at + size * (count + 1)].reshape(size, count + 1)
        np.matmul(z[row : row + size], _basis(count), out=room)
        row += size
        at += size * (count + 1)
    return to_real(out), ends - counts - 1, ends


def flatten_many(segments: ArrayLike, tolerance: float) -> list[FloatArray]:
    """Each of segments (N, 4, 2) as its own points (M_i, 2), ends included."""
    points, starts, ends = flatten_ragged(segments, tolerance)
    return [points[a:b] for a, b in zip(starts.tolist(), ends.tolist(), strict=True)]


def flatten_chain(segments: FloatArray, tolerance: float, *, closed: bool) -> FloatArray:
    """One polyline (N, 2) through a chain; of a closed one the first point is not repeated."""
    points, starts, ends = flatten_ragged(segments, tolerance)
    sizes = ends - starts - 1  # each segment without its last point
    behind = np.cumsum(sizes) - sizes
    index = np.arange(int(sizes.sum())) + np.repeat(starts - behind, sizes)
    if not closed:
        index = np.append(index, ends[-1] - 1)
    out: FloatArray = points[index]
    return out
