"""Writing: mm, one layer a size, the same bytes every time, the same pattern when read again."""

from __future__ import annotations

import gzip
import os
import re
import subprocess
import sys
from dataclasses import replace
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.demo.blouse import blouse
from seamwright.demo.by_hand import by_hand
from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve, FloatArray, Station
from seamwright.model import (
    Dart,
    DrillHole,
    Foreign,
    GradePoint,
    GradeRules,
    GrainLine,
    InternalKind,
    InternalLine,
    LineRole,
    Notch,
    NotchType,
    Pattern,
    Piece,
    SeamLineSource,
    Shape,
    Text,
    TextRole,
    build_shape,
)
from seamwright.plugins.api import Context, Source
from seamwright.testing import assert_patterns_equal
from seamwright.testing.strategies import patterns

NS = {
    "svg": "http://www.w3.org/2000/svg",
    "inkscape": "http://www.inkscape.org/namespaces/inkscape",
}


AWKWARD = [1e-17, -0.0, 123456.7890123, 1 / 3, -2e-7, 1e5, 0.1 + 0.2, 5e-7]


def everything() -> Pattern:
    """A pattern that uses every field of the model."""
    sizes = ("10", "12")

    def shape(size: str, g: float) -> Shape:
        wide, high = 100.0 + g, 200 / 3
        corners = [(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high), (0.0, 0.0)]
        segments = [[a, a, b, b] for a, b in pairwise(corners)]
        segments[0] = [(0.0, 0.0), (30.0 + g, -20.0), (70.0, -20.0), (wide, 0.0)]
        outline = Curve.from_segments(
            np.array(segments),
            [1, 0, 0, 0],
            closed=True,
        )
        cut = Curve.polyline(
            np.array([[-10, -30], [110 + g, -30], [110 + g, 76 + 2 / 3], [-10, 76 + 2 / 3]]),
            closed=True,
        )
        return build_shape(
            size=size,
            outline=outline,
            cut_line=cut,
            corners=[Station(0, 0.0), Station(1, 0.0), Station(2, 0.0), Station(3, 0.0)],
            corner_names=["a & b", 'c "d"', None, "é < 線"],
            notches=[
                Notch(
                    name="",
                    station=Station(0, 1 / 3),
                    type=NotchType.V,
                    depth=5.5,
                    width=3.25,
                    angle=12.5,
                ),
                Notch(name="balance", station=Station(1, 0.123456789), type=NotchType.T),
                Notch(name="cut", station=Station(2, 0.5), line=LineRole.CUT, distance=0.25),
                Notch(
                    name="castle",
                    station=Station(3, 0.7),
                    type=NotchType.CASTLE,
                    depth=4.0,
                    offset=(0.004, -0.003),
                ),
            ],
            darts=[
                Dart(name="bust", left=Station(2, 0.2), right=Station(2, 0.4), apex=(60.0, 20 / 3))
            ],
            grade_points=[
                GradePoint(rule=3, station=Station(1, 0.0)),
                GradePoint(rule=-1, at=(12.5, 1 / 3)),
                GradePoint(rule=7, station=Station(1, 0.25), line=LineRole.CUT),
            ],
            curve_points=[Station(0, 0.5), Station(0, 0.75)],
            allowances=[10.0, 10.0, 15.875, 0.0],
            grain_line=GrainLine(start=(50.0, 10.0), end=(50.0 + g, 60.0)),
            internal_lines=tuple(
                InternalLine(
                    kind=kind,
                    curve=Curve.polyline(
                        np.array([[10, y], [40, y + 1 / 7], [45, y]]), closed=i % 3 == 0
                    ),
                    name="" if i % 2 else f"line {i}",
                    layer="" if i % 2 else "inner",
                    turn_points=(0, 2) if i == 1 else (),
                    curve_points=(1,) if i == 1 else (),
                )
                for i, (kind, y) in enumerate(zip(InternalKind, np.linspace(5, 60, 9), strict=True))
            ),
            drill_holes=(
                DrillHole(at=(20.0, 30.0), diameter=1 / 3, name="hole", category=4),
                DrillHole(at=(25.0, 1 / 3)),
            ),
            texts=(
                Text(
                    text=" two  spaces ", at=(5.0, 5.0), height=4.2, rotation=-33.3, layer="words"
                ),
                Text(text="Front", at=(7.0, 9.0), role=TextRole.NAME, rotation=270.0),
                Text(text="line one\nline two & <three>", at=(1.0, 1 / 3), role=TextRole.SYSTEM),
            ),
            mirrored_half=size == "12",
            seam_line_source=SeamLineSource.DERIVED if size == "12" else SeamLineSource.FILE,
            flags=(("flip", "yes"), ("turn", '"90"')),
        )

    circle = Shape(size="12", seam_line=Curve.circle((30.0, 30.0), 20.0))
    return Pattern(
        name="Tea gown & <train>",
        pieces=(
            Piece(
                name="Front 1/2",
                shapes=(shape("10", 0.0), shape("12", 7.0)),
                quantity=(2, 3),
                material="shell",
                category="bodice",
            ),
            Piece(name="Medallion", shapes=(circle,)),
        ),
        sizes=sizes,
        base_size="12",
        notes=(("author", "Wardrobe"), ("remark", "two\nlines & more")),
        grade_rules=GradeRules(
            name="rules",
            author="a",
            date="2024",
            sizes=sizes,
            base_size="12",
            offsets={
                3: np.array([[-1.5, 0.25], [0.0, 0.0]]),
                7: np.array([[1 / 3, 0.0], [0.0, 0.0]]),
            },
        ),
    )


