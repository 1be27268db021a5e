"""What a run leaves: for every step what it changed, in numbers. Reports are made from it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from seamwright.findings import Finding

if TYPE_CHECKING:
    from seamwright.model import Pattern


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamMeasure:
    """One seam in one size, mm."""

    seam: str
    size: str
    sew_length: float
    to_length: float

    @property
    def ease(self) -> float:
        """Length of the sew side less that of the to side."""
        return self.sew_length - self.to_length


@dataclass(frozen=True, slots=True, kw_only=True)
class InvariantKept:
    """An invariant after a step: how far it moved at most, and how far it may."""

    name: str
    moved: float
    limit: float
    where: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StepRecord:
    """What one step did.

    use         full name ("cap_ease/ease-cap"); options resolved, defaults included, JSON-able
    changed     (piece, size) of every shape that is another object than before
    moved       (piece, size) -> largest shift of the seam line in mm
    seams_before, seams_after   every seam in every size (empty without seams)
    """

    use: str
    kind: str
    options: Mapping[str, Any]
    findings: tuple[Finding, ...] = ()
    looked_at: int = 0
    skipped: str = ""
    figures: Mapping[str, Any] = field(default_factory=dict)
    changed: tuple[tuple[str, str], ...] = ()
    moved: Mapping[tuple[str, str], float] = field(default_factory=dict)
    seams_before: tuple[SeamMeasure, ...] = ()
    seams_after: tuple[SeamMeasure, ...] = ()
    invariants: tuple[InvariantKept, ...] = ()
    written: tuple[str, ...] = ()
    plugin: str = ""
    seconds: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """A whole run over one pattern.

    before, after  the pattern as read and as it stands when the record is looked at
    snapshots      the pattern after each step, in order (shapes are shared)
    inputs         display name -> SHA-256 of each input
    versions       distribution -> version of everything that took part
    """

    before: Pattern
    after: Pattern
    steps: tuple[StepRecord, ...] = ()
    snapshots: tuple[Pattern, ...] = ()
    read_findings: tuple[Finding, ...] = ()
    inputs: Mapping[str, str] = field(default_factory=dict)
    versions: Mapping[str, str] = field(default_factory=dict)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings: of reading, then of each step in order."""
        return (*self.read_findings, *(f for step in self.steps for f in step.findings))
