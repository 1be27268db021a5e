"""The energy of a pressed sheet: how much each small triangle is stretched, and which way.

A triangle at rest with area A is carried to the plane by the linear map F, whose principal
stretches are s1 >= s2 (s2 is negative when the triangle has been turned over). Its energy is

    A * (f(s1) + f(s2)),   f(s) = 1/2 k(s) (s - 1)^2,   k = 1 for s > 1, `compression` for s < 1.

Paper hardly stretches but wrinkles willingly, so `compression` is well below one; with
compression = 1 the energy is 1/2 |F - R|^2, the distance of F from the nearest rotation
("as rigid as possible").

The Hessian of such an energy has known eigenvectors in the frame of the principal directions
(Smith, de Goes, Kim: Analytic Eigensystems for Isotropic Distortion Energies, ACM TOG 38(1),
2019; from memory): two stretches with f''(s), one flip with (f'(s1) - f'(s2)) / (s1 - s2) and
one twist with (f'(s1) + f'(s2)) / (s1 + s2). Only the twist can be negative (a compressed
triangle would like to turn aside); taken as zero it keeps every Newton step a descent, and taken
as it is it makes the last steps converge quadratically.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from .kinds import FloatArray, IntArray

__all__ = [
    "COLUMNS",
    "ROWS",
    "Elements",
    "State",
    "Strain",
    "elements",
    "energy",
    "evaluate",
    "hessian_entries",
    "stretches",
]

# The pairs (row, column) of the lower triangle of a 6 x 6 element matrix, unknowns ordered
# corner by corner as x0 y0 x1 y1 x2 y2.
ROWS, COLUMNS = np.tril_indices(6)


class Elements(NamedTuple):
    """Triangles at rest. area (T,); slopes (3, 2, T): gradient of each corner's hat function."""

    corners: IntArray
    area: FloatArray
    slopes: FloatArray


class Strain(NamedTuple):
    """Principal stretches of every triangle (T,), larger first; `least` is signed."""

    most: FloatArray
    least: FloatArray


class State(NamedTuple):
    """Energy, forces, and the eigen-system of the element matrices at given positions."""

    energy: float
    gradient: FloatArray  # (3, 2, T): force on each corner of each triangle
    strain: Strain
    modes: FloatArray  # (4, 6, T)
    stiffness: FloatArray  # (4, T): two stretches, flip, twist


def elements(rest: FloatArray, corners: IntArray) -> Elements:
    """Elements from the rest shapes (T, 3, 2), counter-clockwise, and vertex numbers (T, 3)."""
    a = rest[:, 1] - rest[:, 0]
    b = rest[:, 2] - rest[:, 0]
    double = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    slopes = np.empty((3, 2, len(rest)))
    slopes[1] = np.stack([b[:, 1], -b[:, 0]]) / double
    slopes[2] = np.stack([-a[:, 1], a[:, 0]]) / double
    slopes[0] = -slopes[1] - slopes[2]
    return Elements(corners, 0.5 * double, slopes)


def _maps(sheet: Elements, points: FloatArray) -> FloatArray:
    """F of every triangle as (2, 2, T), from vertex positions (V, 2)."""
    x = points[sheet.corners]  # (T, 3, 2)
    d1 = (x[:, 1] - x[:, 0]).T
    d2 = (x[:, 2] - x[:, 0]).T
    maps: FloatArray = d1[:, None] * sheet.slopes[1][None] + d2[:, None] * sheet.slopes[2][None]
    return maps


def _split(f: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """|a|, |b|, arg a, arg b of F z = a z + b conj(z) in complex numbers."""
    ar, ai = 0.5 * (f[0, 0] + f[1, 1]), 0.5 * (f[1, 0] - f[0, 1])
    br, bi = 0.5 * (f[0, 0] - f[1, 1]), 0.5 * (f[1, 0] + f[0, 1])
    return np.hypot(ar, ai), np.hypot(br, bi), np.arctan2(ai, ar), np.arctan2(bi, br)


def stretches(sheet: Elements, points: FloatArray) -> Strain:
    """Principal stretches of every triangle when its corners lie at points (V, 2)."""
    a, b, _, _ = _split(_maps(sheet, points))
    return Strain(a + b, a - b)


def energy(sheet: Elements, points: FloatArray, compression: float) -> float:
    """The energy alone (for a line search)."""
    strain = stretches(sheet, points)
    total = 0.0
    for s in strain:
        k = np.where(s < 1.0, compression, 1.0)
        total += float(np.dot(sheet.area, k * (s - 1.0) ** 2))
    return 0.5 * total


def evaluate(sheet: Elements, points: FloatArray, compression: float) -> State:
    """Energy, forces on corners, stretches and the eigen-system when corners lie at points."""
    a, b, arg_a, arg_b = _split(_maps(sheet, points))
    s1, s2 = a + b, a - b
    k1 = np.where(s1 < 1.0, compression, 1.0)
    k2 = np.where(s2 < 1.0, compression, 1.0)
    t1, t2 = k1 * (s1 - 1.0), k2 * (s2 - 1.0)
    phi_u, phi_v = 0.5 * (arg_b + arg_a), 0.5 * (arg_b - arg_a)
    cu, su, cv, sv = np.cos(phi_u), np.sin(phi_u), np.cos(phi_v), np.sin(phi_v)

    g = sheet.slopes
    g1 = cv * g[:, 0] + sv * g[:, 1]  # (3, T): slopes along the principal directions at rest
    g2 = -sv * g[:, 0] + cv * g[:, 1]
    u1, u2 = np.stack([cu, su]), np.stack([-su, cu])  # (2, T)
    m11 = g1[:, None] * u1[None]
    m22 = g2[:, None] * u2[None]
    m21 = g1[:, None] * u2[None]
    m12 = g2[:, None] * u1[None]
    gradient = (sheet.area * t1) * m11 + (sheet.area * t2) * m22

    gap = s1 - s2
    equal = gap < 1e-12
    flip = np.where(equal, k1, (t1 - t2) / np.where(equal, 1.0, gap))
    twist = (t1 + t2) / np.maximum(s1 + s2, 1e-12)
    half = np.sqrt(0.5)
    count = len(sheet.area)
    modes = np.stack(
        [
            m11.reshape(6, count),
            m22.reshape(6, count),
            (half * (m21 + m12)).reshape(6, count),
            (half * (m21 - m12)).reshape(6, count),
        ]
    )
    stiffness = sheet.area * np.stack([k1, k2, flip, twist])
    value = 0.5 * float(np.dot(sheet.area, t1 * (s1 - 1.0) + t2 * (s2 - 1.0)))
    return State(value, gradient, Strain(s1, s2), modes, stiffness)


def hessian_entries(state: State, *, projected: bool) -> FloatArray:
    """Lower triangles of the element matrices: (21, T), in the order of ROWS, COLUMNS.

    projected: without what is negative in them.
    """
    stiffness = np.maximum(state.stiffness, 0.0) if projected else state.stiffness
    weighted = stiffness[:, None] * state.modes
    modes = state.modes
    # A plain loop over the 21 pairs: whole rows of T numbers each, no copies of (4, 21, T).
    return np.stack(
        [
            sum((weighted[m, i] * modes[m, j] for m in range(1, 4)), weighted[0, i] * modes[0, j])
            for i, j in zip(ROWS, COLUMNS, strict=True)
        ]
    )