class TestReadBack:
    def test_every_field(self, svg: Any) -> None:
        assert_patterns_equal(svg.again(everything()).pattern, everything())

    def test_blouse(self, svg: Any) -> None:
        assert_patterns_equal(svg.again(blouse()).pattern, blouse())

    def test_twice(self, svg: Any) -> None:
        once = svg.again(everything()).pattern
        assert_patterns_equal(svg.again(once).pattern, everything(), 2e-6)

    @settings(max_examples=60)
    @given(patterns(seams=False))
    def test_generated_patterns(self, svg: Any, pattern: Pattern) -> None:
        assert_patterns_equal(svg.again(pattern).pattern, pattern)

    def test_plan_travels(self, svg: Any) -> None:
        from pathlib import Path

        import seamwright.demo
        from seamwright.plan import apply_plan, load_plan

        place = Path(seamwright.demo.__file__).parent / "data" / "chorus-blouse.plan.toml"
        pattern, _ = apply_plan(blouse(), load_plan(place.read_text("utf-8")))
        assert pattern.seams
        again = svg.again(pattern).pattern
        assert_patterns_equal(again, pattern)
        assert not svg.again(pattern, plan=False).pattern.seams

    def test_lengths_are_the_same(self, svg: Any) -> None:
        before, after = blouse(), svg.again(blouse()).pattern
        for a, b in zip(before.pieces, after.pieces, strict=True):
            for s, t in zip(a.shapes, b.shapes, strict=True):
                assert [e.length for e in s.edges] == pytest.approx(
                    [e.length for e in t.edges], abs=2e-6
                )

    def test_degenerate_segments_survive(self, svg: Any) -> None:
        points = np.array([[0, 0], [100, 0], [100, 0], [100, 80], [0, 80], [0, 1e-9]])
        shape = Shape(size="M", seam_line=Curve.polyline(points, closed=True))
        pattern = Pattern(
            name="x", pieces=(Piece(name="Odd", shapes=(shape,)),), sizes=("M",), base_size="M"
        )
        assert svg.again(pattern).shape().seam_line.n == 6

    def test_foreign_lines_go_back_where_they_were(self, svg: Any) -> None:
        body = (
            '<path id="Cuff" d="M0,0h90v90h-90z"/><path d="M400,400 c9,-9 20,3 30,20"/>'
            '<text x="450" y="450" font-size="8">a &lt; b</text>'
        )
        first = svg.read(body).pattern
        assert len(first.foreign) == 2
        again = svg.again(first).pattern
        assert [f.data for f in again.foreign] == [f.data for f in first.foreign]

    def test_strange_fragments_are_not_written(self, svg: Any) -> None:
        bad = blouse().but(foreign=(Foreign(format="svg", where="", data="<script>x</script>"),
                                    Foreign(format="svg", where="", data="</g>")))  # fmt: skip
        data = svg.write(bad)
        assert b"script" not in data
        ElementTree.fromstring(data)

    def test_sizes_without_shapes_and_shapes_without_sizes(self, svg: Any) -> None:
        one = blouse(["C", "D"])
        more = one.but(sizes=("B", "C", "D", "E"))
        assert svg.again(more).pattern.sizes == ("B", "C", "D", "E")
        fewer = one.but(sizes=("C",), base_size="C")
        assert svg.again(fewer).pattern.piece("Back").sizes == ("C", "D")

    def test_piece_without_shape_is_told(self, svg: Any) -> None:
        pattern = blouse(["C"])
        pattern = pattern.but(pieces=(*pattern.pieces, Piece(name="Ghost", shapes=())))
        writer = svg.format.writer
        findings = writer.run(pattern, writer.options(), Context()).findings
        assert [f.code for f in findings] == ["svg.empty-piece"]
        assert "Ghost" in findings[0].message

    def test_nothing_at_all(self, svg: Any) -> None:
        empty = Pattern(name="empty", pieces=(), sizes=(), base_size="")
        assert svg.again(empty).pattern.pieces == ()


