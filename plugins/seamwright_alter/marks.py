"""Marks over an alteration: notches by their length along the edge, the inside by its side."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from seamwright.geometry import LINE, Curve, FloatArray, GeometryError, Station
from seamwright.model import InternalLine, LineRole, Notch, Shape
from seamwright.model.edit import with_legs_equal
from seamwright.model.edit.wedge import wedge_of
from seamwright.model.numbering import number_notches
from seamwright.model.projection import project
from seamwright.model.turning import at_joint

_ON = 1e-6  # mm


def on_seam_line(shape: Shape) -> Shape:
    """The shape without its cut line, the notches that sat there laid on the seam line."""
    if shape.cut_line is None:
        return shape
    stray = [i for i, n in enumerate(shape.notches) if n.line is LineRole.CUT]
    notches = list(shape.notches)
    for i, foot in zip(stray, project([shape], [(0, i) for i in stray]), strict=True):
        notches[i] = replace(notches[i], station=foot.station, line=LineRole.SEAM)
    return shape.but(
        cut_line=None,
        allowances=(),
        notches=number_notches(notches, shape.seam_line, None),
        grade_points=tuple(
            g for g in shape.grade_points if g.station is None or g.line is LineRole.SEAM
        ),
    )


def edge_starts(shape: Shape) -> FloatArray:
    """Lengths (n + 1,) along the seam line at which the edges begin, and the whole length."""
    seam = shape.seam_line
    at = [float(seam.cumulative[c.station.segment]) for c in shape.corners]
    return np.array([*at, seam.length])


def edge_at(starts: FloatArray, at: float) -> int:
    """The edge in which a length along the seam line lies."""
    return int(np.searchsorted(starts[:-1], at, side="right")) - 1


class Along:
    """Where marks of an edge come to lie that became longer or shorter at one place of it: on
    both sides of that place they keep their way to the edge's end."""

    def __init__(self, *, old: float, new: float, place: float, tie_to_start: bool) -> None:
        self.old, self.new, self.place, self._tie = old, new, place, tie_to_start

    def after(self, x: float) -> bool:
        """Whether a mark x mm along lies beyond the place."""
        return x > self.place + (_ON if self._tie else -_ON)

    def __call__(self, x: float) -> float:
        """Its new way from the edge's start."""
        return self.new - (self.old - x) if self.after(x) else x


def carried_notches(
    old: Shape, new: Shape, edges: dict[int, Along], split: Callable[[Station], Station]
) -> tuple[Notch, ...]:
    """The notches of `old` on the new seam line. GeometryError where what was taken out of an
    edge held a notch."""
    was, now = edge_starts(old), edge_starts(new)
    made: list[Notch] = []
    reach: dict[int, float] = {}  # how far along its edge the notch before lies
    for notch in old.notches:
        at = old.seam_line.length_of(notch.station) % old.seam_line.length
        i = edge_at(was, at)
        rule = edges.get(i)
        if rule is None:
            made.append(replace(notch, station=split(notch.station)))
            continue
        x = rule(at - float(was[i]))
        if x < reach.get(i, 0.0) - _ON or x > rule.new + _ON:
            raise GeometryError(f'the notch "{notch.name}" lies in what would be taken out')
        reach[i] = x
        made.append(replace(notch, station=station(new.seam_line, float(now[i]) + x)))
    return number_notches(made, new.seam_line, None)


def carried_place(
    old: Shape, new: Shape, edges: dict[int, Along], split: Callable[[Station], Station], s: Station
) -> Station:
    """Another place of the old seam line, by the same rule."""
    was, now = edge_starts(old), edge_starts(new)
    at = old.seam_line.length_of(s) % old.seam_line.length
    i = edge_at(was, at)
    if i not in edges:
        return split(s)
    return station(new.seam_line, float(now[i]) + edges[i](at - float(was[i])))


def station(seam: Curve, at: float) -> Station:
    """A length along a closed seam line as a station, at the joint where there is one."""
    return at_joint(seam, seam.station_at(at % seam.length))


