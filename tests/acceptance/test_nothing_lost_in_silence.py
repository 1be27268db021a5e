"""Damaged, half understood and foreign content: refused with the place, or kept and counted."""

from __future__ import annotations

import gzip
from collections.abc import Sequence
from typing import Any

import pytest

SQUARE = ((0.0, 0.0), (300.0, 0.0), (300.0, 400.0), (0.0, 400.0))
HEAD = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n"
TAIL = "0\nENDSEC\n0\nEOF\n"


def closed(points: Sequence[tuple[object, object]] = SQUARE, layer: str = "cut") -> str:
    line = f"0\nLWPOLYLINE\n8\n{layer}\n90\n{len(points)}\n70\n1\n"
    return line + "".join(f"10\n{x}\n20\n{y}\n" for x, y in points)


def cad(*entities: str) -> str:
    return HEAD + "".join(entities) + TAIL


def drawing(body: str) -> str:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="600mm" '
        f'viewBox="0 0 600 600">\n<g id="Front"><path d="M0,0h300v200h-300z"/></g>\n{body}</svg>'
    )


class TestBrokenDrawings:
    """A fault in one line of an SVG drawing stops the conversion, with id, line and text."""

    FAULTS = [
        ('<path id="p" d="M0 0 L10 10 foo 20 20"/>', "foo"),
        ('<path id="p" d="M0 0 L10 10 L20"/>', "L20"),
        ('<path id="p" d="M0,5,5 L10,5,3,5"/>', "M0,5,5"),
        ('<g id="p" transform="translate(abc)"><path d="M0 0h9v9z"/></g>', "abc"),
        ('<polygon id="p" points="0,0 10,0 10"/>', "10"),
        ('<path id="p" d="M0 0 L nan 10"/>', "nan"),
        ('<rect id="p" width="nan" height="10"/>', "nan"),
    ]

    @pytest.mark.parametrize(("element", "text"), FAULTS)
    def test_convert_refuses_unless_lenient(self, seamwright: Any, element: str, text: str) -> None:
        seamwright.put("a.svg", drawing(element))
        refused = seamwright("convert", "a.svg", "b.json", "--json")
        assert refused.status == 2 and not (seamwright.folder / "b.json").exists()
        (fault,) = [f for f in refused.findings if f.get("line") == 3]
        assert fault["severity"] == "error" and fault["hint"]
        assert '"p"' in fault["message"] and text in fault["message"]
        assert seamwright("convert", "a.svg", "b.json", "--lenient").status == 0
        assert (seamwright.folder / "b.json").exists()

    def test_compact_numbers_are_no_fault(self, seamwright: Any) -> None:
        seamwright.put("a.svg", drawing('<path d="M.5.5-1e-3 9 10 5a5 5 0 0110 10"/>'))
        told = seamwright("info", "a.svg", "--json")
        assert told.status == 0
        assert told.shapes[0]["internal_lines"] == 1

    def test_a_unit_that_depends_on_a_font_is_a_finding(self, seamwright: Any) -> None:
        seamwright.put("a.svg", drawing('<rect id="p" width="2em" height="10"/>'))
        told = seamwright("info", "a.svg", "--json")
        assert [f for f in told.findings if "2em" in f["message"] and f["severity"] != "note"]


