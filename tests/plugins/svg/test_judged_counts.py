"""Shapes that leave no line are counted, so that what goes in comes out or is told."""

from __future__ import annotations

from typing import Any

import pytest

ROOT = 'xmlns="http://www.w3.org/2000/svg" width="400mm" height="400mm" viewBox="0 0 400 400"'
PIECE = '<path d="M0,0h250v350h-250z"/>'


@pytest.mark.parametrize(
    "shape",
    [
        '<g transform="scale(0)"><path d="M10,10h50v50h-50z"/></g>',
        '<line x1="20" y1="20" x2="20" y2="20"/>',
        '<path d="M30,30"/>',
        '<path d=""/>',
        "<path/>",
        '<circle cx="50" cy="50" r="0"/>',
        '<rect x="30" y="30" width="0" height="40"/>',
        '<polygon points="20,20"/>',
    ],
)
def test_a_shape_without_extent_is_told(svg: Any, shape: str) -> None:
    read = svg.read(f'<svg {ROOT}><g id="Yoke">{PIECE}{shape}</g></svg>')
    assert "1 shape without extent" in read.one("svg.no-extent").message
    assert read.names == ["Yoke"]


def test_each_is_counted_once(svg: Any) -> None:
    dots = '<path d="M30,30"/>' * 3
    broken = '<circle cx="40" cy="40" r="-5"/>'
    read = svg.read(f'<svg {ROOT}><g id="Yoke">{PIECE}{dots}{broken}</g></svg>')
    assert "3 shapes without extent" in read.one("svg.no-extent").message
    assert len(read.found("svg.attribute")) == 1


def test_a_point_beside_a_line_in_one_path_is_no_shape_of_its_own(svg: Any) -> None:
    read = svg.read(f'<svg {ROOT}><g id="Yoke">{PIECE}<path d="M20,20h100M30,30"/></g></svg>')
    assert not read.found("svg.no-extent")
