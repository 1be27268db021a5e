"""Where a piece lies on the paper."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin
from typing import Final

import numpy as np

from seamwright.geometry import FloatArray

_QUARTERS: Final = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """p' = R(degrees) p + (dx, dy) on sheet number `sheet`; mm, degrees anticlockwise."""

    dx: float = 0.0
    dy: float = 0.0
    degrees: float = 0.0
    sheet: int = 0

    @property
    def matrix(self) -> FloatArray:
        """The affine matrix (2, 3); quarter turns are exact."""
        c, s = cos_sin(self.degrees)
        return np.array([[c, -s, self.dx], [s, c, self.dy]])


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Placements in the order of the pieces, and the paper that they take.

    width, length   of what is covered, mm; sheets lie at 0 to `length` each, y up
    sheets          how many sheets are used
    """

    placements: tuple[Placement, ...]
    width: float
    length: float
    sheets: int


def cos_sin(degrees: float) -> tuple[float, float]:
    """Cosine and sine of degrees, exact for quarter turns."""
    return _QUARTERS.get(degrees % 360.0) or (cos(radians(degrees)), sin(radians(degrees)))
