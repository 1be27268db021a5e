"""What is drawn of a piece, line by line: for pens and pictures that know lines only."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np

from seamwright.geometry import CUBIC, Curve, FloatArray

from .marking import InternalKind
from .marks import LineRole, Notch, NotchType
from .shape import Shape

Point = tuple[float, float]

#: mm; how a notch is drawn whose depth or width nobody stated.
DEPTH: Final = 5.0
WIDTH: Final = {
    NotchType.V: 5.0, NotchType.CHECK: 4.0, NotchType.CASTLE: 4.0, NotchType.T: 5.0,
    NotchType.U: 4.0, NotchType.SLIT: 0.0,
}  # fmt: skip
_HOLE: Final = 3.0  # mm; diameter of a hole that states none
_TIP: Final = 8.0  # mm; an arrow head


class Ink(StrEnum):
    """What a drawn line is for."""

    CUT = "cut"
    SEAM = "seam"
    NOTCH = "notch"
    GRAIN = "grain"
    INSIDE = "inside"
    CUTOUT = "cutout"
    HOLE = "hole"
    TEXT = "text"


@dataclass(frozen=True, slots=True, eq=False)
class DrawnLine:
    """A line and what it is for, mm, y up."""

    ink: Ink
    curve: Curve


def drawn_lines(shape: Shape) -> tuple[DrawnLine, ...]:
    """Everything of a piece in one size that a pen can draw, words left out."""
    out: list[DrawnLine] = []

    def add(ink: Ink, *curves: Curve) -> None:
        out.extend(DrawnLine(ink, c) for c in curves)

    if shape.cut_line is not None:
        add(Ink.CUT, shape.cut_line)
    add(Ink.SEAM, shape.seam_line)
    for notch in shape.notches:
        on_cut = notch.line is LineRole.CUT and shape.cut_line is not None
        line = shape.cut_line if on_cut and shape.cut_line is not None else shape.seam_line
        add(Ink.NOTCH, *notch_curves(notch, line))
    grain = shape.grain_line
    if grain is not None and math.dist(grain.start, grain.end) > 1e-6:
        add(Ink.GRAIN, Curve.line(grain.start, grain.end), _arrow(grain.end, grain.start))
    for inner in shape.internal_lines:
        add(Ink.CUTOUT if inner.kind is InternalKind.CUTOUT else Ink.INSIDE, inner.curve)
    for dart in shape.darts:
        left, right = shape.seam_line.points_of(
            [dart.left.segment, dart.right.segment], [dart.left.t, dart.right.t]
        )
        add(Ink.INSIDE, Curve.polyline(np.array([left, dart.apex, right])))
    for hole in shape.drill_holes:
        wide = hole.diameter if hole.diameter is not None and hole.diameter > 1e-3 else _HOLE
        add(Ink.HOLE, Curve.circle(hole.at, wide / 2))
    return tuple(out)


def notch_curves(notch: Notch, line: Curve) -> tuple[Curve, ...]:
    """A notch as lines, the first of which starts on `line`.

    The depth runs inside, turned by the notch's angle from the inward normal; the width lies
    along the line.
    """
    x, y = (float(v) for v in line.point_of(notch.station))
    tangent = line.tangents_of([notch.station.segment], [notch.station.t])[0]
    tx, ty = float(tangent[0]), float(tangent[1])
    turn = math.radians(notch.angle or 0.0)
    nx, ny = -ty, tx
    dx, dy = nx * math.cos(turn) - ny * math.sin(turn), nx * math.sin(turn) + ny * math.cos(turn)
    depth = DEPTH if notch.depth is None else notch.depth
    width = WIDTH[notch.type] if notch.width is None else notch.width
    half = width / 2
    if depth <= 1e-9:
        return ()

    def poly(*places: Point) -> Curve:
        return Curve.polyline(np.array([at(*p) for p in places]))

    def at(along: float, deep: float) -> Point:
        return x + along * tx + deep * dx, y + along * ty + deep * dy

    if half <= 1e-9 or notch.type is NotchType.SLIT:
        return (poly((0.0, 0.0), (0.0, depth)),)
    match notch.type:
        case NotchType.V:
            return (poly((-half, 0.0), (0.0, depth), (half, 0.0)),)
        case NotchType.CHECK:
            return (poly((-half, 0.0), (-half, depth), (half, 0.0)),)
        case NotchType.CASTLE:
            return (poly((-half, 0.0), (-half, depth), (half, depth), (half, 0.0)),)
        case NotchType.T:
            stem, bar = poly((0.0, 0.0), (0.0, depth)), poly((-half, depth), (half, depth))
            return (stem, bar)
    points: FloatArray = np.array(
        [[at(-half, 0.0), at(-half, depth * 4 / 3), at(half, depth * 4 / 3), at(half, 0.0)]]
    )
    return (Curve.from_segments(points, np.array([CUBIC], dtype=np.uint8)),)


def _arrow(tip: Point, tail: Point) -> Curve:
    """The open head at `tip` of a line from `tail`."""
    step = np.array(tail) - np.array(tip)
    along = step / float(np.hypot(*step))
    across = np.array([-along[1], along[0]])
    back = np.array(tip) + _TIP * along
    return Curve.polyline(np.array([back + 0.35 * _TIP * across, tip, back - 0.35 * _TIP * across]))
