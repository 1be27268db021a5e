"""What a plain drawing shows, the same for both versions: lines, circles and texts on named
layers, with our own marks on each, so that nothing is lost on the way back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import Curve
from seamwright.model import InternalKind, Notch, NotchType, Pattern, Shape
from seamwright.numbers import fixed
from seamwright.plugins.api import Finding, Severity

from .. import marks
from ..meaning import layers as std
from ..options import DxfOut
from .pieces import Drawn, Mark, Stroke, draw, fact_text

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

Tagged = tuple[int, Any]
"""One tag of extended data: (1000, text) or (1011, (x, y))."""

_NAMES = {
    InternalKind.INTERNAL: "INTERNAL", InternalKind.FOLD: "FOLD", InternalKind.SEW: "SEW",
    InternalKind.CUTOUT: "CUTOUT", InternalKind.STRIPE: "STRIPE", InternalKind.PLAID: "PLAID",
    InternalKind.GRADE_REFERENCE: "GRADE_REFERENCE",
    InternalKind.ALTERNATE_GRADE_REFERENCE: "GRADE_REFERENCE",
    InternalKind.VALIDATION: "VALIDATION",
}  # fmt: skip
_DEPTH, _WIDTH, _HOLE = 5.0, 4.0, 3.0
"""mm; how large a notch or hole is drawn whose size the pattern does not state."""
SQUARE = 100.0


@dataclass(slots=True)
class Item:
    """One entity. kind: "curve", "circle" or "text"; layer as the pattern calls it; kept: joints
    of the curve that must stay vertices."""

    kind: str
    layer: str
    curve: Curve | None = None
    kept: IntArray = field(default_factory=lambda: np.empty(0, np.int64))
    centre: tuple[float, float] = (0.0, 0.0)
    radius: float = 0.0
    text: str = ""
    height: float = 0.0
    rotation: float = 0.0
    marks: list[Tagged] = field(default_factory=list)


def items_of(pattern: Pattern, options: DxfOut, findings: list[Finding]) -> list[Item]:
    """Everything that the drawing shows."""
    several = len(pattern.sizes) > 1
    out: list[Item] = []
    for piece in pattern.pieces:
        for shape in piece.shapes:
            drawn = draw(piece, shape, findings)
            out += _of(drawn, f" {shape.size}" if several else "")
    if out:
        out[0].marks += _style_marks(pattern)
    findings.append(
        Finding(
            code="dxf.marks-only",
            severity=Severity.NOTE,
            message="piece names, sizes, notch types and other trade data stand in extended data: "
            "this program reads them back, others show plain lines",
        )
    )
    return out


def _of(drawn: Drawn, ending: str) -> list[Item]:
    shape = drawn.shape
    own: list[Tagged] = [
        (1000, f"{marks.PIECE}={marks.escaped(drawn.piece.name)}"),
        (1000, f"{marks.SIZE}={marks.escaped(shape.size)}"),
    ]
    out: list[Item] = []
    outlines = 2 if shape.cut_line is not None else 1
    for number, stroke in enumerate(drawn.strokes):
        is_outline = number < outlines
        layer = _layer_of(drawn, stroke, number, outlines)
        kept = np.union1d(stroke.turn, stroke.curve_points).astype(np.int64)
        item = Item("curve", layer + ending, curve=stroke.curve, kept=kept)
        item.marks = [*own, (1000, f"{marks.LAYER}={marks.escaped(stroke.layer)}")]
        if is_outline and number == outlines - 1:
            item.marks += _outline_marks(drawn)
        item.marks += _point_marks(stroke)
        out.append(item)
    if drawn.grain is not None:
        curve = Curve.polyline(np.array(drawn.grain))
        item = Item("curve", "GRAIN" + ending, curve=curve)
        item.marks = [*own, (1000, f"{marks.LAYER}={std.GRAIN}")]
        out.append(item)
    for mark in drawn.notches:
        item = Item("curve", "NOTCH" + ending, curve=_symbol(mark))
        item.marks = [
            *own,
            (1000, f"{marks.LAYER}={mark.layer}"),
            (1000, f"{marks.NOTCH}={fact_text(mark.notch)}"),
            (1011, (mark.x, mark.y)),
        ]
        out.append(item)
    for hole in shape.drill_holes:
        item = Item("circle", "DRILL" + ending, centre=hole.at, radius=(hole.diameter or _HOLE) / 2)
        facts = f"{'' if hole.diameter is None else fixed(hole.diameter)};"
        facts += "" if hole.category is None else str(hole.category)
        item.marks = [
            *own,
            (1000, f"{marks.LAYER}={std.DRILL}"),
            (1000, f"{marks.DRILL}={facts}"),
            (1011, hole.at),
        ]
        out.append(item)
    for text in shape.texts:
        item = Item(
            "text", _text_layer(text.layer) + ending,
            centre=text.at, text=text.text, height=text.height, rotation=text.rotation,
        )  # fmt: skip
        item.marks = [*own, (1000, f"{marks.TEXT}=1")]
        out.append(item)
    return out


def _text_layer(layer: str) -> str:
    return layer if layer and std.number_of(layer) < 0 else "TEXT"


def _layer_of(drawn: Drawn, stroke: Stroke, number: int, outlines: int) -> str:
    if outlines == 2 and number == 0:
        return "CUT"
    if number == outlines - 1:
        return "SEAM" if outlines == 2 else "CUT"
    line = drawn.shape.internal_lines[number - outlines]
    if line.layer and std.number_of(line.layer) < 0:
        return line.layer
    return _NAMES[line.kind]


def _outline_marks(drawn: Drawn) -> list[Tagged]:
    """What is known of the piece beside its lines, on its seam line."""
    piece, shape = drawn.piece, drawn.shape
    out: list[Tagged] = [
        (1000, f"{marks.SEAM}={drawn.seam}"),
        (1000, f"{marks.SAID}=Quantity: {piece.quantity[0]},{piece.quantity[1]}"),
    ]
    for key, value in (("Material", piece.material), ("Category", piece.category)):
        if value:
            out.append((1000, f"{marks.SAID}={key}: {marks.escaped(value)}"))
    out += [(1000, f"{marks.SAID}={k.capitalize()}: {marks.escaped(v)}") for k, v in shape.flags]
    for rule, x, y, _ in drawn.grades:
        out += [(1000, f"{marks.GRADE}={rule}"), (1011, (x, y))]
    return out


def _point_marks(stroke: Stroke) -> list[Tagged]:
    out: list[Tagged] = []
    joints = stroke.curve.joints
    for key, at in ((marks.TURN, stroke.turn), (marks.CURVE, stroke.curve_points)):
        if len(at):
            out.append((1000, f"{key}="))
            out += [(1011, (float(x), float(y))) for x, y in joints[at]]
    return out


def _style_marks(pattern: Pattern) -> list[Tagged]:
    lines = [("Style Name", pattern.name), ("Sample Size", pattern.base_size), *pattern.notes]
    if pattern.grade_rules is not None:
        lines.append(("Grade Rule Table", pattern.grade_rules.name or pattern.name))
    return [(1000, f"{marks.STYLE}={marks.escaped(f'{k}: {v}')}") for k, v in lines]


def _symbol(mark: Mark) -> Curve:
    """The notch as it is cut or drawn: from the outline inwards."""
    notch = mark.notch
    angle = np.radians(mark.direction if mark.direction is not None else mark.inward)
    inward = np.array([np.cos(angle), np.sin(angle)])
    along = np.array([inward[1], -inward[0]])
    foot = np.array([mark.x, mark.y])
    return Curve.polyline(foot + _outline_of(notch) @ np.stack((along, inward)))


def _outline_of(notch: Notch) -> FloatArray:
    """Vertices of a notch in its own frame: x along the line, y inwards."""
    d = notch.depth or _DEPTH
    w = (notch.width or _WIDTH) / 2.0
    if notch.type is NotchType.SLIT:
        return np.array([[0.0, 0.0], [0.0, d]])
    if notch.type is NotchType.V:
        return np.array([[-w, 0.0], [0.0, d], [w, 0.0]])
    if notch.type is NotchType.CHECK:
        return np.array([[-w, 0.0], [w, d], [w, 0.0]])
    if notch.type is NotchType.CASTLE:
        return np.array([[-w, 0.0], [-w, d], [w, d], [w, 0.0]])
    if notch.type is NotchType.T:
        return np.array([[0.0, 0.0], [0.0, d], [-w, d], [w, d]])
    t = np.linspace(np.pi, 0.0, 9)
    straight = max(d - w, 0.0)
    bow = np.stack((w * np.cos(t), straight + min(w, d) * np.sin(t)), axis=1)
    return np.concatenate(([[-w, 0.0]], bow, [[w, 0.0]])) if straight else bow


def square_at(shapes: Sequence[Shape]) -> tuple[float, float]:
    """Where the scale square goes: under the lower left of everything."""
    boxes = np.array([s.seam_line.bbox for s in shapes])
    return float(boxes[:, 0].min()), float(boxes[:, 1].min()) - 1.5 * SQUARE
