"""One stretch of line between two breaks, drawn anew with few cubics."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from seamwright.geometry import LINE, Curve, FloatArray, GeometryError, fit_cubics
from seamwright.geometry.corners import end_tangents

_FLAT = 0.05  # share of the tolerance that goes into drawing the old curve out
_EVEN = 4.0  # neighbouring chords of a polyline differ in length by less than this


class Fitted(NamedTuple):
    """The new curve, and how far old and new are apart at most (both ways), mm."""

    curve: Curve
    apart: float


def fit(
    old: Curve,
    tolerance: float,
    *,
    corners_above: float,
    start: FloatArray | None,
    end: FloatArray | None,
) -> Fitted | None:
    """An open curve within the tolerance of `old`, with its ends and, where given, those
    directions of travel; None where it would not take fewer segments."""
    live = old.segment_lengths > 1e-9
    if int(live.sum()) <= 1:
        return None
    polyline = bool((old.kinds[live] == LINE).all())
    points = old.joints[np.concatenate(([True], live))] if polyline else old.flatten(
        _FLAT * tolerance
    )  # fmt: skip
    corners = _corners(old, points, corners_above)
    wanted = tolerance if polyline else (1.0 - 2.0 * _FLAT) * tolerance
    # A fit is held to its points and to places between them; the whole line is held to it here.
    for share in (1.0, 0.8, 0.6):
        try:
            new = fit_cubics(
                points, share * wanted, corners=corners, start_tangent=start, end_tangent=end
            )
        except GeometryError:
            return None
        if new.n >= old.n:
            return None
        segments = np.array(new.segments)
        segments[0, 0], segments[-1, 3] = old.start, old.end
        new = Curve.from_segments(segments, new.kinds)
        far = apart(old, new)
        if far <= tolerance:
            return Fitted(new, far)
    return None


def apart(old: Curve, new: Curve) -> float:
    """How far either line is from the other at most, sampled every 2 mm and at every joint, mm."""
    far = 0.0
    for one, other in ((old, new), (new, old)):
        count = max(int(np.ceil(0.5 * one.length)), 16)
        samples = one.point_at(np.linspace(0.0, one.length, count + 1))
        spots = np.concatenate((samples, one.joints))
        far = max(far, float(other.nearest(spots).distances.max()))
    return far


def _corners(old: Curve, points: FloatArray, above: float) -> list[int]:
    """Numbers of the points at which the old curve has a break that stays."""
    breaks = old.corner_segments(above)
    if not len(breaks):
        return []
    spots = old.joints[breaks]
    far = np.hypot(*(points[None] - spots[:, None]).transpose(2, 0, 1))
    return sorted({int(k) for k in far.argmin(axis=1)})


def directions(outline: Curve, at: float, corners_above: float) -> tuple[FloatArray, FloatArray]:
    """Unit directions (2,) in which a closed outline arrives at a place and leaves it.

    A curve's own limiting tangents. At a vertex of a polyline that stands for a smooth curve both
    are the direction between the two chords (where one is much longer, that one's: a line).
    """
    station = outline.station_at(at % outline.length)
    k, t = station
    n = outline.n
    if 1e-9 < t < 1.0 - 1e-9:
        tangent = outline.tangents_of([k], [t])[0]
        return tangent, tangent
    after = (k + 1) % n if t > 0.5 else k
    before = (after - 1) % n
    lengths = outline.segment_lengths
    while lengths[after] <= 1e-9:
        after = (after + 1) % n
    while lengths[before] <= 1e-9:
        before = (before - 1) % n
    out, arrive = end_tangents(outline.segments[[before, after]])
    a, b = arrive[0], out[1]
    turn = abs(float(np.degrees(np.angle(b / a))))
    chords = outline.kinds[before] == LINE and outline.kinds[after] == LINE
    if chords and turn <= corners_above:
        ratio = float(lengths[before] / lengths[after])
        middle = a if ratio > _EVEN else b if ratio < 1.0 / _EVEN else a + b
        a = b = middle / abs(middle)
    return np.array([a.real, a.imag]), np.array([b.real, b.imag])


def is_break(outline: Curve, at: float, corners_above: float) -> bool:
    """Whether two chords of a polyline meet at a place in a corner that stays sharp."""
    k, t = outline.station_at(at % outline.length)
    if 1e-9 < t < 1.0 - 1e-9:
        return False
    after = (k + 1) % outline.n if t > 0.5 else k
    kinds = outline.kinds
    if kinds[after] != LINE or kinds[after - 1] != LINE:
        return False
    return after in set(outline.corner_segments(corners_above).tolist())
