"""A piece as it is drafted: edges one after another, and marks on them by length.

Millimetres, y up. Drafting goes round the piece anticlockwise, edge by edge; each edge starts at
a named corner and ends where the next one starts.
"""

from __future__ import annotations

from dataclasses import dataclass

from seamwright.geometry import Curve

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A notch: `along` mm from the start of the edge that starts at corner `edge`."""

    name: str
    edge: str
    along: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """One piece in one size on the drafting table.

    edges    corner name -> the curve from that corner to the next, in order round the piece
    grain    the grain line's two ends
    fold     the edge (by its corner) that lies on the fold of the cloth, or None
    inside   lines within the outline, by name
    label    where the name is written
    """

    name: str
    edges: dict[str, Curve]
    marks: tuple[Mark, ...]
    grain: tuple[Point, Point]
    label: Point
    fold: str | None = None
    inside: dict[str, Curve]

    def outline(self) -> Curve:
        """The closed seam line."""
        first, *rest = self.edges.values()
        for edge in rest:
            first = first.joined(edge)
        return first.closed_up()


def stroke(*segments: tuple[Point, Point, Point, Point] | tuple[Point, Point]) -> Curve:
    """An open curve of cubics (four points) and straight lines (two points), in order."""
    whole: Curve | None = None
    for points in segments:
        if len(points) == 2:
            part = Curve.line(points[0], points[1])
        else:
            part = Curve.from_segments([points])
        whole = part if whole is None else whole.joined(part)
    assert whole is not None
    return whole
