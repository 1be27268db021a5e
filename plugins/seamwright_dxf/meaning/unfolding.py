"""A half piece unfolded at its fold line."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import LINE, Curve, Station
from seamwright.model import (
    DrillHole,
    GradePoint,
    InternalKind,
    InternalLine,
    LineRole,
    Notch,
    Shape,
    build_shape,
)

FloatArray = NDArray[np.float64]

ON_AXIS = 0.5
"""mm; a joint this near the fold line lies on it."""


class CannotUnfold(ValueError):
    """Why a piece stays as it is; completes "the piece is not unfolded: ..."."""


@dataclass(frozen=True, slots=True)
class _Axis:
    """The fold line: a point and a unit direction."""

    at: FloatArray
    along: FloatArray

    def off(self, xy: FloatArray) -> FloatArray:
        """Signed distances (N,)."""
        to = xy - self.at
        return np.asarray(self.along[0] * to[..., 1] - self.along[1] * to[..., 0])

    def mirrored(self, xy: FloatArray) -> FloatArray:
        """The other side of each place (..., 2)."""
        normal = np.array([-self.along[1], self.along[0]])
        return np.asarray(xy - 2.0 * self.off(xy)[..., None] * normal)

    def foot(self, xy: FloatArray) -> FloatArray:
        """Each place moved square onto the axis."""
        normal = np.array([-self.along[1], self.along[0]])
        return np.asarray(xy - self.off(xy)[..., None] * normal)


def unfolded(shape: Shape) -> Shape:
    """The whole piece of a half one.

    The stretch of the outline along the fold line goes; what is left is mirrored in the line.
    Corners, notches, curve points, inner lines and holes come twice; the fold line stays as an
    inner line; texts and the grain line stay where they are. Corners on the fold that no longer
    turn go. Grade points stay on the drawn half: mirrored they would need other rules.
    """
    folds = [line for line in shape.internal_lines if line.kind is InternalKind.FOLD]
    if not folds:
        raise CannotUnfold("no line shows where its fold is")
    fold = folds[0]
    step = fold.curve.end - fold.curve.start
    length = float(np.hypot(*step))
    if length <= 1e-6:
        raise CannotUnfold("its fold line has no length")
    axis = _Axis(fold.curve.start, step / length)
    seam, move, mirror = _whole(shape.seam_line, axis)
    cut = move_cut = mirror_cut = None
    if shape.cut_line is not None:
        cut, move_cut, mirror_cut = _whole(shape.cut_line, axis)
    turning = set(seam.corner_segments(20.0).tolist())
    corners: dict[Station, str | None] = {}
    for corner in shape.corners:
        here = move(corner.station)
        if here is None:
            continue
        there = mirror(corner.station)
        if here == there and here.segment not in turning:
            continue
        corners.setdefault(here, _name(corner.name))
        if there is not None:
            corners.setdefault(there, None)
    notches: list[Notch] = []
    for notch in shape.notches:
        on_cut = notch.line is LineRole.CUT
        to, over = (move_cut, mirror_cut) if on_cut else (move, mirror)
        notches += _both(notch, to, over)
    return build_shape(
        size=shape.size,
        outline=seam,
        corners=list(corners),
        corner_names=list(corners.values()),
        notches=notches,
        grade_points=[g for g in (_grade(p, move, move_cut) for p in shape.grade_points) if g],
        curve_points=list(
            dict.fromkeys(
                s for p in shape.curve_points for s in (move(p), mirror(p)) if s is not None
            )
        ),
        cut_line=cut,
        grain_line=shape.grain_line,
        internal_lines=tuple(_lines(shape.internal_lines, axis)),
        drill_holes=tuple(_holes(shape.drill_holes, axis)),
        texts=shape.texts,
        flags=shape.flags,
        foreign=shape.foreign,
        seam_line_source=shape.seam_line_source,
    )


_Move = Callable[[Station], Station | None]


def _whole(half: Curve, axis: _Axis) -> tuple[Curve, _Move, _Move]:
    """The outline on both sides, and where stations of the half go on it: here and mirrored."""
    n = half.n
    near = np.abs(axis.off(half.segments[:, 0])) <= ON_AXIS
    on = near & np.roll(near, -1) & (half.kinds == LINE)
    if not on.any():
        raise CannotUnfold("its fold line lies on no straight edge")
    if on.all():
        raise CannotUnfold("its outline has no extent")
    ends = np.flatnonzero(on & ~np.roll(on, -1))
    if ends.size != 1:
        raise CannotUnfold("its fold line touches the outline in several stretches")
    first = (int(ends[0]) + 1) % n
    count = n - int(on.sum())
    index = (first + np.arange(count)) % n
    path = half.segments[index].copy()
    kinds = half.kinds[index]
    # Both ends come exactly onto the fold, so that the halves meet.
    for segment, point, handle in ((0, 0, 1), (count - 1, 3, 2)):
        foot = axis.foot(path[segment, point])
        path[segment, handle] += foot - path[segment, point]
        path[segment, point] = foot
    other = axis.mirrored(path)[::-1, ::-1]
    other[0, 0], other[-1, 3] = path[-1, 3], path[0, 0]
    curve = Curve.from_segments(
        np.concatenate((path, other)), np.concatenate((kinds, kinds[::-1])), closed=True
    )
    total = 2 * count

    def move(station: Station) -> Station | None:
        k = (station.segment - first) % n
        if k < count:
            return Station(k, station.t)
        return Station(k, 0.0) if k == count and station.t <= 0.0 else None

    def mirror(station: Station) -> Station | None:
        here = move(station)
        if here is None:
            return None
        if here.t <= 0.0:
            return Station((total - here.segment) % total, 0.0)
        return Station(total - 1 - here.segment, 1.0 - here.t)

    return curve, move, mirror


def _both(notch: Notch, move: _Move | None, mirror: _Move | None) -> list[Notch]:
    if move is None or mirror is None:
        return []
    here, there = move(notch.station), mirror(notch.station)
    out = []
    if here is not None:
        out.append(replace(notch, station=here, name=_name(notch.name) or ""))
    if there is not None and there != here:
        angle = None if notch.angle is None else -notch.angle
        out.append(replace(notch, station=there, name="", angle=angle, offset=(0.0, 0.0)))
    return out


def _grade(point: GradePoint, move: _Move, move_cut: _Move | None) -> GradePoint | None:
    if point.station is None:
        return point
    to = move_cut if point.line is LineRole.CUT else move
    station = None if to is None else to(point.station)
    return None if station is None else replace(point, station=station)


def _lines(lines: tuple[InternalLine, ...], axis: _Axis) -> list[InternalLine]:
    out = []
    for line in lines:
        out.append(line)
        flat = line.curve.segments.reshape(-1, 2)
        if (np.abs(axis.off(flat)) <= ON_AXIS).all():
            continue
        mirrored = Curve.from_segments(
            axis.mirrored(line.curve.segments), line.curve.kinds, closed=line.curve.closed
        )
        out.append(replace(line, curve=mirrored))
    return out


def _holes(holes: tuple[DrillHole, ...], axis: _Axis) -> list[DrillHole]:
    out = []
    for hole in holes:
        out.append(hole)
        at = np.array(hole.at)
        if abs(float(axis.off(at))) > ON_AXIS:
            x, y = axis.mirrored(at)
            out.append(replace(hole, at=(float(x), float(y)), name=""))
    return out


def _name(name: str) -> str | None:
    head, _, tail = name.rpartition("-")
    return None if head in ("corner", "notch") and tail.isdigit() else name
