"""The nest held against itself."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import seamwright_grading
from seamwright.geometry import Curve, Station
from seamwright.model import (
    Notch,
    Pattern,
    Piece,
    Run,
    RunPart,
    Seam,
    Shape,
    build_shape,
)
from seamwright.plugins.api import Context, StepResult
from seamwright_grading.against import against
from seamwright_grading.nest import run
from seamwright_grading.options import CheckGrade, CheckNest, DeriveRules
from seamwright_grading.sequence import stands_out

SIZES = ("XS", "S", "M", "L", "XL", "XXL")


def box(size: str, width: float, height: float, notch: float | None = None) -> Shape:
    corners = np.array([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]])
    notches = [] if notch is None else [Notch(name="n", station=Station(1, notch / height))]
    return build_shape(size=size, outline=Curve.polyline(corners, closed=True), notches=notches)


def nest(
    heights: dict[str, list[float]],
    notches: list[float] | None = None,
    widths: list[float] | None = None,
) -> Pattern:
    pieces = tuple(
        Piece(
            name=name,
            shapes=tuple(
                box(s, 100.0 if widths is None else widths[z], row[z],
                    None if notches is None else notches[z])
                for z, s in enumerate(SIZES)
            ),
        )
        for name, row in heights.items()
    )  # fmt: skip
    return Pattern(name="n", pieces=pieces, sizes=SIZES, base_size="M")


def checked(pattern: Pattern, **options: Any) -> StepResult:
    return run(pattern, CheckNest(**options), Context())


def said(result: StepResult, code: str) -> list[tuple[str | None, str | None]]:
    return [(f.piece or f.seam, f.size) for f in result.findings if f.code == code]


EVEN = [500.0 + 6.0 * k for k in range(6)]


def test_an_even_nest_is_clean_and_was_looked_at() -> None:
    result = checked(nest({"A": EVEN, "B": EVEN}, [200.0 + 2.0 * k for k in range(6)]))
    assert not result.findings
    assert result.looked_at > 0 and not result.skipped


def test_a_larger_step_from_some_size_on_is_no_break() -> None:
    rows = [500.0, 506.0, 512.0, 518.0, 530.0, 542.0]
    assert not checked(nest({"A": rows})).findings


@pytest.mark.parametrize("z", [1, 2, 3, 4])
@pytest.mark.parametrize("off", [4.0, -4.0, 12.0, -12.0])
def test_a_size_that_breaks_the_sequence_is_named(z: int, off: float) -> None:
    rows = list(EVEN)
    rows[z] += off
    result = checked(nest({"A": rows}))
    assert said(result, "nest.sequence") == [("A", SIZES[z])]


def test_one_size_only_says_that_nothing_was_looked_at() -> None:
    pattern = nest({"A": EVEN})
    single = pattern.but(
        pieces=tuple(p.but(shapes=p.shapes[2:3]) for p in pattern.pieces), sizes=("M",)
    )
    result = checked(single)
    assert result.skipped and not result.looked_at and result.pattern is single


def with_seam(pattern: Pattern) -> Pattern:
    def side(name: str) -> Run:
        shape = pattern.piece(name).in_size("M")
        names = {
            tuple(np.round(shape.seam_line.point_of(c.station)).tolist()): c.name
            for c in shape.corners
        }
        low, high = (
            names[(100.0, 0.0)],
            next(n for p, n in names.items() if p[0] == 100.0 and p[1] > 0),
        )
        return Run(parts=(RunPart(piece=name, marks=(low, high)),))

    return pattern.but(seams=(Seam(name="side", sew=side("A"), to=side("B")),))


def test_ease_that_drifts_from_size_to_size() -> None:
    drifting = [500.0 + 7.2 * k for k in range(6)]
    result = checked(with_seam(nest({"A": drifting, "B": EVEN})))
    assert said(result, "nest.ease-drift") == [("side", None)]
    assert not said(result, "nest.ease-step")  # 1.2 mm a size is less than a step of 1.5
    (finding,) = [f for f in result.findings if f.code == "nest.ease-drift"]
    assert finding.measured == pytest.approx(6.0)


def test_ease_that_jumps_at_one_size() -> None:
    rows = list(EVEN)
    rows[4] += 2.0
    rows[5] += 2.0
    result = checked(with_seam(nest({"A": rows, "B": EVEN})))
    assert said(result, "nest.ease-step") == [("side", "XL")]
    assert not said(result, "nest.ease-drift")


@pytest.mark.parametrize("z", [1, 3, 4])
def test_a_notch_that_wanders(z: int) -> None:
    notches = [200.0 + 2.0 * k for k in range(6)]
    notches[z] += 5.0
    result = checked(nest({"A": EVEN}, notches))
    assert said(result, "nest.wander") == [("A", SIZES[z])]
    (finding,) = [f for f in result.findings if f.code == "nest.wander"]
    assert finding.measured == pytest.approx(5.0)


@pytest.mark.parametrize(
    "notches",
    [
        [200.0] * 6,  # the same way from the start
        [h - 120.0 for h in EVEN],  # the same way from the end
        [0.4 * h for h in EVEN],  # the same share
    ],
)
def test_a_notch_may_keep_its_way_from_either_end_or_its_share(notches: list[float]) -> None:
    assert not checked(nest({"A": EVEN}, notches)).findings


def test_a_point_that_moves_against_its_neighbours() -> None:
    t = np.linspace(0.0, 1.0, 7)
    shapes = []
    for z, size in enumerate(SIZES):
        arch = np.stack((200.0 + 3.0 * z - 40.0 * np.sin(np.pi * t), 60.0 + 40.0 * np.arange(7)), 1)
        arch[3, 0] -= 6.0 * z  # a sign in its rule is wrong
        points = np.vstack(([[0.0, 0.0], [200.0 + 3.0 * z, 0.0]], arch, [[0.0, 300.0]]))
        outline = Curve.polyline(points, closed=True)
        shapes.append(
            build_shape(size=size, outline=outline, corners=[Station(i, 0.0) for i in range(10)])
        )
    pattern = Pattern(
        name="n", pieces=(Piece(name="A", shapes=tuple(shapes)),), sizes=SIZES, base_size="M"
    )
    found = [f for f in checked(pattern).findings if f.code == "nest.against"]
    assert [f.size for f in found] == list(SIZES[1:])
    assert all(f.y == pytest.approx(180.0) for f in found)


def test_growth_about_the_middle_is_nothing_against() -> None:
    t = np.linspace(0, 2 * np.pi, 3, endpoint=False)
    triangle = 5.0 * np.stack((np.cos(t), np.sin(t)), 1)
    assert against(triangle, 1.0).size == 0
    square = np.array([[-3.0, -3.0], [3.0, -3.0], [3.0, 3.0], [-3.0, 3.0]])
    assert against(square, 1.0).size == 0
    laid_apart = square + np.array([400.0, 0.0])
    assert against(laid_apart, 1.0).size == 0


def test_a_size_with_other_marks_is_named() -> None:
    pattern = nest({"A": EVEN}, [200.0] * 6)
    piece = pattern.pieces[0]
    shapes = tuple(s.but(notches=()) if s.size == "L" else s for s in piece.shapes)
    result = checked(pattern.with_pieces([piece.but(shapes=shapes)]))
    assert said(result, "nest.topology") == [("A", "L")]


def test_standing_out_needs_three_sizes_and_names_the_middle_of_three() -> None:
    assert stands_out(np.array([[500.0, 520.0, 510.0]]), 1.5).tolist() == [[0.0, 15.0, 0.0]]
    assert not stands_out(np.array([[500.0, 506.0, 512.0]]), 1.5).any()


def test_the_defaults_stand_in_the_data_file_each_with_its_source() -> None:
    path = Path(seamwright_grading.__file__).parent / "data" / "tolerances.toml"
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    assert all(table["source"] for table in data.values())
    assert CheckNest().ease_step == data["ease-step"]["tolerance"]
    assert CheckNest().ease_drift == data["ease-drift"]["tolerance"]
    assert CheckNest().sequence == data["sequence"]["tolerance"]
    assert CheckNest().against == data["against"]["tolerance"]
    assert CheckNest().wander == data["wander"]["tolerance"]
    assert CheckGrade().tolerance == data["off-rule"]["tolerance"]
    assert CheckGrade().between == data["off-between"]["tolerance"]
    assert DeriveRules().tolerance == data["rules"]["same"]
