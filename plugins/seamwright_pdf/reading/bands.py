"""Lines that were turned into thin filled shapes ("stroke to path"): both sides of a line in place
of the line itself, so lengths measured on them are off by half its width."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

import numpy as np

from seamwright.geometry import Curve

_WIDE: Final = 1.5  # mm; no drawn line is wider
_LONG: Final = 20.0  # mm; what is shorter may be a letter or an arrow head


@dataclass(frozen=True, slots=True)
class Bands:
    """How many lines are drawn so, their usual width in mm, and where the first one is."""

    count: int
    width: float
    at: tuple[float, float]


def bands_in(shapes: Iterable[tuple[int, Curve]]) -> Bands | None:
    """The thin bands among filled shapes, given as (number of the painting, closed curve)."""
    by_painting: dict[int, list[Curve]] = defaultdict(list)
    widths: list[float] = []
    places: list[tuple[float, float]] = []

    def take(width: float, curve: Curve) -> None:
        widths.append(width)
        places.append((float(curve.start[0]), float(curve.start[1])))

    for painting, curve in shapes:
        if curve.length < 2 * _LONG:
            continue
        width = 2.0 * abs(curve.area) / curve.length  # of a band closed on itself
        if width <= _WIDE:
            take(width, curve)
        else:
            by_painting[painting].append(curve)
    for curves in by_painting.values():
        curves.sort(key=lambda c: -abs(c.area))
        for outer, inner in zip(curves[0::2], curves[1::2], strict=False):
            apart = _ring(outer, inner)
            if apart is not None:
                take(apart, outer)
    if not widths:
        return None
    return Bands(len(widths), float(np.median(widths)), places[0])


def _ring(outer: Curve, inner: Curve) -> float | None:
    """The width of the ring between two closed curves if it is thin and the same all round."""
    width = 2.0 * (abs(outer.area) - abs(inner.area)) / (outer.length + inner.length)
    if not 0.0 < width <= _WIDE:
        return None
    points = inner.point_at(np.linspace(0.0, inner.length, 48, endpoint=False))
    apart = outer.nearest(points).distances
    return width if float(np.abs(apart - width).max()) <= 0.5 * width + 0.05 else None
