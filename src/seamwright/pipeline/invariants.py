"""What a step promised to keep, measured before and after: whole arrays, all shapes at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import evaluate, signed_areas
from seamwright.model import Corner, Notch, Pattern, Piece, Shape
from seamwright.model.edit import cloth_area
from seamwright.model.measure import measure
from seamwright.plan import cap_of, has_cap
from seamwright.plugins.record import InvariantKept, SeamMeasure

from .changes import Key, shapes_of
from .drawn import drawn_apart
from .keeps import limit_of

Floats = NDArray[np.float64]
Moved = tuple[float, str]  # how far, and where
_NOTHING: Final[Moved] = (0.0, "")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Before:
    """A step's two sides.

    selected  names of the pieces it was let at, None for all
    acted_on  names of the pieces that its options name, None where they name none
    """

    before: Pattern
    after: Pattern
    seams_before: Sequence[SeamMeasure] = ()
    seams_after: Sequence[SeamMeasure] = ()
    selected: frozenset[str] | None = None
    acted_on: frozenset[str] | None = None

    def gone(self) -> Moved | None:
        """That a shape which was there is gone, if one is: nothing of it was kept."""
        now = shapes_of(self.after)
        lost = next((key for key in shapes_of(self.before) if key not in now), None)
        return None if lost is None else (np.inf, _at(lost) + " is gone")

    def pairs(self) -> list[tuple[Key, Shape, Shape]]:
        """Shapes that are there on both sides and are not the same object."""
        was, now = shapes_of(self.before), shapes_of(self.after)
        return [(key, a, now[key]) for key, a in was.items() if key in now and now[key] is not a]


def verify(keeps: Sequence[str], sides: Before) -> tuple[InvariantKept, ...]:
    """How far each invariant moved. What the pattern has no use for (the bicep width of a style
    without a sleeve cap) is left out."""
    out = []
    for keep in keeps:
        name, limit = limit_of(keep)
        if sides.before is sides.after:
            moved: Moved | None = _NOTHING
        else:
            moved = _MEASURES[name](sides)
        if moved is not None:
            out.append(InvariantKept(name=name, moved=moved[0], limit=limit, where=moved[1]))
    return tuple(out)


def breaches(kept: Sequence[InvariantKept]) -> list[InvariantKept]:
    """Those that moved farther than they may (or are not a number any more)."""
    return [k for k in kept if not k.moved <= k.limit]


def _bicep_width(sides: Before) -> Moved | None:
    sleeves = _sleeves(sides.before)
    if not sleeves:
        return None
    return max((_bicep_of(sides, sleeve) for sleeve in sleeves), key=lambda moved: moved[0])


def _sleeves(pattern: Pattern) -> list[str]:
    """Pieces that have a cap, by the plan."""
    if not has_cap(pattern):
        return []
    halves = [seam for seam in pattern.seams if seam.cap is not None]
    return list(dict.fromkeys(piece for seam in halves for piece in seam.sew.pieces))


def _bicep_of(sides: Before, sleeve: str) -> Moved:
    before, after = sides.before.piece(sleeve), _piece(sides.after, sleeve)
    if after is before:
        return _NOTHING
    if after is None:
        return np.inf, f"{sleeve} is gone"
    cap = cap_of(sides.before, sleeve=sleeve)
    marks = (cap.underarm_back, cap.underarm_front)
    sizes = [s for s in before.sizes if s in after.sizes]
    if len(sizes) < len(before.sizes):
        return np.inf, f"{cap.sleeve} lost a size"
    was, now = (_widths(piece, sizes, marks) for piece in (before, after))
    return _largest(np.abs(now - was), [f"{cap.sleeve}, size {s}" for s in sizes])


def _widths(piece: Piece, sizes: Sequence[str], marks: tuple[str, str]) -> Floats:
    """Straight distance between two marks in each size, NaN where a mark is missing."""
    ends = [_mark_points([piece.in_size(s) for s in sizes], mark) for mark in marks]
    return np.asarray(np.linalg.norm(ends[1] - ends[0], axis=1), dtype=np.float64)


def _mark_points(shapes: Sequence[Shape], name: str) -> Floats:
    segments = np.full((len(shapes), 4, 2), np.nan)
    ts = np.zeros(len(shapes))
    for i, shape in enumerate(shapes):
        marks: list[Corner | Notch] = [*shape.corners, *shape.notches]
        for mark in marks:
            if mark.name == name:
                segments[i] = shape.seam_line.segments[mark.station.segment]
                ts[i] = mark.station.t
                break
    return np.asarray(evaluate(segments, ts), dtype=np.float64)


def _others(sides: Before, *, but: frozenset[str]) -> Moved:
    """Control points of all pieces but those."""
    was = shapes_of(sides.before)
    now = shapes_of(sides.after)
    keys = [k for k, shape in was.items() if k[0] not in but and now.get(k) is not shape]
    for key in keys:
        if key not in now:
            return np.inf, _at(key) + " is gone"
        if now[key].seam_line.segments.shape != was[key].seam_line.segments.shape:
            return np.inf, _at(key) + " has other segments"
    return _array_moved([(k, was[k], now[k]) for k in keys], lambda s: s.seam_line.segments)


def _bodice(sides: Before) -> Moved | None:
    sleeves = _sleeves(sides.before)
    if sleeves:
        return _others(sides, but=frozenset(sleeves))
    if sides.selected is not None:
        return _others(sides, but=sides.selected)
    return None


def _other_pieces(sides: Before) -> Moved | None:
    """Whatever is drawn of the pieces on which the step was not to act: outlines, marks and what
    lies inside, and how often they are cut. None where it was to act on all."""
    own = sides.acted_on
    if sides.selected is not None:
        own = sides.selected if own is None else own & sides.selected
    if own is None:
        return None
    moved, where = 0.0, ""
    for piece in sides.before.pieces:
        if piece.name in own:
            continue
        after = _piece(sides.after, piece.name)
        if after is piece:
            continue
        if after is None:
            return np.inf, f"{piece.name} is gone"
        if after.quantity != piece.quantity:
            return np.inf, f"{piece.name} is cut another number of times"
        if after.sizes != piece.sizes:
            return np.inf, f"{piece.name} has other sizes"
        for a, b in zip(piece.shapes, after.shapes, strict=True):
            far, what = drawn_apart(a, b)
            if not far <= moved:
                moved, where = far, f"{_at((piece.name, a.size))}: {what}"
            if not np.isfinite(moved):
                return moved, where
    return moved, where


def _seam_sides(sides: Before) -> Moved:
    was = {(m.seam, m.size): m for m in sides.seams_before}
    now = {(m.seam, m.size): m for m in sides.seams_after}
    if not was:
        return _NOTHING
    lost = [key for key in was if key not in now]
    if lost:
        return np.inf, f"seam {lost[0][0]}, size {lost[0][1]}, cannot be walked any more"
    keys = list(was)
    a = np.array([(was[k].sew_length, was[k].to_length) for k in keys])
    b = np.array([(now[k].sew_length, now[k].to_length) for k in keys])
    return _largest(np.abs(b - a).max(axis=1), [f"seam {s}, size {z}" for s, z in keys])


def _area(sides: Before) -> Moved:
    lost = sides.gone()
    if lost is not None:
        return lost
    pairs = sides.pairs()
    if not pairs:
        return _NOTHING
    was, now = (_areas([p[i] for p in pairs]) for i in (1, 2))  # type: ignore[misc]
    return _largest(np.abs(now - was), [_at(key) for key, _, _ in pairs])


def _cloth_area(sides: Before) -> Moved:
    """Steps that leave the darts alone are told by `_area`; a dart's wedge is few segments."""
    lost = sides.gone()
    if lost is not None:
        return lost
    moves = [abs(cloth_area(b) - cloth_area(a)) for _, a, b in sides.pairs()]
    return _largest(np.array(moves), [_at(key) for key, _, _ in sides.pairs()])


