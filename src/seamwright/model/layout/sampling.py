"""Points close together on many curves at once: what a grid of cells is filled from."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from seamwright.geometry import Curve, FloatArray, flatten_ragged


def samples(curves: Iterable[Curve], spacing: float) -> FloatArray:
    """Points (M, 2) on the curves, neighbours at most `spacing` mm apart along each of them,
    and within a tenth of it of the curve. In no order that means anything."""
    parts = [curve.segments for curve in curves]
    if not parts:
        return np.zeros((0, 2))
    points, _, ends = flatten_ragged(np.concatenate(parts), 0.1 * spacing)
    inner = np.ones(len(points), dtype=bool)
    inner[ends - 1] = False
    first = np.flatnonzero(inner)
    a = points[first]
    step = points[first + 1] - a
    counts = np.maximum(np.ceil(np.hypot(step[:, 0], step[:, 1]) / spacing), 1.0).astype(np.int64)
    chord = np.repeat(np.arange(len(counts)), counts)
    before = np.cumsum(counts) - counts
    share = (np.arange(int(counts.sum())) - before[chord]) / counts[chord]
    return np.concatenate((a[chord] + share[:, None] * step[chord], points[ends - 1]))
