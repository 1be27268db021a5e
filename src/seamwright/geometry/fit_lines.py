"""Straight stretches in a run of points that is to be fitted with curves.

A gentle curve is straight too, for a while. What tells a line from it: a curve that leaves its
chord by d over a length L is about 1.25 d off the chord's continuation at L / 4 beyond; a line
that ends in a curve or a kink is off by far more than its own points are.
"""

from __future__ import annotations

import numpy as np

from .kinds import AnyArray, ComplexArray, FloatArray, IntArray

#: Points of a line lie within this share of the tolerance ...
_CLOSE = 0.25
#: ... and its continuation leaves it by at least this many times as much.
_ABRUPT = 6.0


def off_chord(z: ComplexArray, a: complex, b: complex) -> FloatArray:
    """Distances of points z from the segment a b."""
    chord = b - a
    size = abs(chord) ** 2
    if size == 0.0:
        return np.abs(z - a)
    along = np.clip(((z - a) * chord.conjugate()).real / size, 0.0, 1.0)
    return np.abs(z - a - along * chord)


def _off_line(z: ComplexArray, a: complex, b: complex) -> FloatArray:
    """Distances of points z from the line through a and b."""
    return np.abs(((z - a) * (b - a).conjugate()).imag) / abs(b - a)


def straight_stretches(z: ComplexArray, tolerance: float) -> list[tuple[int, int]]:
    """Index pairs (i, j), in order and without overlap, of stretches z[i..j] that are lines.

    z (n,) is a run between corners; its own ends count as corners.
    """
    last = z.shape[0] - 1
    close = _CLOSE * tolerance
    at = np.concatenate(([0.0], np.cumsum(np.abs(np.diff(z)))))
    runs: list[tuple[int, int]] = []
    j = 1
    for i in range(last):
        j = max(j, i + 1)
        while j < last and off_chord(z[i + 1 : j + 1], z[i], z[j + 1]).max() <= close:
            j += 1
        runs.append((i, j))
    first, end = np.array(runs).T
    lengths = at[end] - at[first]
    # Only what is long enough and ends abruptly may be a line at all.
    likely = np.flatnonzero(lengths > 4.0 * tolerance)
    likely = likely[_abrupt(z, at, first[likely], end[likely], _ABRUPT * close)]
    ranked = sorted(zip(lengths[likely].tolist(), first[likely].tolist(), end[likely].tolist(),
                        strict=True), reverse=True)  # fmt: skip
    taken = np.zeros(last, dtype=bool)  # edges that are in a line already
    found: list[tuple[int, int]] = []
    for length, i, j in ranked:
        if taken[i:j].any():
            continue
        low, high = _trimmed(z, at, i, j, tolerance)
        if at[high] - at[low] < 0.5 * length:
            continue
        taken[low:high] = True
        found.append((low, high))
    return sorted(found)


def _abrupt(z: ComplexArray, at: FloatArray, i: IntArray, j: IntArray, need: float) -> AnyArray:
    """Whether the points leave the line at both ends of each stretch i..j (N,), or stop there."""
    reach = (at[j] - at[i]) / 4.0
    a, chord = z[i], z[j] - z[i]
    out = np.ones(i.shape[0], dtype=bool)
    for stops, marks in ((i == 0, at[i] - reach), (j == z.shape[0] - 1, at[j] + reach)):
        beyond = np.interp(marks, at, z.real) + 1j * np.interp(marks, at, z.imag)
        off = np.abs(((beyond - a) * chord.conj()).imag) / np.abs(chord)
        out &= stops | (off >= need)
    return out


def _trimmed(z: ComplexArray, at: FloatArray, i: int, j: int, tolerance: float) -> tuple[int, int]:
    """The stretch without the few points at its ends that already belong to a curve."""
    if j - i < 4:
        return i, j
    margin = 0.2 * (at[j] - at[i])
    low = int(np.searchsorted(at, at[i] + margin))
    high = int(np.searchsorted(at, at[j] - margin, side="right")) - 1
    if high - low < 2:
        return i, j
    noise = float(_off_line(z[low : high + 1], z[low], z[high]).max())
    allowed = max(3.0 * noise, 0.02 * tolerance)
    off = _off_line(z[i : j + 1], z[low], z[high])
    bad = np.flatnonzero(off > allowed) + i
    before, after = bad[bad < low], bad[bad > high]
    return (int(before[-1]) + 1 if before.size else i), (int(after[0]) - 1 if after.size else j)
