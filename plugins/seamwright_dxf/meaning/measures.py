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
