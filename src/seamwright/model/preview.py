"""A picture to look at: pieces side by side, sizes nested, each with its name below it.

Not to scale and no file format: lines have the weight of a screen's pixels, and what is in the
picture is only what a person wants to see at a glance.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from html import escape
from typing import Final, Literal

import numpy as np

from seamwright.geometry import Curve, FloatArray
from seamwright.numbers import fixed

from .drawn import Ink, drawn_lines
from .pattern import Pattern, Piece
from .picture import path_data
from .shape import Shape

#: Inks from small to large, dark enough for thin lines on white, apart in lightness as well.
INKS: Final = (
    "#1d4e6b",
    "#2c7a73",
    "#5b8a3a",
    "#a8842c",
    "#b5602f",
    "#9c3d46",
    "#743a68",
    "#4c4787",
)
INK: Final = "#22303a"
QUIET: Final = "#7d8790"
CLOTH: Final = "#f6f1e4"
PAPER: Final = "#ffffff"
FONT: Final = "'Bitstream Vera Sans','DejaVu Sans',Verdana,sans-serif"
_LETTER: Final = 0.62  # width of a letter in heights, on average


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """A line in pixels, y down. fill: "" for none; dash: lengths in pixels, empty for a plain
    line."""

    curve: Curve
    ink: str
    weight: float
    dash: tuple[float, ...] = ()
    fill: str = ""


@dataclass(frozen=True, slots=True)
class Words:
    """A text, centred on x, its baseline at y, in pixels."""

    text: str
    x: float
    y: float
    size: float
    ink: str
    bold: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Preview:
    """A picture in pixels, y down.

    scale   pixels to a mm
    """

    title: str
    width: int
    height: int
    scale: float
    lines: tuple[Line, ...]
    words: tuple[Words, ...]

    @property
    def svg(self) -> str:
        """The picture as self-contained SVG text; names from files are only text in it."""
        out = [
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{self.width}" height="{self.height}" '
            f'viewBox="0 0 {self.width} {self.height}" role="img"><title>{_safe(self.title)}'
            f'</title><rect width="{self.width}" height="{self.height}" fill="{PAPER}"/>'
        ]
        for line in self.lines:
            dash = f' stroke-dasharray="{" ".join(fixed(d, 2) for d in line.dash)}"'
            out.append(
                f'<path d="{path_data(_flipped(line.curve), digits=2)}" '
                f'fill="{line.fill or "none"}" stroke="{line.ink}" '
                f'stroke-width="{fixed(line.weight, 2)}"{dash if line.dash else ""} '
                'stroke-linejoin="round"/>'
            )
        for word in self.words:
            bold = ' font-weight="bold"' if word.bold else ""
            out.append(
                f'<text x="{fixed(word.x, 1)}" y="{fixed(word.y, 1)}" text-anchor="middle" '
                f'font-family="{FONT}" font-size="{fixed(word.size, 1)}" fill="{word.ink}"{bold}>'
                f"{_safe(word.text)}</text>"
            )
        return "".join(out) + "</svg>\n"

    def _repr_svg_(self) -> str:
        return self.svg


def preview(
    thing: Pattern | Piece,
    *,
    width: int = 900,
    dpi: float | None = None,
    sizes: Collection[str] | None = None,
    labels: bool = True,
    layout: Literal["rows", "keep"] = "rows",
) -> Preview:
    """A picture of a piece or of a pattern, all its sizes nested.

    width   of the picture in pixels
    dpi     pixels an inch instead: the picture shows everything at true size
    sizes   the sizes to show, by name; None for all
    labels  whether names, numbers to cut and sizes stand in it
    layout  "rows" side by side, "keep" where the pieces lie in the pattern

    Raises ValueError for a size that is not there, or a width or dpi that is not above 0.
    """
    if width <= 0 or (dpi is not None and not dpi > 0):
        raise ValueError("a picture needs a width and a resolution above 0")
    pieces = thing.pieces if isinstance(thing, Pattern) else (thing,)
    known = thing.sizes
    if sizes is not None and not set(sizes) <= set(known):
        missing = sorted(set(sizes) - set(known))
        raise ValueError(f"there is no size {', '.join(missing)}; sizes: {', '.join(known)}")
    shown = [s for s in known if sizes is None or s in sizes]
    base = thing.base_size if isinstance(thing, Pattern) else _middle(shown)
    nests = [(p, [s for s in p.shapes if s.size in shown]) for p in pieces]
    nests = [(p, shapes) for p, shapes in nests if shapes]
    # Letters keep their size on wide pictures and grow a little with them.
    letter = 13.0 * max(1.0, (width / 1100.0) ** 0.6) if dpi is None else dpi / 25.4 * 6.0
    room = _Room(nests, letter if labels else 0.0, layout)
    scale = dpi / 25.4 if dpi is not None else room.scale_for(float(width))
    placed, wide, tall = room.places(scale)
    name = thing.name or "Pattern"
    lines: list[Line] = []
    words: list[Words] = []
    weight = max(1.0, scale * 0.25, width / 1400.0 if dpi is None else 0.0)
    for (piece, shapes), (x, y) in zip(nests, placed, strict=True):
        x0, y0, x1, y1 = (float(v) for v in room.box_of(shapes))
        to_px = np.array([[scale, 0.0, x - scale * x0], [0.0, -scale, y + scale * y1]])
        for shape in sorted(shapes, key=lambda s: (s.size != base, -abs(s.seam_line.area))):
            lead = shape.size == base or len(shapes) == 1
            ink = INK if len(shown) == 1 else _ink(shown.index(shape.size), len(shown))
            lines += _lines(shape, to_px, ink, weight, lead=lead)
        if labels:
            under = y + scale * (y1 - y0)
            words += _labels(piece, shapes, x + scale * (x1 - x0) / 2, under, letter)
    if labels and len(shown) > 1:
        legend, tall = _legend(shown, wide, tall, letter, weight, lines)
        words += legend
    whole = (max(1, math.ceil(wide)), max(1, math.ceil(tall)))
    return Preview(name, *whole, scale, tuple(lines), tuple(words))


class _Room:
    """Where the pieces go: in rows, or where they lie."""

    def __init__(
        self, nests: Sequence[tuple[Piece, list[Shape]]], letter: float, layout: str
    ) -> None:
        self._boxes = [self.box_of(shapes) for _, shapes in nests]
        self._names = [_below(piece, shapes) for piece, shapes in nests]
        self._letter = letter
        self._gap = 16.0 + 0.6 * letter
        self._keep = layout == "keep"

    @staticmethod
    def box_of(shapes: Sequence[Shape]) -> FloatArray:
        """Around all outlines, mm."""
        lines = [s.seam_line.bbox for s in shapes]
        lines += [s.cut_line.bbox for s in shapes if s.cut_line is not None]
        boxes = np.array(lines)
        return np.concatenate((boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)))

    def scale_for(self, width: float) -> float:
        """Pixels to a mm for a picture that wide."""
        if not self._boxes:
            return 1.0
        boxes = np.array(self._boxes)
        if self._keep:
            across = float(boxes[:, 2].max() - boxes[:, 0].min())
        else:
            across = self._row_width()
        pad = 2 * self._gap
        scale = max(width - pad, 10.0) / max(across, 1e-6)
        for _ in range(60):  # gaps and names are pixels, so rows need a little more than mm say
            if self.places(scale)[1] <= width + 0.5:
                return scale
            scale *= 0.985
        return scale

    def _row_width(self) -> float:
        """mm across: the widest piece at least, and about three wide to two high in all."""
        spans = np.array([box[2:] - box[:2] for box in self._boxes])
        whole = float((spans[:, 0] * spans[:, 1] * 1.25).sum())
        total = float(spans[:, 0].sum())
        return float(min(max(float(spans[:, 0].max()), math.sqrt(1.5 * whole)), total))

    def places(self, scale: float) -> tuple[list[tuple[float, float]], float, float]:
        """Pixels of each piece's own upper left corner, and the picture's width and height."""
        gap, letter = self._gap, self._letter
        below = 3.2 * letter
        if self._keep and self._boxes:
            boxes = np.array(self._boxes)
            x0, y1 = boxes[:, 0].min(), boxes[:, 3].max()
            at = [(gap + (b[0] - x0) * scale, gap + (y1 - b[3]) * scale) for b in self._boxes]
            wide = (boxes[:, 2].max() - x0) * scale + 2 * gap
            tall = (y1 - boxes[:, 1].min()) * scale + 2 * gap + below
            return at, float(wide), float(tall)
        limit = self._row_width() * scale if self._boxes else 0.0
        out: list[tuple[float, float]] = []
        x, y, row, wide = gap, gap, 0.0, 2 * gap
        used = 0.0
        for box, names in zip(self._boxes, self._names, strict=True):
            w, h = (box[2:] - box[:2]) * scale
            cell = max(float(w), max(map(len, names)) * letter * _LETTER)
            if out and used + float(w) > limit * 1.0001:
                x, y, row, used = gap, y + row + gap, 0.0, 0.0
            out.append((x + (cell - float(w)) / 2, y))
            x, used = x + cell + gap, used + float(w)
            row, wide = max(row, float(h) + below), max(wide, x)
        return out, wide, y + row + gap * 0.6


_DASHES: Final = {Ink.INSIDE: (7.0, 3.0), Ink.SEAM: (5.0, 3.0)}


def _lines(shape: Shape, to_px: FloatArray, ink: str, weight: float, *, lead: bool) -> list[Line]:
    """A piece in one size. lead: the size that is drawn whole, the others show their lines only."""
    out = []
    cloth = CLOTH if lead else ""
    outer = Ink.CUT if shape.cut_line is not None else Ink.SEAM
    for line in drawn_lines(shape):
        curve = line.curve.transformed(to_px)
        match line.ink:
            case Ink.SEAM | Ink.CUT:
                outermost = line.ink is outer
                dash = () if outermost else _DASHES[Ink.SEAM]
                fill = cloth if outermost else ""
                heavy = weight if outermost else 0.8 * weight
                out.append(Line(curve, ink, 1.3 * heavy if lead else heavy, dash, fill))
            case Ink.NOTCH:
                out.append(Line(curve, ink, 1.2 * weight))
            case Ink.CUTOUT:
                out.append(Line(curve, ink, weight))
            case Ink.HOLE:
                out.append(Line(curve, ink, 0.8 * weight))
            case _ if lead:
                dash = _DASHES.get(line.ink, ())
                out.append(Line(curve, QUIET, 0.8 * weight, dash))
    return out


def _below(piece: Piece, shapes: Sequence[Shape]) -> tuple[str, str]:
    """The name, and what else stands under a piece."""
    number = sum(piece.quantity)
    words = [f"cut {number}" if number != 1 else "", piece.material]
    if any(s.mirrored_half for s in shapes):
        words.append("on the fold")
    return piece.name, ", ".join(w for w in words if w)


def _labels(
    piece: Piece, shapes: Sequence[Shape], middle: float, under: float, letter: float
) -> list[Words]:
    name, more = _below(piece, shapes)
    out = [Words(name, middle, under + 1.5 * letter, letter, INK, bold=True)]
    if more:
        out.append(Words(more, middle, under + 2.7 * letter, 0.85 * letter, QUIET))
    return out


def _legend(
    sizes: Sequence[str], wide: float, tall: float, letter: float, weight: float, lines: list[Line]
) -> tuple[list[Words], float]:
    """The sizes' inks below everything; and the picture's height with them."""
    words = []
    x, y = 1.5 * letter, tall + letter
    for number, size in enumerate(sizes):
        long = 2.0 * letter
        text = len(size) * letter * _LETTER
        if x > 1.5 * letter and x + long + text + 2.5 * letter > wide:
            x, y = 1.5 * letter, y + 1.8 * letter
        ink = _ink(number, len(sizes))
        stroke = Curve.line((x, y - 0.35 * letter), (x + long, y - 0.35 * letter))
        lines.append(Line(stroke, ink, 1.5 * weight))
        words.append(Words(size, x + long + 0.5 * letter + text / 2, y, letter, INK))
        x += long + text + 2.2 * letter
    return words, y + 1.2 * letter


def _ink(number: int, count: int) -> str:
    if count <= len(INKS):
        return INKS[round(number * (len(INKS) - 1) / max(count - 1, 1))]
    return INKS[number % len(INKS)]


def _flipped(curve: Curve) -> Curve:
    """`path_data` turns y down; here it points down already."""
    return curve.transformed([[1.0, 0.0, 0.0], [0.0, -1.0, 0.0]])


def _safe(text: str) -> str:
    return escape("".join(c if c.isprintable() else " " for c in text))


def _middle(sizes: Sequence[str]) -> str:
    return sizes[(len(sizes) - 1) // 2] if sizes else ""
