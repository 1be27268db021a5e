"""Meetings of two curves as lengths along both, in order, each once."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from .intersect import Meetings, meetings, self_meetings
from .kinds import AnyArray, Crossings, FloatArray

if TYPE_CHECKING:
    from .curve import Curve

#: Meetings nearer than this along both curves (mm) are one.
_SAME = 1e-6
#: Nor are these two, if the curves keep within touching distance between them.
_TOUCH_REACH, _TOUCH_GAP = 0.1, 1.1e-9


def _ring_gap(a: FloatArray, b: FloatArray, curve: Curve) -> FloatArray:
    """Distance along the curve, the short way round a closed one."""
    gap = np.abs(a - b)
    return np.minimum(gap, curve.length - gap) if curve.closed else gap


def _first_of_each(own: FloatArray, others: FloatArray, one: Curve, two: Curve) -> AnyArray:
    """Which of the meetings, sorted along the first curve, are not a repetition of another."""
    keep = np.ones(own.shape[0], dtype=bool)
    # Repetitions stand next to each other but for those that tie along the first curve and
    # those on both sides of a closed curve's start: compare a few places on, round the end.
    for shift in range(1, min(own.shape[0], 12)):
        i = np.arange(own.shape[0])
        j = (i + shift) % own.shape[0]
        same = (_ring_gap(own[i], own[j], one) < _SAME) & (
            _ring_gap(others[i], others[j], two) < _SAME
        )
        pairs = np.flatnonzero(same & (i < j))
        keep[j[pairs]] = False
        round_end = np.flatnonzero(same & (i > j))
        keep[i[round_end]] = False
    return keep


def _one_of_each_touch(own: FloatArray, others: FloatArray, one: Curve, two: Curve) -> AnyArray:
    """Which of the meetings to keep where curves that leave each other slowly seem to meet more
    than once: of neighbours with the curves in touch between them, the nearest."""
    keep = np.ones(own.shape[0], dtype=bool)
    near = np.diff(own) < _TOUCH_REACH
    near &= _ring_gap(others[1:], others[:-1], two) < _TOUCH_REACH
    if not near.any():
        return keep
    first = np.flatnonzero(near)
    middle = one.point_at((own[first] + own[first + 1]) / 2.0)
    first = first[two.nearest(middle).distances <= _TOUCH_GAP]
    gap = np.hypot(*(one.point_at(own) - two.point_at(others)).T)
    group = np.cumsum(np.concatenate(([True], ~np.isin(np.arange(own.shape[0] - 1), first))))
    order = np.lexsort((gap, group))
    best = order[np.concatenate(([True], np.diff(group[order]) > 0))]
    keep[:] = False
    keep[best] = True
    return keep


def _ordered(own: FloatArray, others: FloatArray, one: Curve, two: Curve) -> Crossings:
    order = np.lexsort((others, own))
    own, others = own[order], others[order]
    keep = _first_of_each(own, others, one, two)
    own, others = own[keep], others[keep]
    keep = _one_of_each_touch(own, others, one, two)
    own, others = own[keep], others[keep]
    points = one.point_at(own) if own.size else np.zeros((0, 2))
    return Crossings(own, others, points)


def _lengths(found: Meetings, one: Curve, two: Curve) -> tuple[FloatArray, FloatArray]:
    own, others = one.lengths_of(found.a, found.t), two.lengths_of(found.b, found.u)
    if one.closed:
        own = np.where(one.length - own < 1e-9, 0.0, own)
    if two.closed:
        others = np.where(two.length - others < 1e-9, 0.0, others)
    return own, others


def crossings(one: Curve, two: Curve) -> Crossings:
    """Where two curves meet."""
    return _ordered(*_lengths(meetings(one.segments, two.segments), one, two), one, two)


def self_crossings(curve: Curve) -> Crossings:
    """Where a curve meets itself; `own` is the smaller length of the two."""
    own, others = _lengths(self_meetings(curve.segments), curve, curve)
    own, others = np.minimum(own, others), np.maximum(own, others)
    keep = _ring_gap(own, others, curve) > _SAME
    return _ordered(own[keep], others[keep], curve, curve)
