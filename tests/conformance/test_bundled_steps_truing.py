"""Truing across seams and notch and smoothing steps run the kit that strangers run."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from seamwright.geometry import Curve
from seamwright.model import Pattern, Piece, Run, RunPart, Seam, build_shape
from seamwright.model.edit import make_cut_line
from seamwright.testing import StepSuite
from seamwright.testing.strategies import patterns


def _panel(size: str, hem: float) -> object:
    points = np.array(
        [[0, 0], [0, 250 / np.tan(np.radians(hem)) - 400], [250, -400], [250, 0]],
        dtype=np.float64,
    )
    outline = Curve.polyline(points, closed=True)
    steps = [0.0, *np.cumsum(np.hypot(*np.diff(points, axis=0).T)).tolist()]
    return build_shape(
        size=size,
        outline=outline,
        corner_names=["centre-top", "centre-hem", "hem", "top"],
        corners=[outline.station_at(s) for s in steps],
    )


def _skirt(angles: list[tuple[float, float]]) -> Pattern:
    sizes = tuple(f"s{i}" for i in range(len(angles)))
    pieces = tuple(
        Piece(name=name, shapes=tuple(_panel(s, a[k]) for s, a in zip(sizes, angles, strict=True)))  # type: ignore[misc]
        for k, name in enumerate(("Front", "Back"))
    )
    runs = [Run(parts=(RunPart(piece=p.name, marks=("top", "hem")),)) for p in pieces]
    return Pattern(
        name="skirt",
        pieces=pieces,
        sizes=sizes,
        base_size=sizes[0],
        seams=(Seam(name="side", sew=runs[0], to=runs[1]),),
    )


skirts = st.lists(st.tuples(st.floats(75, 105), st.floats(75, 105)), min_size=1, max_size=2).map(
    _skirt
)


class TestCheckTrue(StepSuite):
    step = "check-true"
    draws = skirts


class TestTrueSeams(StepSuite):
    step = "true-seams"
    draws = skirts


class TestRefitRun(StepSuite):
    step = "refit-run"
    options = {"tolerance": "0.5 mm"}
    tolerance = 0.5


class TestPolylineToCurves(StepSuite):
    step = "polyline-to-curves"
    draws = patterns(max_sizes=2).map(
        lambda p: p.map_shapes(lambda _, s: make_cut_line(s, 8.0).shape)
    )


class TestCheckSmooth(StepSuite):
    step = "check-smooth"


class TestPlaceNotch(StepSuite):
    step = "place-notch"
    options = {"at": ["Front: top > hem @ 50 %"], "double": ["Back: top > hem @ 25 %"]}
    draws = skirts


class TestMatchNotches(StepSuite):
    step = "match-notches"
    draws = patterns(max_sizes=2)


class TestRemoveNotches(StepSuite):
    step = "remove-notches"
    options = {"notch": ["Front"]}


class TestRenameNotches(StepSuite):
    step = "rename-notches"
    options = {"number": ["*"], "keep_names": False}
