"""Smooth chains of cubics through points, every side of exactly its length.

A chain is described by few numbers: how far each inner joint lies off its place, the direction
of the tangent there (two at a corner), and the two handle lengths of every segment. They are
found by least squares on the distances from the points, measured square to the curve, while the
sides' lengths are held as equality constraints: Gauss and Newton's method with multipliers.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..length import arc_lengths
from .kinds import BoolArray, FloatArray, IntArray, PressError

__all__ = ["ChainTask", "ComplexArray", "fit_chain", "side_lengths"]

_MOST_ROUNDS = 40
_EXACT = 1e-10  # mm: error of a side's length
_FINE = 1e-3  # mm: a fit is done when its points come nearer by less (root mean square)
_HANDLE_PRIOR = 0.01  # keeps handles near a third of their segment where points leave them free
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)
_NODES, _WEIGHTS = 0.5 * (_NODES + 1.0), 0.5 * _WEIGHTS

ComplexArray = NDArray[np.complex128]


@dataclass(frozen=True, slots=True)
class ChainTask:
    """What to fit. Lengths run along the chain from 0.

    points (N,) complex with lengths (N,). joints (K + 1,): lengths of the joints,
    both ends among them; places (K + 1,) complex. pinned (K + 1,): joints that stay at their
    place. corner (K + 1,): joints where the tangent may break. leaving, arriving (K + 1,):
    unit tangents to start from; those of the two ends are kept. sides (S + 1,): numbers of the
    joints between which the length must be exact.
    """

    points: ComplexArray
    lengths: FloatArray
    joints: FloatArray
    places: ComplexArray
    corner: BoolArray
    leaving: ComplexArray
    arriving: ComplexArray
    sides: IntArray


class _Chain:
    """The numbers of a chain and the control points (K, 4) that they make."""

    def __init__(self, task: ChainTask) -> None:
        self.task = task
        self.spans = np.diff(task.joints)
        self.wanted = np.diff(task.joints[task.sides])
        count = len(self.spans)
        inner = np.arange(1, count)
        self.inner = inner
        self.broken = inner[task.corner[1:-1]]
        middle = task.leaving + task.arriving
        self.normal = 1j * middle / np.where(np.abs(middle) > 0.0, np.abs(middle), 1.0)
        # Where sides meet, a joint may slide, too: its sides' lengths say how far.
        self.sliding = task.sides[1:-1]
        self.ways = np.concatenate([self.normal[inner], -1j * self.normal[self.sliding]])
        self.shifted = np.concatenate([inner, self.sliding])
        sizes = [len(self.shifted), len(self.inner), len(self.broken), 2 * count]
        self.cuts = np.cumsum(sizes)[:-1]
        # In mm for all of them, so that one number tells whether the fit has settled.
        mean = float(self.spans.mean())
        self.scale = np.repeat([1.0, mean, mean, 1.0], sizes)
        self.least, self.most = np.repeat(self.spans * 0.03, 2), np.repeat(self.spans, 2)
        # Shift off the place, turn of the tangent, extra turn beyond a corner, handles.
        self.numbers = np.concatenate([np.zeros(sum(sizes[:3])), np.repeat(self.spans / 3.0, 2)])

    def moved(self, numbers: FloatArray, step: FloatArray) -> FloatArray:
        """The numbers after a step, handles neither lost nor longer than their segment."""
        result: FloatArray = numbers + step
        result[self.cuts[2] :] = np.clip(result[self.cuts[2] :], self.least, self.most)
        return result

    def at_limit(self, numbers: FloatArray, step: FloatArray) -> BoolArray:
        """Which handles are at their limit already and would go beyond."""
        now, change = numbers[self.cuts[2] :], step[self.cuts[2] :]
        at_limit: BoolArray = ((now <= self.least) & (change < 0.0)) | (
            (now >= self.most) & (change > 0.0)
        )
        return at_limit

    def controls(self, numbers: FloatArray) -> ComplexArray:
        places, leaving, arriving, handles = self._parts(numbers)
        a, b = places[:-1], places[1:]
        return np.stack(
            [a, a + handles[:, 0] * leaving[:-1], b - handles[:, 1] * arriving[1:], b], axis=1
        )

    def _parts(
        self, numbers: FloatArray
    ) -> tuple[ComplexArray, ComplexArray, ComplexArray, FloatArray]:
        shift, turn, extra, handles = np.split(numbers, self.cuts)
        task = self.task
        places = task.places.copy()
        np.add.at(places, self.shifted, shift * self.ways)
        leaving, arriving = task.leaving.copy(), task.arriving.copy()
        leaving[self.inner] *= np.exp(1j * turn)
        arriving[self.inner] *= np.exp(1j * turn)
        leaving[self.broken] *= np.exp(1j * extra)
        return places, leaving, arriving, handles.reshape(-1, 2)

    def slopes(self, numbers: FloatArray) -> ComplexArray:
        """Of the control points (K, 4, P), as complex numbers, to each of the numbers."""
        _, leaving, arriving, handles = self._parts(numbers)
        count = len(self.spans)
        out = np.zeros((count, 4, len(numbers)), dtype=np.complex128)
        first = np.split(np.arange(len(numbers)), self.cuts)
        for column, joint, way in zip(first[0], self.shifted, self.ways, strict=True):
            out[joint - 1, 2:, column] = way
            out[joint, :2, column] = way
        for column, joint in zip(first[1], self.inner, strict=True):
            out[joint - 1, 2, column] = -1j * handles[joint - 1, 1] * arriving[joint]
            out[joint, 1, column] = 1j * handles[joint, 0] * leaving[joint]
        for column, joint in zip(first[2], self.broken, strict=True):
            out[joint, 1, column] = 1j * handles[joint, 0] * leaving[joint]
        columns = first[3].reshape(-1, 2)
        each = np.arange(count)
        out[each, 1, columns[:, 0]] = leaving[:-1]
        out[each, 2, columns[:, 1]] = -arriving[1:]
        return out


def _basis(t: FloatArray) -> FloatArray:
    u = 1.0 - t
    return np.stack([u**3, 3.0 * u * u * t, 3.0 * u * t * t, t**3], axis=-1)


def _slope_basis(t: FloatArray) -> FloatArray:
    u = 1.0 - t
    return np.stack(
        [-3.0 * u * u, 3.0 * u * u - 6.0 * u * t, 6.0 * u * t - 3.0 * t * t, 3.0 * t * t], axis=-1
    )


def _bend_basis(t: FloatArray) -> FloatArray:
    u = 1.0 - t
    return np.stack([6.0 * u, 6.0 * t - 12.0 * u, 6.0 * u - 12.0 * t, 6.0 * t], axis=-1)


def side_lengths(controls: ComplexArray, sides: IntArray) -> FloatArray:
    """Lengths (S,) of the sides of a chain of control points (K, 4)."""
    segments = np.stack([controls.real, controls.imag], axis=-1)
    return np.asarray(np.add.reduceat(arc_lengths(segments), sides[:-1]), dtype=np.float64)


def _length_slopes(controls: ComplexArray, slopes: ComplexArray, sides: IntArray) -> FloatArray:
    """Of the sides' lengths (S, P) to each number."""
    basis = _slope_basis(_NODES)
    speed = controls @ basis.T
    towards = speed / np.maximum(np.abs(speed), 1e-300) * _WEIGHTS
    pull = towards @ basis  # (K, 4)
    each = np.einsum("ki,kip->kp", np.conj(pull), slopes).real
    return np.asarray(np.add.reduceat(each, sides[:-1], axis=0), dtype=np.float64)


