"""What one piece in one size draws, by the standard's layers, as plain data.

Both kinds of file are written from this: the standard's blocks, and plain drawings.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import Curve, Station
from seamwright.model import Foreign, InternalLine, LineRole, Notch, Piece, SeamLineSource, Shape
from seamwright.numbers import fixed
from seamwright.plugins.api import Finding, Severity

from ..meaning import layers as std

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

_BEND = 20.0
_SAME = 1e-6


@dataclass(slots=True)
class Stroke:
    """A line to draw: its curve, and which of its joints are turn and curve points.

    curve_joints  further joints that become curve points if the curve is flattened
    """

    layer: str
    curve: Curve
    turn: IntArray
    curve_points: IntArray
    curve_joints: IntArray


@dataclass(slots=True)
class Mark:
    """A notch: layer, place, direction it points (degrees in the drawing, None unknown)."""

    layer: str
    x: float
    y: float
    direction: float | None
    inward: float
    notch: Notch


@dataclass(slots=True)
class Drawn:
    """Everything of one shape. seam: which layer is the seam line (0: none, 1, 14)."""

    piece: Piece
    shape: Shape
    seam: int
    strokes: list[Stroke]
    notches: list[Mark]
    grain: tuple[tuple[float, float], tuple[float, float]] | None
    loose_points: list[tuple[str, FloatArray]] = field(default_factory=list)
    grades: list[tuple[int, float, float, str]] = field(default_factory=list)


def draw(piece: Piece, shape: Shape, findings: list[Finding]) -> Drawn:
    """The shape by layers."""
    strokes: list[Stroke] = []
    corners = np.array([c.station.segment for c in shape.corners], dtype=np.int64)
    marked = np.array([s.segment for s in shape.curve_points if s.t == 0.0], dtype=np.int64)
    joints = np.setdiff1d(_bent_joints(shape.seam_line), corners)
    both = shape.cut_line is not None
    seam = Stroke(str(std.SEW if both else std.BOUNDARY), shape.seam_line, corners, marked, joints)
    loose, lettered = _kept_points(shape.foreign)
    if shape.cut_line is not None:
        strokes.append(_cut_stroke(shape.cut_line, loose))
    strokes.append(seam)
    strokes += [_internal(line) for line in shape.internal_lines]
    out = Drawn(
        piece=piece,
        shape=shape,
        seam=std.SEW if both else 0 if shape.seam_line_source is SeamLineSource.CUT_LINE else 1,
        strokes=strokes,
        notches=_marks(shape),
        grain=None if shape.grain_line is None else (shape.grain_line.start, shape.grain_line.end),
        loose_points=lettered,
        grades=_grades(shape),
    )
    _still_there(out, loose, findings)
    return out


def _bent_joints(curve: Curve) -> IntArray:
    """Joints at which a curved segment begins or ends."""
    bent = np.flatnonzero(curve.kinds)
    ends = (bent + 1) % curve.n if curve.closed else bent + 1
    return np.unique(np.concatenate((bent, ends)))


def _cut_stroke(curve: Curve, loose: dict[int, FloatArray]) -> Stroke:
    """The cut line with the turn and curve points that its file gave, else with its bends."""
    none = np.empty(0, np.int64)
    if loose:
        return Stroke(str(std.BOUNDARY), curve, none, none, none)
    corners = curve.corner_segments(_BEND)
    return Stroke(
        str(std.BOUNDARY), curve, corners, none, np.setdiff1d(_bent_joints(curve), corners)
    )


def _internal(line: InternalLine) -> Stroke:
    layer = line_layer(line)
    turn = np.array(line.turn_points, dtype=np.int64)
    marked = np.array(line.curve_points, dtype=np.int64)
    joints = np.empty(0, np.int64)
    count = line.curve.n + (0 if line.curve.closed else 1)
    turn, marked = turn[turn < count], marked[marked < count]
    number = std.number_of(layer)
    if number in (std.INTERNAL, std.CUTOUT, std.SEW) and not std.number_of(line.layer) >= 0:
        # Drawn elsewhere: the standard wants its turn points too.
        turn = line.curve.corner_segments(_BEND)
        if not line.curve.closed:
            turn = np.union1d(turn, [0, line.curve.n])
        joints = np.setdiff1d(_bent_joints(line.curve), turn)
    return Stroke(layer, line.curve, turn, marked, joints)


def line_layer(line: InternalLine) -> str:
    """The layer of an internal line: the one its DXF file had, if that means the same, else the
    standard's for its kind."""
    wanted = std.LINE_LAYER[line.kind]
    number = std.number_of(line.layer)
    if number >= 0:
        kind = std.LINES.get(number)
        if kind is line.kind or (number == std.GRADE_REFERENCE and wanted == number):
            return line.layer
    return str(wanted)


