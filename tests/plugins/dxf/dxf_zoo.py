"""DXF files in many dialects, made by script: one small style, written the way that different
senders write it. What each file says is known, so a reader can be held to it."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

Tag = tuple[int, object]
XY = Sequence[float] | np.ndarray

SIZES = ("S", "M", "L")
GROWTH = {"S": -8.0, "M": 0.0, "L": 8.0}


@dataclass(frozen=True)
class Drawn:
    """One piece in one size, in mm: what any dialect must bring across."""

    name: str
    size: str
    outline: np.ndarray
    turns: tuple[int, ...]
    notches: tuple[tuple[int, float, float], ...]  # layer, share along the outline, depth
    grain: np.ndarray
    internal: np.ndarray
    cutout: np.ndarray
    drill: tuple[float, float]
    quantity: tuple[int, int]

    def place(self, share: float) -> np.ndarray:
        """The point at a share of the outline's length."""
        ring = np.vstack((self.outline, self.outline[:1]))
        steps = np.hypot(*np.diff(ring, axis=0).T)
        at = share * steps.sum()
        k = int(np.searchsorted(np.cumsum(steps), at))
        before = np.cumsum(steps)[k] - steps[k]
        return np.asarray(ring[k] + (at - before) / steps[k] * (ring[k + 1] - ring[k]))

    @property
    def length(self) -> float:
        ring = np.vstack((self.outline, self.outline[:1]))
        return float(np.hypot(*np.diff(ring, axis=0).T).sum())

    @property
    def area(self) -> float:
        x, y = self.outline.T
        return abs(float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))) / 2.0


def _curve(a: XY, b: XY, bow: float, n: int) -> np.ndarray:
    """n points from a towards b on a bowed line, b left out."""
    t = np.arange(n) / n
    p = np.outer(1 - t, a) + np.outer(t, b)
    d = np.subtract(b, a)
    normal = np.array([-d[1], d[0]]) / np.hypot(*d)
    return np.asarray(p + (4 * t * (1 - t) * bow)[:, None] * normal)


def piece(name: str, size: str) -> Drawn:
    """A front or back: straight hem and sides, curved armhole and neck; asymmetric like an F."""
    g = GROWTH[size]
    w, h = (240.0 if name == "FRONT" else 260.0) + g, 600.0 + g
    x0 = 0.0 if name == "FRONT" else 700.0
    corners = [
        (x0, 0.0), (x0 + w, 10.0), (x0 + w - 15.0, h - 220.0), (x0 + w - 60.0, h - 30.0),
        (x0 + 90.0, h), (x0, h - 110.0),
    ]  # fmt: skip
    bows = [0.0, 0.0, 25.0, 0.0, 18.0, 0.0]
    counts = [1, 1, 14, 1, 10, 1]
    parts, turns, at = [], [], 0
    for k, (bow, n) in enumerate(zip(bows, counts, strict=True)):
        turns.append(at)
        parts.append(_curve(corners[k], corners[(k + 1) % 6], bow, n))
        at += n
    outline = np.vstack(parts)
    middle = np.array([x0 + 0.45 * w, 0.4 * h])
    box = np.array([[0, 0], [30, 0], [30, 20], [0, 20]], dtype=float)
    return Drawn(
        name=name,
        size=size,
        outline=outline,
        turns=tuple(turns),
        notches=((4, 0.05, 6.0), (80, 0.28, 5.0), (81, 0.52, 4.0), (83, 0.83, 5.0)),
        grain=np.add(middle, [[0, -100], [0, 150]]),
        internal=np.add(middle, [[-60, 40], [60, 44], [80, 90]]),
        cutout=box + np.add(middle, [-40, -80]),
        drill=(float(middle[0] + 50), float(middle[1] - 60)),
        quantity=(1, 1) if name == "FRONT" else (1, 0),
    )


