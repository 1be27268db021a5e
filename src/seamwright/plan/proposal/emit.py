"""Chosen candidates as seams: caps in two halves, notches that meet, ease by kind, names."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from seamwright.model.seam import CapSide, Ease, Seam

from ..grammar import written_mark
from .matching import Candidate, Side
from .shaping import run_of
from .sides import Outline, Step

HALF_CAP = 30.0  # mm of ease that half a cap may take: half of CAP_EASE


@dataclass(frozen=True, slots=True)
class Piecewise:
    """A seam before it has a name: both sides, and which half of a cap it is."""

    sew: Side
    to: Side
    cap: CapSide | None
    note: str = ""
    kind: str = "plain"


def pieces_of(one: Candidate, own: Sequence[Outline]) -> list[Piecewise]:
    """What a candidate is written as: one seam, or the two halves of a cap."""
    sew, to = one.sew, one.to
    if one.kind == "plain" and _whole_cap(to, sew, own):
        sew, to = to, sew
    if one.kind != "cap" and not _whole_cap(sew, to, own):
        return [Piecewise(one.sew, one.to, None, kind=one.kind)]
    cap = replace_sides(one, sew, to)
    if len(sew) > 1:
        return [replace(_up(cap, own), kind="cap")]
    step = sew[0]
    whole = all(own[step.piece].corner[s] for s in (step.first, step.last))
    if not whole or len(to) == 1:
        return [replace(_half(cap, own), kind="cap")]
    split = _split(cap, own)
    if split is None:
        note = "the cap has no notch where the shoulder comes"
        return [Piecewise(sew, to, None, note, "cap")]
    return [replace(half, kind="cap") for half in split]


def replace_sides(one: Candidate, sew: Side, to: Side) -> Candidate:
    """The candidate with its sides as given."""
    return Candidate(sew, to, one.score, one.kind, one.facts, one.needs, one.also)


def _whole_cap(sew: Side, to: Side, own: Sequence[Outline]) -> bool:
    """Whether one side is a sleeve cap without ease and the other a chain of armholes."""
    if len(sew) != 1 or len(to) < 2 or len({s.atoms for s in to}) < len(to):
        return False
    outline = own[sew[0].piece]
    if not all(outline.corner[s] for s in (sew[0].first, sew[0].last)):
        return False
    return _high(sew[0], outline) and all(_hollow(s, own[s.piece]) for s in (to[0], to[-1]))


def _high(step: Step, own: Outline) -> bool:
    long = sum(float(own.gap(i, j)[own.base]) for i, j in step.spans)
    return long > 240.0 and _lean(step, own) > 0.10 * long


def _hollow(step: Step, own: Outline) -> bool:
    """Whether a stretch leans into its piece more than out of it, clearly."""
    long = sum(float(own.gap(i, j)[own.base]) for i, j in step.spans)
    inward, outward = _lean(step, own, -1.0), _lean(step, own)
    return inward > 0.03 * long and inward > 1.5 * outward


def _half(one: Candidate, own: Sequence[Outline]) -> Piecewise:
    """Half a cap runs from the underarm up: it ends at the notch, or else where it is steep."""
    step = one.sew[0]
    outline = own[step.piece]
    at_notch = [not outline.corner[s] for s in (step.first, step.last)]
    if at_notch[0] and not at_notch[1]:
        return Piecewise(
            tuple(s.turned() for s in reversed(one.sew)),
            tuple(s.turned() for s in reversed(one.to)), None,
        )  # fmt: skip
    return Piecewise(one.sew, one.to, None)


def _up(one: Candidate, own: Sequence[Outline]) -> Piecewise:
    """Half a cap of two pieces, walked up to the crown."""
    bows = [_lean(s, own[s.piece]) for s in (one.sew[0], one.sew[-1])]
    if bows[0] <= bows[1]:
        return Piecewise(one.sew, one.to, None)
    return Piecewise(
        tuple(s.turned() for s in reversed(one.sew)),
        tuple(s.turned() for s in reversed(one.to)), None,
    )  # fmt: skip


def _lean(step: Step, own: Outline, sign: float = 1.0) -> float:
    """How far a stretch leans out of its piece (sign 1) or into it (-1), mm."""
    i, j = step.spans[0]
    long = float(own.gap(i, j)[own.base])
    at = float(own.at[i, own.base]) + long * np.linspace(0.0, 1.0, 9)
    p = own.shape.seam_line.point_at(at % float(own.whole[own.base]))
    chord, w = p[-1] - p[0], p - p[0]
    size = max(float(np.hypot(*chord)), 1e-9)
    return float((sign * (w[:, 0] * chord[1] - w[:, 1] * chord[0])).max() / size)


def _split(one: Candidate, own: Sequence[Outline]) -> list[Piecewise] | None:
    if len(one.sew) != 1:
        return None
    step = one.sew[0]
    sleeve = own[step.piece]
    n, base = sleeve.n, sleeve.base
    i, j = (step.first, step.last) if step.way > 0 else (step.last, step.first)
    inner = [s % n for s in range(i + 1, j if j > i else j + n)]
    notches = [s for s in inner if not sleeve.corner[s]]
    if not notches:
        return None
    long = float(sleeve.gap(i, j)[base])
    at = {s: float(sleeve.gap(i, s)[base]) for s in notches}
    if step.way < 0:
        at = {s: long - x for s, x in at.items()}
    lengths = [sum(float(own[t.piece].gap(a, b)[base]) for a, b in t.spans) for t in one.to]
    total = sum(lengths)
    best: tuple[float, int, int] | None = None
    for k in range(1, len(one.to)):
        share = sum(lengths[:k]) / total * long
        for s in notches:
            if not 0.28 * long < at[s] < 0.72 * long:
                continue
            # Of several joints (a yoke) the shoulder's is the one next to the notch at the top.
            miss = abs(at[s] - share)
            if miss < max(20.0, abs(long - total)) and (best is None or miss < best[0]):
                best = (miss, s, k)
    if best is None:
        return None
    _, top, k = best

    def part(a: int, b: int) -> Step:
        """From stop a to stop b of the cap, walked up."""
        lo, hi = (a, b) if _before(sleeve, i, a, b) else (b, a)
        atoms = tuple(sleeve.first_atom + s % n for s in range(lo, hi if hi > lo else hi + n))
        return Step(step.piece, a, b, 1 if lo == a else -1, atoms, ((lo, hi),))

    return [
        Piecewise((part(step.first, top),), one.to[:k], None),
        Piecewise((part(step.last, top),), tuple(s.turned() for s in reversed(one.to[k:])), None),
    ]


def _before(own: Outline, start: int, a: int, b: int) -> bool:
    return (a - start) % own.n < ((b - start) % own.n or own.n)


def with_cap_sides(parts: Sequence[Piecewise], own: Sequence[Outline]) -> list[Piecewise]:
    """The halves of each cap marked front and back, where both are there. Halves that were taken
    for plain seams, because the cap has hardly any ease, are found by where they meet: at one
    place of a crown on the one side, each on a hollow on the other."""
    out = list(parts)
    by_top: dict[tuple[int, int], list[int]] = {}
    for k, part in enumerate(parts):
        if part.kind == "cap":
            by_top.setdefault((part.sew[-1].piece, part.sew[-1].last), []).append(k)
    for top, found in _plain_halves(parts, own).items():
        if top not in by_top:
            by_top[top] = list(found)
            for k, half in found.items():
                out[k] = half
        elif len(by_top[top]) == 1:
            for k, half in found.items():
                if k not in by_top[top]:
                    by_top[top].append(k)
                    out[k] = half
    for rows in by_top.values():
        # A half that is sewn to both armholes of a piece drawn whole stands twice.
        halves: dict[frozenset[int], list[int]] = {}
        for k in rows:
            halves.setdefault(frozenset(a for s in out[k].sew for a in s.atoms), []).append(k)
        if len(halves) != 2:
            continue
        one, other = halves.values()
        front = _frontness(out[one[0]], own) - _frontness(out[other[0]], own)
        sides: tuple[CapSide, CapSide] = ("front", "back") if front >= 0 else ("back", "front")
        for group, side in zip((one, other), sides, strict=True):
            for k in group:
                out[k] = replace(out[k], cap=side)
    return out


_FRONT = ("front", "vorder", "vorn", "devant", "delant", "davant", "avant", "fram", "voor", "przo")
_BACK = ("back", "rück", "rueck", "hinten", "dos", "espald", "dietro", "rug", "bag", "tył", "spat")


def _plain_halves(
    parts: Sequence[Piecewise], own: Sequence[Outline]
) -> dict[tuple[int, int], dict[int, Piecewise]]:
    """By the place on the crown (piece, stop): numbers of seams that meet there, each as it is
    with the sleeve on the sew side and walked up."""
    ends: dict[tuple[int, int], dict[int, Piecewise]] = {}
    for k, part in enumerate(parts):
        if part.kind not in ("plain", "cap"):
            continue
        for sew, to in ((part.sew, part.to), (part.to, part.sew)):
            if len(sew) != 1 or not all(_hollow(s, own[s.piece]) for s in to):
                continue
            for back in (False, True):
                a = tuple(s.turned() for s in reversed(sew)) if back else sew
                b = tuple(s.turned() for s in reversed(to)) if back else to
                half = replace(part, sew=a, to=b, kind="cap")
                ends.setdefault((a[-1].piece, a[-1].last), {})[k] = half
    out = {}
    for top, found in ends.items():
        ways = {half.sew[-1].way for half in found.values()}
        if len(ways) == 2 and _crown([h.sew[0] for h in found.values()], own[top[0]]):
            out[top] = found
    return out


def _crown(steps: Sequence[Step], own: Outline) -> bool:
    """Whether stretches that meet at one place make a crown together."""
    up = next(s for s in steps if s.way > 0)
    down = next(s for s in steps if s.way < 0)
    long = float((own.gap(up.first, up.last) + own.gap(down.last, down.first))[own.base])
    whole = Step(up.piece, up.first, down.first, 1, (), ((up.first, down.first),))
    return long > 240.0 and _lean(whole, own) > 0.10 * long


def _frontness(part: Piecewise, own: Sequence[Outline]) -> float:
    """How much a half looks like the front one: names, else two notches at the back and one in
    front, the deeper neck and the hollower armhole in front."""
    names = [own[s.piece].piece.name.lower() for s in part.to]
    score = 0.0
    score += 20.0 * any(w in n for w in _FRONT for n in names)
    score -= 20.0 * any(w in n for w in _BACK for n in names)
    notches = [s for step in part.to for s in _inner(step, own[step.piece])]
    score -= 3.0 * max(0, len(notches) - 1)
    score -= 0.5 * len(part.to)
    body = part.to[-1]
    outline = own[body.piece]
    score += min(2.0, _neck_depth(body, outline) / 40.0)
    points = outline.shape.seam_line.point_at(outline.at[[body.first, body.last], outline.base])
    chord = float(np.hypot(*(points[1] - points[0])))
    long = sum(float(outline.gap(a, b)[outline.base]) for a, b in body.spans)
    return score + 4.0 * (long / max(chord, 1.0) - 1.0)


def _neck_depth(body: Step, own: Outline) -> float:
    """How long the edge beyond the shoulder is: the neckline, longer in front, mm."""
    n = own.n
    corners = [s for s in range(n) if own.corner[s]]
    if body.last not in corners:
        return 0.0
    k = corners.index(body.last)
    first = corners[(k + body.way) % len(corners)]
    second = corners[(k + 2 * body.way) % len(corners)]
    a, b = (first, second) if body.way > 0 else (second, first)
    return float(own.gap(a, b)[own.base])


def _inner(step: Step, own: Outline) -> Iterator[int]:
    for i, j in step.spans:
        for s in range(i + 1, j if j > i else j + own.n):
            if not own.corner[s % own.n]:
                yield s % own.n


def meet_of(part: Piecewise, own: Sequence[Outline]) -> tuple[tuple[str, str], ...]:
    """Pairs of notches on the two sides that lie as far along, but for ease up to there."""
    a, b = _places(part.sew, own), _places(part.to, own)
    if a is None or b is None:
        return ()
    (at_a, long_a), (at_b, long_b) = a, b
    ease = long_a - long_b
    low, high = min(ease, 0.0) - 2.0, max(ease, 0.0) + 2.0
    pairs, taken = [], -1
    several = [len({s.piece for s in side}) > 1 for side in (part.sew, part.to)]
    for x, p, s in at_a:
        fits = [
            (abs(x * long_b / long_a - y), m)
            for m, (y, _, _) in enumerate(at_b)
            if m > taken and low <= x - y <= high
        ]
        if not fits:
            continue
        m = min(fits)[1]
        taken = m
        _, q, t = at_b[m]
        pairs.append((
            written_mark(own[p].name(s), piece=own[p].piece.name if several[0] else None),
            written_mark(own[q].name(t), piece=own[q].piece.name if several[1] else None),
        ))  # fmt: skip
    return tuple(pairs)


def _places(
    side: Side, own: Sequence[Outline]
) -> tuple[list[tuple[float, int, int]], float] | None:
    """Notches along a side with their piece and stop; None where a stretch stands twice."""
    if len({s.atoms for s in side}) < len(side):
        return None
    out, before = [], 0.0
    for step in side:
        outline = own[step.piece]
        long = sum(float(outline.gap(a, b)[outline.base]) for a, b in step.spans)
        found, gone = [], 0.0
        for i, j in step.spans:
            for s in range(i + 1, j if j > i else j + outline.n):
                if not outline.corner[s % outline.n]:
                    x = gone + float(outline.gap(i, s % outline.n)[outline.base])
                    found.append((x, step.piece, s % outline.n))
            gone += float(outline.gap(i, j)[outline.base])
        if step.way < 0:
            found = [(long - x, p, s) for x, p, s in reversed(found)]
        out += [(before + x, p, s) for x, p, s in found]
        before += long
    return out, before


def seam_of(part: Piecewise, name: str, own: Sequence[Outline], ease: tuple[float, float]) -> Seam:
    """The plan's seam. ease: least and greatest in the pattern's sizes, mm."""
    wanted: Ease | None = None
    if part.kind == "cap":
        most = HALF_CAP if part.cap is not None or len(part.to) == 1 else 2 * HALF_CAP
        wanted = Ease(at_least=0.0, at_most=most)
    elif part.kind == "gathers":
        wanted = Ease(at_least=float(np.floor(ease[0])) - 5.0, at_most=float(np.ceil(ease[1])) + 5)
    return Seam(
        name=name, sew=run_of(part.sew, own), to=run_of(part.to, own), ease=wanted,
        meet=meet_of(part, own), cap=part.cap,
    )  # fmt: skip
