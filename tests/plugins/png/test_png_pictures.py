"""Pictures to look at: sizes, inks, true size on request, the same bytes, nothing from names."""

from __future__ import annotations

import struct
import subprocess
import sys
import zlib
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

import seamwright as sw
from seamwright.geometry import Curve
from seamwright.model import Pattern, Piece, build_shape
from seamwright.model.preview import INK, preview
from seamwright.plugins.api import Context, SeamwrightError
from seamwright.plugins.building import build
from seamwright_png.options import PngOut


def square(name: str = "Square", sides: tuple[float, ...] = (100.0,), **fields: Any) -> Pattern:
    names = [str(10 + 2 * i) for i in range(len(sides))]
    shapes = tuple(
        build_shape(
            size=size, outline=Curve.polyline([(0, 0), (s, 0), (s, s), (0, s)], closed=True)
        )
        for size, s in zip(names, sides, strict=True)
    )
    piece = Piece(name=name, shapes=shapes, **fields)
    return Pattern(name="style", pieces=(piece,), sizes=tuple(names), base_size=names[0])


def drawn(pattern: Pattern, **options: Any) -> np.ndarray:
    """The picture's pixels (H, W, 3), decoded by hand from the file."""
    from seamwright_png.write import write

    named = {k.replace("_", "-"): v for k, v in options.items()}
    (part,) = write(pattern, build(PngOut, named), Context()).parts
    data, at, chunks = part.data, 8, {}
    while at < len(data):
        (long,) = struct.unpack(">I", data[at : at + 4])
        name, body = data[at + 4 : at + 8], data[at + 8 : at + 8 + long]
        assert struct.unpack(">I", data[at + 8 + long : at + 12 + long]) == (
            zlib.crc32(name + body),
        )
        chunks[name] = body
        at += 12 + long
    width, height = struct.unpack(">II", chunks[b"IHDR"][:8])
    rows = np.frombuffer(zlib.decompress(chunks[b"IDAT"]), dtype=np.uint8).reshape(height, -1)
    assert not rows[:, 0].any()
    return rows[:, 1:].reshape(height, width, 3)


def test_true_size_on_request() -> None:
    pixels = drawn(square(sides=(254.0,)), dpi=100, labels=False)
    dark = (pixels.astype(int).sum(axis=2) < 300).any(axis=0)
    columns = np.flatnonzero(dark)
    assert columns[-1] - columns[0] == pytest.approx(1000, abs=4)  # the line has a width


def test_width_is_the_width() -> None:
    for wide in (200, 1200):
        assert abs(drawn(square(), width=wide).shape[1] - wide) <= 3


def test_the_cloth_has_its_colour_and_the_ground_is_white() -> None:
    pixels = drawn(square(), labels=False)
    h, w, _ = pixels.shape
    assert pixels[2, 2].tolist() == [255, 255, 255]
    assert pixels[h // 2, w // 2].tolist() == [0xF6, 0xF1, 0xE4]


def test_each_size_has_its_own_ink_and_stands_in_the_key() -> None:
    picture = preview(square(sides=(100.0, 110.0, 120.0)))
    assert len({line.ink for line in picture.lines}) == 3
    assert {"10", "12", "14"} <= {word.text for word in picture.words}
    alone = preview(square(sides=(100.0, 110.0)), sizes=["12"])
    assert {line.ink for line in alone.lines} == {INK} and len(alone.lines) == 1


def test_words_of_the_piece_stand_below_it() -> None:
    picture = preview(square(quantity=(2, 0), material="lining"))
    assert [w.text for w in picture.words] == ["Square", "cut 2, lining"]
    lowest = max(float(line.curve.bbox[3]) for line in picture.lines)
    assert all(w.y - w.size >= lowest for w in picture.words)


def test_a_name_from_a_file_is_only_text() -> None:
    odd = square("</text><script>alert(1)</script>\x00\x1b")
    root = ElementTree.fromstring(preview(odd).svg)
    assert not [e for e in root.iter() if e.tag.endswith("script")]
    assert "<script" in "".join(root.itertext())
    assert drawn(odd).shape[2] == 3


def test_notebooks_get_a_picture() -> None:
    pattern = square(sides=(100.0, 120.0))
    for thing in (pattern, pattern.pieces[0], sw.preview(pattern)):
        ElementTree.fromstring(thing._repr_svg_())
    empty = Pattern(name="", pieces=(), sizes=(), base_size="")
    ElementTree.fromstring(empty._repr_svg_())


def test_pieces_do_not_lie_over_each_other() -> None:
    many = Pattern(
        name="m",
        pieces=tuple(square(f"P{i}", (50.0 + 40 * i,)).pieces[0] for i in range(9)),
        sizes=("10",),
        base_size="10",
    )
    picture = preview(many, width=700)
    boxes = [line.curve.bbox for line in picture.lines]
    for i, a in enumerate(boxes):
        assert a[0] >= 0 and a[2] <= picture.width and a[3] <= picture.height
        for b in boxes[:i]:
            assert (a[:2] >= b[2:]).any() or (b[:2] >= a[2:]).any()
    assert abs(picture.width - 700) <= 12


def test_same_bytes_in_another_process(tmp_path: Path) -> None:
    source = tmp_path / "s.json"
    sw.write(square(sides=(100.0, 120.0)), source)
    made = []
    for seed in ("1", "2"):
        target = tmp_path / f"{seed}.png"
        code = f"import seamwright as sw; sw.write(sw.read({str(source)!r}), {str(target)!r})"
        subprocess.run(
            [sys.executable, "-W", "ignore", "-c", code],
            check=True,
            env={"PYTHONHASHSEED": seed, "TZ": f"UTC+{seed}"},
        )
        made.append(target.read_bytes())
    assert made[0] == made[1]


def test_refusals() -> None:
    from seamwright_png.write import write

    for options, code in (({"sizes": ["99"]}, "png.no-size"), ({"dpi": 1200}, "png.too-large")):
        with pytest.raises(SeamwrightError) as error:
            write(square(sides=(900.0,)), build(PngOut, options), Context())
        assert error.value.finding.code == code
    with pytest.raises(ValueError, match="no size 99"):
        sw.preview(square(), sizes=["99"])
    result = write(square("線"), build(PngOut, {}), Context())
    assert "線" in next(f for f in result.findings if f.code == "png.letters").message
