"""Measuring many shapes at once gives what each curve says of itself, by one kernel call."""

from __future__ import annotations

import gc
import weakref
from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import seamwright.model.measure as measuring
from seamwright.geometry import Curve, FloatArray, Station, arc_lengths
from seamwright.model import Dart, LineRole, Notch, Shape, build_shape
from seamwright.model.measure import measure
from seamwright.model.projection import nearest_of
from seamwright.testing.strategies import outlines, shapes


class Counted:
    """The kernel, counting how often it is called."""

    def __init__(self) -> None:
        self.calls = 0
        self.kernel = arc_lengths

    def __call__(self, segments: FloatArray) -> FloatArray:
        self.calls += 1
        return self.kernel(segments)


@pytest.fixture
def kernel(monkeypatch: pytest.MonkeyPatch) -> Iterator[Counted]:
    counted = Counted()
    monkeypatch.setattr(measuring, "arc_lengths", counted)
    yield counted


@given(st.lists(shapes(), min_size=1, max_size=4))
def test_lengths_agree_with_the_curves(drawn: list[Shape]) -> None:
    for shape, own in zip(drawn, measure(drawn), strict=True):
        line = shape.seam_line
        assert np.abs(own.joints - line.cumulative).max() < 1e-9
        assert own.length == own.joints[-1]
        for marks, at in ((shape.corners, own.corners), (shape.notches, own.notches)):
            lengths = [line.length_of(mark.station) for mark in marks]
            assert np.abs(at - np.array(lengths)).max(initial=0.0) < 1e-9
        assert (own.off == 0.0).all()


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(drawn=st.lists(shapes(), min_size=2, max_size=5))
def test_one_call_and_none_for_what_is_known(kernel: Counted, drawn: list[Shape]) -> None:
    kernel.calls = 0
    first = measure(drawn)
    straight = all((s.seam_line.kinds == 0).all() for s in drawn)
    assert kernel.calls == (0 if straight else 1)
    again = measure(drawn)
    assert kernel.calls == (0 if straight else 1)
    assert all(a is b for a, b in zip(first, again, strict=True))


def test_the_order_of_shapes_and_their_company_do_not_matter() -> None:
    curves = [Curve.circle((0, 0), r) for r in (10.0, 20.0, 35.0)]
    made = [build_shape(size="M", outline=c) for c in curves]
    alone = [measure([s])[0].length for s in made]
    fresh = [build_shape(size="M", outline=c) for c in curves]
    together = [m.length for m in measure([fresh[2], fresh[0], fresh[1], fresh[0]])]
    assert together == pytest.approx([alone[2], alone[0], alone[1], alone[0]], abs=1e-9)


def test_what_is_known_goes_with_the_shape() -> None:
    shape = build_shape(size="M", outline=Curve.circle((0, 0), 50))
    measure([shape])
    known, gone = len(measuring._known), weakref.ref(shape)
    del shape
    gc.collect()
    assert gone() is None
    assert len(measuring._known) < known


def test_a_notch_on_the_cut_line_counts_where_it_stands_square_to_the_seam_line() -> None:
    # Seam line: a circle of radius 100; cut line: 15 outside. The foot lies on the same ray.
    angle = 0.7
    cut = Curve.circle((0, 0), 115)
    where = cut.nearest([[115 * np.cos(angle), 115 * np.sin(angle)]])
    notch = Notch(
        name="n", station=Station(int(where.segments[0]), float(where.ts[0])), line=LineRole.CUT
    )
    shape = build_shape(
        size="M",
        outline=Curve.circle((0, 0), 100),
        cut_line=cut,
        corners=[Station(0, 0.0)],
        notches=[notch],
    )
    own = measure([shape])[0]
    assert own.notches[0] == pytest.approx(100 * angle, abs=2e-4)  # circles are within 1e-4
    assert own.off[0] == pytest.approx(15.0, abs=2e-4)


def test_a_mouth_over_the_start_of_the_outline() -> None:
    square = Curve.polyline([(0, 100), (0, 0), (100, 0), (100, 100)], closed=True)
    dart = Dart(name="neck", left=Station(3, 0.9), right=Station(0, 0.1), apex=(20, 80))
    shape = build_shape(size="M", outline=square, darts=[dart])
    assert measure([shape])[0].darts.tolist() == [[390.0, 10.0]]


@given(
    st.lists(outlines(), min_size=1, max_size=3),
    st.lists(st.tuples(st.floats(-500, 500), st.floats(-500, 500)), min_size=1, max_size=6),
)
def test_feet_agree_with_the_curves_own(
    curves: list[Curve], places: list[tuple[float, float]]
) -> None:
    counts = np.array([c.n for c in curves])
    first = np.cumsum(counts) - counts
    owner = np.arange(len(places)) % len(curves)
    points = np.array(places)
    segments = np.concatenate([c.segments for c in curves])
    which, t, far = nearest_of(points, segments, first[owner], counts[owner])
    for i, own in enumerate(owner):
        nearest = curves[own].nearest(points[i : i + 1])
        assert abs(far[i] - nearest.distances[0]) < 1e-9
        k = int(which[i] - first[own])
        assert 0 <= k < counts[own]
        foot = curves[own].point_of(Station(k, float(t[i])))
        assert abs(np.hypot(*(foot - points[i])) - far[i]) < 1e-9
