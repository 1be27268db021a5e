"""Which side a fold is pressed to."""

from __future__ import annotations

import numpy as np

from seamwright.geometry import FloatArray, GeometryError
from seamwright.model import Shape
from seamwright.model.edit import wedge_of
from seamwright.model.marking import Dart, InternalKind

from .fold_shape import Under
from .options import Pressed


def under_which(shape: Shape, dart: Dart, pressed: Pressed, centre: FloatArray | None) -> Under:
    """The side of the mouth under which the fold lies.

    centre  a place on the centre line; None: the middle of a fold line inside the piece
    GeometryError where a dart pressed down or up points straight down or up, and where nothing
    tells the centre.
    """
    if pressed == "open":
        return "open"
    w = wedge_of(shape, dart)
    # Square to the dart's middle, to the left side of the mouth (clockwise, seen from the point).
    to_left = np.array([w.bisector[1], -w.bisector[0]])
    if pressed in ("down", "up"):
        down = -to_left[1] if pressed == "down" else to_left[1]
        if abs(down) < 1e-3:
            raise GeometryError(
                f'it points straight up or down, so "{pressed}" says nothing: press it to the '
                "centre, to the side, or open"
            )
        return "left" if down > 0 else "right"
    if centre is None:
        folds = [x.curve for x in shape.internal_lines if x.kind is InternalKind.FOLD]
        if len(folds) != 1:
            raise GeometryError("nothing tells where the centre is: name a place on it with toward")
        centre = folds[0].point_at(folds[0].length / 2.0)
    along = float(to_left @ (centre - w.apex))
    if abs(along) < 1e-6:
        raise GeometryError("its middle runs through the centre: it can be pressed either way")
    return "left" if (along > 0) == (pressed == "centre") else "right"
