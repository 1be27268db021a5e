"""How far apart curves are, many pairs of them together."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from .curve import Curve
from .evaluate import points_complex, to_complex, to_real
from .kinds import FloatArray
from .nearest import nearest_in_groups

_PLACES = np.arange(8) / 8


def curves_apart(pairs: Sequence[tuple[Curve, Curve]]) -> FloatArray:
    """Greatest distance (N,) mm of either curve of each pair from the other, looked at in the
    joints and at seven places within each segment. Segments that both have are passed over."""
    if not pairs:
        return np.zeros(0)
    there = _one_way([a for a, _ in pairs], [b for _, b in pairs])
    back = _one_way([b for _, b in pairs], [a for a, _ in pairs])
    return np.maximum(there, back)


def _one_way(ones: Sequence[Curve], others: Sequence[Curve]) -> FloatArray:
    """Greatest distance of each curve from its other."""
    known = [{s.tobytes() for s in other.segments} for other in others]
    moved = [
        np.array([s.tobytes() not in those for s in one.segments], dtype=bool)
        for one, those in zip(ones, known, strict=True)
    ]
    counts = np.array([int(m.sum()) for m in moved])
    out = np.zeros(len(ones))
    if not counts.any():
        return out
    segments = np.concatenate([one.segments[m] for one, m in zip(ones, moved, strict=True)])
    points = points_complex(to_complex(segments)[:, None, :], _PLACES).ravel()
    group = np.repeat(np.arange(len(ones)), counts * len(_PLACES))
    starts = np.cumsum([0, *(other.n for other in others)])
    chains = np.concatenate([other.segments for other in others])
    far = nearest_in_groups(chains, starts, to_real(points), group)
    np.maximum.at(out, group, far)
    # The end of an open curve is no segment's beginning.
    for i, one in enumerate(ones):
        if not one.closed and moved[i][-1]:
            out[i] = max(out[i], float(others[i].nearest(one.end[None]).distances[0]))
    return out
