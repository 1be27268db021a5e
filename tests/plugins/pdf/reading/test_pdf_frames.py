"""Where and how large things are: crop, rotation, user unit; forms, clips, dashes, layers."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pikepdf
import pytest
from pdf_by_hand import Paper, mm, poly, rect

LINE = "72 72 m 72 355.464567 l S"  # 100 mm upward from an inch in


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
@pytest.mark.parametrize("crop", [None, (36.0, 18.0, 500.0, 700.0)])
@pytest.mark.parametrize("unit", [1, 10])
def test_a_line_is_where_the_viewer_shows_it(
    turn: int, crop: Any, unit: int, paper: Paper, drawn: Callable[..., Any]
) -> None:
    entries: dict[str, Any] = {"Rotate": turn, "UserUnit": unit}
    if crop:
        entries["CropBox"] = pikepdf.Array(crop)
    paper.page(LINE, **entries)
    (path,) = drawn(paper.bytes()).paths
    start, end = path.segments[0, 0], path.segments[0, 3]
    assert np.hypot(*(end - start)) == pytest.approx(100 * unit, abs=1e-5)
    x0, y0, x1, y1 = crop or (0, 0, 595, 842)
    x, y = 72 - x0, 72 - y0
    shown = {0: (x, y), 90: (y, x1 - 72), 180: (x1 - 72, y1 - 72), 270: (y1 - 72, x)}[turn]
    assert np.allclose(start, np.array(shown) * unit * 25.4 / 72, atol=1e-6)
    way = {0: (0, 1), 90: (1, 0), 180: (0, -1), 270: (-1, 0)}[turn]
    assert np.allclose((end - start) / np.hypot(*(end - start)), way, atol=1e-9)


def test_layers_by_marked_content_forms_and_membership(
    paper: Paper, drawn: Callable[..., Any]
) -> None:
    a, b, c = (paper.layer(n) for n in ("Size 10", "Größe 線", "marks"))
    member = paper.pdf.make_indirect(
        pikepdf.Dictionary(Type=pikepdf.Name.OCMD, OCGs=pikepdf.Array([b, c]))
    )
    form = paper.pdf.make_stream(b"0 0 m 40 40 l S")
    form.Type, form.Subtype = pikepdf.Name.XObject, pikepdf.Name.Form
    form.BBox = pikepdf.Array([0, 0, 50, 50])
    form.OC = c
    page = paper.page(
        "/OC /L0 BDC 0 0 m 10 0 l S /OC /L1 BDC 0 0 m 20 0 l S EMC /X Do EMC "
        "/OC /L2 BDC 0 0 m 30 0 l S EMC 0 0 m 50 0 l S "
        "/Span << /Lang (de) >> BDC 0 0 m 60 0 l S EMC",
        properties={"L0": a, "L1": b, "L2": member},
    )
    page.obj.Resources.XObject = pikepdf.Dictionary(X=form)
    layers = [p.layers for p in drawn(paper.bytes()).paths]
    assert layers == [
        ("Size 10",), ("Size 10", "Größe 線"), ("Size 10", "marks"), ("Größe 線",), (), (),
    ]  # fmt: skip


def test_dashes_and_clips_are_flags_and_lines_stay_whole(
    paper: Paper, drawn: Callable[..., Any]
) -> None:
    paper.page(
        "[6 3] 0 d 0 0 m 300 0 l S [] 0 d q 0 0 50 50 re W n 0 0 m 300 300 l S Q 0 0 m 9 9 l S"
    )
    dashed, clipped, plain = drawn(paper.bytes()).paths
    assert dashed.dashed and not dashed.clipped and len(dashed.segments) == 1
    assert clipped.clipped and not clipped.dashed
    assert np.allclose(clipped.segments[0, 3], 300 * 25.4 / 72)
    assert not plain.clipped and not plain.dashed


def test_forms_within_forms_carry_their_matrices(paper: Paper, drawn: Callable[..., Any]) -> None:
    def form(content: bytes, matrix: list[float], **xobjects: Any) -> Any:
        stream = paper.pdf.make_stream(content)
        stream.Subtype, stream.BBox = pikepdf.Name.Form, pikepdf.Array([-999, -999, 999, 999])
        stream.Matrix = pikepdf.Array(matrix)
        stream.Resources = pikepdf.Dictionary(
            XObject=pikepdf.Dictionary({f"/{k}": v for k, v in xobjects.items()})
        )
        return stream

    inner = form(b"0 0 m 1 0 l S", [0, 2, -2, 0, 5, 0])
    outer = form(b"q 1 0 0 1 10 0 cm /I Do Q", [3, 0, 0, 3, 0, 0], I=inner)
    page = paper.page("1 0 0 1 100 50 cm /O Do")
    page.obj.Resources.XObject = pikepdf.Dictionary(O=outer)
    (path,) = drawn(paper.bytes()).paths
    start, end = path.segments[0, 0] * 72 / 25.4, path.segments[0, 3] * 72 / 25.4
    assert np.allclose(start, (145, 50)) and np.allclose(end, (145, 56))


def test_odd_but_legal_content(paper: Paper, drawn: Callable[..., Any]) -> None:
    content = (
        b"% a comment (with [odd] signs\n"
        b"10 10 m 20 10 20 20 v 20 30 10 30 y h S\n"
        b"BI /W 1 /H 1 /BPC 8 /CS /G ID \xff\x00 EI\n"
        b"(a \\) ( nested ) \\101 text) pop 5 5 m\r15 5 l\tS\n"
        b"<</A[1 2<</B(x)>>]>> what -.5 +3. m 7.25-1 4 l S 3 w"
    )
    paper.page(content)
    out = drawn(paper.bytes())
    assert len(out.paths) == 3 and out.images == 1
    assert out.paths[0].closed and not out.paths[1].closed


def test_texts_have_place_height_and_direction(paper: Paper, drawn: Callable[..., Any]) -> None:
    paper.page(
        "BT /F1 12 Tf 100 200 Td (Fr\xf6nt) Tj ET q 0.866025 0.5 -0.5 0.866025 300 300 cm "
        "BT /F1 1 Tf 20 0 0 20 0 0 Tm [(Si) -20 (ze 12)] TJ ET Q"
    )
    first, second = drawn(paper.bytes()).texts
    assert first.text == "Frönt" and first.height == pytest.approx(12 * 25.4 / 72)
    assert np.allclose(first.at, np.array([100, 200]) * 25.4 / 72) and first.end[0] > first.at[0]
    assert second.text == "Size 12" and second.turn == pytest.approx(30, abs=1e-4)
    assert second.height == pytest.approx(20 * 25.4 / 72, rel=1e-5)


def test_letters_through_a_unicode_table(paper: Paper, drawn: Callable[..., Any]) -> None:
    page = paper.page("BT /F2 10 Tf 50 50 Td <00010002> Tj ET")
    table = b"1 beginbfchar <0001> <7DDA> endbfchar 1 beginbfrange <0002> <0003> <00BD> endbfrange"
    page.obj.Resources.Font.F2 = pikepdf.Dictionary(
        Type=pikepdf.Name.Font, Subtype=pikepdf.Name.Type0, Encoding=pikepdf.Name("/Identity-H"),
        ToUnicode=paper.pdf.make_stream(table),
        DescendantFonts=pikepdf.Array([pikepdf.Dictionary(W=pikepdf.Array([1, [900, 600]]))]),
    )  # fmt: skip
    (text,) = drawn(paper.bytes()).texts
    assert text.text == "線½"
    assert text.end[0] - text.at[0] == pytest.approx(15 * 25.4 / 72)


def test_layers_become_sizes_and_kinds_of_line(paper: Paper, read_pdf: Callable[..., Any]) -> None:
    content, properties = "", {}
    for i, size in enumerate(("8", "10", "12")):
        properties[f"S{i}"] = paper.layer(f"Size {size}")
        side = 100 + 10 * i
        content += f"/OC /S{i} BDC {rect(20, 20, side, 2 * side)} EMC\n"
    properties["C"] = paper.layer("cut line")
    paper.page(content, properties=properties)
    pattern = read_pdf(paper.bytes()).pattern
    assert pattern.sizes == ("8", "10", "12") and len(pattern.pieces) == 1
    lengths = [s.seam_line.length for s in pattern.pieces[0].shapes]
    assert lengths == pytest.approx([600, 660, 720], abs=1e-4)


def test_layers_that_are_off_are_read_and_told(paper: Paper, read_pdf: Callable[..., Any]) -> None:
    on, off = paper.layer("Size 10"), paper.layer("Size 12")
    paper.page(
        f"/OC /A BDC {rect(20, 20, 100, 100)} EMC /OC /B BDC {rect(10, 10, 120, 120)} EMC",
        properties={"A": on, "B": off},
    )
    groups = pikepdf.Array([on, off])
    paper.pdf.Root.OCProperties = pikepdf.Dictionary(
        OCGs=groups, D=pikepdf.Dictionary(OFF=pikepdf.Array([off]))
    )
    found = read_pdf(paper.bytes())
    assert found.pattern.sizes == ("10", "12")
    (said,) = [f for f in found.findings if f.code == "pdf.layers-off"]
    assert "Size 12" in said.message


def test_marks_and_names_by_the_rules_of_drawings(
    paper: Paper, read_pdf: Callable[..., Any]
) -> None:
    lines = [[(90, 30), (90, 36)], [(60, 60), (60, 200)], [(57, 192), (60, 200), (63, 192)]]
    paper.page(
        rect(30, 30, 120, 200) + "".join(poly(line, close=False) for line in lines)
        + f"BT /F1 20 Tf {mm(70, 120)} Td (Front) Tj ET BT /F1 12 Tf {mm(70, 110)} Td (Cut 2) Tj ET"
    )  # fmt: skip
    (piece,) = read_pdf(paper.bytes()).pattern.pieces
    (shape,) = piece.shapes
    assert piece.name == "Front" and piece.quantity == (2, 0)
    assert len(shape.notches) == 1 and shape.notches[0].depth == pytest.approx(6, abs=1e-4)
    assert shape.grain_line is not None and shape.grain_line.end[1] == pytest.approx(200, abs=1e-4)


def test_lines_turned_into_thin_shapes_are_told(paper: Paper, read_pdf: Callable[..., Any]) -> None:
    """A straight line as a rectangle 0.35 mm wide, and an outline as the ring between two."""
    band = rect(30, 100, 100, 0.35).replace("S", "f")
    outer, inner = rect(20, 20, 150, 220), rect(20.35, 20.35, 149.3, 219.3)
    ring = outer.replace("S", "") + inner.replace("S", "f*")
    paper.page(band + ring)
    (said,) = [f for f in read_pdf(paper.bytes()).findings if f.code == "line.double"]
    assert said.measured == pytest.approx(0.35, abs=0.005) and said.message.startswith("2 lines")
    plain = Paper()
    plain.page(rect(20, 20, 150, 220) + rect(30, 30, 130, 200))
    assert "line.double" not in {f.code for f in read_pdf(plain.bytes()).findings}


def test_the_right_way_up_and_turned_as_it_is_shown(
    paper: Paper, read_pdf: Callable[..., Any]
) -> None:
    letter = [(20, 20), (40, 20), (40, 100), (90, 100), (90, 120), (40, 120), (40, 160), (100, 160),
              (100, 180), (20, 180)]  # fmt: skip
    paper.page(poly(letter))
    (piece,) = read_pdf(paper.bytes()).pattern.pieces
    line = piece.shapes[0].seam_line
    assert sorted(map(tuple, np.round(line.joints, 3).tolist())) == sorted(
        (float(x), float(y)) for x, y in letter
    )
