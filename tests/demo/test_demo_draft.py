"""The demonstration's blouse: edges that are sewn together agree, and only the cap is at fault."""

from __future__ import annotations

from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.demo.blouse import blouse, draft
from seamwright.demo.body import Body, base_size, chorus
from seamwright.demo.sleeve import cap, fitted_cap
from seamwright.geometry import Curve
from seamwright.model import build_shape

SIXTEENTH = 25.4 / 16
bodies = pytest.mark.parametrize("body", chorus(), ids=lambda b: b.size)


def turn(curve: Curve, joint: int) -> float:
    """Degrees by which an open curve turns at an inner joint."""
    length = float(curve.cumulative[joint])
    a = curve.tangent_at(length - 1e-7)
    b = curve.tangent_at(length + 1e-7)
    return float(np.degrees(np.arccos(np.clip(a @ b, -1, 1))))


def test_seven_sizes_grow_in_every_measure() -> None:
    sizes = chorus()
    assert len(sizes) == 7 and base_size() in {b.size for b in sizes}
    for smaller, larger in pairwise(sizes):
        for measure in Body.__slots__:
            if measure != "size":
                assert getattr(smaller, measure) < getattr(larger, measure), measure


@bodies
def test_what_is_sewn_together_is_equally_long(body: Body) -> None:
    back, front, sleeve = draft(body)
    assert back.edges["shoulder"].length == pytest.approx(body.shoulder, abs=1e-9)
    assert front.edges["shoulder"].length == pytest.approx(body.shoulder, abs=1e-9)
    assert back.edges["hem-side"].length == pytest.approx(front.edges["hem-side"].length, abs=1e-9)
    seams = sleeve.edges["underarm-back"], sleeve.edges["wrist-front"]
    assert seams[0].length == pytest.approx(seams[1].length, abs=1e-9)


@bodies
def test_the_cap_holds_too_much_for_firm_cloth(body: Body) -> None:
    back, front, sleeve = draft(body)
    edge = sleeve.edges["underarm-front"]
    shoulder = next(m.along for m in sleeve.marks if m.name == "shoulder")
    front_ease = shoulder - front.edges["underarm"].length
    back_ease = edge.length - shoulder - back.edges["underarm"].length
    assert front_ease > 8 * SIXTEENTH + 3  # firm cloth takes 1/2 in
    assert back_ease > 10 * SIXTEENTH + 3  # and 5/8 in
    assert 27 * SIXTEENTH < front_ease + back_ease < 36 * SIXTEENTH


@bodies
def test_the_cap_is_set_plain_below_its_notches(body: Body) -> None:
    back, front, sleeve = draft(body)
    along = {m.name: m.along for m in sleeve.marks}
    whole = sleeve.edges["underarm-front"].length
    hole = {m.name: m.along for m in (*back.marks, *front.marks) if m.edge == "underarm"}
    assert along["front"] == pytest.approx(hole["front"])
    assert whole - along["back-lower"] == pytest.approx(hole["lower"])
    assert whole - along["back-upper"] == pytest.approx(hole["upper"])


@bodies
def test_curves_are_smooth_and_square_where_they_should_be(body: Body) -> None:
    back, front, sleeve = draft(body)
    for edge in (back.edges["underarm"], front.edges["underarm"], sleeve.edges["underarm-front"],
                 back.edges["hem-side"], front.edges["hem-edge"]):  # fmt: skip
        assert all(turn(edge, j) < 1e-3 for j in range(1, edge.n))
    # Laid shoulder to shoulder, the armhole runs on without a point.
    for piece in (back, front):
        end, shoulder = piece.edges["underarm"], piece.edges["shoulder"]
        assert abs(end.tangent_at(end.length) @ shoulder.tangent_at(0.0)) < 1e-6


@bodies
def test_outlines_do_not_cross_themselves(body: Body) -> None:
    for piece in draft(body):
        outline = piece.outline()
        assert outline.area > 0
        assert len(outline.self_intersections().own) == 0


def test_pieces_grow_from_size_to_size() -> None:
    pattern = blouse()
    for piece in pattern.pieces:
        areas = [shape.seam_line.area for shape in piece.shapes]
        assert areas == sorted(areas) and areas[0] > 0


def test_the_fitted_cap_is_as_long_as_asked() -> None:
    back, front, height, forward = fitted_cap(340.0, 244.0, 248.0)
    assert (back.length, front.length) == pytest.approx((244.0, 248.0), abs=1e-8)
    again = cap(340.0, height, forward)
    assert again[0].length == back.length and again[1].length == front.length
    assert back.end[1] == pytest.approx(height)


@given(
    bicep=st.floats(260, 460),
    more=st.floats(0.40, 0.75),
    tilt=st.floats(-0.04, 0.04),
)
def test_caps_fit_over_any_arm(bicep: float, more: float, tilt: float) -> None:
    back, front = bicep * (more + tilt) + 60, bicep * (more - tilt) + 60
    halves = fitted_cap(bicep, back, front)
    assert halves[0].length == pytest.approx(back, abs=1e-8)
    assert halves[1].length == pytest.approx(front, abs=1e-8)
    assert halves[1].start[0] - halves[0].start[0] == pytest.approx(bicep)


def test_no_cap_can_be_shorter_than_its_bicep_line() -> None:
    with pytest.raises(ValueError, match="no sleeve cap"):
        fitted_cap(400.0, 150.0, 150.0)


def test_corners_are_where_a_reader_finds_them() -> None:
    """Started anywhere and run either way, the outline has the same numbered corners."""
    for piece in blouse().pieces:
        for shape in piece.shapes:
            for outline in (shape.seam_line.started_at(3), shape.seam_line.reversed()):
                found = build_shape(size=shape.size, outline=outline)
                assert len(found.corners) == len(shape.corners)
                ours = [shape.seam_line.point_of(c.station) for c in shape.corners]
                theirs = [found.seam_line.point_of(c.station) for c in found.corners]
                assert np.allclose(ours, theirs, atol=1e-9)


def test_one_size_is_that_size_of_the_seven() -> None:
    one, seven = blouse(["D"]), blouse()
    for a, b in zip(one.pieces, seven.pieces, strict=True):
        assert np.array_equal(a.in_size("D").seam_line.segments, b.in_size("D").seam_line.segments)
    assert one.base_size == "D" and seven.base_size == base_size()


def test_sizes_are_told_apart() -> None:
    for a, b in combinations(blouse().piece("Sleeve").shapes, 2):
        assert not np.array_equal(a.seam_line.segments, b.seam_line.segments)
