"""However an outline is drawn, the shape made of it is the same."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.geometry import Curve, Station
from seamwright.model import Dart, LineRole, Notch, Shape, build_shape, name_marks
from seamwright.model.measure import measure
from seamwright.model.turning import reversed_outline, started_at
from seamwright.testing.strategies import outlines


def points(shape: Shape) -> np.ndarray:
    marks = [c.station for c in shape.corners] + [n.station for n in shape.notches]
    return np.array([shape.seam_line.point_of(s) for s in marks]).reshape(-1, 2)


@st.composite
def drawings(draw: st.DrawFn) -> tuple[Curve, list[Notch], list[float]]:
    curve = draw(outlines())
    notches = [
        Notch(name="", station=Station(draw(st.integers(0, curve.n - 1)), draw(st.floats(0, 1))))
        for _ in range(draw(st.integers(0, 5)))
    ]
    return curve, notches, [float(i) for i in range(curve.n)]


@given(drawings(), st.booleans(), st.integers(0, 20))
def test_direction_and_start_of_the_drawing_do_not_matter(
    drawing: tuple[Curve, list[Notch], list[float]], turn: bool, start: int
) -> None:
    curve, notches, allowances = drawing
    corners = [Station(i, 0.0) for i in range(curve.n)]
    one = build_shape(
        size="M", outline=curve, corners=corners, notches=notches, allowances=allowances
    )
    other_curve, moves = curve, []
    if turn:
        other_curve, move = reversed_outline(other_curve)
        moves.append(move)
    other_curve, move = started_at(other_curve, start % curve.n)
    moves.append(move)

    def moved(station: Station) -> Station:
        for step in moves:
            station = step(station)
        return station

    ends = [moved(c) for c in corners]
    # Allowances belong to edges: edge i of the drawing starts at corner i and runs as drawn.
    other_allowances = [0.0] * curve.n
    for i, allowance in enumerate(allowances):
        starts = (i + 1) % curve.n if turn else i
        other_allowances[starts] = allowance
    other = build_shape(
        size="M",
        outline=other_curve,
        corners=ends,
        notches=[replace(n, station=moved(n.station)) for n in notches],
        allowances=other_allowances,
    )
    assert np.abs(points(one) - points(other)).max() < 1e-9
    assert [n.name for n in one.notches] == [n.name for n in other.notches]
    assert one.allowances == other.allowances


@given(drawings())
def test_normal_form(drawing: tuple[Curve, list[Notch], list[float]]) -> None:
    curve, notches, _ = drawing
    shape = build_shape(size="M", outline=curve, notches=notches, corner_threshold=5.0)
    assert shape.seam_line.area > 0
    assert [c.station.t for c in shape.corners] == [0.0] * len(shape.corners)
    if shape.corners:
        assert shape.corners[0].station.segment == 0
    own = measure([shape])[0]
    assert (np.diff(own.corners) > 0).all()
    assert (np.diff(own.notches) >= -1e-9).all()
    assert [n.name for n in shape.notches] == [f"notch-{i + 1}" for i in range(len(notches))]


@given(drawings())
def test_corners_inside_segments_become_joints(
    drawing: tuple[Curve, list[Notch], list[float]],
) -> None:
    curve, _, _ = drawing
    wanted = [Station(i, t) for i in range(curve.n) for t in (0.25, 1.0)]
    shape = build_shape(size="M", outline=curve, corners=wanted)
    assert shape.seam_line.n == 2 * curve.n
    assert abs(shape.seam_line.length - curve.length) < 1e-8
    found = {tuple(np.round(p, 6)) for p in points(shape)}
    assert found == {tuple(np.round(curve.point_of(s), 6)) for s in wanted}


def test_a_corner_a_hair_beside_a_joint_is_that_joint() -> None:
    square = Curve.polyline([(0, 100), (0, 0), (100, 0), (100, 100)], closed=True)
    wanted = [Station(0, 1e-13), Station(0, 1.0), Station(1, 1.0 - 1e-13), Station(3, 0.0)]
    shape = build_shape(size="M", outline=square, corners=wanted)
    assert [c.station for c in shape.corners] == [Station(i, 0.0) for i in range(4)]
    assert shape.seam_line.n == 4


def test_a_notch_at_the_end_of_the_outline_is_at_corner_1() -> None:
    square = Curve.polyline([(0, 100), (0, 0), (100, 0), (100, 100)], closed=True)
    shape = build_shape(
        size="M",
        outline=square,
        notches=[
            Notch(name="", station=Station(2, 0.5)),
            Notch(name="first", station=Station(3, 1.0 - 1e-13)),
        ],
    )
    assert [n.name for n in shape.notches] == ["first", "notch-2"]
    assert measure([shape])[0].notches.tolist() == [0.0, 250.0]


def test_darts_keep_their_mouth_in_outline_order() -> None:
    # Clockwise: up the left side, so the dart on the bottom is met from the right.
    drawn = Curve.polyline([(0, 0), (0, 100), (100, 100), (100, 0)], closed=True)
    dart = Dart(name="waist", left=Station(3, 0.4), right=Station(3, 0.6), apex=(50.0, 40.0))
    shape = build_shape(size="M", outline=drawn, darts=[dart])
    mouth = [shape.seam_line.point_of(s)[0] for s in (shape.darts[0].left, shape.darts[0].right)]
    assert mouth == pytest.approx([40.0, 60.0])
    assert measure([shape])[0].darts.tolist() == [[140.0, 160.0]]


def test_cut_line_notches_follow_their_own_line() -> None:
    seam = Curve.polyline([(0, 0), (0, 100), (100, 100), (100, 0)], closed=True)
    cut = Curve.polyline([(-10, -10), (-10, 110), (110, 110), (110, -10)], closed=True)
    notch = Notch(name="", station=Station(1, 0.5), line=LineRole.CUT)
    shape = build_shape(size="M", outline=seam, cut_line=cut, notches=[notch])
    assert shape.cut_line is not None
    assert shape.cut_line.area > 0
    assert shape.cut_line.point_of(shape.notches[0].station) == pytest.approx([50.0, 110.0])


def test_an_open_outline_is_refused() -> None:
    with pytest.raises(ValueError, match="closed"):
        build_shape(size="M", outline=Curve.polyline([(0, 0), (1, 0), (1, 1)]))


def test_naming() -> None:
    square = Curve.polyline([(0, 100), (0, 0), (100, 0), (100, 100)], closed=True)
    shape = build_shape(size="M", outline=square)
    named = name_marks(shape, corners=["a", "", "c", ""])
    assert [c.name for c in named.corners] == ["a", "corner-2", "c", "corner-4"]
    assert name_marks(shape, corners=["", "", "", ""]).corners == shape.corners
    with pytest.raises(ValueError, match="3 names for 4 corners"):
        name_marks(shape, corners=["a", "b", "c"])
    with pytest.raises(ValueError, match="share a name: corner-2"):
        name_marks(shape, corners=["corner-2", "", "", ""])
