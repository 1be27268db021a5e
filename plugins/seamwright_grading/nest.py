"""The sizes held against one another."""

from __future__ import annotations

from seamwright.model import Pattern, Piece
from seamwright.plugins.api import Context, Finding, Severity, StepResult

from .against import points_against
from .ease import ease_over_sizes
from .options import CheckNest
from .sequence import lengths_in_sequence
from .wander import notches_wander


def run(pattern: Pattern, options: CheckNest, ctx: Context) -> StepResult:
    """Ease, lengths, points and notches over all sizes; see the page."""
    if len(pattern.sizes) < 2:
        return StepResult(pattern=pattern, skipped="the pattern is drawn in one size only")
    findings: list[Finding] = []
    looked = ease_over_sizes(pattern, options, ctx, findings)
    for piece in pattern.pieces:
        _other_topology(piece, pattern.base_size, findings)
    looked += lengths_in_sequence(pattern, options, ctx, findings)
    looked += points_against(pattern, options, ctx, findings)
    looked += notches_wander(pattern, options, ctx, findings)
    return StepResult(
        pattern=pattern,
        findings=tuple(findings),
        looked_at=looked,
        figures={"sizes": len(pattern.sizes), "pieces": len(pattern.pieces)},
    )


def _other_topology(piece: Piece, base: str, findings: list[Finding]) -> None:
    """Sizes with other corners or notches than the base size."""
    if base not in piece.sizes:
        return
    wanted = piece.in_size(base)
    for shape in piece.shapes:
        for what in ("corners", "notches"):
            count, right = len(getattr(shape, what)), len(getattr(wanted, what))
            if count != right:
                findings.append(
                    Finding(
                        code="nest.topology",
                        severity=Severity.WARNING,
                        message=f"{count} {what} in this size, {right} in the base size",
                        piece=piece.name,
                        size=shape.size,
                        measured=float(count),
                        limit=float(right),
                        hint="a corner or notch is missing here, or one is too many",
                    )
                )
