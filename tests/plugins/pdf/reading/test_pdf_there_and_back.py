"""What we write as PDF is read again, edge for edge: on one sheet, and tiled for home printers."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

import seamwright as sw
from seamwright.demo.blouse import blouse as demo_blouse


@pytest.fixture(scope="module")
def blouse() -> sw.Pattern:
    """The demo style in all its sizes, drawn with curves, notches, grain and fold lines."""
    return demo_blouse()


@pytest.mark.parametrize(
    "options",
    [{"paper": "a4"}, {"paper": "letter", "grain": "parallel"}, {"paper": "one sheet"},
     {"paper": "36 in roll"}, {"paper": "a3", "layout": "keep"}],
)  # fmt: skip
def test_every_edge_comes_back(options: dict[str, Any], blouse: sw.Pattern, tmp_path: Path) -> None:
    found = sw.write(blouse, tmp_path / "x.pdf", **options)
    assert not [f.message for f in found if f.code == "loss.unannounced"]
    back = sw.load(tmp_path / "x.pdf").pattern
    assert back.sizes == blouse.sizes and back.base_size == blouse.base_size
    assert {p.name for p in back.pieces} == {p.name for p in blouse.pieces}
    for piece in blouse.pieces:
        again = back.piece(piece.name)
        assert again.quantity == piece.quantity
        for shape in piece.shapes:
            other = again.in_size(shape.size)
            assert [e.name for e in other.edges] == [e.name for e in shape.edges]
            for edge, same in zip(shape.edges, other.edges, strict=True):
                assert abs(edge.length - same.length) < 0.01
            assert [n.name for n in other.notches] == [n.name for n in shape.notches]
            assert (other.grain_line is None) == (shape.grain_line is None)
            assert other.mirrored_half == shape.mirrored_half


def test_a_choice_of_sizes_comes_back_alone(blouse: sw.Pattern, tmp_path: Path) -> None:
    chosen = blouse.sizes[1:3]
    sw.write(blouse, tmp_path / "x.pdf", sizes=list(chosen))
    assert sw.load(tmp_path / "x.pdf").pattern.sizes == chosen
