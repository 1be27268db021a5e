"""Blocks: scale, rotation, mirror, nesting, arrays, layer 0, bombs."""

from __future__ import annotations

import math
import time

import numpy as np
import pytest
from dxf_zoo import PLAIN, Dialect, Sheet, Tag, encode, piece, style

from seamwright.geometry import Curve
from seamwright.plugins.api import Context, Limits, ReadResult, SeamwrightError, Source
from seamwright_dxf.options import DxfIn
from seamwright_dxf.read import read


def read_bytes(
    data: bytes, options: DxfIn | None = None, limits: Limits | None = None
) -> ReadResult:
    ctx = Context(limits=limits or Limits())
    return read(Source(name="x.dxf", data=data), options or DxfIn(), ctx)


def block(name: str, content: list[Tag], base: tuple[float, float] = (0.0, 0.0)) -> list[Tag]:
    return [
        (0, "BLOCK"), (8, "0"), (2, name), (70, 0), (10, base[0]), (20, base[1]), *content,
        (0, "ENDBLK"), (8, "0"),
    ]  # fmt: skip


def insert(name: str, *more: Tag, layer: str = "0") -> list[Tag]:
    return [(0, "INSERT"), (8, layer), (2, name), *more]


def file(blocks: list[Tag], entities: list[Tag], header: list[Tag] | None = None) -> bytes:
    return encode(
        [
            (0, "SECTION"), (2, "HEADER"), *(header or []), (0, "ENDSEC"),
            (0, "SECTION"), (2, "BLOCKS"), *blocks, (0, "ENDSEC"),
            (0, "SECTION"), (2, "ENTITIES"), *entities, (0, "ENDSEC"), (0, "EOF"),
        ]
    )  # fmt: skip


def a_piece(dialect: Dialect = PLAIN) -> list[Tag]:
    sheet = Sheet(dialect)
    sheet.draw(piece("FRONT", "M"))
    return sheet.tags


METRIC: list[Tag] = [(0, "TEXT"), (8, "1"), (10, 0), (20, 0), (40, 5), (1, "Units: METRIC")]


def matrix_of(xs: float, ys: float, angle: float, x: float, y: float) -> np.ndarray:
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    return np.array([[c * xs, -s * ys, x], [s * xs, c * ys, y]])


@pytest.mark.parametrize(
    ("xs", "ys", "angle", "x", "y"),
    [
        (1.0, 1.0, 0.0, 500.0, 30.0),
        (-1.0, 1.0, 0.0, 0.0, 0.0),
        (1.0, -1.0, 0.0, 10.0, 0.0),
        (1.0, 1.0, 90.0, 0.0, 0.0),
        (1.0, 1.0, 33.0, 5.0, 7.0),
        (-1.0, 1.0, 33.0, 5.0, 7.0),
        (25.4, 25.4, 0.0, 0.0, 0.0),
        (0.5, 0.5, 200.0, 1.0, 2.0),
    ],
)
def test_a_piece_follows_its_insert_notches_and_all(
    xs: float, ys: float, angle: float, x: float, y: float
) -> None:
    """Place, depth and direction of a notch are transformed with the block."""
    item = piece("FRONT", "M")
    dialect = Dialect(scale=1 / abs(xs), decimals=8)
    placed = insert("F", (10, x), (20, y), (41, xs), (42, ys), (50, angle))
    result = read_bytes(file(block("F", a_piece(dialect)), [*placed, *METRIC]))
    shape = result.pattern.piece("FRONT").in_size("M")
    m = matrix_of(xs, ys, angle, x, y)

    def to(p: np.ndarray) -> np.ndarray:
        return np.asarray(np.asarray(p) / abs(xs) @ m[:, :2].T + m[:, 2])

    assert shape.seam_line.area > 0
    assert shape.seam_line.nearest(to(item.outline)).distances.max() <= 1e-6
    for notch, (_, share, depth) in zip(
        sorted(shape.notches, key=lambda n: n.type),
        sorted(item.notches, key=lambda n: {4: "slit", 80: "t", 81: "castle", 83: "u"}[n[0]]),
        strict=True,
    ):
        assert np.hypot(*(shape.seam_line.point_of(notch.station) - to(item.place(share)))) <= 1e-6
        assert notch.depth == pytest.approx(depth, abs=1e-6)
        # Drawn square to the line, so they stay square to it under every similarity.
        assert notch.angle == pytest.approx(0.0, abs=0.1)
    assert shape.grain_line is not None
    assert np.allclose([shape.grain_line.start, shape.grain_line.end], to(item.grain), atol=1e-6)
    assert len(shape.corners) == len(item.turns)


