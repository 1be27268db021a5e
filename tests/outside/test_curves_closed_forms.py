"""Lengths and areas against closed forms.

Sources: standard calculus where none is named; the ellipse perimeters are the complete elliptic
integral by Gauss's arithmetic-geometric mean. All decimals were computed with mpmath at 30 digits
from the formula beside them.
"""

from __future__ import annotations

import numpy as np
import pytest

from seamwright.geometry import (
    Curve,
    arc_lengths,
    evaluate,
    fit_cubics,
    partial_lengths,
)

KAPPA = 4.0 * (np.sqrt(2.0) - 1.0) / 3.0


def raised(quadratic: list[tuple[float, float]]) -> np.ndarray:
    """The cubic that a quadratic is."""
    a, b, c = np.array(quadratic)
    return np.array([a, (a + 2 * b) / 3, (2 * b + c) / 3, c])


def test_cubic_whose_speed_is_a_polynomial() -> None:
    """(0,0)(0,s)(s,s)(s,0): length 2 s, to t = 1/4 0.59375 s, area under it 0.6 s^2."""
    s = 170.0
    cubic = [[(0.0, 0.0), (0.0, s), (s, s), (s, 0.0)]]
    assert arc_lengths(cubic)[0] == pytest.approx(2 * s, abs=1e-12)
    assert partial_lengths(cubic, 0.25)[0] == pytest.approx(0.59375 * s, abs=1e-12)
    under = Curve.from_segments(cubic).joined(Curve.line((s, 0), (0, 0))).closed_up()
    assert under.area == pytest.approx(-0.6 * s * s, rel=1e-14)


def test_parabola() -> None:
    """y = x^2 on 0..1: sqrt(5) / 2 + asinh(2) / 4."""
    assert arc_lengths([raised([(0, 0), (0.5, 0), (1, 1)])])[0] == pytest.approx(
        1.47894285754460, abs=1e-14
    )
    arch = raised([(0, 0), (50, 100), (100, 0)])
    assert arc_lengths([arch])[0] == pytest.approx(147.894285754460, abs=1e-12)
    under = Curve.from_segments([arch]).joined(Curve.line((100, 0), (0, 0))).closed_up()
    assert under.area == pytest.approx(-10000 / 3, rel=1e-14)


def test_semicubical_parabola() -> None:
    """y = x^1.5 on 0..1 is the cubic (t^2, t^3): (13 sqrt 13 - 8) / 27, from a standstill."""
    cubic = [[(0, 0), (0, 0), (1 / 3, 0), (1, 1)]]
    assert arc_lengths(cubic)[0] == pytest.approx(1.43970987337155, abs=1e-14)


def test_quarter_circle_by_the_usual_handle() -> None:
    """kappa = 4 (sqrt 2 - 1) / 3: farthest 2.725300e-4 r outside at t = (3 -+ sqrt 3) / 6, never
    inside; quarter length 1.57101669807 r, area 0.785618083164 r^2."""
    quarter = np.array([[(1.0, 0.0), (1.0, KAPPA), (KAPPA, 1.0), (0.0, 1.0)]])
    assert arc_lengths(quarter)[0] == pytest.approx(1.57101669807, abs=5e-12)
    radii = Curve.polyline([(0, 1), (0, 0), (1, 0)])
    sector = Curve.from_segments(quarter).joined(radii).closed_up()
    assert sector.area == pytest.approx(0.785618083164, abs=5e-13)
    t = (3 + np.array([-1.0, 1.0]) * np.sqrt(3)) / 6
    off = np.hypot(*evaluate(quarter, t[None])[0].T) - 1
    np.testing.assert_allclose(off, 2.725300e-4, atol=5e-11)
    fine = np.hypot(*evaluate(quarter, np.linspace(0, 1, 2001)[None])[0].T) - 1
    assert fine.min() >= -1e-15
    assert fine.max() <= 2.725301e-4


