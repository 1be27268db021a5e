"""Basic shapes (rect, circle, ellipse, line, polyline, polygon) as subpaths in user units."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final

import numpy as np

from seamwright.geometry import (
    CUBIC,
    LINE,
    FloatArray,
    KindArray,
    elliptical_arc_to_cubics,
    line_segments,
)

from ..measures.lengths import NUMBER
from .path_data import Subpath

_POINTS_TOKEN = re.compile(rf"{NUMBER}")
_SPACE: Final = " \t\r\n\f,"

#: Reads a length attribute of the shape: name, axis ("x", "y" or "r" for the diagonal), default.
Lengths = Callable[[str, str, float | None], float | None]


class BadShape(ValueError):
    """A shape that cannot be drawn. text: the offending text; good: points that can be."""

    def __init__(self, message: str, text: str, good: FloatArray | None = None) -> None:
        super().__init__(message)
        self.text = text
        self.good = good


def rect(length: Lengths, scale: float, tolerance: float) -> list[Subpath]:
    """A rectangle, corners perhaps rounded (SVG 2, 10.2), clockwise on the screen."""
    x, y = length("x", "x", 0.0) or 0.0, length("y", "y", 0.0) or 0.0
    w, h = length("width", "x", None), length("height", "y", None)
    if w is None or h is None or w == 0.0 or h == 0.0:
        return []
    if w < 0.0 or h < 0.0:
        raise BadShape("a rect with a negative size", f"{w:g} x {h:g}")
    rx, ry = length("rx", "x", None), length("ry", "y", None)
    rx, ry = (ry if rx is None else rx), (rx if ry is None else ry)
    rx, ry = min(max(rx or 0.0, 0.0), w / 2), min(max(ry or 0.0, 0.0), h / 2)
    right, bottom = x + w, y + h
    if rx == 0.0 or ry == 0.0:
        return [polygon_of(np.array([[x, y], [right, y], [right, bottom], [x, bottom]]))]
    corners = [
        ((x + rx, y), (right - rx, y), (right, y + ry)),
        ((right, y + ry), (right, bottom - ry), (right - rx, bottom)),
        ((right - rx, bottom), (x + rx, bottom), (x, bottom - ry)),
        ((x, bottom - ry), (x, y + ry), (x + rx, y)),
    ]
    parts, kinds = [], []
    for start, turn, end in corners:
        if start != turn:
            parts.append(line_segments(np.array([start]), np.array([turn])))
            kinds.append(np.array([LINE], dtype=np.uint8))
        arc = elliptical_arc_to_cubics(
            turn, rx, ry, 0.0, False, True, end, scale=scale, tolerance=tolerance
        )
        parts.append(arc)
        kinds.append(np.full(len(arc), CUBIC, dtype=np.uint8))
    return [Subpath(np.concatenate(parts), np.concatenate(kinds), True)]


def ellipse(cx: float, cy: float, rx: float, ry: float, scale: float, tol: float) -> list[Subpath]:
    """A whole ellipse from its right end, clockwise on the screen; nothing where a radius is 0."""
    if rx < 0.0 or ry < 0.0:
        raise BadShape("a negative radius", f"{min(rx, ry):g}")
    if rx == 0.0 or ry == 0.0:
        return []
    right, left = (cx + rx, cy), (cx - rx, cy)
    halves = [
        elliptical_arc_to_cubics(a, rx, ry, 0.0, False, True, b, scale=scale, tolerance=tol)
        for a, b in ((right, left), (left, right))
    ]
    segments = np.concatenate(halves)
    return [Subpath(segments, np.full(len(segments), CUBIC, dtype=np.uint8), True)]


def line(length: Lengths) -> list[Subpath]:
    """One straight stroke."""
    a = [length("x1", "x", 0.0) or 0.0, length("y1", "y", 0.0) or 0.0]
    b = [length("x2", "x", 0.0) or 0.0, length("y2", "y", 0.0) or 0.0]
    return [open_of(np.array([a, b]))]


def points(text: str, *, closed: bool) -> list[Subpath]:
    """A polyline or polygon from its `points`. Raises BadShape."""
    found = parse_points(text)
    if len(found) < 2:
        return []
    return [polygon_of(found) if closed else open_of(found)]


def parse_points(text: str) -> FloatArray:
    """Points (N, 2) of a `points` attribute. Raises BadShape with the good points so far."""
    tokens = _POINTS_TOKEN.findall(text)
    spaces = sum(text.count(c) for c in _SPACE)
    if sum(map(len, tokens)) + spaces == len(text) and len(tokens) % 2 == 0:
        values = np.array(list(map(float, tokens)))
        if np.isfinite(values).all() and not re.search(r",\s*(,|$)|^\s*,", text):
            return values.reshape(-1, 2)
    good: list[float] = []
    at = 0
    while True:
        gap = re.compile(r"\s*,?\s*" if good else r"\s*").match(text, at)
        at = gap.end() if gap else at
        match = _POINTS_TOKEN.match(text, at)
        if match is None or not abs(float(match.group())) < 1.7e308:
            break
        good.append(float(match.group()))
        at = match.end()
    even = np.array(good[: len(good) // 2 * 2]).reshape(-1, 2)
    if at >= len(text.rstrip()) and len(good) % 2:
        raise BadShape(
            f"points hold an odd number of numbers, {len(good)}", text.strip()[-40:], even
        )
    word = re.match(r"[^\s]{1,40}", text[at:])
    raise BadShape("a number is due in points", word.group() if word else "(end)", even)


def polygon_of(vertices: FloatArray) -> Subpath:
    """A closed polygon through vertices (N, 2); a last one that repeats the first is left out."""
    if len(vertices) > 2 and np.array_equal(vertices[0], vertices[-1]):
        vertices = vertices[:-1]
    segments = line_segments(vertices, np.roll(vertices, -1, axis=0))
    return Subpath(segments, _lines(len(segments)), True)


def open_of(vertices: FloatArray) -> Subpath:
    """An open polyline through vertices (N, 2)."""
    segments = line_segments(vertices[:-1], vertices[1:])
    return Subpath(segments, _lines(len(segments)), False)


def _lines(count: int) -> KindArray:
    return np.full(count, LINE, dtype=np.uint8)
