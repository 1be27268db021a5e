"""A rigid or affine map of everything in a piece."""

from __future__ import annotations

from dataclasses import replace
from math import atan2, degrees, sqrt
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from seamwright.geometry import FloatArray, GeometryError

from ..build import build_shape
from ..marking import Dart, DrillHole, GrainLine, InternalLine, Point, Text
from ..marks import Notch
from ..shape import Shape


def transform(shape: Shape, matrix: ArrayLike) -> Shape:
    """The shape under an affine matrix 2x3 or 3x3 (column vectors: p' = A p + b), mm.

    Lines, marks, texts and holes go along. A matrix that mirrors turns the outline over: corners
    keep their names where a file or plan named them, and are counted anew where they bear
    numbers; a notch's angle and a text's rotation are mirrored with them. Depths and widths of
    notches, diameters of holes and allowances are not scaled: they belong to tools and
    habits, not to the drawing's size. GeometryError for a matrix that flattens the piece.
    """
    m = np.asarray(matrix, dtype=np.float64)[:2, :3]
    determinant = float(m[0, 0] * m[1, 1] - m[0, 1] * m[1, 0])
    if not np.isfinite(m).all() or abs(determinant) < 1e-12:
        raise GeometryError("the map flattens the piece to a line")

    def point(p: Point) -> Point:
        x, y = m @ np.array([p[0], p[1], 1.0])
        return (float(x), float(y))

    mirrored = determinant < 0
    cut_line = None if shape.cut_line is None else shape.cut_line.transformed(m)
    inside: dict[str, Any] = {
        "grain_line": None
        if shape.grain_line is None
        else GrainLine(start=point(shape.grain_line.start), end=point(shape.grain_line.end)),
        "internal_lines": tuple(_line(line, m) for line in shape.internal_lines),
        "drill_holes": tuple(
            DrillHole(at=point(h.at), diameter=h.diameter, name=h.name, category=h.category)
            for h in shape.drill_holes
        ),
        "texts": tuple(_text(t, m) for t in shape.texts),
    }
    grade_points = tuple(
        g if g.at is None else replace(g, at=point(g.at)) for g in shape.grade_points
    )
    darts = tuple(
        Dart(name=d.name, left=d.left, right=d.right, apex=point(d.apex)) for d in shape.darts
    )
    outline = shape.seam_line.transformed(m)
    if not mirrored:
        return shape.but(
            seam_line=outline, cut_line=cut_line, darts=darts, grade_points=grade_points, **inside
        )
    notches = [_mirrored(n) for n in shape.notches]
    return build_shape(
        size=shape.size,
        outline=outline,
        corners=[c.station for c in shape.corners],
        corner_names=[None if _counted(c.name) else c.name for c in shape.corners],
        notches=[replace(n, name="") if _counted(n.name) else n for n in notches],
        darts=darts,
        grade_points=grade_points,
        curve_points=shape.curve_points,
        cut_line=cut_line,
        allowances=shape.allowances,
        seam_line_source=shape.seam_line_source,
        mirrored_half=shape.mirrored_half,
        flags=shape.flags,
        foreign=shape.foreign,
        **inside,
    )


def _counted(name: str) -> bool:
    head, _, tail = name.rpartition("-")
    return head in ("corner", "notch") and tail.isdigit()


def _mirrored(notch: Notch) -> Notch:
    return notch if notch.angle is None else replace(notch, angle=-notch.angle)


def _line(line: InternalLine, m: FloatArray) -> InternalLine:
    return InternalLine(
        kind=line.kind,
        curve=line.curve.transformed(m),
        name=line.name,
        layer=line.layer,
        turn_points=line.turn_points,
        curve_points=line.curve_points,
    )


def _text(text: Text, m: FloatArray) -> Text:
    angle = np.radians(text.rotation)
    along = m[:, :2] @ np.array([np.cos(angle), np.sin(angle)])
    scale = sqrt(abs(float(np.linalg.det(m[:, :2]))))
    x, y = m @ np.array([text.at[0], text.at[1], 1.0])
    return replace(
        text,
        at=(float(x), float(y)),
        rotation=degrees(atan2(along[1], along[0])),
        height=text.height * scale,
    )
