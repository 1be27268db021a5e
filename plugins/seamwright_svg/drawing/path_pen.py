"""The pen that path data move: commands to arrays of cubics.

Short runs of numbers are drawn with Python's floats, long ones with arrays; both do the same
operations in the same order, so that it makes no difference how a program writes a path.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from seamwright.geometry import (
    CUBIC,
    LINE,
    FloatArray,
    GeometryError,
    KindArray,
    elliptical_arc_to_cubics,
)

from .path_kinds import TAKES, Subpath

_FLAT: Final = 1e9  # an arc whose radius is so many chords is straight to the last digit
_FARTHEST: Final = 1e10  # mm
_MANY: Final = 24  # numbers of a run from which arrays are faster than Python's floats


@dataclass(slots=True)
class Pen:
    """Where the pen is and what it has drawn.

    values         all numbers of the path but those of arcs
    scale          mm a user unit at most; arcs come out within `arc_tolerance` mm
    """

    values: FloatArray
    scale: float
    arc_tolerance: float
    floats: list[float] = field(default_factory=list)
    x: float = 0.0
    y: float = 0.0
    start_x: float = 0.0
    start_y: float = 0.0
    # Last control point, for S (after C and S) and T (after Q and T).
    cubic: tuple[float, float] | None = None
    quadratic: tuple[float, float] | None = None
    subpaths: list[Subpath] = field(default_factory=list)
    blocks: list[FloatArray] = field(default_factory=list)
    kinds: list[KindArray] = field(default_factory=list)
    rows: list[float] = field(default_factory=list)
    row_kinds: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.floats = self.values.tolist()

    def move(self, at: int, count: int, *, relative: bool) -> None:
        self._finish(closed=False)
        x, y = self.floats[at], self.floats[at + 1]
        if relative:
            x, y = self.x + x, self.y + y
        self.x = self.start_x = x
        self.y = self.start_y = y
        self.cubic = self.quadratic = None
        if count > 2:
            self.draw("l" if relative else "L", at + 2, count - 2)

    def close(self) -> None:
        if (self.rows or self.blocks) and (self.x, self.y) != (self.start_x, self.start_y):
            self._line(self.start_x, self.start_y)
        self._finish(closed=True)
        self.x, self.y = self.start_x, self.start_y
        self.cubic = self.quadratic = None

    def draw(self, letter: str, at: int, count: int) -> None:
        upper, relative = letter.upper(), letter.islower()
        if count >= _MANY and upper in _LONG:
            self._flush()
            numbers = self.values[at : at + count].reshape(-1, TAKES[upper])
            block = _LONG[upper](numbers, np.array([self.x, self.y]), relative)
            self.blocks.append(block)
            kind = LINE if upper == "L" else CUBIC
            self.kinds.append(np.full(len(block), kind, dtype=np.uint8))
            self.x, self.y = float(block[-1, 3, 0]), float(block[-1, 3, 1])
            self.cubic = (float(block[-1, 2, 0]), float(block[-1, 2, 1])) if upper == "C" else None
            self.quadratic = None
            if upper == "Q":
                q = numbers[-1, :2] + (block[-1, 0] if relative else 0.0)
                self.quadratic = (float(q[0]), float(q[1]))
            return
        v = self.floats
        for i in range(at, at + count, TAKES[upper]):
            dx, dy = (self.x, self.y) if relative else (0.0, 0.0)
            if upper == "L":
                self._line(dx + v[i], dy + v[i + 1])
            elif upper == "C":
                self._cubic(
                    dx + v[i], dy + v[i + 1], dx + v[i + 2], dy + v[i + 3],
                    dx + v[i + 4], dy + v[i + 5],
                )  # fmt: skip
            elif upper == "H":
                self._line(dx + v[i], self.y)
            elif upper == "V":
                self._line(self.x, dy + v[i])
            elif upper == "S":
                cx, cy = self._reflected(self.cubic)
                self._cubic(cx, cy, dx + v[i], dy + v[i + 1], dx + v[i + 2], dy + v[i + 3])
            elif upper == "Q":
                self._quadratic(dx + v[i], dy + v[i + 1], dx + v[i + 2], dy + v[i + 3])
            else:
                qx, qy = self._reflected(self.quadratic)
                self._quadratic(qx, qy, dx + v[i], dy + v[i + 1])

    def arcs(self, numbers: list[float], *, relative: bool) -> None:
        for i in range(0, len(numbers), 7):
            rx, ry, turn, large, sweep, x, y = numbers[i : i + 7]
            if relative:
                x, y = self.x + x, self.y + y
            chord = max(abs(x - self.x), abs(y - self.y))
            radius = max(abs(rx), abs(ry))
            if rx == 0.0 or ry == 0.0 or (radius > _FLAT * chord and not large):
                self._line(x, y)
                continue
            # Radii too small to reach are enlarged together.
            reach = radius * max(1.0, chord / min(abs(rx), abs(ry)))
            if max(chord, abs(x), abs(y), reach) * self.scale > _FARTHEST:
                raise GeometryError("an arc reaches farther out than a thousand kilometres")
            pieces = elliptical_arc_to_cubics(
                (self.x, self.y), rx, ry, turn, bool(large), bool(sweep), (x, y),
                scale=self.scale, tolerance=self.arc_tolerance,
            )  # fmt: skip
            if len(pieces):
                self._flush()
                self.blocks.append(pieces)
                self.kinds.append(np.full(len(pieces), CUBIC, dtype=np.uint8))
            self.x, self.y = x, y
            self.cubic = self.quadratic = None

    def done(self) -> list[Subpath]:
        self._finish(closed=False)
        return self.subpaths

    def _reflected(self, control: tuple[float, float] | None) -> tuple[float, float]:
        if control is None:
            return self.x, self.y
        return 2.0 * self.x - control[0], 2.0 * self.y - control[1]

    def _line(self, x: float, y: float) -> None:
        a, b = self.x, self.y
        self.rows += (
            a, b, a + (x - a) / 3, b + (y - b) / 3, x - (x - a) / 3, y - (y - b) / 3, x, y
        )  # fmt: skip
        self.row_kinds.append(LINE)
        self.x, self.y = x, y
        self.cubic = self.quadratic = None

    def _cubic(self, p: float, q: float, r: float, s: float, x: float, y: float) -> None:
        self.rows += (self.x, self.y, p, q, r, s, x, y)
        self.row_kinds.append(CUBIC)
        self.x, self.y = x, y
        self.cubic, self.quadratic = (r, s), None

    def _quadratic(self, p: float, q: float, x: float, y: float) -> None:
        a, b = self.x, self.y
        self._cubic(
            a + (p - a) * 2 / 3, b + (q - b) * 2 / 3, x + (p - x) * 2 / 3, y + (q - y) * 2 / 3, x, y
        )
        self.cubic, self.quadratic = None, (p, q)

    def _flush(self) -> None:
        if self.rows:
            self.blocks.append(np.array(self.rows).reshape(-1, 4, 2))
            self.kinds.append(np.array(self.row_kinds, dtype=np.uint8))
            self.rows, self.row_kinds = [], []

    def _finish(self, *, closed: bool) -> None:
        self._flush()
        if self.blocks:
            self.subpaths.append(
                Subpath(np.concatenate(self.blocks), np.concatenate(self.kinds), closed)
            )
            self.blocks, self.kinds = [], []


def _ends(steps: FloatArray, start: FloatArray, relative: bool) -> FloatArray:
    """Start and end points (K + 1, 2) of a run whose segments end at `steps`."""
    ends = np.concatenate((start[None], steps))
    return np.cumsum(ends, axis=0) if relative else ends


def _long_lines(v: FloatArray, start: FloatArray, relative: bool) -> FloatArray:
    ends = _ends(v, start, relative)
    a, b = ends[:-1], ends[1:]
    third = (b - a) / 3
    return np.stack((a, a + third, b - third, b), axis=1)


def _long_cubics(v: FloatArray, start: FloatArray, relative: bool) -> FloatArray:
    ends = _ends(v[:, 4:], start, relative)
    base = ends[:-1] if relative else 0.0
    return np.stack((ends[:-1], base + v[:, :2], base + v[:, 2:4], ends[1:]), axis=1)


def _long_quadratics(v: FloatArray, start: FloatArray, relative: bool) -> FloatArray:
    ends = _ends(v[:, 2:], start, relative)
    a, b = ends[:-1], ends[1:]
    q = v[:, :2] + (a if relative else 0.0)
    return np.stack((a, a + (q - a) * 2 / 3, b + (q - b) * 2 / 3, b), axis=1)


_LONG: Final[dict[str, Callable[[FloatArray, FloatArray, bool], FloatArray]]] = {
    "L": _long_lines,
    "C": _long_cubics,
    "Q": _long_quadratics,
}
