"""What a proposal is: seams with how sure they are and why, and what stays unexplained."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from seamwright.model.seam import Run, Seam

from ..kinds import PiecePlan


class Level(StrEnum):
    """How sure a proposed seam is: at least 97, at least 50, fewer than 50 in 100 such seams of
    generated garments were right."""

    SURE = "sure"
    LIKELY = "likely"
    UNSURE = "unsure"


@dataclass(frozen=True, slots=True, kw_only=True)
class ProposedSeam:
    """A seam that may be.

    seam        in the pattern's own names of marks
    confidence  share of seams like it that were right, 0 to 1
    why         reasons in plain words; rivals: what else its sides might be sewn to
    kind        "plain", "cap", "gathers", "dart" or "copy" (an edge sewn to its mirrored copy)
    """

    seam: Seam
    level: Level
    confidence: float
    why: tuple[str, ...] = ()
    rivals: tuple[str, ...] = ()
    kind: str = "plain"


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeEdge:
    """An edge that nothing is sewn to. why: "fold", "free" (a hem or an opening, by the angles
    at its ends and its neighbours) or "unexplained"."""

    piece: str
    edge: Run
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """What was seen in a pattern.

    seams   surest first within the order of the pieces
    free    edges without a seam
    names   for corners and notches, piece by piece, "" where the number stays
    """

    seams: tuple[ProposedSeam, ...]
    free: tuple[FreeEdge, ...]
    names: dict[str, PiecePlan]

    def at_least(self, level: Level) -> tuple[Seam, ...]:
        """The seams of that level or a surer one."""
        order = list(Level)
        return tuple(p.seam for p in self.seams if order.index(p.level) <= order.index(level))
