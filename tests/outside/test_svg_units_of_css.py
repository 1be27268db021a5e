"""Absolute lengths as CSS defines them.

Source: CSS Values and Units Module Level 4, section 6.2 "Absolute lengths"
(https://www.w3.org/TR/css-values-4/#absolute-lengths): 1cm = 96px/2.54, 1mm = 1/10 of 1cm,
1Q = 1/40 of 1cm, 1in = 2.54cm = 96px, 1pc = 1/6 of 1in, 1pt = 1/72 of 1in, 1px = 1/96 of 1in.
"""

from __future__ import annotations

import pytest

from seamwright.plugins.api import Context, Source
from seamwright_svg.options import SvgIn
from seamwright_svg.plugin import seamwright_formats

TABLE = [
    ("96px", 25.4), ("2.54cm", 25.4), ("25.4mm", 25.4), ("101.6Q", 25.4), ("72pt", 25.4),
    ("6pc", 25.4), ("1in", 25.4), ("1cm", 10.0), ("40Q", 10.0), ("1pc", 25.4 / 6),
]  # fmt: skip


def width(root: str, rect: str) -> float:
    reader = seamwright_formats()[0].reader
    assert reader is not None
    body = f'<rect width="{rect}" height="{rect}"/>'
    data = f'<svg xmlns="http://www.w3.org/2000/svg" {root}>{body}</svg>'
    result = reader.run(Source(name="u.svg", data=data.encode()), SvgIn(), Context())
    x0, _, x1, _ = result.pattern.pieces[0].shapes[0].seam_line.bbox
    return float(x1 - x0)


@pytest.mark.parametrize(("length", "mm"), TABLE)
def test_on_the_root(length: str, mm: float) -> None:
    assert width(f'width="{length}" height="{length}" viewBox="0 0 7 7"', "7") == pytest.approx(
        mm, abs=1e-9
    )


@pytest.mark.parametrize(("length", "mm"), TABLE)
def test_inside_a_drawing_without_view_box(length: str, mm: float) -> None:
    assert width('width="200mm" height="200mm"', length) == pytest.approx(mm, abs=1e-9)
