"""Findings and figures of one step; all sizes or none."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from seamwright.model import Pattern, Piece, Shape
from seamwright.model.edit import Renewed
from seamwright.plugins.api import Code, Context, Finding, StepResult

from . import codes


class Telling:
    """What a step has to tell."""

    def __init__(self, ctx: Context) -> None:
        self.ctx = ctx
        self.findings: list[Finding] = []
        self.rows: list[dict[str, Any]] = []

    def tell(
        self, code: Code, message: str, piece: Piece, shape: Shape | None = None, **fields: Any
    ) -> None:
        """A finding with the code's severity and remedy."""
        self.findings.append(
            Finding(
                code=code.code, severity=code.severity, message=message, piece=piece.name,
                size=shape.size if shape else None, hint=code.remedy, **fields,
            )
        )  # fmt: skip

    def cut_line(self, piece: Piece, renewed: Renewed) -> Shape:
        """Says what became of the cut line."""
        if renewed.cut_line == "dropped":
            self.tell(codes.CUT_LINE, "the cut line was taken away", piece, renewed.shape)
        elif renewed.cut_line == "remade":
            self.tell(codes.REMADE, renewed.said, piece, renewed.shape)
        return renewed.shape

    def result(
        self, pattern: Pattern, piece: Piece, shapes: Sequence[Shape], what: str
    ) -> StepResult:
        """The step's answer; the unchanged pattern where any size refused."""
        errors = tuple(f for f in self.findings if f.severity is codes.REFUSED.severity)
        if errors:
            return StepResult(pattern=pattern, findings=errors, looked_at=len(piece.shapes))
        return StepResult(
            pattern=pattern.with_pieces([piece.but(shapes=tuple(shapes))]),
            findings=tuple(self.findings),
            looked_at=len(shapes),
            figures={what: self.rows},
        )