@pytest.mark.parametrize(
    ("degrees", "radial"),
    [(120, 1.542e-3), (90, 2.7253e-4), (72, 7.131e-5), (60, 2.386e-5), (45, 4.246e-6)],
)
def test_arc_by_one_cubic(degrees: float, radial: float) -> None:
    """Handles (4/3) tan(a/4): r^2 - 1 is at most (4/27) sin^6(a/4) / cos^2(a/4)."""
    a = np.radians(degrees)
    k = 4 / 3 * np.tan(a / 4)
    c, s = np.cos(a), np.sin(a)
    arc = np.array([[(1, 0), (1, k), (c + k * s, s - k * c), (c, s)]])
    r = np.hypot(*evaluate(arc, np.linspace(0, 1, 4001)[None])[0].T)
    bound = 4 / 27 * np.sin(a / 4) ** 6 / np.cos(a / 4) ** 2
    assert (r**2 - 1).max() == pytest.approx(bound, rel=1e-5)
    assert (r - 1).max() == pytest.approx(radial, rel=5e-4)


@pytest.mark.parametrize(
    ("rx", "ry", "perimeter"),
    [
        (2.0, 1.0, 9.68844822054768),
        (3.0, 1.0, 13.3648932205553),
        (60.0, 40.0, 317.308791785812),
        (10.0, 1.0, 40.6397418010090),
    ],
)
def test_ellipse_perimeters(rx: float, ry: float, perimeter: float) -> None:
    assert Curve.ellipse((0, 0), rx, ry).length == pytest.approx(perimeter, rel=3e-15)
    assert Curve.ellipse((9, -5), ry, rx, 12.0).length == pytest.approx(perimeter, rel=1e-14)


def test_a_cubic_segment() -> None:
    """(0,0)(30,80)(120,90)(150,10): -6480 by Green from the origin, length 204.976833389565."""
    curve = Curve.from_segments([[(0, 0), (30, 80), (120, 90), (150, 10)]])
    assert curve.length == pytest.approx(204.976833389565, abs=1e-12)
    back = Curve.line((150, 10), (0, 0))
    assert curve.joined(back).closed_up().area == pytest.approx(-6480, rel=1e-14)


def _catenary() -> tuple[np.ndarray, float]:
    x = np.linspace(-50, 50, 401)
    return np.stack((x, 100 * np.cosh(x / 100)), axis=1), 104.219061098749


def _sine() -> tuple[np.ndarray, float]:
    x = np.linspace(0, 2 * np.pi, 1601)
    return 100 * np.stack((x, np.sin(x)), axis=1), 764.039557805542


def _raised_cosine_cap() -> tuple[np.ndarray, float]:
    """A sleeve cap's shape: 150 high, 340 wide."""
    x = np.linspace(-170, 170, 1201)
    return np.stack((x, 75 * (1 + np.cos(np.pi * x / 170))), axis=1), 468.467604724780


def _cycloid() -> tuple[np.ndarray, float]:
    """One arch of a wheel of radius 50, from cusp to cusp: eight radii."""
    t = np.linspace(0, 2 * np.pi, 2001)
    return 50 * np.stack((t - np.sin(t), 1 - np.cos(t)), axis=1), 400.0


def _spiral() -> tuple[np.ndarray, float]:
    """r = theta on 0..2 pi, times 20."""
    t = np.linspace(0, 2 * np.pi, 2001)
    return 20 * np.stack((t * np.cos(t), t * np.sin(t)), axis=1), 20 * 21.2562941482091


@pytest.mark.parametrize("make", [_catenary, _sine, _raised_cosine_cap, _cycloid, _spiral])
def test_fitted_curves_have_the_length_of_what_they_fit(make) -> None:  # type: ignore[no-untyped-def]
    """Not cubics at all: fitted within 0.01 mm, their lengths are right to 0.01 %."""
    points, exact = make()
    fit = fit_cubics(points, 0.01)
    assert fit.length == pytest.approx(exact, rel=1e-4)
    assert fit.nearest(points).distances.max() <= 0.01 * 1.001
    assert fit.n <= 12
