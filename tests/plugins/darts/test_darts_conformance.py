"""The dart steps held to what every step must hold, on generated styles with a dart each."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, SearchStrategy

from seamwright.model import Pattern, Piece, Shape
from seamwright.model.edit import with_legs_equal
from seamwright.model.marking import Dart
from seamwright.pipeline import Pipeline, Use
from seamwright.testing.steps import StepSuite
from seamwright.testing.strategies import patterns


@st.composite
def darted(draw: DrawFn) -> Pattern:
    """Styles whose pieces have a dart from the middle of their first edge to their middle."""
    width = draw(st.integers(2, 10)) / 100.0

    def one(_: Piece, shape: Shape) -> Shape:
        seam, edge = shape.seam_line, shape.edges[0]
        ends = [seam.station_at(edge.length * (0.5 + x)) for x in (-width, width)]
        dart = Dart(name="d", left=ends[0], right=ends[1], apex=(0.0, 0.0))
        new = shape.but(darts=(dart,))
        return new.but(darts=(with_legs_equal(new, dart)[0],))

    return draw(patterns(max_sizes=2, max_pieces=2)).map_shapes(one)


class DartSuite(StepSuite):
    """On styles with darts."""

    draws: ClassVar[SearchStrategy[Pattern]] = darted()


class TestMarkDarts(StepSuite):
    """On the same styles with their darts drawn as a V."""

    step = "mark-darts"
    options: ClassVar[Mapping[str, Any]] = {"shortest-leg": "5 mm"}
    draws: ClassVar[SearchStrategy[Pattern]] = darted().map(
        lambda p: Pipeline([Use("cut-darts")]).run(p)[0]
    )


class TestCheckDarts(DartSuite):
    step = "check-darts"
    options: ClassVar[Mapping[str, Any]] = {"pressed": "open"}


class TestTrueDart(DartSuite):
    step = "true-dart"
    options: ClassVar[Mapping[str, Any]] = {"pressed": "open"}


class TestMoveDart(DartSuite):
    step = "move-dart"
    options: ClassVar[Mapping[str, Any]] = {
        "dart": "Front", "to": "Front: corner-2 > corner-3 @ 55 %"
    }  # fmt: skip


class TestFoldDart(DartSuite):
    step = "fold-dart"
    options: ClassVar[Mapping[str, Any]] = {
        "dart": "Front", "open": "Front: corner-2 > corner-3 @ 45 %", "turns": "after"
    }  # fmt: skip


class TestSplitDart(DartSuite):
    step = "split-dart"
    options: ClassVar[Mapping[str, Any]] = {
        "dart": "Front", "to": "Front: corner-2 > corner-3 @ 50 %", "share": 0.3
    }  # fmt: skip


class TestShiftDartPoint(DartSuite):
    step = "shift-dart-point"
    options: ClassVar[Mapping[str, Any]] = {"dart": "Front: d", "back": "3 mm"}


class TestDartToEase(DartSuite):
    step = "dart-to-ease"
    options: ClassVar[Mapping[str, Any]] = {"dart": "Front", "reach": "5 mm"}


class TestDartToGathers(DartSuite):
    step = "dart-to-gathers"
    options: ClassVar[Mapping[str, Any]] = {"dart": "Front", "reach": "5 mm", "smooth": False}


class TestCutDarts(DartSuite):
    step = "cut-darts"