class TestEdited:
    """After an edit the drawing counts, not the figures beside it."""

    def data(self, svg: Any) -> str:
        return str(svg.write(everything(), layout="keep").decode())

    def test_moved_group(self, svg: Any) -> None:
        data = self.data(svg).replace(
            'data-piece="Medallion"', 'data-piece="Medallion" transform="translate(5 7)"'
        )
        box = svg.read(data).shape("Medallion").seam_line.bbox
        assert box == pytest.approx([15, 3, 55, 43])

    def test_moved_notch(self, svg: Any) -> None:
        before = svg.read(self.data(svg)).shape("Front 1/2")
        head, layer = self.data(svg).split('data-size="12"')
        found = re.search(r'<path inkscape:label="balance"[^>]*?d="', layer)
        assert found is not None
        moved = found.group().replace(' d="', ' transform="translate(0 3)" d="')
        data = head + 'data-size="12"' + layer.replace(found.group(), moved, 1)
        after = svg.read(data).shape("Front 1/2")
        a = before.seam_line.length_of(before.notch("balance").station)
        b = after.seam_line.length_of(after.notch("balance").station)
        assert abs(a - b) == pytest.approx(3.0, abs=1e-5)
        assert after.notch("balance").type is NotchType.T

    def test_edited_outline_keeps_its_corners_names(self, svg: Any) -> None:
        pattern = blouse(["C"])
        data = svg.write(pattern, layout="keep").decode()
        shape = pattern.piece("Sleeve").in_size("C")
        x, y = shape.seam_line.segments[shape.corner("wrist-back").station.segment, 0]
        text = f"{round(float(x), 6):g},{round(-float(y), 6):g}"
        assert text in data
        moved = f"{round(float(x) - 2, 6):g},{round(-float(y), 6):g}"
        head, tail = data.split('data-piece="Sleeve"')
        after = svg.read(
            head + 'data-piece="Sleeve"' + tail.replace(f"L{text}", f"L{moved}")
        ).shape("Sleeve")
        names = {c.name for c in after.corners}
        assert {"underarm-front", "underarm-back", "wrist-front"} <= names
        assert len(after.corners) == len(shape.corners)

    def test_added_stroke_is_read(self, svg: Any) -> None:
        data = svg.write(blouse(["C"]), layout="keep").decode()
        shape = blouse(["C"]).piece("Back").in_size("C")
        edge = shape.edge_curve(1)
        point, inward = edge.point_at(edge.length / 2), edge.normal_at(edge.length / 2)
        tip = point + 5 * inward
        stroke = (
            f'<path d="M{float(point[0])},{-float(point[1])} L{float(tip[0])},{-float(tip[1])}"/>'
        )
        at = data.index("</g>", data.index('data-piece="Back"'))
        after = svg.read(data[: at + 4] + stroke + data[at + 4 :]).shape("Back")
        assert len(after.notches) == len(shape.notches) + 1


