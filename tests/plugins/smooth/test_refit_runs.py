"""refit-run and polyline-to-curves: within the tolerance both ways, corners exact, few curves."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.geometry import LINE, Curve, FloatArray
from seamwright.model import LineRole, Notch, Pattern, Piece, Shape, build_shape
from seamwright.model.edit import make_cut_line
from seamwright.pipeline import Pipeline, Use
from seamwright.plugins.api import StepRecord
from seamwright.testing.profile import tries
from seamwright.testing.strategies import shapes

_QUICK = tries(20)


def _run(pattern: Pattern, use: str, **options: Any) -> tuple[Pattern, StepRecord]:
    after, record = Pipeline([Use(use, **options)]).run(pattern)
    assert [k for k in record.steps[0].invariants if not k.moved <= k.limit] == []
    return after, record.steps[0]


def _pattern(*found: Shape) -> Pattern:
    return Pattern(
        name="p",
        pieces=(Piece(name="Front", shapes=found),),
        sizes=tuple(s.size for s in found),
        base_size=found[0].size,
    )


def _drawn_out(shape: Shape, chord: float, noise: float = 0.0, seed: int = 0) -> Shape:
    """The shape's outline as a polyline through points of it, corners kept."""
    rng = np.random.default_rng(seed)
    points: list[FloatArray] = []
    corners: list[int] = []
    for i in range(len(shape.corners)):
        edge = shape.edge_curve(i)
        straight = bool((edge.kinds == LINE).all())
        some = edge.joints if straight else edge.point_at(
            np.linspace(0.0, edge.length, max(int(edge.length / chord), 4) + 1)
        )  # fmt: skip
        some = some.copy()
        some[1:-1] += rng.uniform(-noise, noise, some[1:-1].shape)
        corners.append(sum(map(len, points)))
        points.append(some[:-1])
    outline = Curve.polyline(np.concatenate(points), closed=True)
    return build_shape(
        size=shape.size,
        outline=outline,
        corners=[outline.station_at(float(outline.cumulative[k])) for k in corners],
        corner_names=[c.name for c in shape.corners],
    )


def _apart(a: Curve, b: Curve) -> float:
    far = 0.0
    for one, other in ((a, b), (b, a)):
        places = one.point_at(np.linspace(0.0, one.length, 1500)[:-1])
        far = max(far, float(other.nearest(places).distances.max()))
    return far


@_QUICK
@given(shape=shapes(), chord=st.floats(2.0, 6.0), seed=st.integers(0, 99))
def test_a_polyline_becomes_curves_within_the_tolerance(
    shape: Shape, chord: float, seed: int
) -> None:
    drawn = _drawn_out(shape, chord, noise=0.005, seed=seed)
    after, step = _run(_pattern(drawn), "polyline-to-curves", tolerance=0.1)
    new = after.piece("Front").shapes[0]
    assert _apart(new.seam_line, drawn.seam_line) <= 0.1 + 1e-6
    for old_corner, corner in zip(drawn.corners, new.corners, strict=True):
        assert old_corner.name == corner.name
        p, q = drawn.seam_line.point_of(old_corner.station), new.seam_line.point_of(corner.station)
        assert np.array_equal(p, q)
    assert new.seam_line.length == pytest.approx(shape.seam_line.length, rel=2e-4)
    if step.changed:
        assert new.seam_line.n <= 8 * len(shape.corners)
        assert new.seam_line.n < drawn.seam_line.n


def _between_chords(shape: Shape, corner: int) -> bool:
    """Whether two straight edges meet at a corner in less than what counts as a sharp one."""
    if shape.seam_line.kinds[corner - 1] != LINE or shape.seam_line.kinds[corner] != LINE:
        return False
    before = shape.edge_curve((corner - 1) % len(shape.corners)).tangent_at(0.0)
    after = shape.edge_curve(corner).tangent_at(0.0)
    turn = (after @ np.array([1, 1j])) / (before @ np.array([1, 1j]))
    return bool(abs(np.degrees(np.angle(turn))) <= 20.0 + 1e-6)


