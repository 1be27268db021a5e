"""Arcs, bulges, ellipses and splines: exact where the format is, on the right side, closed."""

from __future__ import annotations

import math
from itertools import pairwise

import ezdxf.math
import numpy as np
import pytest
from dxf_zoo import Tag, encode
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.geometry import Curve
from seamwright.plugins.api import Context, ReadResult, Source
from seamwright_dxf.drawing.splines import fitted, spline_cubics
from seamwright_dxf.options import DxfIn
from seamwright_dxf.read import read

MIRROR: list[Tag] = [(210, 0.0), (220, 0.0), (230, -1.0)]


def drawing(*entities: list[Tag]) -> bytes:
    return encode(
        [
            (0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, "AC1015"), (9, "$INSUNITS"),
            (70, 4), (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES"),
            *(t for e in entities for t in e), (0, "ENDSEC"), (0, "EOF"),
        ]
    )  # fmt: skip


def read_bytes(data: bytes) -> ReadResult:
    return read(Source(name="x.dxf", data=data), DxfIn(), Context())


def outlines(*entities: list[Tag]) -> list[Curve]:
    return [p.shapes[0].seam_line for p in read_bytes(drawing(*entities)).pattern.pieces]


def bulged(points: list[tuple[float, float, float]], kind: str, *more: Tag) -> list[Tag]:
    if kind == "LWPOLYLINE":
        out: list[Tag] = [(0, kind), (8, "cut"), (90, len(points)), (70, 1), *more]
        for x, y, b in points:
            out += [(10, x), (20, y), (42, b)]
        return out
    out = [(0, kind), (8, "cut"), (66, 1), (70, 1), *more]
    for x, y, b in points:
        out += [(0, "VERTEX"), (8, "cut"), (10, x), (20, y), (42, b)]
    return [*out, (0, "SEQEND"), (8, "cut")]


@pytest.mark.parametrize("kind", ["LWPOLYLINE", "POLYLINE"])
@pytest.mark.parametrize("bulge", [1.0, -1.0, 2.0, -2.0, math.tan(math.pi / 8), 0.3, 1e-12])
@pytest.mark.parametrize("mirrored", [False, True])
def test_the_middle_of_a_bulge(kind: str, bulge: float, mirrored: bool) -> None:
    """Middle of the arc over the chord (0,0)-(100,0): 50, -50 b (bulge positive: anticlockwise,
    so the arc lies to the right of the chord)."""
    points = [(0.0, 0.0, bulge), (100.0, 0.0, 0.0), (100.0, 300.0, 0.0), (0.0, 300.0, 0.0)]
    (curve,) = outlines(bulged(points, kind, *(MIRROR if mirrored else [])))
    side = -1.0 if mirrored else 1.0
    middle = np.array([[side * 50.0, -50.0 * bulge]])
    assert curve.nearest(middle).distances[0] <= 1e-6
    # Area of the box and of the circular segment over the chord.
    angle = 4.0 * math.atan(bulge)
    radius = 50.0 / math.sin(angle / 2.0) if abs(bulge) > 1e-9 else 0.0
    segment = radius**2 / 2.0 * (angle - math.sin(angle))
    assert curve.area == pytest.approx(30000.0 + segment, rel=1e-6)


def test_a_full_circle_of_two_bulges() -> None:
    (curve,) = outlines(bulged([(0.0, 0.0, 1.0), (100.0, 0.0, 1.0)], "LWPOLYLINE"))
    angles = np.linspace(0, 2 * np.pi, 40)
    circle = 50.0 + 50.0 * np.stack((np.cos(angles), np.sin(angles)), 1) - [0.0, 50.0]
    assert curve.nearest(circle).distances.max() <= 1e-4
    assert curve.area == pytest.approx(math.pi * 2500.0, abs=1e-4 * math.pi * 100.0)


def test_circle_and_ellipse() -> None:
    circle: list[Tag] = [(0, "CIRCLE"), (8, "cut"), (10, 0.0), (20, 0.0), (40, 150.0)]
    ellipse: list[Tag] = [
        (0, "ELLIPSE"), (8, "cut"), (10, 1000.0), (20, 0.0), (11, 120.0), (21, 160.0), (40, 0.5),
        (41, 0.0), (42, 2 * math.pi),
    ]  # fmt: skip
    found = outlines(circle, ellipse)
    assert found[0].area == pytest.approx(math.pi * 150.0**2, rel=1e-6)
    assert found[1].area == pytest.approx(math.pi * 200.0 * 100.0, rel=1e-6)
    end = np.array([[1120.0, 160.0], [920.0, 60.0]])  # on the major and on the minor axis
    assert found[1].nearest(end).distances.max() <= 1e-4


@pytest.mark.parametrize("mirrored", [False, True])
def test_arcs_and_lines_close_to_one_outline(mirrored: bool) -> None:
    """A stadium: two lines and two half circles, drawn as loose entities."""
    more = MIRROR if mirrored else []
    side = -1.0 if mirrored else 1.0

    def line(x0: float, y0: float, x1: float, y1: float) -> list[Tag]:
        return [(0, "LINE"), (8, "cut"), (10, side * x0), (20, y0), (11, side * x1), (21, y1)]

    def arc(x: float, start: float, end: float) -> list[Tag]:
        return [
            (0, "ARC"), (8, "cut"), (10, x), (20, 0.0), (40, 50.0), (50, start), (51, end), *more,
        ]  # fmt: skip

    (curve,) = outlines(
        line(0.0, -50.0, 200.0, -50.0), arc(200.0, 270.0, 90.0), line(0.0, 50.0, 200.0, 50.0),
        arc(0.0, 90.0, 270.0),
    )  # fmt: skip
    assert curve.closed
    assert curve.area == pytest.approx(200.0 * 100.0 + math.pi * 2500.0, rel=1e-6)
    tip = np.array([[side * 250.0, 0.0], [side * -50.0, 0.0]])
    assert curve.nearest(tip).distances.max() <= 1e-4


def uniform(n: int, degree: int, clamped: bool) -> list[float]:
    if not clamped:
        return [float(i) for i in range(n + degree + 1)]
    inner = n - degree - 1
    return (
        [0.0] * (degree + 1) + [float(i + 1) for i in range(inner)] + [inner + 1.0] * (degree + 1)
    )


@settings(max_examples=60, deadline=None)
@given(
    degree=st.integers(1, 3), more=st.integers(1, 7), clamped=st.booleans(),
    seed=st.integers(0, 1000),
)  # fmt: skip
def test_splines_up_to_degree_3_are_exact(degree: int, more: int, clamped: bool, seed: int) -> None:
    """Held against the library's own evaluation of the same spline."""
    rng = np.random.default_rng(seed)
    n = degree + more
    points = rng.uniform(-300, 300, (n, 2))
    knots = np.array(uniform(n, degree, clamped))
    if clamped and n > degree + 1:
        inner = slice(degree + 1, n)
        knots[inner] = np.sort(rng.uniform(0.1, knots[-1] - 0.1, n - degree - 1))
    cubics, deviation = spline_cubics(points, knots, degree, None, 1e-4)
    assert deviation == 0.0
    reference = ezdxf.math.BSpline(
        [(x, y, 0) for x, y in points.tolist()], order=degree + 1, knots=knots.tolist()
    )
    spans = np.unique(knots[degree : n + 1])
    assert len(cubics) == len(spans) - 1
    for k, (a, b) in enumerate(pairwise(spans)):
        t = np.linspace(0.0, 1.0, 7)
        truth = np.array([reference.point(min(u, spans[-1] - 1e-12)) for u in a + t * (b - a)])
        s = 1 - t
        basis = np.stack((s**3, 3 * s * s * t, 3 * s * t * t, t**3), 1)
        assert np.abs(basis @ cubics[k] - truth[:, :2]).max() <= 1e-6


def test_a_rational_circle_is_read_within_a_tenth_of_a_micrometre_of_its_statement() -> None:
    """The nine-point quadratic circle of radius 100."""
    h = math.sqrt(0.5)
    points = [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0)]
    knots = [0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4]
    spline: list[Tag] = [(0, "SPLINE"), (8, "cut"), (70, 12), (71, 2), (72, 12), (73, 9)]
    spline += [(40, float(k)) for k in knots]
    spline += [(41, 1.0 if i % 2 == 0 else h) for i in range(9)]
    for x, y in points:
        spline += [(10, 100.0 * x), (20, 100.0 * y)]
    result = read_bytes(drawing(spline))
    (finding,) = [f for f in result.findings if f.code == "dxf.spline"]
    assert finding.measured is not None and finding.measured <= 1.001e-4
    curve = result.pattern.pieces[0].shapes[0].seam_line
    off = np.abs(np.hypot(*curve.point_at(np.linspace(0, curve.length * 0.9999, 500)).T) - 100.0)
    assert off.max() <= 1e-4
    assert curve.closed


