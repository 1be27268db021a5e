"""What is to be plotted: pieces in their places, lines with their pens, labels."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely

from seamwright.geometry import Curve, FloatArray
from seamwright.model import Pattern, Piece, Shape, TextRole
from seamwright.model.drawn import drawn_lines
from seamwright.model.layout import place

from ..options import HpglOut

_GAP: Final = 10.0  # mm between pieces in rows
_PENS: Final = {"cut": 2, "cutout": 2}  # all else: pen 1


@dataclass(frozen=True, slots=True, eq=False)
class Stroke:
    """One line of one pen, mm."""

    pen: int
    curve: Curve


@dataclass(frozen=True, slots=True)
class Label:
    """A text: start of its baseline and height in mm, direction in degrees."""

    text: str
    at: tuple[float, float]
    height: float
    turn: float
    pen: int


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """A piece in all its sizes, where it is to be plotted."""

    name: str
    strokes: tuple[Stroke, ...]
    labels: tuple[Label, ...]
    box: FloatArray

    def turned(self, matrix: FloatArray, degrees: float) -> Placed:
        """The same turned and moved by a matrix (2, 3) that turns by `degrees`."""
        strokes = tuple(Stroke(s.pen, s.curve.transformed(matrix)) for s in self.strokes)
        labels = []
        for a in self.labels:
            x, y = matrix @ np.array([*a.at, 1.0])
            labels.append(Label(a.text, (float(x), float(y)), a.height, a.turn + degrees, a.pen))
        boxes = np.array([s.curve.bbox for s in strokes])
        box = np.concatenate((boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)))
        return Placed(self.name, strokes, tuple(labels), box)

    def moved(self, dx: float, dy: float) -> Placed:
        """The same elsewhere."""
        if dx == 0.0 and dy == 0.0:
            return self
        return Placed(
            self.name,
            tuple(Stroke(s.pen, s.curve.translated(dx, dy)) for s in self.strokes),
            tuple(
                Label(a.text, (a.at[0] + dx, a.at[1] + dy), a.height, a.turn, a.pen)
                for a in self.labels
            ),
            self.box + np.array([dx, dy, dx, dy]),
        )


def pieces_of(pattern: Pattern, options: HpglOut) -> list[Placed]:
    """The pieces with their lines and labels, as they lie in the pattern."""
    pens = {**_PENS, **options.pens}
    wanted = options.sizes or pattern.sizes
    out = []
    for piece in pattern.pieces:
        shapes = [s for s in piece.shapes if s.size in wanted]
        strokes = [
            Stroke(pens.get(line.ink.value, 1), line.curve)
            for shape in shapes
            for line in drawn_lines(shape)
        ]
        strokes = [s for s in strokes if s.pen > 0]
        if strokes:
            labels = _labels(pattern, piece, shapes, pens) if options.labels else []
            boxes = np.array([s.curve.bbox for s in strokes])
            box = np.concatenate((boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)))
            out.append(Placed(piece.name, tuple(strokes), tuple(labels), box))
    return out


def _labels(
    pattern: Pattern, piece: Piece, shapes: list[Shape], pens: Mapping[str, int]
) -> list[Label]:
    """The texts of the pieces, and name, size and number to cut where no text of theirs says it."""
    pen = pens.get("text", 1)
    if pen < 1:
        return []
    lead = next((s for s in shapes if s.size == pattern.base_size), shapes[len(shapes) // 2])
    texts = [t for t in lead.texts if len(shapes) == 1 or t.role is not TextRole.SIZE]
    out = [Label(t.text, t.at, t.height, t.rotation, pen) for t in texts]
    if not any(t.role is TextRole.NAME or t.text == piece.name for t in texts):
        out += _own_words(piece, shapes, len(pattern.sizes), pen)
    if len(shapes) > 1:
        out += [_size_label(s, row, pen) for row, s in enumerate(shapes)]
    return out


def _size_label(shape: Shape, row: int, pen: int) -> Label:
    """The size's name along its own outline, each a little farther on."""
    edge = shape.edge_curve(0)
    along = min((1.0 + row) * 12.0, 0.9 * edge.length)
    x, y = edge.point_at(along)
    tx, ty = edge.tangent_at(along)
    at = (float(x - 1.0 * ty), float(y + 1.0 * tx))
    return Label(shape.size, at, 2.5, math.degrees(math.atan2(ty, tx)), pen)