def _marks(shape: Shape) -> list[Mark]:
    out: list[Mark] = []
    for role, curve in ((LineRole.SEAM, shape.seam_line), (LineRole.CUT, shape.cut_line)):
        chosen = [n for n in shape.notches if n.line is role]
        if not chosen or curve is None:
            continue
        segments = [n.station.segment for n in chosen]
        ts = [n.station.t for n in chosen]
        places = curve.points_of(segments, ts) + np.array([n.offset for n in chosen])
        tangents = curve.tangents_of(segments, ts)
        inward = np.degrees(np.arctan2(tangents[:, 0], -tangents[:, 1]))
        for notch, (x, y), normal in zip(chosen, places.tolist(), inward.tolist(), strict=True):
            direction = None if notch.angle is None else (normal + notch.angle) % 360.0
            out.append(Mark(str(std.NOTCH_LAYER[notch.type]), x, y, direction, normal, notch))
    return out


def _grades(shape: Shape) -> list[tuple[int, float, float, str]]:
    out = []
    for point in shape.grade_points:
        if point.at is not None:
            x, y = point.at
        else:
            curve = shape.cut_line if point.line is LineRole.CUT else shape.seam_line
            if curve is None or point.station is None:
                continue
            x, y = (float(v) for v in curve.point_of(Station(*point.station)))
        out.append((point.rule, x, y, point.layer or str(std.BOUNDARY)))
    return out


_WHERE = "points on layer "


def _kept_points(
    foreign: Iterable[Foreign],
) -> tuple[dict[int, FloatArray], list[tuple[str, FloatArray]]]:
    """Points that the DXF file had: turn and curve points by layer number; others by layer name."""
    marks: dict[int, list[FloatArray]] = {}
    others: list[tuple[str, FloatArray]] = []
    for item in foreign:
        if item.format != "dxf" or not item.where.startswith(_WHERE):
            continue
        layer = item.where[len(_WHERE) :]
        try:
            xy = np.array([[float(v) for v in p.split()] for p in item.data.split(";")])
        except ValueError:
            continue
        if xy.ndim != 2 or xy.shape[1] != 2:
            continue
        number = std.number_of(layer)
        if number in (std.TURN_POINTS, std.CURVE_POINTS):
            marks.setdefault(number, []).append(xy)
        else:
            others.append((layer, xy))
    return {k: np.concatenate(v) for k, v in marks.items()}, others


def _still_there(drawn: Drawn, loose: dict[int, FloatArray], findings: list[Finding]) -> None:
    """Kept turn and curve points are written if a vertex still stands there."""
    if not loose:
        return
    joints = np.concatenate([s.curve.joints for s in drawn.strokes])
    for number, xy in loose.items():
        apart = np.array([np.hypot(*(joints - p).T).min() for p in xy])
        stays = apart <= 1.0
        if stays.any():
            drawn.loose_points.append((str(number), xy[stays]))
        if not stays.all():
            findings.append(
                Finding(
                    code="point.gone",
                    severity=Severity.NOTE,
                    message=f"{int((~stays).sum())} points of layer {number} have lost their "
                    "vertex; they are not written",
                    piece=drawn.piece.name,
                    size=drawn.shape.size,
                )
            )


def fact_text(notch: Notch) -> str:
    """Kind, depth, width and angle of a notch, as our own marks hold them."""
    numbers = (notch.depth, notch.width, notch.angle)
    return ";".join([notch.type.value, *("" if n is None else fixed(n) for n in numbers)])


def points_of_layers(
    strokes: Sequence[Stroke],
    joints: Sequence[IntArray],
    points: Sequence[FloatArray],
    bent: Sequence[bool],
) -> dict[int, FloatArray]:
    """Turn and curve points of all strokes, each place once: layer number -> (N, 2).

    joints, points, bent   of the flattened strokes
    """
    turn: list[FloatArray] = []
    curve: list[FloatArray] = []
    for stroke, at, xy, is_bent in zip(strokes, joints, points, bent, strict=True):
        turn.append(xy[at[stroke.turn]])
        chosen = stroke.curve_points
        if is_bent:
            chosen = np.union1d(chosen, stroke.curve_joints).astype(np.int64)
        curve.append(xy[at[chosen]])
    return {
        number: _once(np.concatenate(found)) if found else np.empty((0, 2))
        for number, found in ((std.TURN_POINTS, turn), (std.CURVE_POINTS, curve))
    }


def _once(xy: FloatArray) -> FloatArray:
    """Places without repeats, in order."""
    if len(xy) < 2:
        return xy
    _, first = np.unique(np.round(xy / _SAME).astype(np.int64), axis=0, return_index=True)
    return xy[np.sort(first)]
