"""How sure: a logistic function of what speaks for a chosen seam, calibrated on generated garments.

Method. The tuning garments (tests/plan/proposal/garments/tuning) were turned, mirrored and
shuffled, in six sizes, in two and in one; whole, with pieces missing or pieces of another garment
among them (so that edges stand there whose partner does not), corners a millimetre off, notches
left out, folded pieces drawn whole, quantities not told; and proposals were scored against the true
seams. A logistic regression with a small ridge on the figures below gives the share that was right;
a figure that can only speak for a seam gets no weight against it. Promised and found shares, each
fifth of the seams judged by weights made from the others (615 seams, 79 % right):

    promised      seams   right
    0.00 to 0.30     30    27 %
    0.30 to 0.50     43    26 %
    0.50 to 0.70     86    65 %
    0.70 to 0.90    178    79 %
    0.90 to 0.97    139    97 %
    0.97 to 1.00    139    99 %

`benchmarks/bench_plan.py --calibrate` repeats it and prints weights and table. Garments of other
hands differ from the tuning ones more than these do from one another: `benchmarks/judge_plan.py`
tells what the levels are worth there.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from seamwright.geometry import FloatArray

from .kinds import Level
from .matching import Candidate

SURE, LIKELY = 0.97, 0.5
DOUBT = 0.5  # by how much one way round must be better than the other
EITHER = 0.6  # the most that is promised where it is not

NAMES = (
    "one", "score", "ends", "weaker end", "margin", "growth", "one size", "met", "unmet", "part",
    "links", "cap", "gathers", "copy", "dart", "short", "apart",
)  # fmt: skip
WEIGHTS: tuple[float, ...] = (
    0.070, 0.153, 0.676, 0.0, 0.344, 0.0, -0.062, 2.026, 0.0, -0.612, -0.823, 0.582, -3.161, 0.838,
    0.787, -1.365, -0.098,
)  # fmt: skip


def figures(one: Candidate, ends: tuple[float, float], margin: float, sizes: int) -> FloatArray:
    """The figures of one chosen candidate, in the order of NAMES."""
    f = one.facts
    return np.array(
        [
            1.0,
            min(one.score, 9.0),
            sum(ends),
            min(ends),
            float(np.clip(margin, -3.0, 4.0)),
            float(np.log1p(f["growth"])),
            float(sizes == 1),
            min(f["met"], 3.0),
            min(f["unmet"], 3.0),
            f["part"],
            float(min(len(one.to) - 1, 3)),
            float(one.kind == "cap"),
            float(one.kind == "gathers"),
            float(one.kind == "copy"),
            float(one.kind == "dart"),
            float(f.get("length", 100.0) < 60.0),
            min(abs(f["apart"]), 15.0) * float(one.kind == "plain"),
        ]
    )


def share_right(rows: FloatArray, weights: Sequence[float] | FloatArray = WEIGHTS) -> FloatArray:
    """(N,) the share of seams with these figures (N, F) that were right."""
    out: FloatArray = 1.0 / (1.0 + np.exp(-np.clip(rows @ np.asarray(weights), -30.0, 30.0)))
    return out


def level_of(share: float) -> Level:
    """The level for a share."""
    if share >= SURE:
        return Level.SURE
    return Level.LIKELY if share >= LIKELY else Level.UNSURE


def margins(found: Sequence[Candidate], chosen: Sequence[int]) -> dict[int, float]:
    """For each chosen candidate how far its score lies above the best that it keeps out, of those
    that no other chosen seam keeps out as well; parts of the seam itself do not count."""
    by_atom: dict[int, list[int]] = {}
    for c, one in enumerate(found):
        for atom in one.atoms:
            by_atom.setdefault(atom, []).append(c)
    out = {}
    for c in chosen:
        mine = found[c]
        parts = {c, *mine.also}
        rivals = {r for atom in mine.atoms for r in by_atom[atom]} - parts
        sides = (_atoms(mine.sew), _atoms(mine.to))
        best = 0.0
        for r in rivals:
            one = found[r]
            if one.score <= best or c in one.also:
                continue
            theirs = (_atoms(one.sew), _atoms(one.to))
            if all(t <= sides[0] | sides[1] for t in theirs) and not _turned(mine, one):
                continue  # a part of this very seam
            best = one.score
        out[c] = mine.score - best
    return out


class Rivals:
    """The best candidates that sew one of the sides of a candidate to something else."""

    def __init__(self, found: Sequence[Candidate]) -> None:
        self.found = found
        self.sides = [(_atoms(one.sew), _atoms(one.to)) for one in found]
        self.by_side: dict[frozenset[int], list[int]] = {}
        for c, (one, sides) in enumerate(zip(found, self.sides, strict=True)):
            if not one.also and one.score > 0.0:
                for side in set(sides):
                    self.by_side.setdefault(side, []).append(c)

    def of(self, c: int, most: int = 2) -> list[int]:
        """Numbers of the rivals of candidate c, the best first."""
        near = {r for side in self.sides[c] for r in self.by_side.get(side, ())}
        near -= {c, *self.found[c].also}
        return sorted(near, key=lambda r: (-self.found[r].score, r))[:most]


def either_way(found: Sequence[Candidate], chosen: Sequence[int], fit: FloatArray) -> set[int]:
    """Chosen candidates that might as well be sewn the other way round: nothing speaks clearly
    for the one way. fit: what the seams round each candidate add to its score."""
    by_sides: dict[frozenset[frozenset[int]], list[int]] = {}
    for c, one in enumerate(found):
        if not one.also:
            by_sides.setdefault(frozenset((_atoms(one.sew), _atoms(one.to))), []).append(c)
    out = set()
    for c in chosen:
        one = found[c]
        if one.kind in ("dart", "copy") or one.also:
            continue
        mine = one.score + fit[c]
        for r in by_sides[frozenset((_atoms(one.sew), _atoms(one.to)))]:
            if r != c and found[r].score + fit[r] > mine - DOUBT:
                out.add(c)
    return out


def _atoms(side: Sequence[object]) -> frozenset[int]:
    return frozenset(a for s in side for a in s.atoms)  # type: ignore[attr-defined]


def _turned(one: Candidate, other: Candidate) -> bool:
    """Whether two candidates sew the same sides, the one turned round."""
    return {_atoms(one.sew), _atoms(one.to)} == {_atoms(other.sew), _atoms(other.to)}
