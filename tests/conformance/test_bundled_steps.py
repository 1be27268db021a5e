"""Bundled steps run the kit that strangers run."""

from __future__ import annotations

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from seamwright.model import Pattern, Piece, Run, RunPart, Seam
from seamwright.model.edit import make_cut_line, transform
from seamwright.testing import StepSuite
from seamwright.testing.strategies import patterns, sleeves


@st.composite
def bodice_and_sleeve(draw: DrawFn) -> Pattern:
    """A sleeve and an armhole shorter than its cap, in one size: something to ease."""
    sleeve, _ = draw(sleeves())
    armhole = transform(sleeve, [[0.93, 0.0, 600.0], [0.0, 0.93, 0.0]])
    return Pattern(
        name="sleeve",
        pieces=(
            Piece(name="Sleeve", shapes=(sleeve,)),
            Piece(name="Body", shapes=(armhole,)),
        ),
        sizes=("M",),
        base_size="M",
        seams=tuple(
            Seam(
                name=f"cap {side}",
                sew=Run(parts=(RunPart(piece="Sleeve", marks=(f"underarm-{side}", "shoulder")),)),
                to=Run(parts=(RunPart(piece="Body", marks=(f"underarm-{side}", "shoulder")),)),
                cap="back" if side == "back" else "front",
            )
            for side in ("back", "front")
        ),
    )


class TestWalk(StepSuite):
    step = "walk"


class TestAddAllowance(StepSuite):
    step = "add-allowance"
    options = {"width": "1 cm", "limit": 3}


class TestSeamLine(StepSuite):
    step = "seam-line"
    options = {"width": "6 mm"}


class TestCheckAllowance(StepSuite):
    step = "check-allowance"
    draws = patterns(max_sizes=2).map(
        lambda p: p.map_shapes(lambda _, s: make_cut_line(s, 8.0).shape)
    )


class TestCarryNotches(StepSuite):
    step = "carry-notches"
    draws = patterns(max_sizes=2).map(
        lambda p: p.map_shapes(lambda _, s: make_cut_line(s, 8.0).shape)
    )


class TestEaseCap(StepSuite):
    step = "ease-cap"
    options = {"target": {"back": "4 mm", "front": "4 mm"}, "mesh": "8 mm"}
    draws = bodice_and_sleeve()
    # Where the mesh lies on the paper depends on how the piece lies; its edge by far less than
    # a pencil line. Lengths are held exactly whatever the mesh, and tested by themselves.
    tolerance = 0.25


class TestTrueJog(StepSuite):
    step = "true-jog"
    draws = bodice_and_sleeve()
