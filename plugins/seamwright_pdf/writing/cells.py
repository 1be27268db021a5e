"""Free places for words: a grid of cells knows where lines are, a sum over it where none is."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from seamwright.geometry import FloatArray

_ENOUGH: Final = 20_000  # free places to choose from; more are thinned
_CLEAR: Final = 1.0  # mm between two boxes of words


class Cells:
    """A grid of square cells over a box, each occupied or free. A cell is occupied where a line
    runs within one cell of it, so free boxes keep clear of lines."""

    def __init__(self, box: Sequence[float], cell: float) -> None:
        self.cell = cell
        self.x0, self.y0 = float(box[0]) - 2 * cell, float(box[1]) - 2 * cell
        self.nx = int((float(box[2]) - self.x0) / cell) + 4
        self.ny = int((float(box[3]) - self.y0) / cell) + 4
        self._taken = np.zeros((self.ny, self.nx), dtype=bool)
        self._sums: np.ndarray | None = None
        self._boxes: list[tuple[float, float, float, float]] = []

    def part(self, box: Sequence[float]) -> Cells:
        """The cells of a box inside this one's, by themselves."""
        i0, j0 = (max(0, v) for v in self._index(float(box[0]), float(box[1])))
        i1, j1 = self._index(float(box[2]), float(box[3]))
        out = Cells.__new__(Cells)
        out.cell, out.x0, out.y0 = self.cell, self.x0 + i0 * self.cell, self.y0 + j0 * self.cell
        out._taken = self._taken[j0 : j1 + 1, i0 : i1 + 1]
        out.ny, out.nx = out._taken.shape
        out._sums, out._boxes = None, []
        return out

    def add_points(self, points: FloatArray) -> None:
        """Occupies what lies at points (M, 2), closer together than a cell."""
        if not len(points):
            return
        i = ((points[:, 0] - self.x0) / self.cell).astype(np.int64)
        j = ((points[:, 1] - self.y0) / self.cell).astype(np.int64)
        inside = (i >= 0) & (i < self.nx) & (j >= 0) & (j < self.ny)
        fresh = np.zeros_like(self._taken)
        fresh[j[inside], i[inside]] = True
        wide = fresh.copy()
        wide[:, 1:] |= fresh[:, :-1]
        wide[:, :-1] |= fresh[:, 1:]
        tall = wide.copy()
        tall[1:] |= wide[:-1]
        tall[:-1] |= wide[1:]
        self._taken |= tall
        self._sums = None

    def add_box(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """Occupies a box."""
        self._boxes.append((x0, y0, x1, y1))

    def free(self, width: float, height: float) -> FloatArray:
        """Lower left corners (N, 2) of free boxes of that size: all, or evenly many of them."""
        w, h = int(np.ceil(width / self.cell)) + 1, int(np.ceil(height / self.cell)) + 1
        if w >= self.nx or h >= self.ny:
            return np.zeros((0, 2))
        s = self._sum()
        held = s[h:, w:] - s[:-h, w:] - s[h:, :-w] + s[:-h, :-w]
        j, i = np.nonzero(held == 0)
        every = 1 + len(i) // _ENOUGH
        i, j = i[::every], j[::every]
        corners = np.stack((self.x0 + i * self.cell, self.y0 + j * self.cell), axis=1)
        out: FloatArray = corners[self._apart(corners, width, height)]
        return out

    def is_free(self, x0: float, y0: float, x1: float, y1: float) -> bool:
        """Whether a box holds no line."""
        i0, j0 = self._index(x0, y0)
        i1, j1 = self._index(x1, y1)
        if i0 < 0 or j0 < 0 or i1 >= self.nx or j1 >= self.ny:
            return False
        if self._taken[j0 : j1 + 1, i0 : i1 + 1].any():
            return False
        return bool(self._apart(np.array([[x0, y0]]), x1 - x0, y1 - y0)[0])

    def are_free(self, corners: FloatArray, width: float, height: float) -> np.ndarray:
        """Whether boxes of one size at lower left corners (N, 2) hold no line."""
        w, h = int(np.ceil(width / self.cell)) + 1, int(np.ceil(height / self.cell)) + 1
        i = np.floor((corners[:, 0] - self.x0) / self.cell).astype(np.int64)
        j = np.floor((corners[:, 1] - self.y0) / self.cell).astype(np.int64)
        inside = (i >= 0) & (j >= 0) & (i + w <= self.nx) & (j + h <= self.ny)
        s = self._sum()
        i, j = np.where(inside, i, 0), np.where(inside, j, 0)
        top, right = np.minimum(j + h, self.ny), np.minimum(i + w, self.nx)
        held = s[top, right] - s[j, right] - s[top, i] + s[j, i]
        out: np.ndarray = inside & (held == 0)
        out[out] = self._apart(corners[out], width, height)
        return out

    def _apart(self, corners: FloatArray, width: float, height: float) -> np.ndarray:
        """Which boxes keep a little away from those that were added."""
        if not self._boxes or not len(corners):
            return np.ones(len(corners), dtype=bool)
        x0, y0, x1, y1 = np.array(self._boxes).T
        x, y = corners[:, :1], corners[:, 1:]
        meet = (x <= x1 + _CLEAR) & (x + width >= x0 - _CLEAR)
        meet &= (y <= y1 + _CLEAR) & (y + height >= y0 - _CLEAR)
        out: np.ndarray = ~meet.any(axis=1)
        return out

    def _sum(self) -> np.ndarray:
        if self._sums is None:
            self._sums = np.zeros((self.ny + 1, self.nx + 1), dtype=np.int32)
            np.cumsum(self._taken, axis=0, out=self._sums[1:, 1:], dtype=np.int32)
            np.cumsum(self._sums[1:, 1:], axis=1, out=self._sums[1:, 1:])
        return self._sums

    def _index(self, x: float, y: float) -> tuple[int, int]:
        return int(np.floor((x - self.x0) / self.cell)), int(np.floor((y - self.y0) / self.cell))


def inside_all(rings: Sequence[FloatArray], points: FloatArray) -> np.ndarray:
    """Which of points (N, 2) lie inside all rings: even-odd rule."""
    out = np.ones(len(points), dtype=bool)
    for ring in rings:
        a, b = ring, np.roll(ring, -1, axis=0)
        x, y = points[:, :1], points[:, 1:]
        over = (a[:, 1] > y) != (b[:, 1] > y)
        rise = np.where(b[:, 1] == a[:, 1], 1.0, b[:, 1] - a[:, 1])
        at = a[:, 0] + (y - a[:, 1]) * (b[:, 0] - a[:, 0]) / rise
        out &= (np.count_nonzero(over & (x < at), axis=1) % 2).astype(bool)
    return out
