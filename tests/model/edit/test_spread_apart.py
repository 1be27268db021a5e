"""Strips between slashes: rigid, and apart by what was asked."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.geometry import Curve, GeometryError
from seamwright.model import Shape, build_shape
from seamwright.model.edit import renew, slash_and_spread, spread_apart
from seamwright.model.edit.spread import trapezium


def panel() -> Shape:
    points = np.array([[0, 0], [300, 0], [260, 400], [40, 400]], float)
    return build_shape(
        size="M",
        outline=Curve.polyline(points, closed=True),
        corner_names=["hem-left", "hem-right", "waist-right", "waist-left"],
    )


@given(
    st.floats(0, 80), st.floats(0, 80), st.floats(100, 500), st.floats(-3, 3)
)  # fmt: skip
def test_an_opening_is_a_trapezium(a: float, b: float, length: float, way: float) -> None:
    line = Curve.line((3.0, 5.0), (3.0 + length * np.cos(way), 5.0 + length * np.sin(way)))
    matrix, degrees = trapezium(line, a, b)
    ends = np.stack((line.start, line.end))
    moved = ends @ matrix[:, :2].T + matrix[:, 2]
    gaps = moved - ends
    assert np.hypot(*gaps.T) == pytest.approx([a, b], abs=1e-9)
    assert np.hypot(*(moved[1] - moved[0])) == pytest.approx(length, abs=1e-9)
    assert 2.0 * length * np.sin(np.radians(degrees) / 2.0) == pytest.approx(b - a, abs=1e-9)
    normal = np.array([-np.sin(way), np.cos(way)])
    assert (gaps @ normal >= -1e-9).all()  # to the left


_OPENING = st.one_of(st.just(0.0), st.floats(0.01, 30.0))


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(_OPENING, _OPENING), min_size=1, max_size=4))
def test_strips_keep_their_edges(openings: list[tuple[float, float]]) -> None:
    shape = panel()
    seam = shape.seam_line
    n = len(openings)
    shares = np.arange(1, n + 1) / (n + 1)
    # Waist from right to left with the outline; the hem below each place.
    tops = np.array([[260.0 - 220.0 * s, 400.0] for s in shares])
    feet = np.array([[300.0 - 300.0 * s, 0.0] for s in shares])
    slashes = [Curve.line(t, f) for t, f in zip(tops, feet, strict=True)]
    done = spread_apart(shape, slashes, openings)
    wide = [done.starts[:, 1] - done.starts[:, 0], done.ends[:, 1] - done.ends[:, 0]]
    assert wide[0] == pytest.approx([a for a, _ in openings], abs=1e-9)
    assert wide[1] == pytest.approx([b for _, b in openings], abs=1e-9)
    gained = sum(a + b for a, b in openings)
    assert done.shape.seam_line.length == pytest.approx(seam.length + gained, abs=1e-9)
    # Area: each opening is a trapezium of parallel sides a, b and equal sides.
    area = 0.0
    for slash, (a, b) in zip(slashes, openings, strict=True):
        area += 0.5 * (a + b) * np.sqrt(slash.length**2 - 0.25 * (b - a) ** 2)
    assert done.shape.seam_line.area == pytest.approx(seam.area + area, abs=1e-6)
    assert {c.name for c in done.shape.corners} >= {c.name for c in shape.corners}
    sides = {e.name: e.length for e in done.shape.edges}
    for name, length in {e.name: e.length for e in shape.edges}.items():
        if name.startswith(("hem-right", "waist-left")):
            assert sides[name] == pytest.approx(length, abs=1e-9)


def test_one_slash_to_a_pivot_is_the_hinged_one() -> None:
    shape = panel()
    top, foot = np.array([150.0, 400.0]), np.array([150.0, 0.0])
    apart = spread_apart(shape, [Curve.line(top, foot)], [(0.0, 40.0)])
    hinged = slash_and_spread(shape, Curve.line(foot, top), float(apart.degrees[0]), turned="right")
    assert hinged.opening == pytest.approx(40.0, abs=1e-9)
    assert apart.shape.seam_line.area == pytest.approx(hinged.shape.seam_line.area, abs=1e-6)
    assert apart.shape.seam_line.length == pytest.approx(hinged.shape.seam_line.length, abs=1e-9)


def test_an_opening_wider_than_the_slash_is_refused() -> None:
    line = Curve.line((150.0, 400.0), (150.0, 0.0))
    with pytest.raises(GeometryError, match="wider than the slash"):
        spread_apart(panel(), [line], [(0.0, 900.0)])


def test_allowances_and_cut_line_after_surgery() -> None:
    shape = panel().but(allowances=(10.0, 20.0, 30.0, 40.0))
    cut = renew(shape.but(cut_line=shape.seam_line), shape.but(cut_line=shape.seam_line))
    assert cut.cut_line == "remade" and cut.shape.cut_line is not None
    assert cut.shape.allowances == shape.allowances
    unknown = panel().but(cut_line=panel().seam_line)
    assert renew(unknown, unknown).cut_line == "dropped"
    assert renew(panel(), panel()).cut_line == "none"
