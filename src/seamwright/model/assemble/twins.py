"""Lines that are drawn twice: the same, reversed, a hair beside each other, or one on another."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from .near import pairs_within

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

How = Literal["equal", "reversed", "near", "contained"]

_EXACT = 1e-6  # mm
_AT_ONCE = 25_000


@dataclass(frozen=True, slots=True)
class Twin:
    """Stroke `second` repeats stroke `first` (drawn earlier; or longer, where contained)."""

    first: int
    second: int
    how: How


def twins(
    segments: FloatArray, offsets: IntArray, closed: BoolArray, *, tolerance: float,
    groups: IntArray | None = None,
) -> list[Twin]:  # fmt: skip
    """Strokes that repeat an earlier one, each once.

    segments (K, 4, 2), offsets (S + 1,), closed (S,). "equal" and "reversed" hold to 1e-6 mm at
    every control point, "near" to `tolerance`; a straight stroke that lies on a longer straight
    one is "contained". Closed strokes may start anywhere. Only strokes of equal group count.
    """
    count = len(closed)
    if count < 2:
        return []
    size = np.diff(offsets)
    joints = segments[:, 0]
    sums = np.add.reduceat(joints, offsets[:-1])
    ends = segments[offsets[1:] - 1, 3]
    middle = np.where(closed[:, None], sums / size[:, None], (sums + ends) / (size + 1)[:, None])
    a, b, _ = pairs_within(middle, middle, tolerance, groups_a=groups, groups_b=groups)
    keep = (a < b) & (size[a] == size[b]) & (closed[a] == closed[b])
    out: list[Twin] = []
    gone: set[int] = set()
    for i, j in zip(a[keep].tolist(), b[keep].tolist(), strict=True):
        if i in gone or j in gone:
            continue
        how = _compared(
            segments[int(offsets[i]) : int(offsets[i + 1])],
            segments[int(offsets[j]) : int(offsets[j + 1])],
            bool(closed[i]), tolerance,
        )  # fmt: skip
        if how is not None:
            gone.add(j)
            out.append(Twin(i, j, how))
    out += _contained(segments, offsets, closed, tolerance, groups, gone)
    return sorted(out, key=lambda t: t.second)


def _compared(p: FloatArray, q: FloatArray, closed: bool, tolerance: float) -> How | None:
    """How two strokes of as many segments agree, None if they do not."""
    best: How | None = None
    for reverse in (False, True):
        other = q[::-1, ::-1] if reverse else q
        if closed:
            away = np.hypot(*(other[:, 0] - p[0, 0]).T)
            starts = np.flatnonzero(away <= tolerance).tolist()
        else:
            starts = [0] if np.hypot(*(other[0, 0] - p[0, 0])) <= tolerance else []
        for start in starts:
            gap = float(np.abs(np.roll(other, -start, axis=0) - p).max())
            if gap <= _EXACT:
                return "reversed" if reverse else "equal"
            if gap <= tolerance:
                best = "near"
    return best


def _contained(
    segments: FloatArray, offsets: IntArray, closed: BoolArray, tolerance: float,
    groups: IntArray | None, gone: set[int],
) -> list[Twin]:  # fmt: skip
    """Single straight strokes that lie on a longer one: their middle and both ends do."""
    single = (np.diff(offsets) == 1) & ~closed
    single[list(gone)] = False
    at = np.flatnonzero(single)
    p, q = segments[offsets[at], 0], segments[offsets[at], 3]
    length = np.hypot(*(q - p).T)
    live = length > 4.0 * tolerance
    at, p, q, length = at[live], p[live], q[live], length[live]
    if at.size < 2:
        return []
    short, long = _middles_on(p, q, tolerance)
    keep = (short != long) & (length[short] <= length[long])
    # Of two as long as each other the later one lies on the earlier.
    keep &= (length[short] < length[long]) | (short > long)
    if groups is not None:
        keep &= groups[at[short]] == groups[at[long]]
    short, long = short[keep], long[keep]
    good = np.ones(short.size, dtype=bool)
    along = q[long] - p[long]
    for ends in (p, q):
        to = ends[short] - p[long]
        with np.errstate(invalid="ignore"):
            t = np.clip((to * along).sum(1) / (along * along).sum(1), 0.0, 1.0)
        good &= np.hypot(*(to - t[:, None] * along).T) <= tolerance
    found: dict[int, Twin] = {}
    for i, j in zip(at[short[good]].tolist(), at[long[good]].tolist(), strict=True):
        found.setdefault(i, Twin(j, i, "contained"))
    return list(found.values())


def _middles_on(p: FloatArray, q: FloatArray, tolerance: float) -> tuple[IntArray, IntArray]:
    """Pairs (i, j): the middle of the straight line i lies on the line j, or within tolerance.

    Strip by strip from left to right, so that a drawing of hundreds of thousands of lines needs
    no tree of them all at once.
    """
    import shapely  # noqa: PLC0415 - the tree; only drawings of loose lines need it

    middle = (p + q) / 2.0
    low = np.minimum(p[:, 0], q[:, 0]) - tolerance
    high = np.maximum(p[:, 0], q[:, 0]) + tolerance
    by_x = np.argsort(middle[:, 0], kind="stable")
    pairs = [np.empty((2, 0), np.int64)]
    for first in range(0, by_x.size, _AT_ONCE):
        strip = by_x[first : first + _AT_ONCE]
        tree = shapely.STRtree(shapely.points(middle[strip]))
        reach = np.flatnonzero((high >= middle[strip[0], 0]) & (low <= middle[strip[-1], 0]))
        for start in range(0, reach.size, _AT_ONCE):
            lines = reach[start : start + _AT_ONCE]
            drawn = shapely.linestrings(np.stack((p[lines], q[lines]), axis=1))
            on, in_strip = tree.query(drawn, predicate="dwithin", distance=tolerance)
            pairs.append(np.stack((strip[in_strip], lines[on])))
    short, long = np.concatenate(pairs, axis=1)
    order = np.lexsort((long, short))
    return short[order], long[order]
