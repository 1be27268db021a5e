"""How the judging garments are drafted: corners by size, edges straight or drawn with handles.

This code and the garments in `judging_garments.py` are for judging only: nothing in the proposal of
seams was tuned on them, and they share no drafting code with the garments that tuned it. All
measures are invented; the pieces fit nobody.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np
from truth import TrueRun, TrueSeam

from seamwright.geometry import Curve, Station
from seamwright.model import (
    Dart,
    GrainLine,
    InternalKind,
    InternalLine,
    Notch,
    NotchType,
    Pattern,
    Piece,
    Shape,
    align_sizes,
    build_shape,
)

SIZES = ("34", "36", "38", "40", "42")
BASE = "38"
Point = tuple[float, float]


@dataclass(slots=True)
class Draft:
    """One piece in one size: corners in order round the piece, and what lies on the edges.

    corners  name -> place
    bends    corner -> handles of the edge that starts there: one cubic
    notches  (corner, share of its edge, double)
    darts    (corner, share of its edge, width of the mouth, depth square to the edge)
    fold     corner whose edge lies on the fold
    """

    corners: dict[str, Point]
    bends: dict[str, tuple[Point, Point]] = field(default_factory=dict)
    notches: list[tuple[str, float, bool]] = field(default_factory=list)
    darts: list[tuple[str, float, float, float]] = field(default_factory=list)
    fold: str | None = None
    quantity: tuple[int, int] = (2, 0)

    def edge(self, corner: str) -> Curve:
        names = list(self.corners)
        a = self.corners[corner]
        b = self.corners[names[(names.index(corner) + 1) % len(names)]]
        if corner not in self.bends:
            return Curve.line(a, b)
        c, d = self.bends[corner]
        return Curve.from_segments([[a, c, d, b]])

    def length(self, *corners: str) -> float:
        """Of the edges that start there, mouths of darts taken out."""
        whole = sum(float(self.edge(c).length) for c in corners)
        return whole - sum(w for c, _, w, _ in self.darts if c in corners)


Drafts = Mapping[str, Draft]


def made(name: str, draft: Callable[[int], Drafts], seams: Callable[[Truth], None]) -> tuple[
    str, Pattern, list[TrueSeam]
]:  # fmt: skip
    """A garment in all sizes: `draft(k)` gives the pieces k sizes away from the base size."""
    sizes = {size: draft(k) for k, size in zip(range(-2, 3), SIZES, strict=True)}
    base = sizes[BASE]
    pieces = []
    for piece in base:
        shapes = tuple(_shape(sizes[size][piece], size) for size in SIZES)
        made = Piece(name=piece, shapes=shapes, quantity=base[piece].quantity)
        pieces.append(align_sizes(made, BASE))
    pattern = Pattern(name=name, pieces=tuple(pieces), sizes=SIZES, base_size=BASE)
    truth = Truth(base)
    seams(truth)
    return name, pattern, truth.seams


def _shape(draft: Draft, size: str) -> Shape:
    curves = [draft.edge(c) for c in draft.corners]
    outline = curves[0]
    starts = [0.0]
    for curve in curves[1:]:
        starts.append(float(outline.length))
        outline = outline.joined(curve)
    outline = outline.closed_up()
    begin = dict(zip(draft.corners, starts, strict=True))
    joints = np.cumsum([0, *(c.n for c in curves[:-1])])

    def at(corner: str, share: float, more: float = 0.0) -> Station:
        return outline.station_at(begin[corner] + share * float(draft.edge(corner).length) + more)

    inside = -1.0 if outline.area > 0 else 1.0
    darts = []
    for i, (corner, share, width, depth) in enumerate(draft.darts):
        edge = draft.edge(corner)
        place = np.asarray(edge.point_at(share * float(edge.length)))
        way = np.asarray(edge.point_at(min(1.0, share + 0.01) * float(edge.length))) - place
        way /= np.hypot(*way)
        apex = place + inside * depth * np.array([way[1], -way[0]])
        darts.append(
            Dart(
                name=f"d{i}",
                left=at(corner, share, -width / 2),
                right=at(corner, share, width / 2),
                apex=(float(apex[0]), float(apex[1])),
            )
        )
    notches = []
    for corner, share, double in draft.notches:
        for more in (0.0, 8.0) if double else (0.0,):
            notches.append(
                Notch(name="", station=at(corner, share, more), type=NotchType.SLIT, depth=4.0)
            )
    lines: tuple[InternalLine, ...] = ()
    if draft.fold is not None:
        fold = draft.edge(draft.fold)
        lines = (InternalLine(kind=InternalKind.FOLD, curve=fold, name=""),)
    box = outline.bbox
    x, y0, y1 = float(box[0] + box[2]) / 2, float(box[1]), float(box[3])
    grain = GrainLine(start=(x, y0 + 0.3 * (y1 - y0)), end=(x, y0 + 0.7 * (y1 - y0)))
    return build_shape(
        size=size,
        outline=outline,
        corners=[Station(int(j), 0.0) for j in joints],
        notches=notches,
        darts=darts,
        internal_lines=lines,
        grain_line=grain,
        mirrored_half=draft.fold is not None,
    )


class Truth:
    """The true seams, said by names of corners of the base size."""

    def __init__(self, base: Drafts) -> None:
        self.base = base
        self.seams: list[TrueSeam] = []

    def run(self, text: str) -> TrueRun:
        """ "Piece: a > b" or "Piece: a > m > b" by way of a third corner; "a~60" is the place
        60 mm before the end of the edge that starts at a."""
        piece, _, rest = text.partition(":")
        at = [self.place(self.base[piece.strip()], n.strip()) for n in rest.split(">")]
        return TrueRun(piece.strip(), at[0], at[-1], at[1] if len(at) == 3 else None)

    @staticmethod
    def place(draft: Draft, name: str) -> Point:
        corner, _, before = name.partition("~")
        if not before:
            return draft.corners[corner]
        edge = draft.edge(corner)
        x, y = edge.point_at(float(edge.length) - float(before))
        return float(x), float(y)

    def seam(
        self, name: str, a: str | list[str], b: str | list[str], cap: str | None = None
    ) -> None:
        """Two sides, each a run or several, starting at the ends that meet."""
        one, other = (
            tuple(self.run(t) for t in ([side] if isinstance(side, str) else side))
            for side in (a, b)
        )
        self.seams.append(TrueSeam(name, one, other, cap))  # type: ignore[arg-type]


def solved(wanted: float, measure: Callable[[float], float], low: float, high: float) -> float:
    """The x between low and high at which measure(x), which grows, is `wanted`."""
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if measure(middle) < wanted else (low, middle)
    return (low + high) / 2
