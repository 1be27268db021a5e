"""Which sides may be sewn to which: every pair of edges that is long enough alike, then chains."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np

from seamwright.geometry import FloatArray, IntArray

from .chains import Joint, chains, turned
from .matching import Candidate
from .scoring import CAP_EASE, Pairs, scored
from .sides import Outline, Sides, Step

LIKE = 14.0  # mm; edges whose lengths differ by more are never plain
WORTH = -0.6  # a candidate below this score is not looked at again
_KINDS = ("plain", "cap", "gathers", "cap")


def candidates(own: Sequence[Outline], sides: Sides, base: int) -> list[Candidate]:
    """All candidates worth weighing: plain pairs, and the chains that these make possible."""
    plain = _plain(own, sides, base)
    found = [*plain, *_copies(own, sides, base, plain), *darts(own)]
    for _ in range(2):
        known = {_key(c) for c in found}
        joints = _joints(found)
        linked = chains(own, sides, joints)
        if not len(linked):
            break
        new = [c for c in _chained(own, sides, linked, base) if _key(c) not in known]
        if not new:
            break
        found += new
    return [*found, *_twins(own, found)]


def _twins(own: Sequence[Outline], found: Sequence[Candidate]) -> list[Candidate]:
    """A candidate together with its mirror image, where one side lies on a piece that is its own
    mirror image and the other is cut in pairs: both shoulders on the two ends of one yoke."""
    by_key = {_key(c): n for n, c in enumerate(found)}
    out = []
    for n, one in enumerate(found):
        for side, other in ((one.sew, one.to), (one.to, one.sew)):
            if any(own[s.piece].axis is None for s in side):
                continue
            if any(own[s.piece].copies < 2 or own[s.piece].axis is not None for s in other):
                continue
            image = tuple(_image(s, own[s.piece]) for s in side)
            if {a for s in image for a in s.atoms} & {a for s in side for a in s.atoms}:
                continue
            m = by_key.get(_key(Candidate(image, other, 0.0, "", {})))
            if m is not None and m > n:
                score = max(one.score, found[m].score) + 0.6
                out.append(
                    Candidate(one.sew, one.to, score, one.kind, one.facts, one.needs, [n, m])
                )
    return out


def _image(step: Step, own: Outline) -> Step:
    """The mirror image of a step of a piece that is its own mirror image."""
    spans = tuple((int(own.twin[j]), int(own.twin[i])) for i, j in reversed(step.spans))
    atoms = tuple(
        own.first_atom + s % own.n for i, j in spans for s in range(i, j if j > i else j + own.n)
    )
    return Step(
        step.piece, int(own.twin[step.first]), int(own.twin[step.last]), -step.way, atoms, spans
    )


def darts(own: Sequence[Outline]) -> list[Candidate]:
    """The legs of darts that are cut into outlines."""
    out = []
    for number, outline in enumerate(own):
        n = outline.n
        for a, tip in outline.legs:
            b = (tip + 1) % n
            one = Step(number, a, tip, 1, (outline.first_atom + a,), ((a, tip),))
            other = Step(number, b, tip, -1, (outline.first_atom + tip,), ((tip, b),))
            facts = {
                "apart": float((outline.gap(a, tip) - outline.gap(tip, b))[outline.base]),
                "drift": 0.0, "growth": 0.0, "met": 0.0, "unmet": 0.0, "corner": 1.0,
                "shape": 0.6, "part": 0.0, "copy": 0.0,
                "length": float(outline.gap(a, tip)[outline.base]),
            }  # fmt: skip
            out.append(Candidate((one,), (other,), 6.0, "dart", facts))
    return out


def _worth(own: Sequence[Outline]) -> float:
    """Among many pieces chance offers many weak pairs; there only stronger ones are weighed."""
    return WORTH if len(own) <= 20 else 0.8


def _key(one: Candidate) -> tuple[object, ...]:
    pair = [tuple((s.piece, s.first, s.last) for s in side) for side in (one.sew, one.to)]
    back = [tuple((s.piece, s.first, s.last) for s in turned(side)) for side in (one.sew, one.to)]
    return tuple(min(sorted(pair), sorted(back)))


def _joints(found: Sequence[Candidate]) -> list[Joint]:
    order = sorted(range(len(found)), key=lambda c: -found[c].score)
    return [
        (found[c].sew, found[c].to, c)
        for c in order
        if found[c].facts["part"] == 0.0 and (found[c].score > 0.3 or found[c].kind == "copy")
    ]


def _plain(own: Sequence[Outline], sides: Sides, base: int) -> list[Candidate]:
    count = len(sides)
    if not count:
        return []
    long = sides.lengths[:, base]
    piece = np.array([s[0].piece for s in sides.steps])
    part = np.array([k == "part" for k in sides.kinds])
    d = long[:, None] - long[None, :]
    upper = np.arange(count)[:, None] < np.arange(count)[None, :]
    like = upper & (np.abs(d) <= np.minimum(LIKE, 0.12 * long[:, None]))
    crown = (np.nan_to_num(sides.bend).max(axis=1) > 0.012) & (long > 110.0)
    hollow = sides.turning < -25.0
    cap = (d > 1.5) & (d < CAP_EASE) & crown[:, None] & hollow[None, :]
    edge = np.array([k in ("edge", "dart") for k in sides.kinds])
    gather = (
        (d > 10.0) & (d < 1.5 * long[None, :])
        & edge[:, None] & edge[None, :] & (long > 100.0)[None, :]
    )  # fmt: skip
    # Both ends of one seam at notches says little unless both sides are the same part of an edge.
    loose = part[:, None] & part[None, :]
    i, j = np.nonzero((like | cap | gather) & ~loose)
    ok = _apart(own, sides, sides, i, j, piece)
    i, j = i[ok], j[ok]
    i, j, back = np.tile(i, 2), np.tile(j, 2), np.repeat([False, True], len(i))
    # A piece cannot be sewn to itself turned over.
    ok = (piece[i] != piece[j]) | back
    pairs = scored(sides, sides, i[ok], j[ok], back[ok], base)
    pairs = pairs.take(pairs.total > _worth(own))
    pairs = _best(pairs, 6)
    return _made(own, sides, sides, pairs)


def _copies(
    own: Sequence[Outline], sides: Sides, base: int, plain: Sequence[Candidate]
) -> list[Candidate]:
    """Edges that may be sewn to their own mirrored copies: a centre seam, a crotch. An edge that
    goes well with another edge is less likely one."""
    partner: dict[tuple[int, ...], float] = {}
    for one in plain:
        for step in (*one.sew, *one.to):
            partner[step.atoms] = max(partner.get(step.atoms, 0.0), one.score)
    # A sleeve is closed with itself, not with its copy.
    sleeves = {
        step.piece
        for s, (step,) in enumerate(sides.steps)
        if sides.kinds[s] == "edge"
        and float(sides.bend[s].max()) > 0.10
        and sides.lengths[s, base] > 240.0
    }
    out = []
    for s, (step,) in enumerate(sides.steps):
        outline = own[step.piece]
        if sides.kinds[s] not in ("edge", "over", "dart") or outline.axis is not None:
            continue
        if step.piece in sleeves:
            continue
        if outline.copies < 2 or outline.fold.any() or sides.lengths[s, base] < 80.0:
            continue
        square = sum(abs(a - 90.0) < 9.0 for a in sides.ends[s])
        bent = (
            float(sides.turning[s]) < -30.0 and square > 0
            and float(np.nanmax(sides.bend[s])) < 0.03 and float(sides.ends[s].min()) < 100.0
        )  # fmt: skip
        straight = (
            square == 2 and sides.lengths[s, base] > 140.0
            and float(np.abs(sides.bend[s]).max()) < 0.03
            and _along_grain(outline, step) and not _opening(outline, step)
        )  # fmt: skip
        score = -2.4 + 0.6 * square + (1.6 if bent else 0.0) + (1.5 if straight else 0.0)
        score -= 0.5 * min(3.0, partner.get(step.atoms, 0.0))
        facts = {
            "apart": 0.0, "drift": 0.0, "growth": 0.0, "met": 0.0, "unmet": 0.0,
            "corner": float(square), "shape": 0.0, "part": 0.0, "copy": 1.0,
            "length": float(sides.lengths[s, base]), "centre": float(bent or straight),
        }  # fmt: skip
        out.append(Candidate((step,), (step,), score, "copy", facts))
    return out


def _crowned(own: Sequence[Outline], sides: Sides, steps: Sequence[Step]) -> bool:
    """Whether a chain may be half the cap of a sleeve in two pieces: two stretches, one with a
    crown that ends at a notch, the shoulder's."""
    if len(steps) != 2 or steps[0].piece == steps[1].piece:
        return False
    for step, end in ((steps[0], steps[0].first), (steps[1], steps[1].last)):
        if not own[step.piece].corner[end] and _bow(own[step.piece], step) > 0.05:
            return True
    return False


