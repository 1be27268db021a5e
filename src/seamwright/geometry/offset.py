"""Offsets of curves: the exact parallel, refitted with cubics within a stated tolerance.

The parallel of z(t) at distance d to the right of travel is q(t) = z(t) + d n(t), with n the unit
normal to the right; q' = z' (1 + d k), with k the curvature (positive in left turns). So q shares
the tangent's line with z everywhere, and has a cusp where 1 + d k = 0 (a left turn tighter than
-d on an inner offset). Sources: differential geometry of plane curves (parallel curves); the
refit is Hermite interpolation of q on parts halved until it holds.

On a seam line in the model (anticlockwise), right of travel is outside: a positive distance
makes a piece larger.
"""

from __future__ import annotations

from cmath import phase
from collections.abc import Sequence
from math import hypot
from typing import Final

import numpy as np

from .curve import Curve
from .evaluate import (
    curvatures_complex,
    first_complex,
    line_segments,
    points_complex,
    to_complex,
    to_real,
    unit_tangents_complex,
)
from .kinds import (
    CUBIC,
    LINE,
    AnyArray,
    ComplexArray,
    FloatArray,
    GeometryError,
    IntArray,
    KindArray,
)
from .split import subdivide

_NODES: Final = np.linspace(0.0, 1.0, 13)[1:-1]
_DEEPEST: Final = 24
_STRAIGHT_ON: Final = 1e-7  # a gap narrower than this (mm) between two parts is rounding


def offset_open(curve: Curve, distance: float, *, tolerance: float = 0.005) -> Curve:
    """The parallel of an open curve, `distance` mm to the right of travel (negative: left).

    tolerance  mm, bounds the distance between the result and the exact parallel at every point
    Kinks of the curve are closed by extending both sides until they meet (a mitre), and loops
    that an inner offset makes are cut out. Raises GeometryError for a closed curve, a curve
    without length, or an offset of which nothing is left.
    """
    made = offset_many([curve], [distance], tolerance=tolerance)[0]
    if isinstance(made, GeometryError):
        raise made
    return made


def offset_many(
    curves: Sequence[Curve], distances: Sequence[float], *, tolerance: float = 0.005
) -> list[Curve | GeometryError]:
    """The parallels of many open curves, each at its own distance, their cubics fitted together;
    where one cannot be (see `offset_open`), the error in its place."""
    out: list[Curve | GeometryError] = []
    todo: list[int] = []
    for i, (curve, distance) in enumerate(zip(curves, distances, strict=True)):
        if curve.closed:
            out.append(GeometryError("offset the edges of a closed curve one by one"))
        elif not np.isfinite(distance):
            out.append(GeometryError("the distance of an offset must be a number"))
        elif curve.length <= 0.0:
            out.append(GeometryError("a curve without length has no offset"))
        else:
            out.append(curve)
            if distance != 0.0:
                todo.append(i)
    if not todo:
        return out
    counts = [curves[i].n for i in todo]
    segments, kinds, owner = parallel_segments(
        np.concatenate([curves[i].segments for i in todo]),
        np.concatenate([curves[i].kinds for i in todo]),
        np.repeat([float(distances[i]) for i in todo], counts),
        tolerance=tolerance,
    )
    parts = kinds.astype(np.uint8)
    gaps = segments[1:, 0] - segments[:-1, 3]
    wide = np.append(np.hypot(gaps[:, 0], gaps[:, 1]) > _STRAIGHT_ON, False)
    bounds = np.searchsorted(owner, np.cumsum([0, *counts])).tolist()
    for i, low, high in zip(todo, bounds[:-1], bounds[1:], strict=True):
        own, own_kinds = segments[low:high], parts[low:high]
        if wide[low : high - 1].any():
            raw = _chained(own, own_kinds, wide[low : high - 1])
        else:
            own = own.copy()
            own[1:, 0] = own[:-1, 3]
            raw = Curve(own, own_kinds.copy(), False)
        try:
            out[i] = without_loops(raw, curves[i], abs(distances[i]), tolerance=tolerance)
        except GeometryError as error:
            out[i] = error
    return out


