"""One place on one segment, in plain numbers.

Surgery asks for places one by one, and a dozen numpy calls on arrays of one cost a hundred times
the arithmetic. These give the same figures by the same formulas as `evaluate` and `locate`;
where those need more than the plain case (panels towards a root of the derivative) they say so
by None, and the caller goes the long way.
"""

from __future__ import annotations

import cmath
from math import sqrt

import numpy as np

from .kinds import FloatArray
from .panels import least_half_axis

_X, _W = np.polynomial.legendre.leggauss(16)
#: (node on [0, 1], half weight) of the 16 nodes that `locate` uses too.
_RULE = [((x + 1.0) / 2.0, w / 2.0) for x, w in zip(_X.tolist(), _W.tolist(), strict=True)]
_NODES = [x for x, _ in _RULE]
_WEIGHTS = [w for _, w in _RULE]
#: Roots of the derivative beyond this ellipse leave 16 nodes proved to 1e-14, as in `locate`.
_WHOLE = least_half_axis(16, 1e-14)

Four = tuple[complex, complex, complex, complex]
Squares = tuple[float, float, float, float, float]


def control(segments: FloatArray, index: int) -> Four:
    """Control points of one of segments (K, 4, 2)."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = segments[index].tolist()
    return complex(ax, ay), complex(bx, by), complex(cx, cy), complex(dx, dy)


def point(z: Four, t: float) -> complex:
    """The point at t, from the nearer end, so that both ends are exact."""
    z0, z1, z2, z3 = z
    s = 1.0 - t
    if t > 0.5:
        return z3 + s * (3.0 * t * t * (z2 - z3) + s * (3.0 * t * (z1 - z3) + s * (z0 - z3)))
    return z0 + t * (3.0 * s * s * (z1 - z0) + t * (3.0 * s * (z2 - z0) + t * (z3 - z0)))


def tangent(z: Four, t: float) -> complex | None:
    """The unit tangent at t; None where the derivative all but vanishes."""
    z0, z1, z2, z3 = z
    s = 1.0 - t
    d = 3.0 * (s * s * (z1 - z0) + 2.0 * s * t * (z2 - z1) + t * t * (z3 - z2))
    speed = abs(d)
    if speed <= 1e-12 * max(abs(z1 - z0), abs(z2 - z0), abs(z3 - z0)):
        return None
    return d / speed


def squares(z: Four) -> Squares | None:
    """Coefficients of |z'|^2 in t where 16 nodes are proved to measure any part of the segment,
    None where they are not."""
    z0, z1, z2, z3 = z
    d0, d1, d2 = 3.0 * (z1 - z0), 3.0 * (z2 - z1), 3.0 * (z3 - z2)
    twice, ends = 2.0 * d1, d0 + d2
    e0, e1, e2 = (ends + twice) * 0.25, (d2 - d0) * 0.5, (ends - twice) * 0.25
    disc = cmath.sqrt(e1 * e1 - 4.0 * e0 * e2)
    if e1.real * disc.real + e1.imag * disc.imag < 0.0:
        disc = -disc
    q = -0.5 * (e1 + disc)
    roots = []
    if abs(q) > 1e-150 * abs(e0):
        roots.append(e0 / q)
    elif e0 == 0:
        return None
    if abs(e2) > 1e-150 * abs(q):
        roots.append(q / e2)
    for r in roots:
        if not (abs(r - 1.0) + abs(r + 1.0)) * 0.5 >= _WHOLE:
            return None
    a, b = d0 - 2.0 * d1 + d2, 2.0 * (d1 - d0)
    return (
        d0.real * d0.real + d0.imag * d0.imag,
        2.0 * (d0.real * b.real + d0.imag * b.imag),
        b.real * b.real + b.imag * b.imag + 2.0 * (d0.real * a.real + d0.imag * a.imag),
        2.0 * (b.real * a.real + b.imag * a.imag),
        a.real * a.real + a.imag * a.imag,
    )


def length_to(c: Squares, t: float) -> float:
    """Length from 0 to t."""
    c0, c1, c2, c3, c4 = c
    total = 0.0
    for x, w in _RULE:
        v = x * t
        total += w * sqrt(max(c0 + v * (c1 + v * (c2 + v * (c3 + v * c4))), 0.0))
    return total * t


def parameter_at(c: Squares, goal: float, whole: float) -> float | None:
    """t in [0, 1] at which the segment has run `goal` of its length; None where Newton's steps
    find no rest (which the plain case never gave)."""
    c0, c1, c2, c3, c4 = c
    if goal <= 0.0:
        return 0.0
    if goal >= whole:
        return 1.0
    x = goal / whole
    m0 = min(whole / (sqrt(max(c0, 0.0)) + 1e-300), 3.0)
    m1 = min(whole / (sqrt(max(c0 + c1 + c2 + c3 + c4, 0.0)) + 1e-300), 3.0)
    t = x * (m0 + x * ((3.0 - 2.0 * m0 - m1) + x * (m0 + m1 - 2.0)))
    limit = 2e-13 + 4e-15 * whole
    low, high = 0.0, 1.0
    for _ in range(60):
        miss = length_to(c, t) - goal
        if abs(miss) <= limit:
            return t
        if miss > 0.0:
            high = t
        else:
            low = t
        step = t - miss / (sqrt(max(c0 + t * (c1 + t * (c2 + t * (c3 + t * c4))), 0.0)) + 1e-300)
        t = step if low <= step <= high else (low + high) / 2.0
    return None


def tangents_apart(z: Four, w: Four) -> bool:
    """Whether no tangent of z is parallel to one of w: they cross once at most then."""
    d = (z[1] - z[0], z[2] - z[1], z[3] - z[2])
    e = (w[1] - w[0], w[2] - w[1], w[3] - w[2])
    noise = 1e-13 * max(map(abs, d)) * max(map(abs, e))
    crosses = [a.real * b.imag - a.imag * b.real for a in d for b in e]
    return min(crosses) > noise or max(crosses) < -noise


def crossing(z: Four, w: Four, t: float, u: float) -> tuple[float, float] | None:
    """Parameters in [0, 1] of the crossing of two cubics by Newton's steps from t and u; None
    where they lead elsewhere."""
    for _ in range(12):
        gap = point(w, u) - point(z, t)
        if abs(gap) <= 1e-12:
            break
        s, v = 1.0 - t, 1.0 - u
        d = 3.0 * (s * s * (z[1] - z[0]) + 2.0 * s * t * (z[2] - z[1]) + t * t * (z[3] - z[2]))
        e = 3.0 * (v * v * (w[1] - w[0]) + 2.0 * v * u * (w[2] - w[1]) + u * u * (w[3] - w[2]))
        det = d.real * e.imag - d.imag * e.real
        if det == 0.0:
            return None
        t += (gap.real * e.imag - gap.imag * e.real) / det
        u += (gap.real * d.imag - gap.imag * d.real) / det
        if not (-0.25 <= t <= 1.25 and -0.25 <= u <= 1.25):
            return None
    if abs(point(w, u) - point(z, t)) > 1e-10 or not (0.0 <= t <= 1.0 and 0.0 <= u <= 1.0):
        return None
    return t, u
