"""Pieces with their sizes inside, whatever the sizes are called."""

from __future__ import annotations

from typing import Any

import pytest

ROOT = (
    'xmlns="http://www.w3.org/2000/svg" '
    'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
    'width="900mm" height="900mm" viewBox="0 0 900 900"'
)
NAMES = [
    ["2 years", "3 years", "4 years"],
    ["I", "II", "III"],
    ["Petite", "Tall"],
    ["Zazie", "Momo"],
]
PIECES = {"Collar": (240.0, 60.0), "Cuff": (200.0, 90.0), "Sleeve": (330.0, 500.0)}


def outline(width: float, height: float, step: int, attributes: str = "") -> str:
    return f'<path {attributes} d="M0,0h{width + 6 * step}v{height + 4 * step}h-{width - 20}z"/>'


@pytest.mark.parametrize("names", NAMES, ids=lambda n: n[0])
@pytest.mark.parametrize("on_path", [False, True], ids=["groups", "paths"])
def test_pieces_hold_their_sizes(svg: Any, names: list[str], on_path: bool) -> None:
    body = ""
    for piece, (w, h) in PIECES.items():
        inside = ""
        for i, size in enumerate(names):
            label = f'inkscape:label="{size}"'
            drawn = outline(w, h, i, label if on_path else "")
            inside += drawn if on_path else f"<g {label}>{drawn}</g>"
        body += f'<g inkscape:label="{piece}">{inside}</g>'
    read = svg.read(f"<svg {ROOT}>{body}</svg>")
    assert read.names == list(PIECES)
    assert list(read.pattern.sizes) == names
    assert all(len(p.shapes) == len(names) for p in read.pattern.pieces)
    assert read.one("sizes.from-layers")


@pytest.mark.parametrize("names", NAMES[1:], ids=lambda n: n[0])
def test_sizes_hold_their_pieces(svg: Any, names: list[str]) -> None:
    body = ""
    for i, size in enumerate(names):
        inside = "".join(
            f'<g inkscape:label="{p}">{outline(w, h, i)}</g>' for p, (w, h) in PIECES.items()
        )
        body += f'<g inkscape:label="{size}">{inside}</g>'
    read = svg.read(f"<svg {ROOT}>{body}</svg>")
    assert read.names == list(PIECES)
    assert list(read.pattern.sizes) == names


def test_cloths_inside_pieces_are_no_sizes(svg: Any) -> None:
    body = "".join(
        f'<g inkscape:label="{p}"><g inkscape:label="Self">{outline(w, h, 0)}</g>'
        f'<g inkscape:label="Lining">{outline(w, h, 1)}</g></g>'
        for p, (w, h) in PIECES.items()
    )
    assert len(svg.read(f"<svg {ROOT}>{body}</svg>").pattern.sizes) == 1
