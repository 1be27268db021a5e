"""Fairing: jogs and kinks go, everything else stays."""

from __future__ import annotations

import pickle

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.geometry import Curve
from seamwright.geometry.fair import Faired, FairError, fair_jog, find_kinks

DRAFT = Curve.from_segments(
    np.array(
        [
            [(-169, 0), (-146, 5), (-128, 20), (-112, 42)],
            [(-112, 42), (-96, 64), (-82, 90), (-62, 109)],
            [(-62, 109), (-44.8, 125.34), (-24, 135), (0, 135)],
            [(0, 135), (23, 135), (40, 124), (55, 107)],
            [(55, 107), (73, 86.6), (81, 62), (96, 40)],
            [(96, 40), (112.5, 15.8), (134, 4), (161, 0)],
        ],
        dtype=float,
    )
)
quick = settings(max_examples=25, deadline=None)


def kinked(curve: Curve, at: float, degrees: float) -> Curve:
    """The curve with everything beyond `at` turned about that point."""
    p, a = curve.point_at(at), np.radians(degrees)
    turn = np.array([[np.cos(a), -np.sin(a)], [np.sin(a), np.cos(a)]])
    first, second = curve.split([at])
    return first.joined(second.transformed(np.column_stack([turn, p - turn @ p])))


def jogged(curve: Curve, at: float, step: float) -> Curve:
    """The curve with everything beyond `at` moved square to it."""
    first, second = curve.split([at])
    second = second.translated(*(step * curve.normal_at(at)))
    return first.joined(Curve.line(first.end, second.start)).joined(second)


def check_kept(old: Curve, new: Faired, within: float) -> None:
    """Ends, end tangents, all outside the windows, and smoothness."""
    assert (new.curve.start == old.start).all()
    assert (new.curve.end == old.end).all()
    assert len(find_kinks(new.curve, sharper_than=1e-4)) == 0
    np.testing.assert_allclose(new.curve.tangent_at(0.0), old.tangent_at(0.0), atol=1e-9)
    np.testing.assert_allclose(
        new.curve.tangent_at(new.curve.length), old.tangent_at(old.length), atol=1e-9
    )
    assert new.windows[0, 0] >= new.kinks[0].start - within - 1e-9
    assert new.windows[-1, 1] <= new.kinks[-1].end + within + 1e-9
    begin, end = float(new.windows[0, 0]), float(new.windows[-1, 1])
    before = int(np.searchsorted(old.cumulative, begin + 1e-9)) - 1
    after = old.n - int(np.searchsorted(old.cumulative, end - 1e-9))
    np.testing.assert_array_equal(new.curve.segments[:before], old.segments[:before])
    np.testing.assert_array_equal(
        new.curve.segments[len(new.curve.segments) - after :], old.segments[old.n - after :]
    )
    s = np.concatenate([np.linspace(0, begin, 30), np.linspace(end, old.length, 30)])
    np.testing.assert_allclose(new.curve.point_at(new.lengths_after(s)), old.point_at(s), atol=1e-6)
    samples = old.point_at(np.linspace(begin, end, 200))
    assert new.curve.nearest(samples).distances.max() <= new.largest_shift + 1e-3


@given(
    st.floats(60, 380),
    st.floats(2, 30) | st.floats(-30, -2),
    st.floats(15, 55),
    st.booleans(),
)
@quick
def test_kinks(at: float, degrees: float, within: float, keep: bool) -> None:
    run = kinked(DRAFT, at, degrees)
    new = fair_jog(run, within=within, keep_length=keep, sharper_than=1.0)
    assert len(new.kinks) == 1
    assert new.kinks[0].turn == pytest.approx(degrees, abs=1e-6)
    check_kept(run, new, within)
    if keep:
        assert new.curve.length == pytest.approx(run.length, abs=1e-6)


@given(st.floats(60, 380), st.floats(0.3, 5) | st.floats(-5, -0.3), st.floats(20, 55))
@quick
def test_jogs(at: float, step: float, within: float) -> None:
    run = jogged(DRAFT, at, step)
    new = fair_jog(run, within=within)
    assert [k.step for k in new.kinks] == pytest.approx([abs(step)])
    check_kept(run, new, within)
    # The smooth line goes through the middle of the step.
    assert new.largest_shift == pytest.approx(0.5 * abs(step), rel=0.25)
    if abs(step) <= 0.1 * within:
        same = fair_jog(run, within=within, keep_length=True)
        check_kept(run, same, within)
        assert same.curve.length == pytest.approx(run.length, abs=1e-6)


@given(st.floats(1.0, 8.0) | st.floats(-8.0, -1.0), st.floats(15, 60))
@quick
def test_a_kink_between_lines_becomes_the_bent_beam(degrees: float, within: float) -> None:
    """For small angles the least bending with clamped ends is a cubic: between slopes that
    differ by J over 2a it passes the kink at J a / 4."""
    half = np.radians(degrees) / 2.0
    x, y = 100 * np.cos(half), 100 * np.sin(half)
    run = Curve.polyline([(-x, y), (0, 0), (x, y)])
    new = fair_jog(run, within=within, sharper_than=0.5)
    assert new.largest_shift == pytest.approx(abs(half) * within / 2.0, rel=0.02)


