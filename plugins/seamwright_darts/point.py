"""A dart's point moved: the dart shortened, lengthened, or aimed elsewhere."""

from __future__ import annotations

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve, GeometryError
from seamwright.model import Pattern, Shape
from seamwright.model.edit import wedge_of
from seamwright.model.marking import Dart
from seamwright.plan.insides import inside_points, parse_inside
from seamwright.plan.spots import find_piece
from seamwright.plugins.api import Context, StepResult

from . import codes
from .bench import Bench, refused, row
from .options import ShiftPoint


def shift(pattern: Pattern, options: ShiftPoint, ctx: Context) -> StepResult:
    """The point along the dart's middle, or to a place. See the page shift-dart-point."""
    bench = Bench(pattern, ctx)
    points = None
    try:
        piece, name = bench.named(options.dart)
        if options.to:
            try:
                inside = parse_inside(options.to, default=ctx.units)
            except ValueError as error:
                raise SeamwrightError.of("spot.unreadable", str(error)) from None
            if find_piece(pattern, inside.piece) != piece.name:
                raise SeamwrightError.of(
                    codes.REFUSED.code, f'"{options.to}" is not in the piece of the dart',
                    piece=piece.name, hint="a place in the dart's own piece",
                )  # fmt: skip
            points = inside_points(pattern, inside)
    except SeamwrightError as error:
        return refused(pattern, error)

    def change(shape: Shape, dart: Dart, z: int) -> Shape:
        w = wedge_of(shape, dart)
        if points is not None:
            apex = points[z]
            if not np.isfinite(apex).all():
                raise GeometryError(f'"{options.to}" is no place in this size')
        else:
            # The middle of the mouth's chord: along it equal legs stay equal exactly.
            way = 0.5 * (w.left + w.right) - w.apex
            depth = float(np.hypot(*way))
            back = float(options.back or 0.0)
            if back >= depth - 1e-6:
                raise GeometryError(f"it is only {ctx.length(depth)} deep")
            apex = w.apex + back / depth * way
        for end in (w.left, w.right):
            leg = Curve.line(end, apex)
            if (shape.seam_line.intersections(leg).others > 1e-5).any():
                raise GeometryError("a leg would leave the piece")
        new_dart = Dart(
            name=dart.name, left=dart.left, right=dart.right, apex=(float(apex[0]), float(apex[1]))
        )
        new = shape.but(darts=tuple(new_dart if d is dart else d for d in shape.darts))
        now = wedge_of(new, new_dart)
        if not 0.0 < now.angle < 180.0:
            raise GeometryError("its point would lie outside the mouth")
        moved = float(np.hypot(*(apex - w.apex)))
        bench.rows.append(
            {
                **row(piece, new, new_dart), "point_moved": moved,
                "angle_before": w.angle, "leg_before": w.legs[0],
            }
        )  # fmt: skip
        return new

    bench.each(piece, name, change)
    return bench.result(pattern)
