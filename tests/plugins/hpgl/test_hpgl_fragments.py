"""Legal HP-GL that parsers choke on: each fragment to the lines that it draws."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from ezdxf.addons.hpgl2.tokenizer import pe_encode

from seamwright.plugins.api import Guess, Head, Limits, SeamwrightError
from seamwright_hpgl.plugin import seamwright_formats

SQUARE = [(0, 0), (400, 0), (400, 400), (0, 400), (0, 0)]


def _pe(*points: tuple[int, int], seven: bool = False) -> bytes:
    base = 32 if seven else 64
    out = b"7" if seven else b""
    for i, (x, y) in enumerate(points):
        out += b"<=" if i == 0 else b"="
        out += pe_encode(x, base=base) + pe_encode(y, base=base)
    return b"PE" + out + b";"


FRAGMENTS = {
    "plain": (b"IN;SP1;PU0,0;PD400,0,400,400,0,400,0,0;PU;", [SQUARE]),
    "no semicolons": (b"INSP1PU0 0PD400 0 400 400 0 400 0 0PU", [SQUARE]),
    "spaces and line ends": (b"IN ;\r\nSP 1;\nPU 0 , 0 ;\n P D 400 ,0\n,400,400;\nPD 0,400,0,0;",
                             [SQUARE]),
    "small letters": (b"in;sp1;pu0,0;pd400,0,400,400,0,400,0,0;", [SQUARE]),
    "relative across commands": (
        b"IN;SP1PU0 0PD400,0,400,400;PR;PD-400,0;PD0,-400;", [SQUARE]),
    "PA and PR draw": (b"IN;PU0,0;PD;PA400,0;PR0,400,-400,0;PA0,0;PU;", [SQUARE]),
    "no space before a minus": (b"IN;PU0,0;PD400-0,400+400;PD0,400,0,0;", [SQUARE]),
    "SC with IP": (b"IN;IP0,0,4000,4000;SC0,10,0,10;PU0,0;PD1,0,1,1,0,1,0,0;", [SQUARE]),
    "SC that mirrors": (b"IN;IP0,0,4000,4000;SC10,0,0,10;PU10,0;PD9,0,9,1,10,1,10,0;", [SQUARE]),
    "SC isotropic": (
        b"IN;IP0,0,4000,8000;SC0,10,0,10,1,0,0;PU0,0;PD1,0,1,1,0,1,0,0;", [SQUARE]),
    "SC as factors": (b"IN;IP0,0,1,1;SC0,40,0,40,2;PU0,0;PD10,0,10,10,0,10,0,0;", [SQUARE]),
    "SC off again": (
        b"IN;IP0,0,4000,4000;SC0,10,0,10;PU0,0;PD1,0;SC;PD400,400,0,400,0,0;",
        [[(0, 0), (400, 0)], SQUARE[1:]]),
    "a label with commands in it": (b'IN;PU9,9;LB12";3PD5,5;\x03PU0,0;PD400,0;', [SQUARE[:2]]),
    "a label to its own terminator": (b"IN;DT*;LBab;PD9,9*PU0,0;PD400,0;", [SQUARE[:2]]),
    "terminator back to ETX": (b"IN;DT*;LBab*DT;LBx*y\x03PU0,0PD400,0;", [SQUARE[:2]]),
    "entry and exit": (
        b"\x1bE\x1b%-12345X@PJL ENTER LANGUAGE=HPGL2\n\x1b%-1BIN;PU0,0;PD400,0;\x1b%0A\x1bE",
        [SQUARE[:2]]),
    "device control": (b"\x1b.(\x1b.I81;;17:\x1b.N;19:IN;PU0,0;PD400,0;\x1b.)", [SQUARE[:2]]),
    "encoded polyline": (b"IN;" + _pe(*SQUARE), [SQUARE]),
    "encoded in base 32": (b"IN;" + _pe(*SQUARE, seven=True), [SQUARE]),
    "rectangle": (b"IN;PU0,0;EA400,400;", [SQUARE]),
    "relative rectangle": (b"IN;PU0,0;ER400,400;", [SQUARE]),
    "polygon edges": (b"IN;PU0,0;PM0;PD400,0,400,400,0,400;PM2;EP;", [SQUARE]),
    "turned": (b"IN;RO90;PU0,0;PD0,-400,400,-400,400,0,0,0;",
               [[(0, 0), (400, 0), (400, 400), (0, 400), (0, 0)]]),
    "pens and speeds between": (
        b"IN;VS20;SP1;PU0,0;PD400,0;PW.35;SP2;PU400,0;PD400,400;", [SQUARE[:2], SQUARE[1:3]]),
    "decimals": (b"IN;PU0.0,.0;PD400.,0.0,400.0,400;PD0,400,0,0;", [SQUARE]),
}  # fmt: skip


@pytest.mark.parametrize("name", FRAGMENTS)
def test_fragment(name: str, plot: Callable[..., Any]) -> None:
    data, wanted = FRAGMENTS[name]
    machine = plot(data)
    drawn = [s.points for s in machine.strokes]
    assert len(drawn) == len(wanted)
    for got, right in zip(drawn, wanted, strict=True):
        assert np.allclose(got, right, atol=1e-9)
    assert not machine.faults.unknown and not machine.faults.junk and not machine.faults.broken


# What the judge leaves out (ESC handling other than its own, small letters, rectangles, RO, rows
# without separators) is not held against it.
JUDGED = ("plain", "relative across commands", "PA and PR draw", "SC isotropic", "SC as factors",
          "encoded polyline", "polygon edges", "decimals", "pens and speeds between")  # fmt: skip


@pytest.mark.parametrize("name", JUDGED)
def test_as_the_judge_draws(name: str, plot: Callable[..., Any], judge: Callable[..., Any]) -> None:
    data, _ = FRAGMENTS[name]
    ours = np.concatenate([np.array(s.points) for s in plot(data).strokes])
    theirs = np.concatenate(judge(data))
    gaps = np.hypot(*(ours[:, None] - theirs[None]).transpose(2, 0, 1))
    assert gaps.min(axis=0).max() <= 0.5 and gaps.min(axis=1).max() <= 0.5


def test_labels_keep_place_words_and_direction(plot: Callable[..., Any]) -> None:
    machine = plot(b"IN;SI.3,.5;DI0,1;PU100,200;LBFront;12\x03")
    (label,) = machine.labels
    assert label.text == b"Front;12" and label.at == (100, 200)
    assert label.height == pytest.approx(200) and label.turn == pytest.approx(90)


def test_arcs_are_true_whatever_chord_angle_is_asked_for(plot: Callable[..., Any]) -> None:
    machine = plot(b"IN;PU1000,1000;CI20000,30;")
    (stroke,) = machine.strokes
    (cubics,) = stroke.curved.values()
    t = np.linspace(0, 1, 33)[:, None, None]
    weights = [(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3]
    points = sum(w * cubics[None, :, i] for i, w in enumerate(weights))
    radii = np.hypot(*(points - 1000).transpose(2, 0, 1))
    assert np.abs(radii - 20000).max() < 0.01  # a hundredth of a unit; 5 degrees would be 19 units


@pytest.mark.parametrize(
    "data", [b"IN;PU8000,0;PD;AA0,0,90;", b"IN;PU8000,0;PD;AR-8000,0,90,5;",
             b"IN;PU8000,0;PD;AT5656.854249,5656.854249,0,8000;"],
)  # fmt: skip
def test_arcs_of_all_kinds_end_where_they_should(data: bytes, plot: Callable[..., Any]) -> None:
    (stroke,) = plot(data).strokes
    assert np.allclose(stroke.points[-1], (0, 8000), atol=1e-4)
    (cubics,) = stroke.curved.values()
    middle = cubics.reshape(-1, 2)
    assert (np.hypot(*middle.T) >= 8000 - 1e-3).all()  # bulges outward: handles lie outside


def test_bezier_and_what_follows_it(plot: Callable[..., Any]) -> None:
    machine = plot(b"\x1b%-1BIN;PU0,0;PD;BZ0,100,300,100,300,0;BR0,-100,300,-100,300,0;PD900,0;")
    (stroke,) = machine.strokes
    assert stroke.points == [(0, 0), (300, 0), (600, 0), (900, 0)]
    assert stroke.curved[1][0].tolist() == [[300, 0], [300, -100], [600, -100], [600, 0]]


def test_unknown_instructions_are_counted(read_hpgl: Callable[..., Any]) -> None:
    square = b"PU0,0;PD9000,0,9000,9000,0,9000,0,0;"
    found = read_hpgl(b"IN;SP1;QQ5;ZZ;QQ1,2;" + square)
    (said,) = [f for f in found.findings if f.code == "hpgl.unknown"]
    assert "QQ (2 times)" in said.message and "ZZ" in said.message
    assert found.pattern.pieces[0].shapes[0].seam_line.length == pytest.approx(900)


@pytest.mark.parametrize(
    "data",
    [b"\x1bE\x1b&l0O\x1b*p100x100YHello\x1bE", b"\x1b@\x1b(R\x00\x08\x00\x00REMOTE1", b"%PDF-1.4\n",
     b"G21\nG90\nG1 X0 Y0\n", b"hello, a letter", b"", b"<svg/>", b"0\nSECTION\n2\nHEADER\n"],
)  # fmt: skip
def test_other_files_are_refused(data: bytes, read_hpgl: Callable[..., Any]) -> None:
    (form,) = seamwright_formats()
    assert form.sniff(Head(name="x.plt", suffix=".plt", data=data)) is Guess.NO
    with pytest.raises(SeamwrightError) as error:
        read_hpgl(data)
    assert error.value.finding.code == "hpgl.not-hpgl"


@pytest.mark.parametrize("data", [d for d, _ in FRAGMENTS.values()])
def test_plots_are_known_by_their_first_bytes(data: bytes) -> None:
    (form,) = seamwright_formats()
    assert form.sniff(Head(name="x", suffix="", data=data)) is Guess.YES


def test_what_breaks_off_is_told(read_hpgl: Callable[..., Any]) -> None:
    square = b"IN;SP1;PU0,0;PD9000,0,9000,9000,0,9000,0,0;"
    for tail in (b"PU5,5;LBFro", b"PE<=\xbf", b"PU0,0;PD1e9", b"PU5;", b"PE<=\x20\x3e;"):
        found = read_hpgl(square + tail)
        assert found.findings and found.pattern.pieces, tail


def test_limits_are_named(read_hpgl: Callable[..., Any]) -> None:
    many = b"IN;SP1;" + b"PU0,0;" * 500
    with pytest.raises(SeamwrightError) as error:
        read_hpgl(many, Limits(elements=100))
    assert error.value.finding.code == "hpgl.limit" and "elements" in (
        error.value.finding.hint or ""
    )
    line = b"IN;SP1;PU0,0;PD" + b",".join(b"%d,5" % i for i in range(500)) + b";"
    with pytest.raises(SeamwrightError) as error:
        read_hpgl(line, Limits(points=100))
    assert "points" in (error.value.finding.hint or "")


def test_unit_and_pens_can_be_stated(read_hpgl: Callable[..., Any]) -> None:
    a = b"IN;SP1;PU0,0;PD40000,0,40000,20000,0,20000,0,0;"
    b = b"SP2;PU-600,-600;PD40600,-600,40600,20600,-600,20600,-600,-600;"
    found = read_hpgl(a + b, unit="0.0254 mm", pens={"1": "seam line", "2": "cut line"})
    (shape,) = found.pattern.pieces[0].shapes
    assert shape.seam_line.length == pytest.approx(2 * 1.5 * 1016)
    assert shape.cut_line is not None and shape.cut_line.area > shape.seam_line.area
    sizes = read_hpgl(a + b, pens={"1": "Size 10", "2": "Size 12"}).pattern
    assert sizes.sizes == ("10", "12") and len(sizes.pieces) == 1


def test_scale_to_corners_that_are_not_stated_is_told(read_hpgl: Callable[..., Any]) -> None:
    found = read_hpgl(b"IN;SC0,1000,0,1000;SP1;PU0,0;PD500,0,500,500,0,500,0,0;")
    assert [f.code for f in found.findings if f.code == "hpgl.scale-guessed"]


def test_a_dashed_line_stays_one_line(plot: Callable[..., Any]) -> None:
    (stroke,) = plot(b"IN;LT2,4;PU0,0;PD400,0,800,0;LT;").strokes
    assert stroke.dashed and len(stroke.points) == 3
    assert math.dist(stroke.points[0], stroke.points[-1]) == 800
