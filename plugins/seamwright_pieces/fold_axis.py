"""The fold of a piece: which edges lie on it, and the line about which it is folded."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seamwright.geometry import FloatArray, GeometryError
from seamwright.model import InternalKind, InternalLine, Shape

_ON = 0.1  # mm; a fold line this near to an edge lies on it
_STRAIGHT = 0.5  # mm; a fold that bends more is none


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Fold:
    """The fold edge of a half piece.

    start, end  lengths on the seam line, in outline order
    a, b        its ends (2,), mm
    line        the fold line as drawn inside, None where only the edge was named
    """

    start: float
    end: float
    a: FloatArray
    b: FloatArray
    line: InternalLine | None

    @property
    def mirror(self) -> FloatArray:
        """The reflection 2x3 about the line through both ends."""
        return reflection(self.a, self.b - self.a)


def reflection(through: FloatArray, way: FloatArray) -> FloatArray:
    """The reflection 2x3 about a line through a point in a direction."""
    u = way / float(np.hypot(*way))
    r = np.array(
        [[u[0] ** 2 - u[1] ** 2, 2 * u[0] * u[1]], [2 * u[0] * u[1], u[1] ** 2 - u[0] ** 2]]
    )
    return np.column_stack((r, through - r @ through))


def side_of(a: FloatArray, b: FloatArray, points: FloatArray) -> FloatArray:
    """Signed distances (N,) of points (N, 2) from the line a to b: left is positive, mm."""
    way = (b - a) / float(np.hypot(*(b - a)))
    out = np.reshape(points, (-1, 2)) - a
    return np.asarray(way[0] * out[:, 1] - way[1] * out[:, 0])


def fold_by_line(shape: Shape) -> Fold:
    """The fold edge along which a fold line is drawn. GeometryError where there is none, or
    more than one stretch of edge."""
    lines = [x for x in shape.internal_lines if x.kind is InternalKind.FOLD]
    count = len(shape.corners)
    ends = shape.seam_line.segments[[c.station.segment for c in shape.corners], 0]
    near = [line.curve.nearest(ends).distances < _ON for line in lines] if count else []
    edges = [
        (i, line)
        for i in range(count)
        for line, on in zip(lines, near, strict=True)
        if on[i] and on[(i + 1) % count] and _on(shape, i, line)
    ]
    if not edges:
        raise GeometryError("no fold line lies on an edge of it")
    numbers = sorted({i for i, _ in edges})
    firsts = [i for i in numbers if (i - 1) % count not in numbers]
    if len(firsts) != 1:
        raise GeometryError("fold lines lie on several edges of it: name the one to unfold")
    at = [float(shape.seam_line.cumulative[c.station.segment]) for c in shape.corners]
    first = firsts[0]
    last = first
    while (last + 1) % count in numbers:
        last += 1
    return fold_between(shape, at[first], at[(last + 1) % count], edges[0][1])


def fold_between(shape: Shape, start: float, end: float, line: InternalLine | None = None) -> Fold:
    """The fold edge from a length to another, in outline order. GeometryError where it bends, or
    the piece lies on both sides of it."""
    seam = shape.seam_line
    edge = seam.part(start, end)
    a, b = edge.start, edge.end
    off = np.abs(side_of(a, b, edge.flatten(0.01))).max()
    if off > _STRAIGHT:
        raise GeometryError(f"the fold bends by {off:.2f} mm: cloth folds along a straight line")
    rest = seam.part(end, start)
    beyond = -float(side_of(a, b, rest.flatten(0.01)).min())
    if beyond > _STRAIGHT:
        raise GeometryError(f"the piece reaches {beyond:.1f} mm beyond the line of its fold")
    return Fold(start=start, end=end, a=a, b=b, line=line)


def _on(shape: Shape, i: int, line: InternalLine) -> bool:
    edge = shape.edge_curve(i)
    places = edge.point_at(np.array([0.1, 0.5, 0.9]) * edge.length)
    return bool(line.curve.nearest(places).distances.max() < _ON)


def folds_on_edge(shape: Shape) -> list[InternalLine]:
    """Fold lines that lie on the outline."""
    return [
        line
        for line in shape.internal_lines
        if line.kind is InternalKind.FOLD
        and float(
            shape.seam_line.nearest(line.curve.point_at(np.array([0.1, 0.9]) * line.curve.length))
            .distances.max()
        ) < _ON
    ]  # fmt: skip


def axis_of(shape: Shape, tolerance: float) -> tuple[FloatArray, FloatArray, InternalLine]:
    """Both ends of the fold line along which a whole piece is folded: the one that crosses it
    from edge to edge. GeometryError where there is not exactly one."""
    found = []
    for line in shape.internal_lines:
        if line.kind is not InternalKind.FOLD or line.curve.closed:
            continue
        a, b = line.curve.start, line.curve.end
        off = np.abs(side_of(a, b, line.curve.flatten(0.01))).max()
        ends = shape.seam_line.nearest(np.array([a, b])).distances.max()
        if off <= _STRAIGHT and ends <= max(tolerance, 1e-6):
            found.append((a, b, line))
    if len(found) != 1:
        raise GeometryError(
            f"{len(found)} straight fold lines run from edge to edge: name the fold's two ends"
        )
    return found[0]
