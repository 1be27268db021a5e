"""The nearest place on a chain of cubics, exactly.

Bounds first: a circle round each segment, then eight chords each with a bound of how far the
curve can leave them, throw out all pieces that cannot hold the nearest place. On a piece where
the distance is proved to have one minimum, Newton steps find it; elsewhere (a point near a
centre of curvature, a cusp) all roots of the quintic (z - p) . z' = 0 are taken.
"""

from __future__ import annotations

import numpy as np

from .evaluate import first_complex, points_complex, second_complex, to_complex
from .kinds import AnyArray, ComplexArray, FloatArray, IntArray

_PIECES = 8
_PAIRS = 400_000


def _dot(a: ComplexArray, b: ComplexArray) -> FloatArray:
    out: FloatArray = a.real * b.real + a.imag * b.imag
    return out


class _Chain:
    """What is known of each segment before any point is asked."""

    def __init__(self, z: ComplexArray) -> None:
        self.z = z
        self.middle = z.mean(axis=1)
        self.radius = np.abs(z - self.middle[:, None]).max(axis=1)
        t = np.arange(_PIECES + 1) / _PIECES
        self.knots = points_complex(z[:, None, :], t)
        bend = 6.0 * np.abs(z[:, 2:] - 2.0 * z[:, 1:3] + z[:, :2]).max(axis=1)
        self.bend = bend
        #: A chord over a step h leaves the curve by at most h^2 |z''| / 8.
        self.sag = bend / (8.0 * _PIECES**2)
        speed = np.abs(first_complex(z[:, None, :], (t[:-1] + t[1:]) / 2.0))
        #: Least speed on each piece.
        self.slow = np.maximum(speed - bend[:, None] / (2.0 * _PIECES), 0.0)


