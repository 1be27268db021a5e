"""Grading a base size by its rules: tables worked by hand, curves, contents, refusals."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.geometry import Curve, Station
from seamwright.model import (
    DrillHole,
    GradePoint,
    GradeRules,
    GrainLine,
    InternalKind,
    InternalLine,
    Notch,
    Pattern,
    Piece,
    Shape,
    Text,
    build_shape,
)
from seamwright.plugins.api import Context, StepResult
from seamwright.testing.strategies import outlines
from seamwright_grading.grade import run
from seamwright_grading.options import Grade

SIZES = ("S", "M", "L", "XL")


def rules_of(offsets: dict[int, list[tuple[float, float]]]) -> GradeRules:
    return GradeRules(
        name="T", sizes=SIZES, base_size="M",
        offsets={n: np.array(rows, dtype=float) for n, rows in offsets.items()},
    )  # fmt: skip


BODICE = [(0.0, 0.0), (200.0, 0.0), (200.0, 250.0), (150.0, 400.0), (0.0, 380.0)]
RULES = {
    1: [(0.0, 0.0), (0.0, 0.0), (0.0, 0.0), (0.0, 0.0)],
    2: [(-5.0, 0.0), (0.0, 0.0), (5.0, 0.0), (12.0, 0.0)],
    3: [(-5.0, -2.0), (0.0, 0.0), (5.0, 2.0), (12.0, 4.0)],
    4: [(-2.0, -3.0), (0.0, 0.0), (2.0, 3.0), (5.0, 6.0)],
    5: [(0.0, -3.0), (0.0, 0.0), (0.0, 3.0), (0.0, 6.0)],
}


def corner_at(shape: Shape, x: float, y: float) -> Station:
    places = [shape.seam_line.point_of(c.station) for c in shape.corners]
    k = int(np.argmin([np.hypot(p[0] - x, p[1] - y) for p in places]))
    return shape.corners[k].station


def bodice(**fields: object) -> Shape:
    """A front with a rule at each corner, numbered as drawn."""
    shape = build_shape(
        size="M",
        outline=Curve.polyline(BODICE, closed=True),
        corners=[Station(i, 0.0) for i in range(5)],
        **fields,  # type: ignore[arg-type]
    )
    points = tuple(
        GradePoint(rule=n, station=corner_at(shape, x, y)) for n, (x, y) in enumerate(BODICE, 1)
    )
    return shape.but(grade_points=points)


def pattern_of(shape: Shape, rules: GradeRules | None = None) -> Pattern:
    piece = Piece(name="Front", shapes=(shape,))
    return Pattern(
        name="p", pieces=(piece,), sizes=("M",), base_size="M", grade_rules=rules or rules_of(RULES)
    )


def graded(pattern: Pattern, **options: object) -> StepResult:
    return run(pattern, Grade(**options), Context())  # type: ignore[arg-type]


def codes(result: StepResult) -> list[str]:
    return [f.code for f in result.findings if f.code != "grade.axes"]


def test_a_table_worked_by_hand() -> None:
    result = graded(pattern_of(bodice()))
    assert result.pattern.sizes == SIZES and not codes(result)
    piece = result.pattern.piece("Front")
    for z, size in enumerate(SIZES):
        shape = piece.in_size(size)
        for number, (x, y) in enumerate(BODICE, 1):
            dx, dy = RULES[number][z]
            near = shape.seam_line.joints - [x + dx, y + dy]
            assert np.abs(near).sum(axis=1).min() <= 1e-9
        assert [c.name for c in shape.corners] == [c.name for c in piece.in_size("M").corners]
    assert piece.in_size("M").seam_line.n == 5


def test_points_between_follow_in_proportion_along_the_edge() -> None:
    """A hundred points on the side seam from (200, 0) to (200, 250), worked by hand."""
    t = np.linspace(0.0, 1.0, 101)
    side = np.stack((np.full(101, 200.0) + 8.0 * np.sin(np.pi * t), 250.0 * t), axis=1)
    points = [BODICE[0], *map(tuple, side.tolist()), *BODICE[3:]]
    shape = build_shape(
        size="M", outline=Curve.polyline(points, closed=True),
        corners=[Station(0, 0.0), Station(1, 0.0), Station(101, 0.0), Station(102, 0.0),
                 Station(103, 0.0)],
    )  # fmt: skip
    shape = shape.but(
        grade_points=tuple(
            GradePoint(rule=n, station=corner_at(shape, x, y)) for n, (x, y) in enumerate(BODICE, 1)
        )
    )
    result = graded(pattern_of(shape))
    length = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(side, axis=0).T))))
    share = (length / length[-1])[:, None]
    for z, size in enumerate(SIZES):
        by_hand = side + (1 - share) * RULES[2][z] + share * RULES[3][z]
        got = result.pattern.piece("Front").in_size(size).seam_line
        assert got.nearest(by_hand).distances.max() <= 1e-9
        assert min(np.abs(got.joints - by_hand[50]).sum(axis=1)) <= 1e-9


def test_curves_stay_curves_and_a_common_movement_moves_them_whole() -> None:
    outline = Curve.from_segments(
        [
            [(0, 0), (60, -20), (140, -20), (200, 0)],
            [(200, 0), (230, 90), (230, 200), (180, 300)],
            [(180, 300), (120, 300), (60, 300), (0, 300)],
            [(0, 300), (0, 200), (0, 100), (0, 0)],
        ],
        [1, 1, 0, 0],
        closed=True,
    )
    shape = build_shape(size="M", outline=outline)
    same = rules_of({1: [(-7.0, 3.0), (0.0, 0.0), (7.0, -3.0), (20.0, 1.0 / 3.0)]})
    shape = shape.but(
        grade_points=tuple(GradePoint(rule=1, station=c.station) for c in shape.corners)
    )
    result = graded(pattern_of(shape, same))
    for z, size in enumerate(SIZES):
        got = result.pattern.piece("Front").in_size(size).seam_line
        assert np.array_equal(got.kinds, shape.seam_line.kinds)
        wanted = shape.seam_line.segments + same.offsets[1][z]
        assert np.abs(got.segments - wanted).max() <= 1e-9


def test_axes_follow_the_reference_line_then_the_grain_then_the_drawing() -> None:
    grain = GrainLine(start=(100.0, 50.0), end=(100.0, 350.0))
    reference = InternalLine(
        kind=InternalKind.GRADE_REFERENCE, curve=Curve.line((50.0, 50.0), (80.0, 90.0))
    )
    both = bodice(grain_line=grain, internal_lines=(reference,))

    def moved(shape: Shape, **options: object) -> np.ndarray:
        after = graded(pattern_of(shape), **options).pattern.piece("Front").in_size("XL")
        start, end = (s.seam_line.point_of(corner_at(both, 200.0, 0.0)) for s in (both, after))
        return np.asarray(end - start)

    assert np.allclose(moved(bodice()), [12.0, 0.0], atol=1e-12)
    assert np.allclose(moved(bodice(grain_line=grain)), [0.0, 12.0], atol=1e-12)
    assert np.allclose(moved(both), [7.2, 9.6], atol=1e-9)  # 12 along (3, 4) / 5
    assert np.allclose(moved(both, axes="drawing"), [12.0, 0.0], atol=1e-12)
    assert np.allclose(moved(both, axes="grain"), [0.0, 12.0], atol=1e-12)


def test_notches_keep_their_share_and_a_graded_notch_its_rule() -> None:
    outline = Curve.polyline(BODICE, closed=True)
    shape = build_shape(
        size="M", outline=outline, corners=[Station(i, 0.0) for i in range(5)],
        notches=[
            Notch(name="hip", station=Station(1, 0.4)), Notch(name="own", station=Station(4, 0.5)),
        ],
    )  # fmt: skip
    points = [
        GradePoint(rule=n, station=corner_at(shape, x, y)) for n, (x, y) in enumerate(BODICE, 1)
    ]
    points.append(GradePoint(rule=6, station=shape.notch("own").station))
    shape = shape.but(grade_points=tuple(points))
    table = rules_of({**RULES, 6: [(0.0, -9.0), (0.0, 0.0), (0.0, 9.0), (0.0, 20.0)]})
    result = graded(pattern_of(shape, table))
    for z, size in enumerate(SIZES):
        got = result.pattern.piece("Front").in_size(size)
        own = got.seam_line.point_of(got.notch("own").station)
        assert np.allclose(own, [0.0, 190.0 + table.offsets[6][z, 1]], atol=1e-9)
        hip = got.seam_line.point_of(got.notch("hip").station)
        wanted = (
            np.array([200.0, 100.0]) + 0.6 * np.array(RULES[2][z]) + 0.4 * np.array(RULES[3][z])
        )
        assert np.allclose(hip, wanted, atol=1e-9)


def test_what_lies_inside_moves_along_and_the_grain_keeps_its_direction() -> None:
    inner = InternalLine(
        kind=InternalKind.INTERNAL,
        curve=Curve.polyline([(40.0, 60.0), (90.0, 60.0), (120.0, 90.0)]),
    )
    shape = bodice(
        grain_line=GrainLine(start=(100.0, 60.0), end=(110.0, 300.0)),
        internal_lines=(inner,),
        drill_holes=(DrillHole(at=(80.0, 200.0)), DrillHole(at=(120.0, 200.0))),
        texts=(Text(text="front", at=(50.0, 150.0)),),
    )
    points = (
        *shape.grade_points,
        GradePoint(rule=3, at=(80.0, 200.0)),
        GradePoint(rule=2, at=(40.0, 60.0)),
    )
    result = graded(pattern_of(shape.but(grade_points=points)), axes="drawing")
    got = result.pattern.piece("Front").in_size("XL")
    assert np.allclose(got.drill_holes[0].at, [92.0, 204.0], atol=1e-9)
    assert 120.0 < got.drill_holes[1].at[0] < 132.0
    assert np.allclose(got.internal_lines[0].curve.joints[0], [52.0, 60.0], atol=1e-9)
    assert np.allclose(
        got.internal_lines[0].curve.joints - inner.curve.joints, [[12.0, 0.0]] * 3, atol=1e-9
    )
    assert got.grain_line is not None
    direction = np.subtract(got.grain_line.end, got.grain_line.start)
    assert np.allclose(direction, [10.0, 240.0], atol=1e-9)
    assert 50.0 < got.texts[0].at[0] < 62.0
    assert got.grade_points == ()


@settings(max_examples=30, deadline=None)
@given(outline=outlines(), seed=st.integers(0, 1000))
def test_an_affine_grade_is_affine_inside_too(outline: Curve, seed: int) -> None:
    """Rules that say one affine map at every joint: everything inside follows that map."""
    rng = np.random.default_rng(seed)
    shift, grow = rng.uniform(-20, 20, 2), rng.uniform(-0.05, 0.05, (2, 2))
    # Straight edges only, so that proportion along the edge is the affine map itself.
    outline = Curve.polyline(outline.joints, closed=True)
    shape = build_shape(
        size="M", outline=outline, corners=[Station(i, 0.0) for i in range(outline.n)],
        drill_holes=tuple(
            DrillHole(at=(float(x), float(y))) for x, y in rng.uniform(-20, 20, (4, 2))
        ),
    )  # fmt: skip
    offsets, points = {}, []
    for n, corner in enumerate(shape.corners, 1):
        p = shape.seam_line.point_of(corner.station)
        move = grow @ p + shift
        offsets[n] = [(0.0, 0.0), (0.0, 0.0), tuple(move), (0.0, 0.0)]
        points.append(GradePoint(rule=n, station=corner.station))
    rules = rules_of(offsets)  # type: ignore[arg-type]
    got = graded(pattern_of(shape.but(grade_points=tuple(points)), rules)).pattern
    large = got.piece("Front").in_size("L")
    for hole, after in zip(shape.drill_holes, large.drill_holes, strict=True):
        wanted = np.array(hole.at) + grow @ np.array(hole.at) + shift
        assert np.allclose(after.at, wanted, atol=1e-6)


def test_a_cut_line_keeps_its_distance_where_the_seam_moves_as_a_whole() -> None:
    cut = Curve.polyline(
        [(-10.0, -10.0), (210.0, -10.0), (210.0, 252.0), (158.0, 411.0), (-10.0, 390.0)],
        closed=True,
    )
    shape = bodice(cut_line=cut)
    moves = rules_of({n: [(-4.0, 2.0), (0.0, 0.0), (4.0, -2.0), (8.0, -4.0)] for n in range(1, 6)})
    got = graded(pattern_of(shape, moves)).pattern.piece("Front").in_size("XL")
    assert got.cut_line is not None
    assert np.allclose(got.cut_line.segments, cut.segments + np.array([8.0, -4.0]), atol=1e-9)


# -- refusals, notes --------------------------------------------------------------------------


def test_without_rules_nothing_is_done() -> None:
    pattern = pattern_of(bodice()).but(grade_rules=None)
    result = graded(pattern)
    assert result.pattern is pattern and codes(result) == ["grade.no-rules"]


def test_a_rule_that_is_missing_leaves_the_piece_alone() -> None:
    table = rules_of({n: r for n, r in RULES.items() if n != 4})
    result = graded(pattern_of(bodice(), table))
    (finding,) = [f for f in result.findings if f.code == "grade.rule-missing"]
    assert finding.piece == "Front" and "# 4" in finding.message
    assert result.pattern.sizes == ("M",)


def test_a_piece_without_points_is_the_same_in_every_size() -> None:
    result = graded(pattern_of(bodice().but(grade_points=())))
    assert codes(result) == ["grade.no-points"]
    shapes = result.pattern.piece("Front").shapes
    assert len(shapes) == 4
    assert len({s.seam_line.length for s in shapes}) == 1


def test_a_piece_without_the_base_size_is_named() -> None:
    pattern = pattern_of(bodice().but(size="S")).but(sizes=("S",), base_size="S")
    result = graded(pattern)
    assert codes(result) == ["grade.no-base"]


def test_sizes_that_are_drawn_are_kept_unless_told_otherwise() -> None:
    once = graded(pattern_of(bodice())).pattern
    kept = graded(once)
    assert codes(kept) == ["grade.kept"]
    assert all(
        a is b
        for a, b in zip(once.piece("Front").shapes, kept.pattern.piece("Front").shapes, strict=True)
    )
    again = graded(once, existing="replace")
    assert not codes(again)
    for a, b in zip(once.piece("Front").shapes, again.pattern.piece("Front").shapes, strict=True):
        assert np.array_equal(a.seam_line.segments, b.seam_line.segments)


def test_two_rules_at_one_point_are_told() -> None:
    shape = bodice()
    twice = (*shape.grade_points, replace(shape.grade_points[0], rule=3))
    assert codes(graded(pattern_of(shape.but(grade_points=twice)))) == ["grade.two-rules"]


def test_an_outline_that_crosses_itself_is_an_error_with_its_place() -> None:
    wild = {**RULES, 4: [(0.0, 0.0), (0.0, 0.0), (0.0, -600.0), (0.0, 0.0)]}
    result = graded(pattern_of(bodice(), rules_of(wild)))
    (finding,) = [f for f in result.findings if f.code == "grade.crossed"]
    assert (finding.size, finding.piece) == ("L", "Front") and finding.x is not None


@pytest.mark.parametrize("count", [1, 2])
def test_one_or_two_graded_points_are_enough(count: int) -> None:
    shape = bodice()
    result = graded(pattern_of(shape.but(grade_points=shape.grade_points[1 : 1 + count])))
    got = result.pattern.piece("Front").in_size("XL")
    if count == 1:
        assert np.allclose(
            got.seam_line.segments, shape.seam_line.segments + np.array([12.0, 0.0]), atol=1e-9
        )
    assert got.seam_line.area > 0
