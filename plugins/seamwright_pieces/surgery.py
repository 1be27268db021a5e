"""What all surgery on pieces shares: names held over it, what is sewn in one way in all sizes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve, Station
from seamwright.geometry.simple import crosses_itself as crosses_itself
from seamwright.model import (
    Corner,
    GradePoint,
    LineRole,
    Notch,
    Pattern,
    Piece,
    Shape,
    TextRole,
)
from seamwright.model.edit import hold_names, release_names, renew
from seamwright.model.numbering import number_notches, restart
from seamwright.plan.spots import Spot, find_piece, parse_spot
from seamwright.plugins.api import Context

from .telling import Telling

HELD = "\0"  # as `hold_names` marks names
_HERE = 1e-6  # mm


def ready(shape: Shape) -> Shape:
    """The shape for surgery: names held, and marks of the cut line put on the seam line (square
    across the allowance), because no cut line survives surgery."""
    return hold_names(on_seam_line(shape))


def on_seam_line(shape: Shape) -> Shape:
    """The shape with notches and grade points that count on the cut line put on the seam line."""
    cut = shape.cut_line
    if cut is None:
        return shape

    def put(station: Station) -> Station:
        near = shape.seam_line.nearest(cut.point_of(station)[None])
        return Station(int(near.segments[0]), float(near.ts[0]))

    def moved(mark: Any) -> Any:
        if mark.line is not LineRole.CUT or mark.station is None:
            return mark
        return replace(mark, station=put(mark.station), line=LineRole.SEAM)

    marks: list[Notch | GradePoint] = [*shape.notches, *shape.grade_points]
    if not any(m.line is LineRole.CUT for m in marks):
        return shape
    return shape.but(
        notches=number_notches([moved(n) for n in shape.notches], shape.seam_line, cut),
        grade_points=tuple(moved(g) for g in shape.grade_points),
    )


def released(made: Sequence[Shape], old: Sequence[Shape], base_size: str) -> list[Shape]:
    """Shapes after surgery with their names, beginning at one corner in all sizes: where the old
    piece began, or where the base size begins."""
    lead = next((s for s in made if s.size == base_size), made[0])
    firsts = [was.corners[0].name for was in old if was.corners]
    names = [c.name for c in lead.corners]
    first = next((HELD + n for n in firsts if HELD + n in names), names[0] if names else "")
    out = []
    for shape, was in zip(made, old, strict=True):
        k = next((k for k, c in enumerate(shape.corners) if c.name == first), None)
        out.append(release_names(restart(shape, k) if k else shape, was))
    return out


def renewed(
    telling: Telling,
    piece: str,
    new: Shape,
    old: Shape,
    *,
    own: Mapping[str, float] | None = None,
    cut_line: Curve | None = None,
) -> Shape:
    """The new shape with allowances and a cut line made from them; what became of it is told.

    cut_line  what became of the old one, where surgery could carry it along
    """
    if cut_line is not None:
        return renew(new, old.but(cut_line=None), own=own).shape.but(cut_line=cut_line)
    result = renew(new, old, own=own)
    telling.cut_line(piece, new.size, result.cut_line, result.said)
    return result.shape


def allowance_at(shape: Shape, at: float) -> float | None:
    """The allowance of the edge that holds length `at` or begins there, mm; None where none is
    known."""
    if not shape.corners or len(shape.allowances) != len(shape.corners):
        return None
    seam = shape.seam_line
    starts = np.array([float(seam.cumulative[c.station.segment]) for c in shape.corners])
    behind = np.mod(at - starts, seam.length)
    behind = np.where(behind > seam.length - _HERE, 0.0, behind)
    return shape.allowances[int(np.argmin(behind))]


def corner_at(shape: Shape, at: float) -> str | None:
    """The name of the corner at a length on the seam line."""
    seam = shape.seam_line
    for corner in shape.corners:
        gap = (float(seam.cumulative[corner.station.segment]) - at) % seam.length
        if min(gap, seam.length - gap) <= _HERE:
            return corner.name
    return None


def called(shape: Shape, old: str, new: str) -> Shape:
    """The shape with texts that give the piece's name brought up to date."""
    if not any(t.role is TextRole.NAME and t.text == old for t in shape.texts):
        return shape
    return shape.but(
        texts=tuple(
            replace(t, text=new) if t.role is TextRole.NAME and t.text == old else t
            for t in shape.texts
        )
    )


def free_name(wanted: str, taken: Sequence[str]) -> str:
    """The name, with a number behind it where it is taken."""
    name, k = wanted, 2
    while name in taken:
        name, k = f"{wanted}-{k}", k + 1
    return name


def marks_of(shape: Shape) -> list[Corner | Notch]:
    """All corners and notches."""
    return [*shape.corners, *shape.notches]


def mark_names(piece: Piece) -> list[str]:
    """Names of all corners and notches in all sizes."""
    return list(dict.fromkeys(m.name for s in piece.shapes for m in marks_of(s)))


def new_piece_name(pattern: Pattern, name: str, but: Sequence[str] = ()) -> str:
    """The name, if no other piece has it. Raises SeamwrightError."""
    if name in [p.name for p in pattern.pieces if p.name not in but]:
        raise SeamwrightError.of(
            "piece.name-taken",
            f'there is a piece "{name}" already',
            piece=name,
            hint="give the new piece another name",
        )
    return name


def spot_on(pattern: Pattern, text: str, ctx: Context) -> Spot:
    """A place as an option names it, its piece looked up. Raises SeamwrightError."""
    try:
        spot = parse_spot(text, default=ctx.units)
    except ValueError as error:
        raise SeamwrightError.of("spot.unreadable", str(error)) from None
    return replace(spot, piece=find_piece(pattern, spot.piece))


def acting_on(ctx: Context, piece: str) -> str:
    """The piece's name. Raises SeamwrightError where the step was not to act on it."""
    if not ctx.acts_on(piece):
        raise SeamwrightError.of(
            "selection.too-narrow",
            f'the step is to change "{piece}", which was not selected',
            piece=piece,
            hint="select that piece too",
        )
    return piece


def with_piece_for(pattern: Pattern, old: str, new: Sequence[Piece]) -> Pattern:
    """The pattern with other pieces in the place of one."""
    pieces: list[Piece] = []
    for piece in pattern.pieces:
        pieces.extend(new if piece.name == old else [piece])
    return pattern.but(pieces=tuple(pieces))
