"""What goes from one format to the next stays upright, named and in its layer, and true to size."""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import sys
from collections import Counter
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from ezdxf.entities.polyline import Polyline
from ezdxf.filemanagement import readfile

import seamwright as sw
from seamwright.geometry import Curve

F = "M100,100 h80 v20 h-60 v30 h40 v20 h-40 v40 a20,20 0 0 1 -20,0 z"
"""An F with an arc at its foot, no two sides alike."""
KINDS = ("standard", "cad-r12", "cad-r2010")


def drawing(body: str) -> str:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" '
        'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" width="600mm" '
        f'height="600mm" viewBox="0 0 600 600">{body}</svg>'
    )


@pytest.mark.filterwarnings("ignore::seamwright.SeamwrightWarning")
@pytest.mark.parametrize("kind", KINDS)
def test_an_f_stays_an_f(seamwright: Any, kind: str) -> None:
    """Arc, notch on the right side, text at +30 degrees, and its mirror image beside it."""
    text = '<text transform="translate(105 190) rotate(-30)" font-size="8">ABC</text>'
    seamwright.put(
        "a.svg",
        drawing(
            f'<g id="Eff"><path d="{F}"/><path d="M180,110 h-5"/>{text}</g>'
            f'<g id="Mirror"><path transform="translate(400 0) scale(-1 1)" d="{F}"/></g>'
        ),
    )
    assert seamwright("convert", "a.svg", "b.dxf", "--kind", kind).status == 0
    assert seamwright("convert", "b.dxf", "c.svg").status == 0
    first = sw.read(seamwright.folder / "a.svg")
    for name in ("b.dxf", "c.svg"):
        pattern = sw.read(seamwright.folder / name)
        assert [p.name for p in pattern.pieces] == ["Eff", "Mirror"]
        for old, new in zip(first.pieces, pattern.pieces, strict=True):
            a, b = old.shapes[0].seam_line, new.shapes[0].seam_line
            assert b.area > 0 and b.area == pytest.approx(a.area, abs=0.05 * a.length)
            places = b.point_at(np.linspace(0, b.length, 400, endpoint=False))
            assert a.nearest(places).distances.max() <= 0.05 + 1e-6
        shape = pattern.piece("Eff").shapes[0]
        (word,) = shape.texts
        assert (word.text, word.rotation) == ("ABC", pytest.approx(30.0))
        assert word.at == pytest.approx((105.0, -190.0))
        (notch,) = shape.notches
        assert shape.seam_line.point_of(notch.station) == pytest.approx((180.0, -110.0))


@pytest.mark.filterwarnings("ignore::seamwright.SeamwrightWarning")
def test_layers_keep_their_names_and_their_lines(seamwright: Any) -> None:
    """From SVG to DXF to SVG to DXF: each name, and as many lines on it."""
    layer = '<g inkscape:groupmode="layer" inkscape:label="{}">{}</g>'
    seamwright.put(
        "a.svg",
        drawing(
            layer.format("cut", '<path d="M10,10h200v300h-200z"/>')
            + layer.format("Größe 線", '<path d="M30,30h100"/><path d="M30,50h100v20"/>')
            + layer.format("a.b c", '<path d="M50,100c10,20 30,20 40,0"/>')
        ),
    )
    wanted = Counter({"Größe 線": 2, "a.b c": 1})
    for source, target in pairwise(("a.svg", "b.dxf", "c.svg", "d.dxf")):
        more = ("--kind", "cad-r2010") if target.endswith("dxf") else ()
        assert seamwright("convert", source, target, *more).status == 0
        if target.endswith("dxf"):
            document = readfile(seamwright.folder / target)
            names = Counter(e.dxf.layer for e in document.modelspace())
            assert {n: c for n, c in names.items() if n in wanted} == wanted
            assert sum(names.values()) == 4
        pattern = sw.read(seamwright.folder / target)
        (shape,) = pattern.pieces[0].shapes
        assert Counter(line.layer for line in shape.internal_lines) == wanted


