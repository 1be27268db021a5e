"""The findings of the smoothing steps."""

from __future__ import annotations

from typing import Final

from seamwright.plugins.api import Code, Severity

REFITTED: Final = Code(
    code="smooth.refitted",
    severity=Severity.NOTE,
    title="A line drawn anew with fewer curves",
    why="Fewer curves have fewer places where a bump can hide.",
    remedy="Look at the curvature comb in the report.",
)
NOTHING: Final = Code(
    code="smooth.nothing",
    severity=Severity.NOTE,
    title="Nothing could be drawn with fewer curves",
    why="Every edge has as few curves as the tolerance allows.",
    remedy="Nothing, or a larger tolerance.",
)
LENGTH: Final = Code(
    code="smooth.length",
    severity=Severity.WARNING,
    title="A line changed its length",
    why="What it is sewn to no longer fits as it did.",
    remedy="A smaller tolerance, or walk the seam again.",
)
CUT_LINE: Final = Code(
    code="cut-line.dropped",
    severity=Severity.WARNING,
    title="Cut line taken away",
    why="An old cut line beside a new seam line would be cut by somebody.",
    remedy="Make it anew with add-allowance.",
)
MITRED: Final = Code(
    code="cut-line.mitred",
    severity=Severity.WARNING,
    title="Corners of the cut line were finished otherwise before",
    why="How they were finished is not known, or has no place there any more.",
    remedy="Finish them with add-allowance.",
)
SHAPE: Final = Code(
    code="smooth.shape",
    severity=Severity.ERROR,
    title="No sound outline came of it",
    why="The new line would cross the piece's own outline.",
    remedy="A smaller tolerance.",
)
KINK: Final = Code(
    code="smooth.kink",
    severity=Severity.WARNING,
    title="A break of direction inside an edge",
    why="It is sewn into every garment.",
    remedy="Smooth it with true-jog.",
)
WAVE: Final = Code(
    code="smooth.wave",
    severity=Severity.WARNING,
    title="A bump in a line",
    why="A short stretch bends against what lies on both sides of it.",
    remedy="Refit the run with refit-run and a larger tolerance, or draw the stretch anew.",
)
INFLECTIONS: Final = Code(
    code="smooth.inflections",
    severity=Severity.WARNING,
    title="A line changes its bend too often",
    why="A drawn curve bends one way, or like an S; a digitised one wavers.",
    remedy="Refit the run with refit-run and a larger tolerance.",
)
JUMP: Final = Code(
    code="smooth.jump",
    severity=Severity.NOTE,
    title="The bend jumps at a joint",
    why="The eye sees where a tight curve meets a straight line at once.",
    remedy="Nothing where it is meant; else refit-run.",
)
POLYLINE: Final = Code(
    code="smooth.polyline",
    severity=Severity.NOTE,
    title="A polyline has no bend to look at",
    why="Its edges are chords of a curve that the file does not hold.",
    remedy="Turn it to curves first with polyline-to-curves.",
)
#: What resolving a run may say.
_PLACES: Final = tuple(
    Code(
        code=code,
        severity=Severity.ERROR,
        title="The run is not there",
        why="A misspelt name would be passed over in silence.",
        remedy="Look at the names of pieces and marks.",
    )
    for code in ("plan.piece", "plan.mark", "plan.way", "spot.unreadable")
)

REFIT: Final = (REFITTED, NOTHING, LENGTH, CUT_LINE, MITRED, SHAPE, *_PLACES)
CURVES: Final = (REFITTED, NOTHING, LENGTH, CUT_LINE, MITRED, SHAPE, *_PLACES)
CHECK: Final = (KINK, WAVE, INFLECTIONS, JUMP, POLYLINE, *_PLACES)
