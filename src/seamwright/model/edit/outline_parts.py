"""Making an outline out of parts of others, marks and all.

A `Part` is an open stretch of curve with the marks that lie on it; parts laid end to end make a
new outline. Splitting, joining, slashing and spreading are all arrangements of parts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from seamwright.geometry import Curve, Station

from ..build import build_shape
from ..marking import Dart, InternalKind
from ..marks import Corner, GradePoint, LineRole, Notch
from ..shape import Shape
from .contents import Contents

_END = 1e-7  # mm


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Part:
    """An open stretch of outline.

    corners, notches, grade_points, curve_points   with lengths along `curve`, mm
    darts    with the lengths of both sides of the mouth
    """

    curve: Curve
    corners: tuple[tuple[float, str | None], ...] = ()
    notches: tuple[tuple[float, Notch], ...] = ()
    grade_points: tuple[tuple[float, GradePoint], ...] = ()
    curve_points: tuple[float, ...] = ()
    darts: tuple[tuple[float, float, Dart], ...] = ()

    def moved(self, matrix: ArrayLike) -> Part:
        """Under a rigid map 2x3."""
        m = np.asarray(matrix, dtype=np.float64)[:2, :3]

        def apex(p: tuple[float, float]) -> tuple[float, float]:
            x, y = m @ np.array([p[0], p[1], 1.0])
            return (float(x), float(y))

        return replace(
            self,
            curve=self.curve.transformed(m),
            darts=tuple((a, b, replace(d, apex=apex(d.apex))) for a, b, d in self.darts),
        )


def plain(curve: Curve) -> Part:
    """A stretch without marks."""
    return Part(curve=curve)


def part_between(shape: Shape, start: float, end: float) -> Part:
    """The stretch of the seam line from length `start` to `end` (round the outline's start where
    end <= start), with everything that is marked on it, ends included.

    Marks that count on the cut line are not carried: a cut line does not survive such surgery.
    """
    seam = shape.seam_line
    whole = seam.length
    curve = seam.part(start, end)

    def along(station: Station) -> float | None:
        at = (seam.length_of(station) - start) % whole
        if at > whole - _END:
            at = 0.0
        if at <= curve.length + _END:
            return min(at, curve.length)
        return None

    def carried(marks: Sequence[Any]) -> list[tuple[float, Any]]:
        found = []
        for mark in marks:
            at = along(mark.station)
            if at is not None:
                found.append((at, mark))
        return found

    darts = []
    for dart in shape.darts:
        left, right = along(dart.left), along(dart.right)
        if left is not None and right is not None and left < right:
            darts.append((left, right, dart))
    return Part(
        curve=curve,
        corners=tuple((at, c.name) for at, c in carried(shape.corners)),
        notches=tuple(carried([n for n in shape.notches if n.line is LineRole.SEAM])),
        grade_points=tuple(
            carried(
                [g for g in shape.grade_points if g.station is not None and g.line is LineRole.SEAM]
            )
        ),
        curve_points=tuple(at for s in shape.curve_points if (at := along(s)) is not None),
        darts=tuple(darts),
    )


def shape_of_parts(
    template: Shape,
    parts: Sequence[Part],
    contents: Contents,
    *,
    new_corners: bool = True,
    threshold: float = 20.0,
) -> Shape:
    """A shape whose outline is `parts` laid end to end (each starts where the last one ends,
    within 1e-6 mm).

    template      gives size, flags, source of the seam line and formats' own data; the new shape
                  is half a piece where the template is and its fold line is among the contents
    new_corners   whether a place where two parts meet at more than `threshold` degrees becomes a
                  corner when neither brought one. Corners that two parts share come out once; a
                  corner at such a meeting place that no longer turns is dropped, unless a file or
                  a plan named it.
    """
    curves = [p.curve for p in parts]
    segments = np.concatenate([c.segments for c in curves]).copy()
    kinds = np.concatenate([c.kinds for c in curves])
    gap = np.hypot(*(segments[:, 0] - np.roll(segments[:, 3], 1, axis=0)).T)
    if gap.max() > 1e-6:
        raise ValueError(f"parts do not meet: a gap of {gap.max():.3g} mm")
    segments[:, 0] = np.roll(segments[:, 3], 1, axis=0)
    outline = Curve.from_segments(segments, kinds, closed=True)
    first = np.cumsum([0, *(c.n for c in curves)])

    def put(k: int, at: float) -> Station:
        """The station of length `at` on part k."""
        s = curves[k].station_at(min(at, curves[k].length))
        if at >= curves[k].length - _END or s.t >= 1.0:
            whole = (
                int(first[k + 1])
                if at >= curves[k].length - _END
                else int(first[k]) + s.segment + 1
            )
            return Station(whole % outline.n, 0.0)
        if s.t <= 0.0 or at <= _END:
            return Station(int(first[k]) + (s.segment if at > _END else 0), 0.0)
        return Station(int(first[k]) + s.segment, s.t)

    turning = {int(i) for i in outline.corner_segments(threshold)}
    meetings = {int(first[k]) % outline.n for k in range(len(curves))}
    corners: dict[Station, str | None] = {}
    for k, part in enumerate(parts):
        for at, name in part.corners:
            station = put(k, at)
            counted = name is None or _counted(name)
            at_meeting = station.segment in meetings and station.t == 0.0
            if counted and at_meeting and station.segment not in turning:
                continue
            known = corners.get(station)
            if known is None or _counted(known):
                corners[station] = name
    if new_corners:
        for i in meetings & turning:
            corners.setdefault(Station(i, 0.0), None)
    notches: dict[tuple[Station, str], Notch] = {}
    for k, part in enumerate(parts):
        for at, notch in part.notches:
            station = put(k, at)
            name = "" if _counted(notch.name) else notch.name
            notches.setdefault((station, name), replace(notch, station=station, name=name))
    ordered = sorted(corners, key=lambda s: (s.segment, s.t))
    return build_shape(
        size=template.size,
        outline=outline,
        corners=ordered,
        corner_names=_unique(
            [None if _counted(n := corners[s] or "") or not n else n for s in ordered]
        ),
        notches=list(notches.values()),
        darts=[
            replace(d, left=put(k, a), right=put(k, b))
            for k, part in enumerate(parts)
            for a, b, d in part.darts
        ],
        grade_points=[
            *(
                replace(g, station=put(k, at))
                for k, part in enumerate(parts)
                for at, g in part.grade_points
            ),
            *contents.grade_points,
        ],
        curve_points=list(
            dict.fromkeys(put(k, at) for k, part in enumerate(parts) for at in part.curve_points)
        ),
        grain_line=contents.grain_line,
        internal_lines=contents.internal_lines,
        drill_holes=contents.drill_holes,
        texts=contents.texts,
        flags=template.flags,
        seam_line_source=template.seam_line_source,
        mirrored_half=template.mirrored_half
        and any(line.kind is InternalKind.FOLD for line in contents.internal_lines),
        foreign=template.foreign,
    )


def _counted(name: str) -> bool:
    head, _, tail = name.rpartition("-")
    return head in ("corner", "notch") and tail.isdigit()


def _unique(names: Sequence[str | None]) -> list[str | None]:
    """Names with a number behind each that is taken already: "hem", "hem-2"."""
    taken: set[str] = set()
    out: list[str | None] = []
    for name in names:
        if name is None:
            out.append(None)
            continue
        final, k = name, 2
        while final in taken:
            final, k = f"{name}-{k}", k + 1
        taken.add(final)
        out.append(final)
    return out


__all__ = ["Corner", "Part", "part_between", "plain", "shape_of_parts"]
