"""Whether an outline crosses itself, told quickly where it plainly does not.

The exact search (`Curve.self_intersections`) follows every pair of segments that may touch, so
neighbours that run smoothly into one another cost it most. Drawn out as chords within a
hundredth of a millimetre, nearly every outline is seen to be simple at once; only the others are
searched.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from .curve import Curve
from .flatten import flatten_ragged

_CHORD = 0.01  # mm; loops smaller than this are no crossings that anybody could cut


def crosses_itself(curve: Curve) -> bool:
    """Whether a closed or open curve crosses or touches itself."""
    return not _seen_simple([curve])[0] and len(curve.self_intersections().own) > 0


def first_crossings(curves: Sequence[Curve]) -> list[tuple[float, float] | None]:
    """A place where each of many curves crosses or touches itself, None where it does not."""
    out: list[tuple[float, float] | None] = []
    for curve, simple in zip(curves, _seen_simple(curves), strict=True):
        found = None if simple else curve.self_intersections().points
        out.append(None if found is None or not len(found) else (found[0, 0], found[0, 1]))
    return out


def _seen_simple(curves: Sequence[Curve]) -> list[bool]:
    """Whether the chords of each curve neither cross nor touch, all curves flattened together."""
    import shapely  # noqa: PLC0415 - heavy, and needed by surgery only

    if not curves:
        return []
    points, starts, ends = flatten_ragged(np.concatenate([c.segments for c in curves]), _CHORD)
    counts = [c.n for c in curves]
    # Every segment without its last point, and each curve's end.
    last = np.cumsum(counts) - 1
    sizes = ends - starts - 1
    sizes[last] += 1
    behind = np.cumsum(sizes) - sizes
    index = np.arange(int(sizes.sum())) + np.repeat(starts - behind, sizes)
    owner = np.repeat(np.repeat(np.arange(len(curves)), counts), sizes)
    lines = shapely.linestrings(points[index], indices=owner)
    return [bool(s) for s in np.atleast_1d(shapely.is_simple(lines))]
