"""Our own drawing as another program would save it again: without our data, without labels on
lines, without ids. What the lines are must then come from their shape."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import pytest

from seamwright.demo.blouse import blouse
from seamwright.geometry import FloatArray
from seamwright.model import Pattern, Shape

SIZES = ["A", "C", "G"]


def stripped(svg: Any, *, labels: bool, ids: bool, layers: bool) -> str:
    """The blouse with ever less said about it."""
    data = str(svg.write(blouse(SIZES), layout="keep").decode())
    data = data.replace('<path data-role="decoration"', "<path")  # arrow heads stay as lines
    data = re.sub(r' data-(?!role="(?:legend|decoration)")[\w-]+="[^"]*"', "", data)
    if not labels:
        data = re.sub(r' inkscape:label="[^"]*"(?=[^>]* d=)', "", data)
    if not ids:
        data = re.sub(r' id="[^"]*-seam-line"', "", data)
    if not layers:
        data = re.sub(
            r'<g inkscape:groupmode="layer" inkscape:label="Size (\w)"[^>]*>',
            r'<g class="size-\1">',
            data,
        )
    return data


def places(shape: Shape) -> FloatArray:
    stations = [n.station for n in shape.notches]
    points = shape.seam_line.points_of([s.segment for s in stations], [s.t for s in stations])
    return points[np.lexsort(np.round(points, 3).T)]


@pytest.mark.parametrize(
    ("labels", "ids", "layers"),
    [(True, True, True), (False, True, True), (False, False, True), (False, False, False)],
)
def test_is_understood_all_the_same(svg: Any, labels: bool, ids: bool, layers: bool) -> None:
    read = svg.read(stripped(svg, labels=labels, ids=ids, layers=layers))
    whole: Pattern = blouse(SIZES)
    assert read.pattern.sizes == whole.sizes
    assert sorted(read.names) == sorted(p.name for p in whole.pieces)
    for piece in whole.pieces:
        for before in piece.shapes:
            after = read.shape(piece.name, before.size)
            assert [e.length for e in after.edges] == pytest.approx(
                [e.length for e in before.edges], abs=2e-6
            )
            assert places(after) == pytest.approx(places(before), abs=1e-4)
            assert all(n.depth == pytest.approx(6.0, abs=1e-4) for n in after.notches)
            assert after.grain_line is not None and before.grain_line is not None
            ends = np.array(sorted([after.grain_line.start, after.grain_line.end]))
            drawn = np.array(sorted([before.grain_line.start, before.grain_line.end]))
            assert ends == pytest.approx(drawn, abs=1e-5)
            assert len(after.internal_lines) == len(before.internal_lines)
            assert [t.text for t in after.texts] == [t.text for t in before.texts]
            assert [t.role for t in after.texts] == [t.role for t in before.texts]
    assert not [f for f in read.findings if f.severity.value == "error"]
