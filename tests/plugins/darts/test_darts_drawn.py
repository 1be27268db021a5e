"""Drawn darts found and marked, checked and trued."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from seamwright.geometry import Curve, Station
from seamwright.model import InternalKind, InternalLine, Notch, Pattern, Piece, Shape, build_shape
from seamwright.model.edit import cloth_area, wedge_of
from seamwright.model.marking import Dart, DrillHole
from seamwright.pipeline import Pipeline, Use


def pattern_of(*shapes: Shape) -> Pattern:
    return Pattern(
        name="p",
        pieces=(Piece(name="Front", shapes=shapes),),
        sizes=tuple(s.size for s in shapes),
        base_size=shapes[0].size,
    )


def vee(size: str = "M", k: float = 1.0, *, depth: float = 120.0, half: float = 15.0) -> Shape:
    """A skirt front with a V dart in its waist (y = 400) and one in its side."""
    points = [
        [0, 0],
        [300, 0],
        [300, 180],
        [200, 190],
        [300, 205],
        [300, 400],
        [150 + half, 400],
        [150, 400 - depth],
        [150 - half, 400],
        [0, 400],
    ]
    return build_shape(size=size, outline=Curve.polyline(k * np.array(points, float), closed=True))


def codes(record: Any) -> list[str]:
    return sorted({f.code for f in record.findings})


def test_sizes_agree_and_one_that_lacks_the_dart_is_told() -> None:
    flat = build_shape(
        size="XL",
        outline=Curve.polyline(
            np.array([[0, 0], [320, 0], [320, 420], [0, 420]], float), closed=True
        ),
    )
    after, record = Pipeline([Use("mark-darts")]).run(
        pattern_of(vee("S", 0.9), vee("M", 1.0), vee("L", 1.1), flat)
    )
    names = [[d.name for d in s.darts] for s in after.piece("Front").shapes]
    assert names == [["dart-1", "dart-2"]] * 3 + [[]]
    told = [f for f in record.findings if f.code == "dart.not-in-all-sizes"]
    assert [f.size for f in told] == ["XL"]


def test_what_is_no_dart_is_left_alone() -> None:
    wide = np.array(
        [[0, 0], [300, 0], [300, 400], [230, 400], [150, 330], [70, 400], [0, 400]], float
    )
    shape = build_shape(size="M", outline=Curve.polyline(wide, closed=True))
    pattern = pattern_of(shape)
    after, record = Pipeline([Use("mark-darts")]).run(pattern)  # 98 degrees
    assert after is pattern and record.findings == ()
    after, _ = Pipeline([Use("mark-darts", largest_angle="110 deg")]).run(pattern)
    assert len(after.piece("Front").shapes[0].darts) == 1


def test_a_v_a_little_too_wide_is_told() -> None:
    pattern = pattern_of(vee(depth=40.0, half=29.0))  # 71.9 degrees, and another dart beside it
    after, record = Pipeline([Use("mark-darts")]).run(pattern)
    assert [d.name for d in after.pieces[0].shapes[0].darts] == ["dart-1"]
    told = [f for f in record.findings if f.code == "dart.not-marked"]
    assert len(told) == 1
    angle = 2 * np.degrees(np.arctan2(29.0, 40.0))
    assert told[0].measured == pytest.approx(angle) and told[0].limit == 70.0
    assert (told[0].x, told[0].y) == (150.0, 360.0)
    after, record = Pipeline([Use("mark-darts", largest_angle="72 deg")]).run(pattern)
    assert [d.name for d in after.pieces[0].shapes[0].darts] == ["dart-1", "dart-2"]
    assert "dart.not-marked" not in codes(record)


def rectangle(**fields: Any) -> Shape:
    return build_shape(
        size="M",
        outline=Curve.polyline(
            np.array([[0, 0], [300, 0], [300, 400], [0, 400]], float), closed=True
        ),
        corner_names=["hem-centre", "hem-side", "top-side", "top-centre"],
        **fields,
    )


def line(*points: tuple[float, float], kind: InternalKind = InternalKind.INTERNAL) -> InternalLine:
    return InternalLine(kind=kind, curve=Curve.polyline(np.array(points, float)))


@pytest.mark.parametrize(
    "drawn",
    [
        (line((100, 0), (115, 140), (130, 0)),),
        (line((100, 0), (115, 140)), line((115, 140), (130, 0))),
        (line((130, 0), (115, 140)), line((115, 0), (115, 140)), line((115, 140), (100, 0))),
    ],
)
def test_lines_that_draw_a_dart_become_one(drawn: tuple[InternalLine, ...]) -> None:
    pocket = line((200, 100), (280, 100))
    shape = rectangle(internal_lines=(pocket, *drawn))
    after, record = Pipeline([Use("mark-darts")]).run(pattern_of(shape))
    new = after.piece("Front").shapes[0]
    assert new.internal_lines == (pocket,)
    assert new.seam_line is shape.seam_line
    (dart,) = new.darts
    assert dart.apex == (115.0, 140.0)
    assert wedge_of(new, dart).intake == pytest.approx(30.0, abs=1e-12)
    assert codes(record) == ["dart.marked"]
    again, second = Pipeline([Use("mark-darts")]).run(after)
    assert again is after and second.findings == ()


def test_two_notches_and_a_hole_are_a_dart_when_named() -> None:
    shape = rectangle(
        notches=[
            Notch(name="a", station=Station(0, 0.3)),
            Notch(name="b", station=Station(0, 0.4)),
        ],
        drill_holes=(DrillHole(at=(105.0, 130.0)), DrillHole(at=(250.0, 300.0))),
    )
    corner = next(i for i, c in enumerate(shape.corners) if c.name == "hem-centre")
    at = shape.corners[corner].station.segment
    shape = shape.but(
        notches=(
            Notch(name="a", station=Station(at, 0.3)),
            Notch(name="b", station=Station(at, 0.4)),
        )
    )
    pattern = pattern_of(shape)
    assert Pipeline([Use("mark-darts")]).run(pattern)[0] is pattern
    after, _ = Pipeline([Use("mark-darts", between=["Front: b > a"])]).run(pattern)
    (dart,) = after.piece("Front").shapes[0].darts
    assert dart.apex == (105.0, 130.0)
    assert wedge_of(after.piece("Front").shapes[0], dart).angle > 0
    none = pattern.map_shapes(lambda _, s: s.but(drill_holes=()))
    after, record = Pipeline([Use("mark-darts", between=["Front: a > b"])]).run(none)
    assert after is none and codes(record) == ["dart.no-point"]


def test_drawn_open_and_marked_again_is_the_same_piece() -> None:
    shape = rectangle(
        darts=[Dart(name="x", left=Station(0, 0.3), right=Station(0, 0.4), apex=(105.0, 130.0))]
    )
    pattern = pattern_of(shape)
    cut, _ = Pipeline([Use("cut-darts")]).run(pattern)
    opened = cut.piece("Front").shapes[0]
    assert opened.darts == () and opened.seam_line.n == 7
    assert opened.seam_line.area == pytest.approx(cloth_area(shape), abs=1e-9)
    marked, _ = Pipeline([Use("mark-darts")]).run(cut)
    again = marked.piece("Front").shapes[0]
    assert again.seam_line.area == pytest.approx(shape.seam_line.area, abs=1e-9)
    assert [c.name for c in again.corners] == [c.name for c in shape.corners]


def test_a_straight_edge_has_a_pointed_cap_of_known_depth() -> None:
    """Edge y = 0, point (150, h), ends 150 -+ w: with tan b = w / h the fold ends at the middle
    h / cos 2b from the point."""
    h, w = 120.0, 20.0
    shape = rectangle(
        darts=[
            Dart(
                name="d",
                left=Station(0, (150 - w) / 300),
                right=Station(0, (150 + w) / 300),
                apex=(150.0, h),
            )
        ]
    )
    deep = h / np.cos(2 * np.arctan2(w, h)) - h
    for pressed in ("centre", "side", "open"):
        after, record = Pipeline(
            [Use("true-dart", pressed=pressed, toward="Front: hem-centre")]
        ).run(pattern_of(shape))
        assert record.steps[0].figures["darts"][0]["cap"] == pytest.approx(deep, abs=1e-9)
        assert after.piece("Front").shapes[0].seam_line.bbox[1] == pytest.approx(-deep, abs=1e-9)
    _, record = Pipeline([Use("check-darts", pressed="open", kink="45 deg")]).run(pattern_of(shape))
    assert codes(record) == ["dart.mouth"]
    assert record.findings[0].measured == pytest.approx(deep, abs=1e-6)


def test_pressing_needs_to_be_told() -> None:
    shape = rectangle(
        darts=[Dart(name="d", left=Station(0, 0.4), right=Station(0, 0.5), apex=(135.0, 100.0))]
    )
    pattern = pattern_of(shape)
    for pressed, said in (("down", "straight up or down"), ("centre", "toward")):
        after, record = Pipeline([Use("true-dart", pressed=pressed)]).run(pattern)
        assert after is pattern and codes(record) == ["dart.refused"]
        assert said in record.findings[0].message
    fold = line((0, 0), (0, 400), kind=InternalKind.FOLD)
    half = pattern.map_shapes(lambda _, s: s.but(internal_lines=(fold,)))
    after, record = Pipeline([Use("true-dart", pressed="centre")]).run(half)
    assert record.steps[0].figures["darts"][0]["under"] == "left"


def test_a_plan_that_names_a_darts_point_is_told() -> None:
    from seamwright.model import Run, RunPart, Seam

    shape = vee()
    point = next(c.name for c in shape.corners if shape.seam_line.point_of(c.station)[1] == 280.0)
    run = Run(parts=(RunPart(piece="Front", marks=(shape.corners[0].name, point)),))
    pattern = pattern_of(shape).but(seams=(Seam(name="s", sew=run, to=run),))
    after, record = Pipeline([Use("mark-darts")]).run(pattern)
    assert "dart.point-in-plan" in codes(record)
    assert len(after.piece("Front").shapes[0].darts) == 1  # the other one


def test_checks() -> None:
    lame = Dart(name="lame", left=Station(0, 0.1), right=Station(0, 0.2), apex=(60.0, 100.0))
    wide = Dart(name="wide", left=Station(0, 0.4), right=Station(0, 0.7), apex=(165.0, 100.0))
    out = Dart(name="out", left=Station(0, 0.8), right=Station(0, 0.9), apex=(255.0, -50.0))
    pattern = pattern_of(rectangle(darts=[lame, wide, out]))
    after, record = Pipeline([Use("check-darts", kink="45 deg")]).run(pattern)
    assert after is pattern
    found = {(f.code, f.message.split('"')[1]) for f in record.findings}
    assert found == {("dart.legs-differ", "lame"), ("dart.wide", "wide"), ("dart.outside", "out")}
    rows = {r["dart"]: r for r in record.steps[0].figures["darts"]}
    assert rows["wide"]["kink"] == pytest.approx(-rows["wide"]["angle"], abs=1e-9)
    assert rows["wide"]["intake"] == pytest.approx(rows["wide"]["intake_of_angle"], abs=1e-9)
    _, record = Pipeline([Use("check-darts")]).run(pattern_of(rectangle()))
    assert record.steps[0].looked_at == 0 and "mark-darts" in record.steps[0].skipped


def test_a_mouth_trued_for_a_dart_pressed_open_is_not_outside() -> None:
    """Its two halves meet in a jog on the dart's middle line."""
    points = [[0, 0], [145, 0], [155, 0], [300, 37.5], [300, 400], [0, 400]]
    shape = build_shape(
        size="M",
        outline=Curve.polyline(np.array(points, float), closed=True),
        corners=[Station(i, 0.0) for i in (0, 3, 4, 5)],
        darts=[Dart(name="d", left=Station(1, 0.0), right=Station(1, 1.0), apex=(150.0, 60.0))],
    )
    steps = [Use("true-dart", pressed="open"), Use("check-darts", widest="90 deg", kink="45 deg")]
    _, record = Pipeline(steps).run(pattern_of(shape))
    assert record.steps[1].looked_at == 1
    assert [f.code for f in record.steps[1].findings] == []


@pytest.mark.parametrize("rise", [1e-5, 2e-3])
def test_a_step_that_nobody_can_cut_is_none(rise: float) -> None:
    points = [[0, 0], [140, 0], [160, 0], [300, rise * 140], [300, 400], [0, 400]]
    shape = build_shape(
        size="M",
        outline=Curve.polyline(np.array(points, float), closed=True),
        corners=[Station(i, 0.0) for i in (0, 3, 4, 5)],
        darts=[Dart(name="d", left=Station(1, 0.0), right=Station(1, 1.0), apex=(150.0, 90.0))],
    )
    after, _ = Pipeline([Use("true-dart", pressed="open")]).run(pattern_of(shape))
    new = after.piece("Front").shapes[0]
    assert new.seam_line.segment_lengths.min() > (0.01 if rise < 1e-3 else 0.005)
    (dart,) = new.darts
    mouth = new.seam_line.part(
        new.seam_line.length_of(dart.left), new.seam_line.length_of(dart.right)
    )
    assert mouth.n == (2 if rise < 1e-3 else 3)
