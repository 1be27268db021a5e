"""Plain drawings that carry our own marks: read back piece by piece, size by size."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from seamwright.plugins.api import Finding, Severity

from .. import marks
from ..drawing.content import Content
from ..drawing.lettered import Lettered
from ..drawing.points import Points
from ..drawing.records import Fate, Records
from ..raw.numerals import parse_numbers
from . import layers as std
from .notching import NotchFacts, notch_facts_of
from .standard import Group

IntArray = NDArray[np.int64]


@dataclass(slots=True)
class Marked:
    """Our marks of one row: single values; texts that may come several times; places by key."""

    values: dict[str, str] = field(default_factory=dict)
    said: list[str] = field(default_factory=list)
    style: list[str] = field(default_factory=list)
    places: list[tuple[str, str, float, float]] = field(default_factory=list)


@dataclass(slots=True)
class SortedOut:
    """A marked drawing by groups, with the layers that the marks give."""

    inside: Content
    loose: Content
    groups: list[Group]
    layer_names: list[str]
    layer_role: IntArray
    seam_layers: dict[int, int]
    notch_facts: dict[int, NotchFacts]
    drill_categories: dict[int, int]


def read_tagged(records: Records) -> dict[int, Marked] | None:
    """Row -> our marks; None where the drawing has none."""
    wanted = marks.APP.encode()
    values = records.frame.tags.values
    at = np.flatnonzero(records.codes == 1001)
    ours = [values[i].strip() == wanted for i in records.tag_numbers[at].tolist()]
    at = at[np.array(ours, dtype=bool)]
    if not at.size:
        return None
    out: dict[int, Marked] = {}
    for i in at.tolist():
        out[int(records.rows[i])] = _marked(records, i + 1, int(records.rows[i]))
    return out


def _marked(records: Records, k: int, row: int) -> Marked:
    """The marks that begin at position k."""
    found = Marked()
    values = records.frame.tags.values
    key = value = ""
    x = 0.0
    while k < records.codes.size and records.rows[k] == row and records.codes[k] != 1001:
        code, raw = int(records.codes[k]), values[int(records.tag_numbers[k])]
        k += 1
        if code == 1000:
            key, _, value = records.lettering.text(raw).partition("=")
            if key == marks.SAID:
                found.said.append(value)
            elif key == marks.STYLE:
                found.style.append(value)
            else:
                found.values[key] = value
        elif code == 1011:
            x = _number(raw)
        elif code == 1021:
            y = _number(raw)
            if isfinite(x + y):
                found.places.append((key, value, x, y))
    return found


def _number(raw: bytes) -> float:
    value = parse_numbers([raw]).values[0]
    return float(value)


def sort_tagged(
    whole: Content, tagged: Mapping[int, Marked], records: Records, mm: float
) -> SortedOut:
    """Content by the groups and layers that the marks state; what has none is loose.

    mm: millimetres a drawing unit, for the places among the marks
    """
    groups: dict[tuple[str, str], int] = {}
    layers = Layers(records.layer_names)
    group_of = np.full(records.n, -1, dtype=np.int64)
    layer_of = np.full(records.n, -1, dtype=np.int64)
    gone = np.zeros(records.n, dtype=bool)
    seam_layers: dict[int, int] = {}
    notch_facts: dict[int, NotchFacts] = {}
    drill_categories: dict[int, int] = {}
    extra: list[tuple[float, float, int, float, int, int]] = []
    texts: list[Lettered] = []
    squares = []
    for row, said in tagged.items():
        values = said.values
        if marks.SCALE in values:
            squares.append(row)
            gone[row] = True
            continue
        if marks.PIECE in values:
            key = (values[marks.PIECE], values.get(marks.SIZE, ""))
            group_of[row] = groups.setdefault(key, len(groups))
        group = int(group_of[row])
        number = std.number_of(values.get(marks.LAYER, ""))
        layer_of[row] = layers.of(int(records.layers[row]), number)
        if marks.SEAM in values and group >= 0:
            seam_layers[group] = {"1": 1, "14": std.SEW}.get(values[marks.SEAM], 0)
        if marks.NOTCH in values:
            notch_facts[row] = notch_facts_of(values[marks.NOTCH])
            gone[row] = True
        if marks.DRILL in values:
            gone[row] = True
        for key_, value, x, y in said.places:
            place = _extra(key_, value, x * mm, y * mm, row, number, layers, records)
            if place is not None:
                extra.append(place)
            if key_ == marks.DRILL and value.partition(";")[2].isdigit():
                drill_categories[row] = int(value.partition(";")[2])
            if key_ == marks.GRADE:
                texts.append(_line(f"# {value}", x * mm, y * mm, row, group))
        texts += [_line(text, 0.0, 0.0, row, group) for text in said.said]
        texts += [_line(text, 0.0, 0.0, row, -1) for text in said.style]
    _set_scale_aside(records, squares)
    strokes = whole.strokes.picked(np.flatnonzero(~gone[whole.strokes.row]))
    strokes = replace(
        strokes,
        group=group_of[strokes.row],
        layer=np.where(layer_of[strokes.row] >= 0, layer_of[strokes.row], strokes.layer),
    )
    points = _with_extra(whole.points, extra, group_of, layer_of)
    texts += [
        replace(t, group=int(group_of[t.row]), layer=max(int(layer_of[t.row]), 0) or t.layer)
        for t in whole.texts
    ]
    strokes = strokes.picked(np.lexsort((strokes.row, strokes.group)))
    points = points.picked(np.lexsort((points.row, points.group)))
    home_s, home_p = strokes.group >= 0, points.group >= 0
    inside = Content(
        strokes.picked(np.flatnonzero(home_s)), points.picked(np.flatnonzero(home_p)),
        texts,
    )  # fmt: skip
    loose = Content(
        strokes.picked(np.flatnonzero(~home_s)), points.picked(np.flatnonzero(~home_p)), []
    )
    made = [Group(name=name, size=size) for name, size in groups]
    return SortedOut(
        inside, loose, made, layers.names, layers.roles, seam_layers, notch_facts,
        drill_categories,
    )  # fmt: skip


def _extra(
    key: str, value: str, x: float, y: float, row: int, number: int, layers: Layers,
    records: Records,
) -> tuple[float, float, int, float, int, int] | None:  # fmt: skip
    """A point that a mark stands for: x, y, layer, thickness (a hole's diameter), row."""
    role = {marks.TURN: std.TURN_POINTS, marks.CURVE: std.CURVE_POINTS, marks.DRILL: std.DRILL}
    wanted = number if key == marks.NOTCH else role.get(key)
    if wanted is None:
        return None
    diameter = value.partition(";")[0] if key == marks.DRILL else ""
    size = _number(diameter.encode()) if diameter else 0.0
    return x, y, layers.of(int(records.layers[row]), wanted), size, row, 0


def _line(text: str, x: float, y: float, row: int, group: int) -> Lettered:
    return Lettered(text, x, y, 5.0, 0.0, 0, row, group)


def _with_extra(
    points: Points, extra: list[tuple[float, float, int, float, int, int]], group_of: IntArray,
    layer_of: IntArray,
) -> Points:  # fmt: skip
    points = replace(
        points,
        group=group_of[points.row],
        layer=np.where(layer_of[points.row] >= 0, layer_of[points.row], points.layer),
    )
    if not extra:
        return points
    n = len(extra)
    rows = np.array([e[4] for e in extra], dtype=np.int64)
    return Points(
        np.concatenate((points.xy, np.array([[e[0], e[1]] for e in extra]))),
        np.concatenate((points.z, np.zeros(n))),
        np.concatenate((points.thickness, np.array([e[3] for e in extra]))),
        np.concatenate((points.angle, np.full(n, np.nan))),
        np.concatenate((points.category, np.full(n, -1, dtype=np.int64))),
        np.concatenate((points.layer, np.array([e[2] for e in extra], dtype=np.int64))),
        np.concatenate((points.row, rows)),
        np.concatenate((points.group, group_of[rows])),
    )


class Layers:
    """Layers by name and by what they stand for: one layer of the file may hold several things."""

    def __init__(self, names: list[str]) -> None:
        self.names = list(names)
        self._roles = [-1] * len(names)
        self._known: dict[tuple[int, int], int] = {}

    def of(self, layer: int, role: int) -> int:
        """The number of a layer with a role."""
        key = (layer, role)
        if key not in self._known:
            self._known[key] = len(self.names)
            self.names.append(self.names[layer])
            self._roles.append(role)
        return self._known[key]

    @property
    def roles(self) -> IntArray:
        """The standard's layer number of each."""
        return np.array(self._roles, dtype=np.int64)


def _set_scale_aside(records: Records, rows: list[int]) -> None:
    if not rows:
        return
    records.fate[rows] = Fate.PART
    records.findings.append(
        Finding(
            code="dxf.scale-square",
            severity=Severity.NOTE,
            message="the square for measuring the scale is not part of the pattern; it is left out",
            line=records.line(rows[0]),
        )
    )
