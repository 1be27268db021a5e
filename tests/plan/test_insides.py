"""Places inside a piece, as options name them."""

from __future__ import annotations

import numpy as np
import pytest

from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve, Station
from seamwright.model import Pattern, Piece, Shape, build_shape
from seamwright.model.marking import Dart, DrillHole
from seamwright.plan.insides import Inside, inside_points, parse_inside


def shape(size: str, k: float, holes: bool = True) -> Shape:
    points = k * np.array([[0, 0], [200, 0], [200, 300], [0, 300]], float)
    return build_shape(
        size=size,
        outline=Curve.polyline(points, closed=True),
        corner_names=["hem-centre", "hem-side", "top-side", "top (centre)"],
        drill_holes=(DrillHole(at=(80 * k, 150 * k), name="bust"),) if holes else (),
        darts=[Dart(name="d", left=Station(0, 0.3), right=Station(0, 0.4), apex=(70 * k, 90 * k))],
    )


def style() -> Pattern:
    piece = Piece(name="Front", shapes=(shape("S", 1.0), shape("M", 1.1), shape("L", 1.2, False)))
    return Pattern(name="p", pieces=(piece,), sizes=("S", "M", "L"), base_size="M")


@pytest.mark.parametrize(
    ("text", "points"),
    [
        ("Front: bust", [(80, 150), (88, 165), (np.nan, np.nan)]),
        ("front: d", [(70, 90), (77, 99), (84, 108)]),
        ("Front: hem-side (-20 mm, 5 cm)", [(180, 50), (200, 50), (220, 50)]),
        ('Front: "top (centre)" (1 in, -10 mm)', [(25.4, 290), (25.4, 320), (25.4, 350)]),
        ("Front: (120 mm, 34 cm)", [(120, 340)] * 3),
    ],
)
def test_places(text: str, points: list[tuple[float, float]]) -> None:
    found = inside_points(style(), parse_inside(text))
    assert found == pytest.approx(np.array(points, float), nan_ok=True, abs=1e-9)


def test_units_by_default() -> None:
    assert parse_inside("A: b (1, -2)", default="in") == Inside(
        piece="A", name="b", offset=(25.4, -50.8)
    )


@pytest.mark.parametrize("text", ["bust", "(1 mm, 2 mm)", "Front: neck (1 ell, 2 mm)"])
def test_what_cannot_be_read(text: str) -> None:
    with pytest.raises(ValueError, match=r"\w"):
        parse_inside(text)


def test_what_is_not_there_is_named() -> None:
    with pytest.raises(SeamwrightError) as told:
        inside_points(style(), parse_inside("Front: busst"))
    assert told.value.finding.code == "plan.inside" and "bust" in (told.value.finding.hint or "")
    with pytest.raises(SeamwrightError, match="Fron"):
        inside_points(style(), parse_inside("Fron: bust"))