def _areas(shapes: Sequence[Shape]) -> Floats:
    ends = np.cumsum([0, *(s.seam_line.n for s in shapes)])
    segments = np.concatenate([s.seam_line.segments for s in shapes])
    return np.asarray(signed_areas(segments, ends), dtype=np.float64)


def _notch_stations(sides: Before) -> Moved:
    """A notch's way to the corner that was nearest to it; notches are known by their names."""
    lost = sides.gone()
    if lost is not None:
        return lost
    pairs = sides.pairs()
    measures = measure([shape for _, a, b in pairs for shape in (a, b)])
    moves: list[float] = []
    labels: list[str] = []
    for (key, a, b), was, now in zip(pairs, measures[0::2], measures[1::2], strict=True):
        corners = {corner.name: i for i, corner in enumerate(b.corners)}
        notches = {notch.name: i for i, notch in enumerate(b.notches)}
        common = [(i, corners[c.name]) for i, c in enumerate(a.corners) if c.name in corners]
        for i, notch in enumerate(a.notches):
            if notch.name not in notches:
                return np.inf, f"{_at(key)}, notch {notch.name} is gone"
            labels.append(f"{_at(key)}, notch {notch.name}")
            at_was, at_now = was.notches[i], now.notches[notches[notch.name]]
            if not common:
                moves.append(abs(float(at_now - at_was)))
                continue
            way = np.array([_way(was.length, at_was - was.corners[c]) for c, _ in common])
            c = int(np.argmin(np.abs(way)))
            then = _way(now.length, at_now - now.corners[common[c][1]])
            moves.append(abs(float(then - way[c])))
    return _largest(np.array(moves), labels)


