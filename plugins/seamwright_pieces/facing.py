"""Facings and hems drawn from an edge of a piece."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve, FloatArray, GeometryError
from seamwright.geometry.offset import offset_open
from seamwright.model import GrainLine, Notch, Pattern, Piece, Run, RunPart, Seam, Shape
from seamwright.model.edit import contents_of, cut_shape, parallel_grain
from seamwright.plan import ResolvedPart
from seamwright.plan.grammar import parse_part
from seamwright.plan.spots import find_run
from seamwright.plugins.api import Context, StepResult

from . import codes
from .fold_axis import folds_on_edge
from .options import DrawFacing
from .resew import LostError, settled
from .surgery import (
    HELD,
    acting_on,
    allowance_at,
    crosses_itself,
    free_name,
    mark_names,
    new_piece_name,
    ready,
    released,
    renewed,
)
from .telling import Telling

_HERE = 1e-6  # mm


def edge_of(pattern: Pattern, text: str, ctx: Context) -> ResolvedPart:
    """The run that an option names, on a piece that the step acts on. Raises SeamwrightError."""
    try:
        run = find_run(pattern, parse_part(text))
    except ValueError as error:
        raise SeamwrightError.of("spot.unreadable", str(error)) from None
    acting_on(ctx, run.part.piece)
    return run


def span_of(pattern: Pattern, run: ResolvedPart, shape: Shape) -> tuple[float, float]:
    """Where a run begins and ends in outline order. GeometryError where it is missing."""
    z = pattern.sizes.index(shape.size)
    ends = (float(run.starts[z]), float(run.ends[z]))
    if np.isnan(ends).any():
        raise GeometryError(f'"{run.part}" is missing in this size')
    return ends if run.forward else (ends[1], ends[0])


def draw_facing(pattern: Pattern, options: DrawFacing, ctx: Context) -> StepResult:
    """A new piece along an edge: its inner edge parallel to it at the depth, its ends along the
    neighbouring edges.

    Common practice, no source; the parallel is plane geometry, refitted within 0.005 mm.
    """
    telling = Telling(ctx)
    run = edge_of(pattern, options.edge, ctx)
    piece = pattern.piece(run.part.piece)
    name = new_piece_name(pattern, options.name or f"{piece.name} facing")
    taken = mark_names(piece)
    ends = (free_name("inner-start", taken), free_name("inner-end", taken))
    drawn: list[_Drawn] = []
    for shape in piece.shapes:
        try:
            drawn.append(_draw(pattern, run, shape, ends, options))
        except GeometryError as error:
            telling.tell(codes.REFUSED, str(error), piece.name, shape.size)
    if telling.refused:
        return telling.result(pattern, None, len(piece.shapes))
    shapes = []
    for new, old, one in zip(
        released([d.shape for d in drawn], piece.shapes, pattern.base_size),
        piece.shapes,
        drawn,
        strict=True,
    ):
        own = {ends[1]: float(options.inner_allowance)}
        side = allowance_at(old, one.enters)
        if side is not None:
            own[ends[0]] = side
        # The piece's own cut line says nothing of the facing's: it is drawn where there is one.
        shape = renewed(telling, name, new, old, own=own).but(foreign=())
        shapes.append(shape.but(mirrored_half=old.mirrored_half and one.on_fold))
        telling.rows.append(
            {
                "piece": name,
                "size": old.size,
                "edge_length": one.edge_length,
                "inner_length": one.inner_length,
                "area": shape.seam_line.area,
            }
        )
    quantity = piece.quantity
    if any(s.mirrored_half for s in piece.shapes) and not all(d.on_fold for d in drawn):
        count = sum(quantity)
        quantity = (count, count)
        telling.tell(codes.FOLD_GONE, f"cut {count} and {count} mirrored", name)
    facing = Piece(
        name=name,
        shapes=tuple(shapes),
        quantity=quantity,
        material=options.material or piece.material,
        category=piece.category,
    )
    after = pattern.but(pieces=(*pattern.pieces, facing))
    return telling.result(
        pattern, _sewn(after, piece, run, name, options, telling), len(piece.shapes)
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Drawn:
    shape: Shape
    enters: float
    edge_length: float
    inner_length: float
    on_fold: bool


def _draw(
    pattern: Pattern,
    run: ResolvedPart,
    shape: Shape,
    names: tuple[str, str],
    options: DrawFacing,
) -> _Drawn:
    start, end = span_of(pattern, run, shape)
    seam = shape.seam_line
    edge = seam.part(start, end)
    inner = offset_open(edge, -float(options.depth))
    if inner.length < _HERE:
        raise GeometryError("the edge bends too tightly for a facing of this depth")
    far = 2.0 * float(options.depth) + 10.0
    first, last = inner.tangent_at(0.0), inner.tangent_at(inner.length)
    line = (
        Curve.line(inner.start - far * first, inner.start)
        .joined(inner)
        .joined(Curve.line(inner.end, inner.end + far * last))
    )
    middle = far + 0.5 * inner.length
    meet = np.sort(line.intersections(seam).own)
    before, behind = meet[meet < middle], meet[meet > middle]
    if not len(before) or not len(behind):
        raise GeometryError("a facing of this depth does not lie within the piece")
    line = line.part(float(before[-1]), float(behind[0]))
    held = ready(shape)
    cut = cut_shape(held, line, names=names)
    whole = seam.length
    room = (cut.leaves - cut.enters) % whole
    into = (start - cut.enters) % whole
    into = 0.0 if whole - into < _HERE else into
    if into + edge.length > room + _HERE:
        raise GeometryError("a facing of this depth does not hold the whole edge")
    for dart in shape.darts:
        if (seam.length_of(dart.left) - cut.enters) % whole < room:
            raise GeometryError(f'the dart "{dart.name}" opens at its edge: fold it first')
    new = cut.right
    folds = folds_on_edge(new)
    grain = shape.grain_line
    if grain is not None:
        grain = _grain_inside(new, np.asarray(grain.end) - np.asarray(grain.start))
    inside = replace(contents_of(new), internal_lines=tuple(folds))
    made = new.but(
        grain_line=grain,
        internal_lines=inside.internal_lines,
        drill_holes=(),
        texts=(),
        darts=(),
    )
    if crosses_itself(made.seam_line):
        raise GeometryError("a facing of this depth would cross itself")
    return _Drawn(made, cut.enters, edge.length, line.length, bool(folds))


def _grain_inside(shape: Shape, way: FloatArray) -> GrainLine:
    """A grain line where the piece is longest in that direction: a curved strip may have its
    middle outside. 80 % of that length."""
    u = way / float(np.hypot(*way))
    across = np.array([u[1], -u[0]])
    outline = shape.seam_line.flatten(0.05)
    reach, off = outline @ u, outline @ across
    best: tuple[float, FloatArray, FloatArray] | None = None
    # Where level lines enter and leave the outline, drawn out as chords.
    ahead, beyond = np.roll(reach, -1), np.roll(off, -1)
    for share in np.linspace(0.1, 0.9, 17):
        level = off.min() + share * (off.max() - off.min())
        over = (off > level) != (beyond > level)
        place = (level - off[over]) / (beyond[over] - off[over])
        meet = np.sort(reach[over] + place * (ahead[over] - reach[over]))
        for a, b in zip(meet[:-1:2], meet[1::2], strict=False):
            if best is None or b - a > best[0]:
                best = (float(b - a), level * across + a * u, level * across + b * u)
    if best is None:
        return parallel_grain(shape, way)
    _, start, end = best
    start, end = 0.9 * start + 0.1 * end, 0.1 * start + 0.9 * end
    return GrainLine(start=(float(start[0]), float(start[1])), end=(float(end[0]), float(end[1])))


def _sewn(
    after: Pattern,
    piece: Piece,
    run: ResolvedPart,
    name: str,
    options: DrawFacing,
    telling: Telling,
) -> Pattern:
    """The plan with the facing sewn to its edge."""
    try:
        part = settled(after, RunPart(piece=name, marks=run.part.marks), run.forward)
    except LostError as error:
        telling.tell(codes.SEAM_LOST, f"the facing was not sewn on: {error}", name)
        return after
    wanted = options.seam or f"{name} to {piece.name}"
    seam = Seam(
        name=free_name(wanted, [s.name for s in after.seams]),
        sew=Run(parts=(part,)),
        to=Run(parts=(run.part,)),
        meet=tuple((n, n) for n in _on_run(after, run, piece)),
    )
    return after.but(seams=(*after.seams, seam))


def _on_run(pattern: Pattern, run: ResolvedPart, piece: Piece) -> Sequence[str]:
    """Names of the notches inside the run, in the base size."""
    shape = next((s for s in piece.shapes if s.size == pattern.base_size), piece.shapes[0])
    start, end = span_of(pattern, run, shape)
    seam = shape.seam_line
    length = (end - start) % seam.length

    def inside(notch: Notch) -> bool:
        return _HERE < (seam.length_of(notch.station) - start) % seam.length < length - _HERE

    found = [n.name.removeprefix(HELD) for n in ready(shape).notches if inside(n)]
    return found if run.forward else found[::-1]
