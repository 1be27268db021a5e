"""The new edge back to curves: few smooth cubics, each side of exactly its length."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ..curve import Curve
from .cap import PressedEdge, is_simple
from .chainfit import ChainTask, ComplexArray, fit_chain
from .jogs import close_jogs
from .kinds import BoolArray, FloatArray, PressError
from .tangents import first_tangent, last_tangent

__all__ = ["SmoothEdge", "edge_to_curves", "joints_for"]

_CORNER_DEGREES = 20.0
_LEAST_OWN, _MOST_OWN = 3, 6  # segments a side: an edge in fewer or more is divided evenly
_EVENLY = 4
_NARROWEST = 12.0  # mm: joints keep this apart
_REFININGS = 3


@dataclass(frozen=True, slots=True, eq=False)
class SmoothEdge:
    """curve: the new edge. sides (S,): lengths of its sides. joints: lengths along it where its
    moving segments meet. deviation: how far it lies at most from the pressed points, their jogs
    closed; trued: how far points were moved at most to close the jogs (half of the largest)."""

    curve: Curve
    sides: FloatArray
    joints: FloatArray
    deviation: float
    trued: float


def joints_for(pressed: PressedEdge, edge: Curve, split: Sequence[float]) -> FloatArray:
    """Lengths along the new edge where its segments should meet: where the original's did, if
    those are three to six segments a side, else evenly.

    To have as many segments in every size, take these from the base size and give them to
    `edge_to_curves` in the other sizes as shares of the sides.
    """
    low, high = pressed.held[0], pressed.length - pressed.held[1]
    marks = [low, *sorted(s for s in split if low < s < high), high]
    corners = edge.cumulative[edge.corner_segments(_CORNER_DEGREES)]
    original = pressed.taken.after(edge.cumulative[1:-1])
    found: list[float] = []
    for a, b in pairwise(marks):
        own = [s for s in original.tolist() if a < s < b]
        sharp = [s for s in pressed.taken.after(corners).tolist() if a < s < b]
        if not _LEAST_OWN <= len(own) + 1 <= _MOST_OWN:
            own = [a + (b - a) * i / _EVENLY for i in range(1, _EVENLY)]
        chosen = [a, *sharp, b]
        for s in own:
            if min(abs(s - c) for c in chosen) >= _NARROWEST:
                chosen.append(s)
        found.extend(chosen)
    return np.unique(found)


def edge_to_curves(
    pressed: PressedEdge,
    edge: Curve,
    *,
    split: Sequence[float] = (),
    joints: Sequence[float] | FloatArray | None = None,
    tolerance: float = 0.2,
    jog_reach: float | None = None,
) -> SmoothEdge:
    """A pressed edge as a Curve.

    split: lengths along the new edge (the shoulder point); between them, and the ends, each side
    has exactly its length: the original's less what was taken out of it. joints: lengths where
    segments meet (default `joints_for`, and then more of them, if it takes more to come within
    `tolerance` mm of the pressed points). jog_reach: how far on both
    sides of a jog the edge is led over to close it (default 15 times the jog, at least 30 mm).

    Tangents are continuous except at corners of the original (20 degrees or more); those at the
    ends are the original's. What the pressing held in place comes back as the original's very
    segments. Raises PressError (`fit`, `crossing`).
    """
    low, high = pressed.held[0], pressed.length - pressed.held[1]
    marks = np.array([low, *sorted(s for s in split if low < s < high), high])
    given = joints_for(pressed, edge, split) if joints is None else joints
    at = np.unique(np.concatenate([np.asarray(given, dtype=np.float64), marks]))
    at = at[(at >= low) & (at <= high)]
    lengths, points, moved = _closed(pressed, marks, jog_reach)
    for refining in range(_REFININGS + 1):
        chain = fit_chain(_task(pressed, edge, marks, at, lengths, points))
        curve = _whole(pressed, edge, np.stack([chain.real, chain.imag], axis=-1))
        more = _refined(at, lengths, curve.nearest(points).distances > tolerance)
        if joints is not None or refining == _REFININGS or len(more) == len(at):
            break
        at = more
    if not is_simple(curve.flatten(0.05)):
        raise PressError("crossing", "the smooth edge crosses itself: take out less")
    deviation = float(curve.nearest(points).distances.max())
    sides = _sides(curve, pressed, marks)
    wanted = np.diff([0.0, *marks[1:-1], pressed.length])
    if np.abs(sides - wanted).max() > 1e-6:
        raise PressError("fit", "the sides of the smooth edge are not of their length")
    return SmoothEdge(curve, sides, at, deviation, float(moved.max()))


def _refined(at: FloatArray, lengths: FloatArray, off: BoolArray) -> FloatArray:
    """Joints with those segments halved that have points too far off, and room for it."""
    which = np.clip(np.searchsorted(at, lengths[off], side="right") - 1, 0, len(at) - 2)
    halves = np.unique(which)
    halves = halves[np.diff(at)[halves] >= 2.0 * _NARROWEST]
    return np.sort(np.concatenate([at, 0.5 * (at[halves] + at[halves + 1])]))


def _closed(
    pressed: PressedEdge, marks: FloatArray, reach: float | None
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Lengths (N,) and points (N, 2) of the pressed edge with its jogs closed, and how far each
    was moved for that."""
    points = close_jogs(pressed.points, pressed.lengths, pressed.jogs, marks, reach)
    kept = np.ones(len(points), dtype=np.bool_)
    for first, last in pressed.jogs.tolist():
        kept[first + 1 : last] = False
    moved = np.hypot(*(points - pressed.points).T)
    return pressed.lengths[kept], points[kept], moved[kept]


