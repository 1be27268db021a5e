"""Arc length (first form)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from .evaluate import as_segments, hodograph, to_complex
from .kinds import ComplexArray, FloatArray

_X, _W = np.polynomial.legendre.leggauss(24)
_U, _V = (_X + 1.0) / 2.0, _W / 2.0


def _speeds(d: ComplexArray, t: FloatArray) -> FloatArray:
    s = 1.0 - t
    return np.abs(d[:, :1] * (s * s) + d[:, 1:2] * (2 * s * t) + d[:, 2:] * (t * t))


def hodograph_lengths(d: ComplexArray, t0: FloatArray, t1: FloatArray) -> FloatArray:
    n = d.shape[0]
    out = np.zeros(n)
    own, a, b = np.arange(n), np.array(t0), np.array(t1)
    scale = 1e-13 * (1.0 + np.abs(d).max(axis=1, initial=0.0))
    for _ in range(40):
        if own.size == 0:
            break
        m = (a + b) / 2
        whole = (_speeds(d[own], a[:, None] + (b - a)[:, None] * _U) @ _V) * (b - a)
        left = (_speeds(d[own], a[:, None] + (m - a)[:, None] * _U) @ _V) * (m - a)
        right = (_speeds(d[own], m[:, None] + (b - m)[:, None] * _U) @ _V) * (b - m)
        done = np.abs(whole - left - right) <= scale[own]
        np.add.at(out, own[done], (left + right)[done])
        go = ~done
        own = np.concatenate((own[go], own[go]))
        a, b = np.concatenate((a[go], m[go])), np.concatenate((m[go], b[go]))
    return out


def arc_lengths(segments: ArrayLike) -> FloatArray:
    """Lengths (N,) of segments (N, 4, 2)."""
    d = hodograph(to_complex(as_segments(segments)))
    return hodograph_lengths(d, np.zeros(len(d)), np.ones(len(d)))


def partial_lengths(segments: ArrayLike, t: ArrayLike) -> FloatArray:
    """Lengths (N,) of segments (N, 4, 2) from 0 to t (N,)."""
    d = hodograph(to_complex(as_segments(segments)))
    end = np.broadcast_to(np.asarray(t, dtype=np.float64), (len(d),))
    return hodograph_lengths(d, np.zeros(len(d)), end)
