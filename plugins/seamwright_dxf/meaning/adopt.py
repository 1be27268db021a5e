"""Content that stands in no piece's block: whole pieces in model space, or marks beside blocks.

Imported on use: it needs shapely, and most files keep all in blocks.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from seamwright.plugins.api import Finding

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
        first_known = [-1] * (len(rings) - len(made))
        rows = np.array([*first_known, *(row for row, _ in sorted(made))], dtype=np.int64)
        items = np.concatenate(
            (strokes.row[group < 0], loose.points.row, [t.row for t in loose.texts])
        ).astype(np.int64)
        house = _House(rings, ring_group, rows, items)
        rest = np.flatnonzero(group < 0)
        group[rest] = house.of_inside(_middles(strokes, rest), strokes.row[rest])
        points = loose.points
        on_line = np.isin(layer_role[points.layer], list(_ON_LINE))
        point_group = np.where(
            on_line, house.of_nearest(points.xy, points.row), house.of_inside(points.xy, points.row)
        )
        texts = [_text_home(house, t, len(rings)) for t in loose.texts]
    else:
        point_group = np.full(loose.points.n, -1, dtype=np.int64)
        texts = list(loose.texts)
    order = np.lexsort((strokes.row, group))
    placed = replace(strokes, group=group).picked(order)
    points_order = np.lexsort((loose.points.row, point_group))
    homed = replace(loose.points, group=point_group).picked(points_order)
    return Adopted(Content(placed, homed, texts), groups + len(made), findings)


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
    """The outlines, to be asked whose a place is.

    Where several outlines lie over each other (a nest in one place) the order of the file helps:
    what is drawn after one outline and before the next belongs to the first. That is trusted only
    if the file is written so; else the smallest outline around a place has it.
    """

    def __init__(
        self, rings: list[FloatArray], groups: list[int], rows: IntArray, items: IntArray
    ) -> None:
        usable = np.array([len(r) >= 3 for r in rings], dtype=bool)
        self.polygons = [shapely.Polygon(r) for r, u in zip(rings, usable, strict=True) if u]
        self.lines = [shapely.LinearRing(r) for r, u in zip(rings, usable, strict=True) if u]
        self.groups = np.array(groups, dtype=np.int64)[usable]
        self.rows = rows[usable]
        self.areas = np.array([p.area for p in self.polygons])
        self.tree = shapely.STRtree(self.polygons)
        self.line_tree = shapely.STRtree(self.lines)
        ordered = np.sort(self.rows)
        between = np.diff(
            np.searchsorted(np.sort(items), np.append(ordered, np.iinfo(np.int64).max))
        )
        self.in_order = bool(between.size) and bool((between > 0).mean() > 0.5)

    def of_inside(self, xy: FloatArray, rows: IntArray, reach: float = _REACH) -> IntArray:
        """Group of the outline around each place, else of one within `reach` mm, else -1."""
        out = np.full(len(xy), -1, dtype=np.int64)
        if not len(xy) or not self.polygons:
            return out
        points = shapely.points(xy)
        which, polygon = self.tree.query(points, predicate="intersects")
        self._choose(out, which, polygon, rows)
        far = np.flatnonzero(out < 0)
        if far.size:
            out[far] = self._near(points[far], rows[far], reach)
        return out

    def of_nearest(self, xy: FloatArray, rows: IntArray) -> IntArray:
        """Group of the outline that each place lies on (or within reach of)."""
        if not len(xy) or not self.polygons:
            return np.full(len(xy), -1, dtype=np.int64)
        return self._near(shapely.points(xy), rows, _REACH)

    def _near(self, points: NDArray[np.object_], rows: IntArray, reach: float) -> IntArray:
        out = np.full(len(points), -1, dtype=np.int64)
        which, line = self.line_tree.query_nearest(points, max_distance=reach)
        self._choose(out, which, line, rows)
        return out

    def _choose(self, out: IntArray, which: IntArray, ring: IntArray, rows: IntArray) -> None:
        """Of several outlines for a place the best; the last one written stays."""
        if self.in_order:
            before = self.rows[ring] <= rows[which]
            order = np.lexsort((-self.areas[ring], self.rows[ring] * before, before, which))
        else:
            order = np.lexsort((-self.areas[ring], which))
        out[which[order]] = self.groups[ring[order]]


def _middles(strokes: Strokes, which: IntArray) -> FloatArray:
    """A place on each stroke: the middle of its middle segment."""
    middle = (strokes.offsets[which] + strokes.offsets[which + 1] - 1) // 2
    p = strokes.segments[middle]
    return np.asarray((p[:, 0] + 3.0 * p[:, 1] + 3.0 * p[:, 2] + p[:, 3]) / 8.0)


def _text_home(house: _House, text: Lettered, rings: int) -> Lettered:
    """A text goes to the outline around it; one that speaks of a piece to the nearest."""
    said = said_by(text.text, text.tag)
    if said.kind == "style" or text.group >= 0:
        return text
    at, row = np.array([[text.x, text.y]]), np.array([text.row])
    group = int(house.of_inside(at, row)[0])
    if group < 0 and said.kind == "piece":
        group = int(house.of_inside(at, row, np.inf)[0]) if rings > 1 else int(house.groups[0])
    return replace(text, group=group)
