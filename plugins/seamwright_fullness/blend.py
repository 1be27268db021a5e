"""Openings bridged by curves that run on smoothly."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from seamwright.geometry import CUBIC, Curve, FloatArray
from seamwright.model import Shape
from seamwright.model.edit.replace_run import Replacement, replace_runs

_ON = 1e-6  # mm


def blended(
    shape: Shape, edges: Sequence[tuple[FloatArray, float, float]]
) -> tuple[Shape, int, float]:
    """The shape with each bridge, and half of the strip on both sides, redrawn as one cubic that
    has the edge's points and tangents in the middle of both strips (Hermite's cubic, handles a
    third of the chord long).

    edges   for each edge: its bridges (n, 2) by length along the seam line, and where the edge
            begins and ends, in outline order
    Returns the shape, how many bridges were left straight because a corner lies beside them, and
    how far the edge moved from the strips' own edges and the straight bridges, mm.
    """
    seam = shape.seam_line
    whole = seam.length
    corners = np.array([float(seam.cumulative[c.station.segment]) for c in shape.corners])
    replacements: list[Replacement] = []
    left, moved = 0, 0.0
    for spans, start, stop in edges:
        length = (stop - start) % whole or whole
        # By length from the edge's start, so that nothing wraps.
        low = np.mod(spans[:, 0] - start, whole)
        order = np.argsort(low)
        low = low[order]
        high = low + np.mod(spans[order, 1] - spans[order, 0], whole)
        inner = np.mod(corners - start, whole)
        inner = inner[(inner > _ON) & (inner < length - _ON)]
        stops = np.concatenate(([0.0], 0.5 * (high[:-1] + low[1:]), [length]))
        stops[0], stops[-1] = 0.5 * low[0], 0.5 * (high[-1] + length)
        for k in range(len(low)):
            a, b = float(stops[k]), float(stops[k + 1])
            if ((inner > a + _ON) & (inner < b - _ON)).any() or high[k] - low[k] <= 1e-9:
                left += 1
                continue
            old = seam.part((start + a) % whole, (start + b) % whole)
            new = _hermite(old)
            moved = max(moved, float(new.nearest(old.flatten(0.1)).distances.max()))
            replacements.append(
                Replacement(
                    start=seam.station_at((start + a) % whole),
                    end=seam.station_at((start + b) % whole),
                    curve=new,
                )
            )
    if not replacements:
        return shape, left, moved
    return replace_runs(shape, replacements).shape, left, moved


def _hermite(old: Curve) -> Curve:
    a, b = old.start, old.end
    ta, tb = old.tangent_at(0.0), old.tangents_of([old.n - 1], [1.0])[0]
    third = float(np.hypot(*(b - a))) / 3.0
    return Curve.from_segments(np.array([[a, a + third * ta, b - third * tb, b]]), [CUBIC])
