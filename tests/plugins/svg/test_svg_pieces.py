"""What is a piece, what it is called, in which sizes it comes, and which of its lines is which."""

from __future__ import annotations

from typing import Any

import pytest

from seamwright.findings import Severity
from seamwright.model import SeamLineSource


def rect(x: float, y: float, w: float, h: float, more: str = "") -> str:
    return f'<path d="M{x},{y} h{w} v{h} h{-w} z" {more}/>'


class TestNames:
    def test_layer_label_then_title_then_id(self, svg: Any) -> None:
        read = svg.read(
            '<g inkscape:label="Front" id="x9">' + rect(0, 0, 90, 90) + "</g>"
            '<g id="x8"><title>Back</title>' + rect(100, 0, 90, 90) + "</g>"
            '<g id="Collar">' + rect(200, 0, 90, 90) + "</g>"
        )
        assert read.names == ["Front", "Back", "Collar"]

    @pytest.mark.parametrize(
        "made_up",
        ["path1234", "g12-3", "Layer_1", "layer1", "rect10", "SVGID_1_", "XMLID_3_", "Vector 4",
         "Group 12", "_1234567", "path", "Ebene 1"],
    )  # fmt: skip
    def test_names_that_programs_make_up_are_none(self, svg: Any, made_up: str) -> None:
        body = f'<g id="{made_up}">{rect(0, 0, 90, 90)}<text x="20" y="50">Yoke</text></g>'
        assert svg.read(body).names == ["Yoke"]

    def test_escaped_ids(self, svg: Any) -> None:
        assert svg.read(f'<g id="Back_x20_yoke_1_">{rect(0, 0, 90, 90)}</g>').names == ["Back yoke"]

    def test_text_inside_is_the_largest_that_can_be_a_name(self, svg: Any) -> None:
        read = svg.read(
            rect(0, 0, 200, 200) + '<text x="20" y="40" font-size="30">Size 10</text>'
            '<text x="20" y="60" font-size="20">cut 2</text>'
            '<text x="20" y="80" font-size="12">Side front</text>'
            '<text x="20" y="95" font-size="8">check!</text>'
        )
        assert read.names == ["Side front"]
        assert read.pattern.pieces[0].quantity == (2, 0)

    def test_the_nameless_are_numbered(self, svg: Any) -> None:
        assert svg.read(rect(0, 0, 90, 90) + rect(200, 0, 90, 80)).names == ["Piece 1", "Piece 2"]

    def test_the_same_name_twice(self, svg: Any) -> None:
        read = svg.read(
            rect(0, 0, 90, 90, 'inkscape:label="Cuff"')
            + rect(200, 0, 90, 90, 'inkscape:label="cuff"')
        )
        assert read.names == ["Cuff", "Cuff (2)"]
        assert read.one("piece.same-name").severity is Severity.WARNING

    def test_role_words_are_no_part_of_an_outlines_name(self, svg: Any) -> None:
        read = svg.read(
            rect(0, 0, 120, 120, 'id="yoke-cut-line"')
            + rect(10, 10, 100, 100, 'id="yoke-seam-line"')
        )
        assert read.names == ["yoke"]

    @pytest.mark.parametrize(
        "name", ["Notch collar", "Seam pocket", "Dart front", "Fold-over cuff", "Cut-away front"]
    )
    def test_role_words_in_a_groups_name_stay(self, svg: Any, name: str) -> None:
        assert svg.read(f'<g inkscape:label="{name}">{rect(0, 0, 90, 90)}</g>').names == [name]

    @pytest.mark.parametrize(
        ("label", "name", "quantity"),
        [
            ("Front (cut 2)", "Front", (2, 0)),
            ("Back - cut 1 on fold", "Back", (1, 0)),
            ("Cuff x4", "Cuff", (4, 0)),
            ("Cut-away front", "Cut-away front", (1, 0)),
        ],
    )
    def test_quantities_in_labels(
        self, svg: Any, label: str, name: str, quantity: tuple[int, int]
    ) -> None:
        read = svg.read(f'<g inkscape:label="{label}">{rect(0, 0, 90, 90)}</g>')
        assert read.names == [name]
        assert read.pattern.pieces[0].quantity == quantity

    def test_pattern_takes_the_title_or_the_files_name(self, svg: Any) -> None:
        body = rect(0, 0, 90, 90)
        assert svg.read(svg.doc("<title>Tea gown</title>" + body)).pattern.name == "Tea gown"
        assert svg.read(svg.doc(body), name="gown-3.svg").pattern.name == "gown-3"


