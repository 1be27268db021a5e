"""Point at a length: the inverse of arc length, for many curves and many lengths at once.

A table of panels is built once. In every panel the nearest root of the derivative is so far off
(see `panels`) that 16 nodes are proved to measure any part of it to 1e-14 of its largest speed; the
parameter is then found by Newton steps within one panel, all lengths together.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from .evaluate import as_segments, hodograph, to_complex
from .kinds import ComplexArray, FloatArray, IntArray
from .panels import centred, graded_panels, half_axes, least_half_axis, roots_of

_NODES = 16
_X, _W = np.polynomial.legendre.leggauss(_NODES)
_HALF_W = _W / 2.0
#: Powers 0..4 of the nodes on [0, 1].
_POWERS = ((_X + 1.0) / 2.0) ** np.arange(5)[:, None]
#: A curve with its roots beyond this needs no panels.
_WHOLE = least_half_axis(_NODES, 1e-14)
#: Newton stops at this miss (mm), or a few units in the last place of the panel's length.
_MISS = 2e-13
_STEPS = 60
_BLOCK = 4096
_TINY = 1e-300


def _squares(d: ComplexArray, start: FloatArray, width: FloatArray) -> FloatArray:
    """Coefficients (P, 5) in v of (width |z'|)^2 at t = start + width v."""
    a = d[:, 0] - 2.0 * d[:, 1] + d[:, 2]
    b = 2.0 * (d[:, 1] - d[:, 0])
    q0 = (d[:, 0] + start * (b + start * a)) * width
    q1 = (b + 2.0 * start * a) * (width * width)
    q2 = a * (width * width * width)
    out = np.empty((d.shape[0], 5))
    out[:, 0] = q0.real * q0.real + q0.imag * q0.imag
    out[:, 1] = 2.0 * (q0.real * q1.real + q0.imag * q1.imag)
    out[:, 2] = (
        q1.real * q1.real + q1.imag * q1.imag + 2.0 * (q0.real * q2.real + q0.imag * q2.imag)
    )
    out[:, 3] = 2.0 * (q1.real * q2.real + q1.imag * q2.imag)
    out[:, 4] = q2.real * q2.real + q2.imag * q2.imag
    return out


def _lengths_to(squares: FloatArray, v: FloatArray) -> FloatArray:
    """Lengths (M,) from the start of panels with coefficients (M, 5) to v (M,)."""
    powers = np.empty_like(squares)
    powers[:, 0] = 1.0
    powers[:, 1] = v
    np.multiply(v, v, out=powers[:, 2])
    np.multiply(powers[:, 2], v, out=powers[:, 3])
    np.multiply(powers[:, 2], powers[:, 2], out=powers[:, 4])
    powers *= squares
    speed = powers @ _POWERS
    np.maximum(speed, 0.0, out=speed)
    np.sqrt(speed, out=speed)
    out: FloatArray = speed @ _HALF_W
    out *= v
    return out


def _speed_at(squares: FloatArray, v: FloatArray) -> FloatArray:
    c = squares.T
    out: FloatArray = c[0] + v * (c[1] + v * (c[2] + v * (c[3] + v * c[4])))
    np.maximum(out, 0.0, out=out)
    np.sqrt(out, out=out)
    return out


class LengthTable:
    """Lengths along many segments, both ways: from parameter to length and back.

    segments (N, 4, 2) is kept; totals (N,) are their lengths.
    """

    def __init__(self, segments: ArrayLike) -> None:
        self.segments = as_segments(segments)
        d = hodograph(to_complex(self.segments))
        count = d.shape[0]
        roots = roots_of(*centred(d))
        easy = half_axes(roots) >= _WHOLE
        hard = np.flatnonzero(~easy)
        # a >= 1.674 in every such panel, which proves 16 nodes to 1e-14.
        row, low, high = graded_panels(roots[hard], 1.85, 3.9)
        row = np.concatenate((np.flatnonzero(easy), hard[row]))
        whole = row.shape[0] - low.shape[0]
        low = np.concatenate((np.full(whole, -1.0), low))
        high = np.concatenate((np.full(whole, 1.0), high))
        order = np.argsort(row, kind="stable")
        row = row[order]
        start = (low[order] + 1.0) / 2.0
        self._row = row
        self._start = start
        self._width = (high[order] + 1.0) / 2.0 - start
        self._squares = _squares(d[row], start, self._width)
        self._lengths = _lengths_to(self._squares, np.ones(row.shape[0]))
        self._first = np.searchsorted(row, np.arange(count + 1))
        self._begins = np.cumsum(self._lengths) - self._lengths
        self._before = _within(self._lengths, self._first)
        self.totals = np.zeros(count)
        self.totals += np.bincount(row, weights=self._lengths, minlength=count)
        self._keys = row + start

    def _panels(self, keys: FloatArray, wanted: FloatArray, own: IntArray) -> IntArray:
        panel = np.searchsorted(keys, wanted, side="right") - 1
        np.maximum(panel, self._first[own], out=panel)
        np.minimum(panel, self._first[own + 1] - 1, out=panel)
        return panel

    def lengths(self, index: ArrayLike, t: ArrayLike) -> FloatArray:
        """Lengths (M,) from the start of segments index (M,) to parameters t (M,) in [0, 1]."""
        own = np.asarray(index, dtype=np.int64)
        at = np.asarray(t, dtype=np.float64)
        panel = self._panels(self._keys, own + at, own)
        v = (at - self._start[panel]) / self._width[panel]
        return self._before[panel] + _lengths_to(self._squares[panel], v)

    def at(self, index: ArrayLike, s: ArrayLike) -> FloatArray:
        """Parameters t (M,) at lengths s (M,) along segments index (M,).

        Lengths outside a segment give its nearer end. The length at the t given misses s by
        less than 1e-11 mm on curves of some metres, cusps included.
        """
        own = np.asarray(index, dtype=np.int64)
        goal = np.asarray(s, dtype=np.float64)
        out = np.empty(goal.shape)
        for low in range(0, goal.size, _BLOCK):
            rows = slice(low, low + _BLOCK)
            out[rows] = self._at(own[rows], goal[rows])
        return out

    def _at(self, own: IntArray, goal: FloatArray) -> FloatArray:
        first = self._first[own]
        panel = self._panels(self._begins, self._begins[first] + goal, own)
        rest = goal - self._before[panel]
        # The running sum over all curves is only good enough to come within one panel.
        wrong = np.flatnonzero((rest < 0.0) & (panel > first))
        panel[wrong] -= 1
        wrong = np.flatnonzero((rest > self._lengths[panel]) & (panel < self._first[own + 1] - 1))
        panel[wrong] += 1
        rest = goal - self._before[panel]
        v = _solve(self._squares[panel], self._lengths[panel], rest)
        t = self._start[panel] + v * self._width[panel]
        total = self.totals[own]
        t[goal >= total] = 1.0
        t[(goal <= 0.0) | (total == 0.0)] = 0.0
        return t


def _within(lengths: FloatArray, first: IntArray) -> FloatArray:
    """Length (P,) from the start of each panel's own curve to the panel, summed curve by curve
    (a sum over all curves would round at the size of the whole drawing)."""
    out = np.zeros(lengths.shape[0])
    counts = np.diff(first)
    for rank in range(1, int(counts.max(initial=0))):
        panel = first[:-1][counts > rank] + rank
        out[panel] = out[panel - 1] + lengths[panel - 1]
    return out


def _solve(squares: FloatArray, whole: FloatArray, goal: FloatArray) -> FloatArray:
    """v (M,) in [0, 1] at which panels with coefficients (M, 5) have run `goal`."""
    x = np.clip(goal / (whole + _TINY), 0.0, 1.0)
    # Cubic Hermite guess of the inverse; slopes up to 3 keep it monotone (Fritsch & Carlson).
    m0 = np.minimum(whole / (np.sqrt(squares[:, 0]) + _TINY), 3.0)
    m1 = np.minimum(whole / (_speed_at(squares, np.ones_like(x)) + _TINY), 3.0)
    v = x * (m0 + x * ((3.0 - 2.0 * m0 - m1) + x * (m0 + m1 - 2.0)))
    limit = _MISS + 4e-15 * whole
    out = v.copy()
    todo = np.arange(v.shape[0])
    low, high = np.zeros_like(v), np.ones_like(v)
    for _ in range(_STEPS):
        miss = _lengths_to(squares, v) - goal
        go = np.flatnonzero(np.abs(miss) > limit)
        if go.size == 0:
            break
        if go.size < v.shape[0]:
            todo, squares, goal, limit = todo[go], squares[go], goal[go], limit[go]
            v, miss, low, high = v[go], miss[go], low[go], high[go]
        over = miss > 0.0
        high = np.where(over, v, high)
        low = np.where(over, low, v)
        step = v - miss / (_speed_at(squares, v) + _TINY)
        v = np.where((step >= low) & (step <= high), step, (low + high) / 2.0)
        out[todo] = v
    return out
