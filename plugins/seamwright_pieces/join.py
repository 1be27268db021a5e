"""Two pieces joined along an edge of each into one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import LINE, Curve, FloatArray, GeometryError, line_segments
from seamwright.model import InternalKind, InternalLine, Pattern, Piece, RunPart, Shape, TextRole
from seamwright.model.edit import Part, contents_of, part_between, shape_of_parts
from seamwright.plan import ResolvedPart
from seamwright.plan.grammar import parse_part
from seamwright.plan.spots import find_run
from seamwright.plugins.api import Context, StepResult

from . import codes
from .affine import mapped
from .fold_axis import reflection
from .options import JoinPieces
from .resew import Legs, Mark, resewn
from .surgery import (
    HELD,
    acting_on,
    allowance_at,
    called,
    corner_at,
    crosses_itself,
    free_name,
    mark_names,
    new_piece_name,
    ready,
    released,
    renewed,
    with_piece_for,
)
from .telling import Telling

_HERE = 1e-6  # mm
_PLACES = 65  # at which the edges are held against one another


def join(pattern: Pattern, options: JoinPieces, ctx: Context) -> StepResult:
    """The second piece moved, as it is, until its edge lies on the first's; both become one.

    A rigid motion, plane geometry.
    """
    telling = Telling(ctx)
    pattern, first, second, flip = _edges(pattern, options, ctx, telling)
    a, b = first.piece, second.piece
    name = new_piece_name(pattern, options.name or f"{a.name} and {b.name}", [a.name, b.name])
    names = _Names(pattern, first, second)
    sizes = [s for s in a.sizes if s in b.sizes]
    looked_at = len(sizes)
    if set(a.sizes) != set(b.sizes):
        telling.tell(
            codes.REFUSED, f'"{a.name}" and "{b.name}" do not exist in the same sizes', a.name
        )
    made: list[Shape] = []
    for size in [] if telling.refused else sizes:
        try:
            made.append(_joined(telling, first, second, size, names, options))
        except GeometryError as error:
            telling.tell(codes.REFUSED, str(error), b.name, size)
    if telling.refused:
        return telling.result(flip, None, looked_at)
    if a.quantity != b.quantity or a.material != b.material:
        telling.tell(
            codes.DIFFER,
            f'"{a.name}" is cut {a.quantity} of "{a.material}", "{b.name}" {b.quantity} of '
            f'"{b.material}"; the first stands',
            name,
        )
    shapes = []
    for new, was in zip(released(made, a.shapes, pattern.base_size), a.shapes, strict=True):
        shapes.append(_finished(telling, name, new, was, first, second, names))
    whole = a.but(name=name, shapes=tuple(shapes), foreign=(*a.foreign, *b.foreign))
    after = with_piece_for(with_piece_for(pattern, b.name, []), a.name, [whole])
    left = pattern.but(
        seams=tuple(
            s for s in pattern.seams
            if not (first.holds(s.sew.parts) and second.holds(s.to.parts))
            and not (second.holds(s.sew.parts) and first.holds(s.to.parts))
        )
    )  # fmt: skip

    def recast(part: ResolvedPart) -> Legs | None:
        if first.holds([part.part]) or second.holds([part.part]):
            return None
        marks = tuple(names.of((part.part.piece, m)) for m in part.part.marks)
        return [(RunPart(piece=name, marks=marks), part.forward)]

    def moved(mark: Mark) -> Mark | None:
        return (name, names.of(mark))

    seams = resewn(left, after.but(seams=()), [a.name, b.name], recast, moved, telling)
    return telling.result(flip, after.but(seams=seams), looked_at)


@dataclass(frozen=True, slots=True, eq=False)
class _Edge:
    """An edge to be joined, in all sizes."""

    pattern: Pattern
    piece: Piece
    run: ResolvedPart

    def span(self, size: str) -> tuple[float, float]:
        """Where it begins and ends in outline order. GeometryError where it is missing."""
        z = self.pattern.sizes.index(size)
        ends = (float(self.run.starts[z]), float(self.run.ends[z]))
        if np.isnan(ends).any():
            raise GeometryError(f'"{self.run.part}" is missing in this size')
        return ends if self.run.forward else (ends[1], ends[0])

    def curve(self, size: str) -> Curve:
        """From its start to its end as named."""
        edge = self.piece.in_size(size).seam_line.part(*self.span(size))
        return edge if self.run.forward else edge.reversed()

    def holds(self, parts: Sequence[RunPart]) -> bool:
        """Whether stretches of the piece lie on this edge."""
        for part in parts:
            if part.piece != self.piece.name:
                return False
            run = find_run(self.pattern, part)
            z = self.pattern.sizes.index(self.pattern.base_size)
            size = self.pattern.base_size
            if size not in self.piece.sizes:
                return False
            start, end = self.span(size)
            whole = self.piece.in_size(size).seam_line.length
            length = (end - start) % whole
            ends = (run.starts[z], run.ends[z]) if run.forward else (run.ends[z], run.starts[z])
            gone = [float((at - start) % whole) for at in ends]
            gone = [0.0 if whole - g < _HERE else g for g in gone]
            if not (gone[0] <= gone[1] + _HERE and gone[1] <= length + _HERE):
                return False
        return True


def _edges(
    pattern: Pattern, options: JoinPieces, ctx: Context, telling: Telling
) -> tuple[Pattern, _Edge, _Edge, Pattern]:
    """The pattern (its second piece turned over where that is asked for), both edges, and the
    pattern as it came."""
    came = pattern
    parts = []
    for text in (options.edge, options.to):
        try:
            part = parse_part(text)
        except ValueError as error:
            raise SeamwrightError.of("spot.unreadable", str(error)) from None
        parts.append(find_run(pattern, part).part)
        acting_on(ctx, parts[-1].piece)
    if parts[0].piece == parts[1].piece:
        raise SeamwrightError.of(
            "join.one-piece",
            f'both edges are edges of "{parts[0].piece}"',
            piece=parts[0].piece,
            hint="name edges of two pieces; a dart is closed by the dart steps",
        )
    if options.turn_over:
        piece = pattern.piece(parts[1].piece)
        matrix = reflection(np.zeros(2), np.array([0.0, 1.0]))
        over = mapped(telling, piece, dict.fromkeys(piece.sizes, matrix), pattern.base_size)
        pattern = pattern.with_pieces([over])
    first, second = (_Edge(pattern, pattern.piece(p.piece), find_run(pattern, p)) for p in parts)
    if first.run.forward == second.run.forward:
        way = "without turn-over" if options.turn_over else "with turn-over = true"
        telling.tell(
            codes.REFUSED,
            "joined so, both pieces would lie on the same side of the edge; "
            f'"{second.piece.name}" fits {way}',
            second.piece.name,
        )
    return pattern, first, second, came


class _Names:
    """What the second piece's marks are called on the joined piece."""

    def __init__(self, pattern: Pattern, first: _Edge, second: _Edge) -> None:
        self.first, self.second = first.piece.name, second.piece.name
        taken = mark_names(first.piece)
        own = mark_names(second.piece)
        self.new: dict[str, str] = {}
        for name in own:
            wanted = name if name not in taken else f"{name}-{second.piece.name}"
            self.new[name] = free_name(wanted, taken)
            taken.append(self.new[name])
        # Where the edges end the first piece's corners stand.
        self.gone: set[str] = set()
        size = pattern.base_size if pattern.base_size in first.piece.sizes else first.piece.sizes[0]
        if size not in second.piece.sizes:
            return
        a, b = first.piece.in_size(size), second.piece.in_size(size)
        for mine, other in zip(first.span(size), second.span(size)[::-1], strict=True):
            there, here = corner_at(a, mine), corner_at(b, other)
            if there is not None and here is not None:
                self.new[here] = there
                self.gone.add(here)

    def of(self, mark: Mark) -> str:
        return self.new.get(mark[1], mark[1]) if mark[0] == self.second else mark[1]

    def renamed(self, shape: Shape, taken: Shape) -> Shape:
        """The second piece's shape with its marks under their new names."""
        darts = [d.name for d in taken.darts]
        return shape.but(
            corners=tuple(replace(c, name=self.new[c.name]) for c in shape.corners),
            notches=tuple(replace(n, name=self.new[n.name]) for n in shape.notches),
            darts=tuple(replace(d, name=free_name(d.name, darts)) for d in shape.darts),
        )


