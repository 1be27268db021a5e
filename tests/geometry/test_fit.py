"""Curves through the points of a polyline."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from seamwright.geometry import CUBIC, LINE, Curve, GeometryError, fit_cubics

numbers = st.floats(-200.0, 200.0)
points = st.tuples(numbers, numbers)


def both_ways(fit: Curve, given_points: np.ndarray, closed: bool) -> tuple[float, float]:
    """Farthest point from the curve, and farthest place of the curve from the polyline."""
    polyline = Curve.polyline(given_points, closed=closed)
    places = fit.point_at(np.linspace(0.0, fit.length, 1500)[:-1])
    return (
        float(fit.nearest(given_points).distances.max()),
        float(polyline.nearest(places).distances.max()),
    )


def rounded_rectangle(width: float, height: float, radius: float) -> Curve:
    """Two right-angled corners below, two rounded ones above."""
    right = Curve.arc((width - radius, height - radius), radius, 0, 90)
    left = Curve.arc((radius, height - radius), radius, 90, 90)
    whole = Curve.polyline([(0, 0), (width, 0), (width, height - radius)])
    for piece in (
        right,
        Curve.line((width - radius, height), (radius, height)),
        left,
        Curve.line((0, height - radius), (0, 0)),
    ):
        whole = whole.joined(piece, tolerance=1e-9)
    return whole.closed_up(1e-9)


@pytest.mark.parametrize("radius", [5.0, 12.3, 20.0, 35.0])
@pytest.mark.parametrize("quantum", [0.0, 0.01])
def test_rounded_rectangle(radius: float, quantum: float) -> None:
    """Sampled every half millimetre, exactly or to a file's hundredth of a millimetre."""
    outline = rounded_rectangle(120.0, 80.0, radius)
    sampled = np.concatenate(
        [side.point_at(np.arange(0.0, side.length, 0.5)) for side in outline.split([120.0, 0.0])]
    )
    if quantum:
        sampled = np.round(sampled / quantum) * quantum
    fit = fit_cubics(sampled, 0.05, closed=True)
    assert fit.closed
    assert fit.n <= 12
    assert abs(fit.length / outline.length - 1.0) <= 2e-4
    corners = fit.joints[fit.corner_segments()]
    np.testing.assert_array_equal(corners[np.argsort(corners[:, 0])], [(0, 0), (120, 0)])
    assert max(both_ways(fit, sampled, True)) <= 0.05 * 1.001
    assert (fit.kinds == LINE).sum() >= 4


def test_points_of_one_cubic_give_one_cubic() -> None:
    rng = np.random.default_rng(4)
    for _ in range(25):
        chord = rng.uniform(60, 300)
        a, b = rng.normal(0, 0.5, 2)
        h, k = chord * rng.uniform(0.2, 0.5, 2)
        cubic = np.array(
            [
                (0, 0),
                (h * np.cos(a), h * np.sin(a)),
                (chord - k * np.cos(b), k * np.sin(b)),
                (chord, 0),
            ]
        )
        curve = Curve.from_segments([cubic])
        sampled = curve.point_at(np.linspace(0, curve.length, int(curve.length)))
        fit = fit_cubics(sampled, 0.05)
        assert fit.n <= 2
        assert fit.length == pytest.approx(curve.length, abs=0.02)
        assert max(both_ways(fit, sampled, False)) <= 0.05 * 1.001


@given(st.lists(points, min_size=2, max_size=12), st.booleans())
def test_whatever_the_points(given_points: list[tuple[float, float]], closed: bool) -> None:
    p = np.array(given_points)
    step = np.diff(np.concatenate((p, p[:1])) if closed else p, axis=0)
    assume(np.hypot(*step.T).max() > 0.5)
    assume(np.hypot(*(p - p[0]).T).max() > 0.5)
    fit = fit_cubics(p, 0.1, closed=closed)
    assert np.isfinite(fit.segments).all()
    assert fit.closed == closed
    there, back = both_ways(fit, p, closed)
    # Points merged as repetitions lie within a hundredth of the tolerance of one that counts.
    assert there <= 0.1 * 1.02
    assert back <= 0.1 * 1.02
    if not closed:
        np.testing.assert_array_equal(fit.start, p[0])
        np.testing.assert_array_equal(fit.end, p[-1])


