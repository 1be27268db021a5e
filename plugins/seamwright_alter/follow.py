"""The sleeve that follows an armhole: its underarm points moved, its cap as long as is wanted."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from seamwright.geometry import (
    LINE,
    Curve,
    FloatArray,
    GeometryError,
    IntArray,
    Station,
    arc_lengths,
    line_segments,
)
from seamwright.geometry.simple import crosses_itself
from seamwright.model import Shape
from seamwright.model.edit.replace_run import Replacement, replace_runs

from .armhole import shortened
from .sleeve import Sleeve, affine, apply

Knots = Sequence[tuple[float, float]]  # lengths along a half, before and after


def followed(
    sleeve: Sleeve, amount: float, halves: tuple[float, float], knots: tuple[Knots, Knots]
) -> Shape:
    """The sleeve with both underarm seams shorter by `amount` at the underarm, and both halves of
    the cap (in outline order) as long as asked, to 1e-9 mm.

    knots  for each half, in outline order and from its underarm point, where its marks go
    The cap is carried by the affine map that takes the underarm points and the shoulder point to
    the new ones; the shoulder point lies where both lengths come out (Newton on its two
    coordinates). GeometryError where there is no such cap.
    """
    seam = sleeve.shape.seam_line
    n = seam.n

    def run(numbers: IntArray) -> Curve:
        a, b = float(seam.cumulative[numbers[0]]), float(seam.cumulative[(numbers[-1] + 1) % n])
        return seam.part(a, b)

    into, cap, out = run(sleeve.seam_in), run(sleeve.cap), run(sleeve.seam_out)
    new_in = shortened(into, amount)
    new_out = shortened(out.reversed(), amount).reversed()
    ends = new_in.end, new_out.start
    at_top = float(cap.nearest(sleeve.shoulder[None]).lengths[0])
    new_cap = _cap(sleeve, cap, at_top, ends, halves)
    new_top = halves[0]

    first, last = knots
    whole = new_in.length + new_cap.length
    old = [0.0, into.length, *(into.length + a for a, _ in first)]
    new = [0.0, new_in.length, *(new_in.length + b for _, b in first)]
    old += [into.length + at_top, *(into.length + cap.length - a for a, _ in reversed(last))]
    new += [new_in.length + new_top, *(whole - b for _, b in reversed(last))]
    old += [into.length + cap.length, into.length + cap.length + out.length]
    new += [whole, whole + new_out.length]
    if (np.diff(new) < 0.0).any() or (np.diff(old) < 0.0).any():
        raise GeometryError("the notches of the cap would change their order")
    before, after = into.length, into.length + cap.length

    def carry(s: float) -> float:
        # Marks of an underarm seam keep their length from the wrist.
        if s < before - 1e-6:
            return min(s, new_in.length)
        if s > after + 1e-6:
            return max(whole + new_out.length - (after + out.length - s), whole)
        return float(np.interp(s, old, new))

    _nothing_lost(sleeve, into, amount, out)
    curve = new_in.joined(new_cap, tolerance=1e-6).joined(new_out, tolerance=1e-6)
    # Both seams begin and end at corners, so at joints.
    start = Station(int(sleeve.seam_in[0]), 0.0)
    end = Station((int(sleeve.seam_out[-1]) + 1) % n, 0.0)
    made = replace_runs(
        sleeve.shape, [Replacement(start=start, end=end, curve=curve, carry=carry)]
    ).shape
    if crosses_itself(made.seam_line):
        raise GeometryError("the sleeve's outline would cross itself")
    return made


def _nothing_lost(sleeve: Sleeve, into: Curve, amount: float, out: Curve) -> None:
    seam = sleeve.shape.seam_line
    for segments, side, ends in ((sleeve.seam_in, into, True), (sleeve.seam_out, out, False)):
        start = float(seam.cumulative[segments[0]])
        for notch in sleeve.shape.notches:
            along = (seam.length_of(notch.station) - start) % seam.length
            left = side.length - along if ends else along
            if 1e-6 < along < side.length - 1e-6 and left < amount:
                raise GeometryError(f'the notch "{notch.name}" lies in the seam that would go')


def _cap(
    sleeve: Sleeve,
    cap: Curve,
    at_top: float,
    ends: tuple[FloatArray, FloatArray],
    halves: tuple[float, float],
) -> Curve:
    first, second = cap.part(0.0, at_top), cap.part(at_top, cap.length)
    source = np.array([sleeve.first, sleeve.last, sleeve.shoulder])

    def matrix(top: FloatArray) -> FloatArray:
        return affine(source, np.array([*ends, top]))

    def off(top: FloatArray) -> FloatArray:
        m = matrix(top)
        return np.array(
            [
                float(arc_lengths(apply(m, c.segments)).sum()) - h
                for c, h in zip((first, second), halves, strict=True)
            ]
        )

    along = (ends[1] - ends[0]) / float(np.hypot(*(ends[1] - ends[0])))
    up = np.array([along[1], -along[0]])
    top = np.array(sleeve.shoulder)
    least = 0.15 * sleeve.height_of(sleeve.shoulder)
    for _ in range(40):
        here = off(top)
        if float(np.abs(here).max()) < 1e-10:
            break
        step = 1e-4
        slope = np.column_stack([(off(top + step * v) - here) / step for v in (along, up)])
        try:
            move = np.linalg.solve(slope, -here)
        except np.linalg.LinAlgError:
            raise GeometryError("no cap has edges as long as that") from None
        move *= min(1.0, 10.0 / max(float(np.hypot(*move)), 1e-12))
        top = top + move[0] * along + move[1] * up
        if float((top - ends[0]) @ up) < least:
            raise GeometryError("the cap would have to be lower than a sleeve can be")
    else:
        raise GeometryError("no cap has edges as long as that")
    # The shoulder point keeps its station, so the whole cap goes under one map.
    made = apply(matrix(top), cap.segments)
    made[0, 0], made[-1, 3] = ends
    straight = cap.kinds == LINE
    made[straight] = line_segments(made[straight, 0], made[straight, 3])
    return Curve.from_segments(made, cap.kinds)
