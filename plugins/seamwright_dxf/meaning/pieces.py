"""Which blocks are pieces, and where the drawing places them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from seamwright.plugins.api import Finding, Severity

from ..drawing.inserts import IDENTITY, Insert, Placements, Tree, expand, then
from ..drawing.records import Block, Fate, Records

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


@dataclass(slots=True)
class PiecePlace:
    """A block that holds one piece in one size.

    matrix   where its first INSERT puts it (drawing units)
    plain, mirrored   how often it is placed the same way round as the first, and the other
    """

    block: int
    name: str
    matrix: FloatArray
    placed: bool
    plain: int = 1
    mirrored: int = 0


@dataclass(slots=True)
class Found:
    """Pieces, and the placements of everything that is not in a piece's block."""

    pieces: list[PiecePlace]
    loose: Placements
    unused: list[int] = field(default_factory=list)


def find_pieces(records: Records, tree: Tree, with_boundary: Iterable[int]) -> Found:
    """Pieces by their blocks.

    A block that draws a boundary is a piece with all that it places. A block without one that
    places exactly one piece is that piece's wrapping. A block that places several is a layout.
    Blocks with a boundary that nothing places are pieces where they stand: many files have no
    INSERTs at all.
    """
    own = {b for b in with_boundary if b >= 0}
    role: dict[int, str] = {}
    order = _inner_first(tree, len(records.blocks))
    for block in order:
        if block in own:
            role[block] = "piece"
            continue
        holds = [i for i in tree.inside.get(block, []) if role.get(i.block) in ("piece", "layout")]
        if not holds:
            role[block] = "symbol"
        elif len(holds) == 1 and holds[0].cells == 1 and role[holds[0].block] == "piece":
            role[block] = "piece"
        else:
            role[block] = "layout"
    pieces: dict[int, PiecePlace] = {}
    loose = [_Loose(np.array([-1]), IDENTITY[None], np.array([-1]))]

    def place(insert: Insert, matrix: FloatArray, inside_layout: bool) -> None:
        kind = role[insert.block]
        here = then(matrix, insert.matrices())
        if kind == "piece":
            for cell in here:
                _seen(pieces, records.blocks[insert.block], insert.block, cell)
            return
        if not inside_layout or kind == "layout":
            count = insert.cells
            loose.append(_Loose(np.full(count, insert.block), here, np.full(count, insert.layer)))
        if kind == "layout":
            for cell in here:
                for inner in tree.inside.get(insert.block, []):
                    if role[inner.block] != "symbol":  # those come with the layout's own content
                        place(inner, cell, True)

    for insert in tree.inside.get(-1, []):
        place(insert, IDENTITY, False)
    used = tree.used()
    for number, each in enumerate(records.blocks):
        top = number not in used and role[number] == "piece"
        if top and not each.is_layout and number not in pieces:
            pieces[number] = PiecePlace(number, each.name, IDENTITY, False)
    starts = np.concatenate([part.block for part in loose])
    reached = _reached(tree, [*pieces, *np.unique(starts).tolist()])
    unused = [n for n, b in enumerate(records.blocks) if n not in reached and not b.is_layout]
    _say_unused(records, unused)
    loose_roles = frozenset(b for b, r in role.items() if r in ("piece", "layout"))
    spread = expand(
        _without_root(tree), starts, np.concatenate([part.matrix for part in loose]),
        np.concatenate([part.layer for part in loose]), np.full(starts.size, -1, np.int64),
        loose_roles,
    )  # fmt: skip
    return Found(list(pieces.values()), spread, unused)


@dataclass(frozen=True, slots=True)
class _Loose:
    block: IntArray
    matrix: FloatArray
    layer: IntArray


def _without_root(tree: Tree) -> Tree:
    """The same INSERTs without the drawing's own, which are placed already."""
    return Tree(tree.inserts, {k: v for k, v in tree.inside.items() if k >= 0})


def _seen(pieces: dict[int, PiecePlace], block: Block, number: int, matrix: FloatArray) -> None:
    found = pieces.get(number)
    if found is None:
        pieces[number] = PiecePlace(number, block.name, matrix, True)
        return
    det = np.linalg.det(found.matrix[:, :2]) * np.linalg.det(matrix[:, :2])
    if det < 0:
        found.mirrored += 1
    else:
        found.plain += 1


def _inner_first(tree: Tree, count: int) -> list[int]:
    """Blocks so that each comes after all that it places (the graph has no circle)."""
    done: set[int] = set()
    out: list[int] = []
    for start in range(count):
        stack = [(start, False)]
        while stack:
            block, ready = stack.pop()
            if ready:
                out.append(block)
                continue
            if block in done:
                continue
            done.add(block)
            stack.append((block, True))
            stack.extend((i.block, False) for i in tree.inside.get(block, []))
    return out


def _reached(tree: Tree, starts: Iterable[int]) -> set[int]:
    seen: set[int] = set()
    todo = list(starts)
    while todo:
        block = todo.pop()
        if block in seen:
            continue
        seen.add(block)
        if block >= 0:
            todo.extend(i.block for i in tree.inside.get(block, []))
    return seen


def _say_unused(records: Records, unused: list[int]) -> None:
    filled = []
    for number in unused:
        rows = np.flatnonzero(records.owner == number)
        rows = rows[records.fate[rows] == Fate.CONVERTED]
        if rows.size:
            records.drop(rows)
            filled.append((records.blocks[number].name, rows.size, int(rows[0])))
    if not filled:
        return
    names = ", ".join(f'"{name}"' for name, _, _ in filled[:8])
    more = f" and {len(filled) - 8} more" if len(filled) > 8 else ""
    records.findings.append(
        Finding(
            code="dxf.block-unused",
            severity=Severity.NOTE,
            message=f"blocks {names}{more} ({sum(n for _, n, _ in filled)} entities) are defined "
            "but placed nowhere and hold no boundary; they are left out",
            line=records.line(filled[0][2]),
        )
    )
