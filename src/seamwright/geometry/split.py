"""Parts of cubics by de Casteljau's construction: exact in shape, whole arrays at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from .evaluate import as_segments, to_complex, to_real
from .kinds import ComplexArray, FloatArray


def part_complex(z: ComplexArray, t0: FloatArray, t1: FloatArray) -> ComplexArray:
    """Control points (N, 4) of the parts [t0, t1] of cubics z (N, 4).

    The blossom of the cubic at (t0,t0,t0), (t0,t0,t1), (t0,t1,t1), (t1,t1,t1), taken on
    differences to the first control point. An end at t = 0 or 1 keeps that point bit for bit.
    """
    base = z[:, :1]
    d = z - base
    a = d[:, :-1] + t0[:, None] * (d[:, 1:] - d[:, :-1])
    b = d[:, :-1] + t1[:, None] * (d[:, 1:] - d[:, :-1])
    aa = a[:, :-1] + t0[:, None] * (a[:, 1:] - a[:, :-1])
    ab = a[:, :-1] + t1[:, None] * (a[:, 1:] - a[:, :-1])
    bb = b[:, :-1] + t1[:, None] * (b[:, 1:] - b[:, :-1])
    out = np.empty_like(z)
    out[:, 0] = aa[:, 0] + t0 * (aa[:, 1] - aa[:, 0])
    out[:, 1] = aa[:, 0] + t1 * (aa[:, 1] - aa[:, 0])
    out[:, 2] = ab[:, 0] + t1 * (ab[:, 1] - ab[:, 0])
    out[:, 3] = bb[:, 0] + t1 * (bb[:, 1] - bb[:, 0])
    out += base
    out[:, 0] = np.where(t0 == 0.0, z[:, 0], np.where(t0 == 1.0, z[:, 3], out[:, 0]))
    out[:, 3] = np.where(t1 == 1.0, z[:, 3], np.where(t1 == 0.0, z[:, 0], out[:, 3]))
    return out


def subdivide(segments: ArrayLike, t0: ArrayLike, t1: ArrayLike) -> FloatArray:
    """The parts [t0, t1] of segments (N, 4, 2), t0 and t1 scalar or (N,): shape (N, 4, 2).

    Where t1 < t0 the part is travelled backwards.
    """
    z = to_complex(as_segments(segments))
    n = z.shape[0]
    start = np.broadcast_to(np.asarray(t0, dtype=np.float64), (n,))
    end = np.broadcast_to(np.asarray(t1, dtype=np.float64), (n,))
    return to_real(part_complex(z, start, end))
