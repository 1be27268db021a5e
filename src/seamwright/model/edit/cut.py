"""A piece cut in two along a line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from seamwright.geometry import Curve, FloatArray, GeometryError

from ..marks import Notch
from ..shape import Shape
from .contents import contents_of, parallel_grain, part_of
from .outline_parts import Part, part_between, shape_of_parts


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Cut:
    """left, right  the pieces to the left and right of the line's direction
    line         the stretch of the line inside the piece, from where it enters to where it leaves
    enters, leaves  lengths along the uncut seam line
    """

    left: Shape
    right: Shape
    line: Curve
    enters: float
    leaves: float


def place_cut(shape: Shape, line: Curve) -> tuple[float, float, Curve]:
    """Where an open line enters and leaves a piece (lengths on the seam line), and its stretch
    between. Ends within 1e-6 mm of the outline count as on it.

    GeometryError: the line does not cross the piece exactly once from edge to edge.
    """
    seam = shape.seam_line
    crossings = seam.intersections(line)
    found = {
        round(float(o), 6): float(s) for s, o in zip(crossings.own, crossings.others, strict=True)
    }
    for at, end in ((0.0, line.start), (line.length, line.end)):
        near = seam.nearest(np.array([end]))
        if near.distances[0] <= 1e-6 and not any(abs(at - k) < 1e-5 for k in found):
            found[at] = float(near.lengths[0])
    places = sorted(found)
    if len(places) != 2:
        raise GeometryError(
            f"the line meets the outline in {len(places)} places; it must cross the piece once, "
            "from edge to edge"
        )
    t0, t1 = max(places[0], 0.0), min(places[1], line.length)
    inner = line.part(t0, t1)
    a, b = found[places[0]], found[places[1]]
    # The outline's exact points stand.
    segments = np.array(inner.segments)
    segments[0, 0], segments[-1, 3] = seam.point_at(a), seam.point_at(b)
    return a, b, Curve.from_segments(segments, inner.kinds)


def cut_shape(
    shape: Shape,
    line: Curve,
    *,
    names: tuple[str | None, str | None] = (None, None),
    notches: Sequence[tuple[float, Notch]] = (),
) -> Cut:
    """The piece cut in two along an open line (see `place_cut`).

    names    of the corners where the line enters and leaves; None leaves it to the outline (a
             corner that is there keeps its name, a new one takes a number)
    notches  for both new edges, with the share (0 to 1) of the line's length at which they lie
    The cut's ends become corners of both pieces. Marks go with their stretch of outline, what is
    inside with its side; internal lines are cut. Both pieces get a grain line in the old
    direction. Half a piece is the one that keeps the fold line; formats' own data go with the
    left piece. A cut line and allowances are dropped: make them anew.
    """
    enters, leaves, inner = place_cut(shape, line)
    contents = contents_of(shape)

    def on_left(p: FloatArray) -> bool:
        near = inner.nearest(np.array([p]))
        tangent = inner.tangents_of(near.segments, near.ts)[0]
        out = p - near.points[0]
        return bool(tangent[0] * out[1] - tangent[1] * out[0] >= 0.0)

    named = [(at, n) for at, n in zip((0.0, inner.length), names, strict=True) if n is not None]
    marked = [(share * inner.length, n) for share, n in notches]
    forth = Part(curve=inner, corners=tuple(named), notches=tuple(marked))
    back = Part(
        curve=inner.reversed(),
        corners=tuple((inner.length - at, n) for at, n in named),
        notches=tuple((inner.length - at, n) for at, n in marked),
    )
    made = []
    for on_side, stretch, (start, end) in (
        (on_left, forth, (leaves, enters)),
        (lambda p: not on_left(p), back, (enters, leaves)),
    ):
        piece = shape_of_parts(
            shape,
            [stretch, part_between(shape, start, end)],
            part_of(contents, inner, on_side),
        )
        if shape.grain_line is not None and piece.grain_line is None:
            g = shape.grain_line
            piece = piece.but(
                grain_line=parallel_grain(piece, np.asarray(g.end) - np.asarray(g.start))
            )
        made.append(piece)
    areas = [piece.seam_line.area for piece in made]
    whole = shape.seam_line.area
    if min(areas) <= 1e-9 * whole or abs(sum(areas) - whole) > 1e-6 * whole:
        raise GeometryError("the line does not run inside the piece")
    made[1] = made[1].but(foreign=())
    return Cut(left=made[0], right=made[1], line=inner, enters=enters, leaves=leaves)
