"""The alterations of sleeve, bodice and length run the kit that strangers run."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from seamwright.geometry import Curve, Station
from seamwright.model import GrainLine, Pattern, Piece, Run, RunPart, Seam, Shape, build_shape
from seamwright.model.edit import transform
from seamwright.testing import StepSuite
from seamwright.testing.strategies import patterns, sleeves


def _half(size: str, width: float) -> Shape:
    points = np.array([
        [0, 180], [0, -350], [width + 20, -350], [width, 0], [0.8 * width, 40],
        [0.78 * width, 170], [80, 200],
    ], dtype=np.float64)  # fmt: skip
    corners = [0, 1, 2, 3, 5, 6]
    return build_shape(
        size=size,
        outline=Curve.polyline(points, closed=True),
        corners=[Station(i, 0.0) for i in corners],
        corner_names=["nape", "hem-centre", "hem-side", "underarm", "shoulder", "neck"],
        grain_line=GrainLine(start=(40.0, -300.0), end=(40.0, 0.0)),
    )


def _dress(sleeve: Shape, width: float) -> Pattern:
    runs = {
        name: Run(parts=(RunPart(piece=name, marks=("underarm", "shoulder")),))
        for name in ("Back", "Front")
    }
    sides = [Run(parts=(RunPart(piece=n, marks=("underarm", "hem-side")),)) for n in runs]
    # Every size a little larger, so that sizes differ.
    sizes = ("S", "M")
    grown = [transform(sleeve, [[k, 0, 0], [0, k, 0]]) for k in (1.0, 1.03)]
    return Pattern(
        name="dress",
        pieces=(
            *(
                Piece(
                    name=name,
                    shapes=tuple(_half(s, width + 8 * i) for i, s in enumerate(sizes)),
                )
                for name in runs
            ),
            Piece(
                name="Sleeve",
                shapes=tuple(g.but(size=s) for g, s in zip(grown, sizes, strict=True)),
            ),
        ),
        sizes=sizes,
        base_size="M",
        seams=(
            *(
                Seam(
                    name=f"cap {side}",
                    sew=Run(
                        parts=(RunPart(piece="Sleeve", marks=(f"underarm-{side}", "shoulder")),)
                    ),
                    to=run,
                    cap="back" if side == "back" else "front",
                )
                for side, run in zip(("back", "front"), runs.values(), strict=True)
            ),
            Seam(name="side", sew=sides[0], to=sides[1]),
        ),
    )


dresses = st.builds(_dress, sleeves().map(lambda s: s[0]), st.floats(200.0, 260.0))


class TestAlterBicep(StepSuite):
    step = "alter-bicep"
    options = {"amount": "12 mm"}
    draws = dresses


class TestAlterBicepCapLength(StepSuite):
    step = "alter-bicep"
    options = {"amount": "8 mm", "keep": "cap length", "wrist": "widened"}
    draws = dresses


class TestAlterCapHeight(StepSuite):
    step = "alter-cap-height"
    options = {"amount": "-8 mm"}
    draws = dresses


class TestAlterArmhole(StepSuite):
    step = "alter-armhole"
    options = {"amount": "12 mm"}
    draws = dresses


class TestAlterShoulderSlope(StepSuite):
    step = "alter-shoulder-slope"
    options = {"amount": "8 mm"}
    draws = dresses


class TestAlterBack(StepSuite):
    step = "alter-back"
    options = {"amount": "8 mm"}
    draws = dresses


class TestMoveSeam(StepSuite):
    step = "move-seam"
    options = {"seam": "side", "width": "12 mm", "end_width": "5 mm"}
    draws = dresses


class TestLengthen(StepSuite):
    step = "lengthen"
    options = {
        "at": ["Front: underarm > hem-side @ 40 %", "Back: underarm > hem-side @ 40 %"],
        "amount": "25 mm",
        "edges": "near the line",
    }
    draws = dresses


class TestLengthenAnything(StepSuite):
    step = "lengthen"
    options = {"at": ["Front: corner-1 > corner-2 @ 50 %"], "amount": "10 mm"}
    draws = patterns(max_sizes=2)
