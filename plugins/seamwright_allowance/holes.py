"""Cut-outs under an allowance: a hole is a seam of its own, and no new line may run through it."""

from __future__ import annotations

from collections.abc import Iterator

from shapely import Point, Polygon

from seamwright.geometry import Curve
from seamwright.model import InternalKind, InternalLine, Shape

_CHORD = 0.05
"""mm; how near the polygon lies to the line when it is asked what is inside."""


def cut_outs(shape: Shape) -> Iterator[InternalLine]:
    """The holes of a piece."""
    for line in shape.internal_lines:
        if line.kind is InternalKind.CUTOUT and line.curve.closed:
            yield line


def outside(shape: Shape, line: Curve) -> list[InternalLine]:
    """The holes that a closed line runs through, or that lie beyond it."""
    holes = list(cut_outs(shape))
    if not holes:
        return []
    within = Polygon(line.flatten(_CHORD))
    return [
        hole
        for hole in holes
        if len(line.intersections(hole.curve).own) or not within.contains(Point(hole.curve.start))
    ]