class TestPlainFiles:
    """What strict importers need: R12 by its rules, plain numbers, everything declared."""

    BODY = (
        '<g id="Sleeve Größe.1"><path d="M0,200c40,-60 90,-120 170,-125c80,-5 130,65 170,125'
        'l-30,200h-280z"/><path d="M30,300h100"/><circle cx="100" cy="250" r="30"/>'
        '<text x="60" y="350">cut 2</text></g>'
    )

    @pytest.mark.parametrize("curves", ["chords", "arcs"])
    def test_r12_loses_no_line_and_says_how_far_curves_are_off(
        self, seamwright: Any, curves: str
    ) -> None:
        seamwright.put("a.svg", drawing(self.BODY))
        told = seamwright(
            "convert", "a.svg", "b.dxf", "--kind", "cad-r12", "--curves", curves, "--json"
        )
        assert told.status == 0
        flattened = told.one("dxf.flattened")
        assert flattened["limit"] == 0.05 and "0.05 mm" in flattened["message"]
        read_back = told.one("readback.deviation")
        assert 0.0 < read_back["measured"] <= 0.05
        assert told.json["deviation"] == read_back["measured"]
        a, b = (seamwright("info", n, "--json").shapes[0] for n in ("a.svg", "b.dxf"))
        for field in ("internal_lines", "drill_holes", "texts"):
            assert a[field] == b[field]
        assert len(a["edges"]) == len(b["edges"])

    def test_a_tighter_tolerance_is_kept(self, seamwright: Any) -> None:
        seamwright.put("a.svg", drawing(self.BODY))
        seen = []
        for tolerance in ("0.1 mm", "0.01 mm"):
            out = f"{tolerance}.dxf"
            told = seamwright("convert", "a.svg", out, "--tolerance", tolerance, "--json")
            assert told.json["deviation"] <= float(tolerance.split()[0])
            seen.append(len((seamwright.folder / out).read_bytes()))
        assert seen[0] < seen[1]

    def test_chords_keep_corners_leave_straight_sides_alone_and_have_no_crumbs(
        self, seamwright: Any
    ) -> None:
        seamwright.put("a.svg", drawing(self.BODY))
        seamwright("convert", "a.svg", "b.dxf", "--kind", "cad-r12")
        document = readfile(seamwright.folder / "b.dxf")
        lines = [
            np.array([(v.dxf.location.x, v.dxf.location.y) for v in e.vertices])
            for e in document.modelspace().query("POLYLINE")
            if isinstance(e, Polyline)
        ]
        points = max(lines, key=lambda p: float(np.ptp(p, axis=0).max()))
        steps = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
        assert steps.min() > 0.01
        for corner in ((0.0, -200.0), (340.0, -200.0), (310.0, -400.0), (30.0, -400.0)):
            assert np.abs(points - corner).sum(axis=1).min() <= 1e-6
        assert (points[:, 1] < -200.0 - 1e-6).sum() == 2

    @pytest.mark.parametrize("suffix", ["svg", "dxf", "r12.dxf"])
    def test_numbers_are_plain(self, seamwright: Any, suffix: str) -> None:
        """Ten thousand coordinates, tiny ones and minus nothing among them."""
        chance = np.random.default_rng(5)
        points = np.round(chance.uniform(-1e5, 1e5, (5000, 2)), 7)
        points = points[np.argsort(np.arctan2(*(points - points.mean(axis=0)).T))]
        odd = [(123456.7890123, -0.0), (1e-17, 123456.7890123), (-1e-17, -1e-9)]
        pattern = sw.read(seamwright.put("a.json", _json_of([*odd, *points.tolist()])))
        options: dict[str, Any] = {"kind": "cad-r12"} if suffix == "r12.dxf" else {}
        sw.write(pattern, seamwright.folder / f"b.{suffix}", **options)
        raw = (seamwright.folder / f"b.{suffix}").read_text("utf-8")
        numbers = _numbers_of(raw)
        assert len(numbers) > 10_000
        for number in numbers:
            assert re.fullmatch(r"-?\d+(\.\d{1,6})?", number), number
            assert not re.fullmatch(r"-0(\.0*)?", number)