@given(st.lists(points, min_size=3, max_size=9), st.booleans())
def test_a_sparse_polygon_stays_that_polygon(
    given_points: list[tuple[float, float]], closed: bool
) -> None:
    p = np.array(given_points)
    step = np.diff(np.concatenate((p, p[:1])) if closed else p, axis=0)
    z = step[:, 0] + 1j * step[:, 1]
    assume(np.abs(z).min() > 1.0)
    turn = np.abs(np.degrees(np.angle(z[1:] / z[:-1])))
    assume(turn.min() > 20.5)
    if closed:
        assume(abs(np.degrees(np.angle(z[0] / z[-1]))) > 20.5)
    fit = fit_cubics(p, 0.05, closed=closed)
    assert (fit.kinds == LINE).all()
    np.testing.assert_array_equal(fit.joints, p)


def test_two_points_and_repetitions() -> None:
    for p in ([(0, 0), (10, 5)], [(0, 0), (0, 0), (10, 5), (10, 5), (10, 5)]):
        fit = fit_cubics(p, 0.05)
        assert fit.kinds.tolist() == [LINE]
        np.testing.assert_array_equal(fit.joints, [(0, 0), (10, 5)])
    closed = fit_cubics([(0, 0), (10, 0), (10, 10), (0, 10), (0, 0)], 0.05, closed=True)
    np.testing.assert_array_equal(closed.joints, [(0, 0), (10, 0), (10, 10), (0, 10)])


def test_a_circle_is_smooth_all_round() -> None:
    circle = Curve.circle((0, 0), 100.0)
    fit = fit_cubics(circle.flatten(0.01), 0.05, closed=True)
    assert fit.n <= 8
    assert fit.corner_segments(0.01).size == 0
    assert fit.length == pytest.approx(circle.length, rel=1e-4)


def test_a_stadium_without_corners_keeps_its_straight_sides() -> None:
    arcs = [Curve.arc((100, 30), 30, -90, 180), Curve.arc((0, 30), 30, 90, 180)]
    outline = (
        Curve.line((0, 0), (100, 0))
        .joined(arcs[0])
        .joined(Curve.line((100, 60), (0, 60)))
        .joined(arcs[1])
        .closed_up()
    )
    for sampled in (
        outline.flatten(0.01),
        outline.point_at(np.arange(17.0, 17.0 + outline.length - 0.3, 0.5)),
    ):
        fit = fit_cubics(sampled, 0.05, closed=True)
        assert (fit.kinds == LINE).sum() == 2
        assert fit.n <= 8
        assert fit.corner_segments(1.0).size == 0
        assert fit.length == pytest.approx(outline.length, rel=2e-4)


def test_given_corners_stay_sharp_and_others_do_not_arise() -> None:
    wave = np.linspace(0, np.pi, 60)
    p = np.stack((wave * 40, 30 * np.sin(wave)), axis=1)
    fit = fit_cubics(p, 0.05, corners=[30])
    assert np.hypot(*(fit.joints - p[30]).T).min() == 0.0
    ragged = np.array([(0, 0), (30, 0), (60, 12), (90, 12)], dtype=float)
    smooth = fit_cubics(ragged, 4.0, corners=[])
    assert smooth.corner_segments(21.0).size == 0


def test_prescribed_directions_are_kept() -> None:
    a = np.radians(np.linspace(0, 90, 120))
    p = 80 * np.stack((np.sin(a), 1 - np.cos(a)), axis=1)
    fit = fit_cubics(p, 0.05, start_tangent=(1, 0), end_tangent=(0, 2))
    np.testing.assert_allclose(fit.tangents_of([0, fit.n - 1], [0, 1]), [(1, 0), (0, 1)], atol=1e-9)
    assert (fit.kinds == CUBIC).all()


def test_what_cannot_be_fitted_is_refused() -> None:
    with pytest.raises(GeometryError, match="two different points"):
        fit_cubics([(1, 1), (1, 1), (1, 1)], 0.05)
    with pytest.raises(GeometryError, match="tolerance"):
        fit_cubics([(0, 0), (1, 1)], 0.0)
    with pytest.raises(GeometryError, match="finite"):
        fit_cubics([(0, 0), (np.nan, 1)], 0.05)
    with pytest.raises(GeometryError, match="corner"):
        fit_cubics([(0, 0), (1, 1)], 0.05, corners=[5])
    with pytest.raises(GeometryError, match="closed"):
        fit_cubics([(0, 0), (1, 1), (2, 0)], 0.05, closed=True, start_tangent=(1, 0))
    with pytest.raises(GeometryError, match="direction"):
        fit_cubics([(0, 0), (1, 1), (2, 0)], 0.05, start_tangent=(0, 0))
