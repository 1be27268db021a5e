"""Seams that stand already: what is proposed besides leaves them alone and builds on them."""

from __future__ import annotations

from collections.abc import Sequence

from seamwright.findings import SeamwrightError
from seamwright.model import Pattern
from seamwright.model.seam import Run, Seam

from ..runs import resolve_run
from .matching import Candidate
from .sides import Outline

Atoms = frozenset[int]


def kept_atoms(
    pattern: Pattern, seams: Sequence[Seam], own: Sequence[Outline]
) -> list[tuple[Atoms, Atoms]]:
    """For each seam the atoms of its two sides; seams that cannot be followed are left out."""
    number = {o.piece.name: k for k, o in enumerate(own)}
    out = []
    for seam in seams:
        try:
            out.append(tuple(_atoms(pattern, run, own, number) for run in (seam.sew, seam.to)))
        except SeamwrightError:
            continue
    return out  # type: ignore[return-value]


def _atoms(pattern: Pattern, run: Run, own: Sequence[Outline], number: dict[str, int]) -> Atoms:
    found: set[int] = set()
    for part in resolve_run(pattern, run).parts:
        if part.part.piece not in number:
            continue
        outline = own[number[part.part.piece]]
        z = outline.base
        whole = float(outline.whole[z])
        start, end = float(part.starts[z]), float(part.ends[z])
        if not part.forward:
            start, end = end, start
        long = (end - start) % whole or whole
        for s in range(outline.n):
            gap = float(outline.gap(s, (s + 1) % outline.n)[z])
            middle = (float(outline.at[s, z]) + gap / 2 - start) % whole
            if middle < long and not outline.closed[s]:
                found.add(outline.first_atom + s)
    return frozenset(found)


def settled(
    found: Sequence[Candidate], kept: Sequence[tuple[Atoms, Atoms]]
) -> tuple[list[float], set[int]]:
    """What standing seams add to each candidate's score, so that those which say the same are
    surely chosen and those which sew a stretch again are not; and the numbers of the former."""
    used = frozenset(a for pair in kept for side in pair for a in side)
    bonus, same = [], set()
    for c, one in enumerate(found):
        sides = {frozenset(a for s in side for a in s.atoms) for side in (one.sew, one.to)}
        if not one.atoms & used:
            bonus.append(0.0)
        elif any(sides == set(pair) for pair in kept) and not one.also:
            bonus.append(60.0)
            same.add(c)
        else:
            bonus.append(-1000.0)
    return bonus, same
