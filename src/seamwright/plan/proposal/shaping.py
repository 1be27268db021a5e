"""Sides as the runs of a plan: marks by name, and a mark between where two leave the way open."""

from __future__ import annotations

from collections.abc import Sequence

from seamwright.model.seam import Run, RunPart

from ..way import WayError, way
from .sides import Outline, Step


def run_of(side: Sequence[Step], own: Sequence[Outline]) -> Run:
    """A side as a plan's run."""
    return Run(parts=tuple(part for step in side for part in _parts(step, own[step.piece])))


def _parts(step: Step, own: Outline) -> list[RunPart]:
    spans: list[list[int]] = []
    for i, j in step.spans:
        if spans and spans[-1][1] == i:
            spans[-1][1] = j
        else:
            spans.append([i, j])
    out = [_part(own, i, j) for i, j in spans]
    if step.way > 0:
        return out
    return [RunPart(piece=p.piece, marks=p.marks[::-1]) for p in reversed(out)]


def _part(own: Outline, i: int, j: int) -> RunPart:
    """From stop i to stop j with the outline; a mark between where two would leave the way open."""
    names = (own.name(i), own.name(j))
    between = [s % own.n for s in range(i + 1, j if j > i else j + own.n)]
    if not _goes(own, [i, j]) and between:
        # The middle one that is not at the end of the shorter way round.
        for s in sorted(between, key=lambda s: abs(between.index(s) - len(between) / 2)):
            if _goes(own, [i, s, j]):
                return RunPart(piece=own.piece.name, marks=(names[0], own.name(s), names[1]))
    return RunPart(piece=own.piece.name, marks=names)


def _goes(own: Outline, stops: Sequence[int]) -> bool:
    """Whether a run through these stops is read as going with the outline."""
    at = own.at[:, own.base]
    mouths: list[tuple[float, float]] = []
    try:
        return way(
            [float(at[s]) for s in stops],
            float(own.whole[own.base]),
            corners=[float(x) for x, c in zip(at, own.corner, strict=True) if c],
            mouths=mouths,
        )
    except WayError:
        return False