def style(sizes: Iterable[str] = SIZES) -> list[Drawn]:
    """The pieces in all sizes."""
    return [piece(n, s) for n in ("FRONT", "BACK") for s in sizes]


def moved(item: Drawn, dx: float, dy: float) -> Drawn:
    """The same piece elsewhere."""
    by = np.array([dx, dy])
    return replace(
        item,
        outline=item.outline + by,
        grain=item.grain + by,
        internal=item.internal + by,
        cutout=item.cutout + by,
        drill=(item.drill[0] + dx, item.drill[1] + dy),
    )


@dataclass(frozen=True)
class Dialect:
    """How a sender writes. scale: drawing units a mm.

    header    header variables; units_text: value of the text Units ("" none)
    boundary  "polyline", "lwpolyline", "lines", "shuffled", "splines" (degree 1)
    closing   "flag", "repeat", "both", "near"
    points    layers of the point marks that are written (2, 3)
    notch     "39", "30", "line"
    names     "texts" or "blocks" (NAME_SIZE) or "blocks-dash"
    where     "blocks", "inserted", "entities"
    """

    scale: float = 1.0
    decimals: int = 4
    header: tuple[tuple[str, int, object], ...] = ()
    units_text: str = "METRIC"
    boundary: str = "polyline"
    closing: str = "flag"
    points: tuple[int, ...] = (2, 3)
    notch: str = "39"
    names: str = "texts"
    where: str = "inserted"
    layer: Callable[[int], str] = str
    piece_name: Callable[[str], str] = lambda name: name
    clockwise: bool = False
    layouts: bool = False
    tables: bool = False
    sample: str = "M"
    extra: Callable[[], list[Tag]] = list


