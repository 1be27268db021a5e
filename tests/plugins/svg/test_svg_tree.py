"""The tree pass: nested drawings, symbols, clones, hidden parts, encodings, refusals."""

from __future__ import annotations

import gzip
import time
from typing import Any

import numpy as np
import pytest

from seamwright.findings import SeamwrightError, Severity
from seamwright.plugins.api import Limits
from seamwright.testing import assert_patterns_equal

BOX = '<path id="p" d="M0,0h100v80h-100z"/>'


def box(svg: Any, body: str, **options: Any) -> list[float]:
    shape = svg.read(body if "xmlns" in body else svg.doc(body), **options).shape()
    return [round(float(v), 9) for v in shape.seam_line.bbox]


class TestNesting:
    def test_nested_drawing_is_placed_and_scaled(self, svg: Any) -> None:
        rect = '<rect width="10" height="10"/>'
        body = f'<svg x="10" y="10" width="50" height="50" viewBox="0 0 10 10">{rect}</svg>'
        assert box(svg, body) == [10, -60, 60, -10]

    def test_place_on_the_root_moves_nothing(self, svg: Any) -> None:
        root = 'x="30" y="40" width="600mm" height="600mm" viewBox="0 0 600 600"'
        assert box(svg, svg.doc(BOX, root)) == [0, -80, 100, 0]

    def test_aspect_ratio_of_a_nested_drawing(self, svg: Any) -> None:
        body = (
            '<svg width="200" height="100" viewBox="0 0 10 10" preserveAspectRatio="{}">'
            '<rect width="10" height="10"/></svg>'
        )
        assert box(svg, body.format("xMaxYMid meet")) == [100, -100, 200, 0]
        assert box(svg, body.format("none")) == [0, -100, 200, 0]
        assert box(svg, body.format("xMinYMin slice")) == [0, -200, 200, 0]

    def test_symbol_used_twice_is_two_pieces(self, svg: Any) -> None:
        read = svg.read(
            '<symbol id="cuff" viewBox="0 0 10 5"><rect width="10" height="5"/></symbol>'
            '<use href="#cuff" id="left" width="200" height="100"/>'
            '<use xlink:href="#cuff" id="right" y="200" width="200" height="100"/>'
        )
        assert sorted(read.names) == ["left", "right"]
        assert read.edges("left") == pytest.approx([100, 200, 100, 200])

    def test_clone_of_a_group_moves_by_x_and_y(self, svg: Any) -> None:
        read = svg.read(
            f'<defs><g id="g" transform="scale(2)">{BOX}</g></defs>'
            '<use href="#g" x="10" y="20" transform="translate(100 0)"/>'
        )
        assert np.allclose(read.shape().seam_line.bbox, [110, -180, 310, -20])

    def test_missing_original_is_a_finding(self, svg: Any) -> None:
        assert (
            "nowhere"
            in svg.read(BOX + '<use id="u" href="#nowhere"/>').one("svg.missing-clone").message
        )

    def test_marker_content_is_no_shape(self, svg: Any) -> None:
        read = svg.read(
            '<marker id="m"><path d="M0,0h50v50h-50z"/></marker>'
            '<clipPath id="c"><rect width="60" height="60"/></clipPath>'
            '<mask id="k"><rect width="60" height="60"/></mask>'
            '<pattern id="t"><rect width="60" height="60"/></pattern>' + BOX
        )
        assert read.names == ["p"]

    def test_clip_is_a_finding_that_names_the_element(self, svg: Any) -> None:
        read = svg.read(BOX.replace("/>", ' clip-path="url(#c)"/>'))
        assert '"p"' in read.one("svg.clip-ignored").message
        assert len(read.pattern.pieces) == 1

    def test_switch_shows_its_first_plain_child(self, svg: Any) -> None:
        read = svg.read(
            f'<switch><foreignObject requiredExtensions="x"/><g>{BOX}</g><g>{BOX}</g></switch>'
        )
        assert len(read.pattern.pieces) == 1