class TestFile:
    def test_root_is_in_mm_and_one_unit_is_one_mm(self, svg: Any) -> None:
        root = ElementTree.fromstring(svg.write(blouse()))
        _, _, w, h = map(float, root.attrib["viewBox"].split())
        assert root.attrib["width"] == f"{w:g}mm" and root.attrib["height"] == f"{h:g}mm"

    def test_no_group_is_transformed(self, svg: Any) -> None:
        root = ElementTree.fromstring(svg.write(everything()))
        assert not [g for g in root.iter(f"{{{NS['svg']}}}g") if "transform" in g.attrib]

    def test_one_layer_a_size_and_one_group_a_piece(self, svg: Any) -> None:
        root = ElementTree.fromstring(svg.write(blouse()))
        label, mode = (f"{{{NS['inkscape']}}}{n}" for n in ("label", "groupmode"))
        layers = [g for g in root if g.attrib.get(mode) == "layer" and g.attrib.get("data-size")]
        assert sorted(g.attrib[label] for g in layers) == [f"Size {s}" for s in "ABCDEFG"]
        for layer in layers:
            assert [g.attrib[label] for g in layer] == ["Back", "Front", "Sleeve"]

    def test_curves_stay_curves_and_lines_lines(self, svg: Any) -> None:
        data = svg.write(blouse(["C"]), layout="keep").decode()
        pattern = blouse(["C"])
        for piece in pattern.pieces:
            line = piece.shapes[0].seam_line
            path = re.search(f'id="{piece.name.lower()}-c-seam-line"[^>]* d="([^"]*)"', data)
            assert path is not None
            assert path.group(1).count("C") == int((line.kinds == 1).sum())

    @given(st.lists(st.sampled_from(AWKWARD), min_size=8, max_size=8))
    def test_numbers_are_plain(self, svg: Any, values: list[float]) -> None:
        v = np.array(values).reshape(4, 2)
        points = v + np.array([[0, 0], [1000, 0], [1000, 900], [0, 900]])
        shape = Shape(
            size="M", seam_line=Curve.polyline(points, closed=True),
            grain_line=GrainLine(start=(values[0], values[1]), end=(values[2], values[3] + 5)),
            texts=(Text(text="x", at=(values[4], values[5]), rotation=values[6]),),
        )  # fmt: skip
        pattern = Pattern(
            name="n", pieces=(Piece(name="P", shapes=(shape,)),), sizes=("M",), base_size="M"
        )
        root = ElementTree.fromstring(svg.write(pattern))
        plain = re.compile(r"-?\d+(\.\d{1,6})?")
        for element in root.iter():
            for name in ("x", "y", "r", "cx", "cy", "font-size", "data-x", "data-y", "data-depth"):
                if name in element.attrib:
                    assert plain.fullmatch(element.attrib[name]), element.attrib[name]
                    assert element.attrib[name] != "-0"
            for number in re.split(r"[MLCZ, ]+", element.attrib.get("d", "")):
                assert not number or (plain.fullmatch(number) and number != "-0"), number

    def test_numbers_that_are_none_stop_the_writing(self, svg: Any) -> None:
        shape = blouse(["C"]).pieces[0].shapes[0]
        bad = shape.but(texts=(Text(text="x", at=(float("nan"), 0.0)),))
        pattern = Pattern(
            name="n", pieces=(Piece(name="P", shapes=(bad,)),), sizes=("C",), base_size="C"
        )
        with pytest.raises(SeamwrightError):
            svg.write(pattern)

    def test_characters_that_xml_cannot_hold(self, svg: Any) -> None:
        pattern = blouse(["C"]).but(name="a\x00b\x0bc")
        ElementTree.fromstring(svg.write(pattern))

    def test_ids_are_unique_and_plain(self, svg: Any) -> None:
        one = blouse(["C"]).pieces[0]
        names = ["Größe 線", "a/b", "A b", "a-b", "../x", "", "1"]
        pattern = blouse(["C"]).but(pieces=tuple(one.but(name=n) for n in names))
        root = ElementTree.fromstring(svg.write(pattern))
        ids = [e.attrib["id"] for e in root.iter() if "id" in e.attrib]
        assert len(ids) == len(set(ids))
        assert all(re.fullmatch("[a-z][a-z0-9-]*", i) for i in ids)
        assert_patterns_equal(svg.again(pattern).pattern, pattern)

    def test_compressed(self, svg: Any) -> None:
        plain = svg.write(blouse(["C"]))
        packed = svg.write(blouse(["C"]), file="x.svgz")
        assert gzip.decompress(packed) == plain
        assert packed == svg.write(blouse(["C"]), file="x.svgz")
        assert_patterns_equal(svg.read(packed).pattern, blouse(["C"]))

    def test_same_bytes_in_another_process_locale_and_hash_seed(self, svg: Any) -> None:
        code = (
            "import sys, hashlib; from seamwright_svg.plugin import seamwright_formats;"
            "from seamwright_svg.options import SvgOut; from seamwright.plugins.api import Context;"
            "from seamwright.demo.blouse import blouse;"
            "w = seamwright_formats()[0].writer;"
            "d = w.run(blouse(), SvgOut(), Context()).parts[0].data;"
            "sys.stdout.write(hashlib.sha256(d).hexdigest())"
        )
        sums = {
            subprocess.run(
                [sys.executable, "-c", code],
                env={**os.environ, "PYTHONHASHSEED": seed, "LC_ALL": locale, "TZ": zone},
                capture_output=True, text=True, check=True,
            ).stdout
            for seed, locale, zone in (("1", "C", "UTC"), ("77", "de_DE.UTF-8", "Asia/Tokyo"))
        }  # fmt: skip
        assert len(sums) == 1

    def test_names_are_escaped(self, svg: Any) -> None:
        pattern = blouse(["C"]).but(name="</title><script>alert(1)</script>")
        root = ElementTree.fromstring(svg.write(pattern))
        assert not list(root.iter(f"{{{NS['svg']}}}script"))


