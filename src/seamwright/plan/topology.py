"""Names for a size that has other corners or notches than the base size: as far as they go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from seamwright.geometry import FloatArray, Station
from seamwright.model import LineRole, Shape
from seamwright.model.measure import Measures

_NEAR = 0.12  # of the bounding box; marks farther apart than this are not taken for one another


def corners_by_place(shape: Shape, base: Shape) -> Shape:
    """`shape` with the corners' names of `base`, where they lie at the same place.

    Two marks are the same when each is the other's nearest, both measured within their bounding
    boxes, and no farther apart than about a tenth of the box. What has no partner keeps its own
    name, or, if a partner elsewhere has taken it, gets the next free number.
    """
    partner = _matched(
        _in_box(shape, [c.station for c in shape.corners]),
        _in_box(base, [c.station for c in base.corners]),
    )
    names = _names([c.name for c in shape.corners], [c.name for c in base.corners], partner)
    return shape.but(
        corners=tuple(replace(c, name=n) for c, n in zip(shape.corners, names, strict=True))
    )


def notches_by_place(shape: Shape, base: Shape) -> Shape:
    """`shape` with the notches' names of `base`, by the same rule."""
    partner = _matched(_notch_places(shape), _notch_places(base))
    names = _names([n.name for n in shape.notches], [n.name for n in base.notches], partner)
    return shape.but(
        notches=tuple(replace(m, name=n) for m, n in zip(shape.notches, names, strict=True))
    )


def strayed_notches(shape: Shape, own: Measures, base: Measures) -> list[str]:
    """Names of notches that lie between other corners than in the base size, whose measures are
    `base`; both have as many corners and notches. One within 1 mm of a corner may lie on either
    side of it."""
    if not len(base.corners):
        return []
    apart = [not (a & b) for a, b in zip(_edges(own), _edges(base), strict=True)]
    return [notch.name for notch, far in zip(shape.notches, apart, strict=True) if far]


def _edges(known: Measures) -> list[set[int]]:
    """For each notch the numbers of the edges on which it lies."""
    places = (known.notches[:, None] + np.array([-1.0, 1.0])) % known.length
    found = np.searchsorted(known.corners, places, side="right") - 1
    return [set(row) for row in (found % len(known.corners)).tolist()]


def _names(own: Sequence[str], base: Sequence[str], partner: Sequence[int]) -> list[str]:
    out = [base[j] if j >= 0 else "" for j in partner]
    taken = {name for name in out if name}
    for i, name in enumerate(out):
        if name:
            continue
        free = own[i]
        head, _, tail = free.rpartition("-")
        n = int(tail) if tail.isdigit() else len(own)
        head = head if tail.isdigit() else free
        while free in taken or (free in base and free != own[i]):
            n += 1
            free = f"{head}-{n}"
        out[i] = free
        taken.add(free)
    return out


def _matched(own: FloatArray, base: FloatArray) -> list[int]:
    """For each of `own` (n, 2) the number of its partner in `base` (m, 2), or -1."""
    if not len(own) or not len(base):
        return [-1] * len(own)
    apart = np.hypot(*(own[:, None] - base[None]).transpose(2, 0, 1))
    nearest, back = apart.argmin(axis=1), apart.argmin(axis=0)
    return [int(j) if back[j] == i and apart[i, j] <= _NEAR else -1 for i, j in enumerate(nearest)]


def _in_box(shape: Shape, stations: Sequence[Station]) -> FloatArray:
    points = shape.seam_line.points_of(
        np.array([s.segment for s in stations], dtype=int), np.array([s.t for s in stations])
    )
    return _scaled(shape, points)


def _notch_places(shape: Shape) -> FloatArray:
    points = [
        (
            shape.cut_line
            if n.line is LineRole.CUT and shape.cut_line is not None
            else shape.seam_line
        ).point_of(n.station)
        for n in shape.notches
    ]
    return _scaled(shape, np.array(points, dtype=np.float64).reshape(-1, 2))


def _scaled(shape: Shape, points: FloatArray) -> FloatArray:
    x0, y0, x1, y1 = shape.seam_line.bbox
    size = np.maximum(np.array([x1 - x0, y1 - y0]), 1e-12)
    out: FloatArray = (points - np.array([x0, y0])) / size
    return out
