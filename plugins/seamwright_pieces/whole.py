"""Half pieces made whole at their folds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve, GeometryError
from seamwright.model import InternalKind, InternalLine, Pattern, Piece, Run, RunPart, Seam, Shape
from seamwright.model.edit import contents_of, part_between, shape_of_parts
from seamwright.plan import ResolvedPart, resolve_run
from seamwright.plan.grammar import parse_mark, parse_part, written_mark
from seamwright.plan.spots import find_run
from seamwright.plugins.api import Context, StepResult

from . import codes
from .fold_axis import Fold, fold_between, fold_by_line
from .halves import mirrored_name, mirrored_part, whole_cut_line, with_mirror_image
from .options import MakeWhole
from .resew import Legs, LostError, resewn, settled
from .surgery import (
    HELD,
    acting_on,
    corner_at,
    crosses_itself,
    free_name,
    marks_of,
    ready,
    released,
    renewed,
)
from .telling import Telling

_SAME = 1e-6  # mm


def make_whole(pattern: Pattern, options: MakeWhole, ctx: Context) -> StepResult:
    """Every half piece unfolded: its mirror image joined on at the fold.

    A reflection about the fold's ends; plane geometry. That a piece cut on the fold is cut as
    often when whole: common practice, no source.
    """
    telling = Telling(ctx)
    folds = _folds(pattern, options, ctx, telling)
    looked_at = sum(len(of) for of in folds.values())
    if not folds:
        return StepResult(
            pattern=pattern, looked_at=0, skipped="no piece is half a piece at a fold"
        )
    if telling.refused:
        return telling.result(pattern, None, looked_at)
    changed: list[Piece] = []
    for name, of in folds.items():
        piece = pattern.piece(name)
        try:
            changed.append(_whole(telling, piece, of, pattern.base_size))
        except GeometryError as error:
            telling.tell(codes.REFUSED, str(error), name)
    if telling.refused:
        return telling.result(pattern, None, looked_at)
    after = pattern.with_pieces(changed)
    sewn = _Sewn(pattern, after, {n: _on_fold(pattern, n, of) for n, of in folds.items()}, telling)
    return telling.result(pattern, after.but(seams=sewn.seams()), looked_at)


def _folds(
    pattern: Pattern, options: MakeWhole, ctx: Context, telling: Telling
) -> dict[str, dict[str, Fold]]:
    """piece -> size -> fold."""
    found: dict[str, dict[str, Fold]] = {}
    if options.fold:
        try:
            run = find_run(pattern, parse_part(options.fold))
        except ValueError as error:
            raise SeamwrightError.of("spot.unreadable", str(error)) from None
        piece = pattern.piece(acting_on(ctx, run.part.piece))
        ends = (run.starts, run.ends) if run.forward else (run.ends, run.starts)
        of: dict[str, Fold] = {}
        for shape in piece.shapes:
            z = pattern.sizes.index(shape.size)
            try:
                if np.isnan([ends[0][z], ends[1][z]]).any():
                    raise GeometryError("the fold is missing in this size")
                of[shape.size] = fold_between(shape, float(ends[0][z]), float(ends[1][z]))
            except GeometryError as error:
                telling.tell(codes.REFUSED, str(error), piece.name, shape.size)
        found[piece.name] = of
        return found
    for piece in pattern.pieces:
        if not ctx.acts_on(piece.name) or not any(s.mirrored_half for s in piece.shapes):
            continue
        found[piece.name] = {}
        for shape in piece.shapes:
            try:
                found[piece.name][shape.size] = fold_by_line(shape)
            except GeometryError as error:
                telling.tell(codes.REFUSED, str(error), piece.name, shape.size)
    return found


def _whole(telling: Telling, piece: Piece, folds: dict[str, Fold], base_size: str) -> Piece:
    made = [_unfolded(telling, piece, s, folds[s.size]) for s in piece.shapes]
    shapes = []
    for new, old in zip(released(made, piece.shapes, base_size), piece.shapes, strict=True):
        fold = folds[old.size]
        cut = None
        if old.cut_line is not None:
            cut = whole_cut_line(old.cut_line, fold.mirror, fold.a, fold.b)
        shape = renewed(telling, piece.name, new, old, own=_allowances(old, fold), cut_line=cut)
        if crosses_itself(shape.seam_line):
            raise GeometryError(f"the halves would lie over one another in size {old.size}")
        shapes.append(shape.but(mirrored_half=False))
        telling.rows.append(
            {
                "piece": piece.name,
                "size": old.size,
                "area": old.seam_line.area,
                "whole_area": shape.seam_line.area,
                "fold_length": float(np.hypot(*(fold.b - fold.a))),
            }
        )
    return piece.but(shapes=tuple(shapes), quantity=_quantity(piece))


def _unfolded(telling: Telling, piece: Piece, shape: Shape, fold: Fold) -> Shape:
    held = ready(shape)
    rest = part_between(held, fold.end, fold.start)
    kept = {n.name for _, n in rest.notches} | {n for _, n in rest.corners}
    lost = [
        m.name.removeprefix(HELD)
        for m in marks_of(held)
        if m.name not in kept
    ]  # fmt: skip
    if lost:
        telling.tell(
            codes.ON_FOLD,
            f"left out, it lay on the fold: {', '.join(lost)}",
            piece.name,
            shape.size,
        )
    inside = with_mirror_image(contents_of(held), fold.mirror, fold.a, fold.b)
    if fold.line is None:
        line = InternalLine(kind=InternalKind.FOLD, curve=Curve.line(fold.a, fold.b), name="fold")
        inside = replace(inside, internal_lines=(*inside.internal_lines, line))
    return shape_of_parts(held, [rest, mirrored_part(rest, fold.mirror)], inside)


def _allowances(shape: Shape, fold: Fold) -> dict[str, float]:
    """Widths of the mirrored edges, by the corner at which each begins."""
    own: dict[str, float] = {}
    count = len(shape.corners)
    if len(shape.allowances) != count:
        return own
    start, end = corner_at(shape, fold.start), corner_at(shape, fold.end)
    for i, width in enumerate(shape.allowances):
        after = shape.corners[(i + 1) % count].name
        if after == end:
            continue  # the fold itself
        own[after if after == start else mirrored_name(after)] = width
    return own


def _quantity(piece: Piece) -> tuple[int, int]:
    """How many whole pieces: a half on the fold was counted as one; of halves that were cut
    apart, a pair makes one."""
    if any(s.mirrored_half for s in piece.shapes):
        return piece.quantity
    right, left = piece.quantity
    if right == left:
        return (right, 0)
    return (max(1, (right + left) // 2), 0)


def _on_fold(pattern: Pattern, name: str, folds: dict[str, Fold]) -> set[str]:
    """Names of the marks at the fold's ends: they have no mirror image."""
    names: set[str] = set()
    for shape in pattern.piece(name).shapes:
        fold = folds[shape.size]
        for mark in marks_of(shape):
            p = shape.seam_line.point_of(mark.station)
            if min(np.hypot(*(p - fold.a)), np.hypot(*(p - fold.b))) <= _SAME:
                names.add(mark.name)
    return names


