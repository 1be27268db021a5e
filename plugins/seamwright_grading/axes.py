"""The axes in which the rules of a piece count."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from seamwright.model import InternalKind, Shape

from .options import Axes

FloatArray = NDArray[np.float64]


def axes_of(shape: Shape, wanted: Axes) -> tuple[FloatArray, str]:
    """Unit vector of the rules' x axis, and where it comes from.

    The x of a rule counts along the grade reference line (terms of ASTM D6673 and D6963); without
    one along the grain line, else along the drawing's x axis (common practice, no source). An
    alternate reference line has no points of its own in a file, so nobody can say which rules it
    is for: it is not followed.
    """
    if wanted in ("auto", "reference"):
        for line in shape.internal_lines:
            if line.kind is InternalKind.GRADE_REFERENCE:
                unit = _unit(line.curve.end - line.curve.start)
                if unit is not None:
                    return unit, "the grade reference line"
        if wanted == "reference":
            return np.array([1.0, 0.0]), "the drawing (there is no grade reference line)"
    if wanted in ("auto", "grain") and shape.grain_line is not None:
        unit = _unit(np.subtract(shape.grain_line.end, shape.grain_line.start))
        if unit is not None:
            return unit, "the grain line"
    return np.array([1.0, 0.0]), "the drawing"


def _unit(vector: FloatArray) -> FloatArray | None:
    length = float(np.hypot(*vector))
    if length <= 1e-9:
        return None
    unit = vector / length
    # A line along an axis gives the axis itself, so that rules keep all their digits.
    for axis in (0, 1):
        if abs(unit[axis]) < 1e-12:
            unit[axis], unit[1 - axis] = 0.0, np.sign(unit[1 - axis])
    return np.asarray(unit)


def to_drawing(offsets: FloatArray, x_axis: FloatArray) -> FloatArray:
    """Offsets (..., 2) along the rules' axes as movements in the drawing."""
    y_axis = np.array([-x_axis[1], x_axis[0]])
    return np.asarray(offsets[..., :1] * x_axis + offsets[..., 1:] * y_axis)


def to_rules(moves: FloatArray, x_axis: FloatArray) -> FloatArray:
    """Movements (..., 2) in the drawing as offsets along the rules' axes."""
    y_axis = np.array([-x_axis[1], x_axis[0]])
    return np.asarray(np.stack((moves @ x_axis, moves @ y_axis), axis=-1))
