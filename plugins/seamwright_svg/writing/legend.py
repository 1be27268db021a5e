"""The legend: title, the sizes' inks, a test square and a scale bar; no part of the pattern."""

from __future__ import annotations

from typing import Final

from seamwright.model import Pattern

from ..tree.xml_out import Out
from .looks import FINE, INK, QUIET, ink_of
from .pen import Pen

HEIGHT: Final = 88.0  # mm that the legend takes
WIDTH: Final = 330.0
_SQUARE: Final = 50.0
_BAR: Final = 100.0


def write_legend(out: Out, pattern: Pattern, pen: Pen, left: float, top: float) -> None:
    """Draws the legend with its upper left corner at (left, top), y up."""
    out.open(
        "g",
        {
            "inkscape:groupmode": "layer", "inkscape:label": "Legend", "id": "legend",
            "data-role": "legend", "font-family": "sans-serif", "fill": INK,
        },
    )  # fmt: skip
    _rule(out, pen, left, top, left + WIDTH)
    _text(out, pen, left, top - 13.0, 9.0, pattern.name)
    _text(out, pen, left, top - 21.0, 4.2, _summary(pattern), QUIET)
    _square(out, pen, left, top - 28.0)
    right = left + _SQUARE + 16.0
    _bar(out, pen, right, top - 34.0)
    for i, line in enumerate(
        (
            "Print at 100 %. Measure the square and the bar before you cut.",
            "Test-cut in cheap cloth.",
        )
    ):
        _text(out, pen, right, top - 52.0 - 6.0 * i, 4.0, line, QUIET)
    _sizes(out, pattern, pen, right, top - 72.0)
    out.close("g")


def _summary(pattern: Pattern) -> str:
    pieces = len(pattern.pieces)
    words = [f"{pieces} piece" + ("" if pieces == 1 else "s")]
    if len(pattern.sizes) > 1:
        words.append(f"{len(pattern.sizes)} sizes, {pattern.sizes[0]} to {pattern.sizes[-1]}")
        words.append(f"base size {pattern.base_size}")
    elif pattern.sizes:
        words.append(f"size {pattern.sizes[0]}")
    if any(s.cut_line is not None for p in pattern.pieces for s in p.shapes):
        words.append("cut lines full, seam lines dashed")
    else:
        words.append("lines are seam lines")
    return "  ·  ".join([*words, "1 unit = 1 mm"])


def _sizes(out: Out, pattern: Pattern, pen: Pen, left: float, top: float) -> None:
    count = len(pattern.sizes)
    if count < 2:
        return
    step = max(18.0, 10.0 + 3.0 * max(map(len, pattern.sizes)))
    in_row = max(1, int((WIDTH - 66.0) // step))
    for i, size in enumerate(pattern.sizes):
        x, y = left + step * (i % in_row), top - 7.0 * (i // in_row)
        base = size == pattern.base_size
        out.leaf(
            "path",
            {
                "fill": "none", "stroke": ink_of(i, count),
                "stroke-width": "1.6" if base else "0.8",
                "d": pen.polyline((x, y + 1.3), (x + 7.0, y + 1.3)),
            },
        )  # fmt: skip
        _text(out, pen, x + 8.5, y, 4.2, size)


def _square(out: Out, pen: Pen, x: float, top: float) -> None:
    side = _SQUARE
    out.leaf(
        "path",
        {
            "id": "test-square", "fill": "none", "stroke": INK, "stroke-width": FINE,
            "d": pen.polyline(
                (x, top), (x + side, top), (x + side, top - side), (x, top - side), closed=True
            ),
        },
    )  # fmt: skip
    _text(out, pen, x + 4.0, top - side / 2, 4.2, "50 mm")
    _text(out, pen, x + 4.0, top - side / 2 - 6.0, 4.2, "(1 31/32 in)", QUIET)


def _bar(out: Out, pen: Pen, x: float, y: float) -> None:
    ticks = "".join(
        pen.polyline((x + 10.0 * i, y), (x + 10.0 * i, y - (5.0 if i % 5 == 0 else 2.5)))
        for i in range(11)
    )
    out.leaf(
        "path",
        {
            "id": "scale-bar", "fill": "none", "stroke": INK, "stroke-width": FINE,
            "d": pen.polyline((x, y), (x + _BAR, y)) + ticks,
        },
    )  # fmt: skip
    _text(out, pen, x, y - 10.0, 4.2, "0")
    _text(out, pen, x + _BAR - 5.0, y - 10.0, 4.2, "100 mm (3 15/16 in)")


def _rule(out: Out, pen: Pen, x: float, y: float, right: float) -> None:
    out.leaf(
        "path",
        {
            "fill": "none", "stroke": QUIET, "stroke-width": FINE,
            "d": pen.polyline((x, y), (right, y)),
        },
    )  # fmt: skip


def _text(
    out: Out, pen: Pen, x: float, y: float, height: float, text: str, ink: str | None = None
) -> None:
    px, py = pen.xy((x, y))
    out.leaf("text", {"x": px, "y": py, "font-size": pen.n(height), "fill": ink}, text)
