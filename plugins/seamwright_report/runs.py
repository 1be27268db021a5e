"""Where each seam's two runs lie on their pieces, in every size, for laying them side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve
from seamwright.model import Pattern, Run, Shape
from seamwright.plan import Places, ResolvedPart, places, resolve_run

_ON = 1e-6  # mm
Way = tuple[float, float]  # where on the outline it begins, mm from corner 1, and how long it is


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PartWays:
    """One part of a run: for each size the ways along the outline that are sewn (several where a
    dart's mouth is stepped over), in sewing order; None where the size lacks the part. `forward`
    tells whether they go with the outline."""

    piece: str
    forward: bool
    ways: tuple[tuple[Way, ...] | None, ...]

    def curves(self, shape: Shape, z: int) -> list[Curve]:
        """The ways of size number z as curves in sewing order."""
        out = []
        line = shape.seam_line
        for start, length in self.ways[z] or ():
            if length < _ON:
                continue
            other = (start + (length if self.forward else -length)) % line.length
            a, b = (start, other) if self.forward else (other, start)
            if abs(length - line.length) < _ON:
                a, b = start, start + line.length
            part = line.part(a % line.length, b % line.length)
            out.append(part if self.forward else part.reversed())
        return out


def ways_of(pattern: Pattern, runs: Sequence[Run]) -> list[tuple[PartWays, ...]]:
    """The parts of each run; none where it cannot be followed (the walk's findings say why)."""
    where = places(pattern)
    try:
        # All at once: a pattern's places are looked up once for all its runs.
        found = resolve_run(pattern, Run(parts=tuple(part for run in runs for part in run))).parts
    except SeamwrightError:
        return [_alone(pattern, run, where) for run in runs]
    out, at = [], 0
    for run in runs:
        own = found[at : at + len(run.parts)]
        at += len(run.parts)
        out.append(tuple(_part(part, where) for part in own))
    return out


def _alone(pattern: Pattern, run: Run, where: Places) -> tuple[PartWays, ...]:
    try:
        return tuple(_part(part, where) for part in resolve_run(pattern, run).parts)
    except SeamwrightError:
        return ()


def _part(part: ResolvedPart, where: Places) -> PartWays:
    return PartWays(piece=part.part.piece, forward=part.forward, ways=_ways(part, where))


def _ways(part: ResolvedPart, where: Places) -> tuple[tuple[Way, ...] | None, ...]:
    whole = where.outline[where.pieces[part.part.piece]]
    mouths = where.mouths[list(where.darts[part.part.piece])]  # (D, Z, 2)
    round_trip = part.part.marks[0] == part.part.marks[-1]
    out: list[tuple[Way, ...] | None] = []
    for z, (start, end, sewn) in enumerate(zip(part.starts, part.ends, part.lengths, strict=True)):
        total = float(whole[z])
        if not np.isfinite([start, end, sewn, total]).all():
            out.append(None)
            continue
        gone = end - start if part.forward else start - end
        plain = total if round_trip else float(gone % total)
        if abs(plain - total) < _ON and not round_trip:
            plain = 0.0
        passed = _passed(mouths[:, z], float(start), plain, total, part.forward)
        if plain - sewn < _ON:
            passed = []
        out.append(tuple(_between(float(start), plain, passed, total, part.forward)))
    return tuple(out)


def _passed(
    mouths: np.ndarray, start: float, plain: float, total: float, forward: bool
) -> list[tuple[float, float]]:
    """Where on the way each mouth begins that is passed whole, and how wide it is; in order."""
    found = []
    for left, right in mouths:
        if not (np.isfinite(left) and np.isfinite(right)):
            continue
        wide = float((right - left) % total)
        low = float((left - start if forward else start - right) % total)
        low = 0.0 if total - low < _ON else low
        if low + wide <= plain + _ON and not (low <= _ON and wide >= plain - _ON):
            found.append((low, wide))
    return sorted(found)


def _between(
    start: float, plain: float, passed: Sequence[tuple[float, float]], total: float, forward: bool
) -> list[Way]:
    sign = 1.0 if forward else -1.0
    out: list[Way] = []
    at = 0.0
    for low, wide in passed:
        if low - at > _ON:
            out.append(((start + sign * at) % total, low - at))
        at = low + wide
    if plain - at > _ON or not out:
        out.append(((start + sign * at) % total, max(plain - at, 0.0)))
    return out
