"""Every entity is counted: converted, kept aside, or reported with its reason."""

from __future__ import annotations

import numpy as np
from dxf_zoo import PLAIN, Tag, encode, tags_of

from seamwright.plugins.api import Context, ReadResult, Severity, Source
from seamwright_dxf.options import DxfIn
from seamwright_dxf.read import read

RARE = (
    "3DSOLID", "ACAD_PROXY_ENTITY", "ACAD_TABLE", "ARC_DIMENSION", "ATTDEF", "BODY", "DIMENSION",
    "HATCH", "HELIX", "IMAGE", "LEADER", "LIGHT", "MESH", "MLINE", "MULTILEADER", "OLE2FRAME",
    "PDFUNDERLAY", "RAY", "REGION", "SECTION_X", "SHAPE", "SUN", "SURFACE", "TABLE_X", "TOLERANCE",
    "VIEWPORT", "WIPEOUT", "XLINE", "MADE_UP", "ACIDBLOCKREFERENCE",
)  # fmt: skip


def read_bytes(data: bytes, options: DxfIn | None = None) -> ReadResult:
    return read(Source(name="x.dxf", data=data), options or DxfIn(), Context())


def with_entities(extra: list[Tag]) -> bytes:
    tags = tags_of(PLAIN)
    at = len(tags) - 2
    return encode([*tags[:at], *extra, *tags[at:]])


def test_thirty_kinds_of_entities_are_each_counted_and_named() -> None:
    extra: list[Tag] = []
    for number, kind in enumerate(RARE):
        for _ in range(1 + number % 3):
            extra += [(0, kind), (8, "odd"), (10, 1.0), (20, 2.0)]
    result = read_bytes(with_entities(extra))
    counts = result.facts["entities"]
    for number, kind in enumerate(RARE):
        assert counts[kind] == {"read": 1 + number % 3, "kept aside": 1 + number % 3}, kind
        (finding,) = [
            f for f in result.findings if f.code == "dxf.entity-kept" and f" {kind} " in f.message
        ]
        assert finding.severity is Severity.WARNING and finding.line is not None
    for kind, each in counts.items():
        assert sum(v for k, v in each.items() if k != "read") == each["read"], kind
    kept = [f for f in result.pattern.foreign if f.where.split()[0] in RARE]
    assert len(kept) == sum(1 + n % 3 for n in range(len(RARE)))
    (balance,) = [f for f in result.findings if f.code == "dxf.entities"]
    assert balance.severity is Severity.WARNING
    assert balance.measured is not None and balance.limit is not None
    assert balance.limit - balance.measured == len(kept)


def test_a_clean_file_balances_with_a_note() -> None:
    result = read_bytes(encode(tags_of(PLAIN)))
    (balance,) = [f for f in result.findings if f.code == "dxf.entities"]
    assert balance.severity is Severity.NOTE
    assert balance.measured == balance.limit


def test_paper_space_is_told_and_left_out() -> None:
    extra: list[Tag] = [
        (0, "LINE"), (67, 1), (8, "1"), (10, 0.0), (20, 0.0), (11, 9.0), (21, 9.0),
    ]  # fmt: skip
    result = read_bytes(with_entities(extra))
    (finding,) = [f for f in result.findings if f.code == "dxf.paper-space"]
    assert finding.message.startswith("1 entities")


def test_a_stray_line_beside_the_blocks_is_kept_aside() -> None:
    extra: list[Tag] = [
        (0, "LINE"), (8, "0"), (10, -900.0), (20, -900.0), (11, -800.0), (21, -900.0),
    ]  # fmt: skip
    result = read_bytes(with_entities(extra))
    (finding,) = [f for f in result.findings if f.code == "dxf.homeless"]
    assert (finding.x, finding.y) == (-900.0, -900.0)
    assert any(f.where.startswith("LINE on layer 0") for f in result.pattern.foreign)


def test_a_line_on_an_unknown_layer_inside_a_piece_is_an_internal_line() -> None:
    tags = tags_of(PLAIN)
    at = tags.index((0, "ENDBLK"))
    line: list[Tag] = [
        (0, "LINE"), (8, "SMOCKING"), (10, 50.0), (20, 90.0), (11, 99.0), (21, 90.0),
    ]  # fmt: skip
    result = read_bytes(encode([*tags[:at], *line, *tags[at:]]))
    found = [
        x
        for x in result.pattern.piece("FRONT").in_size("S").internal_lines
        if x.layer == "SMOCKING"
    ]
    assert len(found) == 1
    assert [f.piece for f in result.findings if f.code == "dxf.layer"] == ["FRONT"]