def test_a_mirrored_extrusion_turns_block_content_over() -> None:
    placed = insert("F", (10, 0.0), (20, 0.0), (210, 0.0), (220, 0.0), (230, -1.0))
    result = read_bytes(file(block("F", a_piece()), [*placed, *METRIC]))
    shape = result.pattern.pieces[0].shapes[0]
    item = piece("FRONT", "M")
    assert shape.seam_line.nearest(item.outline * [-1, 1]).distances.max() <= 1e-3
    assert shape.seam_line.area > 0


def test_pairs_are_counted_right_and_left() -> None:
    content = [t for t in a_piece() if not str(t[1]).startswith("Quantity")]
    pair = [*insert("F", (10, 0.0), (20, 0.0)), *insert("F", (10, 900.0), (20, 0.0), (41, -1.0))]
    result = read_bytes(file(block("F", content), [*pair, *METRIC]))
    assert len(result.pattern.pieces) == 1
    assert result.pattern.pieces[0].quantity == (1, 1)


def test_a_piece_wrapped_in_another_block_keeps_both_blocks_words() -> None:
    note: list[Tag] = [(0, "TEXT"), (8, "15"), (10, 100), (20, 100), (40, 5), (1, "wrapped")]
    blocks = [
        *block("INNER", a_piece()),
        *block("OUTER", [*insert("INNER", (10, 50.0), (20, 0.0)), *note]),
    ]
    result = read_bytes(file(blocks, [*insert("OUTER", (10, 0.0), (20, 7.0)), *METRIC]))
    shape = result.pattern.piece("FRONT").in_size("M")
    assert (
        shape.seam_line.nearest(piece("FRONT", "M").outline + np.array([50, 7])).distances.max()
        <= 1e-3
    )
    assert "wrapped" in [t.text for t in shape.texts]


def test_a_layout_block_of_several_pieces_gives_each() -> None:
    blocks: list[Tag] = []
    inside: list[Tag] = []
    for item in style(("M",)):
        sheet = Sheet(PLAIN)
        sheet.draw(item)
        blocks += block(item.name, sheet.tags)
        inside += insert(item.name, (10, 10.0), (20, 20.0))
    blocks += block("ALL", inside)
    result = read_bytes(file(blocks, [*insert("ALL", (10, 100.0), (20, 0.0)), *METRIC]))
    assert [p.name for p in result.pattern.pieces] == ["FRONT", "BACK"]
    found = result.pattern.piece("BACK").in_size("M").seam_line
    assert found.nearest(piece("BACK", "M").outline + np.array([110, 20])).distances.max() <= 1e-3


def test_content_on_layer_0_takes_the_layer_of_its_insert() -> None:
    hole: list[Tag] = [(0, "POINT"), (8, "0"), (10, 0.0), (20, 0.0)]
    content = [*a_piece(), *insert("HOLE", (10, 120.0), (20, 300.0), layer="13")]
    blocks = [*block("HOLE", hole), *block("F", content)]
    result = read_bytes(file(blocks, [*insert("F", (10, 0.0), (20, 0.0)), *METRIC]))
    at = [h.at for h in result.pattern.pieces[0].shapes[0].drill_holes]
    assert (120.0, 300.0) in at and len(at) == 2


def test_a_bulged_outline_through_base_point_scale_mirror_and_array() -> None:
    """One closed curve stays one closed curve, its points where the matrices put them."""
    bulged: list[Tag] = [(0, "LWPOLYLINE"), (8, "0"), (90, 3), (70, 1)]
    for x, y, b in ((0.0, 0.0, 0.0), (60.0, 0.0, 0.5), (60.0, 40.0, -0.25)):
        bulged += [(10, x), (20, y), (42, b)]
    blocks = [
        *block("IN", bulged, base=(3.0, 4.0)),
        *block("OUT", insert("IN", (10, 7.0), (20, 5.0), (41, 2.0), (42, 2.0), (50, 30.0))),
    ]
    array = insert(
        "OUT", (10, 100.0), (20, 50.0), (41, -1.0), (42, 1.0), (70, 3), (71, 2), (44, 400.0),
        (45, 300.0), layer="cut",
    )  # fmt: skip
    header: list[Tag] = [(9, "$INSUNITS"), (70, 4)]
    result = read_bytes(file(blocks, array, header))
    shapes = [p.shapes[0] for p in result.pattern.pieces]
    assert len(shapes) == 6
    inner = matrix_of(2.0, 2.0, 30.0, 7.0, 5.0)
    outer = matrix_of(-1.0, 1.0, 0.0, 100.0, 50.0)
    source = np.array([[0.0, 0.0], [60.0, 0.0], [60.0, 40.0]])
    # Sagitta of a bulge b over a chord c: b c / 2, to the right of the chord for b above 0.
    apex = np.array([[60.0 + 0.5 * 40.0 / 2, 20.0]])
    wanted = []
    for column in range(3):
        for row in range(2):
            p = np.vstack((source, apex)) - [3.0, 4.0]
            p = p @ inner[:, :2].T + inner[:, 2]
            p = p @ outer[:, :2].T + outer[:, 2]
            # Columns and rows run in the INSERT's own axes, after its rotation (here none).
            wanted.append(p + np.array([column * 400.0, row * 300.0]))
    for points in wanted:
        near = min(float(s.seam_line.nearest(points).distances.max()) for s in shapes)
        assert near <= 1e-6
    assert all(s.seam_line.closed and s.seam_line.area > 0 for s in shapes)


