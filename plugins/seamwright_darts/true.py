"""Mouths given the shape of the fold, legs made equal."""

from __future__ import annotations

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import GeometryError
from seamwright.geometry.simple import crosses_itself
from seamwright.model import Pattern, Piece, Shape
from seamwright.model.edit import mouth_curve, renew, replace_run, wedge_of, with_legs_equal
from seamwright.model.marking import Dart
from seamwright.plan.spots import find_piece, parse_spot, spot_lengths
from seamwright.plugins.api import Context, StepResult

from . import codes
from .bench import Bench, refused, row
from .fold_shape import fold_shape
from .options import TrueDart
from .pressing import under_which


def true(pattern: Pattern, options: TrueDart, ctx: Context) -> StepResult:
    """See the page true-dart."""
    bench = Bench(pattern, ctx)
    centre = None
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
        if options.toward:
            try:
                spot = parse_spot(options.toward, default=ctx.units)
            except ValueError as error:
                raise SeamwrightError.of("spot.unreadable", str(error)) from None
            centre = (find_piece(pattern, spot.piece), spot_lengths(pattern, spot))
    except SeamwrightError as error:
        return refused(pattern, error)
    if not wanted:
        return StepResult(pattern=pattern, skipped="no piece has a dart: run mark-darts first")
    for piece, name in wanted:

        def change(shape: Shape, dart: Dart, z: int, piece: Piece = piece) -> Shape:
            toward = None
            if centre is not None and centre[0] == piece.name and np.isfinite(centre[1][z]):
                old = pattern.piece(piece.name).in_size(shape.size)
                toward = old.seam_line.point_at(float(centre[1][z]))
            return _trued(bench, piece, shape, dart, options, toward)

        bench.each(bench.pattern.piece(piece.name), name, change)
    return bench.result(pattern)


def _trued(
    bench: Bench, piece: Piece, shape: Shape, dart: Dart, options: TrueDart,
    toward: np.ndarray | None,
) -> Shape:  # fmt: skip
    w = wedge_of(shape, dart)
    if not 0.0 < w.angle < 120.0:
        raise GeometryError("the point does not lie inside the mouth")
    equal, shifted = with_legs_equal(shape, dart)
    if shifted > float(options.largest_shift):
        raise GeometryError(
            f"the point would have to move {bench.ctx.length(shifted)} for equal legs"
        )
    if shifted > 1e-3:
        bench.tell(
            codes.SHIFTED, f'the point of "{dart.name}" moved {bench.ctx.length(shifted)}',
            piece, shape, measured=shifted,
        )  # fmt: skip
    new = shape.but(darts=tuple(equal if d is dart else d for d in shape.darts))
    under = under_which(new, equal, options.pressed, toward)
    curve = fold_shape(new, equal, under)
    old = mouth_curve(new, equal)
    new = replace_run(new, equal.left, equal.right, curve)
    if crosses_itself(new.seam_line):
        raise GeometryError("the mouth would cross the outline")
    now = next(d for d in new.darts if d.name == dart.name)
    chord = curve.end - curve.start
    normal = np.array([chord[1], -chord[0]]) / np.hypot(*chord)
    bench.rows.append(
        {
            **row(piece, new, now),
            "pressed": options.pressed,
            "under": under,
            "point_shifted": shifted,
            "cap": float(((curve.flatten(0.05) - curve.start) @ normal).max()),
            "mouth_before": old.length,
        }
    )
    return bench.cut_line(piece, renew(new, shape))
