"""Darts drawn as a V cut into the outline."""

from __future__ import annotations

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve, GeometryError
from seamwright.model import Pattern, Piece, Shape
from seamwright.model.edit import (
    Part,
    cloth_area,
    contents_of,
    hold_names,
    mouth_curve,
    part_between,
    release_names,
    renew,
    shape_of_parts,
)
from seamwright.model.marking import Dart, DrillHole, Point
from seamwright.plugins.api import Context, StepResult

from .bench import Bench, refused, row
from .options import CutDarts


def cut(pattern: Pattern, options: CutDarts, ctx: Context) -> StepResult:
    """Every dart named becomes a V of the outline. See the page cut-darts."""
    bench = Bench(pattern, ctx)
    try:
        wanted = (
            [bench.named(options.dart)]
            if options.dart
            else [
                (piece, name)
                for piece in pattern.pieces
                for name in dict.fromkeys(d.name for s in piece.shapes for d in s.darts)
            ]
        )
    except SeamwrightError as error:
        return refused(pattern, error)
    for piece, name in wanted:

        def change(shape: Shape, dart: Dart, _: int, piece: Piece = piece) -> Shape:
            bench.rows.append({**row(piece, shape, dart), "cloth_area": cloth_area(shape)})
            new = with_dart_cut(shape, dart)
            return bench.cut_line(piece, renew(new, shape))

        bench.each(bench.pattern.piece(piece.name), name, change)
    return bench.result(pattern)


def with_dart_cut(shape: Shape, dart: Dart) -> Shape:
    """The outline led along both legs of a dart, which is no Dart any more.

    Notches at the mouth's ends stay; those inside it have no place any more and become drill
    holes. What is drawn between the legs stays drawn.
    """
    held = hold_names(shape)
    seam = held.seam_line
    left, right = seam.length_of(dart.left), seam.length_of(dart.right)
    inner = part_between(held, left, right)
    holes = tuple(
        DrillHole(at=_pair(inner.curve.point_at(at)), name=n.name.strip("\0"))
        for at, n in inner.notches
        if 1e-6 < at < inner.curve.length - 1e-6
    )
    held = held.but(drill_holes=held.drill_holes + holes)
    rest = part_between(held, right, left)
    mouth = mouth_curve(shape, dart)
    apex = np.asarray(dart.apex, dtype=np.float64)
    for end in (mouth.start, mouth.end):
        leg = Curve.line(end, apex)
        if (seam.intersections(leg).others > 1e-5).any():
            raise GeometryError("a leg leaves the piece")
    legs = Curve.polyline(np.stack((rest.curve.end, apex, rest.curve.start)))
    half = float(legs.cumulative[1])
    bridge = Part(curve=legs, corners=((0.0, None), (half, None), (legs.length, None)))
    return release_names(shape_of_parts(held, [bridge, rest], contents_of(held)), shape)


def _pair(p: np.ndarray) -> Point:
    return float(p[0]), float(p[1])
