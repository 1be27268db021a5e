"""One style drawn by closed forms and saved in many ways: whatever the way, the same edges.

A skirt panel (straight sides, an arc for a waist, a parabola for a hem), a quarter-circle facing
and a rectangular band, in one or several sizes. Every edge has a closed form; every way of saving
must give it to 1e-6 mm, with the right names, sizes and notches.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import product
from typing import Any

import pytest

Point = tuple[float, float]


@dataclass(frozen=True)
class Edge:
    """A line, an arc about (0, 0) of `radius`, or a parabola with control point `through`."""

    start: Point
    end: Point
    radius: float = 0.0
    clockwise: bool = False
    through: Point | None = None

    @property
    def length(self) -> float:
        chord = math.dist(self.start, self.end)
        if self.radius:
            return 2 * self.radius * math.asin(chord / 2 / self.radius)
        if self.through is None:
            return chord
        return parabola(self.start, self.through, self.end)

    def at(self, share: float) -> tuple[Point, Point]:
        """A point on a straight edge and the direction of travel."""
        (x0, y0), (x1, y1) = self.start, self.end
        d = math.dist(self.start, self.end)
        return (x0 + share * (x1 - x0), y0 + share * (y1 - y0)), ((x1 - x0) / d, (y1 - y0) / d)


def parabola(a: Point, b: Point, c: Point) -> float:
    """Length of a quadratic curve in closed form."""
    ax, ay = a[0] - 2 * b[0] + c[0], a[1] - 2 * b[1] + c[1]
    bx, by = 2 * (b[0] - a[0]), 2 * (b[1] - a[1])
    # The speed's square is p t^2 + q t + r; the integral of its root stands in every table.
    p, q, r = 4 * (ax * ax + ay * ay), 4 * (ax * bx + ay * by), bx * bx + by * by

    def primitive(t: float) -> float:
        root = math.sqrt(p * t * t + q * t + r)
        return (2 * p * t + q) / (4 * p) * root + (4 * p * r - q * q) / (8 * p**1.5) * math.log(
            2 * p * t + q + 2 * math.sqrt(p) * root
        )

    return primitive(1.0) - primitive(0.0)


@dataclass(frozen=True)
class Drawn:
    """A piece, y down, edges in drawn order, and notches as (edge, share along it)."""

    name: str
    edges: tuple[Edge, ...]
    notches: tuple[tuple[int, float], ...] = ()


def panel(g: float) -> Drawn:
    """A panel; g grows it."""
    r, half, long = 240 + 4 * g, 60 + 3 * g, 300 + 10 * g
    y = -math.sqrt(r * r - half * half)
    a, b = (-half, y), (half, y)
    c, d = (half + 40.0, y + long), (-half - 40.0, y + long)
    return Drawn(
        "Panel",
        (
            Edge(a, b, radius=r, clockwise=True),
            Edge(b, c),
            Edge(c, d, through=(0.0, y + long + 36)),
            Edge(d, a),
        ),
        ((1, 0.25), (3, 0.5)),
    )


def facing(g: float) -> Drawn:
    r0, r1 = 100 + 5 * g, 160 + 5 * g
    return Drawn(
        "Facing",
        (
            Edge((r0, 0.0), (r1, 0.0)),
            Edge((r1, 0.0), (0.0, r1), radius=r1, clockwise=True),
            Edge((0.0, r1), (0.0, r0)),
            Edge((0.0, r0), (r0, 0.0), radius=r0),
        ),
    )


def band(g: float) -> Drawn:
    w, h = 280 + 12 * g, 70.0
    points = [(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)]
    return Drawn(
        "Band", tuple(Edge(points[i], points[(i + 1) % 4]) for i in range(4)), ((0, 0.5), (2, 0.3))
    )


PIECES = (panel, facing, band)
PLACES = {"Panel": (150.0, 300.0), "Facing": (400.0, 60.0), "Band": (300.0, 420.0)}


# -- ways of writing path data ---------------------------------------------------------------


def absolute(piece: Drawn) -> str:
    words = [f"M {piece.edges[0].start[0]!r} {piece.edges[0].start[1]!r}"]
    for e in piece.edges:
        x, y = e.end
        if e.radius:
            words.append(f"A {e.radius!r} {e.radius!r} 0 0 {int(e.clockwise)} {x!r} {y!r}")
        elif e.through:
            words.append(f"Q {e.through[0]!r},{e.through[1]!r} {x!r},{y!r}")
        else:
            words.append(f"L {x!r},{y!r}")
    return " ".join(words) + " Z"


def relative(piece: Drawn) -> str:
    words = [f"m{piece.edges[0].start[0]!r},{piece.edges[0].start[1]!r}"]
    for e in piece.edges:
        dx, dy = e.end[0] - e.start[0], e.end[1] - e.start[1]
        if e.radius:
            words.append(f"a{e.radius!r},{e.radius!r} 0 0{int(e.clockwise)}{dx!r},{dy!r}")
        elif e.through:
            qx, qy = e.through[0] - e.start[0], e.through[1] - e.start[1]
            words.append(f"q{qx!r},{qy!r} {dx!r},{dy!r}")
        elif dy == 0.0:
            words.append(f"h{dx!r}")
        elif dx == 0.0:
            words.append(f"v{dy!r}")
        else:
            words.append(f"l{dx!r},{dy!r}")
    return "".join(words) + "z"


def as_cubics(piece: Drawn) -> str:
    """Parabolas as cubics, arcs in two, closed by repeating the first point."""
    words = [f"M{piece.edges[0].start[0]!r},{piece.edges[0].start[1]!r}"]
    for e in piece.edges:
        (x0, y0), (x1, y1) = e.start, e.end
        if e.radius:
            t0, t1 = math.atan2(y0, x0), math.atan2(y1, x1)
            mid = (t0 + t1) / 2
            m = (e.radius * math.cos(mid), e.radius * math.sin(mid))
            for p in (m, e.end):
                words.append(f"A{e.radius!r} {e.radius!r} 0 0 {int(e.clockwise)} {p[0]!r} {p[1]!r}")
        elif e.through:
            q = e.through
            c1 = (x0 + 2 * (q[0] - x0) / 3, y0 + 2 * (q[1] - y0) / 3)
            c2 = (x1 + 2 * (q[0] - x1) / 3, y1 + 2 * (q[1] - y1) / 3)
            words.append(f"C{c1[0]!r} {c1[1]!r} {c2[0]!r} {c2[1]!r} {x1!r} {y1!r}")
        else:
            words.append(f"L{x1!r} {y1!r}")
    return "".join(words)


def strokes(piece: Drawn) -> list[str]:
    """Every edge a stroke of its own, shuffled, every other one backwards."""
    out = []
    for i, e in enumerate(piece.edges):
        one = Drawn("", (e,))
        data = absolute(one)[:-2]
        if i % 2:
            back = Edge(e.end, e.start, e.radius, not e.clockwise, e.through)
            data = absolute(Drawn("", (back,)))[:-2]
        out.append(data)
    return out[2:] + out[:2]


def notch_strokes(piece: Drawn) -> list[str]:
    """Short strokes that start on the edge and run inside (the edges run clockwise on screen)."""
    out = []
    for edge, share in piece.notches:
        (x, y), (tx, ty) = piece.edges[edge].at(share)
        out.append(f"M{x!r},{y!r}l{-6 * ty!r},{6 * tx!r}")
    return out


# -- ways of saving --------------------------------------------------------------------------

Data = Callable[[Drawn], str]
DATA: dict[str, Data] = {"absolute": absolute, "relative": relative, "cubics": as_cubics}


def inside(piece: Drawn, data: Data) -> str:
    return f'<path d="{data(piece)}" fill="none" stroke="#000"/>' + "".join(
        f'<path d="{d}" stroke="#000"/>' for d in notch_strokes(piece)
    )


def layers(pieces: list[Drawn], data: Data) -> str:
    return "".join(
        f'<g inkscape:groupmode="layer" inkscape:label="{p.name}" id="layer{i}" '
        f'transform="translate{PLACES[p.name]}">{inside(p, data)}</g>'
        for i, p in enumerate(pieces)
    )


def groups(pieces: list[Drawn], data: Data) -> str:
    return '<g id="layer1" inkscape:groupmode="layer" inkscape:label="Layer 1">' + "".join(
        f'<g id="{p.name}" transform="matrix(1 0 0 1 {PLACES[p.name][0]} {PLACES[p.name][1]})">'
        f'<g id="g{70 + i}">{inside(p, data)}</g></g>'
        for i, p in enumerate(pieces)
    ) + "</g>"  # fmt: skip


def turned(pieces: list[Drawn], data: Data) -> str:
    """Rotated, mirrored, and scaled twice so that it comes out at its size again."""
    turns = ("rotate(30)", "scale(-1,1) rotate(-75)", "scale(0.25) rotate(200) scale(4)")
    return "".join(
        f'<g transform="translate{PLACES[p.name]}"><g><title>{p.name}</title>'
        f'<g transform="{turn}">{inside(p, data)}</g></g></g>'
        for p, turn in zip(pieces, turns, strict=True)
    )


def flat(pieces: list[Drawn], data: Data) -> str:
    """No groups: paths with labels, notches among them in any order."""
    out = []
    for p in pieces:
        t = f'transform="translate{PLACES[p.name]}"'
        out += [f'<path {t} d="{d}"/>' for d in notch_strokes(p)]
        out.append(f'<path {t} id="{p.name}" d="{data(p)}"/>')
    return "".join(reversed(out))


def text_inside(pieces: list[Drawn], data: Data) -> str:
    """Names only as words inside the pieces."""
    out = []
    for i, p in enumerate(pieces):
        x, y = {"Panel": (0, 0), "Facing": (90, 90), "Band": (100, 40)}[p.name]
        t = f'transform="translate{PLACES[p.name]}"'
        out.append(f'<path id="path{90 + i}" class="st0" {t} d="{data(p)}"/>')
        out += [f'<path {t} d="{d}"/>' for d in notch_strokes(p)]
        out.append(f'<text {t} x="{x}" y="{y}" font-size="12">{p.name}</text>')
        out.append(f'<text {t} x="{x}" y="{y + 9}" font-size="6">cut 2</text>')
    return "".join(out)


def symbols(pieces: list[Drawn], data: Data) -> str:
    defs = "".join(f'<g id="part-{p.name}">{inside(p, data)}</g>' for p in pieces)
    return f"<defs>{defs}</defs>" + "".join(
        f'<use xlink:href="#part-{p.name}" id="{p.name}" x="{PLACES[p.name][0]}" '
        f'y="{PLACES[p.name][1]}"/>'
        for p in pieces
    )


def loose(pieces: list[Drawn], _: Data) -> str:
    """Outlines in open strokes."""
    return "".join(
        f'<g inkscape:label="{p.name}" transform="translate{PLACES[p.name]}">'
        + "".join(f'<path d="{d}"/>' for d in [*notch_strokes(p), *strokes(p)])
        + "</g>"
        for p in pieces
    )


def nested(pieces: list[Drawn], data: Data) -> str:
    """Each piece a drawing in the drawing."""
    return "".join(
        f'<svg id="svg{i}" x="{PLACES[p.name][0] - 300}" y="{PLACES[p.name][1] - 300}" width="600" '
        f'height="600" viewBox="-60 -60 120 120"><g inkscape:label="{p.name}">'
        f'<g transform="scale(0.2)">{inside(p, data)}</g></g></svg>'
        for i, p in enumerate(pieces)
    )


SAVED = {f.__name__: f for f in (layers, groups, turned, flat, text_inside, symbols, loose, nested)}

UNITS = {
    "mm": ('width="600mm" height="600mm" viewBox="0 0 600 600"', 1.0),
    "cm": ('width="60cm" height="60cm" viewBox="0 0 600 600"', 1.0),
    "in": ('width="6in" height="6in" viewBox="0 0 600 600"', 0.254),
    "pt": ('width="600pt" height="600pt" viewBox="0 0 600 600"', 25.4 / 72),
    "px": ('width="600" height="600"', 25.4 / 96),
    "none": ('viewBox="0 0 600 600"', 25.4 / 96),
}


def check(read: Any, pieces: list[Drawn], scale: float, size: str | None = None) -> None:
    for piece in pieces:
        shape = read.shape(piece.name, size)
        expected = [e.length * scale for e in piece.edges]
        found = [e.length for e in shape.edges]
        assert len(found) == len(expected)
        # Corners count anticlockwise on paper (y up), from the upper left: match the cycle.
        cycles = [list(reversed(expected)), list(expected)]
        turns = [c[k:] + c[:k] for c in cycles for k in range(len(c))]
        best = min(turns, key=lambda c: max(abs(a - b) for a, b in zip(c, found, strict=True)))
        assert found == pytest.approx(best, abs=1e-6)
        starts = [float(shape.seam_line.cumulative[c.station.segment]) for c in shape.corners]
        places = []
        for notch in shape.notches:
            at = shape.seam_line.length_of(notch.station)
            edge = max(i for i, s in enumerate(starts) if s <= at + 1e-6)
            share = (at - starts[edge]) / found[edge]
            places.append((round(found[edge], 5), round(min(share, 1 - share), 6)))
            assert notch.depth == pytest.approx(6.0 * scale, abs=1e-6)
            assert notch.type.value == "slit"
        wanted = [(round(expected[i], 5), round(min(s, 1 - s), 6)) for i, s in piece.notches]
        assert sorted(places) == sorted(wanted)


@pytest.mark.parametrize(("saved", "data"), list(product(SAVED, DATA)))
def test_every_way_of_saving_gives_the_same_edges(svg: Any, saved: str, data: str) -> None:
    pieces = [make(0.0) for make in PIECES]
    read = svg.read(svg.doc(SAVED[saved](pieces, DATA[data])))
    assert sorted(read.names) == ["Band", "Facing", "Panel"]
    check(read, pieces, 1.0)
    assert not [f for f in read.findings if f.severity.value == "error"]


@pytest.mark.parametrize(
    ("unit", "saved"), list(product(UNITS, ("layers", "flat", "loose", "symbols")))
)
def test_every_unit_gives_the_right_scale(svg: Any, unit: str, saved: str) -> None:
    pieces = [make(0.0) for make in PIECES]
    root, scale = UNITS[unit]
    read = svg.read(svg.doc(SAVED[saved](pieces, absolute), root), join="0.01 mm")
    check(read, pieces, scale)


# -- sizes -----------------------------------------------------------------------------------

NAMES = {"numbers": ["34", "36", "38", "40"], "letters": ["XS", "S", "M", "L"]}


def size_layers(sizes: dict[str, list[Drawn]]) -> str:
    return "".join(
        f'<g inkscape:groupmode="layer" inkscape:label="Size {s}">{layers(ps, relative)}</g>'
        for s, ps in sizes.items()
    )


def bare_size_layers(sizes: dict[str, list[Drawn]]) -> str:
    """Layers called by the size alone; ids inside differ, as ids must."""
    out = []
    for i, (s, ps) in enumerate(sizes.items()):
        body = flat(ps, absolute)
        for p in ps:
            body = body.replace(f'id="{p.name}"', f'id="{p.name}{"-" + str(i) if i else ""}"')
        out.append(f'<g inkscape:label="{s}">{body}</g>')
    return "".join(out)


def pieces_with_size_layers(sizes: dict[str, list[Drawn]]) -> str:
    count = len(next(iter(sizes.values())))
    return "".join(
        f'<g inkscape:label="{next(iter(sizes.values()))[k].name}">'
        + "".join(
            f'<g id="_{s}" transform="translate{PLACES[ps[k].name]}">{inside(ps[k], absolute)}</g>'
            for s, ps in sizes.items()
        )
        + "</g>"
        for k in range(count)
    )


def side_by_side(sizes: dict[str, list[Drawn]]) -> str:
    return "".join(
        f'<g id="{p.name}_{s}" transform="translate({PLACES[p.name][0] + 700 * i} '
        f'{PLACES[p.name][1]})">{inside(p, as_cubics)}</g>'
        for i, (s, ps) in enumerate(sizes.items())
        for p in ps
    )


def dashed_names(sizes: dict[str, list[Drawn]]) -> str:
    return side_by_side(sizes).replace("_", " - ").replace("id=", "inkscape:label=")


def classes(sizes: dict[str, list[Drawn]]) -> str:
    """Outlines of one piece in one group, told apart by class."""
    count = len(next(iter(sizes.values())))
    out = []
    for k in range(count):
        name = next(iter(sizes.values()))[k].name
        out.append(f'<g inkscape:label="{name}" transform="translate{PLACES[name]}">')
        for s, ps in sizes.items():
            out.append(f'<path class="line size-{s}" d="{absolute(ps[k])}"/>')
            out += [f'<path class="size-{s}" d="{d}"/>' for d in notch_strokes(ps[k])]
        out.append("</g>")
    return "".join(out)


SIZED = {
    f.__name__: f
    for f in (
        size_layers,
        bare_size_layers,
        pieces_with_size_layers,
        side_by_side,
        dashed_names,
        classes,
    )
}


@pytest.mark.parametrize(("saved", "names"), list(product(SIZED, NAMES)))
def test_every_way_of_saving_sizes(svg: Any, saved: str, names: str) -> None:
    sizes = {s: [make(float(i)) for make in PIECES] for i, s in enumerate(NAMES[names])}
    read = svg.read(svg.doc(SIZED[saved](sizes), 'width="3000mm" viewBox="0 0 3000 900"'))
    assert read.pattern.sizes == tuple(NAMES[names])
    assert read.pattern.base_size == NAMES[names][1]
    assert sorted(read.names) == ["Band", "Facing", "Panel"]
    for size, pieces in sizes.items():
        check(read, pieces, 1.0, size)


def test_parabola_against_quadrature() -> None:
    a, b, c = (0.0, 0.0), (30.0, 70.0), (100.0, 10.0)
    n = 20000
    total, last = 0.0, a
    for i in range(1, n + 1):
        t = i / n
        p = tuple((1 - t) ** 2 * a[k] + 2 * (1 - t) * t * b[k] + t * t * c[k] for k in (0, 1))
        total += math.dist(last, p)
        last = (p[0], p[1])
    assert parabola(a, b, c) == pytest.approx(total, abs=1e-6)
