"""What is drawn, in portions that a page takes or leaves."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from seamwright.geometry import Curve, FloatArray
from seamwright.model import Piece, Shape
from seamwright.model.layout import Placement

SHARED = -1
"""Size of what belongs to all sizes."""


@dataclass(frozen=True, slots=True)
class Unit:
    """Operators under one layer. box: x0, y0, x1, y1 in sheet mm; head: the piece's properties;
    kind: its layer below the size's."""

    size: int
    piece: int
    kind: str
    head: str
    box: tuple[float, float, float, float]
    code: str


@dataclass(slots=True)
class Laid:
    """A piece where it lies on the sheet: its shapes by number of their size, curves moved."""

    number: int
    piece: Piece
    placement: Placement
    shapes: list[tuple[int, Shape]]
    outer: dict[int, Curve] = field(default_factory=dict)
    seam: dict[int, Curve] = field(default_factory=dict)
    drawn: list[Curve] = field(default_factory=list)  # every line of the piece, for free places
    points: FloatArray = field(default_factory=lambda: np.zeros((0, 2)))  # close together on them

    def on_sheet(self, point: tuple[float, float]) -> tuple[float, float]:
        """A point of the piece, on the sheet."""
        m = self.placement.matrix
        x, y = point
        return (
            float(m[0, 0] * x + m[0, 1] * y + m[0, 2]),
            float(m[1, 0] * x + m[1, 1] * y + m[1, 2]),
        )


def as_box(box: FloatArray, by: float = 0.0) -> tuple[float, float, float, float]:
    """A box as plain numbers, grown by some mm."""
    x0, y0, x1, y1 = (float(v) for v in box)
    return x0 - by, y0 - by, x1 + by, y1 + by
