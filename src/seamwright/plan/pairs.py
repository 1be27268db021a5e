"""Pairs of notches that must meet: where each lies on its run."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from seamwright.findings import Finding, Severity
from seamwright.geometry import FloatArray, IntArray
from seamwright.model import Seam

from .grammar import parse_mark
from .places import Places
from .runs import Lost, Parts

Spot = tuple[int, int]  # a part of a run, and the row of a mark on its piece


class Pairs:
    """The pairs of all seams, each as a spot on either side."""

    def __init__(
        self,
        seams: Sequence[Seam],
        where: Places,
        found: Parts,
        lost: Sequence[Lost | None],
        first: IntArray,
    ) -> None:
        self.seams: list[int] = []
        self.names: list[tuple[str, str]] = []
        self.sew: list[Spot] = []
        self.to: list[Spot] = []
        self.findings: list[Finding] = []
        wanted: list[tuple[str, range]] = []
        of: list[tuple[int, tuple[str, str]]] = []
        for s, seam in enumerate(seams):
            if not seam.meet:
                continue
            start = int(first[2 * s])
            middle, end = start + len(seam.sew.parts), start + len(seam.sew.parts + seam.to.parts)
            if any(lost[q] for q in range(start, end)):
                continue  # the seam itself says why
            for pair in seam.meet:
                of.append((s, pair))
                wanted += [(pair[0], range(start, middle)), (pair[1], range(middle, end))]
        spots = marks_on_runs(where, found, wanted)
        for (s, pair), sew, to in zip(of, spots[0::2], spots[1::2], strict=True):
            if isinstance(sew, tuple) and isinstance(to, tuple):
                self.seams.append(s)
                self.names.append(pair)
                self.sew.append(sew)
                self.to.append(to)
            for wrong in (sew, to):
                if isinstance(wrong, str):
                    self.findings.append(_not_measured(seams[s].name, pair, wrong))

    def order(self, sew: FloatArray, base: int) -> list[int]:
        """Pairs by seam, and within a seam along the sew side, as it is in the base size (or
        where it can be measured)."""
        if not self.seams:
            return []
        at = sew[:, base].copy()
        lone = np.isnan(at)
        if lone.any():
            at[lone] = np.where(np.isnan(sew[lone]), np.inf, sew[lone]).min(axis=1)
        return sorted(range(len(self.seams)), key=lambda i: (self.seams[i], at[i]))


def marks_on_runs(
    where: Places, found: Parts, wanted: Sequence[tuple[str, range]]
) -> list[Spot | str]:
    """Where marks, written as a plan writes them, lie on the parts in the ranges given; or a
    phrase that says what is wrong."""
    named = [_spots_by_name(where, found, text, span) for text, span in wanted]
    spots = [spot for one in named if not isinstance(one, str) for spot in one]
    at = found.positions([q for q, _ in spots], [row for _, row in spots])
    on = iter(np.atleast_1d(np.isfinite(at).any(axis=1)).tolist())
    out: list[Spot | str] = []
    for (text, _), one in zip(wanted, named, strict=True):
        if isinstance(one, str):
            out.append(one)
            continue
        lying = [spot for spot in one if next(on)]
        if not lying:
            out.append(f'"{text}" does not lie on the run')
        elif len({(where.pieces[found.parts[q].piece], row) for q, row in lying}) > 1:
            # The end of one part and the start of the next are one place, if they have one name.
            out.append(_one_place(found, lying, text))
        else:
            out.append(lying[0])
    return out


def _spots_by_name(where: Places, found: Parts, text: str, span: range) -> list[Spot] | str:
    try:
        mark = parse_mark(text)
    except ValueError as error:
        return str(error)
    named = [q for q in span if mark.piece in (None, found.parts[q].piece)]
    if not named:
        return f'no piece "{mark.piece}" on that side'
    rows = {q: where.row(found.parts[q].piece, mark.name) for q in named}
    there = [(q, row) for q, row in rows.items() if row is not None]
    if not there:
        pieces = " or ".join(dict.fromkeys(found.parts[q].piece for q in named))
        return f'no corner or notch "{mark.name}" on {pieces}'
    return there


def _one_place(found: Parts, lying: Sequence[Spot], text: str) -> Spot | str:
    """Marks of one name on several pieces are one place where a run passes from the one to the
    other; else it takes the piece's name to tell them apart."""
    (a, _), (b, row) = lying[0], lying[-1]
    name = parse_mark(text).name
    joins = len(lying) == 2 and b == a + 1
    if joins and found.parts[a].marks[-1] == name and found.parts[b].marks[0] == name:
        return b, row
    return f'"{text}" could be on either piece: write its piece before it, "Piece: mark"'


def _not_measured(seam: str, pair: tuple[str, str], wrong: str) -> Finding:
    return Finding(
        code="notch.not-measured",
        severity=Severity.WARNING,
        message=f'the pair "{pair[0]} = {pair[1]}" was not compared: {wrong}',
        seam=seam,
        hint="name a notch or corner that lies on the run",
    )
