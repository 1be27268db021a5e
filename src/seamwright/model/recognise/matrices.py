"""Affine matrices (a, b, c, d, e, f): x' = a x + c y + e, y' = b x + d y + f."""

from __future__ import annotations

import math
from typing import TypeAlias

import numpy as np

from seamwright.geometry import FloatArray

Matrix: TypeAlias = tuple[float, float, float, float, float, float]

IDENTITY: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def times(m: Matrix, n: Matrix) -> Matrix:
    """m after n: first n, then m."""
    a, b, c, d, e, f = m
    p, q, r, s, t, u = n
    return (
        a * p + c * q,
        b * p + d * q,
        a * r + c * s,
        b * r + d * s,
        a * t + c * u + e,
        b * t + d * u + f,
    )


def apply(m: Matrix, x: float, y: float) -> tuple[float, float]:
    """The point (x, y) under the matrix."""
    return m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5]


def apply_all(m: Matrix, points: FloatArray) -> FloatArray:
    """Points (..., 2) under the matrix, each coordinate by the same operations: what coincides
    before coincides after, bit for bit."""
    out = np.empty_like(points)
    x, y = points[..., 0], points[..., 1]
    out[..., 0] = m[0] * x + m[2] * y + m[4]
    out[..., 1] = m[1] * x + m[3] * y + m[5]
    return out


def largest_stretch(m: Matrix) -> float:
    """The most by which the matrix lengthens anything (its larger singular value)."""
    a, b, c, d = m[:4]
    p = math.hypot(a + d, b - c)
    q = math.hypot(a - d, b + c)
    return (p + q) / 2.0


def determinant(m: Matrix) -> float:
    """Factor of areas; negative where the matrix mirrors."""
    return m[0] * m[3] - m[1] * m[2]
