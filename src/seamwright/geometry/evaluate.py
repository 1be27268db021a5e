"""Points, derivatives, tangents and curvature of many cubics at once.

Everything is computed from differences to the first control point, so that coordinates far from
the origin lose nothing beyond their own rounding.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from .kinds import ComplexArray, FloatArray, GeometryError

#: So few places are perhaps all in one half, which costs half.
_FEW = 64


def as_segments(segments: ArrayLike) -> FloatArray:
    """Any array-like of shape (N, 4, 2) as contiguous float64; GeometryError for other shapes."""
    array = np.ascontiguousarray(segments, dtype=np.float64)
    if array.ndim != 3 or array.shape[1:] != (4, 2):
        raise GeometryError(f"segments must have shape (N, 4, 2), not {array.shape}")
    return array


def as_points(points: ArrayLike) -> FloatArray:
    """Any array-like of shape (N, 2) as contiguous float64; GeometryError for other shapes."""
    array = np.ascontiguousarray(points, dtype=np.float64)
    if array.ndim != 2 or array.shape[1] != 2:
        raise GeometryError(f"points must have shape (N, 2), not {array.shape}")
    return array


def to_complex(array: FloatArray) -> ComplexArray:
    """(..., 2) as (...) complex, x + iy, without a copy where the memory allows it."""
    out: ComplexArray = np.ascontiguousarray(array).view(np.complex128)[..., 0]
    return out


def to_real(array: ComplexArray) -> FloatArray:
    """(...) complex as (..., 2) float."""
    out: FloatArray = np.ascontiguousarray(array)[..., None].view(np.float64)
    return out


def line_segments(a: ArrayLike, b: ArrayLike) -> FloatArray:
    """Straight segments from a (N, 2) to b (N, 2), handles at the thirds, shape (N, 4, 2)."""
    start, end = as_points(a), as_points(b)
    out = np.empty((start.shape[0], 4, 2))
    step = (end - start) / 3.0
    out[:, 0] = start
    out[:, 1] = start + step
    out[:, 2] = end - step
    out[:, 3] = end
    return out


def hodograph(z: ComplexArray) -> ComplexArray:
    """Control vectors (N, 3) of the first derivative of complex cubics (N, 4)."""
    out: ComplexArray = 3.0 * (z[..., 1:] - z[..., :-1])
    return out


def points_complex(z: ComplexArray, t: FloatArray) -> ComplexArray:
    """Points of complex cubics z (..., 4) at t, broadcast together: shapes of z[..., 0] and t."""
    # From the far end where that is nearer, so that t = 1 gives the end exactly.
    if t.size <= _FEW and t.size:
        if t.max() <= 0.5:
            return _from_start(z, t)
        if t.min() > 0.5:
            return _from_end(z, t)
    out: ComplexArray = np.where(t > 0.5, _from_end(z, t), _from_start(z, t))
    return out


def _from_start(z: ComplexArray, t: FloatArray) -> ComplexArray:
    s, z0 = 1.0 - t, z[..., 0]
    out: ComplexArray = z0 + t * (
        3.0 * s * s * (z[..., 1] - z0) + t * (3.0 * s * (z[..., 2] - z0) + t * (z[..., 3] - z0))
    )
    return out


def _from_end(z: ComplexArray, t: FloatArray) -> ComplexArray:
    s, z3 = 1.0 - t, z[..., 3]
    out: ComplexArray = z3 + s * (
        3.0 * t * t * (z[..., 2] - z3) + s * (3.0 * t * (z[..., 1] - z3) + s * (z[..., 0] - z3))
    )
    return out


def first_complex(z: ComplexArray, t: FloatArray) -> ComplexArray:
    """First derivatives of complex cubics z (..., 4) at t."""
    s = 1.0 - t
    d0, d1, d2 = z[..., 1] - z[..., 0], z[..., 2] - z[..., 1], z[..., 3] - z[..., 2]
    out: ComplexArray = 3.0 * (s * s * d0 + 2.0 * s * t * d1 + t * t * d2)
    return out


def second_complex(z: ComplexArray, t: FloatArray) -> ComplexArray:
    """Second derivatives of complex cubics z (..., 4) at t."""
    d0, d1, d2 = z[..., 1] - z[..., 0], z[..., 2] - z[..., 1], z[..., 3] - z[..., 2]
    out: ComplexArray = 6.0 * ((1.0 - t) * (d1 - d0) + t * (d2 - d1))
    return out


def unit_tangents_complex(z: ComplexArray, t: FloatArray) -> ComplexArray:
    """Unit tangents (complex) of cubics z (N, 4) at t (N,), one each.

    Where the first derivative vanishes (collapsed handles, a cusp) the limiting direction is
    given: of the travel that follows, or at t = 1 of the travel that led there. A segment
    without any extent gives 0.
    """
    d = first_complex(z, t)
    scale = np.abs(z[:, 1:] - z[:, :1]).max(axis=1)
    speed = np.abs(d)
    flat = speed <= 1e-12 * scale
    if flat.any():
        zf, tf = z[flat], t[flat]
        sign = np.where(tf >= 1.0, -1.0, 1.0)
        second = second_complex(zf, tf) * sign
        third = 6.0 * (zf[:, 3] - 3.0 * zf[:, 2] + 3.0 * zf[:, 1] - zf[:, 0])
        small = 1e-9 * scale[flat]
        d[flat] = np.where(np.abs(second) > small, second, third)
        speed = np.abs(d)
    with np.errstate(invalid="ignore", divide="ignore"):
        out: ComplexArray = np.where(speed > 0.0, d / speed, 0.0)
    return out


def curvatures_complex(z: ComplexArray, t: FloatArray) -> FloatArray:
    """Signed curvature (1/mm, positive where the curve turns left) of cubics z (N, 4) at t (N,).

    Infinite where the speed is zero on a curved segment; 0 on a straight one.
    """
    d, dd = first_complex(z, t), second_complex(z, t)
    cross = d.real * dd.imag - d.imag * dd.real
    speed = np.abs(d)
    with np.errstate(invalid="ignore", divide="ignore"):
        out: FloatArray = np.where(cross == 0.0, 0.0, cross / speed**3)
    return out


def evaluate(segments: ArrayLike, t: ArrayLike) -> FloatArray:
    """Points of segments (N, 4, 2) at parameters t: (N,) gives (N, 2), one parameter each;
    (N, M) gives (N, M, 2)."""
    z = to_complex(as_segments(segments))
    at = np.asarray(t, dtype=np.float64)
    if at.ndim == 2:
        z = z[:, None, :]
    return to_real(points_complex(z, at))


def first_derivatives(segments: ArrayLike, t: ArrayLike) -> FloatArray:
    """First derivatives of segments (N, 4, 2) at t, shapes as in `evaluate`."""
    z = to_complex(as_segments(segments))
    at = np.asarray(t, dtype=np.float64)
    if at.ndim == 2:
        z = z[:, None, :]
    return to_real(first_complex(z, at))


def second_derivatives(segments: ArrayLike, t: ArrayLike) -> FloatArray:
    """Second derivatives of segments (N, 4, 2) at t, shapes as in `evaluate`."""
    z = to_complex(as_segments(segments))
    at = np.asarray(t, dtype=np.float64)
    if at.ndim == 2:
        z = z[:, None, :]
    return to_real(second_complex(z, at))
