"""Curves as arcs: polyline vertices with bulges, as few as a tolerance allows; many at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import Curve, evaluate

FloatArray = NDArray[np.float64]
ComplexArray = NDArray[np.complex128]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

_CORNER = 1.0
"""degrees; a joint that turns by more stays a vertex even if nobody called it a corner."""
_FINE = 6
"""Places looked at for each chord that the tolerance would need: some 30 in an arc."""
_LEAST = 16
_MOST = 20_000
_LOOKS = 32
"""Places of a stretch that are looked at while an arc's reach is sought."""
_HALF_CIRCLE = np.pi / 2.0 + 1e-4
"""rad; half the widest angle of an arc, and a little for rounding."""
_LIMIT = 2.4
_MARGIN, _SURE = 0.98, 0.99
"""Shares of the tolerance: for the search, which looks at some places of an arc, and for the last
look at each of them; in between the arcs are off by less than a hundredth more."""
_EVENINGS = 5
_NONE = np.empty(0, np.int64)


@dataclass(frozen=True, slots=True)
class Arcs:
    """A curve as arcs: vertices (V, 2) and the bulge after each (0: straight); of a closed curve
    the first vertex is not repeated."""

    points: FloatArray
    bulges: list[float]


@dataclass(frozen=True, slots=True)
class _Stretches:
    """Smooth stretches, each from one vertex that must stay to the next, as dense places.

    z, normal (M,)   places and unit normals
    first, last (R,) places at which each stretch begins and ends
    """

    z: ComplexArray
    normal: ComplexArray
    first: IntArray
    last: IntArray


def arcs_of(
    curves: Sequence[Curve], tolerance: float, kept: Sequence[IntArray] | None = None
) -> list[Arcs]:
    """Each curve as straight lines and arcs, nowhere farther than `tolerance` mm from it.

    kept  for each curve joints that must stay vertices

    Straight segments, their ends, corners and `kept` stay as they are. In between every vertex
    lies on the curve and each arc reaches as far as it may: one that meets the curve at both ends
    is off by k' h^3 / 125 (h its length, k' the change of curvature along it; by Taylor series),
    a third of what a biarc of that length is, and since the error is odd about its middle, the
    arcs still meet without a visible corner. With the number of arcs known, the tolerance is
    drawn in until they are as near and as even as so many can be.
    """
    fixed = [_fixed(c, _NONE if kept is None else kept[i]) for i, c in enumerate(curves)]
    stretches = _stretches(curves, fixed, tolerance)
    bounds, bulges = _fitted(stretches, tolerance)
    z = stretches.z
    out = []
    at = 0
    for curve, joints in zip(curves, fixed, strict=True):
        points: list[FloatArray] = []
        bends: list[FloatArray] = []
        for a, b in _spans(curve, joints):
            if not curve.kinds[a]:
                points.append(curve.segments[a:b, 0])
                bends.append(np.zeros(b - a))
                continue
            inner = z[bounds[at][1:-1]]
            points.append(curve.segments[a : a + 1, 0])
            points.append(np.stack((inner.real, inner.imag), axis=1))
            bends.append(bulges[at])
            at += 1
        if not curve.closed:
            points.append(curve.end[None])
            bends.append(np.zeros(1))
        out.append(Arcs(np.concatenate(points), np.concatenate(bends).tolist()))
    return out


def _fixed(curve: Curve, kept: IntArray) -> IntArray:
    """Joints that stay vertices, both ends of the chain among them."""
    change = np.flatnonzero(np.diff(curve.kinds)) + 1
    inside = kept[(kept > 0) & (kept < curve.n)]
    found = np.concatenate(([0, curve.n], change, curve.corner_segments(_CORNER), inside))
    return np.unique(found).astype(np.int64)


def _spans(curve: Curve, joints: IntArray) -> list[tuple[int, int]]:
    return list(pairwise(joints.tolist()))


