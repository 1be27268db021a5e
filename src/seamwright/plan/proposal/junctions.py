"""What happens at the ends of a seam once its neighbours are sewn.

At the end of a seam two edges run on, one of either piece. In a garment that can be sewn they are
both free (a hem), or both sewn to one edge, one after the other (an armhole into a cap), or each
is sewn to its own piece and these two are sewn together there (four seams meet at an underarm).
One sewn and the other not, or both sewn to places that never meet, speaks against the seam.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np

from seamwright.geometry import FloatArray

from .matching import Candidate
from .sides import Outline, Step

BOTH_FREE, RUNS_ON, FOUR_MEET = 0.4, 1.8, 1.6
ONE_FREE, NEVER_MEET = -1.1, -0.9

Place = tuple[int, int]  # piece, stop


def fits(found: Sequence[Candidate], chosen: Sequence[int], own: Sequence[Outline]) -> FloatArray:
    """(M,) what the chosen candidates round each candidate add to its score."""
    net = _Net(found, chosen, own)
    return np.array([sum(net.at_end(c, one)) for c, one in enumerate(found)])


def ends(
    found: Sequence[Candidate], chosen: Sequence[int], own: Sequence[Outline]
) -> dict[int, tuple[float, float]]:
    """For each chosen candidate what its two ends say."""
    net = _Net(found, chosen, own)
    return {c: net.at_end(c, found[c]) for c in chosen}


class _Net:
    """The chosen seams, to be asked what an edge is sewn to and what meets where."""

    def __init__(
        self, found: Sequence[Candidate], chosen: Sequence[int], own: Sequence[Outline]
    ) -> None:
        self.found, self.own = found, own
        self.parts = {c: [found[p] for p in found[c].also] or [found[c]] for c in chosen}
        self.user: dict[int, list[tuple[int, Candidate]]] = {}
        self.meeting: dict[frozenset[Place], list[int]] = {}
        for c, parts in self.parts.items():
            for one in parts:
                for atom in one.atoms:
                    self.user.setdefault(atom, []).append((c, one))
                for a, b in _end_pairs(one):
                    self.meeting.setdefault(frozenset((a, b)), []).append(c)

    def at_end(self, c: int, one: Candidate) -> tuple[float, float]:
        """What speaks for a candidate at its beginning and at its end."""
        if one.kind == "dart" or (one.kind == "copy" and not one.facts["centre"]):
            return 0.0, 0.0
        out = []
        for p, q in ((one.sew[0], one.to[0]), (one.sew[-1].turned(), one.to[-1].turned())):
            out.append(self._end(c, one, p, q))
        return out[0], out[1]

    def _end(self, c: int, one: Candidate, p: Step, q: Step) -> float:
        own = self.own
        notched = not (own[p.piece].corner[p.first] and own[q.piece].corner[q.first])
        f1, f2 = (self._beyond(s) for s in (p, q))
        if f1 == f2 and one.kind == "copy":
            users = self._users(f1, c, one)
            # The edge beyond goes on into its own copy, or is sewn to the edge of another piece
            # whose own neighbour is sewn to its copy too: a crotch.
            return max((self._copied(u, f1, (p.piece, p.first)) for _, u in users), default=0.0)
        u1, u2 = self._users(f1, c, one), self._users(f2, c, one)
        if not u1 and not u2:
            return 0.0 if notched else BOTH_FREE
        if not u1 or not u2:
            return 0.0 if notched else ONE_FREE
        best = NEVER_MEET
        for m1, x in u1:
            for m2, y in u2:
                if m1 == m2 and x is y:
                    if _adjacent(x, f1, f2):
                        return RUNS_ON
                    continue
                if x.kind == y.kind == "copy":
                    return FOUR_MEET
                here, there = _partner(x, (p.piece, p.first)), _partner(y, (q.piece, q.first))
                if here is None or there is None:
                    continue
                if here == there:
                    return RUNS_ON
                if any(m != c for m in self.meeting.get(frozenset((here, there)), ())):
                    return FOUR_MEET
        return best

    def _copied(self, user: Candidate, atom: int | None, place: Place) -> float:
        if _turns_back(user, atom):
            return 0.9
        there = _partner(user, place)
        if there is None:
            return 0.0
        own = self.own[there[0]]
        near = (own.first_atom + there[1], own.first_atom + (there[1] - 1) % own.n)
        return max(
            (1.2 for a in near for _, u in self.user.get(a, []) if u.kind == "copy"), default=0.0
        )

    def _beyond(self, step: Step) -> int | None:
        """The atom on the other side of a step's first stop, folds and darts passed: None where
        there is a fold."""
        own = self.own[step.piece]
        s = step.first
        for _ in range(own.n):
            atom = (s - 1) % own.n if step.way > 0 else s
            if own.fold[atom]:
                return None
            if not own.closed[atom]:
                return own.first_atom + atom
            s = (s - step.way) % own.n
        return None

    def _users(self, atom: int | None, c: int, one: Candidate) -> list[tuple[int, Candidate]]:
        if atom is None:
            return []
        return [
            (m, u)
            for m, u in self.user.get(atom, [])
            if m != c and u is not one and not (one.atoms & u.atoms)
        ]


def _end_pairs(one: Candidate) -> list[tuple[Place, Place]]:
    a, b, c, d = one.sew[0], one.to[0], one.sew[-1], one.to[-1]
    return [
        ((a.piece, a.first), (b.piece, b.first)),
        ((c.piece, c.last), (d.piece, d.last)),
    ]


def _adjacent(one: Candidate, f1: int | None, f2: int | None) -> bool:
    """Whether two atoms lie in neighbouring steps of one side."""
    for side in (one.sew, one.to):
        for a, b in itertools.pairwise(side):
            if (f1 in a.atoms and f2 in b.atoms) or (f2 in a.atoms and f1 in b.atoms):
                return True
    return False


def _turns_back(one: Candidate, atom: int | None) -> bool:
    return any(
        a.atoms == b.atoms and atom in a.atoms
        for side in (one.sew, one.to)
        for a, b in itertools.pairwise(side)
    )


def _partner(one: Candidate, place: Place) -> Place | None:
    """The place that an end of a candidate is sewn to."""
    for a, b in _end_pairs(one):
        if a == place:
            return b
        if b == place:
            return a
    return None
