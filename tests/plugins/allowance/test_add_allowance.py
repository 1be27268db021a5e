"""Allowances through the pipeline, as a user adds them."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve, Station
from seamwright.model import (
    InternalKind,
    InternalLine,
    LineRole,
    Notch,
    Pattern,
    Piece,
    SeamLineSource,
    Shape,
    build_shape,
)
from seamwright.pipeline import Pipeline, Use
from seamwright.testing.strategies import patterns

NAMES = ["top-left", "hem-left", "hem-right", "top-right"]


def panel(size: str, width: float, **fields: Any) -> Shape:
    points = np.array([[0, 0], [width, 0], [width - 20, 300], [0, 300]], dtype=float)
    return build_shape(
        size=size,
        outline=Curve.polyline(points, closed=True),
        corners=[Station(3, 0.0), Station(0, 0.0), Station(1, 0.0), Station(2, 0.0)],
        corner_names=NAMES,
        notches=[Notch(name="hip", station=Station(1, 0.5))],
        **fields,
    )


def skirt(**fields: Any) -> Pattern:
    piece = Piece(
        name="Panel", shapes=tuple(panel(s, w, **fields) for s, w in (("S", 180.0), ("L", 220.0)))
    )
    return Pattern(name="skirt", pieces=(piece,), sizes=("S", "L"), base_size="S")


def codes(record: object) -> list[str]:
    return [f.code for f in record.findings]  # type: ignore[attr-defined]


def test_each_edge_gets_its_own_width_in_every_size() -> None:
    pattern = skirt()
    step = Use("add-allowance", width="1 cm", edges={"Panel: hem-left > hem-right": "4 cm"})
    after, record = Pipeline([step]).run(pattern)
    for shape, width in zip(after.piece("Panel").shapes, (180.0, 220.0), strict=True):
        assert shape.allowances == (10.0, 40.0, 10.0, 10.0)
        assert shape.cut_line is not None
        x0, y0, _, y1 = shape.cut_line.bbox
        assert (x0, y0, y1) == pytest.approx((-10.0, -40.0, 310.0), abs=1e-9)
        assert shape.seam_line is pattern.piece("Panel").in_size(shape.size).seam_line
        assert width
    assert codes(record) == []
    assert all(kept.moved <= kept.limit for kept in record.steps[0].invariants)


@settings(max_examples=20, deadline=None)
@given(patterns(), st.sampled_from(["6 mm", "1 cm", "5/8 in"]))
def test_the_check_agrees_with_what_was_added(pattern: Pattern, width: str) -> None:
    steps = [
        Use("add-allowance", width=width, limit=10),
        Use("check-allowance", tolerance="0.02 mm"),
    ]
    after, record = Pipeline(steps).run(pattern)
    assert record.steps[1].looked_at == sum(len(p.shapes) for p in pattern.pieces)
    assert [c for c in codes(record) if c != "allowance.blunted"] == []
    for before, piece in zip(pattern.pieces, after.pieces, strict=True):
        for old, new in zip(before.shapes, piece.shapes, strict=True):
            assert new.seam_line is old.seam_line
            assert new.notches == old.notches


def test_a_cut_line_that_was_moved_is_found() -> None:
    after, _ = Pipeline([Use("add-allowance", width="1 cm")]).run(skirt())
    moved = after.map_shapes(
        lambda _, s: s.but(cut_line=s.cut_line.translated(0.0, 2.0) if s.cut_line else None)
    )
    _, record = Pipeline([Use("check-allowance")]).run(moved)
    assert set(codes(record)) == {"allowance.off"}
    assert {f.edge for f in record.findings} == {
        "hem-left > hem-right", "top-right > top-left",
    }  # fmt: skip


def test_a_fold_gets_no_allowance() -> None:
    fold = InternalLine(kind=InternalKind.FOLD, curve=Curve.line((0, 0), (0, 300)))
    after, _ = Pipeline([Use("add-allowance")]).run(
        skirt(internal_lines=(fold,), mirrored_half=True)
    )
    for shape in after.piece("Panel").shapes:
        assert shape.allowances == (0.0, 10.0, 10.0, 10.0)
        assert shape.cut_line is not None
        assert shape.cut_line.bbox[0] == pytest.approx(0.0, abs=1e-9)


def test_seam_line_from_cut_line_and_back() -> None:
    added, _ = Pipeline([Use("add-allowance", width="15 mm", limit=10)]).run(skirt())
    outside = added.map_shapes(
        lambda _, s: build_shape(
            size=s.size,
            outline=s.cut_line or s.seam_line,
            corner_names=NAMES,
            corners=None,
            seam_line_source=SeamLineSource.CUT_LINE,
        )
    )
    after, record = Pipeline([Use("seam-line", width="15 mm")]).run(outside)
    for old, new in zip(added.piece("Panel").shapes, after.piece("Panel").shapes, strict=True):
        assert new.seam_line.segments == pytest.approx(old.seam_line.segments, abs=1e-6)
        assert new.seam_line_source is SeamLineSource.DERIVED
    assert codes(record) == []


def test_an_allowance_is_never_guessed() -> None:
    cut = skirt(seam_line_source=SeamLineSource.CUT_LINE)
    after, record = Pipeline([Use("seam-line", edges={"Panel: hem-left > hem-right": "4 cm"})]).run(
        cut
    )
    assert after is cut
    assert set(codes(record)) == {"allowance.unknown"}


@pytest.mark.parametrize(
    ("options", "code"),
    [
        ({"edges": {"Pannel": "1 cm"}}, "plan.piece"),
        ({"edges": {"Panel: hem-left > hip": "1 cm"}}, "spot.inside-edge"),
        ({"corner": {"Panel: nowhere": {"style": "blunt"}}}, "plan.mark"),
    ],
)
def test_what_is_not_there_is_named(options: dict[str, Any], code: str) -> None:
    with pytest.raises(SeamwrightError) as refused:
        Pipeline([Use("add-allowance", **options)]).run(skirt())
    assert refused.value.finding.code == code


def test_too_wide_changes_nothing() -> None:
    pattern = skirt(seam_line_source=SeamLineSource.CUT_LINE)
    after, record = Pipeline([Use("seam-line", width="120 mm")]).run(pattern)
    assert after is pattern
    assert set(codes(record)) == {"allowance.too-wide"}


def test_a_deep_hem_on_a_narrow_leg_is_measured_against_its_own_cut_line() -> None:
    steps = [
        Use("add-allowance", width="1 cm", edges={"Panel: hem-left > hem-right": "5 cm"}),
        Use("check-allowance"),
    ]
    _, record = Pipeline(steps).run(skirt())
    assert codes(record) == []


@settings(max_examples=20, deadline=None)
@given(patterns(), st.sampled_from(["6 mm", "1 cm"]))
def test_notches_go_out_square_and_come_back(pattern: Pattern, width: str) -> None:
    steps = [Use("add-allowance", width=width), Use("carry-notches", depth="4 mm")]
    after, _ = Pipeline(steps).run(pattern)
    back, record = Pipeline([Use("carry-notches", to="seam line")]).run(after)
    assert all(kept.moved <= kept.limit for kept in record.steps[0].invariants)
    for first, out, last in zip(pattern.pieces, after.pieces, back.pieces, strict=True):
        for was, cut, now in zip(first.shapes, out.shapes, last.shapes, strict=True):
            for notch in was.notches:
                if notch.line is LineRole.CUT or cut.cut_line is None:
                    continue
                carried = cut.notch(notch.name)
                assert carried.line is LineRole.CUT
                assert (carried.type, carried.depth) == (notch.type, 4.0)
                place = was.seam_line.point_of(notch.station)
                way = cut.cut_line.point_of(carried.station) - place
                k, t = notch.station
                assert abs(float(way @ was.seam_line.tangents_of([k], [t])[0])) < 1e-6
                near = float(was.seam_line.nearest(place[None] + way).distances[0])
                if near > float(np.hypot(*way)) - 1e-6:  # no other place of the line is nearer
                    again = now.seam_line.point_of(now.notch(notch.name).station)
                    assert np.hypot(*(again - place)) < 1e-5


def test_a_notch_points_at_the_cut_line_and_the_seam_walks_as_before() -> None:
    after, record = Pipeline(
        [Use("add-allowance", width="1 cm"), Use("carry-notches"), Use("check-allowance")]
    ).run(skirt())
    assert codes(record) == []
    for shape in after.piece("Panel").shapes:
        (notch,) = shape.notches
        assert shape.cut_line is not None and notch.line is LineRole.CUT
        place = shape.cut_line.point_of(notch.station)
        assert shape.seam_line.nearest(place[None]).distances[0] == pytest.approx(10.0, abs=1e-9)
    _, record = Pipeline([Use("carry-notches")]).run(skirt())
    assert record.steps[0].skipped


def holed(x: float, y: float, **fields: Any) -> Pattern:
    """The skirt panel with a round hole of 20 mm at a place."""
    hole = InternalLine(kind=InternalKind.CUTOUT, curve=Curve.circle((x, y), 10.0), name="eyelet")
    return skirt(internal_lines=(hole,), **fields)


def test_a_cut_out_is_left_as_it_is_and_told_of() -> None:
    pattern = holed(90.0, 150.0)
    plain, _ = Pipeline([Use("add-allowance", width="10 mm")]).run(skirt())
    after, record = Pipeline([Use("add-allowance", width="10 mm")]).run(pattern)
    assert codes(record).count("allowance.cut-out-left") == 2
    for old, new, same in zip(
        pattern.pieces[0].shapes, after.pieces[0].shapes, plain.pieces[0].shapes, strict=True
    ):
        assert new.internal_lines == old.internal_lines
        assert new.cut_line is not None and same.cut_line is not None
        assert new.cut_line.area == pytest.approx(same.cut_line.area, abs=1e-9)


@pytest.mark.parametrize(
    ("x", "refused"), [(90.0, False), (17.0, True), (5.5, True), (26.0, False)]
)
def test_no_seam_line_runs_through_a_cut_out(x: float, refused: bool) -> None:
    """The seam line lies 15 mm inside; the hole reaches 10 mm to either side of its middle."""
    pattern = holed(x, 150.0, seam_line_source=SeamLineSource.CUT_LINE)
    after, record = Pipeline([Use("seam-line", width="15 mm")]).run(pattern)
    assert ("allowance.cut-out-crossed" in codes(record)) is refused
    assert (after is pattern) is refused
