"""Darts moved, split, merged, folded and dissolved through the pipeline."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.geometry import CUBIC, LINE, Curve, Station, line_segments
from seamwright.model import Notch, Pattern, Piece, Run, RunPart, Seam, Shape, build_shape
from seamwright.model.edit import cloth_area, wedge_of
from seamwright.model.marking import Dart, DrillHole, GrainLine
from seamwright.pipeline import Pipeline, Use

NAMES = ["waist-centre", "waist-side", "underarm", "tip", "neck", "neck-centre"]
SIDE = "Front: underarm > waist-side @ 30 %"


def bodice(size: str, k: float, **fields: Any) -> Shape:
    """The front half of a bodice, centre on the left, k times as large, with a waist dart."""
    straight = line_segments(
        np.array([[240, 10], [195, 390], [0, 340]], float),
        np.array([[255, 200], [75, 430], [0, 0]], float),
    )
    segments = k * np.array(
        [
            [[0, 0], [80, -2], [160, 0], [240, 10]],
            straight[0],
            [[255, 200], [210, 205], [185, 260], [195, 390]],
            straight[1],
            [[75, 430], [72, 370], [40, 345], [0, 340]],
            straight[2],
        ]
    )
    outline = Curve.from_segments(segments, [CUBIC, LINE, CUBIC, LINE, CUBIC, LINE], closed=True)
    ends = [outline.station_at(x * k) for x in (90.0, 120.0)]
    a, b = (outline.point_of(e) for e in ends)
    way = (b - a) / np.hypot(*(b - a))
    apex = 0.5 * (a + b) + 150.0 * k * np.array([-way[1], way[0]])
    return build_shape(
        size=size,
        outline=outline,
        corners=[Station(i, 0.0) for i in range(6)],
        corner_names=NAMES,
        darts=[
            Dart(name="waist", left=ends[0], right=ends[1], apex=(float(apex[0]), float(apex[1])))
        ],
        notches=[Notch(name="armhole", station=Station(2, 0.35))],
        grain_line=GrainLine(start=(40 * k, 60 * k), end=(40 * k, 280 * k)),
        drill_holes=(DrillHole(at=(110 * k, 190 * k), name="bust"),),
        **fields,
    )


def style(count: int = 3, **fields: Any) -> Pattern:
    sizes = tuple(f"{k}" for k in range(count))
    front = Piece(
        name="Front",
        shapes=tuple(bodice(s, 0.9 + 0.02 * k, **fields) for k, s in enumerate(sizes)),
    )
    skirt = Piece(
        name="Skirt",
        shapes=tuple(
            build_shape(
                size=s,
                outline=Curve.polyline(
                    (0.9 + 0.02 * k) * np.array([[0, 0], [210, 0], [210, 400], [0, 400]], float),
                    closed=True,
                ),
                corner_names=["hem-centre", "hem-side", "waist-side", "waist-centre"],
            )
            for k, s in enumerate(sizes)
        ),
    )

    def run(piece: str) -> Run:
        return Run(parts=(RunPart(piece=piece, marks=("waist-centre", "waist-side")),))

    return Pattern(
        name="dress",
        pieces=(front, skirt),
        sizes=sizes,
        base_size=sizes[count // 2],
        seams=(Seam(name="waist", sew=run("Front"), to=run("Skirt")),),
    )


def codes(record: Any) -> set[str]:
    return {f.code for f in record.findings}


def edges(shape: Shape) -> dict[str, float]:
    """Edges' lengths, darts stepped over."""
    seam = shape.seam_line
    out = {e.name: e.length for e in shape.edges}
    starts = np.array([float(seam.cumulative[c.station.segment]) for c in shape.corners])
    for d in shape.darts:
        k = int(np.argmin((seam.length_of(d.left) - starts) % seam.length))
        out[shape.edges[k].name] -= wedge_of(shape, d).mouth
    return out


