"""PDF on paper: true to scale, whole over its tiles, in layers, lettered clear of lines."""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import sys
from dataclasses import replace
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pikepdf
import pypdfium2
import pytest
from hypothesis import given
from hypothesis import strategies as st

import seamwright as sw
from seamwright.geometry import Curve, Station
from seamwright.model import (
    DrillHole,
    GrainLine,
    InternalKind,
    InternalLine,
    Notch,
    NotchType,
    Pattern,
    Piece,
    Text,
    build_shape,
)
from seamwright.numbers import fixed
from seamwright.plugins.api import Context, Finding, SeamwrightError
from seamwright.plugins.building import build
from seamwright.plugins.writing import write as write_file
from seamwright.testing.profile import tries
from seamwright_pdf.layout_words import KINDS, POINT
from seamwright_pdf.options import PdfOut
from seamwright_pdf.paper import paper_of
from seamwright_pdf.writing.cells import Cells
from seamwright_pdf.writing.document import write

DPI = 300
MM = DPI / 25.4


def block(width: float, height: float, at: tuple[float, float] = (0.0, 0.0)) -> Curve:
    x, y = at
    return Curve.polyline(
        [(x, y), (x + width, y), (x + width, y + height), (x, y + height)], closed=True
    )


def pattern(
    *pieces: tuple[str, float, float], sizes: tuple[str, ...] = ("one",), **more: Any
) -> Pattern:
    """Rectangles, each size 8 mm larger than the one before."""
    made = []
    for name, width, height in pieces:
        shapes = [
            build_shape(size=size, outline=block(width + 8 * k, height + 8 * k)).but(**more)
            for k, size in enumerate(sizes)
        ]
        made.append(Piece(name=name, shapes=tuple(shapes), quantity=(2, 0), material="shell"))
    return Pattern(name="Test", pieces=tuple(made), sizes=sizes, base_size=sizes[0])


def pdf_of(made: Pattern, **options: Any) -> tuple[bytes, tuple[Finding, ...]]:
    built = build(PdfOut, {k.replace("_", "-"): v for k, v in options.items()}, words=True)
    result = write(made, built, Context())
    return result.parts[0].data, result.findings


def opened(data: bytes) -> pikepdf.Pdf:
    return pikepdf.open(BytesIO(data))


def picture(data: bytes, number: int, dpi: float = DPI) -> np.ndarray:
    """A page as darkness (rows, columns), row 0 at the bottom."""
    page = pypdfium2.PdfDocument(data)[number]
    return 255 - page.render(scale=dpi / 72, grayscale=True).to_numpy().squeeze()[::-1].astype(int)


def tiles(data: bytes) -> list[dict[str, Any]]:
    """Page data of every tile, with its number and name."""
    out = []
    with opened(data) as pdf:
        labels = pdf.Root.PageLabels.Nums
        names = {int(labels[i]): str(labels[i + 1].P) for i in range(0, len(labels), 2)}
        for number, page in enumerate(pdf.pages):
            facts = page.PieceInfo.Seamwright.Private
            if facts.Kind == "/Tile":
                out.append(
                    {
                        "number": number,
                        "name": names[number],
                        "box": [float(v) for v in facts.Window],
                        "shift": [float(v) for v in facts.Shift],
                        "row": int(facts.Row),
                        "column": int(facts.Column),
                        "overlap": float(facts.Overlap),
                        "text": page.Contents.read_bytes().decode("latin-1"),
                    }
                )
    return out


# -- scale ----------------------------------------------------------------------------------


