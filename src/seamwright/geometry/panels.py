"""Where the speed of a cubic is hard to integrate, and panels that make it easy.

With w in [-1, 1] along a cubic its derivative is q(w) = e0 + e1 w + e2 w^2 over the complex
numbers, and its speed |q| is analytic except at the roots of q and their conjugates. The nearest
root fixes the largest Bernstein ellipse (foci -1 and 1) in which the speed is analytic; with
half axis a = (|r - 1| + |r + 1|) / 2 and rho = a + sqrt(a^2 - 1), n Gauss-Legendre nodes err by at
most 64/15 M rho^(2 - 2n) / (1 - rho^-2), M being the largest modulus on the ellipse
(L. N. Trefethen, Approximation Theory and Approximation Practice, theorem 19.3).
"""

from __future__ import annotations

import numpy as np

from .kinds import ComplexArray, FloatArray, IntArray

#: Nearer to a root than this (in w) a panel adds less than 1e-15 of the curve, whatever the rule.
_FLOOR = 1e-8


def centred(d: ComplexArray) -> tuple[ComplexArray, ComplexArray, ComplexArray]:
    """e0, e1, e2 (N,) of the derivative with control vectors d (N, 3)."""
    d0, d2 = d[:, 0], d[:, 2]
    twice, ends = 2.0 * d[:, 1], d0 + d2
    return (ends + twice) * 0.25, (d2 - d0) * 0.5, (ends - twice) * 0.25


def least_half_axis(nodes: int, relative: float) -> float:
    """The half axis a from which `nodes` Gauss-Legendre nodes on [-1, 1] are proved to err by
    less than `relative` times M / 2 (so on a curve over t in [0, 1] by `relative` times M)."""
    low, high = 1.0 + 1e-9, 1e3
    for _ in range(200):
        rho = (low + high) / 2.0
        bound = 32.0 / 15.0 * rho ** (2 - 2 * nodes) / (1.0 - rho**-2)
        low, high = (rho, high) if bound > relative else (low, rho)
    return (high + 1.0 / high) / 2.0


def roots_of(e0: ComplexArray, e1: ComplexArray, e2: ComplexArray) -> ComplexArray:
    """Both roots (N, 2) of e0 + e1 w + e2 w^2, 1e150 or more for those at infinity."""
    disc = np.sqrt(e1 * e1 - 4.0 * e0 * e2)
    # The sign that adds up, not cancels, then Vieta for the other root.
    flip = e1.real * disc.real + e1.imag * disc.imag < 0.0
    q = -0.5 * (e1 + np.where(flip, -disc, disc))
    out = np.empty((e0.shape[0], 2), dtype=np.complex128)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        out[:, 0] = q / e2
        out[:, 1] = e0 / q
    bad = ~np.isfinite(out)
    if bad.any():
        out[bad] = 1e150
    return out


def half_axes(roots: ComplexArray) -> FloatArray:
    """Half axis a (N,) of the largest ellipse free of roots (N, 2)."""
    out: FloatArray = (np.abs(roots - 1.0) + np.abs(roots + 1.0)).min(axis=1) * 0.5
    return out


def graded_panels(
    roots: ComplexArray, first: float, ratio: float
) -> tuple[IntArray, FloatArray, FloatArray]:
    """Panels of [-1, 1] graded towards the roots (N, 2): row (P,), from (P,), to (P,), in order.

    Around the place nearest to a root at distance y the first panel on either side is first * y
    wide, and each further end lies `ratio` times as far away.
    """
    rows = roots.shape[0]
    place = np.clip(roots.real, -1.0, 1.0)
    y = np.maximum(np.abs(roots - place), _FLOOR)
    smallest = float(y.min(initial=1.0))
    levels = max(1, int(np.ceil(np.log(2.0 / (first * smallest)) / np.log(ratio))) + 1)
    reach = first * y[:, :, None] * ratio ** np.arange(levels)
    marks = np.empty((rows, 4 * levels + 4))
    marks[:, 0], marks[:, 1] = -1.0, 1.0
    marks[:, 2:4] = place
    marks[:, 4 : 4 + 2 * levels] = (place[:, :, None] - reach).reshape(rows, 2 * levels)
    marks[:, 4 + 2 * levels :] = (place[:, :, None] + reach).reshape(rows, 2 * levels)
    np.clip(marks, -1.0, 1.0, out=marks)
    marks.sort(axis=1)
    row, column = np.nonzero(marks[:, 1:] > marks[:, :-1])
    return row, marks[row, column], marks[row, column + 1]
