"""Cutting, turning, replacing and mapping shapes: what must stay, stays exactly."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from seamwright.geometry import Curve, FloatArray, GeometryError, Station
from seamwright.model import (
    Foreign,
    InternalKind,
    InternalLine,
    LineRole,
    Notch,
    Shape,
    build_shape,
)
from seamwright.model.edit import (
    contents_of,
    cut_shape,
    deform,
    part_between,
    plain,
    replace_run,
    shape_of_parts,
    slash_and_spread,
    transform,
)
from seamwright.model.marking import Dart
from seamwright.testing.strategies import shapes

_SHARE = st.integers(1, 999).map(lambda k: k / 1000.0)


def crossing(shape: Shape, angle: float) -> Curve:
    """A line through the middle of a star-shaped piece, from edge to edge."""
    way = 2000.0 * np.array([np.cos(angle), np.sin(angle)])
    return Curve.line(-way, way)


def marks(shape: Shape) -> FloatArray:
    """Where the notches are, (n, 2), by name."""
    points = {n.name: shape.seam_line.point_of(n.station) for n in shape.notches}
    return np.array([points[k] for k in sorted(points)]).reshape(-1, 2)


@settings(max_examples=40, deadline=None)
@given(shapes(), st.floats(0, 3.1))
def test_a_cut_piece_has_all_of_it(shape: Shape, angle: float) -> None:
    cut = cut_shape(shape, crossing(shape, angle))
    assert cut.left.seam_line.area + cut.right.seam_line.area == pytest.approx(
        shape.seam_line.area, rel=1e-12
    )
    both = cut.left.seam_line.length + cut.right.seam_line.length
    assert both == pytest.approx(shape.seam_line.length + 2.0 * cut.line.length, abs=1e-8)
    assert len(cut.left.drill_holes) + len(cut.right.drill_holes) == len(shape.drill_holes)
    assert len(cut.left.texts) + len(cut.right.texts) == len(shape.texts)
    inner = sum(x.curve.length for s in (cut.left, cut.right) for x in s.internal_lines)
    assert inner == pytest.approx(sum(x.curve.length for x in shape.internal_lines), abs=1e-5)
    # Every notch is on one of the pieces, where it was.
    found = np.concatenate((marks(cut.left), marks(cut.right)))
    for p in marks(shape):
        assert np.hypot(*(found - p).T).min() < 1e-9
    if shape.grain_line is not None:
        assert cut.left.grain_line is not None and cut.right.grain_line is not None
    for half in (cut.left, cut.right):
        assert half.seam_line.area > 0
        assert all(c.station.t == 0.0 for c in half.corners)


@settings(max_examples=40, deadline=None)
@given(shapes(), st.floats(0, 3.1), st.floats(0.5, 20), st.sampled_from(["left", "right"]))
def test_a_hinged_slash_keeps_every_length(
    shape: Shape, angle: float, degrees: float, turned: str
) -> None:
    try:
        spread = slash_and_spread(
            shape,
            crossing(shape, angle),
            degrees,
            turned=turned,  # type: ignore[arg-type]
        )
    except GeometryError:
        assume(False)
        raise
    assert spread.shape.seam_line.length == pytest.approx(
        shape.seam_line.length + spread.opening, abs=1e-9
    )
    line = cut_shape(shape, crossing(shape, angle)).line
    half = np.radians(degrees) / 2.0
    assert spread.opening == pytest.approx(2.0 * line.length * np.sin(half), abs=1e-9)
    added = 0.5 * line.length**2 * np.sin(2.0 * half)
    assert spread.shape.seam_line.area == pytest.approx(shape.seam_line.area + added, rel=1e-10)
    assert len(spread.shape.notches) == len(shape.notches)


@settings(max_examples=40, deadline=None)
@given(shapes(), _SHARE, _SHARE)
def test_an_outline_of_its_own_parts_is_the_outline(shape: Shape, a: float, b: float) -> None:
    whole = shape.seam_line.length
    assume(abs(a - b) > 0.01)
    first, then = sorted((a * whole, b * whole))
    parts = [part_between(shape, first, then), part_between(shape, then, first)]
    made = shape_of_parts(shape, parts, contents_of(shape))
    assert made.seam_line.area == pytest.approx(shape.seam_line.area, rel=1e-12)
    assert [c.name for c in made.corners] == [c.name for c in shape.corners]
    assert marks(made) == pytest.approx(marks(shape), abs=1e-9)
    assert [(n.type, n.depth, n.angle) for n in made.notches] == [
        (n.type, n.depth, n.angle) for n in shape.notches
    ]
    assert made.internal_lines == shape.internal_lines
    assert made.grain_line == shape.grain_line


@settings(max_examples=40, deadline=None)
@given(shapes(), _SHARE, st.floats(0.02, 0.4), st.floats(-0.1, 0.1))
def test_replacing_a_stretch_leaves_the_rest(
    shape: Shape, a: float, width: float, bow: float
) -> None:
    seam = shape.seam_line
    start, end = a * seam.length, (a + width) * seam.length
    stations = [seam.station_at(x % seam.length) for x in (start, end)]
    old = seam.part(start % seam.length, end % seam.length)
    chord = old.end - old.start
    normal = np.array([-chord[1], chord[0]])
    segment = np.array(
        [
            old.start,
            old.start + chord / 3 + bow * normal,
            old.end - chord / 3 + bow * normal,
            old.end,
        ]
    )
    new = replace_run(shape, stations[0], stations[1], Curve.from_segments(segment[None]))
    inserted = Curve.from_segments(segment[None]).length
    assert new.seam_line.length == pytest.approx(seam.length - old.length + inserted, abs=1e-8)
    assert [c.name for c in new.corners] == [c.name for c in shape.corners]
    for notch in shape.notches:
        gone = (seam.length_of(notch.station) - start) % seam.length
        if gone > old.length + 1e-6 and gone < seam.length - 1e-6:
            p = new.seam_line.point_of(new.notch(notch.name).station)
            assert p == pytest.approx(seam.point_of(notch.station), abs=1e-9)
    same = replace_run(shape, stations[0], stations[1], old)
    assert same.seam_line.area == pytest.approx(seam.area, rel=1e-12)
    assert marks(same) == pytest.approx(marks(shape), abs=1e-7)


@settings(max_examples=40, deadline=None)
@given(shapes(), st.floats(-3, 3), st.floats(0.5, 2), st.booleans())
def test_a_map_takes_marks_along(shape: Shape, angle: float, scale: float, mirror: bool) -> None:
    c, s = scale * np.cos(angle), scale * np.sin(angle)
    m = np.array([[c, -s, 10.0], [s, c, -20.0]])
    if mirror:
        m[:, 0] *= -1.0
    new = transform(shape, m)
    assert new.seam_line.area == pytest.approx(shape.seam_line.area * scale**2, rel=1e-10)
    moved = marks(shape) @ m[:, :2].T + m[:, 2]
    if not mirror:
        assert marks(new) == pytest.approx(moved, abs=1e-9 * scale + 1e-9)
    else:  # numbers are counted anew, so by place
        for p in moved:
            assert np.hypot(*(marks(new) - p).T).min() < 1e-7
    assert len(new.corners) == len(shape.corners)
    back = transform(new, np.linalg.inv(np.vstack((m, [0, 0, 1]))))
    assert back.seam_line.area == pytest.approx(shape.seam_line.area, rel=1e-10)


@settings(max_examples=25, deadline=None)
@given(shapes())
def test_a_deformation_by_a_rigid_map_is_that_map(shape: Shape) -> None:
    turn = np.array([[0.6, -0.8], [0.8, 0.6]])
    shift = np.array([5.0, 7.0])
    new = deform(shape, lambda p: p @ turn.T + shift)
    same = transform(shape, np.column_stack((turn, shift)))
    assert new.seam_line.segments == pytest.approx(same.seam_line.segments, abs=1e-9)
    assert [h.at for h in new.drill_holes] == [pytest.approx(h.at) for h in same.drill_holes]


def square() -> Shape:
    return build_shape(
        size="M",
        outline=Curve.polyline(
            np.array([[0, 0], [100, 0], [100, 100], [0, 100]], float), closed=True
        ),
        notches=[Notch(name="side", station=Station(1, 0.5))],
        darts=[Dart(name="d", left=Station(0, 0.2), right=Station(0, 0.3), apex=(25.0, 40.0))],
    )


def test_a_dart_goes_with_its_part() -> None:
    cut = cut_shape(square(), Curve.line((50.0, -10.0), (50.0, 110.0)))
    assert [d.name for d in cut.left.darts] == ["d"] and cut.right.darts == ()
    dart = cut.left.darts[0]
    assert cut.left.seam_line.point_of(dart.left) == pytest.approx((20.0, 0.0), abs=1e-12)
    assert cut.left.seam_line.point_of(dart.right) == pytest.approx((30.0, 0.0), abs=1e-12)


def test_a_slash_to_a_dart_makes_one() -> None:
    spread = slash_and_spread(
        square(),
        Curve.line((50.0, 100.0), (50.0, 0.0)),
        10.0,
        fill="dart",
        apex=(50.0, 30.0),
        dart_name="new",
    )
    dart = next(d for d in spread.shape.darts if d.name == "new")
    seam = spread.shape.seam_line
    gap = seam.point_of(dart.right) - seam.point_of(dart.left)
    assert np.hypot(*gap) == pytest.approx(200.0 * np.sin(np.radians(5.0)), abs=1e-9)
    with pytest.raises(ValueError, match="a dart opens"):
        slash_and_spread(square(), Curve.line((50.0, 100.0), (50.0, 0.0)), -5.0, fill="dart")


@pytest.mark.parametrize("line", [[(-50, 50), (50, 50)], [(200, 0), (200, 100)]])
def test_a_line_that_does_not_cross_once_is_refused(line: list[tuple[float, float]]) -> None:
    with pytest.raises(GeometryError, match="must cross the piece once"):
        cut_shape(square(), Curve.line(*line))


def test_parts_that_do_not_meet_are_refused() -> None:
    shape = square()
    with pytest.raises(ValueError, match="do not meet"):
        shape_of_parts(shape, [plain(Curve.line((0, 0), (1, 0)))], contents_of(shape))


def test_half_a_piece_stays_one_where_its_fold_is_and_formats_data_are_given_back_once() -> None:
    fold = InternalLine(
        kind=InternalKind.FOLD, curve=Curve.line([0.0, 0.0], [0.0, 100.0]), name="fold"
    )
    data = Foreign(format="dxf", where="7", data="x")
    half = square().but(mirrored_half=True, internal_lines=(fold,), foreign=(data,))
    whole = half.seam_line.length
    again = shape_of_parts(
        half, [part_between(half, 10.0, 150.0), part_between(half, 150.0, 10.0)], contents_of(half)
    )
    assert again.seam_line.length == pytest.approx(whole)
    assert again.mirrored_half and again.foreign == (data,)
    upright = cut_shape(half, Curve.line([40.0, -10.0], [40.0, 110.0]))
    assert upright.left.mirrored_half and not upright.right.mirrored_half
    assert upright.left.foreign == (data,) and upright.right.foreign == ()
    spread = slash_and_spread(half, Curve.line([60.0, 100.0], [60.0, 0.0]), 5.0)
    assert spread.shape.mirrored_half and spread.shape.foreign == (data,)


def test_notches_of_a_cut_line_are_not_carried() -> None:
    shape = square()
    shape = shape.but(
        cut_line=shape.seam_line,
        notches=(Notch(name="x", station=Station(1, 0.5), line=LineRole.CUT),),
    )
    assert part_between(shape, 0.0, 150.0).notches == ()


@given(st.floats(0.2, 0.8), st.integers(-4, 4))
def test_a_mark_at_the_end_of_a_stretch_stays_there_whatever_its_last_bits(
    at: float, bits: int
) -> None:
    points = np.array([[0, 0], [300, 0], [300, 200], [0, 200]], dtype=np.float64)
    outline = Curve.polyline(points, closed=True)
    t = at
    for _ in range(abs(bits)):
        t = float(np.nextafter(t, np.sign(bits)))
    shape = build_shape(
        size="M",
        outline=outline,
        corners=[Station(i, 0.0) for i in range(4)],
        notches=[Notch(name="mark", station=Station(0, t))],
    )
    seam = shape.seam_line
    mark = seam.point_of(shape.notch("mark").station)
    # The same place by another way, so that the last bits differ.
    place = Station(shape.notch("mark").station.segment, at)
    whole = seam.length_of(place)
    for start, end in ((whole - 40.0, whole), (whole, whole + 40.0)):
        a, b = (seam.point_at(s % seam.length) for s in (start, end))
        bow = np.array([0.0, 3.0])
        curve = Curve.from_segments([[a, a + (b - a) / 3 + bow, b - (b - a) / 3 + bow, b]])
        near = [seam.station_at(s % seam.length) for s in (start, end)]
        ends = (near[0], place) if end == whole else (place, near[1])
        new = replace_run(shape, *ends, curve)
        assert np.hypot(*(new.seam_line.point_of(new.notch("mark").station) - mark)) < 1e-6
