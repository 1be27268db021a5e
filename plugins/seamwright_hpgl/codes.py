"""Every finding that reading or writing a plot may make."""

from __future__ import annotations

from typing import Final

from seamwright.plugins.api import Code, Severity, drawing_codes

_E, _W, _N = Severity.ERROR, Severity.WARNING, Severity.NOTE

CODES: Final = (
    Code(
        code="hpgl.not-hpgl", severity=_E, title="no plotter instructions",
        why="Files of other printers look alike and bear the same suffixes.",
        remedy="Make the plot again for a pen plotter.",
    ),
    Code(
        code="hpgl.limit", severity=_E, title="over a limit",
        why="Counts are bounded so that a file cannot stop the work.",
        remedy="Raise the limit that the message names, if you trust the file.",
    ),
    Code(
        code="hpgl.empty", severity=_E, title="a plot that draws nothing",
        why="There is nothing to make pieces of.", remedy="Make the plot again.",
    ),
    Code(
        code="hpgl.unknown", severity=_W, title="unknown instructions",
        why="They may draw something.", remedy="Look for missing lines.",
    ),
    Code(
        code="hpgl.broken", severity=_E, title="instructions that could not be followed",
        why="What follows may be missing or lie elsewhere.", remedy="Make the plot again.",
    ),
    Code(
        code="hpgl.scale-guessed", severity=_W, title="scaling to corners that are not stated",
        why="The size hangs on the sheet that the plot was made for.",
        remedy="Measure a length you know.",
    ),
    Code(
        code="hpgl.outside", severity=_N, title="lines and texts outside all pieces",
        why="They belong to no piece.", remedy="Nothing, or join what should be an outline.",
    ),
    Code(
        code="hpgl.nothing", severity=_E, title="nothing to plot",
        why="An empty plot looks like a finished one.", remedy="Give some kind of line a pen.",
    ),
    Code(
        code="hpgl.no-size", severity=_E, title="a size that is not there",
        why="It cannot be plotted.", remedy="Name one of the pattern's sizes.",
    ),
    Code(
        code="hpgl.too-wide", severity=_E, title="wider than the roll",
        why="The plotter would draw along the edge, or not at all.",
        remedy="A wider roll, or another layout.",
    ),
    Code(
        code="hpgl.too-long", severity=_E, title="a piece longer than the advance",
        why="Paper can be moved on between pieces only.", remedy="A longer advance.",
    ),
    Code(
        code="hpgl.out-of-range", severity=_E, title="coordinates that the device does not know",
        why="Older devices count past their highest number and draw at the other end.",
        remedy="Split the job with advance.",
    ),
    Code(
        code="hpgl.travel", severity=_N, title="how far the lifted pen travels",
        why="It is time and wear.", remedy="Nothing.",
    ),
    Code(
        code="hpgl.extent", severity=_N, title="how long and wide the plot is",
        why="That much paper is needed.", remedy="Nothing.",
    ),
    Code(
        code="hpgl.letters", severity=_W, title="letters that a plot cannot hold",
        why="Plotters know ASCII for certain, and differ on the rest.", remedy="Rename.",
    ),
    *drawing_codes("hpgl"),
)  # fmt: skip
