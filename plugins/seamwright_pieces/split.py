"""A piece split in two along a line, with a seam between the two."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from seamwright.findings import SeamwrightError, did_you_mean
from seamwright.geometry import Curve, FloatArray, GeometryError
from seamwright.model import Notch, Pattern, Piece, Run, RunPart, Seam, Shape
from seamwright.model.edit import cut_shape, place_cut
from seamwright.plan import ResolvedPart
from seamwright.plan.grammar import parse_mark
from seamwright.plan.spots import find_piece, spot_lengths
from seamwright.plugins.api import Context, StepResult

from . import codes
from .fold_axis import folds_on_edge
from .options import SplitPiece
from .places import along
from .resew import Legs, LostError, Mark, resewn, settled
from .surgery import (
    HELD,
    allowance_at,
    called,
    corner_at,
    free_name,
    mark_names,
    marks_of,
    new_piece_name,
    ready,
    released,
    renewed,
    spot_on,
    with_piece_for,
)
from .telling import Telling

_HERE = 1e-6  # mm
_RUN_ON = 5.0  # mm by which a drawn line that stops short of the edge is run on straight


def split(pattern: Pattern, options: SplitPiece, ctx: Context) -> StepResult:
    """One piece cut along a line into two that are sewn together there.

    Cutting along a line is plane geometry; notches and allowance on both new edges are common
    practice, no source.
    """
    telling = Telling(ctx)
    where = _Where(pattern, options, ctx)
    piece = pattern.piece(where.piece)
    cuts: list[_Cut] = []
    for shape in piece.shapes:
        try:
            cuts.append(_Cut(shape, where.line(shape), where.drawn))
        except GeometryError as error:
            telling.tell(codes.REFUSED, str(error), piece.name, shape.size)
    if telling.refused:
        return telling.result(pattern, None, len(piece.shapes))
    ends = _end_names(piece, cuts)
    names = _piece_names(pattern, piece, cuts, options)
    sides: tuple[list[Shape], list[Shape]] = ([], [])
    for cut in cuts:
        try:
            places = along(options.notches, cut.length, ctx)
            marks = [
                (
                    at / cut.length,
                    Notch(name=f"split-{i}", station=cut.shape.seam_line.station_at(0)),
                )
                for i, at in enumerate(places, start=1)
            ]
            made = cut_shape(cut.held, cut.line, names=ends.held, notches=marks)
            _darts_whole(cut.shape, made.left, made.right)
        except GeometryError as error:
            telling.tell(codes.REFUSED, str(error), piece.name, cut.shape.size)
            continue
        sides[0].append(made.left)
        sides[1].append(made.right)
    if telling.refused:
        return telling.result(pattern, None, len(piece.shapes))
    new = [
        _piece(telling, piece, name, shapes, cuts, ends, options, pattern.base_size, left=k == 0)
        for k, (name, shapes) in enumerate(zip(names, sides, strict=True))
    ]
    after = with_piece_for(pattern, piece.name, new).but(seams=())
    path = _Path(pattern, piece.name, names, cuts, ends)
    seams = resewn(pattern, after, [piece.name], path.recast, path.mark, telling)
    try:
        seams = (*seams, _seam(after, pattern, names, ends, options))
    except LostError as error:
        telling.tell(codes.SEAM_LOST, f"the new edges were not sewn together: {error}", names[0])
    after = after.but(seams=seams)
    for cut, left, right in zip(cuts, new[0].shapes, new[1].shapes, strict=True):
        telling.rows.append(
            {
                "piece": piece.name,
                "size": cut.shape.size,
                "split_length": cut.length,
                "area": cut.shape.seam_line.area,
                "left_area": left.seam_line.area,
                "right_area": right.seam_line.area,
            }
        )
    return telling.result(pattern, after, len(piece.shapes))


class _Where:
    """The line along which it is split, in each size."""

    def __init__(self, pattern: Pattern, options: SplitPiece, ctx: Context) -> None:
        self.pattern = pattern
        self.drawn = ""
        if options.line:
            mark = parse_mark(options.line)
            if mark.piece is None:
                raise SeamwrightError.of(
                    "spot.unreadable", f'"{options.line}" names no piece: write "Piece: line"'
                )
            self.piece = find_piece(pattern, mark.piece)
            self.drawn = mark.name
            known = [x.name for s in pattern.piece(self.piece).shapes for x in s.internal_lines]
            if mark.name not in known:
                raise SeamwrightError.of(
                    "split.line",
                    f'piece "{self.piece}" has no line "{mark.name}" inside',
                    piece=self.piece,
                    hint=did_you_mean(mark.name, [k for k in dict.fromkeys(known) if k]),
                )
            return
        start, end = (spot_on(pattern, text, ctx) for text in (options.start, options.end))
        if start.piece != end.piece:
            raise SeamwrightError.of(
                "split.two-pieces",
                f'the line runs from piece "{start.piece}" to piece "{end.piece}"',
                piece=start.piece,
                hint="name two places on one piece",
            )
        self.piece = start.piece
        self.starts: FloatArray = spot_lengths(pattern, start)
        self.ends: FloatArray = spot_lengths(pattern, end)

    def line(self, shape: Shape) -> Curve:
        """The line in the shape's size. GeometryError where there is none."""
        if self.drawn:
            found = [x.curve for x in shape.internal_lines if x.name == self.drawn]
            if len(found) != 1:
                raise GeometryError(f'{len(found)} lines are named "{self.drawn}" in this size')
            if found[0].closed:
                raise GeometryError(f'the line "{self.drawn}" is closed')
            return found[0]
        z = self.pattern.sizes.index(shape.size)
        seam = shape.seam_line
        places = np.array([self.starts[z], self.ends[z]])
        if np.isnan(places).any():
            raise GeometryError("a place is missing in this size")
        a, b = seam.point_at(places)
        if float(np.hypot(*(b - a))) < _HERE:
            raise GeometryError("both ends of the line are at one place")
        return Curve.line(a, b)


