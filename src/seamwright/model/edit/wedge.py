"""A dart's measures: legs, angle, intake, and the cloth without what its darts take in."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from seamwright.geometry import Curve, FloatArray

from ..marking import Dart
from ..shape import Shape
from .contents import Side


@dataclass(frozen=True, slots=True, kw_only=True)
class Wedge:
    """A dart's measures.

    left, right  ends of the mouth (2,), mm; legs: their distances from the point
    angle        between the legs, degrees, anticlockwise from left to right
    intake       straight distance of the ends; mouth: length of the outline between them
    """

    left: FloatArray
    right: FloatArray
    apex: FloatArray
    legs: tuple[float, float]
    angle: float
    intake: float
    mouth: float

    @property
    def bisector(self) -> FloatArray:
        """Unit direction from the point to the middle of the mouth."""
        a = (self.left - self.apex) / self.legs[0]
        half = np.radians(self.angle) / 2.0
        c, s = float(np.cos(half)), float(np.sin(half))
        return np.array([c * a[0] - s * a[1], s * a[0] + c * a[1]])


def wedge_of(shape: Shape, dart: Dart) -> Wedge:
    """Measures of one dart."""
    seam = shape.seam_line
    stations = (dart.left, dart.right)
    points = seam.points_of([s.segment for s in stations], [s.t for s in stations])
    at = seam.lengths_of([s.segment for s in stations], [s.t for s in stations])
    apex = np.asarray(dart.apex, dtype=np.float64)
    a, b = points - apex
    angle = float(np.degrees(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b)))
    return Wedge(
        left=points[0], right=points[1], apex=apex,
        legs=(float(np.hypot(*a)), float(np.hypot(*b))),
        angle=angle,
        intake=float(np.hypot(*(points[1] - points[0]))),
        mouth=float((at[1] - at[0]) % seam.length),
    )  # fmt: skip


def cloth_area(shape: Shape) -> float:
    """Area of the outline less what lies between the legs of its darts, mm2."""
    area = shape.seam_line.area
    for dart in shape.darts:
        mouth = mouth_curve(shape, dart)
        closed = mouth.joined(Curve.polyline(np.array([mouth.end, dart.apex, mouth.start])))
        area -= closed.closed_up().area
    return area


def mouth_curve(shape: Shape, dart: Dart) -> Curve:
    """The outline across a dart's mouth, from left to right."""
    seam = shape.seam_line
    return seam.part(seam.length_of(dart.left), seam.length_of(dart.right))


def with_legs_equal(shape: Shape, dart: Dart) -> tuple[Dart, float]:
    """The dart with its point moved beside itself, parallel to the mouth, until both legs are
    equally long; and by how much, mm. Mouth, intake and the area of the cloth stay."""
    w = wedge_of(shape, dart)
    across = (w.right - w.left) / w.intake
    off = float((0.5 * (w.left + w.right) - w.apex) @ across)
    if abs(off) <= 1e-12:
        return dart, 0.0
    apex = w.apex + off * across
    return replace(dart, apex=(float(apex[0]), float(apex[1]))), abs(off)


def inside_of(edge: Curve, apex: FloatArray) -> Side:
    """Whether a point lies between a stretch of outline and the apex."""
    polygon = np.concatenate((edge.flatten(0.05), apex[None]))
    a, b = polygon, np.roll(polygon, -1, axis=0)

    def test(p: FloatArray) -> bool:
        over = (a[:, 1] > p[1]) != (b[:, 1] > p[1])
        with np.errstate(divide="ignore", invalid="ignore"):
            x = a[:, 0] + (p[1] - a[:, 1]) * (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1])
        return bool((over & (p[0] < x)).sum() % 2)

    return test