def test_fit_points_are_passed_through_smoothly() -> None:
    points = np.array([[0.0, 0.0], [50.0, 30.0], [120.0, 20.0], [200.0, 80.0]])
    cubics = fitted(points)
    assert np.allclose(cubics[:, 0], points[:-1]) and np.allclose(cubics[:, 3], points[1:])
    chord = np.hypot(*np.diff(points, axis=0).T)
    second = 6 * (cubics[:, 2] - 2 * cubics[:, 1] + cubics[:, 0])  # at t = 0
    third = 6 * (cubics[:, 3] - 2 * cubics[:, 2] + cubics[:, 1])  # at t = 1
    assert np.allclose(third[:-1] / chord[:-1, None] ** 2, second[1:] / chord[1:, None] ** 2)
    assert np.allclose(second[0], 0.0) and np.allclose(third[-1], 0.0)


def test_bad_splines_are_errors_not_tracebacks() -> None:
    short: list[Tag] = [(0, "SPLINE"), (8, "cut"), (71, 3), (40, 0.0), (10, 0.0), (20, 0.0)]
    empty: list[Tag] = [(0, "SPLINE"), (8, "cut"), (71, 3)]
    result = read_bytes(drawing(short, empty))
    assert [f.code for f in result.findings].count("dxf.incomplete") == 2
    assert result.facts["entities"]["SPLINE"] == {"read": 2, "left out": 2}
