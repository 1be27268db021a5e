"""Findings and figures of one step; all sizes or none."""

from __future__ import annotations

from typing import Any

from seamwright.model import Pattern
from seamwright.plugins.api import Code, Context, Finding, Severity, StepResult

from . import codes


class Telling:
    """What a step has to tell."""

    def __init__(self, ctx: Context) -> None:
        self.ctx = ctx
        self.findings: list[Finding] = []
        self.rows: list[dict[str, Any]] = []

    def tell(
        self, code: Code, message: str, piece: str | None, size: str | None = None, **fields: Any
    ) -> None:
        """A finding with the code's severity and remedy."""
        self.findings.append(
            Finding(
                code=code.code, severity=code.severity, message=message, piece=piece, size=size,
                hint=code.remedy, **fields,
            )
        )  # fmt: skip

    def cut_line(
        self, piece: str, size: str, fate: str, said: str = "the cut line was drawn anew"
    ) -> None:
        """Says what became of the cut line."""
        if fate == "dropped":
            self.tell(codes.CUT_LINE, "the cut line was taken away", piece, size)
        elif fate == "remade":
            self.tell(codes.REMADE, said, piece, size)

    @property
    def refused(self) -> bool:
        """Whether an error was told."""
        return any(f.severity is Severity.ERROR for f in self.findings)

    def result(self, before: Pattern, after: Pattern | None, looked_at: int) -> StepResult:
        """The step's answer; the unchanged pattern where any size refused."""
        if self.refused or after is None:
            errors = tuple(f for f in self.findings if f.severity is Severity.ERROR)
            return StepResult(
                pattern=before, findings=errors or tuple(self.findings), looked_at=looked_at
            )
        return StepResult(
            pattern=after,
            findings=tuple(self.findings),
            looked_at=looked_at,
            figures={"pieces": self.rows} if self.rows else {},
        )
