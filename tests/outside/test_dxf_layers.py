"""The layer table of ASTM D6673, held against the reader.

Source of the table: several implementers' summaries of D6673-10 that agree with each other
(second-hand; the body of the standard could not be opened). Clause 4.3 is reported to say that
layer 1 is required and must close, that layers 2 and 3 hold all turn and curve points of layers 1,
8, 11 and 14, and that layers 5, 6, 7, 9, 10 and 13 may not hold polylines. That the older
ANSI/AAMA-292 stops at layer 14 is from memory.
"""

from __future__ import annotations

import pytest

from seamwright.model import InternalKind, Shape
from seamwright.plugins.api import Context, Source
from seamwright_dxf.meaning.layers import KNOWN
from seamwright_dxf.options import DxfIn
from seamwright_dxf.read import read

TABLE = {
    1: "piece boundary; style and piece system text",
    2: "turn points of layers 1, 8, 11, 14",
    3: "curve points of layers 1, 8, 11, 14",
    4: "V-notch and slit notch",
    5: "grade reference line and alternate grade reference lines",
    6: "mirror line (fold)",
    7: "grain line",
    8: "internal lines, not cut",
    9: "stripe reference lines",
    10: "plaid reference lines",
    11: "internal cut-outs",
    13: "drill holes",
    14: "sew lines",
    15: "annotation text",
    80: "T-notch",
    81: "castle notch",
    82: "check notch",
    83: "U-notch",
    84: "quality validation curves of layer 1",
    85: "quality validation curves of layer 8",
    86: "quality validation curves of layer 11",
    87: "quality validation curves of layer 14",
}
"""Layer 12 is intentionally blank in D6673-10. With it: 15 + 4 notch + 4 validation = 23."""

SQUARE = [(0, 0), (300, 0), (300, 400), (0, 400)]


def drawing(layer: int) -> bytes:
    """A square piece with the layer's usual content on that layer, and turn points."""
    tags: list[tuple[int, object]] = [
        (0, "SECTION"),
        (2, "BLOCKS"),
        (0, "BLOCK"),
        (2, "P"),
        (70, 0),
    ]

    def polyline(name: int, points: list[tuple[float, float]]) -> None:
        tags.extend([(0, "POLYLINE"), (8, name), (66, 1), (70, 1)])
        for x, y in points:
            tags.extend([(0, "VERTEX"), (8, name), (10, x), (20, y)])
        tags.extend([(0, "SEQEND"), (8, name)])

    polyline(1, [(float(x), float(y)) for x, y in SQUARE])
    for x, y in SQUARE:
        tags.extend([(0, "POINT"), (8, 2), (10, x), (20, y)])
    if layer in (4, 13, 80, 81, 82, 83):
        tags.extend([(0, "POINT"), (8, layer), (10, 150.0), (20, 0.0), (39, 5.0)])
    elif layer in (5, 6, 7, 9, 10):
        tags.extend([(0, "LINE"), (8, layer), (10, 90), (20, 90), (11, 90), (21, 300)])
    elif layer in (8, 11, 14, 84, 85, 86, 87):
        polyline(layer, [(100.0, 100.0), (140.0, 100.0), (140.0, 150.0)])
    elif layer == 3:
        tags.extend([(0, "POINT"), (8, 3), (10, 0.0), (20, 0.0)])
    elif layer == 15:
        tags.extend([(0, "TEXT"), (8, 15), (10, 90), (20, 90), (40, 5), (1, "drill 3 mm")])
    tags.extend([(0, "ENDBLK"), (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES")])
    tags.extend([(0, "TEXT"), (8, 1), (10, 0), (20, 0), (40, 5), (1, "Units: METRIC")])
    tags.extend([(0, "ENDSEC"), (0, "EOF")])
    return "".join(f"{c}\n{v}\n" for c, v in tags).encode()


def shape_with(layer: int) -> Shape:
    pattern = read(Source(name="x.dxf", data=drawing(layer)), DxfIn(), Context()).pattern
    return pattern.pieces[0].shapes[0]


def test_the_twenty_two_layers_with_content_are_known_and_no_others() -> None:
    assert set(TABLE) == KNOWN
    assert len(TABLE) + 1 == 23  # with the blank layer 12


@pytest.mark.parametrize("layer", [4, 80, 81, 82, 83])
def test_notch_layers(layer: int) -> None:
    wanted = {4: "slit", 80: "t", 81: "castle", 82: "check", 83: "u"}
    (notch,) = shape_with(layer).notches
    assert notch.type.value == wanted[layer]


@pytest.mark.parametrize(
    ("layer", "kind"),
    [
        (5, InternalKind.GRADE_REFERENCE),
        (6, InternalKind.FOLD),
        (8, InternalKind.INTERNAL),
        (9, InternalKind.STRIPE),
        (10, InternalKind.PLAID),
        (11, InternalKind.CUTOUT),
        (14, InternalKind.SEW),
        (84, InternalKind.VALIDATION),
        (85, InternalKind.VALIDATION),
        (86, InternalKind.VALIDATION),
        (87, InternalKind.VALIDATION),
    ],
)
def test_line_layers(layer: int, kind: InternalKind) -> None:
    (line,) = shape_with(layer).internal_lines
    assert line.kind is kind and line.layer == str(layer)


def test_boundary_points_grain_drill_and_annotation() -> None:
    assert len(shape_with(1).corners) == 4
    assert len(shape_with(3).curve_points) == 1
    assert shape_with(7).grain_line is not None
    assert len(shape_with(13).drill_holes) == 1
    assert [t.text for t in shape_with(15).texts] == ["drill 3 mm"]
