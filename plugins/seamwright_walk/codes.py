"""The findings of the walk check."""

from __future__ import annotations

from typing import Final

from seamwright.plugins.api import Code, Severity

CODES: Final = (
    Code(
        code="seam.over",
        severity=Severity.ERROR,
        title="More ease than intended",
        why="What the cloth cannot take in shows as puckers or a tuck in the seam.",
        remedy="Shorten the sew side (in a cap: the step ease-cap), or state in the plan what is "
        "intended.",
    ),
    Code(
        code="seam.under",
        severity=Severity.ERROR,
        title="Less ease than intended",
        why="One side must be stretched to meet the other, or stays too long at the end.",
        remedy="Lengthen the sew side or shorten the other, or state in the plan what is intended.",
    ),
    Code(
        code="notch.miss",
        severity=Severity.WARNING,
        title="Notches that must meet miss one another",
        why="Who sews goes by the notches: the ease lands in the wrong place, or the end does.",
        remedy="Move one of the notches, or bring the lengths before and after it to agree. From "
        "the option notch-error on (3 mm) it is an error.",
    ),
    Code(
        code="notch.not-measured",
        severity=Severity.WARNING,
        title="A pair of notches was not compared",
        why="One of the two is missing in a size or does not lie on its run.",
        remedy="Give every size its notches, or take the pair out of the plan.",
    ),
    Code(
        code="seam.not-measured",
        severity=Severity.ERROR,
        title="A seam was not walked",
        why="A piece or a mark that the plan names is missing; nothing is known of this seam. A "
        "warning where it is missing in one size only.",
        remedy="Correct the name in the plan, or give the size its piece.",
    ),
    Code(
        code="walk.cut-line",
        severity=Severity.WARNING,
        title="Cut lines were walked for seam lines",
        why="The file gives only the cut line. Two cut lines of equal length hide seam lines that "
        "differ: at a curve the one is longer and the other shorter.",
        remedy="State the seam allowance, so that the seam line can be made from the cut line.",
    ),
    Code(
        code="walk.no-plan",
        severity=Severity.WARNING,
        title="No seam was walked",
        why="Without a plan nothing says which edges are sewn together.",
        remedy="`seamwright plan FILE` writes one to fill in, with a picture of every name.",
    ),
    Code(
        code="cap.ease",
        severity=Severity.NOTE,
        title="Ease of the sleeve cap",
        why="Front and back of a cap are eased apart; their sum is what handbooks state.",
        remedy="Nothing to do: for the record.",
    ),
)
