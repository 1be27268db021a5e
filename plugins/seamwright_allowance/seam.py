"""The seam line derived from a cut line."""

from __future__ import annotations

from typing import Any

from seamwright.geometry import GeometryError, measure_together
from seamwright.model import Pattern, Piece, SeamLineSource, Shape
from seamwright.model.edit import make_seam_lines
from seamwright.plugins.api import Code, Context, Finding, StepResult

from . import codes
from .edges import EdgeValues
from .holes import outside
from .options import SeamLine

_BEVEL = object()


def seam(pattern: Pattern, options: SeamLine, ctx: Context) -> StepResult:
    """A seam line inside every shape whose outline is a cut line. See the page seam-line."""
    given: dict[str, Any] = {**options.edges, **dict.fromkeys(options.bevels, _BEVEL)}
    widths = EdgeValues(pattern, given)
    findings: list[Finding] = []
    rows: list[dict[str, Any]] = []
    failed = False

    def finding(code: Code, piece: Piece, shape: Shape, message: str) -> Finding:
        return Finding(
            code=code.code,
            severity=code.severity,
            message=message,
            piece=piece.name,
            size=shape.size,
            hint=code.remedy,
        )

    todo: list[tuple[Piece, Shape, list[float | None]]] = []
    for piece in pattern.pieces:
        for shape in piece.shapes:
            if shape.seam_line_source is not SeamLineSource.CUT_LINE or shape.cut_line is not None:
                message = "the outline is a seam line already"
                findings.append(finding(codes.NO_CUT_LINE, piece, shape, message))
                continue
            each = widths.of(piece, shape, None if options.width is None else float(options.width))
            missing = [e.name for e, w in zip(shape.edges, each, strict=True) if w is None]
            if missing:
                message = f"no allowance is given for {', '.join(missing)}"
                findings.append(finding(codes.UNNAMED, piece, shape, message))
                failed = True
                continue
            todo.append((piece, shape, [None if w is _BEVEL else float(w) for w in each]))
    new: dict[Shape, Shape] = {}
    made = make_seam_lines([(shape, each) for _, shape, each in todo])
    measure_together([m.seam_line for m in made if isinstance(m, Shape)])
    for (piece, shape, _), one in zip(todo, made, strict=True):
        if isinstance(one, GeometryError):
            message = f"no seam line can be drawn: {one}"
            findings.append(finding(codes.TOO_WIDE, piece, shape, message))
            failed = True
            continue
        crossed = outside(shape, one.seam_line)
        if crossed:
            names = ", ".join(f'"{h.name}"' if h.name else "a cut-out" for h in crossed)
            message = f"the seam line runs through {names}, or leaves it outside"
            findings.append(finding(codes.HOLE_CROSSED, piece, shape, message))
            failed = True
            continue
        new[shape] = one
        rows.append(
            {
                "piece": piece.name,
                "size": shape.size,
                "seam_line_length": one.seam_line.length,
                "cut_line_length": shape.seam_line.length,
            }
        )
    changed = pattern.map_shapes(lambda _, shape: new.get(shape, shape))
    return StepResult(
        pattern=pattern if failed else changed,
        findings=tuple(findings),
        looked_at=len(rows),
        figures={"shapes": rows},
    )
