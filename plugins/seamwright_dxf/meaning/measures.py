"""Small measures of strokes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import signed_areas

from ..drawing.strokes import Strokes

FloatArray = NDArray[np.float64]


def areas_of(strokes: Strokes) -> FloatArray:
    """Signed areas (S,) of the closed strokes, 0 for open ones."""
    out = np.zeros(strokes.n)
    at = np.flatnonzero(strokes.closed)
    if at.size:
        part = strokes.picked(at)
        out[at] = signed_areas(part.segments, part.offsets)
    return out


def lengths_of(strokes: Strokes) -> FloatArray:
    """Lengths (S,) of the control polygons: enough to tell short strokes from long ones."""
    if not strokes.n:
        return np.empty(0)
    step = np.diff(strokes.segments, axis=1)
    each = np.hypot(step[..., 0], step[..., 1]).sum(axis=1)
    return np.asarray(np.add.reduceat(each, strokes.offsets[:-1]))


def round_line(segments: FloatArray) -> tuple[float, float, float] | None:
    """x, y and diameter of a closed line (K, 4, 2) that is a circle within 1 %, else None."""
    joints = segments[:, 0]
    middles = (segments[:, 0] + 3.0 * segments[:, 1] + 3.0 * segments[:, 2] + segments[:, 3]) / 8.0
    places = np.concatenate((joints, middles))
    centre = places.mean(axis=0)
    radius = np.hypot(*(places - centre).T)
    mean = float(radius.mean())
    if mean <= 0.0 or np.abs(radius - mean).max() > 0.01 * mean:
        return None
    return float(centre[0]), float(centre[1]), 2.0 * mean