def _stretches(curves: Sequence[Curve], fixed: Sequence[IntArray], tolerance: float) -> _Stretches:
    """Places along everything that is bent, evenly by parameter in each cubic."""
    spans = [
        (c.segments[a:b])
        for c, joints in zip(curves, fixed, strict=True)
        for a, b in _spans(c, joints)
        if c.kinds[a]
    ]
    if not spans:
        none = np.empty(0, np.complex128)
        return _Stretches(none, none, _NONE, _NONE)
    cubics = np.concatenate(spans)
    # As many as chords would need (interpolation error, by the second differences), times _FINE.
    bend = np.linalg.norm(np.diff(cubics, n=2, axis=1), axis=2).max(axis=1)
    counts = np.clip(np.ceil(np.sqrt(0.75 * bend / tolerance)) * _FINE, _LEAST, _MOST)
    counts = counts.astype(np.int64)
    sizes = np.array([len(s) for s in spans])
    ends = np.cumsum(sizes)
    # Each cubic gives its start and what lies inside; each stretch its end as well.
    takes = counts.copy()
    takes[ends - 1] += 1
    offsets = np.cumsum(takes) - takes
    owner = np.repeat(np.arange(len(cubics)), takes)
    t = (np.arange(owner.size) - offsets[owner]) / counts[owner]
    xy = evaluate(cubics[owner], t[:, None])[:, 0]
    last = offsets[ends - 1] + counts[ends - 1]
    xy[last] = cubics[ends - 1, 3]
    z = xy[:, 0] + 1j * xy[:, 1]
    first = np.concatenate(([0], last[:-1] + 1))
    step = np.diff(z)
    along = np.zeros_like(z)
    along[:-1] += step
    along[1:] += step
    along[first] = z[first + 1] - z[first]
    along[last] = z[last] - z[last - 1]
    size = np.abs(along)
    unit = np.divide(along, size, out=np.ones_like(along), where=size > 0.0)
    return _Stretches(z, 1j * unit, first, last)


def _fitted(s: _Stretches, tolerance: float) -> tuple[list[IntArray], list[FloatArray]]:
    """Places at which the arcs of each stretch begin and end, and their bulges."""
    count = len(s.first)
    everything = np.arange(count)
    limit = np.full(count, _MARGIN * tolerance)
    bounds = _greedy(s, everything, limit)
    low, high = np.zeros(count), limit.copy()
    for _ in range(_EVENINGS):
        middle = (low + high) / 2.0
        tried = _greedy(s, everything, middle)
        for r, (old, new) in enumerate(zip(bounds, tried, strict=True)):
            if len(new) <= len(old):
                bounds[r], high[r] = new, middle[r]
            else:
                low[r] = middle[r]
    return _settled(s, bounds, high, tolerance)


def _settled(
    s: _Stretches, bounds: list[IntArray], limit: FloatArray, tolerance: float
) -> tuple[list[IntArray], list[FloatArray]]:
    """Bulges, looking at every place; an arc that is off by more than the tolerance after all is
    halved. An arc over one step is a chord, which the number of places keeps within it."""
    sizes = np.array([len(b) - 1 for b in bounds], dtype=np.int64)
    own = np.repeat(np.arange(len(bounds)), sizes)
    a = np.concatenate([b[:-1] for b in bounds]) if bounds else _NONE
    b = np.concatenate([b[1:] for b in bounds]) if bounds else _NONE
    while True:
        looks = max(_LOOKS, int((b - a).max(initial=0)))
        chosen = limit[own]
        lower, upper = _range(s, a, b, chosen, looks)
        poor = lower > upper
        if poor.any():
            wide = _range(s, a[poor], b[poor], np.full(int(poor.sum()), _SURE * tolerance), looks)
            lower[poor], upper[poor] = wide
        halve = (lower > upper) & (b - a > 1)
        if not halve.any():
            break
        middle = (a[halve] + b[halve]) // 2
        own = np.concatenate((own, own[halve]))
        a, b = np.concatenate((a, middle)), np.concatenate((np.where(halve, 0, b), b[halve]))
        b[: halve.size][halve] = middle
        order = np.argsort(a, kind="stable")
        own, a, b = own[order], a[order], b[order]
    bulge = np.tan((lower + upper) / 4.0)
    bulge[np.abs(bulge) < 1e-9] = 0.0
    cuts = list(pairwise(np.searchsorted(own, np.arange(len(bounds) + 1)).tolist()))
    return [np.append(a[i:j], b[j - 1]) for i, j in cuts], [bulge[i:j] for i, j in cuts]


