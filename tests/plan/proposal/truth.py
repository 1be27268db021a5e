"""True seams of a garment, and how a proposal is scored against them.

Terms
  run     a stretch of one piece's seam line in the base size, from a point to a point (x, y in mm
          of the base size's drawing). Between two points there are two ways round the outline;
          the shorter one is meant unless `via`, a point on the stretch, says otherwise.
  side    runs in sewing order. Darts' mouths that a run passes are sewn up and count nothing: end
          the run before the mouth and begin another behind it, or run over it, both are read.
          A stretch may stand twice: a collar drawn whole is sewn to the neckline of the left and
          of the right front, which are drawn once and cut twice.
  seam    two sides that start at the ends that meet. cap: "front" or "back" where the seam is
          half of a sleeve cap, the sleeve on side a, both halves ending at the shoulder point.
          The legs of a dart that is cut into the outline are a seam, from the mouth to the point.

A garment is (name, Pattern without seams, true seams). A module of garments has a function
`garments()` that returns a list of them.

How a proposed seam is scored: thirteen places spread over its `sew` side are looked up among the
true seams, and so are their partners on its `to` side. It is right when for every place (but one)
some true seam lays that place on that partner, ease spread evenly, within 12 mm or 6 % of the
seam's length. So a true seam may be proposed whole or in parts, but nothing may be sewn that is
not sewn, and nothing the wrong way round. `exact` counts besides how many right ones begin and
end where a true one does.

A true seam is found when proposals at the level asked for lay nine of ten of its places on their
true partners. The halves of a piece that is its own mirror image in every size cannot be told
apart by shape, so either is right.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.model import Pattern, Seam, Shape
from seamwright.model.measure import measure
from seamwright.plan import resolve_run

Point = tuple[float, float]
Garment = tuple[str, Pattern, "list[TrueSeam]"]

NEAR = 12.0  # mm
SHARE = 0.06  # of a seam's length
PLACES = np.linspace(0.03, 0.97, 13)


@dataclass(frozen=True, slots=True)
class TrueRun:
    """A stretch of a piece's seam line; points in the base size."""

    piece: str
    start: Point
    end: Point
    via: Point | None = None


@dataclass(frozen=True, slots=True)
class TrueSeam:
    """Two sides that are sewn together, both starting at the ends that meet."""

    name: str
    a: tuple[TrueRun, ...]
    b: tuple[TrueRun, ...]
    cap: Literal["front", "back"] | None = None


@dataclass(frozen=True, slots=True)
class Stretch:
    """A run on its outline: from `start` mm, `length` mm on, forwards (1) or backwards (-1)."""

    piece: str
    start: float
    length: float
    way: int
    whole: float


@dataclass(slots=True)
class Score:
    """Counts; add them up over garments with `+`."""

    sure: int = 0
    sure_right: int = 0
    likely: int = 0
    likely_right: int = 0
    true: int = 0
    found: int = 0
    exact: int = 0
    caps: int = 0
    caps_marked: int = 0
    wrong: list[str] = field(default_factory=list)
    missed: list[str] = field(default_factory=list)

    def __add__(self, other: Score) -> Score:
        return Score(*(getattr(self, n) + getattr(other, n) for n in Score.__slots__))

    @property
    def precision(self) -> float:
        """Share of the seams called sure that are right; 1 where none is."""
        return self.sure_right / self.sure if self.sure else 1.0

    @property
    def recall(self) -> float:
        """Share of the true seams that were found as sure or likely."""
        return self.found / self.true if self.true else 1.0

    def __str__(self) -> str:
        return (
            f"sure {self.sure_right}/{self.sure} ({self.precision:.1%}), likely "
            f"{self.likely_right}/{self.likely}, found {self.found}/{self.true} "
            f"({self.recall:.1%}), exact {self.exact}, caps {self.caps_marked}/{self.caps}"
        )


def score(
    pattern: Pattern, truth: Iterable[TrueSeam], proposed: Iterable[tuple[Seam, str]]
) -> Score:
    """Scores proposals, each a Seam of this pattern and its level ("sure", "likely", "unsure")."""
    truth = list(truth)
    sides = _Sides(pattern, truth)
    out = Score(true=len(truth), caps=sum(t.cap is not None for t in truth))
    laid = [[np.zeros(len(PLACES), dtype=bool) for _ in range(2)] for _ in truth]
    marked = [False] * len(truth)
    for seam, level in proposed:
        if level not in ("sure", "likely"):
            continue
        sew, to = (_resolved(pattern, run) for run in (seam.sew, seam.to))
        right, which, exact = sides.judged(sew, to)
        setattr(out, level, getattr(out, level) + 1)
        if right:
            name = f"{level}_right"
            setattr(out, name, getattr(out, name) + 1)
            out.exact += exact
            sides.cover(sew, to, laid)
            for t in which:
                marked[t] |= truth[t].cap is not None and seam.cap == truth[t].cap
        else:
            out.wrong.append(f"{pattern.name}: {level}: {seam.name}: {seam.sew} = {seam.to}")
    for t, true in enumerate(truth):
        if max(side.mean() for side in laid[t]) >= 0.9:
            out.found += 1
        else:
            out.missed.append(f"{pattern.name}: {true.name}")
        out.caps_marked += marked[t]
    return out