def test_squares_and_line_of_the_first_page_are_true_to_a_pixel() -> None:
    data, _ = pdf_of(pattern(("Front", 300, 200)))
    dark = picture(data, 0) > 100
    across = np.count_nonzero(dark, axis=1)
    rows = np.flatnonzero(across >= 140 * MM)  # the check line
    columns = np.flatnonzero(dark[rows[len(rows) // 2]])
    assert columns[-1] - columns[0] == pytest.approx(150 * MM, abs=3)
    with opened(data) as pdf:
        content = pdf.pages[0].Contents.read_bytes().decode("latin-1")
    sides = [
        (float(w) * POINT, float(h) * POINT)
        for w, h in re.findall(r"[-\d.]+ [-\d.]+ ([-\d.]+) ([-\d.]+) re S", content)
    ]
    assert (50.0, 50.0) in [(round(w, 4), round(h, 4)) for w, h in sides]
    assert (50.8, 50.8) in [(round(w, 4), round(h, 4)) for w, h in sides]
    # Both squares as pdfium draws them: vertical strokes of 50 mm, by their distance.
    down = np.array([_longest_run(dark[:, i]) for i in range(dark.shape[1])])
    strokes = _middles(np.flatnonzero((down > 49 * MM) & (down < 52 * MM)))
    assert len(strokes) == 4
    assert strokes[1] - strokes[0] == pytest.approx(50.0 * MM, abs=1)
    assert strokes[3] - strokes[2] == pytest.approx(50.8 * MM, abs=1)


def _longest_run(column: np.ndarray) -> int:
    edges = np.flatnonzero(np.diff(np.concatenate(([0], column.astype(int), [0]))))
    return int((edges[1::2] - edges[::2]).max(initial=0))


def _middles(indices: np.ndarray) -> list[float]:
    groups = np.split(indices, np.flatnonzero(np.diff(indices) > 1) + 1)
    return [float(g.mean()) for g in groups if len(g)]


def test_the_viewer_is_asked_not_to_scale_and_paper_is_the_paper() -> None:
    for paper, size in (("a4", (210, 297)), ("letter", (215.9, 279.4)), ("legal", (215.9, 355.6))):
        data, _ = pdf_of(pattern(("Front", 300, 200)), paper=paper)
        with opened(data) as pdf:
            assert pdf.Root.ViewerPreferences.PrintScaling == "/None"
            for page in pdf.pages:
                sides = sorted(float(v) for v in page.MediaBox[2:])
                assert sides == pytest.approx([size[0] / POINT, size[1] / POINT], abs=0.01)


def test_on_either_paper_everything_lies_in_what_both_have() -> None:
    data, _ = pdf_of(pattern(("Front", 500, 700)), paper="a4+letter", orientation="portrait")
    dark = picture(data, 1, 100) > 40
    rows, columns = np.nonzero(dark)
    mm = 25.4 / 100
    assert columns.min() * mm > 9.5 and columns.max() * mm < 200.5
    assert rows.min() * mm > 9.5 and rows.max() * mm < 269.9
    with opened(data) as pdf:
        assert float(pdf.pages[0].MediaBox[3]) * POINT == pytest.approx(279.4, abs=0.001)


# -- tiles ----------------------------------------------------------------------------------


def test_tiles_put_together_are_the_sheet() -> None:
    """Every outline point shows dark on each page whose window holds it."""
    made = pattern(("Front", 500, 700))
    data, _ = pdf_of(made, layout="keep", orientation="portrait")
    found = tiles(data)
    assert [t["name"] for t in found][:2] == ["A1", "A2"]
    box = made.pieces[0].shapes[0].seam_line
    moved = _placed(found[0]["text"])
    points = box.point_at(np.linspace(0, box.length, 400, endpoint=False)) + moved
    seen = np.zeros(len(points), dtype=int)
    dpi = 100
    for tile in found:
        dark = picture(data, tile["number"], dpi) > 60
        x0, y0, x1, y1 = tile["box"]
        inside = (
            (points[:, 0] > x0 + 0.5) & (points[:, 0] < x1 - 0.5)
            & (points[:, 1] > y0 + 0.5) & (points[:, 1] < y1 - 0.5)
        )  # fmt: skip
        seen += (
            (points[:, 0] >= x0) & (points[:, 0] <= x1)
            & (points[:, 1] >= y0) & (points[:, 1] <= y1)
        )  # fmt: skip
        at = (points[inside] / POINT + tile["shift"]) * dpi / 72
        for x, y in at:
            i, j = int(x), int(y)
            assert dark[max(j - 1, 0) : j + 2, max(i - 1, 0) : i + 2].any(), (tile["name"], x, y)
    assert seen.min() >= 1


def _placed(content: str) -> np.ndarray:
    dx, dy, degrees = re.findall(r"/Placed \[([-\d.]+) ([-\d.]+) ([-\d.]+)\]", content)[0]
    assert float(degrees) == 0.0
    return np.array([float(dx), float(dy)])


@tries(8)
@given(
    st.lists(st.tuples(st.floats(60, 700), st.floats(60, 900)), min_size=1, max_size=4),
    st.sampled_from(["a4", "letter", "a3"]),
    st.sampled_from(["0 mm", "10 mm"]),
)
def test_every_point_is_on_a_page_and_windows_share_the_overlap(
    sides: list[tuple[float, float]], paper: str, overlap: str
) -> None:
    made = pattern(*((f"P{i}", w, h) for i, (w, h) in enumerate(sides)))
    data, findings = pdf_of(made, paper=paper, overlap=overlap)
    found = tiles(data)
    boxes = {(t["row"], t["column"]): t["box"] for t in found}
    for t in found:
        for box in _outlines(t["text"]):
            middle = 0.5 * (box[0] + box[1])
            assert any(
                b[0] - 1e-6 <= middle[0] <= b[2] + 1e-6 and b[1] - 1e-6 <= middle[1] <= b[3] + 1e-6
                for b in boxes.values()
            )
    if found[0]["overlap"]:
        for (row, column), b in boxes.items():
            right = boxes.get((row, column + 1))
            if right is not None:
                assert b[2] - right[0] == pytest.approx(10.0, abs=1e-6)
            below = boxes.get((row + 1, column))
            if below is not None:
                assert below[3] - b[1] == pytest.approx(10.0, abs=1e-6)
    assert [f.code for f in findings if f.severity.value != "note"] == []


def _outlines(content: str) -> list[np.ndarray]:
    """Straight strokes of all seam lines, sheet mm: (2, 2) each."""
    out = []
    for body in re.findall(r"/SeamLine <<.*?>> BDC\n(.*?) S\nEMC", content, re.S):
        points = [
            (float(x) * POINT, float(y) * POINT)
            for x, y in re.findall(r"([-\d.]+) ([-\d.]+) [ml]", body)
        ]
        ring = np.array([*points, points[0]])
        out += [ring[i : i + 2] for i in range(len(ring) - 1)]
    return out


def test_empty_pages_are_left_out_and_told() -> None:
    frame = Curve.polyline(
        [(0, 0), (1200, 0), (1200, 60), (60, 60), (60, 900), (0, 900)], closed=True
    )
    shape = build_shape(size="one", outline=frame)
    piece = Piece(name="Facing", shapes=(shape,))
    made = Pattern(name="L", pieces=(piece,), sizes=("one",), base_size="one")
    data, findings = pdf_of(made, layout="keep")
    note = next(f for f in findings if f.code == "pdf.pages")
    assert "empty and left out" in note.message
    grid = max(t["row"] + 1 for t in tiles(data)) * max(t["column"] + 1 for t in tiles(data))
    assert len(tiles(data)) < grid


def test_marks_of_neighbours_meet_in_the_pattern() -> None:
    data, _ = pdf_of(pattern(("Front", 500, 700)), layout="keep")
    found = {(t["row"], t["column"]): t for t in tiles(data)}
    marks = {key: _diamonds(t["text"]) for key, t in found.items()}
    for (row, column), mine in marks.items():
        for other in ((row, column + 1), (row + 1, column)):
            if other in marks:
                near = np.linalg.norm(mine[:, None] - marks[other][None], axis=2).min(axis=1)
                assert np.count_nonzero(near < 0.005) >= 2


def _diamonds(content: str) -> np.ndarray:
    """Tips where the two triangles of a matching mark meet, sheet mm."""
    found = re.findall(
        r"([-\d.]+) ([-\d.]+) m [-\d.]+ [-\d.]+ l [-\d.]+ [-\d.]+ l h \1 \2 m", content
    )
    return np.array([(float(x) * POINT, float(y) * POINT) for x, y in found])


def test_small_pieces_are_not_taped() -> None:
    made = pattern(*((f"Pocket {i}", 80, 90) for i in range(6)))
    data, _ = pdf_of(made)
    assert len(tiles(data)) == 1


def test_turning_saves_pages() -> None:
    made = pattern(("Band", 260, 60))
    data, _ = pdf_of(made, orientation="portrait")
    assert len(tiles(data)) == 1
    kept, _ = pdf_of(made, orientation="portrait", layout="keep")
    assert len(tiles(kept)) == 2


def test_grain_lies_parallel_when_asked() -> None:
    pieces = []
    for i, angle in enumerate((0.0, 37.0, 120.0)):
        turn = np.radians(angle)
        c, s = np.cos(turn), np.sin(turn)
        outline = block(200, 80).transformed([[c, -s, 0], [s, c, 0]])
        grain = GrainLine(start=(20 * c, 20 * s), end=(120 * c, 120 * s))
        shape = build_shape(size="one", outline=outline).but(grain_line=grain)
        pieces.append(Piece(name=f"P{i}", shapes=(shape,)))
    made = Pattern(name="G", pieces=tuple(pieces), sizes=("one",), base_size="one")
    data, _ = pdf_of(made, grain="parallel", paper="a1")
    content = "".join(t["text"] for t in tiles(data))
    lines = re.findall(r"/GrainLine BMC\n([-\d.]+) ([-\d.]+) m ([-\d.]+) ([-\d.]+) l S", content)
    assert len(lines) == 3
    for ax, ay, bx, by in lines:
        assert abs(float(ax) - float(bx)) < 1e-5 and abs(float(ay) - float(by)) > 200


# -- large paper ----------------------------------------------------------------------------


def test_a_roll_is_as_long_as_needed_and_split_beyond_the_limit() -> None:
    data, findings = pdf_of(pattern(("Train", 700, 1800)), paper="36 in roll")
    with opened(data) as pdf:
        assert len(pdf.pages) == 1
        assert float(pdf.pages[0].MediaBox[2]) * POINT == pytest.approx(914.4, abs=0.001)
    assert "pdf.split" not in {f.code for f in findings}
    long, findings = pdf_of(pattern(("Train", 700, 6000)), paper="36 in roll")
    with opened(long) as pdf:
        assert len(pdf.pages) == 2
        assert all("/UserUnit" not in page for page in pdf.pages)
        assert all(max(float(v) for v in page.MediaBox) <= 14_400.001 for page in pdf.pages)
    assert "pdf.split" in {f.code for f in findings}


def test_one_sheet_holds_all_with_its_squares() -> None:
    data, _ = pdf_of(pattern(("Front", 500, 700), ("Back", 400, 700)), paper="one sheet")
    with opened(data) as pdf:
        assert len(pdf.pages) == 1
        content = pdf.pages[0].Contents.read_bytes().decode("latin-1")
    assert f"{fixed(50 / POINT)} {fixed(50 / POINT)} re" in content


# -- layers ---------------------------------------------------------------------------------


def test_every_size_is_a_layer_with_its_kinds_below() -> None:
    sizes = ("34", "36", "38", "40 Größe", "42 線", "44", "46", "48")
    data, _ = pdf_of(pattern(("Front", 300, 400), sizes=sizes))
    with opened(data) as pdf:
        found = pdf.Root.OCProperties
        names = [str(g.Name) for g in found.OCGs]
        assert [n for n in names if n.startswith("Size") and ":" not in n] == [
            f"Size {s}" for s in sizes
        ]
        assert all(g.is_indirect for g in found.OCGs)
        assert len(found.D.OFF) == 0 and len(found.D.ON) == len(names)
        order = list(found.D.Order)
        below = [
            [str(g.Name) for g in order[i + 1]]
            for i in range(len(order) - 1)
            if isinstance(order[i + 1], pikepdf.Array)
        ]
        assert len(below) == len(sizes)
        assert all(n.split(": ")[1] in KINDS for names_ in below for n in names_)
        for page in pdf.pages:
            _all_marked(page)


def _all_marked(page: pikepdf.Page) -> None:
    """Every path is painted inside marked content of a layer that the page knows."""
    stack: list[str] = []
    for instruction in pikepdf.parse_content_stream(page):
        operands, word = list(instruction.operands), str(instruction.operator)
        if word == "BDC":
            stack.append(str(operands[0]))
            if stack[-1] == "/OC":
                assert str(operands[1]) in page.Resources.Properties
        elif word == "BMC":
            stack.append(str(operands[0]))
        elif word == "EMC":
            stack.pop()
        elif word in ("S", "f", "Tj", "TJ"):
            assert "/OC" in stack
    assert stack == []


def test_a_size_turned_off_does_not_print_and_a_choice_holds_no_other() -> None:
    made = pattern(("Front", 120, 150), sizes=("S", "M"))
    both, _ = pdf_of(made)
    one, _ = pdf_of(made, show=["S"])
    alone, _ = pdf_of(made, sizes=["S"])
    dark = [int(np.count_nonzero(picture(d, 1, 100) > 60)) for d in (both, one)]
    assert dark[1] < dark[0]
    with opened(alone) as pdf:
        assert not any("M" in str(g.Name) for g in pdf.Root.OCProperties.OCGs if "Size" in
                       str(g.Name))  # fmt: skip
    with opened(one) as pdf:
        assert [str(g.Name) for g in pdf.Root.OCProperties.D.OFF] == ["Size M"]


def test_sizes_stay_apart_in_black_and_white() -> None:
    from seamwright_pdf.writing.looks import look_of

    for count in (2, 7, 20, 30):
        looks = [look_of(i, count, colour=False) for i in range(count)]
        assert len({(look.dash, look.weight) for look in looks}) == count
        assert all(a.dash != b.dash for a, b in pairwise(looks))


# -- words ----------------------------------------------------------------------------------


def test_words_are_text_and_a_missing_letter_is_told_and_shown() -> None:
    made = pattern(("Größe 線 Привет ½", 300, 200))
    made = made.but(name="Nähkurs <script>")
    data, findings = pdf_of(made)
    document = pypdfium2.PdfDocument(data)
    text = "".join(page.get_textpage().get_text_bounded() for page in document)
    assert "Größe [U+7DDA] Привет ½" in text
    assert "Cut 2" in text and "Piece 1 of 1" in text and "shell" in text
    assert "U+7DDA" in next(f.message for f in findings if f.code == "pdf.glyph")
    assert document.get_metadata_dict()["Title"] == "Nähkurs <script>"
    with opened(data) as pdf:
        fonts = pdf.pages[0].Resources.Font
        for font in fonts.values():
            if "DejaVu" in str(font.BaseFont):
                assert "/FontFile2" in font.FontDescriptor


def test_words_cross_no_line() -> None:
    """Each word's box, as pdfium finds it, is free of what is drawn without words."""
    shapes = []
    for k, size in enumerate(("S", "M", "L")):
        outline = block(260 + 16 * k, 180 + 16 * k)
        shapes.append(
            build_shape(size=size, outline=outline).but(
                grain_line=GrainLine(start=(30.0, 90.0), end=(230.0, 90.0)),
                internal_lines=(
                    InternalLine(
                        kind=InternalKind.INTERNAL, curve=Curve.line((130, 10), (130, 170))
                    ),
                ),
                drill_holes=(DrillHole(at=(60.0, 50.0)),),
                texts=(Text(text="centre front", at=(110.0, 88.0), height=6.0),),
            )
        )
    made = Pattern(
        name="W", pieces=(Piece(name="Front", shapes=tuple(shapes)),), sizes=("S", "M", "L"),
        base_size="M",
    )  # fmt: skip
    data, _ = pdf_of(made, paper="a3")
    for tile in tiles(data):
        page = pypdfium2.PdfDocument(data)[tile["number"]]
        text = page.get_textpage()
        with opened(data) as pdf:
            bare = re.sub(r"BT .*?ET", "", tile["text"], flags=re.S)
            target = pdf.pages[tile["number"]]
            target.Contents = pdf.make_stream(bare.encode("latin-1"))
            out = BytesIO()
            pdf.save(out)
        dark = picture(out.getvalue(), tile["number"], 144) > 40
        assert dark.any()
        boxes = [text.get_charbox(i) for i in range(text.count_chars())]
        boxes = [b for b in boxes if b[2] > b[0] and b[3] > b[1]]
        assert len(boxes) > 20
        for left, bottom, right, top in boxes:
            part = dark[int(2 * bottom) : int(2 * top) + 1, int(2 * left) : int(2 * right) + 1]
            assert not part.any(), (left, bottom)


@tries(15)
@given(
    st.lists(st.tuples(st.floats(0, 90), st.floats(0, 90)), min_size=2, max_size=6),
    st.floats(2, 40),
    st.floats(2, 20),
)
def test_free_places_are_free(
    points: list[tuple[float, float]], width: float, height: float
) -> None:
    from seamwright.model.layout import samples

    line = Curve.polyline(points)
    cells = Cells((0, 0, 90, 90), 1.0)
    cells.add_points(samples([line], 0.9))
    cells.add_box(10, 10, 30, 20)
    on_line = samples([line], 0.05)
    for x, y in cells.free(width, height)[::37]:
        inside = (
            (on_line[:, 0] > x) & (on_line[:, 0] < x + width)
            & (on_line[:, 1] > y) & (on_line[:, 1] < y + height)
        )  # fmt: skip
        assert not inside.any()
        assert x > 30 or x + width < 10 or y > 20 or y + height < 10


# -- numbers, bytes, faults -----------------------------------------------------------------


def test_numbers_are_plain_and_curves_are_beziers() -> None:
    ring = Curve.circle((5_700_000.123, 5_700_000.5), 160.0)
    shape = build_shape(size="one", outline=ring)
    made = Pattern(
        name="Far", pieces=(Piece(name="Ring", shapes=(shape,)),), sizes=("one",), base_size="one"
    )
    for layout in ("pack", "keep"):
        data, _ = pdf_of(made, layout=layout)
        content = "".join(t["text"] for t in tiles(data))
        body = re.search(r"/SeamLine (?:BMC|<<.*?>> BDC)\n(.*?) S\nEMC", content, re.S)
        assert body is not None
        assert body[1].count(" c") == ring.n
        numbers = re.findall(r"[^\s]+", re.sub(r"[mclh]\b", "", body[1]))
        assert all(re.fullmatch(r"-?\d+(\.\d{1,6})?", n) for n in numbers), numbers[:4]
        assert "-0 " not in content
        assert max(abs(float(n)) for n in numbers) < 14_400


def test_all_notches_start_on_their_line() -> None:
    notches = tuple(
        Notch(name=f"n{i}", station=Station(i % 4, 0.5), type=kind)
        for i, kind in enumerate(NotchType)
    )
    made = pattern(("Front", 150, 120), notches=notches)
    data, _ = pdf_of(made, layout="keep")
    content = tiles(data)[0]["text"]
    moved = _placed(content)
    starts = re.findall(r"/Notch <<.*?>> BDC\n([-\d.]+) ([-\d.]+) m", content)
    line = made.pieces[0].shapes[0].seam_line
    assert len(starts) == len(NotchType)
    for notch, (x, y) in zip(notches, starts, strict=True):
        place = line.point_of(notch.station) + moved
        assert np.array([float(x), float(y)]) * POINT == pytest.approx(place, abs=1e-6)


def test_the_same_bytes_in_two_processes() -> None:
    script = (
        "import hashlib\n"
        "from seamwright.geometry import Curve\n"
        "from seamwright.model import Pattern, Piece, build_shape\n"
        "from seamwright.plugins.api import Context\n"
        "from seamwright_pdf.options import PdfOut\n"
        "from seamwright_pdf.writing.document import write\n"
        "shapes = tuple(build_shape(size=s, outline=Curve.circle((0, 0), 100 + 9 * k))\n"
        "               for k, s in enumerate('SML'))\n"
        "pieces = tuple(Piece(name=n, shapes=shapes) for n in ('Vorne ½', 'Hinten'))\n"
        "p = Pattern(name='Größe', pieces=pieces, sizes=('S', 'M', 'L'), base_size='M')\n"
        "print(hashlib.sha256(write(p, PdfOut(), Context()).parts[0].data).hexdigest())\n"
    )
    found = {
        subprocess.run(
            [sys.executable, "-c", script],
            env={**os.environ, "PYTHONHASHSEED": seed, "TZ": zone},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed, zone in (("1", "UTC"), ("2", "Asia/Tokyo"))
    }
    assert len(found) == 1 and len(found.pop().strip()) == hashlib.sha256().digest_size * 2


def test_what_no_paper_holds_is_one_clear_error() -> None:
    huge = pattern(("Field", 500_000, 400_000))
    with pytest.raises(SeamwrightError) as fault:
        pdf_of(huge)
    assert fault.value.finding.code == "pdf.out-of-range"
    astray = pattern(("Front", 300, 200), texts=(Text(text="x", at=(float("nan"), 0.0)),))
    with pytest.raises(SeamwrightError) as fault:
        pdf_of(astray)
    assert fault.value.finding.code == "pdf.out-of-range"
    with pytest.raises(SeamwrightError) as fault:
        pdf_of(pattern(("Front", 60_000, 40_000)), paper="a5")
    assert fault.value.finding.code == "pdf.too-many-pages"
    with pytest.raises(SeamwrightError) as fault:
        pdf_of(pattern(("Front", 300, 200)), sizes=["12"])
    assert fault.value.finding.code == "pdf.no-size"
    with pytest.raises(SeamwrightError) as fault:
        pdf_of(replace(pattern(("Front", 300, 200)), pieces=()))
    assert fault.value.finding.code == "pdf.nothing"


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("A4", (210, 297)),
        ("a4+letter", (210, 279.4)),
        ("610 x 900 mm", (610, 900)),
        ("8.5 x 11 in", (215.9, 279.4)),
        ("11x17in", (279.4, 431.8)),
        ("36 in roll", (914.4, float("inf"))),
        ("roll 610 mm", (610, float("inf"))),
        ("one sheet", (float("inf"), float("inf"))),
    ],
)
def test_papers(text: str, size: tuple[float, float]) -> None:
    paper = paper_of(text)
    assert (paper.width, paper.height) == pytest.approx(size)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"paper": "a44"}, "a4"),
        ({"paper": "9000 x 300 mm"}, "5080"),
        ({"paper": "a5", "margin": "60 mm"}, "least"),
        ({"paper": "20 x 20 mm"}, "50 mm"),
    ],
)
def test_impossible_papers_are_refused(options: dict[str, str], words: str) -> None:
    with pytest.raises(SeamwrightError) as fault:
        pdf_of(pattern(("Front", 300, 200)), **options)
    said = f"{fault.value.finding.message} {fault.value.finding.hint}"
    assert words in said


