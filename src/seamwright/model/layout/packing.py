"""Packing pieces on a strip or on sheets: each dropped to where it sinks lowest, outline on
outline.

The heap that lies already is known by its height above each column of the strip, a piece by its
lower and upper edge above each column. Over all places along the strip the depth to which a piece
sinks is the largest difference of the two: one array operation a turn. Large pieces go first, so
that small ones find the dents. The same input always gives the same layout.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor
from typing import Final, Literal

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from seamwright.geometry import Curve, FloatArray

from .placement import Layout, Placement, cos_sin
from .sampling import samples

Order = Literal["area", "longest", "given"]
_CELL: Final = 4.0  # mm; width of a column


@dataclass(frozen=True, slots=True)
class _Turned:
    """A piece in one turn, with its lower left at the origin.

    lower, upper  height (w,) of its edges above each column
    corner        lower left of the turned piece before it was moved to the origin
    """

    degrees: float
    corner: FloatArray
    size: FloatArray
    lower: FloatArray
    upper: FloatArray


@dataclass(frozen=True, slots=True)
class Ready:
    """Pieces measured once, to be placed on several widths. Made by `prepare`."""

    ways: tuple[tuple[_Turned, ...], ...]
    cell: float


def prepare(
    pieces: Sequence[Sequence[Curve]],
    *,
    turns: Sequence[float] = (0.0, 180.0),
    bases: Sequence[float] | None = None,
    cell: float = _CELL,
) -> Ready:
    """What `place` needs to know of pieces: take it where they are placed more than once.

    cell   width of a column, mm; the other arguments as for `place`
    """
    base = list(bases) if bases is not None else [0.0] * len(pieces)
    return Ready(
        tuple(
            tuple(_ways(curves, base[number], turns, cell)) if curves else ()
            for number, curves in enumerate(pieces)
        ),
        cell,
    )


def place(
    pieces: Sequence[Sequence[Curve]] | Ready,
    *,
    width: float,
    height: float | None = None,
    gap: float = 10.0,
    turns: Sequence[float] = (0.0, 180.0),
    bases: Sequence[float] | None = None,
    order: Order = "area",
) -> Layout:
    """Places for pieces on a strip of `width` mm, as short as the method finds it.

    pieces   for each piece everything that is drawn of it: outlines in all sizes, at their places
             in the pattern. A piece moves as a whole, so sizes stay nested. Or what `prepare`
             made of them, with its turns and bases.
    height   of a sheet: pieces then lie on as many sheets as needed, none across two. None: one
             strip without end.
    gap      least distance between two pieces, in either direction
    turns    degrees by which a piece may be turned
    bases    degrees (one a piece) by which it is turned beforehand: its grain along the strip
    order    in which pieces are laid: the largest first by area or by longest side, or as given

    A piece that is wider than the strip, or taller than a sheet, lies at its lower left and sticks
    out; `Layout.width` and `Layout.length` tell. A piece without a curve stays where it is.
    Raises ValueError for a width, height or gap that is no length.
    """
    if not (width > 0.0 and (height is None or height > 0.0) and gap >= 0.0):
        raise ValueError("a strip needs a width and height above 0 and a gap of 0 or more")
    if not isinstance(pieces, Ready):
        cell = min(_CELL, 0.25 * width)
        pieces = prepare(pieces, turns=turns, bases=bases, cell=cell)
    ways = {number: made for number, made in enumerate(pieces.ways) if made}
    heap = _Heaps(width, height, float(gap), pieces.cell)
    found = {number: heap.drop(ways[number]) for number in _sorted(ways, order)}
    placements = tuple(found.get(number, Placement()) for number in range(len(pieces.ways)))
    return Layout(
        placements=placements,
        width=heap.widest,
        length=heap.longest,
        sheets=len(heap.skies),
    )


def _sorted(ways: Mapping[int, Sequence[_Turned]], order: Order) -> list[int]:
    def key(number: int) -> tuple[float, int]:
        size = ways[number][0].size
        measure = float(size.max()) if order == "longest" else float(size[0] * size[1])
        return (0.0 if order == "given" else -round(measure, 6), number)

    return sorted(ways, key=key)


def _ways(
    curves: Sequence[Curve], base: float, turns: Sequence[float], cell: float
) -> list[_Turned]:
    step = 0.5 * cell
    points = samples(curves, step)
    found: list[_Turned] = []
    seen: dict[float, _Turned] = {}
    for turn in turns:
        degrees = (base + turn) % 360.0
        if degrees in seen:
            continue
        half = seen.get((degrees + 180.0) % 360.0)
        made = _upside_down(half, degrees) if half else _turned(points, degrees, cell, step)
        seen[degrees] = made
        found.append(made)
    return found


def _turned(points: FloatArray, degrees: float, cell: float, step: float) -> _Turned:
    c, s = cos_sin(degrees)
    p = points @ np.array([[c, s], [-s, c]])
    low, high = p.min(axis=0), p.max(axis=0)
    columns = max(1, ceil((high[0] - low[0]) / cell - 1e-9))
    # The piece stands in the middle of its columns, so that half a turn takes columns to columns.
    spare = 0.5 * (columns * cell - (high[0] - low[0]))
    which = np.clip(((p[:, 0] - low[0] + spare) / cell).astype(np.int64), 0, columns - 1)
    order = np.argsort(which, kind="stable")
    starts = np.searchsorted(which[order], np.arange(columns))
    y = p[order, 1] - low[1]
    # Between two samples a line may reach further by one step.
    lower = np.maximum(np.minimum.reduceat(y, starts) - step, 0.0)
    upper = np.minimum(np.maximum.reduceat(y, starts) + step, high[1] - low[1])
    corner = np.array([low[0] - spare, low[1]])
    return _Turned(degrees, corner, np.array([columns * cell, high[1] - low[1]]), lower, upper)


def _upside_down(way: _Turned, degrees: float) -> _Turned:
    tall = float(way.size[1])
    return _Turned(
        degrees,
        -(way.corner + way.size),
        way.size,
        tall - way.upper[::-1],
        tall - way.lower[::-1],
    )


class _Heaps:
    """What lies on each sheet already: its height above each column."""

    def __init__(self, width: float, height: float | None, gap: float, cell: float) -> None:
        self.cell, self.gap, self.height = cell, gap, height
        self.columns = max(1, floor(width / cell + 1e-9))
        self.reach = ceil(gap / cell - 1e-9)
        self.skies: list[FloatArray] = []
        self.widest = self.longest = 0.0

    def drop(self, ways: Sequence[_Turned]) -> Placement:
        """The place where one of the ways ends lowest, on the first sheet that has room."""
        fitting = [
            w
            for w in ways
            if len(w.lower) <= self.columns and (self.height is None or w.size[1] <= self.height)
        ]
        for sheet, sky in enumerate(self.skies):
            best = self._lowest(fitting, sky)
            if best is not None:
                return self._laid(*best, sheet)
        self.skies.append(np.full(self.columns, -self.gap))
        best = self._lowest(fitting, self.skies[-1])
        if best is None:  # it fits no sheet: the way that sticks out least
            way = min(ways, key=lambda w: (max(0, len(w.lower) - self.columns), w.size[1]))
            if self.height is None and len(self.skies) > 1:
                self.skies.pop()
            sky = self.skies[-1]
            best = (way, 0, max(0.0, float(sky.max()) + self.gap))
        return self._laid(*best, len(self.skies) - 1)

    def _lowest(self, ways: list[_Turned], sky: FloatArray) -> tuple[_Turned, int, float] | None:
        best: tuple[tuple[float, float, int], _Turned, int, float] | None = None
        for way in ways:
            if self.height is None and len(way.lower) > self.columns:
                continue
            depth = self._depth(way, sky)
            at = int(np.argmin(depth))
            y = float(depth[at])
            top = y + float(way.size[1])
            if self.height is not None and top > self.height + 1e-9:
                continue
            key = (round(top, 6), round(y, 6), at)
            if best is None or key < best[0]:
                best = (key, way, at, y)
        return None if best is None else best[1:]

    def _depth(self, way: _Turned, sky: FloatArray) -> FloatArray:
        """Height at which the way comes to lie, for each column that it may start at."""
        k = self.reach
        lower = np.pad(way.lower, k, constant_values=np.inf)
        if k:
            lower = sliding_window_view(np.pad(lower, k, constant_values=np.inf), 2 * k + 1).min(
                axis=1
            )
        ground = np.pad(sky, k, constant_values=-np.inf)
        windows = sliding_window_view(ground, len(lower))
        depth: FloatArray = np.maximum((windows - lower).max(axis=1) + self.gap, 0.0)
        return depth

    def _laid(self, way: _Turned, at: int, y: float, sheet: int) -> Placement:
        sky = self.skies[sheet]
        over = slice(at, min(at + len(way.lower), self.columns))
        sky[over] = np.maximum(sky[over], y + way.upper[: over.stop - at])
        x = at * self.cell
        self.widest = max(self.widest, x + float(way.size[0]))
        self.longest = max(self.longest, y + float(way.size[1]))
        return Placement(
            dx=x - float(way.corner[0]),
            dy=y - float(way.corner[1]),
            degrees=way.degrees,
            sheet=sheet,
        )
