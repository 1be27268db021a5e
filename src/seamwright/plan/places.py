"""Where every mark of a pattern lies along its piece's seam line, in all sizes, as one array."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from weakref import WeakKeyDictionary

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.model import Pattern, Piece, Shape
from seamwright.model.measure import measure

_NUMBER = re.compile(r"(corner|notch)-([1-9]\d{0,8})")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Places:
    """Lengths in mm from corner 1 along the seam line; NaN where a size lacks a mark.

    at        (M, Z) of each mark in each size
    outline   (P, Z) length of each piece's whole seam line
    mouths    (D, Z, 2) left and right end of each dart's mouth
    base      column of the base size
    rows      (piece, mark) -> row of `at`; where a corner and a notch share a name, the corner
    pieces    piece -> row of `outline`
    corners   piece -> rows of its corners in the base size, in outline order
    notches   piece -> rows of its notches in the base size, in order
    darts     piece -> rows of `mouths`
    names     name of the mark in each row
    doubles   piece -> names that a corner and a notch of it share
    """

    sizes: tuple[str, ...]
    base: int
    at: FloatArray
    outline: FloatArray
    mouths: FloatArray
    rows: dict[tuple[str, str], int] = field(repr=False)
    pieces: dict[str, int] = field(repr=False)
    corners: dict[str, tuple[int, ...]] = field(repr=False)
    notches: dict[str, tuple[int, ...]] = field(repr=False)
    darts: dict[str, tuple[int, ...]] = field(repr=False)
    names: tuple[str, ...] = field(repr=False)
    doubles: dict[str, frozenset[str]] = field(repr=False)

    def row(self, piece: str, mark: str) -> int | None:
        """The row of a mark, by its name; or, where nothing has that name, by its number
        ("corner-3", "notch-1") in the base size."""
        found = self.rows.get((piece, mark))
        if found is not None:
            return found
        number = _NUMBER.fullmatch(mark)
        if number is None:
            return None
        rows = (self.corners if number[1] == "corner" else self.notches).get(piece, ())
        n = int(number[2])
        return rows[n - 1] if n <= len(rows) else None

    def marks_of(self, piece: str) -> list[str]:
        """The names of a piece's marks, corners first."""
        return [mark for name, mark in self.rows if name == piece]

    def column(self, rows: Sequence[int]) -> int | None:
        """The base size's column, or else the first, in which all of `rows` have a place."""
        there = np.atleast_1d(np.isfinite(self.at[list(rows)]).all(axis=0))
        if self.base < there.size and there[self.base]:
            return self.base
        found = np.flatnonzero(there)
        return int(found[0]) if found.size else None


_known: WeakKeyDictionary[Pattern, Places] = WeakKeyDictionary()


def places(pattern: Pattern) -> Places:
    """The places of all marks of a pattern; all seam lines are measured by one kernel call.

    A pattern is told once; of a new one, only the pieces that are new.
    """
    found = _known.get(pattern)
    if found is None:
        found = _known[pattern] = _places(pattern)
    return found


@dataclass(frozen=True, slots=True, eq=False)
class _Block:
    """What one piece adds: its outlines' lengths, its marks and its darts in all sizes."""

    sizes: tuple[str, ...]
    base_size: str
    outline: FloatArray
    marks: list[tuple[str, str]]
    at: FloatArray
    mouths: FloatArray
    corners: int
    notches: int


_blocks: WeakKeyDictionary[Piece, _Block] = WeakKeyDictionary()


def _block(piece: Piece, pattern: Pattern, column: dict[str, int]) -> _Block:
    own = [s for s in piece.shapes if s.size in column]
    columns = [column[s.size] for s in own]
    measures = measure(own)
    outline = np.full(len(column), np.nan)
    outline[columns] = [m.length for m in measures]
    lead = _lead(piece, own, pattern.base_size)
    names, at = _aligned(
        _mark_names(lead) if lead else ([], []),
        [_mark_names(s) for s in own],
        [m.marks for m in measures],
        columns,
        np.empty((0, len(column))),
    )
    _, mouths = _aligned(
        _dart_names(lead) if lead else ([], []),
        [_dart_names(s) for s in own],
        [m.darts for m in measures],
        columns,
        np.empty((0, len(column), 2)),
    )
    return _Block(
        pattern.sizes,
        pattern.base_size,
        outline,
        names,
        at,
        mouths,
        len(lead.corners) if lead else 0,
        len(lead.notches) if lead else 0,
    )