@settings(max_examples=25, deadline=None)
@given(
    st.sampled_from(
        [
            ("move-dart", {"dart": "Front", "to": SIDE}),
            (
                "move-dart",
                {"dart": "Front: waist", "to": "Front: neck > tip @ 40 %", "turns": "before"},
            ),
            ("split-dart", {"dart": "Front", "to": SIDE, "share": 0.3}),
            ("move-dart", {"dart": "Front", "to": "Front: armhole - 20 mm"}),
        ]
    ),
    st.sampled_from([1, 3]),
)
def test_a_turned_dart_changes_nothing_but_its_place(step: tuple[str, Any], count: int) -> None:
    pattern = style(count)
    after, record = Pipeline([Use(step[0], **step[1])]).run(pattern)
    assert all(k.moved <= 1e-7 for k in record.steps[0].invariants)
    for old, new in zip(pattern.piece("Front").shapes, after.piece("Front").shapes, strict=True):
        assert new is not old
        assert cloth_area(new) == pytest.approx(cloth_area(old), abs=1e-7)
        assert edges(new) == pytest.approx(edges(old), abs=1e-9)
        angle = sum(wedge_of(new, d).angle for d in new.darts)
        assert angle == pytest.approx(wedge_of(old, old.darts[0]).angle, abs=1e-9)
        assert not len(new.seam_line.self_intersections().own)
    assert after.piece("Skirt") is pattern.piece("Skirt")


def test_twenty_sizes_are_done_alike() -> None:
    after, record = Pipeline([Use("move-dart", dart="Front", to=SIDE)]).run(style(20))
    rows = record.steps[0].figures["darts"]
    assert len(rows) == 20
    assert len({round(r["angle"], 9) for r in rows}) == 1  # sizes are scaled copies
    assert {tuple(c.name for c in s.corners) for s in after.piece("Front").shapes} == {
        tuple(c.name for c in style(1).piece("Front").shapes[0].corners)
    }
    assert len({s.seam_line.n for s in after.piece("Front").shapes}) == 1


def test_split_and_merged_is_the_dart_moved() -> None:
    pattern = style(1)
    moved, _ = Pipeline([Use("move-dart", dart="Front", to=SIDE)]).run(pattern)
    merged, _ = Pipeline(
        [
            Use("split-dart", dart="Front", to=SIDE, share=0.4, name="side"),
            Use("merge-darts", dart="Front: waist", into="Front: side"),
        ]
    ).run(pattern)
    a, b = moved.piece("Front").shapes[0], merged.piece("Front").shapes[0]
    assert [d.name for d in b.darts] == ["side"]
    assert b.seam_line.segments == pytest.approx(a.seam_line.segments, abs=1e-9)


def test_a_folded_dart_is_a_gap_elsewhere_and_marked_again_a_moved_one() -> None:
    pattern = style(2)
    moved, _ = Pipeline([Use("move-dart", dart="Front", to=SIDE)]).run(pattern)
    folded, _ = Pipeline([Use("fold-dart", dart="Front", open=SIDE)]).run(pattern)
    again, record = Pipeline([Use("mark-darts")]).run(folded)
    assert codes(record) == {"dart.marked"}
    for old, gap, mark, new in zip(
        pattern.piece("Front").shapes,
        folded.piece("Front").shapes,
        again.piece("Front").shapes,
        moved.piece("Front").shapes,
        strict=True,
    ):
        assert gap.darts == ()
        assert gap.seam_line.area == pytest.approx(cloth_area(old), abs=1e-7)
        assert mark.seam_line.area == pytest.approx(new.seam_line.area, abs=1e-7)
        assert wedge_of(mark, mark.darts[0]).angle == pytest.approx(
            wedge_of(new, new.darts[0]).angle, abs=1e-9
        )
        assert [c.name for c in mark.corners] == [c.name for c in old.corners]


