"""A seam line made from a cut line and one seam allowance for all edges."""

from __future__ import annotations

import numpy as np

from seamwright.geometry import Curve, FloatArray, GeometryError
from seamwright.geometry.offset import offset_open


def seam_from_cut(cut: Curve, allowance: float, threshold: float) -> Curve:
    """The closed curve `allowance` mm inside a closed cut line.

    Each run between corners is moved inside by itself; neighbours are cut off where they cross,
    and extended to their meeting point where they part (the corner is kept sharp).
    Raises GeometryError where nothing sensible is left.
    """
    if cut.area < 0.0:
        cut = cut.reversed()
    if allowance == 0.0:
        return cut
    corners = cut.corner_segments(threshold)
    if len(corners) == 0:
        whole = offset_open(cut.part(0.0, cut.length), -allowance)
        return whole.closed_up(0.05)
    at = cut.cumulative[corners]
    runs = [
        offset_open(cut.part(float(a), float(b)), -allowance)
        for a, b in zip(at, np.roll(at, -1), strict=True)
    ]
    if len(runs) == 1:
        runs = list(_halves(runs[0]))
    for i in range(len(runs)):
        j = (i + 1) % len(runs)
        runs[i], runs[j] = _met(runs[i], runs[j])
    out = runs[0]
    for run in runs[1:]:
        out = out.joined(run, tolerance=1e-6)
    seam = out.closed_up(1e-6)
    if not 0.0 < seam.area < cut.area:
        raise GeometryError("the allowance is wider than the piece")
    return seam


def _halves(run: Curve) -> tuple[Curve, Curve]:
    """One run from a lone corner round to itself, as two that meet in the middle and there."""
    first, second = run.split([run.length / 2])
    return first, second


def _met(before: Curve, after: Curve) -> tuple[Curve, Curve]:
    """The end of one run and the start of the next, cut or extended to one point."""
    crossing = before.intersections(after)
    if len(crossing.own):
        # Of several crossings the one nearest to the corner, from both sides.
        from_corner = (before.length - crossing.own) + crossing.others
        i = int(from_corner.argmin())
        a, b = float(crossing.own[i]), float(crossing.others[i])
        if a > 1e-9 and b < after.length - 1e-9:
            first = before.part(0.0, a) if a < before.length - 1e-9 else before
            second = after.part(b, after.length) if b > 1e-9 else after
            return first, second
    end, start = before.end, after.start
    if float(np.hypot(*(end - start))) <= 1e-9:
        return before, after
    point = _lines_meet(
        end, before.tangent_at(before.length), start, after.tangent_at(0.0)
    )
    if float(np.hypot(*(point - end))) > 1e-9:
        before = before.joined(Curve.line(end, point))
    if float(np.hypot(*(point - start))) > 1e-9:
        after = Curve.line(point, start).joined(after)
    return before, after


def _lines_meet(p: FloatArray, u: FloatArray, q: FloatArray, v: FloatArray) -> FloatArray:
    cross = float(u[0] * v[1] - u[1] * v[0])
    if abs(cross) < 1e-6:
        raise GeometryError("two edges run on in the same direction and do not meet")
    s = float((q[0] - p[0]) * v[1] - (q[1] - p[1]) * v[0]) / cross
    return np.asarray(p + s * u)
