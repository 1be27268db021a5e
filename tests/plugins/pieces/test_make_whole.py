"""Halves unfolded and folded again."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve, Station, line_segments
from seamwright.model import (
    DrillHole,
    GrainLine,
    InternalKind,
    InternalLine,
    Notch,
    Pattern,
    Piece,
    Run,
    RunPart,
    Seam,
    Shape,
    Text,
    build_shape,
)
from seamwright.model.edit import make_cut_line, transform
from seamwright.pipeline import Pipeline, Use
from seamwright.plan import walk

NAMES = ["neck-centre", "hem-centre", "hem-side", "underarm", "neck"]


def half(size: str, grow: float, bow: float = 18.0, **fields: Any) -> Shape:
    """Half a front: fold on the left, anticlockwise from the neck down the fold."""
    p = np.array([[0, 300], [0, 0], [150 + grow, 0], [140 + grow, 220], [60, 340]], dtype=float)
    segments = line_segments(p, np.roll(p, -1, axis=0)).copy()
    segments[2, 1:3] += [bow, 0.0]
    segments[4, 1:3] += [5.0, -bow]
    kinds = np.array([0, 0, 1, 0, 1], dtype=np.uint8)
    return build_shape(
        size=size,
        outline=Curve.from_segments(segments, kinds, closed=True),
        corners=[Station(i, 0.0) for i in range(5)],
        corner_names=NAMES,
        notches=[Notch(name="hip", station=Station(2, 0.3), angle=12.0)],
        grain_line=GrainLine(start=(40.0, 50.0), end=(40.0, 200.0)),
        internal_lines=(
            InternalLine(kind=InternalKind.FOLD, curve=Curve.line((0, 300), (0, 0)), name="fold"),
            InternalLine(kind=InternalKind.SEW, curve=Curve.line((0, 150), (50, 160)), name="tab"),
        ),
        drill_holes=(DrillHole(at=(60.0, 180.0)), DrillHole(at=(0.0, 100.0))),
        texts=(Text(text="cut 1 on fold", at=(50.0, 100.0)),),
        mirrored_half=True,
        **fields,
    )


def style(*shapes: Shape, quantity: tuple[int, int] = (1, 0)) -> Pattern:
    made = shapes or (half("S", 0.0), half("L", 14.0))
    sizes = tuple(s.size for s in made)
    back = tuple(transform(s, [[1.0, 0.0, 400.0], [0.0, 1.0, 0.0]]) for s in made)

    def run(piece: str, *marks: str) -> Run:
        return Run(parts=(RunPart(piece=piece, marks=marks),))

    return Pattern(
        name="top",
        pieces=(
            Piece(name="Front", shapes=made, quantity=quantity),
            Piece(name="Back", shapes=tuple(s.but(mirrored_half=False) for s in back)),
        ),
        sizes=sizes,
        base_size=sizes[0],
        seams=(
            Seam(
                name="side",
                sew=run("Front", "underarm", "hem-side"),
                to=run("Back", "underarm", "hem-side"),
                meet=(("hip", "hip"),),
            ),
        ),
    )


def codes(record: Any) -> list[str]:
    return [f.code for f in record.findings]


def test_both_halves_and_what_is_on_them() -> None:
    before = style()
    after, record = Pipeline([Use("make-whole")]).run(before)
    assert codes(record) == []
    assert after.piece("Back") is before.piece("Back")
    for old, new in zip(before.piece("Front").shapes, after.piece("Front").shapes, strict=True):
        assert new.seam_line.area == pytest.approx(2 * old.seam_line.area, abs=1e-9)
        assert new.seam_line.length == pytest.approx(2 * (old.seam_line.length - 300.0), abs=1e-9)
        assert new.seam_line.bbox[0] == pytest.approx(-old.seam_line.bbox[2], abs=1e-9)
        assert [c.name for c in new.corners] == [
            "neck-centre", "neck-mirrored", "underarm-mirrored", "hem-side-mirrored", "hem-centre",
            "hem-side", "underarm", "neck",
        ]  # fmt: skip
        assert {n.name: n.angle for n in new.notches} == {"hip": 12.0, "hip-mirrored": -12.0}
        assert new.texts == old.texts and new.grain_line == old.grain_line
        assert len(new.drill_holes) == 3  # the one on the fold is one hole
        assert [x.name for x in new.internal_lines] == ["fold", "tab", "tab"]
        assert not new.mirrored_half
    assert after.piece("Front").quantity == (1, 0)
    found = walk(after)
    assert [s.name for s in found.seams] == ["side", "side mirrored"]
    assert np.abs(found.ease).max() < 1e-9
    assert found.seams[1].meet == (("hip-mirrored", "hip"),)


def test_allowances_are_mirrored() -> None:
    before = style().map_shapes(
        lambda p, s: (
            make_cut_line(s, [0.0, 30.0, 15.0, 10.0, 6.0]).shape if p.name == "Front" else s
        )
    )
    after, record = Pipeline([Use("make-whole")]).run(before)
    assert codes(record) == []
    shape = after.piece("Front").in_size("L")
    widths = dict(zip((c.name for c in shape.corners), shape.allowances, strict=True))
    assert widths == {
        "neck-centre": 6.0, "neck-mirrored": 10.0, "underarm-mirrored": 15.0,
        "hem-side-mirrored": 30.0, "hem-centre": 30.0, "hem-side": 15.0, "underarm": 10.0,
        "neck": 6.0,
    }  # fmt: skip
    assert shape.cut_line is not None
    x0, _, x1, _ = shape.cut_line.bbox
    assert x0 == pytest.approx(-x1, abs=1e-9)
    again, _ = Pipeline([Use("add-allowance", edges={
        "Front: hem-side-mirrored > hem-centre": "30 mm", "Front: hem-centre > hem-side": "30 mm",
        "Front: hem-side > underarm": "15 mm", "Front: neck > neck-centre": "6 mm",
        "Front: underarm-mirrored > hem-side-mirrored": "15 mm",
        "Front: neck-centre > neck-mirrored": "6 mm",
    })]).run(after)  # fmt: skip
    made = again.piece("Front").in_size("L")
    assert made.allowances == shape.allowances and made.cut_line is not None
    assert made.cut_line.area == pytest.approx(shape.cut_line.area, rel=1e-6)


@st.composite
def halves(draw: DrawFn) -> Shape:
    """Half pieces of many forms, lying anywhere, mirrored or not."""
    grow = draw(st.floats(-30.0, 60.0))
    bow = draw(st.floats(-25.0, 25.0))
    shape = half("M", grow, bow)
    a = np.radians(draw(st.floats(-180.0, 180.0)))
    flip = draw(st.sampled_from([1.0, -1.0]))
    x, y = draw(st.floats(-500.0, 500.0)), draw(st.floats(-500.0, 500.0))
    c, s = np.cos(a), np.sin(a)
    return transform(shape, [[flip * c, -s, x], [flip * s, c, y]])


@settings(max_examples=40, deadline=None)
@given(halves(), st.booleans())
def test_there_and_back_is_the_same_piece(shape: Shape, allowances: bool) -> None:
    if allowances:
        widths = [0.0 if e.name == "neck-centre > hem-centre" or e.name ==
                  "hem-centre > neck-centre" else 8.0 for e in shape.edges]  # fmt: skip
        shape = make_cut_line(shape, widths).shape
    before = style(shape)
    after, record = Pipeline(
        [Use("make-whole", pieces=["Front"]), Use("fold-in-half", pieces=["Front"])]
    ).run(before)
    assert codes(record) == []
    new = after.piece("Front").in_size("M")
    np.testing.assert_allclose(new.seam_line.segments, shape.seam_line.segments, atol=1e-9)
    assert [c.name for c in new.corners] == [c.name for c in shape.corners]
    assert [(n.name, n.angle) for n in new.notches] == [(n.name, n.angle) for n in shape.notches]
    for a, b in zip(new.notches, shape.notches, strict=True):
        p, q = new.seam_line.point_of(a.station), shape.seam_line.point_of(b.station)
        assert np.hypot(*(p - q)) < 1e-9
    assert new.grain_line == shape.grain_line
    assert new.texts == shape.texts
    assert new.drill_holes == shape.drill_holes
    assert {x.name for x in new.internal_lines} == {"fold", "tab"}
    assert len(new.internal_lines) == 2
    assert new.allowances == shape.allowances
    if shape.cut_line is not None:
        assert new.cut_line is not None
        assert new.cut_line.area == pytest.approx(shape.cut_line.area, abs=1e-6)
        places = shape.cut_line.point_at(np.linspace(0.0, shape.cut_line.length, 40)[:-1])
        assert new.cut_line.nearest(places).distances.max() < 1e-9
    assert new.mirrored_half
    assert after.seams == before.seams
    assert after.piece("Front").quantity == before.piece("Front").quantity


@settings(max_examples=20, deadline=None)
@given(halves())
def test_a_whole_piece_is_its_own_mirror_image(shape: Shape) -> None:
    after, _ = Pipeline([Use("make-whole", pieces=["Front"])]).run(style(shape))
    new = after.piece("Front").in_size("M").seam_line
    assert new.area == pytest.approx(2 * shape.seam_line.area, abs=1e-7)
    assert not len(new.self_intersections().own)


def test_an_edge_named_as_the_fold_of_a_pair() -> None:
    plain = half("S", 0.0).but(mirrored_half=False, internal_lines=())
    before = style(plain, quantity=(1, 1))
    after, record = Pipeline([Use("make-whole", fold="Front: neck-centre > hem-centre")]).run(
        before
    )
    assert codes(record) == []
    assert after.piece("Front").quantity == (1, 0)
    lines = after.piece("Front").shapes[0].internal_lines
    assert [(x.kind, x.name) for x in lines] == [(InternalKind.FOLD, "fold")]


def test_a_fold_that_bends_is_refused() -> None:
    before = style()
    after, record = Pipeline([Use("make-whole", fold="Front: neck > neck-centre")]).run(before)
    assert after is before
    assert set(codes(record)) == {"pieces.refused"}


def test_a_piece_that_differs_is_refused_with_the_place() -> None:
    whole, _ = Pipeline([Use("make-whole")]).run(style())

    def pulled(piece: Piece, shape: Shape) -> Shape:
        if piece.name != "Front" or shape.size != "L":
            return shape
        segments = shape.seam_line.segments.copy()
        k = shape.corner("hem-side").station.segment
        segments[k - 1, 3] += [2.0, 0.0]
        segments[k, 0] += [2.0, 0.0]
        return shape.but(
            seam_line=Curve.from_segments(segments, shape.seam_line.kinds, closed=True)
        )

    uneven = whole.map_shapes(pulled)
    after, record = Pipeline([Use("fold-in-half", pieces=["Front"])]).run(uneven)
    assert after is uneven
    (finding,) = record.findings
    assert (finding.code, finding.size) == ("fold.asymmetrical", "L")
    assert finding.measured == pytest.approx(2.0, abs=0.1)
    assert abs(finding.x or 0.0) == pytest.approx(165.0, abs=3.0)
    allowed, _ = Pipeline(
        [Use("fold-in-half", pieces=["Front"], tolerance="3 mm", keep="Front: neck-mirrored")]
    ).run(uneven)
    assert allowed.piece("Front").in_size("L").seam_line.bbox[2] == pytest.approx(0.0, abs=1e-9)


def test_a_mark_on_one_half_only_is_told() -> None:
    whole, _ = Pipeline([Use("make-whole")]).run(style(half("S", 0.0)))
    one = whole.map_shapes(
        lambda p, s: (
            s.but(
                notches=tuple(n for n in s.notches if n.name != "hip"),
                drill_holes=(DrillHole(at=(-30.0, 80.0)),),
            )
            if p.name == "Front"
            else s
        )
    ).but(seams=())
    after, record = Pipeline([Use("fold-in-half", pieces=["Front"])]).run(one)
    assert codes(record) == ["fold.one-sided"]
    assert "hip-mirrored" in record.findings[0].message
    assert "drill hole" in record.findings[0].message
    assert after.piece("Front").shapes[0].notches == ()


def test_a_seam_across_the_fold_is_told() -> None:
    whole, _ = Pipeline([Use("make-whole")]).run(style())
    hem = Run(
        parts=(RunPart(piece="Front", marks=("hem-side-mirrored", "hem-centre", "hem-side")),)
    )
    side = Run(parts=(RunPart(piece="Back", marks=("hem-side", "underarm")),))
    after, record = Pipeline([Use("fold-in-half", pieces=["Front"])]).run(
        whole.but(seams=(*whole.seams, Seam(name="hem band", sew=hem, to=side)))
    )
    assert codes(record) == ["pieces.seam-lost"]
    assert [s.name for s in after.seams] == ["side"]


def test_nothing_to_unfold_is_said() -> None:
    before = style(half("S", 0.0).but(mirrored_half=False))
    after, record = Pipeline([Use("make-whole")]).run(before)
    assert after is before
    assert record.steps[0].looked_at == 0 and record.steps[0].skipped


def test_a_place_that_is_not_there_is_named() -> None:
    with pytest.raises(SeamwrightError) as refused:
        Pipeline([Use("fold-in-half", start="Front: nek", end="Front: hem-centre")]).run(style())
    assert refused.value.finding.code == "plan.mark"
