"""Seams that a pattern has already, under the new names of its marks."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from seamwright.model import Pattern, Run, RunPart, Seam

from .grammar import parse_mark, written_mark


def carried(before: Pattern, after: Pattern) -> tuple[Seam, ...]:
    """The pattern's own seams under the marks' new names."""
    new: dict[tuple[str, str], str] = {}
    for old_piece, piece in zip(before.pieces, after.pieces, strict=True):
        for old, shape in zip(old_piece.shapes, piece.shapes, strict=True):
            pairs = [
                *zip([c.name for c in old.corners], [c.name for c in shape.corners], strict=True),
                *zip([n.name for n in old.notches], [n.name for n in shape.notches], strict=True),
            ]
            for a, b in pairs:
                new.setdefault((piece.name, a), b)

    def named(piece: str, marks: Iterable[str]) -> tuple[str, ...]:
        return tuple(new.get((piece, mark), mark) for mark in marks)

    def run(one: Run) -> Run:
        return Run(
            parts=tuple(RunPart(piece=p.piece, marks=named(p.piece, p.marks)) for p in one.parts)
        )

    def meeting(text: str, one: Run) -> str:
        mark = parse_mark(text)
        pieces = one.pieces if mark.piece is None else (mark.piece,)
        for piece in pieces:
            if (piece, mark.name) in new:
                return written_mark(new[piece, mark.name], piece=mark.piece)
        return text

    return tuple(
        replace(
            seam,
            sew=run(seam.sew),
            to=run(seam.to),
            meet=tuple((meeting(a, seam.sew), meeting(b, seam.to)) for a, b in seam.meet),
        )
        for seam in before.seams
    )