def test_points_move_and_the_outline_stays() -> None:
    pattern = style(2)
    after, record = Pipeline([Use("shift-dart-point", dart="Front", back="25 mm")]).run(pattern)
    for old, new in zip(pattern.piece("Front").shapes, after.piece("Front").shapes, strict=True):
        assert new.seam_line is old.seam_line
        w, v = wedge_of(old, old.darts[0]), wedge_of(new, new.darts[0])
        assert np.hypot(*(w.apex - v.apex)) == pytest.approx(25.0, abs=1e-9)
        assert v.legs[0] == pytest.approx(v.legs[1], abs=1e-9)
        assert v.intake == w.intake
    there_and_back = [
        Use("shift-dart-point", dart="Front", back="-30 mm"),
        Use("shift-dart-point", dart="Front", back="30 mm"),
    ]
    same, _ = Pipeline(there_and_back).run(pattern)
    for old, new in zip(pattern.piece("Front").shapes, same.piece("Front").shapes, strict=True):
        assert new.darts[0].apex == pytest.approx(old.darts[0].apex, abs=1e-9)
    to, _ = Pipeline([Use("shift-dart-point", dart="Front", to="Front: bust")]).run(pattern)
    for shape in to.piece("Front").shapes:
        assert shape.darts[0].apex == shape.drill_holes[0].at
    assert record.steps[0].figures["darts"][0]["point_moved"] == pytest.approx(25.0)


@pytest.mark.parametrize("what", ["ease", "gathers"])
@pytest.mark.parametrize("smooth", [True, False])
def test_a_dissolved_dart_is_fullness_between_two_notches(what: str, smooth: bool) -> None:
    pattern = style(2)
    step = Use(f"dart-to-{what}", dart="Front", reach="30 mm", smooth=smooth)
    after, record = Pipeline([step]).run(pattern)
    rows = record.steps[0].figures["darts"]
    for old, new, row in zip(
        pattern.piece("Front").shapes, after.piece("Front").shapes, rows, strict=True
    ):
        assert new.darts == ()
        seam = new.seam_line
        a, b = (seam.length_of(new.notch(f"{what}-{end}").station) for end in ("start", "end"))
        assert b - a == pytest.approx(row["flat"], abs=1e-9)
        assert row["finished"] == 60.0
        if not smooth:
            assert row["fullness"] == pytest.approx(wedge_of(old, old.darts[0]).mouth, abs=1e-9)
            assert seam is old.seam_line
        grown = [r for r in record.steps[0].figures["seams"] if r["size"] == new.size]
        assert [r["grown"] for r in grown] == pytest.approx([row["fullness"]], abs=1e-8)
    assert ("dart.much-ease" in codes(record)) == (what == "ease")


@pytest.mark.parametrize(
    ("step", "options", "code", "said"),
    [
        ("move-dart", {"dart": "Fron: waist", "to": SIDE}, "plan.piece", "Front"),
        ("move-dart", {"dart": "Front: wiast", "to": SIDE}, "dart.unknown", "waist"),
        ("move-dart", {"dart": "Skirt", "to": SIDE}, "dart.unknown", "mark-darts"),
        ("move-dart", {"dart": "Front", "to": "Front: underarm"}, "dart.refused", "corner"),
        ("move-dart", {"dart": "Front", "to": "Front: underarmm"}, "plan.mark", "underarm"),
        ("move-dart", {"dart": "Front", "to": "Skirt: waist-side"}, "dart.refused", "piece"),
        (
            "move-dart",
            {"dart": "Front", "to": "Front: waist-centre + 100 mm"},
            "dart.refused",
            "mou",
        ),
        ("merge-darts", {"dart": "Front: waist", "into": "Front: waist"}, "dart.refused", "two"),
        ("shift-dart-point", {"dart": "Front", "back": "40 cm"}, "dart.refused", "deep"),
        ("shift-dart-point", {"dart": "Front", "to": "Front: busst"}, "plan.inside", "bust"),
        ("dart-to-ease", {"dart": "Front", "reach": "12 cm"}, "dart.refused", "reach"),
    ],
)
def test_refusals_are_clear_and_change_nothing(
    step: str, options: dict[str, Any], code: str, said: str
) -> None:
    pattern = style(2)
    after, record = Pipeline([Use(step, **options)]).run(pattern)
    assert after is pattern
    assert codes(record) == {code}
    finding = record.findings[0]
    assert said in f"{finding.message} {finding.hint}"


