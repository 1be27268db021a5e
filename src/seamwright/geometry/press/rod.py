"""The edge as an elastic rod that cannot stretch: no mesh, smooth, of exact length.

The rod keeps the original edge's curvature as its own. Stretches are cut out of it, the ends
joined with one tangent, and then it is bent back so that both its ends and their tangents are
where they were, with as little bending as possible: the least integral of (change of tangent
angle)'^2, under two conditions that close the gap. Newton's method on a tridiagonal matrix with
a border of two, for many edges at once.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ..curve import Curve
from .bend import bent
from .cap import PressedEdge, is_simple
from .kinds import FloatArray, IntArray, PressError
from .outline import seam_points
from .taken import Taken

__all__ = ["bend_rod", "bend_rods"]

ComplexArray = NDArray[np.complex128]


def bend_rod(
    edge: Curve,
    taken: Taken,
    *,
    marks: Sequence[float] = (),
    fixed_below: tuple[float, float] = (0.0, 0.0),
    step: float = 2.0,
) -> PressedEdge:
    """One edge with stretches taken out, as a rod; see `bend_rods`."""
    return bend_rods([edge], [taken], marks=[marks], fixed_below=[fixed_below], step=step)[0]


def bend_rods(
    edges: Sequence[Curve],
    taken: Sequence[Taken],
    *,
    marks: Sequence[Sequence[float]] | None = None,
    fixed_below: Sequence[tuple[float, float]] | None = None,
    step: float = 2.0,
) -> list[PressedEdge]:
    """Many edges (the sizes of one style) with stretches taken out, all bent at once.

    edges: open Curves, mm. taken: one for each. marks: lengths along each that become vertices.
    fixed_below: this much from the start and from the end of each stays where it is. step: of
    the polylines, mm. Ends and end tangents of what moves stay; jogs of a slash are passed over.

    Raises PressError: `held` (a stretch in what must stay), `overlap` (an end taken out),
    `solve` (too much taken out for the ends to meet), `crossing`.
    """
    many = len(edges)
    all_marks = [()] * many if marks is None else marks
    below = [(0.0, 0.0)] * many if fixed_below is None else fixed_below
    rods = [
        _Rod(edge, gone, own, kept, step)
        for edge, gone, own, kept in zip(edges, taken, all_marks, below, strict=True)
    ]
    most = max((rod.pieces for rod in rods), default=0)
    chords = np.zeros((many, most), dtype=np.complex128)
    kinks = np.zeros((many, most + 1))
    steps = np.ones((many, most))
    for i, rod in enumerate(rods):
        chords[i, : rod.pieces] = rod.chords
        kinks[i, : rod.pieces + 1] = rod.kinks
        steps[i, : rod.pieces] = rod.steps
    ends = np.array([rod.gap for rod in rods], dtype=np.complex128)
    counts = np.array([rod.pieces for rod in rods])
    bend = bent(chords, kinks, steps, ends, counts)
    if not bend.at_rest.all():
        raise PressError("solve", "the ends of the rod do not come back to their places")
    return [
        rod.finished(bend.turned[i, : rod.pieces], bend.iterations) for i, rod in enumerate(rods)
    ]


class _Rod:
    """One edge sampled: chords and lengths of its pieces that may turn, and the turn that each
    joint lost."""

    def __init__(
        self,
        edge: Curve,
        taken: Taken,
        marks: Sequence[float],
        below: tuple[float, float],
        step: float,
    ) -> None:
        low, high = below[0], edge.length - below[1]
        _check(edge, taken, low, high)
        stops = [s for s in (*marks, low, high) if 0.0 < s < edge.length]
        gone = [(float(a), float(b)) for a, b in zip(taken.starts, taken.ends, strict=True)]
        seam = seam_points(edge, gone, stops, step)
        self.taken, self.below = taken, below
        self.old = seam.lengths
        points = edge.point_at(self.old)
        points[0], points[-1] = edge.start, edge.end
        self.points: ComplexArray = points[:, 0] + 1j * points[:, 1]
        moving = (self.old > low + 1e-9) & (self.old < high - 1e-9)
        self.first = int(np.flatnonzero(moving)[0]) - 1
        self.last = int(np.flatnonzero(moving)[-1]) + 1
        # Pieces between neighbours; those over a stretch taken out are no pieces.
        starts = np.arange(self.first, self.last)
        self.starts: IntArray = np.setdiff1d(starts, seam.breaks)
        self.chords = self.points[self.starts + 1] - self.points[self.starts]
        self.steps = self.old[self.starts + 1] - self.old[self.starts]
        self.pieces = len(self.starts)
        self.gap = complex(self.points[self.last] - self.points[self.first])
        turns = _turns(edge, taken)
        self.kinks = np.zeros(self.pieces + 1)
        self.kinks[np.searchsorted(self.starts, seam.breaks)] = turns

    def finished(self, turned: FloatArray, iterations: int) -> PressedEdge:
        """The edge with its pieces turned by angles (N,)."""
        chain = self.points[self.first] + np.cumsum(self.chords * np.exp(1j * turned))
        chain[-1] = self.points[self.last]
        z = np.concatenate([self.points[: self.first + 1], chain, self.points[self.last + 1 :]])
        old = np.concatenate(
            [self.old[: self.first + 1], self.old[self.starts + 1], self.old[self.last + 1 :]]
        )
        points = np.stack([z.real, z.imag], axis=1)
        if not is_simple(points):
            raise PressError("crossing", "the bent edge crosses itself: take out less")
        return PressedEdge(
            points=points,
            lengths=self.taken.after(old),
            taken=self.taken,
            mouths=np.stack([self.taken.starts, self.taken.ends], axis=1),
            jogs=np.empty((0, 2), dtype=np.int64),
            held=self.below,
            apexes=np.empty((0, 2, 2)),
            strain=None,
            sheet=None,
            iterations=iterations,
            model="rod",
        )


def _check(edge: Curve, taken: Taken, low: float, high: float) -> None:
    if edge.closed:
        raise PressError("order", "a rod is an open curve")
    if not 0.0 <= low < high <= edge.length:
        raise PressError("held", "no stretch of the edge is left to move")
    for a, b in zip(taken.starts, taken.ends, strict=True):
        if a <= 0.0 or b >= edge.length:
            raise PressError("overlap", "an end of the edge is taken out")
        if a <= low or b >= high:
            raise PressError(
                "held", f"what is taken out from {a:.4g} to {b:.4g} mm lies in what must stay"
            )


def _turns(edge: Curve, taken: Taken) -> FloatArray:
    """How far the tangent turns over each stretch taken out, radians."""
    if not len(taken.starts):
        return np.empty(0)
    # In small parts, so that no part turns by more than half a circle.
    share = np.linspace(0.0, 1.0, 9)
    s = taken.starts[:, None] + share * (taken.ends - taken.starts)[:, None]
    tangents = edge.tangent_at(s.ravel()).reshape(*s.shape, 2)
    z = tangents[..., 0] + 1j * tangents[..., 1]
    turns: FloatArray = np.angle(z[:, 1:] / z[:, :-1]).sum(axis=1)
    return turns
