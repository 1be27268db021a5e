"""The allowance of a hem that is folded back."""

from __future__ import annotations

from seamwright.geometry import GeometryError
from seamwright.geometry.outline_offset import MITRE, CornerRule
from seamwright.model import Pattern, Shape
from seamwright.model.edit import Renewed, make_cut_line
from seamwright.model.edit.finish import corner_finishes
from seamwright.plan.spots import edges_covered
from seamwright.plugins.api import Context, StepResult

from . import codes
from .facing import edge_of
from .fold_axis import fold_by_line
from .options import DrawHem
from .surgery import on_seam_line
from .telling import Telling


def draw_hem(pattern: Pattern, options: DrawHem, ctx: Context) -> StepResult:
    """The hem's depth as the edge's allowance; at its ends the cut line mirrors the neighbouring
    edge's across the fold, so that the hem lies flush when it is turned.

    Reflect the seam lines in the fold line: common practice in fitting and cutting; plane
    geometry.
    """
    telling = Telling(ctx)
    run = edge_of(pattern, options.edge, ctx)
    piece = pattern.piece(run.part.piece)
    depth = float(options.depth) + float(options.turning)
    shapes: list[Shape] = []
    for shape in piece.shapes:
        z = pattern.sizes.index(shape.size)
        if not shape.corners:
            telling.tell(codes.REFUSED, "its outline has no corners", piece.name, shape.size)
            continue
        covered = edges_covered(shape, run, z)
        try:
            widths = _widths(shape, options)
            for i in covered:
                widths[i] = depth
            was = corner_finishes(shape) or [MITRE] * len(widths)
            rules: list[CornerRule] = [rule or MITRE for rule in was]
            turned = {covered[0], (covered[-1] + 1) % len(widths)}
            lost = [
                shape.corners[i].name
                for i, rule in enumerate(was)
                if rule is None and i not in turned
            ]
            if len(covered) < len(widths):
                rules[covered[0]] = CornerRule(style="fold", first="after")
                rules[(covered[-1] + 1) % len(widths)] = CornerRule(style="fold", first="before")
            made = make_cut_line(on_seam_line(shape), widths, rules).shape
        except GeometryError as error:
            telling.tell(codes.REFUSED, str(error), piece.name, shape.size)
            continue
        if shape.cut_line is not None:
            said = Renewed(made, "remade", tuple(lost)).said
            telling.cut_line(piece.name, shape.size, "remade", said)
        shapes.append(made)
        assert made.cut_line is not None
        telling.rows.append(
            {
                "piece": piece.name,
                "size": shape.size,
                "depth": depth,
                "edge_length": float(run.lengths[z]),
                "cut_line_length": made.cut_line.length,
            }
        )
    after = None if telling.refused else pattern.with_pieces([piece.but(shapes=tuple(shapes))])
    return telling.result(pattern, after, len(piece.shapes))


def _widths(shape: Shape, options: DrawHem) -> list[float]:
    """The allowances as they are, or one for all edges but a fold."""
    count = len(shape.corners)
    if len(shape.allowances) == count:
        return list(shape.allowances)
    if options.width is None:
        raise GeometryError("its other allowances are not known: give width")
    widths = [float(options.width)] * count
    if shape.mirrored_half:
        fold = fold_by_line(shape)
        seam = shape.seam_line
        whole = seam.length
        length = (fold.end - fold.start) % whole
        for i, corner in enumerate(shape.corners):
            at = float(seam.cumulative[corner.station.segment])
            if (at - fold.start) % whole < length - 1e-6:
                widths[i] = 0.0
    return widths