def _json_of(points: list[Any]) -> str:
    """A pattern of one polygon in our own format."""
    import tempfile
    from pathlib import Path

    from seamwright.model import Pattern, Piece, build_shape

    shape = build_shape(size="M", outline=Curve.polyline(points, closed=True))
    pattern = Pattern(
        name="n", pieces=(Piece(name="P", shapes=(shape,)),), sizes=("M",), base_size="M"
    )
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "x.json"
        sw.write(pattern, path)
        return path.read_text("utf-8")


def _numbers_of(raw: str) -> list[str]:
    if raw.lstrip().startswith("<"):
        root = ElementTree.fromstring(raw)
        data = " ".join(e.attrib.get("d", "") for e in root.iter())
        return [n for n in re.split(r"[MLCZ, ]+", data) if n]
    lines = raw.replace("\r\n", "\n").split("\n")
    start = lines.index("BLOCKS") if "BLOCKS" in lines else 0
    tags = list(zip(lines[::2], lines[1::2], strict=False))[start // 2 :]
    return [
        value.strip() for code, value in tags if code.strip().isdigit() and 10 <= int(code) < 30
    ]


@pytest.mark.parametrize("bad", [float("nan"), float("inf")])
def test_what_is_no_number_is_never_written(seamwright: Any, bad: float) -> None:
    from dataclasses import replace

    seamwright.put("a.svg", drawing(TestPlainFiles.BODY))
    pattern = sw.read(seamwright.folder / "a.svg")
    spoilt = pattern.map_shapes(
        lambda _, s: s.but(texts=tuple(replace(t, at=(bad, 0.0)) for t in s.texts))
    )
    for out in ("b.svg", "b.dxf", "b.json", "b.pdf", "b.plt"):
        with pytest.raises(sw.SeamwrightError) as caught:
            sw.write(spoilt, seamwright.folder / out)
        assert caught.value.finding.code != "plugin.raised", out
        assert not (seamwright.folder / out).exists()


CHILD = """
import sys
from seamwright.cli.main import status_of
for out in ("b.svg", "b.svgz", "b.json", "b.dxf"):
    assert status_of(["convert", "a.svg", out, "--overwrite"]) == 0
for kind in ("cad-r12", "cad-r2010"):
    assert status_of(["convert", "a.svg", kind + ".dxf", "--kind", kind, "--overwrite"]) == 0
assert status_of(["run", "p.toml", "a.svg", "--out", "out", "--overwrite"]) == 0
"""


def test_the_same_input_gives_the_same_bytes(seamwright: Any) -> None:
    """Every writer and report, in two processes with other hash seeds, locales and time zones."""
    seamwright.put("a.svg", drawing(TestPlainFiles.BODY))
    reports = "".join(f'[[step]]\nuse = "report"\nto = "{{stem}}.{s}"\n' for s in ("html", "txt"))
    seamwright.put("p.toml", f"seamwright = 1\n{reports}")
    sums = []
    for seed, locale, zone in (("1", "C", "UTC"), ("4711", "de_DE.UTF-8", "Asia/Tokyo")):
        subprocess.run(
            [sys.executable, "-c", CHILD], cwd=seamwright.folder, check=True, capture_output=True,
            env={**os.environ, "PYTHONHASHSEED": seed, "LC_ALL": locale, "TZ": zone},
        )  # fmt: skip
        files = [p for p in sorted(seamwright.folder.rglob("*")) if p.is_file()]
        sums.append({p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in files})
    assert sums[0] == sums[1]
    assert len(sums[0]) == 10
