"""Numbers and path data: mm, y down, fixed point."""

from __future__ import annotations

import numpy as np

from seamwright.geometry import LINE, Curve
from seamwright.numbers import fixed


class Pen:
    """Turns model coordinates into those of the file: moved, y turned down, rounded."""

    def __init__(self, digits: int, move: tuple[float, float] = (0.0, 0.0)) -> None:
        self.digits = digits
        self.move = move

    def moved(self, move: tuple[float, float]) -> Pen:
        """The same for a piece that lies elsewhere on the page."""
        return Pen(self.digits, move)

    def n(self, value: float) -> str:
        """A number."""
        return fixed(value, self.digits)

    def xy(self, point: tuple[float, float]) -> tuple[str, str]:
        """A point."""
        return self.n(point[0] + self.move[0]), self.n(-(point[1] + self.move[1]))

    def pair(self, point: tuple[float, float]) -> str:
        """A point in path data."""
        return ",".join(self.xy(point))

    def polyline(self, *points: tuple[float, float], closed: bool = False) -> str:
        """Path data of straight lines through points."""
        words = [("M" if i == 0 else "L") + self.pair(p) for i, p in enumerate(points)]
        return "".join(words) + ("Z" if closed else "")

    def path(self, curve: Curve) -> str:
        """Path data of a curve: curves as C, straight lines as L, a closed curve with Z.

        The straight line back to the start is left to Z, unless rounding leaves it no length.
        """
        points = np.array(curve.segments)
        points += np.array(self.move)
        points[..., 1] *= -1.0
        numbers = [self.n(v) for v in points.reshape(-1).tolist()]
        words = [f"M{numbers[0]},{numbers[1]}"]
        last = curve.n - 1
        for i, kind in enumerate(curve.kinds.tolist()):
            a, b, c, d, e, f = numbers[8 * i + 2 : 8 * i + 8]
            if kind != LINE:
                words.append(f"C{a},{b} {c},{d} {e},{f}")
            elif not (curve.closed and i == last and numbers[8 * i : 8 * i + 2] != [e, f]):
                words.append(f"L{e},{f}")
        if curve.closed:
            words.append("Z")
        return "".join(words)
