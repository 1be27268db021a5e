"""Single pieces for the pictures of the manual: a piece with the marks that a step wants to see.

All shapes and figures are invented; they fit nobody.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from seamwright.geometry import Curve, Station
from seamwright.model import (
    Dart,
    DrillHole,
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
    SeamLineSource,
    Shape,
    build_shape,
)

from .drawn import Point, stroke

SIZE = "40"

_FOOT = 3434.0 / 18664.0
"""Share of the shoulder at which a line square to it meets the dart's point: equal legs."""


def workbench() -> tuple[Pattern, ...]:
    """The patterns, from the one with most to say."""
    return (
        _darted(), _one_dart(), _two_darts(), _drawn_darts(), _bodice_to_split(), _yokes(),
        _skirt(), _symmetrical(), _rough_sleeve(), _cut_only(),
    )  # fmt: skip


def _front_edges() -> dict[str, Curve]:
    """Half a fitted bodice front, centre on the left, from the neck round."""
    return {
        "neck": stroke(((70.0, 410.0), (66.0, 370.0), (40.0, 335.0), (0.0, 330.0))),
        "centre": stroke(((0.0, 330.0), (0.0, 0.0))),
        "hem-centre": stroke(((0.0, 0.0), (250.0, 0.0))),
        "hem-side": stroke(((250.0, 0.0), (262.0, 190.0))),
        "underarm": stroke(
            ((262.0, 190.0), (215.0, 192.0), (190.0, 225.0), (188.0, 262.0)),
            ((188.0, 262.0), (187.0, 305.0), (192.0, 335.0), (200.0, 368.0)),
        ),
        "shoulder": stroke(((200.0, 368.0), (70.0, 410.0))),
    }


def _piece(
    name: str,
    edges: Mapping[str, Curve],
    *,
    notches: Sequence[tuple[str, str, float]] = (),
    darts: Sequence[tuple[str, str, float, float, Point]] = (),
    holes: Mapping[str, Point] | None = None,
    fold: tuple[Point, Point] | None = None,
    grain: tuple[Point, Point] | None = None,
) -> Piece:
    """notches (name, edge, share of it); darts (name, edge, share, width of the mouth, apex)."""
    names = list(edges)
    outline = edges[names[0]]
    starts = [Station(0, 0.0)]
    for corner in names[1:]:
        starts.append(Station(outline.n, 0.0))
        outline = outline.joined(edges[corner])
    outline = outline.closed_up()
    begins = outline.cumulative[[s.segment for s in starts]]

    def at(edge: str, share: float, more: float = 0.0) -> Station:
        return outline.station_at(begins[names.index(edge)] + share * edges[edge].length + more)

    shape: Shape = build_shape(
        size=SIZE,
        outline=outline,
        corners=starts,
        corner_names=names,
        notches=[
            Notch(name=n, station=at(edge, share), type=NotchType.SLIT, depth=5.0)
            for n, edge, share in notches
        ],
        darts=[
            Dart(
                name=n,
                left=at(edge, share, -width / 2.0),
                right=at(edge, share, width / 2.0),
                apex=apex,
            )
            for n, edge, share, width, apex in darts
        ],
        drill_holes=tuple(
            DrillHole(at=place, diameter=3.0, name=n) for n, place in (holes or {}).items()
        ),
        internal_lines=()
        if fold is None
        else (InternalLine(kind=InternalKind.FOLD, curve=Curve.line(*fold), name="fold"),),
        grain_line=None if grain is None else GrainLine(start=grain[0], end=grain[1]),
    )
    return Piece(name=name, shapes=(shape,), quantity=(1, 1))


def _pattern(name: str, *pieces: Piece, seams: Sequence[Seam] = ()) -> Pattern:
    return Pattern(name=name, pieces=pieces, sizes=(SIZE,), base_size=SIZE, seams=tuple(seams))


