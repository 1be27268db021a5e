"""Chains: edges of several pieces that run on into one another once their neighbours are sewn.

The armhole is the back's and then the front's because their shoulders are sewn; a waist is made
of fronts and backs because their sides are. So every pair of edges that may be sewn offers, at
each end, the edges beyond as a chain of two; chains grow by further pairs. At a fold the chain
goes on into the same edge mirrored, and so it does where an edge may be sewn to its own copy.
Each chain remembers the pairs that it needs.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from .sides import MOST_NOTCHES, SAMPLES, Outline, Sides, Step

LONGEST = 8
MOST = 6000


Joint = tuple[tuple[Step, ...], tuple[Step, ...], int]
"""Two sides that start at the ends that meet, and the number of the candidate that says so."""


def turned(steps: Sequence[Step]) -> tuple[Step, ...]:
    """A side walked the other way."""
    return tuple(step.turned() for step in reversed(steps))


def chains(
    own: Sequence[Outline], sides: Sides, joints: Sequence[Joint], *, most: int = MOST
) -> Sides:
    """The chains of plain sides that `joints`, best first, make."""
    begin: dict[tuple[int, int, int], list[int]] = {}
    for s, (step,) in enumerate(sides.steps):
        begin.setdefault((step.piece, step.first, 1), []).append(s)
        begin.setdefault((step.piece, step.last, -1), []).append(s)
    # From the end of a step (piece, stop, way) to the steps that begin beyond, with the pair.
    on: dict[tuple[int, int, int], list[tuple[tuple[int, int, int], int]]] = {}
    for one, other, m in joints:
        for p, q in ((one[0], other[0]), (one[-1].turned(), other[-1].turned())):
            # Both begin at the ends that meet; the edge before p's first stop ends there.
            for a, b in ((p, q), (q, p)):
                into, out = (a.piece, a.first, a.way), (b.piece, b.first, -b.way)
                known = on.setdefault(into, [])
                if all(out != o for o, _ in known):
                    known.append((out, m))
    for number, outline in enumerate(own):
        n = outline.n
        for s in np.flatnonzero(outline.fold).tolist():
            # The atom s lies on the fold, from stop s to stop s + 1.
            on.setdefault((number, s, 1), []).insert(0, ((number, s, -1), -1))
            t = (s + 1) % n
            on.setdefault((number, t, -1), []).insert(0, ((number, t, 1), -1))
    made: list[tuple[tuple[Step, ...], tuple[int, ...]]] = []
    seen: set[tuple[tuple[int, int, int], ...]] = set()

    def grow(steps: tuple[Step, ...], needs: tuple[int, ...], turn: int | None) -> None:
        if len(made) >= most:
            return
        last = steps[-1]
        for (piece, stop, way), m in on.get((last.piece, last.last, last.way), [])[:5]:
            for s in begin.get((piece, stop, way), []):
                step = sides.steps[s][0]
                step = step if way > 0 else step.turned()
                kind = sides.kinds[s]
                if (
                    kind == "part"
                    and own[step.piece].corner[step.first] == own[step.piece].corner[step.last]
                ):
                    continue
                uses = sum(step.atoms == t.atoms for t in steps)
                if uses >= min(2, own[step.piece].copies) or any(
                    set(step.atoms) & set(t.atoms) and step.atoms != t.atoms for t in steps
                ):
                    continue
                # Once a chain has turned back it goes on the way it came, into the copies.
                if turn is not None and (
                    (at := 2 * turn - len(steps) - 1) < 0 or steps[at].atoms != step.atoms
                ):
                    continue
                turns = len(steps) if turn is None and uses else turn
                if turns is not None and turn is None and steps[-1].atoms != step.atoms:
                    continue
                longer = (*steps, step)
                need = needs if m < 0 else tuple(sorted({*needs, m}))
                key = tuple((t.piece, t.first, t.last) for t in longer)
                mirror = tuple((t.piece, t.last, t.first) for t in reversed(longer))
                if key not in seen and mirror not in seen:
                    seen.add(key)
                    made.append((longer, need))
                if len(longer) < (LONGEST if turns is not None else LONGEST // 2 + 1):
                    grow(longer, need, turns)

    for s, (step,) in enumerate(sides.steps):
        for start in (step, step.turned()):
            if sides.kinds[s] == "part" and not own[start.piece].corner[start.last]:
                continue  # a part may only begin a chain at its notch
            grow((start,), (), None)
    return _as_sides(own, sides, made)


def _as_sides(
    own: Sequence[Outline],
    sides: Sides,
    made: Sequence[tuple[tuple[Step, ...], tuple[int, ...]]],
) -> Sides:
    row = {(s.piece, s.first, s.last): k for k, (s,) in enumerate(sides.steps)}
    count, sizes = len(made), sides.lengths.shape[1]
    lengths = np.zeros((count, sizes))
    ends = np.full((count, 2), np.nan)
    turning = np.zeros(count)
    notches = np.full((count, MOST_NOTCHES), np.nan)
    joints = np.zeros((count, MOST_NOTCHES), dtype=bool)
    beyond = np.full((count, 2, sizes), np.nan)
    for c, (steps, _) in enumerate(made):
        found: list[tuple[float, bool]] = []
        before = 0.0
        for k, step in enumerate(steps):
            key = (step.piece, step.first, step.last)
            r = row[key if step.way > 0 else (step.piece, step.last, step.first)]
            base = own[step.piece].base
            long = float(sides.lengths[r, base])
            at = sides.notches[r]
            at = at[np.isfinite(at)]
            at = at if step.way > 0 else long - at[::-1]
            found += [(before + float(x), False) for x in at]
            before += long
            if k < len(steps) - 1:
                found.append((before, True))
            lengths[c] += sides.lengths[r]
            turning[c] += sides.turning[r]
            if k == 0:
                ends[c, 0] = sides.ends[r, 0 if step.way > 0 else 1]
                beyond[c, 0] = sides.beyond[r, 0 if step.way > 0 else 1]
            if k == len(steps) - 1:
                ends[c, 1] = sides.ends[r, 1 if step.way > 0 else 0]
                beyond[c, 1] = sides.beyond[r, 1 if step.way > 0 else 0]
        for k, (x, joint) in enumerate(found[:MOST_NOTCHES]):
            notches[c, k], joints[c, k] = x, joint
    return Sides(
        steps=[steps for steps, _ in made],
        kinds=["chain"] * count,
        lengths=lengths,
        ends=ends,
        bend=np.full((count, SAMPLES), np.nan),
        turning=turning,
        notches=notches,
        joints=joints,
        beyond=beyond,
        needs=[needs for _, needs in made],
    )