def _joined(
    telling: Telling,
    first: _Edge,
    second: _Edge,
    size: str,
    names: _Names,
    options: JoinPieces,
) -> Shape:
    a, b = first.piece.in_size(size), second.piece.in_size(size)
    edge, other = first.curve(size), second.curve(size)
    tolerance = float(options.tolerance)
    length = telling.ctx.length
    if abs(edge.length - other.length) > tolerance:
        raise GeometryError(f"the edges are {length(edge.length)} and {length(other.length)} long")
    matrix = _onto(other, edge)
    laid = other.transformed(matrix)
    off = _apart(laid, edge)
    if off > tolerance:
        raise GeometryError(f"laid on one another the edges are {length(off)} apart")
    start, end = first.span(size)
    low, high = second.span(size)
    mine = part_between(ready(a), end, start)
    theirs = part_between(ready(names.renamed(b, a)), high, low)
    theirs = _without(theirs.moved(matrix), {HELD + names.new[n] for n in names.gone})
    theirs = replace(theirs, curve=_ended(theirs.curve, mine.curve.end, mine.curve.start))
    inside = contents_of(b).moved(matrix)
    inside = replace(
        inside,
        texts=tuple(t for t in inside.texts if t.role not in (TextRole.NAME, TextRole.SIZE)),
    )
    inside = contents_of(ready(a)).with_(inside)
    if options.draw:
        line = InternalLine(kind=InternalKind.INTERNAL, curve=edge, name=options.draw)
        inside = replace(inside, internal_lines=(*inside.internal_lines, line))
    made = shape_of_parts(ready(a), [mine, theirs], inside)
    if crosses_itself(made.seam_line):
        raise GeometryError("joined so, the pieces would lie over one another")
    telling.rows.append(
        {
            "piece": first.piece.name,
            "size": size,
            "edge_length": edge.length,
            "other_length": other.length,
            "edges_apart": off,
            "area": made.seam_line.area,
        }
    )
    return made.but(mirrored_half=a.mirrored_half or b.mirrored_half)


