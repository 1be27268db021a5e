"""Length along an ellipse: Legendre's incomplete integral by Carlson's symmetric forms.

B. C. Carlson, Numerical computation of real or complex elliptic integrals, Numerical Algorithms
10 (1995) 13-26; NIST Digital Library of Mathematical Functions, 19.25.9 and 19.36.
"""

from __future__ import annotations

import math

import numpy as np

from .kinds import FloatArray


def _carlson(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
    """R_F(x, y, 1) and R_D(x, y, 1) for x, y in [0, 1], not both 0."""
    z = np.ones_like(x)
    added = np.zeros_like(x)
    weight = 1.0
    # Each doubling brings the three four times nearer to each other, and the series' error
    # down by 4^6: 14 of them serve any start.
    for _ in range(14):
        rx, ry, rz = np.sqrt(x), np.sqrt(y), np.sqrt(z)
        near = rx * ry + ry * rz + rz * rx
        added = added + weight / (rz * (z + near))
        weight /= 4.0
        x, y, z = (x + near) / 4.0, (y + near) / 4.0, (z + near) / 4.0
    mean = (x + y + z) / 3.0
    u, v = (mean - x) / mean, (mean - y) / mean
    w = -(u + v)
    e2, e3 = u * v - w * w, u * v * w
    first = (1.0 - e2 / 10.0 + e3 / 14.0 + e2 * e2 / 24.0 - 3.0 * e2 * e3 / 44.0) / np.sqrt(mean)
    mean = (x + y + 3.0 * z) / 5.0
    u, v = (mean - x) / mean, (mean - y) / mean
    w = -(u + v) / 3.0
    e2 = u * v - 6.0 * w * w
    e3 = (3.0 * u * v - 8.0 * w * w) * w
    e4 = 3.0 * (u * v - w * w) * w * w
    e5 = u * v * w**3
    series = (
        1.0
        - 3.0 * e2 / 14.0
        + e3 / 6.0
        + 9.0 * e2 * e2 / 88.0
        - 3.0 * e4 / 22.0
        - 9.0 * e2 * e3 / 52.0
        + 3.0 * e5 / 26.0
    )
    second = 3.0 * added + weight * series / (mean * np.sqrt(mean))
    return first, second


def _second_kind(phi: FloatArray, ratio: float) -> FloatArray:
    """E(phi | m) for any phi, m = 1 - ratio^2, 0 < ratio <= 1."""
    m = (1.0 - ratio) * (1.0 + ratio)
    turns = np.round(phi / math.pi)
    rest = np.append(phi - turns * math.pi, math.pi / 2.0)
    sine, cosine = np.sin(rest), np.cos(rest)
    sine2 = sine * sine
    first, second = _carlson(cosine * cosine, cosine * cosine + ratio * ratio * sine2)
    found = sine * first - m / 3.0 * sine * sine2 * second
    out: FloatArray = found[:-1] + 2.0 * turns * found[-1]
    return out


def ellipse_lengths(rx: float, ry: float, angles: FloatArray) -> FloatArray:
    """Signed lengths (N,) along an ellipse with radii rx, ry > 0 from the eccentric angle 0 to
    angles (N,) in radians."""
    if rx >= ry:
        shift = math.pi / 2.0
        found = _second_kind(np.append(angles, 0.0) - shift, ry / rx)
        out: FloatArray = rx * (found[:-1] - found[-1])
        return out
    return ry * _second_kind(angles, rx / ry)
