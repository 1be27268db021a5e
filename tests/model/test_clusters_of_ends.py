"""Ends of strokes near one another are one node, in steps, and a heap of them costs little."""

from __future__ import annotations

import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.model.recognise.pieces.join import clusters


@settings(deadline=None, max_examples=60)
@given(
    points=st.lists(st.tuples(st.integers(-40, 40), st.integers(-9, 9)), min_size=2, max_size=40),
    tolerance=st.sampled_from([0.5, 1.0, 1.5, 3.0]),
)
def test_what_is_within_reach_directly_or_in_steps_is_one(
    points: list[tuple[int, int]], tolerance: float
) -> None:
    at = np.array(points, dtype=np.float64) * 0.37 + 1000.0
    found = clusters(at, tolerance)
    label = list(range(len(at)))
    for _ in at:
        for i in range(len(at)):
            for j in range(len(at)):
                if np.hypot(*(at[i] - at[j])) <= tolerance:
                    label[i] = label[j] = min(label[i], label[j])
    assert found.tolist() == label


@pytest.mark.parametrize("spread", [0.0, 0.04])
def test_twenty_thousand_ends_in_one_place(spread: float) -> None:
    """As pairs these would be two hundred million."""
    at = np.random.default_rng(4).uniform(0.0, 1.0, (20_000, 2)) * spread
    began = time.process_time()
    assert not clusters(at, 0.05).any()
    assert time.process_time() - began < 5.0
