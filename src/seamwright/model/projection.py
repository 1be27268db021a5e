"""Putting notches of the cut line on the seam line: the nearest place of it, for many at once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from seamwright.geometry import (
    FloatArray,
    IntArray,
    Station,
    evaluate,
    first_derivatives,
    second_derivatives,
)

from .shape import Shape

_STEPS = 32  # samples of a segment; every local minimum among them is followed up
_ROUNDS = 60  # halvings at most; Newton needs four or five


class Foot(NamedTuple):
    """Where a notch of the cut line falls on the seam line, and how far it lies from it (mm)."""

    station: Station
    distance: float


def project(shapes: Sequence[Shape], notches: Sequence[tuple[int, int]]) -> list[Foot]:
    """The foot of each notch, given as (number of the shape, number of the notch).

    A notch is laid on the seam line and carried square to it to the cut line (common practice, no
    source); so it comes from the nearest place of the seam line.
    """
    if not notches:
        return []
    owners = np.array([i for i, _ in notches])
    marks = [(shapes[i].cut_line, shapes[i].notches[j].station) for i, j in notches]
    points = evaluate(
        np.stack([line.segments[s.segment] for line, s in marks if line is not None]),
        np.array([s.t for _, s in marks]),
    )
    used = np.unique(owners)
    curves = [shapes[i].seam_line for i in used]
    counts = np.array([curve.n for curve in curves])
    segments = np.concatenate([curve.segments for curve in curves])
    first = np.cumsum(counts) - counts
    line = np.searchsorted(used, owners)
    which, t, far = nearest_of(points, segments, first[line], counts[line])
    own = which - first[line]
    return [Foot(Station(int(k), float(u)), float(d)) for k, u, d in zip(own, t, far, strict=True)]


def nearest_of(
    points: FloatArray, segments: FloatArray, first: IntArray, counts: IntArray
) -> tuple[IntArray, FloatArray, FloatArray]:
    """For points (M, 2), each with a chain of its own among segments (N, 4, 2), given by its
    first segment (M,) and how many (M,): nearest segment (M,), parameter (M,), distance (M,)."""
    owner = np.repeat(np.arange(len(points)), counts)
    index = np.arange(len(owner)) - np.repeat(np.cumsum(counts) - counts, counts)
    index = index + first[owner]
    # A curve lies within the box of its control points: what is farther than some joint is out.
    controls, p = segments[index], points[owner]
    low, high = controls.min(axis=1), controls.max(axis=1)
    bound = np.hypot(*np.maximum(np.maximum(low - p, p - high), 0.0).T)
    reached = np.full(len(points), np.inf)
    np.minimum.at(reached, owner, np.hypot(*(controls[:, 0] - p).T))
    np.minimum.at(reached, owner, np.hypot(*(controls[:, 3] - p).T))
    keep = bound <= reached[owner] + 1e-9
    owner, index = owner[keep], index[keep]
    start, guess = _minima(segments[index], points[owner])
    owner, index = owner[start], index[start]
    t = _settled(segments[index], points[owner], guess)
    far = np.hypot(*(evaluate(segments[index], t) - points[owner]).T)
    order = np.lexsort((index, far, owner))
    best = order[np.unique(owner[order], return_index=True)[1]]
    return index[best], t[best], far[best]


def _minima(segments: FloatArray, points: FloatArray) -> tuple[IntArray, FloatArray]:
    """Local minima of the distance among samples: (row, parameter) of each."""
    ts = np.linspace(0.0, 1.0, _STEPS + 1)
    far = np.stack(
        [np.hypot(*(evaluate(segments, np.full(len(segments), u)) - points).T) for u in ts], axis=1
    )
    wall = np.full((len(far), 1), np.inf)
    before = np.concatenate((wall, far[:, :-1]), axis=1)
    after = np.concatenate((far[:, 1:], wall), axis=1)
    rows, columns = np.nonzero((far <= before) & (far <= after))
    return rows, ts[columns]


def _settled(segments: FloatArray, points: FloatArray, guess: FloatArray) -> FloatArray:
    """Newton on the derivative of the squared distance, kept between the neighbouring samples."""
    low = np.maximum(guess - 1.0 / _STEPS, 0.0)
    high = np.minimum(guess + 1.0 / _STEPS, 1.0)
    t = guess.copy()
    for _ in range(_ROUNDS):
        off = evaluate(segments, t) - points
        d1, d2 = first_derivatives(segments, t), second_derivatives(segments, t)
        slope = (off * d1).sum(axis=1)
        bend = (d1 * d1).sum(axis=1) + (off * d2).sum(axis=1)
        low = np.where(slope < 0.0, t, low)
        high = np.where(slope > 0.0, t, high)
        with np.errstate(divide="ignore", invalid="ignore"):
            new = t - slope / bend
        inside = (new >= low) & (new <= high) & (bend > 0.0)
        new = np.where(slope == 0.0, t, np.where(inside, new, (low + high) / 2.0))
        if np.abs(new - t).max(initial=0.0) < 1e-15:
            return new
        t = new
    return t
