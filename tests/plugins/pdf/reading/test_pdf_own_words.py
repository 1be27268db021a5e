"""Files that say what is drawn in them, as our own writer does: read back whole, from one sheet
and from tiles, wherever the pieces were laid and however they were turned."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pikepdf
import pytest
from pdf_by_hand import Paper

from seamwright.geometry import LINE, Curve, FloatArray
from seamwright.model import (
    Dart,
    DrillHole,
    GrainLine,
    InternalKind,
    InternalLine,
    Notch,
    NotchType,
    Piece,
    Shape,
    Text,
    TextRole,
    build_shape,
)

PT = 72 / 25.4


def the_shape(scale: float = 1.0, size: str = "10") -> Shape:
    """A piece that a sheet of A4 does not hold, with a mark of every kind."""
    segments = scale * np.array(
        [
            [(0, 0), (120, 0), (240, 0), (360, 0)],
            [(360, 0), (410, 160), (300, 300), (350, 450)],
            [(350, 450), (233, 450), (117, 450), (0, 450)],
            [(0, 450), (0, 300), (0, 150), (0, 0)],
        ]
    )
    line = Curve.from_segments(segments, np.array([0, 1, 0, 0], dtype=np.uint8), closed=True)
    cut = Curve.polyline(
        scale * np.array([(-10, -10), (420, -10), (420, 460), (-10, 460)]), closed=True
    )
    station = line.station_at(500.0 * scale)
    return build_shape(
        size=size, outline=line, cut_line=cut, corner_threshold=20.0,
        notches=(Notch(name="front", station=station, type=NotchType.T, depth=6.5, angle=3.0),),
        grain_line=GrainLine(start=(100, 50), end=(100, 400)),
        darts=(Dart(name="waist", left=line.station_at(100.0), right=line.station_at(130.0),
                    apex=(115.0, 90.0)),),
        internal_lines=(InternalLine(kind=InternalKind.FOLD, curve=Curve.line((5, 5), (5, 440)),
                                     name="facing", layer="x"),),
        drill_holes=(DrillHole(at=(200.0, 200.0), diameter=4.0, name="pocket"),),
        texts=(Text(text="Größe (10)", at=(150.0, 222.0), height=7.5, rotation=12.5,
                    role=TextRole.ANNOTATION, layer="words"),),
    )  # fmt: skip


def _said(**facts: Any) -> str:
    return "<< " + " ".join(f"/{k} {_value(v)}" for k, v in facts.items()) + " >>"


def _value(value: Any) -> str:
    if isinstance(value, str) and value.startswith("/"):
        return value
    if isinstance(value, str):
        return f"<{(chr(0xFEFF) + value).encode('utf-16-be').hex()}>"
    if isinstance(value, list | tuple):
        return "[" + " ".join(f"({v})" if isinstance(v, str) else _value(v) for v in value) + "]"
    if isinstance(value, bool):
        return str(value).lower()
    return f"{value:.12f}".rstrip("0").rstrip(".")


def _path(curve: Curve, place: FloatArray) -> str:
    moved = curve.transformed(place)
    words = ["{:.6f} {:.6f} m".format(*(moved.start * PT))]
    for segment, kind in zip(moved.segments * PT, moved.kinds, strict=True):
        six = " ".join(f"{v:.6f}" for v in segment[1:].ravel())
        words.append("{:.6f} {:.6f} l".format(*segment[3]) if kind == LINE else f"{six} c")
    return "\n".join(words) + (" h S\n" if curve.closed else " S\n")


def content_of(name: str, shape: Shape, placed: tuple[float, float, float], *, base: bool) -> str:
    """A piece with its tags, placed on the sheet."""
    dx, dy, degrees = placed
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    place = np.array([[c, -s, dx], [s, c, dy]])
    head = _said(
        Name=name, Size=shape.size, Base=base, Quantity=[2, 1], Material="lining", Half=False,
        Source="file", Placed=list(placed),
    )  # fmt: skip
    out = [f"/Piece {head} BDC\n"]

    def put(tag: str, curve: Curve, **facts: Any) -> None:
        out.append(f"/{tag} {_said(**facts)} BDC\n{_path(curve, place)}EMC\n")

    corners = [v for corner in shape.corners for v in (corner.station.segment, corner.name)]
    put("SeamLine", shape.seam_line, Corners=corners)
    if shape.cut_line is not None:
        put("CutLine", shape.cut_line)
    for notch in shape.notches:
        x, y = shape.seam_line.point_of(notch.station)
        put(
            "Notch",
            Curve.line((x, y), (x - 6.5, y)),
            Name=notch.name,
            Type="/" + notch.type.value,
            Depth=notch.depth,
            Angle=notch.angle,
            Line="/Seam",
            At=list(notch.station),
        )
    grain = shape.grain_line
    if grain is not None:
        put("GrainLine", Curve.line(grain.start, grain.end))
        out.append(f"/Artifact BMC\n{_path(Curve.line((90, 390), grain.end), place)}EMC\n")
    for dart in shape.darts:
        ends = [shape.seam_line.point_of(p) for p in (dart.left, dart.right)]
        put(
            "Dart",
            Curve.polyline(np.array([ends[0], dart.apex, ends[1]])),
            Name=dart.name,
            Left=list(dart.left),
            Right=list(dart.right),
        )
    for line in shape.internal_lines:
        put(
            "InternalLine", line.curve, Kind="/" + line.kind.value, Name=line.name, Layer=line.layer
        )
    for hole in shape.drill_holes:
        put(
            "DrillHole",
            Curve.circle(hole.at, 2.0),
            At=list(hole.at),
            Diameter=hole.diameter,
            Name=hole.name,
        )
    for text in shape.texts:
        facts = _said(
            Words=text.text,
            At=list(text.at),
            Height=text.height,
            Turn=text.rotation,
            Role="/" + text.role.value,
            Layer=text.layer,
        )
        out.append(f"/Text {facts} BDC BT /F1 9 Tf 50 50 Td (elsewhere) Tj ET EMC\n")
    return "".join(out) + "EMC\n"


def told(paper: Paper, sizes: list[str], base: str) -> None:
    info = paper.pdf.docinfo
    info["/Title"] = "Bluse für alle"
    info["/SeamwrightSizes"] = pikepdf.Array([pikepdf.String(s) for s in sizes])
    info["/SeamwrightBase"] = pikepdf.String(base)


def window(paper: Paper, content: str, row: int, column: int, x: float, y: float) -> None:
    tx, ty = -x * PT, -y * PT
    page = paper.page(
        f"q 0 0 595.275591 841.889764 re W n 1 0 0 1 {tx:.6f} {ty:.6f} cm\n{content}Q\n"
        "/Artifact BMC 10 10 m 585 10 l 585 832 l h S EMC\n",
        size=(595.275591, 841.889764),
    )
    data = pikepdf.Dictionary(
        Kind=pikepdf.Name.Tile, Row=row, Column=column,
        Window=pikepdf.Array([x, y, x + 210, y + 297]), Shift=pikepdf.Array([tx, ty]), Overlap=10,
    )  # fmt: skip
    page.obj.PieceInfo = pikepdf.Dictionary(Seamwright=pikepdf.Dictionary(Private=data))


def check(piece: Piece, shape: Shape, tolerance: float = 1e-4) -> None:
    back = piece.in_size(shape.size)
    assert piece.quantity == (2, 1) and piece.material == "lining"
    for a, b in ((back.seam_line, shape.seam_line), (back.cut_line, shape.cut_line)):
        assert a is not None and b is not None and a.n == b.n
        assert np.abs(a.segments - b.segments).max() < tolerance
    assert [e.name for e in back.edges] == [e.name for e in shape.edges]
    assert [e.length for e in back.edges] == pytest.approx(
        [e.length for e in shape.edges], abs=0.01
    )
    (notch,), (right,) = back.notches, shape.notches
    assert (notch.name, notch.type, notch.depth, notch.angle) == (
        right.name, right.type, right.depth, right.angle)  # fmt: skip
    assert notch.station.segment == right.station.segment
    assert notch.station.t == pytest.approx(right.station.t, abs=1e-9)
    assert back.grain_line is not None and shape.grain_line is not None
    assert np.allclose(back.grain_line.end, shape.grain_line.end, atol=tolerance)
    (dart,) = back.darts
    assert dart.name == "waist" and np.allclose(dart.apex, (115, 90), atol=tolerance)
    (inner,) = back.internal_lines
    assert (inner.kind, inner.name, inner.layer) == (InternalKind.FOLD, "facing", "x")
    (hole,) = back.drill_holes
    assert np.allclose(hole.at, (200, 200), atol=tolerance) and hole.diameter == 4.0
    (text,) = back.texts
    assert (text.text, text.at, text.height, text.layer) == (
        "Größe (10)",
        (150.0, 222.0),
        7.5,
        "words",
    )
    assert text.rotation == pytest.approx(12.5)


@pytest.mark.parametrize("degrees", [0.0, 90.0, 180.0, 270.0, 33.3])
def test_one_sheet(degrees: float, paper: Paper, read_pdf: Callable[..., Any]) -> None:
    shape = the_shape()
    paper.page(content_of("Front", shape, (700.25, 900.5, degrees), base=True), size=(4000, 5000))
    told(paper, ["10"], "10")
    found = read_pdf(paper.bytes())
    assert found.pattern.name == "Bluse für alle" and found.pattern.sizes == ("10",)
    assert [p.name for p in found.pattern.pieces] == ["Front"]
    check(found.pattern.pieces[0], shape)


def test_tiles_of_a4(paper: Paper, read_pdf: Callable[..., Any]) -> None:
    """Two sizes of one piece over each other, on a cover and twelve tiles."""
    shapes = [the_shape(1.0, "10"), the_shape(1.07, "12")]
    content = "".join(
        content_of("Front", s, (30.0, 520.0, -90.0), base=s.size == "12") for s in shapes
    )
    cover = paper.page("/Artifact BMC 100 100 50 50 re S EMC 9 9 m 99 9 l 99 99 l h S")
    cover.obj.PieceInfo = pikepdf.Dictionary(
        Seamwright=pikepdf.Dictionary(Private=pikepdf.Dictionary(Kind=pikepdf.Name.Cover))
    )
    for row in range(3):
        for column in range(4):
            window(paper, content, row, column, column * 190.0, (2 - row) * 277.0)
    told(paper, ["10", "12"], "12")
    found = read_pdf(paper.bytes())
    pattern = found.pattern
    assert pattern.sizes == ("10", "12") and pattern.base_size == "12"
    (piece,) = pattern.pieces
    for shape in shapes:
        check(piece, shape)
    assert found.facts["repeated"] > 50


def test_two_pieces_of_one_outline_stay_two(paper: Paper, read_pdf: Callable[..., Any]) -> None:
    shape = the_shape()
    content = content_of("Left", shape, (500.0, 0.0, 0.0), base=True)
    content += content_of("Right", shape, (950.0, 0.0, 0.0), base=True)
    paper.page(content, size=(4200, 1500))
    told(paper, ["10"], "10")
    assert [p.name for p in read_pdf(paper.bytes()).pattern.pieces] == ["Left", "Right"]


def test_words_that_make_no_sense_do_no_harm(paper: Paper, read_pdf: Callable[..., Any]) -> None:
    shape = the_shape()
    good = content_of("Front", shape, (10.0, 10.0, 0.0), base=True)
    for old, new in (
        ("/Placed [10 10 0]", "/Placed [(a) /B]"),
        ("/At [", "/At [-7 9 "), ("/Depth 6.5", "/Depth (x)"),
        ("/Corners [0", "/Corners [99"), ("/Name", "/Nome"),
    ):  # fmt: skip
        one = Paper()
        one.page(good.replace(old, new), size=(4000, 5000))
        found = read_pdf(one.bytes())
        assert found.pattern.pieces, (old, new)
