"""Tiles put together: by what the user states, by lines that pages share, by our own words."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from typing import Any

import numpy as np
import pikepdf
import pytest
from pdf_by_hand import Paper, mm, poly

from seamwright.geometry import Curve
from seamwright.plugins.api import SeamwrightError

A4 = (210.0, 297.0)
POINTS = A4[0] * 72 / 25.4, A4[1] * 72 / 25.4


def big() -> Curve:
    """An outline that needs several pages of A4."""
    segments = [
        [(20, 20), (140, 20), (260, 20), (380, 20)],
        [(380, 20), (430, 200), (300, 330), (390, 540)],
        [(390, 540), (260, 540), (130, 540), (20, 540)],
        [(20, 540), (20, 367), (20, 193), (20, 20)],
    ]
    return Curve.from_segments(
        np.array(segments, dtype=float), np.array([0, 1, 0, 0], dtype=np.uint8), closed=True
    )


def operators_of(curve: Curve, dx: float, dy: float) -> str:
    there = curve.translated(dx, dy)
    words = [f"{mm(*there.start)} m"]
    for segment, kind in zip(there.segments, there.kinds, strict=True):
        words.append(f"{mm(*segment[1:].ravel())} c" if kind else f"{mm(*segment[3])} l")
    return " ".join(words) + (" h S\n" if curve.closed else " S\n")


def tiled(
    paper: Paper, *, overlap: float, columns: int = 2, rows: int = 2, whole: bool = True
) -> bytes:
    """The outline on a grid of pages: whole behind each page's clip, or cut at the page's edges."""
    for row in range(rows):
        for column in range(columns):
            x = column * (A4[0] - overlap)
            y = (rows - 1 - row) * (A4[1] - overlap)
            if whole:
                content = f"{mm(0, 0, *A4)} re W n\n" + operators_of(big(), -x, -y)
                content += poly([(10, 10), (200, 10), (200, 287), (10, 287)])  # the page's frame
            else:
                from seamwright_pdf.reading.drawing import trimmed

                start = big().started_at(1)
                line = Curve.from_segments(start.segments, start.kinds)
                box = np.array([x, y, x + A4[0], y + A4[1]])
                content = "".join(operators_of(part, -x, -y) for part in trimmed(line, box))
            paper.page(content, size=POINTS)
    return paper.bytes()


def edges(found: Any) -> Curve:
    large = max(found.pattern.pieces, key=lambda p: abs(p.shapes[0].seam_line.area))
    line: Curve = large.shapes[0].seam_line
    return line


@pytest.mark.parametrize("overlap", [0.0, 12.5])
@pytest.mark.parametrize("whole", [True, False])
def test_a_stated_grid(
    overlap: float, whole: bool, paper: Paper, read_pdf: Callable[..., Any]
) -> None:
    data = tiled(paper, overlap=overlap, whole=whole)
    line = edges(read_pdf(data, columns=2, tile_overlap=overlap))
    assert line.length == pytest.approx(big().length, abs=0.01)
    assert line.area == pytest.approx(big().area, rel=1e-6)


@pytest.mark.parametrize("options", [{"order": "columns"}, {"first": "bottom"}])
def test_pages_in_another_order(
    options: dict[str, str], paper: Paper, read_pdf: Callable[..., Any]
) -> None:
    data = tiled(paper, overlap=10, whole=False)
    order = [0, 2, 1, 3] if "order" in options else [2, 3, 0, 1]
    with pikepdf.Pdf.open(BytesIO(data)) as pdf:
        pages = [pdf.pages[i] for i in order]
        out = pikepdf.new()
        out.pages.extend(pages)
        target = BytesIO()
        out.save(target)
    line = edges(read_pdf(target.getvalue(), columns=2, tile_overlap=10.0, **options))
    assert line.length == pytest.approx(big().length, abs=0.01)


@pytest.mark.parametrize("overlap", [0.0, 7.3])
def test_pages_are_put_together_by_what_they_share(
    overlap: float, paper: Paper, read_pdf: Callable[..., Any]
) -> None:
    second = Curve.polyline([(40, 250), (360, 280), (300, 330)], closed=True)
    for row in range(2):
        for column in range(2):
            x, y = column * (A4[0] - overlap), (1 - row) * (A4[1] - overlap)
            paper.page(
                operators_of(big(), -x, -y) + operators_of(second, -x, -y)
                + poly([(10, 10), (200, 10), (200, 287), (10, 287)]),
                size=POINTS,
            )  # fmt: skip
    found = read_pdf(paper.bytes())
    assert [f.code for f in found.findings if f.code.startswith("pdf.")][:1] == ["pdf.tiles-found"]
    assert edges(found).length == pytest.approx(big().length, abs=0.01)


def test_pages_that_share_nothing_are_sheets_of_their_own(
    paper: Paper, read_pdf: Callable[..., Any]
) -> None:
    for side in (60, 80, 100):
        paper.page(poly([(20, 20), (20 + side, 20), (20 + side, 90), (20, 120)]), size=POINTS)
    found = read_pdf(paper.bytes())
    assert len(found.pattern.pieces) == 3
    assert "pdf.separate-pages" in {f.code for f in found.findings}
    assert len(read_pdf(paper.bytes(), pages="2-3").pattern.pieces) == 2


def test_impossible_wishes_are_refused(paper: Paper, read_pdf: Callable[..., Any]) -> None:
    for _ in range(5):
        paper.page(poly([(20, 20), (90, 20), (50, 90)]), size=POINTS)
    for options, code in (
        ({"columns": 2, "rows": 2}, "pdf.grid"), ({"pages": "4-9"}, "pdf.no-pages"),
        ({"pages": "x"}, "pdf.no-pages"), ({"tile_overlap": 5.0}, "option.value"),
    ):  # fmt: skip
        with pytest.raises(SeamwrightError) as error:
            read_pdf(paper.bytes(), **options)
        assert code in (error.value.finding.code, "option.value")


def test_a_factor_for_a_file_of_the_wrong_size(paper: Paper, read_pdf: Callable[..., Any]) -> None:
    paper.page(poly([(20, 20), (120, 20), (120, 120), (20, 120)]))
    (piece,) = read_pdf(paper.bytes(), scale=1.25).pattern.pieces
    assert piece.shapes[0].seam_line.length == pytest.approx(500, abs=1e-4)
