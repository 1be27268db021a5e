"""What an edge looks like: lengths in every size, notches, ends, curvature; as arrays.

Terms
  stop   a corner or a notch of a piece, where a seam may begin or end
  atom   the seam line between two neighbouring stops; nothing finer is ever sewn apart
  step   a stretch of one piece from stop to stop: consecutive atoms, with the outline or against
  side   steps in sewing order, as they may stand on one side of a seam: a single edge, an edge up
         to a notch, edges round a dart, or a chain over several pieces (`chains`)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from seamwright.geometry import FloatArray, IntArray
from seamwright.model import InternalKind, Pattern, Piece, Shape
from seamwright.model.measure import measure

from ..places import Places

SAMPLES = 17  # places along a step at which its bend is looked at
MOST_NOTCHES = 12  # of one side that are looked at
_AT_CORNER = 2.0  # mm; a notch this near a corner is at it
_SOFT = 50.0  # degrees; an outline that turns less at a corner may run on through it


@dataclass(frozen=True, slots=True)
class Step:
    """A stretch of piece `piece` (its number) from stop `first` to stop `last` (numbers of the
    piece's stops), with the outline (way 1) or against it (-1). spans: (start, end) pairs of
    stops, in outline order: more than one where a dart is stepped over."""

    piece: int
    first: int
    last: int
    way: int
    atoms: tuple[int, ...]
    spans: tuple[tuple[int, int], ...]

    def turned(self) -> Step:
        """The same stretch the other way."""
        return Step(self.piece, self.last, self.first, -self.way, self.atoms, self.spans)


@dataclass(slots=True, eq=False)
class Outline:
    """One piece's outline, cut at its stops.

    at         (S, Z) of each stop along the seam line, mm; NaN where a size lacks it
    whole      (Z,)
    corner     (S,) whether the stop is a corner; marks: their numbers among corners or notches
    inside     (S,) interior angle at the stop, degrees
    fold       (S,) whether the atom that begins at the stop lies on a fold
    closed     (S,) whether the atom is the mouth or a leg of a dart, which is stepped over
    legs       pairs of atoms (by their first stop) that are the legs of a dart in the outline
    axis       c, where stop s has its mirror image at c - s; None: not its own mirror image
    twin       (S,) the stop that is the mirror image of each, -1 for none
    mouths     (start, width), each (Z,), of darts whose mouths have no stops at their ends
    copies     how many of each edge the garment has: quantity, twice that for half pieces
    """

    piece: Piece
    shape: Shape
    sizes: tuple[str, ...]
    base: int
    at: FloatArray
    whole: FloatArray
    corner: np.ndarray
    marks: list[int]
    inside: FloatArray
    fold: np.ndarray
    closed: np.ndarray
    legs: list[tuple[int, int]]
    axis: float | None
    twin: IntArray
    copies: int
    first_atom: int
    types: list[str] = field(default_factory=list)
    mouths: list[tuple[FloatArray, FloatArray]] = field(default_factory=list)

    @property
    def n(self) -> int:
        """How many stops."""
        return len(self.marks)

    def gap(self, i: int, j: int) -> FloatArray:
        """(Z,) length from stop i to stop j, with the outline, darts on the way closed; the whole
        for i = j."""
        out: FloatArray = (self.at[j] - self.at[i]) % self.whole
        if i == j:
            out = np.where(out < 1e-9, self.whole, out)
        if self.mouths:
            long = out[self.base]
            for low, wide in self.mouths:
                before = (low - self.at[i]) % self.whole
                if before[self.base] + wide[self.base] <= long + 0.1:
                    out = out - wide
        return out

    def name(self, stop: int) -> str:
        """The mark's name."""
        shape = self.shape
        marks = shape.corners if self.corner[stop] else shape.notches
        return marks[self.marks[stop]].name


def outlines(pattern: Pattern, where: Places) -> list[Outline]:
    """All pieces that have corners, each cut at its stops."""
    shapes = [s for p in pattern.pieces for s in p.shapes]
    measure(shapes)
    known = any(sum(p.quantity) > 1 for p in pattern.pieces)
    out: list[Outline] = []
    atoms = 0
    for piece in pattern.pieces:
        shape = next((s for s in piece.shapes if s.size == pattern.base_size), None)
        if shape is None or not shape.corners:
            continue
        made = _outline(piece, shape, where, atoms, known)
        atoms += made.n
        out.append(made)
    return out


def _outline(piece: Piece, shape: Shape, where: Places, first: int, known: bool) -> Outline:
    base = where.base
    corners = where.at[list(where.corners[piece.name])]
    rows = list(where.notches[piece.name])
    notches = where.at[rows] if rows else np.empty((0, len(where.sizes)))
    whole = where.outline[where.pieces[piece.name]]
    total = float(whole[base])
    near = np.abs((notches[:, None, base] - corners[None, :, base] + total / 2) % total - total / 2)
    keep = [i for i in range(len(notches)) if near[i].min() > _AT_CORNER]
    at = np.concatenate([corners, notches[keep]])
    is_corner = np.arange(len(at)) < len(corners)
    marks = [*range(len(corners)), *keep]
    order = np.argsort(at[:, base], kind="stable")
    # Two notches at one place are one stop.
    order = np.array(
        [o for k, o in enumerate(order) if k == 0 or at[o, base] - at[order[k - 1], base] > 0.05]
    )
    at, is_corner = at[order], is_corner[order]
    marks = [marks[o] for o in order]
    line = shape.seam_line
    inside = np.full(len(at), 180.0)
    segments = np.array([shape.corners[m].station.segment for m, c in zip(marks, is_corner,
                        strict=True) if c], dtype=int)  # fmt: skip
    before = line.tangents_of((segments - 1) % line.n, np.ones(len(segments)))
    after = line.tangents_of(segments, np.zeros(len(segments)))
    turn = np.degrees(
        np.arctan2(
            before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1)
        )
    )
    inside[is_corner] = 180.0 - turn
    out = Outline(
        piece=piece, shape=shape, sizes=where.sizes, base=base, at=at, whole=whole,
        corner=is_corner, marks=marks,
        inside=inside, fold=np.zeros(len(at), bool), closed=np.zeros(len(at), bool), legs=[],
        axis=None, twin=np.full(len(at), -1), copies=1, first_atom=first,
        types=["" if c else str(shape.notches[m].type) for m, c in zip(marks, is_corner,
               strict=True)],
    )  # fmt: skip
    _folds(out)
    _darts(out)
    _symmetry(out)
    count = sum(piece.quantity)
    if not known:
        count = 1 if out.axis is not None or out.fold.any() else 2
    out.copies = max(1, count) * (2 if out.fold.any() else 1)
    return out


