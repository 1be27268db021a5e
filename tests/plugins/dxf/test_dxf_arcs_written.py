"""Curves written as arcs: few, near, and with every corner where it was."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from seamwright.geometry import Curve
from seamwright.model import Pattern, Piece, build_shape
from seamwright.plugins.api import Context, Source
from seamwright_dxf.options import DxfIn, DxfOut
from seamwright_dxf.read import read
from seamwright_dxf.write import write
from seamwright_dxf.writing.arcs import Arcs, arcs_of

TOLERANCE = 0.05


@st.composite
def smooth_curves(draw: st.DrawFn, count: int = 3) -> Curve:
    """Cubics in a chain without a corner, each 40 to 300 mm long, turning by up to 80 degrees."""
    place, direction = np.zeros(2), draw(st.floats(-np.pi, np.pi))
    out = []
    for _ in range(count):
        length, turn = draw(st.floats(40.0, 300.0)), draw(st.floats(-1.4, 1.4))
        chord = direction + turn / 2.0 + draw(st.floats(-0.3, 0.3))
        to = place + length * _unit(chord)
        first, last = draw(st.floats(0.2, 0.5)), draw(st.floats(0.2, 0.5))
        out.append(
            [
                place,
                place + first * length * _unit(direction),
                to - last * length * _unit(direction + turn),
                to,
            ]
        )
        place, direction = to, direction + turn
    return Curve.from_segments(np.array(out))


def _unit(angle: float) -> Any:
    return np.array([np.cos(angle), np.sin(angle)])


def on_arcs(arcs: Arcs, *, closed: bool = False, steps: int = 200) -> Any:
    """Places on the arcs, by the circle through each."""
    points = arcs.points[:, 0] + 1j * arcs.points[:, 1]
    ends = np.roll(points, -1)
    count = len(points) if closed else len(points) - 1
    out = []
    for a, b, bulge in zip(points[:count], ends[:count], arcs.bulges, strict=False):
        t = np.linspace(0.0, 1.0, steps)
        if bulge == 0.0:
            out.append(a + t * (b - a))
            continue
        angle = 4.0 * np.arctan(bulge)
        centre = (a + b) / 2.0 + 0.5j * (b - a) / np.tan(angle / 2.0)
        out.append(centre + (a - centre) * np.exp(1j * angle * t))
    z = np.concatenate(out)
    return np.stack((z.real, z.imag), axis=1)


def apart(curve: Curve, arcs: Arcs) -> float:
    """Greatest distance of either from the other."""
    places = on_arcs(arcs, closed=curve.closed)
    there = curve.nearest(places).distances.max()
    own = curve.point_at(np.linspace(0.0, curve.length * (1.0 - 1e-12), 2000))
    back = Curve.polyline(places, closed=curve.closed).nearest(own).distances.max()
    return float(max(there, back))


@settings(deadline=None, max_examples=60)
@given(smooth_curves())
def test_three_cubics_need_a_fifth_of_the_vertices_of_chords(curve: Curve) -> None:
    """Arcs grow with the cube root of what chords grow with the square root of, and on a short
    flat curve one arc more is two hundredths: from 70 chords on it holds for each."""
    chords = curve.flatten(TOLERANCE)
    assume(len(chords) >= 70)
    (arcs,) = arcs_of([curve], TOLERANCE)
    assert len(arcs.points) <= 0.2 * len(chords)
    assert apart(curve, arcs) <= TOLERANCE
    assert curve.nearest(arcs.points).distances.max() <= 1e-9
    assert np.hypot(*np.diff(arcs.points, axis=0).T).min() > 0.01


def test_the_whole_of_a_hip_curve_in_ten_vertices() -> None:
    curve = Curve.from_segments(
        [
            [(0, 0), (60, 5), (110, 35), (140, 90)],
            [(140, 90), (170, 145), (230, 170), (300, 160)],
            [(300, 160), (370, 150), (420, 100), (430, 20)],
        ]
    )
    (arcs,) = arcs_of([curve], TOLERANCE)
    chords = curve.flatten(TOLERANCE)
    own = curve.point_at(np.linspace(0.0, curve.length, 5000))
    assert Curve.polyline(chords).nearest(own).distances.max() <= TOLERANCE
    assert (len(arcs.points), len(chords)) == (10, 77)
    assert apart(curve, arcs) <= TOLERANCE


@settings(deadline=None, max_examples=60)
@given(
    st.lists(st.tuples(*(st.floats(-300.0, 300.0) for _ in range(6))), min_size=1, max_size=4),
    st.sampled_from([0.001, 0.02, 0.05, 0.5]),
)
def test_any_curve_stays_within_the_tolerance(rows: list[Any], tolerance: float) -> None:
    """Loops, cusps, kinks and handles of no length among them."""
    place, segments = (0.0, 0.0), []
    for a, b, c, d, e, f in rows:
        segments.append([place, (a, b), (c, d), (e, f)])
        place = (e, f)
    curve = Curve.from_segments(np.array(segments))
    assume(curve.length > 1.0)
    (arcs,) = arcs_of([curve], tolerance)
    own = curve.point_at(np.linspace(0.0, curve.length, 1500))
    places = on_arcs(arcs, steps=400)
    assert curve.nearest(places).distances.max() <= tolerance
    assert Curve.polyline(places).nearest(own).distances.max() <= tolerance
    corners = curve.segments[curve.corner_segments(1.0), 0]
    for corner in corners:
        assert np.abs(arcs.points - corner).sum(axis=1).min() == 0.0


def test_an_arc_stays_one_arc_and_a_circle_two() -> None:
    arc, circle = Curve.arc((0, 0), 200.0, 0.0, 170.0), Curve.circle((10, 20), 60.0)
    one, two = arcs_of([arc, circle], TOLERANCE)
    assert one.bulges == pytest.approx([np.tan(np.radians(170.0) / 4.0), 0.0], abs=1e-6)
    assert two.points == pytest.approx(np.array([[70.0, 20.0], [-50.0, 20.0]]), abs=1e-9)
    assert two.bulges == pytest.approx([1.0, 1.0], abs=1e-6)


def test_arcs_meet_without_a_visible_corner() -> None:
    curve = Curve.from_segments([[(0, 0), (90, 10), (200, 60), (220, 170)]])
    (arcs,) = arcs_of([curve], TOLERANCE)
    steps = np.diff(arcs.points[:, 0] + 1j * arcs.points[:, 1])
    half = 2.0 * np.arctan(np.array(arcs.bulges[:-1]))
    turns = np.angle(steps[1:] / steps[:-1]) - half[1:] - half[:-1]
    assert len(turns) >= 3
    assert np.degrees(np.abs(turns)).max() <= 0.5


def test_straight_lines_corners_and_wanted_joints_stay_exactly() -> None:
    outline = Curve.from_segments(
        [
            [(0, 0), (40, 60), (90, 120), (170, 125)],
            [(170, 125), (250, 130), (300, 60), (340, 0)],
            [(340, 0), (333, -130), (320, -260), (310, -400)],
            [(310, -400), (210, -400), (130, -400), (30, -400)],
            [(30, -400), (20, -260), (7, -130), (0, 0)],
        ],
        [1, 1, 0, 0, 0],
        closed=True,
    )
    plain, held = arcs_of([outline, outline], TOLERANCE, [np.array([], int), np.array([1])])
    for arcs in (plain, held):
        places = {tuple(p) for p in arcs.points.tolist()}
        assert {(0.0, 0.0), (340.0, 0.0), (310.0, -400.0), (30.0, -400.0)} <= places
        assert (arcs.points[:, 1] < 0.0).sum() == 2
        assert sum(b == 0.0 for b in arcs.bulges) == 3
    assert (170.0, 125.0) in {tuple(p) for p in held.points.tolist()}


@pytest.mark.parametrize("kind", ["cad-r12", "cad-r2010"])
def test_a_file_of_arcs_is_as_near_and_far_smaller(kind: Any) -> None:
    top = [
        [(0, 0), (60, 5), (110, 35), (140, 90)],
        [(140, 90), (170, 145), (230, 170), (300, 160)],
        [(300, 160), (370, 150), (420, 100), (430, 20)],
    ]
    sides = [[(430, 20), (430, -100), (430, -200), (430, -300)],
             [(430, -300), (290, -300), (140, -300), (0, -300)],
             [(0, -300), (0, -200), (0, -100), (0, 0)]]  # fmt: skip
    outline = Curve.from_segments([*top, *sides], [1, 1, 1, 0, 0, 0], closed=True)
    piece = Piece(name="Yoke", shapes=(build_shape(size="M", outline=outline),))
    pattern = Pattern(name="n", pieces=(piece,), sizes=("M",), base_size="M")
    vertices = {}
    for curves in ("chords", "arcs"):
        result = write(pattern, DxfOut(kind=kind, curves=curves), Context())
        data = result.parts[0].data
        vertices[curves] = data.count(b"VERTEX") or int(
            data.split(b"LWPOLYLINE")[1].split(b" 90\n")[1].split(b"\n")[0]
        )
        back = read(Source(name="x.dxf", data=data), DxfIn(), Context()).pattern
        line, wanted = back.pieces[0].shapes[0].seam_line, pattern.pieces[0].shapes[0].seam_line
        own = wanted.point_at(np.linspace(0.0, wanted.length * 0.9999, 3000))
        assert line.nearest(own).distances.max() <= TOLERANCE + 1e-4
        assert len(back.pieces[0].shapes[0].corners) == len(pattern.pieces[0].shapes[0].corners)
    assert vertices["arcs"] <= 0.2 * vertices["chords"]
