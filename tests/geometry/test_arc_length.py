"""Arc length: closed forms, and what must not change it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.geometry import GeometryError, arc_lengths, partial_lengths, subdivide

numbers = st.floats(-500.0, 500.0)
points = st.tuples(numbers, numbers)
cubics = st.lists(points, min_size=4, max_size=4).map(np.array)
shares = st.floats(0.0, 1.0)


def exact_cubic(s: float) -> np.ndarray:
    """Its speed is a polynomial, its length exactly 2 s."""
    return np.array([[(0.0, 0.0), (0.0, s), (s, s), (s, 0.0)]])


@pytest.mark.parametrize("s", [1e-3, 1.0, 100.0, 2500.0])
def test_cubic_with_polynomial_speed(s: float) -> None:
    assert arc_lengths(exact_cubic(s))[0] == pytest.approx(2.0 * s, rel=1e-14)
    assert partial_lengths(exact_cubic(s), 0.25)[0] == pytest.approx(0.59375 * s, rel=1e-14)
    assert partial_lengths(exact_cubic(s), 0.5)[0] == pytest.approx(s, rel=1e-14)


def test_parabola() -> None:
    # b/2 sqrt(1 + 4 a^2 b^2) + asinh(2 a b) / (4 a) for y = a x^2 on 0..b (standard calculus).
    a, b = 0.013, 170.0
    quadratic = np.array([(0.0, 0.0), (b / 2, 0.0), (b, a * b * b)])
    raised = np.array(
        [
            quadratic[0],
            (quadratic[0] + 2 * quadratic[1]) / 3,
            (2 * quadratic[1] + quadratic[2]) / 3,
            quadratic[2],
        ]
    )
    exact = b / 2 * np.sqrt(1 + 4 * a * a * b * b) + np.arcsinh(2 * a * b) / (4 * a)
    assert arc_lengths([raised])[0] == pytest.approx(exact, abs=1e-11)


def test_cusp_made_of_two_straight_strokes() -> None:
    # The handles run 30 beyond the end and back: there is 10 t (3 - 3 t ...) on one axis, so the
    # length is that of a polynomial's travel, turning points included.
    x = np.array([0.0, 60.0, -30.0, 30.0])
    cubic = np.stack((x, np.zeros(4)), axis=1)
    c = np.array(
        [
            -x[0] + 3 * x[1] - 3 * x[2] + x[3],
            3 * x[0] - 6 * x[1] + 3 * x[2],
            3 * (x[1] - x[0]),
            x[0],
        ]
    )
    turns = np.roots(np.polyder(c))
    stops = np.polyval(c, np.sort(np.concatenate(([0.0, 1.0], turns.real))))
    assert arc_lengths([cubic])[0] == pytest.approx(np.abs(np.diff(stops)).sum(), abs=1e-10)


def test_no_extent_no_length() -> None:
    assert (arc_lengths(np.full((3, 4, 2), 7.5)) == 0.0).all()
    assert arc_lengths(np.empty((0, 4, 2))).shape == (0,)


def test_numbers_whose_squares_vanish() -> None:
    """The discriminant underflows while its parts do not."""
    for tiny in (1e-60, 1e-90, 1e-120, 1e-160, 5e-324):
        cubic = np.array([(0.0, 0.0), (100.0, 0.0), (100.0, tiny), (0.0, tiny)])
        with np.errstate(over="raise", invalid="raise"):
            found = arc_lengths([cubic])[0]
        # To x = 75 and back: x = 300 t (1 - t), highest at t = 1/2.
        assert found == pytest.approx(150.0, abs=1e-9)


def test_bad_number_is_not_a_length() -> None:
    cubic = exact_cubic(10.0)
    cubic[0, 1, 0] = np.nan
    assert np.isnan(arc_lengths(cubic)[0])


def test_wrong_shape_is_refused() -> None:
    with pytest.raises(GeometryError, match=r"\(N, 4, 2\)"):
        arc_lengths(np.zeros((2, 3, 2)))


@given(cubics, st.floats(0.0, 360.0))
def test_rotation_keeps_length(cubic: np.ndarray, angle: float) -> None:
    c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    turned = cubic @ np.array([[c, s], [-s, c]])
    assert arc_lengths([turned])[0] == pytest.approx(arc_lengths([cubic])[0], abs=1e-9)


@given(cubics)
def test_reversal_keeps_length(cubic: np.ndarray) -> None:
    assert arc_lengths([cubic[::-1]])[0] == pytest.approx(arc_lengths([cubic])[0], abs=1e-10)


@given(cubics, shares)
def test_splitting_keeps_length(cubic: np.ndarray, t: float) -> None:
    whole = arc_lengths([cubic])[0]
    halves = np.concatenate((subdivide([cubic], 0.0, t), subdivide([cubic], t, 1.0)))
    assert arc_lengths(halves).sum() == pytest.approx(whole, abs=1e-9)
    assert partial_lengths([cubic], t)[0] == pytest.approx(arc_lengths(halves)[0], abs=1e-9)


@given(cubics)
def test_length_lies_between_chord_and_handles(cubic: np.ndarray) -> None:
    length = arc_lengths([cubic])[0]
    chord = np.hypot(*(cubic[3] - cubic[0]))
    handles = np.hypot(*np.diff(cubic, axis=0).T).sum()
    assert chord - 1e-9 <= length <= handles + 1e-9


@given(st.lists(cubics, min_size=1, max_size=6), st.integers(0, 5))
def test_each_curve_is_measured_alone(several: list[np.ndarray], which: int) -> None:
    """What else lies in the array, and in which order, changes no length."""
    which %= len(several)
    together = arc_lengths(np.array(several))
    assert together[which] == pytest.approx(arc_lengths([several[which]])[0], abs=1e-10)


def test_many_blocks_agree_with_single_curves() -> None:
    rng = np.random.default_rng(4)
    many = rng.normal(size=(9000, 4, 2)) * 100.0
    found = arc_lengths(many)
    some = rng.integers(0, 9000, 200)
    alone = np.array([arc_lengths(many[i : i + 1])[0] for i in some])
    np.testing.assert_allclose(found[some], alone, rtol=1e-13)


def test_far_from_the_origin() -> None:
    """A coordinate of 5.7e6 mm carries 1e-9 mm of its own rounding, and no more is lost."""
    rng = np.random.default_rng(1)
    near = rng.normal(size=(200, 4, 2)) * 80.0
    far = near + np.array([5.7e6, -5.7e6])
    np.testing.assert_allclose(arc_lengths(far), arc_lengths(near), rtol=0, atol=1e-6)
    moved = far - np.array([5.7e6, -5.7e6])  # exactly what the far ones hold
    np.testing.assert_allclose(arc_lengths(far), arc_lengths(moved), rtol=0, atol=1e-9)


@pytest.mark.parametrize("size", [1e-6, 1.0, 1e5])
def test_scales_with_the_drawing(size: float) -> None:
    rng = np.random.default_rng(2)
    curves = rng.normal(size=(300, 4, 2))
    np.testing.assert_allclose(arc_lengths(curves * size), arc_lengths(curves) * size, rtol=1e-13)
