"""B-splines as cubics: exact up to degree 3, stated deviation beyond."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

_MOST_DEGREE = 24
_MOST_PIECES = 4096


class SplineError(ValueError):
    """A spline that cannot be read; the message completes "a SPLINE on layer x ..."."""


def spline_cubics(
    points: FloatArray,
    knots: FloatArray,
    degree: int,
    weights: FloatArray | None,
    tolerance: float,
) -> tuple[FloatArray, float]:
    """Cubics (K, 4, 2) of a B-spline and their largest deviation from it (0 where exact).

    points (N, 2), knots (N + degree + 1,). Clamped, unclamped and periodic knots are all read:
    the curve runs over knots[degree] .. knots[N].
    """
    n = len(points)
    if not 1 <= degree <= _MOST_DEGREE or n <= degree:
        raise SplineError(f"has degree {degree} and {n} control points")
    if len(knots) != n + degree + 1:
        raise SplineError(
            f"has {len(knots)} knots where {n} control points of degree {degree} need "
            f"{n + degree + 1}"
        )
    if (np.diff(knots) < 0).any() or knots[n] <= knots[degree]:
        raise SplineError("has knots that do not ascend")
    if weights is None and degree <= 3:
        return elevated(bezier_points(points, knots, degree)), 0.0
    return _approximated(points, knots, degree, weights, tolerance)


def bezier_points(points: FloatArray, knots: FloatArray, degree: int) -> FloatArray:
    """Bezier points (spans, degree + 1, D) of every span that has extent.

    By blossoming (Ramshaw 1987): control point j of the span [a, b] is the polar form at
    a (degree - j times) and b (j times). Knot insertion gives the same points.
    """
    n = len(points)
    span = np.flatnonzero(knots[degree:n] < knots[degree + 1 : n + 1]) + degree
    a, b = knots[span], knots[span + 1]
    out = np.empty((span.size, degree + 1, points.shape[1]))
    for j in range(degree + 1):
        net = points[span[:, None] - degree + np.arange(degree + 1)]
        for r in range(1, degree + 1):
            at = b if r <= j else a
            for i in range(degree, r - 1, -1):
                low = knots[span - degree + i]
                high = knots[span + i - r + 1]
                share = ((at - low) / (high - low))[:, None]
                net[:, i] = (1.0 - share) * net[:, i - 1] + share * net[:, i]
        out[:, j] = net[:, degree]
    # Neighbours share their joint exactly.
    out[1:, 0] = out[:-1, degree]
    return out


def elevated(bezier: FloatArray) -> FloatArray:
    """Bezier points of degree 1, 2 or 3 as cubics (K, 4, 2), the curve unchanged."""
    degree = bezier.shape[1] - 1
    if degree == 3:
        return bezier
    first, last = bezier[:, 0], bezier[:, -1]
    if degree == 1:
        step = (last - first) / 3.0
        return np.stack((first, first + step, last - step, last), axis=1)
    middle = bezier[:, 1]
    return np.stack(
        (first, first + 2.0 / 3.0 * (middle - first), last + 2.0 / 3.0 * (middle - last), last), 1
    )


def _approximated(
    points: FloatArray, knots: FloatArray, degree: int, weights: FloatArray | None, tolerance: float
) -> tuple[FloatArray, float]:
    """Cubic Hermite pieces over each span, halved until they lie within the tolerance.

    The deviation is measured at equal parameters (an upper bound of the distance) at seven
    places of each piece.
    """
    if weights is None:
        weights = np.ones(len(points))
    if not (weights > 0).all():
        raise SplineError("has weights that are not above 0")
    lifted = np.concatenate((points * weights[:, None], weights[:, None]), axis=1)
    todo = bezier_points(lifted, knots, degree)
    order = np.arange(len(todo), dtype=np.float64)
    width = np.ones(len(todo))
    done: list[tuple[FloatArray, FloatArray]] = []
    worst = 0.0
    t = np.arange(1, 8) / 8.0
    while len(todo):
        cubic = _hermite(todo)
        true = _at(todo, t)
        s = 1.0 - t
        basis = np.stack((s**3, 3 * s * s * t, 3 * s * t * t, t**3), axis=1)
        off = np.abs(np.hypot(*np.moveaxis(basis @ cubic - true, -1, 0))).max(axis=1)
        good = (off <= tolerance) | (width < 1.0 / _MOST_PIECES)
        if good.any():
            worst = max(worst, float(off[good].max()))
            done.append((order[good], cubic[good]))
        left, right = _halved(todo[~good])
        where, half = order[~good], width[~good] / 2.0
        todo = np.concatenate((left, right))
        order = np.concatenate((where, where + half))
        width = np.concatenate((half, half))
    at = np.concatenate([o for o, _ in done])
    out = np.concatenate([c for _, c in done])[np.argsort(at, kind="stable")]
    out[1:, 0] = out[:-1, 3]
    return out, worst


def _project(lifted: FloatArray) -> FloatArray:
    return np.asarray(lifted[..., :2] / lifted[..., 2:])


def _hermite(bezier: FloatArray) -> FloatArray:
    """Cubics with the ends and end tangents of rational Beziers (K, degree + 1, 3)."""
    degree = bezier.shape[1] - 1
    p = _project(bezier)
    start = (degree / 3.0) * (bezier[:, 1, 2:] / bezier[:, 0, 2:]) * (p[:, 1] - p[:, 0])
    end = (degree / 3.0) * (bezier[:, -2, 2:] / bezier[:, -1, 2:]) * (p[:, -1] - p[:, -2])
    return np.stack((p[:, 0], p[:, 0] + start, p[:, -1] - end, p[:, -1]), axis=1)


def _at(bezier: FloatArray, t: FloatArray) -> FloatArray:
    """Points (K, T, 2) of rational Beziers by de Casteljau."""
    net = np.repeat(bezier[:, None], t.size, axis=1)
    share = t[None, :, None, None]
    while net.shape[2] > 1:
        net = (1.0 - share) * net[:, :, :-1] + share * net[:, :, 1:]
    return _project(net[:, :, 0])


def _halved(bezier: FloatArray) -> tuple[FloatArray, FloatArray]:
    left, right = np.empty_like(bezier), np.empty_like(bezier)
    net = bezier
    degree = bezier.shape[1] - 1
    for r in range(degree + 1):
        left[:, r], right[:, degree - r] = net[:, 0], net[:, -1]
        net = (net[:, :-1] + net[:, 1:]) / 2.0
    return left, right


def fitted(
    points: FloatArray, start: FloatArray | None = None, end: FloatArray | None = None
) -> FloatArray:
    """Cubics (N - 1, 4, 2) of the interpolating spline through points (N, 2).

    Twice continuously differentiable over chord-length parameters; at an end without a tangent
    its second derivative is 0 (natural spline, e.g. de Boor 1978, ch. 4). CAD programs draw fit
    points alike, but not by one published rule.
    """
    step = np.hypot(*np.diff(points, axis=0).T)
    keep = np.concatenate(([True], step > 0))
    points, step = points[keep], step[step > 0]
    n = len(points)
    if n < 2:
        raise SplineError("has fit points that all coincide")
    slope = np.diff(points, axis=0) / step[:, None]
    matrix = np.zeros((n, n))
    right = np.zeros((n, 2))
    inner = np.arange(1, n - 1)
    matrix[inner, inner - 1] = step[1:]
    matrix[inner, inner] = 2.0 * (step[:-1] + step[1:])
    matrix[inner, inner + 1] = step[:-1]
    right[inner] = 3.0 * (step[1:, None] * slope[:-1] + step[:-1, None] * slope[1:])
    for at, next_to, tangent, h in ((0, 1, start, slope[0]), (n - 1, n - 2, end, slope[-1])):
        if tangent is not None:
            matrix[at, at] = 1.0
            right[at] = tangent / np.hypot(*tangent)
        else:
            matrix[at, at], matrix[at, next_to] = 2.0, 1.0
            right[at] = 3.0 * h
    d = np.linalg.solve(matrix, right)
    third = step[:, None] / 3.0
    return np.stack(
        (points[:-1], points[:-1] + third * d[:-1], points[1:] - third * d[1:], points[1:]), axis=1
    )
