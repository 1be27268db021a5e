"""From the numbers in a plot to plotter units: scaling, scaling points, rotation.

SC xmin,xmax,ymin,ymax[,type[,left,bottom]] lays user units on P1 and P2, type 1 alike in both
directions, type 2 as factors from P1 (HP PCL/PJL Technical Reference Manual, part II, chapter 19).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

Point = tuple[float, float]

HARD_CLIP = (0.0, 0.0, 47_560.0, 33_640.0)
"""P1 and P2 where a plot sets neither them nor a plot size: an A0 sheet, landscape."""


@dataclass(frozen=True, slots=True)
class Frame:
    """How user units become plotter units.

    p1, p2   scaling points in plotter units
    window   xmin, xmax, ymin, ymax of SC, None without scaling; kind: 0 anisotropic, 1 isotropic,
             2 point factor; left, bottom: percent of the spare room on those sides (kind 1)
    turn     degrees by which the plot is rotated (RO)
    """

    p1: Point = HARD_CLIP[:2]
    p2: Point = HARD_CLIP[2:]
    window: tuple[float, float, float, float] | None = None
    kind: int = 0
    left: float = 50.0
    bottom: float = 50.0
    turn: int = 0

    @property
    def affine(self) -> tuple[float, float, float, float]:
        """sx, sy, ox, oy: plotter x = sx x + ox, y likewise, before rotation."""
        if self.window is None:
            return 1.0, 1.0, 0.0, 0.0
        a, b, c, d = self.window
        (x1, y1), (x2, y2) = self.p1, self.p2
        if self.kind == 2:
            return b, d, x1 - a * b, y1 - c * d
        sx, sy = (x2 - x1) / (b - a), (y2 - y1) / (d - c)
        ox, oy = x1 - a * sx, y1 - c * sy
        if self.kind == 1:
            scale = min(abs(sx), abs(sy))
            nx, ny = math.copysign(scale, sx), math.copysign(scale, sy)
            spare_x = (x2 - x1) - nx * (b - a)
            spare_y = (y2 - y1) - ny * (d - c)
            ox = x1 + spare_x * self.left / 100.0 - a * nx
            oy = y1 + spare_y * self.bottom / 100.0 - c * ny
            sx, sy = nx, ny
        return sx, sy, ox, oy

    def scaled(self, numbers: tuple[float, ...]) -> Frame | None:
        """With SC; None where its numbers make no scale."""
        if not numbers:
            return replace(self, window=None)
        if len(numbers) < 4:
            return None
        a, b, c, d = numbers[:4]
        kind = int(numbers[4]) if len(numbers) > 4 else 0
        if kind == 2:
            if b == 0.0 or d == 0.0:
                return None
        elif a == b or c == d:
            return None
        left = numbers[5] if len(numbers) > 5 else 50.0
        bottom = numbers[6] if len(numbers) > 6 else 50.0
        return replace(self, window=(a, b, c, d), kind=kind, left=left, bottom=bottom)

    def pointed(self, numbers: tuple[float, ...]) -> Frame:
        """With IP: P2 follows P1 where only that is given."""
        if not numbers:
            return replace(self, p1=HARD_CLIP[:2], p2=HARD_CLIP[2:])
        if len(numbers) < 2:
            return self
        p1 = (numbers[0], numbers[1])
        if len(numbers) >= 4:
            return replace(self, p1=p1, p2=(numbers[2], numbers[3]))
        (x1, y1), (x2, y2) = self.p1, self.p2
        return replace(self, p1=p1, p2=(x2 + p1[0] - x1, y2 + p1[1] - y1))