class _Fit:
    """A chain with its numbers at one place: residuals, slopes, side lengths."""

    def __init__(self, chain: _Chain, numbers: FloatArray, which: IntArray, t: FloatArray) -> None:
        self.chain, self.numbers, self.which = chain, numbers, which
        task = chain.task
        self.controls = chain.controls(numbers)
        own = self.controls[which]
        for _ in range(2):
            t = _feet(own, t, task.points)
        self.t = t
        d = (_slope_basis(t) * own).sum(axis=1)
        self.normal = 1j * d / np.maximum(np.abs(d), 1e-300)
        gap = (_basis(t) * own).sum(axis=1) - task.points
        self.rest = (np.conj(self.normal) * gap).real
        handles = numbers[chain.cuts[2] :]
        self.leaning = _HANDLE_PRIOR * (handles - np.repeat(chain.spans / 3.0, 2))
        self.short = chain.wanted - side_lengths(self.controls, task.sides)
        self.cost = 0.5 * float((self.rest**2).sum() + (self.leaning**2).sum())

    def step(self, damping: float, *, fitting: bool) -> tuple[FloatArray, FloatArray]:
        """Gauss and Newton's step of the numbers, and the multipliers; without `fitting`, the
        least step that sets the sides' lengths right."""
        chain = self.chain
        slopes = chain.slopes(self.numbers)
        moves = np.einsum("ni,nip->np", _basis(self.t), slopes[self.which])
        j = (np.conj(self.normal)[:, None] * moves).real
        count, sides = len(self.numbers), len(self.short)
        square = j.T @ j + np.diag(damping * chain.scale**2)
        handles = np.arange(chain.cuts[2], count)
        square[handles, handles] += _HANDLE_PRIOR**2
        right = np.zeros(count + sides)
        if fitting:
            right[:count] = -(j.T @ self.rest)
            right[handles] -= _HANDLE_PRIOR * self.leaning
        right[count:] = self.short
        held = _length_slopes(self.controls, slopes, chain.task.sides)
        matrix = np.zeros((count + sides, count + sides))
        matrix[:count, :count] = square
        matrix[:count, count:] = held.T
        matrix[count:, :count] = held
        # Scaled, so that angles and handles weigh alike.
        scale = np.concatenate([1.0 / chain.scale, np.ones(sides)])
        solved = np.linalg.solve(matrix * scale * scale[:, None], right * scale) * scale
        stuck = handles[chain.at_limit(self.numbers, solved[:count])]
        if len(stuck):
            matrix[stuck, stuck] += 1e6  # what cannot go on is left out, and the rest makes up
            solved = np.linalg.solve(matrix * scale * scale[:, None], right * scale) * scale
        return solved[:count], solved[count:]

    def moved(self, step: FloatArray) -> _Fit:
        return _Fit(self.chain, self.chain.moved(self.numbers, step), self.which, self.t)

    def merit(self, price: float) -> float:
        return self.cost + price * float(np.abs(self.short).sum())


