"""Notches by type and arrow heads, as paths in sheet mm."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, hypot, radians, sin
from typing import Final

from seamwright.geometry import Curve
from seamwright.model import Notch, NotchType

from .operators import lines, pt

_DEPTH: Final = 6.0  # mm, where the file does not say
_WIDTH: Final = 5.0
ARROW: Final = 7.0


def notch_paths(notches: Sequence[Notch], line: Curve) -> list[str]:
    """Notches whose line lies on the sheet already. The first point of each path is the place on
    the line."""
    if not notches:
        return []
    segments = [n.station.segment for n in notches]
    ts = [n.station.t for n in notches]
    points = line.points_of(segments, ts).tolist()
    tangents = line.tangents_of(segments, ts).tolist()
    return [_notch(n, *p, *t) for n, p, t in zip(notches, points, tangents, strict=True)]


def _notch(notch: Notch, x: float, y: float, tx: float, ty: float) -> str:
    nx, ny = -ty, tx
    if notch.angle:
        c, s = cos(radians(notch.angle)), sin(radians(notch.angle))
        nx, ny = c * nx - s * ny, s * nx + c * ny
    depth = notch.depth if notch.depth and notch.depth > 0.5 else _DEPTH
    half = 0.5 * (notch.width if notch.width and notch.width > 0.5 else _WIDTH)

    def at(along: float, deep: float) -> tuple[float, float]:
        return x + along * ny + deep * nx, y - along * nx + deep * ny

    place = at(0.0, 0.0)
    if notch.type is NotchType.V:
        return lines([place, at(-half, 0.0), at(0.0, depth), at(half, 0.0)], closed=True)
    if notch.type is NotchType.T:
        # One stroke, so that it is one mark to whoever reads the file.
        return lines([place, at(0.0, depth), at(-half, depth), at(half, depth)])
    if notch.type is NotchType.CASTLE:
        square = [place, at(-half, 0.0), at(-half, depth), at(half, depth), at(half, 0.0)]
        return lines(square, closed=True)
    if notch.type is NotchType.CHECK:
        return lines([place, at(0.0, depth), at(half, 0.0)], closed=True)
    if notch.type is NotchType.U:
        knees = [place, at(-half, 0.0), at(-half, depth - half)]
        sides = at(-half, depth), at(0.0, depth), at(half, depth)
        knee, foot = at(half, depth - half), at(half, 0.0)
        first = " ".join(f"{pt(p[0])} {pt(p[1])}" for p in (sides[0], sides[0], sides[1])) + " c"
        second = " ".join(f"{pt(p[0])} {pt(p[1])}" for p in (sides[2], sides[2], knee)) + " c"
        return f"{lines(knees)} {first} {second} {pt(foot[0])} {pt(foot[1])} l h"
    return lines([place, at(0.0, depth)])


def arrow_heads(start: tuple[float, float], end: tuple[float, float]) -> str:
    """Filled heads at both ends of a grain line; nothing where it has no length."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = hypot(dx, dy)
    if length < 1e-6:
        return ""
    size = min(ARROW, 0.3 * length)
    ux, uy = dx / length * size, dy / length * size
    words = []
    for (x, y), way in ((start, 1.0), (end, -1.0)):
        foot = (x + way * ux, y + way * uy)
        wide = (-0.3 * uy, 0.3 * ux)
        words.append(
            lines(
                [(x, y), (foot[0] + wide[0], foot[1] + wide[1]),
                 (foot[0] - wide[0], foot[1] - wide[1])],
                closed=True,
            )
        )  # fmt: skip
    return " ".join(words) + " f"
