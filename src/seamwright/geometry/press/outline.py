"""The outline of the sheet that is pressed: the edge with its wedges cut out, and the foot.

Works in a frame of its own: origin in the middle of the foot (the line between the edge's ends,
the bicep line of a sleeve cap), x from the edge's end to its start, y into the piece. So the
edge runs anticlockwise, and a moved, turned or mirrored drawing gives the same mesh.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from ..curve import Curve
from .kinds import BoolArray, FloatArray, IntArray, PressError
from .wedge import Wedge, inward_side

__all__ = ["Cut", "Frame", "Outline", "SeamPoints", "cap_outline", "seam_points"]

_SLIVER = 0.1  # of the mesh size: lower than this above the foot there is no sheet to speak of
_EVEN_SIDES = 0.25  # mm: sides that differ by less than a pencil line are glued end to end
_CORNER_DEGREES = 5.0


class Frame(NamedTuple):
    """Of the sheet: origin and x axis as complex numbers; mirrored if the piece lies below."""

    origin: complex
    axis: complex
    mirrored: bool

    @classmethod
    def of(cls, edge: Curve) -> Frame:
        """The frame of the foot of an open edge."""
        a, b = complex(*edge.start), complex(*edge.end)
        side = inward_side(edge)
        return cls((a + b) / 2, (a - b) / abs(a - b), side < 0)

    def inside(self, points: FloatArray) -> FloatArray:
        """Points (N, 2) of the drawing in this frame."""
        z = (points[:, 0] + 1j * points[:, 1] - self.origin) / self.axis
        z = z if not self.mirrored else z.conj()
        return np.stack([z.real, z.imag], axis=1)

    def outside(self, points: FloatArray) -> FloatArray:
        """Points (N, 2) of this frame in the drawing."""
        z = points[:, 0] + 1j * points[:, 1]
        z = (z if not self.mirrored else z.conj()) * self.axis + self.origin
        return np.stack([z.real, z.imag], axis=1)


class SeamPoints(NamedTuple):
    """Sampled places on the edge: lengths (N,) along it, and after which of them (numbers, one a
    wedge) the edge is interrupted."""

    lengths: FloatArray
    breaks: IntArray


class Cut(NamedTuple):
    """One wedge in the outline. Vertex numbers from the mouth to the apex, along both sides."""

    first: IntArray
    second: IntArray
    apex: int
    first_jog: IntArray  # vertices of the first side beyond the end of the second, mouth first
    second_jog: IntArray

    @property
    def jogged(self) -> bool:
        """Whether gluing leaves a jog."""
        return len(self.first_jog) != len(self.second_jog)


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """points (M, 2), anticlockwise in the sheet's frame.

    fixed (M,): what does not move. seam (N,): the outline's vertex at each sampled place of the
    edge, -1 where there is no sheet. still: how many of those places at each end do not move.
    """

    points: FloatArray
    fixed: BoolArray
    seam: IntArray
    still: tuple[int, int]
    cuts: tuple[Cut, ...]


def seam_points(
    edge: Curve, taken: Sequence[tuple[float, float]], marks: Sequence[float], size: float
) -> SeamPoints:
    """Places about `size` apart, among them both ends, every mark and corner, and both ends of
    every stretch (start, end) taken out; none within those."""
    corners = edge.cumulative[edge.corner_segments(_CORNER_DEGREES)]
    stops = np.array([0.0, edge.length, *marks, *(x for pair in taken for x in pair)])
    apart = np.abs(corners[:, None] - stops).min(axis=1, initial=np.inf) > 0.25 * size
    stops = np.unique(np.concatenate([stops, corners[apart]]))
    stops = stops[np.concatenate([[True], np.diff(stops) > 1e-6])]
    stops[-1] = edge.length
    kept: list[FloatArray] = []
    breaks: list[int] = []
    count = 0
    for a, b in pairwise(stops.tolist()):
        within = [start for start, end in taken if start - 1e-6 < a and b < end + 1e-6]
        if within:
            if abs(a - within[0]) < 1e-6:  # a corner inside starts no second break
                kept.append(np.array([a]))
                breaks.append(count)
                count += 1
            continue
        pieces = max(int(np.ceil((b - a) / size - 1e-6)), 1)
        kept.append(a + (b - a) * np.arange(pieces) / pieces)
        count += pieces
    kept.append(stops[-1:])
    return SeamPoints(np.concatenate(kept), np.array(breaks, dtype=np.int64))


def cap_outline(
    edge: Curve,
    frame: Frame,
    wedges: Sequence[Wedge],
    seam: SeamPoints,
    held: tuple[float, float],
    size: float,
) -> Outline:
    """The sheet's outline. Raises PressError: `order`, `held`."""
    places = frame.inside(edge.point_at(seam.lengths))
    low = _without_sheet(places[:, 1], size)
    count = len(places)
    first, last = low[0], count - 1 - low[1]
    if ((seam.breaks <= first) | (seam.breaks + 1 >= last)).any():
        raise PressError("held", "a wedge lies where the edge runs along its foot")
    number = np.full(count, -1, dtype=np.int64)
    points: list[FloatArray] = []
    cuts: list[Cut] = []
    total = 0
    breaks = dict(zip(seam.breaks.tolist(), wedges, strict=True))
    for i in range(first, last + 1):
        number[i] = total
        points.append(places[i : i + 1])
        total += 1
        wedge = breaks.get(i)
        if wedge is not None:
            apex = frame.inside(wedge.apex[None])[0]
            sides, cut = _cut(places[i], places[i + 1], apex, total - 1, size)
            points.append(sides)
            total += len(sides)
            cuts.append(cut)
    points.append(_foot(places, low, size))
    outline = np.concatenate(points)
    before = np.count_nonzero(seam.lengths <= held[0] + 1e-9)
    after = np.count_nonzero(seam.lengths >= edge.length - held[1] - 1e-9)
    still = (max(int(before), first + 1), max(int(after), count - last))
    fixed = np.zeros(len(outline), dtype=np.bool_)
    fixed[total:] = True
    fixed[number[first : still[0]]] = True
    fixed[number[count - still[1] : last + 1]] = True
    return Outline(outline, fixed, number, still, tuple(cuts))