class TestWhichIsAPiece:
    def test_flat_outlines_inside_others_are_not(self, svg: Any) -> None:
        read = svg.read(rect(0, 0, 200, 200) + rect(50, 60, 70, 80) + rect(300, 0, 90, 90))
        assert len(read.names) == 2
        assert len(read.shape("Piece 1").internal_lines) == 1

    def test_named_group_is_one_wherever_it_lies(self, svg: Any) -> None:
        read = svg.read(
            f'<g inkscape:label="Front">{rect(0, 0, 200, 200)}</g>'
            f'<g inkscape:label="Pocket">{rect(50, 60, 70, 80)}</g>'
        )
        assert read.names == ["Front", "Pocket"]

    def test_page_border_is_not(self, svg: Any) -> None:
        read = svg.read(rect(0, 0, 600, 600) + rect(50, 60, 70, 80) + rect(300, 0, 90, 90))
        assert len(read.names) == 2
        assert read.found("svg.frame")

    def test_piece_as_large_as_the_page_is(self, svg: Any) -> None:
        assert sum(svg.read(rect(0, 0, 600, 600)).edges()) == pytest.approx(2400)

    def test_background_is_not(self, svg: Any) -> None:
        read = svg.read(
            '<rect x="-5" y="-5" width="500" height="400" fill="#eee"/>'
            + rect(50, 60, 70, 80, 'fill="none" stroke="#000"')
            + rect(300, 0, 90, 90, 'fill="none" stroke="#000"')
        )
        assert len(read.names) == 2

    def test_mirrored_pair_stays_two(self, svg: Any) -> None:
        half = '<path d="M0,0 h90 l30,120 h-120 z"/>'
        read = svg.read(
            f'<g id="Left">{half}</g>'
            f'<g id="Right" transform="translate(400 0) scale(-1 1)">{half}</g>'
        )
        left, right = read.shape("Left"), read.shape("Right")
        assert left.seam_line.area > 0 and right.seam_line.area > 0
        assert [e.length for e in left.edges] != pytest.approx([e.length for e in right.edges])

    def test_a_drawing_without_outline_is_an_error(self, svg: Any) -> None:
        assert svg.read('<path d="M0,0 L10,10"/>').one("svg.no-outline").severity is Severity.ERROR

    def test_scraps_beside_the_pieces_are_not(self, svg: Any) -> None:
        """A title turned into outlines is no heap of tiny pieces."""
        letters = "".join(rect(400 + 12 * i, 100, 5, 9) for i in range(8))
        read = svg.read(rect(0, 0, 300, 300, 'id="Yoke"') + letters)
        assert read.names == ["Yoke"]
        assert "8 lines" in read.one("svg.outside").message

    def test_outline_drawn_twice_is_read_once(self, svg: Any) -> None:
        read = svg.read(rect(0, 0, 90, 80, 'fill="#ccc"') + rect(0, 0, 90, 80, 'stroke="#000"'))
        assert len(read.names) == 1
        assert not read.shape().internal_lines
        assert read.one("outline.double").severity is Severity.NOTE


