"""The findings of check-true and true-seams."""

from __future__ import annotations

from typing import Final

from seamwright.plugins.api import Code, Severity

KINK: Final = Code(
    code="seam-end.kink",
    severity=Severity.WARNING,
    title="A point or a hollow where a line crosses a seam",
    why="Sewn, a hem, neckline or armhole shows it on both sides of the seam.",
    remedy="True it with true-seams, or name the end in except-ends if it is meant.",
)
STEP: Final = Code(
    code="seam-end.step",
    severity=Severity.WARNING,
    title="A step where a line crosses a seam",
    why="One edge stands out beyond the other when the seam is sewn.",
    remedy="Make both edges of the seam equally long, or state the ease in the plan.",
)
TRUED: Final = Code(
    code="seam-end.trued",
    severity=Severity.NOTE,
    title="A line made to run on across a seam",
    why="Both pieces changed beside the seam.",
    remedy="Look at the picture; walk the seams that changed.",
)
NONE: Final = Code(
    code="seam-end.none",
    severity=Severity.NOTE,
    title="Every line runs on already",
    why="All ends were looked at.",
    remedy="Nothing.",
)
MEANT: Final = Code(
    code="seam-end.corner",
    severity=Severity.NOTE,
    title="A break taken for a corner and left alone",
    why="A break so large is mostly meant.",
    remedy="Raise corners-above to have it smoothed too.",
)
LENGTH: Final = Code(
    code="seam-end.length",
    severity=Severity.WARNING,
    title="Another seam changed its length",
    why="What was smoothed is sewn to something, whose ease changed with it.",
    remedy="Walk the seams again.",
)
DART: Final = Code(
    code="seam-end.dart",
    severity=Severity.NOTE,
    title="The edge beside a dart was trued, its mouth was not",
    why="The mouth has to be shaped as it is pressed, after the edge that it lies on.",
    remedy="Let true-dart follow.",
)
CUT_LINE: Final = Code(
    code="cut-line.dropped",
    severity=Severity.WARNING,
    title="Cut line taken away",
    why="An old cut line beside a new seam line would be cut by somebody.",
    remedy="Make it anew with add-allowance.",
)
REMADE: Final = Code(
    code="cut-line.remade",
    severity=Severity.NOTE,
    title="Cut line drawn anew",
    why="The old one did not follow at the corner; allowances are kept, corners are mitred.",
    remedy="Use add-allowance for other corners.",
)
TWICE: Final = Code(
    code="seam-end.twice",
    severity=Severity.WARNING,
    title="Two seams want to swing at one corner",
    why="Swinging one edge of a corner changes what the other seam sees.",
    remedy="Run check-true again, and true-seams once more with the end named.",
)
SHAPE: Final = Code(
    code="seam-end.shape",
    severity=Severity.ERROR,
    title="No sound outline came of it",
    why="The trued line would cross the piece's own outline.",
    remedy="A smaller within, or name the end in except-ends.",
)
UNKNOWN: Final = Code(
    code="seam-end.unknown",
    severity=Severity.ERROR,
    title="An end that is named is not there",
    why="A misspelt name would be passed over in silence.",
    remedy="Look at the names of seams and marks.",
)

CHECK: Final = (KINK, STEP, UNKNOWN)
TRUE: Final = (TRUED, NONE, MEANT, STEP, LENGTH, DART, CUT_LINE, REMADE, TWICE, SHAPE, UNKNOWN)
