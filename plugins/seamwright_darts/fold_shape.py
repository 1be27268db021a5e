"""The shape of a dart's mouth: the edge of the folded dart, reflected in the legs.

A folded dart lies double under one side: the half wedge beside that side's leg is turned over the
leg, the other half is turned about the point until both legs lie on each other. Both must end at
the edge on which they lie; so the mouth is that edge, reflected in its leg up to the dart's middle,
and from there the same edge turned about the point on to the other leg. Pressed open, each half is
turned over its own leg. (Reflection in the legs: plane geometry; that the cap of a dart is the edge
of the folded dart: common practice, no source.)
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from seamwright.geometry import Curve, FloatArray, GeometryError
from seamwright.model import Shape
from seamwright.model.edit import turn_about, wedge_of
from seamwright.model.marking import Dart

Under = Literal["left", "right", "open"]

_STEP = 0.01  # mm; a smaller step in the middle cannot be cut: the second half begins at the first


def fold_shape(shape: Shape, dart: Dart, under: Under) -> Curve:
    """The mouth, from left to right, of a dart whose legs are equal.

    under  the side under which the fold lies: left is the edge before the mouth in outline order
    GeometryError where the edge beside the mouth ends before the fold does.
    """
    w = wedge_of(shape, dart)
    seam = shape.seam_line
    rest = seam.part(seam.length_of(dart.right), seam.length_of(dart.left))
    if under == "left":
        edge = _covered(rest, w.apex, w.left, -w.angle / 2.0, last=True)
        first = edge.reversed().transformed(_mirror(w.apex, w.left))
        second = edge.transformed(turn_about(w.apex, w.angle))
    elif under == "right":
        edge = _covered(rest, w.apex, w.right, w.angle / 2.0, last=False)
        first = edge.transformed(turn_about(w.apex, -w.angle))
        second = edge.reversed().transformed(_mirror(w.apex, w.right))
    else:
        before = _covered(rest, w.apex, w.left, -w.angle / 2.0, last=True)
        after = _covered(rest, w.apex, w.right, w.angle / 2.0, last=False)
        first = before.reversed().transformed(_mirror(w.apex, w.left))
        second = after.reversed().transformed(_mirror(w.apex, w.right))
    if float(np.hypot(*(second.start - first.end))) > _STEP:
        # Pressed open, both halves end on the middle line, perhaps at different depths.
        first = first.joined(Curve.line(first.end, second.start))
    whole = np.concatenate((first.segments, second.segments))
    kinds = np.concatenate((first.kinds, second.kinds))
    whole[0, 0], whole[-1, 3] = w.left, w.right
    whole[first.n, 0] = whole[first.n - 1, 3]
    return Curve.from_segments(whole, kinds)


def _covered(
    rest: Curve, apex: FloatArray, end: FloatArray, degrees: float, *, last: bool
) -> Curve:
    """The stretch of the outline beside the mouth that the fold lies under, in outline order."""
    a = np.radians(degrees)
    c, s = float(np.cos(a)), float(np.sin(a))
    way = end - apex
    box = rest.bbox
    reach = float(np.hypot(box[2] - box[0], box[3] - box[1])) * 2.0 / float(np.hypot(*way))
    ray = Curve.line(
        apex, apex + reach * np.array([c * way[0] - s * way[1], s * way[0] + c * way[1]])
    )
    at = rest.intersections(ray).own
    if not len(at):
        raise GeometryError("the edge beside the mouth ends before the fold does")
    cut = float(at.max() if last else at.min())
    return rest.part(cut, rest.length) if last else rest.part(0.0, cut)


def _mirror(a: FloatArray, b: FloatArray) -> FloatArray:
    """Reflection in the line through two points, 2x3."""
    d = (b - a) / np.hypot(*(b - a))
    m = 2.0 * np.outer(d, d) - np.eye(2)
    return np.column_stack((m, a - m @ a))
