"""Corners of a closed polyline that nobody marked."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

_SHORT = 25.0
"""mm; a flattened curve has chords shorter than this (common practice, no source)."""
_ALIKE = 0.45
"""Where an arc runs into a straight line its last vertex turns by half of what the others do."""
_SURE = 50.0
"""degrees; a turn beyond this is a corner whatever its neighbours do."""


def polyline_corners(points: FloatArray, *, threshold: float = 20.0) -> IntArray:
    """Vertices (C,) of a closed polyline (N, 2) that are corners.

    A vertex is one where the line turns by more than `threshold` degrees (15 to 30 are common
    practice, no source), unless it turns by less than 50 and both neighbours, a short chord away,
    turn the same way by nearly half as much or more: then it is a vertex of a flattened
    curve. Repeated points count as one, the first of them.
    """
    n = len(points)
    fresh = np.ones(n, dtype=bool)
    fresh[1:] = (np.diff(points, axis=0) != 0).any(axis=1)
    if n > 1 and (points[0] == points[-1]).all():
        fresh[np.flatnonzero(fresh)[-1]] = fresh.sum() <= 1
    live = np.flatnonzero(fresh)
    if live.size < 3:
        return np.empty(0, np.int64)
    p = points[live]
    step = np.roll(p, -1, axis=0) - p
    length = np.hypot(step[:, 0], step[:, 1])
    before = np.roll(step, 1, axis=0)
    turn = np.degrees(
        np.arctan2(
            before[:, 0] * step[:, 1] - before[:, 1] * step[:, 0], (before * step).sum(axis=1)
        )
    )
    size = np.abs(turn)
    alike = np.ones(live.size, dtype=bool)
    for shift in (1, -1):
        other = np.roll(turn, shift)
        alike &= (np.sign(other) == np.sign(turn)) & (np.abs(other) >= _ALIKE * size)
    alike &= (length < _SHORT) & (np.roll(length, 1) < _SHORT)
    return np.asarray(live[(size > threshold) & ((size > _SURE) | ~alike)])