def test_texts_and_attributes_of_a_block() -> None:
    attributes: list[Tag] = []
    for tag, value in (("PIECE_NAME", "YOKE"), ("SIZE", "M"), ("COLOUR", "red")):
        attributes += [
            (0, "ATTRIB"),
            (8, "1"),
            (10, 100.0),
            (20, 200.0),
            (40, 5.0),
            (1, value),
            (2, tag),
        ]
    outline: list[Tag] = []
    sheet = Sheet(PLAIN)
    sheet.outline(1, piece("FRONT", "M").outline)
    outline = sheet.tags
    placed = [*insert("Y", (66, 1), (10, 0.0), (20, 0.0)), *attributes, (0, "SEQEND"), (8, "0")]
    result = read_bytes(file(block("Y", outline), [*placed, *METRIC]))
    found = result.pattern.pieces[0]
    assert (found.name, found.sizes) == ("YOKE", ("M",))
    assert [t.text for t in found.shapes[0].texts] == ["red"]


# -- limits ----------------------------------------------------------------------------------


def refused(data: bytes, limits: Limits | None = None) -> SeamwrightError:
    began = time.process_time()
    with pytest.raises(SeamwrightError) as caught:
        read_bytes(data, limits=limits)
    assert time.process_time() - began < 2.0
    return caught.value


def test_a_cyclic_block_is_refused_by_name() -> None:
    blocks = [*block("A", insert("B")), *block("B", insert("C")), *block("C", insert("A"))]
    error = refused(file(blocks, insert("A")))
    assert error.finding.code == "dxf.block-cycle"
    assert '"A"' in error.finding.message or '"B"' in error.finding.message


def test_a_block_bomb_is_counted_and_never_expanded() -> None:
    blocks: list[Tag] = block("B0", [(0, "POINT"), (8, "1"), (10, 0.0), (20, 0.0)])
    for level in range(1, 12):
        blocks += block(f"B{level}", insert(f"B{level - 1}") * 10)
    error = refused(file(blocks, insert("B11")))
    assert error.finding.code == "dxf.bomb"
    assert error.finding.measured == pytest.approx(sum(10.0**k for k in range(12)), rel=1e-12)


def test_a_huge_array_is_counted() -> None:
    blocks = block("P", [(0, "POINT"), (8, "1"), (10, 0.0), (20, 0.0)])
    error = refused(file(blocks, insert("P", (70, 32767), (71, 32767))))
    assert error.finding.code == "dxf.bomb"
    assert error.finding.measured == 32767.0**2


def test_the_limit_of_copies_can_be_raised_and_lowered() -> None:
    blocks = [
        *block("P", [(0, "POINT"), (8, "4"), (10, 0.0), (20, 0.0)]),
        *block("F", [*a_piece(), *insert("P", (70, 4), (71, 5), (44, 1.0), (45, 1.0))]),
    ]
    data = file(blocks, [*insert("F", (10, 0.0), (20, 0.0)), *METRIC])
    assert refused(data, Limits(instances=10)).finding.code == "dxf.bomb"
    assert len(read_bytes(data).pattern.pieces) == 1


def test_nesting_beyond_32_is_refused() -> None:
    blocks: list[Tag] = block("B0", [(0, "POINT"), (8, "1"), (10, 0.0), (20, 0.0)])
    for level in range(1, 40):
        blocks += block(f"B{level}", insert(f"B{level - 1}"))
    assert refused(file(blocks, insert("B39"))).finding.code == "dxf.nesting"


def test_a_block_that_is_not_defined_is_an_error_finding() -> None:
    entities = [*insert("F", (10, 0.0), (20, 0.0)), *insert("GONE"), *METRIC]
    result = read_bytes(file(block("F", a_piece()), entities))
    (finding,) = [f for f in result.findings if f.code == "dxf.block-missing"]
    assert '"GONE"' in finding.message and finding.severity.value == "error"
    assert len(result.pattern.pieces) == 1


def test_a_stretched_piece_is_told() -> None:
    placed = insert("F", (10, 0.0), (20, 0.0), (41, 1.0), (42, 1.5))
    result = read_bytes(file(block("F", a_piece()), [*placed, *METRIC]))
    assert "dxf.uneven-scale" in [f.code for f in result.findings]
    assert isinstance(result.pattern.pieces[0].shapes[0].seam_line, Curve)
