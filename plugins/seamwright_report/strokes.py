"""What of a shape is drawn: its lines and marks as strokes, each kind in a layer of its own."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from seamwright.geometry import LINE, Curve, FloatArray, IntArray
from seamwright.model import InternalKind, LineRole, Shape

from .packing import Strokes

# In the order in which they are drawn. s: seam line, c: cut line, i: inner lines, f: folds and
# grade references, d: darts, g: grain line, h: drill holes, n: notches.
LAYERS = ("c", "i", "f", "d", "g", "h", "n", "s")
WORDS = {
    "s": "seam line",
    "c": "cut line",
    "i": "inner lines",
    "f": "fold line",
    "d": "darts",
    "g": "grain line",
    "h": "drill holes",
    "n": "notches",
}

Layers = dict[str, Strokes]


def layers_of(shape: Shape, mark: float) -> Layers:
    """The shape's layers; `mark` is the least length of a notch's stroke, mm."""
    out: Layers = {"s": joined([shape.seam_line])}
    if shape.cut_line is not None:
        out["c"] = joined([shape.cut_line])
    folds = [line.curve for line in shape.internal_lines if line.kind is InternalKind.FOLD]
    inner = [line.curve for line in shape.internal_lines if line.kind is not InternalKind.FOLD]
    if inner:
        out["i"] = joined(inner)
    if folds:
        out["f"] = joined(folds)
    if shape.darts:
        out["d"] = polylines(
            [
                [shape.seam_line.point_of(d.left), d.apex, shape.seam_line.point_of(d.right)]
                for d in shape.darts
            ]
        )
    if shape.grain_line is not None:
        out["g"] = _grain(np.array(shape.grain_line.start), np.array(shape.grain_line.end), mark)
    if shape.drill_holes:
        out["h"] = polylines(
            line
            for hole in shape.drill_holes
            for line in _cross(np.array(hole.at), max(0.5 * (hole.diameter or 0.0), 0.4 * mark))
        )
    if shape.notches:
        out["n"] = polylines(_notches(shape, mark))
    return out


def whole(points: FloatArray) -> IntArray:
    """Points in mm, y up, as whole hundredths, y down."""
    out: IntArray = np.rint(np.asarray(points) * np.array([100.0, -100.0])).astype(np.int64)
    return out


def joined(curves: Iterable[Curve]) -> Strokes:
    """Curves as strokes, one after another."""
    made = [_curve(curve) for curve in curves]
    return Strokes("".join(ops for ops, _ in made), whole(np.concatenate([p for _, p in made])))


def _curve(curve: Curve) -> tuple[str, FloatArray]:
    straight = curve.kinds == LINE
    kept = np.ones((curve.n, 3), dtype=bool)
    kept[straight, :2] = False
    drops_last = bool(curve.closed and straight[-1])  # the way back is drawn by closing
    if drops_last:
        kept[-1] = False
        straight = straight[:-1]
    ops = ["m"]
    edges = np.flatnonzero(np.diff(straight.astype(np.int8))) + 1
    for run in np.split(straight, edges):
        if run.size:
            ops.append(("l" if run[0] else "c") + (str(run.size) if run.size > 1 else ""))
    if curve.closed:
        ops.append("z")
    points = np.concatenate((curve.segments[:1, 0], curve.segments[:, 1:][kept]))
    return "".join(ops), points


def polylines(lines: Iterable[object]) -> Strokes:
    """Open lines, each of two points or more, mm."""
    arrays = [np.asarray(line, dtype=np.float64).reshape(-1, 2) for line in lines]
    ops = "".join("m" + ("l" if len(a) == 2 else f"l{len(a) - 1}") for a in arrays)
    return Strokes(ops, whole(np.concatenate(arrays)))


def _notches(shape: Shape, mark: float) -> list[FloatArray]:
    """A stroke inward for each, square to its line."""
    out: list[FloatArray] = []
    for curve, on_cut in ((shape.seam_line, False), (shape.cut_line, True)):
        own = [
            n
            for n in shape.notches
            if (n.line is LineRole.CUT and shape.cut_line is not None) is on_cut
        ]
        if curve is None or not own:
            continue
        segments = [n.station.segment for n in own]
        ts = [n.station.t for n in own]
        feet, along = curve.points_of(segments, ts), curve.tangents_of(segments, ts)
        depth = np.array([max(n.depth or 0.0, mark) for n in own])
        tips = feet + depth[:, None] * np.column_stack((-along[:, 1], along[:, 0]))
        out += list(np.stack((feet, tips), axis=1))
    return out


def _cross(at: FloatArray, arm: float) -> list[FloatArray]:
    return [np.array([at - d, at + d]) for d in (np.array([arm, 0.0]), np.array([0.0, arm]))]


def _grain(a: FloatArray, b: FloatArray, mark: float) -> Strokes:
    """A line with a head at both ends."""
    length = float(np.hypot(*(b - a)))
    if length < 1e-9:
        return polylines([[a, b]])
    along = (b - a) / length
    across = np.array([-along[1], along[0]])
    head = min(mark, 0.3 * length)
    lines: list[object] = [[a, b]]
    for tip, inward in ((a, along), (b, -along)):
        arms = [tip + head * (inward + 0.45 * side * across) for side in (1, -1)]
        lines.append([arms[0], tip, arms[1]])
    return polylines(lines)
