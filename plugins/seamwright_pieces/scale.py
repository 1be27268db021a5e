"""Pieces scaled along the grain and across it, and made larger by what the cloth will shrink."""

from __future__ import annotations

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.model import Pattern, Piece
from seamwright.plugins.api import Context, StepResult

from . import codes
from .affine import grain_middle, grain_way, lead, mapped
from .options import ScalePiece, Shrinkage
from .telling import Telling


def scale(pattern: Pattern, options: ScalePiece, ctx: Context) -> StepResult:
    """Every piece by a factor along the grain and another across it; plane geometry."""
    return _scaled(pattern, options.along, options.across, ctx)


def shrinkage(pattern: Pattern, options: Shrinkage, ctx: Context) -> StepResult:
    """Every piece made so much larger that it has its size when the cloth has shrunk.

    Pattern length = wanted length / (1 - s), where s is the dimensional change of the cloth in
    that direction (as tests of dimensional change after washing give it, in per cent of the
    original length); length and width differ, so along the grain and across apply on their own.
    """
    along = 1.0 / (1.0 - options.along / 100.0)
    across = 1.0 / (1.0 - options.across / 100.0)
    return _scaled(pattern, along, across, ctx)


def _scaled(pattern: Pattern, along: float, across: float, ctx: Context) -> StepResult:
    telling = Telling(ctx)
    pieces = [p for p in pattern.pieces if p.shapes and ctx.acts_on(p.name)]
    looked_at = sum(len(p.shapes) for p in pieces)
    if along == across == 1.0:
        return StepResult(pattern=pattern, looked_at=looked_at)
    changed: list[Piece] = []
    for piece in pieces:
        about = grain_middle(lead(piece, pattern.base_size))
        matrices: dict[str, FloatArray] = {}
        for shape in piece.shapes:
            way = grain_way(shape)
            if way is None and along != across:
                telling.tell(
                    codes.NO_GRAIN, "along and across differ, and there is no grain line",
                    piece.name, shape.size,
                )  # fmt: skip
                continue
            matrices[shape.size] = stretch(way, along, across, about)
        if telling.refused:
            continue
        new = mapped(telling, piece, matrices, pattern.base_size, rigid=False)
        changed.append(new)
        for was, now in zip(piece.shapes, new.shapes, strict=True):
            telling.rows.append(
                {
                    "piece": piece.name,
                    "size": was.size,
                    "along": along,
                    "across": across,
                    "area": was.seam_line.area,
                    "new_area": now.seam_line.area,
                    "seam_line_length": was.seam_line.length,
                    "new_seam_line_length": now.seam_line.length,
                }
            )
    return telling.result(pattern, pattern.with_pieces(changed), looked_at)


def stretch(way: FloatArray | None, along: float, across: float, about: FloatArray) -> FloatArray:
    """The map 2x3 that stretches along a unit direction and across it about a point."""
    u = np.array([0.0, 1.0]) if way is None else way
    m = across * np.eye(2) + (along - across) * np.outer(u, u)
    return np.column_stack((m, about - m @ about))
