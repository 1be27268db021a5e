"""Any map of the plane, applied to control points and marks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from seamwright.geometry import LINE, Curve, FloatArray, line_segments

from ..marking import DrillHole, GrainLine
from ..shape import Shape

PlaneMap = Callable[[FloatArray], FloatArray]


def deform_curve(curve: Curve, plane_map: PlaneMap) -> Curve:
    """The curve with its control points mapped; straight lines stay straight."""
    shape = curve.segments.shape
    segments = np.asarray(plane_map(curve.segments.reshape(-1, 2)), dtype=np.float64)
    segments = segments.reshape(shape)
    straight = curve.kinds == LINE
    if straight.any():
        segments[straight] = line_segments(segments[straight, 0], segments[straight, 3])
    return Curve.from_segments(segments, curve.kinds, closed=curve.closed)


def deform(shape: Shape, plane_map: PlaneMap) -> Shape:
    """The shape with every control point, hole, text and line end mapped.

    plane_map  (N, 2) -> (N, 2), mm; the same point must always go to the same place
    Marks on the outline keep their stations (segment and parameter).
    """

    def point(p: tuple[float, float]) -> tuple[float, float]:
        x, y = np.asarray(plane_map(np.array([p], dtype=np.float64)))[0]
        return (float(x), float(y))

    return shape.but(
        seam_line=deform_curve(shape.seam_line, plane_map),
        cut_line=None if shape.cut_line is None else deform_curve(shape.cut_line, plane_map),
        darts=tuple(replace(d, apex=point(d.apex)) for d in shape.darts),
        grain_line=None
        if shape.grain_line is None
        else GrainLine(start=point(shape.grain_line.start), end=point(shape.grain_line.end)),
        internal_lines=tuple(
            replace(line, curve=deform_curve(line.curve, plane_map))
            for line in shape.internal_lines
        ),
        drill_holes=tuple(
            DrillHole(at=point(h.at), diameter=h.diameter, name=h.name, category=h.category)
            for h in shape.drill_holes
        ),
        texts=tuple(replace(t, at=point(t.at)) for t in shape.texts),
        grade_points=tuple(
            g if g.at is None else replace(g, at=point(g.at)) for g in shape.grade_points
        ),
    )
