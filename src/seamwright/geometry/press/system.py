"""The sparse matrix of one Newton step: pattern and order found once, numbers filled in often."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from .energy import COLUMNS, ROWS
from .kinds import FloatArray, IntArray

if TYPE_CHECKING:
    from types import ModuleType

__all__ = ["System"]

# A small number below zero in the empty corner of the matrix makes it quasi-definite: it then
# has a factorisation in any order without pivoting (Vanderbei: Symmetric Quasidefinite Matrices,
# SIAM J. Optim. 5(1), 1995). Refining the solution takes its effect away again.
_SOFT = 1e-7
_MOST_REFINEMENTS = 4
_PULL_ROWS, _PULL_COLUMNS = np.tril_indices(4)
_SAME_AXIS = _PULL_ROWS % 2 == _PULL_COLUMNS % 2
_SAME_END = _PULL_ROWS // 2 == _PULL_COLUMNS // 2
_PULL = np.where(_SAME_AXIS, np.where(_SAME_END, 1.0, -1.0), 0.0)


def _sparse() -> tuple[ModuleType, ModuleType]:
    import scipy.sparse  # noqa: PLC0415 - heavy, and needed only when a sheet is pressed
    import scipy.sparse.linalg  # noqa: PLC0415 - as above

    return scipy.sparse, scipy.sparse.linalg


class System:
    """Unknowns: the free coordinates, then one pull for each held edge.

    unknown (V, 2): number of each coordinate, -1 where it stays. corners (T, 3), edges (E, 2):
    vertex numbers.
    """

    def __init__(self, unknown: IntArray, corners: IntArray, edges: IntArray) -> None:
        self.moving = int(unknown.max(initial=-1)) + 1
        self.size = self.moving + len(edges)
        corner = unknown[corners].reshape(len(corners), 6).T  # (6, T)
        ends = unknown[edges].reshape(len(edges), 4).T  # (4, E)
        own = self.moving + np.arange(len(edges))
        rows = [corner[ROWS].ravel(), ends[_PULL_ROWS].ravel(), np.tile(own, 4), own]
        columns = [corner[COLUMNS].ravel(), ends[_PULL_COLUMNS].ravel(), ends.ravel(), own]
        r, c = np.concatenate(rows), np.concatenate(columns)
        self._used = np.flatnonzero((r >= 0) & (c >= 0))
        self._soft = np.full(len(edges), -_SOFT)
        self._lay_out(r[self._used], c[self._used])

    def _lay_out(self, r: IntArray, c: IntArray) -> None:
        """Elimination order, and for each entry its slot in the compressed columns."""
        sparse, linalg = _sparse()
        rows, columns = np.concatenate([r, c]), np.concatenate([c, r])
        pattern = sparse.csc_matrix(
            (np.full(len(rows), 1e-3), (rows, columns)), shape=(self.size, self.size)
        )
        pattern.setdiag(1e3)
        order = linalg.splu(
            pattern,
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            options={"SymmetricMode": True},
        )
        self._place = np.asarray(order.perm_c, dtype=np.int64)
        r, c = self._place[r], self._place[c]
        off = r != c
        flat = np.concatenate([c * self.size + r, (r * self.size + c)[off]])
        keys, self._slot = np.unique(flat, return_inverse=True)
        self._source = np.concatenate([np.arange(len(r)), np.flatnonzero(off)])
        self._indices = (keys % self.size).astype(np.int32)
        starts = np.searchsorted(keys, np.arange(self.size + 1) * self.size)
        self._starts = starts.astype(np.int32)
        self._matrix: Any = None
        self._factors: Any = None

    def factor(self, blocks: FloatArray, stiff: FloatArray, slopes: FloatArray) -> None:
        """blocks (21, T): element matrices; stiff (E,): pull by length of each held edge;
        slopes (4, E): how its gap grows as its ends move."""
        sparse, linalg = _sparse()
        pulls = _PULL[:, None] * stiff
        values = np.concatenate([blocks.ravel(), pulls.ravel(), slopes.ravel(), self._soft])
        data = np.bincount(
            self._slot, weights=values[self._used][self._source], minlength=len(self._indices)
        )
        self._matrix = sparse.csc_matrix(
            (data, self._indices, self._starts), shape=(self.size, self.size)
        )
        self._factors = linalg.splu(
            self._matrix,
            permc_spec="NATURAL",
            diag_pivot_thresh=0.0,
            options={"SymmetricMode": True},
        )

    def solve(self, right: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Steps of the free coordinates, and pulls (E,), for a right-hand side."""
        b = np.empty_like(right)
        b[self._place] = right
        own = self._place[self.moving :]
        x = self._factors.solve(b)
        enough = 1e-13 * float(np.abs(b).max(initial=1e-300))
        for _ in range(_MOST_REFINEMENTS):
            rest = b - self._matrix @ x
            rest[own] -= _SOFT * x[own]
            if float(np.abs(rest).max(initial=0.0)) <= enough:
                break
            x = x + self._factors.solve(rest)
        found = x[self._place]
        return found[: self.moving], found[self.moving :]