def _middles(own: Outline) -> FloatArray:
    """(S, 3) places within each atom."""
    gaps = (np.roll(own.at[:, own.base], -1) - own.at[:, own.base]) % own.whole[own.base]
    shares = np.array([0.25, 0.5, 0.75])
    out: FloatArray = (own.at[:, own.base][:, None] + gaps[:, None] * shares) % own.whole[own.base]
    return out


def _folds(own: Outline) -> None:
    lines = [x.curve for x in own.shape.internal_lines if x.kind is InternalKind.FOLD]
    if not lines:
        return
    points = own.shape.seam_line.point_at(_middles(own).ravel())
    for line in lines:
        far = line.nearest(points).distances.reshape(-1, 3)
        own.fold |= far.max(axis=1) < 0.6


def _mouths(own: Outline) -> list[tuple[FloatArray, FloatArray]]:
    """Start and width of each dart's mouth in every size: darts that the shape knows, else legs
    drawn inside the piece that begin on the outline and meet in a point."""
    shapes = {s.size: s for s in own.piece.shapes}
    column = [shapes.get(size) for size in own.sizes]
    found = [[] if s is None else _mouths_in(s) for s in column]
    count = len(found[own.base])
    out = []
    for k in range(count):
        rows = [f[k] if len(f) == count else (np.nan, np.nan) for f in found]
        low = np.array([a for a, _ in rows])
        out.append((low, (np.array([b for _, b in rows]) - low) % own.whole))
    return out


