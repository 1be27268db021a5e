"""Which stretches of which shapes are meant, cut at their corners and at the mouths of darts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.model import Pattern, Shape
from seamwright.plan.grammar import parse_part, written
from seamwright.plan.names import look_up
from seamwright.plan.runs import ResolvedPart
from seamwright.plan.spots import find_piece, find_run

_ON = 1e-6  # mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A stretch of one shape's seam line between two breaks: lengths from corner 1 at which it
    begins and ends, going with the outline (past its start where end <= start)."""

    name: str
    start: float
    end: float


class Wanted:
    """The stretches that options name, in every shape. SeamwrightError for what is not there."""

    def __init__(self, pattern: Pattern, runs: Sequence[str]) -> None:
        self._sizes = {size: z for z, size in enumerate(pattern.sizes)}
        self._all = not runs
        self._pieces: set[str] = set()
        self._runs: list[ResolvedPart] = []
        names = [p.name for p in pattern.pieces]
        for text in runs:
            piece, _ = look_up(text, names)
            if piece is not None:
                self._pieces.add(piece)
                continue
            try:
                part = parse_part(text)
            except ValueError as error:
                if ":" not in text and ">" not in text:
                    find_piece(pattern, text)  # says which names are near
                raise SeamwrightError.of("spot.unreadable", str(error)) from None
            self._runs.append(find_run(pattern, part))

    def of(self, piece: str, shape: Shape) -> list[Stretch]:
        """In outline order, without overlap; a closed outline without corners is one stretch. The
        mouths of darts are left out: they have the shape of a fold."""
        if self._all or piece in self._pieces:
            whole = shape.seam_line.length
            if not shape.corners and not shape.darts:
                return [Stretch(name=piece, start=0.0, end=whole)]
            return self._cut(piece, shape, 0.0, whole)
        z = self._sizes.get(shape.size)
        out: list[Stretch] = []
        for run in self._runs if z is not None else ():
            if run.part.piece != piece:
                continue
            a, b = (run.starts, run.ends) if run.forward else (run.ends, run.starts)
            if np.isfinite([a[z], b[z]]).all():
                out += self._cut(piece, shape, float(a[z]), float(b[z]))
        return out

    @staticmethod
    def _cut(piece: str, shape: Shape, start: float, end: float) -> list[Stretch]:
        seam = shape.seam_line
        whole = seam.length
        reach = (end - start) % whole or whole
        at = [float(seam.cumulative[c.station.segment]) for c in shape.corners]
        names = [c.name for c in shape.corners]
        mouths = [(seam.length_of(d.left), seam.length_of(d.right)) for d in shape.darts]
        for dart, mouth in zip(shape.darts, mouths, strict=True):
            at += mouth
            names += (dart.name, dart.name)
        inner = sorted((x - start) % whole for x in at)
        marks = [0.0, *(x for x in inner if _ON < x < reach - _ON), reach]
        middles = [
            (left + 0.5 * ((right - left) % whole) - start) % whole for left, right in mouths
        ]
        out = []
        for low, high in pairwise(marks):
            if any(low < m < high for m in middles) or high - low < _ON:
                continue
            a, b = (start + low) % whole, (start + high) % whole
            ends = [_name(names, at, x, whole) for x in (a, b)]
            out.append(
                Stretch(
                    name=f"{written(piece)}: {written(ends[0])} > {written(ends[1])}",
                    start=a,
                    end=b,
                )
            )
        return out


def _name(names: Sequence[str], at: Sequence[float], x: float, whole: float) -> str:
    """The corner at a place, or how far along the outline it is."""
    for name, y in zip(names, at, strict=True):
        if min(abs(x - y), whole - abs(x - y)) < _ON:
            return name
    return f"{x:.0f} mm"