class TestClosed:
    @pytest.mark.parametrize(
        "data",
        ["M0,0 H100 V80 H0 Z", "M0,0 H100 V80 H0 V0", "M0,0 H100 V80 H0 V0 Z",
         "M0,0 H100 V80 H0 L0.01,0.01",
         "M0,0 H100 V80 H0 L0.01,0.01 Z", "M0,0 H100 H100 V80 H0 L0,0 Z"],
    )  # fmt: skip
    def test_all_writings_give_one_closed_curve(self, svg: Any, data: str) -> None:
        shape = svg.read(f'<path d="{data}"/>').shape()
        assert shape.seam_line.closed
        assert shape.seam_line.n == 4
        assert len(shape.corners) == 4

    def test_polygon_with_its_first_point_repeated(self, svg: Any) -> None:
        assert svg.read('<polygon points="0,0 100,0 100,80 0,80 0,0"/>').shape().seam_line.n == 4

    def test_two_subpaths_are_two_outlines(self, svg: Any) -> None:
        assert len(svg.read('<path d="M0,0h90v90h-90z M200,0h90v80h-90z"/>').names) == 2


class TestJoining:
    SIDES = ["M50,50 H250", "M250,350 V50", "M250,350 H50", "M50,50 V350"]

    def body(self, gap: float) -> str:
        sides = [*self.SIDES[:3], f"M50,50 V{350 - gap}"]
        return '<g inkscape:label="Sleeve">' + "".join(f'<path d="{s}"/>' for s in sides) + "</g>"

    def test_strokes_in_any_order_and_direction(self, svg: Any) -> None:
        read = svg.read(self.body(0))
        assert read.edges("Sleeve") == pytest.approx([300, 200, 300, 200])
        assert read.one("outline.joined").measured == 0.0

    def test_gap_is_told(self, svg: Any) -> None:
        found = svg.read(self.body(0.04)).one("outline.joined")
        assert found.measured == pytest.approx(0.04)
        assert found.repaired and found.piece == "Sleeve"

    def test_wider_gap_is_an_error_with_both_ends_and_a_remedy(self, svg: Any) -> None:
        read = svg.read(self.body(0.4))
        found = read.one("outline.open")
        assert found.severity is Severity.ERROR
        assert found.piece == "Sleeve"
        assert found.measured == pytest.approx(0.4) and found.limit == pytest.approx(0.05)
        assert found.x is not None and found.y is not None
        ends = sorted([(found.x, found.y), *found.related], key=lambda p: p[1])
        assert ends[0] == pytest.approx((50, -350)) and ends[1] == pytest.approx((50, -349.6))
        assert found.hint is not None and 'join = "0.5 mm"' in found.hint
        again = svg.read(self.body(0.4), join="0.5 mm")
        assert again.names == ["Sleeve"]
        assert again.one("outline.joined").measured == pytest.approx(0.4)

    def test_missing_side_is_an_error(self, svg: Any) -> None:
        read = svg.read('<g inkscape:label="Sleeve"><path d="M50,50 H250 V350 H50"/></g>')
        assert read.one("outline.open").measured == pytest.approx(300)

    def test_lines_from_joint_to_joint_do_not_disturb(self, svg: Any) -> None:
        body = self.body(0).replace("</g>", '<path id="waist" d="M50,50 L250,350"/></g>')
        shape = svg.read(body).shape("Sleeve")
        assert [e.length for e in shape.edges] == pytest.approx([300, 200, 300, 200])
        assert [line.name for line in shape.internal_lines] == ["waist"]

    def test_notch_at_a_joint_is_no_edge(self, svg: Any) -> None:
        read = svg.read(self.body(0).replace("</g>", '<path d="M250,50 l-5,5"/></g>'))
        assert len(read.shape("Sleeve").notches) == 1

    def test_line_drawn_twice_counts_once(self, svg: Any) -> None:
        read = svg.read(self.body(0).replace("</g>", '<path d="M250,50 H50"/></g>'))
        assert read.edges("Sleeve") == pytest.approx([300, 200, 300, 200])

    def test_pieces_that_touch_in_a_point_stay_apart(self, svg: Any) -> None:
        sides = ["M0,0 H100", "M100,0 V80", "M100,80 H0", "M0,80 V0",
                 "M100,80 H220", "M220,80 V200", "M220,200 H100", "M100,200 V80"]  # fmt: skip
        read = svg.read("".join(f'<path d="{s}"/>' for s in sides))
        assert sorted(round(sum(read.edges(n)), 6) for n in read.names) == [360, 480]

    def test_fold_edge_is_part_of_the_outline(self, svg: Any) -> None:
        sides = [f'<path d="{s}"/>' for s in self.SIDES[:3]]
        sides.append(f'<path id="fold-line" stroke-dasharray="5 2" d="{self.SIDES[3]}"/>')
        shape = svg.read('<g id="Back">' + "".join(sides) + "</g>").shape("Back")
        assert sum(e.length for e in shape.edges) == pytest.approx(1000)
        assert shape.mirrored_half
        assert [line.kind.value for line in shape.internal_lines] == ["fold"]

    def test_many_loose_lines(self, svg: Any) -> None:
        """An exploded outline of 4,000 shuffled lines closes in one piece."""
        import math
        import random

        n = 4000
        points = [(300 + 250 * math.cos(math.tau * k / n), 300 + 250 * math.sin(math.tau * k / n))
                  for k in range(n)]  # fmt: skip
        lines = [(points[k], points[(k + 1) % n]) for k in range(n)]
        random.Random(3).shuffle(lines)
        body = "".join(f'<path d="M{a[0] + 0.001},{a[1]} L{b[0]},{b[1]}"/>' for a, b in lines)
        read = svg.read(body)
        assert read.shape().seam_line.n == n
        assert read.shape().seam_line.length == pytest.approx(2 * math.pi * 250, rel=1e-4)


