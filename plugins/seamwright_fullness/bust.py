"""Full and small bust by slash and spread."""

from __future__ import annotations

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import FloatArray, GeometryError
from seamwright.model import Pattern, Piece
from seamwright.model.edit import renew
from seamwright.plan.grammar import parse_mark
from seamwright.plan.insides import inside_points, parse_inside
from seamwright.plan.spots import find_piece, parse_spot, spot_lengths
from seamwright.plugins.api import Context, StepResult

from . import codes
from .bust_cuts import Places
from .bust_parts import spread_bust
from .options import Bust
from .telling import Telling


def full_bust(pattern: Pattern, options: Bust, ctx: Context) -> StepResult:
    """See the page full-bust."""
    return _bust(pattern, options, ctx, 1.0)


def small_bust(pattern: Pattern, options: Bust, ctx: Context) -> StepResult:
    """See the page small-bust."""
    return _bust(pattern, options, ctx, -1.0)


def _bust(pattern: Pattern, options: Bust, ctx: Context, sign: float) -> StepResult:
    telling = Telling(ctx)
    try:
        inside = parse_inside(options.point, default=ctx.units)
        piece = pattern.piece(find_piece(pattern, inside.piece))
        points = inside_points(pattern, inside)
        slash = _lengths(pattern, piece, options.slash, ctx)
        dart = _dart(piece, options.side)
        side = None if dart else _lengths(pattern, piece, options.side, ctx)
        hem = _lengths(pattern, piece, options.hem, ctx) if options.hem else None
        level = _lengths(pattern, piece, options.level, ctx) if options.level else None
    except SeamwrightError as error:
        return StepResult(pattern=pattern, findings=(error.finding, *error.others))
    except ValueError as error:
        return StepResult(
            pattern=pattern,
            findings=(SeamwrightError.of("spot.unreadable", str(error)).finding,),
        )
    shapes = []
    for shape in piece.shapes:
        z = pattern.sizes.index(shape.size)
        places = Places(
            point=points[z],
            slash=float(slash[z]),
            dart=dart,
            side=None if side is None else float(side[z]),
            hem=None if hem is None else float(hem[z]),
            level=None if level is None else float(level[z]),
            dart_name=options.dart_name,
        )
        try:
            done = spread_bust(shape, places, sign * float(options.amount))
        except GeometryError as error:
            telling.tell(codes.REFUSED, str(error), piece, shape)
            continue
        new = telling.cut_line(piece, renew(done.shape, shape))
        shapes.append(new)
        telling.rows.append({"piece": piece.name, "size": shape.size, **done.figures})
        x, y = shape.seam_line.point_at(places.slash)
        telling.tell(
            codes.KINK,
            f"the edge turns by {abs(done.figures['turned_degrees']):.1f} degrees where the slash "
            "ends",
            piece, shape, x=float(x), y=float(y), measured=abs(done.figures["turned_degrees"]),
        )  # fmt: skip
        apart = abs(done.figures["leg_left"] - done.figures["leg_right"])
        if apart > 1e-6:
            telling.tell(
                codes.LEGS, f"the legs of the bust dart differ by {ctx.length(apart)}",
                piece, shape, measured=apart,
            )  # fmt: skip
    if shapes:
        telling.tell(codes.TRY, "the bust was changed by figures: try it on", piece)
    return telling.result(pattern, piece, shapes, "bust")


def _lengths(pattern: Pattern, piece: Piece, text: str, ctx: Context) -> FloatArray:
    spot = parse_spot(text, default=ctx.units)
    if find_piece(pattern, spot.piece) != piece.name:
        raise SeamwrightError.of(
            codes.REFUSED.code, f'"{text}" is not on the piece "{piece.name}" of the bust point',
            piece=piece.name, hint="places on one piece",
        )  # fmt: skip
    return np.asarray(spot_lengths(pattern, spot))


def _dart(piece: Piece, text: str) -> str:
    """The name of the dart that `side` means, "" where it means a place."""
    try:
        mark = parse_mark(text)
    except ValueError:
        return ""
    if any(d.name == mark.name for s in piece.shapes for d in s.darts):
        return mark.name
    return ""
