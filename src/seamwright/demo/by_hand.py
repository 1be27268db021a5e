"""The blouse as somebody draws it who has no thought of any other program.

Flat and unlabelled: every outline in several open strokes that do not quite meet, some drawn one
way and some the other, shapes and matrices nested, pixels without any physical size, styles in
three manners, names written inside the pieces, notches and grain lines as plain strokes, a remark
beside the pieces, and one notch in the wrong place. The sizes are right at 96 pixels an inch.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from html import escape
from itertools import pairwise
from math import cos, radians, sin

import numpy as np

from seamwright.geometry import LINE, Curve, FloatArray

from .blouse import draft
from .body import base_size, chorus
from .drawn import Drawn

PIXELS = 96 / 25.4
PAGE = (4000, 2560)
SLIPS = {("Front", "waist"): -3.0}  # mm along the edge: a notch that somebody set by eye

SHORT = 8.0

# Loose ends in mm, taken in turn: how far a stroke stops short of the corner. Nobody sees them.
GAPS = (0.03, 0.01, 0.04, 0.0, 0.02)


@dataclass(frozen=True, slots=True, kw_only=True)
class Placing:
    """How one piece came onto the page: where its origin lies (pixels), how far it is turned
    (degrees, as on the screen), and in which of the three habits its strokes were saved."""

    x: float
    y: float
    turned: float
    habit: str

    @property
    def opening(self) -> str:
        """The transforms around the piece's strokes, outermost first."""
        k = PIXELS
        if self.habit == "flipped":  # millimetres, y up, in two nested groups
            return f'<g transform="translate({self.x},{self.y})"><g transform="scale({k},{-k})">'
        c, s = cos(radians(self.turned)), sin(radians(self.turned))
        if self.habit == "matrix":  # centimetres, y down
            a, b = 10 * k * c, 10 * k * s
            return f'<g transform="matrix({a},{b},{-b},{a},{self.x},{self.y})"><g>'
        return f'<g transform="translate({self.x} {self.y}) rotate({self.turned})"><g>'

    def own(self, points: FloatArray) -> FloatArray:
        """Drafted points (mm, y up) in the units that the strokes are written in."""
        scale = {"flipped": (1.0, 1.0), "matrix": (0.1, -0.1), "turned": (PIXELS, -PIXELS)}
        return np.asarray(points * np.array(scale[self.habit]))

    @property
    def digits(self) -> int:
        """Decimals: a few thousandths of a millimetre, whatever the unit."""
        return {"flipped": 3, "matrix": 4, "turned": 2}[self.habit]

    def on_page(self, x: float, y: float) -> tuple[float, float]:
        """A drafted point on the page, pixels."""
        c, s = cos(radians(self.turned)), sin(radians(self.turned))
        px, py = x * PIXELS, -y * PIXELS
        return self.x + c * px - s * py, self.y + s * px + c * py


PLACINGS = {
    "Back": Placing(x=150.0, y=1730.0, turned=0.0, habit="flipped"),
    "Front": Placing(x=1270.0, y=1745.0, turned=2.0, habit="matrix"),
    "Sleeve": Placing(x=3120.0, y=820.0, turned=-1.5, habit="turned"),
}
NOTES = {
    "Back": ("cut 1 on fold",),
    "Front": ("cut 2", "mirror!"),
    "Sleeve": ("cut 2",),
}
STYLE = "<style>.a{fill:none;stroke:#222;stroke-width:1.5px} .t{font-family:sans-serif}</style>"