def parallel_segments(
    segments: FloatArray, kinds: KindArray | IntArray, distances: FloatArray, *, tolerance: float
) -> tuple[FloatArray, IntArray, IntArray]:
    """Parallels of segments (N, 4, 2), each at its own distance (N,), all at once.

    Gives parts (M, 4, 2), their kinds (M,), and the segment (M,) that each belongs to, in order.
    Segments without length are left out. Cusps come out as joints of parts that turn back.
    """
    p = np.asarray(segments, dtype=np.float64)
    d = np.asarray(distances, dtype=np.float64)
    line = np.asarray(kinds) == LINE
    has_length = np.abs(p - p[:, :1]).max(axis=(1, 2)) > 0.0
    straight = np.flatnonzero(line & has_length)
    chord = p[straight, 3] - p[straight, 0]
    unit = chord / np.hypot(chord[:, 0], chord[:, 1])[:, None]
    shift = d[straight, None] * np.stack((unit[:, 1], -unit[:, 0]), axis=1)
    out = [line_segments(p[straight, 0] + shift, p[straight, 3] + shift)]
    out_kinds = [np.full(len(straight), LINE)]
    owners = [straight]
    starts = [np.zeros(len(straight))]

    index = np.flatnonzero(~line & has_length)
    t0, t1 = np.zeros(len(index)), np.ones(len(index))
    index, t0, t1 = _split_at_cusps(p, d, index, t0, t1)
    for depth in range(_DEEPEST):
        if not len(index):
            break
        fitted, off = _hermite(p, d, index, t0, t1)
        good = off <= tolerance if depth < _DEEPEST - 1 else np.ones(len(index), dtype=bool)
        out.append(fitted[good])
        out_kinds.append(np.full(int(good.sum()), CUBIC))
        owners.append(index[good])
        starts.append(t0[good])
        index, t0, t1 = index[~good], t0[~good], t1[~good]
        middle = 0.5 * (t0 + t1)
        index = np.concatenate((index, index))
        t0, t1 = np.concatenate((t0, middle)), np.concatenate((middle, t1))
    owner = np.concatenate(owners)
    order = np.lexsort((np.concatenate(starts), owner))
    return (
        np.concatenate(out)[order],
        np.concatenate(out_kinds)[order],
        owner[order],
    )


