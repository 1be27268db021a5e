"""Stations stay where they are when an outline gets joints, is reversed or starts elsewhere."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from seamwright.geometry import Curve, Station
from seamwright.model.turning import at_joint, reversed_outline, started_at, with_joints
from seamwright.testing.strategies import outlines

parameters = st.one_of(st.sampled_from([0.0, 1.0, 1e-15, 1.0 - 1e-15]), st.floats(0.0, 1.0))


@st.composite
def outlines_with_stations(draw: st.DrawFn) -> tuple[Curve, list[Station]]:
    curve = draw(outlines())
    station = st.builds(Station, st.integers(0, curve.n - 1), parameters)
    return curve, draw(st.lists(station, min_size=1, max_size=6))


def apart(a: Curve, s: Station, b: Curve, t: Station) -> float:
    return float(np.hypot(*(a.point_of(s) - b.point_of(t))))


@given(outlines_with_stations())
def test_reversing_keeps_places_and_lengths_from_the_other_end(
    drawn: tuple[Curve, list[Station]],
) -> None:
    curve, stations = drawn
    back, move = reversed_outline(curve)
    for station in stations:
        moved = move(station)
        assert apart(curve, station, back, moved) < 1e-9
        there = curve.length - curve.length_of(station)
        here = back.length_of(moved)
        off = abs(there - here)
        assert min(off, abs(off - curve.length)) < 1e-7


@given(outlines_with_stations(), st.integers(0, 20))
def test_starting_elsewhere_keeps_places(drawn: tuple[Curve, list[Station]], first: int) -> None:
    curve, stations = drawn
    turned, move = started_at(curve, first % curve.n)
    for station in stations:
        assert apart(curve, station, turned, move(station)) < 1e-9


@given(outlines_with_stations(), outlines_with_stations())
def test_new_joints_keep_places_and_the_shape(
    drawn: tuple[Curve, list[Station]], other: tuple[Curve, list[Station]]
) -> None:
    curve, cuts = drawn
    jointed, move = with_joints(curve, cuts)
    assert abs(jointed.length - curve.length) < 1e-8
    assert jointed.n <= curve.n + len(cuts)
    for cut in cuts:
        assert at_joint(jointed, move(cut)).t == 0.0
    for _, t in other[1]:
        station = Station(int(len(other[1]) * 7) % curve.n, t)
        assert apart(curve, station, jointed, move(station)) < 1e-8


def test_a_station_at_a_segments_end_is_the_next_joint() -> None:
    square = Curve.polyline([(0, 0), (10, 0), (10, 10), (0, 10)], closed=True)
    assert at_joint(square, Station(3, 1.0)) == Station(0, 0.0)
    assert at_joint(square, Station(1, 1.0 - 1e-13)) == Station(2, 0.0)
    assert at_joint(square, Station(1, 0.5)) == Station(1, 0.5)
