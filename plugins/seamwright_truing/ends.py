"""The ends of seams, folds and darts, and whether a line is meant to run on across each.

Across the end of a seam two edges meet, one of each piece. They are meant to run on where both
are free (a hem over a side seam, a neckline over a shoulder), where one run of the plan has both
in it one after the other, and where both are sewn, at that very place, to one line that itself
runs on there (an armhole over the shoulder, sewn to a cap). They are not where four seams meet,
where they are sewn to one another (a collar's point), where one is sewn and the other free, or
where the seam ends within an edge.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from seamwright.findings import SeamwrightError, did_you_mean
from seamwright.model import Pattern, RunPart
from seamwright.model.marking import InternalKind
from seamwright.plan import Places, places
from seamwright.plan.runs import Parts, resolve_parts

from .across_options import EndOptions
from .measure import interior_angles
from .tolerances import tolerances

_AT = 1e-6  # mm; marks nearer than this are at one place
_ON = 1e-3  # mm; this far beyond a corner one is on the crossing edge
FOUR = "four seams meet here"


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One piece at an end: the corner, and whether the crossing edge leaves it (goes with the
    outline) or arrives at it. `name` is a dart's for the sides of a dart."""

    piece: str
    name: str
    leaving: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """name     "shoulder: neck", "Back: nape", "Front: bust dart"
    kind     "seam", "fold" (one side) or "dart"
    seam     the seam's name, None for a fold or dart; number: its row in the plan
    first    the seam's beginning, not its end
    aside    why it is not judged; empty where it is
    """

    name: str
    kind: str
    sides: tuple[Side, ...]
    seam: str | None = None
    number: int = -1
    first: bool = False
    aside: str = ""


def ends_of(pattern: Pattern, options: EndOptions) -> list[End]:
    """Every end, judged or set aside. SeamwrightError for a name in the options that is none."""
    where = places(pattern)
    found = [
        *_Finder(pattern, where, options.four_seams).ends(),
        *_folds(pattern),
        *_darts(pattern),
    ]
    names = {name: end for end in found for name in _written(end)}
    for name in (*options.ends, *options.except_ends):
        if name not in names:
            raise SeamwrightError.of(
                "seam-end.unknown",
                f'no seam, fold or dart has an end "{name}"',
                hint=did_you_mean(name, names),
            )
    wanted, unwanted = (
        {id(names[n]) for n in some} for some in (options.ends, options.except_ends)
    )
    out = []
    for end in found:
        if id(end) in unwanted:
            end = _set_aside(end, "it is named in except-ends")
        elif id(end) in wanted and end.sides:
            end = _set_aside(end, "")
        out.append(end)
    return out


def _set_aside(end: End, why: str) -> End:
    return End(
        name=end.name, kind=end.kind, sides=end.sides, seam=end.seam, number=end.number,
        first=end.first, aside=why,
    )  # fmt: skip


def _written(end: End) -> list[str]:
    """The ways in which options may name it: by the mark of either side."""
    if end.kind != "seam":
        return [end.name]
    return list(dict.fromkeys([end.name, *(f"{end.seam}: {s.name}" for s in end.sides)]))


