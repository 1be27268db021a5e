"""Curves as polylines within a chord tolerance, joints kept and remembered; many at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import Curve, flatten_ragged

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Flat:
    """One flattened curve.

    points  (V, 2) vertices; of a closed curve the first is not repeated
    joints  (J,) vertex of each joint of the curve
    closed  whether it closes
    bent    whether anything was flattened
    """

    points: FloatArray
    joints: IntArray
    closed: bool
    bent: bool


def flatten_all(curves: Sequence[Curve], tolerance: float) -> list[Flat]:
    """All curves flattened by one call of the kernel."""
    if not curves:
        return []
    bent = [bool(c.kinds.any()) for c in curves]
    chosen = [c for c, b in zip(curves, bent, strict=True) if b]
    found: list[tuple[FloatArray, IntArray]] = []
    if chosen:
        points, starts, ends = flatten_ragged(
            np.concatenate([c.segments for c in chosen]), tolerance
        )
        counts = ends - starts
        offsets = np.concatenate(([0], np.cumsum(counts)))
        index = np.repeat(starts - offsets[:-1], counts) + np.arange(int(offsets[-1]))
        points = points[index]
        at = 0
        for curve in chosen:
            bounds = offsets[at : at + curve.n + 1]
            at += curve.n
            found.append((points[bounds[0] : bounds[-1]], bounds - bounds[0]))
    out = []
    pieces = iter(found)
    for curve, is_bent in zip(curves, bent, strict=True):
        if not is_bent:
            joints = np.arange(curve.n + (0 if curve.closed else 1))
            out.append(Flat(curve.joints, joints, curve.closed, False))
            continue
        points, bounds = next(pieces)
        # Each segment brings both its ends: its last point is the next one's first.
        keep = np.ones(len(points), dtype=bool)
        keep[bounds[1:] - 1] = False
        if not curve.closed:
            keep[-1] = True
        index = np.cumsum(keep) - 1
        joints = index[bounds[:-1]]
        if not curve.closed:
            joints = np.append(joints, index[-1])
        out.append(Flat(points[keep], joints, curve.closed, True))
    return out
