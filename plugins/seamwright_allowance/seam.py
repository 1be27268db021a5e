"""The seam line derived from a cut line."""

from __future__ import annotations

from typing import Any

from seamwright.geometry import GeometryError
from seamwright.model import Pattern, Piece, SeamLineSource, Shape
from seamwright.model.edit import make_seam_line
from seamwright.plugins.api import Code, Context, Finding, StepResult

from . import codes
from .edges import EdgeValues
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

    def one(piece: Piece, shape: Shape) -> Shape:
        nonlocal failed
        if shape.seam_line_source is not SeamLineSource.CUT_LINE or shape.cut_line is not None:
            findings.append(
                finding(codes.NO_CUT_LINE, piece, shape, "the outline is a seam line already")
            )
            return shape
        each = widths.of(piece, shape, None if options.width is None else float(options.width))
        if any(w is None for w in each):
            missing = [e.name for e, w in zip(shape.edges, each, strict=True) if w is None]
            findings.append(
                finding(
                    codes.UNNAMED, piece, shape, f"no allowance is given for {', '.join(missing)}"
                )
            )
            failed = True
            return shape
        try:
            new = make_seam_line(shape, [None if w is _BEVEL else float(w) for w in each])
        except GeometryError as error:
            findings.append(
                finding(codes.TOO_WIDE, piece, shape, f"no seam line can be drawn: {error}")
            )
            failed = True
            return shape
        rows.append(
            {
                "piece": piece.name,
                "size": shape.size,
                "seam_line_length": new.seam_line.length,
                "cut_line_length": shape.seam_line.length,
            }
        )
        return new

    changed = pattern.map_shapes(one)
    return StepResult(
        pattern=pattern if failed else changed,
        findings=tuple(findings),
        looked_at=len(rows),
        figures={"shapes": rows},
    )
