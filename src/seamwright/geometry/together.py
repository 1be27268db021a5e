"""Places on many curves, asked for together: one call of each kernel for all."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from .curve import Curve, measure_together
from .evaluate import points_complex, to_complex, to_real, unit_tangents_complex
from .kinds import LINE, FloatArray, IntArray
from .locate import LengthTable
from .nearest import foot_in_groups


def places_along(curves: Sequence[Curve], shares: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Points and unit tangents (C, N, 2) at shares (N,) in [0, 1] of each curve's length."""
    lengths = measure_together(curves)
    if not len(curves):
        return np.zeros((0, len(shares), 2)), np.zeros((0, len(shares), 2))
    wanted = lengths[:, None] * shares
    segment = np.stack(
        [
            np.clip(np.searchsorted(c.cumulative, s, side="right") - 1, 0, c.n - 1)
            for c, s in zip(curves, wanted, strict=True)
        ]
    )
    counts = np.array([c.n for c in curves])
    first = np.cumsum(counts) - counts
    before = np.concatenate([c.cumulative[:-1] for c in curves])
    whole = np.concatenate([c.segment_lengths for c in curves])
    index = (segment + first[:, None]).ravel()
    rest = wanted.ravel() - before[index]
    t = np.clip(rest / np.where(whole[index] > 0.0, whole[index], np.inf), 0.0, 1.0)
    segments = np.concatenate([c.segments for c in curves])
    line = np.concatenate([c.kinds for c in curves]) == LINE
    bent = np.flatnonzero(~line[index] & (t > 0.0) & (t < 1.0))
    if bent.size:
        own, place = np.unique(index[bent], return_inverse=True)
        t[bent] = LengthTable(segments[own]).at(place, rest[bent])
    z = to_complex(segments)[index]
    shape = (len(curves), len(shares), 2)
    return (
        to_real(points_complex(z, t)).reshape(shape),
        to_real(unit_tangents_complex(z, t)).reshape(shape),
    )


def nearest_on_each(
    curves: Sequence[Curve], points: FloatArray, owner: IntArray
) -> tuple[FloatArray, FloatArray]:
    """Foot points (N, 2) and distances (N,) of points (N, 2), each on curve owner (N,)."""
    segments = np.concatenate([c.segments for c in curves])
    starts = np.cumsum([0, *(c.n for c in curves)])
    of, t, far = foot_in_groups(segments, starts, points, owner)
    return to_real(points_complex(to_complex(segments)[of], t)), far
