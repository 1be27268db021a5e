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
    """Single straight strokes that lie on a longer one, by sorting them along common carriers."""
    single = np.flatnonzero((np.diff(offsets) == 1) & ~closed)
    single = np.array([s for s in single.tolist() if s not in gone], dtype=np.int64)
    if single.size < 2:
        return []
    p, q = segments[offsets[single], 0], segments[offsets[single], 3]
    step = q - p
    length = np.hypot(step[:, 0], step[:, 1])
    straight = length > 4.0 * tolerance
    single, p, q, step, length = (v[straight] for v in (single, p, q, step, length))
    if single.size < 2:
        return []
    unit = step / length[:, None]
    flip = (unit[:, 0] < 0) | ((unit[:, 0] == 0) & (unit[:, 1] < 0))
    unit[flip] *= -1.0
    # Candidates: the middle of the shorter near the carrier of the longer. Lines of a drawing are
    # few against its vertices; a sweep along x keeps the pairs down.
    order = np.argsort(np.minimum(p[:, 0], q[:, 0]))
    low = np.minimum(p[:, 0], q[:, 0])[order]
    high = np.maximum(p[:, 0], q[:, 0])[order]
    found: dict[int, Twin] = {}
    for at, i in enumerate(order.tolist()):
        stop = int(np.searchsorted(low, high[at] + tolerance, side="right"))
        others = order[at + 1 : stop]
        if not others.size:
            continue
        if groups is not None:
            others = others[groups[single[others]] == groups[single[i]]]
        for long, short in ((i, others), (None, others)):
            if long is not None:
                rows = short[length[short] <= length[i]]
                inside = _on(p[rows], q[rows], p[i], unit[i], q[i], tolerance)
                for j in rows[inside].tolist():
                    found.setdefault(j, Twin(int(single[i]), int(single[j]), "contained"))
            else:
                for j in short[length[short] > length[i]].tolist():
                    if _on(p[i : i + 1], q[i : i + 1], p[j], unit[j], q[j], tolerance)[0]:
                        found.setdefault(i, Twin(int(single[j]), int(single[i]), "contained"))
    return list(found.values())


def _on(
    a: FloatArray, b: FloatArray, start: FloatArray, unit: FloatArray, end: FloatArray,
    tolerance: float,
) -> BoolArray:  # fmt: skip
    """Whether both ends of lines lie on the line from start to end."""
    first, last = sorted((float(start @ unit), float(end @ unit)))
    good = np.ones(len(a), dtype=bool)
    for ends in (a, b):
        to = ends - start
        off = np.abs(unit[0] * to[:, 1] - unit[1] * to[:, 0])
        along = ends @ unit
        good &= (off <= tolerance) & (along >= first - tolerance) & (along <= last + tolerance)
    return good
