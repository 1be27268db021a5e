"""A style of 20 pieces in 20 sizes to try steps on: the demonstration's blouse in sizes drawn in
between, a darted bodice with its skirt, collars, cuffs, linings, pockets. About 400 shapes.
"""

from __future__ import annotations

from dataclasses import fields
from importlib.resources import files

import numpy as np

from seamwright.demo.blouse import QUANTITIES, _shape, draft
from seamwright.demo.body import Body, chorus
from seamwright.geometry import CUBIC, LINE, Curve, Station, line_segments
from seamwright.model import (
    DrillHole,
    GrainLine,
    InternalKind,
    InternalLine,
    Notch,
    Pattern,
    Piece,
    Run,
    RunPart,
    Seam,
    Shape,
    build_shape,
)
from seamwright.model.marking import Dart
from seamwright.plan import apply_plan, load_plan

SIZES = 20


def bodies(count: int = SIZES) -> list[Body]:
    """So many bodies between the smallest and the largest of the chorus's table."""
    table = chorus()
    places = np.linspace(0, len(table) - 1, count)
    measures = [f.name for f in fields(Body) if f.name != "size"]
    grown = {
        name: np.interp(places, range(len(table)), [getattr(b, name) for b in table])
        for name in measures
    }
    return [
        Body(size=str(k + 1), **{name: float(row[k]) for name, row in grown.items()})
        for k in range(count)
    ]


def blouse(count: int = SIZES) -> list[Piece]:
    """Back, front and sleeve with a cap."""
    made = {body.size: draft(body) for body in bodies(count)}
    return [
        Piece(
            name=name,
            shapes=tuple(_shape(drawn[k], size) for size, drawn in made.items()),
            quantity=QUANTITIES[name],
        )
        for k, name in enumerate(QUANTITIES)
    ]


def bodice(size: str, k: float, *, dart: bool = True, drawn: bool = False) -> Shape:
    """The front half of a bodice, centre on the left, with a waist dart: marked or drawn as V."""
    straight = line_segments(
        k * np.array([[240, 10], [195, 390], [0, 340]], float),
        k * np.array([[255, 200], [75, 430], [0, 0]], float),
    )
    hem = k * np.array([[[0, 0], [80, -2], [160, 0], [240, 10]]])
    rest = np.concatenate(
        (
            straight[:1],
            k * np.array([[[255, 200], [210, 205], [185, 260], [195, 390]]]),
            straight[1:2],
            k * np.array([[[75, 430], [72, 370], [40, 345], [0, 340]]]),
            straight[2:],
        )
    )
    rest_kinds = [LINE, CUBIC, LINE, CUBIC, LINE]
    line = Curve.from_segments(hem)
    a, b = line.point_at(90.0 * k), line.point_at(120.0 * k)
    way = (b - a) / np.hypot(*(b - a))
    apex = 0.5 * (a + b) + 150.0 * k * np.array([-way[1], way[0]])
    if drawn:
        parts = line.part(0.0, 90.0 * k), line.part(120.0 * k, line.length)
        legs = line_segments(np.array([a, apex]), np.array([apex, b]))
        segments = np.concatenate((parts[0].segments, legs, parts[1].segments, rest))
        kinds = [CUBIC, LINE, LINE, CUBIC, *rest_kinds]
        corners = [0, 1, 2, 3, 4, 5, 6, 7, 8]
    else:
        segments, kinds = np.concatenate((hem, rest)), [CUBIC, *rest_kinds]
        corners = list(range(6))
    outline = Curve.from_segments(segments, kinds, closed=True)
    names = ["hem-centre", "hem-side", "underarm", "tip", "neck", "neck-centre"]
    return build_shape(
        size=size,
        outline=outline,
        corners=[Station(i, 0.0) for i in corners],
        corner_names=() if drawn else names,
        darts=[
            Dart(
                name="waist",
                left=outline.station_at(90.0 * k),
                right=outline.station_at(120.0 * k),
                apex=(float(apex[0]), float(apex[1])),
            )
        ]
        if dart and not drawn
        else [],
        notches=[Notch(name="armhole", station=Station(5 if drawn else 2, 0.35))],
        grain_line=GrainLine(start=(40 * k, 60 * k), end=(40 * k, 280 * k)),
        drill_holes=(DrillHole(at=(110 * k, 190 * k), name="bust"),),
    )


def panel(size: str, k: float, width: float, height: float, bow: float, names: str) -> Shape:
    """A panel with curved upper and lower edges: skirts, cuffs, yokes, pockets."""
    w, h = k * width, k * height
    segments = np.array(
        [
            [[0, 0], [w / 3, -bow], [2 * w / 3, -bow], [w, 0]],
            line_segments([[w, 0]], [[0.9 * w, h]])[0],
            [[0.9 * w, h], [0.6 * w, h - bow], [0.3 * w, h - bow], [0, h]],
            line_segments([[0, h]], [[0, 0]])[0],
        ]
    )
    outline = Curve.from_segments(segments, [CUBIC, LINE, CUBIC, LINE], closed=True)
    return build_shape(
        size=size,
        outline=outline,
        corners=[Station(i, 0.0) for i in range(4)],
        corner_names=names.split(),
        notches=[
            Notch(name="middle", station=outline.station_at(0.5 * float(outline.cumulative[1]))),
            Notch(name="side", station=Station(1, 0.4)),
        ],
        grain_line=GrainLine(start=(0.4 * w, 0.2 * h), end=(0.4 * w, 0.8 * h)),
        internal_lines=(
            InternalLine(
                kind=InternalKind.INTERNAL,
                curve=Curve.line([0.2 * w, 0.5 * h], [0.7 * w, 0.5 * h]),
            ),
        ),
    )


