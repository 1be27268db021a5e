"""The findings of the alterations."""

from __future__ import annotations

from typing import Final

from seamwright.plugins.api import Code, Severity

DONE: Final = Code(
    code="alter.done",
    severity=Severity.NOTE,
    title="What the alteration did",
    why="an alteration changes more than it is for, and what it does to the ease is wanted next",
    remedy="walk the seams again; ease-cap takes out what the cap holds too much",
)
NO_CAP: Final = Code(
    code="alter.no-cap",
    severity=Severity.ERROR,
    title="No sleeve cap in the plan",
    why="underarm points, shoulder point and bicep line are found from the plan alone",
    remedy='mark both seams of the cap: cap = "back" and cap = "front"',
)
NO_CORNER: Final = Code(
    code="alter.no-corner",
    severity=Severity.ERROR,
    title="An underarm point is no corner",
    why="the underarm seam begins there",
    remedy="make it a corner in the drawing, or read it with a smaller corner angle",
)
OUT_OF_REACH: Final = Code(
    code="alter.out-of-reach",
    severity=Severity.ERROR,
    title="The geometry does not allow the amount",
    why="a cap cannot be lower than its bicep line, nor its edge shorter than straight",
    remedy="a smaller amount; or keep the cap's height and take the ease out afterwards",
)
CUT_LINE: Final = Code(
    code="alter.cut-line",
    severity=Severity.WARNING,
    title="The cut line was taken away",
    why="an old cut line beside a new seam line would be cut by somebody",
    remedy="make it anew with add-allowance",
)
MITRED: Final = Code(
    code="alter.cut-line-mitred",
    severity=Severity.WARNING,
    title="Corners of the cut line were finished otherwise before",
    why="how they were finished is not known, or has no place there any more",
    remedy="finish them with add-allowance",
)
INSIDE: Final = Code(
    code="alter.inside",
    severity=Severity.NOTE,
    title="What is drawn inside stays where it was",
    why="internal lines, holes and texts of the sleeve are not moved with its edge",
    remedy="look whether they still lie where they belong",
)

NO_LINE: Final = Code(
    code="alter.no-line",
    severity=Severity.ERROR,
    title="The piece cannot be lengthened at this line",
    why="the parts on both sides of a line that runs once through the piece are moved apart",
    remedy="another place for the line, a little way from corners, or a smaller amount",
)
SEAM: Final = Code(
    code="alter.seam",
    severity=Severity.WARNING,
    title="A seam's ease changed",
    why="one side became longer or shorter and the other did not, or not by as much",
    remedy="alter what is sewn to it in the same step, or ease or true the seam afterwards",
)

CAP: Final = (DONE, NO_CAP, NO_CORNER, OUT_OF_REACH, CUT_LINE, INSIDE)
NO_ARMHOLE: Final = Code(
    code="alter.no-armhole",
    severity=Severity.ERROR,
    title="The armhole cannot be altered so",
    why="an armhole goes from a side seam up to a shoulder, each at a corner, and both must give",
    remedy="a smaller amount, or move darts and notches out of the way first",
)
ARMHOLE_DONE: Final = Code(
    code="alter.armhole-done",
    severity=Severity.NOTE,
    title="What became of the armhole",
    why="the sleeve is sewn to it",
    remedy="walk the seams again",
)

ARMHOLE: Final = (NO_CAP, NO_CORNER, NO_ARMHOLE, ARMHOLE_DONE, SEAM, CUT_LINE, MITRED, INSIDE)
NO_MOVE: Final = Code(
    code="alter.no-move",
    severity=Severity.ERROR,
    title="The seam line cannot be moved",
    why="a strip goes from one piece to the other between edges that run on over the seam",
    remedy="true the ends of the seam first; move notches and darts out of the strip",
)
MOVE: Final = (NO_MOVE, SEAM, CUT_LINE, MITRED, INSIDE)
LENGTH: Final = (NO_LINE, SEAM, CUT_LINE, MITRED)
