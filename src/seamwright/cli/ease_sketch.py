"""A drawing of a sleeve cap in plain characters, with the places where to fold."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from math import hypot

from seamwright.paper import Side, Tuck

_COLUMNS, _ROWS = 69, 15
_POINTS = 400
# One half of a cap as a drawing needs it: cubics from the shoulder point down to the underarm, in
# a box 1 wide and 1 high. Only its looks matter; lengths are taken in proportion.
_HALF = (
    ((0.0, 1.0), (0.14, 1.0), (0.25, 0.93), (0.36, 0.80)),
    ((0.36, 0.80), (0.48, 0.66), (0.52, 0.48), (0.62, 0.31)),
    ((0.62, 0.31), (0.71, 0.14), (0.85, 0.03), (1.0, 0.0)),
)
_ASPECT = 2.35  # the half is this much wider than high, seen through characters twice as high


def sketch(tucks: Mapping[Side, Sequence[Tuck]], runs: Mapping[Side, float]) -> list[str]:
    """Lines of a picture: back on the left, front on the right.

    tucks  per half, at lengths from the shoulder point; runs: length of each half, mm
    Tucks are lettered A, B, ... from the back's underarm to the front's.
    """
    page = [[" "] * _COLUMNS for _ in range(_ROWS)]
    middle = (_COLUMNS - 1) // 2
    reach, top, bottom = middle - 3, 2, _ROWS - 2

    def put(x: float, y: float, mark: str) -> None:
        column = round(middle + x * reach)
        row = round(bottom - y * (bottom - top))
        for i, letter in enumerate(mark):
            if 0 <= row < _ROWS and 0 <= column + i < _COLUMNS:
                page[row][column + i] = letter

    half = _points()
    for i in range(round(-reach), round(reach) + 1):
        if i % 2 == 0:
            put(i / reach, 0.0, "-")
    for column in range(reach + 1):
        high = _height(half, column / reach) * (bottom - top)
        row = bottom - int(high + 0.5)
        # Within its row the line lies low, in the middle or high.
        mark = "_.-'"[int((high + 0.5) % 1.0 * 4.0)]
        page[row][middle - column] = page[row][middle + column] = mark
    letters = iter("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    places: list[tuple[Side, Tuck]] = [
        *(("back", t) for t in sorted(tucks.get("back", ()), key=lambda t: -t.at)),
        *(("front", t) for t in sorted(tucks.get("front", ()), key=lambda t: t.at)),
    ]  # fmt: skip
    for side, tuck in places:
        sign = -1.0 if side == "back" else 1.0
        (x, y), (nx, ny) = _at(half, tuck.at / runs[side])
        for step in range(1, 6):
            put(sign * (x - nx * 0.09 * step), y - ny * 0.09 * step, ":")
        put(sign * x, y, "V")
        put(sign * (x + nx * 0.075), y + ny * 0.1, next(letters))
    put(0.0, 1.0, "+")
    words = "shoulder point"
    put(-(len(words) // 2) / reach, 1.0 + 1.4 / (bottom - top), words)
    put(-1.0, -1.0 / (bottom - top), "back underarm")
    end = "front underarm"
    put(1.0 - (len(end) - 1) / reach, -1.0 / (bottom - top), end)
    put(-5.0 / reach, -1.0 / (bottom - top), "bicep line")
    lines = ["".join(row).rstrip() for row in page]
    return lines if lines[0] else lines[1:]


def tuck_picture(width: str, depth: str) -> list[str]:
    """One tuck, close up: how wide at the edge, how deep."""
    mouth = max(len(width) + 6, 11)
    rows = (mouth + 1) // 2
    lines = [
        " " * 12 + f"|<-{width.center(mouth - 6)}->|",
        " " * 2 + "_" * 10 + " " * mouth + "_" * 10 + "  seam line",
    ]
    for i in range(rows):
        inner = mouth - 2 * i - 2
        tail = f"      {depth} from edge to point" if i == rows // 2 else ""
        pair = "\\" + " " * inner + "/" if inner > 0 else "V" if inner < 0 else "\\/"
        lines.append(" " * (12 + i) + pair + tail)
    lines.append("  The fold ends above the bicep line.")
    return lines


def _points() -> list[tuple[float, float]]:
    found = [(0.0, 1.0)]
    each = _POINTS // len(_HALF)
    for a, b, c, d in _HALF:
        for i in range(1, each + 1):
            t = i / each
            s = 1.0 - t
            w = (s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t)
            x = w[0] * a[0] + w[1] * b[0] + w[2] * c[0] + w[3] * d[0]
            y = w[0] * a[1] + w[1] * b[1] + w[2] * c[1] + w[3] * d[1]
            found.append((x, y))
    return found


def _height(half: Sequence[tuple[float, float]], x: float) -> float:
    """How high the half stands at x."""
    for (x0, y0), (x1, y1) in itertools.pairwise(half):
        if x <= x1:
            return y0 + (y1 - y0) * (x - x0) / max(x1 - x0, 1e-12)
    return half[-1][1]


def _at(
    half: Sequence[tuple[float, float]], share: float
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Point and outward normal at a share of the half's length."""
    steps = [hypot((b[0] - a[0]) * _ASPECT, b[1] - a[1]) for a, b in itertools.pairwise(half)]
    wanted = min(max(share, 0.0), 1.0) * sum(steps)
    for (a, b), step in zip(itertools.pairwise(half), steps, strict=True):
        if wanted <= step or b is half[-1]:
            dx, dy = (b[0] - a[0]) * _ASPECT, b[1] - a[1]
            size = hypot(dx, dy)
            return b, (-dy / size / _ASPECT, dx / size)
        wanted -= step
    raise AssertionError("the last piece always answers")
