"""Arcs of circles and ellipses, all at once, as cubics."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


def arcs_to_cubics(
    centre: FloatArray,
    major: FloatArray,
    minor: FloatArray,
    start: FloatArray,
    sweep: FloatArray,
    tolerance: float,
) -> tuple[FloatArray, IntArray]:
    """Cubics (K, 4, 2) and offsets (N + 1,) along centre + cos(t) major + sin(t) minor.

    centre, major, minor  (N, 2); t runs from start (N,) through sweep (N,), radians. Each lies
    within `tolerance` of the true arc: one cubic over an angle a leaves a circle of radius r by
    at most 2/27 r sin^6(a/4) / cos^2(a/4) (Taylor of the usual handle length 4/3 tan(a/4)).
    """
    radius = np.maximum(np.hypot(*major.T), np.hypot(*minor.T))
    pieces = np.maximum(1, np.ceil(np.abs(sweep) / (np.pi / 2) - 1e-12)).astype(np.int64)
    while True:
        quarter = np.abs(sweep) / pieces / 4.0
        error = radius * 2.0 / 27.0 * np.sin(quarter) ** 6 / np.cos(quarter) ** 2
        short = error > tolerance
        if not short.any():
            break
        pieces[short] += 1
    offsets = np.zeros(pieces.size + 1, dtype=np.int64)
    np.cumsum(pieces, out=offsets[1:])
    own = np.repeat(np.arange(pieces.size), pieces)
    k = np.arange(offsets[-1]) - offsets[own]
    step = (sweep / pieces)[own]
    t0 = start[own] + step * k
    t1 = start[own] + step * (k + 1)
    handle = 4.0 / 3.0 * np.tan(step / 4.0)
    c0, s0, c1, s1 = np.cos(t0), np.sin(t0), np.cos(t1), np.sin(t1)
    cosines = np.stack((c0, c0 - handle * s0, c1 + handle * s1, c1), axis=1)
    sines = np.stack((s0, s0 + handle * c0, s1 - handle * c1, s1), axis=1)
    out = (
        centre[own, None]
        + cosines[..., None] * major[own, None]
        + sines[..., None] * minor[own, None]
    )
    # The joints of one arc are one point each.
    inner = np.flatnonzero(k > 0)
    out[inner, 0] = out[inner - 1, 3]
    full = np.flatnonzero(np.abs(np.abs(sweep) - 2 * np.pi) < 1e-12)
    out[offsets[full + 1] - 1, 3] = out[offsets[full], 0]
    return out, offsets


def bulge_arcs(
    a: FloatArray, b: FloatArray, bulge: FloatArray, tolerance: float
) -> tuple[FloatArray, IntArray]:
    """Cubics and offsets for chords a -> b (N, 2) with bulges (N,), none of them 0.

    The bulge is the tangent of a quarter of the included angle, positive where the arc runs
    anticlockwise from a to b (DXF reference, group 42 of a polyline's vertex).
    """
    chord = b - a
    angle = 4.0 * np.arctan(bulge)
    # From the middle of the chord to the centre, along its left normal: half chord / tan(half).
    with np.errstate(divide="ignore"):
        lift = 0.5 / np.tan(angle / 2.0)
    left = np.stack((-chord[:, 1], chord[:, 0]), axis=1)
    centre = (a + b) / 2.0 + lift[:, None] * left
    major = a - centre
    minor = np.stack((-major[:, 1], major[:, 0]), axis=1)
    zero = np.zeros(len(a))
    out, offsets = arcs_to_cubics(centre, major, minor, zero, angle, tolerance)
    out[offsets[:-1], 0] = a
    out[offsets[1:] - 1, 3] = b
    return out, offsets
