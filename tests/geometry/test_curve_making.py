"""New curves from old ones: parts, splits, joints, reversal, closing."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from seamwright.geometry import CUBIC, LINE, Curve, GeometryError, Station

numbers = st.floats(-300.0, 300.0)
points = st.tuples(numbers, numbers)


@st.composite
def chains(draw: st.DrawFn, closed: bool) -> Curve:
    """Chains of lines and cubics longer than a millimetre."""
    corners = draw(st.lists(points, min_size=2, max_size=5))
    stops = [*corners, corners[0]] if closed else corners
    segments, kinds = [], []
    for a, b in pairwise(stops):
        kind = draw(st.sampled_from([LINE, CUBIC]))
        segments.append([a, draw(points), draw(points), b] if kind == CUBIC else [a, a, b, b])
        kinds.append(kind)
    curve = Curve.from_segments(segments, kinds, closed=closed)
    assume(curve.length > 1.0)
    return curve


def same_path(one: Curve, two: Curve, tolerance: float) -> bool:
    """Whether two open curves are at the same place after every length."""
    if abs(one.length - two.length) > tolerance:
        return False
    s = np.linspace(0.0, 1.0, 60)
    gap = one.point_at(s * one.length) - two.point_at(s * two.length)
    return bool(np.hypot(*gap.T).max() <= tolerance)


shares = st.floats(0.02, 0.98)


@given(chains(closed=False), st.lists(shares, min_size=1, max_size=4))
def test_a_split_rejoined_is_the_same_curve(curve: Curve, cuts: list[float]) -> None:
    parts = curve.split(np.array(cuts) * curve.length)
    assert sum(p.length for p in parts) == pytest.approx(curve.length, abs=1e-8)
    whole = parts[0]
    for part in parts[1:]:
        np.testing.assert_array_equal(whole.end, part.start)
        whole = whole.joined(part)
    # A cusp magnifies a length's last digit; elsewhere this holds to 1e-9.
    assert same_path(whole, curve, 1e-6)
    np.testing.assert_array_equal(whole.start, curve.start)
    np.testing.assert_array_equal(whole.end, curve.end)


@given(chains(closed=True), st.lists(shares, min_size=1, max_size=4))
def test_a_closed_curve_split_falls_into_as_many_parts_as_cuts(
    curve: Curve, cuts: list[float]
) -> None:
    lengths = np.unique(np.array(cuts) * curve.length)
    assume(lengths.size == 1 or np.diff(lengths).min() > 1e-3)
    parts = curve.split(lengths)
    assert len(parts) == lengths.size
    assert not any(p.closed for p in parts)
    assert sum(p.length for p in parts) == pytest.approx(curve.length, abs=1e-8)
    for part, after in zip(parts, [*parts[1:], parts[0]], strict=True):
        np.testing.assert_allclose(part.end, after.start, rtol=0, atol=1e-9)


@given(chains(closed=False), shares, shares)
def test_part_runs_from_length_to_length(curve: Curve, a: float, b: float) -> None:
    low, high = sorted((a, b))
    assume(high - low > 1e-3)
    part = curve.part(low * curve.length, high * curve.length)
    assert part.length == pytest.approx((high - low) * curve.length, abs=1e-8)
    np.testing.assert_allclose(part.start, curve.point_at(low * curve.length), atol=1e-9)
    np.testing.assert_allclose(part.end, curve.point_at(high * curve.length), atol=1e-9)


def test_part_round_the_start_of_a_closed_curve() -> None:
    square = Curve.polyline([(0, 0), (10, 0), (10, 10), (0, 10)], closed=True)
    part = square.part(35.0, 15.0)
    assert part.length == 20.0
    np.testing.assert_allclose(part.joints, [(0, 5), (0, 0), (10, 0), (10, 5)])
    assert part.kinds.tolist() == [LINE] * 3
    whole = square.part(35.0, 35.0)
    assert whole.length == 40.0
    assert square.part(0.0, 40.0).length == 40.0
    assert square.part(30.0, 0.0).length == 10.0
    assert square.part(30.0, 40.0).length == 10.0


def test_part_takes_joints_exactly() -> None:
    curve = Curve.from_segments(
        [[(0, 0), (10, 20), (30, 20), (40.1, 0)], [(40.1, 0), (50, 5), (60, 5), (70, 0)]]
    )
    joint = float(curve.cumulative[1])
    for s in (joint - 5e-10, joint, joint + 5e-10):
        np.testing.assert_array_equal(curve.part(0.0, s).segments, curve.segments[:1])
        np.testing.assert_array_equal(curve.part(s, curve.length).segments, curve.segments[1:])


def test_part_that_runs_backwards_is_refused() -> None:
    line = Curve.line((0, 0), (10, 0))
    for a, b in ((6, 4), (5, 5), (0, 11)):
        with pytest.raises(GeometryError):
            line.part(a, b)


def test_cuts_at_the_ends_cut_nothing() -> None:
    line = Curve.line((0, 0), (10, 0))
    assert line.split([0.0, 10.0]) == (line,)
    assert len(line.split([5.0, 5.0 + 1e-10, 10.0])) == 2
    ring = Curve.circle((0, 0), 10.0)
    assert ring.split([]) == (ring,)


@given(chains(closed=True))
def test_area_changes_sign_on_reversal(curve: Curve) -> None:
    assert curve.reversed().area == pytest.approx(-curve.area, abs=1e-6)
    assert curve.reversed().length == pytest.approx(curve.length, abs=1e-9)


@given(chains(closed=True), st.integers(0, 4))
def test_another_start_is_the_same_outline(curve: Curve, first: int) -> None:
    first %= curve.n
    other = curve.started_at(first)
    assert other.area == pytest.approx(curve.area, abs=1e-6)
    np.testing.assert_array_equal(other.start, curve.joints[first])


@given(chains(closed=True), st.lists(st.tuples(st.integers(0, 4), st.floats(0.0, 1.0)), max_size=5))
def test_joints_put_in_change_no_shape(curve: Curve, where: list[tuple[int, float]]) -> None:
    stations = [Station(i % curve.n, t) for i, t in where]
    other = curve.insert_joints(stations)
    assert other.closed
    assert curve.n <= other.n <= curve.n + len(stations)
    assert other.length == pytest.approx(curve.length, abs=1e-8)
    assert other.area == pytest.approx(curve.area, abs=1e-6)
    for station in stations:
        gap = np.hypot(*(other.joints - curve.point_of(station)).T)
        assert gap.min() <= 1e-9


def test_joints_in_a_line_leave_lines() -> None:
    line = Curve.line((0, 0), (10, 0)).insert_joints([Station(0, 0.25), Station(0, 0.25)])
    assert line.kinds.tolist() == [LINE, LINE]
    np.testing.assert_allclose(line.joints, [(0, 0), (2.5, 0), (10, 0)])


def test_joining_over_a_gap_meets_half_way() -> None:
    a, b = Curve.line((0, 0), (10, 0)), Curve.line((10, 0.2), (10, 8))
    with pytest.raises(GeometryError, match=r"0\.2 mm apart"):
        a.joined(b)
    both = a.joined(b, tolerance=0.25)
    np.testing.assert_allclose(both.joints, [(0, 0), (10, 0.1), (10, 8)])
    assert both.kinds.tolist() == [LINE, LINE]


def test_joining_keeps_directions() -> None:
    a = Curve.from_segments([[(0, 0), (10, 10), (20, 10), (30, 0)]])
    b = Curve.from_segments([[(30.1, 0), (40.1, -10), (50, -10), (60, 0)]])
    both = a.joined(b, tolerance=0.2)
    np.testing.assert_allclose(both.tangents_of([0, 1], [1.0, 0.0]), [[0.5**0.5, -(0.5**0.5)]] * 2)


def test_closing() -> None:
    open_ = Curve.polyline([(0, 0), (10, 0), (10, 10), (0, 0.05)])
    with pytest.raises(GeometryError):
        open_.closed_up(0.01)
    closed = open_.closed_up(0.1)
    assert closed.closed
    np.testing.assert_allclose(closed.start, (0, 0.025))
    assert closed.closed_up() is closed
    with pytest.raises(GeometryError, match="open curves"):
        closed.joined(open_)


def test_an_open_curve_has_no_area_and_no_other_start() -> None:
    line = Curve.line((0, 0), (1, 0))
    with pytest.raises(GeometryError):
        _ = line.area
    with pytest.raises(GeometryError):
        line.started_at(0)


def test_matrices_that_are_not_affine_are_refused() -> None:
    line = Curve.line((0, 0), (1, 0))
    tilted = np.array([(1, 0, 0), (0, 1, 0), (0, 0.1, 1)])
    unknown = np.array([(np.nan, 0, 0), (0, 1, 0)])
    for matrix in (np.eye(2), tilted, unknown):
        with pytest.raises(GeometryError):
            line.transformed(matrix)


def test_area_scales_with_the_determinant() -> None:
    egg = Curve.ellipse((3, 4), 60.0, 40.0, 25.0)
    matrix = np.array([[1.5, 0.4, 10], [-0.2, 0.8, -3]])
    assert egg.transformed(matrix).area == pytest.approx(
        egg.area * np.linalg.det(matrix[:, :2]), rel=1e-12
    )
    far = egg.translated(5.7e6, -5.7e6)
    assert far.area == pytest.approx(egg.area, abs=1e-5)
    assert far.length == pytest.approx(egg.length, abs=1e-6)
