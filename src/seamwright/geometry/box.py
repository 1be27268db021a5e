"""Exact bounding boxes of cubics."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from .evaluate import as_segments
from .kinds import FloatArray


def segment_boxes(segments: ArrayLike) -> FloatArray:
    """Exact boxes (N, 4) as x0, y0, x1, y1 of segments (N, 4, 2).

    The extremes of each coordinate are its ends and the roots of its derivative, a quadratic.
    """
    p = as_segments(segments)
    d = p[:, 1:] - p[:, :-1]
    c = d[:, 0]
    half_b = d[:, 1] - d[:, 0]
    a = d[:, 2] - 2.0 * d[:, 1] + d[:, 0]
    root = np.sqrt(np.maximum(half_b * half_b - a * c, 0.0))
    q = -(half_b + np.copysign(root, half_b))
    with np.errstate(divide="ignore", invalid="ignore"):
        t = np.stack((q / a, c / q))
    t = np.where((t > 0.0) & (t < 1.0), t, 0.0)
    s = 1.0 - t
    p0 = p[:, 0]
    inner = p0 + t * (
        3.0 * s * s * (p[:, 1] - p0) + t * (3.0 * s * (p[:, 2] - p0) + t * (p[:, 3] - p0))
    )
    low = np.minimum(np.minimum(inner[0], inner[1]), np.minimum(p0, p[:, 3]))
    high = np.maximum(np.maximum(inner[0], inner[1]), np.maximum(p0, p[:, 3]))
    return np.concatenate((low, high), axis=1)


def bounding_box(segments: ArrayLike) -> FloatArray:
    """One exact box (4,) as x0, y0, x1, y1 of all segments (N, 4, 2), N at least 1."""
    boxes = segment_boxes(segments)
    return np.concatenate((boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)))