def by_hand(size: str | None = None) -> bytes:
    """The drawing as an SVG file, in one size (the base size by default)."""
    size = size or base_size()
    body = next(b for b in chorus() if b.size == size)
    lines = [
        '<?xml version="1.0"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{PAGE[0]}" height="{PAGE[1]}">',
        STYLE,
    ]
    number = 1000
    for drawn in draft(body):
        placing = PLACINGS[drawn.name]
        lines.append(placing.opening)
        for element in _strokes(drawn, placing):
            number += 7
            lines.append(f'<{element} id="path{number}" {_look(number, placing)}/>')
        lines.append("</g></g>")
        lines.extend(_words(drawn, placing))
    lines.append(
        '<text class="t" x="2480" y="110" font-size="36">'
        f"chorus blouse, size {escape(size)} - sleeve goes in badly, check!</text>"
    )
    lines.append("</svg>\n")
    return "\n".join(lines).encode()


def _look(number: int, placing: Placing) -> str:
    """A stroke's style: by class, by attributes or by a style list, as it comes."""
    width = {"flipped": 0.4, "matrix": 0.04, "turned": 1.5}[placing.habit]
    return (
        f'style="fill:none;stroke:#000000;stroke-width:{width};stroke-linecap:round"',
        f'fill="none" stroke="black" stroke-width="{width}"',
        f'class="a" style="stroke-width:{width}px"',
    )[number % 3]


def _strokes(drawn: Drawn, placing: Placing) -> Iterator[str]:
    turn = 0
    for edge in drawn.edges.values():
        # A long edge is two strokes; every other stroke is drawn backwards.
        cuts = [0.0, edge.length] if edge.length < 260 else [0.0, 0.55 * edge.length, edge.length]
        for start, end in pairwise(cuts):
            piece = edge.part(start, end - GAPS[turn % len(GAPS)])
            yield _element(piece if turn % 2 else piece.reversed(), placing)
            turn += 1
    for mark in drawn.marks:
        edge = drawn.edges[mark.edge]
        along = mark.along + SLIPS.get((drawn.name, mark.name), 0.0)
        at, inward = edge.point_at(along), edge.normal_at(along)
        yield _element(Curve.line(at - 2.0 * inward, at + 5.5 * inward), placing)
    low, high = (np.array(p) for p in drawn.grain)
    yield _element(Curve.line(low, high), placing)
    for tip, back in ((low, high), (high, low)):
        yield _element(_arrow_head(tip, back), placing)
    for line in drawn.inside.values():  # drawn a little short of the outline
        yield _element(line.part(SHORT, line.length - SHORT), placing)


def _arrow_head(tip: FloatArray, back: FloatArray) -> Curve:
    along = (back - tip) / float(np.hypot(*(back - tip)))
    across = np.array([-along[1], along[0]])
    return Curve.polyline([tip + 7 * along + 3 * across, tip, tip + 7 * along - 3 * across])


def _element(curve: Curve, placing: Placing) -> str:
    points = placing.own(np.asarray(curve.segments))

    def say(point: FloatArray) -> str:
        return ",".join(f"{v:.{placing.digits}f}" for v in point)

    if curve.n == 1 and curve.kinds[0] == LINE and placing.habit == "turned":
        (x1, y1), (x2, y2) = (say(p).split(",") for p in points[0, [0, 3]])
        return f'line x1="{x1}" y1="{y1}" x2="{x2}" y2="{y2}"'
    words = [f"M {say(points[0, 0])}"]
    for segment, kind in zip(points, curve.kinds, strict=True):
        words.append(
            f"L {say(segment[3])}" if kind == LINE else "C " + " ".join(map(say, segment[1:]))
        )
    return f'path d="{" ".join(words)}"'


def _words(drawn: Drawn, placing: Placing) -> Iterator[str]:
    x, y = placing.on_page(*drawn.label)
    yield f'<text x="{x:.1f}" y="{y:.1f}" font-size="54" class="t">{escape(drawn.name)}</text>'
    for line, note in enumerate(NOTES[drawn.name], start=1):
        yield (
            f'<text style="font-size:30px;font-family:sans-serif" x="{x:.1f}" '
            f'y="{y + 54 * line:.1f}"><tspan>{escape(note)}</tspan></text>'
        )
