"""The physical size of a drawing: what it states, what is assumed, what a known length gives."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.findings import SeamwrightError, Severity

RECT = '<rect id="r" width="100" height="100"/>'


def size(svg: Any, root: str, body: str = RECT, **options: Any) -> tuple[float, float]:
    x0, y0, x1, y1 = svg.read(svg.doc(body, root), **options).shape().seam_line.bbox
    return float(x1 - x0), float(y1 - y0)


@pytest.mark.parametrize(
    ("root", "wide", "high"),
    [
        ('width="100mm" height="100mm" viewBox="0 0 100 100"', 100.0, 100.0),
        ('width="10cm" height="10cm" viewBox="0 0 100 100"', 100.0, 100.0),
        ('width="4in" height="4in" viewBox="0 0 400 400"', 25.4, 25.4),
        ('width="612pt" height="792pt" viewBox="0 0 612 792"', 100 * 25.4 / 72, 100 * 25.4 / 72),
        ('width="51pc" height="66pc" viewBox="0 0 612 792"', 100 * 25.4 / 72, 100 * 25.4 / 72),
        ('width="400Q" height="400Q" viewBox="0 0 100 100"', 100.0, 100.0),
        (
            'width="457.285mm" height="135.0163mm" viewBox="0 0 38014 11224"',
            100 * 457.285 / 38014,
            100 * 457.285 / 38014,
        ),
        ('width="100in"', 25.4 * 100 / 96, 25.4 * 100 / 96),
        ('width="500px" height="500px" viewBox="0 0 250 250"', 2 * 2540 / 96, 2 * 2540 / 96),
        ('width="210mm" viewBox="0 0 420 594"', 50.0, 50.0),
        ('height="297mm" width="100%" viewBox="0 0 420 594"', 50.0, 50.0),
        (
            'width="100mm" height="200mm" viewBox="0 0 100 100" preserveAspectRatio="none"',
            100.0,
            200.0,
        ),
        ('width="100mm" height="200mm" viewBox="0 0 100 100"', 100.0, 100.0),
        (
            'width="100mm" height="200mm" viewBox="0 0 100 100" '
            'preserveAspectRatio="xMidYMid slice"',
            200.0,
            200.0,
        ),
    ],
)
def test_size_is_what_the_drawing_states(svg: Any, root: str, wide: float, high: float) -> None:
    assert size(svg, root) == pytest.approx((wide, high), abs=1e-9)


@given(
    unit=st.sampled_from(
        [("mm", 1.0), ("cm", 10.0), ("in", 25.4), ("pt", 25.4 / 72), ("pc", 25.4 / 6)]
    ),
    width=st.floats(10, 900),
    box=st.floats(1, 1e5),
)
def test_scale_is_width_over_view_box(
    svg: Any, unit: tuple[str, float], width: float, box: float
) -> None:
    root = f'width="{width}{unit[0]}" height="{width}{unit[0]}" viewBox="0 0 {box} {box}"'
    body = f'<rect width="{box / 2}" height="{box / 4}"/>'
    expected = width * unit[1]
    assert size(svg, root, body) == pytest.approx((expected / 2, expected / 4), rel=1e-12)


def test_real_size_leaves_no_finding_about_scale(svg: Any) -> None:
    read = svg.read(svg.doc(RECT, 'width="100mm" height="100mm" viewBox="0 0 100 100"'))
    assert not [f for f in read.findings if f.code.startswith("scale.")]


def test_units_inside_count_in_css_pixels(svg: Any) -> None:
    body = '<rect width="25.4mm" height="1in"/>'
    assert size(svg, 'width="192mm" height="192mm" viewBox="0 0 96 96"', body) == pytest.approx(
        (192.0, 192.0)
    )


class TestNoPhysicalSize:
    ROOT = 'width="100%" viewBox="0 0 3508 4961"'

    def test_assumption_is_stated_with_its_size_and_its_option(self, svg: Any) -> None:
        found = svg.read(svg.doc(RECT, self.ROOT)).one("scale.unknown")
        assert found.severity is Severity.WARNING
        assert "96 px an inch" in found.message
        assert "928.16 mm x 1312.6 mm" in found.message
        assert found.hint is not None
        assert all(word in found.hint for word in ("px-per-inch", "72", "90", "known"))

    def test_pixels_an_inch(self, svg: Any) -> None:
        body = '<rect width="3508" height="4961"/>'
        assert size(svg, self.ROOT, body, px_per_inch=300) == pytest.approx(
            (297.01, 420.03), abs=0.01
        )
        assert not svg.read(svg.doc(body, self.ROOT), px_per_inch=300).found("scale.unknown")

    @pytest.mark.parametrize("root", ["", 'viewBox="0 0 500 500"', 'width="500" height="500"'])
    def test_every_way_of_saying_nothing(self, svg: Any, root: str) -> None:
        assert size(svg, root) == pytest.approx((2540 / 96, 2540 / 96))
        assert svg.read(svg.doc(RECT, root)).one("scale.unknown").severity is Severity.WARNING

    @pytest.mark.parametrize(("ppi", "wide"), [(72, 2540 / 72), (90, 2540 / 90)])
    def test_older_pixels(self, svg: Any, ppi: float, wide: float) -> None:
        assert size(svg, 'width="500" height="500"', px_per_inch=ppi) == pytest.approx((wide, wide))

    def test_pixels_that_are_named_are_noted(self, svg: Any) -> None:
        read = svg.read(svg.doc(RECT, 'width="500px" height="500px" viewBox="0 0 500 500"'))
        assert read.one("scale.assumed").severity is Severity.NOTE


class TestKnownLength:
    def test_square_by_its_width(self, svg: Any) -> None:
        body = RECT + '<rect id="test-square" x="300" width="80" height="80"/>'
        read = svg.read(svg.doc(body, ""), known="test-square 100 mm")
        x0, _, x1, _ = read.shape("r").seam_line.bbox
        assert x1 - x0 == pytest.approx(125.0, abs=1e-9)
        found = read.one("scale.known")
        assert found.limit == 100.0
        assert found.measured == pytest.approx(80 * 25.4 / 96)
        assert "4.72440945" in found.message

    def test_line_by_its_length(self, svg: Any) -> None:
        body = RECT + '<path id="bar" d="M300,0 l30,40"/>'
        assert size(svg, "", body, known="bar 4 in") == pytest.approx((203.2, 203.2), abs=1e-9)

    def test_overrules_the_stated_size(self, svg: Any) -> None:
        root = 'width="100mm" height="100mm" viewBox="0 0 100 100"'
        assert size(svg, root, known="r 50 mm") == pytest.approx((50.0, 50.0))

    def test_unknown_id_is_refused_with_the_nearest(self, svg: Any) -> None:
        with pytest.raises(SeamwrightError) as caught:
            svg.read(
                svg.doc('<rect id="scale-bar" width="9" height="9"/>', ""), known="scalebar 1 in"
            )
        assert caught.value.finding.code == "scale.known"
        assert "scale-bar" in (caught.value.finding.hint or "")

    def test_length_must_be_one(self, svg: Any) -> None:
        with pytest.raises(SeamwrightError):
            svg.read(svg.doc(RECT, ""), known="r wide")


class TestTestSquare:
    SQUARE = (
        '<path d="M0,0 h300 v200 h-300 z"/><g transform="translate(400 0)">'
        '<rect width="{0}" height="{0}"/><text x="5" y="25" font-size="8">{1}</text></g>'
    )

    def test_is_no_piece(self, svg: Any) -> None:
        read = svg.read(self.SQUARE.format(50, "test square 5 cm"))
        assert len(read.pattern.pieces) == 1
        assert not read.found("scale.mismatch")
        assert read.one("svg.reference").severity is Severity.NOTE

    def test_that_has_another_size_than_it_says(self, svg: Any) -> None:
        found = svg.read(self.SQUARE.format(37.5, "test square 5 cm")).one("scale.mismatch")
        assert (found.measured, found.limit) == pytest.approx((37.5, 50.0))
        assert "0.75" in found.message

    def test_labelled_bar(self, svg: Any) -> None:
        body = (
            '<path d="M0,0 h300 v200 h-300 z"/>'
            '<path inkscape:label="scale bar 4 in" d="M400,0 h101.6"/>'
        )
        read = svg.read(body)
        assert not read.found("scale.mismatch")
        read = svg.read(body.replace("h101.6", "h96"))
        assert read.one("scale.mismatch").limit == pytest.approx(101.6)


def test_far_from_the_origin_lengths_stay(svg: Any) -> None:
    near = svg.read('<path d="M0,0 c30,-40 80,-40 120,0 v200 h-120 z"/>').edges()
    far = svg.read(
        svg.doc(
            '<path d="M5700000,5700000 c30,-40 80,-40 120,0 v200 h-120 z"/>',
            'width="600mm" height="600mm" viewBox="5700000 5700000 600 600"',
        )
    ).edges()
    assert far == pytest.approx(near, abs=1e-6)


def test_view_box_without_area_is_an_error(svg: Any) -> None:
    read = svg.read(svg.doc(RECT, 'width="10mm" height="10mm" viewBox="0 0 0 10"'))
    assert read.one("svg.attribute").severity is Severity.ERROR
    assert np.isfinite(read.shape().seam_line.length)


def test_width_in_ems_is_a_finding(svg: Any) -> None:
    read = svg.read(svg.doc(RECT, 'width="20em" viewBox="0 0 320 320"'))
    assert read.one("svg.relative-length").severity is Severity.WARNING


def test_a_sheet_of_paper_at_older_pixels_is_hinted_at(svg: Any) -> None:
    read = svg.read(svg.doc(RECT, 'width="744.09448" height="1052.3622"'))
    assert "A4 at px-per-inch = 90" in (read.one("scale.unknown").hint or "")