@_QUICK
@given(shape=shapes(), tolerance=st.floats(0.02, 0.5))
def test_a_run_refitted_keeps_ends_directions_and_marks(shape: Shape, tolerance: float) -> None:
    # The same lines cut into many short curves.
    n = shape.seam_line.n
    places = np.linspace(0.0, shape.seam_line.length, 12 * n)[1:-1]
    from seamwright.model.turning import with_joints

    outline, move = with_joints(
        shape.seam_line, [shape.seam_line.station_at(float(s)) for s in places]
    )
    import dataclasses

    many = shape.but(
        seam_line=outline,
        corners=tuple(dataclasses.replace(c, station=move(c.station)) for c in shape.corners),
        notches=tuple(dataclasses.replace(x, station=move(x.station)) for x in shape.notches),
        cut_line=None,
        grade_points=(),
        curve_points=(),
        darts=(),
    )
    after, step = _run(_pattern(many), "refit-run", tolerance=tolerance)
    new = after.piece("Front").shapes[0]
    assert _apart(new.seam_line, shape.seam_line) <= tolerance + 1e-6
    assert new.seam_line.n <= 4 * n
    count = len(many.corners)
    for i in range(count):
        a, b = many.edge_curve(i), new.edge_curve(i)
        for s, t, k in ((0.0, 0.0, i), (a.length, b.length, (i + 1) % count)):
            if _between_chords(shape, k):
                continue  # both edges get the direction between the chords there
            turn = a.tangent_at(s) @ np.array([1, 1j]) / (b.tangent_at(t) @ np.array([1, 1j]))
            assert abs(np.degrees(np.angle(turn))) < 1e-3
    for old, now in zip(many.notches, new.notches, strict=True):
        p = outline.point_of(old.station)
        assert np.hypot(*(new.seam_line.point_of(now.station) - p)) < 3 * tolerance + 1e-6
    changes = [abs(r["length_after"] - r["length_before"]) for r in step.figures["runs"]]
    told = [f for f in step.findings if f.code == "smooth.length"]
    assert bool(told) == (max(changes, default=0.0) > 0.05)


def test_one_run_and_nothing_else() -> None:
    circle = Curve.arc((0.0, 0.0), 100.0, 0.0, 180.0)
    points = circle.point_at(np.linspace(0, circle.length, 81))
    outline = Curve.polyline(points, closed=True)
    shape = build_shape(
        size="M",
        outline=outline,
        corners=[outline.station_at(0.0), outline.station_at(float(outline.cumulative[80]))],
        corner_names=["right", "left"],
        notches=[Notch(name="top", station=outline.station_at(0.3 * outline.length))],
    )
    run = ["Front: right > top > left"]
    after, step = _run(_pattern(shape), "refit-run", run=run, tolerance=0.05)
    new = after.piece("Front").shapes[0]
    assert new.seam_line.n <= 7
    assert new.seam_line.kinds.tolist().count(LINE) == 1
    assert new.seam_line.area == pytest.approx(np.pi * 5000, rel=3e-4)
    assert {c["when"] for c in step.figures["combs"]} == {"before", "after"}
    (said,) = [f for f in step.findings if f.code == "smooth.refitted"]
    assert "80 -> " in said.message
    same, step = _run(_pattern(shape), "refit-run", run=["Front: right > lift"])
    assert [f.code for f in step.findings] == ["plan.mark"]
    assert "left" in (step.findings[0].hint or "")
    assert same.pieces[0].shapes[0] is shape


def test_a_polygon_stays_that_polygon() -> None:
    square = Curve.polyline(
        np.array([[0, 0], [0, -90], [70, -90], [70, 0]], dtype=float), closed=True
    )
    shape = build_shape(size="M", outline=square, corners=[square.station_at(0.0)])
    same, step = _run(_pattern(shape), "polyline-to-curves")
    assert same.pieces[0].shapes[0] is shape
    assert [f.code for f in step.findings] == ["smooth.nothing"]


