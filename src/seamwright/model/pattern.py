"""Pieces and the pattern they make."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from typing import Any

from .foreign import Foreign
from .grading import GradeRules
from .seam import Seam
from .shape import Shape


@dataclass(frozen=True, slots=True, weakref_slot=True, eq=False, kw_only=True)
class Piece:
    """One piece of a style in all its sizes.

    quantity   how many are cut, as (right, left) where a file tells them apart, else (n, 0)
    shapes     one a size, in the pattern's order of sizes; a size may be missing
    """

    name: str
    shapes: tuple[Shape, ...]
    quantity: tuple[int, int] = (1, 0)
    material: str = ""
    category: str = ""
    foreign: tuple[Foreign, ...] = ()

    def but(self, **changes: Any) -> Piece:
        """A new piece with some fields changed; everything else is shared."""
        return replace(self, **changes)

    @property
    def sizes(self) -> tuple[str, ...]:
        """Sizes in which the piece exists."""
        return tuple(shape.size for shape in self.shapes)

    def in_size(self, size: str) -> Shape:
        """The shape in that size. Raises KeyError."""
        for shape in self.shapes:
            if shape.size == size:
                return shape
        raise KeyError(size)

    def _repr_svg_(self) -> str:
        from .preview import preview  # noqa: PLC0415 - only notebooks ask for it

        return preview(self, width=420, labels=False).svg


@dataclass(frozen=True, slots=True, weakref_slot=True, eq=False, kw_only=True)
class Pattern:
    """A style: pieces in all sizes, and how they are sewn together.

    sizes      in order, smallest first where the file has an order
    base_size  the drafted size
    seams      empty until a plan is applied or the file brought one
    notes      style data that files carry (author, date, product, ...), in order
    """

    name: str
    pieces: tuple[Piece, ...]
    sizes: tuple[str, ...]
    base_size: str
    seams: tuple[Seam, ...] = ()
    grade_rules: GradeRules | None = None
    notes: tuple[tuple[str, str], ...] = ()
    foreign: tuple[Foreign, ...] = field(default=())

    def __post_init__(self) -> None:
        names = [piece.name for piece in self.pieces]
        if len(set(names)) != len(names):
            twice = sorted({n for n in names if names.count(n) > 1})
            raise ValueError(f"two pieces share a name: {', '.join(twice)}")
        if self.sizes and self.base_size not in self.sizes:
            raise ValueError(f"base size {self.base_size!r} is not among the sizes {self.sizes}")

    def but(self, **changes: Any) -> Pattern:
        """A new pattern with some fields changed; everything else is shared."""
        return replace(self, **changes)

    def piece(self, name: str) -> Piece:
        """The piece of that name. Raises KeyError."""
        for piece in self.pieces:
            if piece.name == name:
                return piece
        raise KeyError(name)

    def with_pieces(self, changed: Iterable[Piece]) -> Pattern:
        """The pattern with the pieces of the same names replaced."""
        by_name = {piece.name: piece for piece in changed}
        return self.but(pieces=tuple(by_name.get(p.name, p) for p in self.pieces))

    def map_shapes(self, change: Callable[[Piece, Shape], Shape]) -> Pattern:
        """The pattern with every shape passed through `change`; shapes, pieces and the pattern
        itself stay the same objects where nothing changed."""
        pieces = []
        for piece in self.pieces:
            shapes = tuple(change(piece, shape) for shape in piece.shapes)
            same = all(a is b for a, b in zip(shapes, piece.shapes, strict=True))
            pieces.append(piece if same else piece.but(shapes=shapes))
        if all(a is b for a, b in zip(pieces, self.pieces, strict=True)):
            return self
        return self.but(pieces=tuple(pieces))

    def _repr_svg_(self) -> str:
        from .preview import preview  # noqa: PLC0415 - only notebooks ask for it

        return preview(self).svg
