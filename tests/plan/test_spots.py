"""Places on an outline as options name them."""

from __future__ import annotations

import numpy as np
import pytest

from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve
from seamwright.model import Pattern, Piece, Shape, build_shape
from seamwright.plan.grammar import parse_part
from seamwright.plan.spots import Spot, edges_covered, find_run, parse_spot, spot_lengths


@pytest.fixture
def skirt() -> Pattern:
    """A rectangle, 200 by 300 (or 330): corners a (upper left), b, c, d anticlockwise."""

    def shape(size: str, height: float) -> Shape:
        points = np.array([[0, 0], [200, 0], [200, height], [0, height]], dtype=float)
        made = build_shape(size=size, outline=Curve.polyline(points, closed=True))
        names = dict(zip("abcd", made.corners, strict=True))
        return made.but(
            corners=tuple(type(c)(name=name, station=c.station) for name, c in names.items())
        )

    piece = Piece(name="Front panel", shapes=(shape("S", 300.0), shape("L", 330.0)))
    return Pattern(name="skirt", pieces=(piece,), sizes=("S", "L"), base_size="S")


@pytest.mark.parametrize(
    ("text", "spot"),
    [
        ("Front: hem", Spot(piece="Front", marks=("hem",))),
        ("Front: hem + 4 cm", Spot(piece="Front", marks=("hem",), shift=40.0)),
        ("Front: notch-2 - 1 in", Spot(piece="Front", marks=("notch-2",), shift=-25.4)),
        ("Front: notch-2", Spot(piece="Front", marks=("notch-2",))),
        ("Front: a > b @ 40", Spot(piece="Front", marks=("a", "b"), shift=40.0)),
        ("Front: a > b @ 50 %", Spot(piece="Front", marks=("a", "b"), share=0.5)),
        ('"A: B": "a @ b"', Spot(piece="A: B", marks=("a @ b",))),
    ],
)
def test_written_forms(text: str, spot: Spot) -> None:
    assert parse_spot(text) == spot


@pytest.mark.parametrize(
    "text", ["hem", "Front: a > b @ 120 %", "Front: a > b @ x %", "Front: a > b"]
)
def test_what_names_no_place(text: str) -> None:
    with pytest.raises(ValueError):
        parse_spot(text)


def test_lengths_in_every_size(skirt: Pattern) -> None:
    def at(text: str) -> list[float]:
        return spot_lengths(skirt, parse_spot(text)).tolist()

    assert at("Front panel: a") == [0.0, 0.0]
    assert at("Front panel: b") == [300.0, 330.0]
    assert at("front PANEL: b + 20 mm") == [320.0, 350.0]
    assert at("Front panel: a - 10 mm") == [990.0, 1050.0]
    assert at("Front panel: a > b @ 50 %") == [150.0, 165.0]
    assert at("Front panel: b > a @ 30 mm") == [270.0, 300.0]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("Frnt panel: a", "plan.piece"),
        ("Front panel: z", "plan.mark"),
        ("Front panel: a > b @ 310 mm", "spot.beyond"),
    ],
)
def test_refusals_name_what_is_near(skirt: Pattern, text: str, code: str) -> None:
    with pytest.raises(SeamwrightError) as refused:
        spot_lengths(skirt, parse_spot(text))
    assert refused.value.finding.code == code


def test_edges_within_a_run(skirt: Pattern) -> None:
    shape = skirt.piece("Front panel").shapes[1]

    def edges(text: str) -> list[int]:
        return edges_covered(shape, find_run(skirt, parse_part(text)), 1)

    assert edges("Front panel: a > b") == [0]
    assert edges("Front panel: b > a") == [0]
    assert edges("Front panel: a > b > c") == [0, 1]
    assert edges("Front panel: c > d > a > b") == [2, 3, 0]