class TestSeamAndCut:
    PAIR = rect(0, 0, 120, 220, "{0}") + rect(10, 10, 100, 200, "{1}")

    def both(self, svg: Any, cut: str, seam: str) -> Any:
        return svg.read('<g id="Front">' + self.PAIR.format(cut, seam) + "</g>")

    @pytest.mark.parametrize(
        ("cut", "seam"),
        [
            ('inkscape:label="cut line"', 'inkscape:label="seam line"'),
            ('inkscape:label="cutting line"', 'inkscape:label="stitching line"'),
            ('class="cut"', 'class="seam"'),
            ('id="cutline"', ""),
            ("", 'id="sewing-line"'),
            ('id="seam-allowance"', 'id="stitch_line"'),
        ],
    )
    def test_told_by_words(self, svg: Any, cut: str, seam: str) -> None:
        read = self.both(svg, cut, seam)
        assert sum(read.edges("Front")) == pytest.approx(600)
        assert read.shape("Front").cut_line.length == pytest.approx(680)
        assert not read.found("outline.two-lines")

    def test_told_by_shape_with_a_warning(self, svg: Any) -> None:
        read = self.both(svg, "", "")
        assert sum(read.edges("Front")) == pytest.approx(600)
        assert read.one("outline.two-lines").severity is Severity.WARNING

    def test_wider_hem_and_fold_without_allowance(self, svg: Any) -> None:
        body = '<g id="Front">' + rect(0, 0, 120, 260) + rect(0, 10, 110, 210) + "</g>"
        read = svg.read(body)
        assert sum(read.edges("Front")) == pytest.approx(640)
        assert read.shape("Front").cut_line is not None

    def test_pocket_inside_is_no_seam_line(self, svg: Any) -> None:
        read = svg.read('<g id="Front">' + rect(0, 0, 200, 300) + rect(40, 60, 80, 90) + "</g>")
        assert read.shape("Front").cut_line is None
        assert sum(read.edges("Front")) == pytest.approx(1000)

    def test_layers_by_role(self, svg: Any) -> None:
        read = svg.read(
            f'<g inkscape:label="Cut lines">{rect(0, 0, 120, 220)}{rect(200, 0, 120, 240)}</g>'
            f'<g inkscape:label="Seam lines">{rect(10, 10, 100, 200)}{rect(210, 10, 100, 220)}</g>'
            '<g inkscape:label="Notches"><path d="M60,0 v10"/></g>'
            '<text x="30" y="100">Front</text><text x="230" y="100">Back</text>'
        )
        assert read.names == ["Front", "Back"]
        assert [sum(read.edges(n)) for n in read.names] == pytest.approx([600, 640])
        assert len(read.shape("Front").notches) == 1

    def test_lone_cut_line_stands_in_with_a_warning(self, svg: Any) -> None:
        read = svg.read('<g id="Front">' + rect(0, 0, 120, 220, 'class="cut-line"') + "</g>")
        assert read.shape("Front").seam_line_source is SeamLineSource.CUT_LINE
        assert read.one("seam-line.missing").severity is Severity.WARNING

    def test_lone_cut_line_with_its_allowance(self, svg: Any) -> None:
        read = svg.read(
            '<g id="Front">' + rect(0, 0, 120, 220, 'class="cut-line"') + "</g>", allowance="10 mm"
        )
        shape = read.shape("Front")
        assert shape.seam_line_source is SeamLineSource.DERIVED
        assert [e.length for e in shape.edges] == pytest.approx([200, 100, 200, 100], abs=1e-6)
        assert shape.cut_line is not None and shape.cut_line.length == pytest.approx(680)

    def test_allowance_wider_than_the_piece(self, svg: Any) -> None:
        read = svg.read(
            '<g id="Front">' + rect(0, 0, 120, 220, 'class="cut-line"') + "</g>", allowance="70 mm"
        )
        assert read.one("seam-line.not-derived").severity is Severity.ERROR

    def test_unlabelled_outline_is_noted_once(self, svg: Any) -> None:
        read = svg.read(rect(0, 0, 90, 90) + rect(200, 0, 90, 90))
        assert read.one("outline.unlabelled").severity is Severity.NOTE


