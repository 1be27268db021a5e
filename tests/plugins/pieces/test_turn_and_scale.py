"""Pieces turned over, turned to the grain, scaled."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.geometry import Curve, Station
from seamwright.model import (
    DrillHole,
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
from seamwright.model.edit import make_cut_line
from seamwright.pipeline import Pipeline, Use
from seamwright.plan import walk
from seamwright.testing.strategies import patterns

NAMES = ["top", "hem-left", "hem-right", "collar"]


def panel(size: str = "M", width: float = 200.0, **fields: Any) -> Shape:
    points = np.array([[0, 0], [width, 0], [width - 60, 300], [0, 320]], dtype=float)
    return build_shape(
        size=size,
        outline=Curve.polyline(points, closed=True),
        corners=[Station(3, 0.0), Station(0, 0.0), Station(1, 0.0), Station(2, 0.0)],
        corner_names=NAMES,
        notches=[Notch(name="hip", station=Station(1, 0.25), depth=6.0, angle=10.0)],
        **fields,
    )


def style(*shapes: Shape, quantity: tuple[int, int] = (1, 1)) -> Pattern:
    sizes = tuple(s.size for s in shapes)
    piece = Piece(name="Panel", shapes=shapes, quantity=quantity)
    return Pattern(name="skirt", pieces=(piece,), sizes=sizes, base_size=sizes[0])


def codes(record: Any) -> list[str]:
    return [f.code for f in record.findings]


GRAIN = GrainLine(start=(60.0, 40.0), end=(60.0, 240.0))


@settings(max_examples=40, deadline=None)
@given(patterns(), st.sampled_from(["vertical", "horizontal"]))
def test_turned_over_twice_is_as_before(pattern: Pattern, axis: str) -> None:
    once, record = Pipeline([Use("mirror-piece", axis=axis)]).run(pattern)
    assert codes(record) == []
    was, now = walk(pattern), walk(once)
    if len(was.seams):
        np.testing.assert_allclose(now.sew_lengths, was.sew_lengths, atol=1e-9)
        np.testing.assert_allclose(now.to_lengths, was.to_lengths, atol=1e-9)
    for a, b in zip(pattern.pieces, once.pieces, strict=True):
        for old, new in zip(a.shapes, b.shapes, strict=True):
            assert new.seam_line.area == pytest.approx(old.seam_line.area, rel=1e-13)
            assert {c.name for c in new.corners} == {c.name for c in old.corners}
            assert [c.name for c in new.corners[1:]] == [c.name for c in old.corners[:0:-1]]
            for n in old.notches:
                twin = new.notch(n.name)
                assert twin.angle == (None if n.angle is None else -n.angle)
                assert twin.depth == n.depth
                back = new.seam_line.length_of(twin.station) - new.seam_line.length
                ahead = old.seam_line.length_of(n.station)
                assert (back + ahead) % old.seam_line.length == pytest.approx(0.0, abs=1e-9) or (
                    back + ahead
                ) % old.seam_line.length == pytest.approx(old.seam_line.length, abs=1e-9)
    twice, _ = Pipeline([Use("mirror-piece", axis=axis)]).run(once)
    for a, b in zip(pattern.pieces, twice.pieces, strict=True):
        for old, new in zip(a.shapes, b.shapes, strict=True):
            np.testing.assert_allclose(new.seam_line.segments, old.seam_line.segments, atol=1e-9)
            assert [c.name for c in new.corners] == [c.name for c in old.corners]
            assert [n.name for n in new.notches] == [n.name for n in old.notches]


def test_a_copy_for_the_other_side() -> None:
    shape = make_cut_line(panel(grain_line=GRAIN), [10.0, 30.0, 12.0, 8.0]).shape
    before = style(shape)
    after, _ = Pipeline([Use("mirror-piece", copy="{piece} left")]).run(before)
    assert [p.name for p in after.pieces] == ["Panel", "Panel left"]
    assert [p.quantity for p in after.pieces] == [(1, 0), (1, 0)]
    assert after.piece("Panel").shapes == before.piece("Panel").shapes
    copy = after.piece("Panel left").shapes[0]
    assert shape.cut_line is not None and copy.cut_line is not None
    assert copy.cut_line.bbox[0] == pytest.approx(shape.cut_line.bbox[2] + 20.0, abs=1e-9)
    assert copy.cut_line.area == pytest.approx(shape.cut_line.area, rel=1e-12)
    by_edge = {
        frozenset((e.start, e.end)): w for e, w in zip(shape.edges, shape.allowances, strict=True)
    }
    assert by_edge == {
        frozenset((e.start, e.end)): w for e, w in zip(copy.edges, copy.allowances, strict=True)
    }


def test_about_grain_and_fold() -> None:
    fold = InternalLine(kind=InternalKind.FOLD, curve=Curve.line((0, 0), (0, 320)))
    before = style(panel(grain_line=GRAIN, internal_lines=(fold,)))
    for axis, x in (("grain", 120.0), ("fold", 0.0)):
        after, _ = Pipeline([Use("mirror-piece", axis=axis)]).run(before)
        box = after.pieces[0].shapes[0].seam_line.bbox
        assert box[2] == pytest.approx(x, abs=1e-9)
    across, _ = Pipeline([Use("mirror-piece", axis="across-grain")]).run(before)
    assert across.pieces[0].shapes[0].seam_line.bbox[1] == pytest.approx(-40.0, abs=1e-9)
    bare, record = Pipeline([Use("mirror-piece")]).run(style(panel()))
    assert codes(record) == ["pieces.refused"]
    assert bare.pieces[0].quantity == (1, 1)


@settings(max_examples=40, deadline=None)
@given(patterns(), st.floats(-180.0, 180.0), st.booleans())
def test_turned_to_the_grain(pattern: Pattern, angle: float, arrow: bool) -> None:
    step = Use("turn-to-grain", angle=angle, arrow=arrow)
    after, record = Pipeline([step]).run(pattern)
    assert set(codes(record)) <= {"pieces.not-turned"}
    for a, b in zip(pattern.pieces, after.pieces, strict=True):
        for old, new in zip(a.shapes, b.shapes, strict=True):
            if old.grain_line is None or new.grain_line is None:
                assert new is old
                continue
            way = np.subtract(new.grain_line.end, new.grain_line.start)
            off = np.degrees(np.arctan2(way[1], way[0])) - angle
            whole = 360.0 if arrow else 180.0
            assert abs((off + whole / 2) % whole - whole / 2) < 1e-9
            assert new.seam_line.length == pytest.approx(old.seam_line.length, rel=1e-13)
            assert new.seam_line.area == pytest.approx(old.seam_line.area, rel=1e-12)
    again, second = Pipeline([step]).run(after)
    turned = second.steps[0].figures.get("pieces", [])
    assert all(abs(row["degrees"]) < 1e-9 for row in turned)
    assert again.sizes == after.sizes


def test_quarter_turns_are_exact() -> None:
    after, _ = Pipeline([Use("turn-to-grain", grain="horizontal")]).run(
        style(panel(grain_line=GRAIN))
    )
    new = after.pieces[0].shapes[0]
    assert new.grain_line is not None
    assert new.grain_line.start[1] == new.grain_line.end[1] == 140.0


@pytest.mark.parametrize(("percent", "factor"), [(3.0, 1.030928), (5.0, 1.052632), (0.0, 1.0)])
def test_shrinkage_by_the_published_factors(percent: float, factor: float) -> None:
    """Pattern length = wanted / (1 - s)."""
    before = style(panel(grain_line=GRAIN), panel("L", 260.0, grain_line=GRAIN))
    after, _ = Pipeline([Use("shrinkage", along=percent, across=5.0)]).run(before)
    for old, new in zip(before.pieces[0].shapes, after.pieces[0].shapes, strict=True):
        x0, y0, x1, y1 = new.seam_line.bbox
        u0, v0, u1, v1 = old.seam_line.bbox
        assert (y1 - y0) / (v1 - v0) == pytest.approx(factor, abs=5e-7)
        assert (x1 - x0) / (u1 - u0) == pytest.approx(1.052632, abs=5e-7)
        assert (y1 - y0) * (1 - percent / 100) == pytest.approx(v1 - v0, abs=1e-9)


def test_allowances_notches_holes_and_texts_are_not_scaled() -> None:
    shape = make_cut_line(
        panel(
            grain_line=GRAIN,
            drill_holes=(DrillHole(at=(50.0, 50.0), diameter=2.0),),
            texts=(Text(text="cut 2", at=(80.0, 100.0), height=9.0),),
        ),
        [10.0, 30.0, 12.0, 8.0],
    ).shape
    after, record = Pipeline([Use("scale-piece", along=0.5, across=0.5)]).run(style(shape))
    assert set(codes(record)) == {"cut-line.remade"}
    new = after.pieces[0].shapes[0]
    assert new.seam_line.area == pytest.approx(shape.seam_line.area / 4, rel=1e-12)
    assert new.allowances == shape.allowances
    assert new.cut_line is not None
    x0, y0 = new.seam_line.bbox[:2]
    assert new.cut_line.bbox[0] == pytest.approx(x0 - 10.0, abs=1e-9)
    assert new.cut_line.bbox[1] == pytest.approx(y0 - 30.0, abs=1e-9)
    assert new.notches[0].depth == 6.0
    assert new.notches[0].station == shape.notches[0].station
    assert new.drill_holes[0].diameter == 2.0
    assert new.texts[0].height == 9.0


@settings(max_examples=30, deadline=None)
@given(patterns(), st.floats(0.5, 2.0), st.floats(0.5, 2.0))
def test_areas_scale_by_both_factors_and_back(
    pattern: Pattern, along: float, across: float
) -> None:
    whole = all(s.grain_line is not None for p in pattern.pieces for s in p.shapes)
    across = across if whole else along
    after, record = Pipeline([Use("scale-piece", along=along, across=across)]).run(pattern)
    assert codes(record) == []
    for a, b in zip(pattern.pieces, after.pieces, strict=True):
        for old, new in zip(a.shapes, b.shapes, strict=True):
            assert new.seam_line.area == pytest.approx(
                old.seam_line.area * along * across, rel=1e-12
            )
            assert [n.station for n in new.notches] == [n.station for n in old.notches]
    back, _ = Pipeline([Use("scale-piece", along=1 / along, across=1 / across)]).run(after)
    for a, b in zip(pattern.pieces, back.pieces, strict=True):
        for old, new in zip(a.shapes, b.shapes, strict=True):
            np.testing.assert_allclose(new.seam_line.segments, old.seam_line.segments, atol=1e-9)


def test_two_factors_need_a_grain_line() -> None:
    before = style(panel())
    after, record = Pipeline([Use("shrinkage", along=5, across=3)]).run(before)
    assert after is before
    assert codes(record) == ["pieces.no-grain"]
    even, record = Pipeline([Use("shrinkage", along=5, across=5)]).run(before)
    assert even is not before and codes(record) == []


def test_a_neighbour_without_grain_does_not_stop_the_selected_piece() -> None:
    lone = style(panel(grain_line=GRAIN))
    both = lone.but(pieces=(*lone.pieces, Piece(name="Belt", shapes=(panel(),))))
    after, record = Pipeline([Use("shrinkage", along=5, across=3, pieces=["Panel"])]).run(both)
    assert codes(record) == []
    assert after.piece("Belt") is both.piece("Belt")
    assert after.piece("Panel") is not both.piece("Panel")