def test_a_jog_between_lines_becomes_the_bent_beam() -> None:
    """A clamped beam whose end is moved aside by h: h (3 x^2 - 2 x^3), x = 0 to 1."""
    run = jogged(Curve.line((0, 0), (200, 0)), 100.0, 1.0)
    new = fair_jog(run, within=40.0)
    x = np.linspace(0.05, 0.95, 19)
    beam = np.stack([60 + 80 * x, 3 * x**2 - 2 * x**3], axis=1)
    assert new.curve.nearest(beam).distances.max() < 2e-3


def test_a_length_that_is_kept_with_its_step_makes_a_bulge() -> None:
    run = jogged(DRAFT, 300.0, 3.0)
    new = fair_jog(run, within=30.0, keep_length=True)
    assert new.curve.length == pytest.approx(run.length, abs=1e-6)
    assert 5.0 < new.largest_shift < 10.0
    assert fair_jog(run, within=30.0).largest_shift < 1.6


def test_a_smooth_run_is_left_alone() -> None:
    new = fair_jog(DRAFT, within=30.0)
    assert new.curve is DRAFT
    assert new.kinks == ()
    assert new.largest_shift == 0.0
    assert new.lengths_after([0.0, 100.0]).tolist() == [0.0, 100.0]


def test_a_drawn_out_curve_has_no_kinks_but_its_jog() -> None:
    drawn = Curve.polyline(DRAFT.flatten(0.05))
    assert fair_jog(drawn, within=30.0).kinks == ()
    jog = Curve.polyline(jogged(DRAFT, 300.0, 3.0).flatten(0.05))
    new = fair_jog(jog, within=30.0)
    assert [k.step for k in new.kinks] == pytest.approx([3.0], abs=1e-6)
    assert new.largest_shift < 2.0


def test_corners_are_meant_to_be_there() -> None:
    run = kinked(kinked(DRAFT, 300.0, 60.0), 280.0, 8.0)
    new = fair_jog(run, within=30.0)
    assert [round(k.turn) for k in new.left] == [60]
    assert [round(k.turn) for k in new.kinks] == [8]
    assert new.windows[0].tolist() == pytest.approx([250.0, 300.0])
    assert [round(k.turn, 6) for k in find_kinks(new.curve)] == [60.0]


def test_only_the_place_that_is_named() -> None:
    run = kinked(kinked(DRAFT, 300.0, 8.0), 100.0, 3.0)
    new = fair_jog(run, within=20.0, at=[105.0])
    assert [round(k.turn) for k in new.kinks] == [3]
    assert [round(k.turn) for k in find_kinks(new.curve)] == [8]


def test_near_kinks_share_a_window() -> None:
    run = jogged(jogged(DRAFT, 300.0, 2.0), 340.0, -2.0)
    new = fair_jog(run, within=30.0)
    assert len(new.kinks) == 2
    assert len(new.windows) == 1
    check_kept(run, new, 30.0)


def test_far_kinks_have_windows_of_their_own() -> None:
    run = kinked(kinked(DRAFT, 300.0, 8.0), 100.0, -8.0)
    new = fair_jog(run, within=30.0, keep_length=True)
    assert len(new.windows) == 2
    s = np.linspace(new.windows[0, 1], new.windows[1, 0], 20)
    np.testing.assert_allclose(new.curve.point_at(new.lengths_after(s)), run.point_at(s), atol=1e-6)
    assert new.curve.length == pytest.approx(run.length, abs=1e-6)


@given(st.floats(-3.1, 3.1), st.floats(-500, 500), st.booleans())
@settings(max_examples=10, deadline=None)
def test_moved_turned_or_mirrored(angle: float, dx: float, mirror: bool) -> None:
    c, s, m = np.cos(angle), np.sin(angle), -1.0 if mirror else 1.0
    matrix = np.array([[m * c, -s, dx], [m * s, c, -dx]])
    run = jogged(DRAFT, 300.0, 2.0)
    here = fair_jog(run, within=30.0).curve.segments
    there = fair_jog(run.transformed(matrix), within=30.0).curve.segments
    np.testing.assert_allclose(there, here @ matrix[:, :2].T + matrix[:, 2], atol=1e-4)


def test_refusals() -> None:
    with pytest.raises(FairError, match="nothing breaks", check=lambda f: f.reason == "nothing"):
        fair_jog(DRAFT, within=20.0, at=[200.0])
    near_end = kinked(DRAFT, DRAFT.length - 1.0, 8.0)
    assert len(fair_jog(near_end, within=20.0).left) == 1
    with pytest.raises(FairError, match="end of the run", check=lambda f: f.reason == "room"):
        fair_jog(near_end, within=20.0, at=[DRAFT.length - 1.0])
    with pytest.raises(FairError, match="open run"):
        fair_jog(Curve.circle((0, 0), 10), within=5.0)
    hairpin = Curve.polyline([(0, 0), (50, 0), (0, 0)])
    with pytest.raises(FairError, match="no smooth line", check=lambda f: f.reason == "shape"):
        fair_jog(hairpin, within=10.0, corners_above=181.0)
    loop = Curve.polyline([(0, 0), (50, 0), (50, 30), (0, 30), (0, -20)])
    with pytest.raises(FairError, match="no smooth line", check=lambda f: f.reason == "shape"):
        fair_jog(loop, within=49.0, corners_above=100.0)
    fault = pickle.loads(pickle.dumps(FairError("room", "why")))
    assert (fault.reason, str(fault)) == ("room", "why")