def _greedy(s: _Stretches, chosen: IntArray, limit: FloatArray) -> list[IntArray]:
    """For each chosen stretch the places where arcs begin and end, each reaching as far as it
    may within its `limit`; all stretches take each step together."""
    at = s.first[chosen]
    taken = [[i] for i in at.tolist()]
    live = np.arange(len(chosen))
    while live.size:
        end = s.last[chosen[live]]
        reach = _reach(s, at[live], end, limit[live])
        at[live] = reach
        for r, j in zip(live.tolist(), reach.tolist(), strict=True):
            taken[r].append(j)
        live = live[reach < end]
    return [np.array(t, dtype=np.int64) for t in taken]


def _reach(s: _Stretches, start: IntArray, end: IntArray, limit: FloatArray) -> IntArray:
    """The farthest place that an arc from each start may reach: by doubling, then halving."""
    low = start + 1
    high = end + 1
    step = np.full(len(start), 8, dtype=np.int64)
    growing = low < end
    while growing.any():
        i = np.flatnonzero(growing)
        to = np.minimum(start[i] + step[i], end[i])
        good = _fits(s, start[i], to, limit[i])
        low[i[good]] = to[good]
        high[i[~good]] = to[~good]
        step[i] *= 2
        growing[i] = good & (to < end[i])
    while True:
        i = np.flatnonzero(high - low > 1)
        if not i.size:
            return low
        middle = (low[i] + high[i]) // 2
        good = _fits(s, start[i], middle, limit[i])
        low[i[good]] = middle[good]
        high[i[~good]] = middle[~good]


def _fits(s: _Stretches, a: IntArray, b: IntArray, limit: FloatArray) -> BoolArray:
    lower, upper = _range(s, a, b, limit, _LOOKS)
    return np.asarray(lower <= upper)


def _range(
    s: _Stretches, a: IntArray, b: IntArray, limit: FloatArray, looks: int
) -> tuple[FloatArray, FloatArray]:
    """Half the least and the greatest angle (rad, left turns positive) that an arc from place a
    to place b may have so as to pass every place in between within `limit`; least above greatest
    where none does.

    An arc through A, B and Q turns by twice the angle between AQ and QB (inscribed angles). Arcs
    over one chord do not cross, so those that pass Q within the limit lie between those through
    the two points at that distance on Q's normal.
    """
    share = np.arange(1, looks + 1) / (looks + 1.0)
    index = a[:, None] + np.rint((b - a)[:, None] * share).astype(np.int64)
    q, normal = s.z[index], s.normal[index] * limit[:, None]
    begin, end = s.z[a][:, None], s.z[b][:, None]
    left = np.angle((end - q - normal) * np.conj(q + normal - begin))
    right = np.angle((end - q + normal) * np.conj(q - normal - begin))
    near = (np.abs(q - begin) <= limit[:, None]) | (np.abs(q - end) <= limit[:, None])
    low = np.where(near, -_LIMIT, np.minimum(left, right)).max(axis=1)
    high = np.where(near, _LIMIT, np.maximum(left, right)).min(axis=1)
    # Far beyond half a circle the angle may jump from one side to the other.
    wild = (~near & (np.abs(left - right) > np.pi)).any(axis=1)
    low[wild | (np.abs(low + high) > 2.0 * _HALF_CIRCLE)] = np.inf
    all_near = near.all(axis=1)
    low[all_near] = high[all_near] = 0.0
    return low, high
