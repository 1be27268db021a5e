"""How the corners of a cut line that is there were finished, told from where it runs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from seamwright.geometry import Curve, FloatArray, GeometryError
from seamwright.geometry.outline_offset import (
    MITRE,
    CornerRule,
    Outline,
    OutlineOffset,
    offset_outlines,
)

from ..shape import Shape

_SAME: Final = 0.02  # mm; what the refit of two parallels may differ by, with room
_OTHERS: Final = (
    CornerRule(style="fold", first="before"),
    CornerRule(style="fold", first="after"),
    CornerRule(style="square", first="before"),
    CornerRule(style="square", first="after"),
    CornerRule(style="blunt"),
    CornerRule(limit=1e9),
)


def corner_finishes(shape: Shape) -> list[CornerRule | None]:
    """The rule by which each corner of the cut line was finished, in order; None where it is none
    that we know: drawn by hand, or blunted at another distance.

    Each rule is tried, and holds where its cut line and the old one run as one about the corner,
    within 0.02 mm. A mitre is tried first: where a corner can be finished in one way only (it
    turns inward, or hardly) the rules agree.
    """
    if shape.cut_line is None or not shape.corners or not shape.allowances:
        return []
    edges = tuple(shape.edge_curve(i) for i in range(len(shape.corners)))
    count = len(edges)
    plain = offset_outlines([_order(edges, shape, [MITRE] * count)])[0]
    found: list[CornerRule | None] = [None] * count
    if isinstance(plain, OutlineOffset):
        found = [MITRE if _as_one(plain, shape.cut_line, i) else None for i in range(count)]
    tries = [(i, rule) for i in range(count) if found[i] is None for rule in _OTHERS]
    orders = []
    for i, rule in tries:
        rules = [MITRE] * count
        rules[i] = rule
        orders.append(_order(edges, shape, rules))
    for (i, rule), made in zip(tries, offset_outlines(orders), strict=True):
        if found[i] is None and not isinstance(made, GeometryError):
            found[i] = rule if _as_one(made, shape.cut_line, i) else None
    return found


def _order(edges: tuple[Curve, ...], shape: Shape, rules: Sequence[CornerRule]) -> Outline:
    return Outline(edges=edges, widths=tuple(shape.allowances), rules=rules)


def _as_one(made: OutlineOffset, old: Curve, i: int) -> bool:
    """Whether a cut line and the old one run as one about the corner before edge i."""
    new = made.curve
    start, end = float(made.spans[i - 1, 1]), float(made.spans[i, 0])
    reach = 1.0 + (end - start) % new.length
    if reach > 0.5 * new.length:
        reach = 1.0
    places = _places(new, start - 0.5, reach)
    near = old.nearest(places)
    if float(near.distances.max()) > _SAME:
        return False
    back = (near.lengths[-1] - near.lengths[0]) % old.length
    if back > 2.0 * reach + 1.0:
        return False
    across = _places(old, float(near.lengths[0]), float(back))
    return float(new.nearest(across).distances.max()) <= _SAME


def _places(curve: Curve, start: float, reach: float) -> FloatArray:
    """Joints and a dozen places within a stretch of a closed curve."""
    joints = (curve.cumulative[:-1] - start) % curve.length
    at = np.concatenate((np.linspace(0.0, reach, 13), joints[joints < reach]))
    return curve.point_at(np.mod(start + np.sort(at), curve.length))