class TestHidden:
    LAYER = (
        '<g inkscape:groupmode="layer" inkscape:label="{}" style="{}">'
        '<rect width="90" height="{}"/></g>'
    )

    def test_hidden_layers_are_counted_by_name(self, svg: Any) -> None:
        body = self.LAYER.format("Size 10", "", 50) + self.LAYER.format(
            "Size 12", "display:none", 60
        )
        found = svg.read(body).one("svg.hidden")
        assert found.severity is Severity.WARNING
        assert "Size 12" in found.message

    def test_option_reads_them(self, svg: Any) -> None:
        body = self.LAYER.format("Size 10", "", 50) + self.LAYER.format(
            "Size 12", "display:none", 60
        )
        assert svg.read(body, hidden=True).pattern.sizes == ("10", "12")

    def test_visibility_is_inherited_and_can_be_taken_back(self, svg: Any) -> None:
        read = svg.read(
            '<g visibility="hidden"><rect width="50" height="50"/>'
            '<rect id="shown" visibility="visible" x="100" width="60" height="50"/></g>'
        )
        assert read.names == ["shown"]
        assert "1 hidden" in read.one("svg.hidden").message


HEADER = """<?xml version="1.0" encoding="utf-8"?>
<!-- Generator: a drawing program -->
<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd" [
  <!ENTITY ns_extend "http://ns.adobe.com/Extensibility/1.0/">
  <!ENTITY ns_ai "http://ns.adobe.com/AdobeIllustrator/10.0/">
  <!ENTITY ns_graphs "http://ns.adobe.com/Graphs/1.0/">
  <!ENTITY ns_vars "http://ns.adobe.com/Variables/1.0/">
  <!ENTITY ns_imrep "http://ns.adobe.com/ImageReplacement/1.0/">
  <!ENTITY ns_sfw "http://ns.adobe.com/SaveForWeb/1.0/">
  <!ENTITY ns_svg "http://www.w3.org/2000/svg">
  <!ENTITY st0 "fill:none;stroke:#000000;">
]>
<svg xmlns:x="&ns_extend;" xmlns:i="&ns_ai;" xmlns="&ns_svg;" width="600mm" height="600mm"
 viewBox="0 0 600 600"><path id="Front" style="&st0;" d="M0,0h100v80h-100z"/></svg>"""


class TestWrappings:
    BODY = '<g id="Ärmel"><path d="M0,0h100v80h-100z"/><path d="M50,0v6"/></g>'

    def test_six_encodings_give_one_model(self, svg: Any) -> None:
        plain = svg.doc(self.BODY)
        prefixed = (
            plain.replace("<", "<svg:").replace("<svg:/", "</svg:").replace("xmlns=", "xmlns:svg=")
        )
        wrapped = [
            plain.encode(),
            b"\xef\xbb\xbf" + plain.encode(),
            gzip.compress(plain.encode()),
            ('<?xml version="1.0" encoding="UTF-16"?>' + plain).encode("utf-16"),
            ('<?xml version="1.0" encoding="iso-8859-1"?>' + plain).encode("latin-1"),
            ('<?xml version="1.0" encoding="windows-1252"?>' + plain).encode("cp1252"),
            prefixed.encode(),
        ]
        first = svg.read(wrapped[0]).pattern
        assert first.pieces[0].name == "Ärmel"
        for data in wrapped[1:]:
            assert_patterns_equal(svg.read(data).pattern, first)

    def test_header_with_entities_is_read(self, svg: Any) -> None:
        assert svg.read(HEADER).names == ["Front"]

    def test_prefix_that_nothing_declares(self, svg: Any) -> None:
        group = '<g inkscape:label="Cuff"><path d="M0,0h80v80h-80z"/></g>'
        data = f'<svg width="9cm" viewBox="0 0 90 90">{group}</svg>'
        assert svg.read(data).names == ["Cuff"]

    def test_not_a_drawing(self, svg: Any) -> None:
        with pytest.raises(SeamwrightError) as caught:
            svg.read(b"<html><body/></html>")
        assert caught.value.finding.code == "svg.not-svg"

    @pytest.mark.parametrize(
        "data", [b"", b"<svg", b"<svg><g></svg>", b"\x1f\x8b\x08junk", b"\x00\x01"]
    )
    def test_damaged_files_give_one_clear_error(self, svg: Any, data: bytes) -> None:
        with pytest.raises(SeamwrightError) as caught:
            svg.read(data)
        assert caught.value.finding.code == "svg.not-xml"
        assert caught.value.finding.hint

    def test_place_of_the_damage_is_told(self, svg: Any) -> None:
        with pytest.raises(SeamwrightError) as caught:
            svg.read(b"<svg xmlns='http://www.w3.org/2000/svg'>\n<g>\n</h></svg>")
        assert caught.value.finding.line == 3