def _without_sheet(height: FloatArray, size: float) -> tuple[int, int]:
    """How many sampled places at each end have no sheet under them, because the edge runs along
    its foot there, or dips under it."""
    top = int(height.argmax())
    if height[top] < 2.0 * size:
        raise PressError("order", f"the edge rises only {height[top]:.4g} mm above its foot")
    low = np.flatnonzero(height < _SLIVER * size)
    before, after = low[(low > 0) & (low < top)], low[(low > top) & (low < len(height) - 1)]
    return (
        int(before[-1]) + 1 if len(before) else 0,
        len(height) - int(after[0]) if len(after) else 0,
    )


def _cut(
    mouth: FloatArray, other: FloatArray, apex: FloatArray, at: int, size: float
) -> tuple[FloatArray, Cut]:
    """The vertices between a mouth's two (mouth side, apex, other side), and their numbers."""
    a, b = float(np.hypot(*(mouth - apex))), float(np.hypot(*(other - apex)))
    common = min(a, b)
    if abs(a - b) <= _EVEN_SIDES:
        first = second = np.empty(0)
        tops = (a, b)
    else:
        first, second = _steps(common, a, size), _steps(common, b, size)
        tops = (common, common)
    pieces = max(int(np.ceil(common / size)), 2)
    shares = np.arange(pieces - 1, 0, -1) / pieces

    def along(end: FloatArray, length: float, top: float, beyond: FloatArray) -> FloatArray:
        distances = np.concatenate([beyond, shares * top])
        return apex + distances[:, None] / length * (end - apex)

    # A side that is longer has the mouth of the shorter as an inner vertex of its own.
    one = along(mouth, a, tops[0], first)
    two = along(other, b, tops[1], second)
    points = np.concatenate([one, apex[None], two[::-1]])
    head = np.concatenate([[at], at + 1 + np.arange(len(one))])
    middle = at + 1 + len(one)
    tail = np.concatenate([[middle + 1 + len(two)], middle + 1 + np.arange(len(two))[::-1]])
    return points, Cut(
        head[len(first) :],
        tail[len(second) :],
        middle,
        head[: len(first) + 1],
        tail[: len(second) + 1],
    )


def _steps(common: float, side: float, size: float) -> FloatArray:
    """Distances from the apex below a side's mouth, down to the end of the other side."""
    if side <= common:
        return np.empty(0)
    pieces = max(int(np.ceil((side - common) / size)), 1)
    return side - (side - common) * np.arange(1, pieces + 1) / pieces


def _foot(places: FloatArray, low: tuple[int, int], size: float) -> FloatArray:
    """Vertices on the foot, from the edge's end (left) to its start (right)."""
    ends = (places[-1, 0], places[0, 0])
    left, right = places[-1 - low[1], 0], places[low[0], 0]
    left = float(np.clip(left, *ends)) if low[1] else ends[0]
    right = float(np.clip(right, *ends)) if low[0] else ends[1]
    if right - left < 2.0 * size:
        raise PressError("order", "there is next to no sheet above the line between the ends")
    pieces = int(np.ceil((right - left) / size))
    x = left + (right - left) * np.arange(pieces + 1) / pieces
    x = x[(0 if low[1] else 1) : (pieces + 1 if low[0] else pieces)]
    return np.stack([x, np.zeros_like(x)], axis=1)