class _Cut:
    """One size's cut: the shape made ready, and the line between where it enters and leaves."""

    def __init__(self, shape: Shape, line: Curve, drawn: str) -> None:
        self.shape = shape
        held = ready(shape)
        if drawn:
            # The line becomes an edge; where a fold was drawn the piece is not folded any more.
            held = held.but(internal_lines=tuple(x for x in held.internal_lines if x.name != drawn))
        self.held = held
        try:
            self.enters, self.leaves, self.line = place_cut(held, line)
        except GeometryError:
            if not drawn:
                raise
            self.enters, self.leaves, self.line = place_cut(held, _run_on(line))
        self.length = self.line.length


def _run_on(line: Curve) -> Curve:
    first, last = line.tangent_at(0.0), line.tangent_at(line.length)
    before = Curve.line(line.start - _RUN_ON * first, line.start)
    after = Curve.line(line.end, line.end + _RUN_ON * last)
    return before.joined(line).joined(after)


class _Ends:
    """Names of the corners at the cut's two ends, and those to be given (None: it has one)."""

    def __init__(self, names: tuple[str, str], new: tuple[bool, bool]) -> None:
        self.names = names
        self.held = (names[0] if new[0] else None, names[1] if new[1] else None)


def _piece_names(
    pattern: Pattern, piece: Piece, cuts: list[_Cut], options: SplitPiece
) -> tuple[str, str]:
    """Names of the pieces on the left and right of the line."""
    path = _Path(pattern, piece.name, ("left", "right"), cuts, _end_names(piece, cuts))
    sides = {"left": f"{piece.name} 1", "right": f"{piece.name} 2"}
    given: set[str] = set()
    for name, text in options.names.items():
        mark = parse_mark(text).name
        place = path.mark((piece.name, mark))
        if place is None:
            raise SeamwrightError.of(
                "plan.mark",
                f'piece "{piece.name}" has no corner or notch "{mark}"',
                piece=piece.name,
                hint=did_you_mean(mark, mark_names(piece)),
            )
        if place[0] in given or path.at_the_line(mark):
            raise SeamwrightError.of(
                "split.names",
                f'the mark "{mark}" does not tell which piece is to be "{name}"',
                piece=piece.name,
                hint="give for each name a corner or notch of that piece only",
            )
        given.add(place[0])
        sides[place[0]] = name
    for name in sides.values():
        new_piece_name(pattern, name, [piece.name])
    if sides["left"] == sides["right"]:
        raise SeamwrightError.of(
            "piece.name-taken", f'both pieces would be named "{sides["left"]}"', piece=piece.name
        )
    return sides["left"], sides["right"]


def _end_names(piece: Piece, cuts: list[_Cut]) -> _Ends:
    taken = mark_names(piece)
    names: list[str] = []
    new: list[bool] = []
    for wanted, at in (("split-start", "enters"), ("split-end", "leaves")):
        there = {corner_at(c.shape, getattr(c, at)) for c in cuts}
        own = next(iter(there)) if len(there) == 1 else None
        names.append(own or free_name(wanted, [*taken, *names]))
        new.append(own is None)
    return _Ends((names[0], names[1]), (new[0], new[1]))


def _darts_whole(old: Shape, left: Shape, right: Shape) -> None:
    kept = {d.name for d in (*left.darts, *right.darts)}
    for dart in old.darts:
        side = [s for s in (left, right) if any(d.name == dart.name for d in s.darts)]
        lost = dart.name not in kept
        if not lost:
            seam = side[0].seam_line
            mine = next(d for d in side[0].darts if d.name == dart.name)
            mouth = (seam.point_of(mine.left), seam.point_of(mine.right))
            lost = any(
                len(seam.intersections(Curve.line(0.999 * m + 0.001 * np.asarray(dart.apex),
                                                  dart.apex)).own)
                for m in mouth
            )  # fmt: skip
        if lost:
            raise GeometryError(f'the line cuts the dart "{dart.name}": fold or move it first')


