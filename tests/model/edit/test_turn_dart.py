"""Darts turned about their point: nothing but a rotation may happen."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from seamwright.geometry import Curve, GeometryError, Station
from seamwright.model import Notch, Shape, build_shape
from seamwright.model.edit import (
    cloth_area,
    hold_names,
    release_names,
    renew,
    turn_dart,
    wedge_of,
    with_legs_equal,
)
from seamwright.model.marking import Dart, DrillHole, GrainLine
from seamwright.testing.strategies import shapes


def with_dart(shape: Shape, share: float, width: float, *, name: str = "d") -> Shape:
    """A shape with a dart from the middle part of its longest edge to its middle."""
    edge = max(shape.edges, key=lambda e: e.length)
    seam = shape.seam_line
    start = float(seam.cumulative[shape.corners[edge.number].station.segment])
    middle = start + edge.length * (0.3 + 0.3 * share)
    half = edge.length * (0.02 + 0.08 * width)
    left, right = (seam.station_at((middle + x) % seam.length) for x in (-half, half))
    dart = Dart(name=name, left=left, right=right, apex=(0.0, 0.0))
    shape = shape.but(darts=(*shape.darts, dart))
    equal, _ = with_legs_equal(shape, dart)
    return shape.but(darts=tuple(equal if d is dart else d for d in shape.darts))


def edges_as_sewn(shape: Shape, names: list[str]) -> list[float]:
    """Length from each named corner to the next, darts stepped over."""
    seam = shape.seam_line
    starts = np.array([float(seam.cumulative[shape.corner(n).station.segment]) for n in names])
    lengths = np.diff(starts, append=starts[0] + seam.length)
    for dart in shape.darts:
        at = seam.length_of(dart.left)
        lengths[int(np.argmin((at - starts) % seam.length))] -= wedge_of(shape, dart).mouth
    return [float(x) for x in lengths]


@settings(max_examples=60, deadline=None)
@given(
    shapes(), st.floats(0, 1), st.floats(0, 1), st.floats(0.02, 0.98),
    st.sampled_from([0.25, 0.5, 1.0]), st.sampled_from(["auto", "before", "after"]),
)  # fmt: skip
def test_a_turn_is_rigid(
    shape: Shape, share: float, width: float, place: float, part: float, turned: str
) -> None:
    drawn = with_dart(shape, share, width)
    dart = drawn.darts[0]
    before = wedge_of(drawn, dart)
    assume(5.0 < before.angle < 60.0)
    try:
        done = turn_dart(
            drawn, "d", place * drawn.seam_line.length, share=part,
            turned=turned,  # type: ignore[arg-type]
        )  # fmt: skip
    except GeometryError:
        assume(False)
        raise
    new = done.shape
    assert cloth_area(new) == pytest.approx(cloth_area(drawn), abs=1e-6, rel=1e-12)
    angles = [wedge_of(new, d).angle for d in new.darts]
    assert sum(angles) == pytest.approx(before.angle, abs=1e-9)
    assert all(abs(w.legs[0] - w.legs[1]) < 1e-9 for w in (wedge_of(new, d) for d in new.darts))
    names = [c.name for c in drawn.corners]
    assert edges_as_sewn(new, names) == pytest.approx(edges_as_sewn(drawn, names), abs=1e-9)
    # A closed mouth that leaves a sharp turn makes a corner, and nothing else does.
    sharp = done.kink is not None and abs(done.kink) > 20.0
    assert len(new.corners) == len(names) + sharp
    assert {n.name for n in new.notches} == {n.name for n in drawn.notches}
    assert len(new.drill_holes) == len(drawn.drill_holes)
    assert not len(new.seam_line.self_intersections().own)
    assert np.allclose(new.darts[0].apex, dart.apex, atol=0.0)


@settings(max_examples=25, deadline=None)
@given(shapes(), st.floats(0, 1), st.floats(0, 1), st.floats(0.02, 0.98))
def test_there_and_back_is_the_piece_again(
    shape: Shape, share: float, width: float, place: float
) -> None:
    drawn = with_dart(shape, share, width)
    assume(5.0 < wedge_of(drawn, drawn.darts[0]).angle < 60.0)
    try:
        there = turn_dart(drawn, "d", place * drawn.seam_line.length, share=0.5, turned="after")
    except GeometryError:
        assume(False)
        raise
    other = next(d.name for d in there.shape.darts if d.name != "d")
    back = turn_dart(there.shape, other, "d", turned="after")
    assert [d.name for d in back.shape.darts] == ["d"]
    assert wedge_of(back.shape, back.dart).angle == pytest.approx(
        wedge_of(drawn, drawn.darts[0]).angle, abs=1e-9
    )
    assert cloth_area(back.shape) == pytest.approx(cloth_area(drawn), abs=1e-6)


def square() -> Shape:
    outline = Curve.polyline(np.array([[0, 0], [250, 0], [250, 300], [0, 300]], float), closed=True)
    return build_shape(
        size="M",
        outline=outline,
        darts=[Dart(name="d", left=Station(0, 0.4), right=Station(0, 0.56), apex=(120.0, 120.0))],
        notches=[Notch(name="", station=Station(0, 0.4)), Notch(name="", station=Station(0, 0.56)),
                 Notch(name="hip", station=Station(1, 0.9))],
        grain_line=GrainLine(start=(30, 30), end=(30, 250)),
        drill_holes=[DrillHole(at=(120.0, 110.0)), DrillHole(at=(240.0, 20.0))],
        allowances=[10.0, 20.0, 30.0, 40.0],
    )  # fmt: skip


def test_what_lies_where_goes_with_its_part() -> None:
    shape = square()
    angle = 2.0 * np.degrees(np.arctan2(20.0, 120.0))
    at = shape.seam_line.nearest([[250.0, 180.0]]).lengths[0]
    done = turn_dart(shape, "d", float(at))
    assert done.side == "after" and done.degrees == pytest.approx(-angle, abs=1e-12)
    assert done.kink == pytest.approx(-angle, abs=1e-9)  # a straight edge turns by the dart
    assert done.shape.grain_line == shape.grain_line
    # The hole between the legs is as far from the point as before, in the middle of the dart.
    hole = np.array(done.shape.drill_holes[-1].at) - (120.0, 120.0)
    assert np.hypot(*hole) == pytest.approx(10.0, abs=1e-12)
    assert hole / 10.0 == pytest.approx(wedge_of(done.shape, done.dart).bisector, abs=1e-12)
    # The mouth's notches are at the mouth's ends; the others stay on their edge.
    seam = done.shape.seam_line
    for name, station in (("notch-1", done.dart.left), ("notch-2", done.dart.right)):
        assert seam.length_of(done.shape.notch(name).station) == pytest.approx(
            seam.length_of(station), abs=1e-9
        )
    assert [c.name for c in done.shape.corners] == [c.name for c in shape.corners]
    assert renew(done.shape, shape).shape.allowances == shape.allowances


@pytest.mark.parametrize(
    ("place", "said"),
    [((125.0, 0.0), "mouth"), ((250.0, 0.0), "corner"), ((0.0, 0.0), "corner")],
)
def test_places_where_no_dart_can_open(place: tuple[float, float], said: str) -> None:
    shape = square()
    at = shape.seam_line.nearest([place]).lengths[0]
    with pytest.raises(GeometryError, match=said):
        turn_dart(shape, "d", float(at))


def test_a_cut_that_would_leave_the_piece_is_refused() -> None:
    points = np.array([[0, 0], [300, 0], [300, 300], [200, 300], [200, 60], [0, 60]], float)
    shape = build_shape(
        size="M",
        outline=Curve.polyline(points, closed=True),
        darts=[Dart(name="d", left=Station(0, 0.1), right=Station(0, 0.15), apex=(37.5, 45.0))],
    )
    at = shape.seam_line.nearest([[250.0, 300.0]]).lengths[0]
    with pytest.raises(GeometryError, match="leaves the piece"):
        turn_dart(shape, "d", float(at))


def test_another_dart_in_the_way_is_refused() -> None:
    shape = square()
    other = Dart(name="e", left=Station(1, 0.3), right=Station(1, 0.34), apex=(140.0, 125.0))
    shape = shape.but(
        darts=(*shape.darts, Dart(name="e", left=shape.seam_line.station_at(
            float(shape.seam_line.nearest([[250.0, 120.0]]).lengths[0])),
            right=shape.seam_line.station_at(
            float(shape.seam_line.nearest([[250.0, 135.0]]).lengths[0])), apex=other.apex))
    )  # fmt: skip
    at = shape.seam_line.nearest([[250.0, 140.0]]).lengths[0]
    with pytest.raises(GeometryError, match='crosses "e"'):
        turn_dart(shape, "d", float(at))


@settings(max_examples=25, deadline=None)
@given(shapes())
def test_names_held_and_released_are_the_names(shape: Shape) -> None:
    same = release_names(hold_names(shape), shape)
    assert [c.name for c in same.corners] == [c.name for c in shape.corners]
    assert [n.name for n in same.notches] == [n.name for n in shape.notches]
    assert same.seam_line is shape.seam_line
