"""With enough decimals what was left alone measures the same after writing, whatever its unit."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

SVG = 'xmlns="http://www.w3.org/2000/svg"'


@pytest.mark.parametrize("root", ['width="900pt" height="900pt"', 'width="1200" height="1200"'])
def test_untouched_to_1e_9_mm(svg: Any, root: str) -> None:
    d = "M 101.3,57.77 C 190.1,33.3 340.7,61.1 407.9,99.3 L 399.7,711.1 L 77.1,703.3 Z"
    before = svg.read(f'<svg {SVG} {root}><path id="Yoke" d="{d}"/></svg>').pattern
    after = svg.again(before, digits=10).pattern
    a, b = before.pieces[0].shapes[0].seam_line, after.pieces[0].shapes[0].seam_line
    assert np.abs(a.segments - b.segments).max() < 1e-9
    assert b.length == pytest.approx(a.length, abs=1e-9)
