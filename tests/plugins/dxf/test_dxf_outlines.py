"""Outlines: seam line and cut line, exploded ones, drawn twice, fold lines, notch places."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from dxf_zoo import DIALECTS, PLAIN, Sheet, Tag, encode, piece, style, tags_of, write

from seamwright.geometry import Curve
from seamwright.model import LineRole, NotchType, SeamLineSource, Shape
from seamwright.plugins.api import Context, Finding, Length, ReadResult, Severity, Source
from seamwright_dxf.options import DxfIn
from seamwright_dxf.read import read

METRIC: list[Tag] = [(0, "TEXT"), (8, "1"), (10, 0), (20, 0), (40, 5), (1, "Units: METRIC")]


def read_bytes(data: bytes, options: DxfIn | None = None) -> ReadResult:
    return read(Source(name="x.dxf", data=data), options or DxfIn(), Context())


def found(result: ReadResult, code: str) -> list[Finding]:
    return [f for f in result.findings if f.code == code]


def one_block(content: list[Tag]) -> bytes:
    return encode(
        [
            (0, "SECTION"), (2, "BLOCKS"), (0, "BLOCK"), (8, "0"), (2, "P"), (70, 0), (10, 0.0),
            (20, 0.0), *content, (0, "ENDBLK"), (8, "0"), (0, "ENDSEC"),
            (0, "SECTION"), (2, "ENTITIES"), (0, "INSERT"), (8, "0"), (2, "P"), *METRIC,
            (0, "ENDSEC"), (0, "EOF"),
        ]
    )  # fmt: skip


def ring(points: np.ndarray, layer: int) -> list[Tag]:
    sheet = Sheet(replace(PLAIN, decimals=6))
    sheet.polyline(layer, points, True, "polyline")
    return sheet.tags


def only(result: ReadResult) -> Shape:
    (got,) = result.pattern.pieces
    (shape,) = got.shapes
    return shape


SQUARE = np.array([[0.0, 0.0], [300.0, 0.0], [300.0, 400.0], [0.0, 400.0]])
INNER = np.array([[10.0, 10.0], [290.0, 10.0], [290.0, 390.0], [10.0, 390.0]])


def test_a_closed_sew_line_inside_the_boundary_is_the_seam_line() -> None:
    shape = only(read_bytes(one_block(ring(SQUARE, 1) + ring(INNER, 14))))
    assert shape.seam_line_source is SeamLineSource.FILE
    assert shape.seam_line.area == pytest.approx(280.0 * 380.0)
    assert shape.cut_line is not None and shape.cut_line.area == pytest.approx(300.0 * 400.0)
    assert not shape.internal_lines


def test_a_small_closed_sew_line_is_stitching_not_the_seam_line() -> None:
    pocket = INNER * 0.3 + 50.0
    result = read_bytes(one_block(ring(SQUARE, 1) + ring(pocket, 14)))
    shape = only(result)
    assert shape.cut_line is None and [x.kind.value for x in shape.internal_lines] == ["sew"]
    assert shape.seam_line_source is SeamLineSource.CUT_LINE
    assert found(result, "seam-line.missing")[0].severity is Severity.WARNING


def test_a_boundary_that_is_the_seam_line_by_statement() -> None:
    result = read_bytes(one_block(ring(SQUARE, 1)), DxfIn(boundary="seam line"))
    assert only(result).seam_line_source is SeamLineSource.FILE
    assert not found(result, "seam-line.missing")


def test_a_stated_allowance_makes_the_seam_line() -> None:
    result = read_bytes(one_block(ring(SQUARE, 1)), DxfIn(allowance=Length(10.0)))
    shape = only(result)
    assert shape.seam_line_source is SeamLineSource.DERIVED
    assert shape.seam_line.area == pytest.approx(280.0 * 380.0, abs=1e-6)
    assert shape.cut_line is not None and shape.cut_line.area == pytest.approx(120000.0)
    assert found(result, "seam-line.derived")


def test_an_allowance_wider_than_the_piece_is_refused_with_the_piece_kept() -> None:
    result = read_bytes(one_block(ring(SQUARE, 1)), DxfIn(allowance=Length(100.0)))
    assert only(result).seam_line.area > 0
    strip = SQUARE * [0.05, 1.0]
    result = read_bytes(one_block(ring(strip, 1)), DxfIn(allowance=Length(20.0)))
    assert found(result, "seam-line.failed")[0].severity is Severity.ERROR
    assert only(result).seam_line_source is SeamLineSource.CUT_LINE


def test_notches_stand_on_the_line_that_the_file_puts_them_on() -> None:
    content = ring(SQUARE, 1) + ring(INNER, 14)
    content += [(0, "POINT"), (8, "4"), (10, 120.0), (20, 0.0), (39, 5.0)]
    content += [(0, "POINT"), (8, "4"), (10, 290.0), (20, 200.0), (39, 5.0)]
    shape = only(read_bytes(one_block(content)))
    lines = {n.line: n for n in shape.notches}
    assert set(lines) == {LineRole.SEAM, LineRole.CUT}
    assert shape.cut_line is not None
    assert np.allclose(shape.cut_line.point_of(lines[LineRole.CUT].station), [120.0, 0.0])
    assert np.allclose(shape.seam_line.point_of(lines[LineRole.SEAM].station), [290.0, 200.0])


def test_a_notch_off_its_line_is_moved_and_reported_from_a_tenth_of_a_millimetre() -> None:
    def with_notch(off: float) -> ReadResult:
        mark: list[Tag] = [(0, "POINT"), (8, "4"), (10, 120.0), (20, -off), (39, 5.0)]
        return read_bytes(one_block(ring(SQUARE, 1) + mark))

    near = with_notch(0.05)
    assert not found(near, "notch.off-line")
    assert only(near).notches[0].distance == pytest.approx(0.05)
    far = with_notch(0.8)
    (finding,) = found(far, "notch.off-line")
    assert finding.measured == pytest.approx(0.8) and (finding.x, finding.y) == (120.0, -0.8)
    lost = with_notch(30.0)
    assert found(lost, "notch.astray") and not only(lost).notches
    assert [f.where for f in only(lost).foreign if "points" in f.where] == ["points on layer 4"]


@pytest.mark.parametrize(
    ("layer", "more", "kind"),
    [
        (4, [(39, 5.0)], NotchType.SLIT),
        (4, [(39, 5.0), (30, 4.0)], NotchType.V),
        (80, [(39, 5.0)], NotchType.T),
        (81, [(39, 5.0)], NotchType.CASTLE),
        (82, [(39, 5.0)], NotchType.CHECK),
        (83, [(39, 5.0)], NotchType.U),
    ],
)
def test_notch_types_by_layer(layer: int, more: list[Tag], kind: NotchType) -> None:
    mark: list[Tag] = [(0, "POINT"), (8, str(layer)), (10, 120.0), (20, 0.0), *more]
    (notch,) = only(read_bytes(one_block(ring(SQUARE, 1) + mark))).notches
    assert notch.type is kind and notch.depth == 5.0
    assert notch.width == (4.0 if len(more) == 2 else None)


def test_which_group_is_the_depth_can_be_said() -> None:
    mark: list[Tag] = [(0, "POINT"), (8, "4"), (10, 120.0), (20, 0.0), (30, 4.0), (39, 5.0)]
    data = one_block(ring(SQUARE, 1) + mark)
    (auto,) = only(read_bytes(data)).notches
    (other,) = only(read_bytes(data, DxfIn(notch_depth="30"))).notches
    assert (auto.depth, auto.width) == (5.0, 4.0)
    assert (other.depth, other.width) == (4.0, 5.0)
    assert found(read_bytes(data), "notch.depth-group")


def test_what_a_notch_angle_counts_from_can_be_said() -> None:
    mark: list[Tag] = [(0, "POINT"), (8, "4"), (10, 120.0), (20, 0.0), (39, 5.0), (50, 75.0)]
    data = one_block(ring(SQUARE, 1) + mark)
    (drawing,) = only(read_bytes(data)).notches
    (normal,) = only(read_bytes(data, DxfIn(notch_angle="from-normal"))).notches
    assert drawing.angle == pytest.approx(-15.0)  # the inward normal of the lower side points to 90
    assert normal.angle == pytest.approx(75.0)


def test_exploded_with_a_gap_is_closed_with_an_error_that_names_both_ends() -> None:
    tags: list[Tag] = []
    corners = [*SQUARE.tolist(), [0.0, 0.3]]
    for a, b in pairwise(corners):
        tags += [(0, "LINE"), (8, "1"), (10, a[0]), (20, a[1]), (11, b[0]), (21, b[1])]
    result = read_bytes(one_block(tags))
    (gap,) = found(result, "outline.gap")
    assert gap.measured == pytest.approx(0.3)
    (open_one,) = found(result, "outline.open")
    assert open_one.severity is Severity.ERROR and open_one.measured == pytest.approx(0.3)
    wide = read_bytes(one_block(tags), DxfIn(join=Length(0.4)))
    assert not found(wide, "outline.open") and only(wide).seam_line.n == 4


def test_a_boundary_exploded_and_drawn_twice_is_one_outline() -> None:
    sheet = Sheet(replace(PLAIN, boundary="shuffled"))
    item = piece("FRONT", "M")
    sheet.outline(1, item.outline)
    sheet.outline(1, item.outline)
    result = read_bytes(one_block(sheet.tags), DxfIn(duplicates="remove"))
    shape = only(result)
    assert shape.seam_line.n == len(item.outline) and not shape.internal_lines
    (finding,) = found(result, "line.twice")
    assert finding.measured == pytest.approx(item.length, rel=1e-4)
    kept = only(read_bytes(one_block(sheet.tags)))
    assert kept.seam_line.n == len(item.outline)
    assert len(kept.internal_lines) == len(item.outline)


def test_a_fold_line_on_an_edge_makes_a_half_and_unfolds_on_request() -> None:
    half = np.array([[0.0, 0.0], [150.0, 0.0], [150.0, 300.0], [90.0, 400.0], [0.0, 400.0]])
    content = ring(half, 1)
    for p in half:
        content += [(0, "POINT"), (8, "2"), (10, p[0]), (20, p[1])]
    content += [(0, "LINE"), (8, "6"), (10, 0.0), (20, 0.0), (11, 0.0), (21, 400.0)]
    content += [(0, "POINT"), (8, "4"), (10, 150.0), (20, 100.0), (39, 5.0), (50, 170.0)]
    content += [(0, "POINT"), (8, "13"), (10, 60.0), (20, 200.0)]
    data = one_block(content)
    shape = only(read_bytes(data))
    assert shape.mirrored_half and len(shape.corners) == 5
    whole = only(read_bytes(data, DxfIn(unfold=True)))
    assert not whole.mirrored_half
    assert whole.seam_line.area == pytest.approx(2 * shape.seam_line.area)
    # Straight across the fold nothing turns: hem and top keep no corner there.
    assert len(whole.corners) == 6
    assert len(whole.notches) == 2 and len(whole.drill_holes) == 2
    places = sorted(tuple(whole.seam_line.point_of(n.station)) for n in whole.notches)
    assert np.allclose(places, [(-150.0, 100.0), (150.0, 100.0)])
    angles = sorted(n.angle for n in whole.notches if n.angle is not None)
    assert angles == pytest.approx([-10.0, 10.0])


def test_a_fold_line_inside_leaves_the_piece_whole() -> None:
    content = ring(SQUARE, 1)
    content += [(0, "LINE"), (8, "6"), (10, 150.0), (20, 0.0), (11, 150.0), (21, 400.0)]
    shape = only(read_bytes(one_block(content), DxfIn(unfold=True)))
    assert not shape.mirrored_half
    assert shape.seam_line.area == pytest.approx(120000.0)


def test_a_plain_drawing_by_words_and_shapes() -> None:
    """No layer of the standard: the seam line by its word, a notch, a hole, a name by its text."""

    def poly(points: np.ndarray, layer: str) -> list[Tag]:
        out: list[Tag] = [(0, "LWPOLYLINE"), (8, layer), (90, len(points)), (70, 1)]
        for x, y in points:
            out += [(10, x), (20, y)]
        return out

    entities = poly(SQUARE, "Cut") + poly(INNER, "Seam line")
    entities += [(0, "LINE"), (8, "marks"), (10, 10.0), (20, 200.0), (11, 16.0), (21, 200.0)]
    entities += [(0, "CIRCLE"), (8, "marks"), (10, 100.0), (20, 100.0), (40, 2.0)]
    entities += [(0, "LINE"), (8, "Grain"), (10, 150.0), (20, 50.0), (11, 150.0), (21, 350.0)]
    entities += [(0, "TEXT"), (8, "0"), (10, 140.0), (20, 200.0), (40, 12.0), (1, "Cuff")]
    data = encode(
        [(0, "SECTION"), (2, "HEADER"), (9, "$INSUNITS"), (70, 4), (0, "ENDSEC"),
         (0, "SECTION"), (2, "ENTITIES"), *entities, (0, "ENDSEC"), (0, "EOF")]
    )  # fmt: skip
    result = read_bytes(data)
    (got,) = result.pattern.pieces
    shape = got.shapes[0]
    assert got.name == "Cuff"
    assert shape.seam_line.area == pytest.approx(280.0 * 380.0)
    assert shape.cut_line is not None and shape.seam_line_source is SeamLineSource.FILE
    assert len(shape.notches) == 1 and shape.notches[0].depth == pytest.approx(6.0)
    assert [h.diameter for h in shape.drill_holes] == [pytest.approx(4.0)]
    assert shape.grain_line is not None
    assert [t.text for t in shape.texts] == ["Cuff"]


def test_a_plain_nest_with_a_layer_for_each_size() -> None:
    entities: list[Tag] = []
    for k, size in enumerate(("S", "M", "L")):
        entities += [(0, "LWPOLYLINE"), (8, size), (90, 4), (70, 1)]
        for x, y in SQUARE * (1.0 + 0.03 * k) - 5.0 * k:
            entities += [(10, x), (20, y)]
    data = encode([(0, "SECTION"), (2, "ENTITIES"), *entities, (0, "ENDSEC"), (0, "EOF")])
    pattern = read_bytes(data).pattern
    assert pattern.sizes == ("S", "M", "L")
    assert [p.name for p in pattern.pieces] == ["piece-1"]


def test_text_and_piece_are_not_mirrored_on_the_way() -> None:
    """An asymmetric piece with a text at 30 degrees: the same orientation in the model."""
    tags = tags_of(PLAIN)
    at = tags.index((0, "ENDBLK"))
    more: list[Tag] = [
        (0, "TEXT"), (8, "15"), (10, 100.0), (20, 100.0), (40, 7.0), (50, 30.0), (1, "ABC"),
    ]  # fmt: skip
    result = read_bytes(encode([*tags[:at], *more, *tags[at:]]))
    shape = result.pattern.piece("FRONT").in_size("S")
    (text,) = [t for t in shape.texts if t.text == "ABC"]
    assert (text.rotation, text.height, text.at) == (30.0, 7.0, (100.0, 100.0))
    item = style()[0]
    assert isinstance(shape.seam_line, Curve)
    assert math.isclose(shape.seam_line.area, item.area, rel_tol=1e-5)
    assert shape.seam_line.nearest(item.outline).distances.max() < 1e-3


@pytest.mark.parametrize("name", ["lines shuffled", "everything in ENTITIES"])
def test_notes_of_joining_are_notes(name: str) -> None:
    result = read_bytes(write(DIALECTS[name]))
    for finding in found(result, "outline.joined"):
        assert finding.severity is Severity.NOTE


def notched_square(kind: str) -> np.ndarray:
    """A square with a notch cut into its lower side at x = 120 and one into its right side."""
    v = [[118.0, 0.0], [120.0, 6.0], [122.0, 0.0]]
    slit = [[120.0, 0.0], [120.0, 6.0], [120.0, 0.0]]
    castle = [[118.0, 0.0], [118.0, 5.0], [122.0, 5.0], [122.0, 0.0]]
    low = {"v": v, "slit": slit, "castle": castle}[kind]
    right = [[300.0 - y, 80.0 + x] for x, y in low]
    return np.array([[0.0, 0.0], *low, [300.0, 0.0], *right, [300.0, 400.0], [0.0, 400.0]])


@pytest.mark.parametrize("kind", ["v", "slit", "castle"])
@pytest.mark.parametrize("turn", [1, -1])
def test_notches_cut_into_the_outline_are_told_and_taken_out_on_request(
    kind: str, turn: int
) -> None:
    points = notched_square(kind)[::turn]
    data = one_block(ring(points, 1))
    left = read_bytes(data)
    (finding,) = found(left, "notch.cut-in")
    assert finding.severity is Severity.WARNING and finding.message.startswith("2 notches")
    assert only(left).seam_line.n == len(points) and not only(left).notches
    shape = only(read_bytes(data, DxfIn(cut_notches="take out")))
    assert shape.seam_line.length == pytest.approx(1400.0)
    assert len(shape.corners) == 4
    places = sorted(tuple(shape.seam_line.point_of(n.station)) for n in shape.notches)
    assert np.allclose(places, [(120.0, 0.0), (300.0, 200.0)])
    depth = {"v": 6.0, "slit": 6.0, "castle": 5.0}[kind]
    assert [n.depth for n in shape.notches] == [pytest.approx(depth)] * 2
    assert [n.angle for n in shape.notches] == [pytest.approx(0.0, abs=1e-6)] * 2


def test_corners_and_darts_are_no_cut_notches() -> None:
    """A tab of 10 mm, a dart's mouth, a zigzag hem: all of them drawn on purpose."""
    tab = np.array(
        [[0, 0], [100, 0], [100, -10], [110, -10], [110, 0], [300, 0], [300, 400], [0, 400]]
    )
    dart = np.array([[0, 0], [130, 0], [145, 90], [160, 0], [300, 0], [300, 400], [0, 400]])
    step = np.array([[0, 0], [100, 0], [106, 5], [300, 5], [300, 400], [0, 400]])
    for points in (tab, dart, step):
        assert not found(read_bytes(one_block(ring(points.astype(float), 1))), "notch.cut-in")


def test_a_text_that_says_fold_without_a_fold_line_is_told() -> None:
    words: list[Tag] = [(0, "TEXT"), (8, "1"), (10, 50.0), (20, 50.0), (40, 5.0), (1, "Fold:Y")]
    assert found(read_bytes(one_block(ring(SQUARE, 1) + words)), "fold.no-line")
