"""Meetings of curves (first form): subdivision by boxes, then Newton."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from .evaluate import first_complex, points_complex, to_complex
from .kinds import ComplexArray, Crossings, FloatArray, IntArray
from .split import part_complex

if TYPE_CHECKING:
    from .curve import Curve

Found = tuple[IntArray, FloatArray, IntArray, FloatArray]


def _boxes(z: ComplexArray) -> FloatArray:
    return np.stack(
        (z.real.min(axis=1), z.imag.min(axis=1), z.real.max(axis=1), z.imag.max(axis=1)), axis=1
    )


def _meet(a: FloatArray, b: FloatArray, slack: float) -> np.ndarray:  # type: ignore[type-arg]
    return (
        (a[..., 0] <= b[..., 2] + slack)
        & (b[..., 0] <= a[..., 2] + slack)
        & (a[..., 1] <= b[..., 3] + slack)
        & (b[..., 1] <= a[..., 3] + slack)
    )


def _refine(z: ComplexArray, w: ComplexArray, a: IntArray, b: IntArray) -> Found:
    t0, u0 = np.zeros(len(a)), np.zeros(len(a))
    h = 1.0
    for _ in range(14):
        if len(a) == 0 or len(a) > 20_000:
            break
        h /= 2
        a, b = np.repeat(a, 4), np.repeat(b, 4)
        t0 = np.repeat(t0, 4) + h * np.tile([0, 0, 1, 1], len(t0))
        u0 = np.repeat(u0, 4) + h * np.tile([0, 1, 0, 1], len(u0))
        za, wb = part_complex(z[a], t0, t0 + h), part_complex(w[b], u0, u0 + h)
        keep = _meet(_boxes(za), _boxes(wb), 1e-9)
        a, b, t0, u0 = a[keep], b[keep], t0[keep], u0[keep]
    t, u = t0 + h / 2, u0 + h / 2
    zz, ww = z[a], w[b]
    for _ in range(12):
        gap = points_complex(zz, t) - points_complex(ww, u)
        d, e = first_complex(zz, t), first_complex(ww, u)
        det = d.imag * e.real - d.real * e.imag
        with np.errstate(divide="ignore", invalid="ignore"):
            dt = (gap.real * e.imag - gap.imag * e.real) / det
            du = (gap.real * d.imag - gap.imag * d.real) / det
        t = np.clip(t + np.nan_to_num(dt), 0, 1)
        u = np.clip(u + np.nan_to_num(du), 0, 1)
    gap = np.abs(points_complex(zz, t) - points_complex(ww, u))
    ok = gap < 1e-8
    return a[ok], t[ok], b[ok], u[ok]


def crossings(segments: FloatArray, others: FloatArray) -> Found:
    """Segment and parameter on both sides of each meeting of two chains."""
    z, w = to_complex(segments), to_complex(others)
    a, b = np.nonzero(_meet(_boxes(z)[:, None], _boxes(w)[None], 1e-9))
    return _refine(z, w, a, b)


def self_crossings(segments: FloatArray) -> Found:
    """The same within one chain; the halves of each segment count as two."""
    z = to_complex(segments)
    n = len(z)
    half = np.full(n, 0.5)
    halves = np.stack(
        (part_complex(z, 0 * half, half), part_complex(z, half, 2 * half)), axis=1
    ).reshape(-1, 4)
    box = _boxes(halves)
    a, b = np.nonzero(np.triu(_meet(box[:, None], box[None], 1e-9), 1))
    a, t, b, u = _refine(halves, halves, a, b)
    return a // 2, (a % 2 + t) / 2, b // 2, (b % 2 + u) / 2


def merged(
    own: FloatArray, others: FloatArray, points: FloatArray, curve: Curve, other: Curve
) -> Crossings:
    """One entry a meeting, in order along the first."""
    if curve.closed:
        own = np.where(own >= curve.length - 1e-7, own - curve.length, own)
        own = np.maximum(own, 0.0)
    if other.closed:
        others = np.where(others >= other.length - 1e-7, others - other.length, others)
        others = np.maximum(others, 0.0)
    order = np.lexsort((others, own))
    own, others, points = own[order], others[order], points[order]
    keep: list[int] = []
    for i in range(len(own)):
        if not any(
            abs(own[i] - own[j]) < 1e-6 and abs(others[i] - others[j]) < 1e-6 for j in keep[-8:]
        ):
            keep.append(i)
    return Crossings(own[keep], others[keep], points[keep])
