"""Loose strokes joined end to end."""

from __future__ import annotations

import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.geometry import LINE, Curve, line_segments
from seamwright.model.assemble import Joined, chained, join_strokes


def join(
    lines: list[tuple[tuple[float, float], tuple[float, float]]], tolerance: float = 0.05
) -> Joined:
    a = np.array([p for p, _ in lines])
    b = np.array([q for _, q in lines])
    return join_strokes(a, b, np.hypot(*(b - a).T), tolerance=tolerance)


def exploded(
    outlines: list[np.ndarray], seed: int, jitter: float = 0.0
) -> tuple[np.ndarray, np.ndarray]:
    """All sides of all outlines as loose lines: shuffled, half of them reversed, ends moved."""
    rng = np.random.default_rng(seed)
    a = np.concatenate(outlines)
    b = np.concatenate([np.roll(o, -1, axis=0) for o in outlines])
    a, b = (p + rng.uniform(-jitter, jitter, p.shape) for p in (a, b))
    order = rng.permutation(len(a))
    a, b = a[order], b[order]
    flip = rng.random(len(a)) < 0.5
    return np.where(flip[:, None], b, a), np.where(flip[:, None], a, b)


def circle(x: float, y: float, n: int, radius: float = 100.0) -> np.ndarray:
    t = 2 * np.pi * np.arange(n) / n
    return np.stack((x + radius * np.cos(t), y + radius * np.sin(t)), axis=1)


def test_four_hundred_outlines_of_five_hundred_lines() -> None:
    outlines = [circle(300.0 * (k % 20), 300.0 * (k // 20), 500) for k in range(400)]
    a, b = exploded(outlines, seed=3, jitter=0.002)
    began = time.process_time()
    joined = join_strokes(a, b, np.hypot(*(b - a).T), tolerance=0.05)
    assert time.process_time() - began < 5.0
    assert joined.n == 400 and joined.closed.all()
    assert not joined.junctions and not joined.gaps
    assert joined.bridged.max() <= 0.004 * 2**0.5
    segments, kinds, offsets = chained(
        line_segments(a, b), np.zeros(len(a), np.uint8), np.arange(len(a) + 1), joined
    )
    for k in (0, 17, 399):
        curve = Curve.from_segments(
            segments[offsets[k] : offsets[k + 1]], kinds[offsets[k] : offsets[k + 1]], closed=True
        )
        assert curve.n == 500
        assert abs(curve.area) == pytest.approx(31415.0, abs=5.0)


def test_a_gap_beyond_the_tolerance_stays_open_and_is_named() -> None:
    ring = circle(0.0, 0.0, 12)
    a, b = ring.copy(), np.roll(ring, -1, axis=0)
    k = 3
    a[k] = ring[3] + [0.2, 0.0]
    lengths = np.hypot(*(b - a).T)
    joined = join_strokes(a, b, lengths, tolerance=0.05)
    assert joined.n == 1 and not joined.closed[0]
    (gap,) = joined.gaps
    assert gap.distance == pytest.approx(0.2, abs=1e-9)
    assert {gap.a, gap.b} == {tuple(a[k]), tuple(ring[3])}
    wider = join_strokes(a, b, lengths, tolerance=0.25)
    assert wider.closed.all() and wider.bridged[0] == pytest.approx(0.2, abs=1e-9)


def test_a_t_junction_is_reported_and_not_guessed() -> None:
    joined = join([((0, 0), (10, 0)), ((10, 0), (20, 0)), ((10, 0), (10, 10))])
    assert joined.n == 3 and not joined.closed.any()
    (junction,) = joined.junctions
    assert (junction.x, junction.y) == (10.0, 0.0)
    assert junction.strokes == (0, 1, 2)


def test_two_outlines_that_touch_in_a_corner_are_a_junction() -> None:
    square = [((0, 0), (10, 0)), ((10, 0), (10, 10)), ((10, 10), (0, 10)), ((0, 10), (0, 0))]
    other = [((10 + x0, 10 + y0), (10 + x1, 10 + y1)) for (x0, y0), (x1, y1) in square]
    joined = join([*square, *other])  # type: ignore[arg-type]
    assert len(joined.junctions) == 1
    assert len(joined.junctions[0].strokes) == 4


def test_a_detail_smaller_than_the_tolerance_survives() -> None:
    """A step of 0.04 mm in an outline is drawn, not noise: its ends meet exactly."""
    points = [(0.0, 0.0), (50.0, 0.0), (50.0, 0.04), (100.0, 0.04), (100.0, 60.0), (0.0, 60.0)]
    lines = [(points[i], points[(i + 1) % 6]) for i in range(6)]
    joined = join(lines)
    assert joined.n == 1 and joined.closed[0]
    assert len(joined.order) == 6 and joined.bridged[0] == 0.0


def test_strokes_of_different_groups_never_join() -> None:
    a, b = np.array([[0.0, 0.0], [10.0, 0.0]]), np.array([[10.0, 0.0], [20.0, 0.0]])
    lengths = np.array([10.0, 10.0])
    assert join_strokes(a, b, lengths, tolerance=1.0, groups=np.array([1, 1])).n == 1
    assert join_strokes(a, b, lengths, tolerance=1.0, groups=np.array([1, 2])).n == 2


def test_an_open_chain_runs_as_its_first_stroke_does() -> None:
    joined = join([((10, 0), (0, 0)), ((10, 0), (20, 0)), ((30, 0), (20, 0))])
    assert joined.order.tolist() == [2, 1, 0]
    assert joined.forward.tolist() == [True, False, True]


def test_over_a_gap_both_ends_meet_half_way_and_lines_stay_straight() -> None:
    a = np.array([[0.0, 0.0], [10.0, 0.02]])
    b = np.array([[10.0, 0.0], [20.0, 0.0]])
    joined = join_strokes(a, b, np.array([10.0, 10.0]), tolerance=0.05)
    segments, kinds, offsets = chained(
        line_segments(a, b), np.zeros(2, np.uint8), np.arange(3), joined
    )
    assert offsets.tolist() == [0, 2] and (kinds == LINE).all()
    assert segments[0, 3].tolist() == segments[1, 0].tolist() == [10.0, 0.01]
    assert np.allclose(segments[0, 1], segments[0, 0] + (segments[0, 3] - segments[0, 0]) / 3)


@settings(max_examples=50, deadline=None)
@given(
    sizes=st.lists(st.integers(3, 12), min_size=1, max_size=6), seed=st.integers(0, 10_000),
    jitter=st.sampled_from([0.0, 0.001]),
)  # fmt: skip
def test_any_heap_of_separate_outlines_is_put_together_again(
    sizes: list[int], seed: int, jitter: float
) -> None:
    outlines = [circle(500.0 * k, 0.0, n) for k, n in enumerate(sizes)]
    a, b = exploded(outlines, seed, jitter)
    joined = join_strokes(a, b, np.hypot(*(b - a).T), tolerance=0.05)
    assert joined.closed.all()
    assert sorted(np.diff(joined.offsets).tolist()) == sorted(sizes)
    assert sorted(joined.order.tolist()) == list(range(len(a)))


def test_nothing_gives_nothing() -> None:
    joined = join_strokes(np.empty((0, 2)), np.empty((0, 2)), np.empty(0), tolerance=0.05)
    assert joined.n == 0 and not joined.junctions and not joined.gaps
