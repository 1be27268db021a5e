"""Rules from a nest, applied again; a nest held against its rules."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from seamwright.geometry import Curve, Station
from seamwright.model import (
    GradePoint,
    GradeRules,
    Notch,
    Pattern,
    Piece,
    Shape,
    align_sizes,
    build_shape,
)
from seamwright.plugins.api import Context, Length, Severity
from seamwright.testing.strategies import patterns
from seamwright_grading.compare import run as compare
from seamwright_grading.derive import run as derive
from seamwright_grading.grade import run as grade
from seamwright_grading.options import CheckGrade, DeriveRules, Grade

SIZES = ("S", "M", "L", "XL")


def nest(seed: int, vertices: int = 40, free: float = 0.0) -> tuple[Pattern, bool]:
    """A piece of `vertices` points in four sizes: its six corners go their own ways, the points
    between in proportion, plus up to `free` mm of their own; and whether all sizes start at the
    same corner, as the construction wants."""
    rng = np.random.default_rng(seed)
    t = np.linspace(0, 2 * np.pi, vertices, endpoint=False)
    base = np.stack((200 * np.cos(t), 300 * np.sin(t)), 1) + rng.uniform(-5, 5, (vertices, 2))
    corners = np.sort(rng.choice(vertices, 6, replace=False))
    step = np.hypot(*(np.roll(base, -1, axis=0) - base).T)
    at = np.concatenate(([0.0], np.cumsum(step)))
    shapes: list[Shape] = []
    drawn: list[np.ndarray] = []
    for z, size in enumerate(SIZES):
        moves = np.zeros((vertices, 2))
        own = rng.uniform(-8, 8, (6, 2)) * (z - 1)
        for k, c in enumerate(corners):
            d = corners[(k + 1) % 6]
            inner = (np.arange((d - c) % vertices or vertices) + c) % vertices
            span = (at[d] - at[c]) % at[-1]
            share = (((at[inner] - at[c]) % at[-1]) / span)[:, None]
            moves[inner] = own[k] + share * (own[(k + 1) % 6] - own[k])
        if z != 1:
            loose = np.setdiff1d(np.arange(vertices), corners)
            moves[loose] += rng.uniform(-free, free, (loose.size, 2))
        drawn.append(base + moves)
        shape = build_shape(
            size=size, outline=Curve.polyline(base + moves, closed=True),
            corners=[Station(int(c), 0.0) for c in corners],
            notches=[Notch(name="a", station=Station(int(corners[0]), 0.5))],
        )  # fmt: skip
        shapes.append(shape)
    piece = align_sizes(Piece(name="P", shapes=tuple(shapes)), "M")
    starts = {vertex_of(s, moved) for s, moved in zip(piece.shapes, drawn, strict=True)}
    return Pattern(name="n", pieces=(piece,), sizes=SIZES, base_size="M"), len(starts) == 1


def vertex_of(shape: Shape, points: np.ndarray) -> int:
    """Which of the drawn points an outline starts at."""
    return int(np.hypot(*(points - shape.seam_line.start).T).argmin())


def regraded(pattern: Pattern) -> Pattern:
    bare = pattern.but(
        pieces=tuple(
            p.but(shapes=tuple(s for s in p.shapes if s.size == pattern.base_size))
            for p in pattern.pieces
        ),
        sizes=(pattern.base_size,),
    )
    return grade(bare, Grade(), Context()).pattern


def farthest(a: Pattern, b: Pattern) -> float:
    worst = 0.0
    for p, q in zip(a.pieces, b.pieces, strict=True):
        for s in p.shapes:
            t = q.in_size(s.size)
            for one, other in ((s.seam_line, t.seam_line), (t.seam_line, s.seam_line)):
                places = one.point_at(np.linspace(0.0, one.length * 0.9999, 400))
                worst = max(worst, float(other.nearest(one.joints).distances.max()))
                worst = max(worst, float(other.nearest(places).distances.max()))
    return worst


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 400))
def test_rules_of_a_proportional_nest_give_it_back(seed: int) -> None:
    pattern, same_start = nest(seed)
    assume(same_start)
    derived = derive(pattern, DeriveRules(points="corners"), Context())
    assert len(derived.pattern.pieces[0].in_size("M").grade_points) == 6
    assert farthest(pattern, regraded(derived.pattern)) <= 1e-9


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 400))
def test_rules_as_needed_give_back_any_nest_within_the_tolerance(seed: int) -> None:
    pattern, same_start = nest(seed, free=2.0)
    assume(same_start)
    derived = derive(pattern, DeriveRules(tolerance=Length(0.01)), Context())
    assert farthest(pattern, regraded(derived.pattern)) <= 0.0101
    few = derive(pattern, DeriveRules(points="corners"), Context())
    assert "derive.not-proportional" in [f.code for f in few.findings]


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(pattern=patterns(max_sizes=3, seams=False))
def test_drawn_patterns_come_back(pattern: Pattern) -> None:
    """Sizes that grow about the origin: curves need points between their ends."""
    derived = derive(pattern, DeriveRules(), Context())
    if len(pattern.sizes) < 2:
        assert derived.pattern is pattern and derived.skipped
        return
    assert farthest(pattern, regraded(derived.pattern)) <= 0.011


def test_a_notch_with_a_way_of_its_own_gets_its_own_rule() -> None:
    square = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 200.0], [0.0, 200.0]])
    shapes = []
    for size, grow, notch in (("S", 0.9, 0.5), ("M", 1.0, 0.5), ("L", 1.1, 0.6)):
        shape = build_shape(
            size=size, outline=Curve.polyline(square * [grow, 1.0], closed=True),
            notches=[Notch(name="n", station=Station(1, notch))],
        )  # fmt: skip
        shapes.append(shape)
    pattern = Pattern(
        name="x",
        pieces=(Piece(name="P", shapes=tuple(shapes)),),
        sizes=("S", "M", "L"),
        base_size="M",
    )
    derived = derive(pattern, DeriveRules(), Context()).pattern
    back = regraded(derived)
    for size in ("S", "M", "L"):
        a, b = (p.pieces[0].in_size(size) for p in (pattern, back))
        p, q = (s.seam_line.point_of(s.notch("n").station) for s in (a, b))
        assert np.hypot(*(p - q)) <= 1e-9


def test_points_that_are_graded_alike_share_a_rule() -> None:
    square = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 200.0], [0.0, 200.0]])
    shapes = [
        build_shape(
            size=s,
            outline=Curve.polyline(
                square + np.array([[0, 0], [g, 0], [g, 0], [0, 0]]), closed=True
            ),
        )
        for s, g in (("S", -4.0), ("M", 0.0), ("L", 4.0))
    ]
    pieces = tuple(Piece(name=n, shapes=tuple(shapes)) for n in "AB")
    pattern = Pattern(name="x", pieces=pieces, sizes=("S", "M", "L"), base_size="M")
    derived = derive(pattern, DeriveRules(), Context()).pattern
    assert derived.grade_rules is not None
    assert sorted(derived.grade_rules.offsets) == [1, 2]


def test_a_size_with_other_corners_is_named_and_gets_no_rules() -> None:
    pattern, _ = nest(0)
    piece = pattern.pieces[0]
    odd = piece.in_size("L")
    odd = odd.but(corners=odd.corners[:-1])
    shapes = tuple(odd if s.size == "L" else s for s in piece.shapes)
    result = derive(pattern.with_pieces([piece.but(shapes=shapes)]), DeriveRules(), Context())
    assert [(f.code, f.size) for f in result.findings] == [("derive.topology", "L")]
    assert result.pattern.grade_rules is None


# -- check-grade ----------------------------------------------------------------------------------


def with_rules(move: float = 5.0) -> Pattern:
    """A square graded by `move` mm a size at its right side."""
    square = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 200.0], [0.0, 200.0]])
    base = build_shape(size="M", outline=Curve.polyline(square, closed=True))
    offsets = {
        1: np.zeros((4, 2)),
        2: np.array([[-move, 0.0], [0.0, 0.0], [move, 0.0], [2 * move, 0.0]]),
    }
    points = tuple(
        GradePoint(rule=2 if base.seam_line.point_of(c.station)[0] > 50 else 1, station=c.station)
        for c in base.corners
    )
    pattern = Pattern(
        name="x",
        pieces=(Piece(name="P", shapes=(base.but(grade_points=points),)),),
        sizes=("M",),
        base_size="M",
        grade_rules=GradeRules(name="T", sizes=SIZES, base_size="M", offsets=offsets),
    )
    return grade(pattern, Grade(), Context()).pattern


def shifted(pattern: Pattern, size: str, joint: int, by: tuple[float, float]) -> Pattern:
    piece = pattern.pieces[0]
    shapes: list[Shape] = []
    for shape in piece.shapes:
        if shape.size == size:
            points = shape.seam_line.joints.copy()
            points[joint] += by
            shape = shape.but(seam_line=Curve.polyline(points, closed=True))
        shapes.append(shape)
    return pattern.with_pieces([piece.but(shapes=tuple(shapes))])


def test_a_nest_that_follows_its_rules_is_clean() -> None:
    result = compare(with_rules(), CheckGrade(), Context())
    assert not result.findings and result.looked_at == 12
    assert result.figures["largest_deviation"] <= 1e-9


@pytest.mark.parametrize("by", [(0.8, 0.0), (0.0, -2.0)])
def test_a_point_off_its_rule_is_named_with_piece_size_and_amount(by: tuple[float, float]) -> None:
    pattern = shifted(with_rules(), "L", 2, by)
    result = compare(pattern, CheckGrade(), Context())
    assert result.pattern is pattern
    (finding,) = result.findings
    assert (finding.code, finding.severity) == ("grade.off-rule", Severity.ERROR)
    assert (finding.piece, finding.size) == ("P", "L")
    assert finding.measured == pytest.approx(float(np.hypot(*by)))


def test_an_outline_off_between_its_points_is_named() -> None:
    pattern = with_rules()
    piece = pattern.pieces[0]
    large = piece.in_size("L")
    bent = Curve.polyline(np.insert(large.seam_line.joints, 2, [109.0, 90.0], axis=0), closed=True)
    moved = large.but(
        seam_line=bent,
        corners=tuple(
            replace(c, station=Station(c.station.segment + (c.station.segment >= 2), 0.0))
            for c in large.corners
        ),
    )
    shapes = tuple(moved if s.size == "L" else s for s in piece.shapes)
    result = compare(pattern.with_pieces([piece.but(shapes=shapes)]), CheckGrade(), Context())
    (finding,) = result.findings
    assert finding.code == "grade.off-between" and finding.size == "L"
    assert finding.measured == pytest.approx(4.0, abs=0.2)


def test_without_rules_the_check_says_that_it_did_not_look() -> None:
    result = compare(with_rules().but(grade_rules=None), CheckGrade(), Context())
    assert result.skipped and not result.looked_at
    assert [f.code for f in result.findings] == ["grade.no-rules"]
