"""Pieces turned so that their grain lies in a wanted direction."""

from __future__ import annotations

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.model import Pattern, Piece
from seamwright.plugins.api import Context, StepResult

from . import codes
from .affine import grain_middle, grain_way, lead, mapped, rotation
from .options import TurnToGrain
from .telling import Telling

_STRAIGHT = 1e-12  # degrees


def turn(pattern: Pattern, options: TurnToGrain, ctx: Context) -> StepResult:
    """Every piece turned about the middle of the base size's grain line; plane geometry."""
    telling = Telling(ctx)
    wanted = {"vertical": 90.0, "horizontal": 0.0}.get(options.grain, 0.0)
    wanted = float(options.angle) if options.angle is not None else wanted
    changed: list[Piece] = []
    pieces = [p for p in pattern.pieces if p.shapes and ctx.acts_on(p.name)]
    for piece in pieces:
        about = grain_middle(lead(piece, pattern.base_size))
        matrices: dict[str, FloatArray] = {}
        for shape in piece.shapes:
            way = grain_way(shape)
            if way is None:
                telling.tell(
                    codes.NOT_TURNED, "it has no grain line, and stays as it lies", piece.name,
                    shape.size,
                )  # fmt: skip
                continue
            degrees = wanted - float(np.degrees(np.arctan2(way[1], way[0])))
            whole = 360.0 if options.arrow else 180.0
            degrees = (degrees + whole / 2) % whole - whole / 2
            matrices[shape.size] = rotation(degrees, about)
            telling.rows.append({"piece": piece.name, "size": shape.size, "degrees": degrees})
        if len(matrices) < len(piece.shapes):
            continue
        if all(abs(r["degrees"]) <= _STRAIGHT for r in telling.rows[-len(piece.shapes) :]):
            continue
        changed.append(mapped(telling, piece, matrices, pattern.base_size))
    after = pattern.with_pieces(changed) if changed else pattern
    return telling.result(pattern, after, sum(len(p.shapes) for p in pieces))
