"""Marks by word and by shape: notches, darts, grain lines, folds, holes, internal lines."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.model import InternalKind, LineRole

# Corners anticlockwise from the upper left: edge 0 is the left side (300), 1 the hem (200),
# 2 the right side (300), 3 the top (200).
FRONT = '<path d="M50,50 H250 V350 H50 Z"/>'


def front(*marks: str) -> str:
    return '<g inkscape:label="Front">' + FRONT + "".join(marks) + "</g>"


def path(data: str, more: str = "") -> str:
    return f'<path d="{data}" {more}/>'


class TestNotches:
    @pytest.mark.parametrize(
        ("data", "edge", "along", "kind", "depth", "width"),
        [
            ("M150,50 v6", 3, 100, "slit", 6, None),
            ("M150,56 v-6", 3, 100, "slit", 6, None),
            ("M250,200 h-8", 2, 150, "slit", 8, None),
            ("M47,150 h9", 0, 100, "slit", 9, None),
            ("M50.3,150 h6", 0, 100, "slit", 6, None),
            ("M95,350 l5,-5 l5,5", 1, 50, "v", 5, 10),
            ("M95,350 l5,-5 l5,5 z", 1, 50, "v", 5, 10),
            ("M100,350 l-3,-6 h6 z", 1, 50, "v", 6, 6),
            ("M95,350 l5,8 l5,-8 z", 1, 50, "v", 8, 10),
            ("M150,350 v-6 M147,344 h6", 1, 100, "t", 6, 6),
            ("M200,350 v-4 h4 v4", 1, 152, "castle", 4, 4),
            ("M200,350 v-4 h4 v4 z", 1, 152, "castle", 4, 4),
            ("M60,50 c0,4 6,4 6,0", 3, 187, "u", 3, 6),
            ("M220,50 v5 l5,-5", 3, 27.5, "check", 5, 5),
        ],
    )
    def test_by_shape(
        self,
        svg: Any,
        data: str,
        edge: int,
        along: float,
        kind: str,
        depth: float,
        width: float | None,
    ) -> None:
        read = svg.read(front(path(data)))
        ((found, on, at),) = read.marks("Front")
        assert (found, on) == (kind, edge)
        assert at == pytest.approx(along, abs=1e-6)
        (notch,) = read.shape("Front").notches
        assert notch.depth == pytest.approx(depth, abs=1e-6)
        assert notch.width == (None if width is None else pytest.approx(width, abs=1e-6))
        assert notch.angle is None or data.endswith("-8 z")

    def test_two_strokes_are_one_t(self, svg: Any) -> None:
        read = svg.read(front(path("M150,350 v-6"), path("M147,344 h6")))
        assert [m[0] for m in read.marks("Front")] == ["t"]

    def test_two_strokes_side_by_side_are_two(self, svg: Any) -> None:
        assert len(svg.read(front(path("M150,350 v-6"), path("M155,350 v-6"))).marks("Front")) == 2

    def test_slanted_stroke_keeps_its_angle(self, svg: Any) -> None:
        # On the right side, from the line to the lower left of the paper: the inside normal
        # points left; a turn anticlockwise (y up) from it points down.
        (notch,) = svg.read(front(path("M250,200 l-5,5"))).shape("Front").notches
        assert notch.angle == pytest.approx(45.0)

    def test_dot_on_the_line(self, svg: Any) -> None:
        read = svg.read(front('<circle cx="50" cy="300" r="1.5"/>'))
        assert read.marks("Front") == [("slit", 0, pytest.approx(250.0))]

    def test_long_stroke_is_none(self, svg: Any) -> None:
        shape = svg.read(front(path("M150,50 v40"))).shape("Front")
        assert not shape.notches and len(shape.internal_lines) == 1

    def test_stroke_along_the_line_is_none(self, svg: Any) -> None:
        assert not svg.read(front(path("M150,50 h9"))).shape("Front").notches

    def test_triangle_outside_is_a_notch_and_no_piece(self, svg: Any) -> None:
        read = svg.read(FRONT + path("M250,100 l6,3 v-6 z"))
        assert len(read.names) == 1
        assert [m[0] for m in read.marks()] == ["v"]

    def test_across_the_allowance_it_sits_on_the_seam_line(self, svg: Any) -> None:
        cut = path("M40,40 H260 V360 H40 Z", 'class="cut-line"')
        read = svg.read(front(cut, path("M150,40 v10"), path("M40,200 h13")))
        shape = read.shape("Front")
        assert [n.line for n in shape.notches] == [LineRole.SEAM] * 2
        assert all(n.angle is None for n in shape.notches)
        assert [m[1:] for m in read.marks("Front")] == [
            (0, pytest.approx(150)),
            (3, pytest.approx(100)),
        ]

    def test_on_the_cut_line_only_it_stays_there(self, svg: Any) -> None:
        cut = path("M40,40 H260 V360 H40 Z", 'class="cut-line"')
        (notch,) = svg.read(front(cut, path("M150,40 v5"))).shape("Front").notches
        assert notch.line is LineRole.CUT

    @given(along=st.floats(20, 280), off=st.floats(-0.4, 0.4), depth=st.floats(2, 12))
    def test_station_is_where_the_stroke_meets(
        self, svg: Any, along: float, off: float, depth: float
    ) -> None:
        data = f"M{250 - off!r},{350 - along!r} h{-depth!r}"
        read = svg.read(front(path(data)))
        ((kind, edge, at),) = read.marks("Front")
        assert (kind, edge) == ("slit", 2)
        assert at == pytest.approx(along, abs=1e-6)

    def test_labelled_off_the_line_is_projected_and_told(self, svg: Any) -> None:
        read = svg.read(front('<g id="notches">' + path("M150,351 v4") + "</g>"))
        assert read.marks("Front") == [("slit", 1, pytest.approx(100.0))]
        found = read.one("mark.off-line")
        assert found.measured == pytest.approx(1.0)
        assert (found.x, found.y) == pytest.approx((150, -350))

    def test_labelled_long_or_inside(self, svg: Any) -> None:
        read = svg.read(front(path("M150,50 v30", 'inkscape:label="front notch"')))
        (notch,) = read.shape("Front").notches
        assert notch.depth == pytest.approx(30)

    @pytest.mark.parametrize(
        ("label", "name"),
        [("back-lower notch", "back-lower notch"), ("notch-elbow", "notch-elbow"),
         ("notch 3", "notch-1"), ("notch", "notch-1"), ("Front notch", "notch-1"),
         ("balance mark shoulder", "balance mark shoulder")],
    )  # fmt: skip
    def test_names(self, svg: Any, label: str, name: str) -> None:
        (notch,) = (
            svg.read(front(path("M150,50 v6", f'inkscape:label="{label}"'))).shape("Front").notches
        )
        assert notch.name == name

    @pytest.mark.parametrize(
        ("label", "kind"), [("T notch", "t"), ("castle-notch", "castle"), ("v-notches", "v")]
    )
    def test_type_by_word(self, svg: Any, label: str, kind: str) -> None:
        read = svg.read(front(f'<g inkscape:label="{label}">' + path("M150,50 v6") + "</g>"))
        assert [m[0] for m in read.marks("Front")] == [kind]

    def test_group_of_the_notches_of_one_piece(self, svg: Any) -> None:
        """Words beside the role do no harm where a group holds nothing but such marks."""
        read = svg.read(front('<g id="front-notches">' + path("M150,50 v20") + "</g>"))
        assert len(read.shape("Front").notches) == 1

    def test_on_a_curve(self, svg: Any) -> None:
        """On a circle every notch points to the middle and sits at its angle."""
        strokes = []
        for degrees in (10, 100, 250):
            a = np.radians(degrees)
            c, s = float(np.cos(a)), float(np.sin(a))
            strokes.append(
                path(f"M{300 + 200 * c!r},{300 - 200 * s!r} L{300 + 193 * c!r},{300 - 193 * s!r}")
            )
        shape = svg.read('<circle cx="300" cy="300" r="200"/>' + "".join(strokes)).shape()
        points = shape.seam_line.points_of(
            [n.station.segment for n in shape.notches], [n.station.t for n in shape.notches]
        )
        angles = np.degrees(np.arctan2(points[:, 1] + 300, points[:, 0] - 300)) % 360
        assert sorted(angles) == pytest.approx([10, 100, 250], abs=1e-5)
        assert all(n.angle is None for n in shape.notches)


class TestGrainLine:
    SHAFT = path("M100,100 V300")

    @pytest.mark.parametrize(
        "body",
        [
            path("M100,100 V300", 'marker-end="url(#a)"'),
            path("M100,100 V300", 'style="marker-start:url(#a)"'),
            SHAFT + path("M97,107 L100,100 L103,107"),
            SHAFT + path("M97,107 L100,100 L103,107") + path("M97,293 L100,300 L103,293"),
            SHAFT + '<polygon points="97,107 100,100 103,107"/>',
            SHAFT + path("M100,100 l-3,7") + path("M100,100 l3,7"),
            path("M100,100 V300 M97,107 L100,100 L103,107"),
            path("M100,100 V300", 'id="grainline"'),
            path("M100,100 V300", 'class="grain"'),
            f'<g inkscape:label="Grain line">{SHAFT}{path("M97,107 L100,100 L103,107")}</g>',
            '<line x1="100" y1="100" x2="100" y2="300" inkscape:label="straight of grain"/>',
            "<g id='Fadenlauf'>" + SHAFT + "</g>",
            '<g id="front-grain-line">' + SHAFT + "</g>",
        ],
    )
    def test_found(self, svg: Any, body: str) -> None:
        shape = svg.read(front(body)).shape("Front")
        assert shape.grain_line is not None
        ends = sorted((shape.grain_line.start, shape.grain_line.end))
        assert ends[0] == pytest.approx((100, -300)) and ends[1] == pytest.approx((100, -100))
        assert not shape.internal_lines and not shape.notches

    def test_points_to_its_only_head(self, svg: Any) -> None:
        grain = (
            svg.read(front(self.SHAFT + path("M97,107 L100,100 L103,107")))
            .shape("Front")
            .grain_line
        )
        assert grain is not None and grain.end == pytest.approx((100, -100))

    def test_line_without_heads_is_an_internal_line(self, svg: Any) -> None:
        shape = svg.read(front(self.SHAFT)).shape("Front")
        assert shape.grain_line is None
        assert [line.kind for line in shape.internal_lines] == [InternalKind.INTERNAL]


class TestDarts:
    @pytest.mark.parametrize(
        "body",
        [
            path("M100,50 L115,120 L130,50"),
            path("M100,50 L115,120") + path("M115,120 L130,50"),
            path("M115,120 L100,50") + path("M130,50 L115,120") + path("M115,50 V120"),
            path("M100,50 L115,120 L130,50 Z", 'id="bust-dart"'),
        ],
    )
    def test_found(self, svg: Any, body: str) -> None:
        shape = svg.read(front(body)).shape("Front")
        (dart,) = shape.darts
        assert dart.apex == pytest.approx((115, -120))
        at = [shape.seam_line.length_of(s) for s in (dart.left, dart.right)]
        assert at == pytest.approx([920, 950])
        assert shape.edges[3].length == pytest.approx(200)

    def test_middle_line_stays_an_internal_line(self, svg: Any) -> None:
        body = path("M100,50 L115,120 L130,50") + path("M115,50 V120")
        shape = svg.read(front(body)).shape("Front")
        assert len(shape.darts) == 1 and len(shape.internal_lines) == 1

    def test_bent_legs_stay_as_lines_too(self, svg: Any) -> None:
        body = path("M100,50 Q104,90 115,120") + path("M115,120 L130,50")
        shape = svg.read(front(body)).shape("Front")
        assert len(shape.darts) == 1 and len(shape.internal_lines) == 2


class TestInside:
    def test_drill_holes(self, svg: Any) -> None:
        cross = '<g inkscape:label="drill hole">' + path("M98,100 h4 M100,98 v4") + "</g>"
        shape = svg.read(front('<circle cx="150" cy="200" r="2"/>', cross)).shape("Front")
        (cross_hole, circle) = sorted(shape.drill_holes, key=lambda h: h.at)
        assert circle.at == pytest.approx((150, -200)) and circle.diameter == pytest.approx(4)
        assert cross_hole.at == pytest.approx((100, -100)) and cross_hole.diameter is None

    @pytest.mark.parametrize(
        ("label", "kind"),
        [("topstitching", "sew"), ("cut-out", "cutout"), ("pocket placement", "internal"),
         ("fold", "fold"), ("stripe line", "stripe"), ("plaid", "plaid"),
         ("grade reference", "grade-reference"), ("bust line", "internal"),
         ("validation curve", "validation"), ("whatever", "internal")],
    )  # fmt: skip
    def test_internal_lines_by_word(self, svg: Any, label: str, kind: str) -> None:
        read = svg.read(front(path("M100,100 h60 v40", f'inkscape:label="{label}"')))
        (line,) = read.shape("Front").internal_lines
        assert (line.kind.value, line.name) == (kind, label)

    def test_layer_inside_the_piece_is_kept(self, svg: Any) -> None:
        read = svg.read(front('<g inkscape:label="Größe 線">' + path("M100,100 h60") + "</g>"))
        assert read.shape("Front").internal_lines[0].layer == "Größe 線"

    def test_fold_on_an_edge(self, svg: Any) -> None:
        labelled = svg.read(front(path("M50,60 V340", 'id="fold"'))).shape("Front")
        dashed = svg.read(
            front(
                path("M50,50 V350", 'stroke-dasharray="5 3"'),
                '<text x="60" y="200">Place on fold</text>',
            )
        ).shape("Front")
        for shape in (labelled, dashed):
            assert shape.mirrored_half
            assert [line.kind for line in shape.internal_lines] == [InternalKind.FOLD]

    def test_fold_inside_makes_no_half(self, svg: Any) -> None:
        shape = svg.read(front(path("M150,60 V340", 'id="fold-line"'))).shape("Front")
        assert not shape.mirrored_half
        assert shape.internal_lines[0].kind is InternalKind.FOLD

    def test_nothing_is_lost(self, svg: Any) -> None:
        """Every stroke and text of the drawing is somewhere in the model or in a finding."""
        marks = [path(f"M{70 + 7 * i},100 l3,{20 + i}") for i in range(20)]
        read = svg.read(
            front(*marks) + path("M400,400 h30 v20") + '<text x="450" y="450">note</text>'
        )
        assert len(read.shape("Front").internal_lines) == 20
        assert len(read.pattern.foreign) == 2
        assert "1 line and 1 text" in read.one("svg.outside").message


class TestTexts:
    def test_tspans_are_texts_with_place_height_and_rotation(self, svg: Any) -> None:
        read = svg.read(
            front(
                '<text x="100" y="200" font-size="10" transform="rotate(-30 100 200)">ABC'
                '<tspan x="100" dy="12">DEF</tspan>'
                '<tspan x="100" dy="12" font-size="5">GHI</tspan></text>'
            )
        )
        texts = read.shape("Front").texts
        assert [t.text for t in texts] == ["ABC", "DEF", "GHI"]
        assert texts[0].at == pytest.approx((100, -200))
        assert [t.height for t in texts] == pytest.approx([10, 10, 5])
        assert [t.rotation for t in texts] == pytest.approx([30, 30, 30])
        r = np.radians(30)
        for i in (1, 2):
            assert texts[i].at == pytest.approx(
                (100 + 12 * i * np.sin(r), -200 - 12 * i * np.cos(r))
            )

    def test_units_of_the_drawing_scale_them(self, svg: Any) -> None:
        body = FRONT + '<text x="100" y="200" style="font: bold 72px serif">Front</text>'
        (text,) = svg.read(svg.doc(body, 'width="72pt" viewBox="0 0 720 720"')).shape().texts
        assert text.height == pytest.approx(2.54)
        assert text.role.value == "name"

    def test_roles(self, svg: Any) -> None:
        read = svg.read(
            '<g inkscape:label="Size 10"><g inkscape:label="Front">'
            + FRONT
            + '<text x="90" y="90">FRONT</text>'
            '<text x="90" y="120">size 10</text><text x="90" y="150">cut 2</text></g></g>'
        )
        assert [t.role.value for t in read.shape("Front").texts] == ["name", "size", "annotation"]

    def test_quantity_and_material(self, svg: Any) -> None:
        read = svg.read(
            front(
                '<text x="90" y="90">cut 1 pair</text>'
                '<text x="90" y="120">Fabric: wool crepe</text>'
            )
        )
        piece = read.pattern.piece("Front")
        assert piece.quantity == (1, 1) and piece.material == "wool crepe"

    def test_mirrored_once_only(self, svg: Any) -> None:
        """An F with its text at +30 degrees on paper: upright in the model, which is y up."""
        f = "M100,100 h80 v20 h-60 v30 h40 v20 h-40 v60 h-20 z"
        read = svg.read(path(f) + '<text transform="translate(105 220) rotate(-30)">ABC</text>')
        shape = read.shape()
        top = shape.seam_line.bbox[3]
        wide = [e for e in shape.edges if abs(e.length - 80) < 1e-6]
        assert len(wide) == 1  # the long bar, and it is at the top
        y = shape.edge_curve(wide[0].number).start[1]
        assert y == pytest.approx(top)
        assert shape.texts[0].rotation == pytest.approx(30)
