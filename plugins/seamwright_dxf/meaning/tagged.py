"""Plain drawings that carry our own marks: read back piece by piece, size by size."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from seamwright.plugins.api import Finding, Severity

from .. import marks
from ..drawing.content import Content
from ..drawing.records import Fate, Records
from .layers import SEW
from .notching import NotchFacts
from .standard import Group

IntArray = NDArray[np.int64]


@dataclass(slots=True)
class SortedOut:
    """A marked drawing by groups, with the layers that the marks give."""

    inside: Content
    loose: Content
    groups: list[Group]
    layer_names: list[str]
    seam_layers: dict[int, int]
    notch_facts: dict[int, NotchFacts]


def read_tagged(records: Records) -> dict[int, dict[str, str]] | None:
    """Row -> our marks; None where the drawing has none."""
    wanted = marks.APP.encode()
    values = records.frame.tags.values
    at = np.flatnonzero(records.codes == 1001)
    at = at[[values[i].strip() == wanted for i in records.tag_numbers[at].tolist()]] if at.size else at
    if not at.size:
        return None
    out: dict[int, dict[str, str]] = {}
    n = records.codes.size
    for i in at.tolist():
        row, k = int(records.rows[i]), i + 1
        found: dict[str, str] = {}
        while k < n and records.codes[k] == 1000 and records.rows[k] == row:
            key, _, value = records.lettering.text(values[int(records.tag_numbers[k])]).partition("=")
            found[key.strip()] = value
            k += 1
        out[row] = found
    return out


def sort_tagged(whole: Content, tagged: Mapping[int, dict[str, str]], records: Records) -> SortedOut:
    """Content by the groups and layers that the marks state; what has none is loose."""
    groups: dict[tuple[str, str], int] = {}
    names: dict[str, int] = {name: i for i, name in enumerate(records.layer_names)}
    group_of = np.full(records.n, -1, dtype=np.int64)
    layer_of = np.full(records.n, -1, dtype=np.int64)
    seam_layers: dict[int, int] = {}
    notch_facts: dict[int, NotchFacts] = {}
    plain_scale = []
    for row, said in tagged.items():
        if marks.SCALE in said:
            plain_scale.append(row)
            continue
        if marks.PIECE in said:
            key = (said[marks.PIECE], said.get(marks.SIZE, ""))
            group_of[row] = groups.setdefault(key, len(groups))
        if marks.LAYER in said:
            layer_of[row] = names.setdefault(said[marks.LAYER], len(names))
        if marks.SEAM in said and group_of[row] >= 0:
            seam_layers[int(group_of[row])] = {"1": 1, "14": SEW}.get(said[marks.SEAM], 0)
        if marks.NOTCH in said:
            notch_facts[row] = _facts(said[marks.NOTCH])
    _set_scale_aside(records, plain_scale)
    strokes, points = whole.strokes, whole.points
    drawn = np.ones(strokes.n, dtype=bool)
    drawn[np.isin(strokes.row, plain_scale)] = False
    strokes = strokes.picked(np.flatnonzero(drawn))
    strokes = replace(
        strokes,
        group=group_of[strokes.row],
        layer=np.where(layer_of[strokes.row] >= 0, layer_of[strokes.row], strokes.layer),
    )
    points = replace(
        points,
        group=group_of[points.row],
        layer=np.where(layer_of[points.row] >= 0, layer_of[points.row], points.layer),
    )
    texts = [
        replace(
            t, group=int(group_of[t.row]), layer=int(max(layer_of[t.row], 0)) or t.layer
        )
        for t in whole.texts
    ]
    s_order = np.lexsort((strokes.row, strokes.group))
    p_order = np.lexsort((points.row, points.group))
    strokes, points = strokes.picked(s_order), points.picked(p_order)
    home_s, home_p = strokes.group >= 0, points.group >= 0
    inside = Content(
        strokes.picked(np.flatnonzero(home_s)), points.picked(np.flatnonzero(home_p)),
        [t for t in texts if t.group >= 0],
    )  # fmt: skip
    loose = Content(
        strokes.picked(np.flatnonzero(~home_s)), points.picked(np.flatnonzero(~home_p)),
        [t for t in texts if t.group < 0],
    )  # fmt: skip
    made = [Group(name=name, size=size) for name, size in groups]
    return SortedOut(inside, loose, made, list(names), seam_layers, notch_facts)


def _facts(text: str) -> NotchFacts:
    """"v;3.5;;-2": kind, depth, width, angle; empty where the pattern had none."""
    parts = [*text.split(";"), "", "", "", ""]
    numbers: list[float | None] = []
    for part in parts[1:4]:
        try:
            numbers.append(float(part))
        except ValueError:
            numbers.append(None)
    return NotchFacts(parts[0], (numbers[0], numbers[1], numbers[2]))


def _set_scale_aside(records: Records, rows: list[int]) -> None:
    if not rows:
        return
    records.fate[rows] = Fate.DROPPED
    records.findings.append(
        Finding(
            code="dxf.scale-square",
            severity=Severity.NOTE,
            message="the square for measuring the scale is not part of the pattern; it is left out",
            line=records.line(rows[0]),
        )
    )
