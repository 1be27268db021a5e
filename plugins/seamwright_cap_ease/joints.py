"""Where the segments of the new edge meet."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from seamwright.geometry import Curve, FloatArray
from seamwright.geometry.press import PressedEdge

A_HALF = 3  # segments at least; more do not bring the smooth edge nearer to the pressed one
_MOST_OWN = 6  # joints a half; an edge in more is a polyline, and is divided evenly
_SHARP = 20.0  # degrees
_NARROWEST = 10.0  # mm between joints
_SAME = 1e-3  # mm; a corner at the shoulder point is measured on two ways, and is one joint


def joints(pressed: PressedEdge, edge: Curve, top: float, *, a_half: int = A_HALF) -> FloatArray:
    """Lengths along the new edge of its joints, the ends of what is held among them.

    Where the original's were, if those are few: a draft has them where its curvature jumps, and
    between them a cubic fits. What is longer than a third of a half is divided evenly, so that a
    style has as many segments in every size. top: the shoulder point along the new edge;
    a_half: how many segments a half has at least.
    """
    low, high = pressed.held[0], pressed.length - pressed.held[1]
    sharp = pressed.taken.after(edge.cumulative[edge.corner_segments(_SHARP)])
    own = pressed.taken.after(edge.cumulative[1:-1])
    halves = ((low, top), (top, high))
    return np.unique(np.concatenate([_of_half(a, b, own, sharp, a_half) for a, b in halves]))


def _of_half(a: float, b: float, own: FloatArray, sharp: FloatArray, a_half: int) -> FloatArray:
    chosen = [a, b, *sharp[(sharp > a + _SAME) & (sharp < b - _SAME)].tolist()]
    inside = own[(own > a) & (own < b)].tolist()
    for s in inside if len(inside) <= _MOST_OWN else ():
        if min(abs(s - c) for c in chosen) >= _NARROWEST:
            chosen.append(s)
    chosen.sort()
    gaps = np.diff(chosen)
    pieces = np.ones(len(gaps), dtype=int)
    while pieces.sum() < a_half:
        pieces[int(np.argmax(gaps / pieces))] += 1
    parts = [np.linspace(p, q, n + 1) for (p, q), n in zip(pairwise(chosen), pieces, strict=True)]
    return np.concatenate(parts)