class _Sides:
    """True seams on the outlines, with what the symmetry of pieces makes equally right."""

    def __init__(self, pattern: Pattern, truth: Sequence[TrueSeam]) -> None:
        self.pattern = pattern
        self.mirrors = {p.name: _mirror(p.shapes, pattern.base_size) for p in pattern.pieces}
        self.seams: list[tuple[int, list[Stretch], list[Stretch]]] = []
        for t, true in enumerate(truth):
            a, b = (_side(pattern, side) for side in (true.a, true.b))
            pieces = {s.piece for s in (*a, *b) if self.mirrors[s.piece] is not None}
            for flipped in _subsets(sorted(pieces)):
                one, other = ([self._turned(s, flipped) for s in side] for side in (a, b))
                self.seams += [(t, one, other), (t, other, one)]

    def _turned(self, s: Stretch, flipped: frozenset[str]) -> Stretch:
        axis = self.mirrors[s.piece]
        if axis is None or s.piece not in flipped:
            return s
        return Stretch(s.piece, (axis - s.start) % s.whole, s.length, -s.way, s.whole)

    def judged(self, sew: list[Stretch], to: list[Stretch]) -> tuple[bool, list[int], bool]:
        """Whether a proposal is right, which true seams it is part of, and whether it begins and
        ends where one does."""
        good = np.zeros(len(PLACES), dtype=bool)
        which = []
        exact = False
        size = max(_length(sew), _length(to))
        for t, a, b in self.seams:
            met = self._met(sew, to, a, b)
            if met.any():
                which.append(t)
                good |= met
            ends = any(
                _met_ends(x, a) and _met_ends(y, b)
                for x, y in ((sew, to), (_reversed(sew), _reversed(to)))
            )
            exact = exact or (bool(met.sum() >= len(PLACES) - 1) and ends)
        return bool(good.sum() >= len(PLACES) - 1) and size > 0.0, sorted(set(which)), exact

    def cover(self, sew: list[Stretch], to: list[Stretch], laid: list[list[np.ndarray]]) -> None:
        """Marks the places of true seams that a right proposal lays on their partners."""
        for t, a, b in self.seams:
            for side, (one, other) in enumerate(((a, b), (b, a))):
                # The truth's own places, asked of the proposal; symmetric twins by `self.seams`.
                met = self._met(one, other, sew, to) | self._met(one, other, to, sew)
                laid[t][side] |= met

    @staticmethod
    def _met(
        sew: list[Stretch], to: list[Stretch], a: list[Stretch], b: list[Stretch]
    ) -> np.ndarray:
        """For each place on `sew` and its partner on `to`: whether the seam a = b lays one on
        the other."""
        la, lb = _length(a), _length(b)
        tolerance = max(NEAR, SHARE * max(la, lb)) + abs(la - lb) * 0.5
        here, there = _shares(sew, a), _shares(to, b)  # lists per place of shares
        out = np.zeros(len(PLACES), dtype=bool)
        for i, (p, q) in enumerate(zip(here, there, strict=True)):
            out[i] = any(abs(x - y) * max(la, lb) <= tolerance for x in p for y in q)
        return out


def _reversed(side: Sequence[Stretch]) -> list[Stretch]:
    return [
        Stretch(s.piece, (s.start + s.way * s.length) % s.whole, s.length, -s.way, s.whole)
        for s in reversed(side)
    ]


def _length(side: Sequence[Stretch]) -> float:
    return sum(s.length for s in side)


def _shares(side: Sequence[Stretch], on: Sequence[Stretch]) -> list[list[float]]:
    """Where the places of `side` lie on the side `on`, as shares of its length (0 to 1)."""
    whole, total = _length(side), _length(on)
    out: list[list[float]] = []
    for place in PLACES * whole:
        left = float(place)
        for s in side:
            if left <= s.length or s is side[-1]:
                at = (s.start + s.way * min(left, s.length)) % s.whole
                break
            left -= s.length
        found, before = [], 0.0
        for o in on:
            if o.piece == s.piece:
                gone = ((at - o.start) * o.way) % o.whole
                if gone > o.whole - 2.0:
                    gone = 0.0
                if gone <= o.length + 2.0:
                    found.append((before + min(gone, o.length)) / max(total, 1e-9))
            before += o.length
        out.append(found)
    return out


def _met_ends(side: Sequence[Stretch], true: Sequence[Stretch]) -> bool:
    def ends(one: Sequence[Stretch]) -> list[tuple[str, float]]:
        last = one[-1]
        return [
            (one[0].piece, one[0].start),
            (last.piece, (last.start + last.way * last.length) % last.whole),
        ]

    for (p, x), (q, y) in zip(ends(side), ends(true), strict=True):
        apart = abs(x - y) % side[0].whole
        if p != q or min(apart, side[0].whole - apart) > 3.0:
            return False
    return True