# -- through the public face ----------------------------------------------------------------


@pytest.mark.parametrize("paper", ["a4", "letter", "one sheet"])
def test_written_and_read_back_every_edge_is_as_long(tmp_path: Path, paper: str) -> None:
    made = pattern(("Front", 500, 700), ("Sleeve", 333.3, 480), sizes=("S", "M", "L"))
    sw.write(made, tmp_path / "a.pdf", paper=paper)
    back = sw.read(tmp_path / "a.pdf")
    for piece in made.pieces:
        for shape in piece.shapes:
            again = back.piece(piece.name).in_size(shape.size)
            ours, theirs = [e.length for e in shape.edges], [e.length for e in again.edges]
            assert theirs == pytest.approx(ours, abs=1e-4)


def test_a_choice_of_sizes_is_no_loss(tmp_path: Path) -> None:
    made = pattern(("Front", 200, 150), sizes=("S", "M", "L"))
    written = write_file(made, tmp_path / "a.pdf", options={"sizes": ["M"]})
    assert {f.code for f in written.findings} <= {
        "pdf.pages", "readback.deviation", "readback.moved",
    }  # fmt: skip
    assert sw.read(tmp_path / "a.pdf").pieces[0].sizes == ("M",)


@pytest.mark.parametrize("name", ["</script>(x)\\", "a\nb", "\ud800 half", "x" * 3000, "("])
def test_odd_names_are_only_names(name: str) -> None:
    data, _ = pdf_of(pattern((name, 120, 90), sizes=(name + "1", name + "2")))
    with opened(data) as pdf:
        assert len(pdf.pages) == 2
    content = tiles(data)[0]["text"]
    assert content.count("BDC") + content.count("BMC") == len(re.findall(r"\bEMC\b", content))