def collar(size: str, k: float) -> Shape:
    """A collar that is symmetrical about the middle of its back."""
    half = k * np.array(
        [
            [[0, 0], [60, 0], [120, 6], [180, 22]],
            [[180, 22], [186, 40], [192, 58], [198, 80]],
            [[198, 80], [140, 66], [70, 60], [0, 60]],
        ],
        dtype=np.float64,
    )
    mirrored = half[::-1, ::-1] * np.array([-1.0, 1.0])
    segments = np.concatenate((half, mirrored))
    outline = Curve.from_segments(segments, closed=True)
    return build_shape(
        size=size,
        outline=outline,
        corners=[Station(i, 0.0) for i in (1, 2, 4, 5)],
        corner_names=["neck-right", "point-right", "point-left", "neck-left"],
        notches=[Notch(name="back", station=Station(0, 0.0))],
        grain_line=GrainLine(start=(0.0, 10.0 * k), end=(0.0, 50.0 * k)),
    )


def digitised(size: str, k: float) -> Shape:
    """A bodice as a digitiser gives it: an outline of short chords."""
    smooth = bodice(size, k, dart=False)
    points = smooth.seam_line.flatten(0.02)
    outline = Curve.polyline(points, closed=True)
    at = [
        int(np.argmin(np.hypot(*(points - smooth.seam_line.point_of(c.station)).T)))
        for c in smooth.corners
    ]
    return build_shape(
        size=size,
        outline=outline,
        corners=[Station(i, 0.0) for i in at],
        grain_line=smooth.grain_line,
    )


def _seam(name: str, sew: str, marks: tuple[str, str], to: str, partners: tuple[str, str]) -> Seam:
    return Seam(
        name=name,
        sew=Run(parts=(RunPart(piece=sew, marks=marks),)),
        to=Run(parts=(RunPart(piece=to, marks=partners),)),
    )


PANELS = {
    "Skirt front": (240.0, 560.0, 6.0),
    "Skirt back": (250.0, 560.0, 8.0),
    "Cuff": (230.0, 70.0, 1.0),
    "Collar stand": (190.0, 35.0, 4.0),
    "Waistband": (380.0, 45.0, 0.5),
    "Yoke": (180.0, 110.0, 9.0),
    "Pocket": (140.0, 160.0, 7.0),
    "Pocket bag": (160.0, 240.0, 12.0),
    "Flap": (150.0, 60.0, 10.0),
    "Peplum": (300.0, 160.0, 30.0),
    "Belt": (500.0, 40.0, 0.3),
    "Neck binding": (220.0, 32.0, 5.0),
    "Sleeve placket": (60.0, 150.0, 0.5),
}


def style(count: int = SIZES) -> Pattern:
    """The whole style, its seams set."""
    sizes = tuple(str(k + 1) for k in range(count))
    factors = dict(zip(sizes, np.linspace(0.85, 1.15, count).tolist(), strict=True))
    names = "hem-centre hem-side waist-side waist-centre"
    pieces = [
        *blouse(count),
        Piece(name="Bodice", shapes=tuple(bodice(s, k) for s, k in factors.items())),
        Piece(
            name="Bodice lining",
            shapes=tuple(bodice(s, k, drawn=True) for s, k in factors.items()),
        ),
        Piece(name="Collar", shapes=tuple(collar(s, k) for s, k in factors.items())),
        Piece(name="Old bodice", shapes=tuple(digitised(s, k) for s, k in factors.items())),
        *(
            Piece(name=name, shapes=tuple(panel(s, k, *how, names) for s, k in factors.items()))
            for name, how in PANELS.items()
        ),
    ]
    pattern = Pattern(
        name="Twenty pieces", pieces=tuple(pieces), sizes=sizes, base_size=sizes[count // 2]
    )
    plan = files("seamwright.demo").joinpath("data/chorus-blouse.plan.toml").read_bytes()
    laid = apply_plan(pattern, load_plan(plan))[0]
    waist, side = ("waist-centre", "waist-side"), ("waist-side", "hem-side")
    more = (
        _seam("waist", "Bodice", ("hem-centre", "hem-side"), "Skirt front", waist),
        _seam("skirt side", "Skirt front", side, "Skirt back", side),
        _seam("stand", "Collar stand", ("hem-centre", "hem-side"), "Neck binding", waist),
        _seam("pocket", "Pocket", side, "Pocket bag", side),
        _seam("waistband", "Waistband", ("hem-centre", "hem-side"), "Belt", waist),
    )
    return laid.but(seams=(*laid.seams, *more))
