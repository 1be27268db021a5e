"""Pieces split, joined, mirrored, turned and scaled, against a library for polygons."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon, affinity
from shapely.ops import split, unary_union

from seamwright.geometry import Curve, Station
from seamwright.model import GrainLine, Pattern, Piece, Shape, build_shape
from seamwright.pipeline import Pipeline, Use

EXACT = 1e-7  # mm2 or mm; polygons have no curves, so nothing is lost to chords


def pattern_of(points: Sequence[tuple[float, float]], name: str = "Panel") -> Pattern:
    outline = Curve.polyline(np.array(points, dtype=float), closed=True)
    shape = build_shape(
        size="M",
        outline=outline,
        corners=[Station(i, 0.0) for i in range(outline.n)],
        corner_names=[f"p{i}" for i in range(outline.n)],
        grain_line=GrainLine(start=(10.0, 5.0), end=(40.0, 65.0)),
    )
    piece = Piece(name=name, shapes=(shape,))
    return Pattern(name="x", pieces=(piece,), sizes=("M",), base_size="M")


def polygon(shape: Shape) -> Polygon:
    return Polygon(shape.seam_line.segments[:, 0])


@st.composite
def stars(draw: st.DrawFn) -> list[tuple[float, float]]:
    """Star-shaped polygons of 5 to 9 corners, convex or not."""
    n = draw(st.integers(5, 9))
    radii = draw(st.lists(st.floats(80.0, 300.0), min_size=n, max_size=n))
    turn = draw(st.floats(0.0, 6.0))
    return [
        (r * np.cos(turn + 2 * np.pi * k / n), r * np.sin(turn + 2 * np.pi * k / n))
        for k, r in enumerate(radii)
    ]


@settings(max_examples=60, deadline=None)
@given(stars(), st.integers(2, 3), st.floats(0.1, 0.9), st.floats(0.1, 0.9))
def test_split(points: list[tuple[float, float]], apart: int, s: float, t: float) -> None:
    n = len(points)
    ends = [
        (1 - u) * np.array(points[k]) + u * np.array(points[(k + 1) % n])
        for k, u in ((0, s), (apart, t))
    ]
    whole = Polygon(points)
    line = LineString([ends[0], ends[1]])
    step = Use(
        "split-piece",
        start=f"Panel: p0 + {s * np.hypot(*np.subtract(points[1], points[0])):.17g} mm",
        end=f"Panel: p{apart} + "
        f"{t * np.hypot(*np.subtract(points[(apart + 1) % n], points[apart])):.17g} mm",
    )
    before = pattern_of(points)
    after, record = Pipeline([step]).run(before)
    inside = whole.buffer(1e-6).contains(line)
    assert (after is not before) == inside or whole.exterior.distance(LineString(
        [0.9 * ends[0] + 0.1 * ends[1], 0.1 * ends[0] + 0.9 * ends[1]])) < 1e-3  # fmt: skip
    if after is before:
        assert {f.code for f in record.findings} == {"pieces.refused"}
        return
    long = LineString([ends[0] - 1e-6 * (ends[1] - ends[0]), ends[1] + 1e-6 * (ends[1] - ends[0])])
    expected = sorted(g.area for g in split(whole, long).geoms)
    found = sorted(polygon(p.shapes[0]).area for p in after.pieces)
    if len(expected) == 2:
        np.testing.assert_allclose(found, expected, atol=1e-2 * EXACT * whole.area + EXACT)
    assert sum(found) == pytest.approx(whole.area, abs=EXACT)


@settings(max_examples=40, deadline=None)
@given(
    st.floats(60.0, 200.0), st.floats(40.0, 180.0), st.floats(-30.0, 30.0),
    st.floats(-180.0, 180.0), st.floats(-400.0, 400.0),
)  # fmt: skip
def test_joined(w: float, v: float, lean: float, turn: float, far: float) -> None:
    """Two quadrilaterals along a common side, one of them moved away and turned before."""
    left = [(0.0, 0.0), (w, 0.0), (w + lean, 250.0), (0.0, 240.0)]
    right = [(w, 0.0), (w + v, 10.0), (w + v, 260.0), (w + lean, 250.0)]
    moved = affinity.translate(affinity.rotate(Polygon(right), turn, origin=(0, 0)), far, -far)
    a = pattern_of(left, "Left")
    b = pattern_of(list(moved.exterior.coords)[:-1], "Right")
    both = a.but(pieces=(*a.pieces, *b.pieces))
    after, record = Pipeline(
        [Use("join-pieces", edge="Left: p1 > p2", to="Right: p0 > p3", name="Both")]
    ).run(both)
    assert not record.findings
    expected = unary_union([Polygon(left), Polygon(right)])
    found = polygon(after.piece("Both").shapes[0])
    assert found.symmetric_difference(expected).area < 1e-5
    assert found.area == pytest.approx(Polygon(left).area + Polygon(right).area, abs=EXACT)


@settings(max_examples=40, deadline=None)
@given(stars(), st.floats(0.2, 3.0), st.floats(0.2, 3.0))
def test_scaled_along_the_grain(
    points: list[tuple[float, float]], along: float, across: float
) -> None:
    after, _ = Pipeline([Use("scale-piece", along=along, across=across)]).run(pattern_of(points))
    middle, degrees = (25.0, 35.0), float(np.degrees(np.arctan2(60.0, 30.0)))
    upright = affinity.rotate(Polygon(points), -degrees, origin=middle)
    scaled = affinity.scale(upright, along, across, origin=middle)
    expected = affinity.rotate(scaled, degrees, origin=middle)
    found = polygon(after.pieces[0].shapes[0])
    assert found.hausdorff_distance(expected) < EXACT


@settings(max_examples=40, deadline=None)
@given(stars(), st.floats(-180.0, 180.0))
def test_turned(points: list[tuple[float, float]], angle: float) -> None:
    after, _ = Pipeline([Use("turn-to-grain", angle=angle, arrow=True)]).run(pattern_of(points))
    degrees = angle - float(np.degrees(np.arctan2(60.0, 30.0)))
    expected = affinity.rotate(Polygon(points), degrees, origin=(25.0, 35.0))
    assert polygon(after.pieces[0].shapes[0]).hausdorff_distance(expected) < EXACT


@settings(max_examples=40, deadline=None)
@given(stars())
def test_turned_over(points: list[tuple[float, float]]) -> None:
    after, _ = Pipeline([Use("mirror-piece", axis="horizontal")]).run(pattern_of(points))
    whole = Polygon(points)
    _, y0, _, y1 = whole.bounds
    expected = affinity.scale(whole, 1.0, -1.0, origin=(0.0, 0.5 * (y0 + y1)))
    assert polygon(after.pieces[0].shapes[0]).hausdorff_distance(expected) < EXACT