def _way(length: float, along: float) -> float:
    """The shorter way round, with its sign."""
    return float((along + length / 2) % length - length / 2) if length else 0.0


def _grain(sides: Before) -> Moved:
    lost = sides.gone()
    if lost is not None:
        return lost
    pairs = sides.pairs()
    for key, a, b in pairs:
        if (a.grain_line is None) != (b.grain_line is None):
            return np.inf, f"{_at(key)}: a grain line came or went"
    return _array_moved(
        [p for p in pairs if p[1].grain_line is not None],
        lambda s: np.array([s.grain_line.start, s.grain_line.end]) if s.grain_line else _EMPTY,
    )


def _segment_count(sides: Before) -> Moved:
    for before in sides.before.pieces:
        after = _piece(sides.after, before.name)
        if after is None or after is before:
            continue
        was = np.array([shape.seam_line.n for shape in before.shapes])
        now = np.array([shape.seam_line.n for shape in after.shapes])
        if was.size and np.ptp(was) == 0 and now.size and np.ptp(now) > 0:
            return float(np.ptp(now)), f"{before.name}: {now.min()} to {now.max()} segments"
    return _NOTHING


def _corners(sides: Before) -> Moved:
    lost = sides.gone()
    if lost is not None:
        return lost
    pairs = sides.pairs()
    for key, a, b in pairs:
        if [c.name for c in a.corners] != [c.name for c in b.corners]:
            return np.inf, f"{_at(key)} has other corners"
    return _array_moved(pairs, lambda s: s.seam_line.segments[
        [c.station.segment for c in s.corners], 0
    ])  # fmt: skip


def _outline_closed(sides: Before) -> Moved:
    """Of every shape that is new or another than before."""
    was = shapes_of(sides.before)
    fresh = [(k, s.seam_line) for k, s in shapes_of(sides.after).items() if was.get(k) is not s]
    for key, line in fresh:
        if not line.closed:
            return np.inf, _at(key) + " is open"
    gaps = [line.segments[-1, 3] - line.segments[0, 0] for _, line in fresh]
    return _largest(np.hypot(*np.reshape(gaps, (-1, 2)).T), [_at(key) for key, _ in fresh])


def _cut_quantity(sides: Before) -> Moved:
    names = [p.name for p in sides.before.pieces]
    lost = next((name for name in names if _piece(sides.after, name) is None), None)
    if lost is not None:
        return np.inf, f"{lost} is gone"
    was = np.array([sides.before.piece(n).quantity for n in names]).reshape(-1, 2)
    now = np.array([sides.after.piece(n).quantity for n in names]).reshape(-1, 2)
    return _largest(np.abs(now - was).sum(axis=1).astype(np.float64), names)


_MEASURES: Final[dict[str, Callable[[Before], Moved | None]]] = {
    "bicep-width": _bicep_width,
    "bodice": _bodice,
    "other-pieces": _other_pieces,
    "run-lengths": _seam_sides,
    "seam-lengths": _seam_sides,
    "area": _area,
    "cloth-area": _cloth_area,
    "notch-stations": _notch_stations,
    "grain": _grain,
    "segment-count": _segment_count,
    "corners": _corners,
    "outline-closed": _outline_closed,
    "cut-quantity": _cut_quantity,
}
_EMPTY: Final = np.zeros((0, 2))


def _array_moved(pairs: Sequence[tuple[Key, Shape, Shape]], of: Callable[[Shape], Floats]) -> Moved:
    """Greatest distance of points (.., 2) that `of` gives for both shapes of each pair."""
    if not pairs:
        return _NOTHING
    was = [np.reshape(of(a), (-1, 2)) for _, a, _ in pairs]
    now = [np.reshape(of(b), (-1, 2)) for _, _, b in pairs]
    owners = np.repeat(np.arange(len(pairs)), [len(points) for points in was])
    apart = np.linalg.norm(np.concatenate(now) - np.concatenate(was), axis=1)
    if not apart.size:
        return _NOTHING
    worst = int(np.argmax(apart))
    return float(apart[worst]), _at(pairs[int(owners[worst])][0])


def _largest(moves: Floats, labels: Sequence[str]) -> Moved:
    if not moves.size:
        return _NOTHING
    worst = int(np.argmax(moves))  # NaN counts as the largest
    return float(moves[worst]), labels[worst]


def _at(key: Key) -> str:
    return f"{key[0]}, size {key[1]}"


def _piece(pattern: Pattern, name: str) -> Piece | None:
    return next((p for p in pattern.pieces if p.name == name), None)
