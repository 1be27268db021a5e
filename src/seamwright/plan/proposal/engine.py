"""Proposing seams: from a pattern to chosen candidates."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seamwright.model import Pattern

from ..places import places
from .candidates import candidates
from .junctions import fits
from .matching import Candidate, choose
from .sides import Outline, Sides, outlines, plain_sides

ROUNDS = 3  # the choice is weighed anew by what was chosen round it


@dataclass(slots=True, eq=False)
class Weighed:
    """Everything that was weighed, and which candidates were chosen."""

    own: list[Outline]
    sides: Sides | None
    found: list[Candidate]
    chosen: list[int]


def weigh(pattern: Pattern) -> Weighed:
    """Candidates of a pattern, and the best set of them."""
    where = places(pattern)
    own = outlines(pattern, where)
    if not own:
        return Weighed(own, None, [], [])
    sides = plain_sides(own)
    found = candidates(own, sides, where.base)
    chosen = choose(found, own)
    scores = np.array([one.score for one in found])
    for _ in range(ROUNDS):
        better = scores + fits(found, chosen, own)
        again = choose(found, own, better)
        if again == chosen:
            break
        chosen = again
    return Weighed(own, sides, found, chosen)
