"""The steps on whole pieces run the kit that strangers run."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from seamwright.geometry import Curve, Station, line_segments
from seamwright.model import (
    GrainLine,
    InternalKind,
    InternalLine,
    Notch,
    Pattern,
    Piece,
    Run,
    RunPart,
    Seam,
    Shape,
    build_shape,
)
from seamwright.model.edit import make_cut_line, transform
from seamwright.pipeline import Pipeline, Use
from seamwright.testing import StepSuite
from seamwright.testing.strategies import patterns

NAMES = ["neck-centre", "hem-centre", "hem-side", "underarm", "neck"]


def _half(size: str, grow: float, bow: float) -> Shape:
    p = np.array([[0, 300], [0, 0], [150 + grow, 0], [140 + grow, 220], [60, 340]], dtype=float)
    segments = line_segments(p, np.roll(p, -1, axis=0)).copy()
    segments[2, 1:3] += [bow, 0.0]
    segments[4, 1:3] = [[50.0, 305.0], [25.0, 300.0]]
    kinds = np.array([0, 0, 1, 0, 1], dtype=np.uint8)
    fold = InternalLine(kind=InternalKind.FOLD, curve=Curve.line((0, 300), (0, 0)), name="fold")
    return build_shape(
        size=size,
        outline=Curve.from_segments(segments, kinds, closed=True),
        corners=[Station(i, 0.0) for i in range(5)],
        corner_names=NAMES,
        notches=[Notch(name="hip", station=Station(2, 0.3), angle=12.0)],
        grain_line=GrainLine(start=(40.0, 50.0), end=(40.0, 200.0)),
        internal_lines=(fold,),
        mirrored_half=True,
    )


@st.composite
def halves(draw: DrawFn) -> Pattern:
    """Two half pieces in two sizes that are sewn together at the side."""
    bow = draw(st.floats(-20.0, 20.0))
    step = draw(st.floats(2.0, 20.0))
    shapes = tuple(_half(size, step * k, bow) for k, size in enumerate(("S", "M")))
    if draw(st.booleans()):
        shapes = tuple(make_cut_line(s, [0.0, 20.0, 10.0, 10.0, 6.0]).shape for s in shapes)
    back = tuple(transform(s, [[1.0, 0.0, 400.0], [0.0, 1.0, 0.0]]) for s in shapes)
    run = [
        Run(parts=(RunPart(piece=name, marks=("underarm", "hem-side")),))
        for name in ("Front", "Back")
    ]
    return Pattern(
        name="top",
        pieces=(Piece(name="Front", shapes=shapes), Piece(name="Back", shapes=back)),
        sizes=("S", "M"),
        base_size="S",
        seams=(Seam(name="side", sew=run[0], to=run[1], meet=(("hip", "hip"),)),),
    )


def _whole(pattern: Pattern) -> Pattern:
    return Pipeline([Use("make-whole")]).run(pattern)[0]


def _split(pattern: Pattern) -> Pattern:
    step = Use("split-piece", start="Front: underarm", end="Front: hem-centre + 40 mm")
    return Pipeline([step]).run(pattern)[0]


class TestSplitPiece(StepSuite):
    step = "split-piece"
    options = {
        "start": "Front: underarm > hem-side @ 40 %",
        "end": "Front: neck-centre > hem-centre @ 45 %",
        "names": {"Yoke": "neck", "Lower": "hem-side"},
    }
    draws = halves()


class TestJoinPieces(StepSuite):
    step = "join-pieces"
    options = {
        "edge": "Front 1: split-end > underarm",
        "to": "Front 2: split-end > underarm",
    }
    draws = halves().map(_split)


class TestMakeWhole(StepSuite):
    step = "make-whole"
    draws = halves()


class TestFoldInHalf(StepSuite):
    step = "fold-in-half"
    draws = halves().map(_whole)


class TestMirrorPiece(StepSuite):
    step = "mirror-piece"
    options = {"axis": "grain"}
    draws = halves()


class TestTurnToGrain(StepSuite):
    step = "turn-to-grain"
    options = {"angle": 20}
    rigid = False  # it goes by a direction of the drawing


class TestScalePiece(StepSuite):
    step = "scale-piece"
    options = {"along": 0.5, "across": 0.5}
    draws = patterns(max_sizes=2)


class TestShrinkage(StepSuite):
    step = "shrinkage"
    options = {"along": 5, "across": 3}
    draws = halves()


class TestDrawFacing(StepSuite):
    step = "draw-facing"
    options = {"edge": "Front: neck-centre > neck", "depth": "5 cm"}
    draws = halves()


class TestDrawHem(StepSuite):
    step = "draw-hem"
    options = {"edge": "Front: hem-centre > hem-side", "depth": "3 cm", "width": "1 cm"}
    draws = halves()
