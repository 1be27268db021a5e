"""Pieces turned over, turned to the grain, scaled: one map of the plane for a whole piece."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.model import Piece, Shape
from seamwright.model.edit import hold_names, transform

from .surgery import ready, released, renewed
from .telling import Telling


def mapped(
    telling: Telling,
    piece: Piece,
    matrices: dict[str, FloatArray],
    base_size: str,
    *,
    rigid: bool = True,
) -> Piece:
    """The piece under a map 2x3 for each size; names stay with their marks.

    rigid  the cut line goes along; else it is made anew from the allowances, which stay as they
           are, as do heights of texts
    """
    made = []
    for old in piece.shapes:
        held = hold_names(old) if rigid else ready(old)
        new = transform(held, matrices[old.size])
        if not rigid:
            new = new.but(
                texts=tuple(
                    replace(t, height=o.height) for t, o in zip(new.texts, old.texts, strict=True)
                )
            )
        made.append(new)
    shapes = []
    for new, old in zip(released(made, piece.shapes, base_size), piece.shapes, strict=True):
        shapes.append(new if rigid else renewed(telling, piece.name, new, old))
    return piece.but(shapes=tuple(shapes))


def rotation(degrees: float, about: FloatArray) -> FloatArray:
    """The turn 2x3 about a point."""
    a = np.radians(degrees)
    # Quarter turns exactly.
    c, s = (float(np.round(v)) if abs(v - np.round(v)) < 1e-16 else float(v)
            for v in (np.cos(a), np.sin(a)))  # fmt: skip
    r = np.array([[c, -s], [s, c]])
    return np.column_stack((r, about - r @ about))


def grain_way(shape: Shape) -> FloatArray | None:
    """Unit direction of the grain line, None without one."""
    grain = shape.grain_line
    if grain is None:
        return None
    way = np.subtract(grain.end, grain.start)
    length = float(np.hypot(*way))
    return np.asarray(way / length) if length > 1e-6 else None


def grain_middle(shape: Shape) -> FloatArray:
    """The middle of the grain line; without one, the first corner."""
    grain = shape.grain_line
    if grain is None:
        return np.asarray(shape.seam_line.start, dtype=np.float64)
    return np.asarray(0.5 * (np.asarray(grain.start) + np.asarray(grain.end)))


def lead(piece: Piece, base_size: str) -> Shape:
    """The base size's shape, or the first."""
    return next((s for s in piece.shapes if s.size == base_size), piece.shapes[0])