def lol(levels: int = 9) -> str:
    entities = '<!ENTITY a0 "lol">' + "".join(
        f'<!ENTITY a{i} "{("&a" + str(i - 1) + ";") * 10}">' for i in range(1, levels)
    )
    return (
        f"<!DOCTYPE svg [{entities}]><svg xmlns='http://www.w3.org/2000/svg'>&a{levels - 1};</svg>"
    )


NS = "xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink'"
USES = "".join(
    f"<g id='u{i}'>" + f"<use xlink:href='#u{i - 1}'/>" * 10 + "</g>" for i in range(1, 8)
)
REFUSED = {
    "entities that unfold": lol(),
    "external entity": "<!DOCTYPE svg [<!ENTITY x SYSTEM 'file:///etc/passwd'>]>"
    f"<svg {NS}><text>&x;</text></svg>",
    "parameter entity": f"<!DOCTYPE svg [<!ENTITY % p 'x'> %p;]><svg {NS}/>",
    "long entity": f"<!DOCTYPE svg [<!ENTITY x '{'y' * 2000}'>]><svg {NS}/>",
    "many entities": "<!DOCTYPE svg ["
    + "".join(f"<!ENTITY e{i} 'x'>" for i in range(99))
    + f"]><svg {NS}/>",
    "self use": f"<svg {NS}><g id='a'><use xlink:href='#a'/></g></svg>",
    "circle of uses": f"<svg {NS}><g id='a'><use href='#b'/></g>"
    "<g id='b'><use href='#a'/></g></svg>",
    "use of an ancestor": f"<svg {NS} id='r'><g><use href='#r'/></g></svg>",
    "ten million uses": f"<svg {NS}><defs><rect id='u0' width='1' height='1'/>{USES}</defs>"
    "<use href='#u7'/></svg>",
    "depth": f"<svg {NS}>" + "<g>" * 5000 + "</g>" * 5000 + "</svg>",
    "external use": f"<svg {NS}><use xlink:href='http://example.org/x.svg#a'/></svg>",
    "use of a file": f"<svg {NS}><use href='other.svg#a'/></svg>",
}


@pytest.mark.parametrize("what", list(REFUSED))
def test_bombs_are_refused_at_once_with_a_clear_message(svg: Any, what: str) -> None:
    begun = time.process_time()
    with pytest.raises(SeamwrightError) as caught:
        svg.read(REFUSED[what].encode())
    assert time.process_time() - begun < 1.0
    assert caught.value.finding.code in ("svg.unsafe", "svg.limit")
    assert caught.value.finding.hint


def test_limits_can_be_raised(svg: Any) -> None:
    deep = svg.doc("<g>" * 400 + BOX + "</g>" * 400)
    with pytest.raises(SeamwrightError):
        svg.read(deep)
    assert svg.read(deep, limits=Limits(depth=5000)).names == ["p"]


def test_gzip_bomb_stops_at_the_limit(svg: Any) -> None:
    data = gzip.compress(svg.doc(" " * 2_000_000).encode())
    with pytest.raises(SeamwrightError) as caught:
        svg.read(data, limits=Limits(bytes=100_000))
    assert caught.value.finding.code == "svg.limit"


def test_external_references_are_findings_and_never_opened(svg: Any, monkeypatch: Any) -> None:
    import socket

    def refused(*_: object, **__: object) -> None:
        raise AssertionError("a drawing reached outside")

    monkeypatch.setattr(socket, "socket", refused)
    monkeypatch.setattr("builtins.open", refused)
    read = svg.read(
        '<style>@import url("http://example.org/x.css"); .a{stroke:red}</style>'
        '<image href="file:///etc/passwd" width="9" height="9"/>' + BOX
    )
    found = read.one("svg.external")
    assert "2 references" in found.message
    assert "1 image" in read.one("svg.not-read").message
    assert len(read.pattern.pieces) == 1


