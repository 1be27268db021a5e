"""Pieces turned over, and mirrored copies of them."""

from __future__ import annotations

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import FloatArray, GeometryError
from seamwright.model import InternalKind, Pattern, Piece, Shape
from seamwright.plugins.api import Context, StepResult

from . import codes
from .affine import grain_middle, grain_way, lead, mapped
from .fold_axis import reflection
from .options import MirrorPiece
from .surgery import called, new_piece_name
from .telling import Telling

_GAP = 20.0  # mm between a piece and its copy


def mirror(pattern: Pattern, options: MirrorPiece, ctx: Context) -> StepResult:
    """Every piece turned over about an axis, or a copy of it; a reflection, plane geometry."""
    telling = Telling(ctx)
    pieces = [p for p in pattern.pieces if p.shapes and ctx.acts_on(p.name)]
    made: list[Piece] = []
    for piece in pieces:
        try:
            made.append(_mirrored(telling, pattern, piece, options))
        except GeometryError as error:
            telling.tell(codes.REFUSED, str(error), piece.name)
    looked_at = sum(len(p.shapes) for p in pieces)
    if telling.refused:
        return telling.result(pattern, None, looked_at)
    if not options.copy:
        return telling.result(pattern, pattern.with_pieces(made), looked_at)
    out: list[Piece] = []
    copies = {p.name: c for p, c in zip(pieces, made, strict=True)}
    for piece in pattern.pieces:
        copy = copies.get(piece.name)
        if copy is None:
            out.append(piece)
            continue
        right, left = piece.quantity
        one = (right, 0) if left else piece.quantity
        out.append(piece if one == piece.quantity else piece.but(quantity=one))
        out.append(copy.but(quantity=(left or right, 0)))
    return telling.result(pattern, pattern.but(pieces=tuple(out)), looked_at)


def _mirrored(telling: Telling, pattern: Pattern, piece: Piece, options: MirrorPiece) -> Piece:
    base = lead(piece, pattern.base_size)
    through, way = _axis(base, options)
    matrix = reflection(through, way)
    name = piece.name
    if options.copy:
        name = options.copy.replace("{piece}", piece.name)
        if name == piece.name:
            raise SeamwrightError.of(
                "piece.name-taken", f'the copy of "{name}" needs a name of its own', piece=name,
                hint='write "{piece} left"',
            )  # fmt: skip
        new_piece_name(pattern, name)
        matrix = _beside(piece, matrix)
    new = mapped(telling, piece, {s.size: matrix for s in piece.shapes}, pattern.base_size)
    if options.copy:
        new = new.but(
            name=name,
            shapes=tuple(called(s, piece.name, name).but(foreign=()) for s in new.shapes),
            foreign=(),
        )
    for was, now in zip(piece.shapes, new.shapes, strict=True):
        telling.rows.append(
            {
                "piece": name,
                "size": was.size,
                "area": was.seam_line.area,
                "new_area": now.seam_line.area,
                "seam_line_length": was.seam_line.length,
                "new_seam_line_length": now.seam_line.length,
            }
        )
    return new


def _axis(shape: Shape, options: MirrorPiece) -> tuple[FloatArray, FloatArray]:
    """A point on the axis and its direction; one axis for all sizes, that of the base size."""
    if options.axis in ("grain", "across-grain"):
        way = grain_way(shape)
        if way is None:
            raise GeometryError("it has no grain line to be turned about")
        if options.axis == "across-grain":
            way = np.array([-way[1], way[0]])
        return grain_middle(shape), way
    if options.axis == "fold":
        lines = [x.curve for x in shape.internal_lines if x.kind is InternalKind.FOLD]
        if len(lines) != 1:
            raise GeometryError(f"it has {len(lines)} fold lines; one is needed as the axis")
        return lines[0].start, lines[0].end - lines[0].start
    x0, y0, x1, y1 = shape.seam_line.bbox
    middle = np.array([0.5 * (x0 + x1), 0.5 * (y0 + y1)])
    return middle, np.array([0.0, 1.0] if options.axis == "vertical" else [1.0, 0.0])


def _beside(piece: Piece, matrix: FloatArray) -> FloatArray:
    """The reflection, moved so that the copy lies to the right of the piece in all sizes."""
    boxes = np.array([(s.cut_line or s.seam_line).bbox for s in piece.shapes])
    images = np.array([(s.cut_line or s.seam_line).transformed(matrix).bbox for s in piece.shapes])
    out = np.array(matrix)
    out[0, 2] += float(boxes[:, 2].max() - images[:, 0].min()) + _GAP
    return out
