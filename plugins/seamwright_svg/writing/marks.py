"""How marks are drawn: notches by type, the grain line's arrow heads."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from seamwright.geometry import Curve
from seamwright.model import Notch, NotchType

from .pen import Pen

Point = tuple[float, float]

#: mm; how a notch is drawn whose depth or width nobody stated.
DEPTH: Final = 5.0
WIDTH: Final = {
    NotchType.V: 5.0, NotchType.CHECK: 4.0, NotchType.CASTLE: 4.0, NotchType.T: 5.0,
    NotchType.U: 4.0, NotchType.SLIT: 0.0,
}  # fmt: skip
_TIP: Final = 5.0


def notch_path(notch: Notch, line: Curve, pen: Pen) -> str:
    """Path data of a notch, one stroke that starts on the line.

    The depth runs inside, turned by the notch's angle from the inward normal; the width lies
    along the line.
    """
    x, y = (float(v) for v in line.point_of(notch.station))
    tangent = line.tangents_of([notch.station.segment], [notch.station.t])[0]
    tx, ty = float(tangent[0]), float(tangent[1])
    turn = math.radians(notch.angle or 0.0)
    nx, ny = -ty, tx
    dx, dy = nx * math.cos(turn) - ny * math.sin(turn), nx * math.sin(turn) + ny * math.cos(turn)
    depth = DEPTH if notch.depth is None else notch.depth
    width = WIDTH[notch.type] if notch.width is None else notch.width

    def at(along: float, deep: float) -> Point:
        return x + along * tx + deep * dx, y + along * ty + deep * dy

    half = width / 2
    match notch.type:
        case NotchType.V:
            return pen.polyline(at(-half, 0.0), at(0.0, depth), at(half, 0.0))
        case NotchType.CHECK:
            return pen.polyline(at(-half, 0.0), at(-half, depth), at(half, 0.0))
        case NotchType.CASTLE:
            return pen.polyline(at(-half, 0.0), at(-half, depth), at(half, depth), at(half, 0.0))
        case NotchType.T:
            return pen.polyline(at(0.0, 0.0), at(0.0, depth), at(-half, depth), at(half, depth))
        case NotchType.U:
            a, b = at(-half, 0.0), at(half, 0.0)
            p, q = at(-half, depth * 4 / 3), at(half, depth * 4 / 3)
            return f"M{pen.pair(a)}C{pen.pair(p)} {pen.pair(q)} {pen.pair(b)}"
    return pen.polyline(at(0.0, 0.0), at(0.0, depth))


def arrow_head(tip: Point, tail: Point, pen: Pen) -> str:
    """Path data of the filled head at `tip` of a line from `tail`, "" for a line of no length."""
    step = np.array(tail) - np.array(tip)
    length = float(np.hypot(*step))
    if length <= 1e-9:
        return ""
    along = step / length
    across = np.array([-along[1], along[0]])
    back = np.array(tip) + _TIP * along
    left, right = back + 0.35 * _TIP * across, back - 0.35 * _TIP * across
    return pen.polyline(
        tip, (float(left[0]), float(left[1])), (float(right[0]), float(right[1])), closed=True
    )
