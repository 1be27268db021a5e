"""Arcs, circles, ellipses and rounded rectangles under matrices that are no similarity."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.geometry import FloatArray

TRANSFORMS = [
    "scale(2,1) rotate(30)",
    "skewX(20)",
    "scale(1,-1) rotate(20)",
    "matrix(1.3 .4 -.7 .9 0 0)",
]


def matrix(text: str) -> FloatArray:
    """The matrices above, written out by hand."""
    r30, r20 = math.radians(30), math.radians(20)
    turn30 = np.array([[math.cos(r30), -math.sin(r30)], [math.sin(r30), math.cos(r30)]])
    turn20 = np.array([[math.cos(r20), -math.sin(r20)], [math.sin(r20), math.cos(r20)]])
    return {
        TRANSFORMS[0]: np.array([[2.0, 0.0], [0.0, 1.0]]) @ turn30,
        TRANSFORMS[1]: np.array([[1.0, math.tan(r20)], [0.0, 1.0]]),
        TRANSFORMS[2]: np.array([[1.0, 0.0], [0.0, -1.0]]) @ turn20,
        TRANSFORMS[3]: np.array([[1.3, -0.7], [0.4, 0.9]]),
    }[text]


def ellipse(
    cx: float, cy: float, rx: float, ry: float, t0: float = 0, t1: float = 2 * math.pi
) -> FloatArray:
    t = np.linspace(t0, t1, 721)
    return np.stack((cx + rx * np.cos(t), cy + ry * np.sin(t)), axis=1)


def rounded(x: float, y: float, w: float, h: float, rx: float, ry: float) -> FloatArray:
    q = math.pi / 2
    return np.concatenate(
        (
            ellipse(x + w - rx, y + h - ry, rx, ry, 0, q),
            ellipse(x + rx, y + h - ry, rx, ry, q, 2 * q),
            ellipse(x + rx, y + ry, rx, ry, 2 * q, 3 * q),
            ellipse(x + w - rx, y + ry, rx, ry, 3 * q, 4 * q),
        )
    )


SHAPES = [
    ('<circle cx="10" cy="5" r="100"/>', ellipse(10, 5, 100, 100)),
    ('<ellipse cx="10" cy="5" rx="100" ry="40"/>', ellipse(10, 5, 100, 40)),
    ('<path d="M110,5 A100,40 0 1 1 -90,5 A100,40 0 1 1 110,5 Z"/>', ellipse(10, 5, 100, 40)),
    (
        '<rect x="5" y="7" width="200" height="100" rx="30" ry="20"/>',
        rounded(5, 7, 200, 100, 30, 20),
    ),
    ('<rect x="5" y="7" width="200" height="100" rx="80"/>', rounded(5, 7, 200, 100, 80, 50)),
]


@pytest.mark.parametrize("transform", TRANSFORMS)
@pytest.mark.parametrize(("element", "true"), SHAPES)
def test_curve_is_the_transformed_true_curve(
    svg: Any, element: str, true: FloatArray, transform: str
) -> None:
    shape = svg.read(f'<g transform="{transform}">{element}</g>').shape()
    expected = (true @ matrix(transform).T) * [1.0, -1.0]
    near = shape.seam_line.nearest(expected)
    assert near.distances.max() < 1e-4
    # And the other way: no point of ours lies elsewhere.
    ours = shape.seam_line.point_at(np.linspace(0, shape.seam_line.length, 500, endpoint=False))
    steps = np.hypot(*np.diff(expected, axis=0).T).max()
    gaps = np.hypot(*(ours[:, None] - expected[None]).transpose(2, 0, 1)).min(axis=1)
    assert gaps.max() <= steps


@pytest.mark.parametrize("transform", TRANSFORMS)
def test_length_of_a_transformed_circle(svg: Any, transform: str) -> None:
    """Against the trapezoid rule on the true curve, which converges geometrically on a circle."""
    shape = svg.read(f'<circle r="150" transform="{transform}"/>').shape()
    t = np.linspace(0.0, 2 * np.pi, 4096, endpoint=False)
    speed = np.stack((-150 * np.sin(t), 150 * np.cos(t)), axis=1) @ matrix(transform).T
    assert shape.seam_line.length == pytest.approx(
        float(np.hypot(*speed.T).mean() * 2 * np.pi), abs=1e-6
    )


@given(
    r=st.floats(5, 800), start=st.floats(0, 360), sweep=st.floats(10, 350), clockwise=st.booleans()
)
def test_arc_edge_has_its_closed_form(
    svg: Any, r: float, start: float, sweep: float, clockwise: bool
) -> None:
    a, b = math.radians(start), math.radians(start + (sweep if clockwise else -sweep))
    p, q = (r * math.cos(a), r * math.sin(a)), (r * math.cos(b), r * math.sin(b))
    flags = f"{int(sweep > 180)} {int(clockwise)}"
    data = f"M{p[0]!r},{p[1]!r}A{r!r},{r!r} 0 {flags} {q[0]!r},{q[1]!r}L0,0Z"
    shape = svg.read(f'<path d="{data}"/>', join=0, corner=1).shape()
    assert shape.seam_line.length == pytest.approx(math.radians(sweep) * r + 2 * r, abs=1e-6)


def test_radii_too_small_are_enlarged(svg: Any) -> None:
    shape = svg.read('<path d="M0,0 A10,10 0 0 1 200,0 Z"/>').shape()
    assert sorted(e.length for e in shape.edges) == pytest.approx([200.0, math.pi * 100], abs=1e-6)


def test_arc_within_tolerance_after_scaling_up(svg: Any) -> None:
    """Ten metres from one unit: the tolerance counts in mm, not in the drawing's units."""
    shape = svg.read(
        svg.doc(
            '<circle cx="1" cy="1" r="1"/>',
            'width="10m" viewBox="0 0 2 2"'.replace("10m", "10000mm"),
        )
    ).shape()
    radii = np.hypot(*(shape.seam_line.point_at(np.linspace(0, 31000, 999)) - [5000, -5000]).T)
    assert np.abs(radii - 5000).max() < 1e-4
