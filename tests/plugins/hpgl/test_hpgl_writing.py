"""Plots that we write: true lengths, short commands, little travel, and refusals in time."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from seamwright.geometry import Curve
from seamwright.model import GrainLine, Notch, Pattern, Piece, Shape, Text, build_shape
from seamwright.plugins.api import SeamwrightError
from seamwright.testing.strategies import patterns

_SLOW = settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def style(*outlines: Any, size: str = "M", **fields: Any) -> Pattern:
    """A pattern with a piece for each outline given as points or as a closed Curve."""
    pieces = []
    for number, outline in enumerate(outlines, start=1):
        curve = outline if isinstance(outline, Curve) else Curve.polyline(outline, closed=True)
        shape = build_shape(size=size, outline=curve, **fields)
        pieces.append(Piece(name=f"Part {number}", shapes=(shape,)))
    return Pattern(name="style", pieces=tuple(pieces), sizes=(size,), base_size=size)


def box(w: float, h: float, x: float = 0.0, y: float = 0.0) -> list[tuple[float, float]]:
    return [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]


def text_of(result: Any) -> str:
    (part,) = result.parts
    text: str = part.data.decode("ascii")
    return text


def points_of(text: str) -> list[tuple[str, np.ndarray]]:
    return [
        (name, np.array(list(map(int, numbers.split(",")))).reshape(-1, 2))
        for name, numbers in re.findall(r"^(PU|PD)(-?[\d,-]+);$", text, flags=re.M)
    ]


def test_a_metre_is_forty_thousand_units(write_hpgl: Callable[..., Any]) -> None:
    for options, units in (({}, 40000), ({"unit": "0.02488 mm"}, 40193), ({"unit": 0.0254}, 39370)):
        text = text_of(write_hpgl(style(box(1000, 50)), labels=False, **options))
        xs = np.concatenate([p for _, p in points_of(text)])[:, 0]
        assert abs(xs.max() - xs.min() - units) <= 0.5


def test_the_origin_moves_and_never_scales(write_hpgl: Callable[..., Any]) -> None:
    piece = style(box(1000, 500, -3000, 7777.7))
    corner = np.concatenate([p for _, p in points_of(text_of(write_hpgl(piece, labels=False)))])
    centre = np.concatenate(
        [p for _, p in points_of(text_of(write_hpgl(piece, labels=False, origin="centre")))]
    )
    assert corner.min() >= 0
    assert np.ptp(corner, axis=0).tolist() == np.ptp(centre, axis=0).tolist()
    assert np.abs(centre.max(axis=0) + centre.min(axis=0)).max() <= 2


def test_a_hundred_steps_do_not_add_up(write_hpgl: Callable[..., Any]) -> None:
    xs = 10.01 * np.arange(101)
    saw = np.concatenate(
        (np.stack((xs, 3.0 * (np.arange(101) % 2)), axis=1), [[xs[-1], 60.0], [0.0, 60.0]])
    )
    text = text_of(write_hpgl(style(saw), labels=False, sort=False, margin=0))
    drawn = np.concatenate([p for _, p in points_of(text)])
    for x in xs:
        assert np.abs(drawn[:, 0] - x / 0.025).min() <= 0.5 + 1e-6


@_SLOW
@given(pattern=patterns())
def test_short_commands_line_by_line(pattern: Pattern, write_hpgl: Callable[..., Any]) -> None:
    text = text_of(write_hpgl(pattern))
    lines = text.splitlines()
    assert text.endswith("\n") and lines[0] == "IN;"
    last, at = "", None
    for line in lines:
        name = line[:2]
        assert line.count(";") == 1 or name == "LB"
        if name in ("PU", "PD"):
            pairs = np.array(line[2:-1].split(","), dtype=int).reshape(-1, 2)
            assert len(pairs) <= 50
            if name == "PU":
                assert last != "PU" and at != tuple(pairs[-1])
            at = tuple(pairs[-1])
        elif name in ("LB", "SP"):
            at = None
        last = name


def test_one_long_curve_never_lifts_the_pen(write_hpgl: Callable[..., Any]) -> None:
    angle = np.linspace(0, 2 * np.pi, 20_000, endpoint=False)
    waves = 900 + 30 * np.cos(40 * angle)
    ring = np.stack((waves * np.cos(angle), waves * np.sin(angle)), axis=1)
    text = text_of(write_hpgl(style(ring), labels=False))
    names = [name for name, _ in points_of(text)]
    assert names == ["PU"] + ["PD"] * 400


@_SLOW
@given(pattern=patterns(max_sizes=1))
def test_the_judge_finds_every_line_within_half_a_unit(
    pattern: Pattern, write_hpgl: Callable[..., Any], judge: Callable[..., Any],
    plot: Callable[..., Any],
) -> None:  # fmt: skip
    result = write_hpgl(pattern, labels=False)
    theirs = judge(result.parts[0].data)
    ours = [np.array(s.points) for s in plot(result.parts[0].data).strokes]
    a, b = np.concatenate(ours), np.concatenate(theirs)
    for points, other in ((a, b), (b, a)):
        gaps = [np.hypot(*(other - p).T).min() for p in points[:: max(1, len(points) // 300)]]
        assert max(gaps) <= 0.5


@_SLOW
@given(pattern=patterns(max_pieces=2, max_sizes=1))
def test_read_again_within_the_tolerance(
    pattern: Pattern, write_hpgl: Callable[..., Any], read_hpgl: Callable[..., Any]
) -> None:
    data = write_hpgl(pattern, layout="rows", tolerance="0.1 mm").parts[0].data
    back = read_hpgl(data).pattern
    there = [s.seam_line for p in back.pieces for s in p.shapes]
    for piece in pattern.pieces:
        line = piece.shapes[0].seam_line
        best = min(there, key=lambda c: abs(c.length - line.length))
        assert abs(best.length - line.length) <= 2e-3 * line.length
        assert abs(best.area - line.area) <= 0.1 * line.length


def test_bezier_curves_are_read_again_as_curves(
    write_hpgl: Callable[..., Any], read_hpgl: Callable[..., Any]
) -> None:
    ring = Curve.ellipse((0, 0), 300, 180)
    data = write_hpgl(style(ring), language="hpgl2", curves="bezier", labels=False).parts[0].data
    assert data.startswith(b"\x1b%-1BIN;\nPS") and data.endswith(b"\x1b%0A")
    (piece,) = read_hpgl(data).pattern.pieces
    line = piece.shapes[0].seam_line
    assert line.kinds.all() and line.length == pytest.approx(ring.length, abs=0.05)


def test_chords_hold_the_tolerance(write_hpgl: Callable[..., Any]) -> None:
    for tolerance in (0.05, 0.2):
        text = text_of(
            write_hpgl(style(Curve.circle((0, 0), 500)), labels=False, tolerance=f"{tolerance} mm")
        )
        drawn = np.concatenate([p for _, p in points_of(text)]) * 0.025
        ring = drawn - (drawn.max(axis=0) + drawn.min(axis=0)) / 2
        middles = (ring[1:] + ring[:-1]) / 2
        assert np.abs(np.hypot(*middles.T) - 500).max() <= tolerance + 0.02


def test_sorting_saves_travel_and_says_so(write_hpgl: Callable[..., Any]) -> None:
    far = style(*(box(40, 40, x, y) for x in (0, 900) for y in (0, 300, 600)))
    shuffled = far.but(pieces=tuple(far.pieces[i] for i in (0, 5, 1, 3, 2, 4)))
    (said,) = [f for f in write_hpgl(shuffled).findings if f.code == "hpgl.travel"]
    assert said.measured is not None and said.limit is not None
    assert said.measured < 0.7 * said.limit


def test_pens_by_role(write_hpgl: Callable[..., Any]) -> None:
    cut = Curve.polyline(box(120, 70, -10, -10), closed=True)
    piece = style(box(100, 50), cut_line=cut)
    assert re.findall(r"^SP(\d);$", text_of(write_hpgl(piece, labels=False)), flags=re.M) == [
        "1", "2", "0"]  # fmt: skip
    only = text_of(write_hpgl(piece, labels=False, pens={"seam": 0}))
    assert re.findall(r"^SP(\d);$", only, flags=re.M) == ["2", "0"]


def test_too_wide_says_the_width_that_is_needed(write_hpgl: Callable[..., Any]) -> None:
    with pytest.raises(SeamwrightError) as error:
        write_hpgl(style(box(300, 950)), width="900 mm")
    assert error.value.finding.code == "hpgl.too-wide"
    assert error.value.finding.measured == pytest.approx(960)
    write_hpgl(style(box(300, 880)), width="900 mm")


def test_beyond_sixteen_bits_is_refused_and_split_on_request(
    write_hpgl: Callable[..., Any], read_hpgl: Callable[..., Any]
) -> None:
    long = style(*(box(700, 400, 750 * i) for i in range(4)))
    with pytest.raises(SeamwrightError) as error:
        write_hpgl(long, device="16-bit")
    assert error.value.finding.code == "hpgl.out-of-range"
    text = text_of(write_hpgl(long, device="16-bit", advance="800 mm"))
    assert text.count("PG;") == 4
    assert max(p.max() for _, p in points_of(text)) <= 32767
    with pytest.raises(SeamwrightError) as error:
        write_hpgl(long, advance="500 mm")
    assert error.value.finding.code == "hpgl.too-long"
    assert error.value.finding.measured == pytest.approx(710)


def test_pieces_over_each_other_are_laid_apart(write_hpgl: Callable[..., Any]) -> None:
    heap = style(*(box(300, 200) for _ in range(3)))
    text = text_of(write_hpgl(heap, labels=False))
    corners = {tuple(p[0]) for name, p in points_of(text) if name == "PU"}
    assert len(corners) == 3


def test_packed_pieces_lie_along_the_roll_within_its_width(
    write_hpgl: Callable[..., Any], plot: Callable[..., Any]
) -> None:
    parts = style(*(box(200 + 10 * i, 500 + 20 * i) for i in range(6)))
    machine = plot(write_hpgl(parts, layout="pack", width="900 mm", labels=False).parts[0].data)
    drawn = [np.array(s.points) for s in machine.strokes]
    boxes = np.array([[*points.min(axis=0), *points.max(axis=0)] for points in drawn])
    assert len(boxes) == 6 and boxes.min() >= 0 and boxes[:, 3].max() <= 900 / 0.025
    sides = boxes[:, 2:] - boxes[:, :2]
    assert (sides[:, 0] > sides[:, 1]).all()  # what was upright runs along the roll
    assert boxes[:, 2].max() * 0.025 < 1500  # three across, two along
    for i, a in enumerate(boxes):
        for b in boxes[:i]:
            assert (a[:2] >= b[2:]).any() or (b[:2] >= a[2:]).any()


def test_packed_pieces_are_found_again_by_reading_back(tmp_path: Any) -> None:
    import seamwright as sw

    parts = style(*(box(200 + 10 * i, 500 + 20 * i) for i in range(4)))
    found = sw.write(parts, tmp_path / "x.plt", layout="pack", width="900 mm")
    (said,) = [f for f in found if f.code == "readback.deviation"]
    assert "4 of 4 outlines" in said.message
    assert said.measured is not None and said.measured <= 0.05
    assert not [f for f in found if f.code == "loss.unannounced"]


def test_labels_are_ascii_and_what_has_no_letter_is_told(write_hpgl: Callable[..., Any]) -> None:
    piece = style(box(300, 200), texts=(Text(text="Größe ½ 線", at=(50, 50), height=8),))
    result = write_hpgl(piece)
    assert "LBGrosse 1/2 ?\x03" in text_of(result)
    (said,) = [f for f in result.findings if f.code == "hpgl.letters"]
    assert "線" in said.message


def test_a_name_from_a_file_is_only_a_label(write_hpgl: Callable[..., Any], plot: Any) -> None:
    shape = style(box(300, 200)).pieces[0].shapes[0]
    odd = Piece(name="x\x03PD9,9;\x1b%0A", shapes=(shape,))
    data = write_hpgl(Pattern(name="", pieces=(odd,), sizes=("M",), base_size="M")).parts[0].data
    assert len(plot(data).strokes) == 1 and b"\x1b" not in data


def test_round_trip_keeps_marks_right_way_up(
    write_hpgl: Callable[..., Any], read_hpgl: Callable[..., Any]
) -> None:
    letter = [(0, 0), (60, 0), (60, 150), (200, 150), (200, 200), (60, 200), (60, 300), (250, 300),
              (250, 350), (0, 350)]  # fmt: skip
    line = Curve.polyline(letter, closed=True)
    station = line.station_at(100.0)
    shape: Shape = build_shape(
        size="M", outline=line, notches=(Notch(name="", station=station),),
        grain_line=GrainLine(start=(30, 20), end=(30, 330)),
        texts=(Text(text="ABC", at=(20, 40), height=10, rotation=30),),
    )  # fmt: skip
    pattern = Pattern(
        name="F", pieces=(Piece(name="F", shapes=(shape,)),), sizes=("M",), base_size="M"
    )
    back = read_hpgl(write_hpgl(pattern, margin=0).parts[0].data).pattern.pieces[0].shapes[0]
    assert back.seam_line.area == pytest.approx(shape.seam_line.area, rel=1e-4)
    assert np.allclose(back.seam_line.joints[0], shape.seam_line.joints[0], atol=0.03)
    (text,) = [t for t in back.texts if t.text == "ABC"]
    assert text.rotation == pytest.approx(30, abs=1e-3) and text.height == pytest.approx(
        10, abs=0.1
    )
    assert len(back.notches) == 1 and back.grain_line is not None
    assert back.grain_line.end[1] > back.grain_line.start[1]
