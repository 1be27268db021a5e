"""What a file draws, by block, and the copying of it to where it is placed."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from seamwright.plugins.api import Finding, Severity

from .curves import round_strokes, spline_strokes
from .inserts import IDENTITY, Placements
from .lettered import Lettered
from .points import Points, points_of
from .polylines import faces, light_polylines, lines, polylines, strokes_of
from .records import Fate, Records
from .strokes import Strokes, joined, ragged

IntArray = NDArray[np.int64]


@dataclass(slots=True)
class Content:
    """Strokes, points and texts; `group` is the block that defines them (-1: the drawing)."""

    strokes: Strokes
    points: Points
    texts: list[Lettered]

    def placed(self, placements: Placements, blocks: int) -> Content:
        """Everything at its places, in mm: one copy for each placement of its block, ordered by
        the placements' groups, then by row."""
        order = np.argsort(placements.group, kind="stable")
        p = Placements(
            placements.block[order], placements.matrix[order], placements.layer[order],
            placements.group[order],
        )  # fmt: skip
        plain = bool((p.matrix == IDENTITY).all())
        strokes_at, own = _items(self.strokes.group, p.block, blocks)
        strokes = self.strokes.picked(strokes_at)
        if not plain:
            strokes = strokes.moved(p.matrix[own])
        strokes = replace(strokes, layer=_stand_in(strokes.layer, p.layer[own]), group=p.group[own])
        points_at, own = _items(self.points.group, p.block, blocks)
        points = self.points.picked(points_at)
        if not plain:
            points = points.moved(p.matrix[own])
        points = replace(points, layer=_stand_in(points.layer, p.layer[own]), group=p.group[own])
        owners = np.array([t.group for t in self.texts], dtype=np.int64)
        texts_at, own = _items(owners, p.block, blocks)
        texts = []
        for i, k in zip(texts_at.tolist(), own.tolist(), strict=True):
            text = self.texts[i]
            if not plain:
                text = text.moved(p.matrix[k])
            layer = text.layer or max(int(p.layer[k]), 0)
            texts.append(replace(text, layer=layer, group=int(p.group[k])))
        return Content(strokes, points, texts)


def _items(owner: IntArray, block: IntArray, blocks: int) -> tuple[IntArray, IntArray]:
    """Items of each placed block, placement by placement, and their placement."""
    order = np.argsort(owner, kind="stable")
    bounds = np.searchsorted(owner[order], np.arange(-1, blocks + 1))
    index, offsets = ragged(bounds, block + 1)
    return order[index], np.repeat(np.arange(block.size), np.diff(offsets))


def _stand_in(layer: IntArray, other: IntArray) -> IntArray:
    return np.where((layer == 0) & (other >= 0), other, layer)


def set_layouts_aside(records: Records) -> None:
    """Leave out what belongs to printed sheets; take what stands in model space's own block."""
    _set_paper_aside(records)
    _flatten_layouts(records)


def read_content(
    records: Records, texts: list[Lettered], *, mm: float, grown: float, touch: float
) -> Content:
    """All geometry of the drawing rows, in drawing units, with their texts.

    mm     millimetres a drawing unit; grown: the largest scale of any INSERT. Arcs are held to
           1e-4 mm after both.
    touch  mm within which a closed polyline's last vertex repeats its first
    """
    tolerance = 1e-4 / max(mm * max(grown, 1.0), 1e-12)
    close = touch / mm
    parts = [
        strokes_of(records, polylines(records), tolerance, close),
        strokes_of(records, light_polylines(records), tolerance, close),
        strokes_of(records, lines(records), tolerance, close),
        strokes_of(records, faces(records), tolerance, close),
        round_strokes(records, tolerance),
        spline_strokes(records, tolerance, mm * max(grown, 1.0)),
    ]
    return Content(joined(parts), points_of(records), texts)


def _set_paper_aside(records: Records) -> None:
    paper = np.zeros(records.n, dtype=bool)
    paper[records.whole(67) == 1] = True
    for number, block in enumerate(records.blocks):
        if block.is_layout and "PAPER" in block.name.upper():
            paper[records.owner == number] = True
    paper &= records.fate == Fate.UNSEEN
    rows = np.flatnonzero(paper)
    if not rows.size:
        return
    records.drop(rows)
    records.findings.append(
        Finding(
            code="dxf.paper-space",
            severity=Severity.NOTE,
            message=f"{rows.size} entities belong to a printed sheet (paper space), not to the "
            "pattern; they are left out",
            line=records.line(int(rows[0])),
        )
    )


def _flatten_layouts(records: Records) -> None:
    """What stands in the block of model space is the drawing itself."""
    for number, block in enumerate(records.blocks):
        if block.is_layout:
            records.owner[records.owner == number] = -1