def _darted() -> Pattern:
    front = _piece(
        "Front",
        _front_edges(),
        notches=[("armhole-notch", "underarm", 0.55)],
        darts=[
            ("waist-dart", "hem-centre", 0.42, 26.0, (108.0, 150.0)),
            ("bust-dart", "hem-side", 0.68, 24.0, (140.0, 168.0)),
        ],
        holes={"bust": (108.0, 172.0)},
        grain=((45.0, 40.0), (45.0, 300.0)),
    )
    back = _piece(
        "Back",
        {
            "nape": stroke(((270.0, 395.0), (270.0, 0.0))),
            "hem-centre": stroke(((270.0, 0.0), (20.0, 0.0))),
            "hem-side": stroke(((20.0, 0.0), (8.0, 190.0))),
            "underarm": stroke(((8.0, 190.0), (50.0, 195.0), (68.0, 260.0), (60.0, 372.0))),
            "shoulder": stroke(((60.0, 372.0), (195.0, 420.0))),
            "neck": stroke(((195.0, 420.0), (205.0, 400.0), (240.0, 395.0), (270.0, 395.0))),
        },
        darts=[("shoulder-dart", "shoulder", 0.5, 12.0, (140.0, 315.0))],
        grain=((230.0, 60.0), (230.0, 320.0)),
    )
    shoulder = Seam(
        name="shoulder",
        sew=Run(parts=(RunPart(piece="Back", marks=("neck", "shoulder")),)),
        to=Run(parts=(RunPart(piece="Front", marks=("neck", "shoulder")),)),
    )
    return _pattern("bodice with darts", front, back, seams=[shoulder])


def _two_darts() -> Pattern:
    front = _piece(
        "Front",
        _front_edges(),
        notches=[("armhole-notch", "underarm", 0.55)],
        darts=[
            ("dart-1", "hem-centre", 0.42, 26.0, (108.0, 165.0)),
            ("dart-2", "shoulder", _FOOT, 18.0, (108.0, 165.0)),
        ],
        holes={"bust": (108.0, 165.0)},
        grain=((45.0, 40.0), (45.0, 300.0)),
    )
    return _pattern("bodice with two darts to one point", front)


def _one_dart() -> Pattern:
    front = _piece(
        "Front",
        _front_edges(),
        notches=[("armhole-notch", "underarm", 0.55)],
        darts=[("waist-dart", "hem-centre", 0.42, 26.0, (108.0, 165.0))],
        holes={"bust": (108.0, 172.0)},
        grain=((45.0, 40.0), (45.0, 300.0)),
    )
    return _pattern("bodice with a waist dart", front)


def _drawn_darts() -> Pattern:
    """The dart as a draughtsman leaves it: a V in the outline, not marked as a dart."""
    edges = _front_edges()
    edges["hem-centre"] = stroke(((0.0, 0.0), (92.0, 0.0)))
    after = {
        "left": stroke(((92.0, 0.0), (108.0, 150.0))),
        "point": stroke(((108.0, 150.0), (124.0, 0.0))),
        "right": stroke(((124.0, 0.0), (250.0, 0.0))),
    }
    names = list(edges)
    cut = names.index("hem-centre") + 1
    order = [*names[:cut], *after, *names[cut:]]
    front = _piece("Front", {n: {**edges, **after}[n] for n in order})
    return _pattern("bodice with a drawn dart", front)


def _rough_sleeve() -> Pattern:
    """A cap with a bump and a jog, as a hasty hand draws it."""
    sleeve = _piece(
        "Sleeve",
        {
            "underarm-front": _chords(
                ((340.0, 0.0), (275.0, 12.0), (250.0, 120.0), (170.0, 130.0)),
            ),
            "shoulder": _chords(
                ((170.0, 130.0), (120.0, 124.0), (105.0, 66.0), (82.0, 58.0)),
                ((82.0, 58.0), (60.0, 60.0), (38.0, 14.0), (0.0, 0.0)),
            ),
            "underarm-back": stroke(((0.0, 0.0), (45.0, -240.0))),
            "wrist-back": stroke(((45.0, -240.0), (295.0, -240.0))),
            "wrist-front": stroke(((295.0, -240.0), (340.0, 0.0))),
        },
        grain=((170.0, -200.0), (170.0, 60.0)),
    )
    return _pattern("roughly drawn sleeve", sleeve)