class TestDamagedCadFiles:
    def test_a_cut_file_is_never_an_empty_success(self, seamwright: Any) -> None:
        many = "".join(closed([(x + 400.0 * k, y) for x, y in SQUARE]) for k in range(40))
        whole = cad(many)
        seamwright.put("a.dxf", whole[: len(whole) // 3])
        told = seamwright("info", "a.dxf", "--json")
        assert told.status == 2 and not told.json.get("pieces")
        finding = told.one("dxf.truncated")
        assert finding["line"] and "entities stand before the cut" in finding["message"]
        asked = seamwright("info", "a.dxf", "--damaged", "read to the cut", "--json")
        assert 10 <= len(asked.json["pieces"]) <= 13
        assert asked.found("dxf.truncated")

    @pytest.mark.parametrize(
        ("content", "says"), [(b"", "empty"), (b"<!DOCTYPE html><html>404</html>", "DXF")]
    )
    def test_what_is_no_drawing_is_said_to_be_none(
        self, seamwright: Any, content: bytes, says: str
    ) -> None:
        seamwright.put("a.dxf", content)
        told = seamwright("info", "a.dxf", "--json")
        assert told.status == 2
        (finding,) = [f for f in told.findings if f["severity"] == "error"]
        assert says in finding["message"] and finding["hint"]

    @pytest.mark.parametrize(
        "wrap",
        [
            lambda t: "\n\n" + t,
            lambda t: t.replace("\n", "\r"),
            lambda t: t.replace("\n", "\r\n"),
            lambda t: "\ufeff" + t,
        ],
        ids=["empty lines first", "CR", "CRLF", "BOM"],
    )
    def test_line_ends_and_marks_do_not_matter(self, seamwright: Any, wrap: Any) -> None:
        plain = cad(closed())
        seamwright.put("a.dxf", plain)
        seamwright.put("b.dxf", wrap(plain))
        first, other = (seamwright("info", n, "--json") for n in ("a.dxf", "b.dxf"))
        assert other.shapes == first.shapes and len(first.shapes) == 1

    def test_every_entity_is_accounted_for(self, seamwright: Any) -> None:
        odd = "".join(f"0\n{kind}\n8\nx\n10\n1.0\n20\n2.0\n" for kind in ("HATCH", "RAY", "MLINE"))
        seamwright.put("a.dxf", cad(closed(), odd, odd, "0\nMADE_UP\n8\nx\n"))
        told = seamwright("info", "a.dxf", "--json")
        counts = told.json["facts"]["entities"]
        assert {k: c["read"] for k, c in counts.items()} == {
            "LWPOLYLINE": 1, "HATCH": 2, "RAY": 2, "MLINE": 2, "MADE_UP": 1,
        }  # fmt: skip
        for kind, each in counts.items():
            assert sum(v for k, v in each.items() if k != "read") == each["read"], kind
        assert {f["message"].split()[1] for f in told.found("dxf.entity-kept")} == {
            "HATCH", "RAY", "MLINE", "MADE_UP",
        }  # fmt: skip
        assert told.status == 0
        assert seamwright("info", "a.dxf", "--fail-on", "warning").status == 1


class TestDecimalSigns:
    def test_one_comma_among_points_is_refused_with_line_and_value(self, seamwright: Any) -> None:
        for value in ("10,5", "1.234,5"):
            text = cad(closed([(0.0, 0.0), (value, 0.0), (300.5, 400.0)]))
            seamwright.put("a.dxf", text)
            told = seamwright("info", "a.dxf", "--json")
            assert told.status == 2
            finding = told.one("dxf.decimal-mixed")
            assert f'"{value}"' in finding["message"]
            assert text.split("\n")[finding["line"] - 1] == value
            assert "decimal" in finding["hint"]

    def test_commas_throughout_are_ten_and_a_half_when_said(self, seamwright: Any) -> None:
        points = [("0,0", "0,0"), ("310,5", "0,0"), ("310,5", "400,25"), ("0,0", "400,25")]
        seamwright.put("a.dxf", cad(closed(points)))
        told = seamwright("info", "a.dxf", "--decimal", "comma", "--json")
        assert told.shapes[0]["bbox"] == pytest.approx([0.0, 0.0, 310.5, 400.25])

    def test_a_length_with_a_comma_is_understood_or_refused_with_the_remedy(
        self, seamwright: Any
    ) -> None:
        seamwright.put("a.svg", drawing(""))
        assert seamwright("info", "a.svg", "--join", "0,5 mm").status == 0
        wrong = seamwright("info", "a.svg", "--join", "1.234,5 mm")
        assert wrong.status == 2 and "1.234,5" in wrong.err


class TestWords:
    TEXT = (
        '<text x="20" y="50" font-size="10" transform="rotate(-30 20 50)">ABC'
        '<tspan x="20" dy="12">DEF</tspan><tspan x="20" dy="12">GHI</tspan></text>'
        '<text x="20" y="150">Größe 線 ½</text>'
    )

    @pytest.mark.parametrize("out", ["b.json", "b.svg", "b.dxf"])
    def test_texts_in_are_texts_out(self, seamwright: Any, out: str) -> None:
        seamwright.put("a.svg", drawing(self.TEXT))
        assert seamwright("convert", "a.svg", out).status == 0
        told = seamwright("info", out, "--json")
        assert told.shapes[0]["texts"] == ["ABC", "DEF", "GHI", "Größe 線 ½"]

    @pytest.mark.parametrize(
        ("page", "encoding", "version", "name"),
        [
            ("ANSI_1252", "cp1252", "AC1009", "Größe \\U+7DDA ø"),
            ("", "utf-8", "AC1009", "Größe 線 ø"),
            ("ANSI_936", "gbk", "AC1015", "Gr\\U+00F6\\U+00DFe 線 \\U+00F8"),
            ("ANSI_932", "cp932", "AC1015", "Gr\\U+00F6\\U+00DFe 線 \\U+00F8"),
            ("ANSI_1252", "utf-8", "AC1024", "Größe 線 ø"),
        ],
    )
    def test_names_and_layers_in_every_encoding(
        self, seamwright: Any, page: str, encoding: str, version: str, name: str
    ) -> None:
        """The same words as text, as layer and as block name."""
        variables = f"9\n$ACADVER\n1\n{version}\n9\n$INSUNITS\n70\n4\n"
        variables += f"9\n$DWGCODEPAGE\n3\n{page}\n" if page else ""
        text = f"0\nTEXT\n8\n{name}\n10\n100\n20\n200\n40\n9\n1\nPiece Name: {name}\n"
        line = f"0\nLINE\n8\n{name}\n10\n90.0\n20\n90.0\n11\n200.0\n21\n90.0\n"
        block = f"0\nBLOCK\n8\n0\n2\n{name}\n70\n0\n10\n0\n20\n0\n{closed()}{line}{text}0\nENDBLK\n"
        seamwright.put(
            "a.dxf",
            (
                f"0\nSECTION\n2\nHEADER\n{variables}0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n{block}"
                f"0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nINSERT\n8\n0\n2\n{name}\n{TAIL}"
            ).encode(encoding),
        )
        told = seamwright("info", "a.dxf", "--json")
        assert [p["name"] for p in told.json["pieces"]] == ["Größe 線 ø"]
        assert "Größe 線 ø" in told.json["facts"]["layers"]
        assert told.json["facts"]["blocks"] == ["Größe 線 ø"]

    def test_one_broken_byte_is_told(self, seamwright: Any) -> None:
        text = "0\nTEXT\n8\n0\n10\n100\n20\n200\n40\n9\n1\nab@cd ü\n"
        data = cad(closed(), text).encode().replace(b"@", b"\xff")
        seamwright.put("a.dxf", data)
        told = seamwright("info", "a.dxf", "--encoding", "utf-8", "--json")
        assert told.status == 0 and told.found("dxf.byte")
        assert told.shapes[0]["texts"] == ["ab\ufffdcd ü"]


def test_one_drawing_in_six_wrappings(seamwright: Any) -> None:
    """The first bytes tell what a file is, not its suffix."""
    plain = drawing('<g id="Ärmel"><path d="M0,300h100v80h-100z"/></g>')
    prefixed = plain.replace("<", "<svg:").replace("<svg:/", "</svg:")
    prefixed = prefixed.replace("xmlns=", "xmlns:svg=")
    declared = '<?xml version="1.0" encoding="UTF-16"?>' + plain
    doctype = '<!DOCTYPE svg [<!ENTITY ns "http://www.w3.org/2000/svg">]>' + plain.replace(
        "http://www.w3.org/2000/svg", "&ns;"
    )
    wrapped = [
        plain.encode(), gzip.compress(plain.encode()), b"\xef\xbb\xbf" + plain.encode(),
        declared.encode("utf-16"), prefixed.encode(), doctype.encode(),
    ]  # fmt: skip
    told = []
    for i, data in enumerate(wrapped):
        seamwright.put(f"{i}.data", data)
        told.append(seamwright("info", f"{i}.data", "--json"))
    assert [p["name"] for p in told[0].json["pieces"]] == ["Front", "Ärmel"]
    assert all(t.json["pieces"] == told[0].json["pieces"] for t in told)
