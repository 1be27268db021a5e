"""How deep wedges may be without meeting."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..curve import Curve
from .kinds import FloatArray
from .wedge import inward_side

__all__ = ["deepest"]

_FOOT = 6.0  # mm left above the line between the edge's ends
_APART = 6.0  # mm left between two wedges
_FINE = 0.5  # mm: depths are tried in steps of this


def deepest(edge: Curve, places: Sequence[float], *, depth: float = 60.0) -> float:
    """The largest depth up to `depth` to which wedges at places (lengths along an open edge) can
    go, all alike, along the inward normals: none nearer than 6 mm to the line between the edge's
    ends or to another. 0 if there is no room at all. (On a narrow cap the usual depth is too
    much; on the shape of the edge the depth has little influence.)
    """
    side = inward_side(edge)
    at = np.asarray(places, dtype=np.float64)
    mouths = edge.point_at(at)
    ways = side * edge.normal_at(at)
    foot = edge.end - edge.start
    across = np.array([-foot[1], foot[0]]) / np.hypot(*foot)
    # The edge runs over the piece: the piece lies on the side of the foot where the edge is.
    above = -side * across
    tries = np.append(np.arange(_FINE, depth, _FINE), depth)
    tips = mouths[None] + tries[:, None, None] * ways[None]
    fits = ((tips - edge.start) @ above >= _FOOT).all(axis=1)
    for i in range(len(at)):
        for j in range(i):
            fits &= _apart(mouths[i], tips[:, i], mouths[j], tips[:, j]) >= _APART
    # The first depth that does not fit ends the search: beyond a crossing there is no way.
    good = int(np.argmin(fits)) if not fits.all() else len(tries)
    return float(tries[good - 1]) if good else 0.0


def _apart(a: FloatArray, b: FloatArray, c: FloatArray, d: FloatArray) -> FloatArray:
    """Distances (N,) of segments from a (2,) to b (N, 2) and from c (2,) to d (N, 2)."""
    pairs = [(b, c, d), (np.broadcast_to(a, b.shape), c, d), (d, a, b)]
    pairs.append((np.broadcast_to(c, d.shape), a, b))
    nearest: FloatArray = np.min([_to_segment(p, q, r) for p, q, r in pairs], axis=0)
    return nearest


def _to_segment(p: FloatArray, q: FloatArray, r: FloatArray) -> FloatArray:
    """Distances (N,) of points p (N, 2) from segments from q (2,) to r (N, 2)."""
    way = r - q
    t = np.clip(((p - q) * way).sum(axis=1) / (way**2).sum(axis=1), 0.0, 1.0)
    gap: FloatArray = np.hypot(*(p - q - t[:, None] * way).T)
    return gap