class _Finder:
    """Ends of the plan's seams."""

    def __init__(self, pattern: Pattern, where: Places, four_seams: bool) -> None:
        self._pattern, self._where, self._four = pattern, where, four_seams
        self._runs = [run for seam in pattern.seams for run in (seam.sew, seam.to)]
        parts = [part for run in self._runs for part in run.parts]
        self._owner = [r for r, run in enumerate(self._runs) for _ in run.parts]
        self._parts, self._lost = resolve_parts(where, parts)
        self._first = np.cumsum([0, *(len(run.parts) for run in self._runs)])
        self._fold = fold_edges(pattern)

    def ends(self) -> list[End]:
        out = []
        for number, seam in enumerate(self._pattern.seams):
            pair = (2 * number, 2 * number + 1)
            if any(self._lost[q] is not None for r in pair for q in self._all(r)):
                continue  # the walk says what is wrong with it
            for first in (True, False):
                out.append(self._end(seam.name, number, pair, first))
        return out

    def _all(self, run: int) -> range:
        return range(int(self._first[run]), int(self._first[run + 1]))

    def _end(self, seam: str, number: int, pair: Sequence[int], first: bool) -> End:
        own = [self._all(r)[0 if first else -1] for r in pair]
        marks = [self._mark(q, first) for q in own]
        name = f"{seam}: {marks[0][1]}"
        sides = []
        for q, (piece, mark) in zip(own, marks, strict=True):
            corner = self._corner(piece, mark)
            if corner is None:
                return End(
                    name=name, kind="seam", sides=(), seam=seam, number=number, first=first,
                    aside="the seam ends within an edge",
                )  # fmt: skip
            forward = bool(self._parts.forward[q])
            sides.append(Side(piece=piece, name=corner, leaving=forward != first))
        end = End(name=name, kind="seam", sides=tuple(sides), seam=seam, number=number, first=first)
        return _set_aside(end, self._why_not(end, pair))

    def _mark(self, q: int, first: bool) -> tuple[str, str]:
        part: RunPart = self._parts.parts[q]
        return part.piece, part.marks[0 if first else -1]

    def _at(self, piece: str, mark: str) -> float:
        row = self._where.row(piece, mark)
        assert row is not None  # the part was resolved
        z = self._where.column([row])
        return float(self._where.at[row, 0 if z is None else z])

    def _corner(self, piece: str, mark: str) -> str | None:
        """The name of the corner at a mark."""
        row = self._where.row(piece, mark)
        assert row is not None
        rows = self._where.corners[piece]
        if row in rows:
            return self._where.names[row]
        z = self._where.column([row])
        for other in rows:
            if z is not None and abs(self._where.at[other, z] - self._where.at[row, z]) < _AT:
                return self._where.names[other]
        return None

    def _why_not(self, end: End, pair: Sequence[int]) -> str:
        if any(self._on_fold(side) for side in end.sides):
            return "it lies on a fold, which is judged by itself"
        met = [self._met(side, pair) for side in end.sides]
        if not any(met):
            return ""
        if not all(met):
            return "of the crossing edges one is sewn and the other is not"
        (run_a, at_a), (run_b, at_b) = (m for m in met if m is not None)
        if run_a == run_b and at_a is None and at_b is None:
            return ""  # one after the other in one run
        if at_a is None or at_b is None:
            return FOUR if not self._four else ""
        if at_a == at_b or self._together(at_a, at_b):
            side = self._turn(at_a)
            return "" if side <= tolerances()["through"]["tolerance"] else FOUR
        own = {(side.piece, side.name) for side in end.sides}
        if {(p, self._corner(p, m)) for p, m in (at_a, at_b)} == own:
            return "the crossing edges are sewn to one another"
        return "" if self._four else FOUR

    def _on_fold(self, side: Side) -> bool:
        names = [self._where.names[r] for r in self._where.corners[side.piece]]
        if side.name not in names:
            return False
        i = names.index(side.name)
        return (side.piece, i if side.leaving else (i - 1) % len(names)) in self._fold

    def _met(self, side: Side, pair: Sequence[int]) -> tuple[int, tuple[str, str] | None] | None:
        """The run (its number) that the crossing edge is in, and the mark of the other run of the
        seam that lies there; no mark where two parts of a run meet. None where it is free."""
        at = self._at(side.piece, side.name)
        spot = at + (_ON if side.leaving else -_ON)
        for q, part in enumerate(self._parts.parts):
            if part.piece != side.piece or self._lost[q] is not None or self._owner[q] in pair:
                continue
            if not self._covers(q, spot):
                continue
            run = self._owner[q]
            whole = self._all(run)
            for first in (True, False):
                mark = part.marks[0 if first else -1]
                if abs(self._at(part.piece, mark) - at) > _AT:
                    continue
                if q != (whole[0] if first else whole[-1]):
                    return run, None
                other = run + 1 if run % 2 == 0 else run - 1
                return run, self._mark(self._all(other)[0 if first else -1], first)
            return run, None
        return None

    def _covers(self, q: int, spot: float) -> bool:
        parts: Parts = self._parts
        z = self._where.column([r for r in (self._where.row(parts.parts[q].piece, m)
                                for m in parts.parts[q].marks) if r is not None])  # fmt: skip
        if z is None:
            return False
        whole = float(self._where.outline[parts.rows[q], z])
        gone = spot - parts.starts[q, z] if parts.forward[q] else parts.starts[q, z] - spot
        return bool(gone % whole <= parts.plain[q, z])

    def _together(self, a: tuple[str, str], b: tuple[str, str]) -> bool:
        return a[0] == b[0] and abs(self._at(*a) - self._at(*b)) < _AT

    def _turn(self, at: tuple[str, str]) -> float:
        """By how much the outline turns at a mark, degrees."""
        corner = self._corner(*at)
        if corner is None:
            return 0.0
        angles = interior_angles(self._pattern, [(at[0], corner)])[0]
        return float(np.nanmax(np.abs(180.0 - angles)))


def fold_edges(pattern: Pattern) -> set[tuple[str, int]]:
    """(piece, number of the edge in the base size) of edges that lie on their piece's fold."""
    found = set()
    for piece in pattern.pieces:
        shape = next((s for s in piece.shapes if s.size == pattern.base_size), None)
        shape = shape or (piece.shapes[0] if piece.shapes else None)
        if shape is None or not shape.mirrored_half:
            continue
        folds = [line.curve for line in shape.internal_lines if line.kind is InternalKind.FOLD]
        for i in range(len(shape.corners)):
            edge = shape.edge_curve(i)
            spots = edge.point_at(edge.length * np.array([0.1, 0.5, 0.9]))
            if any(float(fold.nearest(spots).distances.max()) < 0.1 for fold in folds):
                found.add((piece.name, i))
    return found


def _folds(pattern: Pattern) -> list[End]:
    out = []
    for name, i in sorted(fold_edges(pattern)):
        piece = pattern.piece(name)
        shape = next((s for s in piece.shapes if s.size == pattern.base_size), piece.shapes[0])
        start, end = shape.corners[i], shape.corners[(i + 1) % len(shape.corners)]
        for corner, leaving in ((start, False), (end, True)):
            side = Side(piece=name, name=corner.name, leaving=leaving)
            out.append(End(name=f"{name}: {corner.name}", kind="fold", sides=(side,)))
    return out


def _darts(pattern: Pattern) -> list[End]:
    out = []
    for piece in pattern.pieces:
        for name in dict.fromkeys(d.name for s in piece.shapes for d in s.darts):
            sides = tuple(
                Side(piece=piece.name, name=name, leaving=leaving) for leaving in (False, True)
            )
            out.append(End(name=f"{piece.name}: {name}", kind="dart", sides=sides))
    return out