def _onto(moving: Curve, still: Curve) -> FloatArray:
    """The rigid map 2x3 that lays one curve's chord on another's, middle on middle."""
    u, v = moving.end - moving.start, still.end - still.start
    if min(np.hypot(*u), np.hypot(*v)) < _HERE:
        raise GeometryError("an edge ends where it begins")
    turn = float(np.arctan2(v[1], v[0]) - np.arctan2(u[1], u[0]))
    c, s = np.cos(turn), np.sin(turn)
    r = np.array([[c, -s], [s, c]])
    shift = 0.5 * (still.start + still.end) - r @ (0.5 * (moving.start + moving.end))
    return np.column_stack((r, shift))


def _apart(a: Curve, b: Curve) -> float:
    """The greatest distance between two curves, looked at from both."""
    share = np.linspace(0.0, 1.0, _PLACES)
    return max(
        float(one.nearest(two.point_at(share * two.length)).distances.max())
        for one, two in ((a, b), (b, a))
    )


def _without(part: Part, corners: set[str]) -> Part:
    return replace(part, corners=tuple(c for c in part.corners if c[1] not in corners))


def _ended(curve: Curve, start: FloatArray, end: FloatArray) -> Curve:
    """The curve with its ends, and their handles, moved to two points within the tolerance."""
    segments = np.array(curve.segments)
    for k, point, handle, goal in ((0, 0, 1, start), (-1, 3, 2, end)):
        shift = goal - segments[k, point]
        segments[k, handle] += shift
        segments[k, point] = goal
    for k in {0, curve.n - 1}:
        if curve.kinds[k] == LINE:
            segments[k] = line_segments(segments[k, :1], segments[k, 3:])[0]
    return Curve.from_segments(segments, curve.kinds)


def _finished(
    telling: Telling,
    name: str,
    new: Shape,
    a: Shape,
    first: _Edge,
    second: _Edge,
    names: _Names,
) -> Shape:
    b = second.piece.in_size(a.size)
    start, _ = first.span(a.size)
    _, high = second.span(a.size)
    own: dict[str, float] = {}
    old = a
    if len(b.allowances) == len(b.corners) and b.corners:
        known: Mapping[str, float] = dict(
            zip((c.name for c in b.corners), b.allowances, strict=True)
        )
        own = {names.new[n]: w for n, w in known.items() if n not in names.gone}
        there, width = corner_at(a, start), allowance_at(b, high)
        if there is not None and width is not None:
            own[there] = width
    else:
        # Half a set of allowances is none.
        old = a.but(allowances=())
    shape = renewed(telling, name, new, old, own=own)
    shape = shape.but(
        mirrored_half=new.mirrored_half,
        foreign=(*a.foreign, *b.foreign),
    )
    return called(shape, first.piece.name, name)