def _hermite(
    p: FloatArray, d: FloatArray, index: IntArray, t0: FloatArray, t1: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """One cubic for each part, and how far it leaves the exact parallel, mm."""
    z = to_complex(subdivide(p[index], t0, t1))
    distance = d[index]
    count = len(index)
    ends = np.zeros(count), np.ones(count)
    tangent = [unit_tangents_complex(z, t) for t in ends]
    factor = [_speed_factor(z, t, distance) for t in ends]
    speed = [np.abs(first_complex(z, t)) for t in ends]
    q0 = z[:, 0] - 1j * distance * tangent[0]
    q1 = z[:, 3] - 1j * distance * tangent[1]
    fitted = np.stack(
        (
            q0,
            q0 + speed[0] * factor[0] * tangent[0] / 3.0,
            q1 - speed[1] * factor[1] * tangent[1] / 3.0,
            q1,
        ),
        axis=1,
    )
    nodes = np.broadcast_to(_NODES, (count, len(_NODES)))
    velocity = first_complex(z[:, None, :], nodes)
    length = np.abs(velocity)
    direction = np.where(length > 0, velocity / np.where(length > 0, length, 1.0), 0.0)
    exact = points_complex(z[:, None, :], nodes) - 1j * distance[:, None] * direction
    error = (points_complex(fitted[:, None, :], nodes) - exact) * np.conj(direction)
    # Across the parallel it is a distance; along it only a matter of pace, which costs distance
    # to the second order where the parallel bends.
    across, along = np.abs(error.imag), np.abs(error.real)
    span = np.maximum(np.abs(q1 - q0)[:, None], 1e-12)
    off = across + along * np.minimum(along / span, 1.0)
    off = np.where(direction == 0.0, 0.0, off)
    return to_real(fitted), off.max(axis=1)


def _speed_factor(z: ComplexArray, t: FloatArray, distance: FloatArray) -> FloatArray:
    """1 + d k, clipped where the curvature is infinite (a cusp of the curve itself)."""
    k = curvatures_complex(z, t)
    return np.asarray(1.0 + distance * np.where(np.isfinite(k), k, 0.0))


def _split_at_cusps(
    p: FloatArray, d: FloatArray, index: IntArray, t0: FloatArray, t1: FloatArray
) -> tuple[IntArray, FloatArray, FloatArray]:
    """Parts cut where the parallel turns back (1 + d k changes sign)."""
    if not len(index):
        return index, t0, t1
    grid = np.linspace(0.0, 1.0, 65)
    z = to_complex(p[index])
    count = len(index)

    def factor(rows: IntArray, t: FloatArray) -> FloatArray:
        return _speed_factor(z[rows], t, d[index[rows]])

    rows = np.repeat(np.arange(count), len(grid))
    values = factor(rows, np.tile(grid, count)).reshape(count, -1)
    row, cell = np.nonzero(np.sign(values[:, :-1]) * np.sign(values[:, 1:]) < 0)
    if not len(row):
        return index, t0, t1
    low, high = grid[cell], grid[cell + 1]
    at_low = values[row, cell]
    for _ in range(48):
        middle = 0.5 * (low + high)
        same = np.sign(factor(row, middle)) == np.sign(at_low)
        low, high = np.where(same, middle, low), np.where(same, high, middle)
    all_index = np.concatenate((index, index[row]))
    all_t0 = np.concatenate((t0, 0.5 * (low + high)))
    order = np.lexsort((all_t0, all_index))
    all_index, all_t0 = all_index[order], all_t0[order]
    all_t1 = np.append(all_t0[1:], 1.0)
    all_t1[np.append(all_index[1:] != all_index[:-1], True)] = 1.0
    return all_index, all_t0, all_t1


def _chained(segments: FloatArray, kinds: KindArray, apart: AnyArray) -> Curve:
    """Parts joined to one open curve; gaps at kinks (apart (N - 1,)) are bridged by a mitre."""
    segments = _met(segments, kinds, apart)
    gaps = segments[1:, 0] - segments[:-1, 3]
    wide = np.flatnonzero(apart & (np.hypot(gaps[:, 0], gaps[:, 1]) > _STRAIGHT_ON))
    parts: list[FloatArray] = []
    part_kinds: list[KindArray] = []
    at = 0
    for i in wide:
        parts.append(segments[at : i + 1])
        part_kinds.append(kinds[at : i + 1])
        for a, b in _mitre(segments[i], segments[i + 1]):
            parts.append(line_segments(a[None], b[None]))
            part_kinds.append(np.array([LINE], dtype=np.uint8))
        at = int(i) + 1
    parts.append(segments[at:])
    part_kinds.append(kinds[at:])
    joined = np.concatenate(parts)
    joined_kinds = np.concatenate(part_kinds).astype(np.uint8)
    joined[1:, 0] = joined[:-1, 3]
    return Curve.from_segments(joined, joined_kinds)


def _met(segments: FloatArray, kinds: KindArray, apart: AnyArray) -> FloatArray:
    """Straight neighbours over a gap run on, or are cut back, to where they meet: a digitised
    edge's hundreds of kinks then leave neither bridges nor little loops."""
    out = segments.copy()
    for i in np.flatnonzero(apart & (kinds[:-1] == LINE) & (kinds[1:] == LINE)).tolist():
        (ox, oy), (ax, ay) = out[i, 0].tolist(), out[i, 3].tolist()
        (bx, by), (ex, ey) = out[i + 1, 0].tolist(), out[i + 1, 3].tolist()
        long, after = hypot(ax - ox, ay - oy), hypot(ex - bx, ey - by)
        if long == 0.0 or after == 0.0:
            continue
        ux, uy, vx, vy = (ax - ox) / long, (ay - oy) / long, (ex - bx) / after, (ey - by) / after
        cross, gx, gy = ux * vy - uy * vx, bx - ax, by - ay
        if abs(cross) <= 1e-9:
            continue
        s, r = (gx * vy - gy * vx) / cross, (gx * uy - gy * ux) / cross
        ahead = s > 0.0 and r < 0.0 and s < 4.0 * hypot(gx, gy)
        if ahead or (-long < s < 0.0 and 0.0 < r < after):
            peak = (ax + s * ux, ay + s * uy)
            out[i, 3] = out[i + 1, 0] = peak
    changed = np.flatnonzero((out != segments).any(axis=(1, 2)))
    out[changed] = line_segments(out[changed, 0], out[changed, 3])
    return out


def _mitre(before: FloatArray, after: FloatArray) -> list[tuple[FloatArray, FloatArray]]:
    """Straight pieces from the end of one part to the start of the next.

    Where the extensions meet ahead of both they go over the meeting point; else (the inner side
    of a kink, or a turn so sharp that a mitre would run away) straight across, and what crosses
    is cut out afterwards.
    """
    a, b = before[3], after[0]
    u = _direction(before[3] - before[2], before)
    v = _direction(after[1] - after[0], after)
    cross = float(u[0] * v[1] - u[1] * v[0])
    gap = b - a
    if abs(cross) > 1e-9:
        s = float(gap[0] * v[1] - gap[1] * v[0]) / cross
        r = float(gap[0] * u[1] - gap[1] * u[0]) / cross
        wide = float(np.hypot(*gap))
        if s > 0.0 and r < 0.0 and s < 4.0 * wide:
            peak = a + s * u
            return [(a, peak), (peak, b)]
    return [(a, b)]


def _direction(handle: FloatArray, segment: FloatArray) -> FloatArray:
    v = handle if np.hypot(*handle) > 1e-12 else segment[3] - segment[0]
    size = float(np.hypot(*v))
    return np.asarray(v / size if size else v)


def without_loops(raw: Curve, original: Curve, distance: float, *, tolerance: float) -> Curve:
    """`raw` with the loops cut out whose points come nearer to `original` than `distance`.

    A kink of the angle t on the inner side makes a loop of the length d t that comes nearer by
    d t t / 2 only: with a digitised line's hundreds of little kinks that is less than the slack,
    so a loop as short as such ones is cut out whatever its depth.
    """
    if _turning(raw) < np.pi - 1e-3:
        return raw
    slack = max(4.0 * tolerance, 1e-6)
    crossings = raw.self_intersections()
    if not len(crossings.own):
        return raw
    length = raw.length
    short = 4.0 * np.sqrt(2.0 * slack * distance)
    keep: list[tuple[float, float]] = []
    at = 0.0
    for a, b in sorted(
        zip(crossings.own.tolist(), crossings.others.tolist(), strict=True),
        key=lambda ab: (ab[0], -ab[1]),
    ):
        if a < at:
            continue
        inner = raw.point_at(a + (b - a) * np.linspace(0.05, 0.95, 19))
        if b - a <= short or original.nearest(inner).distances.min() < distance - slack:
            keep.append((at, a))
            at = b
    keep.append((at, length))
    parts = [raw.part(a, b) for a, b in keep if b - a > 1e-9]
    if not parts:
        raise GeometryError(f"nothing is left of an offset by {distance:g} mm")
    out = parts[0]
    for part in parts[1:]:
        out = out.joined(part, tolerance=1e-6)
    return out


def _turning(curve: Curve) -> float:
    """The widest angle between directions in which a curve runs, radians, from above: that of
    its control polygon, turns summed on. A curve whose directions keep within half a circle runs
    forward along one line all the way, so it cannot meet itself."""
    if curve.n == 1:
        if curve.kinds[0] == LINE:
            return 0.0
        (ax, ay), (bx, by), (cx, cy), (dx, dy) = curve.segments[0].tolist()
        u, v, w = complex(bx - ax, by - ay), complex(cx - bx, cy - by), complex(dx - cx, dy - cy)
        if min(abs(u), abs(v), abs(w)) > 1e-12:
            first = phase(v * u.conjugate())
            second = first + phase(w * v.conjugate())
            return max(0.0, first, second) - min(0.0, first, second)
    legs = to_complex(np.diff(curve.segments, axis=1)).ravel()
    legs = legs[np.abs(legs) > 1e-12]
    turned = np.cumsum(np.angle(legs[1:] * np.conj(legs[:-1])))
    return float(max(0.0, turned.max(initial=0.0)) - min(0.0, turned.min(initial=0.0)))
