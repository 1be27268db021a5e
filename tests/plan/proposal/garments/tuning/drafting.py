"""Drawing for the tuning garments: a piece is a chain of named points with lines or curves
between them. Proportions are invented; lengths that are sewn agree by construction or by solving
for one point."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import brentq
from truth import TrueRun

from seamwright.geometry import Curve, FloatArray, Station
from seamwright.model import (
    GrainLine,
    InternalKind,
    InternalLine,
    Notch,
    Pattern,
    Piece,
    Shape,
    build_shape,
)

XY = tuple[float, float]
SIZES = ("34", "36", "38", "40", "42", "44")
BASE = "38"


def xy(point: FloatArray) -> XY:
    """A point as two numbers."""
    return float(point[0]), float(point[1])


def line(a: XY, b: XY) -> Curve:
    return Curve.line(a, b)


def bow(a: XY, c: XY, d: XY, b: XY) -> Curve:
    """A cubic from a to b with handles c and d."""
    return Curve.from_segments(np.array([[a, c, d, b]], dtype=np.float64))


def joined(*curves: Curve) -> Curve:
    out = curves[0]
    for curve in curves[1:]:
        out = out.joined(curve, tolerance=1e-6)
    return out


def solve(f: Callable[[float], float], low: float, high: float) -> float:
    return float(brentq(f, low, high, xtol=1e-7))


@dataclass
class Drawn:
    """One piece in one size: edges by the name of the corner that begins them, notches as
    (edge, share of the edge or mm along it), the edge on the fold."""

    edges: dict[str, Curve]
    notches: dict[str, tuple[str, float]] = field(default_factory=dict)
    fold: str | None = None

    def length(self, edge: str) -> float:
        return self.edges[edge].length

    def grain(self, outline: Curve) -> GrainLine:
        """Upright through the middle, half as long as the piece is high."""
        x0, y0, x1, y1 = map(float, outline.bbox)
        x, y, h = (x0 + x1) / 2, (y0 + y1) / 2, (y1 - y0) / 4
        return GrainLine(start=(x, y - h), end=(x, y + h))

    def outline(self) -> Curve:
        return joined(*self.edges.values()).closed_up(1e-6)

    def shape(self, size: str) -> Shape:
        outline = self.outline()
        joints, count = {}, 0
        for name, curve in self.edges.items():
            joints[name] = count
            count += curve.n
        marks = []
        for mark, (edge, along) in self.notches.items():
            at = along if along > 1.0 else along * self.edges[edge].length
            at += float(outline.cumulative[joints[edge]])
            marks.append(Notch(name=mark, station=outline.station_at(at), depth=5.0))
        inside: tuple[InternalLine, ...] = ()
        if self.fold is not None:
            fold = self.edges[self.fold]
            inside = (InternalLine(kind=InternalKind.FOLD, curve=fold, name="fold"),)
        return build_shape(
            size=size,
            outline=outline,
            corners=[Station(j, 0.0) for j in joints.values()],
            corner_names=list(joints),
            notches=marks,
            internal_lines=inside,
            mirrored_half=self.fold is not None,
            grain_line=self.grain(outline),
        )


class Style:
    """A garment in all sizes, and its places by name."""

    def __init__(
        self,
        name: str,
        draft: Callable[[int], dict[str, Drawn]],
        quantity: dict[str, tuple[int, int]],
    ) -> None:
        self.drafts = [draft(k) for k in range(-2, 4)]
        pieces = [
            Piece(
                name=piece,
                shapes=tuple(
                    d[piece].shape(size) for d, size in zip(self.drafts, SIZES, strict=True)
                ),
                quantity=quantity.get(piece, (1, 1)),
            )
            for piece in self.drafts[0]
        ]
        self.pattern = Pattern(name=name, pieces=tuple(pieces), sizes=SIZES, base_size=BASE)

    def place(self, piece: str, mark: str) -> XY:
        shape = self.pattern.piece(piece).in_size(BASE)
        named = {n.name: n.station for n in shape.notches}
        named |= {c.name: c.station for c in shape.corners}
        if mark in named:
            return xy(shape.seam_line.point_of(named[mark]))
        raise KeyError((piece, mark))

    def run(self, text: str) -> TrueRun:
        """ "Piece: mark > mark" or with a mark between for the way."""
        piece, _, rest = text.partition(": ")
        marks = rest.split(" > ")
        via = self.place(piece, marks[1]) if len(marks) == 3 else None
        return TrueRun(piece, self.place(piece, marks[0]), self.place(piece, marks[-1]), via)

    def runs(self, texts: str | Sequence[str]) -> tuple[TrueRun, ...]:
        return tuple(self.run(t) for t in ([texts] if isinstance(texts, str) else texts))