def _mouths_in(shape: Shape) -> list[tuple[float, float]]:
    if shape.darts:
        return [(float(a), float(b)) for a, b in measure([shape])[0].darts]
    legs: list[tuple[float, FloatArray]] = []  # place on the outline, and the other end
    out: list[tuple[float, float]] = []
    total = shape.seam_line.length
    for line in shape.internal_lines:
        if line.kind not in (InternalKind.INTERNAL, InternalKind.SEW) or line.curve.closed:
            continue
        near = shape.seam_line.nearest(np.array([line.curve.start, line.curve.end]))
        on = near.distances < 0.6
        if on.all() and line.curve.n == 2:
            out.append(_narrow(float(near.lengths[0]), float(near.lengths[1]), total))
        elif on.sum() == 1:
            k = int(np.flatnonzero(on)[0])
            tip = line.curve.end if k == 0 else line.curve.start
            legs.append((float(near.lengths[k]), np.asarray(tip)))
    for i, (at, tip) in enumerate(legs):
        for at_2, tip_2 in legs[i + 1 :]:
            if float(np.hypot(*(tip - tip_2))) < 0.6:
                out.append(_narrow(at, at_2, total))
    return [(a, b) for a, b in out if 2.0 < (b - a) % total < 0.25 * total]


def _narrow(a: float, b: float, total: float) -> tuple[float, float]:
    return (a, b) if (b - a) % total <= (a - b) % total else (b, a)


def _darts(own: Outline) -> None:
    """Mouths of darts that the shape knows; and darts cut into the outline: two legs as long as
    one another in every size that meet deep inside."""
    n = own.n
    base = own.at[:, own.base]
    total = float(own.whole[own.base])
    middles = _middles(own)[:, 1]
    for low, wide in _mouths(own):
        first, long = float(low[own.base]), float(wide[own.base])
        ends = np.abs((base[:, None] - [first, first + long] + total / 2) % total - total / 2)
        if (ends.min(axis=0) < 0.6).all():
            own.closed |= ((middles - first) % total) < long
        else:
            own.mouths.append((low, wide))
    stops = [i for i in range(n) if own.corner[i]]
    if len(stops) < 5:
        return
    for k, tip in enumerate(stops):
        one, other = stops[k - 1], stops[(k + 1) % len(stops)]
        if own.inside[tip] < 290.0 or (tip - one) % n != 1 or (other - tip) % n != 1:
            continue
        a, b = own.gap(one, tip), own.gap(tip, other)
        mouth = own.shape.seam_line.point_at(np.array([base[one], base[other]]))
        open_ = float(np.hypot(*(mouth[1] - mouth[0])))
        if np.nanmax(np.abs(a - b)) < 3.0 and open_ < 0.9 * float(a[own.base]):
            own.legs.append((one, tip))
            own.closed[[one, tip]] = True


def _symmetry(own: Outline) -> None:
    """Finds the axis of a piece that is its own mirror image, notches and all."""
    if own.fold.any():
        return
    base, total = own.at[:, own.base], float(own.whole[own.base])
    corners = base[own.corner]
    # Corners must lie opposite corners: candidates are the sums of two of them.
    sums = np.unique(np.round((corners[:, None] + corners[None]) % total, 2))
    opposite = (sums[:, None] - base[None]) % total
    apart = np.abs((opposite[:, :, None] - base[None, None] + total / 2) % total - total / 2)
    fits = np.flatnonzero((apart.min(axis=2) < 0.6).all(axis=1))
    line = own.shape.seam_line
    for c in sums[fits]:
        ends = line.point_at(np.array([c / 2, c / 2 + total / 2]) % total)
        d = ends[1] - ends[0]
        size = float(np.hypot(*d))
        if size < 1.0:
            continue
        d = d / size
        places = np.linspace(0.0, total, 41)[:-1]
        w = line.point_at(places) - ends[0]
        image = ends[0] + 2 * (w @ d)[:, None] * d - w
        there = line.point_at((c - places) % total)
        if float(np.abs(image - there).max()) < 0.8:
            own.axis = float(c)
            k = int(np.flatnonzero(sums == c)[0])
            own.twin = apart[k].argmin(axis=1).astype(np.int64)
            return