class Sheet:
    """Tags being written."""

    def __init__(self, dialect: Dialect) -> None:
        self.d = dialect
        self.tags: list[Tag] = []

    def add(self, *tags: Tag) -> None:
        self.tags += tags

    def n(self, value: float) -> str:
        return f"{value * self.d.scale:.{self.d.decimals}f}"

    def xy(self, p: XY, first: int = 10) -> list[Tag]:
        return [(first, self.n(p[0])), (first + 10, self.n(p[1])), (first + 20, "0.0")]

    def line(self, layer: int, a: XY, b: XY) -> None:
        self.add((0, "LINE"), (8, self.d.layer(layer)), *self.xy(a), *self.xy(b, 11))

    def point(self, layer: int, p: XY, *more: Tag) -> None:
        self.add((0, "POINT"), (8, self.d.layer(layer)), *self.xy(p), *more)

    def text(self, layer: int, p: XY, text: str) -> None:
        self.add((0, "TEXT"), (8, self.d.layer(layer)), *self.xy(p), (40, self.n(5)), (1, text))

    def polyline(self, layer: int, points: np.ndarray, closed: bool, kind: str) -> None:
        name = self.d.layer(layer)
        closing = self.d.closing if closed else "open"
        pts = [*points]
        if closing in ("repeat", "both"):
            pts.append(points[0])
        if closing == "near":
            pts.append(points[0] + [0.003, -0.004])
        flag = 1 if closing in ("flag", "both") else 0
        if kind == "lwpolyline":
            self.add((0, "LWPOLYLINE"), (100, "AcDbEntity"), (8, name), (100, "AcDbPolyline"),
                     (90, len(pts)), (70, flag))  # fmt: skip
            for p in pts:
                self.add(*self.xy(p)[:2])
            return
        self.add((0, "POLYLINE"), (8, name), (66, 1), (70, flag))
        self.add((10, "0.0"), (20, "0.0"), (30, "0.0"))
        for p in pts:
            self.add((0, "VERTEX"), (8, name), *self.xy(p))
        self.add((0, "SEQEND"), (8, name))

    def outline(self, layer: int, points: np.ndarray) -> None:
        kind = self.d.boundary
        if kind in ("polyline", "lwpolyline"):
            self.polyline(layer, points, True, kind)
            return
        ring = np.vstack((points, points[:1]))
        if kind == "splines":
            n = len(ring)
            self.add((0, "SPLINE"), (8, self.d.layer(layer)), (70, 8), (71, 1))
            self.add((72, n + 2), (73, n))
            for k in (0, *range(n), n - 1):
                self.add((40, float(k)))
            for p in ring:
                self.add(*self.xy(p))
            return
        sides = list(pairwise(ring))
        if kind == "shuffled":
            rng = random.Random(5)
            rng.shuffle(sides)
            sides = [(b, a) if rng.random() < 0.5 else (a, b) for a, b in sides]
        for a, b in sides:
            self.line(layer, a, b)

    def draw(self, item: Drawn) -> None:
        d = self.d
        outline = item.outline[::-1] if d.clockwise else item.outline
        self.outline(1, outline)
        for k, p in enumerate(item.outline):
            layer = 2 if k in item.turns else 3
            if layer in d.points:
                self.point(layer, p)
        for layer, share, depth in item.notches:
            p = item.place(share)
            before, after = item.place(share - 1e-4), item.place(share + 1e-4)
            t = (after - before) / np.hypot(*(after - before))
            inward = np.array([-t[1], t[0]])
            angle = float(np.degrees(np.arctan2(inward[1], inward[0])))
            if d.notch == "line":
                self.line(layer, p, p + depth * inward)
            else:
                self.point(layer, p, (int(d.notch), self.n(depth)), (50, f"{angle:.6f}"))
        self.line(7, *item.grain)
        self.polyline(8, item.internal, False, "polyline")
        self.polyline(11, item.cutout, True, "polyline")
        self.point(13, item.drill)
        at = item.grain[0]
        if d.names == "texts":
            self.text(1, at, f"Piece Name: {d.piece_name(item.name)}")
            self.text(1, at - (0, 8), f"Size: {item.size}")
        self.text(1, at - (0, 16), f"Quantity: {item.quantity[0]},{item.quantity[1]}")
        self.text(1, at - (0, 24), "Material: SHELL")
        self.text(1, at - (0, 32), "Category: BODY")
        self.text(15, at - (0, 40), "CUT ON STRAIGHT GRAIN")

    def block_name(self, item: Drawn) -> str:
        sign = "-" if self.d.names == "blocks-dash" else "_"
        if self.d.names == "texts":
            return f"B0{item.name[0]}{item.size}"
        return f"{self.d.piece_name(item.name)}{sign}{item.size}"


def write(dialect: Dialect, items: Sequence[Drawn] | None = None) -> bytes:
    """The file as ASCII tags, LF, codes padded to three."""
    return encode(tags_of(dialect, items))


def tags_of(dialect: Dialect, items: Sequence[Drawn] | None = None) -> list[Tag]:
    """The file as tags."""
    items = style() if items is None else items
    s = Sheet(dialect)
    s.add((0, "SECTION"), (2, "HEADER"))
    for name, code, value in dialect.header:
        s.add((9, name), (code, value))
    s.add((0, "ENDSEC"))
    if dialect.tables:
        s.add((0, "SECTION"), (2, "TABLES"), (0, "TABLE"), (2, "LAYER"), (70, 2))
        for n in (1, 2, 3, 4, 7, 8, 11, 13):
            s.add((0, "LAYER"), (2, dialect.layer(n)), (70, 0), (62, 7), (6, "CONTINUOUS"))
        s.add((0, "ENDTAB"), (0, "ENDSEC"))
    if dialect.where != "entities":
        s.add((0, "SECTION"), (2, "BLOCKS"))
        if dialect.layouts:
            for name in ("*Model_Space", "*Paper_Space"):
                s.add((0, "BLOCK"), (8, "0"), (2, name), (70, 0), (10, "0.0"), (20, "0.0"),
                      (0, "ENDBLK"), (8, "0"))  # fmt: skip
        for item in items:
            s.add((0, "BLOCK"), (8, "0"), (2, s.block_name(item)), (70, 0))
            s.add((10, "0.0"), (20, "0.0"))
            s.draw(item)
            s.add((0, "ENDBLK"), (8, "0"))
        s.add((0, "ENDSEC"))
    s.add((0, "SECTION"), (2, "ENTITIES"))
    if dialect.where == "inserted":
        for item in items:
            s.add((0, "INSERT"), (8, "0"), (2, s.block_name(item)), (10, "0.0"), (20, "0.0"))
    if dialect.where == "entities":
        for item in items:
            s.draw(item)
    s.text(1, (-200, 0), "Style Name: CHORUS BLOUSE")
    s.text(1, (-200, -8), "Author: wardrobe")
    s.text(1, (-200, -16), "Creation Date: 12-03-2024")
    if dialect.sample:
        s.text(1, (-200, -24), f"Sample Size: {dialect.sample}")
    if dialect.units_text:
        s.text(1, (-200, -32), f"Units: {dialect.units_text}")
    s.add(*dialect.extra())
    s.add((0, "ENDSEC"), (0, "EOF"))
    return s.tags


