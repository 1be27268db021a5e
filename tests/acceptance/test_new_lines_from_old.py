"""Allowances and fitted curves: on the right side, closed, corners kept, or refused aloud."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

import seamwright as sw
from seamwright.geometry import Curve, fit_cubics

STEP = """
seamwright = 1
[[step]]
use = "{}"
width = "{}"
{}
[[step]]
use = "write"
to = "b.json"
"""


def drawing(path: str, label: str = "Front") -> str:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="600mm" '
        f'viewBox="0 0 600 600"><g id="Front"><path class="{label}" d="{path}"/></g></svg>'
    )


def made(seamwright: Any, step: str, width: str, more: str = "") -> tuple[Any, Any]:
    """The shape after a step, and what the run said."""
    seamwright.put("p.toml", STEP.format(step, width, more))
    told = seamwright("run", "p.toml", "a.svg", "--out", ".", "--json", "--overwrite")
    written = seamwright.folder / "b.json"
    if not written.exists():
        return None, told
    return sw.read(written).pieces[0].shapes[0], told


SQUARES = ["M100,100 h100 v100 h-100 z", "M100,100 v100 h100 v-100 z"]


@pytest.mark.filterwarnings("ignore::seamwright.SeamwrightWarning")
class TestAllowances:
    @pytest.mark.parametrize("path", SQUARES, ids=["clockwise", "anticlockwise"])
    def test_outwards_whichever_way_it_was_drawn(self, seamwright: Any, path: str) -> None:
        seamwright.put("a.svg", drawing(path))
        shape, _ = made(seamwright, "add-allowance", "10 mm")
        assert shape.cut_line.closed and shape.cut_line.n == 4
        assert shape.cut_line.area == pytest.approx(14400.0, abs=1e-6)
        assert shape.cut_line.length == pytest.approx(480.0, abs=1e-6)

    @pytest.mark.parametrize("path", SQUARES, ids=["clockwise", "anticlockwise"])
    def test_inwards_whichever_way_it_was_drawn(self, seamwright: Any, path: str) -> None:
        seamwright.put("a.svg", drawing(path, "cut line"))
        shape, _ = made(seamwright, "seam-line", "10 mm")
        assert shape.seam_line.closed and shape.seam_line.n == 4
        assert shape.seam_line.area == pytest.approx(6400.0, abs=1e-6)

    def test_a_sharp_tip_is_blunted_and_said(self, seamwright: Any) -> None:
        """A tip of 2.9 degrees would run out 400 mm; the limit is twice the width."""
        seamwright.put("a.svg", drawing("M100,100 l200,-5 v10 z"))
        shape, told = made(seamwright, "add-allowance", "10 mm", "limit = 2")
        tip = np.array([100.0, -100.0])
        box = shape.cut_line.bbox
        assert tip[0] - box[0] <= 20.0 + 1e-6
        codes = [f["code"] for r in told.json["runs"] for s in r["steps"] for f in s["findings"]]
        assert "allowance.blunted" in codes

    def test_too_wide_is_refused_with_the_piece_and_changes_nothing(self, seamwright: Any) -> None:
        seamwright.put("a.svg", drawing(SQUARES[0], "cut line"))
        shape, told = made(seamwright, "seam-line", "60 mm")
        findings = [f for r in told.json["runs"] for s in r["steps"] for f in s["findings"]]
        (refusal,) = [f for f in findings if f["code"] == "allowance.too-wide"]
        assert refusal["severity"] == "error" and refusal["piece"] == "Front"
        assert told.status != 0
        if shape is not None:
            assert shape.seam_line.area == pytest.approx(10000.0)


@pytest.mark.filterwarnings("ignore::seamwright.SeamwrightWarning")
@pytest.mark.parametrize("count", [50, 150, 400])
@pytest.mark.parametrize("step", ["add-allowance", "seam-line"])
def test_a_shaky_outline_gives_no_spikes(seamwright: Any, count: int, step: str) -> None:
    """Half a circle digitised by an unsteady hand (0.02 mm): closed, and no place of the new line
    nearer or farther than the width by more than 0.1 mm, the two corners' mitres apart."""
    chance = np.random.default_rng(3)
    angle = np.linspace(0.0, math.pi, count)
    ring = 100.0 * np.stack((np.cos(angle), -np.sin(angle)), axis=1) + 200.0
    ring[1:-1] += chance.normal(0.0, 0.02, (count - 2, 2))
    path = "M" + " ".join(f"{x:.6f},{y:.6f}" for x, y in ring) + "z"
    seamwright.put("a.svg", drawing(path, "seam" if step == "add-allowance" else "cut line"))
    shape, _ = made(seamwright, step, "10 mm")
    given = Curve.polyline(ring * [1.0, -1.0], closed=True)
    new = shape.cut_line if step == "add-allowance" else shape.seam_line
    assert new.closed and len(new.self_intersections().own) == 0
    assert (new.area > given.area) == (step == "add-allowance")
    places = new.point_at(np.linspace(0.0, new.length, 4000, endpoint=False))
    away = given.nearest(places).distances
    assert away.min() >= 10.0 - 0.1
    by_corner = np.abs(np.abs(places[:, 0] - 200.0) - 100.0) <= 12.0
    assert away[~by_corner].max() <= 10.0 + 0.1
    assert away.max() <= 14.6  # the mitre of a corner that the chords make 87 to 90 degrees


def test_a_digitised_rectangle_with_two_round_corners_comes_back() -> None:
    """Sampled every half millimetre: corners exact, within tolerance both ways, length kept."""
    radius, wide, high = 20.0, 120.0, 80.0
    quarter = np.linspace(0.0, math.pi / 2, round(math.pi / 2 * radius / 0.5) + 1)
    right = np.stack(
        (wide - radius + radius * np.cos(quarter), high - radius + radius * np.sin(quarter)), 1
    )
    left = np.stack(
        (radius - radius * np.sin(quarter), high - radius + radius * np.cos(quarter)), 1
    )

    def straight(a: tuple[float, float], b: tuple[float, float]) -> Any:
        n = round(math.dist(a, b) / 0.5)
        return np.linspace(a, b, n, endpoint=False)

    points = np.concatenate(
        (
            straight((0, 0), (wide, 0)), straight((wide, 0), (wide, high - radius)), right,
            straight((wide - radius, high), (radius, high)), left,
            straight((0, high - radius), (0, 0)),
        )
    )  # fmt: skip
    doubled = np.repeat(points, np.where(np.arange(len(points)) % 7 == 0, 2, 1), axis=0)
    true_length = wide + 2 * (high - radius) + (wide - 2 * radius) + math.pi * radius
    for sampled in (points, doubled):
        fit = fit_cubics(sampled, 0.05, closed=True)
        assert fit.n <= 12
        corners = fit.joints[fit.corner_segments()]
        assert sorted(map(tuple, corners.tolist())) == [(0.0, 0.0), (120.0, 0.0)]
        assert abs(fit.length / true_length - 1.0) <= 2e-4
        polygon = Curve.polyline(points, closed=True)
        places = fit.point_at(np.linspace(0, fit.length, 3000, endpoint=False))
        assert fit.nearest(points).distances.max() <= 0.05 * 1.001
        assert polygon.nearest(places).distances.max() <= 0.05 * 1.001