def steps_of(number: int, own: Outline) -> list[tuple[Step, str]]:
    """Stretches of a piece that may be sewn, with the outline, each with its kind: "edge" from
    corner to corner, "over" through soft corners or closed darts, "part" to or from a notch."""
    out: list[tuple[Step, str]] = []
    n = own.n
    corners = [i for i in range(n) if own.corner[i]]
    free = ~(own.fold | own.closed)
    spans: list[tuple[int, int]] = []
    for k, i in enumerate(corners):
        spans.append((i, corners[(k + 1) % len(corners)]))
    sewn = [all(free[s % n] for s in _between(i, j, n)) for i, j in spans]
    for k, (i, j) in enumerate(spans):
        if not sewn[k]:
            continue
        out.append((_step(own, number, [(i, j)]), "edge"))
        inner = [s % n for s in _between(i, j, n)][1:]
        if len(inner) <= 6:
            for a in inner:
                out.append((_step(own, number, [(i, a)]), "part"))
                out.append((_step(own, number, [(a, j)]), "part"))
            for x, a in enumerate(inner):
                for b in inner[x + 1 :]:
                    out.append((_step(own, number, [(a, b)]), "part"))
    count = len(spans)
    for k in range(count):
        if not sewn[k]:
            continue
        chain = [spans[k]]
        m = k
        while len(chain) < 5:
            nxt = (m + 1) % count
            over = False
            end = spans[m][1]
            # Closed darts on the way are passed.
            while not sewn[nxt] and all(own.closed[s % n] for s in _between(*spans[nxt], n)):
                nxt = (nxt + 1) % count
                over = True
            if nxt == k or not sewn[nxt]:
                break
            soft = over or abs(180.0 - own.inside[end]) < _SOFT
            if not soft:
                break
            chain.append(spans[nxt])
            out.append((_step(own, number, list(chain)), "dart" if over else "over"))
            m = nxt
    return out


def _between(i: int, j: int, n: int) -> range:
    """Atoms from stop i to stop j with the outline (stops not yet taken modulo n)."""
    return range(i, j if j > i else j + n)


def _step(own: Outline, number: int, spans: Sequence[tuple[int, int]]) -> Step:
    n = own.n
    atoms = tuple(own.first_atom + s % n for i, j in spans for s in _between(i, j, n))
    return Step(number, spans[0][0], spans[-1][1], 1, atoms, tuple(spans))


@dataclass(slots=True, eq=False)
class Sides:
    """N sides as arrays, each from its first step's beginning; mm, degrees, base size unless Z.

    lengths   (N, Z)
    ends      (N, 2) interior angles at both ends; NaN at a notch
    bend      (N, SAMPLES) distance from the chord over its length, outwards positive; NaN for
              chains
    turning   (N,) degrees the seam line turns along the side, outwards (convex) positive
    notches   (N, MOST_NOTCHES) of each notch from the start, NaN-padded; joints: whether it is a
              place where two steps of a chain meet
    beyond    (N, 2, Z) length of the edge that runs on from either end; NaN at a notch
    kinds     "edge", "over", "dart", "part" or "chain"
    """

    steps: list[tuple[Step, ...]]
    kinds: list[str]
    lengths: FloatArray
    ends: FloatArray
    bend: FloatArray
    turning: FloatArray
    notches: FloatArray
    joints: np.ndarray
    beyond: FloatArray
    needs: list[tuple[int, ...]] = field(default_factory=list)

    def __len__(self) -> int:
        return len(self.steps)


