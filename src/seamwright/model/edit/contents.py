"""What lies inside a piece, sorted by the side of a line on which it lies, or moved with a part."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from seamwright.geometry import Curve, FloatArray

from ..marking import DrillHole, GrainLine, InternalLine, Point, Text
from ..marks import GradePoint
from ..shape import Shape

Side = Callable[[FloatArray], bool]  # of a point (2,): does it belong here?


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Contents:
    """The inside of a shape."""

    grain_line: GrainLine | None
    internal_lines: tuple[InternalLine, ...]
    drill_holes: tuple[DrillHole, ...]
    texts: tuple[Text, ...]
    grade_points: tuple[GradePoint, ...]  # those that lie inside, not on the outline

    def moved(self, matrix: ArrayLike) -> Contents:
        """Under a rigid map 2x3, mm."""
        m = np.asarray(matrix, dtype=np.float64)[:2, :3]
        turn = float(np.degrees(np.arctan2(m[1, 0], m[0, 0])))

        def point(p: Point) -> Point:
            x, y = m @ np.array([p[0], p[1], 1.0])
            return (float(x), float(y))

        grain = self.grain_line
        return Contents(
            grain_line=grain and GrainLine(start=point(grain.start), end=point(grain.end)),
            internal_lines=tuple(
                replace(line, curve=line.curve.transformed(m)) for line in self.internal_lines
            ),
            drill_holes=tuple(replace(h, at=point(h.at)) for h in self.drill_holes),
            texts=tuple(replace(t, at=point(t.at), rotation=t.rotation + turn) for t in self.texts),
            grade_points=tuple(replace(g, at=point(g.at)) for g in self.grade_points if g.at),
        )

    def with_(self, other: Contents) -> Contents:
        """Both; this one's grain line stands where it has one."""
        return Contents(
            grain_line=self.grain_line or other.grain_line,
            internal_lines=self.internal_lines + other.internal_lines,
            drill_holes=self.drill_holes + other.drill_holes,
            texts=self.texts + other.texts,
            grade_points=self.grade_points + other.grade_points,
        )


def contents_of(shape: Shape) -> Contents:
    """Everything inside a shape."""
    return Contents(
        grain_line=shape.grain_line,
        internal_lines=shape.internal_lines,
        drill_holes=shape.drill_holes,
        texts=shape.texts,
        grade_points=tuple(g for g in shape.grade_points if g.at is not None),
    )


def part_of(contents: Contents, line: Curve, side: Side) -> Contents:
    """What of `contents` lies on one side of `line`; internal lines are cut where they cross it.

    The grain line goes with its middle.
    """

    def here(p: Iterable[float]) -> bool:
        return side(np.asarray(tuple(p), dtype=np.float64))

    lines: list[InternalLine] = []
    for inner in contents.internal_lines:
        crossings = inner.curve.intersections(line)
        pieces = inner.curve.split(crossings.own) if len(crossings.own) else (inner.curve,)
        kept = [p for p in pieces if here(p.point_at(0.5 * p.length))]
        if len(pieces) == 1 and kept:
            lines.append(inner)
        else:
            # Numbers of joints do not hold for a part of the line.
            lines.extend(
                replace(inner, curve=p, turn_points=(), curve_points=())
                for p in kept
                if p.length > 1e-6
            )
    grain = contents.grain_line
    if grain is not None:
        middle = 0.5 * (np.asarray(grain.start) + np.asarray(grain.end))
        grain = grain if side(middle) else None
    return Contents(
        grain_line=grain,
        internal_lines=tuple(lines),
        drill_holes=tuple(h for h in contents.drill_holes if here(h.at)),
        texts=tuple(t for t in contents.texts if here(t.at)),
        grade_points=tuple(g for g in contents.grade_points if g.at and here(g.at)),
    )


def parallel_grain(shape: Shape, direction: FloatArray) -> GrainLine:
    """A grain line in a direction through the middle of a piece, 60 % of its extent along it."""
    x0, y0, x1, y1 = shape.seam_line.bbox
    middle = np.array([0.5 * (x0 + x1), 0.5 * (y0 + y1)])
    unit = direction / float(np.hypot(*direction))
    reach = shape.seam_line.flatten(1.0) @ unit
    half = 0.3 * float(reach.max() - reach.min())
    a, b = middle - half * unit, middle + half * unit
    return GrainLine(start=(float(a[0]), float(a[1])), end=(float(b[0]), float(b[1])))