def _resolved(pattern: Pattern, run: object) -> list[Stretch]:
    """A plan's run in the base size."""
    z = pattern.sizes.index(pattern.base_size)
    found = resolve_run(pattern, run)  # type: ignore[arg-type]
    out = []
    for part in found.parts:
        shape = _base(pattern, part.part.piece)
        whole = measure([shape])[0].length
        start, end = float(part.starts[z]), float(part.ends[z])
        way = 1 if part.forward else -1
        length = ((end - start) * way) % whole
        out += _without_mouths(shape, Stretch(part.part.piece, start, length or whole, way, whole))
    return out


def _located(pattern: Pattern, run: TrueRun) -> Stretch:
    """A true run on its outline. Raises ValueError for a point that lies off it."""
    shape = _base(pattern, run.piece)
    points = [run.start, run.end, *([run.via] if run.via else [])]
    near = shape.seam_line.nearest(np.array(points, dtype=np.float64))
    if float(near.distances.max()) > 0.5:
        raise ValueError(f"{run}: a point lies {near.distances.max():.2f} mm off the outline")
    whole = shape.seam_line.length
    start, end = float(near.lengths[0]), float(near.lengths[1])
    ahead = (end - start) % whole
    way = 1 if ahead <= whole / 2 else -1
    if run.via is not None:
        way = 1 if (float(near.lengths[2]) - start) % whole <= ahead else -1
    return Stretch(run.piece, start, ahead if way > 0 else whole - ahead, way, whole)


def _side(pattern: Pattern, runs: Sequence[TrueRun]) -> list[Stretch]:
    """A true side on its outlines, mouths of known darts left out."""
    return [
        part
        for run in runs
        for part in _without_mouths(_base(pattern, run.piece), _located(pattern, run))
    ]


def _without_mouths(shape: Shape, stretch: Stretch) -> list[Stretch]:
    """A stretch less the mouths of known darts that it passes whole."""
    cuts: list[tuple[float, float]] = []
    for left, right in measure([shape])[0].darts:
        wide = (float(right) - float(left)) % stretch.whole
        first = float(left) if stretch.way > 0 else float(right)
        low = ((first - stretch.start) * stretch.way) % stretch.whole
        if low > 1e-6 and low + wide < stretch.length - 1e-6:
            cuts.append((low, low + wide))
    out, at = [], 0.0
    for low, high in [*sorted(cuts), (stretch.length, 0.0)]:
        start = (stretch.start + stretch.way * at) % stretch.whole
        out.append(Stretch(stretch.piece, start, low - at, stretch.way, stretch.whole))
        at = high
    return out


def _base(pattern: Pattern, piece: str) -> Shape:
    return pattern.piece(piece).in_size(pattern.base_size)


def _mirror(shapes: Sequence[Shape], base_size: str) -> float | None:
    """For a piece that is its own mirror image in every size, notches and all: c, so that the
    place s of the base size lies opposite the place c - s. None for any other piece."""
    found = None
    for shape in shapes:
        axis = _axis(shape)
        if axis is None:
            return None
        if shape.size == base_size:
            found = axis
    return found


def _axis(shape: Shape) -> float | None:
    line = shape.seam_line
    whole = line.length
    points = line.point_at(np.linspace(0.0, whole, 161)[:-1])
    marks = measure([shape])[0]
    if marks.notches.size:
        points = np.concatenate([points, line.point_at(marks.notches)])
    stops = [0.0, *map(float, marks.corners)]
    for c in {round((a + b) % whole, 3) for a in stops for b in stops}:
        p, q = (np.asarray(line.point_at((c / 2 + h) % whole)) for h in (0.0, whole / 2))
        n = float(np.hypot(*(q - p)))
        if n < 1.0:
            continue
        d = (q - p) / n
        w = points - p
        image = p + 2 * (w @ d)[:, None] * d - w
        if float(line.nearest(image).distances.max()) > 0.3:
            continue
        opposite = (c - marks.notches) % whole
        apart = np.abs(opposite[:, None] - marks.notches[None])
        if not opposite.size or (np.minimum(apart, whole - apart).min(axis=1) < 2.0).all():
            return float(c)
    return None


def _subsets(names: Sequence[str]) -> list[frozenset[str]]:
    out = [frozenset[str]()]
    for name in names:
        out += [one | {name} for one in out]
    return out


def side_points(pattern: Pattern, side: Iterable[TrueRun]) -> FloatArray:
    """Points along a true side, for looking at it in a picture, (N, 2)."""
    rows = []
    for run in side:
        s = _located(pattern, run)
        line = _base(pattern, run.piece).seam_line
        rows.append(line.point_at((s.start + s.way * np.linspace(0.0, s.length, 20)) % s.whole))
    return np.concatenate(rows)
