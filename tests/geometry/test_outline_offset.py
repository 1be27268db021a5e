"""Offsets of outlines: distance, corners by rule, refusals."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.geometry import Curve, GeometryError
from seamwright.geometry.offset import offset_open
from seamwright.geometry.outline_offset import CornerRule, offset_outline
from seamwright.testing.strategies import outlines

ENDLESS = CornerRule(limit=1e9)


def edges_of(outline: Curve) -> list[Curve]:
    return [outline.part(a, b) for a, b in pairwise(outline.cumulative)]


def square_edges() -> list[Curve]:
    p = [(0, 0), (100, 0), (100, 60), (0, 60)]
    return [Curve.line(a, b) for a, b in zip(p, p[1:] + p[:1], strict=True)]


def joints(curve: Curve) -> set[tuple[float, float]]:
    return {(round(float(x), 6), round(float(y), 6)) for x, y in curve.joints}


@settings(max_examples=40, deadline=None)
@given(outlines(), st.floats(3.0, 16.0))
def test_every_point_is_at_least_the_width_away_and_parallels_exactly(
    outline: Curve, width: float
) -> None:
    outline = outline if outline.area > 0 else outline.reversed()
    edges = edges_of(outline)
    made = offset_outline(edges, [width] * len(edges), ENDLESS)
    places = made.curve.point_at(np.linspace(0, made.curve.length, 160, endpoint=False))
    assert outline.nearest(places).distances.min() > width - 0.02
    for (low, high), edge in zip(made.spans, edges, strict=True):
        on = made.curve.point_at(np.linspace(low, high, 20)[1:-1])
        assert np.abs(edge.nearest(on).distances - width).max() < 0.02
    assert made.curve.area > outline.area


@settings(max_examples=25, deadline=None)
@given(outlines(min_corners=4), st.floats(3.0, 12.0))
def test_out_and_in_again_comes_back(outline: Curve, width: float) -> None:
    outline = outline if outline.area > 0 else outline.reversed()
    edges = edges_of(outline)
    out = offset_outline(edges, [width] * len(edges), ENDLESS)
    before = np.roll(out.spans[:, 1], 1)
    gap = (out.spans[:, 0] - before) % out.curve.length  # the first one may lie over the start
    cuts = before + 0.5 * np.where(gap < 0.5 * out.curve.length, gap, 0.0)
    ends = np.append(cuts, cuts[0])
    around = [out.curve.part(a % out.curve.length, b % out.curve.length) for a, b in pairwise(ends)]
    back = offset_outline(around, [-width] * len(around), ENDLESS)
    places = back.curve.point_at(np.linspace(0, back.curve.length, 120, endpoint=False))
    assert outline.nearest(places).distances.max() < 0.05
    assert back.curve.length == pytest.approx(outline.length, abs=0.1)


def test_inner_offset_with_a_cusp_has_its_loop_cut_out() -> None:
    hump = Curve.from_segments([[[0, 0], [30, 120], [60, 120], [90, 0]]])
    inner = offset_open(hump, 30.0)
    assert len(inner.self_intersections().own) == 0
    places = inner.point_at(np.linspace(0, inner.length, 200))
    assert hump.nearest(places).distances.min() > 30.0 - 0.02


def test_unequal_widths_meet_in_a_mitre() -> None:
    made = offset_outline(square_edges(), [10, 15, 10, 15], ENDLESS)
    assert made.curve.area == pytest.approx(130 * 80, abs=1e-6)


def test_a_sharp_mitre_is_blunted_at_its_limit() -> None:
    """A tip of about 2.9 degrees would run 400 mm out; it stays within 2 widths."""
    tip = [(0.0, 0.0), (200.0, -5.0), (200.0, 5.0)]
    edges = [Curve.line(a, b) for a, b in zip(tip, tip[1:] + tip[:1], strict=True)]
    made = offset_outline(edges, [10.0] * 3, CornerRule(limit=2.0))
    assert made.blunted == (0,)
    assert made.curve.bbox[0] >= -20.0 - 1e-9


def test_square_corner_ends_at_right_angles_to_the_seam_sewn_first() -> None:
    """Corner at (100, 0) of 60 degrees inside; the bottom edge is sewn first."""
    p = [(0.0, 0.0), (100.0, 0.0), (50.0, 86.6025403784)]
    edges = [Curve.line(a, b) for a, b in zip(p, p[1:] + p[:1], strict=True)]
    rules = [ENDLESS, CornerRule(style="square", first="before"), ENDLESS]
    made = offset_outline(edges, [10.0] * 3, rules)
    # The stitching line y = 0, run on, meets the other cut line 10 / sin 60 from the corner.
    x = 100.0 + 10.0 / np.sin(np.radians(60.0))
    assert (round(x, 6), 0.0) in joints(made.curve)
    assert (round(x, 6), -10.0) in joints(made.curve)


def test_folded_corner_mirrors_the_neighbours_cut_line() -> None:
    """A tapered leg: the hem's allowance widens below the fold as the leg does above it."""
    p = [(10.0, 0.0), (60.0, 0.0), (80.0, 200.0), (0.0, 200.0)]
    edges = [Curve.line(a, b) for a, b in zip(p, p[1:] + p[:1], strict=True)]
    rules = [
        CornerRule(style="fold", first="after"),
        CornerRule(style="fold", first="before"),
        ENDLESS,
        ENDLESS,
    ]
    made = offset_outline(edges, [30.0, 10.0, 10.0, 10.0], rules)
    above = made.curve.intersections(Curve.line((-50, 20), (150, 20))).points[:, 0]
    below = made.curve.intersections(Curve.line((-50, -20), (150, -20))).points[:, 0]
    assert np.sort(above) == pytest.approx(np.sort(below), abs=1e-6)


@pytest.mark.parametrize("width", [-30.0, -40.0, -60.0])
def test_what_is_too_wide_is_refused(width: float) -> None:
    with pytest.raises(GeometryError):
        offset_outline(square_edges(), [width] * 4)
    if width == -60.0:
        with pytest.raises(GeometryError):
            offset_outline([Curve.circle((0, 0), 50)], [width])


def test_nothing_to_offset() -> None:
    with pytest.raises(GeometryError):
        offset_open(Curve.circle((0, 0), 10), 5.0)
    with pytest.raises(GeometryError):
        offset_outline(square_edges(), [1.0, 2.0])
    with pytest.raises(GeometryError):
        offset_outline(square_edges(), [None] * 4)