def plain_sides(own: Sequence[Outline]) -> Sides:
    """All single steps of all pieces."""
    steps: list[tuple[Step, ...]] = []
    kinds: list[str] = []
    lengths, ends, bends, turning, notches = [], [], [], [], []
    beyond = []
    for number, outline in enumerate(own):
        found = steps_of(number, outline)
        if not found:
            continue
        bend, turned = _bends(outline, [s for s, _ in found])
        for row, (step, kind) in enumerate(found):
            steps.append((step,))
            kinds.append(kind)
            lengths.append(sum(outline.gap(i, j) for i, j in step.spans))
            ends.append(
                [
                    outline.inside[s] if outline.corner[s] else np.nan
                    for s in (step.first, step.last)
                ]
            )
            bends.append(bend[row])
            turning.append(turned[row])
            notches.append(_notches(outline, step))
            beyond.append([_beyond(outline, step.first, -1), _beyond(outline, step.last, 1)])
    sizes = own[0].at.shape[1] if own else 1
    count = len(steps)
    return Sides(
        steps=steps,
        kinds=kinds,
        lengths=np.array(lengths, dtype=np.float64).reshape(count, sizes),
        ends=np.array(ends, dtype=np.float64).reshape(count, 2),
        bend=np.array(bends).reshape(count, SAMPLES),
        turning=np.array(turning).reshape(count),
        notches=np.array(notches).reshape(count, MOST_NOTCHES),
        joints=np.zeros((count, MOST_NOTCHES), dtype=bool),
        beyond=np.array(beyond, dtype=np.float64).reshape(count, 2, sizes),
        needs=[()] * count,
    )


def _beyond(own: Outline, stop: int, way: int) -> FloatArray:
    """(Z,) length of the edge from a corner on to the next, darts in between passed; NaN at a
    notch."""
    if not own.corner[stop]:
        return np.full(own.at.shape[1], np.nan)
    total = np.zeros(own.at.shape[1])
    s = stop
    for _ in range(own.n):
        t = (s + way) % own.n
        atom = s if way > 0 else t
        if not own.closed[atom]:
            total = total + (own.gap(s, t) if way > 0 else own.gap(t, s))
        s = t
        after = s if way > 0 else (s - 1) % own.n
        if own.corner[s] and not own.closed[atom] and not own.closed[after]:
            break
    return total


def _notches(own: Outline, step: Step) -> FloatArray:
    found, before = [], 0.0
    for i, j in step.spans:
        for s in list(_between(i, j, own.n))[1:]:
            if not own.corner[s % own.n]:
                found.append(before + float(own.gap(i, s % own.n)[own.base]))
        before += float(own.gap(i, j)[own.base])
    out = np.full(MOST_NOTCHES, np.nan)
    out[: min(len(found), MOST_NOTCHES)] = found[:MOST_NOTCHES]
    return out


def _bends(own: Outline, steps: Sequence[Step]) -> tuple[FloatArray, FloatArray]:
    """Bend profiles (N, SAMPLES) and turning (N,) of steps of one piece, one kernel call."""
    total = float(own.whole[own.base])
    start = np.array([own.at[s.first, own.base] for s in steps])
    long = np.array([float(own.gap(s.first, s.last)[own.base]) for s in steps])
    places = start[:, None] + long[:, None] * np.linspace(0.0, 1.0, SAMPLES)
    points = own.shape.seam_line.point_at((places % total).ravel()).reshape(len(steps), SAMPLES, 2)
    chord = points[:, -1] - points[:, 0]
    size = np.maximum(np.hypot(chord[:, 0], chord[:, 1]), 1e-9)
    w = points - points[:, :1]
    # The piece lies on the left: to the right of the chord is outwards.
    bend = (w[..., 0] * chord[:, None, 1] - w[..., 1] * chord[:, None, 0]) / (
        size * np.maximum(long, 1e-9)
    )[:, None]
    d = np.diff(points, axis=1)
    d = d / np.maximum(np.hypot(d[..., 0], d[..., 1]), 1e-9)[..., None]
    cross = d[:, :-1, 0] * d[:, 1:, 1] - d[:, :-1, 1] * d[:, 1:, 0]
    dot = (d[:, :-1] * d[:, 1:]).sum(axis=2)
    turned = np.degrees(np.arctan2(cross, dot)).sum(axis=1)
    return bend, turned
