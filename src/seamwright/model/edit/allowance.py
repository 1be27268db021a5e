"""The cut line from the seam line and its allowances, and back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from seamwright.geometry import Curve, GeometryError, Station, measure_together
from seamwright.geometry.outline_offset import (
    MITRE,
    CornerRule,
    Outline,
    OutlineOffset,
    offset_outlines,
)

from ..build import build_shape
from ..marks import LineRole
from ..shape import SeamLineSource, Shape
from ..turning import at_joint


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class MadeCutLine:
    """shape    with its cut line and allowances
    blunted  names of corners at which a mitre ran into its limit
    """

    shape: Shape
    blunted: tuple[str, ...]


def make_cut_line(
    shape: Shape,
    widths: Sequence[float] | float,
    rules: Sequence[CornerRule] | CornerRule = MITRE,
    *,
    tolerance: float = 0.005,
) -> MadeCutLine:
    """The shape with a cut line outside its seam line.

    widths  mm, one for each edge in edge order (`Shape.edges`), or one for all; 0 leaves an edge
            without allowance (a fold)
    rules   how corners are finished, one for each corner in order, or one for all
    The seam line and its marks stay as they are: notches keep their stations on it, and a writer
    carries them square to the cut line. Raises GeometryError when the widths are too large.
    """
    made = make_cut_lines([(shape, widths, rules)], tolerance=tolerance)[0]
    if isinstance(made, GeometryError):
        raise made
    return made


def make_cut_lines(
    orders: Sequence[tuple[Shape, Sequence[float] | float, Sequence[CornerRule] | CornerRule]],
    *,
    tolerance: float = 0.005,
) -> list[MadeCutLine | GeometryError]:
    """Many cut lines made together, as `make_cut_line` makes one; where one cannot be, the error
    in its place."""
    measure_together([shape.seam_line for shape, _, _ in orders])
    out: list[MadeCutLine | GeometryError] = []
    begun: list[tuple[int, list[float | None]]] = []
    outlines = []
    for i, (shape, widths, rules) in enumerate(orders):
        edges = _edges(shape.seam_line, shape)
        out.append(GeometryError(""))
        try:
            each = _each(widths, len(edges))
        except GeometryError as error:
            out[i] = error
            continue
        begun.append((i, each))
        outlines.append(Outline(edges=tuple(edges), widths=tuple(each), rules=rules))
    for (i, each), made in zip(begun, offset_outlines(outlines, tolerance=tolerance), strict=True):
        if isinstance(made, GeometryError):
            out[i] = made
            continue
        shape = orders[i][0]
        out[i] = MadeCutLine(
            shape=shape.but(cut_line=made.curve, allowances=tuple(float(w or 0.0) for w in each)),
            blunted=tuple(shape.corners[k].name for k in made.blunted if shape.corners),
        )
    return out


def make_seam_line(
    shape: Shape,
    widths: Sequence[float | None] | float,
    *,
    tolerance: float = 0.005,
) -> Shape:
    """The shape with a seam line inside what it has as its outline, which becomes the cut line.

    widths  mm, one for each edge of the present outline, or one for all; None for a short edge
            that only blunts a corner: the seam line's corner lies where its neighbours meet
    Corners keep their names; notches stay on the cut line, where the file put them. Raises
    GeometryError when the widths are too large, ValueError where there is a cut line already.
    """
    made = make_seam_lines([(shape, widths)], tolerance=tolerance)[0]
    if isinstance(made, GeometryError):
        raise made
    return made


def make_seam_lines(
    orders: Sequence[tuple[Shape, Sequence[float | None] | float]], *, tolerance: float = 0.005
) -> list[Shape | GeometryError]:
    """Many seam lines made together, as `make_seam_line` makes one; where one cannot be, the
    error in its place."""
    if any(shape.cut_line is not None for shape, _ in orders):
        raise ValueError("the shape has a cut line already")
    measure_together([shape.seam_line for shape, _ in orders])
    out: list[Shape | GeometryError] = []
    begun: list[tuple[int, list[float | None]]] = []
    outlines = []
    for i, (shape, widths) in enumerate(orders):
        edges = _edges(shape.seam_line, shape)
        out.append(shape)
        try:
            each = _each(widths, len(edges))
        except GeometryError as error:
            out[i] = error
            continue
        begun.append((i, each))
        inward = tuple(None if w is None else -w for w in each)
        outlines.append(Outline(edges=tuple(edges), widths=inward, rules=CornerRule(limit=1e9)))
    for (i, each), made in zip(begun, offset_outlines(outlines, tolerance=tolerance), strict=True):
        out[i] = made if isinstance(made, GeometryError) else _inside(orders[i][0], each, made)
    return out


def _inside(shape: Shape, each: Sequence[float | None], made: OutlineOffset) -> Shape:
    """The shape with its outline as cut line and the offset as seam line."""
    outline = shape.seam_line
    kept = [i for i, w in enumerate(each) if w is not None]
    corners = _corners(made, kept) if shape.corners else []
    names = [shape.corners[i].name for i in kept] if shape.corners else []
    seam_darts = [
        replace(
            d,
            left=_across(outline, made.curve, d.left),
            right=_across(outline, made.curve, d.right),
        )
        for d in shape.darts
    ]
    return build_shape(
        size=shape.size,
        outline=made.curve,
        corners=corners,
        corner_names=[None if _counted(n) else n for n in names],
        notches=[
            replace(n, line=LineRole.CUT, name="" if _counted(n.name) else n.name)
            for n in shape.notches
        ],
        darts=seam_darts,
        cut_line=outline,
        grade_points=[
            g if g.station is None else replace(g, line=LineRole.CUT) for g in shape.grade_points
        ],
        allowances=[float(w) for w in each if w is not None] if shape.corners else [],
        grain_line=shape.grain_line,
        internal_lines=shape.internal_lines,
        drill_holes=shape.drill_holes,
        texts=shape.texts,
        mirrored_half=shape.mirrored_half,
        flags=shape.flags,
        foreign=shape.foreign,
        seam_line_source=SeamLineSource.DERIVED,
    )


def _edges(outline: Curve, shape: Shape) -> list[Curve]:
    if not shape.corners:
        return [outline]
    return [shape.edge_curve(i) for i in range(len(shape.corners))]


def _each(widths: Sequence[float | None] | float, count: int) -> list[float | None]:
    each: list[float | None]
    each = [float(widths)] * count if isinstance(widths, (int, float)) else list(widths)
    if len(each) != count:
        raise GeometryError(f"{len(each)} widths for {count} edges")
    for w in each:
        if w is not None and not (np.isfinite(w) and w >= 0.0):
            raise GeometryError(f"an allowance of {w} mm is none")
    return each


def _corners(made: OutlineOffset, kept: Sequence[int]) -> list[Station]:
    """The corner before each kept edge: where its parallel begins, or the mitre before it."""
    stations = []
    for k, i in enumerate(kept):
        before = float(made.spans[kept[k - 1], 1]) % made.curve.length
        after = float(made.spans[i, 0])
        gap = (after - before) % made.curve.length
        joints = made.curve.cumulative[:-1]
        inside = (joints - before) % made.curve.length
        peak = np.flatnonzero((inside > 1e-6) & (inside < gap - 1e-6))
        at = float(joints[peak[0]]) if len(peak) and gap > 1e-6 else after
        stations.append(at_joint(made.curve, made.curve.station_at(at)))
    return stations


def _across(old: Curve, new: Curve, station: Station) -> Station:
    near = new.nearest(old.point_of(station)[None])
    return Station(int(near.segments[0]), float(near.ts[0]))


def _counted(name: str) -> bool:
    head, _, tail = name.rpartition("-")
    return head in ("corner", "notch") and tail.isdigit()
