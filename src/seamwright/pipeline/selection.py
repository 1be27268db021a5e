"""What a step acts on: the pieces and sizes selected; all else passes untouched.

A step is handed a view: the selected pieces in the selected sizes, with the pieces that they are
sewn to (a cap is judged by its armhole). Whatever it does to those neighbours is put back, and so
is every size that was not selected.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from seamwright.findings import Finding, SeamwrightError, did_you_mean
from seamwright.model import Pattern, Piece
from seamwright.plugins.building import Where

from .use import Use


@dataclass(frozen=True, slots=True, eq=False)
class Selection:
    """The names selected, resolved against one pattern; `whole` where nothing was said."""

    pieces: frozenset[str]
    sizes: frozenset[str]
    whole: bool = False

    def view(self, pattern: Pattern) -> Pattern:
        """What the step is handed."""
        if self.whole:
            return pattern
        seams = tuple(s for s in pattern.seams if self.pieces.intersection(s.pieces))
        shown = self.pieces.union(*(s.pieces for s in seams))
        sizes = tuple(s for s in pattern.sizes if s in self.sizes)
        cut = [_in_sizes(p, self.sizes) for p in pattern.pieces if p.name in shown]
        pieces = tuple(p for p in cut if p.shapes)
        base = pattern.base_size if pattern.base_size in self.sizes else sizes[0]
        return pattern.but(pieces=pieces, sizes=sizes, base_size=base, seams=seams)

    def merged(self, pattern: Pattern, view: Pattern, result: Pattern) -> Pattern:
        """`pattern` with what the step did to the selected shapes of its view."""
        if result is view:
            return pattern
        if self.whole:
            return result
        was = {piece.name for piece in view.pieces}
        now = {piece.name: piece for piece in result.pieces}
        self._wide_enough(pattern, was, set(now))
        new = [piece for name, piece in now.items() if name not in was]
        pieces: list[Piece] = []
        for piece in pattern.pieces:
            if piece.name not in self.pieces:
                pieces.append(piece)
            elif piece.name in now:
                pieces.append(self._merged_piece(piece, now[piece.name]))
            else:
                # What a piece was made into stands in its place.
                pieces += new
                new = []
        pieces += new
        seams = pattern.seams
        if result.seams != view.seams:
            left = tuple(s for s in seams if s not in view.seams)
            seams = (*left, *result.seams)
        changes = {
            name: getattr(result, name)
            for name in ("name", "grade_rules", "notes", "foreign")
            if getattr(result, name) is not getattr(view, name)
        }
        return pattern.but(pieces=tuple(pieces), seams=seams, **changes)

    def concerns(self, finding: Finding, pattern: Pattern) -> bool:
        """Whether a finding is about what was selected."""
        if self.whole:
            return True
        if finding.size in pattern.sizes and finding.size not in self.sizes:
            return False
        # What is said of a seam is about the selected piece, whichever of the two it names.
        others = {p.name for p in pattern.pieces} - self.pieces
        return finding.seam is not None or finding.piece not in others

    def _wide_enough(self, pattern: Pattern, was: set[str], now: set[str]) -> None:
        """Raises SeamwrightError where pieces that come or go were selected in part only."""
        if was == now:
            return
        if not self.sizes.issuperset(pattern.sizes):
            raise SeamwrightError.of(
                "selection.too-narrow",
                "the step makes other pieces, and not all sizes were selected: the rest would be "
                "without",
                hint="take sizes out of the selection",
            )
        for name in sorted(was - now - self.pieces):
            raise SeamwrightError.of(
                "selection.too-narrow",
                f'the step uses up the piece "{name}", which was not selected',
                piece=name,
                hint="select that piece too",
            )
        for name in sorted((now - was).intersection(p.name for p in pattern.pieces)):
            raise SeamwrightError.of(
                "selection.too-narrow",
                f'the step makes a piece "{name}", and there is one already outside the selection',
                piece=name,
                hint="give the new piece another name",
            )

    def _merged_piece(self, piece: Piece, new: Piece) -> Piece:
        by_size = {shape.size: shape for shape in new.shapes}
        shapes = tuple(
            by_size.get(shape.size, shape) if shape.size in self.sizes else shape
            for shape in piece.shapes
        )
        if all(a is b for a, b in zip(shapes, piece.shapes, strict=True)) and _same(piece, new):
            return piece
        return new.but(shapes=shapes)


def select(use: Use, pattern: Pattern, where: Where) -> Selection:
    """The selection of a step on this pattern. Raises SeamwrightError (selection.unknown,
    selection.empty) when it names what is not there or leaves nothing."""
    pieces = [p.name for p in pattern.pieces]
    if use.pieces is None and use.sizes is None and use.leave is None:
        return Selection(frozenset(pieces), frozenset(pattern.sizes), whole=True)
    leave_pieces = use.leave.pieces if use.leave else ()
    leave_sizes = use.leave.sizes if use.leave else ()
    _known("piece", (*(use.pieces or ()), *leave_pieces), pieces, where)
    _known("size", (*(use.sizes or ()), *leave_sizes), pattern.sizes, where)
    chosen = frozenset(pieces if use.pieces is None else use.pieces) - frozenset(leave_pieces)
    sizes = frozenset(pattern.sizes if use.sizes is None else use.sizes) - frozenset(leave_sizes)
    there = [s for p in pattern.pieces if p.name in chosen for s in p.sizes if s in sizes]
    if not there:
        raise SeamwrightError(
            where.finding(
                "selection.empty",
                "the selection leaves nothing: no selected piece exists in a selected size",
                hint="widen pieces or sizes, or take names out of except",
            )
        )
    return Selection(chosen, sizes)


def _known(what: str, names: Iterable[str], valid: Iterable[str], where: Where) -> None:
    there = list(valid)
    faults = [
        where.finding(
            "selection.unknown",
            f'there is no {what} "{name}" in the pattern',
            (f"{what}s",),
            did_you_mean(name, there),
        )
        for name in names
        if name not in there
    ]
    if faults:
        raise SeamwrightError(faults[0], others=faults[1:])


def _in_sizes(piece: Piece, sizes: frozenset[str]) -> Piece:
    shapes = tuple(shape for shape in piece.shapes if shape.size in sizes)
    return piece if len(shapes) == len(piece.shapes) else piece.but(shapes=shapes)


def _same(a: Piece, b: Piece) -> bool:
    names = ("name", "quantity", "material", "category", "foreign")
    return all(getattr(a, n) == getattr(b, n) for n in names)
