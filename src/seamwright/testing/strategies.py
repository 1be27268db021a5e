"""Hypothesis strategies: outlines, shapes, sleeves and whole patterns, awkward ones included.

Numbers carry thirds and tenths on purpose: a format that rounds is found out.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, pi, sin

import numpy as np
from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, SearchStrategy

from seamwright.geometry import CUBIC, LINE, Curve, FloatArray, Station, line_segments
from seamwright.model import (
    DrillHole,
    Ease,
    GrainLine,
    InternalKind,
    InternalLine,
    Notch,
    NotchType,
    Pattern,
    Piece,
    Run,
    RunPart,
    Seam,
    Shape,
    Text,
    align_sizes,
    build_shape,
)

SIZES = ("XS", "S", "M", "L", "XL")


def _unit(low: float, high: float) -> SearchStrategy[float]:
    """Numbers with awkward decimals."""
    return st.integers(0, 3000).map(lambda k: low + (high - low) * k / 3000.0)


@st.composite
def outlines(draw: DrawFn, *, min_corners: int = 3, max_corners: int = 8) -> Curve:
    """A closed, simple outline around the origin, 100 to 900 mm across, straight and curved
    edges mixed, in either direction."""
    n = draw(st.integers(min_corners, max_corners))
    radius = draw(_unit(50.0, 450.0))
    # Corners at spread angles and not too different radii: star-shaped, so it cannot cross.
    angles = [2 * pi * (k + draw(_unit(-0.18, 0.18))) / n for k in range(n)]
    points = np.array(
        [
            [r * cos(a), r * sin(a)]
            for a, r in zip(
                angles, [radius * draw(_unit(0.75, 1.0)) for _ in range(n)], strict=True
            )
        ]
    )
    segments: list[FloatArray] = []
    kinds: list[int] = []
    for i in range(n):
        a, b = points[i], points[(i + 1) % n]
        segment = line_segments(a[None], b[None])[0]
        if draw(st.booleans()):
            normal = np.array([b[1] - a[1], a[0] - b[0]])
            bow = draw(_unit(0.03, 0.15))
            segment = segment.copy()
            segment[1] += bow * normal
            segment[2] += bow * draw(_unit(0.5, 1.0)) * normal
            kinds.append(CUBIC)
        else:
            kinds.append(LINE)
        segments.append(segment)
    curve = Curve.from_segments(np.array(segments), np.array(kinds, dtype=np.uint8), closed=True)
    return curve.reversed() if draw(st.booleans()) else curve


@st.composite
def shapes(draw: DrawFn, *, size: str = "M", outline: Curve | None = None) -> Shape:
    """One piece in one size with notches of every type, grain line, internal lines, holes, text."""
    curve = draw(outlines()) if outline is None else outline
    corners = [Station(i, 0.0) for i in range(curve.n)]
    notches = [
        Notch(
            name="",
            station=Station(draw(st.integers(0, curve.n - 1)), draw(_unit(0.1, 0.9))),
            type=draw(st.sampled_from(list(NotchType))),
            depth=draw(st.one_of(st.none(), _unit(3.0, 8.0))),
            width=draw(st.one_of(st.none(), _unit(2.0, 6.0))),
            angle=draw(st.one_of(st.none(), _unit(-30.0, 30.0))),
        )
        for _ in range(draw(st.integers(0, 4)))
    ]
    span = 0.2 * float(np.sqrt(abs(curve.area)))
    lines = tuple(
        InternalLine(
            kind=draw(st.sampled_from([InternalKind.INTERNAL, InternalKind.FOLD])),
            curve=Curve.polyline(np.array([[-span, y * span], [span, y * span / 3.0]])),
            name=draw(st.sampled_from(["", "pleat", "Falte ü", "線"])),
        )
        for y in draw(st.lists(_unit(-0.9, 0.9), max_size=2))
    )
    return build_shape(
        size=size,
        outline=curve,
        corners=corners,
        notches=notches,
        grain_line=draw(
            st.one_of(st.none(), st.just(GrainLine(start=(0.0, -span), end=(0.0, span))))
        ),
        internal_lines=lines,
        drill_holes=tuple(
            DrillHole(at=(x * span, x * span / 7.0), diameter=draw(_unit(1.0, 5.0)))
            for x in draw(st.lists(_unit(-0.9, 0.9), max_size=2))
        ),
        texts=tuple(
            Text(text=t, at=(-span / 3.0, span / 9.0), height=draw(_unit(3.0, 12.0)))
            for t in draw(st.lists(st.sampled_from(["cut 2", "Größe 線 ø", "½ in"]), max_size=1))
        ),
    )


@st.composite
def pieces(draw: DrawFn, *, name: str = "Front", sizes: Sequence[str] = ("M",)) -> Piece:
    """A piece graded by a common growth about the origin, so that every size has one topology."""
    base = draw(shapes())
    growth = draw(_unit(0.01, 0.06))
    made = []
    for k, size in enumerate(sizes):
        scale = 1.0 + growth * (k - len(sizes) // 2)
        grown = _scaled(base, scale, size)
        made.append(grown)
    piece = Piece(
        name=name,
        shapes=tuple(made),
        quantity=draw(st.sampled_from([(1, 0), (2, 0), (1, 1)])),
        material=draw(st.sampled_from(["", "shell", "lining"])),
    )
    return align_sizes(piece, sizes[len(sizes) // 2])


def _scaled(shape: Shape, scale: float, size: str) -> Shape:
    from seamwright.model.edit import transform  # noqa: PLC0415 - only multi-size draws need it

    return transform(shape, [[scale, 0.0, 0.0], [0.0, scale, 0.0]]).but(size=size)


@st.composite
def patterns(
    draw: DrawFn, *, max_pieces: int = 3, max_sizes: int = 3, seams: bool = True
) -> Pattern:
    """A style of one to `max_pieces` pieces in one to `max_sizes` sizes, perhaps with a seam."""
    names = ["Front", "Back", "Sleeve ü", "袖", "a/b"][: draw(st.integers(1, max_pieces))]
    sizes = SIZES[: draw(st.integers(1, max_sizes))]
    made = tuple(draw(pieces(name=name, sizes=sizes)) for name in names)
    found: tuple[Seam, ...] = ()
    if seams and draw(st.booleans()):
        a, b = made[0], made[-1]
        found = (
            Seam(
                name="side",
                sew=Run(parts=(RunPart(piece=a.name, marks=_first_edge(a)),)),
                to=Run(parts=(RunPart(piece=b.name, marks=_first_edge(b)),)),
                ease=draw(st.sampled_from([None, Ease(at_least=-1e4, at_most=1e4)])),
            ),
        )
    return Pattern(
        name=draw(st.sampled_from(["blouse", "Bluse größer", "上衣"])),
        pieces=made,
        sizes=sizes,
        base_size=sizes[len(sizes) // 2],
        seams=found,
    )


def _first_edge(piece: Piece) -> tuple[str, str]:
    corners = piece.shapes[0].corners
    return corners[0].name, corners[1].name


@st.composite
def sleeves(draw: DrawFn, *, size: str = "M") -> tuple[Shape, float]:
    """A sleeve (corners named underarm-front, wrist-front, wrist-back, underarm-back; notches
    front, shoulder, back) and the length of its cap from underarm to underarm, mm."""
    bicep = draw(_unit(260.0, 420.0))
    height = bicep * draw(_unit(0.33, 0.45))
    share = draw(_unit(0.48, 0.53))  # of the bicep line that lies behind the shoulder point
    down = draw(_unit(150.0, 450.0))
    taper = draw(_unit(0.6, 0.85))
    b, f = -share * bicep, (1.0 - share) * bicep
    cap = np.array(
        [
            _half_cap(f, height, draw(_unit(0.4, 0.6)), draw(_unit(0.4, 0.6))),
            [[0.0, 0.0]] * 4,
        ]
    )
    back = _half_cap(b, height, draw(_unit(0.4, 0.6)), draw(_unit(0.4, 0.6)))
    cap[1] = back[::-1]
    # Anticlockwise from the front underarm over the shoulder to the back, down, across, up.
    rest = np.array([[b, 0.0], [b * taper, -down], [f * taper, -down], [f, 0.0]])
    straight = line_segments(rest[:-1], rest[1:])
    segments = np.concatenate([cap, straight])
    kinds = np.array([CUBIC, CUBIC, LINE, LINE, LINE], dtype=np.uint8)
    outline = Curve.from_segments(segments, kinds, closed=True)
    shape = build_shape(
        size=size,
        outline=outline,
        corners=[Station(4, 1.0), Station(2, 0.0), Station(3, 0.0), Station(4, 0.0)],
        corner_names=["underarm-front", "underarm-back", "wrist-back", "wrist-front"],
        notches=[
            Notch(name="front", station=Station(0, 0.35)),
            Notch(name="shoulder", station=Station(1, 0.0)),
            Notch(name="back", station=Station(1, 0.6)),
        ],
    )
    return shape, float(outline.cumulative[2])


def _half_cap(end: float, height: float, low: float, high: float) -> FloatArray:
    """From the underarm (end, 0), leaving nearly level, to the shoulder point (0, height)."""
    return np.array(
        [[end, 0.0], [end * (1.0 - low), height * 0.03], [end * high, height], [0.0, height]]
    )
