"""The rest of a glued sheet pressed flat, the length of every seam edge held exactly.

Minimises the energy of `energy.py` over the vertex positions, subject to |x_j - x_i| = length
for every seam edge while some coordinates stay where they are: sequential quadratic programming
(Nocedal, Wright: Numerical Optimization, chapter 18). Each step solves

    [ H   A' ] [ step ]   [ -gradient ]
    [ A   0  ] [ pull ] = [ -gap      ]

by one sparse factorisation (`system.py`). H is projected to be positive while the steps are long
and exact when they are short. The pull of the edges is in H, too: an edge under tension resists
being turned aside.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .energy import Elements, State, Strain, energy, evaluate, hessian_entries
from .kinds import BoolArray, FloatArray, IntArray, PressError
from .system import System

__all__ = ["Solution", "press_flat"]

_MOST_STEPS = 60
_AT_REST = 1e-6  # of an edge: no vertex moves farther than this in the last step
_SHORT = 0.05  # of an edge: steps below this use the exact Hessian
_GAP = 1e-12  # of an edge: how far off its length it may be


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """Positions (V, 2) at rest; pull (E,) of each seam edge, in tension where positive; strain;
    steps taken; the largest error of a held length, mm."""

    points: FloatArray
    pulls: FloatArray
    strain: Strain
    iterations: int
    gap: float


def press_flat(
    sheet: Elements,
    start: FloatArray,
    free: BoolArray,
    edges: IntArray,
    lengths: FloatArray,
    *,
    compression: float,
) -> Solution:
    """The sheet at rest, started from positions start (V, 2).

    free (V, 2): the coordinates that may move. edges (E, 2), lengths (E,): pairs of vertices
    whose distance is held; pairs that cannot move are left alone. compression: stiffness of a
    shortened direction, that of a lengthened one being 1. Raises PressError (`solve`) if no rest
    is found.
    """
    pulls = np.zeros(len(edges))
    moves = free[edges].reshape(-1, 4).any(axis=1)
    task = _Task(sheet, free, edges[moves], lengths[moves], compression)
    points = start.copy()
    pull, size, price = pulls[moves], np.inf, 0.0
    for taken in range(1, _MOST_STEPS + 1):
        state = task.state(points)
        exact = size < _SHORT * task.scale
        step, pull_there = task.newton(points, state, pull, projected=not exact)
        price = max(price, 1.5 * float(np.abs(pull_there).max(initial=0.0)))
        if exact and task.slope(points, state, step, price) > 0.0:
            step, pull_there = task.newton(points, state, pull, projected=True)
        share = task.search(points, state, step, price)
        points = points + share * step
        pull = pull + share * (pull_there - pull)
        size = share * float(np.abs(step).max(initial=0.0))
        if share == 1.0 and size < _AT_REST * task.scale and task.off(points) < _GAP * task.scale:
            pulls[moves] = pull
            strain = evaluate(sheet, points, compression).strain
            return Solution(points, pulls, strain, taken, task.off(points))
    raise PressError("solve", f"the pressed sheet has not come to rest in {_MOST_STEPS} steps")


class _Task:
    """One sheet with its held edges: what Newton's method asks of it."""

    def __init__(
        self,
        sheet: Elements,
        free: BoolArray,
        edges: IntArray,
        lengths: FloatArray,
        compression: float,
    ) -> None:
        self.sheet, self.free, self.edges, self.lengths = sheet, free, edges, lengths
        self.compression = compression
        self.scale = float(np.sqrt(2.0 * sheet.area.mean()))
        self.system = System(free, sheet.corners, edges)
        corner = 2 * sheet.corners.T[:, None, :] + np.arange(2)[None, :, None]
        self._place = corner.ravel()

    def state(self, points: FloatArray) -> State:
        return evaluate(self.sheet, points, self.compression)

    def gradient(self, state: State) -> FloatArray:
        """(V, 2), zero where nothing may move."""
        total = np.bincount(
            self._place, weights=state.gradient.ravel(), minlength=self.free.size
        ).reshape(-1, 2)
        return np.where(self.free, total, 0.0)

    def away(self, points: FloatArray) -> FloatArray:
        """Each edge as a vector (E, 2)."""
        vectors: FloatArray = points[self.edges[:, 1]] - points[self.edges[:, 0]]
        return vectors

    def gap(self, points: FloatArray) -> FloatArray:
        """(|edge|^2 - length^2) / 2 length: how much too long each edge is, smooth at 0."""
        result: FloatArray = 0.5 * (
            (self.away(points) ** 2).sum(axis=1) / self.lengths - self.lengths
        )
        return result

    def off(self, points: FloatArray) -> float:
        """The largest error of a held length, mm."""
        return float(np.abs(np.hypot(*self.away(points).T) - self.lengths).max(initial=0.0))

    def newton(
        self, points: FloatArray, state: State, pull: FloatArray, *, projected: bool
    ) -> tuple[FloatArray, FloatArray]:
        """Step (V, 2) and the pull (E,) of the edges at its end."""
        towards = (self.away(points) / self.lengths[:, None]).T
        slopes = np.concatenate([-towards, towards])
        stiff = (np.maximum(pull, 0.0) if projected else pull) / self.lengths
        blocks = hessian_entries(state, projected=projected)
        self.system.factor(blocks, stiff, slopes)
        return self.system.solve(-self.gradient(state), -self.gap(points))

    def slope(self, points: FloatArray, state: State, step: FloatArray, price: float) -> float:
        """Of the merit along the step."""
        force = float((self.gradient(state) * step).sum())
        return force - price * float(np.abs(self.gap(points)).sum())

    def merit(self, points: FloatArray, price: float) -> float:
        gaps = float(np.abs(self.gap(points)).sum())
        return energy(self.sheet, points, self.compression) + price * gaps

    def search(self, points: FloatArray, state: State, step: FloatArray, price: float) -> float:
        """The share of the step that lowers energy and gaps: 1 nearly always."""
        before = state.energy + price * float(np.abs(self.gap(points)).sum())
        slope = min(self.slope(points, state, step, price), 0.0)
        noise = 1e-10 * (abs(before) + self.scale**2)
        share = 1.0
        while self.merit(points + share * step, price) > before + 1e-4 * share * slope + noise:
            share *= 0.5
            if share < 1e-6:
                raise PressError("solve", "no step lowers the strain of the pressed sheet")
        return share