def _task(
    pressed: PressedEdge,
    edge: Curve,
    marks: FloatArray,
    at: FloatArray,
    lengths: FloatArray,
    points: FloatArray,
) -> ChainTask:
    low, high = marks[0], marks[-1]
    z = points[:, 0] + 1j * points[:, 1]
    used = (lengths >= low) & (lengths <= high)
    places = np.interp(at, lengths, z.real) + 1j * np.interp(at, lengths, z.imag)
    leaving, arriving = _directions(lengths, z, at)
    corner = np.isin(np.round(at, 6), np.round(_corners(pressed, edge), 6))
    smooth = leaving + arriving
    smooth = smooth / np.maximum(np.abs(smooth), 1e-300)
    leaving[~corner] = smooth[~corner]
    arriving[~corner] = smooth[~corner]
    before, after = _still(pressed, edge)
    leaving[0] = first_tangent(edge) if before is None else last_tangent(before)
    arriving[-1] = last_tangent(edge) if after is None else first_tangent(after)
    return ChainTask(
        points=z[used],
        lengths=lengths[used],
        joints=at,
        places=places,
        corner=corner,
        leaving=leaving,
        arriving=arriving,
        sides=np.flatnonzero(np.isin(at, marks)),
    )


def _corners(pressed: PressedEdge, edge: Curve) -> FloatArray:
    corners: FloatArray = pressed.taken.after(
        edge.cumulative[edge.corner_segments(_CORNER_DEGREES)]
    )
    return corners


def _directions(
    lengths: FloatArray, z: ComplexArray, at: FloatArray
) -> tuple[ComplexArray, ComplexArray]:
    """Unit directions of the polyline after and before places along it."""
    steps = np.diff(z)
    steps = steps / np.maximum(np.abs(steps), 1e-300)
    after = np.clip(np.searchsorted(lengths, at + 1e-6, side="right") - 1, 0, len(steps) - 1)
    before = np.clip(np.searchsorted(lengths, at - 1e-6, side="left") - 1, 0, len(steps) - 1)
    return steps[after], steps[before]


def _still(pressed: PressedEdge, edge: Curve) -> tuple[Curve | None, Curve | None]:
    """The original at both ends, where it was held."""
    low, high = pressed.held
    before = edge.part(0.0, low) if low > 0.0 else None
    after = edge.part(edge.length - high, edge.length) if high > 0.0 else None
    return before, after


def _whole(pressed: PressedEdge, edge: Curve, segments: FloatArray) -> Curve:
    """The fitted segments between the original's own that did not move."""
    before, after = _still(pressed, edge)
    segments[0, 0] = before.end if before is not None else edge.start
    segments[-1, 3] = after.start if after is not None else edge.end
    curve = Curve.from_segments(segments)
    if before is not None:
        curve = before.joined(curve)
    if after is not None:
        curve = curve.joined(after)
    return curve


def _sides(curve: Curve, pressed: PressedEdge, marks: FloatArray) -> FloatArray:
    """Lengths of the sides, measured on the curve between its own joints."""
    cumulative = curve.cumulative
    nearest = np.abs(cumulative[:, None] - marks[1:-1]).argmin(axis=0)
    return np.diff([0.0, *cumulative[nearest], curve.length])
