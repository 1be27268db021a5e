"""Which candidates are sewn: all chosen together by an integer program.

Chosen is the set of candidates with the greatest sum of scores such that
- no stretch of a drawn edge is sewn twice, but where its copies are sewn to the two halves of a
  piece that is its own mirror image;
- a chain is only sewn where the seams that make it run on are sewn;
- pieces are turned up one way: every piece lies as drawn or turned over, and all of its seams
  agree on which (a seam joins two pieces as drawn where one outline is walked with, the other
  against; the two halves of a mirrored pair are never both the drawn one).

Solved by HiGHS through scipy.optimize.milp.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from seamwright.geometry import FloatArray

from .chains import turned
from .sides import Outline, Step

Side = tuple[Step, ...]


@dataclass(slots=True, eq=False)
class Candidate:
    """Two sides that may be sewn, both starting at the ends that meet.

    sew, to   sides; score: what speaks for it; needs: candidates without which it cannot be
    facts     figures that the score was made of, by name
    """

    sew: Side
    to: Side
    score: float
    kind: str
    facts: dict[str, float]
    needs: tuple[int, ...] = ()
    also: list[int] = field(default_factory=list)

    @property
    def atoms(self) -> frozenset[int]:
        """All atoms that it sews."""
        return frozenset(a for step in (*self.sew, *self.to) for a in step.atoms)

    @property
    def self_sewn(self) -> bool:
        """Whether an edge is sewn to its own copy."""
        return len(self.sew) == len(self.to) == 1 and self.sew[0].atoms == self.to[0].atoms


def choose(
    candidates: Sequence[Candidate], own: Sequence[Outline], scores: FloatArray | None = None
) -> list[int]:
    """Numbers of the chosen candidates. `also` of a candidate: what it consists of, where it
    stands for a candidate together with its mirror image. scores: other than their own."""
    count = len(candidates)
    if not count:
        return []
    pieces = len(own)
    rows: list[tuple[list[int], list[float], float]] = []  # columns, values, upper bound
    by_atom: dict[int, list[int]] = {}
    for c, one in enumerate(candidates):
        for atom in one.atoms | {a for o in one.also for a in candidates[o].atoms}:
            by_atom.setdefault(atom, []).append(c)
    within: dict[int, list[int]] = {}
    for c, one in enumerate(candidates):
        for part in one.also:
            within.setdefault(part, []).append(c)
    done: set[tuple[int, ...]] = set()
    for users in by_atom.values():
        key = tuple(users)
        if len(users) > 1 and key not in done:
            done.add(key)
            rows.append((users, [1.0] * len(users), 1.0))
    for c, one in enumerate(candidates):
        for need in one.needs:
            either = [need, *within.get(need, ())]
            rows.append(([c, *either], [1.0, *[-1.0] * len(either)], 0.0))
        for p, q, over in parities(one, own):
            b, d = count + p, count + q
            if over:
                rows.append(([b, d, c], [1.0, 1.0, 1.0], 2.0))
                rows.append(([b, d, c], [-1.0, -1.0, 1.0], 0.0))
            else:
                rows.append(([b, d, c], [1.0, -1.0, 1.0], 1.0))
                rows.append(([b, d, c], [-1.0, 1.0, 1.0], 1.0))
    for copies in _copies_by_piece(candidates):
        rows.append((copies, [1.0] * len(copies), 1.0))
    rows += [([a, b], [1.0, 1.0], 1.0) for a, b in _bags(candidates, own)]
    r = np.repeat(np.arange(len(rows)), [len(columns) for columns, _, _ in rows])
    k = np.array([x for columns, _, _ in rows for x in columns], dtype=int)
    v = np.array([x for _, values, _ in rows for x in values])
    if scores is None:
        scores = np.array([one.score for one in candidates])
    weights = np.concatenate([-scores, np.zeros(pieces)])
    constraints = []
    if rows:
        matrix = coo_array((v, (r, k)), shape=(len(rows), count + pieces)).tocsr()
        constraints.append(LinearConstraint(matrix, -np.inf, [upper for *_, upper in rows]))
    found = milp(
        weights,
        integrality=np.ones(count + pieces),
        bounds=Bounds(0, 1),
        constraints=constraints,
        options={"time_limit": 2.0, "mip_rel_gap": 2e-3},
    )
    if found.x is None:
        return []
    return [c for c in range(count) if found.x[c] > 0.5]


def _copies_by_piece(candidates: Sequence[Candidate]) -> list[list[int]]:
    """A piece is sewn to its own copy at one centre, and where it is, not to itself as well."""
    out: dict[int, list[int]] = {}
    for c, one in enumerate(candidates):
        pieces = {s.piece for s in (*one.sew, *one.to)}
        alone = len(one.sew) == len(one.to) == len(pieces) == 1 and one.kind != "dart"
        if alone:
            out.setdefault(pieces.pop(), []).append(c)
    copied = {p for p, rows in out.items() if any(candidates[c].kind == "copy" for c in rows)}
    return [rows for p, rows in out.items() if p in copied and len(rows) > 1]


def parities(one: Candidate, own: Sequence[Outline]) -> list[tuple[int, int, bool]]:
    """For a candidate pairs of pieces and whether one of the two is turned over."""
    if one.self_sewn:
        return []
    out: list[tuple[int, int, bool]] = []
    if _palindrome(one.sew) or _palindrome(one.to):
        return []
    for a in _first_copies(one.sew):
        for b in _first_copies(one.to):
            if own[a.piece].axis is None and own[b.piece].axis is None and a.piece != b.piece:
                out.append((a.piece, b.piece, a.way == b.way))
    return sorted(set(out))


def _palindrome(side: Side) -> bool:
    return len(side) > 1 and [s.atoms for s in side] == [s.atoms for s in turned(side)]


def _first_copies(side: Side) -> list[Step]:
    """Steps up to where a chain turns back into the mirrored copies."""
    seen: set[tuple[int, ...]] = set()
    out = []
    for step in side:
        if step.atoms in seen:
            break
        seen.add(step.atoms)
        out.append(step)
    return out


def _bags(candidates: Sequence[Candidate], own: Sequence[Outline]) -> list[tuple[int, int]]:
    """Pairs of candidates that would close a seam's end like a bag: at the foot of a side seam
    the hems run on, they are not sewn to one another. Pieces that are the same piece twice may
    be a bag."""
    at: dict[frozenset[tuple[int, int]], list[tuple[int, Step, Step]]] = {}
    for c, one in enumerate(candidates):
        if one.kind in ("dart", "copy"):
            continue
        for p, q in ((one.sew[0], one.to[0]), (one.sew[-1].turned(), one.to[-1].turned())):
            if own[p.piece].corner[p.first] and own[q.piece].corner[q.first]:
                key = frozenset(((p.piece, p.first), (q.piece, q.first)))
                if len(key) == 2:
                    at.setdefault(key, []).append((c, p, q))
    out = set()
    for row in at.values():
        _, p, q = row[0]
        total = float(own[p.piece].inside[p.first] + own[q.piece].inside[q.first])
        if not 125.0 < total < 235.0 or alike(own[p.piece], own[q.piece]):
            continue
        for k, (c, p, q) in enumerate(row):
            for d, r, s in row[k + 1 :]:
                if r.piece != p.piece:
                    r, s = s, r
                if c != d and r.way != p.way and s.way != q.way:
                    out.add((c, d))
    return sorted(out)


def alike(one: Outline, other: Outline) -> bool:
    """Whether two pieces have the same edges in the same order, either way round."""
    if one.n != other.n or abs(float(one.whole[one.base] - other.whole[other.base])) > 3.0:
        return False
    a = np.diff(one.at[:, one.base], append=one.at[0, one.base] + one.whole[one.base])
    b = np.diff(other.at[:, other.base], append=other.at[0, other.base] + other.whole[other.base])
    return any(np.abs(np.roll(x, k) - a).max() < 2.0 for x in (b, b[::-1]) for k in range(one.n))
