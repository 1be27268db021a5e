"""Putting a piece together from what a drawing holds: loose strokes, points, closed outlines.

Words: a *stroke* is what a drawing draws in one go, with two ends (the same place where it
closes); a *chain* is strokes joined end to end; a *gap* is the distance that a join bridges; a
*junction* is a place where more than two ends meet and nobody can say which belong together; an
outline is *inside* another where all of it is.

Nothing here knows a file format. Tolerances are mm and are distances between two points.
"""

from __future__ import annotations

from .bends import polyline_corners
from .join import Gap, Joined, Junction, chained, join_strokes
from .near import OnRings, nearest_on_rings, pairs_within
from .rings import Rings, turned_rings
from .twins import Twin, twins

__all__ = [
    "Gap", "Joined", "Junction", "OnRings", "Rings", "Twin", "chained", "join_strokes",
    "nearest_on_rings", "pairs_within", "polyline_corners", "turned_rings", "twins",
]  # fmt: skip