def fit_chain(task: ChainTask) -> ComplexArray:
    """Control points (K, 4), complex. Raises PressError (`fit`) if no chain has the lengths."""
    chain = _Chain(task)
    which = np.searchsorted(task.joints, task.lengths, side="right") - 1
    which = np.clip(which, 0, len(chain.spans) - 1)
    t = np.clip((task.lengths - task.joints[which]) / chain.spans[which], 0.0, 1.0)
    fit = _Fit(chain, chain.numbers, which, t)
    damping, enough = 1e-4, 0.5 * len(t) * _FINE**2
    for _ in range(_MOST_ROUNDS):
        step, pull = fit.step(damping, fitting=True)
        price = 2.0 * float(np.abs(pull).max(initial=0.0))
        trial = fit.moved(step)
        gained = fit.merit(price) - trial.merit(price)
        if gained > 0.0:
            fit, damping = trial, 0.2 * damping
            if gained < enough:
                break
        elif damping > 1.0:
            break
        else:
            damping *= 6.0
    for _ in range(_MOST_ROUNDS):
        if np.abs(fit.short).max() < _EXACT:
            return fit.controls
        fit = fit.moved(fit.step(1e-3, fitting=False)[0])
    raise PressError(
        "fit",
        "no smooth edge of the right length follows the pressed one (it is off by "
        f"{float(np.abs(fit.short).max()):.3g} mm)",
    )


def _feet(controls: ComplexArray, t: FloatArray, points: ComplexArray) -> FloatArray:
    """Parameters (N,) of the feet of points on their segments (N, 4): one Newton step."""
    gap = (_basis(t) * controls).sum(axis=1) - points
    d = (_slope_basis(t) * controls).sum(axis=1)
    dd = (_bend_basis(t) * controls).sum(axis=1)
    bend = np.abs(d) ** 2 + (gap * np.conj(dd)).real
    safe = np.where(bend > 0.0, bend, np.abs(d) ** 2)
    step = (gap * np.conj(d)).real / np.maximum(safe, 1e-300)
    feet: FloatArray = np.clip(t - np.clip(step, -0.2, 0.2), 0.0, 1.0)
    return feet
