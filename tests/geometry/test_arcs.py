"""Arcs, circles and ellipses as cubics: place within 1e-4 mm, length exact."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from seamwright.geometry import (
    Curve,
    GeometryError,
    arc_lengths,
    ellipse_arc,
    elliptical_arc_to_cubics,
    evaluate,
)

T = np.linspace(0.0, 1.0, 200)


def places(segments: np.ndarray) -> np.ndarray:
    return evaluate(segments, np.tile(T, (len(segments), 1))).reshape(-1, 2)


@given(st.floats(0.05, 5000.0), st.floats(-360.0, 360.0), st.floats(-360.0, 360.0))
def test_circular_arcs(radius: float, start: float, sweep: float) -> None:
    assume(abs(sweep) > 0.01)
    arc = Curve.arc((3, -4), radius, start, sweep)
    off = np.hypot(*(places(arc.segments) - [3, -4]).T) - radius
    assert np.abs(off).max() <= 1e-4
    # Points 5 m from the centre carry a rounding of 1e-12 mm each.
    assert arc.length == pytest.approx(radius * np.radians(abs(sweep)), rel=1e-12, abs=1e-11)
    first = np.radians(start)
    np.testing.assert_allclose(
        arc.start, [3 + radius * np.cos(first), -4 + radius * np.sin(first)], atol=1e-9
    )


@pytest.mark.parametrize("radius", [0.5, 3.0, 40.0, 250.0, 4000.0])
def test_circles(radius: float) -> None:
    circle = Curve.circle((10, 20), radius)
    assert circle.length == pytest.approx(2 * np.pi * radius, rel=1e-13)
    assert circle.area == pytest.approx(np.pi * radius**2, rel=1e-5)
    assert circle.area > 0
    np.testing.assert_allclose(
        circle.bbox, [10 - radius, 20 - radius, 10 + radius, 20 + radius], rtol=0, atol=1e-4
    )
    np.testing.assert_allclose(circle.start, [10 + radius, 20], atol=1e-12)
    assert circle.corner_segments(1.0).size == 0


def off_ellipse(p: np.ndarray, rx: float, ry: float) -> np.ndarray:
    """Distance from an ellipse about the origin to first order: F / |grad F|."""
    f = (p[:, 0] / rx) ** 2 + (p[:, 1] / ry) ** 2 - 1.0
    return np.abs(f) / (2.0 * np.hypot(p[:, 0] / rx**2, p[:, 1] / ry**2))


@pytest.mark.parametrize(
    ("rx", "ry"), [(60.0, 40.0), (40.0, 60.0), (300.0, 20.0), (5.0, 4.9), (1.0, 200.0)]
)
def test_ellipses(rx: float, ry: float) -> None:
    ellipse = Curve.ellipse((0, 0), rx, ry)
    assert off_ellipse(places(ellipse.segments), rx, ry).max() <= 1e-4
    # A trapezium rule over a whole period is exact to rounding once it is fine enough.
    a = np.linspace(0, 2 * np.pi, 200_000, endpoint=False)
    around = np.hypot(rx * np.sin(a), ry * np.cos(a)).mean() * 2 * np.pi
    assert ellipse.length == pytest.approx(around, rel=1e-12)
    turned = Curve.ellipse((7, 8), rx, ry, 33.0)
    assert turned.length == pytest.approx(around, rel=1e-12)


def test_every_piece_of_an_elliptical_arc_is_as_long_as_its_arc() -> None:
    rx, ry = 130.0, 35.0
    segments = ellipse_arc((0, 0), rx, ry, 0.0, 20.0, 200.0)
    count = len(segments)
    bounds = np.radians(20.0 + 200.0 * np.arange(count + 1) / count)
    x, w = np.polynomial.legendre.leggauss(120)
    for segment, a, b in zip(segments, bounds[:-1], bounds[1:], strict=True):
        t = a + (b - a) * (x + 1) / 2
        exact = (w * np.hypot(rx * np.sin(t), ry * np.cos(t))).sum() * (b - a) / 2
        assert arc_lengths([segment])[0] == pytest.approx(exact, abs=1e-10)


def test_svg_arc_flags_choose_among_four() -> None:
    """Two circles of radius 50 pass through the ends; two ways round each."""
    lengths, below = {}, {}
    for large in (False, True):
        for sweep in (False, True):
            arc = elliptical_arc_to_cubics((0, 0), 50, 50, 0, large, sweep, (50, 0))
            lengths[large, sweep] = arc_lengths(arc).sum()
            below[large, sweep] = places(arc)[:, 1].mean() < 0
            np.testing.assert_array_equal(arc[0, 0], (0, 0))
            np.testing.assert_array_equal(arc[-1, 3], (50, 0))
    for sweep in (False, True):
        assert lengths[False, sweep] == pytest.approx(50 * np.pi / 3, rel=1e-12)
        assert lengths[True, sweep] == pytest.approx(50 * np.pi * 5 / 3, rel=1e-12)
    # In axes as given, a positive sweep turns from +x towards +y: from (0, 0) to (50, 0) the
    # way round runs under the chord.
    assert below[False, True]
    assert not below[False, False]


def test_svg_arc_agrees_with_centre_parametrisation() -> None:
    rng = np.random.default_rng(9)
    for _ in range(60):
        rx, ry = rng.uniform(5, 80, 2)
        turn = rng.uniform(-180, 180)
        start, sweep = rng.uniform(0, 360), rng.uniform(5, 355) * rng.choice([-1, 1])
        given_ = ellipse_arc((12, -7), rx, ry, turn, start, sweep)
        found = elliptical_arc_to_cubics(
            given_[0, 0], rx, ry, turn, abs(sweep) > 180, sweep > 0, given_[-1, 3]
        )
        assert len(found) == len(given_)
        np.testing.assert_allclose(found, given_, atol=1e-8)


def test_svg_arc_out_of_range_rules() -> None:
    # W3C SVG 2, section 9.5.1: "Out-of-range elliptical arc parameters".
    assert elliptical_arc_to_cubics((5, 5), 10, 10, 0, True, True, (5, 5)).shape == (0, 4, 2)
    line = elliptical_arc_to_cubics((0, 0), 0, 10, 0, True, True, (30, 0))
    np.testing.assert_allclose(line, [[(0, 0), (10, 0), (20, 0), (30, 0)]])
    # Too small radii grow until they just reach: a half circle of radius 50.
    grown = elliptical_arc_to_cubics((0, 0), 1, 1, 0, False, True, (100, 0))
    assert arc_lengths(grown).sum() == pytest.approx(50 * np.pi, rel=1e-12)
    # Negative radii count as positive.
    plus = elliptical_arc_to_cubics((0, 0), 30, 20, 10, False, True, (20, 5))
    minus = elliptical_arc_to_cubics((0, 0), -30, -20, 10, False, True, (20, 5))
    np.testing.assert_array_equal(plus, minus)


def test_scale_decides_how_many_pieces() -> None:
    """100 user units of 25.4 mm each need more pieces than 100 mm."""
    small = elliptical_arc_to_cubics((0, 0), 60, 60, 0, False, True, (100, 0))
    large = elliptical_arc_to_cubics((0, 0), 60, 60, 0, False, True, (100, 0), scale=25.4)
    assert len(large) > len(small)
    a = places(large) * 25.4
    middle = np.array([50.0, np.sqrt(60.0**2 - 50.0**2)]) * 25.4
    assert np.abs(np.hypot(*(a - middle).T) - 60 * 25.4).max() <= 1e-4


def test_what_is_no_arc_is_refused() -> None:
    for args in (((0, 0), -1.0, 0, 90), ((0, 0), np.nan, 0, 90), ((0, 0), 5.0, 0, 0)):
        with pytest.raises(GeometryError):
            Curve.arc(*args)
    with pytest.raises(GeometryError):
        Curve.circle((0, 0), 0.0)
    with pytest.raises(GeometryError):
        elliptical_arc_to_cubics((0, 0), np.inf, 1, 0, True, True, (1, 1))