def test_unknown_texts_stay_texts_and_known_keys_become_fields() -> None:
    tags = tags_of(PLAIN)
    at = tags.index((0, "ENDBLK"))
    more: list[Tag] = []
    for k, text in enumerate(
        [
            "Fabric Group: A",
            "Rotation: 90",
            "flip:X",
            "Fold :N",
            "Annotation: cut with care",
            "hem 3",
        ]
    ):
        more += [(0, "TEXT"), (8, "1"), (10, 100.0), (20, 300.0 + k), (40, 5.0), (1, text)]
    result = read_bytes(encode([*tags[:at], *more, *tags[at:]]))
    shape = result.pattern.piece("FRONT").in_size("S")
    assert dict(shape.flags) == {"rotation": "90", "flip": "X", "fold": "N"}
    texts = [t.text for t in shape.texts]
    assert texts == [
        "CUT ON STRAIGHT GRAIN", "Fabric Group: A", "Annotation: cut with care", "hem 3",
    ]  # fmt: skip


def test_mtext_is_read_without_its_codes() -> None:
    tags = tags_of(PLAIN)
    at = tags.index((0, "ENDBLK"))
    more: list[Tag] = [
        (0, "MTEXT"), (8, "15"), (10, 100.0), (20, 300.0), (40, 5.0), (11, 0.0), (21, 1.0),
        (3, r"{\fArial|b0;cut \H2x;two} "), (1, r"\Pon the fold \S1/2;"),
    ]  # fmt: skip
    result = read_bytes(encode([*tags[:at], *more, *tags[at:]]))
    (text,) = [t for t in result.pattern.piece("FRONT").in_size("S").texts if "fold" in t.text]
    assert text.text == "cut two \non the fold 1/2"
    assert text.rotation == 90.0


def test_hidden_layers_are_named() -> None:
    table: list[Tag] = [
        (0, "SECTION"), (2, "TABLES"), (0, "TABLE"), (2, "LAYER"),
        (0, "LAYER"), (2, "8"), (70, 1), (62, 7), (0, "LAYER"), (2, "11"), (70, 0), (62, -3),
        (0, "ENDTAB"), (0, "ENDSEC"),
    ]  # fmt: skip
    tags = tags_of(PLAIN)
    at = tags.index((0, "ENDSEC")) + 1
    result = read_bytes(encode([*tags[:at], *table, *tags[at:]]))
    messages = [f.message for f in result.findings if f.code == "dxf.layer-hidden"]
    assert len(messages) == 2 and '"8" is frozen' in messages[0] and '"11" is off' in messages[1]


def test_comments_and_header_are_facts() -> None:
    data = b"999\nmade by hand\n" + encode(tags_of(PLAIN))
    result = read_bytes(data)
    assert result.facts["comments"] == ["made by hand"]


def test_layers_5_6_9_10_and_the_validation_curves() -> None:
    tags = tags_of(PLAIN)
    at = tags.index((0, "ENDBLK"))
    more: list[Tag] = []
    for layer, y in ((5, 100.0), (5, 110.0), (9, 120.0), (10, 130.0)):
        more += [(0, "LINE"), (8, str(layer)), (10, 20.0), (20, y), (11, 90.0), (21, y)]
    for layer in (84, 85, 86, 87):
        more += [(0, "POLYLINE"), (8, str(layer)), (66, 1), (70, 0)]
        for x in (20.0, 40.0, 60.0):
            more += [(0, "VERTEX"), (8, str(layer)), (10, x), (20, 150.0 + layer)]
        more += [(0, "SEQEND"), (8, str(layer))]
    result = read_bytes(encode([*tags[:at], *more, *tags[at:]]))
    shape = result.pattern.piece("FRONT").in_size("S")
    kinds = [line.kind.value for line in shape.internal_lines]
    assert kinds == [
        "internal", "cutout", "grade-reference", "alternate-grade-reference", "stripe", "plaid",
        "validation", "validation", "validation", "validation",
    ]  # fmt: skip
    assert [line.layer for line in shape.internal_lines[-4:]] == ["84", "85", "86", "87"]
    assert all(np.isfinite(line.curve.length) for line in shape.internal_lines)
