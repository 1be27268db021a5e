"""The sparse matrix of one Newton step: pattern and order found once, numbers filled in often.

Its unknowns come in pairs, one pair for each vertex (x, y) and one for each held edge (its pull,
and one that is not used), so that pattern and elimination order are found on the pairs. What must
not move, and what is not used, has a 1 on the diagonal and nothing beside it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from .energy import COLUMNS, ROWS
from .kinds import BoolArray, FloatArray, IntArray

if TYPE_CHECKING:
    from types import ModuleType

__all__ = ["System"]

# A small number below zero in the empty corner of the matrix makes it quasi-definite: it then
# has a factorisation in any order without pivoting (Vanderbei: Symmetric Quasidefinite Matrices,
# SIAM J. Optim. 5(1), 1995; from memory). Refining the solution takes its effect away again.
_SOFT = 1e-7
_MOST_REFINEMENTS = 4
# Which of the 21 numbers of a lower triangle stands at (row, column) of the 6 x 6 matrix.
_SQUARE = np.zeros((6, 6), dtype=np.int64)
_SQUARE[ROWS, COLUMNS] = _SQUARE[COLUMNS, ROWS] = np.arange(21)
# An edge under pull, at its ends x0 y0 x1 y1.
_PULL = np.kron(np.array([[1.0, -1.0], [-1.0, 1.0]]), np.eye(2))


def _sparse() -> tuple[ModuleType, ModuleType]:
    import scipy.sparse  # noqa: PLC0415 - heavy, and needed only when a sheet is pressed
    import scipy.sparse.linalg  # noqa: PLC0415 - as above

    return scipy.sparse, scipy.sparse.linalg


class System:
    """free (V, 2): coordinates that may move. corners (T, 3), edges (E, 2): vertex numbers."""

    def __init__(self, free: BoolArray, corners: IntArray, edges: IntArray) -> None:
        self._free = free
        many = len(edges)
        own = len(free) + np.arange(many)
        self._pairs = len(free) + many
        self.size = 2 * self._pairs
        # Blocks of pairs (row, column), in the order in which `factor` fills them.
        ends = edges.T.ravel()
        both = np.tile(own, 2)
        within = [np.repeat(corners.T, 3, axis=0), np.repeat(edges.T, 2, axis=0)]
        across = [np.tile(corners.T, (3, 1)), np.tile(edges.T, (2, 1))]
        self._lay_out(
            np.concatenate([*(part.ravel() for part in within), ends, both, own]),
            np.concatenate([*(part.ravel() for part in across), both, ends, own]),
        )
        live = np.concatenate([free, np.stack([np.ones(many), np.zeros(many)], axis=1)])
        self._live = live.astype(np.bool_)[self._order].ravel()
        self._constant = np.zeros(len(self._indices))
        column = np.repeat(np.arange(self.size), np.diff(self._starts))
        self._mask = (self._live[column] & self._live[self._indices]).astype(np.float64)
        self._constant[(column == self._indices) & ~self._live[column]] = 1.0
        self._triangles, self._edges = len(corners), many

    def _lay_out(self, rows: IntArray, columns: IntArray) -> None:
        """Elimination order of the pairs, and the place of each block in the compressed matrix."""
        pairs = self._pairs
        keys, block = np.unique(columns * pairs + rows, return_inverse=True)
        place = _elimination(keys, pairs)
        self._order = np.argsort(place)
        row, column = place[keys % pairs], place[keys // pairs]
        sorted_blocks = np.argsort(column * pairs + row)
        row, column = row[sorted_blocks], column[sorted_blocks]
        counts = np.bincount(column, minlength=pairs)
        first = np.cumsum(counts) - counts
        # Column 2c holds the block's rows in order, column 2c + 1 the same again.
        rank = np.arange(len(keys)) - first[column]
        at = np.empty(len(keys), dtype=np.int64)
        at[sorted_blocks] = 4 * first[column] + 2 * rank
        beside = np.empty(len(keys), dtype=np.int64)
        beside[sorted_blocks] = 2 * counts[column]
        self._at, self._beside = at[block], beside[block]
        starts = np.stack([4 * first, 4 * first + 2 * counts], axis=1).ravel()
        self._starts = np.append(starts, 4 * len(keys)).astype(np.int32)
        indices = np.empty(4 * len(keys), dtype=np.int32)
        for parity in (0, 1):
            indices[at[sorted_blocks] + parity] = 2 * row + parity
            indices[at[sorted_blocks] + 2 * counts[column] + parity] = 2 * row + parity
        self._indices = indices
        # Where each number of each block goes: row x, row y in column x, then in column y.
        self._slots = np.stack(
            [self._at, self._at + 1, self._at + self._beside, self._at + self._beside + 1]
        )

    def factor(self, blocks: FloatArray, stiff: FloatArray, slopes: FloatArray) -> None:
        """blocks (21, T): element matrices; stiff (E,): pull by length of each held edge;
        slopes (4, E): how its gap grows as its ends move (x0 y0 x1 y1)."""
        sparse, linalg = _sparse()
        many = self._edges
        # (column parity, row parity, row corner, column corner, triangle), flat but for parities.
        shape = (3, 2, 3, 2, self._triangles)
        elements = blocks[_SQUARE].reshape(shape).transpose(3, 1, 0, 2, 4).reshape(4, -1)
        pulls = (_PULL[:, :, None] * stiff).reshape(2, 2, 2, 2, many)
        pulls = pulls.transpose(3, 1, 0, 2, 4).reshape(4, -1)
        towards = np.zeros((4, 2, many))
        towards[0], towards[1] = slopes[0::2], slopes[1::2]  # in the column of the pull
        across = np.zeros((4, 2, many))
        across[0], across[2] = slopes[0::2], slopes[1::2]  # in its row
        corner = np.zeros((4, many))
        corner[0] = -_SOFT
        values = np.concatenate(
            [elements, pulls, towards.reshape(4, -1), across.reshape(4, -1), corner], axis=1
        )
        data = np.bincount(
            self._slots.ravel(), weights=values.ravel(), minlength=len(self._indices)
        )
        self._matrix: Any = sparse.csc_matrix(
            (data * self._mask + self._constant, self._indices, self._starts),
            shape=(self.size, self.size),
        )
        self._factors: Any = linalg.splu(
            self._matrix,
            permc_spec="NATURAL",
            diag_pivot_thresh=0.0,
            options={"SymmetricMode": True},
        )

    def solve(self, forces: FloatArray, gaps: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Step (V, 2) and pulls (E,) for right-hand sides (V, 2) and (E,)."""
        pairs = np.zeros((self._pairs, 2))
        pairs[: len(forces)] = forces
        pairs[len(forces) :, 0] = gaps
        b = np.where(self._live, pairs[self._order].ravel(), 0.0)
        softness = np.zeros((self._pairs, 2))
        softness[len(forces) :, 0] = _SOFT
        soft = softness[self._order].ravel()
        x = self._factors.solve(b)
        enough = 1e-13 * float(np.abs(b).max(initial=1e-300))
        for _ in range(_MOST_REFINEMENTS):
            rest = b - self._matrix @ x - soft * x
            if float(np.abs(rest).max(initial=0.0)) <= enough:
                break
            x = x + self._factors.solve(rest)
        found = np.empty((self._pairs, 2))
        found[self._order] = x.reshape(-1, 2)
        return found[: len(forces)], found[len(forces) :, 0]


def _elimination(keys: IntArray, pairs: int) -> IntArray:
    """Place (pairs,) of each pair in an order that leaves the factors sparse (minimum degree)."""
    sparse, linalg = _sparse()
    row, column = keys % pairs, keys // pairs
    starts = np.searchsorted(keys, np.arange(pairs + 1) * pairs)
    pattern = sparse.csc_matrix(
        (np.where(row == column, 1e3, 1e-3), row, starts), shape=(pairs, pairs)
    )
    factors = linalg.splu(
        pattern,
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )
    return np.asarray(factors.perm_c, dtype=np.int64)