class _Sewn:
    """Seams of halves made whole: those that were, and their mirror images."""

    def __init__(
        self, old: Pattern, new: Pattern, on_fold: dict[str, set[str]], telling: Telling
    ) -> None:
        self.old, self.new, self.on_fold, self.telling = old, new, on_fold, telling

    def seams(self) -> tuple[Seam, ...]:
        changed = tuple(self.on_fold)
        kept = resewn(self.old, self.new, changed, _as_it_was, lambda m: m, self.telling)
        seams = list(kept)
        for seam in kept:
            if not set(seam.pieces) & set(changed):
                continue
            try:
                image = replace(
                    seam,
                    name=free_name(f"{seam.name} mirrored", [s.name for s in seams]),
                    sew=self._image(seam.sew),
                    to=self._image(seam.to),
                    meet=tuple(
                        (self._mark(a, seam.sew), self._mark(b, seam.to)) for a, b in seam.meet
                    ),
                    # The cap's halves stay two; their images say nothing new of the sleeve.
                    cap=None,
                )
            except (LostError, SeamwrightError) as error:
                self.telling.tell(
                    codes.SEAM_LOST,
                    f'the seam "{seam.name}" has no mirror image: {error}', None, seam=seam.name,
                )  # fmt: skip
                continue
            if (image.sew, image.to) != (seam.sew, seam.to):
                seams.append(image)
        return tuple(seams)

    def _name(self, piece: str, mark: str) -> str:
        if piece not in self.on_fold or mark in self.on_fold[piece]:
            return mark
        return mirrored_name(mark)

    def _image(self, run: Run) -> Run:
        was = resolve_run(self.new, run)
        parts: list[RunPart] = []
        for found in was.parts:
            part = found.part
            if part.piece not in self.on_fold:
                parts.append(part)
                continue
            names = tuple(self._name(part.piece, m) for m in part.marks)
            parts.append(
                settled(self.new, RunPart(piece=part.piece, marks=names), not found.forward)
            )
        made = Run(parts=tuple(parts))
        lengths = resolve_run(self.new, made).lengths
        if not np.allclose(lengths, was.lengths, rtol=0.0, atol=_SAME, equal_nan=True):
            raise LostError(f'"{run}" runs along the fold')
        return made

    def _mark(self, text: str, run: Run) -> str:
        mark = parse_mark(text)
        pieces: Sequence[str] = run.pieces if mark.piece is None else (mark.piece,)
        for name in pieces:
            if name in self.on_fold and any(
                mark.name in {m.name for m in marks_of(s)} for s in self.old.piece(name).shapes
            ):
                return written_mark(self._name(name, mark.name), piece=mark.piece)
        return text


def _as_it_was(part: ResolvedPart) -> Legs | None:
    return [(part.part, part.forward)]