def test_a_round_piece_without_corners() -> None:
    circle = Curve.circle((0.0, 0.0), 80.0)
    points = circle.point_at(np.linspace(0, circle.length, 161)[:-1])
    outline = Curve.polyline(points, closed=True)
    shape = build_shape(size="M", outline=outline, corners=[])
    after, _ = _run(_pattern(shape), "polyline-to-curves", tolerance=0.05)
    new = after.piece("Front").shapes[0].seam_line
    assert new.n <= 12
    assert _apart(new, outline) <= 0.05
    assert not len(new.corner_segments(0.5))


def test_twenty_sizes_and_a_cut_line_of_chords_with_its_notches() -> None:
    found = []
    for i in range(20):
        circle = Curve.arc((0.0, 0.0), 100.0 + 2 * i, 0.0, 180.0)
        points = circle.point_at(np.linspace(0, circle.length, 61))
        outline = Curve.polyline(points, closed=True)
        inner = build_shape(
            size=f"s{i:02d}",
            outline=outline,
            corners=[outline.station_at(0.0), outline.station_at(float(outline.cumulative[60]))],
            corner_names=["right", "left"],
        )
        cut = Curve.polyline(make_cut_line(inner, 10.0).shape.cut_line.flatten(0.01), closed=True)  # type: ignore[union-attr]
        at = cut.station_at(0.3 * cut.length)
        found.append(
            inner.but(
                cut_line=cut, notches=(Notch(name="n", station=at, line=LineRole.CUT, depth=5.0),)
            )
        )
    after, _ = _run(_pattern(*found), "polyline-to-curves", tolerance=0.1)
    for old, new in zip(found, after.piece("Front").shapes, strict=True):
        assert new.cut_line is not None and old.cut_line is not None
        assert new.cut_line.n < 20 < old.cut_line.n
        assert _apart(new.cut_line, old.cut_line) <= 0.11
        p = old.cut_line.point_of(old.notches[0].station)
        q = new.cut_line.point_of(new.notches[0].station)
        assert np.hypot(*(p - q)) < 0.15


def test_a_rounded_rectangle_sampled_every_half_millimetre() -> None:
    """Two corners round, two sharp: sharp ones exact, twelve curves at most, the length true."""
    round_a = Curve.arc((170.0, 70.0), 30.0, 0.0, 90.0)
    round_b = Curve.arc((30.0, 70.0), 30.0, 90.0, 90.0)
    true = (
        Curve.line((200.0, 0.0), round_a.start)
        .joined(round_a)
        .joined(Curve.line(round_a.end, round_b.start))
        .joined(round_b)
        .joined(Curve.line(round_b.end, (0.0, 0.0)))
        .joined(Curve.line((0.0, 0.0), (200.0, 0.0)))
        .closed_up(1e-9)
    )
    at = [float(true.nearest(np.array([p])).lengths[0]) for p in ([200.0, 0.0], [0.0, 0.0])]
    places = np.sort(np.concatenate((np.arange(0.25, true.length, 0.5), at)))
    points = true.point_at(places)
    # Repeated points, as files hold them.
    points = np.concatenate((points[:9], points[8:20], points[19:]))
    outline = Curve.polyline(points, closed=True)
    sharp = [outline.nearest(np.array([p])).lengths[0] for p in ([200.0, 0.0], [0.0, 0.0])]
    shape = build_shape(
        size="M", outline=outline, corners=[outline.station_at(float(s)) for s in sharp]
    )
    after, _ = _run(_pattern(shape), "polyline-to-curves", tolerance=0.05)
    new = after.piece("Front").shapes[0].seam_line
    assert new.n <= 12
    assert _apart(new, true) <= 0.05 + 0.002
    assert new.length == pytest.approx(true.length, rel=2e-4)
    for p in ([200.0, 0.0], [0.0, 0.0]):
        assert np.hypot(*(new.joints - p).T).min() == 0.0
