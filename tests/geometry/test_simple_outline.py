"""crosses_itself says what the exact search says."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from seamwright.geometry import Curve
from seamwright.geometry.simple import crosses_itself
from seamwright.testing.profile import tries
from seamwright.testing.strategies import outlines


@tries(40)
@given(outline=outlines())
def test_generated_outlines_are_simple(outline: Curve) -> None:
    assert len(outline.self_intersections().own) == 0
    assert not crosses_itself(outline)


@tries(60)
@given(points=st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9)), min_size=8, max_size=8,
                       unique=True), closed=st.booleans())  # fmt: skip
def test_wild_curves_are_judged_as_the_exact_search_judges(
    points: list[tuple[int, int]], closed: bool
) -> None:
    z = 20.0 * np.array(points, dtype=float)
    ends = np.concatenate((z[:4], z[:1])) if closed else z[:4]
    segments = np.stack(
        [np.stack((ends[i], z[4 + i], z[7 - i], ends[i + 1])) for i in range(len(ends) - 1)]
    )
    curve = Curve.from_segments(segments, closed=closed)
    exact = len(curve.self_intersections().own) > 0
    # Loops below the chord's tolerance may be passed over; nothing simple may be called crossed.
    if not exact:
        assert not crosses_itself(curve)
    elif not crosses_itself(curve):
        own = curve.self_intersections()
        gaps = np.abs(own.own - own.others)
        gaps = np.minimum(gaps, curve.length - gaps) if closed else gaps
        assert gaps.max() < 1.0


def test_a_figure_of_eight() -> None:
    eight = np.array([[0, 0], [10, 10], [10, 0], [0, 10]], dtype=float)
    assert crosses_itself(Curve.polyline(eight, closed=True))
    assert crosses_itself(Curve.polyline(eight))
