"""The line at which a piece is lengthened, and which part moves where."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seamwright.geometry import Curve, FloatArray, GeometryError
from seamwright.model import Shape

_ON = 1e-3  # mm; nearer than this a line's own start is met, not the other side
_ALONG = 0.1  # sine of the smallest angle at which a line may leave the edge


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Level:
    """begin, end  where the line meets the seam line (lengths from corner 1): the part that moves
                lies between them in outline order
    origin      a point of the line; normal: unit, square to it, into the part that moves
    way         unit direction in which the part moves when the piece becomes longer
    """

    begin: float
    end: float
    origin: FloatArray
    normal: FloatArray
    way: FloatArray


def line_across(shape: Shape, at: float, to: float | None) -> tuple[FloatArray, float, float]:
    """A line through the piece from the length `at` on its seam line: to the length `to`, or
    square to the grain. Returns its direction, and where it begins and ends."""
    seam = shape.seam_line
    point = np.asarray(seam.point_at(at))
    if to is not None:
        across = np.asarray(seam.point_at(to)) - point
        reach = float(np.hypot(*across))
        if reach <= _ON:
            raise GeometryError("the line begins and ends at one place")
        inner = seam.intersections(Curve.line(point, point + across))
        middle = (inner.others > _ON) & (inner.others < reach - _ON)
        if middle.any() or not _inward(seam, at, across / reach):
            raise GeometryError("the line leaves the piece on its way")
        return across / reach, at, to
    if shape.grain_line is None:
        raise GeometryError("the piece has no grain line: name the line's other end (`to`)")
    grain = np.asarray(shape.grain_line.end) - np.asarray(shape.grain_line.start)
    across = np.array([grain[1], -grain[0]]) / float(np.hypot(*grain))
    if not _inward(seam, at, across):
        across = -across
    if not _inward(seam, at, across):
        raise GeometryError("a line square to the grain runs along the edge here")
    x0, y0, x1, y1 = seam.bbox
    ray = Curve.line(point, point + float(np.hypot(x1 - x0, y1 - y0)) * across)
    found = seam.intersections(ray)
    beyond = found.others > _ON
    if not beyond.any():
        raise GeometryError("the line does not meet the other side of the piece")
    k = int(np.argmin(np.where(beyond, found.others, np.inf)))
    return across, at, float(found.own[k])


def _inward(seam: Curve, at: float, direction: FloatArray) -> bool:
    """Whether a direction leads into the piece from a place of its outline."""
    return float(np.asarray(seam.normal_at(at)) @ direction) > _ALONG


def moved_is_right(shape: Shape, begin: float, end: float) -> bool:
    """Whether the part to the right of the line (from begin to end in outline order) is the
    smaller one."""
    part = shape.seam_line.part(begin, end)
    closed = part.joined(Curve.line(part.end, part.start)).closed_up()
    return bool(closed.area <= 0.5 * shape.seam_line.area)


def level_of(shape: Shape, at: float, to: float | None, *, right: bool) -> Level:
    """The line of one shape. GeometryError where it does not run through the piece, or meets the
    outline at a corner, where it is not said which edge becomes longer."""
    across, begin, end = line_across(shape, at, to)
    normal = np.array([across[1], -across[0]]) * (1.0 if right else -1.0)
    way = normal
    if shape.grain_line is not None:
        grain = np.asarray(shape.grain_line.end) - np.asarray(shape.grain_line.start)
        grain = grain / float(np.hypot(*grain))
        # Along the grain, or square to it where the line lies nearer along it.
        if abs(float(grain @ normal)) < np.sqrt(0.5):
            grain = np.array([-grain[1], grain[0]])
        way = grain * np.sign(float(grain @ normal))
    if not right:
        begin, end = end, begin
    origin = np.asarray(shape.seam_line.point_at(at))
    return Level(begin=begin, end=end, origin=origin, normal=normal, way=way)
