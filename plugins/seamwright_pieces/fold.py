"""Whole pieces folded in half along a line about which they are symmetrical."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve, FloatArray, GeometryError
from seamwright.model import InternalKind, InternalLine, Pattern, Piece, RunPart, Seam, Shape
from seamwright.model.edit import contents_of, cut_shape
from seamwright.plan import ResolvedPart
from seamwright.plan.spots import spot_lengths
from seamwright.plugins.api import Context, StepResult

from . import codes
from .fold_axis import axis_of, reflection, side_of
from .halves import AXIS, SUFFIX, half_cut_line, half_of, reflected
from .options import FoldInHalf
from .resew import Legs, Mark, resewn
from .surgery import acting_on, allowance_at, corner_at, marks_of, ready, released, renewed, spot_on
from .telling import Telling

_SAMPLES = 0.02  # mm, chords of the outline that is held against its mirror image
_RUN_ON = 5.0  # mm
_ON_EDGE = 0.1  # mm


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Axis:
    """The fold of one size. a, b: its ends, the half that stays on the left; line: as drawn."""

    a: FloatArray
    b: FloatArray
    line: InternalLine | None

    @property
    def mirror(self) -> FloatArray:
        return reflection(self.a, self.b - self.a)

    def side(self, points: FloatArray) -> FloatArray:
        return side_of(self.a, self.b, points)


def fold_in_half(pattern: Pattern, options: FoldInHalf, ctx: Context) -> StepResult:
    """Every whole piece with a fold line halved at it, if both halves are mirror images.

    A reflection about the fold line, plane geometry.
    """
    telling = Telling(ctx)
    changed: list[Piece] = []
    halves: dict[str, _Half] = {}
    looked_at = 0
    for piece, axes in _axes(pattern, options, ctx, telling).items():
        looked_at += len(piece.shapes)
        half = _Half(pattern, piece, axes, options, telling, ctx)
        halves[piece.name] = half
        if not telling.refused:
            try:
                changed.append(half.made())
            except GeometryError as error:
                telling.tell(codes.REFUSED, str(error), piece.name)
    if not looked_at and not telling.findings:
        return StepResult(pattern=pattern, skipped="no whole piece has a fold line across it")
    if telling.refused:
        return telling.result(pattern, None, looked_at)
    after = pattern.with_pieces(changed)
    seams = _seams(pattern, after, halves, float(options.tolerance), telling)
    return telling.result(pattern, after.but(seams=seams), looked_at)


def _axes(
    pattern: Pattern, options: FoldInHalf, ctx: Context, telling: Telling
) -> dict[Piece, dict[str, _Axis]]:
    found: dict[Piece, dict[str, _Axis]] = {}
    if options.start:
        first, last = (spot_on(pattern, text, ctx) for text in (options.start, options.end))
        if first.piece != last.piece:
            raise SeamwrightError.of(
                "fold.two-pieces",
                f'the fold runs from piece "{first.piece}" to piece "{last.piece}"',
                piece=first.piece,
                hint="name two places on one piece",
            )
        piece = pattern.piece(acting_on(ctx, first.piece))
        starts, ends = spot_lengths(pattern, first), spot_lengths(pattern, last)
        found[piece] = {}
        for shape in piece.shapes:
            z = pattern.sizes.index(shape.size)
            a, b = shape.seam_line.point_at(np.array([starts[z], ends[z]]))
            if np.isnan([starts[z], ends[z]]).any() or np.hypot(*(b - a)) < AXIS:
                telling.tell(
                    codes.REFUSED, "the fold is missing in this size", piece.name, shape.size
                )
            found[piece][shape.size] = _Axis(a=a, b=b, line=None)
        return found
    for piece in pattern.pieces:
        if not ctx.acts_on(piece.name) or not any(_may_fold(s) for s in piece.shapes):
            continue
        found[piece] = {}
        for shape in piece.shapes:
            try:
                a, b, line = axis_of(shape, float(options.tolerance))
                found[piece][shape.size] = _Axis(a=a, b=b, line=line)
            except GeometryError as error:
                telling.tell(codes.REFUSED, str(error), piece.name, shape.size)
    return found


def _may_fold(shape: Shape) -> bool:
    """Whether a fold line runs inside a whole piece, off its edges."""
    return not shape.mirrored_half and any(
        line.kind is InternalKind.FOLD
        and float(shape.seam_line.nearest(line.curve.point_at(0.5 * line.curve.length)[None])
                  .distances[0]) > _ON_EDGE
        for line in shape.internal_lines
    )  # fmt: skip


class _Half:
    """One piece folded in half."""

    def __init__(
        self,
        pattern: Pattern,
        piece: Piece,
        axes: dict[str, _Axis],
        options: FoldInHalf,
        telling: Telling,
        ctx: Context,
    ) -> None:
        self.piece, self.telling = piece, telling
        self.tolerance = float(options.tolerance)
        self.base_size = pattern.base_size
        kept: dict[str, float] = {}
        if options.keep:
            spot = spot_on(pattern, options.keep, ctx)
            if spot.piece == piece.name:
                lengths = spot_lengths(pattern, spot)
                kept = dict(zip(pattern.sizes, lengths.tolist(), strict=True))
        self.axes: dict[str, _Axis] = {}
        if telling.refused:
            return
        for shape in piece.shapes:
            axis = axes[shape.size]
            if shape.size in kept:
                at = shape.seam_line.point_at(kept[shape.size])
                stays = float(axis.side(at)[0])
            else:
                stays = _side_that_stays(shape, axis)
            if stays < 0.0:
                axis = _Axis(a=axis.b, b=axis.a, line=axis.line)
            self.axes[shape.size] = axis
            self._symmetrical(shape, axis)

    def made(self) -> Piece:
        """The half piece."""
        halves = [self._cut(shape) for shape in self.piece.shapes]
        shapes = []
        for new, old in zip(
            released(halves, self.piece.shapes, self.base_size), self.piece.shapes, strict=True
        ):
            axis = self.axes[old.size]
            own = {}
            for p, known in ((axis.a, 0.0), (axis.b, None)):
                at = float(new.seam_line.nearest(p[None]).lengths[0])
                name = corner_at(new, at)
                there = float(old.seam_line.nearest(p[None]).lengths[0])
                width = allowance_at(old, there) if known is None else known
                if name is not None and width is not None:
                    own[name] = width
            cut = None
            if old.cut_line is not None:
                cut = half_cut_line(old.cut_line, axis.a, axis.b)
            shape = renewed(self.telling, self.piece.name, new, old, own=own, cut_line=cut)
            shapes.append(shape.but(mirrored_half=True))
            self.telling.rows.append(
                {
                    "piece": self.piece.name,
                    "size": old.size,
                    "area": old.seam_line.area,
                    "half_area": shape.seam_line.area,
                    "fold_length": float(np.hypot(*(axis.b - axis.a))),
                }
            )
        return self.piece.but(shapes=tuple(shapes))

    def partners(self) -> dict[str, str]:
        """Mark of the half that goes -> its mirror image on the half that stays."""
        found: dict[str, str] = {}
        for shape in self.piece.shapes:
            axis = self.axes[shape.size]
            marks = [
                (type(m), m.name, shape.seam_line.point_of(m.station)) for m in marks_of(shape)
            ]
            for kind, name, p in marks:
                if float(axis.side(p)[0]) >= -AXIS:
                    found.setdefault(name, name)
                    continue
                image = reflected(axis.mirror, p)[0]
                near = [
                    (float(np.hypot(*(q - image))), other)
                    for k, other, q in marks
                    if k is kind and float(axis.side(q)[0]) > AXIS
                ]
                if near and min(near)[0] <= self.tolerance:
                    found.setdefault(name, min(near)[1])
        return found

    def _symmetrical(self, shape: Shape, axis: _Axis) -> None:
        """Tells where the piece is not its own mirror image."""
        points = shape.seam_line.flatten(_SAMPLES)
        images = reflected(axis.mirror, points)
        near = shape.seam_line.nearest(images)
        worst = int(np.argmax(near.distances))
        off = float(near.distances[worst])
        if off > self.tolerance:
            x, y = points[worst]
            self.telling.tell(
                codes.ASYMMETRICAL,
                f"the halves differ by {self.telling.ctx.length(off)}",
                self.piece.name,
                shape.size,
                x=float(x),
                y=float(y),
                measured=off,
                limit=self.tolerance,
            )
            return
        alone = self._alone(shape, axis)
        if alone:
            self.telling.tell(
                codes.ONE_SIDED,
                f"on one half only, and left out: {', '.join(alone)}",
                self.piece.name,
                shape.size,
            )

    def _alone(self, shape: Shape, axis: _Axis) -> list[str]:
        """What lies on the half that goes and has no mirror image on the other."""
        alone = []
        partners = self.partners_of(shape, axis)
        alone += [n for n in partners if partners[n] is None]
        holes = np.reshape([h.at for h in shape.drill_holes], (-1, 2))
        for hole in shape.drill_holes:
            at = np.array(hole.at)
            if float(axis.side(at)[0]) >= -AXIS:
                continue
            apart = np.hypot(*(holes - reflected(axis.mirror, at)[0]).T)
            if apart.min() > self.tolerance:
                alone.append(f'hole "{hole.name}"' if hole.name else "a drill hole")
        for line in shape.internal_lines:
            if line is axis.line or float(axis.side(line.curve.segments).min()) >= -AXIS:
                continue
            image = reflected(axis.mirror, line.curve.flatten(_SAMPLES))
            apart = min(
                float(other.curve.nearest(image).distances.max()) for other in shape.internal_lines
            )
            if apart > self.tolerance:
                alone.append(f'line "{line.name}"' if line.name else "a line")
        return alone

    def partners_of(self, shape: Shape, axis: _Axis) -> dict[str, str | None]:
        """Notches and darts of the half that goes -> their mirror images, None without one."""
        out: dict[str, str | None] = {}
        seam = shape.seam_line
        places = [(n.name, seam.point_of(n.station)) for n in shape.notches]
        tips = [(d.name, np.array(d.apex)) for d in shape.darts]
        for group in (places, tips):
            for name, p in group:
                if float(axis.side(p)[0]) >= -AXIS:
                    continue
                image = reflected(axis.mirror, p)[0]
                near = min((float(np.hypot(*(q - image))), other) for other, q in group)
                out[name] = near[1] if near[0] <= self.tolerance else None
        return out

    def _cut(self, shape: Shape) -> Shape:
        axis = self.axes[shape.size]
        held = ready(shape)
        held = held.but(internal_lines=tuple(x for x in held.internal_lines if x is not axis.line))
        line = Curve.line(axis.a, axis.b)
        try:
            cut = cut_shape(held, line)
        except GeometryError:
            cut = cut_shape(held, _run_on(line))
        half = cut.left
        seam = shape.seam_line
        for dart in shape.darts:
            sides = axis.side(np.array([seam.point_of(dart.left), seam.point_of(dart.right)]))
            if sides.min() < -AXIS and sides.max() > AXIS:
                raise GeometryError(f'the fold runs through the dart "{dart.name}"')
        inside = half_of(held, contents_of(half), axis.mirror, axis.a, axis.b)
        drawn = axis.line
        if drawn is None:
            drawn = InternalLine(kind=InternalKind.FOLD, curve=line, name="fold")
        return half.but(
            grain_line=inside.grain_line,
            internal_lines=(*inside.internal_lines, drawn),
            drill_holes=inside.drill_holes,
            texts=inside.texts,
        )


def _run_on(line: Curve) -> Curve:
    way = line.tangent_at(0.0)
    return Curve.line(line.start - _RUN_ON * way, line.end + _RUN_ON * way)


def _side_that_stays(shape: Shape, axis: _Axis) -> float:
    """Above 0 where the half on the axis' left stays: the one whose marks are not named as mirror
    images, else the one with the first corner off the axis."""
    votes = 0.0
    first = 0.0
    for mark in marks_of(shape):
        side = float(axis.side(shape.seam_line.point_of(mark.station))[0])
        if abs(side) <= AXIS:
            continue
        first = first or side
        if mark.name.endswith(SUFFIX):
            votes -= float(np.sign(side))
    return votes or first


def _seams(
    old: Pattern,
    new: Pattern,
    halves: dict[str, _Half],
    tolerance: float,
    telling: Telling,
) -> tuple[Seam, ...]:
    partners = {name: half.partners() for name, half in halves.items()}

    def recast(part: ResolvedPart) -> Legs | None:
        piece = part.part.piece
        half = halves[piece]
        base = next((s for s in half.piece.shapes if s.size == old.base_size), half.piece.shapes[0])
        z = old.sizes.index(base.size)
        seam = base.seam_line
        way = 1.0 if part.forward else -1.0
        length = ((part.ends[z] - part.starts[z]) * way) % seam.length
        places = seam.point_at(
            np.mod(part.starts[z] + way * np.linspace(0.0, length, 9), seam.length)
        )
        sides = half.axes[base.size].side(places)
        if sides.min() >= -tolerance:
            return [(part.part, part.forward)]
        names = [partners[piece].get(m) for m in part.part.marks]
        if sides.max() > tolerance or None in names:
            return None
        marks = tuple(n for n in names if n is not None)
        return [(RunPart(piece=piece, marks=marks), not part.forward)]

    def moved(mark: Mark) -> Mark | None:
        name = partners[mark[0]].get(mark[1])
        return None if name is None else (mark[0], name)

    seams = resewn(old, new, tuple(halves), recast, moved, telling, slack=2.0 * tolerance)
    out: list[Seam] = []
    was = {seam.name: seam for seam in old.seams}
    runs: set[tuple[str, str]] = set()
    # A seam that is as it was goes before one that has become its image.
    for seam in sorted(seams, key=lambda s: (s.sew, s.to) != (was[s.name].sew, was[s.name].to)):
        key = (str(seam.sew), str(seam.to))
        if key not in runs and key[::-1] not in runs:
            runs.add(key)
            out.append(seam)
    names = [seam.name for seam in seams]
    return tuple(sorted(out, key=lambda s: names.index(s.name)))