def _bow(own: Outline, step: Step) -> float:
    """How far a stretch leans out of the piece from its chord, over its length."""
    i, j = step.spans[0]
    long = float(own.gap(i, j)[own.base])
    at = (float(own.at[i, own.base]) + long * np.linspace(0.0, 1.0, 9)) % float(own.whole[own.base])
    p = own.shape.seam_line.point_at(at)
    chord = p[-1] - p[0]
    size = max(float(np.hypot(*chord)), 1e-9)
    w = p - p[0]
    return float((w[:, 0] * chord[1] - w[:, 1] * chord[0]).max() / (size * max(long, 1e-9)))


def _cut(own: Sequence[Outline], steps: Sequence[Step]) -> bool:
    """Whether a chain begins or ends at a notch."""
    ends = ((steps[0].piece, steps[0].first), (steps[-1].piece, steps[-1].last))
    return not all(own[p].corner[s] for p, s in ends)


def _along_grain(own: Outline, step: Step) -> bool:
    """Whether an edge lies along the grain, as centres do and hems do not."""
    grain = own.shape.grain_line
    if grain is None:
        return False
    at = own.at[[step.first, step.last], own.base]
    p = own.shape.seam_line.point_at(at)
    d, g = p[1] - p[0], np.array(grain.end) - np.array(grain.start)
    size = float(np.hypot(*d) * np.hypot(*g))
    return size > 0.0 and abs(float(d @ g)) > 0.9 * size