def nearest_on(segments: FloatArray, points: FloatArray) -> tuple[IntArray, FloatArray, FloatArray]:
    """Segment, parameter and distance (N,) each of the nearest place to points (N, 2)."""
    chain, p = _Chain(to_complex(segments)), to_complex(points)
    count = p.shape[0]
    seg, t, far = np.zeros(count, np.int64), np.zeros(count), np.zeros(count)
    step = max(1, _PAIRS // segments.shape[0])
    for low in range(0, count, step):
        rows = slice(low, low + step)
        seg[rows], t[rows], far[rows] = _nearest(chain, p[rows])
    return seg, t, far


def nearest_in_groups(
    segments: FloatArray, starts: IntArray, points: FloatArray, group: IntArray
) -> FloatArray:
    """Distances (N,) as `foot_in_groups` finds them."""
    return foot_in_groups(segments, starts, points, group)[2]


def foot_in_groups(
    segments: FloatArray, starts: IntArray, points: FloatArray, group: IntArray
) -> tuple[IntArray, FloatArray, FloatArray]:
    """Segment, parameter and distance (N,) each of the nearest place to points (N, 2) on the
    chain that each belongs to: chain g is segments starts[g] to starts[g + 1] of (K, 4, 2). All
    points and chains together."""
    chain, p = _Chain(to_complex(segments)), to_complex(points)
    seg, t, far = np.zeros(p.shape[0], np.int64), np.zeros(p.shape[0]), np.zeros(p.shape[0])
    counts = np.diff(starts)[group]
    ends = np.cumsum(counts)
    low = 0
    while low < p.shape[0]:
        before = int(ends[low - 1]) if low else 0
        high = max(low + 1, int(np.searchsorted(ends, before + _PAIRS, side="right")))
        rows = slice(low, high)
        count = counts[rows]
        first = np.cumsum(count) - count
        own = np.repeat(np.arange(count.shape[0]), count)
        of = np.arange(own.shape[0]) - np.repeat(first, count) + starts[group[rows]][own]
        away = np.abs(p[rows][own] - chain.middle[of])
        best = np.minimum.reduceat(away + chain.radius[of], first)
        near = np.flatnonzero(away - chain.radius[of] <= best[own])
        seg[rows], t[rows], far[rows] = _among(chain, p[rows], own[near], of[near], best)
        low = high
    return seg, t, far


def _nearest(chain: _Chain, p: ComplexArray) -> tuple[IntArray, FloatArray, FloatArray]:
    away = np.abs(p[:, None] - chain.middle)
    best = (away + chain.radius).min(axis=1)
    own, of = np.nonzero(away - chain.radius <= best[:, None])
    return _among(chain, p, own, of, best)


def _among(
    chain: _Chain, p: ComplexArray, own: IntArray, of: IntArray, best: FloatArray
) -> tuple[IntArray, FloatArray, FloatArray]:
    """The nearest place to each point among its pairs (point own, segment of), none of them
    farther than best (N,)."""
    # Chords of the segments that are left.
    knots = chain.knots[of] - p[own][:, None]
    np.minimum.at(best, own, np.abs(knots).min(axis=1))
    a, chord = knots[:, :-1], knots[:, 1:] - knots[:, :-1]
    size = _dot(chord, chord)
    along = np.clip(-_dot(a, chord) / np.where(size > 0.0, size, 1.0), 0.0, 1.0)
    least = np.abs(a + along * chord) - chain.sag[of][:, None]
    pair, piece = np.nonzero(least <= best[own][:, None] * (1.0 + 1e-12) + 1e-12)
    own, of = own[pair], of[pair]
    # One minimum where |z'|^2 + (z - p) . z'' > 0 throughout.
    reach = np.abs(knots[pair, piece]) + np.abs(chord[pair, piece]) + chain.sag[of]
    plain = chain.slow[of, piece] ** 2 > reach * chain.bend[of]
    z, q = chain.z[of[plain]], p[own[plain]]
    t_plain, far_plain = _one_minimum(z, q, piece[plain], along[pair, piece][plain])
    knotty = np.unique(own[~plain] * chain.z.shape[0] + of[~plain])
    own_k, of_k = knotty // chain.z.shape[0], knotty % chain.z.shape[0]
    t_knotty, far_knotty = all_minima(chain.z[of_k], p[own_k])
    own = np.concatenate((own[plain], own_k))
    of = np.concatenate((of[plain], of_k))
    t = np.concatenate((t_plain, t_knotty))
    far = np.concatenate((far_plain, far_knotty))
    order = np.lexsort((t, of, far, own))
    first = order[np.searchsorted(own[order], np.arange(p.shape[0]))]
    return of[first], t[first], far[first]


def _slopes(z: ComplexArray, q: ComplexArray, t: FloatArray) -> tuple[FloatArray, FloatArray]:
    """(z - q) . z' and its derivative."""
    gap, d, dd = points_complex(z, t) - q, first_complex(z, t), second_complex(z, t)
    return _dot(gap, d), _dot(d, d) + _dot(gap, dd)


def _one_minimum(
    z: ComplexArray, q: ComplexArray, piece: AnyArray, along: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Foot points on pieces where the distance has one minimum, by Newton kept in a bracket."""
    low, high = piece / _PIECES, (piece + 1) / _PIECES
    t = low + along / _PIECES
    for _ in range(40):
        slope, rise = _slopes(z, q, t)
        low, high = np.where(slope < 0.0, t, low), np.where(slope > 0.0, t, high)
        step = t - slope / np.where(rise > 0.0, rise, 1.0)
        step = np.where((step >= low) & (step <= high), step, (low + high) / 2.0)
        moved = np.abs(step - t).max(initial=0.0)
        t = step
        if moved < 1e-15:
            break
    return _with_ends(z, q, t, piece / _PIECES, (piece + 1) / _PIECES)


def _with_ends(
    z: ComplexArray, q: ComplexArray, t: FloatArray, low: FloatArray, high: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """The best of t and the ends of its piece."""
    tries = np.stack((t, low, high))
    far = np.abs(points_complex(z, tries) - q)
    best = far.argmin(axis=0)[None]
    return np.take_along_axis(tries, best, 0)[0], np.take_along_axis(far, best, 0)[0]


def all_minima(z: ComplexArray, q: ComplexArray) -> tuple[FloatArray, FloatArray]:
    """Foot points by all roots of the quintic, from the eigenvalues of its companion matrix.

    The real parts of all five are tried, whatever their imaginary parts: a double root that
    rounding has split is then not lost. Newton steps that come nearer polish them.
    """
    if z.shape[0] == 0:
        return np.zeros(0), np.zeros(0)
    d = z - q[:, None]
    c = np.stack(
        (
            d[:, 0],
            3.0 * (d[:, 1] - d[:, 0]),
            3.0 * (d[:, 2] - 2.0 * d[:, 1] + d[:, 0]),
            d[:, 3] - d[:, 0] + 3.0 * (d[:, 1] - d[:, 2]),
        ),
        axis=1,
    )
    slope = c[:, 1:] * np.array([1.0, 2.0, 3.0])
    quintic = np.zeros((z.shape[0], 6))
    for i in range(4):
        quintic[:, i : i + 3] += _dot(c[:, i : i + 1], slope)
    scale = np.abs(quintic).max(axis=1) + 1e-300
    lead = quintic[:, 5]
    # A vanishing lead only means roots far off: a little one in its place leaves the others.
    lead = np.where(np.abs(lead) > 1e-13 * scale, lead, np.copysign(1e-13 * scale, lead))
    matrix = np.zeros((z.shape[0], 5, 5))
    matrix[:, np.arange(1, 5), np.arange(4)] = 1.0
    matrix[:, :, 4] = -quintic[:, :5] / lead[:, None]
    t = np.zeros((z.shape[0], 7))
    t[:, :5] = np.clip(np.linalg.eigvals(matrix).real, 0.0, 1.0)
    t[:, 6] = 1.0
    z, q = z[:, None, :], q[:, None]
    far = np.abs(points_complex(z, t) - q)
    share = np.ones_like(t)
    for _ in range(14):
        f, rise = _slopes(z, q, t)
        # Where the slope falls (beside a cusp, near a centre of curvature) Gauss's rise instead,
        # which is never negative; and shorter steps where one led away.
        d = first_complex(z, t)
        plain = _dot(d, d)
        rise = np.where(rise > 0.1 * plain, rise, plain)
        step = np.clip(t - share * f / np.where(rise > 0.0, rise, np.inf), 0.0, 1.0)
        new = np.abs(points_complex(z, step) - q)
        better = new <= far
        still = (np.abs(step - t) <= 1.2e-16).all()
        t, far = np.where(better, step, t), np.where(better, new, far)
        if still:
            break
        share = np.where(better, np.minimum(1.0, 2.0 * share), share / 4.0)
    best = far.argmin(axis=1)[:, None]
    t, far = np.take_along_axis(t, best, 1)[:, 0], np.take_along_axis(far, best, 1)[:, 0]
    z, q = z[:, 0], q[:, 0]
    # The distance is flat at its minimum; the last digits of t come from the slope.
    for _ in range(3):
        f, rise = _slopes(z, q, t)
        step = np.clip(t - f / np.where(rise > 0.0, rise, np.inf), 0.0, 1.0)
        f_new, _ = _slopes(z, q, step)
        new = np.abs(points_complex(z, step) - q)
        better = (np.abs(f_new) < np.abs(f)) & (new <= far * (1.0 + 1e-14))
        t, far = np.where(better, step, t), np.where(better, new, far)
    return t, far
