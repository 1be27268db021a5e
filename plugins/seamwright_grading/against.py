"""Points that move against their neighbours from one size to the next."""

from __future__ import annotations

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.model import Pattern, Piece
from seamwright.plugins.api import Context, Finding, Severity

from .options import CheckNest

_LAID_APART = 50.0
"""mm; sizes whose middles lie farther apart than this are laid out beside one another."""


def points_against(
    pattern: Pattern, options: CheckNest, ctx: Context, findings: list[Finding]
) -> int:
    """Findings nest.against; how many points were looked at.

    A point goes against its neighbours where both neighbours move the same way (within a right
    angle) and it moves more than a right angle away from both, each by more than the tolerance.
    Neighbours that part themselves, as two ends of a growing edge do, prove nothing.
    """
    looked = 0
    for piece in pattern.pieces:
        places = _places(piece)
        if places is None:
            continue
        looked += places.shape[1]
        for z in range(places.shape[0] - 1):
            moves = places[z + 1] - places[z]
            for c in against(moves, float(options.against)).tolist():
                shape = piece.shapes[z + 1]
                x, y = places[z + 1, c]
                findings.append(
                    Finding(
                        code="nest.against",
                        severity=Severity.WARNING,
                        message=f"from {piece.shapes[z].size} to {shape.size} the point moves by "
                        f"{ctx.length(float(np.hypot(*moves[c])))} against its neighbours",
                        piece=piece.name,
                        size=shape.size,
                        x=float(x),
                        y=float(y),
                        measured=float(np.hypot(*moves[c])),
                        limit=float(options.against),
                        hint="look at the rule of that point: a sign in it may be wrong",
                    )
                )
    return looked


def _places(piece: Piece) -> FloatArray | None:
    """Places (Z, C, 2) of corners and curve points in outline order; of the corners alone where
    sizes have other curve points; None where they have other corners."""
    if len(piece.shapes) < 2 or len({len(s.corners) for s in piece.shapes}) != 1:
        return None
    same_curves = len({len(s.curve_points) for s in piece.shapes}) == 1
    rows = []
    for shape in piece.shapes:
        stations = [c.station for c in shape.corners]
        if same_curves:
            stations = sorted({*stations, *shape.curve_points})
        rows.append(
            shape.seam_line.points_of([s.segment for s in stations], [s.t for s in stations])
        )
    if len({len(r) for r in rows}) != 1 or len(rows[0]) < 3:
        return None
    return np.stack(rows)


def against(moves: FloatArray, tolerance: float) -> np.ndarray:
    """Which of the points (C, 2 movements, in outline order) go against both neighbours."""
    middle = (moves.min(axis=0) + moves.max(axis=0)) / 2.0
    own = moves - middle if np.hypot(*middle) > _LAID_APART else moves
    before, after = np.roll(own, 1, axis=0), np.roll(own, -1, axis=0)
    far = np.hypot(own[:, 0], own[:, 1]) > tolerance
    far &= np.roll(far, 1) & np.roll(far, -1)
    agree = (before * after).sum(axis=1) > 0
    opposed = ((own * before).sum(axis=1) < 0) & ((own * after).sum(axis=1) < 0)
    return np.flatnonzero(far & agree & opposed)
