"""The first page: how to print, two squares and a line to measure, the key to lines, all pages."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import Final

import numpy as np

from seamwright.geometry import FloatArray

from .arrange import Plan
from .letters import Letters, fitted, wrapped
from .looks import FINE, Look
from .operators import box, fill, lines, pen

CAUTION: Final = (
    "Print at 100 % (actual size), never “fit to page”.",
    "Print this page first. Measure both squares and the line before you print the rest.",
    "If they differ, change the printer's scale, not the pattern. Test-cut in cheap cloth.",
)
WIDTH: Final = 180.0  # mm of the block; shrinks with narrow paper
LINE: Final = 150.0
SQUARE, INCHES = 50.0, 50.8


@dataclass(frozen=True, slots=True)
class Facts:
    """What the page says about the document."""

    title: str
    summary: tuple[str, ...]
    sizes: tuple[str, ...]
    looks: tuple[Look, ...]
    cut_and_seam: bool


def height_of(facts: Facts, width: float) -> float:
    """Height that the block needs without the key plan, mm."""
    rows = ceil(len(facts.sizes) / _columns(facts, width)) if len(facts.sizes) > 1 else 0
    return 132.0 + 5.5 * len(facts.summary) + 6.0 * rows + (14.0 if width < 165 else 0.0)


def draw(
    facts: Facts, letters: Letters, x: float, top: float, width: float, overlap: float
) -> tuple[str, float]:
    """Operators of the block with its upper left corner at (x, top), sheet or page mm, and how
    far down it reaches."""
    ink = fill((0.0,))
    out = [ink]
    height = 9.0
    while letters.width(facts.title, height) > width and height > 5.0:
        height -= 0.5
    y = top - 8.0
    out.append(letters.show(fitted(letters, facts.title, height, width), x, y, height))
    y -= 3.0
    for row in facts.summary:
        y -= 5.5
        out.append(letters.show(fitted(letters, row, 3.8, width), x, y, 3.8))
    y -= 7.0
    for text in CAUTION:
        for row in wrapped(letters, text, 3.8, width):
            out.append(letters.show(row, x, y, 3.8))
            y -= 5.2
    y -= 2.0
    squares, y = _squares(letters, x, y, width)
    out.append(squares)
    line, y = _line(letters, x, y, min(max(LINE, 0.0), width))
    out.append(line)
    key, y = _key(facts, letters, x, y, width)
    out.append(key)
    if overlap:
        words = (
            "Cut the left and upper edge of a page along its frame where another page joins, lay "
            "it on the dashed line of that page so that the triangles meet point to point, tape."
        )
        for row in wrapped(letters, words, 3.4, width):
            out.append(letters.show(row, x, y, 3.4))
            y -= 4.7
    return "\n".join(out), y


def _squares(letters: Letters, x: float, top: float, width: float) -> tuple[str, float]:
    gap = min(16.0, width - SQUARE - INCHES)
    right = x + SQUARE + gap
    out = [pen(FINE), box(x, top - SQUARE, x + SQUARE, top) + " S"]
    out.append(box(right, top - INCHES, right + INCHES, top) + " S")
    out.append(letters.show("50 mm", x + SQUARE / 2, top - 24, 5.0, anchor=0.5))
    out.append(letters.show("1 31/32 in", x + SQUARE / 2, top - 31, 3.4, anchor=0.5))
    out.append(letters.show("2 in", right + INCHES / 2, top - 24, 5.0, anchor=0.5))
    out.append(letters.show("50.8 mm", right + INCHES / 2, top - 31, 3.4, anchor=0.5))
    return "\n".join(out), top - INCHES - 7.0


def _line(letters: Letters, x: float, y: float, length: float) -> tuple[str, float]:
    """A line of 150 mm with a tick every centimetre, inches below it."""
    length = 10.0 * int(length / 10.0 + 1e-9)
    out = [pen(FINE), lines([(x, y), (x + length, y)]) + " S"]
    for i in range(int(length / 10) + 1):
        tick = 4.0 if i % 5 == 0 else 2.0
        out.append(lines([(x + 10 * i, y), (x + 10 * i, y + tick)]) + " S")
    inches = int(length / 25.4 + 1e-9)
    for i in range(inches + 1):
        out.append(lines([(x + 25.4 * i, y), (x + 25.4 * i, y - 3.0)]) + " S")
    words = f"{length:.0f} mm, ticks every 10 mm; below, {inches} in"
    out.append(letters.show(words, x, y - 7.5, 3.4))
    return "\n".join(out), y - 14.5


def _columns(facts: Facts, width: float) -> int:
    step = 26.0 + 2.6 * max(map(len, facts.sizes), default=0)
    return max(1, int(width / step))


def _key(facts: Facts, letters: Letters, x: float, y: float, width: float) -> tuple[str, float]:
    out = []
    words = (
        "Thick lines: cut lines. Thin lines: seam lines."
        if facts.cut_and_seam
        else "Lines are the outlines as they were given."
    )
    out.append(letters.show(words, x, y, 3.4))
    y -= 6.5
    if len(facts.sizes) > 1:
        columns = _columns(facts, width)
        step = width / columns
        for i, (size, look) in enumerate(zip(facts.sizes, facts.looks, strict=True)):
            px, py = x + step * (i % columns), y - 6.0 * (i // columns)
            out.append(pen(look.weight, look.dash, look.ink))
            out.append(lines([(px, py + 1.2), (px + 20.0, py + 1.2)]) + " S")
            out.append(fill(look.ink))
            shown = fitted(letters, letters.printable(size), 3.6, step - 23.0)
            out.append(letters.show(shown, px + 22.0, py, 3.6))
        out.append(fill((0.0,)))
        y -= 6.0 * ceil(len(facts.sizes) / columns) + 2.0
    return "\n".join(out), y


def _scale(
    plan: Plan, room: tuple[float, float, float, float]
) -> tuple[FloatArray, FloatArray, float]:
    boxes = np.array([page.box for page in plan.pages])
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    wide, tall = high - low
    return low, high, min((room[2] - room[0]) / wide, (room[3] - room[1]) / tall, 0.25)


def smallest_page(plan: Plan, room: tuple[float, float, float, float]) -> float:
    """Shorter side of a page on the key plan, mm."""
    scale = _scale(plan, room)[2]
    return float(scale * min(plan.width, plan.height))


def key_plan(
    plan: Plan,
    outlines: list[FloatArray],
    letters: Letters,
    room: tuple[float, float, float, float],
) -> str:
    """All pages small, with their names and the outlines on them, inside room (x0, y0, x1, y1)."""
    low, _, scale = _scale(plan, room)
    x0, _, _, y1 = room
    tall = float(max(page.box[3] for page in plan.pages) - low[1])
    at = np.array([x0, y1 - scale * tall]) - scale * low

    out = [pen(0.15, (), (0.7,))]
    for page in plan.pages:
        a = at + scale * np.array(page.box[:2])
        b = at + scale * np.array(page.box[2:])
        out.append(box(float(a[0]), float(a[1]), float(b[0]), float(b[1])) + " S")
    out.append(pen(0.2, (), (0.0,)))
    out += [lines(at + scale * ring, closed=True) + " S" for ring in outlines]
    out.append(fill((0.0,)))
    for page in plan.pages:
        b = np.array(page.box)
        size = scale * float(min(b[2] - b[0], b[3] - b[1]))
        height = min(5.0, 0.3 * size)
        if height < 1.0:
            break
        middle = at + scale * 0.5 * (b[:2] + b[2:])
        x, y = float(middle[0]), float(middle[1]) - 0.36 * height
        half = 0.5 * letters.width(page.name, height) + 0.3
        out.append(fill((1.0,)))
        out.append(box(x - half, y - 0.3, x + half, y + 0.75 * height + 0.3) + " f")
        out.append(fill((0.0,)))
        out.append(letters.show(page.name, x, y, height, anchor=0.5))
    return "\n".join(out)