def _own_words(piece: Piece, shapes: list[Shape], sizes: int, pen: int) -> list[Label]:
    smallest = min(shapes, key=lambda s: abs(s.seam_line.area))
    x0, y0, x1, y1 = (float(v) for v in smallest.seam_line.bbox)
    height = float(np.clip(0.05 * min(x1 - x0, y1 - y0), 1.5, 10.0))
    lines = [piece.name]
    if sizes > 1:
        names = [s.size for s in shapes]
        lines.append("Size " + (names[0] if len(names) == 1 else f"{names[0]} to {names[-1]}"))
    number = sum(piece.quantity)
    lines.append(f"cut {number}" + (f" {piece.material}" if piece.material else ""))
    area = shapely.Polygon(smallest.seam_line.flatten(0.5))
    if not area.is_valid or area.is_empty:
        return []
    circle = shapely.maximum_inscribed_circle(area, tolerance=2.0)
    x, y = circle.coords[0]
    room = 2.0 * circle.length / (0.9 * max(map(len, lines)))  # a letter is 0.9 heights wide
    height = max(min(height, 0.8 * room), 1.0)
    top = y + (len(lines) / 2 - 0.8) * 1.6 * height
    return [
        Label(
            text,
            (x - 0.45 * height * len(text), top - 1.6 * height * row),
            height if row == 0 else 0.7 * height,
            0.0,
            pen,
        )
        for row, text in enumerate(lines)
    ]


def laid_out(pieces: list[Placed], options: HpglOut) -> list[Placed]:
    """The pieces where the options want them: x runs along the roll, y across it."""
    if options.layout == "keep" or not pieces:
        return pieces
    if options.layout == "pack":
        return _packed(pieces, options)
    boxes = np.array([p.box for p in pieces])
    across = float(boxes[:, 3].max() - boxes[:, 1].min())
    room = None if options.width is None else float(options.width) - 2 * float(options.margin)
    fits = room is None or across <= room
    if options.layout == "auto" and fits and not _overlapping(boxes):
        return pieces
    return _in_columns(pieces, room if room is not None else 1500.0)


def _packed(pieces: list[Placed], options: HpglOut) -> list[Placed]:
    """Laid together for a short plot, the pieces' upright along the roll, head or foot first."""
    room = (float(options.width) if options.width is not None else 1500.0) - 2 * options.margin
    found = place(
        [[s.curve for s in p.strokes] for p in pieces],
        width=max(float(room), 1.0),
        gap=_GAP,
        turns=(0.0, 180.0),
    )
    # The strip grows upward, the roll to the right: a quarter turn clockwise.
    quarter = np.array([[0.0, 1.0], [-1.0, 0.0]])
    out = []
    for piece, at in zip(pieces, found.placements, strict=True):
        out.append(piece.turned(quarter @ at.matrix, at.degrees - 90.0))
    return out


def _in_columns(pieces: list[Placed], room: float) -> list[Placed]:
    """Side by side across the roll, then on along it; longest pieces first share a column."""
    out: dict[str, Placed] = {}
    x, y, deep = 0.0, 0.0, 0.0
    for piece in sorted(pieces, key=lambda p: (-(p.box[2] - p.box[0]), p.name)):
        wide, high = (float(v) for v in piece.box[2:] - piece.box[:2])
        if y > 0.0 and y + high > room:
            x, y, deep = x + deep + _GAP, 0.0, 0.0
        out[piece.name] = piece.moved(x - float(piece.box[0]), y - float(piece.box[1]))
        y += high + _GAP
        deep = max(deep, wide)
    return [out[p.name] for p in pieces]


def _overlapping(boxes: FloatArray) -> bool:
    low, high = boxes[:, :2], boxes[:, 2:]
    meet = np.all(low[:, None] < high[None], axis=2) & np.all(high[:, None] > low[None], axis=2)
    return int(np.count_nonzero(meet)) > len(boxes)
