"""Facings and hems drawn from an edge."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.geometry import Curve, Station, line_segments
from seamwright.model import (
    Dart,
    DrillHole,
    GrainLine,
    InternalKind,
    InternalLine,
    Notch,
    Pattern,
    Piece,
    Shape,
    build_shape,
)
from seamwright.model.edit import make_cut_line
from seamwright.pipeline import Pipeline, Use
from seamwright.plan import walk

NAMES = ["neck-centre", "hem-centre", "hem-side", "underarm", "neck"]


def half(size: str = "M", grow: float = 0.0, **fields: Any) -> Shape:
    """Half a back: fold on the left, hem below, neckline above, a scooped curve."""
    p = np.array([[0, 300], [0, 0], [150 + grow, 0], [140 + grow, 220], [60, 330]], dtype=float)
    segments = line_segments(p, np.roll(p, -1, axis=0)).copy()
    segments[4, 1:3] = [[50.0, 305.0], [25.0, 300.0]]
    kinds = np.array([0, 0, 0, 0, 1], dtype=np.uint8)
    fold = InternalLine(kind=InternalKind.FOLD, curve=Curve.line((0, 300), (0, 0)), name="fold")
    return build_shape(
        size=size,
        outline=Curve.from_segments(segments, kinds, closed=True),
        corners=[Station(i, 0.0) for i in range(5)],
        corner_names=NAMES,
        notches=[
            Notch(name="neck-notch", station=Station(4, 0.4)),
            Notch(name="hip", station=Station(2, 0.3)),
        ],
        grain_line=GrainLine(start=(40.0, 50.0), end=(40.0, 200.0)),
        internal_lines=(fold,),
        drill_holes=(DrillHole(at=(30.0, 290.0)),),
        mirrored_half=True,
        **fields,
    )


def style(*shapes: Shape) -> Pattern:
    made = shapes or (half("M"), half("L", 14.0))
    sizes = tuple(s.size for s in made)
    return Pattern(
        name="top", pieces=(Piece(name="Back", shapes=made),), sizes=sizes, base_size=sizes[0]
    )


def codes(record: Any) -> list[str]:
    return [f.code for f in record.findings]


FACE: dict[str, Any] = {"edge": "Back: neck-centre > neck", "depth": "5 cm"}


def test_a_facing_walks_with_its_edge() -> None:
    before = style()
    after, record = Pipeline([Use("draw-facing", **FACE)]).run(before)
    assert codes(record) == []
    assert after.piece("Back") is before.piece("Back")
    found = walk(after)
    assert [s.name for s in found.seams] == ["Back facing to Back"]
    assert np.abs(found.ease).max() < 1e-9
    assert found.seams[0].meet == (("neck-notch", "neck-notch"),)
    for back, facing in zip(
        before.piece("Back").shapes, after.piece("Back facing").shapes, strict=True
    ):
        assert {c.name for c in facing.corners} == {
            "neck", "neck-centre", "inner-start", "inner-end",
        }  # fmt: skip
        assert [n.name for n in facing.notches] == ["neck-notch"]
        assert facing.mirrored_half and len(facing.internal_lines) == 1
        assert facing.drill_holes == () and facing.grain_line is not None
        way = np.subtract(facing.grain_line.end, facing.grain_line.start)
        assert way[0] == pytest.approx(0.0, abs=1e-9) and way[1] > 0.0
        grain = Curve.line(facing.grain_line.start, facing.grain_line.end)
        assert not len(grain.intersections(facing.seam_line).own)
        assert grain.length > 40.0
        # Its inner edge lies at the depth from the neckline, its ends on the neighbours.
        edge = next(e for e in facing.edges if {e.start, e.end} == {"inner-start", "inner-end"})
        inner = facing.edge_curve(edge.number)
        neck = back.edge_curve(4)
        apart = neck.nearest(inner.point_at(np.linspace(0.15, 0.85, 30) * inner.length)).distances
        np.testing.assert_allclose(apart, 50.0, atol=0.01)
        for name in ("inner-start", "inner-end"):
            p = facing.seam_line.point_of(facing.corner(name).station)
            assert back.seam_line.nearest(p[None]).distances[0] < 1e-6


@pytest.mark.parametrize("edge", ["Back: hem-side > underarm", "Back: underarm > hem-side"])
def test_a_side_facing_lies_off_the_fold(edge: str) -> None:
    after, record = Pipeline([Use("draw-facing", edge=edge, depth="3 cm", name="Vent")]).run(
        style()
    )
    assert codes(record) == ["pieces.off-fold"]
    vent = after.piece("Vent")
    assert vent.quantity == (1, 1) and not vent.shapes[0].mirrored_half
    assert np.abs(walk(after).ease).max() < 1e-9


def test_allowances_of_a_facing() -> None:
    before = style().map_shapes(lambda _, s: make_cut_line(s, [0.0, 30.0, 15.0, 12.0, 6.0]).shape)
    after, record = Pipeline([Use("draw-facing", inner_allowance="5 mm", **FACE)]).run(before)
    assert set(codes(record)) == {"cut-line.remade"}
    facing = after.piece("Back facing").in_size("M")
    widths = {e.name: w for e, w in zip(facing.edges, facing.allowances, strict=True)}
    assert widths == {
        "neck-centre > inner-end": 0.0,
        "inner-end > inner-start": 5.0,
        "inner-start > neck": 12.0,
        "neck > neck-centre": 6.0,
    }


@pytest.mark.parametrize("depth", ["39 cm", "25 cm"])
def test_a_facing_deeper_than_the_piece_is_refused(depth: str) -> None:
    before = style()
    after, record = Pipeline([Use("draw-facing", **{**FACE, "depth": depth})]).run(before)
    assert after is before
    assert set(codes(record)) == {"pieces.refused"}


def test_a_dart_at_the_edge_is_refused() -> None:
    dart = Dart(name="neck dart", left=Station(4, 0.6), right=Station(4, 0.7), apex=(20.0, 240.0))
    before = style(half(darts=(dart,)))
    after, record = Pipeline([Use("draw-facing", **FACE)]).run(before)
    assert after is before
    assert "fold it first" in record.findings[0].message


@settings(max_examples=30, deadline=None)
@given(st.floats(5.0, 80.0), st.floats(-20.0, 40.0))
def test_area_of_a_straight_facing(depth: float, grow: float) -> None:
    """Between parallel lines: a trapezium between the fold and the side."""
    after, _ = Pipeline(
        [Use("draw-facing", edge="Back: hem-centre > hem-side", depth=depth, name="Hem facing")]
    ).run(style(half("M", grow)))
    low = 150.0 + grow
    high = low - 10.0 * depth / 220.0
    area = after.piece("Hem facing").shapes[0].seam_line.area
    assert area == pytest.approx(0.5 * (low + high) * depth, abs=1e-7)


def test_a_hem_mirrors_the_side_across_the_fold() -> None:
    """The side leans in by 10 on 220; its cut line 15 mm outside leans as it does, mirrored."""
    step = Use("draw-hem", edge="Back: hem-centre > hem-side", depth="4 cm", width="15 mm")
    after, record = Pipeline([step]).run(style())
    assert codes(record) == []
    for shape, old in zip(after.piece("Back").shapes, style().piece("Back").shapes, strict=True):
        assert shape.allowances == (0.0, 40.0, 15.0, 15.0, 15.0)
        cut = shape.cut_line
        assert cut is not None
        np.testing.assert_allclose(shape.seam_line.segments, old.seam_line.segments, atol=0)
        assert cut.bbox[0] == pytest.approx(0.0, abs=1e-9)
        assert cut.bbox[1] == pytest.approx(-40.0, abs=1e-9)
        # Where the hem is turned up, its end lies on the side's cut line.
        beyond = shape.seam_line.bbox[2] + 15.0
        at = np.array([[beyond, -y] for y in (10.0, 25.0, 39.0)])
        lies = cut.nearest(at).points
        up = lies * [1.0, -1.0]
        assert cut.nearest(up).distances.max() < 1e-6
        assert lies[0, 1] < 0.0


def test_a_hem_with_a_turning_keeps_other_allowances() -> None:
    before = style().map_shapes(lambda _, s: make_cut_line(s, [0.0, 10.0, 15.0, 12.0, 6.0]).shape)
    step = Use("draw-hem", edge="Back: hem-side > hem-centre", depth="3 cm", turning="6 mm")
    after, record = Pipeline([step]).run(before)
    assert set(codes(record)) == {"cut-line.remade"}
    assert after.piece("Back").shapes[0].allowances == (0.0, 36.0, 15.0, 12.0, 6.0)


def test_other_allowances_are_never_guessed() -> None:
    before = style()
    after, record = Pipeline([Use("draw-hem", edge="Back: hem-centre > hem-side")]).run(before)
    assert after is before
    assert set(codes(record)) == {"pieces.refused"}
