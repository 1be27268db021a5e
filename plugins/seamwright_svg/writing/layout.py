"""Where the pieces lie on the page: as in the pattern, or side by side in rows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.model import Pattern, Piece, Shape

from ..options import SvgOut

_GAP: Final = 30.0  # mm between pieces in rows


@dataclass(frozen=True, slots=True)
class Layout:
    """moves: piece name -> whole mm by which it is moved (y up); boxes: after the move."""

    moves: dict[str, tuple[float, float]]
    boxes: dict[str, FloatArray]

    @property
    def box(self) -> FloatArray:
        """Around all pieces; a small box at the origin where there is none."""
        if not self.boxes:
            return np.array([0.0, -50.0, 100.0, 0.0])
        all_boxes = np.array(list(self.boxes.values()))
        return np.concatenate((all_boxes[:, :2].min(axis=0), all_boxes[:, 2:].max(axis=0)))


def layout_of(pattern: Pattern, options: SvgOut) -> Layout:
    """The place of every piece. A piece moves as a whole, so that its sizes stay nested."""
    boxes = {piece.name: piece_box(piece) for piece in pattern.pieces if piece.shapes}
    still = dict.fromkeys(boxes, (0.0, 0.0))
    if options.layout == "keep" or (options.layout == "auto" and not _overlapping(boxes)):
        return Layout(still, boxes)
    moves: dict[str, tuple[float, float]] = {}
    placed: dict[str, FloatArray] = {}
    x, top, row = 0.0, 0.0, 0.0
    for name, box in boxes.items():
        width, height = box[2:] - box[:2]
        if x > 0.0 and x + width > float(options.page_width):
            x, top, row = 0.0, top - row - _GAP, 0.0
        dx, dy = float(np.round(x - box[0])), float(np.round(top - box[3]))
        moves[name] = (dx, dy)
        placed[name] = box + np.array([dx, dy, dx, dy])
        x += float(width) + _GAP
        row = max(row, float(height))
    return Layout(moves, placed)


def _overlapping(boxes: dict[str, FloatArray]) -> bool:
    if len(boxes) < 2:
        return False
    all_boxes = np.array(list(boxes.values()))
    low, high = all_boxes[:, :2], all_boxes[:, 2:]
    meet = np.all(low[:, None] < high[None], axis=2) & np.all(high[:, None] > low[None], axis=2)
    return int(np.count_nonzero(meet)) > len(boxes)


def piece_box(piece: Piece) -> FloatArray:
    """The box around a piece in all its sizes, marks and texts included."""
    boxes = np.array([shape_box(shape) for shape in piece.shapes])
    return np.concatenate((boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)))


def shape_box(shape: Shape) -> FloatArray:
    """The box around everything in a shape; of texts only where they start."""
    boxes = [shape.seam_line.bbox]
    if shape.cut_line is not None:
        boxes.append(shape.cut_line.bbox)
    boxes += [line.curve.bbox for line in shape.internal_lines]
    points = [t.at for t in shape.texts] + [h.at for h in shape.drill_holes]
    points += [d.apex for d in shape.darts]
    if shape.grain_line is not None:
        points += [shape.grain_line.start, shape.grain_line.end]
    boxes += [np.array([x, y, x, y]) for x, y in points]
    stacked = np.array(boxes)
    return np.concatenate((stacked[:, :2].min(axis=0), stacked[:, 2:].max(axis=0)))
