"""Nearest place on a chain of cubics (first form): quintic roots by companion matrices."""

from __future__ import annotations

import numpy as np

from .evaluate import first_complex, points_complex, second_complex, to_complex
from .kinds import ComplexArray, FloatArray, IntArray


def _candidates(z: ComplexArray, p: ComplexArray) -> FloatArray:
    """Parameters (M, 7): real parts of the quintic's roots, and both ends."""
    d = z - p[:, None]
    c = np.stack(
        (
            d[:, 0],
            3 * (d[:, 1] - d[:, 0]),
            3 * (d[:, 2] - 2 * d[:, 1] + d[:, 0]),
            d[:, 3] - 3 * d[:, 2] + 3 * d[:, 1] - d[:, 0],
        ),
        axis=1,
    )
    e = np.stack((c[:, 1], 2 * c[:, 2], 3 * c[:, 3]), axis=1)
    q = np.zeros((len(p), 6))
    for i in range(4):
        for j in range(3):
            q[:, i + j] += (c[:, i] * np.conj(e[:, j])).real
    scale = np.abs(q).max(axis=1)
    lead = np.where(np.abs(q[:, 5]) > 1e-14 * scale, q[:, 5], 1e-14 * scale + 1e-300)
    m = np.zeros((len(p), 5, 5))
    m[:, np.arange(1, 5), np.arange(4)] = 1.0
    m[:, :, 4] = -q[:, :5] / lead[:, None]
    roots = np.linalg.eigvals(m)
    out = np.zeros((len(p), 7))
    out[:, :5] = np.clip(np.nan_to_num(roots.real), 0, 1)
    out[:, 6] = 1.0
    return out


def nearest_on(segments: FloatArray, points: FloatArray) -> tuple[IntArray, FloatArray, FloatArray]:
    """Segment, parameter and distance (N,) each of the nearest place to points (N, 2)."""
    z, p = to_complex(segments), to_complex(points)
    n, k = p.shape[0], z.shape[0]
    seg, par, dist = np.zeros(n, np.int64), np.zeros(n), np.full(n, np.inf)
    step = max(1, 200_000 // max(k, 1))
    ts = np.linspace(0, 1, 9)
    for lo in range(0, n, step):
        q = p[lo : lo + step]
        samples = points_complex(z[:, None, :], ts[None, :])
        best = np.full(len(q), np.inf)
        for j in range(9):
            best = np.minimum(best, np.abs(q[:, None] - samples[None, :, j]).min(axis=1))
        mid = z.mean(axis=1)
        radius = np.abs(z - mid[:, None]).max(axis=1)
        low = np.abs(q[:, None] - mid[None, :]) - radius
        own, of = np.nonzero(low <= best[:, None])
        zz, qq = z[of], q[own]
        t = _candidates(zz, qq)
        for _ in range(4):
            d = points_complex(zz[:, None, :], t) - qq[:, None]
            f1, f2 = first_complex(zz[:, None, :], t), second_complex(zz[:, None, :], t)
            g = (d * np.conj(f1)).real
            h = np.abs(f1) ** 2 + (d * np.conj(f2)).real
            with np.errstate(divide="ignore", invalid="ignore"):
                new = np.where(h > 0, np.clip(t - g / h, 0, 1), t)
            better = np.abs(points_complex(zz[:, None, :], new) - qq[:, None]) <= np.abs(d)
            t = np.where(better, new, t)
        far = np.abs(points_complex(zz[:, None, :], t) - qq[:, None])
        pick = far.argmin(axis=1)
        rows = np.arange(len(own))
        t, far = t[rows, pick], far[rows, pick]
        order = np.lexsort((of, far, own))
        first = np.unique(own[order], return_index=True)[1]
        rows = order[first]
        seg[lo : lo + step], par[lo : lo + step] = of[rows], t[rows]
        dist[lo : lo + step] = far[rows]
    return seg, par, dist
