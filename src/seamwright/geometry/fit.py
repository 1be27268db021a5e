"""Least-squares cubics through points (first form)."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from .curve import Curve
from .evaluate import as_points, first_complex, points_complex, second_complex, to_complex, to_real
from .kinds import CUBIC, LINE, ComplexArray, GeometryError


def _unit(v: complex) -> complex:
    return v / abs(v) if abs(v) > 0 else 0j


def _fit_one(z: ComplexArray, a: complex, b: complex, t: np.ndarray) -> ComplexArray:  # type: ignore[type-arg]
    """The cubic with end tangents a (out) and b (in, pointing back) at parameters t."""
    s = 1 - t
    b1, b2 = 3 * s * s * t, 3 * s * t * t
    base = z[0] * (s**3 + b1) + z[-1] * (b2 + t**3)
    m1, m2 = b1 * a, b2 * b
    rhs = z - base
    c = np.array(
        [
            [(np.abs(m1) ** 2).sum(), (m1 * np.conj(m2)).real.sum()],
            [(m1 * np.conj(m2)).real.sum(), (np.abs(m2) ** 2).sum()],
        ]
    )
    x = np.array([(rhs * np.conj(m1)).real.sum(), (rhs * np.conj(m2)).real.sum()])
    chord = abs(z[-1] - z[0])
    det = c[0, 0] * c[1, 1] - c[0, 1] ** 2
    k1 = k2 = chord / 3
    if det > 1e-12 * c[0, 0] * c[1, 1]:
        k1, k2 = np.linalg.solve(c, x)
        if not (1e-3 * chord < k1 < 10 * chord and 1e-3 * chord < k2 < 10 * chord):
            k1 = k2 = chord / 3
    return np.array([z[0], z[0] + k1 * a, z[-1] + k2 * b, z[-1]])


def _fit_run(z: ComplexArray, a: complex, b: complex, tolerance: float) -> list[ComplexArray]:
    if len(z) == 2:
        k = abs(z[1] - z[0]) / 3
        return [np.array([z[0], z[0] + k * a, z[1] + k * b, z[1]])]
    t = np.concatenate(([0.0], np.cumsum(np.abs(np.diff(z)))))
    t /= t[-1]
    for _ in range(12):
        c = _fit_one(z, a, b, t)
        gap = points_complex(c[None], t) - z
        if np.abs(gap).max() <= 0.9 * tolerance:
            return [c]
        d, dd = first_complex(c[None], t), second_complex(c[None], t)
        h = np.abs(d) ** 2 + (gap * np.conj(dd)).real
        step = np.where(h > 0, (gap * np.conj(d)).real / np.where(h > 0, h, 1), 0)
        t = np.maximum.accumulate(np.clip(t - step, 0, 1))
    i = int(np.clip(np.abs(gap).argmax(), 1, len(z) - 2))
    m = _unit(z[i + 1] - z[i - 1])
    return _fit_run(z[: i + 1], a, -m, tolerance) + _fit_run(z[i:], m, b, tolerance)


def fit_cubics(
    points: ArrayLike,
    tolerance: float,
    *,
    corners: ArrayLike | None = None,
    closed: bool = False,
    start_tangent: ArrayLike | None = None,
    end_tangent: ArrayLike | None = None,
) -> Curve:
    """A curve through points (N, 2) within `tolerance` mm, split at its corners."""
    p = as_points(points)
    keep = np.concatenate(([True], (np.diff(p, axis=0) != 0).any(axis=1)))
    index = np.cumsum(keep) - 1
    z = to_complex(p[keep])
    if closed and len(z) > 1 and z[0] == z[-1]:
        z = z[:-1]
    if len(z) < 2:
        raise GeometryError("a fit needs at least two different points")
    ring = np.concatenate((z, z[:1])) if closed else z
    step = np.diff(ring)
    turn = np.abs(np.degrees(np.angle(step[1:] / step[:-1])))
    if corners is None:
        cut = np.flatnonzero(turn > 20.0) + 1
        if closed and abs(np.degrees(np.angle(step[0] / step[-1]))) > 20.0:
            cut = np.concatenate(([0], cut))
    else:
        cut = np.unique(index[np.asarray(corners, dtype=np.int64)] % len(z))
    if closed:
        if cut.size == 0:
            cut = np.array([0])
        z = np.roll(z, -cut[0])
        marks = [*(cut - cut[0]).tolist(), len(z)]
        ring = np.concatenate((z, z[:1]))
        smooth = corners is None and len(marks) == 2 and turn.size > 0 and turn.max() <= 20.0
    else:
        marks = sorted({0, *cut.tolist(), len(z) - 1})
        smooth = False
    segments: list[ComplexArray] = []
    kinds: list[int] = []
    for lo, hi in pairwise(marks):
        run = ring[lo : hi + 1]
        if len(run) == 2:
            segments.append(run[0] + (run[1] - run[0]) * np.arange(4) / 3)
            kinds.append(LINE)
            continue
        a, b = _unit(run[1] - run[0]), _unit(run[-2] - run[-1])
        if smooth:
            a = _unit(run[1] - run[-2])
            b = -a
        if not closed and lo == 0 and start_tangent is not None:
            a = _unit(complex(*np.asarray(start_tangent, float)))
        if not closed and hi == len(z) - 1 and end_tangent is not None:
            b = -_unit(complex(*np.asarray(end_tangent, float)))
        got = _fit_run(run, a, b, tolerance)
        segments += got
        kinds += [CUBIC] * len(got)
    return Curve.from_segments(to_real(np.array(segments)), kinds, closed=closed)
