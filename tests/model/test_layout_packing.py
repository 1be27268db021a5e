"""Packing: pieces keep apart, stay on the paper, and little paper is used."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon

from seamwright.geometry import Curve
from seamwright.model.layout import Layout, place, prepare, samples
from seamwright.testing.profile import tries


@st.composite
def outlines(draw: st.DrawFn) -> Curve:
    """A star-shaped outline somewhere in the plane."""
    corners = draw(st.integers(3, 9))
    radii = np.array(draw(st.lists(st.floats(15, 160), min_size=corners, max_size=corners)))
    x, y = draw(st.tuples(st.floats(-3000, 3000), st.floats(-3000, 3000)))
    angle = 2 * np.pi * np.arange(corners) / corners
    return Curve.polyline(np.c_[x + radii * np.cos(angle), y + radii * np.sin(angle)], closed=True)


def polygons(pieces: list[list[Curve]], layout: Layout) -> list[Polygon]:
    return [
        Polygon(curves[0].transformed(p.matrix).flatten(0.01))
        for curves, p in zip(pieces, layout.placements, strict=True)
    ]


@tries(40)
@given(
    st.lists(outlines(), min_size=1, max_size=8),
    st.sampled_from([330.0, 700.0, 914.4]),
    st.sampled_from([0.0, 6.0, 25.0]),
    st.sampled_from([(0.0,), (0.0, 180.0), (0.0, 90.0, 180.0, 270.0), (17.0,)]),
)
def test_pieces_keep_apart_and_on_the_strip(
    found: list[Curve], width: float, gap: float, turns: tuple[float, ...]
) -> None:
    pieces = [[curve] for curve in found]
    layout = place(pieces, width=width, gap=gap, turns=turns)
    placed = polygons(pieces, layout)
    for a, b in combinations(placed, 2):
        assert a.distance(b) >= gap - 1e-6
        assert a.intersection(b).area < 1e-6
    for polygon, placement in zip(placed, layout.placements, strict=True):
        x0, y0, x1, y1 = polygon.bounds
        assert x0 > -1e-6 and y0 > -1e-6
        assert x1 <= max(width, layout.width) + 1e-6 and y1 <= layout.length + 1e-6
        assert placement.degrees in turns
    if turns != (17.0,):
        assert layout.width <= width + 1e-6  # every one of these fits one way at least


@tries(20)
@given(st.lists(outlines(), min_size=1, max_size=6), st.sampled_from([400.0, 800.0]))
def test_no_piece_lies_across_two_sheets(found: list[Curve], height: float) -> None:
    pieces = [[curve] for curve in found]
    layout = place(pieces, width=420.0, height=height, gap=5.0)
    placed = polygons(pieces, layout)
    for polygon in placed:
        assert polygon.bounds[1] > -1e-6 and polygon.bounds[3] <= height + 1e-6
    for (a, p), (b, q) in combinations(zip(placed, layout.placements, strict=True), 2):
        assert p.sheet != q.sheet or a.distance(b) >= 5.0 - 1e-6
    assert {p.sheet for p in layout.placements} == set(range(layout.sheets))


def test_quarter_turns_are_exact() -> None:
    piece = [Curve.polyline([(0.1, 0.2), (500.3, 0.2), (500.3, 90.7), (0.1, 90.7)], closed=True)]
    layout = place([piece], width=120.0, turns=(0.0, 90.0))
    placement = layout.placements[0]
    assert placement.degrees == 90.0
    assert np.abs(placement.matrix[:, :2]).tolist() == [[0.0, 1.0], [1.0, 0.0]]


def test_outlines_sink_into_each_other() -> None:
    """Two triangles, point to point, need little more than one."""
    up = [Curve.polyline([(0, 0), (400, 0), (0, 300)], closed=True)]
    alone = place([up], width=450.0, gap=4.0).length
    both = place([up, up], width=450.0, gap=4.0)
    assert both.length < 1.25 * alone
    assert {p.degrees for p in both.placements} == {0.0, 180.0}


def test_a_base_turn_lays_the_grain_along_the_strip() -> None:
    slanted = [Curve.polyline([(0, 0), (100, 100), (60, 140), (-40, 40)], closed=True)]
    layout = place([slanted], width=300.0, bases=[45.0], turns=(0.0, 180.0))
    box = slanted[0].transformed(layout.placements[0].matrix).bbox
    assert sorted((box[2] - box[0], box[3] - box[1])) == pytest.approx([40 * 2**0.5, 100 * 2**0.5])


def test_what_is_too_wide_sticks_out_and_is_told() -> None:
    wide = [Curve.polyline([(0, 0), (900, 0), (900, 800), (0, 800)], closed=True)]
    small = [Curve.polyline([(0, 0), (50, 0), (50, 50), (0, 50)], closed=True)]
    layout = place([small, wide], width=300.0, turns=(0.0, 90.0), gap=5.0)
    assert layout.width >= 800.0
    a, b = polygons([small, wide], layout)
    assert a.distance(b) >= 5.0 - 1e-6


def test_prepared_pieces_are_placed_alike_and_nothing_stays_put() -> None:
    pieces = [[Curve.circle((10.0 * i, 0.0), 30.0 + 7 * i)] for i in range(7)]
    pieces.append([])
    ready = prepare(pieces, turns=(0.0, 90.0))
    assert place(ready, width=400.0, gap=3.0) == place(
        pieces, width=400.0, gap=3.0, turns=(0.0, 90.0)
    )
    last = place(ready, width=400.0).placements[-1]
    assert (last.dx, last.dy, last.degrees) == (0.0, 0.0, 0.0)


@pytest.mark.parametrize("bad", [{"width": 0.0}, {"width": 9.0, "height": -1.0}, {"gap": -1.0}])
def test_a_strip_has_a_width(bad: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match="a strip needs"):
        place([[Curve.circle((0, 0), 5.0)]], **{"width": 100.0, **bad})


def test_samples_lie_close_together_on_the_curves() -> None:
    ring = Curve.circle((5.0, 5.0), 80.0)
    line = Curve.line((0.0, 0.0), (0.0, 33.0))
    points = samples([ring, line], 2.0)
    on_ring = points[np.abs(np.hypot(*(points - 5.0).T) - 80.0) < 0.3]
    angles = np.sort(np.arctan2(*(on_ring - 5.0).T))
    assert np.diff(angles).max() * 80.0 <= 2.01
    assert (0.0, 33.0) in {tuple(p) for p in points.tolist()}
    assert samples([], 1.0).shape == (0, 2)
