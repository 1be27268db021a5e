"""Edges that nothing is sewn to, and what they look like: folds, hems and openings, or a riddle."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from seamwright.model.seam import Run, RunPart

from .emit import Piecewise
from .kinds import FreeEdge
from .shaping import run_of
from .sides import Outline, Step


def free_edges(
    own: Sequence[Outline],
    sewn: Sequence[Piecewise],
    mark: Mapping[tuple[str, str], str] | None = None,
    kept: frozenset[int] = frozenset(),
) -> tuple[FreeEdge, ...]:
    """Every edge from corner to corner of which less than half is sewn. "unexplained" is an edge
    that its notches or its curve speak of as one that should be sewn."""
    used = set(kept) | {a for p in sewn for s in (*p.sew, *p.to) for a in s.atoms}
    out = []
    for number, outline in enumerate(own):
        n = outline.n
        corners = [s for s in range(n) if outline.corner[s]]
        for k, i in enumerate(corners):
            j = corners[(k + 1) % len(corners)]
            inner = [s % n for s in range(i, j if j > i else j + n)]
            if any(outline.closed[s] for s in inner):
                continue
            atoms = tuple(outline.first_atom + s for s in inner)
            gaps = (
                [float(outline.gap(s, (s + 1) % n)[outline.base]) for s in inner]
                if n > 1
                else [1.0]
            )
            covered = sum(g for g, a in zip(gaps, atoms, strict=True) if a in used)
            if covered > 0.5 * sum(gaps):
                continue
            run = run_of([Step(number, i, j, 1, atoms, ((i, j),))], own)
            why = "free"
            if all(outline.fold[s] for s in inner):
                why = "fold"
            elif len(inner) > 1 or _hollow(outline, i, j):
                why = "unexplained"
            out.append(FreeEdge(piece=outline.piece.name, edge=_renamed(run, mark), why=why))
    return tuple(out)


def _hollow(own: Outline, i: int, j: int) -> bool:
    """Whether an edge is clearly curved: an armhole, a neckline, a cap."""
    at = own.at[[i, j], own.base]
    points = own.shape.seam_line.point_at(at)
    chord = float(((points[1] - points[0]) ** 2).sum() ** 0.5)
    return float(own.gap(i, j)[own.base]) > 1.08 * chord


def _renamed(run: Run, mark: Mapping[tuple[str, str], str] | None) -> Run:
    if not mark:
        return run
    return Run(
        parts=tuple(
            RunPart(piece=p.piece, marks=tuple(mark.get((p.piece, m), m) for m in p.marks))
            for p in run.parts
        )
    )
