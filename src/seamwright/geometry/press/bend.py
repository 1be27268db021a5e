"""Elastic rods in the plane: Newton's method on a bordered tridiagonal matrix, many at once.

A rod is a chain of pieces that turn but do not stretch. It is bent as little as possible,
measured by the integral of (change of tangent angle)'^2, from a shape that it would like to have
(its pieces as they are, less the turn that some joints have lost), while both its ends and the
tangents there stay. One or two closing conditions border the matrix.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from .kinds import BoolArray, FloatArray, IntArray

__all__ = ["Bend", "bent"]

_MOST_STEPS = 40
_CLOSED = 1e-12  # of the length: how far off its end a rod may be
_AT_REST = 1e-10  # radians
_LONGEST_TURN = 0.5  # radians in one step

ComplexArray = NDArray[np.complex128]


class Bend(NamedTuple):
    """turned (B, N): angle by which each piece turned; energy (B,); at_rest (B,)."""

    turned: FloatArray
    energy: FloatArray
    at_rest: BoolArray
    iterations: int


def bent(
    chords: ComplexArray,
    kinks: FloatArray,
    steps: FloatArray,
    ends: ComplexArray,
    counts: IntArray,
    *,
    start: FloatArray | None = None,
    loose: bool = False,
) -> Bend:
    """B rods of up to N pieces, bent.

    chords (B, N): the pieces as they lie, complex; steps (B, N): their lengths; those from
    counts (B,) on are not there. kinks (B, N + 1): the turn that the joint before each piece has
    lost. ends (B,): where the last piece must end, seen from the first one's start. start (B, N):
    angles to start from. loose: the rod may change its length evenly; then only the direction of
    its end is held, and chords times |ends| / |sum of turned chords| reach it.
    """
    many, most = chords.shape
    ahead = ends / np.maximum(np.abs(ends), 1e-300)
    chords, distance = chords / ahead[:, None], np.abs(ends)
    there = np.arange(most) < counts[:, None]
    # Joint j lies between pieces j - 1 and j; the outer joints belong to the fixed tangents.
    reach = np.zeros((many, most + 1))
    halves = np.where(there, 0.5 * steps, 0.0)
    reach[:, :-1] += halves
    reach[:, 1:] += halves
    stiff = 1.0 / np.where(reach > 0.0, reach, 1.0)
    lower = -stiff[:, 1:-1] * there[:, 1:]
    diagonal = stiff[:, :-1] + np.where(there, stiff[:, 1:], 1.0)
    forced = stiff * kinks
    force = np.where(there, forced[:, :-1] - forced[:, 1:], 0.0)
    turned = np.zeros((many, most)) if start is None else np.array(start)
    pull = np.zeros(many, dtype=np.complex128)
    size = np.abs(chords).sum(axis=1)
    at_rest = np.zeros(many, dtype=np.bool_)
    taken = 0
    while taken < _MOST_STEPS and not at_rest.all():
        taken += 1
        now = chords * np.exp(1j * turned)
        missing = now.sum(axis=1) - distance
        if loose:
            missing = 1j * missing.imag
        slope = 1j * now
        bend = diagonal * turned + force
        bend[:, 1:] += lower * turned[:, :-1]
        bend[:, :-1] += lower * turned[:, 1:]
        gradient = bend + (np.conj(pull)[:, None] * slope).real
        curved = diagonal - (np.conj(pull)[:, None] * now).real
        rest = np.stack([-gradient, slope.real, slope.imag], axis=2)
        if loose:
            rest[:, :, 1] = 0.0
        solved = _tridiagonal(lower, curved, rest)
        border = np.einsum("bni,bnj->bij", rest[:, :, 1:], solved[:, :, 1:])
        if loose:
            border[:, 0, 0] = 1.0
        short = np.einsum("bni,bn->bi", rest[:, :, 1:], solved[:, :, 0])
        short[:, 0] += missing.real
        short[:, 1] += missing.imag
        # A straight rod that is too long for its ends has no slope to close by: left as it is.
        flat = np.abs(np.linalg.det(border)) < 1e-14 * np.abs(border).max(axis=(1, 2)) ** 2
        border[flat] += np.eye(2)
        change = np.linalg.solve(border, short[..., None])[..., 0]
        step = solved[:, :, 0] - (solved[:, :, 1:] * change[:, None]).sum(axis=2)
        turn = np.abs(step).max(axis=1)
        share = np.minimum(1.0, _LONGEST_TURN / np.maximum(turn, 1e-300))
        turned = turned + share[:, None] * step
        pull = pull + share * (change[:, 0] + 1j * change[:, 1])
        at_rest = (turn < _AT_REST) & (np.abs(missing) < _CLOSED * size) & ~flat
    padded = np.pad(turned, ((0, 0), (1, 1)))
    energy = 0.5 * (stiff * (np.diff(padded, axis=1) + kinks) ** 2)
    energy = np.where(np.arange(most + 1) <= counts[:, None], energy, 0.0).sum(axis=1)
    return Bend(np.where(there, turned, 0.0), energy, at_rest, taken)


def _tridiagonal(lower: FloatArray, diagonal: FloatArray, rest: FloatArray) -> FloatArray:
    """Solutions (B, N, R) of B symmetric tridiagonal systems; one pass down, one up."""
    count = diagonal.shape[1]
    pivots = np.moveaxis(diagonal, 1, 0).copy()
    x = np.moveaxis(rest, 1, 0).copy()
    for i in range(1, count):
        factor = lower[:, i - 1] / pivots[i - 1]
        pivots[i] -= factor * lower[:, i - 1]
        x[i] -= factor[:, None] * x[i - 1]
    x[-1] /= pivots[-1][:, None]
    for i in range(count - 2, -1, -1):
        x[i] = (x[i] - lower[:, i, None] * x[i + 1]) / pivots[i][:, None]
    return np.moveaxis(x, 0, 1)
