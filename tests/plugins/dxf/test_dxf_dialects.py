"""One style in many dialects: whatever way it is written, the same pattern comes out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from dxf_zoo import (
    DIALECTS,
    PLAIN,
    SIZES,
    Dialect,
    Drawn,
    encode,
    moved,
    piece,
    style,
    tags_of,
    write,
)

from seamwright.model import NotchType, Pattern, Shape
from seamwright.plugins.api import Context, ReadResult, Severity, Source
from seamwright_dxf.options import DxfIn
from seamwright_dxf.read import read


def read_bytes(data: bytes, options: DxfIn | None = None, **beside: bytes) -> ReadResult:
    named = {"." + k: v for k, v in beside.items()}
    return read(Source(name="style.dxf", data=data, beside=named), options or DxfIn(), Context())


def codes(result: ReadResult, severity: Severity | None = None) -> list[str]:
    return [f.code for f in result.findings if severity is None or f.severity is severity]


def assert_counts_add_up(result: ReadResult) -> None:
    for name, counts in result.facts["entities"].items():
        total = sum(v for k, v in counts.items() if k != "read")
        assert total == counts["read"], name


@pytest.mark.parametrize("name", DIALECTS)
def test_every_dialect_says_the_same_style(name: str) -> None:
    dialect = DIALECTS[name]
    result = read_bytes(write(dialect))
    pattern = result.pattern
    assert_counts_add_up(result)
    assert not codes(result, Severity.ERROR)
    assert pattern.name == "CHORUS BLOUSE"
    assert pattern.sizes == SIZES
    assert pattern.base_size == "M"
    assert [p.name for p in pattern.pieces] == ["FRONT", "BACK"]
    # Rounding to the file's decimals moves every vertex by half of its last digit.
    rounding = 0.5 * 10**-dialect.decimals / dialect.scale * 2**0.5
    for item in style():
        found = pattern.piece(item.name)
        assert found.quantity == item.quantity
        assert found.material == "SHELL"
        assert found.category == "BODY"
        shape = found.in_size(item.size)
        check_shape(shape, item, rounding + (0.005 if dialect.closing == "near" else 1e-9))


def check_shape(shape: Shape, item: Drawn, slack: float) -> None:
    curve = shape.seam_line
    assert curve.n == len(item.outline)
    assert curve.area > 0
    assert abs(curve.length - item.length) <= 2 * slack * curve.n
    assert curve.nearest(item.outline).distances.max() <= slack
    at = [c.station.segment for c in shape.corners]
    corners = curve.points_of(at, [0.0] * len(at))
    wanted = item.outline[list(item.turns)]
    apart = np.hypot(*(corners[:, None] - wanted[None]).T).min(axis=0)
    assert len(corners) == len(wanted) and apart.max() <= slack
    kinds = {4: NotchType.SLIT, 80: NotchType.T, 81: NotchType.CASTLE, 83: NotchType.U}
    assert sorted(n.type for n in shape.notches) == sorted(kinds[k] for k, _, _ in item.notches)
    for layer, share, depth in item.notches:
        (notch,) = [n for n in shape.notches if n.type is kinds[layer]]
        assert np.hypot(*(curve.point_of(notch.station) - item.place(share))) <= 2 * slack + 1e-9
        assert notch.depth == pytest.approx(depth, abs=2 * slack + 1e-9)
        assert notch.angle == pytest.approx(0.0, abs=max(0.2, 40 * slack))
    assert shape.grain_line is not None
    grain = np.array([shape.grain_line.start, shape.grain_line.end])
    assert np.abs(grain - item.grain).max() <= slack
    kinds_inside = sorted(line.kind.value for line in shape.internal_lines)
    assert kinds_inside == ["cutout", "internal"]
    assert [h.at for h in shape.drill_holes] == [pytest.approx(item.drill, abs=slack + 1e-9)]
    assert [t.text for t in shape.texts] == ["CUT ON STRAIGHT GRAIN"]


def test_corner_one_is_the_same_corner_in_every_size() -> None:
    pattern = read_bytes(write(PLAIN)).pattern
    for found in pattern.pieces:
        first = [s.seam_line.point_of(s.corners[0].station) for s in found.shapes]
        spread = np.ptp(np.array(first), axis=0)
        assert spread.max() < 20.0


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r", "\r\r\n"])
@pytest.mark.parametrize("pad", [0, 3, 6])
def test_line_ends_and_padding_do_not_matter(end: str, pad: int) -> None:
    plain = read_bytes(write(PLAIN)).pattern
    other = read_bytes(encode(tags_of(PLAIN), end=end, pad=pad)).pattern
    for a, b in zip(plain.pieces, other.pieces, strict=True):
        for s, t in zip(a.shapes, b.shapes, strict=True):
            assert np.array_equal(s.seam_line.segments, t.seam_line.segments)


@pytest.mark.parametrize(
    ("name", "encoding", "page", "version"),
    [
        ("Größe ø", "cp1252", "ANSI_1252", "AC1009"),
        ("Größe 線", "utf-8", "ANSI_1252", "AC1009"),
        ("Größe 線", "utf-8", "", ""),
        ("前身頃 線", "cp932", "ANSI_932", "AC1015"),
        ("前身 袖", "gbk", "ANSI_936", "AC1015"),
        ("Größe 線", "utf-8", "ANSI_1252", "AC1024"),
        (r"Gr\U+00F6\U+00DFe \U+7DDA", "ascii", "", "AC1015"),
        (r"Gr%%246%%223e \U+7DDA", "ascii", "ANSI_1252", "AC1009"),
    ],
)
def test_names_survive_every_encoding(name: str, encoding: str, page: str, version: str) -> None:
    header = []
    if version:
        header.append(("$ACADVER", 1, version))
    if page:
        header.append(("$DWGCODEPAGE", 3, page))
    dialect = Dialect(header=tuple(header), piece_name=lambda n: f"{name} {n}")
    result = read_bytes(encode(tags_of(dialect), encoding=encoding))
    wanted = name if "\\" not in name and "%%" not in name else "Größe 線"
    assert [p.name for p in result.pattern.pieces] == [f"{wanted} FRONT", f"{wanted} BACK"]


def test_a_lone_broken_byte_is_told_and_does_not_stop_the_reader() -> None:
    data = encode(tags_of(PLAIN)).replace(b"CUT ON", b"CUT \xff\xfe\x81 ON", 1)
    result = read_bytes(b"999\nx\n" + data, DxfIn(encoding="utf-8"))
    assert "dxf.byte" in codes(result)
    assert len(result.pattern.pieces) == 2


def test_an_unknown_code_page_is_read_as_cp1252_with_a_warning() -> None:
    dialect = Dialect(piece_name=lambda n: f"Größe {n}")
    result = read_bytes(encode(tags_of(dialect), encoding="cp1252"))
    assert result.pattern.pieces[0].name == "Größe FRONT"
    assert "dxf.encoding" in codes(result, Severity.WARNING)


def test_far_from_the_origin_lengths_stay_the_same() -> None:
    far = [moved(i, 5.7e6, 5.7e6) for i in style()]
    near = read_bytes(write(Dialect(decimals=6))).pattern
    away = read_bytes(write(Dialect(decimals=6), far)).pattern
    for a, b in zip(near.pieces, away.pieces, strict=True):
        for s, t in zip(a.shapes, b.shapes, strict=True):
            assert t.seam_line.length == pytest.approx(s.seam_line.length, abs=1e-6 * s.seam_line.n)
            assert len(s.corners) == len(t.corners)


def test_a_size_with_another_topology_is_read_and_named() -> None:
    items = style()
    odd = items[1]  # FRONT in M
    items[1] = replace(odd, notches=odd.notches[:-1])
    result = read_bytes(write(PLAIN, items))
    found = [f for f in result.findings if f.code == "nest.topology"]
    assert [(f.piece, f.size, f.measured, f.limit) for f in found] == [("FRONT", "M", 3.0, 4.0)]
    assert len(result.pattern.piece("FRONT").in_size("M").notches) == 3


def test_two_pieces_of_one_name_both_come_through() -> None:
    items = [*style(("M",)), piece("FRONT", "M")]
    dialect = Dialect(where="entities")
    beside = moved(items[2], 2000.0, 0.0)
    result = read_bytes(write(dialect, [*items[:2], beside]))
    assert [p.name for p in result.pattern.pieces] == ["FRONT", "BACK", "FRONT-2"]
    assert "name.twice" in codes(result)


def test_style_data_is_in_the_facts_and_in_the_pattern() -> None:
    result = read_bytes(write(PLAIN))
    assert result.facts["style"]["Author"] == "wardrobe"
    assert dict(result.pattern.notes) == {"Author": "wardrobe", "Creation Date": "12-03-2024"}


def test_a_pattern_has_no_numpy_scalars_where_plain_numbers_belong() -> None:
    pattern: Pattern = read_bytes(write(PLAIN)).pattern
    shape = pattern.pieces[0].shapes[0]
    for notch in shape.notches:
        assert type(notch.station.t) is float and type(notch.station.segment) is int
        assert type(notch.depth) is float and type(notch.offset[0]) is float
    assert all(type(s.segment) is int for s in shape.curve_points)
    assert all(type(v) is float for v in shape.drill_holes[0].at)
