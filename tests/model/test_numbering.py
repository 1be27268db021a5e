"""The same corner has the same number in every size."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from seamwright.geometry import Curve, Station
from seamwright.model import Notch, Piece, Shape, align_sizes, build_shape
from seamwright.model.edit import transform
from seamwright.model.numbering import restart
from seamwright.testing.strategies import shapes


@given(shapes(), st.integers(0, 20), st.floats(1.01, 1.3))
def test_a_size_counted_from_another_corner_is_turned_back(
    base: Shape, turn: int, scale: float
) -> None:
    grown = transform(base, [[scale, 0.0, 3.0], [0.0, scale, -7.0]]).but(size="L")
    turned = restart(grown, turn % len(grown.corners))
    aligned = align_sizes(Piece(name="x", shapes=(base, turned)), "M").in_size("L")

    def box(shape: Shape) -> np.ndarray:
        x0, y0, x1, y1 = shape.seam_line.bbox
        marks = [c.station for c in shape.corners] + [n.station for n in shape.notches]
        places = np.array([shape.seam_line.point_of(s) for s in marks])
        return (places - [x0, y0]) / [x1 - x0, y1 - y0]

    assert np.allclose(box(aligned), box(base), atol=1e-6)
    assert [c.name for c in aligned.corners] == [c.name for c in base.corners]
    assert [n.name for n in aligned.notches] == [n.name for n in base.notches]


@given(shapes(), st.integers(0, 20))
def test_restarting_all_round_comes_back(base: Shape, k: int) -> None:
    n = len(base.corners)
    there = restart(base, k % n)
    back = restart(there, (n - k % n) % n)
    assert np.array_equal(back.seam_line.segments, base.seam_line.segments)
    assert [c.station for c in back.corners] == [c.station for c in base.corners]
    assert [n.station for n in back.notches] == [n.station for n in base.notches]
    assert [n.name for n in back.notches] == [n.name for n in base.notches]


def test_upper_left_by_a_hair_is_turned_to_agree_with_the_base_size() -> None:
    """A square that leans the other way in the second size would start at another corner."""

    a = build_shape(
        size="S", outline=Curve.polyline([(24, 100), (0, 75), (60, 0), (100, 60)], closed=True)
    )
    b = build_shape(
        size="M", outline=Curve.polyline([(26, 100), (0, 75), (60, 0), (100, 60)], closed=True)
    )
    assert a.seam_line.start.tolist() == [24, 100]
    assert b.seam_line.start.tolist() == [0, 75]
    piece = align_sizes(Piece(name="x", shapes=(a, b)), "S")
    assert piece.in_size("M").seam_line.start.tolist() == [26, 100]
    assert piece.in_size("S") is a


def test_names_from_the_file_stay_with_their_corners() -> None:
    square = Curve.polyline([(0, 100), (0, 0), (100, 0), (100, 100)], closed=True)
    shape = build_shape(
        size="M",
        outline=square,
        corners=[Station(i, 0.0) for i in range(4)],
        corner_names=[None, "hem", None, None],
        notches=[Notch(name="", station=Station(0, 0.5)), Notch(name="x", station=Station(2, 0.5))],
    )
    turned = restart(shape, 1)
    assert [c.name for c in turned.corners] == ["hem", "corner-2", "corner-3", "corner-4"]
    assert [n.name for n in turned.notches] == ["x", "notch-2"]


def test_a_size_with_other_corners_is_left_alone() -> None:
    square = build_shape(
        size="S", outline=Curve.polyline([(0, 1), (0, 0), (1, 0), (1, 1)], closed=True)
    )
    house = build_shape(
        size="M", outline=Curve.polyline([(0, 1), (0, 0), (1, 0), (1, 1), (0.5, 2)], closed=True)
    )
    piece = Piece(name="x", shapes=(square, house))
    assert align_sizes(piece, "S") is piece