def encode(tags: Iterable[Tag], *, end: str = "\n", pad: int = 3, encoding: str = "ascii") -> bytes:
    """Tags as bytes."""
    return "".join(f"{c:>{pad}}{end}{v}{end}" for c, v in tags).encode(encoding)


PLAIN = Dialect()

DIALECTS: dict[str, Dialect] = {
    "metric blocks": PLAIN,
    "no inserts": replace(PLAIN, where="blocks"),
    "inches, ENGLISH": replace(PLAIN, scale=1 / 25.4, units_text="ENGLISH", decimals=6),
    "inches by $INSUNITS": replace(
        PLAIN, scale=1 / 25.4, units_text="", decimals=6, header=(("$INSUNITS", 70, 1),)
    ),
    "centimetres by $INSUNITS": replace(
        PLAIN, scale=0.1, units_text="", decimals=5, header=(("$INSUNITS", 70, 5),)
    ),
    "no unit, mm": replace(PLAIN, units_text=""),
    "no unit, cm": replace(PLAIN, units_text="", scale=0.1, decimals=5),
    "no unit, inches": replace(PLAIN, units_text="", scale=1 / 25.4, decimals=6),
    "R2000 with layouts and tables": replace(
        PLAIN,
        boundary="lwpolyline",
        layouts=True,
        tables=True,
        header=(("$ACADVER", 1, "AC1015"), ("$DWGCODEPAGE", 3, "ANSI_1252"), ("$INSUNITS", 70, 4)),
    ),
    "outline repeated": replace(PLAIN, closing="repeat"),
    "outline flag and repeat": replace(PLAIN, closing="both"),
    "outline nearly closed": replace(PLAIN, closing="near"),
    "clockwise": replace(PLAIN, clockwise=True),
    "lines in order": replace(PLAIN, boundary="lines"),
    "lines shuffled": replace(PLAIN, boundary="shuffled"),
    "splines of degree 1": replace(PLAIN, boundary="splines", header=(("$ACADVER", 1, "AC1015"),)),
    "no turn points": replace(PLAIN, points=(3,)),
    "no points at all": replace(PLAIN, points=()),
    "notch depth in 30": replace(PLAIN, notch="30"),
    "notches as lines": replace(PLAIN, notch="line"),
    "names in blocks": replace(PLAIN, names="blocks"),
    "names in blocks with a dash": replace(PLAIN, names="blocks-dash", where="blocks"),
    "everything in ENTITIES": replace(PLAIN, where="entities"),
    "layers with zeros": replace(PLAIN, layer=lambda n: f"{n:02d}"),
    "layers with words": replace(PLAIN, layer=lambda n: f"LAYER{n} "),
    "two decimals": replace(PLAIN, decimals=2),
}
"""Dialects that all say the same style."""