class TestStyle:
    @pytest.mark.parametrize(
        "rule",
        ["rect", ".a", "#r", "g rect", "g > rect", ".g .a", "g>.a", "[data-x]", "[data-x='1']",
         "path + rect", "path ~ rect", "*", "svg .g > rect.a", "text, rect"],
    )  # fmt: skip
    def test_selectors_reach_the_element(self, svg: Any, rule: str) -> None:
        body = "<style>{}{{visibility:hidden}} #keep{{visibility:visible !important}}</style>{}"
        shapes = (
            '<path id="keep" d="M200,0h90v90h-90z"/><g class="g"><path id="keep" d="M0,0v1"/>'
            '<rect id="r" class="a" data-x="1" width="90" height="80"/></g>'
        )
        assert len(svg.read(body.format(rule, shapes)).pattern.pieces) == 1
        assert len(svg.read(body.format("." + "none", shapes)).pattern.pieces) == 2

    def test_specificity_and_order(self, svg: Any) -> None:
        sheet = "<style>#r{display:inline} .a{display:none} rect{display:none}</style>"
        assert (
            len(svg.read(sheet + '<rect id="r" class="a" width="90" height="80"/>').pattern.pieces)
            == 1
        )

    def test_style_attribute_beats_sheets_and_important_beats_it(self, svg: Any) -> None:
        rect = '<rect class="a" style="display:inline" width="90" height="80"/>'
        assert svg.read("<style>.a{display:none}</style>" + rect).pattern.pieces
        assert not svg.read("<style>.a{display:none!important}</style>" + rect).pattern.pieces

    def test_transform_in_style(self, svg: Any) -> None:
        body = (
            '<rect style="transform: translate(10px, 5px) rotate(90deg)" width="100" height="80"/>'
        )
        assert box(svg, body) == [-70, -105, 10, -5]

    def test_what_is_not_understood_is_a_note(self, svg: Any) -> None:
        read = svg.read("<style>rect:hover{display:none}</style>" + BOX)
        assert "rect:hover" in read.one("svg.style").message


class TestOutOfProportion:
    """Numbers beyond reason are told and left out; nothing crashes, warns or hangs."""

    @pytest.mark.filterwarnings("error")
    @pytest.mark.parametrize(
        "body",
        [
            '<rect width="1e200" height="10"/>',
            '<path d="M0,0 L1e300,5 L5,5 Z"/>',
            '<path d="M0,0 A1e-300,1 0 0 1 5,5 Z"/>',
            '<path d="M0,0 A1e300,1e300 0 1 1 5,5 Z"/>',
            '<path d="M0,0 A1e60,1e60 0 1 1 1e59,5 Z"/>',
            '<circle r="1e-300"/>',
            '<g transform="scale(1e200)"><rect width="9" height="9"/></g>',
            '<g transform="scale(0)"><rect width="9" height="9"/></g>',
            '<g transform="matrix(1e300 0 0 1e300 1e308 0) scale(1e300)"><rect width="9"/></g>',
            '<svg viewBox="0 0 1e-300 1e-300" width="9"><rect width="9" height="9"/></svg>',
            '<text x="1e300">far</text>',
            '<use href=""/>',
            '<use id="" href="#"/>',
            '<use href="#r" x="abc"/><rect id="r" width="9" height="9"/>',
            '<svg width="no" height="9"><rect width="9" height="9"/></svg>',
            '<symbol id="s" viewBox="0 0 0 0"/><use href="#s"/>',
        ],
    )
    def test_is_told(self, svg: Any, body: str) -> None:
        read = svg.read(svg.doc(BOX + body))
        assert read.names == ["p"]
        assert len(read.findings) > 1 or "scale(0)" in body or "1e-300" in body

    @pytest.mark.filterwarnings("error")
    @pytest.mark.parametrize(
        "root",
        [
            'width="1e308mm" height="5mm" viewBox="0 0 1e308 5"',
            'width="-5mm" viewBox="0 0 9 9"',
            'width="nan"',
            'viewBox="0 0 1e400 3"',
            'width="0" height="0" viewBox="0 0 0 0"',
        ],
    )
    def test_roots(self, svg: Any, root: str) -> None:
        assert svg.read(svg.doc(BOX, root)).names == ["p"]
