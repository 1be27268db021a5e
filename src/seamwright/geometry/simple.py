"""Whether an outline crosses itself, told quickly where it plainly does not.

The exact search (`Curve.self_intersections`) follows every pair of segments that may touch, so
neighbours that run smoothly into one another cost it most. Drawn out as chords within a
hundredth of a millimetre, nearly every outline is seen to be simple at once; only the others are
searched.
"""

from __future__ import annotations

import numpy as np

from .curve import Curve

_CHORD = 0.01  # mm; loops smaller than this are no crossings that anybody could cut


def crosses_itself(curve: Curve) -> bool:
    """Whether a closed or open curve crosses or touches itself."""
    import shapely  # noqa: PLC0415 - heavy, and needed by surgery only

    points = curve.flatten(_CHORD)
    if curve.closed:
        points = np.concatenate((points, points[:1]))
    if bool(shapely.LineString(points).is_simple):
        return False
    return len(curve.self_intersections().own) > 0
