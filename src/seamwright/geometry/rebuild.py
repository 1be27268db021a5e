"""Control points mapped by a matrix, and gaps bridged."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from .evaluate import line_segments
from .kinds import LINE, FloatArray, GeometryError, KindArray


def apply_matrix(segments: FloatArray, matrix: ArrayLike) -> FloatArray:
    """Control points under an affine matrix 2x3 or 3x3; GeometryError for other matrices."""
    m = np.asarray(matrix, dtype=np.float64)
    if m.shape not in ((2, 3), (3, 3)):
        raise GeometryError(f"an affine matrix is 2x3 or 3x3, not {m.shape}")
    if not np.isfinite(m).all():
        raise GeometryError("the matrix has a number that is not finite")
    if m.shape == (3, 3) and not np.array_equal(m[2], [0.0, 0.0, 1.0]):
        raise GeometryError("the last row of an affine 3x3 matrix is 0 0 1")
    out: FloatArray = segments @ m[:2, :2].T + m[:2, 2]
    return out


def bridge(
    segments: FloatArray, kinds: KindArray, before: int, after: int, tolerance: float
) -> None:
    """Lets the end of one segment and the start of another meet half way, in place.

    Their handles move along, so that directions stay. GeometryError: a gap above tolerance.
    """
    gap = segments[after, 0] - segments[before, 3]
    size = float(np.hypot(gap[0], gap[1]))
    if size == 0.0:
        return
    if not size <= max(tolerance, 4.0 * float(np.spacing(np.abs(segments).max()))):
        raise GeometryError(
            f"the ends lie {size:.6g} mm apart, more than the tolerance of {tolerance:.6g} mm"
        )
    meet = segments[before, 3] + gap / 2.0
    segments[before, 2] += gap / 2.0
    segments[after, 1] -= gap / 2.0
    segments[before, 3] = meet
    segments[after, 0] = meet
    for i in (before, after):
        if kinds[i] == LINE:
            segments[i] = line_segments(segments[i : i + 1, 0], segments[i : i + 1, 3])[0]