def _cut_only() -> Pattern:
    """A piece of which only the cut line is known, as chords."""
    edges = {k: Curve.polyline(c.flatten(0.05)) for k, c in _front_edges().items()}
    front = _piece("Front", edges)
    shape = front.shapes[0].but(seam_line_source=SeamLineSource.CUT_LINE)
    return _pattern("cut line in chords", front.but(shapes=(shape,)))


def _chords(*cubics: tuple[Point, Point, Point, Point]) -> Curve:
    return Curve.polyline(stroke(*cubics).flatten(0.3))


def _bodice_to_split() -> Pattern:
    """A back without darts, on which lines can be drawn."""
    back = _darted().piece("Back").shapes[0]
    return _pattern("plain back", Piece(name="Back", shapes=(back.but(darts=()),), quantity=(1, 0)))


def _yokes() -> Pattern:
    front = _piece(
        "Front yoke",
        {
            "neck": stroke(((0.0, 60.0), (-4.0, 35.0), (-22.0, 12.0), (-45.0, 0.0))),
            "front": stroke(((-45.0, 0.0), (118.0, -40.0))),
            "armhole": stroke(((118.0, -40.0), (124.0, -20.0), (126.0, 0.0), (130.0, 15.0))),
            "shoulder": stroke(((130.0, 15.0), (0.0, 60.0))),
        },
        grain=((20.0, 0.0), (90.0, 0.0)),
    )
    back = _piece(
        "Back yoke",
        {
            "shoulder": stroke(((330.0, 15.0), (320.0, -20.0), (318.0, -50.0), (322.0, -85.0))),
            "armhole": stroke(((322.0, -85.0), (500.0, -85.0))),
            "centre": stroke(((500.0, -85.0), (500.0, 45.0))),
            "nape": stroke(((500.0, 45.0), (480.0, 45.0), (465.0, 50.0), (460.0, 60.0))),
            "neck": stroke(((460.0, 60.0), (330.0, 15.0))),
        },
        fold=((500.0, -85.0), (500.0, 45.0)),
        grain=((470.0, -60.0), (470.0, 20.0)),
    )
    return _pattern("two yokes", front, back)


def _skirt() -> Pattern:
    skirt = _piece(
        "Skirt",
        {
            "waist-side": stroke(((0.0, 600.0), (70.0, 582.0), (120.0, 580.0), (190.0, 580.0))),
            "waist-centre": stroke(((190.0, 580.0), (190.0, 0.0))),
            "hem-centre": stroke(((190.0, 0.0), (90.0, 0.0), (0.0, 4.0), (-60.0, 12.0))),
            "hem-side": stroke(((-60.0, 12.0), (-40.0, 300.0), (-36.0, 450.0), (0.0, 600.0))),
        },
        grain=((150.0, 80.0), (150.0, 480.0)),
    )
    return _pattern("skirt", skirt)


def _symmetrical() -> Pattern:
    half = [
        ((0.0, 395.0), (35.0, 395.0), (65.0, 400.0), (75.0, 420.0)),
        ((75.0, 420.0), (210.0, 372.0)),
        ((210.0, 372.0), (202.0, 260.0), (220.0, 195.0), (262.0, 190.0)),
        ((262.0, 190.0), (250.0, 0.0)),
        ((250.0, 0.0), (0.0, 0.0)),
    ]
    right = [stroke(s) for s in half]  # type: ignore[arg-type]
    mirror = np.array([[-1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
    left = [c.transformed(mirror).reversed() for c in reversed(right)]
    names = [
        "nape", "neck-right", "shoulder-right", "underarm-right", "side-right",
        "hem-centre", "side-left", "underarm-left", "shoulder-left", "neck-left",
    ]  # fmt: skip
    back = _piece(
        "Back",
        dict(zip(names, [*right, *left], strict=True)),
        grain=((0.0, 60.0), (0.0, 320.0)),
    )
    return _pattern("whole back", back)
