"""Lines of all sizes in few letters, for the page's script to unfold.

Points are whole hundredths of a millimetre, y down. A *column* is one line of a piece in all sizes:
each point as the step from the one before it, the first size in full, the others as the change of
that step from size to size, or as the change of that change (a rule-graded nest grows evenly, so
little but noughts is left). Whole numbers are written five bits a letter, the sign in the lowest
bit, a sixth bit for "more follows" (the variable-length quantity of source maps, ECMA-426).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from seamwright.geometry import IntArray

LETTERS: Final = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
_LETTERS: Final = np.frombuffer(LETTERS, dtype=np.uint8)


@dataclass(frozen=True, slots=True, eq=False)
class Strokes:
    """What a pen draws: ops in short ("mc12l2z": move, twelve cubics, two lines, close) and the
    points (P, 2) they take, in whole hundredths of a millimetre, y down."""

    ops: str
    points: IntArray

    def same(self, other: Strokes | None) -> bool:
        """Whether another one draws the same."""
        return (
            other is not None
            and self.ops == other.ops
            and bool(np.array_equal(self.points, other.points))
        )


def packed(values: IntArray | Sequence[int]) -> str:
    """Whole numbers as letters, without separators."""
    v = np.asarray(values, dtype=np.int64).ravel()
    if not v.size:
        return ""
    rest = (np.abs(v) << 1) | (v < 0)
    digits, used = [], []
    wanted = np.ones(len(v), dtype=bool)
    while wanted.any():
        more = rest > 31
        digits.append((rest & 31) | (more.astype(np.int64) << 5))
        used.append(wanted)
        rest, wanted = rest >> 5, wanted & more
    letters = _LETTERS[np.stack(digits, axis=1)]
    data: bytes = letters[np.stack(used, axis=1)].tobytes()
    return data.decode("ascii")


def steps_of(points: IntArray) -> IntArray:
    """Each point less the one before it (the first as it is), in one row."""
    out: IntArray = np.diff(points, axis=0, prepend=0).ravel()
    return out


class Book:
    """All columns of a page; one that draws the same as another is kept once."""

    def __init__(self) -> None:
        self.columns: list[list[Any]] = []
        self._known: dict[tuple[Any, ...], int] = {}

    def column(self, strokes: Sequence[Strokes | None]) -> int | None:
        """The number of the column of these strokes, one a size; None where there are none."""
        if not any(strokes):
            return None
        key = tuple(None if s is None else (s.ops, s.points.tobytes()) for s in strokes)
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = len(self.columns)
            self.columns.append(_blocks(strokes))
        return found


def _blocks(strokes: Sequence[Strokes | None]) -> list[Any]:
    """Sizes with the same ops together: [ops, order, letters, sizes (0: all)]."""
    by_ops: dict[str, list[int]] = {}
    for z, s in enumerate(strokes):
        if s is not None:
            by_ops.setdefault(s.ops, []).append(z)
    out: list[Any] = []
    for ops, sizes in by_ops.items():
        rows = np.stack([steps_of(s.points) for s in strokes if s is not None and s.ops == ops])
        once = np.diff(rows, axis=0, prepend=0)
        twice = once.copy()
        twice[2:] = np.diff(once[1:], axis=0)
        told = [packed(once), packed(twice)]
        order = 1 if len(told[0]) <= len(told[1]) else 2
        out.append([ops, order, told[order - 1], 0 if len(sizes) == len(strokes) else sizes])
    return out


def path_text(strokes: Strokes) -> str:
    """The strokes as SVG path data, relative, in whole hundredths of a millimetre."""
    out: list[str] = []
    at = 0
    points = strokes.points
    x = y = 0
    sx = sy = 0
    for op, count in _runs(strokes.ops):
        if op == "z":
            out.append("z")
            x, y = sx, sy
            continue
        take = 3 if op == "c" else 1
        words = []
        for _ in range(count):
            px, py = x, y
            for _ in range(take):
                x, y = (int(v) for v in points[at])
                words.append(f"{x - px} {y - py}")
                at += 1
        out.append(op + " ".join(words).replace(" -", "-"))
        if op == "m":
            sx, sy = x, y
    return "".join(out)


def _runs(ops: str) -> list[tuple[str, int]]:
    out: list[tuple[str, int]] = []
    digits = ""
    for letter in reversed(ops):
        if letter.isdigit():
            digits = letter + digits
        else:
            out.append((letter, int(digits or 1)))
            digits = ""
    return out[::-1]
