"""Point at a length (first form): bisection and Newton."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from .evaluate import as_segments, first_complex, to_complex
from .kinds import FloatArray
from .length import arc_lengths, partial_lengths


class LengthTable:
    """Inverse arc length of many segments."""

    def __init__(self, segments: ArrayLike) -> None:
        self.segments = as_segments(segments)
        self.totals = arc_lengths(self.segments)

    def at(self, index: ArrayLike, s: ArrayLike) -> FloatArray:
        """Parameters t (M,) at lengths s (M,) along segments index (M,)."""
        own = np.asarray(index, dtype=np.int64)
        goal = np.asarray(s, dtype=np.float64)
        segments = self.segments[own]
        z = to_complex(segments)
        low, high = np.zeros(own.shape), np.ones(own.shape)
        total = self.totals[own]
        with np.errstate(divide="ignore", invalid="ignore"):
            t = np.where(total > 0, np.clip(goal / total, 0, 1), 0.0)
        for _ in range(60):
            miss = partial_lengths(segments, t) - goal
            if (np.abs(miss) < 1e-11).all():
                break
            high = np.where(miss > 0, t, high)
            low = np.where(miss < 0, t, low)
            with np.errstate(divide="ignore", invalid="ignore"):
                step = t - miss / np.abs(first_complex(z, t))
            t = np.where((step > low) & (step < high), step, (low + high) / 2)
        return np.where(goal <= 0, 0.0, np.where(goal >= total, 1.0, t))

    def lengths(self, index: ArrayLike, t: ArrayLike) -> FloatArray:
        """Lengths (M,) from the start of segments index (M,) to t (M,)."""
        return partial_lengths(self.segments[np.asarray(index, dtype=np.int64)], t)
