"""Arcs of circles and ellipses as cubics.

The usual handle, 4/3 tan(a/4) of the radius, lets a cubic touch the circle in its middle and run
outside it elsewhere, so that it is a little too long. Here the handle is shortened until the
cubic is exactly as long as the arc, which also brings it nearer: an armhole drawn as an arc walks
to its true length whatever number of pieces the tolerance asks for.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from .ellipse_length import ellipse_lengths
from .kinds import FloatArray, GeometryError
from .length import arc_lengths

#: Farthest distance from the true arc, mm.
ARC_TOLERANCE = 1e-4


def piece_count(radius: float, sweep: float, tolerance: float) -> int:
    """Pieces that hold an arc of `sweep` radians within `tolerance` of the true circle.

    One cubic over an angle a leaves the circle by 2/27 sin^6(a/4) / cos^2(a/4) of the radius.
    """
    count = max(1, math.ceil(abs(sweep) / (math.pi / 2) - 1e-12))
    while True:
        quarter = abs(sweep) / count / 4.0
        if radius * 2.0 / 27.0 * math.sin(quarter) ** 6 / math.cos(quarter) ** 2 <= tolerance:
            return count
        count += 1


def ellipse_arc(
    centre: ArrayLike,
    rx: float,
    ry: float,
    rotation: float,
    start: float,
    sweep: float,
    *,
    tolerance: float = ARC_TOLERANCE,
) -> FloatArray:
    """Cubics (K, 4, 2) along an ellipse from the eccentric angle start through sweep, degrees."""
    c = np.asarray(centre, dtype=np.float64)
    if c.shape != (2,) or not np.isfinite([*c, rx, ry, rotation, start, sweep]).all():
        raise GeometryError("an arc needs a centre (2,) and finite numbers")
    if rx < 0 or ry < 0 or sweep == 0:
        raise GeometryError("an arc needs radii of at least 0 and a sweep that is not 0")
    return _pieces(
        c, rx, ry, math.radians(rotation), math.radians(start), math.radians(sweep), tolerance
    )


def _pieces(
    c: FloatArray, rx: float, ry: float, phi: float, start: float, sweep: float, tolerance: float
) -> FloatArray:
    count = piece_count(max(rx, ry), sweep, tolerance)
    whole = abs(abs(sweep) - 2.0 * math.pi) < 1e-12
    if whole:  # joints at the four extremes
        count += -count % 4
    angles = start + sweep * np.arange(count + 1) / count
    points = np.stack((rx * np.cos(angles), ry * np.sin(angles)), axis=1)
    sides = np.stack((-rx * np.sin(angles), ry * np.cos(angles)), axis=1)
    usual = 4.0 / 3.0 * math.tan(sweep / count / 4.0)
    if rx > 0.0 and ry > 0.0:
        lengths = np.abs(np.diff(ellipse_lengths(rx, ry, angles)))
        handles = _true_handles(points, sides, usual, lengths)
    else:
        handles = np.full(count, usual)
    turn = np.array([[math.cos(phi), math.sin(phi)], [-math.sin(phi), math.cos(phi)]])
    out: FloatArray = _cubics(points, sides, handles) @ turn + c
    if whole:
        out[-1, 3] = out[0, 0]
    return out


def _cubics(points: FloatArray, sides: FloatArray, handles: FloatArray) -> FloatArray:
    reach = handles[:, None]
    return np.stack(
        (points[:-1], points[:-1] + reach * sides[:-1], points[1:] - reach * sides[1:], points[1:]),
        axis=1,
    )


def _true_handles(
    points: FloatArray, sides: FloatArray, usual: float, lengths: FloatArray
) -> FloatArray:
    """Handles (K,) near the usual one that make every piece as long as its arc: secant steps on
    all pieces together."""
    old = np.full(lengths.shape, usual)
    new = old * (1.0 - 1e-4)
    miss_old = arc_lengths(_cubics(points, sides, old)) - lengths
    least, most = sorted((0.99 * usual, 1.01 * usual))
    for _ in range(4):
        miss = arc_lengths(_cubics(points, sides, new)) - lengths
        # At rounding level the secant's slope means nothing: stay.
        done = (np.abs(miss) <= 4e-16 * lengths) | (miss == miss_old)
        step = np.where(done, 0.0, miss * (new - old) / np.where(done, 1.0, miss - miss_old))
        old, miss_old = new, miss
        new = np.clip(new - step, least, most)
    return new


def elliptical_arc_to_cubics(
    start: ArrayLike,
    rx: float,
    ry: float,
    rotation: float,
    large_arc: bool,
    sweep: bool,
    end: ArrayLike,
    *,
    scale: float = 1.0,
    tolerance: float = ARC_TOLERANCE,
) -> FloatArray:
    """Cubics (K, 4, 2) for the `A` command of an SVG path.

    Endpoint parametrisation with all out-of-range rules (W3C SVG 2, appendix B.2): a radius of
    0 gives a straight segment, negative radii count as positive, radii too small are scaled up
    until they just reach, coincident ends give nothing (K = 0). `scale` is mm a unit; the result
    lies within `tolerance` mm of the true arc.
    """
    a, b = np.asarray(start, dtype=np.float64), np.asarray(end, dtype=np.float64)
    if not np.isfinite([*a, *b, rx, ry, rotation]).all():
        raise GeometryError("an arc needs finite numbers")
    if np.array_equal(a, b):
        return np.empty((0, 4, 2))
    rx, ry = abs(rx), abs(ry)
    if rx == 0.0 or ry == 0.0:
        return np.stack((a, a + (b - a) / 3, b - (b - a) / 3, b))[None]
    phi = math.radians(rotation % 360.0)
    cos, sin = math.cos(phi), math.sin(phi)
    half = (a - b) / 2.0
    x = (cos * half[0] + sin * half[1]) / rx
    y = (-sin * half[0] + cos * half[1]) / ry
    need = x * x + y * y
    if need > 1.0:
        grow = math.sqrt(need)
        rx, ry, x, y = rx * grow, ry * grow, x / grow, y / grow
        need = 1.0
    # In the unit circle's frame: ends at +-(x, y) from the middle, centre on their bisector.
    lift = math.sqrt(max(0.0, 1.0 / need - 1.0)) * (-1.0 if large_arc == sweep else 1.0)
    cx, cy = lift * y, -lift * x
    theta = math.atan2(y - cy, x - cx)
    delta = math.atan2(-y - cy, -x - cx) - theta
    if sweep and delta < 0.0:
        delta += 2.0 * math.pi
    elif not sweep and delta > 0.0:
        delta -= 2.0 * math.pi
    centre = (a + b) / 2.0 + np.array(
        [cos * rx * cx - sin * ry * cy, sin * rx * cx + cos * ry * cy]
    )
    out = _pieces(centre, rx, ry, phi, theta, delta, tolerance / scale)
    out[0, 0], out[-1, 3] = a, b
    return out
