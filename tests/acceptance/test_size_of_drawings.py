"""A drawing comes in at the size it states, says so where it states none, and goes out at 1:1."""

from __future__ import annotations

import io
import re
from typing import Any
from xml.etree import ElementTree

import pytest
import svgelements

RECT = '<rect id="r" width="100" height="100"/>'


def drawing(root: str, body: str = RECT) -> str:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {root}>{body}</svg>'


def box(told: Any) -> tuple[float, float]:
    x0, y0, x1, y1 = told.shapes[0]["bbox"]
    return x1 - x0, y1 - y0


@pytest.mark.parametrize(
    ("root", "wide", "high"),
    [
        ('width="100mm" height="100mm" viewBox="0 0 100 100"', 100.0, 100.0),
        ('width="612pt" height="792pt" viewBox="0 0 612 792"', 35.277778, 35.277778),
        (
            'width="457.285mm" height="135.0163mm" viewBox="0 0 38014 11224"',
            1.202938,
            1.202938,
        ),
        ('width="100in"', 26.458333, 26.458333),
        (
            'width="100mm" height="200mm" viewBox="0 0 100 100" preserveAspectRatio="none"',
            100.0,
            200.0,
        ),
        ('width="100mm" height="200mm" viewBox="0 0 100 100"', 100.0, 100.0),
    ],
)
def test_a_stated_size_is_the_size(seamwright: Any, root: str, wide: float, high: float) -> None:
    """The numbers are those of the six roots worked by hand, to their last digit."""
    seamwright.put("a.svg", drawing(root))
    told = seamwright("info", "a.svg", "--json")
    assert box(told) == pytest.approx((wide, high), abs=1e-6)
    assert not told.found("scale.unknown")


class TestNoSizeStated:
    ROOT = 'width="100%" viewBox="0 0 3508 4961"'
    BODY = (
        '<g id="Front"><path d="M0,0h3508v4961h-3508z"/></g>'
        '<rect id="test-square" x="100" y="100" width="500" height="500"/>'
    )

    def test_a_check_calls_it_an_error_and_a_conversion_a_warning(self, seamwright: Any) -> None:
        seamwright.put("a.svg", drawing(self.ROOT, self.BODY))
        check = seamwright("check", "a.svg", "--json")
        assert check.status != 0
        assert check.one("scale.unknown")["severity"] == "error"
        converted = seamwright("convert", "a.svg", "a.json", "--json")
        finding = converted.one("scale.unknown")
        assert converted.status == 0 and finding["severity"] == "warning"
        # What was assumed, and what size comes of it: 3508 x 4961 px at 96 an inch.
        assert "96 px an inch" in finding["message"]
        assert "928.16 mm x 1312.6 mm" in finding["message"]
        again = seamwright("convert", "a.svg", "b.json")
        assert "928.16 mm x 1312.6 mm" in again.err

    def test_pixels_an_inch_settle_it(self, seamwright: Any) -> None:
        seamwright.put("a.svg", drawing(self.ROOT, self.BODY))
        told = seamwright("info", "a.svg", "--px-per-inch", 300, "--json")
        assert box(told) == pytest.approx((297.01, 420.03), abs=0.01)
        assert not told.found("scale.unknown")

    def test_something_of_known_size_settles_it(self, seamwright: Any) -> None:
        seamwright.put("a.svg", drawing(self.ROOT, self.BODY))
        told = seamwright("info", "a.svg", "--known", "test-square 100 mm", "--json")
        assert box(told) == pytest.approx((3508 / 5, 4961 / 5), abs=1e-6)
        finding = told.one("scale.known")
        # 500 px at 96 an inch are 132.29 mm; 100 mm are 0.756 of that.
        assert "0.75590551" in finding["message"]
        assert (finding["measured"], finding["limit"]) == pytest.approx((132.2916667, 100.0))


def test_what_is_written_is_one_to_one_for_everybody(seamwright: Any) -> None:
    """A piece of 250 x 130 mm: real units and a viewBox, no transform, no exponent."""
    body = '<g id="Front"><path d="M0,0h250v130c-40,1e-3 -90,-20 -250,0z"/></g>'
    seamwright.put("a.svg", drawing('width="300mm" height="200mm" viewBox="0 0 300 200"', body))
    assert seamwright("convert", "a.svg", "b.svg").status == 0
    text = (seamwright.folder / "b.svg").read_text()
    root = ElementTree.fromstring(text)
    _, _, wide, high = map(float, root.attrib["viewBox"].split())
    assert root.attrib["width"] == f"{wide:g}mm" and root.attrib["height"] == f"{high:g}mm"
    assert "transform" not in root.attrib
    assert not any("transform" in child.attrib for child in root)
    for element in root.iter():
        for value in element.attrib.values():
            assert not re.search(r"\d[eE][-+]?\d", value) or re.fullmatch("[0-9a-f]{8}", value)
    assert box(seamwright("info", "b.svg", "--json")) == pytest.approx((250.0, 130.0), abs=1e-3)
    foreign = svgelements.SVG.parse(io.BytesIO(text.encode()), ppi=96, reify=True)
    (line,) = [e for e in foreign.elements() if str(getattr(e, "id", "")).endswith("seam-line")]
    x0, y0, x1, y1 = line.bbox()
    scale = 25.4 / 96
    assert ((x1 - x0) * scale, (y1 - y0) * scale) == pytest.approx((250.0, 130.0), abs=1e-3)


@pytest.mark.parametrize("form", ["svg", "dxf"])
def test_far_from_the_origin_nothing_but_the_place_changes(seamwright: Any, form: str) -> None:
    """The same loose strokes at the origin and 5700 km off: they join alike and measure alike."""
    told = []
    for at in (0.0, 5.7e6):
        strokes = (
            f'<path d="M{at},{at} c30,-40 80,-40 120,0"/><path d="M{at + 120},{at} v200"/>'
            f'<path d="M{at},{at + 200} h120"/><path d="M{at},{at} v200"/>'
        )
        root = f'width="600mm" height="600mm" viewBox="{at} {at} 600 600"'
        seamwright.put("a.svg", drawing(root, f'<g id="Front">{strokes}</g>'))
        out = f"out-{at:.0f}.{form}"
        converted = seamwright("convert", "a.svg", out, "--json")
        assert converted.status == 0
        assert converted.json["deviation"] <= 0.05
        told.append(seamwright("info", out, "--json"))
    near, far = (t.shapes[0] for t in told)
    assert len(near["edges"]) == len(far["edges"]) == 4
    assert [e["length"] for e in far["edges"]] == pytest.approx(
        [e["length"] for e in near["edges"]], abs=1e-6
    )
    # No writer pulls the drawing to the origin unasked.
    x0, y0, *_ = near["bbox"]
    assert far["bbox"][:2] == pytest.approx([x0 + 5.7e6, y0 - 5.7e6], abs=1e-6)