def _piece(
    telling: Telling,
    old: Piece,
    name: str,
    made: list[Shape],
    cuts: list[_Cut],
    ends: _Ends,
    options: SplitPiece,
    base_size: str,
    *,
    left: bool,
) -> Piece:
    was = [c.shape for c in cuts]
    shapes = []
    on_fold = True
    for new, cut in zip(released(made, was, base_size), cuts, strict=True):
        # The cut's edge begins where the line enters, on the left piece; at the other end on the
        # right one. Behind its other end the old edge goes on.
        first, second = ends.names if left else ends.names[::-1]
        goes_on = allowance_at(cut.shape, cut.leaves if left else cut.enters)
        own = {first: float(options.allowance)}
        if goes_on is not None:
            own[second] = goes_on
        shape = renewed(telling, name, new, cut.shape, own=own)
        if not left:
            shape = shape.but(foreign=())  # given back once, with the first piece
        if cut.shape.mirrored_half and not folds_on_edge(shape):
            on_fold = False
            shape = shape.but(mirrored_half=False)
        shapes.append(called(shape, old.name, name))
    quantity = old.quantity
    if not on_fold:
        count = sum(quantity)
        quantity = (count, count)
        telling.tell(codes.FOLD_GONE, f"cut {count} and {count} mirrored", name)
    return old.but(
        name=name,
        shapes=tuple(shapes),
        quantity=quantity,
        foreign=old.foreign if left else (),
    )


def _seam(
    after: Pattern, old: Pattern, names: tuple[str, str], ends: _Ends, options: SplitPiece
) -> Seam:
    wanted = options.seam or f"{names[0]} to {names[1]}"
    notches = [f"split-{i}" for i in range(1, len(options.notches) + 1)]
    runs = [
        # On the left piece the cut runs with the outline.
        Run(parts=(settled(after, RunPart(piece=name, marks=ends.names), left),))
        for name, left in zip(names, (True, False), strict=True)
    ]
    return Seam(
        name=free_name(wanted, [s.name for s in old.seams]),
        sew=runs[0],
        to=runs[1],
        meet=tuple((n, n) for n in notches),
    )


class _Path:
    """Where stretches and marks of the old piece are now."""

    def __init__(
        self,
        pattern: Pattern,
        piece: str,
        names: tuple[str, str],
        cuts: list[_Cut],
        ends: _Ends,
    ) -> None:
        base = next((k for k, c in enumerate(cuts) if c.shape.size == pattern.base_size), 0)
        self.cut = cuts[base]
        self.z = pattern.sizes.index(self.cut.shape.size)
        self.piece, self.names, self.ends = piece, names, ends
        self.whole = self.cut.shape.seam_line.length
        seam = self.cut.shape.seam_line
        self.at = {m.name: seam.length_of(m.station) for m in marks_of(self.cut.held)[::-1]}

    def side(self, at: float) -> str:
        """The piece in which a length of the old outline lies."""
        round_left = (self.cut.enters - self.cut.leaves) % self.whole
        return self.names[0 if (at - self.cut.leaves) % self.whole < round_left else 1]

    def mark(self, mark: Mark) -> Mark | None:
        at = self.at.get(HELD + mark[1])
        return None if at is None else (self.side(at), mark[1])

    def at_the_line(self, mark: str) -> bool:
        """Whether a mark lies where the line enters or leaves: both pieces have it."""
        at = self.at[HELD + mark]
        gaps = [(at - end) % self.whole for end in (self.cut.enters, self.cut.leaves)]
        return min(min(gap, self.whole - gap) for gap in gaps) <= _HERE

    def recast(self, part: ResolvedPart) -> Legs | None:
        start, end = float(part.starts[self.z]), float(part.ends[self.z])

        def gone(at: float) -> float:
            way = (at - start) if part.forward else (start - at)
            far = way % self.whole
            return 0.0 if self.whole - far < _HERE else far

        marks = part.part.marks
        total = gone(end) or self.whole
        stops = [(0.0, marks[0]), (total, marks[-1])]
        stops += [(gone(self.at[HELD + m]), m) for m in marks[1:-1] if HELD + m in self.at]
        for name, at in zip(self.ends.names, (self.cut.enters, self.cut.leaves), strict=True):
            if _HERE < gone(at) < total - _HERE:
                stops = [s for s in stops if abs(s[0] - gone(at)) > _HERE or s[0] in (0.0, total)]
                stops.append((gone(at), name))
        stops.sort(key=lambda s: s[0])
        legs: list[tuple[RunPart, bool]] = []
        for (a, first), (b, second) in pairwise(stops):
            middle = start + 0.5 * (a + b) * (1.0 if part.forward else -1.0)
            piece = self.side(middle)
            if legs and legs[-1][0].piece == piece:
                legs[-1] = (
                    RunPart(piece=piece, marks=(*legs[-1][0].marks, second)), part.forward
                )  # fmt: skip
            else:
                legs.append((RunPart(piece=piece, marks=(first, second)), part.forward))
        return legs
