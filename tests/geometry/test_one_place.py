"""One place asked for alone is the place that it is among many."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.geometry import Curve, GeometryError, Station
from seamwright.testing.strategies import outlines


def awkward() -> list[Curve]:
    """A cusp, a collapsed handle, a piece without length, a loop, a straight cubic."""
    return [
        Curve.from_segments([[[0, 0], [100, 100], [0, 100], [100, 0]]]),
        Curve.from_segments([[[0, 0], [0, 0], [50, 80], [100, 0]]]),
        Curve.from_segments([[[0, 0], [30, 10], [60, 10], [60, 10]]]),
        Curve.polyline([[0, 0], [0, 0], [40, 0], [40, 30]]),
        Curve.from_segments([[[0, 0], [150, 100], [-50, 100], [100, 0]]]),
        Curve.from_segments([[[0, 0], [10, 0], [20, 0], [100, 0]]]),
        Curve.from_segments([[[5, 5], [5, 5], [5, 5], [5, 5]], [[5, 5], [6, 9], [9, 6], [12, 5]]]),
    ]


def agree(curve: Curve, shares: list[float]) -> None:
    fresh = Curve.from_segments(curve.segments, curve.kinds, closed=curve.closed)
    s = np.array(shares) * curve.length
    segments, ts = curve.stations_at(s)
    for k, at in enumerate(s.tolist()):
        station = fresh.station_at(at)
        assert station.segment == segments[k]
        assert station.t == pytest.approx(ts[k], abs=1e-9)
        many = curve.points_of(segments, ts)[k]
        assert np.abs(fresh.point_at(at) - many).max() < 1e-9
        assert np.abs(fresh.point_of(station) - many).max() < 1e-9
        found = fresh.length_of(station)
        assert found == pytest.approx(at % curve.length if curve.closed else at, abs=1e-9)
        if 0.0 < ts[k] < 1.0:
            assert np.abs(fresh.tangent_at(at) - curve.tangent_at(s)[k]).max() < 1e-6


@settings(max_examples=40, deadline=None)
@given(outlines(), st.lists(st.floats(0.0, 1.0), min_size=1, max_size=6))
def test_outlines(outline: Curve, shares: list[float]) -> None:
    agree(outline, [*shares, 0.0])


@settings(max_examples=30, deadline=None)
@given(
    st.lists(st.tuples(st.floats(-100, 100), st.floats(-100, 100)), min_size=4, max_size=4),
    st.lists(st.floats(0.0, 1.0), min_size=1, max_size=4),
)
def test_any_cubic(points: list[tuple[float, float]], shares: list[float]) -> None:
    curve = Curve.from_segments([points])
    if curve.length > 1e-3:
        agree(curve, shares)


@pytest.mark.parametrize("curve", awkward(), ids=repr)
def test_awkward_ones(curve: Curve) -> None:
    agree(curve, [0.0, 0.1, 0.25, 0.5, 0.7, 0.999, 1.0])


def test_what_is_not_on_the_curve_is_refused() -> None:
    curve = Curve.polyline([[0, 0], [40, 0], [40, 30]])
    for bad in (-1.0, 71.0, float("nan")):
        with pytest.raises(GeometryError):
            curve.point_at(bad)
    with pytest.raises(GeometryError):
        curve.point_of(Station(2, 0.5))
    with pytest.raises(GeometryError):
        curve.length_of(Station(0, 1.5))
    closed = Curve.polyline([[0, 0], [40, 0], [40, 30]], closed=True)
    assert np.abs(closed.point_at(-30.0) - closed.point_at(closed.length - 30.0)).max() < 1e-12


@settings(max_examples=40, deadline=None)
@given(outlines(), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_a_part_is_the_stretch_of_the_whole(outline: Curve, a: float, b: float) -> None:
    start, end = a * outline.length, b * outline.length
    part = outline.part(start, end)
    long = (end - start) % outline.length or outline.length
    if min(long, outline.length - long) < 1e-6:
        return
    assert part.length == pytest.approx(long, abs=1e-8)
    again = Curve.from_segments(part.segments, part.kinds)
    assert np.array_equal(again.segments, part.segments)
    assert np.abs(again.segment_lengths - part.segment_lengths).max() < 1e-9
    middle = (start + 0.37 * long) % outline.length
    assert np.abs(part.point_at(0.37 * long) - outline.point_at(middle)).max() < 1e-7


def test_edges_of_an_outline_bring_their_lengths() -> None:
    outline = Curve.polyline([[0, 0], [40, 0], [40, 30], [0, 30]], closed=True)
    joints = outline.cumulative
    for i, j in ((0, 1), (1, 3), (3, 1), (2, 0), (1, 1)):
        part = outline.part(float(joints[i]), float(joints[j]))
        again = Curve.from_segments(part.segments, part.kinds)
        assert np.array_equal(again.segment_lengths, part.segment_lengths)
        assert np.array_equal(part.start, outline.joints[i])