def _places(pattern: Pattern) -> Places:
    column = {size: z for z, size in enumerate(pattern.sizes)}
    measure([s for piece in pattern.pieces for s in piece.shapes if s.size in column])
    count = len(column)
    outline = np.full((len(pattern.pieces), count), np.nan)
    at: list[FloatArray] = []
    mouths: list[FloatArray] = []
    rows: dict[tuple[str, str], int] = {}
    all_names: list[str] = []
    doubles: dict[str, frozenset[str]] = {}
    of: tuple[dict[str, tuple[int, ...]], ...] = ({}, {}, {})
    marks = darts = 0
    for p, piece in enumerate(pattern.pieces):
        block = _blocks.get(piece)
        if block is None or (block.sizes, block.base_size) != (pattern.sizes, pattern.base_size):
            block = _blocks[piece] = _block(piece, pattern, column)
        outline[p] = block.outline
        names, corners = block.marks, block.corners
        for i, (_, name) in sorted(enumerate(names), key=lambda entry: entry[1][0]):
            rows.setdefault((piece.name, name), marks + i)
        all_names += [name for _, name in names]
        kinds = ({name for kind, name in names if kind == k} for k in ("corner", "notch"))
        doubles[piece.name] = frozenset.intersection(*map(frozenset, kinds))
        of[0][piece.name] = tuple(range(marks, marks + corners))
        of[1][piece.name] = tuple(range(marks + corners, marks + corners + block.notches))
        of[2][piece.name] = tuple(range(darts, darts + len(block.mouths)))
        at.append(block.at)
        mouths.append(block.mouths)
        marks += len(block.at)
        darts += len(block.mouths)
    return Places(
        sizes=pattern.sizes,
        base=column.get(pattern.base_size, 0),
        at=np.concatenate([np.empty((0, count)), *at]),
        outline=outline,
        mouths=np.concatenate([np.empty((0, count, 2)), *mouths]),
        rows=rows,
        pieces={piece.name: p for p, piece in enumerate(pattern.pieces)},
        corners=of[0],
        notches=of[1],
        darts=of[2],
        names=tuple(all_names),
        doubles=doubles,
    )


_Key = tuple[str, str]
_Names = tuple[list[str], list[str]]


def _lead(piece: Piece, shapes: Sequence[Shape], base_size: str) -> Shape | None:
    """The shape whose marks set the order: the base size's, else the first."""
    for shape in shapes:
        if shape.size == base_size:
            return shape
    return shapes[0] if shapes else None


def _mark_names(shape: Shape) -> _Names:
    return [c.name for c in shape.corners], [n.name for n in shape.notches]


def _dart_names(shape: Shape) -> _Names:
    return [], [d.name for d in shape.darts]


def _keys(names: _Names) -> list[_Key]:
    return [*[("corner", name) for name in names[0]], *[("notch", name) for name in names[1]]]


def _aligned(
    lead: _Names,
    names: Sequence[_Names],
    values: Sequence[FloatArray],
    columns: Sequence[int],
    empty: FloatArray,
) -> tuple[list[_Key], FloatArray]:
    """Values of many shapes under common names: (names, array (names, sizes, ...)), NaN where a
    size lacks a name. `empty` has no rows, and the shape wanted otherwise."""
    keys = _keys(lead)
    if all(own == lead for own in names):
        out = np.full((len(keys), *empty.shape[1:]), np.nan)
        if keys:
            out[:, columns] = np.stack(values, axis=1)
        return keys, out
    index: dict[_Key, int] = {}
    for i, key in enumerate(keys):
        index.setdefault(key, i)
    theirs = [_keys(own) for own in names]
    for own in theirs:
        for key in own:
            if key not in index:
                index[key] = len(keys)
                keys.append(key)
    out = np.full((len(keys), *empty.shape[1:]), np.nan)
    for own, value, z in zip(theirs, values, columns, strict=True):
        # Of marks that share a name the first counts.
        first: dict[_Key, int] = {}
        for i, key in enumerate(own):
            first.setdefault(key, i)
        out[[index[key] for key in first], z] = value[list(first.values())]
    return keys, out
