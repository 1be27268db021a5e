"""Seams proposed from the pieces' shapes: which edges are sewn together, how sure that is, and why.

`sides` measures every stretch of every outline in every size; `scoring` says how well two sides go
together, `candidates` and `chains` which pairs are worth weighing, `matching` chooses all seams
together, `junctions` looks at what meets at their ends, `confidence` says how sure each is,
`emit`, `shaping` and `naming` write them as a plan, `updating` lays an older plan on a newer
pattern.
"""

from __future__ import annotations

from .engine import propose_seams, sure_seams
from .kinds import FreeEdge, Level, Proposal, ProposedSeam

__all__ = ["FreeEdge", "Level", "Proposal", "ProposedSeam", "propose_seams", "sure_seams"]