def _opening(own: Outline, step: Step) -> bool:
    """Whether a notch just round either corner says that the edge overlaps: a button stand."""
    at, whole = own.at[:, own.base], float(own.whole[own.base])
    for stop, way in ((step.first, -1), (step.last, 1)):
        near = own.corner[(stop + way) % own.n]
        gap = abs(float(at[(stop + way) % own.n] - at[stop]))
        if not near and min(gap, whole - gap) < 45.0:
            return True
    # So does a line inside that runs beside the edge from end to end: a centre line.
    ends = own.shape.seam_line.point_at(own.at[[step.first, step.last], own.base])
    for line in own.shape.internal_lines:
        if not line.curve.closed:
            for a, b in ((line.curve.start, line.curve.end), (line.curve.end, line.curve.start)):
                off = np.hypot(*(np.array([a, b]) - ends).T)
                if off.min() > 4.0 and off.max() < 45.0:
                    return True
    return False


def _chained(own: Sequence[Outline], sides: Sides, linked: Sides, base: int) -> list[Candidate]:
    long, chain = sides.lengths[:, base], linked.lengths[:, base]
    piece = np.array([s[0].piece for s in sides.steps])
    part = np.array([k == "part" for k in sides.kinds])
    d = long[:, None] - chain[None, :]
    crown = (np.nan_to_num(sides.bend).max(axis=1) > 0.09) & (long > 240.0)
    hollow = linked.turning < -25.0
    # An armhole does not turn back into its own copy.
    once = np.array([len({s.atoms for s in steps}) == len(steps) for steps in linked.steps])
    cut = np.array([_cut(own, steps) for steps in linked.steps])
    cap = (d > 1.5) & (d < CAP_EASE) & crown[:, None] & (hollow & once & ~cut)[None, :]
    like = np.abs(d) <= np.minimum(LIKE, 0.06 * chain)[None, :]
    crowned = np.array([_crowned(own, sides, steps) for steps in linked.steps]) & once
    two = (d < -1.5) & (d > -0.6 * CAP_EASE) & (crowned & (chain > 150.0))[None, :]
    two &= ((sides.turning < -25.0) & (long > 110.0) & ~part)[:, None]
    edge = np.array([k in ("edge", "dart") for k in sides.kinds])
    gather = (np.abs(d) > 10.0) & (np.abs(d) < 0.4 * np.minimum(long[:, None], chain[None, :]))
    gather &= (edge & (long > 100.0))[:, None] & ~cut[None, :]
    i, j = np.nonzero(like | cap | two | gather)
    ok = _apart(own, sides, linked, i, j, piece)
    i, j = i[ok], j[ok]
    i, j, back = np.tile(i, 2), np.tile(j, 2), np.repeat([False, True], len(i))
    pairs = scored(sides, linked, i, j, back, base, crowned)
    pairs = pairs.take(pairs.total > _worth(own) + 1.0)
    pairs = _best(pairs, 5)
    return _made(own, sides, linked, pairs)


def _apart(
    own: Sequence[Outline],
    sides: Sides,
    other: Sides,
    i: IntArray,
    j: IntArray,
    piece: IntArray,
) -> np.ndarray:
    """Pairs whose sides share no atom, and (for chains) no piece."""
    if other is sides:
        out: np.ndarray = piece[i] != piece[j]
        same = np.flatnonzero(~out)
        for m in same:
            a, b = sides.steps[i[m]][0], sides.steps[j[m]][0]
            out[m] = not set(a.atoms) & set(b.atoms)
        return out
    members = np.zeros((len(other), len(own)), dtype=bool)
    for c, steps in enumerate(other.steps):
        members[c, [s.piece for s in steps]] = True
    lone: np.ndarray = ~members[j, piece[i]]
    return lone