class TestSizes:
    def test_unnamed_nest_is_numbered_from_the_smallest(self, svg: Any) -> None:
        body = (
            '<g id="Front">'
            + "".join(rect(0, 0, 100 + 4 * i, 200 + 9 * i) for i in (3, 0, 2, 1))
            + "</g>"
        )
        read = svg.read(body)
        assert read.pattern.sizes == ("1", "2", "3", "4")
        assert sum(read.edges("Front", "1")) == pytest.approx(600)
        assert read.one("sizes.unnamed").severity is Severity.WARNING

    def test_numbered_pieces_are_no_sizes(self, svg: Any) -> None:
        body = rect(0, 0, 90, 100, 'id="Pocket_1"') + rect(200, 0, 60, 70, 'id="Pocket_2"')
        body += rect(0, 200, 90, 100, 'id="Sleeve L"') + rect(200, 200, 90, 100, 'id="Sleeve R"')
        read = svg.read(body)
        assert read.names == ["Pocket_1", "Pocket_2", "Sleeve L", "Sleeve R"]
        assert len(read.pattern.sizes) == 1

    def test_one_size_in_all_names(self, svg: Any) -> None:
        body = rect(0, 0, 90, 100, 'id="Front_12"') + rect(200, 0, 60, 70, 'id="Back_12"')
        read = svg.read(body)
        assert read.pattern.sizes == ("12",)
        assert read.names == ["Front", "Back"]
        assert read.found("sizes.from-names")

    @pytest.mark.parametrize(
        ("labels", "order"),
        [
            (["L", "XS", "M", "S"], ["XS", "S", "M", "L"]),
            (["12", "8", "10"], ["8", "10", "12"]),
            (["2XL", "M", "XXXL", "L"], ["M", "L", "2XL", "XXXL"]),
            (["Size 0", "Size 00", "Size 2"], ["00", "0", "2"]),
            (["Size tall", "Size short"], ["tall", "short"]),
            (["EU 40", "EU 38"], ["EU 38", "EU 40"]),
        ],
    )
    def test_order(self, svg: Any, labels: list[str], order: list[str]) -> None:
        body = "".join(
            f'<g inkscape:label="{s}"><g id="Cuff{i}" inkscape:label="Cuff">'
            f"{rect(0, 0, 100 + 5 * i, 90)}</g></g>"
            for i, s in enumerate(labels)
        )
        assert list(svg.read(body).pattern.sizes) == order

    def layers(self, *names: str) -> str:
        return "".join(
            f'<g inkscape:label="Size {s}"><g inkscape:label="Cuff">'
            f"{rect(0, 0, 100 + 5 * i, 90)}</g></g>"
            for i, s in enumerate(names)
        )

    def test_base_size(self, svg: Any) -> None:
        body = self.layers("8", "10", "12")
        read = svg.read(body)
        assert read.pattern.base_size == "10"
        assert read.one("sizes.base-assumed").severity is Severity.NOTE
        assert svg.read(body, base_size="8").pattern.base_size == "8"
        assert svg.read(body, base_size="9").one("sizes.no-base").severity is Severity.ERROR

    def test_piece_without_size_is_in_all(self, svg: Any) -> None:
        read = svg.read(
            self.layers("8", "10") + f'<g inkscape:label="Pocket">{rect(300, 0, 80, 90)}</g>'
        )
        assert read.pattern.piece("Pocket").sizes == ("8", "10")
        assert read.found("sizes.one-for-all")

    def test_mark_without_size_goes_to_the_outline_it_meets(self, svg: Any) -> None:
        sizes = "".join(f'<g inkscape:label="{s}">{rect(0, 0, 100 + 9 * i, 90 + 9 * i)}</g>'
                        for i, s in enumerate(("8", "10", "12")))  # fmt: skip
        read = svg.read(f'<g inkscape:label="Cuff">{sizes}<path d="M109,40 h-6"/></g>')
        assert [len(read.shape("Cuff", s).notches) for s in ("8", "10", "12")] == [0, 1, 0]

    def test_grain_line_without_size_goes_to_all(self, svg: Any) -> None:
        sizes = "".join(f'<g inkscape:label="{s}">{rect(0, 0, 100 + 9 * i, 90 + 9 * i)}</g>'
                        for i, s in enumerate(("8", "10")))  # fmt: skip
        read = svg.read(f'<g inkscape:label="Cuff">{sizes}<path id="grain" d="M50,10 v60"/></g>')
        assert all(read.shape("Cuff", s).grain_line for s in ("8", "10"))
        assert read.one("svg.shared-mark").severity is Severity.NOTE

    def test_marks_that_all_sizes_share(self, svg: Any) -> None:
        """A layer of marks beside the size layers: its closed lines are no pieces."""
        sizes = "".join(
            f'<g inkscape:label="Size {s}">{rect(0, 0, w, w, f"id={chr(34)}Front{i}{chr(34)}")}</g>'
            for i, (s, w) in enumerate((("8", 200), ("10", 210)))
        )
        marks = rect(50, 50, 60, 60) + '<circle cx="20" cy="20" r="2"/>'
        read = svg.read(f'{sizes}<g inkscape:label="Marks">{marks}</g>')
        assert read.names == ["Front"]
        for size in ("8", "10"):
            shape = read.shape("Front", size)
            assert (len(shape.internal_lines), len(shape.drill_holes)) == (1, 1)

    @pytest.mark.parametrize("label", ["Size chart", "Größe 線", "Sizes"])
    def test_labels_that_only_speak_of_sizes(self, svg: Any, label: str) -> None:
        read = svg.read(f'<g inkscape:label="{label}">{rect(0, 0, 90, 90)}</g>')
        assert read.pattern.sizes == ("one size",)

    def test_sizes_in_two_ways_of_counting(self, svg: Any) -> None:
        labels = ["10 (S)", "12 (M)", "14 (L)"]
        body = "".join(
            f'<g inkscape:label="{s}"><g inkscape:label="Cuff">{rect(0, 0, 90 + i, 80)}</g></g>'
            for i, s in enumerate(labels)
        )
        assert list(svg.read(body).pattern.sizes) == labels

    @pytest.mark.parametrize(
        ("labels", "sizes"),
        [
            (["Petite", "Regular", "Tall"], ("Petite", "Regular", "Tall")),
            (["B", "A", "C"], ("A", "B", "C")),
            (["Shell", "Lining"], ("one size",)),
            (["Left", "Right"], ("one size",)),
        ],
    )
    def test_layers_that_hold_the_same_pieces(
        self, svg: Any, labels: list[str], sizes: tuple[str, ...]
    ) -> None:
        body = "".join(
            f'<g inkscape:label="{label}">'
            f'<g inkscape:label="Front">{rect(0, 0, 100 + 5 * i, 90)}</g>'
            f'<g inkscape:label="Back">{rect(200, 0, 100 + 5 * i, 90)}</g></g>'
            for i, label in enumerate(labels)
        )
        assert svg.read(body).pattern.sizes == sizes

    @pytest.mark.parametrize("pattern", ["front-{s}", "front_{i}", "{s}-front-seam-line"])
    def test_ids_that_differ_because_they_must(self, svg: Any, pattern: str) -> None:
        body = ""
        for i, size in enumerate(("G", "H", "K")):
            name = pattern.format(s=size.lower(), i=i + 1)
            body += f'<g inkscape:label="Size {size}">' + rect(
                0, 0, 100 + 5 * i, 90, f'id="{name}"'
            )
            body += "</g>"
        read = svg.read(body)
        assert read.names == ["front"]
        assert read.pattern.piece("front").sizes == ("G", "H", "K")

    def test_sizes_called_by_a_letter(self, svg: Any) -> None:
        read = svg.read(self.layers("G", "A", "C"))
        assert read.pattern.sizes == ("A", "C", "G")

    def test_sizes_that_stand_only_in_texts(self, svg: Any) -> None:
        body = ""
        for i, size in enumerate(("8", "10", "12")):
            for k, name in enumerate(("Front", "Back")):
                x, y, w = 190 * i, 250 * k, 100 + 5 * i
                body += rect(x, y, w, 200)
                body += f'<text x="{x + 20}" y="{y + 50}" font-size="14">{name}</text>'
                body += f'<text x="{x + 20}" y="{y + 80}" font-size="9">Size {size}</text>'
        read = svg.read(body)
        assert read.names == ["Front", "Back"]
        assert read.pattern.sizes == ("8", "10", "12")
        assert sum(read.edges("Back", "12")) == pytest.approx(620)
        assert read.one("sizes.from-texts").severity is Severity.NOTE

    def test_size_at_the_end_of_texts(self, svg: Any) -> None:
        body = "".join(
            rect(190 * i, 0, 100 + 5 * i, 200)
            + f'<text x="{190 * i + 20}" y="50">Yoke - {size}</text>'
            for i, size in enumerate("SML")
        )
        read = svg.read(body)
        assert (read.names, read.pattern.sizes) == (["Yoke"], ("S", "M", "L"))

    def test_one_size_in_all_texts(self, svg: Any) -> None:
        body = "".join(
            rect(190 * i, 0, 100, 200)
            + f'<text x="{190 * i + 20}" y="50" font-size="14">{name}</text>'
            + f'<text x="{190 * i + 20}" y="90">size 14</text>'
            for i, name in enumerate(("Front", "Back"))
        )
        read = svg.read(body)
        assert (read.names, read.pattern.sizes) == (["Front", "Back"], ("14",))

    def test_name_of_the_only_size(self, svg: Any) -> None:
        assert svg.read(rect(0, 0, 90, 90), size="M").pattern.sizes == ("M",)
