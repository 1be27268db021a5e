"""Outlines in several open strokes: which strokes belong together, and one curve of them.

Ends within the tolerance are one node. Strokes that lead nowhere (a notch that starts at a joint)
are set aside first; of what is left every ring is an outline, and where lines cross a piece from
joint to joint, the way round the outside is.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from math import atan2, hypot, pi

import numpy as np

from seamwright.geometry import LINE, Curve, FloatArray

from ..items import Stroke


@dataclass(slots=True)
class Loop:
    """Strokes that form one closed curve. gap: the widest that was bridged, mm; ends: its two
    sides (2, 2)."""

    curve: Curve
    strokes: list[Stroke]
    gap: float
    ends: FloatArray


@dataclass(slots=True)
class Chain:
    """Strokes that were put together and do not close."""

    strokes: list[Stroke]
    start: tuple[float, float]
    end: tuple[float, float]
    length: float


def loops_of(strokes: list[Stroke], tolerance: float) -> tuple[list[Loop], list[Stroke]]:
    """The closed curves that open strokes form, and the strokes that take no part."""
    if len(strokes) < 2:
        return [], strokes
    ends = np.array([(s.curve.start, s.curve.end) for s in strokes]).reshape(-1, 2)
    nodes = clusters(ends, max(tolerance, 1e-9))
    edges = [(int(nodes[2 * i]), int(nodes[2 * i + 1])) for i in range(len(strokes))]
    alive = _without_twins(strokes, edges)
    at: dict[int, set[int]] = defaultdict(set)
    for i in list(alive):
        a, b = edges[i]
        if a == b:
            alive.discard(i)  # it begins and ends in one place: too short to be an edge
            continue
        at[a].add(i)
        at[b].add(i)
    _prune(edges, at, alive)
    loops: list[Loop] = []
    used: set[int] = set()
    for component in _components(edges, at, alive):
        if all(len(at[n]) == 2 for i in component for n in edges[i]):
            rings = [_ring(edges, at, component)]
        else:
            rings = _round_outside(strokes, edges, at, component)
        for ring in rings:
            if len(ring) < 2:
                continue
            loop = _joined([strokes[i] for i, _ in ring], [f for _, f in ring])
            if abs(loop.curve.area) <= 1e-9:
                continue
            loops.append(loop)
            used.update(i for i, _ in ring)
    return loops, [s for i, s in enumerate(strokes) if i not in used]


def chains_of(strokes: list[Stroke], tolerance: float) -> list[Chain]:
    """Open strokes put end to end as far as that goes, longest chain first."""
    if not strokes:
        return []
    ends = np.array([(s.curve.start, s.curve.end) for s in strokes]).reshape(-1, 2)
    nodes = clusters(ends, max(tolerance, 1e-9))
    at: dict[int, list[int]] = defaultdict(list)
    for e, node in enumerate(nodes.tolist()):
        at[node].append(e)
    left = set(range(len(strokes)))
    out = []
    while left:
        first = min(left)
        left.discard(first)
        chain = [first]
        tips = [2 * first, 2 * first + 1]
        for side in (1, 0):
            while True:
                more = [e for e in at[int(nodes[tips[side]])] if e // 2 in left]
                if not more:
                    break
                left.discard(more[0] // 2)
                chain.append(more[0] // 2)
                tips[side] = more[0] ^ 1
        length = float(sum(strokes[i].curve.length for i in chain))
        start, end = ends[tips[0]], ends[tips[1]]
        out.append(
            Chain(
                [strokes[i] for i in chain],
                (float(start[0]), float(start[1])),
                (float(end[0]), float(end[1])),
                length,
            )
        )
    return sorted(out, key=lambda c: -c.length)


def clusters(points: FloatArray, tolerance: float) -> FloatArray:
    """For each of points (N, 2) the number of its cluster: points within `tolerance` of one
    another, directly or in steps, are one cluster.

    Rounding to a grid would part neighbours that lie on two sides of a grid line. So points in a
    small cell are one, and cells are tied where two of their points are near enough: a heap of
    points in one place costs no more than as many points apart.
    """
    from scipy.sparse import coo_array  # noqa: PLC0415 - only drawings in loose strokes need it
    from scipy.sparse.csgraph import connected_components  # noqa: PLC0415
    from scipy.spatial import cKDTree  # noqa: PLC0415

    # The diagonal of a cell is a hair less than the tolerance.
    places = np.floor((points - points.min(axis=0)) / (0.7071 * tolerance))
    cells, cell = np.unique(places, axis=0, return_inverse=True)
    cell = cell.reshape(-1)
    order = np.argsort(cell, kind="stable")
    starts = np.searchsorted(cell[order], np.arange(len(cells) + 1))
    near = cKDTree(cells).query_pairs(2.9, output_type="ndarray")
    ties = np.zeros(len(near), dtype=bool)
    sizes = np.diff(starts)[near]
    single = (sizes == 1).all(axis=1)
    a, b = (points[order[starts[near[:, k]]]] for k in (0, 1))
    ties[single] = np.hypot(*(a - b)[single].T) <= tolerance
    for k in np.flatnonzero(~single).tolist():
        one, other = (points[order[starts[c] : starts[c + 1]]] for c in near[k].tolist())
        distances, _ = cKDTree(one).query(other, distance_upper_bound=tolerance * (1 + 1e-12))
        ties[k] = float(distances.min()) <= tolerance
    tied = near[ties]
    graph = coo_array((np.ones(len(tied)), (tied[:, 0], tied[:, 1])), shape=(len(cells),) * 2)
    _, label = connected_components(graph, directed=False)
    label = label[cell]
    _, first = np.unique(label, return_index=True)
    return np.asarray(first[label])


def _without_twins(strokes: list[Stroke], edges: list[tuple[int, int]]) -> set[int]:
    """Numbers of the strokes, those left out that repeat another one (a line drawn twice): the
    same ends, length and middle."""
    seen: dict[tuple[int, int], list[tuple[float, float, float]]] = defaultdict(list)
    alive: set[int] = set()
    for i, (a, b) in enumerate(edges):
        key = (min(a, b), max(a, b))
        curve = strokes[i].curve
        length = curve.length
        x, y = curve.point_at(length / 2).tolist()
        if any(
            abs(length - other) <= 1e-3 and hypot(x - u, y - v) <= 2e-3 for other, u, v in seen[key]
        ):
            continue
        seen[key].append((length, x, y))
        alive.add(i)
    return alive


def _prune(edges: list[tuple[int, int]], at: dict[int, set[int]], alive: set[int]) -> None:
    loose = [n for n, mine in at.items() if len(mine) == 1]
    while loose:
        node = loose.pop()
        if len(at[node]) != 1:
            continue
        (i,) = at[node]
        alive.discard(i)
        for n in edges[i]:
            at[n].discard(i)
            if len(at[n]) == 1:
                loose.append(n)


def _components(
    edges: list[tuple[int, int]], at: dict[int, set[int]], alive: set[int]
) -> list[list[int]]:
    left = set(alive)
    out = []
    for first in sorted(alive):
        if first not in left:
            continue
        left.discard(first)
        component, stack = [first], [first]
        while stack:
            for node in edges[stack.pop()]:
                for j in sorted(at[node]):
                    if j in left:
                        left.discard(j)
                        component.append(j)
                        stack.append(j)
        out.append(sorted(component))
    return out


_Ring = list[tuple[int, bool]]  # numbers of strokes, and whether each is run forward


def _ring(edges: list[tuple[int, int]], at: dict[int, set[int]], component: list[int]) -> _Ring:
    first = component[0]
    ring: _Ring = [(first, True)]
    node, i = edges[first][1], first
    while node != edges[first][0]:
        (i,) = at[node] - {i} if len(at[node]) == 2 else {i}
        forward = edges[i][0] == node
        ring.append((i, forward))
        node = edges[i][1] if forward else edges[i][0]
        if len(ring) > len(component):
            return []
    return ring


def _round_outside(
    strokes: list[Stroke],
    edges: list[tuple[int, int]],
    at: dict[int, set[int]],
    component: list[int],
) -> list[_Ring]:
    """The way round the outside of a net of strokes, anticlockwise; where it passes a node twice
    it falls into several rings."""
    angles: dict[tuple[int, bool], float] = {}
    for i in component:
        curve = strokes[i].curve
        step = min(1.0, 0.1 * curve.length)
        near = curve.point_at(np.array([0.0, step, curve.length - step, curve.length]))
        angles[i, True] = atan2(near[1, 1] - near[0, 1], near[1, 0] - near[0, 0])
        angles[i, False] = atan2(near[2, 1] - near[3, 1], near[2, 0] - near[3, 0])
    lowest = min(component, key=lambda i: float(strokes[i].curve.bbox[1]))
    curve = strokes[lowest].curve
    places = np.linspace(0.0, curve.length, 65)
    points = curve.point_at(places)
    bottom = int(points[:, 1].argmin())
    if 0 < bottom < 64:
        start = (lowest, bool(points[bottom + 1, 0] > points[bottom - 1, 0]))
    else:
        node = edges[lowest][0 if bottom == 0 else 1]
        leaving = [(i, edges[i][0] == node) for i in at[node]]
        start = min(leaving, key=lambda e: (angles[e] + 1e-9) % (2 * pi))
    walk: _Ring = []
    edge = start
    for _ in range(2 * len(component) + 1):
        walk.append(edge)
        i, forward = edge
        node = edges[i][1] if forward else edges[i][0]
        back = angles[i, not forward]
        leaving = [(j, edges[j][0] == node) for j in at[node] if j != i]
        if not leaving:
            break
        edge = min(leaving, key=lambda e: ((angles[e] - back) % (2 * pi)) or 2 * pi)
        if edge == start:
            break
    rings: list[_Ring] = []
    stack: _Ring = []
    nodes: list[int] = [edges[start[0]][0 if start[1] else 1]]
    for i, forward in walk:
        stack.append((i, forward))
        node = edges[i][1] if forward else edges[i][0]
        if node in nodes:
            cut = nodes.index(node)
            rings.append(stack[cut:])
            stack = stack[:cut]
            nodes = nodes[: cut + 1]
        else:
            nodes.append(node)
    return rings


def _joined(strokes: list[Stroke], forward: list[bool]) -> Loop:
    """One closed curve; over each gap both ends, and their handles, move half way to meet."""
    parts = [s.curve if f else s.curve.reversed() for s, f in zip(strokes, forward, strict=True)]
    segments = np.concatenate([p.segments for p in parts])
    kinds = np.concatenate([p.kinds for p in parts])
    last = np.cumsum([p.n for p in parts]) - 1
    first = np.roll(last + 1, 1)
    first[0] = 0
    after = np.roll(first, -1)  # the segment that follows each part's last
    gaps = segments[after, 0] - segments[last, 3]
    ends = np.stack((segments[last, 3], segments[after, 0]), axis=1)
    half = gaps / 2.0
    meet = segments[last, 3] + half
    curved = (kinds[last] != LINE)[:, None]
    segments[last, 2] += np.where(curved, half, 0.0)
    curved = (kinds[after] != LINE)[:, None]
    segments[after, 1] -= np.where(curved, half, 0.0)
    segments[last, 3] = meet
    segments[after, 0] = meet
    sizes = np.hypot(gaps[:, 0], gaps[:, 1])
    widest = int(sizes.argmax())
    return Loop(
        Curve.from_segments(segments, kinds, closed=True),
        strokes,
        float(sizes[widest]),
        ends[widest],
    )
