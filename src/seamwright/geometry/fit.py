"""A curve through a polyline's points: lines where it is straight, corners where it turns."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from .curve import Curve
from .evaluate import as_points, to_complex, to_real
from .fit_lines import straight_stretches
from .fit_run import direction_at, fit_run
from .kinds import CUBIC, LINE, ComplexArray, GeometryError, IntArray

#: A fit for one piece: its control points and its kind.
_Piece = tuple[ComplexArray, int]


def fit_cubics(
    points: ArrayLike,
    tolerance: float,
    *,
    corners: ArrayLike | None = None,
    closed: bool = False,
    start_tangent: ArrayLike | None = None,
    end_tangent: ArrayLike | None = None,
    threshold_degrees: float = 20.0,
) -> Curve:
    """A curve through points (N, 2) that stays within `tolerance` mm of their polyline, and the
    points within as much of it.

    corners: indices of points that stay sharp; by default those where the polyline turns by more
    than the threshold. Corners and ends are kept exactly; straight stretches become LINE
    segments; elsewhere the curve is smooth. Points nearer to each other than a hundredth of the
    tolerance are one. A polygon whose every vertex is a corner stays that polygon. start_tangent
    and end_tangent (2,) prescribe the direction of travel at the ends of an open fit.
    GeometryError: fewer than two different points, numbers that are not finite, a tolerance of 0.
    """
    if not (tolerance > 0.0 and np.isfinite(tolerance)):
        raise GeometryError("a fit needs a tolerance above 0")
    p = as_points(points)
    if not np.isfinite(p).all():
        raise GeometryError("a point to fit is not finite")
    if closed and (start_tangent is not None or end_tangent is not None):
        raise GeometryError("a closed fit has no ends to prescribe tangents for")
    z, place = _without_repetitions(to_complex(p), 0.01 * tolerance, closed)
    if z.shape[0] < 2:
        raise GeometryError("a fit needs at least two different points")
    if corners is None:
        sharp = _turning_points(z, threshold_degrees, closed)
    else:
        given = np.asarray(corners, dtype=np.int64).reshape(-1)
        if given.size and (given.min() < -p.shape[0] or given.max() >= p.shape[0]):
            raise GeometryError(f"a corner names a point outside 0..{p.shape[0] - 1}")
        sharp = np.unique(place[given])
    if closed:
        pieces, shift = _closed_pieces(z, sharp, tolerance)
    else:
        ends = _direction(start_tangent), _direction(end_tangent)
        marks = np.unique(np.concatenate(([0], sharp, [z.shape[0] - 1]))).tolist()
        pieces, shift = [], 0
        for i, j in pairwise(marks):
            a = ends[0] if i == 0 else 0j
            b = ends[1] if j == z.shape[0] - 1 else 0j
            pieces += _run_pieces(z[i : j + 1], a, b, tolerance)
    curve = Curve.from_segments(
        to_real(np.array([piece for piece, _ in pieces])),
        [kind for _, kind in pieces],
        closed=closed,
    )
    return curve if not shift else curve.started_at(shift)


def _without_repetitions(
    z: ComplexArray, least: float, closed: bool
) -> tuple[ComplexArray, IntArray]:
    """Points at least `least` apart, and for each given point which of them stands for it.

    The ends of an open run stay themselves.
    """
    keep = [0]
    place = np.zeros(z.shape[0], dtype=np.int64)
    for i in range(1, z.shape[0]):
        if abs(z[i] - z[keep[-1]]) > least:
            keep.append(i)
        place[i] = len(keep) - 1
    if closed:
        while len(keep) > 1 and abs(z[keep[-1]] - z[0]) <= least:
            place[place == len(keep) - 1] = 0
            keep.pop()
    elif len(keep) > 1 and keep[-1] != z.shape[0] - 1:
        keep[-1] = z.shape[0] - 1
    return z[keep], place


def _turning_points(z: ComplexArray, threshold: float, closed: bool) -> IntArray:
    """Indices where the polyline turns by more than the threshold in degrees."""
    step = np.diff(np.concatenate((z, z[:1]))) if closed else np.diff(z)
    if closed:
        turn, first = step / np.roll(step, 1), 0
    else:
        turn, first = step[1:] / step[:-1], 1
    return np.flatnonzero(np.abs(np.degrees(np.angle(turn))) > threshold) + first


def _direction(tangent: ArrayLike | None) -> complex:
    if tangent is None:
        return 0j
    x, y = np.asarray(tangent, dtype=np.float64)
    size = float(np.hypot(x, y))
    if not (size > 0.0 and np.isfinite(size)):
        raise GeometryError("a prescribed tangent needs a direction")
    return complex(x, y) / size


def _closed_pieces(z: ComplexArray, sharp: IntArray, tolerance: float) -> tuple[list[_Piece], int]:
    """Pieces all round, from the first corner on, and where among them point 0 begins."""
    count = z.shape[0]
    if sharp.size:
        first = int(sharp[0])
        ring = np.concatenate((z[first:], z[: first + 1]))
        marks = [*(sharp - first).tolist(), count]
        pieces: list[_Piece] = []
        for i, j in pairwise(marks):
            pieces += _run_pieces(ring[i : j + 1], 0j, 0j, tolerance)
    else:
        pieces = _smooth_ring(z, tolerance)
    starts = np.array([piece[0] for piece, _ in pieces])
    exact = np.flatnonzero(starts == z[0])
    return pieces, int(exact[0]) if exact.size else 0


def _smooth_ring(z: ComplexArray, tolerance: float) -> list[_Piece]:
    """Pieces round an outline without corners, begun where its longest line ends, else at point
    0 with one direction for both ends."""
    lines = straight_stretches(np.concatenate((z, z[:1])), tolerance)
    if lines:
        i, j = max(lines, key=lambda line: abs(z[line[1] % z.shape[0]] - z[line[0]]))
        through = _unit(z[j % z.shape[0]] - z[i])
        z = np.roll(z, -(j % z.shape[0]))
    else:
        through = direction_at(np.concatenate((z, z, z)), z.shape[0])
    ring = np.concatenate((z, z[:1]))
    return _run_pieces(ring, through, through, tolerance, prescribed=False)


def _run_pieces(
    z: ComplexArray, a: complex, b: complex, tolerance: float, *, prescribed: bool = True
) -> list[_Piece]:
    """Pieces for one run between corners, with directions a and b at its ends, 0 where free.

    Where they are prescribed, a line at an end that contradicts them is not one.
    """
    lines = straight_stretches(z, tolerance)
    last = z.shape[0] - 1
    if prescribed:
        lines = [
            (i, j)
            for i, j in lines
            if not (i == 0 and a and _differ(z[j] - z[i], a))
            and not (j == last and b and _differ(z[j] - z[i], b))
        ]
    pieces: list[_Piece] = []
    at = 0
    lead = a
    for i, j in [*lines, (last, last)]:
        follow = _unit(z[j] - z[i]) if j > i else b
        if i > at:
            pieces += [(c, CUBIC) for c in fit_run(z[at : i + 1], lead, follow, tolerance)]
        if j > i:
            pieces.append((z[i] + (z[j] - z[i]) * np.arange(4) / 3.0, LINE))
        at, lead = j, follow
    # Pieces must meet exactly, whatever rounding did to a line's far end.
    for k, (piece, kind) in enumerate(pieces[:-1]):
        if kind == LINE:
            piece[3] = pieces[k + 1][0][0]
    pieces[-1][0][3] = z[last]
    return pieces


def _unit(v: complex) -> complex:
    return complex(v / abs(v))


def _differ(v: complex, direction: complex) -> bool:
    """Whether v points more than a degree away from a direction."""
    return abs(float(np.angle(v / direction, deg=True))) > 1.0
