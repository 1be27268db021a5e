"""How far apart curves are: many pairs at once as each alone."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.geometry import Curve
from seamwright.geometry.apart import curves_apart
from seamwright.testing.strategies import outlines


def one_way(a: Curve, b: Curve) -> float:
    """The same by one curve's own search, place by place."""
    t = np.tile(np.arange(8) / 8, a.n)
    points = a.points_of(np.repeat(np.arange(a.n), 8), t)
    return float(b.nearest(points).distances.max())


@settings(max_examples=15, deadline=None)
@given(st.lists(st.tuples(outlines(), outlines()), min_size=1, max_size=5))
def test_all_pairs_together_as_each_alone(pairs: list[tuple[Curve, Curve]]) -> None:
    pairs = [*pairs, *((a, a.translated(3.0, 1.0)) for a, _ in pairs)]
    found = curves_apart(pairs)
    alone = [max(one_way(a, b), one_way(b, a)) for a, b in pairs]
    assert np.abs(found - alone).max() < 1e-9


def test_what_both_have_is_no_distance_and_ends_of_open_curves_count() -> None:
    line = Curve.polyline([[0.0, 0.0], [100.0, 0.0], [100.0, 50.0]])
    longer = Curve.polyline([[0.0, 0.0], [100.0, 0.0], [100.0, 57.0]])
    assert curves_apart([(line, line), (line, longer), (longer, line)]).tolist() == [0.0, 7.0, 7.0]
    assert curves_apart([]).tolist() == []
