"""The plan's seams after surgery: every run follows its stretch of edge to the new pieces."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.model import Pattern, Run, RunPart, Seam
from seamwright.plan import ResolvedPart, resolve_run
from seamwright.plan.grammar import parse_mark, written_mark

from . import codes
from .surgery import marks_of
from .telling import Telling

_SAME = 1e-6  # mm

Mark = tuple[str, str]  # piece, name
Legs = Sequence[tuple[RunPart, bool]]  # stretches, and whether each goes with the outline
Recast = Callable[[ResolvedPart], Legs | None]
MovedMark = Callable[[Mark], Mark | None]


def resewn(
    old: Pattern,
    new: Pattern,
    changed: Sequence[str],
    recast: Recast,
    moved_mark: MovedMark,
    telling: Telling,
    *,
    slack: float = _SAME,
) -> tuple[Seam, ...]:
    """The old pattern's seams on the new pattern's pieces.

    changed     names of pieces that are not what they were
    recast      a stretch of a changed piece -> the stretches in its place, in sewing order; None
                where there is no edge any more
    moved_mark  a mark of a changed piece -> where it is now
    slack       mm by which a run may be longer or shorter than it was
    A seam that cannot be followed is left out and told.
    """
    seams: list[Seam] = []
    for seam in old.seams:
        if not set(seam.pieces) & set(changed):
            seams.append(seam)
            continue
        try:
            sew = _run(old, new, seam.sew, changed, recast, slack)
            to = _run(old, new, seam.to, changed, recast, slack)
        except LostError as error:
            telling.tell(
                codes.SEAM_LOST, f'the seam "{seam.name}" was left out: {error}', None,
                seam=seam.name,
            )  # fmt: skip
            continue
        seams.append(
            replace(
                seam, sew=sew, to=to, meet=_meeting(seam, sew, to, changed, moved_mark, telling)
            )
        )
    return tuple(seams)


class LostError(Exception):
    """Why a run cannot be followed."""


def _run(
    old: Pattern, new: Pattern, run: Run, changed: Sequence[str], recast: Recast, slack: float
) -> Run:
    if not set(run.pieces) & set(changed):
        return run
    try:
        was = resolve_run(old, run)
    except SeamwrightError as error:
        raise LostError(error.finding.message) from None
    parts: list[RunPart] = []
    for part in was.parts:
        if part.part.piece not in changed:
            parts.append(part.part)
            continue
        legs = recast(part)
        if legs is None:
            raise LostError(f'"{part.part}" is no edge any more')
        parts += [settled(new, leg, forward) for leg, forward in legs]
    made = Run(parts=tuple(_merged(parts)))
    for candidate in (made, Run(parts=tuple(parts))):
        try:
            now = resolve_run(new, candidate)
        except SeamwrightError:
            continue
        if np.allclose(now.lengths, was.lengths, rtol=0.0, atol=slack, equal_nan=True):
            return candidate
    raise LostError(f'"{run}" would not be as long as before in every size')


def settled(pattern: Pattern, part: RunPart, forward: bool) -> RunPart:
    """The part, with a mark named between its ends where the way round would be another."""
    between = [
        mark.name
        for piece in pattern.pieces
        if piece.name == part.piece
        for shape in piece.shapes[:1]
        for mark in marks_of(shape)
        if mark.name not in part.marks
    ]
    tries = [part.marks]
    tries += [(part.marks[0], name, *part.marks[1:]) for name in between]
    for marks in tries:
        candidate = RunPart(piece=part.piece, marks=marks)
        try:
            found = resolve_run(pattern, Run(parts=(candidate,))).parts[0]
        except SeamwrightError:
            continue
        if found.forward == forward:
            return candidate
    raise LostError(f'"{part}" cannot be told from the way round the other side')


def _merged(parts: Sequence[RunPart]) -> list[RunPart]:
    """Stretches of one piece that follow one another made one."""
    out: list[RunPart] = []
    for part in parts:
        last = out[-1] if out else None
        if last and last.piece == part.piece and last.marks[-1] == part.marks[0]:
            out[-1] = RunPart(piece=part.piece, marks=(*last.marks, *part.marks[1:]))
        else:
            out.append(part)
    return out


def _meeting(
    seam: Seam, sew: Run, to: Run, changed: Sequence[str], moved: MovedMark, telling: Telling
) -> tuple[tuple[str, str], ...]:
    pairs = []
    for pair in seam.meet:
        made = [
            _mark(text, was, now, changed, moved)
            for text, was, now in zip(pair, (seam.sew, seam.to), (sew, to), strict=True)
        ]
        if made[0] is None or made[1] is None:
            telling.tell(
                codes.MEET_LOST, f"{pair[0]} = {pair[1]}: a notch is not on the seam any more",
                None, seam=seam.name,
            )  # fmt: skip
        else:
            pairs.append((made[0], made[1]))
    return tuple(pairs)


def _mark(text: str, was: Run, now: Run, changed: Sequence[str], moved: MovedMark) -> str | None:
    mark = parse_mark(text)
    pieces = was.pieces if mark.piece is None else (mark.piece,)
    if not set(pieces) & set(changed):
        return text
    for piece in pieces:
        place = moved((piece, mark.name)) if piece in changed else None
        if place is not None and place[0] in now.pieces:
            # On a run over several pieces a mark is told with its piece.
            named = mark.piece is not None or len(now.pieces) > 1
            return written_mark(place[1], piece=place[0] if named else None)
    # The mark may be on a piece of the run that did not change.
    return text if set(pieces) - set(changed) else None
