"""Content that stands in no piece's block: whole pieces in model space, or marks beside blocks.

Imported on use: it needs shapely, and most files keep all in blocks.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from seamwright.plugins.api import Finding, Severity

from ..drawing.content import Content
from ..drawing.lettered import Lettered
from ..drawing.strokes import Strokes
from .boundaries import joined_layers
from .joining import JoinWishes
from .keywords import said_by
from .layers import BOUNDARY, CURVE_POINTS, NOTCHES, TURN_POINTS
from .measures import areas_of

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

_ON_LINE = frozenset((TURN_POINTS, CURVE_POINTS, *NOTCHES))
_INNER = 0.5
"""A closed boundary inside another is a hole in it below this share of its area, a piece of its
own (another size, drawn in the same place) above (common practice, no source)."""
_REACH = 15.0  # mm; a mark this near an outline belongs to it


@dataclass(slots=True)
class Adopted:
    """Content with every item in a group; -1 for what belongs to no piece."""

    content: Content
    groups: int
    findings: list[Finding]


def adopt(
    loose: Content, known: Content, layer_role: IntArray, groups: int, wishes: JoinWishes
) -> Adopted:
    """Group the loose content: closed boundaries found in it are new groups, everything else
    goes to the outline that it lies on or in.

    known: the content of the groups that blocks made, for their outlines
    """
    findings: list[Finding] = []
    strokes = loose.strokes
    role = layer_role[strokes.layer]
    strokes, role = joined_layers(strokes, role, wishes, [], findings)
    rings, ring_group = _known_rings(known, layer_role)
    is_new = (role == BOUNDARY) & strokes.closed
    area = np.abs(areas_of(strokes))
    group = np.full(strokes.n, -1, dtype=np.int64)
    order = np.flatnonzero(is_new)[np.argsort(-area[is_new], kind="stable")]
    polygons: list[shapely.Polygon] = []
    owners: list[tuple[int, float]] = []
    made: list[tuple[int, int]] = []
    for s in order.tolist():
        ring = _ring(strokes, s)
        polygon = shapely.Polygon(ring)
        holder = _holder(polygon, polygons, owners, float(area[s]))
        if holder is not None:
            group[s] = holder
            continue
        made.append((int(strokes.row[s]), s))
        polygons.append(polygon)
        owners.append((s, float(area[s])))
        group[s] = s
    # Groups are numbered as the file draws them.
    number = {s: groups + i for i, (_, s) in enumerate(sorted(made))}
    group = np.array([number.get(int(g), -1) if g >= 0 else -1 for g in group], dtype=np.int64)
    rings += [_ring(strokes, s) for _, s in sorted(made)]
    ring_group += [number[s] for _, s in sorted(made)]
    if rings:
        house = _House(rings, ring_group)
        rest = np.flatnonzero(group < 0)
        group[rest] = house.of_inside(_middles(strokes, rest), _REACH)
        point_role = layer_role[loose.points.layer]
        on_line = np.isin(point_role, list(_ON_LINE))
        point_group = np.where(
            on_line, house.of_nearest(loose.points.xy), house.of_inside(loose.points.xy, _REACH)
        )
        texts = [_text_home(house, t, len(rings)) for t in loose.texts]
    else:
        point_group = np.full(loose.points.n, -1, dtype=np.int64)
        texts = list(loose.texts)
    order = np.lexsort((strokes.row, group))
    placed = replace(strokes, group=group).picked(order)
    points_order = np.lexsort((loose.points.row, point_group))
    points = replace(loose.points, group=point_group).picked(points_order)
    return Adopted(Content(placed, points, texts), groups + len(made), findings)


def _ring(strokes: Strokes, s: int) -> FloatArray:
    return strokes.segments[int(strokes.offsets[s]) : int(strokes.offsets[s + 1]), 0]


def _known_rings(known: Content, layer_role: IntArray) -> tuple[list[FloatArray], list[int]]:
    strokes = known.strokes
    if not strokes.n:
        return [], []
    at = np.flatnonzero((layer_role[strokes.layer] == BOUNDARY) & strokes.closed)
    return [_ring(strokes, s) for s in at.tolist()], strokes.group[at].tolist()


def _holder(
    polygon: shapely.Polygon, polygons: list[shapely.Polygon], owners: list[tuple[int, float]],
    area: float,
) -> int | None:  # fmt: skip
    """The boundary in which this one is a hole."""
    for other, (s, size) in zip(polygons, owners, strict=True):
        if area < _INNER * size and shapely.contains_properly(other, polygon):
            return s
    return None


class _House:
    """The outlines, to be asked whose a place is."""

    def __init__(self, rings: list[FloatArray], groups: list[int]) -> None:
        usable = [(r, g) for r, g in zip(rings, groups, strict=True) if len(r) >= 3]
        self.polygons = [shapely.Polygon(r) for r, _ in usable]
        self.lines = [shapely.LinearRing(r) for r, _ in usable]
        self.groups = np.array([g for _, g in usable], dtype=np.int64)
        self.areas = np.array([p.area for p in self.polygons])
        self.tree = shapely.STRtree(self.polygons)
        self.line_tree = shapely.STRtree(self.lines)

    def of_inside(self, xy: FloatArray, reach: float) -> IntArray:
        """Group of the smallest outline around each place, else of one within `reach` mm."""
        out = np.full(len(xy), -1, dtype=np.int64)
        if not len(xy) or not self.polygons:
            return out
        points = shapely.points(xy)
        which, polygon = self.tree.query(points, predicate="intersects")
        order = np.lexsort((-self.areas[polygon], which))
        out[which[order]] = self.groups[polygon[order]]
        far = np.flatnonzero(out < 0)
        if far.size:
            out[far] = self._near(points[far], reach)
        return out

    def of_nearest(self, xy: FloatArray) -> IntArray:
        """Group of the outline that each place lies on (or within reach of)."""
        if not len(xy) or not self.polygons:
            return np.full(len(xy), -1, dtype=np.int64)
        return self._near(shapely.points(xy), _REACH)

    def _near(self, points: NDArray[np.object_], reach: float) -> IntArray:
        out = np.full(len(points), -1, dtype=np.int64)
        which, line = self.line_tree.query_nearest(points, max_distance=reach)
        order = np.lexsort((-self.areas[line], which))
        out[which[order]] = self.groups[line[order]]
        return out


def _middles(strokes: Strokes, which: IntArray) -> FloatArray:
    """A place on each stroke: the middle of its middle segment."""
    middle = (strokes.offsets[which] + strokes.offsets[which + 1] - 1) // 2
    p = strokes.segments[middle]
    return np.asarray((p[:, 0] + 3.0 * p[:, 1] + 3.0 * p[:, 2] + p[:, 3]) / 8.0)


def _text_home(house: _House, text: Lettered, rings: int) -> Lettered:
    """A text goes to the outline around it; one that speaks of a piece to the nearest."""
    said = said_by(text.text, text.tag)
    if said.kind == "style":
        return text
    at = np.array([[text.x, text.y]])
    group = int(house.of_inside(at, _REACH)[0])
    if group < 0 and said.kind == "piece":
        group = int(house.of_inside(at, np.inf)[0]) if rings > 1 else int(house.groups[0])
    return replace(text, group=group)


def say_homeless(findings: list[Finding], count: int, what: str, line: int | None) -> None:
    """Note content that belongs to no piece."""
    if count:
        findings.append(
            Finding(
                code="dxf.no-piece",
                severity=Severity.WARNING,
                message=f"{count} {what} lie in no piece; they are kept aside",
                line=line,
                hint="look whether an outline is missing",
            )
        )