def test_legs_of_two_lengths_are_refused_until_trued() -> None:
    def lame(_: Piece, shape: Shape) -> Shape:
        return shape.but(
            darts=tuple(
                Dart(name=d.name, left=d.left, right=d.right, apex=(d.apex[0] + 9.0, d.apex[1]))
                for d in shape.darts
            )
        )

    pattern = style(1).map_shapes(lame)
    after, record = Pipeline([Use("move-dart", dart="Front", to=SIDE)]).run(pattern)
    assert after is pattern and "true-dart" in record.findings[0].message
    after, record = Pipeline(
        [Use("true-dart", pressed="open"), Use("move-dart", dart="Front", to=SIDE)]
    ).run(pattern)
    assert {"dart.point-shifted", "dart.untrued"} <= codes(record)
    shape = after.piece("Front").shapes[0]
    legs = wedge_of(shape, shape.darts[0]).legs
    assert legs[0] == pytest.approx(legs[1], abs=1e-9)


def test_a_cut_line_follows_its_allowances_or_goes() -> None:
    steps = [Use("add-allowance", width="1 cm"), Use("move-dart", dart="Front", to=SIDE)]
    after, record = Pipeline(steps).run(style(1))
    shape = after.piece("Front").shapes[0]
    assert "cut-line.remade" in codes(record) and shape.cut_line is not None
    inner = shape.seam_line.nearest(shape.cut_line.flatten(0.1)).distances
    assert inner.min() > 9.9
    bare = style(1).map_shapes(lambda _, s: s.but(cut_line=s.seam_line))
    after, record = Pipeline([Use("move-dart", dart="Front", to=SIDE)]).run(bare)
    assert "cut-line.dropped" in codes(record)
    assert after.piece("Front").shapes[0].cut_line is None


def test_the_plan_follows_corners_that_fall_together() -> None:
    """A plan that names both ends of a mouth walks the same lengths after the dart has gone."""

    def named(_: Piece, shape: Shape) -> Shape:
        if not shape.darts:
            return shape
        d = shape.darts[0]
        cut = [shape.seam_line.length_of(x) for x in (d.left, d.right)]
        outline = shape.seam_line.insert_joints([d.left, d.right])
        corners = [outline.station_at(x) for x in (*outline.cumulative[[0]], *cut)]
        at = {c.name: shape.seam_line.length_of(c.station) for c in shape.corners}
        return build_shape(
            size=shape.size,
            outline=outline,
            corners=[*(outline.station_at(x) for x in at.values()), *corners[1:]],
            corner_names=[*at, "dart-left", "dart-right"],
            darts=[Dart(name="waist", left=corners[1], right=corners[2], apex=d.apex)],
        )

    pattern = style(1).map_shapes(named)

    def half(a: str, b: str) -> Seam:
        run = Run(parts=(RunPart(piece="Front", marks=(a, b)),))
        to = Run(parts=(RunPart(piece="Skirt", marks=("waist-centre", "waist-side")),))
        return Seam(name=a, sew=run, to=to)

    pattern = pattern.but(
        seams=(half("waist-centre", "dart-left"), half("dart-right", "waist-side"))
    )
    after, record = Pipeline([Use("move-dart", dart="Front", to=SIDE)]).run(pattern)
    assert "dart.corner-joined" in codes(record)
    kept = {k.name: k.moved for k in record.steps[0].invariants}
    assert kept["seam-lengths"] < 1e-9
    names = {m for s in after.seams for m in s.sew.parts[0].marks}
    assert names == {"waist-centre", "waist-side", "dart-right"} or names == {
        "waist-centre",
        "waist-side",
        "dart-left",
    }
