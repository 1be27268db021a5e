"""The offset of a whole outline, each edge at its own width, corners finished by rule.

Widths are mm to the right of travel: outside, on an anticlockwise outline; negative inside. At a
corner the neighbours' parallels either leave a gap, which the corner's rule fills, or cross, and
then both are cut at the crossing. Corner rules (the trade's, and common practice without a
source; the lengths are plain geometry):

mitre     both parallels run straight on until they meet; beyond `limit` times the wider
          allowance from the corner the point is blunted at that distance
blunt     the point is cut off square to the corner's middle line, `limit` times the wider
          allowance from the corner
square    the allowance of the seam that is sewn first ends at right angles, where its stitching
          line, run on, meets the other cut line: pressed open, both ends lie on each other
fold      the allowance of a turned edge (hem, facing) mirrors the neighbour's cut line across
          the fold, so that it lies flush when turned
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot
from typing import Final, Literal

import numpy as np

from . import single
from .area import signed_areas
from .curve import Curve, measure_together
from .evaluate import line_segments, points_complex, to_complex, to_real
from .kinds import LINE, FloatArray, GeometryError, KindArray
from .nearest import nearest_in_groups
from .offset import offset_many
from .simple import first_crossings
from .stationing import one_length, one_segment

CornerStyle = Literal["mitre", "blunt", "square", "fold"]

_SMOOTH: Final = 1e-4  # a corner that turns by less (radians) is no corner to an offset
_STEP: Final = np.radians(5.0)  # with unequal widths, a flatter corner gets a plain step
_NEAR: Final = 1e-7
_LINE_KIND: Final = np.array([LINE], dtype=np.uint8)


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerRule:
    """How the corner before an edge is finished.

    style  see the module
    first  for "square": the edge that is sewn first; for "fold": the edge that is turned;
           "before" or "after" the corner, in outline order
    limit  for "mitre" and "blunt": times the wider allowance
    """

    style: CornerStyle = "mitre"
    first: Literal["before", "after"] = "after"
    limit: float = 2.0


MITRE: Final = CornerRule()


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class OutlineOffset:
    """curve    the closed offset
    spans    (E, 2) lengths on it between which edge i's own parallel runs
    blunted  numbers of corners (0-based, the corner at the start of edge i) where a mitre ran
             into its limit
    """

    curve: Curve
    spans: FloatArray
    blunted: tuple[int, ...]


def offset_outline(
    edges: Sequence[Curve],
    widths: Sequence[float | None],
    rules: Sequence[CornerRule] | CornerRule = MITRE,
    *,
    tolerance: float = 0.005,
) -> OutlineOffset:
    """The closed offset of an outline given by its edges in order.

    edges   open curves, each starting where the one before ends; or one closed curve
    widths  mm for each edge; None leaves the edge out (a blunted corner's own short edge), its
            neighbours then meet
    rules   one for each corner (the corner at the start of edge i), or one for all
    Raises GeometryError where nothing is left of an edge, or the result crosses itself: the
    widths are then too large for the piece.
    """
    order = Outline(edges=tuple(edges), widths=tuple(widths), rules=rules)
    made = offset_outlines([order], tolerance=tolerance)[0]
    if isinstance(made, GeometryError):
        raise made
    return made


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Outline:
    """An outline to be offset: see `offset_outline`."""

    edges: tuple[Curve, ...]
    widths: tuple[float | None, ...]
    rules: Sequence[CornerRule] | CornerRule = MITRE


def offset_outlines(
    orders: Sequence[Outline], *, tolerance: float = 0.005
) -> list[OutlineOffset | GeometryError]:
    """Many outlines offset together, as `offset_outline` does one; where one cannot be, the
    error in its place."""
    made: list[OutlineOffset | GeometryError] = []
    todo: list[tuple[int, list[Curve], list[int], list[float]]] = []
    for i, order in enumerate(orders):
        edges = list(order.edges)
        if len(edges) == 1 and edges[0].closed:
            edges = [Curve.from_segments(edges[0].segments, edges[0].kinds)]
        used = [k for k, w in enumerate(order.widths) if w is not None]
        made.append(GeometryError("no edge has a width"))
        if len(order.widths) != len(edges):
            made[i] = GeometryError(f"{len(order.widths)} widths for {len(edges)} edges")
        elif used:
            todo.append((i, edges, used, [float(w) for w in order.widths if w is not None]))
    measure_together([edges[k] for _, edges, used, _ in todo for k in used])
    parallels = offset_many(
        [edges[k] for _, edges, used, _ in todo for k in used],
        [w for _, _, _, widths in todo for w in widths],
        tolerance=tolerance,
    )
    measure_together([c for c in parallels if isinstance(c, Curve)])
    begun: list[tuple[int, list[Curve], _Assembled]] = []
    at = 0
    for i, edges, used, widths in todo:
        own = parallels[at : at + len(used)]
        at += len(used)
        try:
            begun.append((i, edges, _offset(edges, used, widths, own, orders[i].rules)))
        except GeometryError as error:
            made[i] = error
    for (i, _, one), fault in zip(begun, _faults(begun), strict=True):
        made[i] = fault or OutlineOffset(curve=one.curve, spans=one.spans, blunted=one.blunted)
    return made


def _offset(
    edges: Sequence[Curve],
    used: Sequence[int],
    widths: Sequence[float],
    parallels: Sequence[Curve | GeometryError],
    rules: Sequence[CornerRule] | CornerRule,
) -> _Assembled:
    """One outline's parallels, cut and joined at its corners."""
    if isinstance(rules, CornerRule):
        rules = [rules] * len(edges)
    sides = []
    for i, width, curve in zip(used, widths, parallels, strict=True):
        if isinstance(curve, GeometryError):
            raise curve
        sides.append(_Side(edges[i], width, curve))
    fills: list[list[FloatArray] | Curve] = [[] for _ in sides]
    blunted = []
    for k in range(len(sides)):
        before, after = sides[k - 1], sides[k]
        fill, cut_short = _corner(before, after, rules[used[k]])
        fills[k] = fill
        if cut_short:
            blunted.append(used[k])
    return _assembled(sides, fills, used, len(edges), tuple(blunted))


def _faults(
    begun: Sequence[tuple[int, list[Curve], _Assembled]],
) -> list[GeometryError | None]:
    """What is wrong with each outline that was put together, all looked at together."""
    faults = _held_apart([one for _, _, one in begun])
    if not begun:
        return faults
    inside = signed_areas(
        np.concatenate([e.segments for _, edges, _ in begun for e in edges]),
        np.cumsum([0, *(sum(e.n for e in edges) for _, edges, _ in begun)]),
    )
    outside = signed_areas(
        np.concatenate([one.curve.segments for _, _, one in begun]),
        np.cumsum([0, *(one.curve.n for _, _, one in begun)]),
    )
    places = first_crossings([one.curve for _, _, one in begun])
    for k, place in enumerate(places):
        if faults[k] is None and place is not None:
            x, y = place
            faults[k] = GeometryError(
                f"the offset outline crosses itself at ({x:.1f}, {y:.1f}): the widths are too "
                "large for the piece there"
            )
        elif faults[k] is None and outside[k] * inside[k] <= 0.0:
            faults[k] = GeometryError(
                "nothing is left of the outline: the widths are too large for it"
            )
    return faults


@dataclass(frozen=True, slots=True, eq=False)
class _Assembled:
    """An offset as it is put together: with the parallels it is made of, and its sides."""

    curve: Curve
    spans: FloatArray
    blunted: tuple[int, ...]
    parallels: list[Curve]
    sides: Sequence[_Side]
    used: Sequence[int]


class _Side:
    """One edge, its parallel, and how much of the parallel is left."""

    def __init__(self, edge: Curve, width: float, parallel: Curve) -> None:
        self.edge, self.width = edge, width
        self.curve = parallel
        self.low, self.high = 0.0, parallel.length

    def left(self) -> Curve:
        """What is left of the parallel."""
        if self.low == 0.0 and self.high == self.curve.length:
            return self.curve
        return self.curve.part(self.low, self.high)

    def start_direction(self) -> FloatArray:
        return self.edge.tangent_at(0.0)

    def end_direction(self) -> FloatArray:
        return self.edge.tangent_at(self.edge.length)


def _corner(before: _Side, after: _Side, rule: CornerRule) -> tuple[list[FloatArray] | Curve, bool]:
    """What lies between the parallels at one corner; trims them where they cross."""
    corner = after.edge.start
    u, v = before.end_direction(), after.start_direction()
    turn = float(np.arctan2(u[0] * v[1] - u[1] * v[0], u @ v))
    a, b = before.curve.end, after.curve.start
    if float(np.hypot(*(b - a))) <= _NEAR or (abs(turn) <= _SMOOTH and before.width == after.width):
        return [], False
    if abs(turn) < _STEP and before.width != after.width:
        return [], False
    wider = max(before.width, after.width, key=abs)
    if turn * wider > 0.0:
        if rule.style == "square":
            done = _square(before, after, u, v, corner, rule)
            if done is not None:
                return done, False
        elif rule.style == "fold":
            folded = _fold(before, after, u, v, corner, rule)
            if folded is not None:
                return folded, False
        if before.width != after.width and _cut_back(before, after, a, b, u, v):
            return [], False
        return _point(a, b, u, v, corner, abs(wider), rule)
    if not _trim(before, after):
        # A corner so flat, or an edge so short, that the parallels do not meet: run on.
        return _point(a, b, u, v, corner, abs(wider), CornerRule(limit=1e9))
    return [], False


def _cut_back(
    before: _Side, after: _Side, a: FloatArray, b: FloatArray, u: FloatArray, v: FloatArray
) -> bool:
    """Where one allowance is much the wider, or one edge is a fold without any, both lines may
    meet short of the wider one's end: it is cut back there, to the other line run on straight."""
    peak = _meet(a, u, b, v)
    if peak is None:
        return False
    far = float(np.hypot(*(b - a))) + 4.0 * (abs(before.width) + abs(after.width))
    if float((peak - a) @ u) < -_NEAR:
        meet = before.curve.intersections(Curve.line(b - far * v, b))
        inside = meet.own > before.low + _NEAR
        if inside.any():
            before.high = min(before.high, float(meet.own[inside].max()))
            return True
    elif float((peak - b) @ v) > _NEAR:
        meet = after.curve.intersections(Curve.line(a, a + far * u))
        inside = meet.own < after.high - _NEAR
        if inside.any():
            after.low = max(after.low, float(meet.own[inside].min()))
            return True
    return False


def _point(
    a: FloatArray,
    b: FloatArray,
    u: FloatArray,
    v: FloatArray,
    corner: FloatArray,
    wide: float,
    rule: CornerRule,
) -> tuple[list[FloatArray], bool]:
    """Mitre, or a blunt end where that is asked for or the mitre runs beyond its limit."""
    peak = _meet(a, u, b, v)
    if peak is None:
        return [], False
    out = peak - corner
    reach = float(np.hypot(*out))
    distance = rule.limit * wide
    if rule.style != "blunt" and reach <= distance:
        return [peak], False
    if reach <= distance or reach < _NEAR:
        return [peak], False
    middle = out / reach
    across = np.array([-middle[1], middle[0]])
    stop = corner + distance * middle
    first, last = _meet(a, u, stop, across), _meet(b, v, stop, across)
    if first is None or last is None or (first - a) @ u < 0 or (b - last) @ v < 0:
        return [], rule.style != "blunt"
    return [first, last], rule.style != "blunt"


def _square(
    before: _Side,
    after: _Side,
    u: FloatArray,
    v: FloatArray,
    corner: FloatArray,
    rule: CornerRule,
) -> list[FloatArray] | None:
    """The first-sewn seam's allowance ends at right angles to it."""
    first_is_before = rule.first == "before"
    own, other = (before, after) if first_is_before else (after, before)
    along = u if first_is_before else -v  # the stitching line run on beyond the corner
    far = 4.0 * (abs(own.width) + abs(other.width)) + 1.0
    ray = Curve.line(corner, corner + far * along)
    meet = ray.intersections(other.curve)
    if len(meet.own):
        k = int(np.argmin(meet.own))
        place = np.asarray(meet.points[k])
        if first_is_before:
            other.low = max(other.low, float(meet.others[k]))
        else:
            other.high = min(other.high, float(meet.others[k]))
    else:
        end, direction = (other.curve.start, v) if first_is_before else (other.curve.end, u)
        found = _meet(corner, along, end, direction)
        if found is None or not 0.0 < (found - corner) @ along < far:
            return None
        place = found
    normal = own.width * np.array([along[1], -along[0]]) * (1.0 if first_is_before else -1.0)
    ended = place + normal
    return [ended, place] if first_is_before else [place, ended]


def _fold(
    before: _Side,
    after: _Side,
    u: FloatArray,
    v: FloatArray,
    corner: FloatArray,
    rule: CornerRule,
) -> Curve | None:
    """The turned edge's allowance mirrors the neighbour's cut line across the fold."""
    turned_after = rule.first == "after"
    turned, other = (after, before) if turned_after else (before, after)
    fold = v if turned_after else u
    depth = abs(turned.width)
    # The neighbour's cut line, run on straight past the fold, then mirrored from there.
    tail = other.curve if turned_after else other.curve.reversed()
    ahead = u if turned_after else -v
    reach = 4.0 * (depth + abs(other.width)) + 1.0
    long = tail.joined(Curve.line(tail.end, tail.end + reach * ahead))
    line = Curve.line(corner - 1e4 * fold, corner + 1e4 * fold)
    meet = long.intersections(line)
    if not len(meet.own):
        return None
    at = float(meet.own.max())
    back = long.part(max(0.0, at - 6.0 * depth - 1.0), at).reversed()
    x, y = fold
    mirror = np.array([[x * x - y * y, 2 * x * y], [2 * x * y, y * y - x * x]])
    shift = corner - mirror @ corner
    mirrored = back.transformed(np.column_stack((mirror, shift)))
    cut = mirrored.intersections(turned.curve)
    if len(cut.own):
        k = int(np.argmin(cut.own))
        mirrored = mirrored.part(0.0, float(cut.own[k]))
        if turned_after:
            turned.low = max(turned.low, float(cut.others[k]))
        else:
            turned.high = min(turned.high, float(cut.others[k]))
    else:
        # The mirrored line passes outside the turned edge's parallel: run that on to meet it.
        end = turned.curve.start if turned_after else turned.curve.end
        run_on = Curve.line(end, end + (-1.0 if turned_after else 1.0) * reach * fold)
        cut = mirrored.intersections(run_on)
        if not len(cut.own):
            return None
        mirrored = mirrored.part(0.0, float(cut.own.min()))
    if at < tail.length:
        if turned_after:
            other.high = min(other.high, at)
        else:
            other.low = max(other.low, other.curve.length - at)
    return mirrored if turned_after else mirrored.reversed()


def _trim(before: _Side, after: _Side) -> bool:
    """Cut both parallels where they cross nearest to the corner."""
    plain = _last_and_first(before.curve, after.curve)
    if plain is not None and plain[0] > before.low + _NEAR and plain[1] < after.high - _NEAR:
        before.high, after.low = min(before.high, plain[0]), max(after.low, plain[1])
        return True
    meet = before.curve.intersections(after.curve)
    inside = (meet.own > before.low + _NEAR) & (meet.others < after.high - _NEAR)
    if not inside.any():
        return False
    from_corner = before.curve.length - meet.own + meet.others
    k = int(np.argmin(np.where(inside, from_corner, np.inf)))
    before.high = min(before.high, float(meet.own[k]))
    after.low = max(after.low, float(meet.others[k]))
    return True


def _last_and_first(one: Curve, two: Curve) -> tuple[float, float] | None:
    """Lengths along both at which the last segment of one crosses the first of two, where that is
    plainly the crossing nearest to the corner: the only one of those segments, and nearer (along
    both) than either of them is long. None else."""
    i = one.n - 1
    z, w = one_segment(one, i)[0], one_segment(two, 0)[0]
    if not single.tangents_apart(z, w):
        return None
    found = single.crossing(z, w, 1.0, 0.0)
    if found is None:
        return None
    own, other = one_length(one, i, found[0]), one_length(two, 0, found[1])
    room = min(float(one.segment_lengths[i]), float(two.segment_lengths[0]))
    return (own, other) if one.length - own + other < room - _NEAR else None


def _meet(a: FloatArray, u: FloatArray, b: FloatArray, v: FloatArray) -> FloatArray | None:
    """Where the line through a along u meets the line through b along v."""
    cross = float(u[0] * v[1] - u[1] * v[0])
    if abs(cross) < 1e-12:
        return None
    gap = b - a
    return np.asarray(a + (float(gap[0] * v[1] - gap[1] * v[0]) / cross) * u)


def _held_apart(outlines: Sequence[_Assembled]) -> list[GeometryError | None]:
    """An offset of a bend tighter than the width lies too near: it is no offset at all."""
    faults: list[GeometryError | None] = [None] * len(outlines)
    bent = [
        (i, k)
        for i, one in enumerate(outlines)
        for k, side in enumerate(one.sides)
        if side.width != 0.0 and not (side.edge.n == 1 and side.edge.kinds[0] == LINE)
    ]
    if not bent:
        return faults
    parallels = [outlines[i].parallels[k] for i, k in bent]
    edges = [outlines[i].sides[k].edge for i, k in bent]
    # Places by number of segment and parameter: where they lie does not matter.
    count = np.array([c.n for c in parallels])
    place = count[:, None] * np.linspace(0.02, 0.98, 13)
    segment = np.minimum(place.astype(np.int64), count[:, None] - 1)
    first = (np.cumsum(count) - count)[:, None]
    z = to_complex(np.concatenate([c.segments for c in parallels]))
    points = points_complex(z[(segment + first).ravel()], (place - segment).ravel())
    far = nearest_in_groups(
        np.concatenate([e.segments for e in edges]),
        np.cumsum([0, *(e.n for e in edges)]),
        to_real(points),
        np.repeat(np.arange(len(bent)), 13),
    )
    nearest = far.reshape(-1, 13).min(axis=1).tolist()
    for (i, k), near in zip(bent, nearest, strict=True):
        side = outlines[i].sides[k]
        if near < abs(side.width) - 0.02 and faults[i] is None:
            faults[i] = GeometryError(
                f"edge {outlines[i].used[k] + 1} bends more tightly than the "
                f"{abs(side.width):g} mm by which it is to be offset"
            )
    return faults


def _assembled(
    sides: Sequence[_Side],
    fills: Sequence[list[FloatArray] | Curve],
    used: Sequence[int],
    n_edges: int,
    blunted: tuple[int, ...],
) -> _Assembled:
    parts: list[tuple[FloatArray, KindArray]] = []
    filled: list[bool] = []
    parallels: list[Curve] = []
    lengths = np.zeros((n_edges, 2))
    at = 0.0
    count = len(sides)
    for k, side in enumerate(sides):
        if side.high - side.low <= _NEAR:
            raise GeometryError(
                f"nothing is left of the offset of edge {used[k] + 1} by {side.width:g} mm"
            )
        own = side.left()
        parallels.append(own)
        parts.append((own.segments, own.kinds))
        filled.append(False)
        lengths[used[k]] = (at, at + own.length)
        at += own.length
        after = sides[(k + 1) % count]
        goal = after.curve.start if after.low == 0.0 else after.curve.point_at(after.low)
        fill = fills[(k + 1) % count]
        here = own.end
        middle: list[tuple[FloatArray, KindArray, float]] = []
        if isinstance(fill, Curve):
            middle = [
                _straight(here, fill.start),
                (fill.segments, fill.kinds, fill.length),
                _straight(fill.end, goal),
            ]
        else:
            for point in [*fill, goal]:
                middle.append(_straight(here, point))
                here = point
        for segments, kinds, length in middle:
            if length > _NEAR:
                parts.append((segments, kinds))
                filled.append(True)
                at += length
    segments = np.concatenate([p for p, _ in parts])
    kinds = np.concatenate([k for _, k in parts])
    sizes = [len(k) for _, k in parts]
    segments[:, 0] = np.roll(segments[:, 3], 1, axis=0)
    if filled[-1] and sizes[-1] == 1 and _straight_on(segments, kinds, 0):
        # The outline starts on the way to the first parallel, not amid one straight line.
        run_on = float(np.hypot(*(segments[-1, 3] - segments[-1, 0])))
        segments, kinds = np.roll(segments, 1, axis=0), np.roll(kinds, 1)
        sizes, filled = [sizes[-1], *sizes[:-1]], [True, *filled[:-1]]
        lengths[used] += run_on
    first = np.cumsum(sizes)[:-1].tolist()
    between = [j for j, a, b in zip(first, filled[:-1], filled[1:], strict=True) if a != b]
    for j in reversed(between):
        if _straight_on(segments, kinds, j):
            segments[j - 1] = line_segments(segments[j - 1, :1], segments[j, 3:])[0]
            segments, kinds = np.delete(segments, j, axis=0), np.delete(kinds, j)
    curve = Curve.from_segments(segments, kinds, closed=True)
    return _Assembled(curve, lengths, blunted, parallels, sides, used)


def _straight(a: FloatArray, b: FloatArray) -> tuple[FloatArray, KindArray, float]:
    """A straight segment, its kind and its length."""
    (ax, ay), (bx, by) = a.tolist(), b.tolist()
    u, v = (bx - ax) / 3.0, (by - ay) / 3.0
    segment = np.array([[[ax, ay], [ax + u, ay + v], [bx - u, by - v], [bx, by]]])
    return segment, _LINE_KIND, hypot(bx - ax, by - ay)


def _straight_on(segments: FloatArray, kinds: KindArray, j: int) -> bool:
    """Whether segment j runs on straight from the one before it."""
    if kinds[j - 1] != LINE or kinds[j] != LINE:
        return False
    (ax, ay), (bx, by) = segments[j - 1, 0].tolist(), segments[j - 1, 3].tolist()
    (cx, cy), (dx, dy) = segments[j, 0].tolist(), segments[j, 3].tolist()
    ux, uy, vx, vy = bx - ax, by - ay, dx - cx, dy - cy
    along = ux * vx + uy * vy
    return bool(along > 0.0 and abs(ux * vy - uy * vx) <= 1e-9 * along)
