"""check-smooth finds what was put in and nothing else; combs are as long as the line is bent."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from seamwright.geometry import Curve, FloatArray, fit_cubics
from seamwright.model import Dart, Pattern, Piece, Shape, build_shape
from seamwright.pipeline import Pipeline, Use
from seamwright.plugins.api import StepRecord


def _closed(edge: Curve, size: str = "M") -> Shape:
    """A piece whose upper edge is that line, from its start on the right to its end on the left."""
    down = Curve.polyline(np.array([edge.end, [-200, -300], [200, -300], edge.start], dtype=float))
    outline = edge.joined(down).closed_up(1e-9)
    names = ["right", "left", "low-left", "low-right"]
    at = [0.0, edge.length, *(edge.length + down.cumulative[1:3])]
    return build_shape(
        size=size,
        outline=outline,
        corners=[outline.station_at(float(s)) for s in at],
        corner_names=names,
    )


def _check(*found: Shape, **options: Any) -> StepRecord:
    sizes = tuple(s.size for s in found)
    pattern = Pattern(
        name="p", pieces=(Piece(name="Front", shapes=found),), sizes=sizes, base_size=sizes[0]
    )
    same, record = Pipeline([Use("check-smooth", **options)]).run(pattern)
    assert same is pattern
    return record.steps[0]


def _through(points: FloatArray, tolerance: float = 0.02) -> Curve:
    return fit_cubics(points, tolerance)


def _bell(wave: float) -> FloatArray:
    """A calm bell with a small ripple of that height in mm in its middle."""
    x = np.linspace(200.0, -200.0, 401)
    y = 120.0 * np.exp(-((x / 90.0) ** 2))
    ripple = wave * np.sin(2 * np.pi * x / 40.0) * np.exp(-((x / 50.0) ** 4))
    return np.column_stack((x, y + ripple))


def test_a_calm_line_is_calm() -> None:
    step = _check(_closed(_through(_bell(0.0))))
    assert step.findings == ()
    rows = {row["run"]: row for row in step.figures["runs"]}
    assert rows["Front: right > left"]["inflections"] == 2
    assert rows["Front: left > low-left"]["inflections"] == 0
    assert step.looked_at == 4


def test_a_bump_is_found_where_it_is() -> None:
    shapes = [_closed(_through(_bell(0.0)), "S"), _closed(_through(_bell(2.0)), "L")]
    step = _check(*shapes)
    codes = {f.code: f for f in step.findings}
    assert set(codes) <= {"smooth.wave", "smooth.inflections", "smooth.jump"}
    wave = codes["smooth.wave"]
    assert "in 1 of 2 sizes, most in L" in wave.message
    assert wave.x is not None and abs(wave.x) < 80
    assert codes["smooth.inflections"].measured is not None
    assert codes["smooth.inflections"].measured > 2


def test_the_peak_of_a_dart_shaped_mouth_is_no_kink() -> None:
    side = Curve.from_segments([[[200.0, 0.0], [140.0, 8.0], [80.0, 8.0], [20.0, 0.0]]])
    mouth = Curve.polyline(np.array([[20, 0], [0, 6], [-20, 0], [-200, 0]], dtype=np.float64))
    shape = _closed(side.joined(mouth))
    near = shape.seam_line.nearest(np.array([[20.0, 0.0], [-20.0, 0.0]])).lengths
    left, right = (shape.seam_line.station_at(float(s)) for s in near)
    dart = Dart(name="dart", left=left, right=right, apex=(0.0, -120.0))
    assert [f.code for f in _check(shape).findings if f.code == "smooth.kink"]
    step = _check(shape.but(darts=(dart,)))
    assert step.findings == ()
    runs = {row["run"] for row in step.figures["runs"]}
    assert {"Front: right > dart", "Front: dart > left"} <= runs


def test_a_kink_and_a_jump() -> None:
    arc = Curve.arc((0.0, 0.0), 20.0, 0.0, 90.0)
    straight = Curve.line(arc.end, (-200.0, 20.0))
    step = _check(_closed(arc.joined(straight)))
    assert [f.code for f in step.findings] == ["smooth.jump"]
    assert step.findings[0].measured == pytest.approx(1 / 20.0, rel=0.01)
    bent = Curve.line(arc.end, (-200.0, 20.0 - 200.0 * np.tan(np.radians(6.0))))
    step = _check(_closed(arc.joined(bent)))
    assert [f.code for f in step.findings] == ["smooth.kink"]
    assert step.findings[0].measured == pytest.approx(6.0, abs=0.01)
    assert (step.findings[0].x, step.findings[0].y) == pytest.approx((0.0, 20.0), abs=1e-6)
    assert _check(_closed(arc.joined(bent)), kink=7.0, jump=0.06).findings == ()


def test_teeth_of_a_circle_are_all_as_long_and_point_outwards() -> None:
    circle = Curve.circle((10.0, -5.0), 60.0)
    shape = build_shape(size="M", outline=circle, corners=[])
    (row,) = _check(shape).figures["combs"]
    assert (row["piece"], row["size"]) == ("Front", "M")
    hull, *teeth = row["lines"]
    assert len(teeth) > 40
    ends = np.array(teeth) - [10.0, -5.0]
    assert np.hypot(*ends[:, 0].T) == pytest.approx(60.0, abs=0.05)
    assert np.hypot(*ends[:, 1].T) == pytest.approx(80.0, abs=0.2)
    assert np.array_equal(np.array(hull), np.array(teeth)[:, 1])


def test_a_polyline_is_told_and_not_judged() -> None:
    points = _bell(0.0)[::8]
    step = _check(_closed(Curve.polyline(points)))
    assert [f.code for f in step.findings] == ["smooth.polyline"]
    assert step.looked_at == 3


def test_no_comb_where_none_is_wanted() -> None:
    assert "combs" not in _check(_closed(_through(_bell(0.0))), combs=False).figures
