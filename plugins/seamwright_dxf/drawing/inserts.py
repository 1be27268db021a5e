"""INSERTs: which block stands where, counted before anything is copied."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from seamwright.plugins.api import Finding, SeamwrightError, Severity

from ..raw.numerals import LARGEST
from .records import Fate, Records

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

IDENTITY = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
DEEPEST = 32
_EXTERNAL = 4  # bit of a block's group 70: the block stands for another file


@dataclass(slots=True)
class Insert:
    """One INSERT: matrices (C, 2, 3), one for each cell of its array, block base taken off."""

    row: int
    block: int
    owner: int
    layer: int
    columns: int
    lines: int
    matrix: FloatArray
    step_x: FloatArray
    step_y: FloatArray

    @property
    def cells(self) -> int:
        """How often the block is placed."""
        return self.columns * self.lines

    def matrices(self) -> FloatArray:
        """(cells, 2, 3), row by row."""
        out = np.repeat(self.matrix[None], self.cells, axis=0)
        i, j = np.arange(self.cells) % self.columns, np.arange(self.cells) // self.columns
        out[:, :, 2] += i[:, None] * self.step_x + j[:, None] * self.step_y
        return out


@dataclass(slots=True)
class Tree:
    """All INSERTs, by the block that holds them (-1: the drawing itself)."""

    inserts: list[Insert] = field(default_factory=list)
    inside: dict[int, list[Insert]] = field(default_factory=dict)

    def used(self) -> set[int]:
        """Blocks that some INSERT places."""
        return {i.block for i in self.inserts}


@dataclass(slots=True)
class Placements:
    """P placements of blocks: block (P,), matrices (P, 2, 3), the layer that stands in for layer
    0 (P,; -1 for none), and the group they belong to (P,)."""

    block: IntArray
    matrix: FloatArray
    layer: IntArray
    group: IntArray


def then(outer: FloatArray, inner: FloatArray) -> FloatArray:
    """Affine matrices (..., 2, 3): first `inner`, then `outer`."""
    linear = outer[..., :, :2] @ inner[..., :, :2]
    shift = (outer[..., :, :2] @ inner[..., :, 2:])[..., 0] + outer[..., :, 2]
    return np.concatenate((linear, shift[..., None]), axis=-1)


def read_inserts(records: Records) -> Tree:
    """All INSERTs; those of a block that the file does not define are errors."""
    rows = records.rows_of("INSERT")
    rows = rows[records.fate[rows] != Fate.DROPPED]
    tree = Tree()
    if not rows.size:
        return tree
    names: dict[str, int] = {}
    for at, each in enumerate(records.blocks):
        names.setdefault(each.name.upper(), at)
    raw = records.raws(2, rows)
    x, y, turn = records.real(10), records.real(20), records.real(50)
    sx, sy = records.real(41, 1.0), records.real(42, 1.0)
    columns, lines = records.whole(70, 1), records.whole(71, 1)
    dx, dy = records.real(44), records.real(45)
    down = records.real(230, 1.0) < 0
    missing: dict[str, list[int]] = {}
    for row in rows.tolist():
        name = records.lettering.name(raw.get(row, b""))
        number = names.get(name.upper())
        if number is None:
            missing.setdefault(name, []).append(row)
            continue
        block = records.blocks[number]
        angle = math.radians(turn[row])
        rotation = np.array(
            [[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]]
        )
        if turn[row] % 90.0 == 0.0:
            rotation = np.round(rotation)  # a quarter turn is exact
        linear = rotation * [sx[row], sy[row]]
        shift = np.array([x[row], y[row]]) - linear @ np.array(block.base)
        step_x, step_y = rotation[:, 0] * dx[row], rotation[:, 1] * dy[row]
        if down[row]:
            mirror = np.array([-1.0, 1.0])
            linear = mirror[:, None] * linear
            shift, step_x, step_y = mirror * shift, mirror * step_x, mirror * step_y
        owner = int(records.owner[row])
        if owner >= 0 and records.blocks[owner].is_layout:
            owner = -1
        insert = Insert(
            row, number, owner, int(records.layers[row]),
            max(1, int(columns[row])), max(1, int(lines[row])),
            np.concatenate((linear, shift[:, None]), axis=1), step_x, step_y,
        )  # fmt: skip
        tree.inserts.append(insert)
        tree.inside.setdefault(owner, []).append(insert)
        records.fate[row] = Fate.CONVERTED
    for name, where in missing.items():
        records.drop(where)
        records.findings.append(
            Finding(
                code="dxf.block-missing",
                severity=Severity.ERROR,
                message=f'the drawing places block "{name}" {len(where)} times, but the file does '
                "not define it",
                line=records.line(where[0]),
                hint="ask for the file again: a piece may be missing",
            )
        )
    return tree


def say_external(records: Records, tree: Tree) -> None:
    """Blocks that stand for another file: it is never opened, so what it shows is missing."""
    placed = {i.block for i in tree.inserts}
    outside = [b for n, b in enumerate(records.blocks) if b.flags & _EXTERNAL and n in placed]
    paths = records.raws(1, np.array([b.row for b in outside], dtype=np.int64))
    for block in outside:
        path = records.lettering.name(paths.get(block.row, b""))
        empty = block.last <= block.first
        records.findings.append(
            Finding(
                code="dxf.external",
                severity=Severity.ERROR if empty else Severity.WARNING,
                message=f'block "{block.name}" stands for another file, "{path}", which is not '
                "opened" + (": what it shows is missing" if empty else ""),
                line=records.line(block.row),
                hint="ask for a file with its references bound into it",
            )
        )


def check_bombs(records: Records, tree: Tree, *, most: int, deepest: int, file: str | None) -> None:
    """Refuse cyclic blocks and expansions beyond the limits, counted and never expanded."""
    limit = min(deepest, DEEPEST)
    copies: dict[int, int] = {}
    depth: dict[int, int] = {}
    for start in range(-1, len(records.blocks)):
        _measure(records, tree, start, copies, depth, limit, file)
    total = copies.get(-1, 0)
    if total > most:
        heaviest = max(
            (i for i in tree.inside.get(-1, [])),
            key=lambda i: i.cells * (1 + copies.get(i.block, 0)),
        )
        raise SeamwrightError.of(
            "dxf.bomb",
            f"the drawing asks for {total} copies of blocks, most of them through block "
            f'"{records.blocks[heaviest.block].name}"; the limit is {most}',
            file=file,
            line=records.line(heaviest.row),
            measured=float(total),
            limit=float(most),
            hint=f"if you trust the file, raise the limit: --limit instances={2 * total}",
        )


def _measure(
    records: Records, tree: Tree, start: int, copies: dict[int, int], depth: dict[int, int],
    limit: int, file: str | None,
) -> None:  # fmt: skip
    """Copies that placing a block makes, and how deep it nests, without recursion."""
    if start in copies:
        return
    path: list[int] = [start]
    on_path = {start}
    todo = [iter(tree.inside.get(start, []))]
    while todo:
        for insert in todo[-1]:
            if insert.block in on_path:
                raise SeamwrightError.of(
                    "dxf.block-cycle",
                    f'block "{records.blocks[insert.block].name}" contains itself',
                    file=file,
                    line=records.line(insert.row),
                    hint="the file is broken or hostile: ask for it again",
                )
            if insert.block not in copies:
                path.append(insert.block)
                on_path.add(insert.block)
                todo.append(iter(tree.inside.get(insert.block, [])))
                break
        else:
            block = path.pop()
            on_path.discard(block)
            todo.pop()
            inner = tree.inside.get(block, [])
            copies[block] = sum(i.cells * (1 + copies[i.block]) for i in inner)
            depth[block] = 1 + max((depth[i.block] for i in inner), default=0)
            if depth[block] > limit + 1:
                raise SeamwrightError.of(
                    "dxf.nesting",
                    f"blocks are nested more than {limit} deep",
                    file=file,
                    measured=float(depth[block] - 1),
                    limit=float(limit),
                    hint="if you trust the file: --limit depth=32, which is the most",
                )


def expand(
    tree: Tree, block: IntArray, matrix: FloatArray, layer: IntArray, group: IntArray,
    stop: frozenset[int] = frozenset(),
) -> Placements:  # fmt: skip
    """The given placements and all that their blocks place in turn.

    Blocks in `stop` are not entered: they are placed elsewhere, as pieces of their own.
    """
    blocks, matrices, layers, groups = [block], [matrix], [layer], [group]
    while block.size:
        next_block, next_matrix, next_layer, next_group = [], [], [], []
        for own in np.unique(block).tolist():
            inner = [i for i in tree.inside.get(own, []) if i.block not in stop]
            if not inner:
                continue
            here = np.flatnonzero(block == own)
            for insert in inner:
                cells = insert.matrices()
                made = then(matrix[here][:, None], cells[None]).reshape(-1, 2, 3)
                _within_reason(made)
                count = here.size * insert.cells
                next_block.append(np.full(count, insert.block, np.int64))
                next_matrix.append(made)
                # Content on layer 0 takes the layer of its INSERT, which may be 0 itself.
                own_layer = np.full(here.size, insert.layer, np.int64)
                if insert.layer == 0:
                    own_layer = layer[here]
                next_layer.append(np.repeat(own_layer, insert.cells))
                next_group.append(np.repeat(group[here], insert.cells))
        if not next_block:
            break
        block, matrix = np.concatenate(next_block), np.concatenate(next_matrix)
        layer, group = np.concatenate(next_layer), np.concatenate(next_group)
        blocks.append(block)
        matrices.append(matrix)
        layers.append(layer)
        groups.append(group)
    return Placements(
        np.concatenate(blocks), np.concatenate(matrices), np.concatenate(layers),
        np.concatenate(groups),
    )  # fmt: skip


def _within_reason(matrices: FloatArray) -> None:
    """Blocks that enlarge blocks that enlarge blocks: beyond this, figures lose their meaning."""
    if not float(np.abs(matrices).max(initial=0.0)) <= LARGEST:
        raise SeamwrightError.of(
            "dxf.enlarged",
            "blocks in the drawing are enlarged, or moved, beyond all reason",
            limit=LARGEST,
            hint="look for a slip in the scale of an INSERT, or ask for the file again",
        )


def say_uneven(records: Records, tree: Tree) -> None:
    """Note INSERTs that stretch unevenly: notch depths follow their direction, widths too."""
    for insert in tree.inserts:
        a, b = insert.matrix[:, 0], insert.matrix[:, 1]
        if abs(math.hypot(*a) - math.hypot(*b)) > 1e-9 * max(math.hypot(*a), math.hypot(*b)):
            records.findings.append(
                Finding(
                    code="dxf.uneven-scale",
                    severity=Severity.WARNING,
                    message=f'block "{records.blocks[insert.block].name}" is placed stretched '
                    "more in one direction than in the other",
                    line=records.line(insert.row),
                    hint="a piece that is stretched so no longer sews to its neighbours: ask why",
                )
            )
