"""One size to do, and what came of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from seamwright.paper import NEAR_ENOUGH, Side
from seamwright.plugins.api import Finding, Severity

from .edge import CapEdge
from .outcome import Outcome
from .wanted import Wanted


@dataclass(slots=True)
class SizeResult:
    """What came of one size: an outcome or none, and what is to be said."""

    outcome: Outcome | None = None
    findings: list[Finding] = field(default_factory=list)


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeJob:
    """One size to do. ease: of each half, mm; wanted: what each may hold."""

    size: str
    piece: str
    cap: CapEdge
    ease: Mapping[Side, float]
    wanted: Mapping[Side, Wanted | None]

    def say(self, code: str, severity: Severity, message: str, **fields: object) -> Finding:
        """A finding about this size."""
        return Finding(
            code=code,
            severity=severity,
            message=f"size {self.size}: {message}",
            piece=self.piece,
            size=self.size,
            **fields,  # type: ignore[arg-type]
        )

    def over(self, side: Side) -> bool:
        """Whether a half holds more than it may."""
        wanted = self.wanted[side]
        return wanted is not None and self.ease[side] > wanted.span.at_most + NEAR_ENOUGH
