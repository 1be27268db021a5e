"""Offsets against Steiner's formulas and closed forms.

Source: Steiner's formula for parallel bodies (standard integral geometry): a convex outline of
length L and area A, offset by d with round joins, has length L + 2 pi d and area
A + L d + pi d^2; with mitred corners at right angles, area A + L d + 4 d^2.
"""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
import shapely

from seamwright.geometry import Curve
from seamwright.geometry.outline_offset import CornerRule, offset_outline

MITRE = CornerRule(limit=1e9)


def edges_of(points: list[tuple[float, float]]) -> list[Curve]:
    return [Curve.line(a, b) for a, b in zip(points, points[1:] + points[:1], strict=True)]


def test_rectangle_mitred() -> None:
    made = offset_outline(edges_of([(0, 0), (100, 0), (100, 60), (0, 60)]), [10.0] * 4, MITRE)
    assert made.curve.length == pytest.approx(400.0, abs=1e-9)
    assert made.curve.area == pytest.approx(9600.0, abs=1e-6)


@pytest.mark.parametrize(
    ("distance", "girth"), [(10.0, 376.991118430775), (-10.0, 251.327412287183)]
)
def test_circle(distance: float, girth: float) -> None:
    """2 pi (50 + d), worked with mpmath; the circle itself is cubics within 1e-4 mm."""
    made = offset_outline([Curve.circle((0, 0), 50)], [distance])
    assert made.curve.length == pytest.approx(girth, abs=2e-3)
    area = pi * 2500 + 100 * pi * distance + pi * distance**2
    assert made.curve.area == pytest.approx(area, abs=0.05)


def test_quarter_turn_lengthens_by_angle_times_distance() -> None:
    """A curve turning by theta changes length by d theta: 90 degrees, 10 mm: 15.708 mm."""
    edge = Curve.arc((0, 0), 80, 0, 90)
    sector = [edge, Curve.line(edge.end, (0, 0)), Curve.line((0, 0), edge.start)]
    made = offset_outline(sector, [10.0, 0.0, 0.0], MITRE)
    low, high = made.spans[0]
    assert high - low - edge.length == pytest.approx(15.707963, abs=1e-3)


@pytest.mark.parametrize("distance", [10.0, 25.0, -10.0])
def test_curved_edges_against_a_polygon_buffer(distance: float) -> None:
    """Against shapely's buffer with mitred joins of the outline flattened to 1e-5 mm."""
    edges = [
        Curve.from_segments([[[0, 0], [60, -25], [140, 20], [200, 0]]]),
        Curve.from_segments([[[200, 0], [215, 80], [180, 160], [190, 240]]]),
        Curve.line((190, 240), (20, 220)),
        Curve.from_segments([[[20, 220], [60, 150], [-10, 90], [0, 0]]]),
    ]
    made = offset_outline(edges, [distance] * 4, MITRE)
    outline = np.concatenate([e.flatten(1e-5)[:-1] for e in edges])
    buffered = shapely.Polygon(outline).buffer(distance, join_style="mitre", mitre_limit=50)
    ours = shapely.Polygon(made.curve.flatten(1e-5))
    assert ours.symmetric_difference(buffered).area < 0.02 * made.curve.length
    for low, high in made.spans:  # between the corners, where widths are parallels
        on = made.curve.point_at(np.linspace(low, high, 60)[1:-1])
        assert shapely.distance(shapely.points(on), buffered.exterior).max() < 0.02
