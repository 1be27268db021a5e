"""A piece split in two, through the pipeline."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve, Station
from seamwright.model import (
    Dart,
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
    build_shape,
)
from seamwright.pipeline import Pipeline, Use
from seamwright.plan import walk
from seamwright.testing.strategies import patterns

NAMES = ["top-left", "hem-left", "hem-right", "top-right"]
ACROSS: dict[str, Any] = {
    "start": "Back: top-left > hem-left @ 40 %",
    "end": "Back: top-right > hem-right @ 40 %",
    "names": {"Yoke": "top-left", "Lower": "Back: hem-left"},
}


def panel(size: str, width: float, **fields: Any) -> Shape:
    points = np.array([[0, 0], [width, 0], [width - 20, 300], [0, 300]], dtype=float)
    return build_shape(
        size=size,
        outline=Curve.polyline(points, closed=True),
        corners=[Station(3, 0.0), Station(0, 0.0), Station(1, 0.0), Station(2, 0.0)],
        corner_names=NAMES,
        notches=[
            Notch(name="hip", station=Station(1, 0.5)),
            Notch(name="", station=Station(3, 0.5)),
        ],
        **fields,
    )


def run(*parts: tuple[str, str]) -> Run:
    return Run(parts=tuple(RunPart(piece=p, marks=tuple(m.split(" > "))) for p, m in parts))


def style(**fields: Any) -> Pattern:
    sizes = (("S", 180.0), ("L", 220.0))
    back = Piece(name="Back", shapes=tuple(panel(s, w, **fields) for s, w in sizes))
    front = Piece(name="Front", shapes=tuple(panel(s, w) for s, w in sizes))
    return Pattern(
        name="skirt",
        pieces=(back, front),
        sizes=("S", "L"),
        base_size="S",
        seams=(
            Seam(
                name="side",
                sew=run(("Back", "hem-right > top-right")),
                to=run(("Front", "hem-right > top-right")),
                meet=(("hip", "hip"),),
            ),
            Seam(
                name="top",
                sew=run(("Front", "top-left > top-right")),
                to=run(("Back", "top-left > top-right")),
            ),
        ),
    )


def codes(record: Any) -> list[str]:
    return [f.code for f in record.findings]


def test_two_pieces_sewn_where_they_were_one() -> None:
    before = style(grain_line=GrainLine(start=(50.0, 20.0), end=(50.0, 100.0)))
    after, record = Pipeline([Use("split-piece", **ACROSS)]).run(before)
    assert [p.name for p in after.pieces] == ["Yoke", "Lower", "Front"]
    assert codes(record) == []
    for old in before.piece("Back").shapes:
        lower, yoke = (after.piece(n).in_size(old.size) for n in ("Lower", "Yoke"))
        assert lower.seam_line.area + yoke.seam_line.area == pytest.approx(
            old.seam_line.area, abs=1e-9
        )
        assert yoke.seam_line.bbox[1] == pytest.approx(180.0, abs=1e-9)
        assert [c.name for c in lower.corners] == [
            "split-start", "hem-left", "hem-right", "split-end",
        ]  # fmt: skip
        assert {n.name for n in lower.notches} == {"split-1", "hip", "notch-1"}
        assert {n.name for n in yoke.notches} == {"split-1"}
        for shape in (lower, yoke):
            assert shape.grain_line is not None
            way = np.subtract(shape.grain_line.end, shape.grain_line.start)
            assert way[0] == pytest.approx(0.0, abs=1e-9) and way[1] > 0.0
    found = walk(after)
    assert [s.name for s in found.seams] == ["side", "top", "Yoke to Lower"]
    assert np.abs(found.ease).max() < 1e-9
    assert found.seams[0].sew.pieces == ("Lower", "Yoke")
    assert found.seams[0].meet == (("Lower: hip", "hip"),)
    assert found.seams[2].meet == (("split-1", "split-1"),)


def test_numbered_marks_keep_their_numbers() -> None:
    before = style()
    after, _ = Pipeline([Use("split-piece", **ACROSS)]).run(before)
    lone = [n.name for n in before.piece("Back").in_size("S").notches if n.name != "hip"]
    kept = [n.name for name in ("Lower", "Yoke") for n in after.piece(name).in_size("L").notches]
    assert set(lone) <= set(kept)


def test_allowances_go_along_and_the_new_edges_get_theirs() -> None:
    before, _ = Pipeline(
        [Use("add-allowance", width="1 cm", edges={"Back: hem-left > hem-right": "4 cm"})]
    ).run(style())
    after, record = Pipeline([Use("split-piece", allowance="15 mm", **ACROSS)]).run(before)
    assert set(codes(record)) == {"cut-line.remade"}
    lower, yoke = (after.piece(n).in_size("S") for n in ("Lower", "Yoke"))
    for shape, wide in (
        (lower, {"hem-left": 40.0, "split-end": 15.0}),
        (yoke, {"split-start": 15.0}),
    ):
        widths = dict(zip((c.name for c in shape.corners), shape.allowances, strict=True))
        assert {k: w for k, w in widths.items() if w != 10.0} == wide
    assert lower.cut_line is not None and yoke.cut_line is not None
    assert lower.cut_line.bbox[1] == pytest.approx(-40.0, abs=1e-9)
    assert lower.cut_line.bbox[3] == pytest.approx(195.0, abs=1e-9)
    assert yoke.cut_line.bbox[1] == pytest.approx(165.0, abs=1e-9)


def test_along_a_curve_drawn_inside() -> None:
    def drawn(piece: Piece, shape: Shape) -> Shape:
        if piece.name != "Back":
            return shape
        x = shape.seam_line.bbox[2] - 20.0 * 200.0 / 300.0 - 1.0  # 1 mm short of the side
        curve = Curve.from_segments(
            np.array([[[1.0, 200.0], [60.0, 240.0], [100.0, 240.0], [x, 200.0]]])
        )
        line = InternalLine(kind=InternalKind.INTERNAL, curve=curve, name="yoke")
        return shape.but(internal_lines=(line,))

    before = style().map_shapes(drawn)
    after, record = Pipeline(
        [
            Use(
                "split-piece",
                line="Back: yoke",
                names={"Yoke": "top-left", "Lower": "hip"},
                notches=["2 cm", "50 %"],
            )
        ]
    ).run(before)
    assert codes(record) == []
    for old in before.piece("Back").shapes:
        upper, lower = (after.piece(n).in_size(old.size) for n in ("Yoke", "Lower"))
        assert upper.internal_lines == () and lower.internal_lines == ()
        assert upper.seam_line.area + lower.seam_line.area == pytest.approx(
            old.seam_line.area, abs=1e-8
        )
    assert np.abs(walk(after).ease).max() < 1e-8
    assert len(walk(after).seams[-1].meet) == 2


@settings(max_examples=40, deadline=None)
@given(patterns(), st.data())
def test_nothing_is_lost_or_won(pattern: Pattern, data: st.DataObject) -> None:
    piece = pattern.pieces[0]
    names = [c.name for c in piece.shapes[0].corners]
    i = data.draw(st.integers(0, len(names) - 1))
    j = (i + data.draw(st.integers(1, len(names) - 1))) % len(names)
    share = data.draw(st.sampled_from([0, 35, 50]))
    places = [
        f'"{piece.name}": {names[k]} > {names[(k + 1) % len(names)]} @ {share} %' for k in (i, j)
    ]
    if len(names) == 3 and share:  # an edge of a triangle may be told two ways
        places = [f'"{piece.name}": {names[k]} + {share} mm' for k in (i, j)]
    try:
        after, record = Pipeline([Use("split-piece", start=places[0], end=places[1])]).run(pattern)
    except SeamwrightError as error:
        assert error.finding.code in ("plan.way",)
        return
    if after is pattern:
        assert set(codes(record)) == {"pieces.refused"}
        return
    for old in piece.shapes:
        parts = [after.piece(f"{piece.name} {n}").in_size(old.size) for n in (1, 2)]
        assert sum(p.seam_line.area for p in parts) == pytest.approx(
            old.seam_line.area, rel=1e-12, abs=1e-7
        )
        cut = record.steps[0].figures["pieces"]
        length = next(r["split_length"] for r in cut if r["size"] == old.size)
        assert sum(p.seam_line.length for p in parts) == pytest.approx(
            old.seam_line.length + 2 * length, abs=1e-9 * 1e3
        )
        assert len(parts[0].notches) + len(parts[1].notches) >= len(old.notches) + 2
        for part in parts:
            assert part.seam_line.area > 0
            assert not len(part.seam_line.self_intersections().own)
    found, was = walk(after), walk(pattern)
    assert np.nanmax(np.abs(found.ease[-1])) < 1e-9
    lost = codes(record).count("pieces.seam-lost")
    assert len(found.seams) == len(was.seams) + 1 - lost
    if not lost:
        np.testing.assert_allclose(found.sew_lengths[: len(was.seams)], was.sew_lengths, atol=1e-6)


def test_a_dart_is_not_cut_in_two() -> None:
    dart = Dart(name="hip dart", left=Station(2, 0.4), right=Station(2, 0.5), apex=(80.0, 120.0))
    before = style(darts=(dart,))
    assert len(before.piece("Back").shapes[0].darts) == 1
    after, record = Pipeline([Use("split-piece", **ACROSS)]).run(before)
    assert after is before
    assert set(codes(record)) == {"pieces.refused"}


def test_a_line_that_leaves_the_piece_is_refused() -> None:
    points = np.array([[0, 0], [200, 0], [200, 200], [100, 60], [0, 200]], dtype=float)
    shape = build_shape(
        size="M",
        outline=Curve.polyline(points, closed=True),
    )
    before = Pattern(
        name="v", pieces=(Piece(name="V", shapes=(shape,)),), sizes=("M",), base_size="M"
    )
    names = {tuple(np.round(shape.seam_line.point_of(c.station))): c.name for c in shape.corners}
    after, record = Pipeline(
        [Use("split-piece", start=f"V: {names[(0, 200)]}", end=f"V: {names[(200, 200)]}")]
    ).run(before)
    assert after is before
    assert codes(record) == ["pieces.refused"]


@pytest.mark.parametrize(
    ("options", "code"),
    [
        ({"start": "Bak: hip", "end": "Back: hip"}, "plan.piece"),
        ({"start": "Back: hip", "end": "Front: hip"}, "split.two-pieces"),
        ({"line": "Back: yok"}, "split.line"),
        ({**ACROSS, "names": {"Front": "top-left"}}, "piece.name-taken"),
        ({**ACROSS, "names": {"Yoke": "top"}}, "plan.mark"),
        ({**ACROSS, "names": {"Yoke": "top-left", "Lower": "top-right"}}, "split.names"),
        ({**ACROSS, "notches": ["many"]}, "spot.unreadable"),
    ],
)
def test_what_is_not_there_is_named(options: dict[str, Any], code: str) -> None:
    with pytest.raises(SeamwrightError) as refused:
        Pipeline([Use("split-piece", **options)]).run(style())
    assert refused.value.finding.code == code


def test_one_selected_piece_becomes_two_and_the_rest_stays() -> None:
    before = style()
    after, _ = Pipeline([Use("split-piece", pieces=["Back"], **ACROSS)]).run(before)
    assert {p.name for p in after.pieces} == {"Lower", "Yoke", "Front"}
    assert after.piece("Front") is before.piece("Front")
    assert len(walk(after).seams) == 3


@pytest.mark.parametrize("selection", [{"sizes": ["S"]}, {"pieces": ["Front"]}])
def test_a_selection_that_would_leave_half_a_piece_is_refused(selection: dict[str, Any]) -> None:
    with pytest.raises(SeamwrightError) as refused:
        Pipeline([Use("split-piece", **selection, **ACROSS)]).run(style())
    assert refused.value.finding.code == "selection.too-narrow"
