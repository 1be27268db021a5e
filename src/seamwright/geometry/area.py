"""Signed area inside closed outlines by Green's formula, exact for cubics."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from .evaluate import as_segments
from .kinds import FloatArray


def _cross(a: FloatArray, b: FloatArray) -> FloatArray:
    out: FloatArray = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    return out


def area_terms(segments: FloatArray, origins: FloatArray) -> FloatArray:
    """Each segment's share (N,) of the area seen from origins (N, 2) or (2,).

    1/2 int (x dy - y dx) over one cubic with c(a, b) = ax by - ay bx is
    (6 c01 + 3 c02 + c03 + 3 c12 + 3 c13 + 6 c23) / 20 (Green's theorem; standard calculus).
    """
    p = segments - (origins[:, None, :] if origins.ndim == 2 else origins)
    p0, p1, p2, p3 = p[:, 0], p[:, 1], p[:, 2], p[:, 3]
    total: FloatArray = (
        6.0 * (_cross(p0, p1) + _cross(p2, p3))
        + 3.0 * (_cross(p0, p2) + _cross(p1, p2) + _cross(p1, p3))
        + _cross(p0, p3)
    ) / 20.0
    return total


def signed_areas(segments: ArrayLike, offsets: ArrayLike) -> FloatArray:
    """Signed areas (M,) of M closed outlines laid end to end in segments (N, 4, 2).

    offsets (M + 1,) are the indices where each outline begins, with N last. Positive where an
    outline runs anticlockwise. Seen from each outline's own first point, so that a drawing far
    from the origin loses nothing.
    """
    array = as_segments(segments)
    bounds = np.asarray(offsets, dtype=np.int64)
    starts, counts = bounds[:-1], np.diff(bounds)
    if array.shape[0] == 0:
        return np.zeros(starts.shape[0])
    origins = np.repeat(array[np.minimum(starts, array.shape[0] - 1), 0], counts, axis=0)
    terms = np.concatenate(([0.0], area_terms(array[bounds[0] : bounds[-1]], origins)))
    # reduceat on the shares themselves: a difference of running sums would cancel.
    out = np.zeros(starts.shape[0])
    some = counts > 0
    if some.any():
        out[some] = np.add.reduceat(terms[1:], (starts - bounds[0])[some])
    return out