def shifted_inside(
    shape: Shape, origin: FloatArray, normal: FloatArray, shift: FloatArray
) -> Shape:
    """Everything inside a piece that lies beyond a line (where `normal` points) moved by `shift`;
    internal lines that cross it are stretched along the shift from end to end."""

    def far(p: Sequence[float]) -> float:
        return float((np.asarray(p, dtype=np.float64) - origin) @ normal)

    def point(p: tuple[float, float]) -> tuple[float, float]:
        if far(p) <= 0.0:
            return p
        return (float(p[0] + shift[0]), float(p[1] + shift[1]))

    def line(inner: InternalLine) -> InternalLine:
        points = inner.curve.segments.reshape(-1, 2)
        ends = (inner.curve.joints - origin) @ normal
        low, high = float(ends.min()), float(ends.max())
        if high <= _ON:
            return inner
        if low >= -_ON:
            return replace(inner, curve=inner.curve.translated(*map(float, shift)))
        weight = (((points - origin) @ normal) - low) / (high - low)
        segments = (points + weight[:, None] * shift).reshape(-1, 4, 2)
        curve = Curve.from_segments(segments, inner.curve.kinds, closed=inner.curve.closed)
        return replace(inner, curve=curve)

    grain = shape.grain_line
    return shape.but(
        grain_line=grain and replace(grain, start=point(grain.start), end=point(grain.end)),
        internal_lines=tuple(line(inner) for inner in shape.internal_lines),
        drill_holes=tuple(replace(h, at=point(h.at)) for h in shape.drill_holes),
        texts=tuple(replace(t, at=point(t.at)) for t in shape.texts),
        grade_points=tuple(
            g if g.at is None else replace(g, at=point(g.at)) for g in shape.grade_points
        ),
        darts=tuple(replace(d, apex=point(d.apex)) for d in shape.darts),
    )


def legs_kept_equal(old: Shape, new: Shape) -> Shape:
    """Darts whose legs were equal have equal legs again (the point moves beside itself)."""
    darts = []
    for was, dart in zip(old.darts, new.darts, strict=True):
        a, b = wedge_of(old, was).legs
        darts.append(with_legs_equal(new, dart)[0] if abs(a - b) <= _ON else dart)
    return new.but(darts=tuple(darts))


def lines_following(old: Shape, new: Shape) -> Shape:
    """The new shape with straight internal lines that ran from corner to corner (a bicep line)
    drawn from corner to corner again."""
    was = {c.name: old.seam_line.point_of(c.station) for c in old.corners}
    now = {c.name: new.seam_line.point_of(c.station) for c in new.corners}

    def at(point: FloatArray) -> FloatArray | None:
        for name, p in was.items():
            if name in now and float(np.hypot(*(p - point))) <= _ON:
                return np.asarray(now[name])
        return None

    def line(inner: InternalLine) -> InternalLine:
        if inner.curve.n != 1 or inner.curve.closed or inner.curve.kinds[0] != LINE:
            return inner
        a, b = at(inner.curve.start), at(inner.curve.end)
        return inner if a is None or b is None else replace(inner, curve=Curve.line(a, b))

    return new.but(internal_lines=tuple(line(inner) for inner in new.internal_lines))


def left_behind(old: Shape, new: Shape) -> bool:
    """Whether the end of an internal line, a hole or a dart's point that lay on the old outline
    does not lie on the new one, or one that lay inside lies outside."""
    points = [p for inner in new.internal_lines for p in (inner.curve.start, inner.curve.end)]
    points += [np.asarray(p) for p in (*(h.at for h in new.drill_holes),)]
    if not points:
        return False
    all_points = np.array(points)
    before, after = (s.seam_line.nearest(all_points).distances for s in (old, new))
    if ((before <= 1e-3) & (after > 0.05)).any():
        return True
    inside = [_inside(s.seam_line.flatten(0.05), all_points) for s in (old, new)]
    return bool((inside[0] & ~inside[1] & (after > 0.05)).any())


def _inside(polygon: FloatArray, points: FloatArray) -> np.ndarray[tuple[int, ...], Any]:
    """Even and odd crossings of rays to the right, (N,)."""
    a, b = polygon, np.roll(polygon, -1, axis=0)
    y = points[:, 1, None]
    over = (a[:, 1] > y) != (b[:, 1] > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        x = a[:, 0] + (y - a[:, 1]) * (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1])
    return np.asarray((over & (points[:, 0, None] < x)).sum(axis=1) % 2 == 1)
