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
from .house import House, middles_of
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
        if len(ring) < 3:  # a closed line of one point or two encloses nothing
            continue
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
        house = House(rings, ring_group, rows, items)
        rest = np.flatnonzero(group < 0)
        group[rest] = house.of_inside(middles_of(strokes, rest), strokes.row[rest])
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


def _text_home(house: House, text: Lettered, rings: int) -> Lettered:
    """A text goes to the outline around it; one that speaks of a piece to the nearest."""
    said = said_by(text.text, text.tag)
    if said.kind == "style" or text.group >= 0:
        return text
    at, row = np.array([[text.x, text.y]]), np.array([text.row])
    group = int(house.of_inside(at, row)[0])
    if group < 0 and said.kind == "piece" and len(house.groups):
        group = int(house.of_inside(at, row, np.inf)[0]) if rings > 1 else int(house.groups[0])
    return replace(text, group=group)
