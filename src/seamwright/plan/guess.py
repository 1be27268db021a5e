"""Names for corners and notches where they are plain from the shape alone; else none.

A guess is only made where the whole piece fits: a sleeve with its one-piece cap, or a bodice half
whose neckline, shoulder and armhole follow one another. It is written into the proposed plan for
a person to say yes or no to.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from seamwright.geometry import Curve
from seamwright.model import LineRole, Shape
from seamwright.model.measure import measure

_BENT = 0.02  # an edge is bent when the area between it and its chord is above this x chord^2
_CAP = 0.12  # a sleeve's cap rises at least this much


class Guess(NamedTuple):
    """Names in order, "" where nothing is plain."""

    corners: tuple[str, ...]
    notches: tuple[str, ...]


def guess(shape: Shape) -> Guess:
    """Names for the marks of a shape that have only their numbers."""
    for recognised in (_sleeve, _bodice):
        found = recognised(shape)
        if found is not None:
            return found
    return Guess(("",) * len(shape.corners), ("",) * len(shape.notches))


def bulge(edge: Curve) -> float:
    """Area between an open edge and its chord over the chord squared: positive where the edge
    leans out of the piece (which lies on the left of travel), negative where it is hollow."""
    chord = float(np.hypot(*(edge.end - edge.start)))
    if chord <= 0.0:
        return 0.0
    back = Curve.line(edge.end, edge.start)
    return edge.joined(back).closed_up().area / chord**2


def _sleeve(shape: Shape) -> Guess | None:
    """Four corners, one edge a high cap; front and back told apart by one notch and two
    (Santa Rosa Junior College, FASH 60, page 7.2: one notch front, two back, one at the cap for
    the shoulder seam)."""
    if len(shape.corners) != 4:
        return None
    bulges = _bulges(shape)
    caps = [i for i, b in enumerate(bulges) if b > _CAP]
    if len(caps) != 1 or abs(bulges[(caps[0] + 2) % 4]) > _CAP / 2:
        return None
    cap = caps[0]
    shoulder, before, after = _cap_notches(shape, cap)
    if shoulder is None or {len(before), len(after)} != {1, 2}:
        return None
    # Anticlockwise the cap runs from one underarm point over the shoulder to the other.
    first, last = ("front", "back") if len(before) == 1 else ("back", "front")
    corners = [""] * 4
    for offset, name in enumerate(
        (f"underarm-{first}", f"underarm-{last}", f"wrist-{last}", f"wrist-{first}")
    ):
        corners[(cap + offset) % 4] = name
    notches = [""] * len(shape.notches)
    notches[shoulder] = "shoulder"
    for side, found in ((first, before), (last, after[::-1])):
        names = [side] if len(found) == 1 else [f"{side}-lower", f"{side}-upper"]
        for n, name in zip(found, names, strict=True):
            notches[n] = name
    return Guess(tuple(corners), tuple(notches))


def _cap_notches(shape: Shape, cap: int) -> tuple[int | None, list[int], list[int]]:
    """Notches of the cap edge: the one at the top, those before it and those after, in outline
    order. The top one lies in the middle third and nearest to the edge's highest place."""
    own = measure([shape])[0]
    start = float(own.corners[cap])
    whole = own.length
    edge = (float(own.corners[(cap + 1) % 4]) - start) % whole
    along = [
        (n, (float(at) - start) % whole)
        for n, (notch, at) in enumerate(zip(shape.notches, own.notches, strict=True))
        if notch.line is LineRole.SEAM
    ]
    on = sorted((s, n) for n, s in along if 1e-6 < s < edge - 1e-6)
    middle = [(s, n) for s, n in on if edge / 3 < s < 2 * edge / 3]
    if not middle:
        return None, [], []
    top, shoulder = min(middle, key=lambda entry: abs(entry[0] - edge / 2))
    return shoulder, [n for s, n in on if s < top], [n for s, n in on if s > top]


_AROUND = ("neck-centre", "neck-shoulder", "shoulder", "underarm", "hem-side", "hem-centre")


def _bodice(shape: Shape) -> Guess | None:
    """Six corners, and one straight edge, the shoulder, between two hollow ones: the neckline,
    and the armhole, which is clearly the longer. Then side, hem and centre, either way round."""
    if len(shape.corners) != 6 or shape.darts:
        return None
    bulges = _bulges(shape)
    hollow = [b < -_BENT for b in bulges]
    shoulders = [
        i
        for i, b in enumerate(bulges)
        if abs(b) < _BENT and hollow[(i - 1) % 6] and hollow[(i + 1) % 6]
    ]
    if len(shoulders) != 1:
        return None
    shoulder = shoulders[0]
    lengths = [edge.length for edge in shape.edges]
    before, after = lengths[(shoulder - 1) % 6], lengths[(shoulder + 1) % 6]
    if min(before, after) > 0.85 * max(before, after):
        return None
    # Edge i runs from corner i to corner i + 1: count on from the neckline's far end.
    step = 1 if before < after else -1
    start = shoulder - 1 if step > 0 else shoulder + 2
    corners = [""] * 6
    for k, name in enumerate(_AROUND):
        corners[(start + step * k) % 6] = name
    return Guess(tuple(corners), ("",) * len(shape.notches))


def _bulges(shape: Shape) -> Sequence[float]:
    return [bulge(shape.edge_curve(i)) for i in range(len(shape.corners))]
