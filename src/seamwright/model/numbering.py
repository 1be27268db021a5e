"""The numbers of corners and notches: the same in every size, however the outline was drawn.

The rule: corners count anticlockwise (y up), from the corner nearest to the upper left of the
piece's bounding box. Sizes whose corners would start elsewhere by a hair are turned to agree with
the base size. Notches count by length from corner 1.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import Curve, Station

from .marks import LineRole, Notch
from .pattern import Piece
from .shape import Shape
from .turning import at_joint, started_at

_TIE = 1e-6  # two corners this near in the measure of "upper left" are a tie: the upper one wins


def upper_left(outline: Curve, corners: Sequence[Station]) -> int:
    """Which of `corners` is nearest to the upper left of the bounding box; 0 when there is none."""
    if len(corners) < 2:
        return 0
    places = _in_box(outline, corners)
    measure = places[:, 0] + (1.0 - places[:, 1])
    tied = np.flatnonzero(measure <= measure.min() + _TIE)
    return int(tied[np.argmax(places[tied, 1])])


def number_notches(
    notches: Iterable[Notch], seam_line: Curve, cut_line: Curve | None
) -> tuple[Notch, ...]:
    """Notches by length from corner 1, those of the cut line last; the nameless are numbered."""

    def key(notch: Notch) -> tuple[int, int, float]:
        # Segments follow one another, so a station orders itself; only at the very end of the
        # outline must a hair be measured: there a notch is at corner 1.
        cut = notch.line is LineRole.CUT and cut_line is not None
        line = cut_line if cut and cut_line is not None else seam_line
        segment, t = at_joint(line, notch.station) if _at_an_end(notch.station) else notch.station
        return (int(cut), segment, t)

    ordered = sorted(notches, key=key)
    taken = {n.name for n in ordered if n.name}
    out = []
    for number, notch in enumerate(ordered, start=1):
        if not notch.name:
            free = number
            while f"notch-{free}" in taken:
                free += 1
            taken.add(f"notch-{free}")
            notch = replace(notch, name=f"notch-{free}")
        out.append(notch)
    return tuple(out)


def _at_an_end(station: Station) -> bool:
    """Whether a station is so near a segment's end that it may be the joint itself."""
    return not 1e-3 < station.t < 0.999


def align_sizes(piece: Piece, base_size: str) -> Piece:
    """The piece with corner 1 at the same corner in every size.

    A size with as many corners as the base size is turned round its outline so that its corners
    lie nearest to the base size's, both measured within their bounding boxes. Names that a file
    or a plan gave stay with their corners; numbers are counted anew.
    """
    if base_size not in piece.sizes:
        return piece
    base = piece.in_size(base_size)
    wanted = _in_box(base.seam_line, [c.station for c in base.corners])
    shapes = []
    for shape in piece.shapes:
        n = len(shape.corners)
        if shape is base or n < 2 or n != len(base.corners):
            shapes.append(shape)
            continue
        own = _in_box(shape.seam_line, [c.station for c in shape.corners])
        # cost[k]: own corners turned by k against the base's, all k at once.
        turned = own[(np.arange(n)[:, None] + np.arange(n)[None, :]) % n]
        cost = ((turned - wanted[None]) ** 2).sum(axis=(1, 2))
        k = int(np.argmin(cost))
        # The turn must be clearly better: a symmetrical piece keeps the rule's numbers.
        shapes.append(restart(shape, k) if cost[k] < 0.9 * cost[0] - 1e-12 else shape)
    if all(a is b for a, b in zip(shapes, piece.shapes, strict=True)):
        return piece
    return piece.but(shapes=tuple(shapes))


def restart(shape: Shape, corner: int) -> Shape:
    """The same shape counted from another of its corners (0-based)."""
    k = corner % len(shape.corners)
    if k == 0:
        return shape
    outline, move = started_at(shape.seam_line, shape.corners[k].station.segment)
    corners = [replace(c, station=move(c.station)) for c in shape.corners]
    corners = corners[k:] + corners[:k]
    notches = [
        replace(
            n,
            name="" if _is_number(n.name, "notch") else n.name,
            station=move(n.station) if n.line is LineRole.SEAM else n.station,
        )
        for n in shape.notches
    ]
    return shape.but(
        seam_line=outline,
        corners=tuple(
            replace(c, name=f"corner-{i}") if _is_number(c.name, "corner") else c
            for i, c in enumerate(corners, start=1)
        ),
        notches=number_notches(notches, outline, shape.cut_line),
        darts=tuple(replace(d, left=move(d.left), right=move(d.right)) for d in shape.darts),
        grade_points=tuple(
            replace(g, station=move(g.station))
            if g.station is not None and g.line is LineRole.SEAM
            else g
            for g in shape.grade_points
        ),
        curve_points=tuple(move(s) for s in shape.curve_points),
        allowances=shape.allowances[k:] + shape.allowances[:k],
    )


def _is_number(name: str, what: str) -> bool:
    head, _, tail = name.rpartition("-")
    return head == what and tail.isdigit()


def _in_box(outline: Curve, corners: Sequence[Station]) -> NDArray[np.float64]:
    """Positions within the outline's bounding box, (n, 2) in 0..1."""
    x0, y0, x1, y1 = outline.bbox
    points = outline.points_of(
        np.array([c.segment for c in corners], dtype=int), np.array([c.t for c in corners])
    )
    size = np.maximum(np.array([x1 - x0, y1 - y0]), 1e-12)
    return np.asarray((points - np.array([x0, y0])) / size, dtype=np.float64)