class TestLayout:
    def boxes(self, data: bytes) -> list[FloatArray]:
        root = ElementTree.fromstring(data)
        out = []
        for path in root.iter(f"{{{NS['svg']}}}path"):
            if path.attrib.get("data-role") == "seam":
                numbers = np.array(
                    [float(n) for n in re.findall(r"-?[\d.]+", path.attrib["d"])]
                ).reshape(-1, 2)
                out.append(np.concatenate((numbers.min(axis=0), numbers.max(axis=0))))
        return out

    def stacked(self) -> Pattern:
        one = blouse(["C"])
        return one.but(
            pieces=tuple(
                replace(one.pieces[0], name=n) for n in ("A", "B", "C", "D", "E", "F", "G")
            )
        )

    def test_pieces_over_each_other_are_laid_side_by_side(self, svg: Any) -> None:
        boxes = self.boxes(svg.write(self.stacked()))
        for i, a in enumerate(boxes):
            for b in boxes[:i]:
                assert a[0] >= b[2] or b[0] >= a[2] or a[1] >= b[3] or b[1] >= a[3]

    def test_reading_gives_the_patterns_own_coordinates_back(self, svg: Any) -> None:
        assert_patterns_equal(svg.again(self.stacked(), layout="rows").pattern, self.stacked())

    def test_keep_moves_nothing(self, svg: Any) -> None:
        assert b"data-moved" not in svg.write(self.stacked(), layout="keep")

    def test_rows_keep_to_the_page(self, svg: Any) -> None:
        boxes = np.array(self.boxes(svg.write(self.stacked(), layout="rows", page_width="800 mm")))
        assert boxes[:, 2].max() - boxes[:, 0].min() <= 800

    def test_everything_lies_on_the_page(self, svg: Any) -> None:
        for pattern in (self.stacked(), everything(), blouse()):
            data = svg.write(pattern)
            x, y, w, h = map(float, ElementTree.fromstring(data).attrib["viewBox"].split())
            for box in self.boxes(data):
                assert x <= box[0] and box[2] <= x + w and y <= box[1] and box[3] <= y + h

    def test_legend_has_a_true_square_and_is_no_piece(self, svg: Any) -> None:
        root = ElementTree.fromstring(svg.write(blouse()))
        square = next(e for e in root.iter() if e.attrib.get("id") == "test-square")
        numbers = np.array([float(n) for n in re.findall(r"-?[\d.]+", square.attrib["d"])]).reshape(
            -1, 2
        )
        assert np.ptp(numbers, axis=0).tolist() == [50.0, 50.0]
        assert [p.name for p in svg.again(blouse()).pattern.pieces] == ["Back", "Front", "Sleeve"]
        assert b"test-square" not in svg.write(blouse(), legend=False)


def test_by_hand_to_tidy_and_back(svg: Any) -> None:
    """A drawing in loose strokes, read, written and read again: the same pattern."""
    first = svg.read(by_hand(), join="0.3 mm").pattern
    assert_patterns_equal(svg.again(first).pattern, first)


def test_writer_and_reader_are_thunks_of_the_format(svg: Any) -> None:
    data = svg.write(blouse(["C"]))
    result = svg.format.reader.run(
        Source(name="b.svg", data=data), svg.format.reader.options(), Context()
    )
    assert result.facts["elements"] > 10
