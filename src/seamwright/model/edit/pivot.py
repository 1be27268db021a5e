"""Slash and spread: part of a piece turned about a hinge, the opening filled."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from seamwright.geometry import Curve, FloatArray, GeometryError, Station

from ..marking import Dart
from ..shape import Shape
from .contents import contents_of, part_of
from .cut import place_cut
from .outline_parts import Part, part_between, plain, shape_of_parts


def turn_about(point: FloatArray, degrees: float) -> FloatArray:
    """The rigid map 2x3 that turns the plane about a point, anticlockwise."""
    a = np.radians(degrees)
    rotation = np.array([[np.cos(a), -np.sin(a)], [np.sin(a), np.cos(a)]])
    return np.column_stack((rotation, point - rotation @ point))


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Spread:
    """shape    the spread piece
    opening  the gap at the slash's open end, mm (negative: overlapped)
    """

    shape: Shape
    opening: float


def slash_and_spread(
    shape: Shape,
    line: Curve,
    degrees: float,
    *,
    turned: Literal["left", "right"] = "left",
    fill: Literal["straight", "dart"] = "straight",
    apex: tuple[float, float] | None = None,
    dart_name: str = "dart",
) -> Spread:
    """Cut along `line` (from the open end to the hinge, edge to edge) and turn one side about the
    hinge at the line's end.

    degrees   how far the side opens; negative closes it (the sides overlap)
    turned    the side of the line's direction that moves
    fill      "straight": the opening's edge is bridged by a straight line; "dart": the opening
              becomes a dart whose point is `apex` (default: the hinge)
    Edges keep their lengths, but for the bridge. GeometryError as in `place_cut`; ValueError for a
    dart that would be closed.
    """
    enters, leaves, inner = place_cut(shape, line)
    hinge = inner.end
    contents = contents_of(shape)

    def on_left(p: FloatArray) -> bool:
        near = inner.nearest(np.array([p]))
        tangent = inner.tangents_of(near.segments, near.ts)[0]
        out = p - near.points[0]
        return bool(tangent[0] * out[1] - tangent[1] * out[0] >= 0.0)

    # Travelling the outline anticlockwise: the left side runs leaves -> enters, the right side
    # enters -> leaves. Opening turns the left side anticlockwise, seen from the hinge backwards.
    left = part_between(shape, leaves, enters)
    right = part_between(shape, enters, leaves)
    left_inside = part_of(contents, inner, on_left)
    right_inside = part_of(contents, inner, lambda p: not on_left(p))
    # Seen from the hinge the open end lies behind; the left side opens clockwise about it.
    angle = -degrees if turned == "left" else degrees
    matrix = turn_about(hinge, angle)
    if turned == "left":
        left, left_inside = _pinned(left.moved(matrix), at_start=hinge), left_inside.moved(matrix)
    else:
        right, right_inside = _pinned(right.moved(matrix), at_end=hinge), right_inside.moved(matrix)
    a, b = left.curve.end, right.curve.start
    opening = float(np.hypot(*(b - a))) * (1.0 if degrees >= 0 else -1.0)
    bridge: list[Part] = []
    if fill == "dart":
        if degrees <= 0:
            raise ValueError("a dart opens; it cannot be made by overlapping")
        point = apex if apex is not None else (float(hinge[0]), float(hinge[1]))
        mouth = Curve.line(a, b)
        dart = Dart(name=dart_name, left=Station(0, 0.0), right=Station(0, 1.0), apex=point)
        bridge = [
            Part(
                curve=mouth,
                corners=((0.0, None), (mouth.length, None)),
                darts=((0.0, mouth.length, dart),),
            )
        ]
    elif abs(opening) > 1e-9:
        bridge = [plain(Curve.line(a, b))]
    grained = left_inside.with_(right_inside)
    if turned == "left" and right_inside.grain_line is not None:
        grained = replace(grained, grain_line=right_inside.grain_line)
    return Spread(
        shape=shape_of_parts(shape, [left, *bridge, right], grained),
        opening=opening,
    )


def _pinned(
    part: Part, *, at_start: FloatArray | None = None, at_end: FloatArray | None = None
) -> Part:
    """The part with its hinge end exactly on the hinge (rotation leaves a rounding error)."""
    segments = np.array(part.curve.segments)
    if at_start is not None:
        segments[0, 0] = at_start
    if at_end is not None:
        segments[-1, 3] = at_end
    return replace(part, curve=Curve.from_segments(segments, part.curve.kinds))


__all__ = ["GeometryError", "Spread", "slash_and_spread", "turn_about"]
