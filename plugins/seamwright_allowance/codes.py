"""The findings of the allowance steps."""

from __future__ import annotations

from typing import Final

from seamwright.plugins.api import Code, Severity

TOO_WIDE: Final = Code(
    code="allowance.too-wide",
    severity=Severity.ERROR,
    title="The allowance does not fit the piece",
    why="A cut line that crosses itself, or of which nothing is left, cannot be cut.",
    remedy="Make the allowance of the edge at that place narrower, or blunt the corner.",
)
BLUNTED: Final = Code(
    code="allowance.blunted",
    severity=Severity.NOTE,
    title="A sharp corner's allowance was cut off",
    why="A mitre at a sharp corner runs far out and wastes cloth.",
    remedy="Raise the limit if the point is wanted, or finish the corner square.",
)
HAS_CUT_LINE: Final = Code(
    code="allowance.replaced",
    severity=Severity.NOTE,
    title="A cut line was there and was drawn anew",
    why="The old cut line may have held allowances that were meant.",
    remedy="Nothing, if the new allowances are the ones wanted.",
)
NO_CUT_LINE: Final = Code(
    code="allowance.no-cut-line",
    severity=Severity.WARNING,
    title="There is no cut line to work from",
    why="A seam line can only be derived from a cut line, and an allowance checked against one.",
    remedy="For a file whose outline is a cut line, say so when it is read; otherwise this step "
    "has nothing to do here.",
)
UNNAMED: Final = Code(
    code="allowance.unknown",
    severity=Severity.ERROR,
    title="No allowance is known for an edge",
    why="A seam line is never guessed from a cut line.",
    remedy="Name the edge, or give a width for all.",
)
OFF: Final = Code(
    code="allowance.off",
    severity=Severity.WARNING,
    title="The cut line is not where the allowance puts it",
    why="Who sews by the edge of the cloth sews a seam line that is not the pattern's.",
    remedy="Draw the cut line anew with add-allowance.",
)
NOT_CARRIED: Final = Code(
    code="allowance.notch-kept",
    severity=Severity.WARNING,
    title="A notch was not carried to the cut line",
    why="A notch that is only on the seam line is inside the cloth when it is cut.",
    remedy="Look whether the cut line runs past the notch, or draw it anew with add-allowance.",
)
HOLE_LEFT: Final = Code(
    code="allowance.cut-out-left",
    severity=Severity.NOTE,
    title="A cut-out has no allowance",
    why="Its line stays as it is drawn; whether that is its seam or its cut only its maker knows.",
    remedy="Draw the line to cut inside the hole where its edge is turned or faced.",
)
HOLE_CROSSED: Final = Code(
    code="allowance.cut-out-crossed",
    severity=Severity.ERROR,
    title="The seam line runs through a cut-out",
    why="A seam over a hole holds nothing.",
    remedy="Make the allowance of the edge at that place narrower, or move the cut-out.",
)

ADD: Final = (TOO_WIDE, BLUNTED, HAS_CUT_LINE, HOLE_LEFT)
SEAM: Final = (TOO_WIDE, NO_CUT_LINE, UNNAMED, HOLE_CROSSED)
CHECK: Final = (OFF,)
CARRY: Final = (NOT_CARRIED,)
