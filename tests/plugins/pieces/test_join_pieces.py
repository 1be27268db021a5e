"""Two pieces joined into one."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve, Station
from seamwright.model import Notch, Pattern, Piece, Run, RunPart, Seam, Shape, build_shape
from seamwright.model.edit import make_cut_line, transform
from seamwright.pipeline import Pipeline, Use
from seamwright.plan import walk
from seamwright.testing.strategies import patterns

NAMES = ["top-left", "hem-left", "hem-right", "top-right"]
SIDES: dict[str, Any] = {"edge": "Left: hem-right > top-right", "to": "Right: hem-left > top-left"}


def panel(size: str, width: float, lean: float = 0.0, high: float = 300.0) -> Shape:
    points = np.array([[0, 0], [width, 0], [width - lean, high], [-lean, high]], dtype=float)
    return build_shape(
        size=size,
        outline=Curve.polyline(points, closed=True),
        corners=[Station(3, 0.0), Station(0, 0.0), Station(1, 0.0), Station(2, 0.0)],
        corner_names=NAMES,
        notches=[
            Notch(name="top", station=Station(2, 0.5)),
            Notch(name="", station=Station(0, 0.5)),
        ],
    )


def run(piece: str, *marks: str) -> Run:
    return Run(parts=(RunPart(piece=piece, marks=marks),))


def style(*, high: float = 300.0, turned: float = 25.0, over: bool = False) -> Pattern:
    a = np.radians(turned)
    c, s = np.cos(a), np.sin(a)
    flip = -1.0 if over else 1.0
    matrix = [[flip * c, -s, 500.0], [flip * s, c, -70.0]]
    sizes = (("S", 180.0), ("L", 220.0))
    return Pattern(
        name="skirt",
        pieces=(
            Piece(name="Left", shapes=tuple(panel(z, w) for z, w in sizes)),
            Piece(
                name="Right",
                shapes=tuple(transform(panel(z, w - 40.0, high=high), matrix) for z, w in sizes),
            ),
        ),
        sizes=("S", "L"),
        base_size="S",
        seams=(
            Seam(
                name="side",
                sew=run("Left", "hem-right", "top-right"),
                to=run("Right", "hem-left", "top-left"),
            ),
            Seam(
                name="back seam",
                sew=run("Left", "hem-left", "top-left"),
                to=run("Right", "hem-right", "top-right"),
            ),
        ),
    )


def codes(record: Any) -> list[str]:
    return [f.code for f in record.findings]


def test_two_panels_become_one() -> None:
    before = style()
    after, record = Pipeline([Use("join-pieces", name="Panel", draw="old seam", **SIDES)]).run(
        before
    )
    assert codes(record) == []
    assert [p.name for p in after.pieces] == ["Panel"]
    for shape, width in zip(after.piece("Panel").shapes, (320.0, 400.0), strict=True):
        assert shape.seam_line.area == pytest.approx(width * 300.0, abs=1e-8)
        np.testing.assert_allclose(shape.seam_line.bbox, [0, 0, width, 300.0], atol=1e-9)
        assert [c.name for c in shape.corners] == [
            "top-left", "hem-left", "hem-right", "hem-right-Right", "top-right-Right", "top-right",
        ]  # fmt: skip
        assert {n.name for n in shape.notches} == {"top", "top-Right", "notch-1", "notch-1-Right"}
        assert [x.name for x in shape.internal_lines] == ["old seam"]
    found = walk(after)
    assert [s.name for s in found.seams] == ["back seam"]
    assert str(found.seams[0].to) == "Panel: hem-right-Right > top-right-Right"
    assert np.abs(found.ease).max() < 1e-9


def test_a_piece_for_the_other_side_is_turned_over_first() -> None:
    before = style(over=True)
    same, record = Pipeline([Use("join-pieces", **SIDES)]).run(before)
    assert same is before
    assert codes(record) == ["pieces.refused"]
    assert "turn-over" in record.findings[0].message
    after, record = Pipeline([Use("join-pieces", turn_over=True, **SIDES)]).run(before)
    assert codes(record) == []
    assert after.pieces[0].in_size("L").seam_line.bbox[2] == pytest.approx(400.0, abs=1e-9)


def test_allowances_of_both_are_kept() -> None:
    before = style().map_shapes(
        lambda p, s: make_cut_line(
            s, [float({"top-left": 10, "hem-left": 30, "hem-right": 12, "top-right": 8}[c.name])
                for c in s.corners]
        ).shape
    )  # fmt: skip
    after, record = Pipeline([Use("join-pieces", name="Panel", **SIDES)]).run(before)
    assert set(codes(record)) == {"cut-line.remade"}
    shape = after.piece("Panel").in_size("S")
    assert dict(zip((c.name for c in shape.corners), shape.allowances, strict=True)) == {
        "top-left": 10.0, "hem-left": 30.0, "hem-right": 30.0, "hem-right-Right": 12.0,
        "top-right-Right": 8.0, "top-right": 8.0,
    }  # fmt: skip
    assert shape.cut_line is not None
    np.testing.assert_allclose(shape.cut_line.bbox, [-10, -30, 332, 308], atol=1e-9)


@pytest.mark.parametrize(("high", "done"), [(300.3, True), (300.7, False), (200.0, False)])
def test_edges_must_be_equally_long(high: float, done: bool) -> None:
    before = style(high=high)
    after, record = Pipeline([Use("join-pieces", **SIDES)]).run(before)
    assert (after is not before) == done
    assert ("pieces.refused" in codes(record)) != done
    if done:
        shape = after.pieces[0].in_size("S")
        assert shape.seam_line.closed and not len(shape.seam_line.self_intersections().own)


def test_edges_of_another_form_are_refused() -> None:
    def bowed(piece: Piece, shape: Shape) -> Shape:
        if piece.name != "Right":
            return shape
        segments = shape.seam_line.segments.copy()
        k = shape.corner("top-left").station.segment
        segments[k, 1:3] += 8.0 * shape.seam_line.normal_at(shape.seam_line.cumulative[k] + 50.0)
        kinds = np.array(shape.seam_line.kinds)
        kinds[k] = 1
        return shape.but(seam_line=Curve.from_segments(segments, kinds, closed=True))

    before = style().map_shapes(bowed)
    after, record = Pipeline([Use("join-pieces", **SIDES)]).run(before)
    assert after is before
    assert set(codes(record)) == {"pieces.refused"}
    assert "apart" in record.findings[0].message


@settings(max_examples=30, deadline=None)
@given(patterns(seams=True), st.data())
def test_split_and_joined_is_as_before(pattern: Pattern, data: st.DataObject) -> None:
    piece = pattern.pieces[0]
    names = [c.name for c in piece.shapes[0].corners]
    k = data.draw(st.integers(0, len(names) - 1))
    start = f'"{piece.name}": {names[k]} + 21 mm'
    end = f'"{piece.name}": {names[(k + 2) % len(names)]} + 17 mm'
    split, record = Pipeline([Use("split-piece", start=start, end=end)]).run(pattern)
    if split is pattern:
        assert set(codes(record)) == {"pieces.refused"}
        return
    seam = split.seams[-1]
    after, record = Pipeline(
        [Use("join-pieces", edge=str(seam.sew), to=str(seam.to), name=piece.name)]
    ).run(split)
    assert "pieces.refused" not in codes(record)
    whole = after.piece(piece.name)
    for old, new in zip(piece.shapes, whole.shapes, strict=True):
        assert new.seam_line.area == pytest.approx(old.seam_line.area, rel=1e-12, abs=1e-7)
        assert new.seam_line.length == pytest.approx(old.seam_line.length, abs=1e-7)
        places = old.seam_line.point_at(np.linspace(0.0, old.seam_line.length, 40)[:-1])
        assert new.seam_line.nearest(places).distances.max() < 1e-7
        assert {c.name for c in old.corners} <= {c.name for c in new.corners}
    was, now = walk(pattern), walk(after)
    if "pieces.seam-lost" not in codes(record) and len(now.seams) == len(was.seams):
        np.testing.assert_allclose(now.sew_lengths, was.sew_lengths, atol=1e-6)


@pytest.mark.parametrize(
    ("options", "code"),
    [
        ({**SIDES, "edge": "Lift: hem-right > top-right"}, "plan.piece"),
        ({**SIDES, "to": "Left: hem-left > top-left"}, "join.one-piece"),
        ({**SIDES, "pieces": ["Left"]}, "selection.too-narrow"),
        ({**SIDES, "to": "Right"}, "spot.unreadable"),
    ],
)
def test_what_cannot_be_done_is_named(options: dict[str, Any], code: str) -> None:
    with pytest.raises(SeamwrightError) as refused:
        Pipeline([Use("join-pieces", **options)]).run(style())
    assert refused.value.finding.code == code


def test_pieces_that_are_cut_otherwise_are_told() -> None:
    before = style()
    right = before.piece("Right").but(quantity=(1, 1))
    _, record = Pipeline([Use("join-pieces", **SIDES)]).run(before.with_pieces([right]))
    assert codes(record) == ["join.differ"]
