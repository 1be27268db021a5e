"""A seam line made from a cut line and one seam allowance for all edges."""

from __future__ import annotations

import numpy as np

from seamwright.geometry import Curve, GeometryError
from seamwright.geometry.outline_offset import CornerRule, offset_outline

_SHARP = CornerRule(style="mitre", limit=20.0)  # a seam line's corners are never blunted


def seam_from_cut(cut: Curve, allowance: float, threshold: float) -> Curve:
    """The closed curve `allowance` mm inside a closed cut line, corners kept sharp.

    Each edge between corners (turns above `threshold` degrees) is moved inside by itself.
    Raises GeometryError where nothing sensible is left.
    """
    if cut.area < 0.0:
        cut = cut.reversed()
    if allowance == 0.0:
        return cut
    corners = cut.corner_segments(threshold)
    if len(corners) == 0:
        edges = [cut]
    else:
        at = cut.cumulative[corners]
        edges = [cut.part(float(a), float(b)) for a, b in zip(at, np.roll(at, -1), strict=True)]
    seam = offset_outline(edges, [-allowance] * len(edges), _SHARP).curve
    if not 0.0 < seam.area < cut.area:
        raise GeometryError("the allowance is wider than the piece")
    return seam
