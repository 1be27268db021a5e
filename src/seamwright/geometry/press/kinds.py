"""Array types and the refusal of this room."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from ..kinds import FloatArray, GeometryError, IntArray

BoolArray: TypeAlias = NDArray[np.bool_]


class PressError(GeometryError):
    """A sheet that cannot be pressed, or a result nobody should sew. The message says why.

    `reason` is a short word that a program can tell refusals apart by:

    - `order`: the edge or its ends do not make a cap (no height, no length, crossing itself);
    - `width`: a wedge with no width, or wider than it is deep;
    - `overlap`: wedges that meet one another, a mark between them, or an end of the edge;
    - `apex`: an apex outside the piece, or too near to the line at its foot;
    - `held`: a wedge or a mark that lies in a stretch which must stay in place;
    - `mesh`: an outline that could not be meshed;
    - `solve`: no rest found for the sheet;
    - `turned-over`: a triangle turned over in the result (too much was taken out);
    - `crossing`: the new edge crosses itself;
    - `fit`: no smooth curve of the right length through the new edge.
    """

    def __init__(self, reason: str, message: str) -> None:
        super().__init__(message)
        self.reason = reason

    def __reduce__(self) -> tuple[type[PressError], tuple[str, str]]:
        return type(self), (self.reason, str(self))


__all__ = ["BoolArray", "FloatArray", "IntArray", "PressError"]
