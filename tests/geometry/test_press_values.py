"""Figures of one draft, computed beforehand with a separate prototype of the same model."""

from __future__ import annotations

import numpy as np
import pytest

from seamwright.geometry import Curve
from seamwright.geometry.press import (
    PressedEdge,
    Taken,
    bend_rod,
    edge_to_curves,
    equal_sided_wedge,
    press_cap,
)

BACK, FRONT = 225.18519790508577, 221.28199472920898
DRAFT = [
    [(-169, 0), (-146, 5), (-128, 20), (-112, 42)],
    [(-112, 42), (-96, 64), (-82, 90), (-62, 109)],
    [(-62, 109), (-44.8, 125.34), (-24, 135), (0, 135)],
    [(0, 135), (23, 135), (40, 124), (55, 107)],
    [(55, 107), (73, 86.6), (81, 62), (96, 40)],
    [(96, 40), (112.5, 15.8), (134, 4), (161, 0)],
]
TABLE = [  # width of each tuck, move of S as rigid as possible, move with compression 0.1
    (0.5, (-0.048, -0.559), (-0.039, -0.595)),
    (1, (-0.095, -1.123), (-0.078, -1.193)),
    (2, (-0.187, -2.263), (-0.155, -2.400)),
    (3, (-0.278, -3.420), (-0.232, -3.620)),
    (4, (-0.367, -4.595), (-0.308, -4.853)),
    (5, (-0.455, -5.787), (-0.383, -6.101)),
    (8, (-0.706, -9.466), (-0.602, -9.926)),
]


@pytest.fixture(scope="module")
def draft() -> Curve:
    return Curve.from_segments(np.array(DRAFT, dtype=float))


def pressed(
    edge: Curve,
    width: float,
    compression: float,
    *,
    depth: float = 60.0,
    size: float = 4.0,
    held: tuple[float, float] = (0.0, 0.0),
) -> PressedEdge:
    wedges = [
        equal_sided_wedge(edge, at=at, width=width, depth=depth) for at in (BACK - 57, BACK + 57)
    ]
    return press_cap(
        edge, wedges, marks=[BACK], size=size, compression=compression, fixed_below=held
    )


def shoulder_moves(edge: PressedEdge, width: float) -> np.ndarray:
    at = int(np.abs(edge.lengths - (BACK - width)).argmin())
    assert edge.lengths[at] == pytest.approx(BACK - width, abs=1e-9)
    return edge.points[at] - (0.0, 135.0)


def test_lengths_of_the_draft(draft: Curve) -> None:
    assert draft.cumulative[3] == pytest.approx(BACK, abs=1e-9)
    assert draft.length - draft.cumulative[3] == pytest.approx(FRONT, abs=1e-9)


def test_tucks_slide_until_their_sides_are_even(draft: Curve) -> None:
    back = equal_sided_wedge(draft, at=BACK - 57, width=5, depth=60)
    front = equal_sided_wedge(draft, at=BACK + 57, width=5, depth=60)
    assert (back.start, back.end) == pytest.approx((165.6995, 170.6995), abs=1e-4)
    assert (front.start, front.end) == pytest.approx((279.6546, 284.6546), abs=1e-4)
    np.testing.assert_allclose(back.apex, (-16.6272, 68.9590), atol=1e-4)
    np.testing.assert_allclose(front.apex, (7.5569, 69.9461), atol=1e-4)
    assert abs(back.jog) < 1e-10
    assert abs(front.jog) < 1e-10


@pytest.mark.parametrize(("width", "rigid", "paper"), TABLE)
def test_shoulder_point_moves(
    draft: Curve, width: float, rigid: tuple[float, float], paper: tuple[float, float]
) -> None:
    np.testing.assert_allclose(shoulder_moves(pressed(draft, width, 1.0), width), rigid, atol=0.02)
    np.testing.assert_allclose(shoulder_moves(pressed(draft, width, 0.1), width), paper, atol=0.02)


@pytest.mark.parametrize(
    ("width", "shortest", "longest"), [(1, -0.013, 0.007), (5, -0.067, 0.038), (8, -0.106, 0.065)]
)
def test_strain_left(draft: Curve, width: float, shortest: float, longest: float) -> None:
    strain = pressed(draft, width, 1.0).strain
    assert strain is not None
    # The largest strain sits at the apex and depends a little on the triangles there.
    assert strain.shortest == pytest.approx(shortest, abs=0.003)
    assert strain.longest == pytest.approx(longest, abs=0.003)


@pytest.mark.parametrize(("size", "down"), [(8.0, -5.790), (4.0, -5.787), (2.0, -5.786)])
def test_mesh_size_hardly_matters(draft: Curve, size: float, down: float) -> None:
    assert shoulder_moves(pressed(draft, 5, 1.0, size=size), 5)[1] == pytest.approx(down, abs=0.02)


@pytest.mark.parametrize(("held", "down"), [(50, -6.02), (75, -6.14), (100, -6.21)])
def test_holding_the_underarm(draft: Curve, held: float, down: float) -> None:
    # The prototype held whole mesh edges, so up to one of them (4 mm) less than was asked for;
    # holding 44 and 97 mm here gives its figures to 0.005, 50 and 100 differ from them by 0.04.
    edge = pressed(draft, 5, 1.0, held=(held, held))
    assert shoulder_moves(edge, 5)[1] == pytest.approx(down, abs=0.05)
    assert edge.held == pytest.approx((held, held), abs=1e-9)


def test_depth_matters_little(draft: Curve) -> None:
    usual = Curve.polyline(pressed(draft, 5, 1.0, depth=60).points)
    apart = [
        usual.nearest(pressed(draft, 5, 1.0, depth=depth).points).distances.max()
        for depth in (30, 45, 70)
    ]
    assert max(apart) == pytest.approx(0.34, abs=0.01)


def test_underarm_stays_where_it_was(draft: Curve) -> None:
    curve = edge_to_curves(pressed(draft, 5, 0.1), draft, split=[BACK - 5]).curve
    places = draft.point_at(np.array([20.0, 40.0, 60.0, 80.0]))
    np.testing.assert_allclose(curve.nearest(places).distances, (0.04, 0.07, 0.02, 0.29), atol=0.04)


def test_large_wedge_still_lies_flat(draft: Curve) -> None:
    strain = pressed(draft, 16, 1.0).strain
    assert strain is not None
    assert strain.least_area == pytest.approx(0.72, abs=0.02)


@pytest.mark.parametrize(("width", "move"), [(5.0, (-0.094, -6.456)), (3.0, (-0.055, -3.848))])
def test_rod(draft: Curve, width: float, move: tuple[float, float]) -> None:
    wedges = [
        equal_sided_wedge(draft, at=at, width=width, depth=60) for at in (BACK - 57, BACK + 57)
    ]
    rod = bend_rod(draft, Taken.of(wedges), marks=[BACK], step=1.0)
    np.testing.assert_allclose(shoulder_moves(rod, width), move, atol=1e-3)
    assert rod.iterations <= 4


@pytest.mark.parametrize(("width", "apart"), [(5.0, 1.2), (3.0, 0.75)])
def test_rod_lies_near_the_sheet(draft: Curve, width: float, apart: float) -> None:
    edge = pressed(draft, width, 0.1)
    rod = bend_rod(draft, edge.taken, marks=[BACK])
    sheet_curve = edge_to_curves(edge, draft, split=[BACK - width]).curve
    assert sheet_curve.nearest(rod.points).distances.max() == pytest.approx(apart, abs=0.1)