def _best(pairs: Pairs, most: int) -> Pairs:
    """For every side its best few partners, and whatever is the best of the partner."""
    if not len(pairs):
        return pairs
    keep = np.zeros(len(pairs), dtype=bool)
    order = np.argsort(-pairs.total, kind="stable")
    for sides in (pairs.i, pairs.j):
        rank: dict[int, int] = {}
        for m in order.tolist():
            side = int(sides[m])
            rank[side] = rank.get(side, 0) + 1
            if rank[side] <= most:
                keep[m] = True
    return pairs.take(keep)


def _made(own: Sequence[Outline], left: Sides, right: Sides, pairs: Pairs) -> list[Candidate]:
    out = []
    parts = np.array([k == "part" for k in left.kinds], dtype=float)
    others = np.array([k == "part" for k in right.kinds], dtype=float)
    for m in range(len(pairs)):
        i, j = int(pairs.i[m]), int(pairs.j[m])
        to: tuple[Step, ...] = right.steps[j]
        if pairs.back[m]:
            to = turned(to)
        facts = {
            name: float(getattr(pairs, name)[m])
            for name in ("apart", "drift", "growth", "met", "unmet", "corner", "shape")
        }
        facts["part"] = float(parts[i] + others[j])
        facts["copy"] = 0.0
        facts["length"] = float(left.lengths[i].mean())
        needs = right.needs[j] if right.needs else ()
        if pairs.kind[m] == 2 and len(to) > 3:
            continue
        most = 9.0 if pairs.kind[m] == 0 else 1.2
        extra = min(0.9 * (len(to) - 1), most)
        if len(to) > 1 and pairs.kind[m] != 3:
            # A chain that begins or ends at a notch is rarer than one from corner to corner.
            ends = ((to[0].piece, to[0].first), (to[-1].piece, to[-1].last))
            extra -= 0.8 * sum(not own[p].corner[s] for p, s in ends)
        if len(to) == 1 and to[0].piece == left.steps[i][0].piece:
            # A tube is rarer than two pieces, and the short ends of a band are seldom sewn.
            box = own[to[0].piece]
            extra -= 2.4 + 1.4 * float(left.lengths[i].mean() < 100.0) + 4.5 * float(_box(box))
            extra += 2.8 * float(_under_cap(box, left, left.steps[i][0], to[0]))
            one = left.steps[i][0]
            if box.axis is not None and set(_image(one, box).atoms) == set(to[0].atoms):
                # Mirror images are alike in everything, sewn or not: that says nothing.
                extra += 1.4 - float(pairs.total[m])
                facts |= dict.fromkeys(("met", "unmet", "growth", "corner", "shape"), 0.0)
        if any(a.atoms == b.atoms for a, b in itertools.pairwise(to)):
            # What is sewn to both halves is one piece, not a pair.
            box = own[left.steps[i][0].piece]
            extra -= 2.2 * float(box.axis is None and box.copies > 1)
        if float(pairs.total[m]) + extra <= WORTH - 2.0:
            continue
        kind = _KINDS[int(pairs.kind[m])]
        sew = left.steps[i]
        if pairs.kind[m] == 3:
            sew, to = to, sew  # the sleeve is on the sew side
            facts["apart"] = -facts["apart"]
        out.append(Candidate(sew, to, float(pairs.total[m]) + extra, kind, facts, needs))
    return out


def _under_cap(own: Outline, sides: Sides, one: Step, other: Step) -> bool:
    """Whether two edges of a piece end at the two ends of an edge like a sleeve cap."""
    ends = {frozenset((one.first, other.first)), frozenset((one.last, other.last))}
    number = one.piece
    for s, (step,) in enumerate(sides.steps):
        if step.piece == number and sides.kinds[s] in ("edge", "over"):
            high = float(np.nan_to_num(sides.bend[s]).max())
            if high > 0.10 and frozenset((step.first, step.last)) in ends:
                return True
    return False


def _box(own: Outline) -> bool:
    """Whether a piece is a plain strip: four corners, all square."""
    angles = own.inside[own.corner]
    return len(angles) == 4 and bool((np.abs(angles - 90.0) < 6.0).all())


def growth_of(sides: Sides) -> FloatArray:
    """(N, Z) lengths less their mean over the sizes."""
    out: FloatArray = sides.lengths - sides.lengths.mean(axis=1, keepdims=True)
    return out
